//! One bolt of the slip joint: joint diagram, friction in its notches, keeper, shear, release.
//!
//! The bolt sees the upper seat move against the lower seat: `s`, the horizontal displacement, and `u`,
//! the opening of the plates where the bolt now is: with the upper seat in case (a), at the lower seat
//! in case (b), along the lower notch's wall in case (c). Forces are those on the upper plate.
//!
//! Clamp: the joint diagram of [`AxialLaw`], with plates that bend between the pole's wall and the bolt.
//! Resistance against the lower plate f_L = mu_o T + mu_i N (plus the keeper), against the upper plate
//! f_U = mu_o T + mu_i N; each fades linearly to zero over the last half bolt diameter of its travel,
//! where the washer runs over the notch mouth. Friction falls with the sliding speed ([`FrictionLaw`]). The angle gamma between s and the notch axis n decides:
//!
//! - gamma <= beta: the bolt leaves the lower notch with the upper plate, resistance f_L along s;
//! - gamma >= pi - beta: the upper plate leaves the bolt behind, resistance f_U along s;
//! - a bolt has room in its notches: between a wall of the lower and the opposite wall of the upper one 2 c = b - d, b the
//!   notch's width at the seated bolt. Of the way across the notch axis this much brings no wall to bear; gamma is the angle of
//!   what is left;
//! - otherwise the bolt is squeezed outward between one wall of each notch, and wedging multiplies the
//!   friction: A = (f_L + f_U) cos b/(sin b - mu_w cos b), B = -(f_U - f_L) sin b/(cos b + mu_w sin b),
//!   N_L + N_U = A, N_U - N_L = B. With tan b <= mu_w the bolt is locked and must be sheared.
//!
//! Sticking is an elastic-plastic spring in the slip plane: a friction circle in cases (a) and (b); in
//! case (c) it slides along the lower wall at p.e_L = f_L + mu_w N_L, N_L = -p.m_L (m_L the wall's normal into the
//! notch), along the upper wall likewise, or along both, which is the squeezed force above.
//!
//! References: wedge equilibrium derived from the statics of the massless bolt; bolt shear and plate
//! bearing see [`crate::clamp`]; tension-shear ellipse as in AISC specifications (recalled).

use nalgebra::Vector2;

use giveway_scenario::model::Scenario;

use crate::clamp::{ClampProperties, squared_shear_left};

mod axial;
mod bolt;
mod hold;
mod rubbing;
mod surface;

pub use axial::{AxialLaw, Pull};
pub use bolt::{BoltEnergy, BoltEvents, BoltState, Departure, Motion};
pub use hold::{BoltFaults, FaultEnergy, GroutLaw, LumpLaw};
use rubbing::Rub;
pub use rubbing::{Friction, FrictionLaw};
use surface::{Surface, Wall};

/// Properties of one bolt and its notches. The bolts of a sound base share them.
#[derive(Debug, Clone, PartialEq)]
pub struct JointLaw {
    /// Joint diagram: bolt, clamped stack, plates.
    pub axial: AxialLaw,
    /// Damping time: damping force over stiffness and opening rate, s.
    pub damping_time: f64,
    /// Tensile strength as a load T_u, N.
    pub tensile_load: f64,
    /// Plastic stretch at rupture, m.
    pub rupture_stretch: f64,
    /// Friction of the three interfaces.
    pub friction: FrictionLaw,
    /// Sine of the notch half-angle beta.
    pub sin_beta: f64,
    /// Cosine of beta.
    pub cos_beta: f64,
    /// Free travel L out of the lower and out of the upper notch, m.
    pub travel_lower: f64,
    /// See `travel_lower`.
    pub travel_upper: f64,
    /// Room of a bolt between a wall of the lower and the opposite wall of the upper notch 2 c, m.
    pub room: f64,
    /// Bolt diameter d, m.
    pub diameter: f64,
    /// Tear force of the keeper at one bolt before it has begun to tear F_k, N.
    pub keeper_tear: f64,
    /// Way on which the keeper's ligament at one bolt is torn through, m.
    pub keeper_way: f64,
    /// Bolt shear capacity without tension V_u, N.
    pub shear_load: f64,
    /// Bearing capacity of the notch, N.
    pub bearing_load: f64,
    /// Stick stiffness in the slip plane, N/m.
    pub stick_stiffness: f64,
    /// The yield load is that of the nut's threads, and the rupture stretch the way on which they strip.
    pub strips: bool,
    /// What was found on site and holds this bolt; none on a sound base.
    pub faults: Option<BoltFaults>,
}

