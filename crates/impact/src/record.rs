//! Samples every 100 us: the vehicle's record always, histories and poses where asked.

use nalgebra::Vector3;

use crate::books::{energy_book, found_on_site};
use crate::clock::SAMPLE_S;
use crate::outcome::{Column, Trace, VehicleRecord};
use crate::prepared::Prepared;
use crate::request::{Keep, RecordRequest};
use crate::state::Run;

/// Pose of both bodies at one sample, enough to draw them.
#[derive(Debug, Clone)]
pub(crate) struct Pose {
    pub time: f64,
    pub x: Vector3<f64>,
    pub attitude: giveway_mechanics::attitude::Attitude,
    pub vx: Vector3<f64>,
    pub vattitude: giveway_mechanics::attitude::Attitude,
    /// Turn of the upper plate against the shaft.
    pub hinge: Option<giveway_mechanics::attitude::Attitude>,
    /// Force on the vehicle and where it acts.
    pub force: Vector3<f64>,
    pub force_place: Option<Vector3<f64>>,
    /// Where this pose's elastic coordinates, crushes and bolt slips start in the recorder's store.
    pub start: usize,
}

/// Collects samples; all its memory is taken before the first step.
pub(crate) struct Recorder {
    pub record: VehicleRecord,
    pub rows: Vec<f64>,
    pub poses: Vec<Pose>,
    pub store: Vec<f64>,
    trace: bool,
    pub keep: Keep,
    last_velocity: Vector3<f64>,
    last_place: Vector3<f64>,
    last_rotation: nalgebra::Matrix3<f64>,
    last_yaw_rate: f64,
}

/// Columns that do not depend on the number of bolts, in file order.
const BODY_COLUMNS: [(&str, &str); 26] = [
    ("vehicle_x_m", "centre of mass of the vehicle, site x"),
    ("vehicle_y_m", "centre of mass of the vehicle, site y"),
    (
        "vehicle_z_m",
        "centre of mass of the vehicle, above the ground",
    ),
    ("vehicle_vx_mps", "velocity of the vehicle, site x"),
    ("vehicle_vy_mps", "velocity of the vehicle, site y"),
    ("vehicle_vz_mps", "velocity of the vehicle, up"),
    ("vehicle_roll_rad", "roll"),
    ("vehicle_pitch_rad", "pitch"),
    ("vehicle_yaw_rad", "yaw, from site x"),
    (
        "vehicle_ax_mps2",
        "acceleration of the centre of mass, vehicle x, mean of the interval",
    ),
    (
        "vehicle_ay_mps2",
        "acceleration of the centre of mass, vehicle y, mean of the interval",
    ),
    (
        "vehicle_az_mps2",
        "acceleration of the centre of mass, vehicle z, mean of the interval",
    ),
    (
        "velocity_change_mps",
        "speed lost along the initial direction of travel",
    ),
    (
        "contact_force_n",
        "normal force of the struck face on the pole, all bands",
    ),
    (
        "contact_friction_n",
        "friction of the struck face on the pole",
    ),
    ("crush_m", "largest crush of a band"),
    ("dent_m", "deepest dent of the tube wall"),
    ("foot_x_m", "pole foot on the upper plate, site x"),
    ("foot_y_m", "pole foot, site y"),
    ("foot_z_m", "pole foot, above the ground"),
    ("tip_x_m", "pole tip, site x"),
    ("tip_y_m", "pole tip, site y"),
    ("tip_z_m", "pole tip, above the ground"),
    ("foot_moment_nm", "bending moment at the foot"),
    ("contact_moment_nm", "bending moment at the contact height"),
    ("fold_rad", "turn of the shaft's plastic hinge at the foot"),
];

const BOLT_COLUMNS: [(&str, &str); 5] = [
    ("tension_n", "bolt tension"),
    ("washer_n", "force between the plates at the bolt"),
    (
        "slip_m",
        "horizontal displacement of the upper seat from the lower seat",
    ),
    (
        "slip_force_n",
        "force that the bolt carries across the slip plane",
    ),
    (
        "opening_m",
        "opening of the plates at the bolt from the preloaded state",
    ),
];

const ENERGY_COLUMNS: [(&str, &str); 11] = [
    ("energy_vehicle_kinetic_j", "kinetic energy of the vehicle"),
    ("energy_support_kinetic_j", "kinetic energy of the support"),
    ("energy_bending_j", "strain energy of bending, change"),
    ("energy_crush_j", "taken by crush"),
    ("energy_dent_j", "taken by the dent"),
    ("energy_friction_j", "taken by bolt friction"),
    ("energy_keeper_j", "taken by the keeper"),
    ("energy_fold_j", "taken by the shaft's plastic hinge"),
    (
        "energy_found_j",
        "taken by what was found on site (grout, bars, lumps, soil, ...)",
    ),
    (
        "energy_other_j",
        "joint, shear, rubbing, tyres, damping, gravity",
    ),
    ("energy_residual_j", "what does not add up"),
];

