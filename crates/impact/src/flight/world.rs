//! Contact of pole and arms with the stub, and with ground that falls away: the only place that names the rigid-body
//! library. Level and rising ground alone is `lying`'s.
//!
//! The pieces' velocities have had their forces' kicks already, so the library is asked for a step without forces: it
//! finds the impulses of the contacts and moves the bodies. What it does silently is switched off or watched:
//!
//! - speed is cut at 400 m/s and spin at 45 degrees a step: both limits are lifted;
//! - bodies with a value that is not a number are disabled: its list of them is read after every step;
//! - slow bodies are put to sleep and lose their speed: they may not;
//! - the centre of mass is stale until the mass properties are computed: they are, before the first step;
//! - colliders bring mass of their own: theirs is zero, the inertia tensor is given in full;
//! - contacts are clustered and reused while little moves: both are off;
//! - boxes with faces on each other bounce more than asked for: no boxes, and no restitution.

use rapier3d_f64::prelude as r;
use rapier3d_f64::prelude::{ColliderBuilder, RigidBodyBuilder};

use giveway_mechanics::attitude::Attitude;
use nalgebra::Vector3;

use super::ground::Terrain;
use super::piece::Piece;
use crate::error::ImpactError;

/// Capsules that a tapered rod longer than two metres is made of.
const CAPSULES: usize = 3;
/// The engine acts on what is nearer than this, m.
pub(super) const PREDICTION_M: f64 = 0.005;
/// Half length of a slab of ground, m.
const SLAB_M: f64 = 500.0;
/// Thickness of a slab of ground, m.
const SLAB_DEPTH_M: f64 = 5.0;

/// The contact engine.
pub(crate) struct World {
    world: r::PhysicsWorld,
    bodies: Vec<r::RigidBodyHandle>,
    stub: Option<r::ColliderHandle>,
    stub_on: bool,
}

/// Group of what lies fixed, and of the parts of pieces that meet it. Pieces do not meet each other.
type Groups = [r::Group; 2];
const GROUND: Groups = [r::Group::GROUP_1, r::Group::GROUP_2];
const STUB: Groups = [r::Group::GROUP_3, r::Group::GROUP_4];

fn meets(member: r::Group, others: r::Group) -> r::InteractionGroups {
    r::InteractionGroups::new(member, others, r::InteractionTestMode::And)
}

fn vector(v: &Vector3<f64>) -> r::Vector {
    r::Vector::new(v.x, v.y, v.z)
}

fn plain(v: r::Vector) -> Vector3<f64> {
    Vector3::new(v.x, v.y, v.z)
}

fn rotation(a: &Attitude) -> r::Rotation {
    r::Rotation::from_xyzw(a.v.x, a.v.y, a.v.z, a.w)
}

impl World {
    pub fn new(terrain: &Terrain, pieces: &[Piece]) -> Self {
        let mut world = r::PhysicsWorld {
            gravity: r::Vector::ZERO,
            ..r::PhysicsWorld::default()
        };
        let p = &mut world.integration_parameters;
        p.num_solver_iterations = 1;
        p.normalized_prediction_distance = PREDICTION_M;
        p.max_ccd_substeps = 0;
        p.contact_clustering = false;
        p.contact_recycling = false;
        p.normalized_max_linear_velocity = r::Real::MAX;
        p.friction_model = r::FrictionModel::Coulomb;
        let stub = ground(&mut world, terrain);
        let bodies = pieces.iter().map(|p| body(&mut world, p)).collect();
        Self {
            world,
            bodies,
            stub,
            stub_on: true,
        }
    }

