//! What a study will cost, measured on a few of its runs.

use std::ops::Range;
use std::time::Instant;

use giveway_results::Cell;
use giveway_study::Supports;
use giveway_study::execute::{RunMemory, run_row};
use giveway_study::plan::Plan;

use super::histories;

/// Runs that are measured, spread over the study.
const MEASURED: u64 = 5;

/// Cost of a study.
pub struct Estimate {
    /// Time of one run on one core, s.
    run_s: f64,
    /// Size of a row in all files of the folder, bytes.
    row_bytes: f64,
    /// Runs that leave histories, and the size of one, bytes.
    recorded: (u64, f64),
}

/// Measures a few runs of the slice.
pub fn of(plan: &Plan, slice: &Range<u64>, recorded: u64, csv: bool) -> Estimate {
    let count = slice.end - slice.start;
    let measured = MEASURED.min(count);
    let supports = Supports::new();
    let place = |i: u64| slice.start + i * (count - 1) / (measured - 1).max(1);
    // The first run also solves the support, which the others use again.
    let mut memory = RunMemory::default();
    run_row(plan, place(0), &supports, &mut memory);
    let clock = Instant::now();
    let text: usize = (0..measured)
        .map(|i| {
            let row = run_row(plan, place(i), &supports, &mut memory);
            row.cells.iter().map(text_of).sum::<usize>()
        })
        .sum();
    let run_s = clock.elapsed().as_secs_f64() / measured as f64;
    // Text of the CSV file; about half of it in the Parquet file and in the shards; 160 bytes of keys and ledger.
    let texts = if csv { 2.0 } else { 1.0 };
    let row_bytes = texts * text as f64 / measured as f64 + 160.0;
    let history = match recorded {
        0 => 0.0,
        _ => histories::size_of_one(plan, slice.start).unwrap_or(0.0),
    };
    Estimate {
        run_s,
        row_bytes,
        recorded: (recorded, history),
    }
}

/// Characters of a cell and its comma.
fn text_of(cell: &Cell) -> usize {
    1 + match cell {
        Cell::Number(Some(number)) => format!("{number}").len(),
        Cell::Count(Some(count)) => format!("{count}").len(),
        Cell::Text(Some(text)) => text.len(),
        Cell::Flag(Some(_)) => 5,
        _ => 0,
    }
}

impl Estimate {
    /// For people.
    pub fn in_words(&self, runs: u64, threads: usize) -> String {
        let seconds = runs as f64 * self.run_s / threads as f64;
        let mut text = format!(
            "  estimate: {runs} runs, {} ms each on one core; {threads} threads: about {}; about {} on disk\n",
            shown(1e3 * self.run_s),
            time(seconds),
            size(runs as f64 * self.row_bytes)
        );
        let (recorded, bytes) = self.recorded;
        if recorded > 0 {
            text.push_str(&format!(
                "  histories of {recorded} runs: about {} more\n",
                size(recorded as f64 * bytes)
            ));
        }
        text
    }
}

fn shown(value: f64) -> String {
    if value < 10.0 {
        format!("{value:.2}")
    } else {
        format!("{value:.0}")
    }
}

fn time(seconds: f64) -> String {
    match seconds {
        s if s < 120.0 => format!("{} s", shown(s)),
        s if s < 7200.0 => format!("{:.0} min", s / 60.0),
        s if s < 172_800.0 => format!("{:.1} h", s / 3600.0),
        s => format!("{:.1} days", s / 86_400.0),
    }
}

fn size(bytes: f64) -> String {
    match bytes {
        b if b < 1e5 => format!("{:.0} kB", (b / 1e3).max(1.0)),
        b if b < 1e9 => format!("{} MB", shown(b / 1e6)),
        b => format!("{} GB", shown(b / 1e9)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn costs_are_said_in_fitting_units() {
        assert_eq!(time(0.25), "0.25 s");
        assert_eq!(time(90.0), "90 s");
        assert_eq!(time(600.0), "10 min");
        assert_eq!(time(9000.0), "2.5 h");
        assert_eq!(time(1e6), "11.6 days");
        assert_eq!(size(10.0), "1 kB");
        assert_eq!(size(5e6), "5.00 MB");
        assert_eq!(size(2.5e10), "25 GB");
    }
}