impl Recorder {
    pub fn new(
        run: &Run<'_>,
        request: RecordRequest,
        limit: f64,
        keep: Keep,
        spare: VehicleRecord,
    ) -> Self {
        let samples = (limit / SAMPLE_S) as usize + 2;
        let s = &run.p.scenario;
        let flight = if s.flight.pole { s.flight.limit_s } else { 0.0 };
        let whole = if request.rollout {
            let longest = s.solver.record_limit_s.max(limit).max(flight);
            (longest / SAMPLE_S) as usize + 2
        } else {
            samples
        };
        let width =
            1 + BODY_COLUMNS.len() + ENERGY_COLUMNS.len() + BOLT_COLUMNS.len() * run.bolts.len();
        let accelerations = if keep == Keep::Nothing { 0 } else { whole };
        let whole = if keep == Keep::Everything { whole } else { 0 };
        let kept = if request.trace { samples } else { 0 };
        let per_pose = run.q.len() + run.bands.len() + 4 * run.bolts.len();
        Self {
            record: VehicleRecord {
                interval_s: SAMPLE_S,
                heading_rad: s.impact.heading_rad,
                velocity_mps: run.start_velocity.into(),
                acceleration_mps2: emptied(spare.acceleration_mps2, accelerations),
                yaw_rate_radps: emptied(spare.yaw_rate_radps, whole),
                position_m: emptied(spare.position_m, whole),
                end_velocity_mps: emptied(spare.end_velocity_mps, whole),
                attitude_rad: emptied(spare.attitude_rad, whole),
                engagement_intervals: 0,
            },
            rows: Vec::with_capacity(kept * width),
            poses: Vec::with_capacity(kept),
            store: Vec::with_capacity(kept * per_pose),
            trace: request.trace,
            keep,
            last_velocity: run.start_velocity,
            last_place: run.vx,
            last_rotation: run.vspin.rotation,
            last_yaw_rate: 0.0,
        }
    }

