//! The whole state of a run: where everything is, what acts, what has been spent and what was largest.

use giveway_mechanics::attitude::{Attitude, Spin};
use giveway_mechanics::joint::BoltState;
use giveway_mechanics::obstacle::{BarState, PierLaw, PierState, SoilState};
use giveway_mechanics::side_body::SideState;
use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};
use wide::f64x2;

use crate::clock::SAMPLE_S;
use crate::contact::BandRun;
use crate::error::ImpactError;
use crate::hinge::Hinge;
use crate::kink::{Kink, dented};
use crate::prepared::Prepared;
use crate::rest::{UpperPlate, bolt_at_rest, bolt_axes};
use crate::solution::both;

/// Constants of a pair of elastic coordinates for one step size.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drift {
    qq: f64x2,
    qw: f64x2,
    wq: f64x2,
    ww: f64x2,
    loss: f64x2,
    /// What a constant force adds to coordinate and rate.
    fq: f64x2,
    fw: f64x2,
}

/// The elastic coordinates' step of one size.
#[derive(Debug, Clone)]
pub(crate) struct Drifts {
    pub each: Vec<Drift>,
    /// What is left of the kink's stiffness at the middle of the step: K - sum M_i M_i^T fq_i/2, N.m/rad.
    pub kink: Matrix2<f64>,
}

impl Drift {
    /// Coordinates and rates after the step, and the damping energy with this step's added.
    #[inline]
    pub fn advance(&self, q0: f64x2, w0: f64x2, loss: f64x2) -> (f64x2, f64x2, f64x2) {
        let q1 = self.qq * q0 + self.qw * w0;
        let w1 = self.wq * q0 + self.ww * w0;
        let s = w0 + w1;
        (q1, w1, loss + self.loss * s * s)
    }

    /// The same under the constant force `f`.
    #[inline]
    pub fn advance_under(
        &self,
        q0: f64x2,
        w0: f64x2,
        f: f64x2,
        loss: f64x2,
    ) -> (f64x2, f64x2, f64x2) {
        let q1 = self.qq * q0 + self.qw * w0 + self.fq * f;
        let w1 = self.wq * q0 + self.ww * w0 + self.fw * f;
        let s = w0 + w1;
        (q1, w1, loss + self.loss * s * s)
    }

    /// The coordinate after the step, without a force.
    #[inline]
    pub fn ahead(&self, q0: f64x2, w0: f64x2) -> f64x2 {
        self.qq * q0 + self.qw * w0
    }
}

/// The elastic coordinates' steps of every size but the long ones in which nothing acts on them.
#[derive(Debug, Clone)]
pub(crate) struct DriftTables([(f64, Drifts); 5]);

impl DriftTables {
    fn of(p: &Prepared) -> Self {
        let [touch, late] = p.touch_samples.map(|samples| samples as f64 * SAMPLE_S);
        let steps = [p.clamped_step, p.free_step, p.folded_step(), touch, late];
        Self(steps.map(|dt| (dt, drifts(p, dt))))
    }

    /// For a step of length `dt`; none for a long one of a pole on which nothing acts.
    #[inline]
    pub fn get(&self, dt: f64, free: bool) -> Option<&Drifts> {
        let most = self.0.len() - if free { 2 } else { 0 };
        let table = self.0[..most].iter().find(|(step, _)| *step == dt);
        table.map(|(_, drifts)| drifts)
    }
}

/// Flail space ahead and to the side, m (Michie 1981; NCHRP Report 350).
const FLAIL_M: [f64; 2] = [0.6, 0.3];

/// The moment at the struck height is looked at closely from this part of the plastic moment on: what a dent of half the
/// diameter leaves.
const KINK_WATCHED: f64 = 0.2;

/// Energies that have left, J, other than through the bolts.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Spent {
    pub crush: f64,
    pub dent: f64,
    pub face_rub: f64,
    pub tyre: f64,
    pub damping: f64,
}

