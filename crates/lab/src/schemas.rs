//! Schemas of what the laboratory leaves, generated from the code.

use schemars::{Schema, schema_for};

/// File stems and schemas.
pub fn schemas() -> Vec<(&'static str, Schema)> {
    vec![
        ("measured_record", schema_for!(crate::record::RecordSummary)),
        ("posterior", schema_for!(crate::fit::Posterior)),
        ("next_test", schema_for!(crate::next_test::Choice)),
    ]
}
