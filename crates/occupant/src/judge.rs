//! Judges the occupant numbers by the documents that the scenario names.
//!
//! Each document gives a list of checks from the table in [`crate::limits`] (EN 12767: [`crate::en12767`]). A check
//! that cannot be evaluated says why; it never counts as passed. Where the occupant meets no surface, the impact
//! velocity is the vehicle's velocity change during contact and the ridedown is "no contact".
//!
//! References
//! - See [`crate::limits`].

use giveway_scenario::model::{Criteria, CriteriaSet, LimitOverride};

use crate::KMPH_PER_MPS;
use crate::en12767::{self, ClassSpeed};
use crate::flail::{RidedownStatus, VelocityBasis};
use crate::limits::{LIMITS, Limit, OVERRIDE_KEYS, TESTS, document};
use crate::means::Extreme;
use crate::risk::OccupantRisk;
use crate::verdict::{
    CAUTION, Check, Mark, Outcome, SetVerdict, VERIFY, grade, grade_range, overall, sentence,
};

/// Said of a number of the motion whose predictive range holds the maximum.
const OPEN: &str = "the maximum lies within the predictive range: the run cannot decide";
/// Said of a value that was judged, where the range that is told beside it holds the maximum.
const BESIDE: &str =
    "the value is judged; the maximum lies within the range that tests in print leave it";
/// Said of an estimate whose range holds the maximum.
const UNDECIDED: &str = "the maximum lies within the range of the estimate, which rests on an assumed law: it cannot decide";

/// What the verdict needs besides the occupant numbers. Unknown quantities are none: their checks say so.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inputs {
    /// Speed of the impact, m/s.
    pub impact_speed_mps: Option<f64>,
    /// Mass of the vehicle, kg.
    pub vehicle_mass_kg: Option<f64>,
    /// Velocity change along the initial travel when the last bolt was released, m/s.
    pub velocity_change_at_release_mps: Option<f64>,
    /// The same when contact with the support ended, m/s.
    pub velocity_change_at_contact_end_mps: Option<f64>,
    /// The same and what later blows of the support on the vehicle's face added in flight; none where there were none.
    pub velocity_change_after_later_blows_mps: Option<f64>,
    /// The same at the end of the engagement, m/s.
    pub velocity_change_at_engagement_end_mps: Option<f64>,
    /// Height of the stub left standing, above a 1.5 m chord, m.
    pub stub_height_m: Option<f64>,
    /// Mass of the breakaway support, kg.
    pub support_mass_kg: Option<f64>,
    /// Height of the breakaway support, m.
    pub support_height_m: Option<f64>,
    /// Largest roll over the whole event, rad; none = that of the record.
    pub largest_roll_rad: Option<f64>,
    /// Largest pitch over the whole event, rad; none = that of the record.
    pub largest_pitch_rad: Option<f64>,
    /// Roof crush, m.
    pub roof_crush_m: Option<Estimate>,
    /// Windscreen deformation, m.
    pub windscreen_crush_m: Option<Estimate>,
    /// Speed 12 m behind the impact point, m/s; 0 for a vehicle that stops before.
    pub exit_speed_mps: Option<f64>,
    /// Speed class of EN 12767.
    pub class_speed: Option<ClassSpeed>,
    /// Predictive ranges of the motion, where they are known.
    pub ranges: MotionRanges,
    /// Whether those ranges are judged; otherwise they are told, and the values are judged.
    pub by_ranges: bool,
}

/// Predictive ranges of numbers of the motion: nine of ten, of magnitudes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MotionRanges {
    /// Velocity change, m/s.
    pub velocity_change_mps: Option<[f64; 2]>,
    /// Occupant impact velocity along and across, m/s.
    pub impact_velocity_mps: [Option<[f64; 2]>; 2],
    /// Ridedown along and across, g.
    pub ridedown_g: [Option<[f64; 2]>; 2],
}

/// A quantity that rests on an assumed law, with its range, in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Least it may be.
    pub low: f64,
    /// Most it may be.
    pub high: f64,
}

/// A value or the reason why there is none.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Measured {
    pub(crate) value: Option<f64>,
    pub(crate) range: Option<[f64; 2]>,
    pub(crate) remark: Option<String>,
    /// Whether it comes from the model's motion.
    pub(crate) of_the_motion: bool,
}

