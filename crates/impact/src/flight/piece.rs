//! What flies: the support in one piece, or pole and arms apart. Shape, mass and motion of each.
//!
//! Coordinates of a piece are the support's axes with the origin at the piece's own centre of mass, undeformed.

use giveway_mechanics::attitude::{Attitude, Spin};
use giveway_mechanics::beam::{element, rigid_rows};
use giveway_mechanics::support::station;
use giveway_scenario::model::Luminaire;
use nalgebra::{Matrix3, SMatrix, Vector3};

use super::outcome::Part;
use crate::error::ImpactError;
use crate::prepared::Prepared;
use crate::state::spin_at_rest;

/// Least and largest radius of the ball that stands for a luminaire, m (assumed).
const LUMINAIRE_RADIUS_M: (f64, f64) = (0.08, 0.25);

/// A tapered round bar, or a ball.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rod {
    pub from: Vector3<f64>,
    pub to: Vector3<f64>,
    pub radius_from: f64,
    pub radius_to: f64,
    pub part: Part,
    /// m; 0 = a ball.
    pub length: f64,
    per_length: f64,
    /// Where both ends are now, site frame, and the direction from one to the other; none of a ball.
    pub ends: [Vector3<f64>; 2],
    pub unit: Vector3<f64>,
}

impl Rod {
    fn new(ends: [Vector3<f64>; 2], radii: [f64; 2], part: Part) -> Self {
        let [from, to] = ends;
        let length = (to - from).norm();
        let is_ball = length < 1e-9;
        Self {
            from,
            to,
            radius_from: radii[0],
            radius_to: radii[1],
            part,
            length: if is_ball { 0.0 } else { length },
            per_length: if is_ball { 0.0 } else { 1.0 / length },
            ends,
            unit: Vector3::zeros(),
        }
    }

    /// The axis near both ends, where the blunt rim comes down on a plane.
    pub fn near_ends(&self) -> [Vector3<f64>; 2] {
        let inset = |radius: f64| self.unit * radius.min(0.5 * self.length);
        let [a, b] = self.ends;
        [a + inset(self.radius_from), b - inset(self.radius_to)]
    }
}

/// The upper slip plate.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Disc {
    pub centre: Vector3<f64>,
    pub normal: Vector3<f64>,
    pub radius: f64,
    pub half_thickness: f64,
}

/// How fast the points of a piece move, m/s, at most.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Motion {
    /// Any way.
    pub fastest: f64,
    /// Up or down.
    pub falling: f64,
    /// The turning, rad/s.
    pub turning: f64,
}

/// A rigid body in flight.
#[derive(Debug, Clone)]
pub(crate) struct Piece {
    pub mass: f64,
    pub inertia: Matrix3<f64>,
    pub rods: Vec<Rod>,
    pub disc: Option<Disc>,
    /// The support's origin (pole foot) in the piece's coordinates.
    pub origin: Vector3<f64>,
    pub x: Vector3<f64>,
    pub v: Vector3<f64>,
    pub spin: Spin,
    pub force: Vector3<f64>,
    pub torque: Vector3<f64>,
}

impl Piece {
    /// The whole support. `hinge` is the turn of the upper plate against the shaft.
    pub fn whole(p: &Prepared, hinge: Option<&Attitude>) -> Result<Self, ImpactError> {
        let m = &p.solution.modes.properties;
        let mut rods = pole_rods(p, &m.centre_m);
        for arm in 0..p.scenario.support.arms.len() {
            rods.extend(arm_rods(p, arm, &m.centre_m));
        }
        let mut piece = Self {
            mass: m.mass_kg,
            inertia: m.inertia_kgm2,
            rods,
            disc: Some(disc(p, &m.centre_m, hinge)),
            origin: -m.centre_m,
            x: Vector3::zeros(),
            v: Vector3::zeros(),
            spin: spin_at_rest("support", Attitude::identity(), m.inertia_kgm2)?,
            force: Vector3::zeros(),
            torque: Vector3::zeros(),
        };
        piece.place_rods();
        Ok(piece)
    }

