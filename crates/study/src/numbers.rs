//! A run in few numbers, for the many runs of a study.

use giveway_impact::outcome::{Ending, EnergyBook};
use giveway_mechanics::retention::Grade;
use giveway_occupant::flail::VelocityBasis;
use giveway_occupant::{Blow, Outcome, SetVerdict};
use giveway_results::summary::{BookCheck, Finding, Status};
use giveway_results::{Summary, closest_check};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::brief::BriefNumbers;

/// What counts of one run. Units stand in the names; an absent number is none, never NaN in a complete run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Numbers {
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
    /// Theoretical head impact velocity, km/h.
    pub thiv_kmph: Option<f64>,
    /// Severity index of 50 ms means.
    pub asi: Option<f64>,
    /// What is estimated to stay of the dents of roof and windscreen, m; none where the pole is not followed.
    pub dents_m: Option<[f64; 2]>,
    /// Speed of the vehicle 12 m behind the point of impact, m/s; none where the pole is not followed or the record does not
    /// reach that far.
    pub exit_speed_mps: Option<f64>,
    /// Whether the clamped base stands in the wind (service and strength); none for a fixed obstacle.
    pub stands_in_wind: Option<bool>,
    /// Margins of service, strength and survival: wind pressure borne over that asked for, less one; none where no wind that
    /// was tried ends the grade, or for a fixed obstacle.
    pub wind_margins: [Option<f64>; 3],
    /// Findings that a person must see.
    pub flags: Vec<Finding>,
    /// Verdicts of all documents, the governing one first.
    pub verdicts: Vec<ShortVerdict>,
    /// Energies at the end of the engagement, for numbers that are made from them; they stand in the summary.
    #[serde(skip)]
    pub energy: EnergyBook,
    /// Residuals of the books against their limits.
    pub books: BookCheck,
    /// Time steps of the engagement.
    pub steps: usize,
}

/// The verdict by one document in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShortVerdict {
    /// Name of the criteria set.
    pub set: String,
    /// Document and edition.
    pub document: String,
    /// Verdict of the blow; not evaluated for a failed run and for a vehicle that missed the pole.
    pub blow: Blow,
    /// Verdict of the roof's dent and of the windscreen's; none where it was not judged.
    pub dents: [Option<Outcome>; 2],
    /// The blow in a sentence, and a remark on each dent.
    pub sentence: String,
    /// Key of the evaluated check of the blow with the least margin.
    pub closest_check: Option<String>,
    /// Its plain title.
    pub closest_title: Option<String>,
    /// Its margin: 1 - |value| / maximum.
    pub margin_fraction: Option<f64>,
    /// Least margin of the evaluated checks of what happens to vehicle and occupant: impact velocities, ridedown,
    /// velocity change, severity index. Height and mass of the support, which no condition changes, do not count.
    pub motion_margin_fraction: Option<f64>,
}

/// Begins the keys of the checks of what happens to vehicle and occupant.
pub(crate) const MOTION: [&str; 5] = ["oiv_", "ridedown_", "velocity_change_", "asi", "thiv_"];

