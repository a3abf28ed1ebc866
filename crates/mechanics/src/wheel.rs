//! One wheel on the road: vertical spring and damper, horizontal force within the friction circle.
//!
//! Rolling is free but for a stated fraction of braking; the lateral force rises with the slip angle and
//! saturates at mu N. Both are smooth functions of the velocity of the contact point:
//! F = mu N x/sqrt(1 + x^2) with x = v/v_0 (our own choice; its limits are Coulomb's).

use nalgebra::{Matrix3, Vector2, Vector3};
use wide::f64x2;

use crate::lanes::{Two3, Two33, two};

/// Speed scale of the braking force, m/s.
const BRAKE_SCALE: f64 = 0.1;
/// Slip (lateral over longitudinal speed) at which the lateral force reaches 71 % of its limit, and the
/// speed scale at standstill, m/s.
const SLIP_SCALE: f64 = 0.08;
const LATERAL_SCALE: f64 = 0.2;

/// The body that rides on wheels: place and velocity of its centre of mass, rotation, rate of rotation, site axes.
#[derive(Debug, Clone, Copy)]
pub struct Ride<'a> {
    /// Place, m.
    pub x: &'a Vector3<f64>,
    /// Velocity, m/s.
    pub v: &'a Vector3<f64>,
    /// Rotation from vehicle to site axes.
    pub rotation: &'a Matrix3<f64>,
    /// Rate of rotation, rad/s.
    pub rate: &'a Vector3<f64>,
}

/// Force of all wheels, N, and their moment about the centre of mass, N.m, site axes. `ground` gives the height of the
/// ground at a place, m. The spring follows the point of the body, the tyre stays on the ground: the force acts there,
/// however far the body has sunk or risen over it.
pub fn push_of(
    wheels: &[Wheel],
    ride: &Ride,
    ground: impl Fn(&Vector3<f64>) -> f64,
) -> (Vector3<f64>, Vector3<f64>) {
    let r = ride.rotation;
    let ahead = Vector2::new(r[(0, 0)], r[(1, 0)]);
    let ahead = ahead / ahead.norm().max(1e-9);
    let (mut push, mut turn) = (Vector3::zeros(), Vector3::zeros());
    let mut wheels = wheels;
    // Two wheels that roll freely at once.
    while let [a, b, rest @ ..] = wheels
        && a.braking == 0.0
        && b.braking == 0.0
    {
        let arms = Two3::of(&a.arm, &b.arm);
        let mut arms = Two33::of(r, r).times(&arms);
        let places = Two3::both(ride.x).plus(arms);
        let [first, second] = places.apart();
        let height = places.0[2] - f64x2::from([ground(&first), ground(&second)]);
        arms.0[2] -= height;
        let velocity = Two3::both(ride.v).plus(Two3::both(ride.rate).cross(&arms));
        let forces = roll([a, b], height, &velocity, &ahead);
        let turns = arms.cross(&forces).apart();
        for (f, t) in forces.apart().into_iter().zip(turns) {
            push += f;
            turn += t;
        }
        wheels = rest;
    }
    for wheel in wheels {
        let mut arm = r * wheel.arm;
        let place = ride.x + arm;
        let height = place.z - ground(&place);
        arm.z -= height;
        let f = wheel.force(height, &(ride.v + ride.rate.cross(&arm)), &ahead);
        push += f;
        turn += arm.cross(&f);
    }
    (push, turn)
}

/// As [`Wheel::force`] for two wheels that roll freely.
#[inline(always)]
fn roll([a, b]: [&Wheel; 2], z: f64x2, v: &Two3, ahead: &Vector2<f64>) -> Two3 {
    let [vx, vy, vz] = v.0;
    let (x, y) = (f64x2::splat(ahead.x), f64x2::splat(ahead.y));
    let n = (two(a.static_load_n, b.static_load_n)
        - two(a.stiffness_npm, b.stiffness_npm) * z
        - two(a.damping_nspm, b.damping_nspm) * vz)
        .fast_max(f64x2::ZERO);
    let along = vx * x + vy * y;
    let across = vy * x - vx * y;
    let limit = two(a.friction, b.friction) * n;
    let scale = f64x2::splat(SLIP_SCALE) * along.abs() + f64x2::splat(LATERAL_SCALE);
    let fy = -limit * across / (across * across + scale * scale).sqrt();
    Two3([-fy * y, fy * x, n])
}

/// One wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Wheel {
    /// Contact point in vehicle axes from the centre of mass, m.
    pub arm: Vector3<f64>,
    /// Static load, N.
    pub static_load_n: f64,
    /// Vertical stiffness of tyre and suspension, N/m.
    pub stiffness_npm: f64,
    /// Vertical damping, N.s/m.
    pub damping_nspm: f64,
    /// Friction coefficient on the road.
    pub friction: f64,
    /// Fraction of full braking.
    pub braking: f64,
}

