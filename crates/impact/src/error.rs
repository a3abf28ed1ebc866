//! What can go wrong in an impact.

use thiserror::Error;

/// Why an impact could not be computed.
#[derive(Debug, Error, Clone, PartialEq)]
pub enum ImpactError {
    /// The support makes no body.
    #[error(transparent)]
    Support(#[from] giveway_mechanics::support::SupportError),
    /// The slip base or the pole has a value without meaning.
    #[error("{0}")]
    Base(String),
    /// A scenario value that the solver cannot use.
    #[error("{what} is {value}; {need}")]
    BadValue {
        /// Quantity.
        what: &'static str,
        /// Value found.
        value: f64,
        /// What is needed.
        need: &'static str,
    },
    /// The pole cannot stand on its base even without wind.
    #[error("the clamped base cannot carry the dead load: {0}")]
    CannotStand(String),
    /// The state is no longer a number.
    #[error("{body}: {quantity} is not finite at {time_s} s")]
    NotFinite {
        /// Body.
        body: &'static str,
        /// Quantity.
        quantity: &'static str,
        /// Time, s.
        time_s: f64,
    },
    /// A support solution that belongs to another support was handed in.
    #[error("the support solution was made for another support, basis or contact height")]
    ForeignSupport,
}
