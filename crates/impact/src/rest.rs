//! Static rest of the clamped pole: the six rigid coordinates and the elastic ones that hold the dead load.

use giveway_mechanics::attitude::Attitude;
use giveway_mechanics::joint::{AxialLaw, BoltState, JointLaw};
use giveway_mechanics::tube::diameter_at;
use giveway_scenario::model::Scenario;
use nalgebra::{LU, Matrix3, Matrix6, U6, Vector2, Vector3, Vector6};
use wide::f64x2;

use crate::error::ImpactError;
use crate::prepared::Prepared;
use crate::solution::{SupportSolution, both, pairs};

/// Pose of the support at rest.
#[derive(Debug, Clone)]
pub(crate) struct Rest {
    /// Centre of mass, site frame, m.
    pub position: Vector3<f64>,
    /// Attitude.
    pub attitude: Attitude,
    /// Elastic coordinates.
    pub elastic: Vec<f64>,
}

impl Rest {
    /// Point of the pole axis (site frame) and local radius at height `z` above the foot.
    pub fn pole_at(&self, p: &Prepared, z: f64) -> (Vector3<f64>, f64) {
        let s = &p.solution;
        let (k, f) = s.table_place(z);
        let part = f64x2::splat(f);
        let (mut x, mut y) = (f64x2::ZERO, f64x2::ZERO);
        for (row, q) in s.table_row(k).iter().zip(pairs(&self.elastic)) {
            x += (row[0] + row[2] * part) * q;
            y += (row[1] + row[3] * part) * q;
        }
        let u = Vector3::new(both(x), both(y), 0.0);
        let local = Vector3::new(0.0, 0.0, z) - s.modes.properties.centre_m + u;
        let pole = &p.scenario.support.pole;
        let radius = 0.5 * diameter_at(pole, z / p.scenario.support.pole_length_m);
        (self.position + self.attitude.matrix() * local, radius)
    }
}

/// The upper plate in space: foot point, axes after the support's rotation, the turn of the foot by bending and a hinge.
pub(crate) struct UpperPlate {
    pub foot: Vector3<f64>,
    axes: Matrix3<f64>,
    /// Slope of the plate along x and y.
    pub slope: Vector2<f64>,
}

impl UpperPlate {
    pub fn new(
        foot: Vector3<f64>,
        rotation: &Matrix3<f64>,
        turn: &Vector3<f64>,
        hinge: Option<&Matrix3<f64>>,
    ) -> Self {
        let mut axes = rotation * turning(turn);
        if let Some(hinge) = hinge {
            axes *= hinge;
        }
        let fall = -1.0 / axes.m33;
        Self {
            foot,
            slope: Vector2::new(axes.m13 * fall, axes.m23 * fall),
            axes,
        }
    }

    /// Where the seat that stood at (x, y) from the pole axis is now.
    #[inline]
    pub fn seat(&self, seat: &Vector2<f64>) -> Vector3<f64> {
        self.foot + self.axes.column(0) * seat.x + self.axes.column(1) * seat.y
    }

    /// The upper seat of the bolt with the notch axis `axis` on a circle of `radius`, and its displacement from the lower seat
    /// when the lower plate has moved by `lower`.
    #[inline]
    pub fn upper(
        &self,
        axis: &Vector2<f64>,
        radius: f64,
        lower: &Vector2<f64>,
    ) -> (Vector3<f64>, Vector2<f64>) {
        let seat = axis * radius;
        let upper = self.seat(&seat);
        (upper, upper.xy() - seat - lower)
    }

    /// Place under the plate of that bolt when it has moved by `shift` from its lower seat.
    #[inline]
    pub fn under(
        &self,
        axis: &Vector2<f64>,
        radius: f64,
        lower: &Vector2<f64>,
        shift: &Vector2<f64>,
    ) -> Vector3<f64> {
        self.above(axis * radius + lower + shift)
    }

    /// Where the plate's own axes along x and y point now.
    pub fn axes(&self) -> [Vector3<f64>; 2] {
        [
            self.axes.column(0).into_owned(),
            self.axes.column(1).into_owned(),
        ]
    }

    /// The point of the plate above the place (x, y).
    #[inline]
    pub fn above(&self, at: Vector2<f64>) -> Vector3<f64> {
        let rise = self.slope.dot(&(at - self.foot.xy()));
        Vector3::new(at.x, at.y, self.foot.z + rise)
    }
}

/// The rotation by the turn t of the foot, by Cayley's map, at every size of t: 1 + (T + T T/2)/(1 + t^2/4) with T a = t x a.
#[inline]
pub(crate) fn turning(turn: &Vector3<f64>) -> Matrix3<f64> {
    // T T = t t^T - t^2
    let squared = turn.norm_squared();
    let scale = 1.0 / (1.0 + 0.25 * squared);
    let mut rotation = (turn.cross_matrix() + turn * turn.transpose() * 0.5) * scale;
    for i in 0..3 {
        rotation[(i, i)] += 1.0 - 0.5 * squared * scale;
    }
    rotation
}

