//! The installation sheet: what the crew that erects one pole must know, computed from its scenario.
//!
//! The sheet is for the design. Findings on site and the impact play no part; where the scenario has findings, a
//! remark says so. The formulas stand in [`giveway_mechanics::erection`], the limits in the table of requirements; this
//! module asks them and writes the sequence of the work in plain sentences.

mod facts;
mod impacts;
mod limits;
mod remarks;
mod steps;
pub mod words;

use giveway_mechanics::clamp::ClampProperties;
use giveway_mechanics::erection::{
    Balance, Lean, Tightening, arm_joint, balance, bare_balance, bolt_length, hang, lean,
    level_line, series, sling_height, tightening,
};
use giveway_mechanics::retention::{DeadLoad, Grade, retention};
use giveway_mechanics::service::{arm_screw_fatigue, clamp_after, foot_fatigue, recheck};
use giveway_mechanics::strength::InputError;
use giveway_occupant::CAUTION;
use giveway_results::summary::GradeCheck;
use giveway_scenario::model::{Anchorage, AsFound, Scenario, Support};
use giveway_units::System;

pub use facts::*;
pub use limits::PRACTICE;

use crate::profile::{Basis, Bound, Profile};
use crate::requirements::{Limit, Rule, limit_words};

impl InstallationSheet {
    /// The sheet of a scenario's design.
    ///
    /// # Errors
    /// A fixed anchorage; a size, mass, strength or gravity that the erection formulas refuse.
    pub fn new(scenario: &Scenario) -> Result<Self, SheetError> {
        Self::new_with(scenario, &Profile::trade(), System::Si)
    }

    /// The sheet by the limits of a profile, in a system of units. The scenario has the profile's changes already.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn new_with(
        scenario: &Scenario,
        profile: &Profile,
        units: System,
    ) -> Result<Self, SheetError> {
        if scenario.base.anchorage == Anchorage::Fixed {
            return Err(SheetError::FixedAnchorage);
        }
        let design = Scenario {
            as_found: AsFound::default(),
            ..scenario.clone()
        };
        let profile = &profile.with(&design);
        let basis = Basis {
            design: &design,
            profile,
        };
        let (base, support) = (&design.base, &design.support);
        let bolts = bolt_length(base)?;
        let tightening = tightening(base)?;
        let whole = balance(support)?;
        let has_arms = !support.arms.is_empty();
        let length = support.pole_length_m;
        let gravity = design.site.gravity_mps2;
        let sling = sling_height(&whole, length)?;
        let lift = Lift {
            hang: hang(&whole, sling, gravity)?,
            level: (sling < length)
                .then(|| level_line(&whole, length, sling, gravity))
                .transpose()?,
            bare: has_arms.then(|| bare_balance(support)).transpose()?,
            whole,
        };
        let leant = lean(support, gravity)?;
        let held = wind(&design, &whole)?;
        let mut sheet = Self {
            title: design.title.clone(),
            place: design.site.name.clone(),
            profile: profile.title(),
            drawing: profile.document("installation").map(str::to_owned),
            units: units.name().to_owned(),
            assembly: profile.assembly.name().to_owned(),
            cap_screw_turn_rad: profile.limit(Bound::CapScrewTurn).si,
            hang_limit_rad: profile.limit(Bound::HangOutOfPlumb).si,
            full_nut: bolts.length_m >= bolts.grip_m + bolts.nut_m - 1e-9,
            bolt_series: series(&base.bolt),
            bolts,
            service: service(basis, &tightening, &held)?,
            tightening,
            tightening_order: order(base.bolt_count),
            torque_tolerance: profile.limit(Bound::TorqueTolerance).si,
            wind: held,
            lift,
            sling: arm_sling(support, &whole),
            level: LevelReads::new(&design, &leant),
            lean: leaning(&leant),
            arms: arms(&design),
            clearances: clearances(basis, units),
            design: drawn(basis, units),
            limits: Vec::new(),
            steps: Vec::new(),
            remarks: Vec::new(),
            caution: CAUTION.to_owned(),
        };
        sheet.limits = limits::limits(basis, &sheet);
        sheet.remarks = remarks::remarks(scenario, basis, &sheet);
        sheet.steps = steps::steps(&sheet);
        Ok(sheet)
    }
}

