//! One bolt of the slip joint: joint diagram, friction in its notches, keeper, shear, release.
//!
//! The bolt sees the upper seat move against the lower seat: `s`, the horizontal displacement, and `u`,
//! the opening of the plates where the bolt now is: with the upper seat in case (a), at the lower seat
//! in case (b), along the lower notch's wall in case (c). Forces are those on the upper plate.
//!
//! Clamp: T = F_p + k_b (u - e_p), N = max(0, F_p - k_c u), T >= 0.
//! Resistance against the lower plate f_L = mu_o T + mu_i N (plus the keeper), against the upper plate
//! f_U = mu_o T + mu_i N; each fades linearly to zero over the last half bolt diameter of its travel,
//! where the washer runs over the notch mouth. The angle gamma between s and the notch axis n decides:
//!
//! - gamma <= beta: the bolt leaves the lower notch with the upper plate, resistance f_L along s;
//! - gamma >= pi - beta: the upper plate leaves the bolt behind, resistance f_U along s;
//! - otherwise the bolt is squeezed outward between one wall of each notch, and wedging multiplies the
//!   friction: A = (f_L + f_U) cos b/(sin b - mu_w cos b), B = -(f_U - f_L) sin b/(cos b + mu_w sin b),
//!   N_L + N_U = A, N_U - N_L = B. With tan b <= mu_w the bolt is locked and must be sheared.
//!
//! Sticking is an elastic-plastic spring in the slip plane: a friction circle in cases (a) and (b); in
//! case (c) the parallelogram of sliding along the lower wall, along the upper wall, or along both, whose
//! corner is the squeezed force above.
//!
//! References: wedge equilibrium derived from the statics of the massless bolt; bolt shear and plate
//! bearing see [`crate::clamp`]; tension-shear ellipse as in AISC specifications (recalled).

use nalgebra::Vector2;

/// Speed scale of the rubbing of the plates after release, m/s.
const RUB_SCALE: f64 = 0.05;

/// Properties that all bolts of a base share.
#[derive(Debug, Clone, PartialEq)]
pub struct JointLaw {
    /// Bolt axial stiffness k_b, N/m.
    pub bolt_stiffness: f64,
    /// Stack stiffness k_c, N/m.
    pub clamp_stiffness: f64,
    /// Damping time: damping force over stiffness and opening rate, s.
    pub damping_time: f64,
    /// Preload F_p, N.
    pub preload: f64,
    /// Tension at yield, N.
    pub yield_load: f64,
    /// Tensile strength as a load T_u, N.
    pub tensile_load: f64,
    /// Plastic stretch at rupture, m.
    pub rupture_stretch: f64,
    /// Friction under head and nut mu_o.
    pub friction_outer: f64,
    /// Friction between the plates mu_i.
    pub friction_inner: f64,
    /// Friction on the notch wall mu_w.
    pub friction_wall: f64,
    /// Sine of the notch half-angle beta.
    pub sin_beta: f64,
    /// Cosine of beta.
    pub cos_beta: f64,
    /// Free travel L, m.
    pub travel: f64,
    /// Bolt diameter d, m.
    pub diameter: f64,
    /// Tear force of the keeper at one bolt F_k, N.
    pub keeper_tear: f64,
    /// Bolt shear capacity without tension V_u, N.
    pub shear_load: f64,
    /// Bearing capacity of the notch, N.
    pub bearing_load: f64,
    /// Stick stiffness in the slip plane, N/m.
    pub stick_stiffness: f64,
}

/// How a bolt has left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Departure {
    /// Out of the lower plate's notch with the upper plate.
    LowerNotch,
    /// Left behind by the upper plate.
    UpperNotch,
    /// Squeezed out between the walls.
    Squeezed,
    /// Sheared.
    Sheared,
    /// Pulled apart.
    Ruptured,
}

/// Energies that a bolt has taken, J.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoltEnergy {
    /// Friction.
    pub friction: f64,
    /// Keeper.
    pub keeper: f64,
    /// Yielding in tension and shearing off.
    pub failure: f64,
    /// Damping of the stack.
    pub damping: f64,
    /// Stored: stick spring and joint diagram, change since the start.
    pub stored: f64,
    /// Stored energy set free at release.
    pub freed: f64,
    /// Rubbing of the plates after release.
    pub rub: f64,
}