/// What the moment `m` does on the vector `turn` of the foot: its work on the rotation that a change dt of `turn` makes,
/// (dt + t x dt/2)/(1 + t^2/4).
#[inline]
pub(crate) fn on_turn(m: &Vector3<f64>, turn: &Vector3<f64>) -> Vector3<f64> {
    (m + m.cross(turn) * 0.5) / (1.0 + 0.25 * turn.norm_squared())
}

/// Where a bolt's upper seat and the bolt itself are.
pub(crate) struct Seat {
    /// Upper seat: the force in the slip plane acts on the plate here, so that its work is that of the slip.
    pub upper: Vector3<f64>,
    /// Displacement of the upper seat from the lower seat.
    pub slip: Vector2<f64>,
    /// Place of the bolt under the plate: tension and washer force act here.
    pub place: Vector3<f64>,
}

impl Seat {
    /// The bolt with the notch axis `axis` on a circle of `radius`, when the lower plate has moved by `lower`; `shift`
    /// gives the bolt's own displacement from its lower seat for a displacement of its upper seat.
    #[inline]
    pub fn locate(
        plate: &UpperPlate,
        axis: &Vector2<f64>,
        radius: f64,
        lower: &Vector2<f64>,
        shift: impl FnOnce(&Vector2<f64>) -> Vector2<f64>,
    ) -> Self {
        let (upper, slip) = plate.upper(axis, radius, lower);
        let place = plate.under(axis, radius, lower, &shift(&slip));
        Self { upper, slip, place }
    }
}

/// A clamped bolt at rest under that plate, and its seat.
pub(crate) fn bolt_at_rest(
    plate: &UpperPlate,
    axis: Vector2<f64>,
    radius: f64,
    slip_height: f64,
    law: &JointLaw,
) -> (BoltState, Seat) {
    let seat = Seat::locate(plate, &axis, radius, &Vector2::zeros(), |s| {
        law.shift(&axis, s)
    });
    let bolt = BoltState::at_rest(axis, law, seat.slip, seat.place.z - slip_height);
    (bolt, seat)
}

/// Outward axis of each bolt in the slip plane.
pub(crate) fn bolt_axes(s: &Scenario) -> Vec<Vector2<f64>> {
    let n = s.base.bolt_count;
    (0..n)
        .map(|i| {
            let a =
                s.base.first_bolt_azimuth_rad + 2.0 * std::f64::consts::PI * i as f64 / n as f64;
            Vector2::new(libm::cos(a), libm::sin(a))
        })
        .collect()
}

struct Balance {
    residual: Vector6<f64>,
    elastic: Vec<f64>,
}

/// Newton's method on the rigid pose; the elastic shape follows from the load that the foot must carry.
///
/// # Errors
/// No equilibrium found, with what to change.
pub(crate) fn find_rest(
    s: &Scenario,
    solution: &SupportSolution,
    joint: Option<&[JointLaw]>,
) -> Result<Rest, ImpactError> {
    let m = &solution.modes.properties;
    let upright = Rest {
        position: m.centre_m + Vector3::z() * s.site.slip_plane_height_m,
        attitude: Attitude::identity(),
        elastic: vec![0.0; solution.coordinates()],
    };
    let Some(joint) = joint else {
        return Ok(upright);
    };
    let weight = m.mass_kg * s.site.gravity_mps2;
    let axes = bolt_axes(s);
    let mut pose = upright;
    // Start where the bent pole's foot sits square in its notches.
    for _ in 0..4 {
        pose.elastic = balance(s, solution, joint, &axes, &pose, weight, true).elastic;
        let (u, turn) = solution.foot_motion(&pose.elastic);
        pose.attitude = Attitude::identity().rotated_by(&-turn);
        pose.position =
            Vector3::z() * s.site.slip_plane_height_m - pose.attitude.matrix() * (u - m.centre_m);
    }
    let at = |pose: &Rest, slides| balance(s, solution, joint, &axes, pose, weight, slides);
    if let Some(rest) = newton(&pose, weight, |pose| at(pose, true)) {
        return Ok(rest);
    }
    // Bolts with next to no clamp slide at the first guess, and a plate that opens and closes on them has kinks. The
    // plate that sticks in its notches, let down from a clamp that keeps it shut, shows where it stands.
    let mut stuck = pose;
    for part in [1.0, 0.1, 0.01, 0.001, 0.0] {
        let clamped: Vec<JointLaw> = joint
            .iter()
            .map(|l| JointLaw {
                axial: AxialLaw {
                    preload: l.axial.preload
                        + part * (l.axial.yield_load - l.axial.preload).max(0.0),
                    ..l.axial
                },
                ..l.clone()
            })
            .collect();
        let at = |pose: &Rest| balance(s, solution, &clamped, &axes, pose, weight, false);
        if let Some(found) = damped_newton(&stuck, weight, at) {
            stuck = found;
        }
    }
    newton(&stuck, weight, |pose| at(pose, true))
        .or_else(|| damped_newton(&stuck, weight, |pose| at(pose, true)))
        .or_else(|| dragged(&stuck, weight, |pose| at(pose, true)))
        .ok_or_else(|| ImpactError::CannotStand(cannot_stand(s, joint, &m.centre_m, weight)))
}