impl Measured {
    pub(crate) fn value(value: f64) -> Self {
        Self {
            value: Some(value),
            range: None,
            remark: None,
            of_the_motion: true,
        }
    }

    pub(crate) fn with_remark(value: f64, remark: &str) -> Self {
        Self {
            value: Some(value),
            range: None,
            remark: Some(remark.to_owned()),
            of_the_motion: true,
        }
    }

    pub(crate) fn missing(reason: &str) -> Self {
        Self {
            value: None,
            range: None,
            remark: Some(reason.to_owned()),
            of_the_motion: false,
        }
    }

    /// With a predictive range, where there is a value and none of its own.
    fn ranged(mut self, range: Option<[f64; 2]>) -> Self {
        if self.value.is_some() && self.range.is_none() {
            self.range = range.filter(|r| r.iter().all(|x| x.is_finite()));
        }
        self
    }

    fn given(value: Option<f64>, reason: &str) -> Self {
        value.map_or_else(
            || Self::missing(reason),
            |v| Self {
                of_the_motion: false,
                ..Self::value(v)
            },
        )
    }

    fn estimated(estimate: Option<Estimate>, reason: &str) -> Self {
        estimate.map_or_else(
            || Self::missing(reason),
            |e| Self {
                value: Some(e.value),
                range: Some([e.low, e.high]),
                remark: None,
                of_the_motion: true,
            },
        )
    }
}

/// The verdicts of the criteria sets of a scenario, in its order; the first one governs.
pub fn judge(risk: &OccupantRisk, inputs: &Inputs, criteria: &Criteria) -> Vec<SetVerdict> {
    criteria
        .sets
        .iter()
        .map(|&set| judge_set(set, risk, inputs, &criteria.overrides))
        .collect()
}

fn judge_set(
    set: CriteriaSet,
    risk: &OccupantRisk,
    inputs: &Inputs,
    overrides: &[LimitOverride],
) -> SetVerdict {
    let (checks, en12767) = if set == CriteriaSet::En12767 {
        let (checks, classes) = en12767::checks(risk, inputs, overrides);
        (checks, Some(classes))
    } else {
        let rows = LIMITS.iter().filter(|row| row.sets.contains(&set));
        let checks = rows
            .map(|row| {
                let (measured, change) =
                    (measure(row.key, risk, inputs), override_of(row, overrides));
                let range = range_of(row.key, &inputs.ranges);
                if inputs.by_ranges {
                    finish(row, measured.ranged(range), change)
                } else {
                    finish(row, measured, change).beside(range)
                }
            })
            .collect();
        (checks, None)
    };
    let checks: Vec<Check> = checks
        .into_iter()
        .map(|mut check: Check| {
            check.advice = check.decided_by_recalled().then(|| VERIFY.to_owned());
            check
        })
        .collect();
    let outcome = overall(&checks);
    SetVerdict {
        set: set.name().to_owned(),
        document: document(set).title.to_owned(),
        sentence: sentence(&checks),
        notes: notes(set, inputs, overrides, outcome, &checks),
        checks,
        en12767,
        outcome,
        caution: CAUTION.to_owned(),
    }
}

impl Check {
    /// With a predictive range told beside the value that was judged, where there is one.
    fn beside(mut self, range: Option<[f64; 2]>) -> Self {
        let range = range.filter(|r| r.iter().all(|x| x.is_finite()));
        if self.point_estimate && range.is_some() {
            self.value_range = range;
            if self.open() {
                self.remark = Some(match self.remark.take() {
                    Some(before) => format!("{before}; {BESIDE}"),
                    None => BESIDE.to_owned(),
                });
            }
        }
        self
    }
}

/// The override of a row, the last one if there are several.
pub(crate) fn override_of<'a>(
    row: &Limit,
    overrides: &'a [LimitOverride],
) -> Option<&'a LimitOverride> {
    overrides
        .iter()
        .rev()
        .find(|o| Some(o.key.as_str()) == row.override_key)
}

