//! What can be wrong with the data that are handed over.

use thiserror::Error;

/// Why an occupant number could not be computed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum OccupantError {
    /// No interval was recorded.
    #[error("the record is empty; at least one interval is needed")]
    EmptyRecord,
    /// The sampling interval is not a positive number.
    #[error("the sampling interval is {interval_s} s; it must be a finite number above zero")]
    Interval {
        /// The interval given, s.
        interval_s: f64,
    },
    /// A value is not a number, infinite, or beyond anything a vehicle can do.
    #[error(
        "{quantity}[{index}] is {value}; finite values up to {ceiling:e} in magnitude are allowed"
    )]
    NotUsable {
        /// Which quantity, with its unit.
        quantity: &'static str,
        /// Which sample, from 0.
        index: usize,
        /// The offending value.
        value: f64,
        /// Largest magnitude allowed, in the quantity's unit.
        ceiling: f64,
    },
    /// Two histories do not have the same number of samples.
    #[error("{quantity} has {found} samples; {expected} are needed")]
    Length {
        /// Which quantity.
        quantity: &'static str,
        /// Samples needed.
        expected: usize,
        /// Samples found.
        found: usize,
    },
    /// The samples are too far apart for a filter.
    #[error(
        "a low-pass filter at {cutoff_hz} Hz needs samples less than {longest_interval_s} s apart; \
         they are {interval_s} s apart"
    )]
    FilterTooFast {
        /// Frequency at which the double pass is 3 dB down, Hz.
        cutoff_hz: f64,
        /// The interval given, s.
        interval_s: f64,
        /// The limit for this filter, s.
        longest_interval_s: f64,
    },
    /// A filter frequency is not a positive number.
    #[error("a filter frequency of {cutoff_hz} Hz; it must be a finite number above zero")]
    FilterFrequency {
        /// The frequency given, Hz.
        cutoff_hz: f64,
    },
    /// A trace comparison needs more samples.
    #[error("the traces have {found} samples; at least {needed} are needed")]
    TooFewSamples {
        /// Samples needed.
        needed: usize,
        /// Samples found.
        found: usize,
    },
    /// A rating would need too much memory.
    #[error("the traces have {found} samples; at most {most} are rated")]
    TooManySamples {
        /// Most samples.
        most: usize,
        /// Samples found.
        found: usize,
    },
    /// The measured trace is zero throughout, so no ratio to it exists.
    #[error("the {trace} trace is zero everywhere; nothing can be compared with it")]
    ZeroTrace {
        /// Which trace: `measured` or `computed`.
        trace: &'static str,
    },
}