impl Numbers {
    /// Picks the numbers out of a summary.
    pub fn of(summary: &Summary) -> Self {
        let flail = &summary.occupant.flail;
        let judged = summary.status == Status::Complete && summary.ending != Ending::NoContact;
        Self {
            status: summary.status,
            ending: summary.ending,
            slip_onset_s: summary.times.slip_onset_s,
            crush_at_slip_onset_m: summary.contact.crush_at_slip_onset_m,
            release_time_s: summary.times.release_s,
            crush_at_release_m: summary.contact.crush_at_release_m,
            kink_rad: summary.kink.angle_rad,
            contact_end_time_s: summary.times.contact_end_s,
            end_time_s: summary.times.engagement_end_s,
            velocity_change_at_contact_end_mps: summary.velocity_change.at_contact_end_mps,
            velocity_change_at_end_mps: summary.velocity_change.at_engagement_end_mps,
            peak_force_n: summary.contact.peak_force_n,
            peak_crush_m: summary.contact.peak_crush_m,
            occupant_impact_velocity_mps: [flail.oiv_longitudinal_mps, flail.oiv_lateral_mps],
            occupant_impact_basis: flail.basis,
            ridedown_g: [flail.ridedown_longitudinal, flail.ridedown_lateral]
                .map(|peak| peak.map(|p| p.value_g)),
            thiv_kmph: summary.occupant.head.thiv_kmph,
            asi: summary.occupant.asi_50ms_mean.as_ref().map(|a| a.asi),
            dents_m: (summary.flight.as_ref())
                .map(|f| [f.event.roof.remaining_m, f.event.windscreen.remaining_m]),
            exit_speed_mps: summary.flight.as_ref().and_then(|f| f.exit_speed_mps),
            stands_in_wind: summary.retention.as_ref().map(|r| r.holds),
            wind_margins: Grade::ALL.map(|grade| {
                let check = summary.retention.as_ref()?;
                check.graded(grade)?.margin_fraction
            }),
            flags: summary.flags.clone(),
            verdicts: summary
                .verdicts
                .iter()
                .map(|v| ShortVerdict::of(v, judged, &summary.headline.sentence))
                .collect(),
            energy: summary.energy.clone(),
            books: summary.books.clone(),
            steps: summary.work.steps,
        }
    }

    /// The fewest of them.
    pub fn brief(&self) -> BriefNumbers {
        BriefNumbers {
            status: self.status,
            ending: self.ending,
            slip_onset_s: self.slip_onset_s,
            crush_at_slip_onset_m: self.crush_at_slip_onset_m,
            release_time_s: self.release_time_s,
            crush_at_release_m: self.crush_at_release_m,
            kink_rad: self.kink_rad,
            contact_end_time_s: self.contact_end_time_s,
            end_time_s: self.end_time_s,
            velocity_change_at_contact_end_mps: self.velocity_change_at_contact_end_mps,
            velocity_change_at_end_mps: self.velocity_change_at_end_mps,
            peak_force_n: self.peak_force_n,
            peak_crush_m: self.peak_crush_m,
            occupant_impact_velocity_mps: self.occupant_impact_velocity_mps,
            occupant_impact_basis: self.occupant_impact_basis,
            ridedown_g: self.ridedown_g,
            energy: self.energy.clone(),
            books: self.books.clone(),
            steps: self.steps,
        }
    }

    /// The velocity change that is counted, m/s: until vehicle and support have parted (or the occupant has met the interior
    /// before that), or at the end of the engagement while contact lasts. The documents judge the same number. None where it is not finite.
    pub fn velocity_change_mps(&self) -> Option<f64> {
        self.brief().velocity_change_mps()
    }

    /// Verdict of the blow by the governing document; not evaluated where the scenario names none.
    pub fn blow(&self) -> Blow {
        self.verdicts.first().map_or(Blow::NotEvaluated, |v| v.blow)
    }

    /// The same as an outcome.
    pub fn outcome(&self) -> Outcome {
        self.blow().outcome()
    }
}

impl ShortVerdict {
    fn of(verdict: &SetVerdict, judged: bool, reason: &str) -> Self {
        let closest = closest_check(verdict).filter(|_| judged);
        Self {
            set: verdict.set.clone(),
            document: verdict.document.clone(),
            blow: if judged {
                verdict.blow()
            } else {
                Blow::NotEvaluated
            },
            dents: ["roof", "windscreen"].map(|part| {
                let dents = verdict.dents();
                let own = dents.iter().find(|d| d.part == part && judged)?;
                Some(own.outcome)
            }),
            sentence: if judged {
                verdict.sentence.clone()
            } else {
                reason.to_owned()
            },
            closest_check: closest.map(|c| c.0.to_owned()),
            closest_title: closest
                .and_then(|c| verdict.checks.iter().find(|check| check.key == c.0))
                .map(|check| check.title.clone()),
            margin_fraction: closest.map(|c| c.1),
            motion_margin_fraction: verdict
                .checks
                .iter()
                .filter(|c| judged && MOTION.iter().any(|key| c.key.starts_with(key)))
                .filter_map(|c| c.margin_fraction)
                .min_by(f64::total_cmp),
        }
    }
}
