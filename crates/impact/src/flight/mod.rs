//! The flight: pole and vehicle after the release, over the vehicle, to the ground, to rest.
//!
//! Pole and arms are one rigid body, or several where the arms break off. The vehicle rolls on its tyres; its skin
//! dents (`skin`), its struck face goes on acting (`face`). Away from ground and stub the bodies are stepped as in
//! the impact (velocity Verlet, rotation by its midpoint), so a free flight follows its parabola to rounding; near them
//! the step that moves the pole is done with their contacts (`lying`, `world`), between the same half kicks. While the
//! struck face is near the pole the step is that of the impact after release.
//!
//! # References
//! - Verlet, L., Physical Review 159, 1967, p 98; Swope, W. C., and others, Journal of Chemical Physics 76, 1982, p 637
//!   (velocity form). \[recalled\]
//! - AASHTO, Manual for Assessing Safety Hardware, 2016: roof 102 mm, windscreen 76 mm. \[recalled\]

mod car;
mod face;
mod flags;
mod free;
mod ground;
mod lying;
pub mod outcome;
mod piece;
mod report;
mod skin;
mod state;
mod sweep;
#[cfg(test)]
pub(crate) mod tests;
#[cfg(test)]
mod traps;
mod world;

use giveway_mechanics::erection::arm_blow;
use giveway_scenario::model::ArmHold;
use nalgebra::Vector3;

pub use free::{FlightState, free_flight};
pub use state::EndState;

pub(crate) use flags::flags;

use crate::clock::SAMPLE_S;
use crate::error::ImpactError;
use crate::outcome::VehicleRecord;
use crate::prepared::Prepared;
use crate::request::Keep as Recorded;
use car::{Car, Moved};
use face::Face;
use ground::{AtStub, Lowest, Terrain};
use outcome::{Flight, FlightEnding, FlightEnergy, FlightWork, Frame, HandOver, Part, Zone};
use piece::Piece;
use report::Log;
use skin::Skin;
use state::spin_of;
use sweep::Plan;
use world::World;

/// The contact engine takes over when a piece is nearer to ground or stub than this, m: it acts on what lies within its
/// prediction at the beginning of a step.
const NEAR_M: f64 = world::PREDICTION_M + 0.001;
/// A push while the lowest point is farther from the ground than this is the stub's, m.
const GROUND_M: f64 = 0.02;
/// A piece is at rest below this speed, m/s, and this spin, rad/s ...
const REST_SPEED: f64 = 0.02;
/// ... for this long, s.
const REST_S: f64 = 0.1;
/// A contact harder than this breaks arms off where the scenario says so, m/s (assumed).
const HARD_MPS: f64 = 1.0;
/// The plan is marked anew when a point has moved so far, m.
const MARK_M: f64 = 0.1;
/// Looks under the vehicle come at least so often, s.
const LOOK_S: f64 = 0.005;
/// Longest step in steps of the scenario, while no piece can touch the vehicle ...
const LONGEST: usize = 4;
/// ... the turn in it, rad ...
const TURN_RAD: f64 = 0.03;
/// ... and the way that a point goes towards the ground, or any way near the stub, in a step of 2 ms, m.
const WAY_M: f64 = 0.02;

/// Closing speed of the hardest blow after which the arms stay on the pole, m/s; without end where none breaks them.
fn arms_bear(p: &Prepared) -> Result<f64, ImpactError> {
    let support = &p.scenario.support;
    match p.scenario.flight.arms {
        ArmHold::Stay => Ok(f64::INFINITY),
        ArmHold::Break => Ok(HARD_MPS),
        ArmHold::ByStrength => {
            let mut least = f64::INFINITY;
            for (arm, fixed) in support.arms.iter().enumerate() {
                // Two screws bear no moment about the line through them.
                if fixed.joint.screws < 3 {
                    least = least.min(HARD_MPS);
                    continue;
                }
                let blow = arm_blow(support, arm).map_err(|e| ImpactError::Base(e.to_string()))?;
                if let Some(speed) = blow.breaks_above_mps {
                    least = least.min(speed);
                }
            }
            Ok(least)
        }
    }
}

