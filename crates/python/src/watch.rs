//! Work without the interpreter, with word of its progress and an ear for interrupts.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc;
use std::time::Duration;

use pyo3::prelude::*;

/// How often progress is told and an interrupt is heard.
const EVERY: Duration = Duration::from_millis(100);

/// Threads: so many, or one for each core.
pub fn pool(threads: Option<usize>) -> Result<rayon::ThreadPool, crate::refusal::Refusal> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.unwrap_or(0))
        .build()
        .map_err(|e| crate::refusal::Refusal::compute(&e.to_string()))
}

/// Does the work on a thread of its own; `tell` is called now and then, and once behind the end, with the interpreter. An
/// exception of it, and an interrupt, raise `stop`; it is raised again when the work has ended.
pub fn watched<T: Send>(
    py: Python<'_>,
    stop: &AtomicBool,
    tell: impl Fn(Python<'_>) -> PyResult<()> + Sync,
    work: impl FnOnce() -> T + Send,
) -> PyResult<T> {
    let mut raised = None;
    let outcome = py.detach(|| {
        std::thread::scope(|scope| {
            let (done, ended) = mpsc::channel::<()>();
            let worker = scope.spawn(move || {
                let outcome = work();
                drop(done);
                outcome
            });
            while ended.recv_timeout(EVERY) == Err(mpsc::RecvTimeoutError::Timeout) {
                if raised.is_none() {
                    let heard = Python::attach(|py| py.check_signals().and_then(|()| tell(py)));
                    if let Err(problem) = heard {
                        stop.store(true, Ordering::Relaxed);
                        raised = Some(problem);
                    }
                }
            }
            worker.join()
        })
    });
    let outcome = outcome.unwrap_or_else(|panic| std::panic::resume_unwind(panic));
    match raised {
        Some(problem) => Err(problem),
        None => tell(py).map(|()| outcome),
    }
}
