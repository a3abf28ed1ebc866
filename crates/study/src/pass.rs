//! One scenario through all crates: impact, retention, occupant numbers, verdicts, summary.
//!
//! It only passes data on; what each crate needs from the others is written here and nowhere else. Results
//! folders and the many runs of a study go through the same lines: only the histories differ.

use giveway_impact::flight::outcome::{Dent, Zone};
use giveway_impact::outcome::{Ending, Engagement};
use giveway_impact::{Prepared, RecordRequest, Workspace};
use giveway_mechanics::retention::Retention;
use giveway_occupant::en12767::ClassSpeed;
use giveway_occupant::{Estimate, Inputs, MotionRanges, OccupantRisk, SetVerdict, assess, judge};
use giveway_results::{ConditionFinding, Evidence, Summary, build_summary};
use giveway_scenario::model::{RangeUse, Scenario};

use crate::counterfactual::compare_with;
use crate::error::StudyError;
use crate::motion::{change_by_mps, change_in_contact_mps, motion_of};
use crate::numbers::Numbers;
use crate::predictive::{motion_ranges, sizes};
use crate::supports::Supports;

/// A computed scenario.
#[derive(Debug)]
pub struct Computed {
    /// The engagement with its histories.
    pub engagement: Engagement,
    /// Everything in numbers.
    pub summary: Summary,
}

/// What is wanted of a run besides its numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    /// Time histories, instants and the frames of the moving picture.
    pub histories: bool,
    /// Occupant numbers also with the vehicle rolling on alone, where the pole is followed.
    pub without_pole: bool,
    /// For each installation condition the same impact with it put right and with it alone.
    pub conditions: bool,
    /// Whether predictive ranges are computed where the scenario wants them.
    pub ranges: bool,
    /// How many values the scenario left to defaults; it stands in the summary.
    pub assumptions: usize,
}

impl Wanted {
    /// What a results folder holds of this scenario.
    pub fn folder(scenario: &Scenario, assumptions: usize) -> Self {
        Self {
            histories: scenario.output.history || scenario.output.figures,
            without_pole: true,
            conditions: true,
            ranges: true,
            assumptions,
        }
    }
}

/// Computes a scenario on supports and in memory that are used again from run to run. A summary has the same digits whatever
/// else is wanted, but what is not wanted is not in it.
///
/// # Errors
/// What could not be computed of the scenario itself; a comparison of conditions that could not be computed stands in the
/// summary with its reason.
pub fn compute_in(
    scenario: &Scenario,
    supports: &Supports,
    workspace: &mut Workspace,
    wanted: Wanted,
) -> Result<Computed, StudyError> {
    let prepared = supports.prepare(scenario)?;
    let request = RecordRequest {
        trace: wanted.histories,
        rollout: true,
    };
    let retention = prepared.retention()?;
    let mut pass = Pass::run(
        &prepared,
        request,
        workspace,
        wanted.without_pole,
        retention,
    )?;
    if wanted.conditions && !scenario.as_found.present().is_empty() {
        let as_found = Numbers::of(&pass.summary(&prepared, &[], wanted.assumptions));
        // The comparisons are of points.
        pass.conditions = compare_with(scenario, supports, Some(Ok(as_found))).findings;
    }
    if wanted.ranges {
        pass.ranged = pass.with_ranges(&prepared);
    }
    let summary = pass.summary(&prepared, &pass.conditions, wanted.assumptions);
    Ok(Computed {
        engagement: pass.engagement,
        summary,
    })
}

/// Computes a scenario once. `assumptions` is the number of values that the scenario left to defaults.
///
/// # Errors
/// What could not be computed.
pub fn compute(scenario: &Scenario, assumptions: usize) -> Result<Computed, StudyError> {
    let wanted = Wanted {
        conditions: false,
        ..Wanted::folder(scenario, assumptions)
    };
    compute_in(scenario, &Supports::new(), &mut Workspace::new(), wanted)
}