/// Why there is no equilibrium, and what to change.
fn cannot_stand(s: &Scenario, joint: &[JointLaw], centre: &Vector3<f64>, weight: f64) -> String {
    let least = |of: fn(&JointLaw) -> f64| joint.iter().map(of).fold(f64::INFINITY, f64::min);
    let change = if joint.iter().any(|l| l.strips) {
        "engage more threads of the nuts (as_found.engaged_threads)"
    } else if !s.as_found.torques_nm.is_empty() {
        "raise the torque of the bolts (as_found.torques)"
    } else {
        "raise the clamp of the bolts (slip_base.clamp)"
    };
    format!(
        "no equilibrium found for a weight of {weight:.0} N and a dead-load moment of {:.0} N.m at {:.0} N of clamp at the loosest bolt, which can be pulled by {:.0} N; {change}, or lessen the moment with a shorter arm or less mass on it (support.arm)",
        centre.xy().norm() * weight,
        least(|l| l.axial.preload),
        least(|l| l.axial.yield_load),
    )
}

/// Numerical Jacobian of the rigid pose; the joint is piecewise linear and very stiff. From `here` on, or from both sides, which finds
/// its way also where the bolts' law has a corner.
fn jacobian(
    pose: &Rest,
    here: Option<&Balance>,
    at: &impl Fn(&Rest) -> Balance,
) -> LU<f64, U6, U6> {
    let mut jacobian = Matrix6::zeros();
    for c in 0..6 {
        let h = 1e-8;
        let mut d = Vector6::zeros();
        d[c] = h;
        let there = at(&moved(pose, &d)).residual;
        let column = match here {
            Some(here) => (there - here.residual) / h,
            None => (there - at(&moved(pose, &-d)).residual) / (2.0 * h),
        };
        jacobian.set_column(c, &column);
    }
    jacobian.lu()
}

/// A step leaves so little of the residual only within one piece of the joint's law: its Jacobian serves once more.
const SAME_PIECE: f64 = 1e-3;

/// Newton's method on the rigid pose; it stops where rounding of the pose (times the joint's stiffness)
/// keeps the residual from falling further. The Jacobian is made anew at every step but within a piece of the law: one that is kept
/// for longer leads a plate on loose bolts to another of the places where it may rest.
fn newton(start: &Rest, weight: f64, at: impl Fn(&Rest) -> Balance) -> Option<Rest> {
    let scale = weight.max(1.0);
    let mut pose = start.clone();
    let mut last = f64::INFINITY;
    let mut kept: Option<LU<f64, U6, U6>> = None;
    for _ in 0..60 {
        let here = at(&pose);
        let error = here.residual.norm() / scale;
        pose.elastic.clone_from(&here.elastic);
        if error < 1e-11 || (error < 1e-6 && error >= 0.5 * last) {
            return Some(pose);
        }
        let serves = kept.take().filter(|_| error < SAME_PIECE * last);
        let jacobian = serves.unwrap_or_else(|| jacobian(&pose, Some(&here), &at));
        last = error;
        pose = moved(&pose, &-jacobian.solve(&here.residual)?);
        kept = Some(jacobian);
        let far = (pose.position - start.position).norm() > 1.0;
        if far || !pose.position.iter().all(|x| x.is_finite()) {
            return None;
        }
    }
    None
}

/// The same with steps shortened until the residual falls.
fn damped_newton(start: &Rest, weight: f64, at: impl Fn(&Rest) -> Balance) -> Option<Rest> {
    let (pose, error) = descend(start, weight, at)?;
    (error < 1e-6).then_some(pose)
}

/// What may be left of force and moment (at a lever of 1 m), over the weight, where the descent ends in a corner of the bolts'
/// law, as between sticking and sliding on bolts without clamp: the plate then starts with a ten-thousandth of gravity.
const AT_A_CORNER: f64 = 1e-4;