    /// Pole and arms apart, each with the motion that `whole` has at its place.
    pub fn apart(
        p: &Prepared,
        whole: &Self,
        hinge: Option<&Attitude>,
    ) -> Result<Vec<Self>, ImpactError> {
        let m = &p.solution.modes.properties;
        let about_foot = steiner(&m.inertia_kgm2, m.mass_kg, &m.centre_m);
        let mut rest = (m.mass_kg, m.centre_m * m.mass_kg, about_foot);
        let mut pieces = Vec::new();
        for arm in 0..p.scenario.support.arms.len() {
            let (mass, moment, inertia) = arm_mass(p, arm);
            rest.0 -= mass;
            rest.1 -= moment;
            rest.2 -= inertia;
            let centre = moment / mass;
            let inertia = steiner(&inertia, -mass, &centre);
            pieces.push(whole.part(mass, inertia, &centre, arm_rods(p, arm, &centre), None)?);
        }
        let centre = rest.1 / rest.0;
        let inertia = steiner(&rest.2, -rest.0, &centre);
        let rods = pole_rods(p, &centre);
        let plate = Some(disc(p, &centre, hinge));
        pieces.insert(0, whole.part(rest.0, inertia, &centre, rods, plate)?);
        Ok(pieces)
    }

    fn part(
        &self,
        mass: f64,
        inertia: Matrix3<f64>,
        centre: &Vector3<f64>,
        rods: Vec<Rod>,
        disc: Option<Disc>,
    ) -> Result<Self, ImpactError> {
        let rate = self.rate();
        let lever = self.spin.rotation * (self.origin + centre);
        let mut spin = spin_at_rest("arm", self.spin.attitude, inertia)?;
        let r = spin.rotation;
        spin.rate = rate;
        spin.momentum = r * (inertia * r.tr_mul(&rate));
        let mut piece = Self {
            mass,
            inertia,
            rods,
            disc,
            origin: -centre,
            x: self.x + lever,
            v: self.v + rate.cross(&lever),
            spin,
            force: Vector3::zeros(),
            torque: Vector3::zeros(),
        };
        piece.place_rods();
        Ok(piece)
    }

    /// Angular velocity now, site axes: omega = R I^-1 R^T L.
    pub fn rate(&self) -> Vector3<f64> {
        let s = &self.spin;
        s.rotation * (s.inverse_inertia * s.rotation.tr_mul(&s.momentum))
    }

    /// A point of the piece in the site frame.
    pub fn place(&self, local: &Vector3<f64>) -> Vector3<f64> {
        self.x + self.spin.rotation * local
    }

    /// Tells the rods where they are; to be called whenever the piece has moved.
    pub fn place_rods(&mut self) {
        let (x, r) = (self.x, self.spin.rotation);
        for rod in &mut self.rods {
            rod.ends = [x + r * rod.from, x + r * rod.to];
            rod.unit = (rod.ends[1] - rod.ends[0]) * rod.per_length;
        }
    }

    /// Tells the points that may lie lowest on a plane with this normal (a unit vector): of every rod one at each end, whose
    /// rim is blunt, of the plate four on the rim of the lower face.
    pub fn lowest_points(&self, normal: &Vector3<f64>, mut tell: impl FnMut(Vector3<f64>)) {
        for rod in &self.rods {
            let [first, last] = rod.near_ends();
            tell(first - normal * rod.radius_from);
            if rod.length > 0.0 {
                tell(last - normal * rod.radius_to);
            }
        }
        if let Some(disc) = &self.disc {
            let axis = self.spin.rotation * disc.normal;
            let up = axis.dot(normal);
            // Down along the face; any way where the face lies flat.
            let down = axis * up - normal;
            let size = down.norm();
            let u = if size > 1e-9 {
                down / size
            } else {
                self.spin.rotation * Vector3::x()
            };
            let u = (u - axis * axis.dot(&u)).normalize();
            let w = axis.cross(&u);
            let face = self.place(&disc.centre) - axis * disc.half_thickness.copysign(up);
            for way in [u, w, -w, -u] {
                tell(face + way * disc.radius);
            }
        }
    }