/// Computes a scenario and, for each installation condition found, the same impact with it put right and with it
/// alone; the summary carries both. Without conditions it is [`compute`]. A comparison that could not be computed
/// stands in the summary with its reason.
///
/// # Errors
/// What could not be computed of the scenario itself.
pub fn compute_with_conditions(
    scenario: &Scenario,
    assumptions: usize,
) -> Result<Computed, StudyError> {
    let wanted = Wanted::folder(scenario, assumptions);
    compute_in(scenario, &Supports::new(), &mut Workspace::new(), wanted)
}

/// The numbers of a run without its histories; equal to those of [`compute`] to the last bit. Verdicts are those of points:
/// predictive ranges would cost more than the run.
///
/// # Errors
/// What could not be computed.
pub fn numbers(prepared: &Prepared) -> Result<Numbers, StudyError> {
    numbers_in(prepared, &mut Workspace::new())
}

/// As [`numbers`], with the same digits, in memory that is used again from run to run.
///
/// # Errors
/// What could not be computed.
pub fn numbers_in(prepared: &Prepared, workspace: &mut Workspace) -> Result<Numbers, StudyError> {
    Ok(Numbers::of(&point(prepared, workspace, true)?))
}

/// The summary of a run without its histories. Without `wind` it lacks the check in the wind, which costs as much as the blow.
pub(crate) fn point(
    prepared: &Prepared,
    workspace: &mut Workspace,
    wind: bool,
) -> Result<Summary, StudyError> {
    let request = RecordRequest {
        trace: false,
        rollout: true,
    };
    let retention = if wind { prepared.retention()? } else { None };
    let pass = Pass::run(prepared, request, workspace, false, retention)?;
    let summary = pass.summary(prepared, &[], 0);
    workspace.take_back(pass.engagement.record);
    Ok(summary)
}

/// What the crates said about one run.
struct Pass {
    engagement: Engagement,
    retention: Option<Retention>,
    occupant: OccupantRisk,
    verdicts: Vec<SetVerdict>,
    /// The verdicts with predictive ranges, where they are asked for.
    ranged: Option<Vec<SetVerdict>>,
    /// Occupant numbers with the vehicle rolling on alone, where the pole was followed.
    without: Option<OccupantRisk>,
    /// What each installation condition does, where that is wanted.
    conditions: Vec<ConditionFinding>,
}

impl Pass {
    /// `alone`: also the occupant numbers of the vehicle rolling on alone, where the pole is followed.
    fn run(
        prepared: &Prepared,
        request: RecordRequest,
        workspace: &mut Workspace,
        alone: bool,
        retention: Option<Retention>,
    ) -> Result<Self, StudyError> {
        let (engagement, record) = if alone {
            prepared.engage_both(request, workspace)?
        } else {
            (prepared.engage_in(request, workspace)?, None)
        };
        let (occupant, verdicts) = judged(prepared, &engagement)?;
        let without = record.map(|record| {
            let motion = motion_of(prepared.scenario(), &record);
            let change = change_by_mps(engagement.contact_end_time_s, &motion);
            assess(&motion, change)
        });
        Ok(Self {
            engagement,
            retention,
            occupant,
            verdicts,
            ranged: None,
            without: without.transpose()?,
            conditions: Vec::new(),
        })
    }

    /// The verdicts with predictive ranges; none where the scenario wants none or they cannot be told.
    fn with_ranges(&self, prepared: &Prepared) -> Option<Vec<SetVerdict>> {
        let scenario = prepared.scenario();
        let by_ranges = match scenario.criteria.ranges {
            RangeUse::None => return None,
            RangeUse::Tell => false,
            RangeUse::Decide => true,
        };
        let e = &self.engagement;
        let flail = &self.occupant.flail;
        let change = e
            .velocity_change_at_contact_end_mps
            .unwrap_or(e.velocity_change_at_end_mps);
        let ridedown = [flail.ridedown_longitudinal, flail.ridedown_lateral];
        let [along, across] = ridedown.map(|r| r.map(|r| r.value_g));
        let found = [
            Some(change),
            Some(flail.oiv_longitudinal_mps),
            Some(flail.oiv_lateral_mps),
            along,
            across,
        ];
        let mut inputs = inputs(prepared, e, &self.occupant);
        inputs.ranges = motion_ranges(prepared, &sizes(found))?;
        inputs.by_ranges = by_ranges;
        Some(judge(&self.occupant, &inputs, &scenario.criteria))
    }