/// As far down as such steps lead, and the residual there over the weight.
fn descend(start: &Rest, weight: f64, at: impl Fn(&Rest) -> Balance) -> Option<(Rest, f64)> {
    let scale = weight.max(1.0);
    let mut pose = start.clone();
    let mut here = at(&pose);
    for _ in 0..200 {
        pose.elastic = here.elastic.clone();
        let error = here.residual.norm() / scale;
        if error < 1e-11 {
            return Some((pose, error));
        }
        let step = jacobian(&pose, None, &at).solve(&here.residual)?;
        let shorter = (0..30).find_map(|halvings| {
            let part = 1.0 / f64::from(1 << halvings);
            let next = moved(&pose, &(-step * part));
            let there = at(&next);
            let falls = there.residual.norm() / scale < (1.0 - 1e-4 * part) * error;
            falls.then_some((next, there))
        });
        let Some(found) = shorter else {
            return Some((pose, error));
        };
        (pose, here) = found;
    }
    let error = here.residual.norm() / scale;
    Some((pose, error))
}

/// The same against a drag on every movement, which is taken away by and by, so that no step is undetermined while a plate slides
/// over bolts without clamp to where walls and dead load hold it.
fn dragged(start: &Rest, weight: f64, at: impl Fn(&Rest) -> Balance) -> Option<Rest> {
    let scale = weight.max(1.0);
    let mut pose = start.clone();
    // N/m; for rotations at a lever of 0.3 m.
    let mut drag = 1e4 * scale;
    for _ in 0..40 {
        let before = pose.clone();
        let back = before.attitude.matrix().transpose();
        let with_drag = |p: &Rest| {
            let mut found = at(p);
            let way = p.position - before.position;
            let turn = p.attitude.matrix() * back;
            let turn = Vector3::new(
                turn[(2, 1)] - turn[(1, 2)],
                turn[(0, 2)] - turn[(2, 0)],
                turn[(1, 0)] - turn[(0, 1)],
            );
            for k in 0..3 {
                found.residual[k] -= drag * way[k];
                found.residual[3 + k] -= 0.045 * drag * turn[k];
            }
            found
        };
        pose = descend(&pose, weight, with_drag)?.0;
        if at(&pose).residual.norm() < AT_A_CORNER * scale {
            return Some(pose);
        }
        drag *= 0.6;
    }
    None
}

fn moved(pose: &Rest, d: &Vector6<f64>) -> Rest {
    Rest {
        position: pose.position + Vector3::new(d[0], d[1], d[2]),
        attitude: pose.attitude.rotated_by(&Vector3::new(d[3], d[4], d[5])),
        elastic: pose.elastic.clone(),
    }
}

/// A lever that changes by less is settled, m.
const SAME_LEVER_M: f64 = 1e-14;

/// Residual force and moment about the centre of mass at a pose; elastic shape by fixed point. With `slides` false the
/// bolts stick in the slip plane whatever the force.
fn balance(
    s: &Scenario,
    solution: &SupportSolution,
    joint: &[JointLaw],
    axes: &[Vector2<f64>],
    pose: &Rest,
    weight: f64,
    slides: bool,
) -> Balance {
    let m = &solution.modes.properties;
    let rotation = pose.attitude.matrix();
    let radius = 0.5 * s.base.bolt_circle_m;
    let mut q = pose.elastic.clone();
    let (mut force, mut moment) = (Vector3::zeros(), Vector3::zeros());
    // The foot must carry F = m g z and the moment of that force about the foot; the elastic shape under
    // it changes the lever a little, so a few passes settle it.
    let mut last = Vector3::zeros();
    for _ in 0..4 {
        let (u, _) = solution.foot_motion(&q);
        let foot = rotation * (u - m.centre_m);
        if (foot - last).norm_squared() < SAME_LEVER_M * SAME_LEVER_M {
            break;
        }
        last = foot;
        let f = rotation.tr_mul(&Vector3::new(0.0, 0.0, weight));
        let t = rotation.tr_mul(&(-foot.cross(&Vector3::new(0.0, 0.0, weight))));
        q.fill(0.0);
        solution.add_foot_load(&f, &t, &mut q);
        for (q, w) in q.iter_mut().zip(&solution.basis.omega) {
            *q /= w * w;
        }
    }
    let (u, turn) = solution.foot_motion(&q);
    let foot = pose.position + rotation * (u - m.centre_m);
    let plate = UpperPlate::new(foot, &rotation, &turn, None);
    for (axis, law) in axes.iter().zip(joint) {
        let (bolt, Seat { upper, slip, place }) =
            bolt_at_rest(&plate, *axis, radius, s.site.slip_plane_height_m, law);
        let held = if slides {
            bolt.force
        } else {
            -slip * law.stick_stiffness
        };
        let across = Vector3::new(held.x, held.y, 0.0);
        let lift = Vector3::new(0.0, 0.0, bolt.lift);
        force += across + lift;
        moment += (upper - pose.position).cross(&across) + (place - pose.position).cross(&lift);
    }
    force.z -= weight;
    Balance {
        residual: Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z),
        elastic: q,
    }
}
