//! Access to the columns of a trace, checked once before anything is drawn.

use giveway_impact::outcome::{Engagement, Trace};
use giveway_results::Summary;

use crate::ReportError;
use crate::page::ms;
use giveway_draw::Instant;

/// A checked trace with its clock in milliseconds.
pub struct History<'a> {
    trace: &'a Trace,
    /// Time, ms.
    pub time_ms: Vec<f64>,
}

impl<'a> History<'a> {
    /// Checks that there is something to draw and that every number is finite.
    pub fn new(trace: &'a Trace) -> Result<Self, ReportError> {
        let rows = trace.time_s.len();
        if rows < 2 {
            return Err(ReportError::EmptyTrace);
        }
        let bad = |column: &str, row: usize| ReportError::BadColumn {
            column: column.to_owned(),
            reason: format!("the value in row {} is not a finite number", row + 1),
        };
        let unusable = |v: &f64| !v.is_finite() || v.abs() >= 1.0e100;
        if let Some(row) = trace.time_s.iter().position(unusable) {
            return Err(bad("time_s", row));
        }
        if let Some(row) = trace.time_s.windows(2).position(|w| w[1] <= w[0]) {
            return Err(ReportError::BadColumn {
                column: "time_s".to_owned(),
                reason: format!("time does not advance after row {}", row + 1),
            });
        }
        for c in &trace.columns {
            if c.values.len() != rows {
                return Err(ReportError::BadColumn {
                    column: c.name.clone(),
                    reason: format!("it has {} values for {rows} instants", c.values.len()),
                });
            }
            if let Some(row) = c.values.iter().position(unusable) {
                return Err(bad(&c.name, row));
            }
        }
        Ok(History {
            trace,
            time_ms: trace.time_s.iter().map(|t| 1e3 * t).collect(),
        })
    }

    /// A column times a factor.
    pub fn scaled(&self, name: &str, factor: f64) -> Result<Vec<f64>, ReportError> {
        match self.trace.column(name) {
            Some(values) => Ok(values.iter().map(|v| factor * v).collect()),
            None => Err(ReportError::BadColumn {
                column: name.to_owned(),
                reason: "the trace does not have it".to_owned(),
            }),
        }
    }

    /// Sampling interval, s.
    pub fn interval_s(&self) -> f64 {
        let t = &self.trace.time_s;
        (t[t.len() - 1] - t[0]) / (t.len() - 1) as f64
    }
}

/// First slip, release of the last bolt and loss of contact, where they happened.
pub fn instants(engagement: &Engagement) -> Vec<Instant> {
    let instant = |(time, words): (Option<f64>, &str)| {
        let t = time?;
        Some(Instant {
            time: 1e3 * t,
            text: format!("{words}, {}", ms(t)),
        })
    };
    let e = engagement;
    [
        (e.slip_onset_time_s, "plates slide"),
        (e.release_time_s, "last bolt released"),
        (e.contact_end_time_s, "contact lost"),
    ]
    .into_iter()
    .filter_map(instant)
    .collect()
}

/// The same as words for a text alternative.
pub fn instants_in_words(summary: &Summary) -> String {
    let said = |time: Option<f64>, words: &str, never: &str| match time {
        Some(t) => format!("{words} at {}", ms(t)),
        None => never.to_owned(),
    };
    let t = &summary.times;
    let (slide, slid) = ("the plates began to slide", "the plates did not slide");
    let (free, held) = ("the last bolt was released", "not every bolt was released");
    [
        said(t.slip_onset_s, slide, slid),
        said(t.release_s, free, held),
        said(t.contact_end_s, "contact was lost", "contact was not lost"),
    ]
    .join("; ")
}

/// The value of largest magnitude and its index.
pub fn peak(values: &[f64]) -> (usize, f64) {
    (values.iter())
        .copied()
        .enumerate()
        .fold((0, 0.0), |best, v| {
            if v.1.abs() > f64::abs(best.1) {
                v
            } else {
                best
            }
        })
}
