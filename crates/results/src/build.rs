//! Gathers one run into its summary and checks that its books close.

use giveway_impact::flight::outcome::Flight;
use giveway_impact::outcome::{BoltOutcome, Ending, Engagement, SupportProperties};
use giveway_mechanics::MODEL_VERSION;
use giveway_mechanics::clamp::tensile_load;
use giveway_mechanics::faults::engaged_load;
use giveway_mechanics::retention::Retention;
use giveway_occupant::{Blow, CAUTION, Check, OccupantRisk, Outcome, SetVerdict};
use giveway_scenario::model::Scenario;

use crate::conditions::{ConditionFinding, consequence};
use crate::summary::{
    BookCheck, Contact, Finding, FlightReport, Headline, ImpactFacts, Joint, RetentionCheck,
    SUMMARY_FORMAT, Status, Summary, TensionCause, Times, VelocityChange, WithoutFlight,
};

/// Largest energy residual over the initial kinetic energy of a run that can be relied on.
pub const ENERGY_LIMIT_FRACTION: f64 = 0.005;
/// Largest momentum residual over the initial momentum of a run that can be relied on.
pub const MOMENTUM_LIMIT_FRACTION: f64 = 0.001;

/// Everything that a summary is made of, besides the scenario.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The engagement.
    pub engagement: &'a Engagement,
    /// Mass properties of the support.
    pub support: &'a SupportProperties,
    /// Static check of the clamped base.
    pub retention: Option<&'a Retention>,
    /// Occupant numbers.
    pub occupant: &'a OccupantRisk,
    /// Occupant numbers of the record without the flight, where there was one and they were asked for.
    pub occupant_without: Option<&'a OccupantRisk>,
    /// Verdicts, the governing one first.
    pub verdicts: &'a [SetVerdict],
    /// What each installation condition does, worst first.
    pub conditions: &'a [ConditionFinding],
    /// Number of values that the scenario left to defaults.
    pub assumptions: usize,
}

/// Said instead of a verdict on a run whose books are open.
const BOOKS_OPEN: &str = "Not evaluated: the books of the run do not close.";
/// The record after the engagement.
const RECORD_BASIS: &str = "engagement, then the vehicle under its tyres (or its guide) alone; the flight of the pole is not followed";
/// The same with the flight.
const FLIGHT_BASIS: &str = "engagement, then the flight of the pole with its blows on the vehicle, then the vehicle under its tyres (or its guide) alone";

