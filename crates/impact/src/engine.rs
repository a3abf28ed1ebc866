//! The engagement: staggered leapfrog from first touch to release (or to a stop).
//!
//! Positions live at whole steps, velocities between them. One force evaluation a step; the bending
//! coordinates are advanced by the midpoint rule between kicks, which is stable for any frequency and
//! exact for static load; path-dependent elements (notch friction, crush) see the positions only. A
//! bolt's force in the step in which it is released is scaled by the part of the step before the
//! release. Nothing is allocated per step.
//!
//! References: leapfrog with implicit fast linear part, A. Stern, E. Grinspun, Multiscale Model. Simul. 7
//! (2009) 1779 (recalled).

use giveway_mechanics::attitude::Spin;
use giveway_mechanics::joint::BoltState;
use giveway_mechanics::obstacle::{BarState, PierLaw, PierState, SoilState};
use giveway_mechanics::wheel::{Ride, push_of};
use nalgebra::Vector3;
use wide::f64x2;

use crate::contact::BandRun;
use crate::error::ImpactError;
use crate::finish::finish;
use crate::hinge::Hinge;
use crate::outcome::{Ending, Engagement, VehicleRecord};
use crate::prepared::{Prepared, RecordRequest, SAMPLE_S, at_first_touch, spin_at_rest};
use crate::record::{Keep, Recorder};
use crate::rest::{UpperPlate, bolt_at_rest, bolt_axes};

/// The struck face must have been clear for this long before the engagement is over, s.
pub(crate) const CLEAR_TIME_S: f64 = 0.02;
/// A vehicle that has not touched the pole after this time has missed it, s.
const MISS_TIME_S: f64 = 0.05;

/// Constants of a pair of elastic coordinates for one step size.
#[derive(Debug, Clone, Copy)]
struct Drift {
    qq: f64x2,
    qw: f64x2,
    wq: f64x2,
    ww: f64x2,
    loss: f64x2,
}

impl Drift {
    /// Coordinates and rates after the step, and the damping energy with this step's added.
    #[inline]
    fn advance(&self, q0: f64x2, w0: f64x2, loss: f64x2) -> (f64x2, f64x2, f64x2) {
        let q1 = self.qq * q0 + self.qw * w0;
        let w1 = self.wq * q0 + self.ww * w0;
        let s = w0 + w1;
        (q1, w1, loss + self.loss * s * s)
    }
}

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

/// The whole state of a run.
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
    pub vx: Vector3<f64>,
    pub vv: Vector3<f64>,
    pub vspin: Spin,
    pub bolts: Vec<BoltState>,
    pub bars: Vec<BarState>,
    pub soil: SoilState,
    pub pier: PierState,
    pub hinge: Hinge,
    pub bands: Vec<BandRun>,
    pub force: Vector3<f64>,
    pub torque: Vector3<f64>,
    pub vforce: Vector3<f64>,
    pub vtorque: Vector3<f64>,
    /// External force on the two bodies together (ground, gravity, tyres, lower plate, guide).
    pub(crate) external: Vector3<f64>,
    pub external_impulse: Vector3<f64>,
    wheel_push: Vector3<f64>,
    wheel_turn: Vector3<f64>,
    wheels_due: f64,
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
    pub steps: usize,
    pub events: usize,
    drift_clamped: Vec<Drift>,
    drift_free: Vec<Drift>,
    pub last_dt: f64,
    pub(crate) foot_clear: bool,
    /// No histories are kept: what only they show need not be followed.
    pub(crate) light: bool,
    /// Foot point on the upper plate, site frame.
    pub foot: Vector3<f64>,
}

fn drifts(p: &Prepared, dt: f64) -> Vec<Drift> {
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
        ]
    };
    p.solution
        .basis
        .omega
        .chunks(2)
        .map(|pair| {
            let a = coefficients(pair[0]);
            let b = pair.get(1).map_or([0.0; 5], |&w| coefficients(w));
            let [qq, qw, wq, ww, loss] = std::array::from_fn(|i| f64x2::from([a[i], b[i]]));
            Drift {
                qq,
                qw,
                wq,
                ww,
                loss,
            }
        })
        .collect()
}