/// A bolt in the course of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltState {
    /// Outward notch axis n in the slip plane (unit).
    pub axis: Vector2<f64>,
    /// Departure, once it has happened.
    pub departure: Option<Departure>,
    /// Bolt tension, N.
    pub tension: f64,
    /// Washer force, N.
    pub washer: f64,
    /// Force on the upper plate in the slip plane, N.
    pub force: Vector2<f64>,
    /// Vertical force on the upper plate, N.
    pub lift: f64,
    /// Energies.
    pub energy: BoltEnergy,
    /// Whether the keeper at this bolt is torn.
    pub keeper_torn: bool,
    slip: Vector2<f64>,
    place: Vector2<f64>,
    slid: Vector2<f64>,
    path: f64,
    opening: f64,
    plastic: f64,
    bearing: bool,
    /// Opening at which the plates touch after release, m.
    floor: Option<f64>,
}

/// How the upper plate moves at a bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Opening rate, m/s.
    pub opening_rate: f64,
    /// Horizontal velocity of the upper seat, m/s.
    pub velocity: Vector2<f64>,
    /// Slope of the upper plate along x and y.
    pub slope: Vector2<f64>,
    /// Whether the upper seat lies over the lower plate.
    pub over_plate: bool,
}

impl Default for Motion {
    fn default() -> Self {
        Self {
            opening_rate: 0.0,
            velocity: Vector2::zeros(),
            slope: Vector2::zeros(),
            over_plate: true,
        }
    }
}

/// What the step did, for the event count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoltEvents {
    /// The bolt was released in this step, at this fraction of it.
    pub released: Option<f64>,
    /// The keeper tore in this step.
    pub keeper_torn: bool,
}

/// What the spring in the slip plane can hold.
enum Surface {
    /// Friction circle of this radius (cases a and b, and a locked bolt), N.
    Circle(f64),
    /// Sliding along the wall of the lower notch (direction, most, least) and of the upper notch.
    Walls([(Vector2<f64>, f64, f64); 2]),
}

/// Limit of the force in the slip plane and where the bolt is in its notches.
struct Limit {
    surface: Surface,
    /// Travel relative to the lower plate and to the upper plate along the notch axis, m.
    travel_lower: f64,
    travel_upper: f64,
    /// Path on the lower plate, m (for the keeper).
    path_lower: f64,
    kind: Departure,
    shears: bool,
    /// Force of the keeper along that path, N.
    keeper: f64,
}

impl Surface {
    /// Force of the spring (that of the upper plate on the joint) brought back to what can be held, and
    /// whether it was beyond. Every correction is a slide of the bolt in a notch, so it only dissipates.
    fn hold(&self, trial: Vector2<f64>) -> (Vector2<f64>, bool) {
        match self {
            Self::Circle(most) => {
                let size = trial.norm();
                if size > *most {
                    (trial * (most / size), true)
                } else {
                    (trial, false)
                }
            }
            Self::Walls([lower, upper]) => {
                let beyond = |p: &Vector2<f64>, w: &(Vector2<f64>, f64, f64)| {
                    let q = p.dot(&w.0);
                    (q - w.1).max(0.0) + (q - w.2).min(0.0)
                };
                // Sliding along one wall unloads that wall only.
                for (one, other) in [(lower, upper), (upper, lower)] {
                    let slid = trial - one.0 * beyond(&trial, one);
                    if beyond(&slid, other).abs() <= 1e-9 * other.1 {
                        return (slid, slid != trial);
                    }
                }
                // Along both: the corner, p.e_L = q_L and p.e_U = q_U.
                let edge = |w: &(Vector2<f64>, f64, f64)| {
                    if trial.dot(&w.0) >= 0.0 { w.1 } else { w.2 }
                };
                (corner(lower, edge(lower), upper, edge(upper)), true)
            }
        }
    }
}

