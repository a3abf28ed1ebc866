//! What stands in the way of the upper plate besides its bolts: stubs, conduits, soil; and a foundation that moves.
//!
//! **Bars.** The end of an anchor bar stands outside the plate, a conduit inside its opening. When the gap has
//! closed, the bar resists like an elastic-plastic spring up to its limit load P and gives way after half its
//! diameter: with x the way of the plate's edge past the gap, F = min(k (x - x_p), P), gone at x >= D/2.
//!
//! **Soil** resists with the passive pressure of the height that the foot has pushed together, mobilised over
//! 2 % of that height (common practice, no source): F = P min(1, (t - g)/(0.02 H)),
//! P = (gamma H^2 K_p/2 + 2 c H sqrt(K_p)) b, H = h + (t - g) tan(slope). It follows back on the same slope only, by
//! 0.02 H, and is pushed again where it was left: F = min(k (t - g - y), P), k = P/(0.02 H), y the part that stays.
//! Its face also holds the foot down: friction tan(2 phi/3) against lifting (common practice, no source), mobilised on
//! the same way.
//!
//! **Foundation.** The top of a pier moves like a mass on an elastic-plastic spring: stiffness and capacity in
//! every direction alike.
//!
//! References: W. J. M. Rankine's passive pressure; B. B. Broms 1964 (both recalled), see [`crate::strength`].

use nalgebra::{Vector2, Vector3};

/// Stiffness of a bar's contact, N/m: numerical, like the sticking of a bolt.
pub const BAR_STIFFNESS_NPM: f64 = 5e8;
/// Part of the pushed height over which passive pressure is mobilised.
const MOBILISED: f64 = 0.02;

/// Where a bar stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarPlace {
    /// Outside the rim of a plate of the given radius, in this direction.
    Outside {
        /// Unit vector from the pole axis.
        direction: Vector2<f64>,
        /// Radius of the upper plate, m.
        plate_radius_m: f64,
    },
    /// In the middle of the plate's opening.
    Opening,
}

/// A bar in the slip plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarLaw {
    /// Where it stands.
    pub place: BarPlace,
    /// Gap to the plate's edge, m.
    pub gap_m: f64,
    /// Limit load, N.
    pub limit_n: f64,
    /// Way after which it has given way, m.
    pub way_m: f64,
    /// The plate passes over it when it has risen this far, m.
    pub reach_m: f64,
}

/// A bar in the course of a run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BarState {
    plastic: f64,
    way: f64,
    force: f64,
    /// Whether it has given way.
    pub gone: bool,
    /// Largest force, N.
    pub peak_n: f64,
    /// Energy that it has taken, stored part included, J.
    pub energy_j: f64,
}

impl BarLaw {
    /// Way of the plate's edge past the gap, and the direction of the force on the plate, when the plate's centre
    /// has moved by `s`.
    fn press(&self, s: &Vector2<f64>) -> (f64, Vector2<f64>) {
        match self.place {
            BarPlace::Outside {
                direction,
                plate_radius_m,
            } => {
                let away = direction * (plate_radius_m + self.gap_m) - s;
                let distance = away.norm();
                if distance > 0.0 {
                    (plate_radius_m - distance, away * (-1.0 / distance))
                } else {
                    (0.0, Vector2::zeros())
                }
            }
            BarPlace::Opening => {
                let size = s.norm();
                if size > 0.0 {
                    (size - self.gap_m, s * (-1.0 / size))
                } else {
                    (0.0, Vector2::zeros())
                }
            }
        }
    }
}

