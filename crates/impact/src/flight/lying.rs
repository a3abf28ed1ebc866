//! Contact of a piece with level or rising ground, by its few lowest points, and with a stub that rods lie across.
//!
//! Such ground is the room above one plane or two. A rod touches a plane with an end, the slip plate with its rim, the top
//! of the stub with the two places over its edge: the points that can touch are known beforehand, and the impulses of a
//! step are found by going round them until no velocity changes any more (projected Gauss-Seidel). At every point
//!
//! ```text
//! v_n >= -gap/dt          it may come down as far as the ground within the step
//! p_n >= 0, p_n (v_n + gap/dt) = 0
//! |p_t| <= friction p_n   against sliding (Coulomb)
//! ```
//!
//! The rounds begin with the forces of the last step, which a piece that lies or slides hardly changes. There is no restitution.
//! What turning and rounding leave below the ground is lifted out slowly, without velocity.
//!
//! # References
//! - Jean, M., The non-smooth contact dynamics method, Computer Methods in Applied Mechanics and Engineering 177, 1999,
//!   p 235. \[recalled\]
//! - Stewart, D. E., Trinkle, J. C., International Journal for Numerical Methods in Engineering 39, 1996, p 2673
//!   (time stepping with Coulomb friction). \[recalled\]

use nalgebra::{Matrix3, Vector3};

use super::ground::Terrain;
use super::piece::Piece;

/// Rounds at most.
const ROUNDS: usize = 60;
/// A round that changes velocities by less is the last, m/s.
const SETTLED_MPS: f64 = 1e-4;
/// So far a point may stay below the ground, m ...
const SLACK_M: f64 = 5e-4;
/// ... and of the rest so much is lifted out in a step.
const LIFTED: f64 = 0.2;

/// The velocity of a point in one direction, and how an impulse there changes the motion.
struct Row {
    along: Vector3<f64>,
    arm: Vector3<f64>,
    turned: Vector3<f64>,
    /// Velocity for an impulse, 1/kg, and impulse for a velocity, kg.
    gives: f64,
    takes: f64,
    impulse: f64,
}

impl Row {
    fn new(along: Vector3<f64>, lever: &Vector3<f64>, motion: &Motion) -> Self {
        let arm = lever.cross(&along);
        let turned = motion.inverse_inertia * arm;
        let gives = motion.inverse_mass + arm.dot(&turned);
        Self {
            along,
            arm,
            turned,
            gives,
            takes: 1.0 / gives,
            impulse: 0.0,
        }
    }

    fn speed(&self, m: &Motion) -> f64 {
        self.along.dot(&m.v) + self.arm.dot(&m.rate)
    }

    /// Impulse that would stop the point this way.
    fn wanted(&self, m: &Motion) -> f64 {
        self.impulse - self.speed(m) * self.takes
    }

    /// Sets the impulse; returns by how much the point's velocity changes.
    fn set(&mut self, impulse: f64, m: &mut Motion) -> f64 {
        let more = impulse - self.impulse;
        if more == 0.0 {
            // Most points that may touch do not.
            return 0.0;
        }
        self.impulse = impulse;
        m.v += self.along * (more * m.inverse_mass);
        m.rate += self.turned * more;
        m.momentum += self.arm * more;
        more.abs() * self.gives
    }
}

/// A piece's motion while impulses are looked for.
struct Motion {
    v: Vector3<f64>,
    rate: Vector3<f64>,
    momentum: Vector3<f64>,
    inverse_mass: f64,
    inverse_inertia: Matrix3<f64>,
}

/// A point that may touch: across the ground, and two ways along it.
struct Touch {
    /// Its place among all points that were looked at.
    number: usize,
    /// From the piece's centre, m.
    lever: Vector3<f64>,
    across: Row,
    /// Along the ground, once something presses there.
    along: Option<[Row; 2]>,
    ways: [Vector3<f64>; 2],
    /// Speed at which it may come down within the step, m/s.
    room: f64,
}

impl Touch {
    /// The two ways along the ground.
    fn along(&mut self, m: &Motion) -> &mut [Row; 2] {
        let (lever, [first, second]) = (&self.lever, &self.ways);
        self.along
            .get_or_insert_with(|| [Row::new(*first, lever, m), Row::new(*second, lever, m)])
    }
}

/// The points of a piece that may touch, and the force at every point that was looked at in the last step, N: across the ground
/// and two ways along it.
#[derive(Default)]
pub(crate) struct Touches {
    points: Vec<Touch>,
    forces: Vec<[f64; 3]>,
}