    /// Velocity of the piece at a place in the site frame; `rate` is [`Piece::rate`].
    pub fn velocity_with(&self, rate: &Vector3<f64>, place: &Vector3<f64>) -> Vector3<f64> {
        self.v + rate.cross(&(place - self.x))
    }

    /// How fast its points move.
    pub fn motion(&self) -> Motion {
        let rate = self.rate();
        let turning = rate.norm();
        let (mut fastest, mut falling) = (0.0_f64, 0.0_f64);
        self.each_fastest(&rate, |v, radius| {
            let rim = turning * radius;
            fastest = fastest.max(v.norm() + rim);
            falling = falling.max(v.z.abs() + rim);
        });
        Motion {
            fastest,
            falling,
            turning,
        }
    }

    /// How fast its points close with something that moves at `other`, m/s, at most.
    pub fn closing(&self, other: &Vector3<f64>) -> f64 {
        let rate = self.rate();
        let turning = rate.norm();
        let mut closing = 0.0_f64;
        self.each_fastest(&rate, |v, radius| {
            closing = closing.max((v - other).norm() + turning * radius);
        });
        closing
    }

    /// Tells the velocity of every point of the axes that may be the fastest (of a rod, its ends), and the radius about it.
    fn each_fastest(&self, rate: &Vector3<f64>, mut tell: impl FnMut(Vector3<f64>, f64)) {
        let mut point = |place: &Vector3<f64>, radius: f64| {
            tell(self.velocity_with(rate, place), radius);
        };
        for rod in &self.rods {
            point(&rod.ends[0], rod.radius_from);
            if rod.length > 0.0 {
                point(&rod.ends[1], rod.radius_to);
            }
        }
        if let Some(disc) = &self.disc {
            point(&self.place(&disc.centre), disc.radius + disc.half_thickness);
        }
    }

    /// Kinetic energy, J.
    pub fn kinetic(&self) -> f64 {
        0.5 * self.mass * self.v.norm_squared() + self.spin.energy_with(&self.spin.momentum)
    }

    pub fn push(&mut self, force: &Vector3<f64>, place: &Vector3<f64>) {
        self.force += force;
        self.torque += (place - self.x).cross(force);
    }

    pub fn kick(&mut self, dt: f64) {
        self.v += self.force * (dt / self.mass);
        self.spin.momentum += self.torque * dt;
    }

    pub fn drift(&mut self, dt: f64) {
        self.x += self.v * dt;
        self.spin.drift(dt);
        self.place_rods();
    }
}

/// Inertia about a point that lies `d` from the centre of a body of the mass `m`; with -m the other way round.
fn steiner(inertia: &Matrix3<f64>, m: f64, d: &Vector3<f64>) -> Matrix3<f64> {
    inertia + (Matrix3::identity() * d.norm_squared() - d * d.transpose()) * m
}

fn pole_rods(p: &Prepared, centre: &Vector3<f64>) -> Vec<Rod> {
    let s = &p.scenario.support;
    let mut rods = vec![Rod::new(
        [-centre, Vector3::new(0.0, 0.0, s.pole_length_m) - centre],
        [0.5 * s.pole.base_diameter_m, 0.5 * s.pole.tip_diameter_m],
        Part::Pole,
    )];
    for lump in s.lumps.iter().filter(|l| l.drag_area_m2 > 0.0) {
        let (sin, cos) = (libm::sin(lump.azimuth_rad), libm::cos(lump.azimuth_rad));
        let at = Vector3::new(cos * lump.offset_m, sin * lump.offset_m, lump.height_m) - centre;
        rods.push(ball(at, lump.drag_area_m2, Part::Pole));
    }
    rods
}

