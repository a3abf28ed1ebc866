//! A scenario made ready: support solved, clamp and face laws built, static rest found.

use std::sync::Arc;

use giveway_mechanics::clamp::ClampProperties;
use giveway_mechanics::crush::{CrushLaw, DentLaw};
use giveway_mechanics::joint::JointLaw;
use giveway_mechanics::obstacle::BAR_STIFFNESS_NPM;
use giveway_mechanics::retention::{DeadLoad, Retention, retention_of};
use giveway_mechanics::side_body::SideBody;
use giveway_mechanics::strength::{InputError, dent_factor};
use giveway_mechanics::tube::{blow_moment, diameter_at, rate_factor};
use giveway_mechanics::wheel::Wheel;
use giveway_scenario::model::{Anchorage, Scenario, StruckFace};
use nalgebra::{Matrix3, Vector3};

use crate::clock::SAMPLE_S;
use crate::error::ImpactError;
use crate::found::{BaseLaw, as_found, base_law};
use crate::long_step::{LongStep, STEP_LIMIT, foot_mobility};
use crate::outcome::SupportProperties;
use crate::rest::{Rest, find_rest};
use crate::solution::{SupportKey, SupportSolution, both, struck_face};

/// One band of the struck face, ready for contact.
#[derive(Debug, Clone)]
pub(crate) struct BandLaw {
    pub crush: CrushLaw,
    /// Mid height in vehicle axes (from the centre of mass), m.
    pub height: f64,
    /// Distance of the band from the centre of mass along the face normal, m.
    pub reach: f64,
    /// Dent law of the tube at the band's height.
    pub dent: DentLaw,
}

/// The struck face in vehicle axes.
#[derive(Debug, Clone)]
pub(crate) struct FaceLaw {
    /// Outward normal.
    pub normal: Vector3<f64>,
    /// Direction along the face, horizontal.
    pub tangent: Vector3<f64>,
    /// Extent along the tangent, m.
    pub from: f64,
    pub to: f64,
    pub bands: Vec<BandLaw>,
    pub friction: f64,
    /// The part of the body behind a struck side; none where the vehicle is one rigid body.
    pub body: Option<SideBody>,
}

/// The vehicle, ready.
#[derive(Debug, Clone)]
pub(crate) struct VehicleLaw {
    pub mass: f64,
    pub inertia: Matrix3<f64>,
    pub guided: bool,
    pub wheels: Vec<Wheel>,
}

/// A scenario made ready to run. It can be run any number of times.
#[derive(Debug, Clone)]
pub struct Prepared {
    pub(crate) scenario: Scenario,
    pub(crate) solution: Arc<SupportSolution>,
    pub(crate) clamp: Option<ClampProperties>,
    pub(crate) base: Option<BaseLaw>,
    /// The scenario as written; `scenario` has the findings on site put in.
    pub(crate) designed: Scenario,
    pub(crate) face: FaceLaw,
    pub(crate) vehicle: VehicleLaw,
    pub(crate) rest: Rest,
    pub(crate) foot_plastic_moment: f64,
    pub(crate) contact_plastic_moment: f64,
    /// Outside diameter of the pole at the struck height, m.
    pub(crate) contact_diameter: f64,
    pub(crate) clamped_step: f64,
    pub(crate) free_step: f64,
    /// Steps while every bolt sticks or every one slides for sure, the longest first.
    pub(crate) long_steps: [LongStep; 2],
    /// Samples of a step in which the struck face alone acts on the released pole, and of one whose foot is clear of the base.
    pub(crate) touch_samples: [usize; 2],
    /// Step of the flight while the face is near the pole, s.
    pub(crate) face_step: f64,
    properties: SupportProperties,
}

impl Prepared {
    /// Solves the support and makes the scenario ready.
    ///
    /// # Errors
    /// A scenario value without meaning, or a base that cannot carry the dead load.
    pub fn new(scenario: &Scenario) -> Result<Self, ImpactError> {
        let solution = SupportSolution::solve(scenario)?;
        Self::with_support(scenario, solution)
    }

