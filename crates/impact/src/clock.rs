//! The clock of every record.

/// Sampling interval of every record, s (10 kHz).
pub const SAMPLE_S: f64 = 1e-4;