fn drawn(basis: Basis<'_>, units: System) -> Design {
    let design = basis.design;
    let value = |key: &str| {
        requirement(key)
            .and_then(|row| single(row.rule))
            .and_then(|limit| limit.of(basis))
            .map(|twin| twin.of(units))
    };
    Design {
        base: design.base.clone(),
        pole: design.support.pole.clone(),
        pole_length_m: design.support.pole_length_m,
        arms: design.support.arms.clone(),
        slip_plane_height_m: design.site.slip_plane_height_m,
        stub_limit_m: value("plate_height").unwrap_or(0.0),
        chord_m: basis.profile.limit(Bound::Chord).of(units),
        grout_clear_m: value("grout_gap").unwrap_or(0.0),
        least_plate_washer_m: value("plate_washer_thickness"),
        level_rad: value("plate_level").unwrap_or(0.0),
    }
}

/// The one limit of a rule.
fn single(rule: Rule) -> Option<Limit> {
    match rule {
        Rule::AtLeast(limit) | Rule::AtMost(limit) | Rule::WithinPlusMinus(limit) => Some(limit),
        _ => None,
    }
}

fn clearances(basis: Basis<'_>, units: System) -> Vec<Clearance> {
    CLEARANCES
        .iter()
        .filter_map(|key| requirement(key))
        .map(|row| Clearance {
            requirement: row.title.to_owned(),
            limit: limit_words(row, basis, units),
            source: row.origin_in(basis).0,
        })
        .collect()
}

/// Each bolt after the one that lies most nearly across from it: 1, 3, 2, 4 of four; 1, 2, 3 of three (common practice, no
/// source).
fn order(bolts: usize) -> Vec<usize> {
    if bolts % 2 == 1 {
        return (1..=bolts).collect();
    }
    let half = bolts / 2;
    (1..=half).flat_map(|i| [i, i + half]).collect()
}

fn wind(design: &Scenario, whole: &Balance) -> Result<WindHold, InputError> {
    let clamp = ClampProperties::from_base(&design.base)?;
    let [x, y, _] = whole.centre_m;
    let dead = DeadLoad::from_mass(whole.mass_kg, [x, y], design.site.gravity_mps2);
    let held = retention(design, &clamp, &dead)?;
    Ok(WindHold {
        wind_mps: design.site.wind_speed_mps,
        holds: held.holds,
        grades: held.grades.iter().map(GradeCheck::from).collect(),
        gap_margin: held
            .bolts
            .iter()
            .map(|b| b.gap_margin)
            .fold(f64::INFINITY, f64::min),
    })
}

/// The sling on the longest arm, plumb above the balance point where the arm reaches there; else at the root side. The
/// arm is straight from root to tip.
fn arm_sling(support: &Support, whole: &Balance) -> Option<ArmSling> {
    let (index, arm) = support
        .arms
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.reach_m.total_cmp(&b.1.reach_m).then(b.0.cmp(&a.0)))?;
    let (cos, sin) = (libm::cos(arm.azimuth_rad), libm::sin(arm.azimuth_rad));
    // Along the arm, and across it.
    let along = whole.centre_m[0] * cos + whole.centre_m[1] * sin;
    let across = whole.centre_m[1] * cos - whole.centre_m[0] * sin;
    let out_m = along.clamp(0.0, arm.reach_m);
    let height_m = arm.attachment_height_m + arm.rise_m * out_m / arm.reach_m;
    let above = height_m - whole.centre_m[2];
    (arm.reach_m > 0.0 && above > 0.0 && along > 0.0).then(|| ArmSling {
        arm: index + 1,
        out_m,
        height_m,
        lean_rad: libm::atan(libm::hypot(along - out_m, across) / above),
        rope_m: 0.9 * arm.reach_m,
    })
}

