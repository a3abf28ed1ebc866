//! Free flight of the released support as one rigid body under gravity alone.
//!
//! The centre of mass follows its parabola, written in closed form; the attitude is stepped by the same midpoint
//! rule as in the impact. No air, no ground, no bending. It serves to check that rule against an integration that
//! was written elsewhere.
//!
//! # References
//! - Goldstein, Classical Mechanics, chapters 4 and 5: without a torque the angular momentum about the centre of mass
//!   stays in size and direction, and so does the energy of the spin. \[recalled\]

use giveway_mechanics::attitude::{Attitude, Spin};
use nalgebra::{Matrix3, Vector3};

use crate::error::ImpactError;
use crate::prepared::Prepared;

/// Pose and motion of a rigid body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlightState {
    /// Centre of mass, site frame, m.
    pub position_m: [f64; 3],
    /// Velocity of the centre of mass, site frame, m/s.
    pub velocity_mps: [f64; 3],
    /// Rotation from the standing support's axes to site axes, unit quaternion w, x, y, z.
    pub rotation: [f64; 4],
    /// Angular velocity, site axes, rad/s.
    pub angular_velocity_radps: [f64; 3],
}

impl FlightState {
    /// The support of a scenario as it stands, with a velocity (m/s) and a spin (rad/s) in site axes.
    pub fn upright(
        prepared: &Prepared,
        velocity_mps: [f64; 3],
        angular_velocity_radps: [f64; 3],
    ) -> Self {
        let mut position_m = prepared.properties().centre_m;
        position_m[2] += prepared.scenario().site.slip_plane_height_m;
        Self {
            position_m,
            velocity_mps,
            rotation: Attitude::identity().to_array(),
            angular_velocity_radps,
        }
    }
}

/// Where the support is after `seconds` of free flight, its attitude stepped by `step` s (the last step is the
/// shorter one that ends on time).
///
/// # Errors
/// A duration or step without meaning, or an inertia that cannot be inverted.
pub fn free_flight(
    prepared: &Prepared,
    initial: &FlightState,
    seconds: f64,
    step: f64,
) -> Result<FlightState, ImpactError> {
    let bad = |what, value, need| ImpactError::BadValue { what, value, need };
    if !(seconds.is_finite() && seconds >= 0.0) {
        return Err(bad(
            "flight time",
            seconds,
            "it must be finite and not negative",
        ));
    }
    if !(step.is_finite() && step > 0.0) {
        return Err(bad("flight step", step, "it must be finite and positive"));
    }
    let inertia = Matrix3::from_fn(|i, j| prepared.properties().inertia_kgm2[i][j]);
    let spin = spin_of(&inertia, initial)
        .ok_or_else(|| bad("inertia of the support", 0.0, "it must have an inverse"))?;
    let spin = turned(spin, seconds, step);

    // x = x0 + v0 t + g t^2/2, v = v0 + g t
    let gravity = Vector3::new(0.0, 0.0, -prepared.scenario().site.gravity_mps2);
    let velocity = Vector3::from(initial.velocity_mps);
    let position = Vector3::from(initial.position_m)
        + velocity * seconds
        + gravity * (0.5 * seconds * seconds);
    // omega = R I^-1 R^T L
    let rate = spin.rotation * (spin.inverse_inertia * spin.rotation.tr_mul(&spin.momentum));
    Ok(FlightState {
        position_m: position.into(),
        velocity_mps: (velocity + gravity * seconds).into(),
        rotation: spin.attitude.to_array(),
        angular_velocity_radps: rate.into(),
    })
}

/// The body with the state's attitude and spin; `inertia` in body axes. None when it cannot be inverted.
fn spin_of(inertia: &Matrix3<f64>, state: &FlightState) -> Option<Spin> {
    let [w, x, y, z] = state.rotation;
    let attitude = Attitude {
        w,
        v: Vector3::new(x, y, z),
    };
    let mut spin = Spin::at_rest(attitude, *inertia)?;
    spin.rate = Vector3::from(state.angular_velocity_radps);
    // L = R I R^T omega
    spin.momentum = spin.rotation * (inertia * spin.rotation.tr_mul(&spin.rate));
    Some(spin)
}