/// The force p with p.e_L = q_L and p.e_U = q_U.
fn corner(
    lower: &(Vector2<f64>, f64, f64),
    q_l: f64,
    upper: &(Vector2<f64>, f64, f64),
    q_u: f64,
) -> Vector2<f64> {
    let (a, b) = (&lower.0, &upper.0);
    let determinant = a.x * b.y - a.y * b.x;
    Vector2::new(
        (q_l * b.y - q_u * a.y) / determinant,
        (a.x * q_u - b.x * q_l) / determinant,
    )
}

impl JointLaw {
    /// Whether the wall friction locks a squeezed bolt: tan b <= mu_w.
    pub fn locks(&self) -> bool {
        self.sin_beta <= self.friction_wall * self.cos_beta
    }

    /// Shear that a bolt can carry at the tension `t`, N: (T/T_u)^2 + (V/V_u)^2 = 1, and plate bearing.
    pub fn shear_capacity(&self, t: f64) -> f64 {
        let r = (t / self.tensile_load).min(1.0);
        (self.shear_load * (1.0 - r * r).max(0.0).sqrt()).min(self.bearing_load)
    }

    /// Displacement of a clamped bolt with the notch axis `axis` from its lower seat when the upper seat has
    /// moved by `s`: s in case (a), none in case (b), alpha along the lower wall in case (c).
    pub fn shift(&self, axis: &Vector2<f64>, s: &Vector2<f64>) -> Vector2<f64> {
        let size = s.norm();
        let along = s.dot(axis);
        if along >= size * self.cos_beta {
            return *s;
        }
        if along <= -size * self.cos_beta {
            return Vector2::zeros();
        }
        let across = s - axis * along;
        let sin_g = across.norm();
        let alpha = 0.5 * (sin_g / self.sin_beta + along / self.cos_beta);
        (axis * self.cos_beta + across * (self.sin_beta / sin_g)) * alpha
    }

    /// Linear fade over the last half diameter of the travel.
    fn fade(&self, travel: f64) -> f64 {
        ((self.travel - travel) / (0.5 * self.diameter)).clamp(0.0, 1.0)
    }

    /// Limit for the displacement `s` of the upper seat, of which `slid` has been slid (the rest is the
    /// stick spring's): the notch case follows s, travel and fade follow what was slid.
    fn limit(
        &self,
        bolt: &BoltState,
        s: &Vector2<f64>,
        slid: &Vector2<f64>,
        t: f64,
        n: f64,
    ) -> Limit {
        let size = s.norm();
        let along = s.dot(&bolt.axis);
        let slid_along = slid.dot(&bolt.axis);
        let clamp = self.friction_outer * t + self.friction_inner * n;
        let keeper = if bolt.keeper_torn {
            0.0
        } else {
            self.keeper_tear
        };
        let capacity = self.shear_capacity(t);
        let cut = |f: f64| (Surface::Circle(f.min(capacity)), f > capacity);
        if along >= size * self.cos_beta {
            // (a) out of the lower notch
            let f = clamp * self.fade(slid_along);
            let (surface, shears) = cut(f + keeper);
            return Limit {
                surface,
                travel_lower: slid_along,
                travel_upper: 0.0,
                path_lower: slid.norm(),
                kind: Departure::LowerNotch,
                shears,
                keeper,
            };
        }
        if along <= -size * self.cos_beta {
            // (b) left behind by the upper plate
            let (surface, shears) = cut(clamp * self.fade(-slid_along));
            return Limit {
                surface,
                travel_lower: 0.0,
                travel_upper: -slid_along,
                path_lower: 0.0,
                kind: Departure::UpperNotch,
                shears,
                keeper: 0.0,
            };
        }
        if self.locks() {
            return Limit {
                surface: Surface::Circle(capacity),
                travel_lower: 0.0,
                travel_upper: 0.0,
                path_lower: 0.0,
                kind: Departure::Squeezed,
                shears: true,
                keeper: 0.0,
            };
        }
        // (c) squeezed outward
        let (sb, cb, mw) = (self.sin_beta, self.cos_beta, self.friction_wall);
        let across = s - bolt.axis * along;
        let tangent = across / across.norm();
        let slid_across = slid.dot(&tangent).max(0.0);
        let lower = 0.5 * (slid_across / sb + slid_along / cb);
        let upper = 0.5 * (slid_across / sb - slid_along / cb);
        let f_l = clamp * self.fade(lower * cb) + keeper;
        let f_u = clamp * self.fade(upper * cb);
        let sum = (f_l + f_u) * cb / (sb - mw * cb);
        let difference = -(f_u - f_l) * sb / (cb + mw * sb);
        let n_u = (0.5 * (sum + difference)).max(0.0);
        let rub = f_u + mw * n_u;
        let most = tangent * (n_u * cb + rub * sb) + bolt.axis * (n_u * sb - rub * cb);
        let size = most.norm();
        let shears = size > capacity;
        let most = if shears {
            most * (capacity / size)
        } else {
            most
        };
        // s = alpha e_L + delta e_U; both walls sliding is the corner p = most.
        let e_l = bolt.axis * cb + tangent * sb;
        let e_u = tangent * sb - bolt.axis * cb;
        Limit {
            surface: Surface::Walls([
                (e_l, most.dot(&e_l).max(0.0), -f_l.min(capacity)),
                (e_u, most.dot(&e_u).max(0.0), -f_u.min(capacity)),
            ]),
            travel_lower: lower * cb,
            travel_upper: upper * cb,
            path_lower: lower,
            kind: Departure::Squeezed,
            shears,
            keeper,
        }
    }
}