impl LevelReads {
    /// The back was plumbed with the pole in the sling, the axis then rakes back by half of the taper. When the sling comes
    /// off, the arm's weight bends the shaft forward by the lean.
    fn new(design: &Scenario, lean: &Lean) -> Self {
        let pole = &design.support.pole;
        let length = design.support.pole_length_m;
        let taper_rad = 0.5 * (pole.base_diameter_m - pole.tip_diameter_m) / length;
        let facts = leaning(lean);
        let lean_rad = facts
            .azimuth_rad
            .map_or(0.0, |_| facts.at_level_m / LEVEL_M);
        Self {
            taper_rad,
            lean_rad,
            // Back plumb: axis at -taper. Then + lean; the back is the axis + taper, the front the axis - taper.
            back_rad: lean_rad,
            front_rad: lean_rad - 2.0 * taper_rad,
            tip_m: lean.tip_m - taper_rad * length,
        }
    }
}

fn leaning(lean: &Lean) -> LeanFacts {
    // The axis between the two computed heights around that of the level.
    let above = lean.axis_m.partition_point(|p| p[0] < LEVEL_M);
    let at_level_m = match (
        above.checked_sub(1).and_then(|i| lean.axis_m.get(i)),
        lean.axis_m.get(above),
    ) {
        (Some(a), Some(b)) => {
            let share = (LEVEL_M - a[0]) / (b[0] - a[0]);
            libm::hypot(a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2]))
        }
        _ => lean.tip_m,
    };
    LeanFacts {
        moment_nm: libm::hypot(lean.moment_nm[0], lean.moment_nm[1]),
        tip_m: lean.tip_m,
        tip_slope_rad: lean.tip_slope_rad,
        azimuth_rad: lean.azimuth_rad.filter(|_| lean.tip_m > LEANING_M),
        rake_rad: lean.rake_rad,
        at_level_m,
    }
}

/// Importance of a pole beside a road that many use (category I of the specification, recalled).
const IMPORTANCE: f64 = 1.0;
/// Yearly mean wind, m/s: that of the specification (recalled).
const MEAN_WIND_MPS: f64 = 5.0;
/// Years of service, days.
const SERVICE_DAYS: f64 = 20.0 * 365.25;

fn service(basis: Basis<'_>, tight: &Tightening, wind: &WindHold) -> Result<Service, InputError> {
    let design = basis.design;
    let loss = design.base.relaxation;
    // The clamp that the wind needs by its service and strength grades: loads and clamp go together.
    let least = wind
        .grades
        .iter()
        .filter(|g| g.grade != Grade::Survival)
        .filter_map(|g| g.margin_fraction)
        .map(|m| 1.0 / (1.0 + m).max(1.0))
        .fold(0.0, f64::max)
        * tight.clamp_n;
    let interval = basis.profile.limit(Bound::CheckInterval).si;
    Ok(Service {
        clamp_left: clamp_after(1.0, loss, SERVICE_DAYS)?,
        recheck: recheck(tight.first_clamp_n, loss, least, !wind.holds, interval)?,
        foot: foot_fatigue(&design.support, IMPORTANCE, MEAN_WIND_MPS).ok(),
        arm_screws: design
            .support
            .arms
            .iter()
            .map(|arm| arm_screw_fatigue(arm, IMPORTANCE, MEAN_WIND_MPS).ok())
            .collect(),
    })
}

fn arms(design: &Scenario) -> Vec<ArmSheet> {
    (0..design.support.arms.len())
        .map(|i| match arm_joint(&design.site, &design.support, i) {
            Ok(joint) => ArmSheet {
                number: i + 1,
                joint: Some(joint),
                problem: None,
            },
            Err(problem) => ArmSheet {
                number: i + 1,
                joint: None,
                problem: Some(problem.to_string()),
            },
        })
        .collect()
}

#[cfg(test)]
mod tests;