/// What a flight is asked to keep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Keep {
    /// Only the numbers.
    Numbers,
    /// The instants too.
    Frames,
}

/// Follows vehicle and pole from `end` to the pole's rest or the scenario's time limit. The instants are kept where
/// `frames` is true.
///
/// # Errors
/// A state that stops being finite, with body, quantity and time.
pub fn fly(prepared: &Prepared, end: &EndState, frames: bool) -> Result<Flight, ImpactError> {
    let mut record = VehicleRecord::default();
    let keep = if frames { Keep::Frames } else { Keep::Numbers };
    fly_on(prepared, end, keep, Recorded::Nothing, &mut record).map(|(flight, _)| flight)
}

/// As [`fly`]; extends the vehicle's record and returns the vehicle's last motion.
pub(crate) fn fly_on(
    p: &Prepared,
    end: &EndState,
    keep: Keep,
    recorded: Recorded,
    record: &mut VehicleRecord,
) -> Result<(Flight, Car), ImpactError> {
    let mut trip = Trip::new(p, end)?;
    // What the pole sweeps and what is under the vehicle moves nothing: it is left out where only the occupant's numbers count.
    let briefly = recorded == Recorded::Accelerations && keep == Keep::Numbers;
    let settings = &p.scenario.flight;
    // Whole samples, or a whole fraction of one.
    let coarse = (settings.step_s / SAMPLE_S + 1e-9).floor().max(1.0);
    let step = if settings.step_s < SAMPLE_S {
        SAMPLE_S / (SAMPLE_S / settings.step_s - 1e-9).ceil()
    } else {
        coarse * SAMPLE_S
    };
    // Near the struck face: no longer than its law allows.
    let fine = if p.face_step < SAMPLE_S {
        (SAMPLE_S / (SAMPLE_S / p.face_step).ceil()).min(step)
    } else {
        ((p.face_step / SAMPLE_S).floor() * SAMPLE_S).min(step)
    };
    trip.base_step = step;
    trip.face.allow(step);
    let (mut still, mut due, mut moved) = (0.0, 0.0, MARK_M);
    let mut out = Vec::new();
    trip.forces(0.0);
    trip.skin.begin();
    if keep == Keep::Frames {
        out.push(trip.frame());
    }
    let ending = loop {
        let before = trip.car.motion();
        let count = trip.pace();
        let samples = if trip.face.near {
            (fine / SAMPLE_S).round().max(1.0) as usize
        } else {
            coarse as usize * count
        };
        let span = samples as f64 * SAMPLE_S;
        if count > 1 {
            trip.step_apart(span, count, |car, before| {
                write(car, record, recorded, before, coarse as usize);
            })?;
        } else {
            let dt = if trip.face.near { fine } else { step };
            for _ in 0..(span / dt).round().max(1.0) as usize {
                trip.step(dt)?;
            }
            write(&trip.car, record, recorded, &before, samples);
        }
        trip.samples += samples;
        trip.time = end.time_s + trip.samples as f64 * SAMPLE_S;
        trip.check_finite()?;
        moved += trip.fastest * span;
        if !briefly && moved >= MARK_M {
            trip.plan.mark(&trip.pieces, &trip.terrain, trip.time);
            moved = 0.0;
        }
        if !briefly && trip.time >= due {
            trip.look_under();
            due = trip.time + LOOK_S;
        }
        if keep == Keep::Frames {
            out.push(trip.frame());
        }
        still = if trip.still { still + span } else { 0.0 };
        if still >= REST_S {
            break FlightEnding::AtRest;
        }
        if trip.time >= settings.limit_s - 0.5 * SAMPLE_S {
            break FlightEnding::TimeLimit;
        }
    };
    let car = trip.car.clone();
    Ok((trip.finish(ending, out), car))
}

/// What moves a piece in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mover {
    /// It flies.
    Nothing,
    /// The few points of `lying` on the ground ...
    Ground,
    /// ... and across the stub.
    GroundAndStub,
    /// The contact engine.
    World,
}

