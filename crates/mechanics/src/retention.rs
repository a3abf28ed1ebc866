//! The other side of the torque window: does the clamped base stand under dead load and wind?
//!
//! The rigid upper plate stands on the bolts of the impact's own joint law ([`crate::joint`]): static friction under head and
//! nut and between the plates, notch walls, keeper, plates that bend, washers that gap. It is pushed slowly by the wind,
//! from every direction, in rising steps of the wind's pressure; at each step the plate's six coordinates follow from
//! equilibrium (Newton's method), and what has slid or yielded is kept. Along the way four things are noted, as the
//! multiple of the design wind's pressure at which they come first:
//!
//! - a washer **gaps** (N = 0),
//! - a bolt **slides** in its notches, however little: from there on wind can make it walk,
//! - the plates have slipped by [`SMALL_TRAVEL_M`], or a bolt or a plate **yields**,
//! - the base **comes apart**: a bolt is out of its notches, or no equilibrium is left.
//!
//! They are graded, each grade with its own wind:
//!
//! | grade | wind | asked |
//! |---|---|---|
//! | service | yearly | no bolt gaps, none slides: bolts do not walk |
//! | strength | design gust | may gap; slips no more than the small travel, nothing yields |
//! | survival | 700-year | does not come apart |
//!
//! The wind's pressure grows with the square of its speed; drag coefficients are those of the design wind. Leaning of the pole
//! under the wind (second order) and the wind's dynamics beyond the gust factor are left out.
//!
//! # References
//! - J. A. Peterka, S. Shahid, Design gust wind speeds in the United States, J. Structural Engineering 124 (1998) 207:
//!   V_T/V_50 = 0.36 + 0.1 ln(12 T), which gives 0.61 for a year and 1.26 for 700 years (recalled).
//! - That a few bolts gap in the design gust and the base stands: common practice, no source.

use crate::clamp::ClampProperties;
use crate::joint::JointLaw;
use crate::strength::{InputError, finite, not_negative, positive};
use crate::wind::{WindAction, WindModel};
use giveway_scenario::model::Scenario;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

mod push;

pub use push::{Event, Push};

/// Wind directions that are tried.
const DIRECTIONS: usize = 36;
/// Slip of the plates that the strength grade allows, m (common practice, no source: a bolt's play in its notch).
pub const SMALL_TRAVEL_M: f64 = 1e-3;

/// What a base is asked in a wind.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// Yearly wind: no bolt gaps and none slides.
    Service,
    /// Design gust: slips no more than a small travel, nothing yields.
    Strength,
    /// 700-year wind: does not come apart.
    Survival,
}

impl Grade {
    /// All of them, from the lightest wind.
    pub const ALL: [Self; 3] = [Self::Service, Self::Strength, Self::Survival];

    /// The events that end the grade.
    fn ended_by(self) -> &'static [Event] {
        match self {
            Self::Service => &[Event::Gaps, Event::Slides],
            Self::Strength => &[
                Event::Travels,
                Event::Yields,
                Event::Strips,
                Event::ComesApart,
            ],
            Self::Survival => &[Event::ComesApart],
        }
    }

    /// Wind of the grade, m/s.
    fn wind(self, scenario: &Scenario) -> f64 {
        match self {
            Self::Service => scenario.site.wind_service_mps,
            Self::Strength => scenario.site.wind_speed_mps,
            Self::Survival => scenario.site.wind_survival_mps,
        }
    }
}

/// One grade and what came out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Graded {
    /// The grade.
    pub grade: Grade,
    /// Its wind, 3 s gust at 10 m, m/s.
    pub wind_mps: f64,
    /// Whether the base meets it.
    pub holds: bool,
    /// Wind pressure that it bears by this grade over that of the grade's wind, less one; none where no wind that was
    /// tried ends it.
    pub margin: Option<f64>,
    /// What ends it first; none where nothing did.
    pub by: Option<Event>,
    /// Bolt at which it ends, from 1; none where it is no single bolt.
    pub bolt: Option<usize>,
    /// The way that wind blows, rad.
    pub azimuth_rad: f64,
}

