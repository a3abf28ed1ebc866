//! What can go wrong in a whole run.

use giveway_impact::ImpactError;
use giveway_mechanics::strength::InputError;
use giveway_occupant::OccupantError;

/// Why a scenario gave no numbers.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StudyError {
    /// The impact could not be computed.
    #[error(transparent)]
    Impact(#[from] ImpactError),
    /// A torque, clamp or bolt without meaning.
    #[error(transparent)]
    Input(#[from] InputError),
    /// A torque window that cannot be asked for.
    #[error("{0}")]
    Window(String),
    /// A distribution or a design of points that cannot be.
    #[error(transparent)]
    Sampling(#[from] giveway_sampling::SamplingError),
    /// The vehicle's record could not be assessed.
    #[error(transparent)]
    Occupant(#[from] OccupantError),
}