/// A piece at the beginning of a step.
struct Before {
    v: Vector3<f64>,
    rate: Vector3<f64>,
    kinetic: f64,
    lowest: Lowest,
    /// Speed at which its lowest point comes down, m/s.
    closing: f64,
}

/// A flight in the course of time.
pub(crate) struct Trip<'a> {
    pub(crate) p: &'a Prepared,
    end: &'a EndState,
    pub(crate) time: f64,
    samples: usize,
    pub(crate) car: Car,
    pub(crate) pieces: Vec<Piece>,
    pub(crate) skin: Skin,
    pub(crate) face: Face,
    pub(crate) terrain: Terrain,
    world: Option<World>,
    /// Step of the scenario in whole samples, s.
    base_step: f64,
    /// Least clearance over the ground at the last step, m.
    clearance: f64,
    /// Speed of the fastest point of a piece at the beginning of the step, m/s, at most.
    fastest: f64,
    /// What moves each piece in this step; what flies is near nothing.
    by: Vec<Mover>,
    /// Every piece was at rest after the last step's contacts, before the half kick that the next ones take back.
    still: bool,
    hand_over: HandOver,
    start_j: f64,
    pub(crate) log: Log,
    pub(crate) plan: Plan,
    pub(crate) ground_j: f64,
    ground_ns: Vector3<f64>,
    push: (Vector3<f64>, Vector3<f64>, f64),
    arms_off: Option<f64>,
    /// Closing speed of the hardest blow that the arms' joints bear, m/s.
    arms_bear: f64,
    driven_over: bool,
    over_stub: Option<f64>,
    touched: Option<f64>,
    work: FlightWork,
    /// Of each piece.
    touches: Vec<lying::Touches>,
    before: Vec<Before>,
}

impl<'a> Trip<'a> {
    pub(crate) fn new(p: &'a Prepared, end: &'a EndState) -> Result<Self, ImpactError> {
        let s = &p.scenario;
        let mut pole = Piece::whole(p, end.hinge.as_ref())?;
        pole.x = Vector3::from(end.support.position_m);
        pole.v = Vector3::from(end.support.velocity_mps);
        pole.spin = spin_of("support", &pole.inertia, &end.support)?;
        pole.place_rods();
        let vspin = spin_of("vehicle", &p.vehicle.inertia, &end.vehicle)?;
        let direction = Vector3::new(
            libm::cos(s.impact.velocity_direction_rad),
            libm::sin(s.impact.velocity_direction_rad),
            0.0,
        );
        let face = Face::new(
            end.bands.clone(),
            end.inward,
            [
                end.elastic.clone(),
                end.elastic_rates.clone(),
                end.set.clone(),
            ],
            s.flight.step_s,
        );
        let hand_over = end.kept(p, &vspin, &pole, face.bending_energy(p));
        let crush = match s.impact.face {
            giveway_scenario::model::StruckFace::Front => face.crush(),
            _ => 0.0,
        };
        let mut skin = Skin::new(s, crush);
        let pieces = vec![pole];
        skin.fit(&pieces);
        let car = Car::new(
            Vector3::from(end.vehicle.position_m),
            Vector3::from(end.vehicle.velocity_mps),
            vspin,
            direction,
        );
        let mut trip = Self {
            p,
            end,
            time: end.time_s,
            samples: 0,
            car,
            pieces,
            skin,
            face,
            terrain: Terrain::new(s),
            world: None,
            base_step: s.flight.step_s,
            clearance: 0.0,
            fastest: 0.0,
            by: vec![Mover::Nothing],
            still: false,
            hand_over,
            start_j: 0.0,
            log: Log::default(),
            plan: Plan::new(&s.site.ground.strips),
            ground_j: 0.0,
            ground_ns: Vector3::zeros(),
            push: (Vector3::zeros(), Vector3::zeros(), 0.0),
            arms_off: None,
            arms_bear: arms_bear(p)?,
            driven_over: false,
            over_stub: None,
            touched: None,
            work: FlightWork::default(),
            touches: vec![lying::Touches::default()],
            before: Vec::new(),
        };
        trip.start_j = trip.energy();
        Ok(trip)
    }