impl BoltState {
    /// A bolt at rest in its notches, opening `u` and displacement `s` as given, nothing stored.
    pub fn at_rest(axis: Vector2<f64>, law: &JointLaw, s: Vector2<f64>, u: f64) -> Self {
        let mut bolt = Self {
            axis,
            departure: None,
            tension: 0.0,
            washer: 0.0,
            force: Vector2::zeros(),
            lift: 0.0,
            energy: BoltEnergy::default(),
            keeper_torn: law.keeper_tear <= 0.0,
            slip: Vector2::zeros(),
            place: Vector2::zeros(),
            slid: Vector2::zeros(),
            path: 0.0,
            opening: 0.0,
            plastic: 0.0,
            bearing: true,
            floor: None,
        };
        bolt.advance(law, s, u, &Motion::default());
        bolt.energy = BoltEnergy::default();
        bolt
    }

    /// Present displacement of the upper seat from the lower seat, m.
    pub fn slip(&self) -> Vector2<f64> {
        self.slip
    }

    /// Present opening, m.
    pub fn opening(&self) -> f64 {
        self.opening
    }

    /// Displacement of the bolt itself from its lower seat when the upper seat has moved by `s`; a bolt that
    /// has gone stands for its upper seat.
    pub fn shift(&self, law: &JointLaw, s: &Vector2<f64>) -> Vector2<f64> {
        if self.departure.is_some() {
            *s
        } else {
            law.shift(&self.axis, s)
        }
    }