/// Limit of the force in the slip plane and where the bolt is in its notches.
struct Limit {
    surface: Surface,
    /// Travel relative to the lower plate and to the upper plate along the notch axis, m.
    travel_lower: f64,
    travel_upper: f64,
    /// Path on the lower plate, m (for the keeper).
    path_lower: f64,
    /// Path on the upper plate, m.
    path_upper: f64,
    kind: Departure,
    shears: bool,
    /// Force of the keeper along the lower path, N.
    keeper: f64,
    /// Share of the friction that is still static, and of the clamp that the washers bear before they run over each mouth.
    at_rest: f64,
    fade: [f64; 2],
    /// Square of the shear that the bolt can carry, N^2.
    capacity_squared: f64,
}

/// Part of the shear capacity at which the bolt is off.
const PARTED: f64 = 1.0 - 1e-6;

impl Limit {
    /// Whether this force in the slip plane shears the bolt.
    fn parts(&self, force: &Vector2<f64>) -> bool {
        force.norm_squared() >= PARTED * PARTED * self.capacity_squared
    }
}

/// Which way a bolt goes in its notches for a displacement s of its upper seat.
#[derive(Debug, Clone, Copy)]
struct Course {
    kind: Departure,
    /// Part of s along the notch axis, m.
    along: f64,
    /// Across it, to the side of s (unit).
    aside: Vector2<f64>,
    /// Part of s to that side that is left when the bolt's room in its notches is used up, m.
    pressed: f64,
}

impl Default for Course {
    fn default() -> Self {
        Self {
            kind: Departure::LowerNotch,
            along: 0.0,
            aside: Vector2::zeros(),
            pressed: 0.0,
        }
    }
}

/// Which way a bolt goes for a displacement of its upper seat, and how far it has then moved itself.
#[derive(Debug, Clone, Copy, Default)]
pub struct Way {
    course: Course,
    /// Displacement of the bolt from its lower seat, m.
    pub shift: Vector2<f64>,
}

/// Sum of the shares against one plate, N.
fn sum(held: Option<&hold::Shares>, plate: usize) -> f64 {
    held.map_or(0.0, |h| h.sum(plate))
}

impl JointLaw {
    /// The law of every bolt of a clean base with this clamp.
    pub fn clean(scenario: &Scenario, clamp: &ClampProperties) -> Self {
        let base = &scenario.base;
        let of = |at_rest: f64, sliding: f64| Friction { at_rest, sliding };
        Self {
            axial: clamp.axial_law(clamp.preload_n, clamp.yield_load_n),
            damping_time: scenario.solver.joint_damping_s,
            tensile_load: clamp.tensile_load_n,
            rupture_stretch: clamp.rupture_stretch_m,
            friction: FrictionLaw {
                outer: of(base.friction_outer, base.sliding_outer),
                inner: of(base.friction_inner, base.sliding_inner),
                wall: of(base.friction_wall, base.sliding_wall),
                transition: base.friction_transition_mps,
            },
            sin_beta: libm::sin(base.notch_half_angle_rad),
            cos_beta: libm::cos(base.notch_half_angle_rad),
            travel_lower: base.notch_travel_m,
            travel_upper: base.notch_travel_m,
            room: (base.notch_span_m - base.bolt.diameter_m).max(0.0),
            diameter: base.bolt.diameter_m,
            keeper_tear: clamp.keeper_tear_n,
            keeper_way: clamp.keeper_ligament_m,
            shear_load: clamp.shear_load_n,
            bearing_load: clamp.upper_bearing_n.min(clamp.lower_bearing_n),
            stick_stiffness: scenario.solver.stick_stiffness_npm,
            strips: false,
            faults: None,
        }
    }