    /// Kinetic and potential energy of vehicle and pieces, J.
    pub(crate) fn energy(&self) -> f64 {
        let g = self.p.scenario.site.gravity_mps2;
        let pieces: f64 = self
            .pieces
            .iter()
            .map(|piece| piece.kinetic() + piece.mass * g * piece.x.z)
            .sum();
        self.car.kinetic(self.p) + self.car.potential(self.p) + pieces
    }

    /// All that has been taken so far, J.
    pub(crate) fn taken(&self) -> f64 {
        self.skin.dent_j
            + self.skin.rub_j
            + self.face.crush_j
            + self.face.rub_j
            + self.face.bending_j
            + self.car.tyre_j
            + self.ground_j
    }

    /// Every force at the present place; `dt` is the step that led here.
    pub(crate) fn forces(&mut self, dt: f64) {
        let g = self.p.scenario.site.gravity_mps2;
        for piece in &mut self.pieces {
            piece.force = Vector3::new(0.0, 0.0, -piece.mass * g);
            piece.torque = Vector3::zeros();
        }
        self.car.forces(self.p, &self.terrain, dt);
        let carrier = self.car.carrier();
        let mut total = self
            .face
            .touch(self.p, &mut self.pieces[0], &carrier, self.time, dt);
        self.skin.hits.clear();
        for (index, piece) in self.pieces.iter_mut().enumerate() {
            let (f, m) = self.skin.touch(index, piece, &carrier, dt);
            total.0 += f;
            total.1 += m;
        }
        self.car.push(&total.0, &total.1);
        self.push = (Vector3::zeros(), Vector3::zeros(), 0.0);
        for hit in self.face.hits.iter().chain(&self.skin.hits) {
            let size = hit.force.norm();
            self.push.0 -= hit.force;
            self.push.1 += hit.place * size;
            self.push.2 += size;
            self.touched = Some(self.time);
            self.log
                .of_vehicle(&self.p.scenario.vehicle, hit, self.time, dt);
        }
    }

    /// Length of the next step in steps of the scenario: more than one where no piece can reach the vehicle in it, none
    /// turns far and none comes down on ground or stub fast.
    fn pace(&mut self) -> usize {
        self.fastest = 0.0;
        let apart = !self.face.near && (self.arms_bear.is_infinite() || self.arms_off.is_some());
        let longest = LONGEST as f64;
        let base = self.base_step;
        let way = WAY_M * base / 2e-3;
        let steps = |span: f64, speed: f64| span / (speed * base).max(1e-12);
        let mut most = longest;
        for piece in &self.pieces {
            let motion = piece.motion();
            self.fastest = self.fastest.max(motion.fastest);
            if !apart {
                most = 1.0;
                continue;
            }
            most = most.min(steps(TURN_RAD, motion.turning));
            let lean = self.terrain.tangent.abs();
            let falling = motion.falling + lean * motion.fastest;
            if self.clearance < NEAR_M + 4.0 * longest * base * falling {
                most = most.min(steps(way, falling));
            }
            // What costs more is looked at only where more than one step is left.
            if most >= 2.0 {
                most = most.min(steps(
                    0.5 * (self.gap(piece) - 0.1),
                    piece.closing(&self.car.v),
                ));
            }
            let reached = NEAR_M + 4.0 * longest * base * motion.fastest;
            if most >= 2.0 && self.terrain.stub(piece, reached) != AtStub::Away {
                most = most.min(steps(way, motion.fastest));
            }
        }
        most.max(1.0) as usize
    }

    /// Distance of a piece's rods from the box about the vehicle's body, m, at least.
    fn gap(&self, piece: &Piece) -> f64 {
        let car = &self.car;
        let of = |rod: &piece::Rod| {
            let seen = |end: &Vector3<f64>| car.spin.rotation.tr_mul(&(end - car.x));
            self.skin.away(&seen(&rod.ends[0]), &seen(&rod.ends[1]))
                - rod.radius_from.max(rod.radius_to)
        };
        piece.rods.iter().map(of).fold(f64::INFINITY, f64::min)
    }