    /// Moves the bolt to the displacement `s` of the upper seat and the opening `u` at the bolt. Updates
    /// forces and energies.
    pub fn advance(
        &mut self,
        law: &JointLaw,
        s: Vector2<f64>,
        u: f64,
        motion: &Motion,
    ) -> BoltEvents {
        if self.departure.is_some() {
            self.bear(law, s, u, motion);
            return BoltEvents::default();
        }
        let mut events = BoltEvents::default();

        // Joint diagram.
        let mut tension = law.preload + law.bolt_stiffness * (u - self.plastic);
        let mut stretch = 0.0;
        if tension > law.yield_load {
            stretch = (tension - law.yield_load) / law.bolt_stiffness;
            self.plastic += stretch;
            tension = law.yield_load;
        }
        let tension = tension.max(0.0);
        let washer = (law.preload - law.clamp_stiffness * u).max(0.0);
        let stiffness = law.bolt_stiffness + law.clamp_stiffness;
        let damp = -law.damping_time * stiffness * motion.opening_rate;
        let lift = washer - tension + damp;
        let du = u - self.opening;
        let vertical_work = -0.5 * (self.lift + lift) * du;
        let damped = -damp * du;
        let yielded = tension * stretch;

        // Slip plane.
        let ds = s - self.slip;
        let trial = self.force - ds * law.stick_stiffness;
        // What the spring does not hold has been slid. The spring's stretch is that of the last step,
        // which keeps the law explicit; in sliding it hardly changes.
        let slid = s + self.force / law.stick_stiffness;
        let limit = law.limit(self, &s, &slid, tension, washer);
        let (held, sliding) = limit.surface.hold(-trial);
        let force = -held;
        let slip_work = -0.5 * (self.force + force).dot(&ds);
        let stick = |f: &Vector2<f64>| f.norm_squared() / (2.0 * law.stick_stiffness);
        let stored = stick(&force) - stick(&self.force);
        // The bolt slides along the tilted plate: that part of the plate's work is not opening.
        let shift = self.shift(law, &s);
        let climb = motion.slope.dot(&(shift - self.place - ds));
        let mut dissipated = slip_work - stored + 0.5 * (self.lift + lift) * climb;

        self.energy.damping += damped;
        self.energy.failure += yielded;
        self.energy.stored += vertical_work - damped - yielded + stored;
        let (mut lift, mut force) = (lift, force);

        // Events.
        let sheared =
            limit.shears && sliding && force.norm() >= (1.0 - 1e-6) * law.shear_capacity(tension);
        let out_lower = limit.travel_lower >= law.travel;
        let out_upper = limit.travel_upper >= law.travel;
        let ruptured = self.plastic > law.rupture_stretch;
        let mut fraction = 1.0;
        if out_lower || out_upper {
            // The force of this step acts up to the crossing: weight (fraction of the step - 1/2).
            fraction = self.crossing(law, &s, &slid);
            let weight = fraction - 0.5;
            dissipated += 0.5 * (1.0 - 2.0 * fraction) * -(self.force + force).dot(&ds);
            lift *= weight;
            force *= weight;
        }
        // The keeper takes its force along the bolt's path on the lower plate.
        let keeper =
            (limit.keeper * (limit.path_lower - self.path)).clamp(0.0, dissipated.max(0.0));
        if sheared {
            self.energy.failure += dissipated;
        } else {
            self.energy.keeper += keeper;
            self.energy.friction += dissipated - keeper;
        }
        if !self.keeper_torn && limit.path_lower >= law.diameter {
            self.keeper_torn = true;
            events.keeper_torn = true;
        }
        self.departure = if ruptured {
            Some(Departure::Ruptured)
        } else if sheared {
            Some(Departure::Sheared)
        } else if out_lower || out_upper {
            Some(limit.kind)
        } else {
            None
        };
        self.tension = tension;
        self.washer = washer;
        self.force = force;
        self.lift = lift;
        self.slip = s;
        self.slid = slid;
        self.path = self.path.max(limit.path_lower);
        self.place = shift;
        self.opening = u;
        if self.departure.is_some() {
            events.released = Some(fraction);
            if ruptured || sheared {
                // The bolt parts now: what it stored goes, sheared bolts keep it as failure energy.
                if sheared {
                    self.energy.failure += self.energy.stored;
                } else {
                    self.energy.freed += self.energy.stored;
                }
                self.force = Vector2::zeros();
                self.lift = 0.0;
            } else {
                self.energy.freed += self.energy.stored;
            }
            self.energy.stored = 0.0;
            self.tension = 0.0;
            self.washer = 0.0;
        }
        events
    }

    /// Fraction of the step at which the travel reached L, by linear interpolation.
    fn crossing(&self, law: &JointLaw, s: &Vector2<f64>, slid: &Vector2<f64>) -> f64 {
        let travel = |slid: &Vector2<f64>| {
            let l = law.limit(self, s, slid, 0.0, 0.0);
            l.travel_lower.max(l.travel_upper)
        };
        let (a, b) = (travel(&self.slid), travel(slid));
        if b > a {
            ((law.travel - a) / (b - a)).clamp(0.0, 1.0)
        } else {
            1.0
        }
    }

