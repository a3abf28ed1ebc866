//! What a check says.

use giveway_units::{Dimension, shown_in};

use crate::diagnostic::Said;

/// A length in millimetres.
pub(super) fn mm(value: f64) -> String {
    shown_in(value, Dimension::Length, "mm", 4)
}

/// Message, what was found, what is allowed.
pub(super) fn said(
    message: impl Into<String>,
    found: impl Into<String>,
    allowed: impl Into<String>,
) -> Said {
    Said::that(message.into())
        .found(found.into())
        .allowed(allowed.into())
}