impl Wheel {
    /// Force at the height `z` of the body's point over the ground and the velocity `v` of the tyre with it (site axes),
    /// with the vehicle's forward direction on the ground `ahead` (unit).
    #[inline]
    pub fn force(&self, z: f64, v: &Vector3<f64>, ahead: &Vector2<f64>) -> Vector3<f64> {
        let n = (self.static_load_n - self.stiffness_npm * z - self.damping_nspm * v.z).max(0.0);
        let along = v.x * ahead.x + v.y * ahead.y;
        let across = v.y * ahead.x - v.x * ahead.y;
        let limit = self.friction * n;
        if self.braking == 0.0 {
            // Nothing along the wheel, and what acts across it stays below the limit.
            let scale = SLIP_SCALE * along.abs() + LATERAL_SCALE;
            let fy = -limit * across / (across * across + scale * scale).sqrt();
            return Vector3::new(-fy * ahead.y, fy * ahead.x, n);
        }
        let fx = -self.braking * limit * along / (along * along + BRAKE_SCALE * BRAKE_SCALE).sqrt();
        let scale = SLIP_SCALE * along.abs() + LATERAL_SCALE;
        let fy = -limit * across / (across * across + scale * scale).sqrt();
        let size = (fx * fx + fy * fy).sqrt();
        let cut = if size > limit { limit / size } else { 1.0 };
        let (fx, fy) = (fx * cut, fy * cut);
        Vector3::new(fx * ahead.x - fy * ahead.y, fx * ahead.y + fy * ahead.x, n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wheel(braking: f64) -> Wheel {
        Wheel {
            arm: Vector3::zeros(),
            static_load_n: 3000.0,
            stiffness_npm: 2e4,
            damping_nspm: 1500.0,
            friction: 0.76,
            braking,
        }
    }

    #[test]
    fn friction_stays_in_the_circle_and_opposes_motion() {
        let w = wheel(1.0);
        for (vx, vy) in [(10.0, 0.0), (10.0, 5.0), (0.0, -8.0), (0.001, 0.0)] {
            let f = w.force(0.0, &Vector3::new(vx, vy, 0.0), &Vector2::x());
            assert!((f.x * f.x + f.y * f.y).sqrt() <= 0.76 * 3000.0 * (1.0 + 1e-12));
            assert!(f.x * vx + f.y * vy <= 0.0);
        }
        // Full braking: mu N to within the regularisation.
        let f = w.force(0.0, &Vector3::new(10.0, 0.0, 0.0), &Vector2::x());
        assert!((f.x + 0.76 * 3000.0).abs() < 1.0);
        // Sliding broadside: mu N.
        let f = wheel(0.0).force(0.0, &Vector3::new(0.0, 8.0, 0.0), &Vector2::x());
        assert!((f.y + 0.76 * 3000.0).abs() < 1.0);
    }

    /// An even number of wheels is pushed two by two, with the digits of one by one.
    #[test]
    fn two_wheels_at_once_push_as_each_alone() {
        let arms = [(1.2, 0.7), (1.2, -0.7), (-1.3, 0.7), (-1.3, -0.7)];
        let wheels = arms.map(|(x, y)| Wheel {
            arm: Vector3::new(x, y, -0.5),
            static_load_n: 2500.0 + 300.0 * x,
            ..wheel(0.0)
        });
        for step in 0..200 {
            let s = f64::from(step);
            let rotation = crate::attitude::Attitude::yaw(0.01 * s)
                .rotated_by(&Vector3::new(0.002 * s, -0.001 * s, 0.0))
                .matrix();
            let ride = Ride {
                x: &Vector3::new(3.0 - s, 0.2 * s, 0.5 + 0.001 * s),
                v: &Vector3::new(8.0 - 0.1 * s, 0.03 * s, -0.01 * s),
                rotation: &rotation,
                rate: &Vector3::new(0.1, -0.02 * s, 0.4),
            };
            let rise = |place: &Vector3<f64>| 0.01 * place.y;
            let (mut push, mut turn) = (Vector3::zeros(), Vector3::zeros());
            for one in &wheels {
                let (f, t) = push_of(std::slice::from_ref(one), &ride, rise);
                push += f;
                turn += t;
            }
            assert_eq!(push_of(&wheels, &ride, rise), (push, turn), "{step}");
        }
    }

    #[test]
    fn a_lifted_wheel_pulls_nothing() {
        let f = wheel(1.0).force(0.2, &Vector3::new(9.0, 2.0, 0.0), &Vector2::x());
        assert_eq!(f, Vector3::zeros());
    }

    /// Standing on a slide: the body leans until the springs' moment is that of the sideways force on the ground,
    /// with its centre of mass `h` over it: K phi = m g (mu h + h phi), K = k t^2.
    #[test]
    fn sideways_force_acts_on_the_ground() {
        let (mass, g, h, track, k) = (1000.0, 9.81, 0.5, 1.4, 4e4);
        let wheels: Vec<Wheel> = [(1.0, 0.7), (1.0, -0.7), (-1.0, 0.7), (-1.0, -0.7)]
            .map(|(x, y)| Wheel {
                arm: Vector3::new(x, y, -h),
                static_load_n: 0.25 * mass * g,
                stiffness_npm: k,
                ..wheel(0.0)
            })
            .to_vec();
        let lean = 0.76 * h * mass * g / (k * track * track - mass * g * h);
        let push = |angle: f64| {
            let rotation = Matrix3::new(
                1.0,
                0.0,
                0.0,
                0.0,
                libm::cos(angle),
                -libm::sin(angle),
                0.0,
                libm::sin(angle),
                libm::cos(angle),
            );
            let ride = Ride {
                x: &Vector3::new(0.0, 0.0, h),
                v: &Vector3::new(0.0, 50.0, 0.0),
                rotation: &rotation,
                rate: &Vector3::zeros(),
            };
            push_of(&wheels, &ride, |_| 0.0)
        };
        // Against the slide; its moment about the centre of mass is h mu N, the springs' is against it.
        let (force, _) = push(0.0);
        assert!((force.y + 0.76 * mass * g).abs() < 1.0);
        let turn = push(-lean).1.x;
        assert!(turn.abs() < 0.02 * 0.76 * h * mass * g, "{turn}");
        assert!(push(-0.5 * lean).1.x * push(-1.5 * lean).1.x < 0.0);
    }
}
