//! Access to the columns of a trace, checked once before anything is drawn.

use giveway_impact::outcome::{Engagement, Trace};
use giveway_results::Summary;

use crate::ReportError;
use crate::page::ms;
use giveway_draw::chart::Instant;

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
    let mut list = Vec::new();
    if let Some(t) = engagement.slip_onset_time_s {
        list.push(Instant {
            time: 1e3 * t,
            text: format!("plates slide, {}", ms(t)),
        });
    }
    if let Some(t) = engagement.release_time_s {
        list.push(Instant {
            time: 1e3 * t,
            text: format!("last bolt released, {}", ms(t)),
        });
    }
    if let Some(t) = engagement.contact_end_time_s {
        list.push(Instant {
            time: 1e3 * t,
            text: format!("contact lost, {}", ms(t)),
        });
    }
    list
}

/// The same as words for a text alternative.
pub fn instants_in_words(summary: &Summary) -> String {
    let slip = match summary.times.slip_onset_s {
        Some(t) => format!("the plates began to slide at {}", ms(t)),
        None => "the plates did not slide".to_owned(),
    };
    let release = match summary.times.release_s {
        Some(t) => format!("the last bolt was released at {}", ms(t)),
        None => "not every bolt was released".to_owned(),
    };
    let contact = match summary.times.contact_end_s {
        Some(t) => format!("contact was lost at {}", ms(t)),
        None => "contact was not lost".to_owned(),
    };
    format!("{slip}; {release}; {contact}")
}

/// The value of largest magnitude and its index.
pub fn peak(values: &[f64]) -> (usize, f64) {
    values
        .iter()
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
