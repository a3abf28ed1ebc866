//! The summary of a run: what `summary.json` holds. Units are in the names; SI throughout.
//!
//! Keys keep the order of the fields. Numbers are finite: an absent number is null, never NaN.

use giveway_impact::flight::outcome::Flight;
use giveway_impact::outcome::{
    BarOutcome, BoltOutcome, Ending, EnergyBook, Fold, MomentumBook, SupportProperties, WorkCount,
};
use giveway_mechanics::retention::{BoltRetention, Event, Grade, Graded, Retention};
use giveway_occupant::{Blow, DentRemark, OccupantRisk, Outcome, SetVerdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::conditions::ConditionFinding;

/// Version of the layout of `summary.json`.
pub const SUMMARY_FORMAT: u32 = 2;

/// One run in numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Summary {
    /// Version of this layout.
    pub format: u32,
    /// Title of the scenario.
    pub title: String,
    /// Version of the model's arithmetic: equal versions give equal digits.
    pub model_version: u32,
    /// Whether the books closed.
    pub status: Status,
    /// How the engagement ended.
    pub ending: Ending,
    /// The verdict of the governing document.
    pub headline: Headline,
    /// Said with every verdict.
    pub caution: String,
    /// Verdicts of all documents, the governing one first.
    pub verdicts: Vec<SetVerdict>,
    /// What struck what.
    pub impact: ImpactFacts,
    /// Instants.
    pub times: Times,
    /// Speed lost along the initial direction of travel.
    pub velocity_change: VelocityChange,
    /// Struck face and pole.
    pub contact: Contact,
    /// Slip joint.
    pub joint: Joint,
    /// The shaft's plastic hinge at its foot.
    pub fold: Fold,
    /// The shaft's plastic hinge at the struck height.
    pub kink: Fold,
    /// The pole's flight; absent where it was not followed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flight: Option<FlightReport>,
    /// What the occupant numbers rest on after the engagement.
    pub record_basis: String,
    /// Occupant numbers.
    pub occupant: OccupantRisk,
    /// Check of the clamped base in the wind; null where it was not made.
    pub retention: Option<RetentionCheck>,
    /// Mass properties and frequencies of the support.
    pub support: SupportProperties,
    /// Energy book at the end of the engagement.
    pub energy: EnergyBook,
    /// Momentum book at the end of the engagement.
    pub momentum: MomentumBook,
    /// Whether the books close.
    pub books: BookCheck,
    /// Work done.
    pub work: WorkCount,
    /// Findings that a person must see.
    pub flags: Vec<Finding>,
    /// What each installation condition does, worst first; empty where none was found or nothing was compared.
    pub conditions: Vec<ConditionFinding>,
    /// Number of values that the scenario left to defaults.
    pub assumptions: usize,
}

impl Summary {
    /// Whether a verdict stands: the books close and the vehicle touched the pole.
    pub fn judged(&self) -> bool {
        self.status == Status::Complete && self.ending != Ending::NoContact
    }

    /// The governing document's verdict of the blow.
    pub fn blow(&self) -> Blow {
        match self.verdicts.first() {
            Some(verdict) if self.judged() => verdict.blow(),
            _ => Blow::NotEvaluated,
        }
    }

    /// Its remarks on dents of roof and windscreen.
    pub fn dents(&self) -> Vec<DentRemark> {
        match self.verdicts.first() {
            Some(verdict) if self.judged() => verdict.dents(),
            _ => Vec::new(),
        }
    }
}

/// The flight and what it changes for the occupant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FlightReport {
    /// Contacts, dents, places of rest, what is swept, energies.
    pub event: Flight,
    /// Speed of the vehicle 12 m behind the point of impact, m/s; null where the record does not reach that far.
    pub exit_speed_mps: Option<f64>,
    /// The occupant numbers with the vehicle rolling on alone after the engagement, for comparison.
    pub without: Option<WithoutFlight>,
}

/// Occupant numbers of a record that leaves the flight out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WithoutFlight {
    /// Occupant impact velocity along and across, m/s.
    pub occupant_impact_velocity_mps: [f64; 2],
    /// Ridedown along and across, g.
    pub ridedown_g: [Option<f64>; 2],
    /// Theoretical head impact velocity, km/h.
    pub thiv_kmph: Option<f64>,
    /// Severity index of 50 ms means.
    pub asi: Option<f64>,
}

impl From<&OccupantRisk> for WithoutFlight {
    fn from(risk: &OccupantRisk) -> Self {
        let f = &risk.flail;
        Self {
            occupant_impact_velocity_mps: [f.oiv_longitudinal_mps, f.oiv_lateral_mps],
            ridedown_g: [&f.ridedown_longitudinal, &f.ridedown_lateral]
                .map(|peak| peak.as_ref().map(|p| p.value_g)),
            thiv_kmph: risk.head.thiv_kmph,
            asi: risk.asi_50ms_mean.as_ref().map(|a| a.asi),
        }
    }
}

/// Whether a run can be relied on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Both books closed.
    Complete,
    /// A book did not close: the numbers are kept, no verdict stands.
    Failed,
}