    /// One step of pieces that cannot touch the vehicle; the vehicle takes `parts` of it.
    fn step_apart(
        &mut self,
        dt: f64,
        parts: usize,
        mut tell: impl FnMut(&Car, &Moved),
    ) -> Result<(), ImpactError> {
        self.push = (Vector3::zeros(), Vector3::zeros(), 0.0);
        let h = dt / parts as f64;
        for _ in 0..parts {
            let before = self.car.motion();
            self.car.kick(self.p, 0.5 * h);
            self.car.drift(self.p, h);
            self.car.forces(self.p, &self.terrain, h);
            self.car.kick(self.p, 0.5 * h);
            tell(&self.car, &before);
        }
        for piece in &mut self.pieces {
            piece.kick(0.5 * dt);
        }
        self.face.drift(dt);
        self.drift_pieces(dt)?;
        for piece in &mut self.pieces {
            piece.kick(0.5 * dt);
        }
        self.time += dt;
        self.work.steps += 1;
        Ok(())
    }

    /// One step.
    pub(crate) fn step(&mut self, dt: f64) -> Result<(), ImpactError> {
        self.kick(0.5 * dt);
        self.car.drift(self.p, dt);
        self.face.drift(dt);
        self.drift_pieces(dt)?;
        self.time += dt;
        self.forces(dt);
        self.kick(0.5 * dt);
        self.work.steps += 1;
        self.work.face_steps += usize::from(self.face.near);
        if self.arms_off.is_none() && self.log.hardest > self.arms_bear {
            self.break_arms()?;
        }
        Ok(())
    }

    fn kick(&mut self, dt: f64) {
        for piece in &mut self.pieces {
            piece.kick(dt);
        }
        self.car.kick(self.p, dt);
        self.face.kick(dt);
    }

    fn drift_pieces(&mut self, dt: f64) -> Result<(), ImpactError> {
        self.before.clear();
        self.clearance = f64::INFINITY;
        let (mut any, mut at_stub) = (false, false);
        // Level ground takes a piece that would come down on it within the step, the contact engine what is there already.
        let convex = self.terrain.convex();
        let room = NEAR_M + if convex { 0.0 } else { self.fastest * dt };
        for (i, piece) in self.pieces.iter().enumerate() {
            let lowest = self.terrain.lowest(piece);
            let stub = self.terrain.stub(piece, NEAR_M);
            at_stub |= stub != AtStub::Away;
            self.by[i] = match stub {
                AtStub::Away if lowest.clearance >= room => Mover::Nothing,
                AtStub::Near => Mover::World,
                _ if convex => Mover::World,
                AtStub::Across => Mover::GroundAndStub,
                AtStub::Away => Mover::Ground,
            };
            self.clearance = self.clearance.min(lowest.clearance);
            any |= self.by[i] != Mover::Nothing;
            let rate = piece.rate();
            self.before.push(Before {
                v: piece.v,
                rate,
                kinetic: piece.kinetic(),
                lowest,
                closing: -piece.velocity_with(&rate, &lowest.place).z,
            });
        }
        let moved = self.pieces.iter_mut().zip(&mut self.touches);
        for ((piece, touches), by) in moved.zip(&self.by) {
            match by {
                Mover::Nothing => {
                    piece.drift(dt);
                    touches.forget();
                }
                Mover::World => touches.forget(),
                Mover::Ground | Mover::GroundAndStub => {}
            }
        }
        self.still = false;
        if !any {
            return Ok(());
        }
        self.work.contact_steps += 1;
        if self.by.contains(&Mover::World) {
            let (terrain, pieces) = (&self.terrain, &self.pieces);
            let world = self
                .world
                .get_or_insert_with(|| World::new(terrain, pieces));
            let moved: Vec<_> = self.by.iter().map(|by| *by == Mover::World).collect();
            world.step(&mut self.pieces, &moved, at_stub, dt, self.time)?;
        }
        let gravity = self.p.scenario.site.gravity_mps2;
        for (i, piece) in self.pieces.iter_mut().enumerate() {
            let at_stub = self.by[i] == Mover::GroundAndStub;
            if at_stub || self.by[i] == Mover::Ground {
                let touches = &mut self.touches[i];
                self.ground_j -= lying::step(piece, &self.terrain, at_stub, gravity, dt, touches);
            }
        }
        self.still = !self.by.contains(&Mover::Nothing);
        for (i, before) in self.before.iter().enumerate() {
            let piece = &self.pieces[i];
            let rate = piece.rate();
            self.still &= piece.v.norm() < REST_SPEED && rate.norm() < REST_SPEED;
            let Before {
                lowest, closing, ..
            } = before;
            let impulse = (piece.v - before.v) * piece.mass;
            if self.by[i] == Mover::Nothing || impulse.norm() <= 1e-9 * piece.mass {
                continue;
            }
            // The half kick before the contact did its work on a way that the contact then cut short.
            let short =
                piece.force.dot(&(piece.v - before.v)) + piece.torque.dot(&(rate - before.rate));
            let lost = before.kinetic - piece.kinetic() + 0.5 * dt * short;
            self.ground_j += lost;
            self.ground_ns += impulse;
            // The engine begins to act a little before the touch.
            let ground = lowest.clearance < GROUND_M + closing.max(0.0) * dt;
            let at_stub = matches!(self.by[i], Mover::GroundAndStub | Mover::World)
                && self.terrain.stub(piece, NEAR_M) != AtStub::Away;
            let zone = if !ground && at_stub {
                Zone::Stub
            } else {
                Zone::Ground
            };
            let when = if *closing > 0.0 {
                self.time + (lowest.clearance / closing).clamp(0.0, dt)
            } else {
                self.time
            };
            self.log
                .of_ground(zone, lowest, *closing, impulse.norm(), lost, when);
        }
        Ok(())
    }

