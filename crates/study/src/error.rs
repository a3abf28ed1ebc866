//! What can go wrong in a whole run.

use giveway_impact::ImpactError;
use giveway_occupant::OccupantError;

/// Why a scenario gave no numbers.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StudyError {
    /// The impact could not be computed.
    #[error(transparent)]
    Impact(#[from] ImpactError),
    /// The vehicle's record could not be assessed.
    #[error(transparent)]
    Occupant(#[from] OccupantError),
}