    /// Whether the wall's static friction locks a squeezed bolt: tan b <= mu_w.
    pub fn locks(&self) -> bool {
        self.sin_beta <= self.friction.wall.at_rest * self.cos_beta
    }

    /// Sliding friction between the plates with what was found there: mu_i, rusted, or mu_p of plates that touch.
    fn friction_between(&self) -> f64 {
        let inner = self.friction.inner.sliding;
        let Some(found) = &self.faults else {
            return inner;
        };
        match found.plate_friction {
            Some([plate, _]) => plate.sliding.max(inner),
            None => inner + found.rust[1].sliding,
        }
    }

    /// Shear that a bolt can carry at the tension `t`, N: (T/T_u)^2 + (V/V_u)^2 = 1, and plate bearing.
    pub fn shear_capacity(&self, t: f64) -> f64 {
        self.squared_shear_capacity(t).sqrt()
    }

    #[inline]
    fn squared_shear_capacity(&self, t: f64) -> f64 {
        let shear = squared_shear_left(t, self.tensile_load, self.shear_load);
        shear.min(self.bearing_load * self.bearing_load)
    }

    /// What the findings on site can hold at first against lower and upper plate, at the preload and as far as the bolt
    /// itself carries it, N.
    pub fn holds(&self) -> [f64; 2] {
        let preload = self.axial.preload;
        let most = self.shear_capacity(preload);
        let held = self.held(preload, preload, 1.0, [0.0; 2], [1.0; 2]);
        [
            sum(held.as_ref(), 0).min(most),
            sum(held.as_ref(), 1).min(most),
        ]
    }

    /// Displacement of a clamped bolt with the notch axis `axis` from its lower seat when the upper seat has
    /// moved by `s`: s in case (a), none in case (b), alpha along the lower wall in case (c).
    #[inline]
    pub fn shift(&self, axis: &Vector2<f64>, s: &Vector2<f64>) -> Vector2<f64> {
        self.shift_on(&self.course(axis, s), axis)
    }

    /// The notch case of the displacement `s`.
    #[inline]
    fn course(&self, axis: &Vector2<f64>, s: &Vector2<f64>) -> Course {
        let along = s.dot(axis);
        let across = axis.perp(s);
        let aside = Vector2::new(-axis.y, axis.x) * 1.0_f64.copysign(across);
        let pressed = (across.abs() - self.room).max(0.0);
        // The angle from the notch axis against beta, by squares.
        let squared = along * along.abs();
        let edge = (along * along + pressed * pressed) * (self.cos_beta * self.cos_beta);
        let kind = if squared >= edge {
            Departure::LowerNotch
        } else if squared <= -edge {
            Departure::UpperNotch
        } else {
            Departure::Squeezed
        };
        Course {
            kind,
            along,
            aside,
            pressed,
        }
    }

    #[inline]
    fn shift_on(&self, course: &Course, axis: &Vector2<f64>) -> Vector2<f64> {
        match course.kind {
            // The bolt goes with the upper plate but for its room, so that no case begins with a jump.
            Departure::LowerNotch => axis * course.along + course.aside * course.pressed,
            Departure::UpperNotch => Vector2::zeros(),
            _ => {
                let alpha = self.along_walls(course.pressed, course.along)[0];
                (axis * self.cos_beta + course.aside * self.sin_beta) * alpha
            }
        }
    }

    /// Ways along the lower and the upper wall that together lead so far across and along the notch axis, m.
    #[inline]
    fn along_walls(&self, across: f64, along: f64) -> [f64; 2] {
        // across/(2 sin beta) +- along/(2 cos beta)
        let scale = 0.5 / (self.sin_beta * self.cos_beta);
        let (across, along) = (
            across * self.cos_beta * scale,
            along * self.sin_beta * scale,
        );
        [across + along, across - along]
    }