    /// Arms fly on by themselves.
    fn break_arms(&mut self) -> Result<(), ImpactError> {
        self.arms_off = Some(self.time);
        if self.p.scenario.support.arms.is_empty() {
            return Ok(());
        }
        self.pieces = Piece::apart(self.p, &self.pieces[0], self.end.hinge.as_ref())?;
        self.by = vec![Mover::Nothing; self.pieces.len()];
        self.touches = self
            .pieces
            .iter()
            .map(|_| lying::Touches::default())
            .collect();
        self.world = None;
        self.skin.fit(&self.pieces);
        self.forces(0.0);
        Ok(())
    }

    fn check_finite(&self) -> Result<(), ImpactError> {
        let pole: f64 = self
            .pieces
            .iter()
            .map(|piece| piece.x.norm_squared() + piece.v.norm_squared())
            .sum();
        let car = self.car.x.norm_squared() + self.car.v.norm_squared();
        for (body, value) in [("vehicle", car), ("pole", pole)] {
            if !value.is_finite() {
                return Err(ImpactError::NotFinite {
                    body,
                    quantity: "motion in flight",
                    time_s: self.time,
                });
            }
        }
        Ok(())
    }

    /// What is under the vehicle now: the pole, the stub.
    fn look_under(&mut self) {
        let s = &self.p.scenario;
        let carrier = self.car.carrier();
        if let Some(gap) = report::over_stub(&s.vehicle, &carrier, s.site.slip_plane_height_m) {
            self.over_stub = Some(self.over_stub.map_or(gap, |least| least.min(gap)));
        }
        let near = self.pieces.iter().zip(&self.by);
        let near = near
            .filter(|(_, by)| **by != Mover::Nothing)
            .map(|(piece, _)| piece);
        self.driven_over |= report::over(
            &self.p.scenario.vehicle,
            self.skin.front,
            &self.car.carrier(),
            near,
        );
    }