fn arm_rods(p: &Prepared, arm: usize, centre: &Vector3<f64>) -> Vec<Rod> {
    let mesh = &p.solution.modes.mesh;
    let a = &p.scenario.support.arms[arm];
    let nodes = &mesh.arm_nodes[arm];
    let (Some(&root), Some(&tip)) = (nodes.first(), nodes.last()) else {
        return Vec::new();
    };
    let end = mesh.nodes[tip] - centre;
    let mut rods = vec![Rod::new(
        [mesh.nodes[root] - centre, end],
        [0.5 * a.tube.base_diameter_m, 0.5 * a.tube.tip_diameter_m],
        Part::Arm,
    )];
    for (l, offset) in a.luminaires.iter().zip(&mesh.luminaire_offsets[arm]) {
        rods.push(luminaire(l, end + offset));
    }
    rods
}

fn luminaire(l: &Luminaire, at: Vector3<f64>) -> Rod {
    ball(at, l.drag_area_m2, Part::Luminaire)
}

/// A ball with the area that is exposed to wind, within limits.
fn ball(at: Vector3<f64>, area_m2: f64, part: Part) -> Rod {
    let radius = (area_m2 / std::f64::consts::PI)
        .sqrt()
        .clamp(LUMINAIRE_RADIUS_M.0, LUMINAIRE_RADIUS_M.1);
    Rod::new([at; 2], [radius; 2], part)
}

fn disc(p: &Prepared, centre: &Vector3<f64>, hinge: Option<&Attitude>) -> Disc {
    let normal = hinge.map_or(Vector3::z(), |h| h.matrix().column(2).into_owned());
    let half = 0.5 * p.scenario.base.upper_plate_m;
    Disc {
        centre: normal * half - centre,
        normal,
        radius: p.scenario.base.plate_radius_m,
        half_thickness: half,
    }
}

/// Mass, first moment and inertia about the pole foot of an arm with its luminaires, as the mesh has them.
fn arm_mass(p: &Prepared, arm: usize) -> (f64, Vector3<f64>, Matrix3<f64>) {
    let mesh = &p.solution.modes.mesh;
    let a = &p.scenario.support.arms[arm];
    let ids = &mesh.arm_nodes[arm];
    let n = (ids.len() - 1) as f64;
    let mut sum = SMatrix::<f64, 6, 6>::zeros();
    for e in 0..ids.len() - 1 {
        let (from, to) = (&mesh.nodes[ids[e]], &mesh.nodes[ids[e + 1]]);
        let (_, mass) = element(from, to, |x| station(&a.tube, (e as f64 + x) / n));
        // R^T m R with the rigid motions of both nodes about the foot.
        for (bi, i) in [(0, from), (1, to)] {
            for (bj, j) in [(0, from), (1, to)] {
                let block = mass.fixed_view::<6, 6>(6 * bi, 6 * bj).into_owned();
                sum += rigid_rows(i).transpose() * block * rigid_rows(j);
            }
        }
    }
    let mass = sum[(0, 0)];
    // First moments sit in the coupling block m S(c)^T.
    let mut moment = Vector3::new(sum[(1, 5)], sum[(2, 3)], sum[(0, 4)]);
    let mut inertia = sum.fixed_view::<3, 3>(3, 3).into_owned();
    inertia = (inertia + inertia.transpose()) * 0.5;
    let mut total = mass;
    if let Some(&tip) = ids.last() {
        for (l, offset) in a.luminaires.iter().zip(&mesh.luminaire_offsets[arm]) {
            let at = mesh.nodes[tip] + offset;
            total += l.mass_kg;
            moment += at * l.mass_kg;
            inertia = steiner(&inertia, l.mass_kg, &at);
        }
    }
    (total, moment, inertia)
}