    /// Square of the squeezed force for the resistances `f` along the lower and the upper wall and the wall friction, N^2.
    #[inline]
    fn squared_squeezed(&self, f: [f64; 2], mw: f64) -> f64 {
        let (sb, cb) = (self.sin_beta, self.cos_beta);
        // A = N_L + N_U, B = N_U - N_L
        let sum = (f[0] + f[1]) * cb / (sb - mw * cb);
        let difference = -(f[1] - f[0]) * sb / (cb + mw * sb);
        let n_u = (0.5 * (sum + difference)).max(0.0);
        let rub = f[1] + mw * n_u;
        // n_u and rub are square to each other.
        n_u * n_u + rub * rub
    }

    /// Whether the bolt must be reckoned to shear: what holds it at the preload comes to half its shear or more; a locked
    /// bolt always.
    pub fn may_shear(&self) -> bool {
        let t = self.axial.preload;
        let held = self.held(t, t, 1.0, [0.0; 2], [1.0; 2]);
        let rub = self.friction.at(1.0);
        let clamp = (rub.outer + rub.inner) * t;
        let f = [
            clamp + self.keeper_tear + sum(held.as_ref(), 0),
            clamp + sum(held.as_ref(), 1),
        ];
        let most = 0.5 * self.shear_capacity(t);
        let squeezed = self.squared_squeezed(f, rub.wall).sqrt();
        self.locks() || f[0].max(f[1]).max(squeezed) >= most
    }

    /// Linear fade over the last half diameter of the travel `most`.
    fn fade(&self, most: f64, travel: f64) -> f64 {
        ((most - travel) / (0.5 * self.diameter)).clamp(0.0, 1.0)
    }

    /// Shares of the faults for the given path and fade against lower and upper plate.
    #[inline]
    fn held(
        &self,
        t: f64,
        n: f64,
        at_rest: f64,
        path: [f64; 2],
        fade: [f64; 2],
    ) -> Option<hold::Shares> {
        let faults = self.faults.as_ref()?;
        Some(faults.shares(t, n, at_rest, path, fade))
    }

    /// Force of the keeper after the path `l` on the lower plate, N: what is left of its ligament.
    #[inline]
    fn keeper(&self, bolt: &BoltState, l: f64) -> f64 {
        if bolt.keeper_torn() {
            0.0
        } else {
            self.keeper_tear * (1.0 - l.max(0.0) / self.keeper_way).max(0.0)
        }
    }

    /// Limit for the displacement of the upper seat that takes this course, of which `slid` has been slid (the rest
    /// is the stick spring's): the notch case follows the course, travel and fade follow what was slid.
    #[inline(always)]
    fn limit(
        &self,
        bolt: &BoltState,
        course: &Course,
        slid: &Vector2<f64>,
        t: f64,
        n: f64,
    ) -> Limit {
        let slid_along = slid.dot(&bolt.axis);
        let at_rest = self.friction.share_at_rest(bolt.sliding_speed());
        let Rub {
            outer,
            inner,
            wall: mw,
        } = self.friction.at(at_rest);
        let clamp = outer * t + inner * n;
        let capacity_squared = self.squared_shear_capacity(t);
        let cut = |f: f64| {
            let squared = f * f;
            (
                Surface::Circle(squared.min(capacity_squared)),
                squared > capacity_squared,
            )
        };
        if course.kind == Departure::LowerNotch {
            // (a) out of the lower notch
            let path = slid.norm();
            let fade = self.fade(self.travel_lower, slid_along);
            let keeper = self.keeper(bolt, path);
            let held = self.held(t, n, at_rest, [path, 0.0], [fade, 0.0]);
            let (surface, shears) = cut(clamp * fade + keeper + sum(held.as_ref(), 0));
            return Limit {
                surface,
                travel_lower: slid_along,
                travel_upper: 0.0,
                path_lower: path,
                path_upper: 0.0,
                kind: Departure::LowerNotch,
                shears,
                keeper,
                at_rest,
                fade: [fade, 0.0],
                capacity_squared,
            };
        }
        if course.kind == Departure::UpperNotch {
            // (b) left behind by the upper plate
            let path = slid.norm();
            let fade = self.fade(self.travel_upper, -slid_along);
            let held = self.held(t, n, at_rest, [0.0, path], [0.0, fade]);
            let (surface, shears) = cut(clamp * fade + sum(held.as_ref(), 1));
            return Limit {
                surface,
                travel_lower: 0.0,
                travel_upper: -slid_along,
                path_lower: 0.0,
                path_upper: path,
                kind: Departure::UpperNotch,
                shears,
                keeper: 0.0,
                at_rest,
                fade: [0.0, fade],
                capacity_squared,
            };
        }
        if self.locks() {
            return Limit {
                surface: Surface::Circle(capacity_squared),
                travel_lower: 0.0,
                travel_upper: 0.0,
                path_lower: 0.0,
                path_upper: 0.0,
                kind: Departure::Squeezed,
                shears: true,
                keeper: 0.0,
                at_rest,
                fade: [0.0; 2],
                capacity_squared,
            };
        }
        self.between_walls(
            bolt,
            course,
            slid,
            (t, n),
            (at_rest, clamp, mw),
            capacity_squared,
        )
    }