impl BarState {
    /// Moves the plate's centre to `s`, risen by `rise`; returns the force on the plate, N. In the step in which the bar
    /// gives way it is scaled by the part of the step before that, less one half: the force before has acted on the
    /// other half.
    pub fn advance(&mut self, law: &BarLaw, s: &Vector2<f64>, rise: f64) -> Vector2<f64> {
        if self.gone {
            return Vector2::zeros();
        }
        let (way, direction) = law.press(s);
        let mut force = 0.0;
        if way > 0.0 && rise < law.reach_m {
            force = (BAR_STIFFNESS_NPM * (way - self.plastic)).clamp(0.0, law.limit_n);
            self.plastic = self.plastic.max(way - force / BAR_STIFFNESS_NPM);
        }
        let mut work = 0.5 * (self.force + force) * (way - self.way);
        self.peak_n = self.peak_n.max(force);
        let mut weight = 1.0;
        if way >= law.way_m {
            self.gone = true;
            let fraction = (law.way_m - self.way) / (way - self.way);
            work *= fraction;
            weight = fraction - 0.5;
        }
        self.energy_j += work;
        self.way = way;
        self.force = force;
        direction * (force * weight)
    }
}

/// Soil behind the foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilLaw {
    /// Unit vector from the pole axis to the soil.
    pub direction: Vector2<f64>,
    /// Gap g, m.
    pub gap_m: f64,
    /// Height h of its face above the slip plane, m.
    pub height_m: f64,
    /// Slope of its surface, tangent.
    pub slope: f64,
    /// gamma K_p b/2, N/m^2.
    pub weight_npm2: f64,
    /// 2 c sqrt(K_p) b, N/m.
    pub cohesion_npm: f64,
    /// Friction of its face against lifting, tan(2 phi/3).
    pub face_friction: f64,
}

/// Soil in the course of a run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SoilState {
    travel: f64,
    /// Largest way past the gap, and the part of it that does not come back, m.
    pushed: f64,
    plastic: f64,
    force: f64,
    lift: f64,
    rise: f64,
    /// Largest force, N.
    pub peak_n: f64,
    /// Energy that it has taken, stored part included, J.
    pub energy_j: f64,
}

impl SoilLaw {
    /// Height of the soil that is pushed together on the way `pushed` past the gap, m.
    fn height(&self, pushed: f64) -> f64 {
        self.height_m + pushed * self.slope
    }

    /// Passive force over the pushed height, N/m: P/H = gamma K_p b H/2 + 2 c sqrt(K_p) b.
    fn passive_npm(&self, height: f64) -> f64 {
        self.weight_npm2 * height + self.cohesion_npm
    }

    /// Stiffness when the foot has been pushed the way `pushed` past the gap, N/m: k = P/(0.02 H).
    pub fn stiffness_npm(&self, pushed: f64) -> f64 {
        self.passive_npm(self.height(pushed)) / MOBILISED
    }

    /// Resistance when the foot has been pushed `travel` towards the soil for the first time, N.
    pub fn resistance(&self, travel: f64) -> f64 {
        let pushed = travel - self.gap_m;
        if pushed <= 0.0 {
            return 0.0;
        }
        let height = self.height(pushed);
        if height <= 0.0 {
            return 0.0;
        }
        // P = gamma K_p b H^2/2 + 2 c sqrt(K_p) b H
        let passive = self.passive_npm(height) * height;
        passive * (pushed / (MOBILISED * height)).min(1.0)
    }
}

impl SoilState {
    /// Moves the plate's centre to `s`, risen by `rise`; returns the force on the foot, N.
    pub fn advance(&mut self, law: &SoilLaw, s: &Vector2<f64>, rise: f64) -> Vector3<f64> {
        let travel = s.dot(&law.direction);
        let pushed = travel - law.gap_m;
        self.pushed = self.pushed.max(pushed);
        let height = law.height(self.pushed);
        // It resists as long as the foot is below its surface.
        let below = rise < law.height(pushed.max(0.0));
        let (mut force, mut lift) = (0.0, 0.0);
        if pushed > self.plastic && below && height > 0.0 {
            let k = law.stiffness_npm(self.pushed);
            // F = min(k (t - g - y), P)
            force = (k * (pushed - self.plastic)).min(k * MOBILISED * height);
            self.plastic = self.plastic.max(pushed - force / k);
            let most = law.face_friction * force;
            lift = (self.lift - law.face_friction * k * (rise - self.rise)).clamp(-most, most);
        }
        self.energy_j += 0.5 * (self.force + force) * (travel - self.travel);
        self.energy_j -= 0.5 * (self.lift + lift) * (rise - self.rise);
        self.travel = travel;
        self.rise = rise;
        self.force = force;
        self.lift = lift;
        self.peak_n = self.peak_n.max(force);
        let push = law.direction * -force;
        Vector3::new(push.x, push.y, lift)
    }
}