/// Extremes followed in every step.
#[derive(Debug, Clone, Default)]
pub(crate) struct Peaks {
    pub force: f64,
    pub force_time: f64,
    /// Largest tension of each bolt, N, and its time, s.
    pub bolt_tension: Vec<(f64, f64)>,
    pub bolt_force_squared: Vec<f64>,
    pub foot_moment: f64,
    pub contact_moment: f64,
}

impl Peaks {
    /// Takes in what a bolt bears now.
    #[inline]
    pub fn of_bolt(&mut self, i: usize, bolt: &BoltState, time: f64) {
        if bolt.tension > self.bolt_tension[i].0 {
            self.bolt_tension[i] = (bolt.tension, time);
        }
        let squared = bolt.force.norm_squared();
        if squared > self.bolt_force_squared[i] {
            self.bolt_force_squared[i] = squared;
        }
    }
}

/// The whole state of a run.
#[derive(Clone)]
pub(crate) struct Run<'a> {
    pub p: &'a Prepared,
    pub time: f64,
    pub x: Vector3<f64>,
    pub v: Vector3<f64>,
    pub spin: Spin,
    pub q: Vec<f64>,
    pub w: Vec<f64>,
    /// Mean of `w` over the last drift, at the same instant as the rigid velocities.
    pub w_mean: Vec<f64>,
    pub load: Vec<f64>,
    /// Moment M q of the elastic coordinates at the struck height, N.m.
    pub struck_moment: Vector2<f64>,
    pub vx: Vector3<f64>,
    pub vv: Vector3<f64>,
    pub vspin: Spin,
    pub bolts: Vec<BoltState>,
    pub bars: Vec<BarState>,
    pub soil: SoilState,
    pub pier: PierState,
    pub hinge: Hinge,
    /// The upper plate's axes at the last step, while it stands at a slope.
    pub plate_axes: Option<[Vector3<f64>; 2]>,
    pub kink: Kink,
    pub bands: Vec<BandRun>,
    /// The part of the body behind a struck side.
    pub side: SideState,
    pub force: Vector3<f64>,
    pub torque: Vector3<f64>,
    pub vforce: Vector3<f64>,
    pub vtorque: Vector3<f64>,
    /// External force on the two bodies together (ground, gravity, tyres, lower plate, guide).
    pub external: Vector3<f64>,
    pub external_impulse: Vector3<f64>,
    pub wheel_push: Vector3<f64>,
    pub wheel_turn: Vector3<f64>,
    pub wheels_due: f64,
    pub contact_force: f64,
    pub contact_friction: f64,
    /// Force of the face on the pole, N, and its places weighted by the normal force, N.m.
    pub contact_sum: [Vector3<f64>; 2],
    pub impulse: f64,
    pub direction: Vector3<f64>,
    pub start_velocity: Vector3<f64>,
    pub start: (Vector3<f64>, Vector3<f64>),
    pub start_strain: f64,
    pub spent: Spent,
    pub peaks: Peaks,
    pub released: usize,
    pub release_times: Vec<Option<f64>>,
    pub velocity_at_release: Option<Vector3<f64>>,
    pub contact_end: Option<(f64, Vector3<f64>)>,
    /// When the plates had begun to slide, s, and the largest crush then, m.
    pub slip_onset: Option<(f64, f64)>,
    /// Largest crush at the last release, m.
    pub crush_at_release: Option<f64>,
    /// When a free occupant has crossed the flail space, s, and the impulse of the contact by then, N.s.
    pub occupant_met: Option<(f64, f64)>,
    /// Way of the free occupant ahead and to the side at the last sample over the flail space's, the larger.
    flail: f64,
    pub steps: usize,
    /// Sampling intervals so far.
    pub intervals: usize,
    pub events: usize,
    pub drifts: DriftTables,
    pub last_dt: f64,
    pub foot_clear: bool,
    /// The plates cannot meet before this time, s; infinite where the base takes no force any more.
    pub apart_until: f64,
    /// Nothing has acted on the pole but its weight in the last step, neither base nor vehicle, and the plates cannot meet in
    /// the next one.
    pub free: bool,
    /// Foot point on the upper plate, site frame.
    pub foot: Vector3<f64>,
    /// Twist of the pole at its foot by bending, rad.
    pub twist: f64,
    /// How far the foot point has moved, m, and the upper plate has turned about z, rad, in the last step.
    pub plate_step: (Vector3<f64>, f64),
}