/// Gathers a run into its summary. A run whose books do not close gets the status `failed` and no verdict in
/// its headline; its numbers are kept.
pub fn build_summary(scenario: &Scenario, evidence: &Evidence) -> Summary {
    let e = evidence.engagement;
    let books = check_books(e);
    let status = if books.books_closed {
        Status::Complete
    } else {
        Status::Failed
    };
    let verdicts: Vec<SetVerdict> = if books.books_closed {
        evidence.verdicts.to_vec()
    } else {
        evidence.verdicts.iter().map(not_evaluated).collect()
    };
    let impact = &scenario.impact;
    let record_end_s = e.record.interval_s * e.record.acceleration_mps2.len() as f64;
    Summary {
        format: SUMMARY_FORMAT,
        title: scenario.title.clone(),
        model_version: MODEL_VERSION,
        status,
        ending: e.ending,
        headline: headline(&verdicts, &books, e.ending),
        caution: CAUTION.to_owned(),
        verdicts,
        impact: ImpactFacts {
            vehicle_class: scenario.vehicle.class.clone(),
            vehicle_mass_kg: scenario.vehicle.mass_kg,
            speed_mps: impact.speed_mps,
            heading_rad: impact.heading_rad,
            velocity_direction_rad: impact.velocity_direction_rad,
            face: impact.face.name().to_owned(),
            offset_m: impact.offset_m,
            preload_n: scenario.base.preload_n,
            bolt_count: scenario.base.bolt_count,
        },
        times: Times {
            slip_onset_s: e.slip_onset_time_s,
            release_s: e.release_time_s,
            occupant_met_s: e.occupant_met_time_s,
            contact_end_s: e.contact_end_time_s,
            engagement_end_s: e.end_time_s,
            record_end_s,
        },
        velocity_change: VelocityChange {
            at_release_mps: e.velocity_change_at_release_mps,
            at_contact_end_mps: e.velocity_change_at_contact_end_mps,
            at_engagement_end_mps: e.velocity_change_at_end_mps,
            at_record_end_mps: record_end_velocity_change(e),
        },
        contact: Contact {
            peak_force_n: e.peak_force_n,
            peak_force_time_s: e.peak_force_time_s,
            impulse_ns: e.contact_impulse_ns,
            peak_crush_m: e.peak_crush_m,
            crush_at_slip_onset_m: e.slip_onset_crush_m,
            crush_at_release_m: e.crush_at_release_m,
            permanent_crush_m: e.permanent_crush_m.clone(),
            dent_m: e.dent_m,
            foot_moment_ratio: e.foot_moment_ratio,
            contact_moment_ratio: e.contact_moment_ratio,
        },
        joint: Joint {
            tension_rise_fraction: e.tension_rise,
            tension_rise_bolt: e.tension_rise_bolt,
            tension_rise_time_s: e.tension_rise_time_s,
            tension_rise_cause: tension_cause(e),
            bolts: e.bolts.clone(),
            bars: e.bars.clone(),
            soil_peak_n: e.soil_peak_n,
            foundation_peak_m: e.foundation_peak_m,
        },
        fold: e.fold.clone(),
        kink: e.kink.clone(),
        flight: e.flight.as_ref().map(|event| FlightReport {
            event: Flight {
                frames: Vec::new(),
                ..event.clone()
            },
            exit_speed_mps: evidence.occupant.speed_after_12m_mps,
            without: evidence.occupant_without.map(WithoutFlight::from),
        }),
        record_basis: if e.flight.is_some() {
            FLIGHT_BASIS
        } else {
            RECORD_BASIS
        }
        .to_owned(),
        occupant: evidence.occupant.clone(),
        retention: evidence
            .retention
            .map(|r| wind_check(r, scenario, &e.bolts)),
        support: evidence.support.clone(),
        energy: e.energy.clone(),
        momentum: e.momentum.clone(),
        books,
        work: e.work.clone(),
        flags: e
            .flags
            .iter()
            .map(|f| Finding {
                word: f.word.to_owned(),
                sentence: f.sentence.clone(),
                consequence: consequence(f.word, evidence.conditions),
            })
            .collect(),
        conditions: evidence.conditions.to_vec(),
        assumptions: evidence.assumptions,
    }
}

fn tension_cause(e: &Engagement) -> TensionCause {
    if e.tension_rise <= 0.0 {
        return TensionCause::None;
    }
    match e.slip_onset_time_s {
        Some(onset) if e.tension_rise_time_s >= onset => TensionCause::Sliding,
        _ => TensionCause::Blow,
    }
}

/// A verdict without any outcome: the numbers stay, what was said of them goes.
fn not_evaluated(verdict: &SetVerdict) -> SetVerdict {
    let checks = verdict.checks.iter().map(|check| Check {
        margin_fraction: None,
        outcome: Outcome::NotEvaluated,
        remark: Some(BOOKS_OPEN.to_owned()),
        advice: None,
        ..check.clone()
    });
    SetVerdict {
        checks: checks.collect(),
        en12767: None,
        outcome: Outcome::NotEvaluated,
        sentence: BOOKS_OPEN.to_owned(),
        ..verdict.clone()
    }
}

