//! One scenario through all crates: impact, retention, occupant numbers, verdicts, summary.
//!
//! It only passes data on; what each crate needs from the others is written here and nowhere else.

use giveway_impact::outcome::{Ending, Engagement, SupportProperties};
use giveway_impact::{Prepared, RecordRequest};
use giveway_mechanics::retention::Retention;
use giveway_occupant::en12767::ClassSpeed;
use giveway_occupant::{Inputs, Motion, OccupantRisk, SetVerdict, assess, judge};
use giveway_results::{Evidence, Summary, build_summary};
use giveway_scenario::Loaded;
use giveway_scenario::model::Scenario;

/// A computed scenario.
#[derive(Debug)]
pub struct Computed {
    /// The engagement with its histories.
    pub engagement: Engagement,
    /// Everything in numbers.
    pub summary: Summary,
}

/// Computes a scenario.
///
/// # Errors
/// One sentence: what could not be computed.
pub fn compute(loaded: &Loaded) -> Result<Computed, String> {
    let scenario = &loaded.scenario;
    let prepared = Prepared::new(scenario).map_err(|e| e.to_string())?;
    let retention: Option<Retention> = prepared.retention().map_err(|e| e.to_string())?;
    let engagement = prepared
        .engage(RecordRequest {
            trace: scenario.output.history || scenario.output.figures,
            rollout: true,
        })
        .map_err(|e| e.to_string())?;
    let support = prepared.properties();
    let (occupant, verdicts) = judged(scenario, &engagement, support)?;
    let summary = build_summary(
        scenario,
        &Evidence {
            engagement: &engagement,
            support,
            retention: retention.as_ref(),
            occupant: &occupant,
            verdicts: &verdicts,
            assumptions: loaded.assumptions.len(),
        },
    );
    Ok(Computed {
        engagement,
        summary,
    })
}

/// Occupant numbers of the vehicle's record, and the verdicts of the scenario's documents.
fn judged(
    scenario: &Scenario,
    engagement: &Engagement,
    support: &SupportProperties,
) -> Result<(OccupantRisk, Vec<SetVerdict>), String> {
    let record = &engagement.record;
    let motion = Motion {
        interval_s: record.interval_s,
        initial_heading_rad: record.heading_rad,
        initial_velocity_mps: record.velocity_mps,
        head_m: [scenario.vehicle.head_x_m, scenario.vehicle.head_y_m],
        acceleration_mps2: &record.acceleration_mps2,
        yaw_rate_radps: &record.yaw_rate_radps,
        end_velocity_mps: &record.end_velocity_mps,
        position_m: &record.position_m,
        attitude_rad: &record.attitude_rad,
    };
    let in_contact = match engagement.contact_end_time_s {
        Some(end_s) => motion.velocity_change_by_mps(end_s),
        None => [0.0, 0.0],
    };
    let risk = assess(&motion, in_contact).map_err(|e| e.to_string())?;
    let stopped = matches!(engagement.ending, Ending::Held | Ending::FixedObstacle);
    let inputs = Inputs {
        impact_speed_mps: Some(scenario.impact.speed_mps),
        vehicle_mass_kg: Some(scenario.vehicle.mass_kg),
        velocity_change_at_release_mps: engagement.velocity_change_at_release_mps,
        velocity_change_at_contact_end_mps: engagement.velocity_change_at_contact_end_mps,
        velocity_change_at_engagement_end_mps: Some(engagement.velocity_change_at_end_mps),
        // What is left standing is the lower plate, whose top is the slip plane.
        stub_height_m: Some(scenario.site.slip_plane_height_m),
        support_mass_kg: Some(support.mass_kg),
        support_height_m: Some(height_above_ground(scenario)),
        // The record's own extremes count; the flight of the pole is not followed, so no roof or windscreen.
        largest_roll_rad: None,
        largest_pitch_rad: None,
        roof_crush_m: None,
        windscreen_crush_m: None,
        exit_speed_mps: risk.speed_after_12m_mps.or(stopped.then_some(0.0)),
        class_speed: ClassSpeed::near(scenario.impact.speed_mps),
    };
    let verdicts = judge(&risk, &inputs, &scenario.criteria);
    Ok((risk, verdicts))
}

/// Highest point of pole and arms above the ground, m.
fn height_above_ground(scenario: &Scenario) -> f64 {
    let support = &scenario.support;
    let arms = support
        .arms
        .iter()
        .map(|arm| arm.attachment_height_m + arm.rise_m.max(0.0));
    scenario.site.slip_plane_height_m + arms.fold(support.pole_length_m, f64::max)
}