/// The governing document's verdict in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Headline {
    /// Name of the criteria set; null where the scenario names none.
    pub set: Option<String>,
    /// Document and edition.
    pub document: Option<String>,
    /// Verdict of the blow: every check but those of dents of roof and windscreen; null in folders of older programs. What
    /// is told first; `not-evaluated` for a failed run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blow: Option<Blow>,
    /// Outcome of all checks together, dents too; `not-evaluated` for a failed run.
    pub outcome: Outcome,
    /// The blow in a sentence, and a remark on each dent.
    pub sentence: String,
    /// Key of the evaluated check of the blow with the least margin.
    pub closest_check: Option<String>,
    /// Its margin: 1 - |value| / maximum.
    pub closest_margin_fraction: Option<f64>,
}

/// What struck what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ImpactFacts {
    /// Vehicle class.
    pub vehicle_class: String,
    /// Mass of the vehicle, kg.
    pub vehicle_mass_kg: f64,
    /// Speed at first touch, m/s.
    pub speed_mps: f64,
    /// Heading, anticlockwise from the direction of traffic, rad.
    pub heading_rad: f64,
    /// Direction of the velocity, rad.
    pub velocity_direction_rad: f64,
    /// Struck face: `front`, `left-side` or `right-side`.
    pub face: String,
    /// Where the pole meets the face, m (front: left of the centre line; side: ahead of the centre of mass).
    pub offset_m: f64,
    /// Preload of each bolt, N.
    pub preload_n: f64,
    /// Number of bolts.
    pub bolt_count: usize,
}

/// Instants, s after first touch; null where the event did not happen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Times {
    /// The plates have begun to slide: by 1 mm at a bolt.
    pub slip_onset_s: Option<f64>,
    /// Release of the last bolt.
    pub release_s: Option<f64>,
    /// A free occupant has crossed the flail space (0.6 m ahead or 0.3 m to the side) during the engagement.
    pub occupant_met_s: Option<f64>,
    /// Until when the velocity change is counted: the last touch of face and pole after which they have parted, or the
    /// occupant's meeting the interior where that comes first (a base that lets go only).
    pub contact_end_s: Option<f64>,
    /// End of the engagement.
    pub engagement_end_s: f64,
    /// End of the vehicle's record.
    pub record_end_s: f64,
}

/// Speed lost along the initial direction of travel, m/s.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VelocityChange {
    /// At release of the last bolt.
    pub at_release_mps: Option<f64>,
    /// The velocity change that is counted: until vehicle and support have parted, or until a free occupant has met the
    /// interior where that comes first (a base that lets go only).
    pub at_contact_end_mps: Option<f64>,
    /// At the end of the engagement.
    pub at_engagement_end_mps: f64,
    /// At the end of the vehicle's record (tyres included); null without a record.
    pub at_record_end_mps: Option<f64>,
}

/// Struck face and pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Contact {
    /// Largest contact force, N.
    pub peak_force_n: f64,
    /// When, s.
    pub peak_force_time_s: f64,
    /// Impulse along the initial direction of travel, N.s.
    pub impulse_ns: f64,
    /// Largest crush over all bands, m.
    pub peak_crush_m: f64,
    /// Largest crush until the plates had begun to slide, m.
    pub crush_at_slip_onset_m: Option<f64>,
    /// Largest crush until the release of the last bolt, m.
    pub crush_at_release_m: Option<f64>,
    /// Permanent crush of each band from low to high, m.
    pub permanent_crush_m: Vec<f64>,
    /// Depth of the dent in the tube wall, m.
    pub dent_m: f64,
    /// Largest bending moment at the foot over the plastic moment there.
    pub foot_moment_ratio: f64,
    /// Largest bending moment at the contact height over the plastic moment there.
    pub contact_moment_ratio: f64,
}

/// What raised the tension of a bolt most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TensionCause {
    /// It did not rise.
    None,
    /// The couple of the blow opened the plates at the bolt before they had begun to slide.
    Blow,
    /// The foot turned while the plates slid, or the bolt had to climb or bear on what was found there.
    Sliding,
}

impl TensionCause {
    /// In words that go on from "largest rise 3 % at bolt 2, ".
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "nothing raised it",
            Self::Blow => "pried by the couple of the blow before the plates slid",
            Self::Sliding => "pried as the foot turned while the plates slid",
        }
    }
}

/// Slip joint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Joint {
    /// Largest rise of a bolt's tension over the preload, fraction.
    pub tension_rise_fraction: f64,
    /// Which bolt, from 1.
    pub tension_rise_bolt: usize,
    /// When, s.
    pub tension_rise_time_s: f64,
    /// What raised it.
    pub tension_rise_cause: TensionCause,
    /// Bolts.
    pub bolts: Vec<BoltOutcome>,
    /// Anchor-bar stubs and conduit in the slip plane.
    pub bars: Vec<BarOutcome>,
    /// Largest force of soil behind the foot, N.
    pub soil_peak_n: f64,
    /// Largest movement of the foundation's top, m.
    pub foundation_peak_m: f64,
}