    /// Shares of the findings on site in that limit of a bolt under the tension `t` and the washer force `n`; none on a sound
    /// base, and of a locked bolt, which its shear holds.
    fn found_in(&self, limit: &Limit, t: f64, n: f64) -> Option<hold::Shares> {
        if limit.kind == Departure::Squeezed && self.locks() {
            return None;
        }
        let path = [limit.path_lower.max(0.0), limit.path_upper.max(0.0)];
        self.held(t, n, limit.at_rest, path, limit.fade)
    }

    /// (c) The limit of a bolt that is squeezed outward between the walls of both notches, s = alpha e_L + delta e_U.
    #[inline(always)]
    fn between_walls(
        &self,
        bolt: &BoltState,
        course: &Course,
        slid: &Vector2<f64>,
        (t, n): (f64, f64),
        (at_rest, clamp, wall): (f64, f64, f64),
        capacity_squared: f64,
    ) -> Limit {
        let slid_along = slid.dot(&bolt.axis);
        let (sb, cb) = (self.sin_beta, self.cos_beta);
        let tangent = course.aside;
        let slid_across = (slid.dot(&tangent) - self.room).max(0.0);
        let [lower, upper] = self.along_walls(slid_across, slid_along);
        let fade = [
            self.fade(self.travel_lower, lower * cb),
            self.fade(self.travel_upper, upper * cb),
        ];
        let path = [lower.max(0.0), upper.max(0.0)];
        let keeper = self.keeper(bolt, lower);
        let held = self.held(t, n, at_rest, path, fade);
        let f_l = clamp * fade[0] + keeper + sum(held.as_ref(), 0);
        let f_u = clamp * fade[1] + sum(held.as_ref(), 1);
        let shears = self.squared_squeezed([f_l, f_u], wall) > capacity_squared;
        // What presses on the walls is square to that.
        Limit {
            surface: Surface::Walls {
                walls: [
                    Wall {
                        along: bolt.axis * cb + tangent * sb,
                        press: tangent * cb - bolt.axis * sb,
                        limit: f_l,
                        friction: wall,
                    },
                    Wall {
                        along: tangent * sb - bolt.axis * cb,
                        press: tangent * cb + bolt.axis * sb,
                        limit: f_u,
                        friction: wall,
                    },
                ],
                shear_squared: capacity_squared,
            },
            travel_lower: lower * cb,
            travel_upper: upper * cb,
            path_lower: lower,
            path_upper: upper,
            kind: Departure::Squeezed,
            shears,
            keeper,
            at_rest,
            fade,
            capacity_squared,
        }
    }
}

#[cfg(test)]
mod tests;
