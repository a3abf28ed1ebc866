//! What a run is asked to keep, and memory for it.

use crate::outcome::VehicleRecord;

/// What a run is asked to keep besides its numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RecordRequest {
    /// Keep time histories and the storyboard's instants.
    pub trace: bool,
    /// Follow the vehicle after the engagement, under its tyres alone, up to the record limit.
    pub rollout: bool,
}

impl RecordRequest {
    /// Everything that a result folder holds.
    pub const FULL: Self = Self {
        trace: true,
        rollout: true,
    };
    /// Only the numbers of the engagement; the vehicle's record stays empty.
    pub const NUMBERS: Self = Self {
        trace: false,
        rollout: false,
    };
}

/// What is kept of the vehicle's record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Keep {
    Nothing,
    /// Its accelerations only, for the flail-space numbers.
    Accelerations,
    Everything,
}

/// Memory for the vehicle's record, used again from run to run: taken from the system once, not at every run. The digits
/// of a run do not depend on it.
#[derive(Debug, Default)]
pub struct Workspace {
    pub(crate) spare: VehicleRecord,
}

impl Workspace {
    /// Without memory yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes the memory of a record that is no longer needed.
    pub fn take_back(&mut self, record: VehicleRecord) {
        self.spare = record;
    }
}