    fn frame(&mut self) -> Frame {
        let (force, place, size) = self.push;
        let ground = std::mem::replace(&mut self.ground_ns, Vector3::zeros());
        Frame {
            time_s: self.time,
            vehicle: outcome::Pose {
                position_m: self.car.x.into(),
                rotation: self.car.spin.attitude.to_array(),
            },
            pieces: self
                .pieces
                .iter()
                .map(|piece| outcome::Pose {
                    position_m: piece.place(&piece.origin).into(),
                    rotation: piece.spin.attitude.to_array(),
                })
                .collect(),
            elastic: self.face.elastic(self.p),
            crush_m: self.face.crushes(),
            force_n: force.into(),
            force_place_m: (size > 0.0).then(|| (place / size).into()),
            ground_ns: ground.into(),
        }
    }

    fn finish(self, ending: FlightEnding, frames: Vec<Frame>) -> Flight {
        let s = &self.p.scenario;
        let end_j = self.energy();
        let residual_j = self.start_j - end_j - self.taken();
        let energy = FlightEnergy {
            start_j: self.start_j,
            end_j,
            vehicle_kinetic_j: self.car.kinetic(self.p),
            support_kinetic_j: self.pieces.iter().map(Piece::kinetic).sum(),
            dent_j: self.skin.dent_j,
            rub_j: self.skin.rub_j + self.face.rub_j,
            crush_j: self.face.crush_j,
            bending_j: self.face.bending_j,
            tyre_j: self.car.tyre_j,
            ground_j: self.ground_j,
            residual_j,
        };
        let start = Vector3::new(
            libm::cos(s.impact.velocity_direction_rad),
            libm::sin(s.impact.velocity_direction_rad),
            0.0,
        );
        let [foot_m, tip_m] = report::ends(&self.pieces[0]);
        Flight {
            hand_over: self.hand_over,
            ending,
            end_time_s: self.time,
            clears_vehicle: self.log.clear_of_skin(),
            least_over_roof_m: self.skin.least_over_roof(),
            roof: report::dent(&s.vehicle.skin, self.skin.dent(Zone::Roof), report::ROOF),
            windscreen: report::dent(
                &s.vehicle.skin,
                self.skin.dent(Zone::Windscreen),
                report::WINDSCREEN,
            ),
            contacts: self.log.contacts(),
            driven_over: self.driven_over,
            arms_off_s: self.arms_off,
            arms_bear_mps: Some(self.arms_bear).filter(|v| v.is_finite()),
            foot_m,
            tip_m,
            luminaires_m: report::places(&self.pieces, Part::Luminaire),
            sweep: self.plan.finish(&self.pieces, &self.terrain),
            velocity_change_at_end_mps: (start * s.impact.speed_mps - self.car.v).dot(&start),
            contact_end_time_s: self.touched,
            stub_clearance_m: self.over_stub,
            energy,
            work: self.work,
            frames,
        }
    }
}

/// Adds `samples` intervals to the vehicle's record: the mean of the step in each.
fn write(
    car: &Car,
    record: &mut VehicleRecord,
    recorded: Recorded,
    before: &Moved,
    samples: usize,
) {
    if recorded == Recorded::Nothing {
        return;
    }
    let dv = (car.v - before.v) / (samples as f64 * SAMPLE_S);
    let a = (before.rotation.tr_mul(&dv) + car.spin.rotation.tr_mul(&dv)) * 0.5;
    let a: [f64; 3] = a.into();
    record
        .acceleration_mps2
        .extend(std::iter::repeat_n(a, samples));
    if recorded != Recorded::Everything {
        return;
    }
    let yaw_rate = 0.5 * (before.yaw_rate + car.spin.rate.z);
    let rates = std::iter::repeat_n(yaw_rate, samples);
    record.yaw_rate_radps.extend(rates);
    let attitude = car.spin.attitude.roll_pitch_yaw();
    let attitudes = std::iter::repeat_n(attitude, samples);
    record.attitude_rad.extend(attitudes);
    let between = |from: Vector3<f64>, to: Vector3<f64>| {
        let part = 1.0 / samples as f64;
        (1..=samples).map(move |k| <[f64; 3]>::from(from + (to - from) * (k as f64 * part)))
    };
    record.position_m.extend(between(before.x, car.x));
    record.end_velocity_mps.extend(between(before.v, car.v));
}