impl Touches {
    /// The piece has moved without these contacts: the next ones begin anew.
    pub fn forget(&mut self) {
        self.forces.clear();
    }
}

/// Across a plane with this normal, and two ways along it.
fn ways(normal: Vector3<f64>) -> [Vector3<f64>; 3] {
    // Any way along it; the side of the stub may face along x.
    let aside = if normal.x.abs() < 0.9 {
        Vector3::x()
    } else {
        Vector3::y()
    };
    let along = normal.cross(&aside).normalize();
    [normal, normal.cross(&along), along]
}

/// Rounds over the points until no velocity changes any more.
fn go_round(points: &mut [Touch], m: &mut Motion, friction: f64) {
    for _ in 0..ROUNDS {
        let mut change = 0.0_f64;
        for point in points.iter_mut() {
            let across = &mut point.across;
            let closing = across.speed(m) + point.room;
            let push = (across.impulse - closing * across.takes).max(0.0);
            change = change.max(across.set(push, m));
            if push == 0.0 && point.along.is_none() {
                continue;
            }
            let [first, second] = point.along(m);
            let most = friction * push;
            let wanted = [first.wanted(m), second.wanted(m)];
            let squared = wanted[0] * wanted[0] + wanted[1] * wanted[1];
            let part = if squared > most * most {
                most / squared.sqrt()
            } else {
                1.0
            };
            change = change.max(first.set(wanted[0] * part, m));
            change = change.max(second.set(wanted[1] * part, m));
        }
        if change < SETTLED_MPS {
            break;
        }
    }
}

/// Moves a piece by one step under its contacts with the ground, and with the stub where it lies across that. Returns the
/// energy that lifting it out gave, J.
pub(crate) fn step(
    piece: &mut Piece,
    terrain: &Terrain,
    at_stub: bool,
    gravity: f64,
    dt: f64,
    Touches { points, forces }: &mut Touches,
) -> f64 {
    let r = piece.spin.rotation;
    let mut m = Motion {
        v: piece.v,
        rate: piece.rate(),
        momentum: piece.spin.momentum,
        inverse_mass: 1.0 / piece.mass,
        inverse_inertia: r * piece.spin.inverse_inertia * r.transpose(),
    };
    points.clear();
    let mut looked_at = 0;
    let mut lift = Vector3::zeros();
    let mut touch = |place: Vector3<f64>, ways: &[Vector3<f64>; 3], gap: f64| {
        let lever = place - piece.x;
        let speed = ways[0].dot(&(m.v + m.rate.cross(&lever)));
        let number = looked_at;
        looked_at += 1;
        // Others are too high, unless the contacts turn the piece: twice the speed and a plate's thickness is room for that.
        if gap < 0.04 - 2.0 * speed.min(0.0) * dt {
            points.push(Touch {
                number,
                lever,
                across: Row::new(ways[0], &lever, &m),
                along: None,
                ways: [ways[1], ways[2]],
                room: gap.max(0.0) / dt,
            });
        }
    };
    let lifted = |deepest: f64| LIFTED * (-deepest - SLACK_M).max(0.0);
    for (through, normal) in terrain.planes() {
        let mut deepest = 0.0_f64;
        let ways = ways(normal);
        piece.lowest_points(&normal, |place| {
            let gap = normal.dot(&(place - through));
            deepest = deepest.min(gap);
            touch(place, &ways, gap);
        });
        lift += normal * lifted(deepest);
    }
    if at_stub {
        let mut deepest = 0.0_f64;
        terrain.across_stub(piece, |place, normal, gap| {
            deepest = deepest.min(gap);
            touch(place, &ways(normal), gap);
        });
        lift.z += lifted(deepest);
    }
    for point in points.iter_mut() {
        match forces.get(point.number) {
            Some(force) if *force != [0.0; 3] => {
                point.across.set(force[0] * dt, &mut m);
                let [first, second] = point.along(&m);
                first.set(force[1] * dt, &mut m);
                second.set(force[2] * dt, &mut m);
            }
            _ => {}
        }
    }
    go_round(points, &mut m, terrain.friction);
    forces.clear();
    forces.resize(looked_at, [0.0; 3]);
    for point in points.iter() {
        let along = point.along.as_ref();
        let [first, second] = along.map_or([0.0; 2], |[a, b]| [a.impulse, b.impulse]);
        forces[point.number] = [point.across.impulse / dt, first / dt, second / dt];
    }
    piece.v = m.v;
    piece.spin.momentum = m.momentum;
    piece.drift(dt);
    if lift != Vector3::zeros() {
        piece.x += lift;
        piece.place_rods();
    }
    piece.mass * gravity * lift.z
}
