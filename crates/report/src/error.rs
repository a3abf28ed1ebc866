//! What can go wrong while drawing.

use giveway_draw::DrawError;

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
    /// The figure itself: a number that is not finite, or the painter failed.
    #[error(transparent)]
    Drawing(#[from] DrawError),
    /// A film that cannot be made.
    #[error("no film: {reason}")]
    Film {
        /// Why.
        reason: String,
    },
}