fn drifts(p: &Prepared, dt: f64) -> Drifts {
    let zeta = p.scenario.support.damping_ratio;
    // Midpoint rule for q'' + 2 zeta w q' + w^2 q = 0: coefficients qq, qw, wq, ww and loss.
    let coefficients = |w: f64| {
        let c = zeta * w * dt;
        let k = 0.25 * w * w * dt * dt;
        let d = 1.0 / (1.0 + c + k);
        [
            (1.0 + c - k) * d,
            dt * d,
            -w * w * dt * d,
            (1.0 - c - k) * d,
            0.5 * c,
            0.5 * dt * dt * d,
            dt * d,
        ]
    };
    let each: Vec<Drift> = p
        .solution
        .basis
        .omega
        .chunks(2)
        .map(|pair| {
            let a = coefficients(pair[0]);
            let b = pair.get(1).map_or([0.0; 7], |&w| coefficients(w));
            let [qq, qw, wq, ww, loss, fq, fw] = std::array::from_fn(|i| f64x2::from([a[i], b[i]]));
            Drift {
                qq,
                qw,
                wq,
                ww,
                loss,
                fq,
                fw,
            }
        })
        .collect();
    let mut kink = p.solution.kink_stiffness;
    for (row, drift) in p.solution.kink_rows.iter().zip(&each) {
        let on = |a: usize, b: usize| 0.5 * both(row[a] * row[b] * drift.fq);
        kink -= Matrix2::new(on(0, 0), on(0, 1), on(1, 0), on(1, 1));
    }
    Drifts { each, kink }
}

impl<'a> Run<'a> {
    /// Everything at rest, the vehicle at first touch.
    pub fn new(p: &'a Prepared) -> Result<Self, ImpactError> {
        let (vspin, vx, vv) = at_first_touch(p)?;
        let n = p.solution.coordinates();
        let rest = &p.rest;
        let m = &p.solution.modes.properties;
        let rotation = rest.attitude.matrix();
        let spin = spin_at_rest("support", rest.attitude, m.inertia_kgm2)?;
        let radius = 0.5 * p.scenario.base.bolt_circle_m;
        let (u, turn) = p.solution.foot_motion(&rest.elastic);
        let foot = rest.position + rotation * (u - m.centre_m);
        let bolts: Vec<BoltState> = p.base.as_ref().map_or_else(Vec::new, |base| {
            let plate = UpperPlate::new(foot, &rotation, &turn, None);
            let height = p.scenario.site.slip_plane_height_m;
            bolt_axes(&p.scenario)
                .into_iter()
                .zip(&base.bolts)
                .map(|(axis, law)| bolt_at_rest(&plate, axis, radius, height, law).0)
                .collect()
        });
        let bars = p.base.as_ref().map_or(0, |base| base.bars.len());
        // A support without bending is the pure rigid body: it does not fold.
        let fold = if p.scenario.solver.elastic_modes == 0 {
            f64::INFINITY
        } else {
            p.foot_plastic_moment
        };
        let elastic = rest.elastic.iter().zip(&p.solution.basis.omega);
        let strain = elastic.map(|(q, w)| 0.5 * w * w * q * q).sum();
        let bolt_count = bolts.len();
        Ok(Self {
            time: 0.0,
            x: rest.position,
            v: Vector3::zeros(),
            spin,
            struck_moment: p.solution.contact_moment(&rest.elastic),
            q: rest.elastic.clone(),
            w: vec![0.0; n],
            w_mean: vec![0.0; n],
            load: vec![0.0; n],
            vx,
            vv,
            vspin,
            side: SideState::default(),
            bands: p.face.bands.iter().map(|_| BandRun::new(n)).collect(),
            force: Vector3::zeros(),
            torque: Vector3::zeros(),
            vforce: Vector3::zeros(),
            vtorque: Vector3::zeros(),
            external: Vector3::zeros(),
            external_impulse: Vector3::zeros(),
            wheel_push: Vector3::zeros(),
            wheel_turn: Vector3::zeros(),
            wheels_due: 0.0,
            contact_force: 0.0,
            contact_friction: 0.0,
            contact_sum: [Vector3::zeros(); 2],
            impulse: 0.0,
            direction: vv / vv.norm(),
            start_velocity: vv,
            start: (rest.position, vx),
            start_strain: strain,
            spent: Spent::default(),
            peaks: Peaks {
                bolt_tension: bolts.iter().map(|b| (b.tension, 0.0)).collect(),
                bolt_force_squared: vec![0.0; bolt_count],
                ..Peaks::default()
            },
            released: 0,
            release_times: vec![None; bolt_count],
            velocity_at_release: None,
            contact_end: None,
            slip_onset: None,
            crush_at_release: None,
            occupant_met: None,
            flail: 0.0,
            steps: 0,
            events: 0,
            drifts: DriftTables::of(p),
            last_dt: 0.0,
            foot_clear: bolt_count == 0,
            apart_until: if bolt_count == 0 { f64::INFINITY } else { 0.0 },
            free: false,
            intervals: 0,
            foot,
            twist: turn.z,
            plate_step: (Vector3::zeros(), 0.0),
            bolts,
            bars: vec![BarState::default(); bars],
            soil: SoilState::default(),
            pier: PierState::default(),
            hinge: Hinge::new(fold),
            plate_axes: None,
            kink: Kink::default(),
            p,
        })
    }