/// Check of the clamped base, pushed slowly by dead load and wind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RetentionCheck {
    /// Whether service and strength are met.
    pub holds: bool,
    /// Clamp of a bolt that was counted on: that of the loosest bolt as found, N.
    #[serde(default)]
    pub clamp_n: f64,
    /// Whether a nut strips at the clamp it was tightened to, because too few of its threads are engaged: what the wind
    /// pulls at the bolt then comes off the clamp in full.
    #[serde(default)]
    pub nut_strips: bool,
    /// The grades, each with its wind: service, strength, survival.
    pub grades: Vec<GradeCheck>,
    /// Smallest washer force over preload in the design wind, over all bolts; 0 where one gaps.
    pub smallest_gap_margin_fraction: f64,
    /// Largest wind shear at the slip plane, N.
    pub wind_shear_n: f64,
    /// Largest wind moment at the slip plane, N.m.
    pub wind_moment_nm: f64,
    /// Dead-load moment at the slip plane, N.m.
    pub dead_moment_nm: f64,
    /// Largest torsion at the slip plane, N.m.
    pub torsion_nm: f64,
    /// Per bolt.
    pub bolts: Vec<BoltHold>,
}

/// One grade of the check in the wind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GradeCheck {
    /// `service`, `strength` or `survival`.
    pub grade: Grade,
    /// Its wind, 3 s gust at 10 m, m/s.
    pub wind_mps: f64,
    /// Whether the base meets it.
    pub holds: bool,
    /// Wind pressure that the base bears by this grade over that of the grade's wind, less one; null where no wind that
    /// was tried ends it.
    pub margin_fraction: Option<f64>,
    /// What ends it first: `gaps`, `slides`, `travels`, `yields`, `strips` or `comes-apart`; null where nothing did.
    pub by: Option<Event>,
    /// Bolt at which it ends, from 1; null where it is no single bolt.
    pub bolt: Option<usize>,
    /// The way that wind blows, rad.
    pub wind_azimuth_rad: f64,
}

impl From<&Graded> for GradeCheck {
    fn from(g: &Graded) -> Self {
        Self {
            grade: g.grade,
            wind_mps: g.wind_mps,
            holds: g.holds,
            margin_fraction: g.margin,
            by: g.by,
            bolt: g.bolt,
            wind_azimuth_rad: g.azimuth_rad,
        }
    }
}

/// One bolt in the design wind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BoltHold {
    /// Number, from 1.
    pub number: usize,
    /// Smallest washer force over all wind directions, N; 0 where it gaps.
    pub washer_force_n: f64,
    /// Wind direction that gives it, rad.
    pub wind_azimuth_rad: f64,
    /// Washer force over preload.
    pub gap_margin_fraction: f64,
}

impl From<&BoltRetention> for BoltHold {
    fn from(b: &BoltRetention) -> Self {
        BoltHold {
            number: b.number,
            washer_force_n: b.washer_force_n,
            wind_azimuth_rad: b.wind_azimuth_rad,
            gap_margin_fraction: b.gap_margin,
        }
    }
}

impl RetentionCheck {
    /// What came out for a grade.
    pub fn graded(&self, grade: Grade) -> Option<&GradeCheck> {
        self.grades.iter().find(|g| g.grade == grade)
    }

    /// The check, with the clamp that was counted on, N, and whether a nut strips at its clamp.
    pub fn new(r: &Retention, clamp_n: f64, nut_strips: bool) -> Self {
        RetentionCheck {
            holds: r.holds,
            clamp_n,
            nut_strips,
            grades: r.grades.iter().map(GradeCheck::from).collect(),
            smallest_gap_margin_fraction: r
                .bolts
                .iter()
                .map(|b| b.gap_margin)
                .reduce(f64::min)
                .unwrap_or(0.0),
            wind_shear_n: r.wind_shear_n,
            wind_moment_nm: r.wind_moment_nm,
            dead_moment_nm: r.dead_moment_nm,
            torsion_nm: r.torsion_nm,
            bolts: r.bolts.iter().map(BoltHold::from).collect(),
        }
    }
}

/// Residuals of the books against their limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BookCheck {
    /// |energy residual| over the initial kinetic energy.
    pub energy_residual_fraction: f64,
    /// Its limit.
    pub energy_limit_fraction: f64,
    /// Whether the energy book closes.
    pub energy_closed: bool,
    /// Largest component of the momentum residual over the initial momentum.
    pub momentum_residual_fraction: f64,
    /// Its limit.
    pub momentum_limit_fraction: f64,
    /// Whether the momentum book closes.
    pub momentum_closed: bool,
    /// Both.
    pub books_closed: bool,
}

/// A finding that a person must see.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// One word, defined in `docs/results.md`.
    pub word: String,
    /// A plain sentence.
    pub sentence: String,
    /// What it costs: the velocity change as found and with the cause put right; null where no installation
    /// condition has to do with it or nothing was compared.
    pub consequence: Option<String>,
}