/// Compares a measured value with its limit or with the override. An override replaces the maximum; the document's
/// preferred limit stays only where it is stricter.
pub(crate) fn finish(row: &Limit, measured: Measured, change: Option<&LimitOverride>) -> Check {
    let ((max, mark), source) = match change {
        None => (row.max, row.source.to_owned()),
        Some(o) => (
            (o.value, Mark::Scenario),
            format!(
                "{} (given in the scenario instead of: {})",
                o.source, row.source
            ),
        ),
    };
    let preferred = row.preferred.filter(|(value, _)| *value < max);
    let mut check = Check {
        key: row.key.to_owned(),
        title: row.title.to_owned(),
        unit: row.unit.to_owned(),
        value: measured.value.filter(|v| v.is_finite()),
        value_range: measured.range.filter(|r| r.iter().all(|v| v.is_finite())),
        point_estimate: false,
        limit_preferred: preferred.map(|(value, _)| value),
        limit_max: Some(max),
        source,
        mark,
        preferred_mark: preferred.map(|(_, mark)| mark),
        margin_fraction: None,
        outcome: Outcome::NotEvaluated,
        essential: row.essential,
        remark: measured.remark,
        advice: None,
    };
    let Some(value) = measured.value else {
        return check;
    };
    let graded = match measured.range {
        Some(range) => grade_range(value, range, check.limit_preferred, max),
        None => grade(value, check.limit_preferred, max),
    };
    match graded {
        Some((outcome, margin)) => {
            check.outcome = outcome;
            check.margin_fraction = Some(margin);
            check.point_estimate = measured.of_the_motion && check.value_range.is_none();
            if check.undecided() {
                check.remark = Some(match check.remark.take() {
                    Some(before) => format!("{before}; {OPEN}"),
                    None if range_of(row.key, &ALL).is_some() => OPEN.to_owned(),
                    None => UNDECIDED.to_owned(),
                });
            }
        }
        None => {
            check.remark = Some(format!(
                "value {value} cannot be compared with limit {max}: both must be finite and the limit above zero"
            ));
        }
    }
    check
}

fn measure(key: &str, risk: &OccupantRisk, inputs: &Inputs) -> Measured {
    match key {
        "oiv_longitudinal_mps" => impact_velocity(risk, risk.flail.oiv_longitudinal_mps),
        "oiv_lateral_mps" => impact_velocity(risk, risk.flail.oiv_lateral_mps),
        "ridedown_longitudinal_g" => ridedown(risk, risk.flail.ridedown_longitudinal),
        "ridedown_lateral_g" => ridedown(risk, risk.flail.ridedown_lateral),
        "velocity_change_mps" => velocity_change(inputs),
        "stub_height_m" => Measured::given(inputs.stub_height_m, "the stub height is not known"),
        "support_mass_kg" => Measured::given(
            inputs.support_mass_kg,
            "the mass of the support is not known",
        ),
        "support_height_m" => Measured::given(
            inputs.support_height_m,
            "the height of the support is not known",
        ),
        "roll_rad" => Measured::given(
            inputs.largest_roll_rad.or(risk.largest_roll_rad),
            "the record has no attitude of the vehicle",
        ),
        "pitch_rad" => Measured::given(
            inputs.largest_pitch_rad.or(risk.largest_pitch_rad),
            "the record has no attitude of the vehicle",
        ),
        "roof_crush_m" => Measured::estimated(
            inputs.roof_crush_m,
            "crush of the roof by the falling support is not computed",
        ),
        "windscreen_crush_m" => Measured::estimated(
            inputs.windscreen_crush_m,
            "damage of the windscreen is not computed",
        ),
        _ => Measured::missing("no quantity of that name is computed"),
    }
}

/// The predictive range of a check's number.
fn range_of(key: &str, ranges: &MotionRanges) -> Option<[f64; 2]> {
    match key {
        "velocity_change_mps" => ranges.velocity_change_mps,
        "oiv_longitudinal_mps" => ranges.impact_velocity_mps[0],
        "oiv_lateral_mps" => ranges.impact_velocity_mps[1],
        "ridedown_longitudinal_g" => ranges.ridedown_g[0],
        "ridedown_lateral_g" => ranges.ridedown_g[1],
        _ => None,
    }
}

/// Every number that may have one.
const ALL: MotionRanges = MotionRanges {
    velocity_change_mps: Some([0.0; 2]),
    impact_velocity_mps: [Some([0.0; 2]); 2],
    ridedown_g: [Some([0.0; 2]); 2],
};