    fn summary(
        &self,
        prepared: &Prepared,
        conditions: &[ConditionFinding],
        assumptions: usize,
    ) -> Summary {
        let evidence = Evidence {
            engagement: &self.engagement,
            support: prepared.properties(),
            retention: self.retention.as_ref(),
            occupant: &self.occupant,
            occupant_without: self.without.as_ref(),
            verdicts: self.ranged.as_ref().unwrap_or(&self.verdicts),
            conditions,
            assumptions,
        };
        build_summary(prepared.scenario(), &evidence)
    }
}

/// Occupant numbers of the vehicle's record, and the verdicts of the scenario's documents.
fn judged(
    prepared: &Prepared,
    engagement: &Engagement,
) -> Result<(OccupantRisk, Vec<SetVerdict>), StudyError> {
    let scenario = prepared.scenario();
    let motion = motion_of(scenario, &engagement.record);
    let risk = assess(&motion, change_in_contact_mps(engagement, &motion))?;
    let inputs = inputs(prepared, engagement, &risk);
    let verdicts = judge(&risk, &inputs, &scenario.criteria);
    Ok((risk, verdicts))
}

/// What the verdict needs besides the occupant numbers.
fn inputs(prepared: &Prepared, engagement: &Engagement, risk: &OccupantRisk) -> Inputs {
    let scenario = prepared.scenario();
    let flight = engagement.flight.as_ref();
    let stopped = matches!(engagement.ending, Ending::Held | Ending::FixedObstacle);
    Inputs {
        impact_speed_mps: Some(scenario.impact.speed_mps),
        vehicle_mass_kg: Some(scenario.vehicle.mass_kg),
        velocity_change_at_release_mps: engagement.velocity_change_at_release_mps,
        velocity_change_at_contact_end_mps: engagement.velocity_change_at_contact_end_mps,
        velocity_change_after_later_blows_mps: flight.and_then(|f| {
            let blows = f.contacts.iter().filter(|c| c.zone == Zone::Face);
            let impulse_ns: f64 = blows.map(|c| c.impulse_ns).sum();
            let first = engagement.velocity_change_at_contact_end_mps?;
            (impulse_ns > 0.0).then(|| first + impulse_ns / scenario.vehicle.mass_kg)
        }),
        velocity_change_at_engagement_end_mps: Some(engagement.velocity_change_at_end_mps),
        // What is left standing is the lower plate, whose top is the slip plane.
        stub_height_m: Some(slip_plane_height(scenario)),
        support_mass_kg: Some(prepared.properties().mass_kg),
        support_height_m: Some(height_above_ground(scenario)),
        // The record's own extremes count.
        largest_roll_rad: None,
        largest_pitch_rad: None,
        // Estimates, known only where the pole is followed.
        roof_crush_m: flight.map(|f| estimate(&f.roof)),
        windscreen_crush_m: flight.map(|f| estimate(&f.windscreen)),
        exit_speed_mps: risk.speed_after_12m_mps.or(stopped.then_some(0.0)),
        class_speed: ClassSpeed::near(scenario.impact.speed_mps),
        ranges: MotionRanges::default(),
        by_ranges: false,
    }
}

/// A dent as it is judged: what remains, with its range.
fn estimate(dent: &Dent) -> Estimate {
    Estimate {
        value: dent.remaining_m,
        low: dent.low_m,
        high: dent.high_m,
    }
}

/// Height of the lower plate's top above the ground, m: as found where it was measured.
fn slip_plane_height(scenario: &Scenario) -> f64 {
    scenario
        .as_found
        .slip_plane_height_m
        .unwrap_or(scenario.site.slip_plane_height_m)
}

/// Highest point of pole and arms above the ground, m.
fn height_above_ground(scenario: &Scenario) -> f64 {
    let support = &scenario.support;
    let arms = support
        .arms
        .iter()
        .map(|arm| arm.attachment_height_m + arm.rise_m.max(0.0));
    slip_plane_height(scenario) + arms.fold(support.pole_length_m, f64::max)
}