/// A pier that can move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PierLaw {
    /// Horizontal capacity at the load's height, N.
    pub capacity_n: f64,
    /// Stiffness, N/m.
    pub stiffness_npm: f64,
    /// Mass at the top, kg.
    pub mass_kg: f64,
}

/// Its top in the course of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PierState {
    /// Movement, m.
    pub place: Vector2<f64>,
    /// Velocity, half a step behind, m/s.
    pub velocity: Vector2<f64>,
    /// Force of the ground on it, N.
    pub force: Vector2<f64>,
    /// Load of the joint on it, N.
    pub load: Vector2<f64>,
    /// Energy spent by the ground's yielding, J.
    pub spent_j: f64,
    /// Largest movement, m.
    pub peak_m: f64,
    /// Whether the ground has yielded.
    pub yielded: bool,
}

impl Default for PierState {
    fn default() -> Self {
        Self {
            place: Vector2::zeros(),
            velocity: Vector2::zeros(),
            force: Vector2::zeros(),
            load: Vector2::zeros(),
            spent_j: 0.0,
            peak_m: 0.0,
            yielded: false,
        }
    }
}

impl PierState {
    /// Changes the velocity by the present forces.
    pub fn kick(&mut self, law: &PierLaw, dt: f64) {
        self.velocity += (self.force + self.load) * (dt / law.mass_kg);
    }

    /// Moves the top and renews the ground's force.
    pub fn drift(&mut self, law: &PierLaw, dt: f64) {
        let step = self.velocity * dt;
        self.place += step;
        let trial = self.force - step * law.stiffness_npm;
        let size = trial.norm();
        let force = if size > law.capacity_n {
            self.yielded = true;
            trial * (law.capacity_n / size)
        } else {
            trial
        };
        let work = -0.5 * (self.force + force).dot(&step);
        let stored = (force.norm_squared() - self.force.norm_squared()) / (2.0 * law.stiffness_npm);
        self.spent_j += work - stored;
        self.force = force;
        self.peak_m = self.peak_m.max(self.place.norm());
    }

