//! The shaft's plastic hinge at its foot.
//!
//! The upper plate hangs on the shaft through a hinge that is rigid up to the plastic moment M_p and then turns
//! so that the moment of the joint about the foot stays at M_p. The turn follows the moment (associated flow),
//! and its work M_p dphi is booked. The hinge is found in the step itself, with the bolts' own forces at the
//! turned plate, so no stiffness is added and none is guessed.
//!
//! Rigid-plastic, no hardening, no softening by local buckling; axial force and torsion do not lower M_p.

use giveway_mechanics::attitude::Attitude;
use giveway_mechanics::joint::{BoltState, JointLaw};
use nalgebra::{Matrix3, Vector2, Vector3};

use crate::rest::{Seat, UpperPlate, turning};

/// The moment is looked at closely from this part of M_p on.
const WATCHED: f64 = 0.75;
/// How closely the moment is brought back to M_p.
const TOLERANCE: f64 = 1e-9;

/// The hinge in the course of a run.
#[derive(Debug, Clone)]
pub(crate) struct Hinge {
    /// Plastic moment, N.m; infinite for a support that cannot fold.
    pub limit: f64,
    /// Rotation of the plate against the shaft, support axes; none while it has not turned.
    pub turn: Option<Attitude>,
    /// Moment of the joint about the foot at the last step, site axes, N.m.
    pub moment: Vector3<f64>,
    /// Turn of this step, site axes, rad.
    step: Vector3<f64>,
    /// Size of the last turn, rad.
    last: f64,
    /// Energy spent, J.
    pub spent: f64,
    /// Sum of all turning, rad.
    pub path: f64,
    /// When it first turned, s.
    pub since: Option<f64>,
}

impl Hinge {
    pub fn new(limit: f64) -> Self {
        Self {
            limit,
            turn: None,
            moment: Vector3::zeros(),
            step: Vector3::zeros(),
            last: 0.0,
            spent: 0.0,
            path: 0.0,
            since: None,
        }
    }

    /// Whether the shaft may fold in the next steps.
    pub fn near(&self) -> bool {
        self.moment.norm_squared() >= (WATCHED * self.limit) * (WATCHED * self.limit)
    }

    /// Angle between the plate and its place square on the shaft, rad.
    pub fn angle(&self) -> f64 {
        self.turn
            .map_or(0.0, |t| libm::acos(t.matrix()[(2, 2)].clamp(-1.0, 1.0)))
    }

    /// Turns the hinge so that the bolts' moment about the foot does not exceed the limit, and returns the plate as it
    /// then lies.
    pub fn settle(
        &mut self,
        joint: &Joint<'_>,
        foot: Vector3<f64>,
        rotation: &Matrix3<f64>,
        turn: Vector3<f64>,
        time: f64,
    ) -> UpperPlate {
        let turns = std::mem::take(&mut self.step) != Vector3::zeros();
        let now = self.turn.map(|t| t.matrix());
        let plate = UpperPlate::new(foot, rotation, &turn, now.as_ref());
        if !self.near() {
            return plate;
        }
        if !turns && joint.most(&plate) <= self.limit {
            return plate;
        }
        let trial = joint.moment(&plate);
        let size = trial.norm();
        if size <= self.limit {
            return plate;
        }
        // M(phi).m falls as the plate turns along m: a bracket first.
        let along = trial / size;
        // Its axis as the plate sees it, before support and foot have turned it.
        let axis = turning(&turn).tr_mul(&rotation.tr_mul(&along));
        let at = |phi: f64| {
            let whole = self
                .turn
                .unwrap_or(Attitude::identity())
                .rotated_by(&(axis * phi));
            let plate = UpperPlate::new(foot, rotation, &turn, Some(&whole.matrix()));
            (plate, whole)
        };
        let excess = |phi: f64| joint.moment(&at(phi).0).dot(&along) - self.limit;
        let (mut low, mut over) = (0.0, size - self.limit);
        // A hinge that turns goes on turning: the turn of the last step is near, that of the stiffest joint is the least.
        let least = over / joint.tilt_stiffness();
        let mut high = self.last.max(least);
        let mut under = excess(high);
        let mut further = least;
        for _ in 0..60 {
            if under <= 0.0 {
                break;
            }
            (low, over) = (high, under);
            high += further;
            further *= 2.0;
            under = excess(high);
        }
        // False position; an end that stays twice counts half (Illinois), so that the bracket shrinks from both sides.
        let mut phi = high;
        let mut stayed = 0;
        for _ in 0..60 {
            phi = low + (high - low) * over / (over - under);
            let e = excess(phi);
            if e.abs() <= TOLERANCE * self.limit {
                break;
            }
            if e > 0.0 {
                (low, over) = (phi, e);
                if stayed > 0 {
                    under *= 0.5;
                }
                stayed = 1;
            } else {
                (high, under) = (phi, e);
                if stayed < 0 {
                    over *= 0.5;
                }
                stayed = -1;
            }
        }
        self.last = phi;
        let (plate, whole) = at(phi);
        self.turn = Some(whole);
        self.step = along * phi;
        self.path += phi;
        if self.since.is_none() {
            self.since = Some(time);
        }
        plate
    }