    pub fn all_released(&self) -> bool {
        self.released == self.bolts.len()
    }

    /// Whether something in its way holds the foot, or may hold it yet.
    pub fn blocked(&self) -> bool {
        let Some(base) = &self.p.base else {
            return false;
        };
        let mut bars = self.bars.iter().zip(&base.bars);
        base.soil_ahead
            || self.soil.peak_n > 0.0
            || bars.any(|(bar, law)| !bar.gone && (law.ahead || bar.peak_n > 0.0))
    }

    pub fn fixed(&self) -> bool {
        self.bolts.is_empty()
    }

    pub fn pier_law(&self) -> Option<PierLaw> {
        self.p.base.as_ref().and_then(|base| base.pier)
    }

    /// Velocities at the present whole step (half a kick ahead of the stored ones).
    pub fn velocities(&self) -> (Vector3<f64>, Vector3<f64>) {
        let h = 0.5 * self.last_dt;
        let vv = self.vv + self.vehicle_push(&self.vforce) * h;
        if self.fixed() {
            return (Vector3::zeros(), vv);
        }
        let m = self.p.solution.modes.properties.mass_kg;
        (self.v + self.force * (h / m), vv)
    }

    /// Acceleration of the vehicle's centre of mass under the force `f`; a guided vehicle keeps its line.
    pub fn vehicle_push(&self, f: &Vector3<f64>) -> Vector3<f64> {
        if self.p.vehicle.guided {
            self.direction * (f.dot(&self.direction) / self.p.vehicle.mass)
        } else {
            let mass = self.p.vehicle.mass;
            let push = f / mass;
            let Some(body) = &self.p.face.body else {
                return push;
            };
            // Along the face's normal the rest is pushed by the coupling alone, and carries its own mass alone.
            let normal = self.vspin.rotation * self.p.face.normal;
            let rest = f.dot(&normal) + self.contact_force - body.pull(&self.side);
            // The struck part's own momentum turns with the vehicle.
            let carried = self.vspin.rate.cross(&normal) * (body.mass * self.side.rate / mass);
            push + normal * (rest / (mass - body.mass) - push.dot(&normal)) + carried
        }
    }

