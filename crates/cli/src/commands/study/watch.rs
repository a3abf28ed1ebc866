//! A progress bar while a study is computed; nothing where nobody looks.

use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use giveway_study::execute::Tally;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// How often the bar is looked after.
const EVERY: Duration = Duration::from_millis(100);

const LOOK: &str = "  [{bar:32}] {pos}/{len} runs, {per_sec}, {eta} left{msg}";

/// Does the work, with a bar on standard error if that is a terminal.
pub fn watched<T>(tally: &Tally, runs: u64, quiet: bool, work: impl FnOnce() -> T) -> T {
    if quiet || runs == 0 || !std::io::stderr().is_terminal() {
        return work();
    }
    let bar = ProgressBar::with_draw_target(Some(runs), ProgressDrawTarget::stderr_with_hz(10));
    if let Ok(style) = ProgressStyle::with_template(LOOK) {
        bar.set_style(style.progress_chars("=> "));
    }
    let over = AtomicBool::new(false);
    let outcome = std::thread::scope(|scope| {
        scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                bar.set_position(tally.done.load(Ordering::Relaxed));
                let failed = tally.failed.load(Ordering::Relaxed);
                if failed > 0 {
                    bar.set_message(format!(", {failed} failed"));
                }
                std::thread::park_timeout(EVERY);
            }
        });
        let outcome = work();
        over.store(true, Ordering::Relaxed);
        outcome
    });
    bar.finish_and_clear();
    outcome
}