impl<'a> Run<'a> {
    fn new(p: &'a Prepared) -> Result<Self, ImpactError> {
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
            let plate = UpperPlate::new(foot, rotation, turn, None);
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
        let strain = rest
            .elastic
            .iter()
            .zip(&p.solution.basis.omega)
            .map(|(q, w)| 0.5 * w * w * q * q)
            .sum();
        let bolt_count = bolts.len();
        Ok(Self {
            time: 0.0,
            x: rest.position,
            v: Vector3::zeros(),
            spin,
            q: rest.elastic.clone(),
            w: vec![0.0; n],
            w_mean: vec![0.0; n],
            load: vec![0.0; n],
            vx,
            vv,
            vspin,
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
            steps: 0,
            events: 0,
            drift_clamped: drifts(p, p.clamped_step),
            drift_free: drifts(p, p.free_step),
            last_dt: 0.0,
            foot_clear: bolt_count == 0,
            light: false,
            foot,
            bolts,
            bars: vec![BarState::default(); bars],
            soil: SoilState::default(),
            pier: PierState::default(),
            hinge: Hinge::new(fold),
            p,
        })
    }

    pub fn all_released(&self) -> bool {
        self.released == self.bolts.len()
    }

    /// Whether something in its way holds the foot, or may hold it yet.
    fn blocked(&self) -> bool {
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

    pub(crate) fn pier_law(&self) -> Option<PierLaw> {
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
    fn vehicle_push(&self, f: &Vector3<f64>) -> Vector3<f64> {
        if self.p.vehicle.guided {
            self.direction * (f.dot(&self.direction) / self.p.vehicle.mass)
        } else {
            f / self.p.vehicle.mass
        }
    }

    /// Evaluates every force at the present positions.
    fn forces(&mut self) {
        let g = self.p.scenario.site.gravity_mps2;
        let m = self.p.solution.modes.properties.mass_kg;
        let weight = Vector3::new(0.0, 0.0, -m * g);
        self.force = weight;
        self.torque = Vector3::zeros();
        self.load.fill(0.0);
        self.vtorque = Vector3::zeros();
        self.external = weight;
        if self.p.vehicle.guided {
            self.vforce = Vector3::zeros();
        } else {
            self.vforce = Vector3::new(0.0, 0.0, -self.p.vehicle.mass * g);
            self.external.z -= self.p.vehicle.mass * g;
            self.wheels();
        }
        if !self.foot_clear {
            self.base();
        }
        self.contact();
    }

    fn contact(&mut self) {
        let p = self.p;
        let face = &p.face;
        let (r, rv) = (self.spin.rotation, self.vspin.rotation);
        let to_vehicle = rv.transpose() * r;
        // Foot of the undeformed pole, vehicle axes.
        let centre = p.solution.modes.properties.centre_m;
        let base = rv.tr_mul(&(self.x - self.vx)) - to_vehicle * centre;
        let rate = if self.fixed() {
            Vector3::zeros()
        } else {
            self.spin.rate
        };
        let vrate = self.vspin.rate;
        let (mut total, mut friction, mut normal) = (Vector3::zeros(), Vector3::zeros(), 0.0);
        let mut places = Vector3::zeros();
        for (band, law) in self.bands.iter_mut().zip(&face.bands) {
            let Some(touch) =
                band.locate(p, law, &self.q, &self.w_mean, &to_vehicle, &base, self.time)
            else {
                continue;
            };
            let (crush, dent, before) = (band.state.crush_m, band.state.dent_m, band.state.force_n);
            let f = law
                .crush
                .advance(&mut band.state, touch.penetration, &law.dent);
            let mean = 0.5 * (before + f);
            self.spent.crush += mean * (band.state.crush_m - crush);
            self.spent.dent += mean * (band.state.dent_m - dent);
            let place = self.vx + rv * touch.place;
            let relative = self.v + rate.cross(&(place - self.x)) + r * touch.bending_rate
                - self.vv
                - vrate.cross(&(place - self.vx));
            if f <= 0.0 {
                band.rub = Vector3::zeros();
                // d(pen) = -v . direction; the face and the wall keep what they have lost for good
                let closing = -relative.dot(&(rv * touch.direction));
                let lost = law.crush.permanent(&band.state) + band.state.dent_m;
                band.wait(lost - touch.penetration, closing, self.time);
                continue;
            }
            let push = rv * touch.direction;
            let along = relative.dot(&push) / push.norm_squared();
            let slide = relative - push * along;
            let speed = (slide.norm_squared() + 0.0025).sqrt();
            let rub = slide * (-face.friction * f / speed);
            let force = push * f + rub;
            self.spent.face_rub -= 0.5 * (rub + band.rub).dot(&slide) * self.last_dt;
            band.rub = rub;
            total += force;
            friction += rub;
            normal += f;
            places += place * f;
            // The penetration is that of the axis, so its force acts there; friction acts on the surface.
            let axis = place - rv * touch.offset;
            self.torque += (axis - self.x).cross(&(push * f)) + (place - self.x).cross(&rub);
            self.vtorque -= (axis - self.vx).cross(&(push * f)) + (place - self.vx).cross(&rub);
            let local = r.tr_mul(&force);
            band.add_load(local.x, local.y, &mut self.load);
        }
        self.force += total;
        self.vforce -= total;
        self.contact_force = normal;
        self.contact_friction = friction.norm();
        self.contact_sum = [total, places];
        if normal > 0.0 {
            if normal > self.peaks.force {
                self.peaks.force = normal;
                self.peaks.force_time = self.time;
            }
            self.contact_end = Some((self.time, self.vv));
        }
    }

    /// Wheel forces, renewed at every sample: the road moves the vehicle slowly.
    fn wheels(&mut self) {
        let before = (self.wheel_push, self.wheel_turn);
        let rate = self.vspin.rate;
        if self.time >= self.wheels_due {
            self.wheels_due = self.time + SAMPLE_S - 1e-9;
            let ride = Ride {
                x: &self.vx,
                v: &self.vv,
                rotation: &self.vspin.rotation,
                rate: &rate,
            };
            (self.wheel_push, self.wheel_turn) = push_of(&self.p.vehicle.wheels, &ride, |_| 0.0);
        }
        let power =
            (before.0 + self.wheel_push).dot(&self.vv) + (before.1 + self.wheel_turn).dot(&rate);
        self.spent.tyre -= 0.5 * power * self.last_dt;
        self.vforce += self.wheel_push;
        self.vtorque += self.wheel_turn;
        self.external += self.wheel_push;
    }

    fn kick(&mut self, dt: f64) {
        if !self.fixed() {
            let m = self.p.solution.modes.properties.mass_kg;
            self.v += self.force * (dt / m);
            self.spin.momentum += self.torque * dt;
            for (w, f) in self.w.iter_mut().zip(&self.load) {
                *w += f * dt;
            }
            if let Some(pier) = self.pier_law() {
                self.pier.kick(&pier, dt);
            }
        }
        let push = self.vehicle_push(&self.vforce);
        self.vv += push * dt;
        if !self.p.vehicle.guided {
            self.vspin.momentum += self.vtorque * dt;
        }
        // What the guide takes up counts as external.
        let guide = push * self.p.vehicle.mass - self.vforce;
        self.external_impulse += (self.external + guide) * dt;
        let on_vehicle = self.vforce - self.wheel_push;
        self.impulse -= on_vehicle.dot(&self.direction) * dt;
    }

    fn drift(&mut self, dt: f64) {
        self.vx += self.vv * dt;
        if !self.p.vehicle.guided {
            self.vspin.drift(dt);
        }
        if self.fixed() {
            return;
        }
        self.x += self.v * dt;
        self.spin.drift(dt);
        if let Some(pier) = self.pier_law() {
            self.pier.drift(&pier, dt);
        }
        let table = if dt == self.p.clamped_step {
            &self.drift_clamped
        } else {
            &self.drift_free
        };
        let mut loss = f64x2::ZERO;
        let (q_pairs, q_rest) = self.q.as_chunks_mut::<2>();
        let (w_pairs, w_rest) = self.w.as_chunks_mut::<2>();
        let (mean_pairs, mean_rest) = self.w_mean.as_chunks_mut::<2>();
        let pairs = q_pairs.iter_mut().zip(w_pairs).zip(mean_pairs);
        for (((q, w), mean), d) in pairs.zip(table) {
            let w0 = f64x2::from(*w);
            let (q1, w1);
            (q1, w1, loss) = d.advance(f64x2::from(*q), w0, loss);
            *mean = ((w0 + w1) * 0.5).to_array();
            (*q, *w) = (q1.to_array(), w1.to_array());
        }
        if let ([q], [w], [mean], Some(d)) = (q_rest, w_rest, mean_rest, table.last()) {
            let w0 = f64x2::splat(*w);
            let (q1, w1);
            (q1, w1, loss) = d.advance(f64x2::splat(*q), w0, loss);
            *mean = 0.5 * (*w + w1.to_array()[0]);
            (*q, *w) = (q1.to_array()[0], w1.to_array()[0]);
        }
        let loss = loss.to_array();
        let loss = loss[0] + loss[1];
        self.spent.damping += loss;
    }

    /// Bending moments at the foot and at the contact height, N.m.
    pub fn bending_moments(&self) -> [f64; 2] {
        let mut m = [0.0; 4];
        for (row, q) in self.p.solution.moments.iter().zip(&self.q) {
            for (o, r) in m.iter_mut().zip(row) {
                *o += r * q;
            }
        }
        [
            (m[0] * m[0] + m[1] * m[1]).sqrt(),
            (m[2] * m[2] + m[3] * m[3]).sqrt(),
        ]
    }

    /// Follows the largest bending moments, at the sampling rate.
    fn moments(&mut self) {
        let [foot, contact] = self.bending_moments();
        self.peaks.foot_moment = self.peaks.foot_moment.max(foot);
        self.peaks.contact_moment = self.peaks.contact_moment.max(contact);
    }

    /// Whether the engagement is over, which needs no touch for `clear_s`, and how.
    fn ended(&self, clear_s: f64) -> Option<Ending> {
        let since = self.contact_end.map(|(t, _)| self.time - t);
        let Some(since) = since else {
            return (self.time >= MISS_TIME_S - 1e-9).then_some(Ending::NoContact);
        };
        let touching = self.contact_force > 0.0;
        let rebounded = !touching && self.vv.dot(&self.direction) <= 0.0;
        let clear = !touching && since >= clear_s - 1e-9;
        if self.fixed() {
            return (rebounded || clear).then_some(Ending::FixedObstacle);
        }
        if self.all_released() {
            return ((self.foot_clear && clear) || rebounded).then_some(Ending::Released);
        }
        // A base that holds while the vehicle has left it for good.
        (rebounded || (clear && since >= 5.0 * clear_s)).then_some(Ending::Held)
    }

    fn check_finite(&self) -> Result<(), ImpactError> {
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

/// Steps the clamped pole without a vehicle and returns the largest movement of foot or centre of mass, m.
pub(crate) fn stand_still(p: &Prepared, seconds: f64) -> Result<f64, ImpactError> {
    let mut run = Run::new(p)?;
    for band in &mut run.bands {
        band.retire();
    }
    run.forces();
    let (x, foot) = (run.x, run.foot);
    let mut most = 0.0_f64;
    let dt = p.clamped_step;
    for _ in 0..(seconds / dt) as usize {
        run.kick(0.5 * (run.last_dt + dt));
        run.drift(dt);
        run.last_dt = dt;
        run.time += dt;
        run.forces();
        most = most.max((run.x - x).norm()).max((run.foot - foot).norm());
    }
    run.check_finite()?;
    Ok(most)
}

/// Runs the engagement and, where asked, what follows it.
pub(crate) fn run(
    p: &Prepared,
    request: RecordRequest,
    keep: Keep,
    spare: VehicleRecord,
) -> Result<Engagement, ImpactError> {
    let (run, recorder, ending) = to_the_end(p, request, keep, spare, CLEAR_TIME_S)?;
    finish(run, recorder, ending, request)
}

/// Runs the engagement until no band has touched for `clear_s`; the velocities are those of its last whole step.
pub(crate) fn to_the_end(
    p: &Prepared,
    request: RecordRequest,
    keep: Keep,
    spare: VehicleRecord,
    clear_s: f64,
) -> Result<(Run<'_>, Recorder, Ending), ImpactError> {
    let mut run = Run::new(p)?;
    run.light = !request.trace;
    let limit = p.scenario.solver.engagement_limit_s;
    let mut recorder = Recorder::new(&run, request, limit, keep, spare);
    run.forces();
    run.moments();
    recorder.sample(&run);
    let ending = loop {
        let dt = if run.all_released() && !run.blocked() {
            p.free_step
        } else {
            p.clamped_step
        };
        let per_sample = (SAMPLE_S / dt).round() as usize;
        for _ in 0..per_sample {
            run.kick(0.5 * (run.last_dt + dt));
            run.drift(dt);
            run.last_dt = dt;
            run.steps += 1;
            run.time += dt;
            run.forces();
        }
        // The sum of the steps, without its rounding.
        recorder.intervals += 1;
        run.time = recorder.intervals as f64 * SAMPLE_S;
        run.check_finite()?;
        run.moments();
        recorder.sample(&run);
        if let Some(ending) = run.ended(clear_s) {
            break ending;
        }
        if run.time >= limit - 0.5 * SAMPLE_S {
            break if run.fixed() {
                Ending::FixedObstacle
            } else if run.all_released() {
                Ending::TimeLimit
            } else {
                Ending::Held
            };
        }
    };
    // Bring the velocities to the last whole step.
    let (v, vv) = run.velocities();
    let h = 0.5 * run.last_dt;
    if !run.fixed() {
        run.v = v;
        run.spin.momentum += run.torque * h;
        for (w, f) in run.w.iter_mut().zip(&run.load) {
            *w += f * h;
        }
        if let Some(pier) = run.pier_law() {
            run.pier.kick(&pier, h);
        }
    }
    let push = run.vehicle_push(&run.vforce);
    let guide = push * p.vehicle.mass - run.vforce;
    run.external_impulse += (run.external + guide) * h;
    run.vv = vv;
    if !p.vehicle.guided {
        run.vspin.momentum += run.vtorque * h;
    }
    run.last_dt = 0.0;
    Ok((run, recorder, ending))
}