    /// After release the plates only bear: compression over the lower plate, with friction mu_i.
    fn bear(&mut self, law: &JointLaw, s: Vector2<f64>, u: f64, motion: &Motion) {
        let floor = match self.floor {
            // They have not passed through each other: where they lie now is where they touch.
            None => {
                self.slip = s;
                self.opening = u;
                self.force = Vector2::zeros();
                self.lift = 0.0;
                u.min(0.0)
            }
            // A plate that has lifted touches where it is level, not lower.
            Some(floor) => floor.max(u.min(0.0)),
        };
        self.bearing &= motion.over_plate;
        let (mut lift, mut damp) = (0.0, 0.0);
        let had_floor = self.floor.replace(floor).is_some();
        if self.bearing && had_floor && u < floor {
            let rate = motion.opening_rate;
            let press = law.bolt_stiffness * (floor - u);
            lift = (press - law.damping_time * law.bolt_stiffness * rate).max(0.0);
            damp = lift - press;
        }
        let velocity = &motion.velocity;
        let speed = (velocity.norm_squared() + RUB_SCALE * RUB_SCALE).sqrt();
        let force = velocity * (-law.friction_inner * lift / speed);
        let ds = s - self.slip;
        let du = u - self.opening;
        self.energy.rub -= 0.5 * (self.force + force).dot(&ds);
        self.energy.stored -= 0.5 * (self.lift + lift) * du - damp * du;
        self.energy.damping -= damp * du;
        if !self.bearing {
            self.energy.freed += self.energy.stored;
            self.energy.stored = 0.0;
        }
        self.force = force;
        self.lift = lift;
        self.slip = s;
        self.opening = u;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Constant clamp: very soft joint diagram, no keeper, T = N = 40 kN.
    fn law(beta_deg: f64) -> JointLaw {
        let beta = beta_deg.to_radians();
        JointLaw {
            bolt_stiffness: 1.0,
            clamp_stiffness: 1.0,
            damping_time: 0.0,
            preload: 40e3,
            yield_load: 200e3,
            tensile_load: 300e3,
            rupture_stretch: 0.01,
            friction_outer: 0.20,
            friction_inner: 0.15,
            friction_wall: 0.15,
            sin_beta: libm::sin(beta),
            cos_beta: libm::cos(beta),
            travel: 0.035,
            diameter: 0.025,
            keeper_tear: 0.0,
            shear_load: 180e3,
            bearing_load: 500e3,
            stick_stiffness: 8e7,
        }
    }

    /// Pushes the upper plate along x and returns the largest force against it along x.
    fn slide(law: &JointLaw, azimuths_deg: &[f64], to: f64) -> (f64, Vec<BoltState>) {
        let mut bolts: Vec<BoltState> = azimuths_deg
            .iter()
            .map(|a| {
                let a = a.to_radians();
                let axis = Vector2::new(libm::cos(a), libm::sin(a));
                BoltState::at_rest(axis, law, Vector2::zeros(), 0.0)
            })
            .collect();
        let mut most = 0.0_f64;
        let n = 20_000;
        for i in 1..=n {
            let s = Vector2::new(to * f64::from(i) / f64::from(n), 0.0);
            for b in &mut bolts {
                b.advance(law, s, 0.0, &Motion::default());
            }
            most = most.max(-bolts.iter().map(|b| b.force.x).sum::<f64>());
        }
        (most, bolts)
    }

    const F: f64 = (0.20 + 0.15) * 40e3;

    /// Resistance along x of one squeezed bolt whose notch stands at gamma to the motion, written out
    /// from the equilibrium of the massless bolt with equal f on both plates.
    fn squeezed(gamma_deg: f64, beta_deg: f64, mu: f64) -> f64 {
        let (g, b) = (gamma_deg.to_radians(), beta_deg.to_radians());
        // N_L = N_U = f cos b/(sin b - mu cos b); force against the motion along t and n.
        let n = F * libm::cos(b) / (libm::sin(b) - mu * libm::cos(b));
        let t = n * libm::cos(b) + (F + mu * n) * libm::sin(b);
        let r = n * libm::sin(b) - (F + mu * n) * libm::cos(b);
        t * libm::sin(g) + r * libm::cos(g)
    }

    #[test]
    fn three_bolts_by_hand_in_both_orientations() {
        // First bolt ahead of the blow: one bolt leaves the lower notch, two are squeezed at 120 degrees.
        let (most, bolts) = slide(&law(45.0), &[0.0, 120.0, -120.0], 0.02);
        let hand = F + 2.0 * squeezed(120.0, 45.0, 0.15);
        assert!((most / hand - 1.0).abs() < 1e-9, "{most} {hand}");
        // First bolt behind: it is left behind, two are squeezed at 60 degrees.
        let (most, _) = slide(&law(45.0), &[180.0, 60.0, -60.0], 0.02);
        let hand = F + 2.0 * squeezed(60.0, 45.0, 0.15);
        assert!((most / hand - 1.0).abs() < 1e-9, "{most} {hand}");
        assert!(bolts.iter().all(|b| b.departure.is_none()));
    }

    #[test]
    fn rigid_wedge_without_wall_friction() {
        // gamma = 90 degrees, mu_w = 0: S = f/sin b.
        for beta in [30.0, 45.0] {
            let l = JointLaw {
                friction_wall: 0.0,
                ..law(beta)
            };
            let (most, _) = slide(&l, &[90.0], 0.02);
            let hand = F / libm::sin(f64::to_radians(beta));
            assert!((most / hand - 1.0).abs() < 1e-9, "{most} {hand}");
        }
    }

    #[test]
    fn bolts_leave_by_the_right_notch_and_give_back_no_more_than_they_took() {
        let l = law(45.0);
        let (_, bolts) = slide(&l, &[0.0, 90.0, 180.0, -90.0], 0.08);
        let fates: Vec<_> = bolts.iter().map(|b| b.departure).collect();
        assert_eq!(
            fates,
            [
                Some(Departure::LowerNotch),
                Some(Departure::Squeezed),
                Some(Departure::UpperNotch),
                Some(Departure::Squeezed)
            ]
        );
        // Friction f over L, the last half diameter of it fading: f (L - d/4).
        let hand = F * (0.035 - 0.25 * 0.025);
        for i in [0, 2] {
            let e = bolts[i].energy;
            assert!(
                (e.friction / hand - 1.0).abs() < 0.01,
                "{} {hand}",
                e.friction
            );
        }
    }

    #[test]
    fn narrow_notches_lock_and_shear() {
        // tan 8 deg = 0.14 < mu_w: the bolt must be sheared at its capacity under tension.
        let l = law(8.0);
        assert!(l.locks());
        let (most, bolts) = slide(&l, &[90.0], 0.02);
        let hand = 180e3 * (1.0_f64 - (40.0_f64 / 300.0) * (40.0 / 300.0)).sqrt();
        assert!((most / hand - 1.0).abs() < 1e-3, "{most} {hand}");
        assert_eq!(bolts[0].departure, Some(Departure::Sheared));
    }

    #[test]
    fn keeper_tears_over_one_diameter() {
        let l = JointLaw {
            keeper_tear: 5e3,
            ..law(45.0)
        };
        let (most, bolts) = slide(&l, &[0.0], 0.05);
        assert!((most / (F + 5e3) - 1.0).abs() < 1e-9);
        let hand = 5e3 * 0.025;
        assert!((bolts[0].energy.keeper / hand - 1.0).abs() < 0.01);
        assert!(bolts[0].keeper_torn);
    }

    #[test]
    fn joint_diagram_shares_an_external_pull() {
        let l = JointLaw {
            bolt_stiffness: 8e8,
            clamp_stiffness: 4e9,
            ..law(45.0)
        };
        let mut b = BoltState::at_rest(Vector2::x(), &l, Vector2::zeros(), 0.0);
        // Opening 5 um: T rises by k_b u, N falls by k_c u.
        b.advance(&l, Vector2::zeros(), 5e-6, &Motion::default());
        assert!((b.tension - 44e3).abs() < 1e-6 && (b.washer - 20e3).abs() < 1e-6);
        // Gapped at F_p/k_c = 10 um.
        b.advance(&l, Vector2::zeros(), 20e-6, &Motion::default());
        assert!((b.tension - 56e3).abs() < 1e-6 && b.washer == 0.0);
    }
}