    /// Kinetic energy, energy stored in the ground and energy spent, J; `ahead` brings the velocity to the
    /// present instant.
    pub fn energy_j(&self, law: &PierLaw, ahead: f64) -> f64 {
        let v = self.velocity + (self.force + self.load) * (ahead / law.mass_kg);
        0.5 * law.mass_kg * v.norm_squared()
            + self.force.norm_squared() / (2.0 * law.stiffness_npm)
            + self.spent_j
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stub(azimuth_deg: f64) -> BarLaw {
        let a = azimuth_deg.to_radians();
        BarLaw {
            place: BarPlace::Outside {
                direction: Vector2::new(libm::cos(a), libm::sin(a)),
                plate_radius_m: 0.22,
            },
            gap_m: 0.010,
            limit_n: 60e3,
            way_m: 0.0125,
            reach_m: 0.02,
        }
    }

    fn slide(law: &BarLaw, to: f64, rise: f64) -> BarState {
        let mut bar = BarState::default();
        for i in 0..=10_000 {
            bar.advance(law, &Vector2::new(to * f64::from(i) / 1e4, 0.0), rise);
        }
        bar
    }

    #[test]
    fn a_stub_ahead_takes_its_limit_over_half_its_diameter() {
        let bar = slide(&stub(0.0), 0.05, 0.0);
        assert!(bar.gone);
        assert_eq!(bar.peak_n, 60e3);
        // P D/2 less the elastic start, P^2/(2 k); a step of 5 um may be cut across its kink.
        let hand = 60e3 * 0.0125 - 60e3 * 60e3 / (2.0 * 5e8);
        assert!(
            (bar.energy_j - hand).abs() < 60e3 * 1e-6,
            "{}",
            bar.energy_j
        );
    }

    #[test]
    fn a_stub_gives_way_within_a_step() {
        // Steps of 1 mm over 12.5 mm of way: the impulse per velocity is that of the way, whatever the step.
        let law = stub(0.0);
        let hand = 60e3 * 0.0125 - 60e3 * 60e3 / (2.0 * 5e8);
        for start in [0.0, 0.2e-3, 0.7e-3] {
            let mut bar = BarState::default();
            let mut sum = 0.0;
            for i in 0..40 {
                let x = start + 1e-3 * f64::from(i);
                sum -= bar.advance(&law, &Vector2::new(x, 0.0), 0.0).x * 1e-3;
            }
            assert!(bar.gone);
            // What is left is the elastic start, 0.12 mm, in steps of 1 mm.
            assert!((sum - hand).abs() < 0.5 * 60e3 * 1e-3, "{sum} {hand}");
            assert!(
                (bar.energy_j - sum).abs() < 1e-9 * hand,
                "{} {sum}",
                bar.energy_j
            );
        }
    }

    #[test]
    fn a_stub_beside_behind_or_below_the_plate_is_not_touched() {
        for azimuth in [90.0, 135.0, 180.0] {
            let bar = slide(&stub(azimuth), 0.05, 0.0);
            assert_eq!((bar.peak_n, bar.energy_j), (0.0, 0.0));
        }
        assert_eq!(slide(&stub(0.0), 0.05, 0.021).peak_n, 0.0);
    }

    #[test]
    fn a_conduit_is_met_in_every_direction() {
        let law = BarLaw {
            place: BarPlace::Opening,
            ..stub(0.0)
        };
        assert_eq!(slide(&law, 0.05, 0.0).peak_n, 60e3);
        assert_eq!(slide(&law, -0.05, 0.0).peak_n, 60e3);
        assert_eq!(slide(&law, 0.0099, 0.0).peak_n, 0.0);
    }

    #[test]
    fn soil_gives_the_passive_force_and_does_not_follow_back() {
        // phi = 30 deg: K_p = 3; gamma 18 kN/m3, b 0.44 m, h 0.10 m: 18e3*3*0.44/2*0.01 = 118.8 N; with
        // c = 5 kPa: + 2*5e3*sqrt(3)*0.44*0.1 = 762.1 N.
        let law = SoilLaw {
            direction: Vector2::x(),
            gap_m: 0.02,
            height_m: 0.10,
            slope: 0.0,
            weight_npm2: 0.5 * 18e3 * 3.0 * 0.44,
            cohesion_npm: 2.0 * 5e3 * 3.0_f64.sqrt() * 0.44,
            face_friction: 0.36,
        };
        assert_eq!(law.resistance(0.02), 0.0);
        assert!((law.resistance(0.021) - 0.5 * 880.9).abs() < 0.1);
        assert!((law.resistance(0.10) - 880.9).abs() < 0.1);
        let mut soil = SoilState::default();
        for i in 0..=1000 {
            soil.advance(&law, &Vector2::new(0.1e-3 * f64::from(i), 0.0), 0.0);
        }
        let back = soil.advance(&law, &Vector2::new(0.09, 0.0), 0.0);
        assert_eq!(back, Vector3::zeros());
        // 880.9 N over 80 mm, the first 2 mm at half of it; the last 2 mm come back, in this step of 10 mm at 0.5.
        assert!(
            (soil.energy_j - 880.9 * (0.079 - 0.005)).abs() < 0.1,
            "{}",
            soil.energy_j
        );
    }

    #[test]
    fn soil_follows_back_on_its_slope_and_is_pushed_again_where_it_was_left() {
        let law = SoilLaw {
            direction: Vector2::x(),
            gap_m: 0.06,
            height_m: 0.06,
            slope: 0.0,
            weight_npm2: 0.0,
            cohesion_npm: 2.0 * 10e6 * 0.44,
            face_friction: 0.0,
        };
        // P = 2 c H b = 528 kN on 1.2 mm.
        assert!((law.stiffness_npm(0.0) / 4.4e8 - 1.0).abs() < 1e-12);
        let mut soil = SoilState::default();
        let mut go = |from: f64, to: f64| {
            let mut force = 0.0;
            for i in 1..=1000 {
                let x = from + (to - from) * f64::from(i) * 1e-3;
                force = -soil.advance(&law, &Vector2::new(x, 0.0), 0.0).x;
            }
            (force, soil.energy_j)
        };
        let close = |a: f64, b: f64| (a - b).abs() < 1e-3 * b.abs().max(1.0);
        let (force, there) = go(0.0, 0.065);
        // Work P (5 - 0.6) mm.
        assert!(
            close(force, 528e3) && close(there, 528e3 * 4.4e-3),
            "{force} {there}"
        );
        let (force, half) = go(0.065, 0.0644);
        assert!(close(force, 264e3), "{force}");
        assert!(
            close(half, there - 0.5 * (528e3 + 264e3) * 0.6e-3),
            "{half}"
        );
        let (force, back) = go(0.0644, 0.0);
        assert!(
            force == 0.0 && close(back, there - 528e3 * 0.6e-3),
            "{back}"
        );
        let (force, again) = go(0.0, 0.066);
        assert!(
            close(force, 528e3) && close(again, there + 528e3 * 1e-3),
            "{again}"
        );
    }

    #[test]
    fn the_face_of_the_soil_holds_down_with_its_friction_and_no_more() {
        let law = SoilLaw {
            direction: Vector2::x(),
            gap_m: 0.0,
            height_m: 0.10,
            slope: 0.0,
            weight_npm2: 0.0,
            cohesion_npm: 1e5,
            face_friction: 0.4,
        };
        let mut soil = SoilState::default();
        soil.advance(&law, &Vector2::new(0.01, 0.0), 0.0);
        let lift =
            |soil: &mut SoilState, rise: f64| soil.advance(&law, &Vector2::new(0.01, 0.0), rise).z;
        // P = 10 kN on 2 mm: k = 5e6 N/m, of which 0.4 against lifting, at most 4 kN.
        assert!((lift(&mut soil, 0.001) + 2e3).abs() < 1e-6);
        assert!((lift(&mut soil, 0.050) + 4e3).abs() < 1e-6);
        // Over its surface it is left.
        assert_eq!(lift(&mut soil, 0.11), 0.0);
    }

    #[test]
    fn a_pier_swings_at_its_frequency_and_yields_at_its_capacity() {
        let law = PierLaw {
            capacity_n: 50e3,
            stiffness_npm: 4e6,
            mass_kg: 400.0,
        };
        // Elastic: half a period of pi sqrt(m/k) = 31.4 ms after a push of 0.1 m/s.
        let mut pier = PierState {
            velocity: Vector2::new(0.1, 0.0),
            ..PierState::default()
        };
        let start = pier.energy_j(&law, 0.0);
        let dt = 1e-5;
        let mut steps = 0;
        while pier.place.x >= 0.0 {
            pier.drift(&law, dt);
            pier.kick(&law, dt);
            steps += 1;
        }
        assert!((f64::from(steps) * dt - 0.031_416).abs() < 5e-5);
        assert!((pier.energy_j(&law, 0.0) / start - 1.0).abs() < 2e-3);
        // Pushed beyond: the ground never answers with more, and the rest is spent.
        let mut pier = PierState {
            velocity: Vector2::new(5.0, 0.0),
            ..PierState::default()
        };
        let start = pier.energy_j(&law, 0.0);
        for _ in 0..2000 {
            pier.drift(&law, dt);
            pier.kick(&law, dt);
            assert!(pier.force.norm() <= 50e3 * (1.0 + 1e-12));
        }
        assert!(pier.yielded && pier.spent_j > 0.0);
        assert!((pier.energy_j(&law, 0.0) / start - 1.0).abs() < 2e-3);
    }
}