    /// Moves the pieces that are `near` by one step under their contacts.
    ///
    /// # Errors
    /// A body that stopped being finite.
    pub fn step(
        &mut self,
        pieces: &mut [Piece],
        near: &[bool],
        near_stub: bool,
        dt: f64,
        time: f64,
    ) -> Result<(), ImpactError> {
        for ((piece, handle), &near) in pieces.iter().zip(&self.bodies).zip(near) {
            let Some(body) = self.world.bodies.get_mut(*handle) else {
                continue;
            };
            if body.is_enabled() != near {
                body.set_enabled(near);
            }
            let place = vector(&piece.x);
            // The pose is the body's own while the piece stays here.
            if near && body.translation() != place {
                body.set_position(
                    r::Pose::from_parts(place, rotation(&piece.spin.attitude)),
                    true,
                );
            }
            if near {
                body.set_linvel(vector(&piece.v), true);
                body.set_angvel(vector(&piece.rate()), true);
            }
        }
        if self.stub_on != near_stub {
            self.stub_on = near_stub;
            if let Some(collider) = self.stub.and_then(|h| self.world.colliders.get_mut(h)) {
                collider.set_enabled(near_stub);
            }
        }
        self.world.integration_parameters.dt = dt;
        self.world.step();
        let lost = self.world.quarantine();
        if !(lost.bodies().is_empty() && lost.colliders().is_empty()) {
            return Err(ImpactError::NotFinite {
                body: "pole",
                quantity: "state in contact with the ground",
                time_s: time,
            });
        }
        for ((piece, handle), &near) in pieces.iter_mut().zip(&self.bodies).zip(near) {
            if !near {
                continue;
            }
            if let Some(body) = self.world.bodies.get(*handle) {
                take(piece, body);
            }
        }
        Ok(())
    }

    /// Sum of the impulses that the last step's contacts report on a piece, N.s: for comparison with its change of
    /// momentum.
    #[cfg(test)]
    pub fn reported_impulse(&self, piece: usize) -> Vector3<f64> {
        let mut sum = Vector3::zeros();
        let Some(body) = self.world.bodies.get(self.bodies[piece]) else {
            return sum;
        };
        for &collider in body.colliders() {
            for pair in self.world.narrow_phase.contact_pairs_with(collider) {
                let sign = if pair.collider1 == collider {
                    -1.0
                } else {
                    1.0
                };
                for manifold in pair.manifolds() {
                    let normal = plain(manifold.data.normal);
                    for point in &manifold.points {
                        sum += normal * (sign * point.data.impulse);
                    }
                }
            }
        }
        sum
    }
}

/// Puts ground and stub into the world; returns the stub.
fn ground(world: &mut r::PhysicsWorld, t: &Terrain) -> Option<r::ColliderHandle> {
    let fixed = |world: &mut r::PhysicsWorld, collider: ColliderBuilder, group: Groups| {
        world.insert(
            RigidBodyBuilder::fixed(),
            collider
                .collision_groups(meets(group[0], group[1]))
                .friction(t.friction)
                .friction_combine_rule(r::CoefficientCombineRule::Multiply)
                .restitution(0.0),
        )
    };
    if t.convex() {
        let (sin, cos) = (libm::sin(t.angle), libm::cos(t.angle));
        let size = || ColliderBuilder::cuboid(SLAB_M, SLAB_M, SLAB_DEPTH_M);
        let road = r::Vector::new(0.0, t.edge - t.side * SLAB_M, -SLAB_DEPTH_M);
        fixed(world, size().translation(road), GROUND);
        let along = Vector3::new(0.0, t.side * cos, sin);
        let normal = Vector3::new(0.0, -t.side * sin, cos);
        let centre = Vector3::new(0.0, t.edge, 0.0) + along * SLAB_M - normal * SLAB_DEPTH_M;
        let half = 0.5 * t.side * t.angle;
        let turn = r::Rotation::from_xyzw(libm::sin(half), 0.0, 0.0, libm::cos(half));
        fixed(
            world,
            size().position(r::Pose::from_parts(vector(&centre), turn)),
            GROUND,
        );
    } else {
        for (through, normal) in t.planes() {
            let plane = ColliderBuilder::new(r::SharedShape::halfspace(vector(&normal)));
            fixed(world, plane.translation(vector(&through)), GROUND);
        }
    }
    let half = 0.5 * t.stub_height;
    // A cylinder's axis is y: a quarter turn about x.
    let quarter = std::f64::consts::FRAC_1_SQRT_2;
    (half > 0.0).then(|| {
        let place = r::Pose::from_parts(
            r::Vector::new(0.0, 0.0, half),
            r::Rotation::from_xyzw(quarter, 0.0, 0.0, quarter),
        );
        fixed(
            world,
            ColliderBuilder::cylinder(half, t.stub_radius).position(place),
            STUB,
        )
        .1
    })
}