    /// Books the step with the moment that came out.
    pub fn book(&mut self, moment: Vector3<f64>) {
        self.spent += 0.5 * (self.moment + moment).dot(&self.step);
        self.moment = moment;
    }
}

/// The bolts as the hinge sees them.
pub(crate) struct Joint<'a> {
    pub laws: &'a [JointLaw],
    pub bolts: &'a [BoltState],
    pub radius: f64,
    pub slip_height: f64,
    /// Movement of the lower plate.
    pub lower: Vector2<f64>,
    pub inverse_dt: f64,
}

impl Joint<'_> {
    /// The moment cannot be larger than this, N.m: that of the vertical forces, and of all that a bolt bears in the slip plane.
    fn most(&self, plate: &UpperPlate) -> f64 {
        let (mut sum, mut beside) = (Vector2::zeros(), 0.0);
        for (bolt, law) in self.bolts.iter().zip(self.laws) {
            let Seat { upper, place, .. } =
                Seat::locate(plate, &bolt.axis, self.radius, &self.lower, |s| {
                    bolt.way(law, s).shift
                });
            let lift = bolt.lift_at(law, place.z - self.slip_height, self.inverse_dt);
            let lever = place - plate.foot;
            sum += Vector2::new(lever.y, -lever.x) * lift;
            beside += (upper.z - plate.foot.z).abs() * law.shear_load.max(2.0 * lift);
        }
        sum.norm() + beside
    }

    /// Horizontal part of the bolts' moment about the foot, site axes, N.m. On a plate that stands at a slope the forces in
    /// the slip plane have a lever too.
    fn moment(&self, plate: &UpperPlate) -> Vector3<f64> {
        let mut sum = Vector3::zeros();
        for (bolt, law) in self.bolts.iter().zip(self.laws) {
            let Seat { upper, slip, place } =
                Seat::locate(plate, &bolt.axis, self.radius, &self.lower, |s| {
                    bolt.way(law, s).shift
                });
            let opening = place.z - self.slip_height;
            let (across, lift) = bolt.force_at(law, &slip, opening, self.inverse_dt);
            let lever = place - plate.foot;
            let height = upper.z - plate.foot.z;
            sum.x += lever.y * lift - height * across.y;
            sum.y += height * across.x - lever.x * lift;
        }
        sum
    }

    /// Largest stiffness against tilting, N.m/rad.
    fn tilt_stiffness(&self) -> f64 {
        let sum: f64 = self
            .laws
            .iter()
            .map(|l| l.axial.stiffness() * (1.0 + l.damping_time * self.inverse_dt))
            .sum();
        sum * self.radius * self.radius
    }
}