/// Check of the clamped base in the design wind, one bolt.
#[derive(Debug, Clone, Serialize)]
pub struct BoltRetention {
    /// Number, from 1.
    pub number: usize,
    /// Smallest washer force under dead load and design wind, over all wind directions, N; 0 where it gaps.
    pub washer_force_n: f64,
    /// Wind direction that gives it (the way the wind blows), rad.
    pub wind_azimuth_rad: f64,
    /// Washer force over preload; 0 where it gaps or there is no clamp.
    pub gap_margin: f64,
}

/// Check of the clamped base under dead load and wind.
#[derive(Debug, Clone, Serialize)]
pub struct Retention {
    /// Largest wind shear at the slip plane in the design wind, N.
    pub wind_shear_n: f64,
    /// Largest wind moment at the slip plane, N.m.
    pub wind_moment_nm: f64,
    /// Dead-load moment at the slip plane, N.m.
    pub dead_moment_nm: f64,
    /// Largest torsion at the slip plane, N.m.
    pub torsion_nm: f64,
    /// Per bolt, in the design wind.
    pub bolts: Vec<BoltRetention>,
    /// The grades, from service to survival.
    pub grades: [Graded; 3],
    /// Whether service and strength are met.
    pub holds: bool,
}

impl Retention {
    /// What came out for a grade.
    pub fn graded(&self, grade: Grade) -> &Graded {
        &self.grades[grade as usize]
    }
}

/// Dead load at the slip plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeadLoad {
    /// Weight of everything above the slip plane, N.
    pub weight_n: f64,
    /// Its moment about the foot, about site x and y, N.m.
    pub moment_nm: [f64; 2],
}

impl DeadLoad {
    /// Dead load of a mass with its centre off the pole axis: W = m g, M_x = -y W, M_y = x W.
    pub fn from_mass(mass_kg: f64, centre_m: [f64; 2], gravity_mps2: f64) -> Self {
        let weight_n = mass_kg * gravity_mps2;
        Self {
            weight_n,
            moment_nm: [-centre_m[1] * weight_n, centre_m[0] * weight_n],
        }
    }
}

/// Check of the base of a scenario as designed: every bolt with the same clean law.
///
/// # Errors
/// Site, support, clamp or dead load with a value that is not finite or has no meaning.
pub fn retention(
    scenario: &Scenario,
    clamp: &ClampProperties,
    dead: &DeadLoad,
) -> Result<Retention, InputError> {
    let law = JointLaw::clean(scenario, clamp);
    retention_of(scenario, &vec![law; clamp.bolt_count], clamp, dead)
}

fn check(
    scenario: &Scenario,
    laws: &[JointLaw],
    clamp: &ClampProperties,
    dead: &DeadLoad,
) -> Result<(), InputError> {
    not_negative("weight above the slip plane, N", dead.weight_n)?;
    finite("dead-load moment about x, N.m", dead.moment_nm[0])?;
    finite("dead-load moment about y, N.m", dead.moment_nm[1])?;
    positive("bolt circle radius R, m", clamp.bolt_radius_m)?;
    not_negative("yearly wind, m/s", scenario.site.wind_service_mps)?;
    not_negative("700-year wind, m/s", scenario.site.wind_survival_mps)?;
    for law in laws {
        not_negative("preload F_p, N", law.axial.preload)?;
        positive("bolt stiffness k_b, N/m", law.axial.bolt)?;
        positive("clamp stiffness k_c, N/m", law.axial.stack)?;
        not_negative(
            "friction between the plates mu_i",
            law.friction.inner.at_rest,
        )?;
    }
    Ok(())
}