fn impact_velocity(risk: &OccupantRisk, value: f64) -> Measured {
    match risk.flail.basis {
        VelocityBasis::FlailSpace => Measured::value(value),
        VelocityBasis::ContactVelocityChange => Measured::with_remark(
            value,
            "no contact: the occupant reaches no surface in the record; the vehicle's velocity change during contact \
             with the support stands in",
        ),
    }
}

fn ridedown(risk: &OccupantRisk, extreme: Option<Extreme>) -> Measured {
    match (extreme, risk.flail.ridedown_status) {
        (Some(extreme), _) => Measured::value(extreme.value_g),
        (None, RidedownStatus::RecordTooShort) => {
            Measured::missing("less than 10 ms of the record is left after the occupant's contact")
        }
        (None, _) => Measured::missing("no contact"),
    }
}

/// The velocity change when vehicle and support had parted or the occupant had met the interior; while contact lasts, that at the end of the engagement.
fn velocity_change(inputs: &Inputs) -> Measured {
    let instants = [
        (
            inputs.velocity_change_at_contact_end_mps,
            "when vehicle and support had parted, or the occupant had met the interior before",
        ),
        (
            inputs.velocity_change_at_engagement_end_mps,
            "at the end of the engagement, contact lasting",
        ),
        (
            inputs.velocity_change_at_release_mps,
            "at the release of the last bolt, later ones unknown",
        ),
    ];
    instants
        .into_iter()
        .find_map(|(value, when)| {
            let value = value?;
            let more = inputs
                .velocity_change_after_later_blows_mps
                .filter(|later| *later > value)
                .map_or_else(String::new, |later| {
                    format!("; later blows of the support on the vehicle's face raise it to about {later:.2} m/s")
                });
            Some(Measured::with_remark(value, &format!("{when}{more}")))
        })
        .unwrap_or_else(|| Measured::missing("no velocity change is known"))
}

fn notes(
    set: CriteriaSet,
    inputs: &Inputs,
    overrides: &[LimitOverride],
    outcome: Outcome,
    checks: &[Check],
) -> Vec<String> {
    let mut list = Vec::new();
    list.extend(condition_note(set, inputs));
    for o in overrides
        .iter()
        .filter(|o| !OVERRIDE_KEYS.contains(&o.key.as_str()))
    {
        list.push(format!(
            "The override `{}` names no limit; known keys: {}.",
            o.key,
            OVERRIDE_KEYS.join(", ")
        ));
    }
    // what decided: the failing checks of a fail, the marginal ones of a marginal, else all that were evaluated
    let decided = |c: &&Check| match outcome {
        Outcome::Fail | Outcome::Marginal => c.outcome == outcome,
        Outcome::Pass | Outcome::NotEvaluated => true,
    };
    let recalled: Vec<String> = checks
        .iter()
        .filter(decided)
        .filter(|c| c.decided_by_recalled())
        .map(Check::name)
        .collect();
    if !recalled.is_empty() {
        list.push(format!(
            "Limits written from memory decided here; {VERIFY}: {}.",
            recalled.join(", ")
        ));
    }
    list
}

/// How the run differs from the nearest test of the document, if it does.
fn condition_note(set: CriteriaSet, inputs: &Inputs) -> Option<String> {
    let speed_kmph = inputs.impact_speed_mps? * KMPH_PER_MPS;
    let mass_kg = inputs.vehicle_mass_kg;
    // nearest in speed and mass, both relative
    let distance = |test: &crate::limits::DocumentTest| {
        let mass = mass_kg.map_or(0.0, |m| (m / test.mass_kg - 1.0).abs());
        (speed_kmph / test.speed_kmph - 1.0).abs() + mass
    };
    let nearest = TESTS
        .iter()
        .filter(|test| test.set == set)
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    let same_speed = (speed_kmph - nearest.speed_kmph).abs() <= 1.0;
    let tolerance_kg = nearest.mass_tolerance_kg.unwrap_or(0.0);
    let same_mass = mass_kg.is_none_or(|m| (m - nearest.mass_kg).abs() <= tolerance_kg);
    if same_speed && same_mass {
        return None;
    }
    let run_mass = mass_kg.map_or(String::new(), |m| format!("{m:.0} kg at "));
    Some(format!(
        "The nearest test of the document is {} with {:.0} kg at {:.0} km/h; this run has {run_mass}{speed_kmph:.1} km/h.",
        nearest.name, nearest.mass_kg, nearest.speed_kmph
    ))
}