    /// Makes the scenario ready on a support that is solved already.
    ///
    /// # Errors
    /// As [`Prepared::new`]; also a solution that belongs to another support.
    pub fn with_support(
        scenario: &Scenario,
        solution: Arc<SupportSolution>,
    ) -> Result<Self, ImpactError> {
        if solution.key != SupportKey::of(scenario) {
            return Err(ImpactError::ForeignSupport);
        }
        check(scenario)?;
        let designed = scenario.clone();
        let scenario = &as_found(scenario).map_err(base_error)?;
        let (clamp, base) = match scenario.base.anchorage {
            Anchorage::Fixed => (None, None),
            Anchorage::Slip => {
                let clamp = ClampProperties::from_base(&scenario.base).map_err(base_error)?;
                let base = base_law(&designed, scenario).map_err(base_error)?;
                (Some(clamp), Some(base))
            }
        };
        let bolts = base.as_ref().map(|b| b.bolts.as_slice());
        let rest = find_rest(scenario, &solution, bolts)?;
        let pole = &scenario.support.pole;
        let m = &solution.modes.properties;
        let dead = m.centre_m.xy() * (m.mass_kg * scenario.site.gravity_mps2);
        let properties = SupportProperties {
            mass_kg: m.mass_kg,
            centre_m: m.centre_m.into(),
            inertia_kgm2: std::array::from_fn(|i| std::array::from_fn(|j| m.inertia_kgm2[(i, j)])),
            free_frequencies_hz: solution
                .modes
                .frequencies_hz()
                .into_iter()
                .take(6)
                .collect(),
            dead_moment_nm: dead.norm(),
        };
        let face = face_limit(scenario, &solution, base.is_some());
        let (clamped_step, free_step, long_steps) = steps(scenario, &solution, base.as_ref(), face);
        Ok(Self {
            face: face_law(scenario)?,
            vehicle: vehicle_law(scenario),
            foot_plastic_moment: blow_moment(pole, 0.0).map_err(tube_error)?,
            contact_diameter: diameter_at(
                pole,
                solution.moment_height_m / scenario.support.pole_length_m,
            ),
            contact_plastic_moment: blow_moment(
                pole,
                solution.moment_height_m / scenario.support.pole_length_m,
            )
            .map_err(tube_error)?,
            clamped_step,
            free_step,
            long_steps: long_steps.map(|dt| LongStep::new(scenario, &solution, dt)),
            touch_samples: touch_samples(free_step, face),
            face_step: FACE_PART * face,
            scenario: scenario.clone(),
            solution,
            clamp,
            base,
            designed,
            rest,
            properties,
        })
    }

    /// The same scenario with its pole not followed after the engagement.
    pub fn without_flight(&self) -> Self {
        let mut same = self.clone();
        same.scenario.flight.pole = false;
        same
    }

    /// Step of a clamped base once the shaft has folded at its foot, s: what swings in the slip plane turns the hinge too, and each
    /// swing that the step cuts short turns it too far.
    pub(crate) fn folded_step(&self) -> f64 {
        0.5 * self.clamped_step
    }

    /// Mass properties and frequencies of the support.
    pub fn properties(&self) -> &SupportProperties {
        &self.properties
    }

    /// Clamp properties; none for a fixed obstacle.
    pub fn clamp(&self) -> Option<&ClampProperties> {
        self.clamp.as_ref()
    }

    /// The solved support, to be shared with other scenarios on the same support.
    pub fn solution(&self) -> Arc<SupportSolution> {
        Arc::clone(&self.solution)
    }

    /// The scenario.
    pub fn scenario(&self) -> &Scenario {
        &self.scenario
    }

    /// The base as found under dead load and wind, pushed slowly by the impact's own joint law; none for a fixed obstacle.
    ///
    /// # Errors
    /// A wind or clamp value without meaning.
    pub fn retention(&self) -> Result<Option<Retention>, ImpactError> {
        let (Some(clamp), Some(base)) = (&self.clamp, &self.base) else {
            return Ok(None);
        };
        let m = &self.solution.modes.properties;
        let dead = DeadLoad::from_mass(
            m.mass_kg,
            [m.centre_m.x, m.centre_m.y],
            self.scenario.site.gravity_mps2,
        );
        retention_of(&self.scenario, &base.bolts, clamp, &dead)
            .map(Some)
            .map_err(base_error)
    }
}

