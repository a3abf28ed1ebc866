//! What can go wrong while drawing.

/// What can go wrong while drawing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReportError {
    /// There is no history to draw.
    #[error("there is nothing to draw: the trace has less than two instants")]
    EmptyTrace,
    /// There are no instants for the storyboard.
    #[error("there is nothing to draw: the run kept no instants for the storyboard")]
    NoSnapshots,
    /// A column is missing or cannot be drawn.
    #[error("column `{column}` cannot be drawn: {reason}")]
    BadColumn {
        /// Name of the column.
        column: String,
        /// Why.
        reason: String,
    },
    /// A quantity that would be drawn is not a finite number.
    #[error("figure `{figure}`: {what} has a value that is not a finite number")]
    NotFinite {
        /// Name of the figure.
        figure: String,
        /// What was to be drawn.
        what: String,
    },
    /// A film that cannot be made.
    #[error("no film: {reason}")]
    Film {
        /// Why.
        reason: String,
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