/// One state of the base: what ends it first, and in which direction of the wind.
fn graded(
    grade: Grade,
    need: f64,
    pushes: &[(f64, WindAction, Push)],
    clamped: bool,
    scenario: &Scenario,
) -> Graded {
    let mut first: Option<(f64, Event, Option<usize>, f64)> = None;
    for (azimuth, _, push) in pushes {
        for &event in grade.ended_by() {
            if let Some((at, bolt)) = push.first(event)
                && first.is_none_or(|(least, ..)| at < least)
            {
                first = Some((at, event, bolt, *azimuth));
            }
        }
    }
    Graded {
        grade,
        wind_mps: grade.wind(scenario),
        holds: first.is_none_or(|(at, ..)| at > need) && clamped,
        margin: first.map(|(at, ..)| at / need - 1.0),
        by: first.map(|(_, event, ..)| event),
        bolt: first.and_then(|(_, _, bolt, _)| bolt),
        azimuth_rad: first.map_or(0.0, |(.., azimuth)| azimuth),
    }
}

/// Check of a base with these bolts: service, strength and survival, each over the worst wind direction.
///
/// # Errors
/// As [`retention`].
pub fn retention_of(
    scenario: &Scenario,
    laws: &[JointLaw],
    clamp: &ClampProperties,
    dead: &DeadLoad,
) -> Result<Retention, InputError> {
    check(scenario, laws, clamp, dead)?;
    let model = WindModel::new(&scenario.site, &scenario.support)?;
    let axes: Vec<[f64; 2]> = (0..laws.len()).map(|i| clamp.bolt_direction(i)).collect();
    let plate = push::Plate::new(laws, &axes, clamp.bolt_radius_m, dead);
    // Multiples of the design wind's pressure.
    let needs = Grade::ALL.map(|g| {
        let design = scenario.site.wind_speed_mps;
        let ratio = if design > 0.0 {
            g.wind(scenario) / design
        } else {
            1.0
        };
        ratio * ratio
    });
    let most = needs.iter().fold(1.0_f64, |m, n| m.max(*n)) * 1.5;
    let directions: Vec<f64> = (0..DIRECTIONS)
        .map(|i| i as f64 * 2.0 * PI / DIRECTIONS as f64)
        .collect();
    let pushes: Vec<(f64, WindAction, Push)> = directions
        .into_iter()
        .map(|azimuth| {
            let wind = model.action(azimuth);
            let push = plate.push(&wind, most);
            (azimuth, wind, push)
        })
        .collect();
    let grades: [Graded; 3] = std::array::from_fn(|k| {
        let clamped = laws.iter().all(|l| l.axial.preload > 0.0);
        graded(Grade::ALL[k], needs[k], &pushes, clamped, scenario)
    });
    let bolts = laws
        .iter()
        .enumerate()
        .map(|(i, law)| {
            let (washer_force_n, wind_azimuth_rad) = pushes
                .iter()
                .map(|(azimuth, _, push)| (push.washer_in_design_wind(i), *azimuth))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or((0.0, 0.0));
            BoltRetention {
                number: i + 1,
                washer_force_n,
                wind_azimuth_rad,
                gap_margin: if law.axial.preload > 0.0 {
                    washer_force_n / law.axial.preload
                } else {
                    0.0
                },
            }
        })
        .collect();
    let largest = |f: fn(&WindAction) -> f64| {
        pushes
            .iter()
            .map(|(_, wind, _)| f(wind))
            .fold(0.0_f64, f64::max)
    };
    Ok(Retention {
        wind_shear_n: largest(|w| libm::hypot(w.shear_n[0], w.shear_n[1])),
        wind_moment_nm: largest(|w| libm::hypot(w.moment_nm[0], w.moment_nm[1])),
        dead_moment_nm: libm::hypot(dead.moment_nm[0], dead.moment_nm[1]),
        torsion_nm: largest(|w| w.torsion_nm.abs()),
        holds: grades[0].holds && grades[1].holds,
        grades,
        bolts,
    })
}