    /// Acceleration of the struck part inward against the rest, which is pushed by `push`; 0 without one.
    pub fn side_push(&self, push: &Vector3<f64>) -> f64 {
        self.p.face.body.as_ref().map_or(0.0, |body| {
            let normal = self.vspin.rotation * self.p.face.normal;
            push.dot(&normal) + (self.contact_force - body.pull(&self.side)) / body.mass
        })
    }

    /// Momentum and kinetic energy that the struck part has beside the vehicle's as one body moving at `v`, N.s and J, for
    /// its rate `rate`.
    pub fn side_motion(&self, v: &Vector3<f64>, rate: f64) -> (Vector3<f64>, f64) {
        self.p
            .face
            .body
            .as_ref()
            .map_or((Vector3::zeros(), 0.0), |body| {
                let normal = self.vspin.rotation * self.p.face.normal;
                let energy = body.mass * rate * (0.5 * rate - v.dot(&normal));
                (normal * (-body.mass * rate), energy)
            })
    }

    /// Bending moments at the foot and at the contact height, N.m.
    pub fn bending_moments(&self) -> [f64; 2] {
        let (turn, solution) = (&self.kink.turn, &self.p.solution);
        let foot = solution.foot_moment(&self.q) - solution.kink_at_foot * turn;
        let contact = self.struck_moment - solution.kink_stiffness * turn;
        [foot.norm(), contact.norm()]
    }

    /// Plastic moment at the struck height, with the dent so far, N.m.
    pub fn kink_limit(&self) -> f64 {
        let dent = self
            .bands
            .iter()
            .fold(0.0_f64, |m, b| m.max(b.state.dent_m));
        self.p.contact_plastic_moment * dented(dent / self.p.contact_diameter)
    }

    /// Whether the shaft has kinked or may kink in this step: the moment M q of its elastic coordinates then.
    pub fn near_kink(&self) -> Option<Vector2<f64>> {
        if self.p.scenario.solver.elastic_modes == 0 {
            return None;
        }
        let moment = self.struck_moment;
        let watched = KINK_WATCHED * self.p.contact_plastic_moment;
        (self.kink.since.is_some() || moment.norm_squared() > watched * watched).then_some(moment)
    }

    /// Largest crush of a band so far, with the way inward of the body behind a struck side, m.
    pub fn crush(&self) -> f64 {
        let bands = self.bands.iter();
        self.side.largest + bands.fold(0.0_f64, |m, b| m.max(b.state.largest_m))
    }

    /// Follows a free occupant over the flail space, at the sampling rate: it keeps the first velocity while the vehicle is
    /// slowed under it. The last step took `samples`.
    pub fn occupant(&mut self, samples: usize) {
        if self.occupant_met.is_some() {
            return;
        }
        let ahead = self.start_velocity * self.time - (self.vx - self.start.1);
        let way = self.vspin.rotation.tr_mul(&ahead);
        let flail = (way.x.abs() / FLAIL_M[0]).max(way.y.abs() / FLAIL_M[1]);
        if flail >= 1.0 {
            // Within the step, by a straight line.
            let part = (1.0 - self.flail) / (flail - self.flail);
            let time = self.time - (1.0 - part) * (samples as f64 * SAMPLE_S);
            self.occupant_met = Some((time, self.impulse));
        }
        self.flail = flail;
    }

    /// Time that a free occupant still needs to cross the flail space at the vehicle's present velocity, s; 0 once it has.
    pub fn occupant_time(&self) -> f64 {
        if self.occupant_met.is_some() {
            return 0.0;
        }
        let rate = self.vspin.rotation.tr_mul(&(self.start_velocity - self.vv));
        let ahead = self.start_velocity * self.time - (self.vx - self.start.1);
        let way = self.vspin.rotation.tr_mul(&ahead);
        let time = |way: f64, rate: f64, space: f64| {
            // towards the side to which it moves
            let left = space - way * rate.signum();
            left.max(0.0) / rate.abs().max(1e-6)
        };
        time(way.x, rate.x, FLAIL_M[0]).min(time(way.y, rate.y, FLAIL_M[1]))
    }

