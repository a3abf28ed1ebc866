//! How far a study is while it is computed: a bar where somebody looks, a line now and then where standard error is a file.

use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use giveway_study::execute::Tally;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::terminal::complain;

/// How often the bar is looked after.
const EVERY: Duration = Duration::from_millis(100);
/// How often a line is written where there is no bar.
const LINE: Duration = Duration::from_secs(10);

const LOOK: &str = "  [{bar:32}] {pos}/{len} runs, {per_sec}, {eta} left{msg}";

/// Does the work, and tells on standard error how far it is.
pub fn watched<T>(tally: &Tally, runs: u64, quiet: bool, work: impl FnOnce() -> T) -> T {
    if quiet || runs == 0 {
        return work();
    }
    if !std::io::stderr().is_terminal() {
        return in_lines(tally, runs, LINE, &complain, work);
    }
    let bar = ProgressBar::with_draw_target(Some(runs), ProgressDrawTarget::stderr_with_hz(10));
    if let Ok(style) = ProgressStyle::with_template(LOOK) {
        bar.set_style(style.progress_chars("=> "));
    }
    let look = || {
        bar.set_position(tally.done.load(Ordering::Relaxed));
        let failed = tally.failed.load(Ordering::Relaxed);
        if failed > 0 {
            bar.set_message(format!(", {failed} failed"));
        }
    };
    let outcome = beside(EVERY, &look, work);
    bar.finish_and_clear();
    outcome
}

/// Does the work; whoever looks is called at once, and again after every such time until it is done.
fn beside<T>(every: Duration, look: &(dyn Fn() + Sync), work: impl FnOnce() -> T) -> T {
    let over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let watcher = scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                look();
                std::thread::park_timeout(every);
            }
        });
        let outcome = work();
        over.store(true, Ordering::Relaxed);
        watcher.thread().unpark();
        outcome
    })
}

/// Does the work, and writes a line after every such time.
fn in_lines<T>(
    tally: &Tally,
    runs: u64,
    every: Duration,
    write: &(dyn Fn(&str) + Sync),
    work: impl FnOnce() -> T,
) -> T {
    let began = Instant::now();
    let look = || {
        let seconds = began.elapsed().as_secs_f64();
        // Woken before its time, or at the very beginning, there is nothing to tell.
        if seconds < 0.5 * every.as_secs_f64() {
            return;
        }
        let done = tally.done.load(Ordering::Relaxed);
        let failed = tally.failed.load(Ordering::Relaxed);
        let rate = done as f64 / seconds;
        let left = if done > 0 {
            let rest = runs.saturating_sub(done) as f64 / rate;
            format!(", about {rest:.0} s left")
        } else {
            String::new()
        };
        write(&format!(
            "  {done} of {runs} runs, {failed} failed, {rate:.0} runs a second{left}\n"
        ));
    };
    beside(every, &look, work)
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use super::*;

    // Seen: a study of many minutes whose output went into a file said nothing until its end.
    // Expected: a line every ten seconds where nobody sees a bar.
    #[test]
    fn lines_are_written_where_there_is_no_bar() {
        let tally = Tally::default();
        let told = Mutex::new(Vec::new());
        let write = |line: &str| told.lock().unwrap().push(line.to_owned());
        let outcome = in_lines(&tally, 80, Duration::from_millis(40), &write, || {
            tally.done.store(20, Ordering::Relaxed);
            std::thread::sleep(Duration::from_millis(150));
            7
        });
        assert_eq!(outcome, 7);
        let told = told.into_inner().unwrap();
        assert!(!told.is_empty());
        assert!(
            told[0].starts_with("  20 of 80 runs, 0 failed, "),
            "{told:?}"
        );
        assert!(told[0].ends_with(" s left\n"), "{told:?}");
    }

    #[test]
    fn short_work_says_nothing() {
        let told = Mutex::new(0);
        let write = |_: &str| *told.lock().unwrap() += 1;
        in_lines(&Tally::default(), 5, LINE, &write, || ());
        assert_eq!(told.into_inner().unwrap(), 0);
    }
}