fn turned(mut spin: Spin, seconds: f64, step: f64) -> Spin {
    let whole = (seconds / step) as usize;
    for _ in 0..whole {
        spin.drift(step);
    }
    let rest = seconds - whole as f64 * step;
    if rest > 0.0 {
        spin.drift(rest);
    }
    spin
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pole with an arm: no plane of symmetry through its principal axes.
    fn prepared() -> Prepared {
        let path = "../../scenarios/first.toml";
        let text = std::fs::read_to_string(path).expect("scenario file");
        let loaded = giveway_scenario::read(&text, path, &[]).expect("a sound scenario");
        Prepared::new(&loaded.scenario).expect("a sound support")
    }

    /// Angular momentum about the centre of mass and energy of the spin.
    fn momentum_and_energy(p: &Prepared, s: &FlightState) -> (Vector3<f64>, f64) {
        let inertia = Matrix3::from_fn(|i, j| p.properties().inertia_kgm2[i][j]);
        let spin = spin_of(&inertia, s).expect("an inertia with an inverse");
        (spin.momentum, 0.5 * spin.momentum.dot(&spin.rate))
    }

    #[test]
    fn the_centre_flies_a_parabola_and_the_spin_keeps_momentum_and_energy() {
        let p = prepared();
        let start = FlightState::upright(&p, [6.0, 0.0, 1.0], [0.4, 2.0, 0.7]);
        let end = free_flight(&p, &start, 0.8, 5e-5).expect("a flight");

        // z = z0 + v t - g t^2/2 with t = 0.8 s.
        let g = p.scenario().site.gravity_mps2;
        assert!((end.position_m[0] - (start.position_m[0] + 4.8)).abs() < 1e-12);
        assert_eq!(end.position_m[1], start.position_m[1]);
        assert!((end.position_m[2] - (start.position_m[2] + 0.8 - 0.32 * g)).abs() < 1e-12);
        assert!((end.velocity_mps[2] - (1.0 - 0.8 * g)).abs() < 1e-12);

        let (l0, e0) = momentum_and_energy(&p, &start);
        let (l1, e1) = momentum_and_energy(&p, &end);
        assert!(
            (l1 - l0).norm() < 1e-9 * l0.norm(),
            "{}",
            (l1 - l0).norm() / l0.norm()
        );
        assert!((e1 - e0).abs() < 1e-6 * e0, "{}", (e1 - e0) / e0);
        // The support has turned by about a radian and a half, so the energy is kept over a real turn.
        assert!(end.rotation[0] < 0.8, "{:?}", end.rotation);
    }

    #[test]
    fn the_step_is_second_order() {
        let p = prepared();
        let start = FlightState::upright(&p, [0.0; 3], [0.4, 2.0, 0.7]);
        let end = |step| {
            free_flight(&p, &start, 0.8, step)
                .expect("a flight")
                .rotation
        };
        let gap = |a: [f64; 4], b: [f64; 4]| {
            let d: [f64; 4] = std::array::from_fn(|i| a[i] - b[i]);
            d.iter().map(|x| x * x).sum::<f64>().sqrt()
        };
        let fine = end(1.25e-5);
        let ratio = gap(end(8e-4), fine) / gap(end(4e-4), fine);
        assert!((3.7..4.3).contains(&ratio), "{ratio}");
    }

    #[test]
    fn values_without_meaning_are_refused() {
        let p = prepared();
        let start = FlightState::upright(&p, [0.0; 3], [0.0; 3]);
        for (seconds, step) in [
            (-1.0, 1e-4),
            (f64::NAN, 1e-4),
            (1.0, 0.0),
            (1.0, f64::INFINITY),
        ] {
            assert!(free_flight(&p, &start, seconds, step).is_err());
        }
    }
}