    /// Follows the largest bending moments, at the sampling rate.
    pub fn moments(&mut self) {
        let [foot, contact] = self.bending_moments();
        self.peaks.foot_moment = self.peaks.foot_moment.max(foot);
        self.peaks.contact_moment = self.peaks.contact_moment.max(contact);
    }

    pub fn check_finite(&self) -> Result<(), ImpactError> {
        // One that is not finite makes the sum of all so, a coordinate the moment of all; only then it is asked which.
        let bending = self.struck_moment.norm_squared();
        let all = [
            &self.vv,
            &self.vx,
            &self.vspin.momentum,
            &self.v,
            &self.x,
            &self.spin.momentum,
        ];
        let all: f64 = all.iter().map(|v| v.norm_squared()).sum();
        if (all + bending + self.pier.velocity.norm_squared()).is_finite() {
            return Ok(());
        }
        self.named_if_not_finite()
    }

    #[cold]
    fn named_if_not_finite(&self) -> Result<(), ImpactError> {
        let bodies = [
            ("vehicle", "velocity", self.vv.norm_squared()),
            ("vehicle", "position", self.vx.norm_squared()),
            (
                "vehicle",
                "angular momentum",
                self.vspin.momentum.norm_squared(),
            ),
            ("support", "velocity", self.v.norm_squared()),
            ("support", "position", self.x.norm_squared()),
            (
                "support",
                "angular momentum",
                self.spin.momentum.norm_squared(),
            ),
            ("support", "bending", self.q.iter().map(|q| q * q).sum()),
            ("foundation", "velocity", self.pier.velocity.norm_squared()),
        ];
        for (body, quantity, value) in bodies {
            if !value.is_finite() {
                return Err(ImpactError::NotFinite {
                    body,
                    quantity,
                    time_s: self.time,
                });
            }
        }
        Ok(())
    }
}

/// Attitude and place of the vehicle at first touch: every band is clear of the pole's static shape or
/// just touches it. Returns the spin, the centre of mass and the velocity.
fn at_first_touch(p: &Prepared) -> Result<(Spin, Vector3<f64>, Vector3<f64>), ImpactError> {
    let s = &p.scenario;
    let attitude = Attitude::yaw(s.impact.heading_rad);
    let rotation = attitude.matrix();
    let normal = rotation * p.face.normal;
    let tangent = rotation * p.face.tangent;
    let mut nearest = f64::INFINITY;
    for band in &p.face.bands {
        let z = band.height + s.vehicle.cg_height_m - s.site.slip_plane_height_m;
        if z < 0.0 || z > s.support.pole_length_m {
            continue;
        }
        let (point, radius) = p.rest.pole_at(p, z);
        nearest = nearest.min(point.dot(&normal) - radius - band.reach);
    }
    if !nearest.is_finite() {
        nearest = 0.0;
    }
    let (axis, _) = p.rest.pole_at(p, p.solution.moment_height_m);
    let position = normal * nearest
        + tangent * (axis.dot(&tangent) - s.impact.offset_m)
        + Vector3::z() * s.vehicle.cg_height_m;
    let direction = Vector2::new(
        libm::cos(s.impact.velocity_direction_rad),
        libm::sin(s.impact.velocity_direction_rad),
    );
    let velocity = Vector3::new(direction.x, direction.y, 0.0) * s.impact.speed_mps;
    let spin = spin_at_rest("vehicle", attitude, p.vehicle.inertia)?;
    Ok((spin, position, velocity))
}

/// A body at rest.
pub(crate) fn spin_at_rest(
    body: &'static str,
    attitude: Attitude,
    inertia: Matrix3<f64>,
) -> Result<Spin, ImpactError> {
    Spin::at_rest(attitude, inertia).ok_or(ImpactError::NotFinite {
        body,
        quantity: "inverse of the inertia",
        time_s: 0.0,
    })
}