    /// The states at the samples within the next step of `samples`, where histories are kept.
    pub fn between<'a>(&self, run: &Run<'a>, samples: usize) -> Vec<Run<'a>> {
        if !self.trace {
            return Vec::new();
        }
        (1..samples)
            .map(|k| {
                let mut between = run.clone();
                let dt = k as f64 * SAMPLE_S;
                between.stick_on(dt);
                between.step(dt);
                between.time = (run.intervals + k) as f64 * SAMPLE_S;
                between
            })
            .collect()
    }

    /// Takes the samples of the last step, which took `samples` (none at the start): the record repeats the step's mean
    /// acceleration and goes straight; histories have the states `between`.
    pub fn sample(&mut self, run: &Run<'_>, between: &[Run<'_>], samples: usize) {
        if self.keep == Keep::Nothing {
            return;
        }
        let (_, vv) = run.velocities();
        let attitude = if self.keep == Keep::Everything {
            run.vspin.attitude.roll_pitch_yaw()
        } else {
            [0.0; 3]
        };
        let yaw_rate = run.vspin.rate.z;
        let mut a = Vector3::zeros();
        if samples > 0 {
            let dv = (vv - self.last_velocity) / (samples as f64 * SAMPLE_S);
            a = (self.last_rotation.tr_mul(&dv) + run.vspin.rotation.tr_mul(&dv)) * 0.5;
            let r = &mut self.record;
            let all = std::iter::repeat_n::<[f64; 3]>(a.into(), samples);
            r.acceleration_mps2.extend(all);
            if self.keep == Keep::Everything {
                let mean = 0.5 * (yaw_rate + self.last_yaw_rate);
                for k in 1..=samples {
                    // what is left of the step
                    let left = 1.0 - k as f64 / samples as f64;
                    let mix = |now: &Vector3<f64>, last: &Vector3<f64>| now + (last - now) * left;
                    r.yaw_rate_radps.push(mean);
                    r.position_m.push(mix(&run.vx, &self.last_place).into());
                    let v = mix(&vv, &self.last_velocity);
                    r.end_velocity_mps.push(v.into());
                    r.attitude_rad.push(attitude);
                }
            }
            r.engagement_intervals = run.intervals;
        }
        self.last_velocity = vv;
        self.last_place = run.vx;
        self.last_rotation = run.vspin.rotation;
        self.last_yaw_rate = yaw_rate;
        if self.trace {
            for run in between {
                let attitude = run.vspin.attitude.roll_pitch_yaw();
                self.row(run, &run.velocities().1, &attitude, &a);
            }
            self.row(run, &vv, &attitude, &a);
        }
    }

    fn row(&mut self, run: &Run<'_>, vv: &Vector3<f64>, attitude: &[f64; 3], a: &Vector3<f64>) {
        let start = self.store.len();
        self.store.extend_from_slice(&run.q);
        self.store
            .extend(run.bands.iter().map(|b| b.state.largest_m));
        for b in &run.bolts {
            let gone = if b.departure.is_some() { 1.0 } else { 0.0 };
            self.store
                .extend([b.slip().x, b.slip().y, gone, b.force.norm()]);
        }
        self.poses.push(Pose {
            time: run.time,
            x: run.x,
            attitude: run.spin.attitude,
            vx: run.vx,
            vattitude: run.vspin.attitude,
            hinge: run.hinge.turn,
            force: -run.contact_sum[0],
            force_place: (run.contact_force > 0.0).then(|| run.contact_sum[1] / run.contact_force),
            start,
        });
        let p = run.p;
        let crush = run
            .bands
            .iter()
            .fold(0.0_f64, |m, b| m.max(b.state.largest_m));
        let dent = run.bands.iter().fold(0.0_f64, |m, b| m.max(b.state.dent_m));
        let foot = axis_point(run, 0);
        let tip = axis_point(run, p.solution.modes.mesh.pole_nodes - 1);
        let moments = run.bending_moments();
        let e = energy_book(run);
        self.rows.push(run.time);
        self.rows
            .extend([run.vx.x, run.vx.y, run.vx.z, vv.x, vv.y, vv.z]);
        self.rows.extend(attitude);
        self.rows.extend([a.x, a.y, a.z]);
        self.rows
            .push((run.start_velocity - vv).dot(&run.direction));
        self.rows
            .extend([run.contact_force, run.contact_friction, crush, dent]);
        self.rows
            .extend([foot.x, foot.y, foot.z, tip.x, tip.y, tip.z]);
        self.rows.extend(moments);
        self.rows.push(run.hinge.angle());
        for b in &run.bolts {
            if b.departure.is_some() {
                self.rows.extend([0.0; 5]);
            } else {
                self.rows.extend([
                    b.tension,
                    b.washer,
                    b.slip().norm(),
                    b.force.norm(),
                    b.opening(),
                ]);
            }
        }
        let other = e.gravity_j
            + e.joint_strain_j
            + e.bolt_failure_j
            + e.plate_rub_j
            + e.face_rub_j
            + e.tyre_j
            + e.damping_j
            + e.release_j;
        self.rows.extend([
            e.vehicle_kinetic_j,
            e.support_kinetic_j,
            e.bending_strain_j,
            e.crush_j,
            e.dent_j,
            e.friction_j,
            e.keeper_j,
            e.fold_j,
            found_on_site(&e),
            other,
            e.residual_j,
        ]);
    }

    /// Turns the rows into columns.
    pub fn trace(&self, bolts: usize) -> Trace {
        if self.rows.is_empty() {
            return Trace::default();
        }
        let mut names: Vec<(String, &'static str)> = BODY_COLUMNS
            .iter()
            .map(|(n, m)| ((*n).to_owned(), *m))
            .collect();
        for i in 1..=bolts {
            names.extend(
                BOLT_COLUMNS
                    .iter()
                    .map(|(n, m)| (format!("bolt{i}_{n}"), *m)),
            );
        }
        names.extend(ENERGY_COLUMNS.iter().map(|(n, m)| ((*n).to_owned(), *m)));
        let width = names.len() + 1;
        let pick = |c: usize| self.rows.iter().skip(c).step_by(width).copied().collect();
        Trace {
            time_s: pick(0),
            columns: names
                .into_iter()
                .enumerate()
                .map(|(i, (name, meaning))| Column {
                    name,
                    meaning,
                    values: pick(i + 1),
                })
                .collect(),
        }
    }
}

/// The list without its entries, with room for `most`.
fn emptied<T>(mut list: Vec<T>, most: usize) -> Vec<T> {
    list.clear();
    list.reserve(most);
    list
}

/// Position of a node of the support in the site frame.
pub(crate) fn node_place(
    run_p: &Prepared,
    x: &Vector3<f64>,
    rotation: &nalgebra::Matrix3<f64>,
    q: &[f64],
    node: usize,
) -> Vector3<f64> {
    let s = &run_p.solution;
    let mut u = Vector3::zeros();
    for (i, q) in q.iter().enumerate() {
        for d in 0..3 {
            u[d] += s.basis.shapes[(6 * node + d, i)] * q;
        }
    }
    x + rotation * (s.modes.mesh.nodes[node] - s.modes.properties.centre_m + u)
}

fn axis_point(run: &Run<'_>, node: usize) -> Vector3<f64> {
    node_place(run.p, &run.x, &run.spin.rotation, &run.q, node)
}