/// Every value must be finite and pass `fits`.
fn require(
    values: &[(&'static str, f64)],
    fits: impl Fn(f64) -> bool,
    need: &'static str,
) -> Result<(), ImpactError> {
    match values.iter().find(|(_, v)| !(v.is_finite() && fits(*v))) {
        Some(&(what, value)) => Err(ImpactError::BadValue { what, value, need }),
        None => Ok(()),
    }
}

fn check(s: &Scenario) -> Result<(), ImpactError> {
    let positive = [
        ("vehicle mass", s.vehicle.mass_kg),
        ("impact speed", s.impact.speed_mps),
        ("roll inertia", s.vehicle.roll_inertia_kgm2),
        ("pitch inertia", s.vehicle.pitch_inertia_kgm2),
        ("yaw inertia", s.vehicle.yaw_inertia_kgm2),
        ("wheelbase", s.vehicle.wheelbase_m),
        ("time step", s.solver.step_s),
        ("stick stiffness", s.solver.stick_stiffness_npm),
        ("engagement limit", s.solver.engagement_limit_s),
    ];
    require(&positive, |v| v > 0.0, "it must be finite and positive")?;
    let finite = [
        ("heading", s.impact.heading_rad),
        ("velocity direction", s.impact.velocity_direction_rad),
        ("offset", s.impact.offset_m),
        ("gravity", s.site.gravity_mps2),
        ("road friction", s.site.road_friction),
        ("centre of mass height", s.vehicle.cg_height_m),
    ];
    require(&finite, |_| true, "it must be finite")?;
    for band in &struck_face(s).bands {
        let c = &band.crush_curve;
        let fine = c.len() >= 2
            && c.windows(2).all(|w| w[1].0 > w[0].0)
            && c.iter()
                .all(|p| p.0.is_finite() && p.1.is_finite() && p.1 >= 0.0)
            && band.unloading_npm.is_finite()
            && band.unloading_npm > 0.0;
        if !fine {
            return Err(ImpactError::BadValue {
                what: "crush curve of the struck face",
                value: band.unloading_npm,
                need: "it needs two points or more, rising crush, finite forces and a positive unloading slope",
            });
        }
    }
    if struck_face(s).bands.is_empty() {
        return Err(ImpactError::BadValue {
            what: "number of bands of the struck face",
            value: 0.0,
            need: "at least one band",
        });
    }
    Ok(())
}

/// Largest dent over the tube's diameter: the end of the dent law's range (assumed).
const LARGEST_DENT: f64 = 0.5;

fn face_law(s: &Scenario) -> Result<FaceLaw, ImpactError> {
    let v = &s.vehicle;
    let (normal, tangent, plane, from, to) = match s.impact.face {
        StruckFace::Front => (
            Vector3::x(),
            Vector3::y(),
            v.cg_to_front_m,
            -0.5 * v.width_m,
            0.5 * v.width_m,
        ),
        StruckFace::LeftSide => (
            Vector3::y(),
            Vector3::x(),
            0.5 * v.width_m,
            v.cg_to_front_m - v.length_m,
            v.cg_to_front_m,
        ),
        StruckFace::RightSide => (
            -Vector3::y(),
            Vector3::x(),
            0.5 * v.width_m,
            v.cg_to_front_m - v.length_m,
            v.cg_to_front_m,
        ),
    };
    let pole = &s.support.pole;
    let bands = struck_face(s)
        .bands
        .iter()
        .map(|b| {
            let mid = 0.5 * (b.lower_m + b.upper_m);
            let x = ((mid - s.site.slip_plane_height_m) / s.support.pole_length_m).clamp(0.0, 1.0);
            let d = giveway_mechanics::tube::diameter_at(pole, x);
            let t = pole.wall_m;
            let dent = match s.base.anchorage {
                Anchorage::Slip => DentLaw {
                    coefficient: dent_factor(
                        rate_factor(&pole.material) * pole.material.yield_pa,
                        d,
                        t,
                    )
                    .map_err(tube_error)?,
                    most_m: LARGEST_DENT * d,
                },
                Anchorage::Fixed => DentLaw::SOLID,
            };
            Ok(BandLaw {
                crush: CrushLaw::new(&b.crush_curve, b.unloading_npm),
                height: mid - v.cg_height_m,
                reach: plane - b.setback_m,
                dent,
            })
        })
        .collect::<Result<_, ImpactError>>()?;
    Ok(FaceLaw {
        normal,
        tangent,
        from,
        to,
        bands,
        friction: v.face_friction,
        body: match s.impact.face {
            StruckFace::LeftSide | StruckFace::RightSide if v.side_body.share > 0.0 => {
                let b = &v.side_body;
                let mass = b.share * v.mass_kg;
                Some(SideBody::new(
                    mass,
                    b.stiffness_npm,
                    b.yield_n,
                    b.hardening_npm,
                ))
            }
            _ => None,
        },
    })
}

fn base_error(e: InputError) -> ImpactError {
    ImpactError::Base(format!("slip base: {e}"))
}

fn tube_error(e: InputError) -> ImpactError {
    ImpactError::Base(format!("pole: {e}"))
}

fn vehicle_law(s: &Scenario) -> VehicleLaw {
    let v = &s.vehicle;
    let rear = v.cg_to_front_axle_m - v.wheelbase_m;
    let weight = v.mass_kg * s.site.gravity_mps2;
    // Static axle loads by moments about the other axle.
    let front_share = (-rear / v.wheelbase_m).clamp(0.0, 1.0);
    let wheels = if v.guided {
        Vec::new()
    } else {
        [
            (v.cg_to_front_axle_m, 0.5, front_share),
            (v.cg_to_front_axle_m, -0.5, front_share),
            (rear, 0.5, 1.0 - front_share),
            (rear, -0.5, 1.0 - front_share),
        ]
        .into_iter()
        .map(|(x, side, share)| Wheel {
            arm: Vector3::new(x, side * v.track_m, -v.cg_height_m),
            static_load_n: 0.5 * share * weight,
            stiffness_npm: v.wheel_stiffness_npm,
            damping_nspm: v.wheel_damping_nspm,
            friction: s.site.road_friction,
            braking: s.impact.braking,
        })
        .collect()
    };
    VehicleLaw {
        mass: v.mass_kg,
        inertia: Matrix3::from_diagonal(&Vector3::new(
            v.roll_inertia_kgm2,
            v.pitch_inertia_kgm2,
            v.yaw_inertia_kgm2,
        )),
        guided: v.guided,
        wheels,
    }
}

/// Soil may be pushed this far before the foot counts as clear of it, m.
pub(crate) const SOIL_WAY_M: f64 = 1.0;

/// A joint that sticks or slides for sure takes at most so many of its short steps at once (assumed).
const MOST_SHORT_STEPS: f64 = 4.0;

/// Step while clamped, after release, and while every bolt sticks or every one slides for sure: whole fractions or multiples of
/// the sampling interval. `contact` is the face's largest.
fn steps(
    s: &Scenario,
    solution: &SupportSolution,
    base: Option<&BaseLaw>,
    contact: f64,
) -> (f64, f64, [f64; 2]) {
    let whole = |dt: f64| SAMPLE_S / (SAMPLE_S / dt - 1e-9).ceil().max(1.0);
    let Some(base) = base else {
        let step = whole(s.solver.step_s.min(contact));
        return (step, step, [step; 2]);
    };
    // Where bolts or bars may part, the instant of it decides what happens next.
    let parts = base.bars.iter().any(|bar| bar.ahead) || base.bolts.iter().any(JointLaw::may_shear);
    let wanted = s.solver.step_s * if parts { 0.5 } else { 1.0 };
    let free = (2.0 * wanted).min(SAMPLE_S).min(contact);
    // The stiffest motion of the upper plate on its joint: opening or tilting.
    let n = s.base.bolt_count as f64;
    let r = 0.5 * s.base.bolt_circle_m;
    let k = base
        .bolts
        .iter()
        .fold(0.0_f64, |m, l| m.max(l.axial.stiffness()));
    let mobility = foot_mobility(solution, s.support.damping_ratio, 0.0).diagonal();
    // Opening n k, tilting n k r^2/2, sliding n k_s, twisting n k_s r^2.
    let slide = n * s.solver.stick_stiffness_npm;
    let bars = base.bars.len() as f64 * BAR_STIFFNESS_NPM;
    // Soil is stiffest where most of it is pushed together; its face holds down with a share of that.
    let soil = base.soil.map_or(0.0, |l| l.stiffness_npm(SOIL_WAY_M));
    let face = base.soil.map_or(0.0, |l| l.face_friction) * soil;
    let (lower, ground) = base
        .pier
        .map_or((0.0, 0.0), |p| (1.0 / p.mass_kg, p.stiffness_npm));
    let across = mobility[0].max(mobility[1]);
    // Bars press between foot and lower plate, soil on the foot alone, the ground on the lower plate alone.
    let obstacles = bars * (across + lower) + soil * across + ground * lower;
    let w2 = [
        (n * k + face) * mobility[2],
        0.5 * n * k * r * r * mobility[3].max(mobility[4]),
        slide * (across + lower) + obstacles,
        slide * r * r * mobility[5],
    ];
    // Bolts that stick or slide for sure leave these two.
    let held = STEP_LIMIT / w2[0].max(w2[1]).sqrt();
    let w2 = w2.into_iter().fold(0.0_f64, f64::max);
    let clamped = wanted.min(contact).min(STEP_LIMIT / w2.sqrt());
    // What stands in the way of the foot is met with the step after the last release.
    let stiffest = obstacles.max(face * mobility[2]);
    let free = free.min(STEP_LIMIT / stiffest.sqrt());
    let (clamped, free) = (whole(clamped), whole(free));
    let touch = match touch_samples(free, contact) {
        [1, _] => free,
        [samples, _] => samples as f64 * SAMPLE_S,
    };
    let most = if parts {
        clamped
    } else {
        held.min(MOST_SHORT_STEPS * clamped * (1.0 + 1e-9))
    };
    let [free_long, touch_long] = [free, touch].map(|dt| (dt <= most).then_some(dt));
    let free_long = free_long.unwrap_or(clamped);
    (clamped, free, [touch_long.unwrap_or(free_long), free_long])
}

/// Samples of a step in which the struck face alone acts on the released pole, at most, and where its foot is clear of the base ...
const MOST_TOUCH_SAMPLES: [usize; 2] = [2, 3];
/// ... and the part of the face's largest step that it takes (assumed).
const TOUCH_PART: f64 = 0.25;

/// Samples of a step in which the struck face, whose largest step is `face`, alone acts on the released pole.
fn touch_samples(free_step: f64, face: f64) -> [usize; 2] {
    if free_step < SAMPLE_S {
        // Somebody asked for finer steps.
        return [1; 2];
    }
    MOST_TOUCH_SAMPLES.map(|most| ((TOUCH_PART * face / SAMPLE_S) as usize).clamp(1, most))
}

/// Part of the face's largest step that the flight uses: several bands press at once, also below the main height,
/// where the pole is softer.
const FACE_PART: f64 = 0.25;

/// Largest step of the struck face that unloads against the pole (or against the fixed obstacle), s.
fn face_limit(s: &Scenario, solution: &SupportSolution, loose: bool) -> f64 {
    let unloading = struck_face(s)
        .bands
        .iter()
        .fold(0.0_f64, |m, b| m.max(b.unloading_npm));
    // Behind a struck side only the second mass stands.
    let share = match s.impact.face {
        StruckFace::Front => 0.0,
        StruckFace::LeftSide | StruckFace::RightSide => s.vehicle.side_body.share,
    };
    let mass = if share > 0.0 { share } else { 1.0 } * s.vehicle.mass_kg;
    let unloading = unloading
        + if share > 0.0 {
            s.vehicle.side_body.stiffness_npm
        } else {
            0.0
        };
    let mut mobility = 1.0 / mass;
    if loose {
        mobility += contact_mobility(solution);
    }
    STEP_LIMIT / (unloading * mobility).sqrt()
}

/// Inverse effective mass of the pole at the main contact height: rigid part and all elastic coordinates.
fn contact_mobility(solution: &SupportSolution) -> f64 {
    let m = &solution.modes.properties;
    let inverse = m.inertia_kgm2.try_inverse().unwrap_or_else(Matrix3::zeros);
    let place = Vector3::new(0.0, 0.0, solution.moment_height_m) - m.centre_m;
    let c = place.cross_matrix();
    let rigid = c * inverse * c.transpose();
    let (k, _) = solution.table_place(solution.moment_height_m);
    (0..2)
        .map(|d| {
            let bending: f64 = solution
                .table_row(k)
                .iter()
                .map(|row| both(row[d] * row[d]))
                .sum();
            1.0 / m.mass_kg + rigid[(d, d)] + bending
        })
        .fold(0.0, f64::max)
}