/// A piece: its rods as capsules, its plate as a cylinder.
fn body(world: &mut r::PhysicsWorld, piece: &Piece) -> r::RigidBodyHandle {
    let eigen = piece.inertia.symmetric_eigen();
    let mut axes = eigen.eigenvectors;
    if axes.determinant() < 0.0 {
        axes.column_mut(2).neg_mut();
    }
    let turn = nalgebra::UnitQuaternion::from_rotation_matrix(
        &nalgebra::Rotation3::from_matrix_unchecked(axes),
    );
    let mass = r::MassProperties::with_principal_inertia_frame(
        r::Vector::ZERO,
        piece.mass,
        vector(&eigen.eigenvalues),
        r::Rotation::from_xyzw(turn.i, turn.j, turn.k, turn.w),
    );
    let builder = RigidBodyBuilder::dynamic()
        .pose(r::Pose::from_parts(
            vector(&piece.x),
            rotation(&piece.spin.attitude),
        ))
        .additional_mass_properties(mass)
        .can_sleep(false)
        .ccd_enabled(false)
        .allow_fast_rotation(true)
        .gyroscopic_forces_enabled(true)
        .linear_damping(0.0)
        .angular_damping(0.0);
    let handle = world.bodies.insert(builder);
    let all = [GROUND[0] | STUB[0], GROUND[1] | STUB[1]];
    let mut attach = |collider: ColliderBuilder, group: Groups| {
        world.colliders.insert_with_parent(
            collider
                .collision_groups(meets(group[1], group[0]))
                .density(0.0)
                .friction(1.0)
                .friction_combine_rule(r::CoefficientCombineRule::Multiply)
                .restitution(0.0),
            handle,
            &mut world.bodies,
        )
    };
    let mut shapes = Vec::new();
    for rod in &piece.rods {
        let d = rod.to - rod.from;
        let l = d.norm();
        if l < 1e-9 {
            let ball = ColliderBuilder::ball(rod.radius_from);
            shapes.push(ball.translation(vector(&rod.from)));
            continue;
        }
        let unit = d / l;
        let count = if l > 2.0 { CAPSULES } else { 1 };
        for i in 0..count {
            let (s0, s1) = (i as f64 / count as f64, (i + 1) as f64 / count as f64);
            let radius = rod.radius_from + (rod.radius_to - rod.radius_from) * 0.5 * (s0 + s1);
            // The round ends of the outer capsules end where the rod ends.
            let inset = radius.min(0.4 * l / count as f64);
            let from = l * s0 + if i == 0 { inset } else { 0.0 };
            let to = l * s1 - if i + 1 == count { inset } else { 0.0 };
            shapes.push(ColliderBuilder::capsule_from_endpoints(
                vector(&(rod.from + unit * from)),
                vector(&(rod.from + unit * to)),
                radius,
            ));
        }
    }
    if let Some(disc) = &piece.disc {
        let turn = r::Rotation::from_rotation_arc(r::Vector::Y, vector(&disc.normal));
        let place = r::Pose::from_parts(vector(&disc.centre), turn);
        let cylinder = ColliderBuilder::cylinder(disc.half_thickness, disc.radius);
        shapes.push(cylinder.position(place));
    }
    for shape in shapes {
        attach(shape, all);
    }
    if let Some(body) = world.bodies.get_mut(handle) {
        body.recompute_mass_properties_from_colliders(&world.colliders);
    }
    handle
}

fn take(piece: &mut Piece, body: &r::RigidBody) {
    let pose = body.position();
    piece.x = plain(pose.translation);
    piece.v = plain(body.linvel());
    let q = pose.rotation;
    let size = (q.w * q.w + q.x * q.x + q.y * q.y + q.z * q.z).sqrt();
    let s = &mut piece.spin;
    s.attitude = Attitude {
        w: q.w / size,
        v: Vector3::new(q.x, q.y, q.z) / size,
    };
    s.rotation = s.attitude.matrix();
    s.rate = plain(body.angvel());
    // L = R I R^T omega
    s.momentum = s.rotation * (piece.inertia * s.rotation.tr_mul(&s.rate));
    piece.place_rods();
}
