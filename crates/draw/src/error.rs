//! What can go wrong while drawing.

/// What can go wrong while drawing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DrawError {
    /// A quantity that would be drawn is not a finite number.
    #[error("figure `{figure}`: {what} has a value that is not a finite number")]
    NotFinite {
        /// Name of the figure.
        figure: String,
        /// What was to be drawn.
        what: String,
    },
    /// The painter failed.
    #[error("figure `{figure}` could not be painted: {reason}")]
    Painting {
        /// Name of the figure.
        figure: String,
        /// Why.
        reason: String,
    },
}
