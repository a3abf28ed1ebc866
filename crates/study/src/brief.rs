//! The few numbers of a run that a map or a sample of very many runs needs, at the least cost.

use giveway_impact::outcome::{Ending, EnergyBook, Engagement};
use giveway_impact::{Prepared, RecordRequest, Workspace};
use giveway_occupant::flail::{VelocityBasis, flail_space};
use giveway_occupant::means::VelocityGain;
use giveway_results::check_books;
use giveway_results::summary::{BookCheck, Status};

use crate::error::StudyError;
use crate::motion::{change_in_contact_mps, motion_of};

/// Memory that is used again from run to run; one for each thread.
#[derive(Debug, Default)]
pub struct BriefWorkspace {
    record: Workspace,
    gain: VelocityGain,
}

/// What counts most of one run: the fields of the same names in [`crate::Numbers`], to the last bit.
#[derive(Debug, Clone, PartialEq)]
pub struct BriefNumbers {
    /// Whether the books closed.
    pub status: Status,
    /// How the engagement ended.
    pub ending: Ending,
    /// When the plates had begun to slide, by 1 mm at a bolt, s.
    pub slip_onset_s: Option<f64>,
    /// Largest crush until then, m.
    pub crush_at_slip_onset_m: Option<f64>,
    /// Release of the last bolt, s.
    pub release_time_s: Option<f64>,
    /// Largest crush until the release of the last bolt, m.
    pub crush_at_release_m: Option<f64>,
    /// Angle of the shaft's hinge at the struck height, rad.
    pub kink_rad: f64,
    /// Last touch of face and pole, s.
    pub contact_end_time_s: Option<f64>,
    /// End of the engagement, s.
    pub end_time_s: f64,
    /// Speed lost along the initial direction of travel when vehicle and support have parted, or the occupant has met the
    /// interior before that, m/s.
    pub velocity_change_at_contact_end_mps: Option<f64>,
    /// The same at the end of the engagement, m/s.
    pub velocity_change_at_end_mps: f64,
    /// Largest contact force, N.
    pub peak_force_n: f64,
    /// Largest crush over all bands, m.
    pub peak_crush_m: f64,
    /// Occupant impact velocity along and across, m/s.
    pub occupant_impact_velocity_mps: [f64; 2],
    /// What that velocity is.
    pub occupant_impact_basis: VelocityBasis,
    /// Ridedown along and across, g; none without contact or with a record that is too short.
    pub ridedown_g: [Option<f64>; 2],
    /// Energies at the end of the engagement.
    pub energy: EnergyBook,
    /// Residuals of the books against their limits.
    pub books: BookCheck,
    /// Time steps of the engagement.
    pub steps: usize,
}

impl BriefNumbers {
    /// As [`crate::Numbers::velocity_change_mps`].
    pub fn velocity_change_mps(&self) -> Option<f64> {
        let value = self
            .velocity_change_at_contact_end_mps
            .unwrap_or(self.velocity_change_at_end_mps);
        value.is_finite().then_some(value)
    }
}

/// Computes these numbers. Heads, severity indices, retention and verdicts are left out: they are what
/// [`crate::numbers`] adds.
///
/// # Errors
/// What could not be computed.
pub fn brief_numbers(
    prepared: &Prepared,
    workspace: &mut BriefWorkspace,
) -> Result<BriefNumbers, StudyError> {
    let engagement = prepared.engage_briefly(&mut workspace.record)?;
    let record = &engagement.record;
    let motion = motion_of(prepared.scenario(), record);
    let in_contact = change_in_contact_mps(&engagement, &motion);
    let gain = &mut workspace.gain;
    gain.renew(&record.acceleration_mps2, record.interval_s);
    let flail = flail_space(&motion, gain, in_contact);
    let numbers = BriefNumbers {
        occupant_impact_velocity_mps: [flail.oiv_longitudinal_mps, flail.oiv_lateral_mps],
        occupant_impact_basis: flail.basis,
        ridedown_g: [flail.ridedown_longitudinal, flail.ridedown_lateral]
            .map(|peak| peak.map(|p| p.value_g)),
        ..BriefNumbers::of_engagement(&engagement)
    };
    workspace.record.take_back(engagement.record);
    Ok(numbers)
}

/// Computes those of these numbers that the engagement alone gives: no flight of the pole, no roll-out, no record. The
/// occupant's velocities are not numbers and there is no ridedown.
///
/// # Errors
/// What could not be computed.
pub fn engagement_numbers(prepared: &Prepared) -> Result<BriefNumbers, StudyError> {
    let engagement = prepared.engage(RecordRequest::NUMBERS)?;
    Ok(BriefNumbers::of_engagement(&engagement))
}

impl BriefNumbers {
    fn of_engagement(engagement: &Engagement) -> Self {
        let books = check_books(engagement);
        Self {
            status: if books.books_closed {
                Status::Complete
            } else {
                Status::Failed
            },
            ending: engagement.ending,
            slip_onset_s: engagement.slip_onset_time_s,
            crush_at_slip_onset_m: engagement.slip_onset_crush_m,
            release_time_s: engagement.release_time_s,
            crush_at_release_m: engagement.crush_at_release_m,
            kink_rad: engagement.kink.angle_rad,
            contact_end_time_s: engagement.contact_end_time_s,
            end_time_s: engagement.end_time_s,
            velocity_change_at_contact_end_mps: engagement.velocity_change_at_contact_end_mps,
            velocity_change_at_end_mps: engagement.velocity_change_at_end_mps,
            peak_force_n: engagement.peak_force_n,
            peak_crush_m: engagement.peak_crush_m,
            occupant_impact_velocity_mps: [f64::NAN; 2],
            occupant_impact_basis: VelocityBasis::ContactVelocityChange,
            ridedown_g: [None; 2],
            energy: engagement.energy.clone(),
            books,
            steps: engagement.work.steps,
        }
    }
}