/// The wind check with the clamp of the loosest bolt and whether a nut strips at its own.
fn wind_check(check: &Retention, scenario: &Scenario, bolts: &[BoltOutcome]) -> RetentionCheck {
    let clamp_n = bolts
        .iter()
        .map(|b| b.preload_n)
        .reduce(f64::min)
        .unwrap_or(scenario.base.preload_n);
    let bolt = &scenario.base.bolt;
    let stripping_n = scenario
        .as_found
        .engaged_threads
        .and_then(|threads| engaged_load(threads, bolt).ok())
        // A nut that carries the bolt's yield load does not strip.
        .filter(|most| tensile_load(bolt.yield_pa, bolt.stress_area_m2).is_ok_and(|y| *most < y));
    let nut_strips = stripping_n.is_some_and(|most| bolts.iter().any(|b| b.preload_n >= most));
    RetentionCheck::new(check, clamp_n, nut_strips)
}

// Speed lost along the initial direction of travel: (v0 - v) . v0 / |v0|, horizontally.
fn record_end_velocity_change(e: &Engagement) -> Option<f64> {
    let v = e.record.end_velocity_mps.last()?;
    let [x, y, _] = e.record.velocity_mps;
    let speed = (x * x + y * y).sqrt();
    if speed > 0.0 {
        Some(((x - v[0]) * x + (y - v[1]) * y) / speed)
    } else {
        Some(0.0)
    }
}

/// Residuals of the books of a run against their limits.
pub fn check_books(e: &Engagement) -> BookCheck {
    let residual = e.energy.residual_j.abs();
    let initial = e.energy.initial_kinetic_j;
    // Without initial energy nothing may be left over.
    let energy = if initial > 0.0 {
        residual / initial
    } else {
        f64::from(u8::from(residual > 0.0))
    };
    let momentum = e.momentum.residual_fraction.abs();
    // A comparison with NaN is false: a residual that is not a number does not close.
    let energy_closed = energy < ENERGY_LIMIT_FRACTION;
    let momentum_closed = momentum < MOMENTUM_LIMIT_FRACTION;
    BookCheck {
        energy_residual_fraction: energy,
        energy_limit_fraction: ENERGY_LIMIT_FRACTION,
        energy_closed,
        momentum_residual_fraction: momentum,
        momentum_limit_fraction: MOMENTUM_LIMIT_FRACTION,
        momentum_closed,
        books_closed: energy_closed && momentum_closed,
    }
}

/// Key and margin of the evaluated check of the blow with the least margin; dents have a verdict of their own.
pub fn closest_check(verdict: &SetVerdict) -> Option<(&str, f64)> {
    verdict
        .checks
        .iter()
        .filter(|c| c.dent().is_none())
        .filter_map(|c| c.margin_fraction.map(|m| (c.key.as_str(), m)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

fn headline(verdicts: &[SetVerdict], books: &BookCheck, ending: Ending) -> Headline {
    let first = verdicts.first();
    let closest = first.and_then(closest_check);
    let (outcome, sentence) = match first {
        _ if !books.books_closed => (
            Outcome::NotEvaluated,
            format!(
                "Run failed: the books do not close (energy residual {:.2} % of the initial kinetic energy, limit \
                 {:.1} %; momentum residual {:.3} %, limit {:.1} %). No verdict stands.",
                100.0 * books.energy_residual_fraction,
                100.0 * books.energy_limit_fraction,
                100.0 * books.momentum_residual_fraction,
                100.0 * books.momentum_limit_fraction,
            ),
        ),
        // Passing a pole by says nothing about it.
        _ if ending == Ending::NoContact => (
            Outcome::NotEvaluated,
            "The vehicle did not touch the pole: there is nothing to judge.".to_owned(),
        ),
        Some(v) => (v.outcome, v.sentence.clone()),
        None => (
            Outcome::NotEvaluated,
            "The scenario names no judging document.".to_owned(),
        ),
    };
    Headline {
        set: first.map(|v| v.set.clone()),
        document: first.map(|v| v.document.clone()),
        blow: Some(match (outcome, first) {
            (Outcome::NotEvaluated, _) | (_, None) => Blow::NotEvaluated,
            (_, Some(v)) => v.blow(),
        }),
        outcome,
        sentence,
        closest_check: closest.map(|c| c.0.to_owned()),
        closest_margin_fraction: closest.map(|c| c.1),
    }
}
