//! What a piece stands and lies on level ground with, as one shape: its lowest points.
//!
//! The engine pays for every pair of shapes that touch, so the balls at the ends of the rods and the slip plate are one
//! shape that answers with the four points that lie lowest. On a plane that is all that can touch.

use rapier3d_f64::parry;

use parry::bounding_volume::{Aabb, BoundingSphere, BoundingVolume};
use parry::mass_properties::MassProperties;
use parry::math::{Real, Vector};
use parry::query::{PointProjection, PointQuery, Ray, RayCast, RayIntersection};
use parry::shape::{
    FeatureId, PackedFeatureId, PolygonalFeature, PolygonalFeatureMap, Shape, ShapeType,
    SupportMap, TypedShape,
};

/// A flat disc with a rim.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plate {
    pub centre: Vector,
    /// Unit vector.
    pub axis: Vector,
    pub radius: Real,
    pub half_thickness: Real,
}

/// Balls, and perhaps a plate.
#[derive(Debug, Clone, Default)]
pub(super) struct Feet {
    pub balls: Vec<(Vector, Real)>,
    pub plate: Option<Plate>,
}

/// Numbers of the plate's points; those of the balls follow.
const OF_PLATE: u32 = 8;

impl Feet {
    pub fn is_empty(&self) -> bool {
        self.balls.is_empty() && self.plate.is_none()
    }

    /// Tells the points that may lie lowest in the direction `down` (a unit vector), each with its number: of the plate
    /// four on the rim of the lower face, the lowest first.
    fn points(&self, down: Vector, mut tell: impl FnMut(u32, Vector)) {
        if let Some(p) = &self.plate {
            let along = p.axis.dot(down);
            let across = down - p.axis * along;
            let size = across.length();
            let u = if size > 1e-9 {
                across / size
            } else {
                p.axis.any_orthonormal_vector()
            };
            let w = p.axis.cross(u);
            let (face, first) = if along < 0.0 {
                (-p.axis * p.half_thickness, 4)
            } else {
                (p.axis * p.half_thickness, 0)
            };
            let middle = p.centre + face;
            for (number, way) in [(0, u), (1, w), (2, -w), (3, -u)] {
                tell(first + number, middle + way * p.radius);
            }
        }
        for (number, (centre, radius)) in (OF_PLATE..).zip(&self.balls) {
            tell(number, *centre + down * *radius);
        }
    }

    /// The box that holds it.
    fn bounds(&self) -> Aabb {
        let plate = self.plate.iter();
        let plate = plate.map(|p| (p.centre, p.radius + p.half_thickness));
        let mut all = Aabb::new_invalid();
        for (centre, radius) in self.balls.iter().copied().chain(plate) {
            let half = Vector::splat(radius);
            all.merge(&Aabb::new(centre - half, centre + half));
        }
        all
    }
}

impl SupportMap for Feet {
    fn local_support_point(&self, dir: Vector) -> Vector {
        let down = dir.normalize_or_zero();
        let mut lowest = (Real::NEG_INFINITY, Vector::ZERO);
        self.points(down, |_, point| {
            let depth = point.dot(down);
            if depth > lowest.0 {
                lowest = (depth, point);
            }
        });
        lowest.1
    }
}

impl PolygonalFeatureMap for Feet {
    fn local_support_feature(&self, dir: Vector, out: &mut PolygonalFeature) {
        let mut depths = [Real::NEG_INFINITY; 4];
        let mut count = 0;
        out.fid = PackedFeatureId::face(0);
        self.points(dir, |number, point| {
            let depth = point.dot(dir);
            // Deepest first; of equals the first.
            let place = depths.iter().position(|d| depth > *d);
            let Some(place) = place else { return };
            for i in (place + 1..4).rev() {
                depths[i] = depths[i - 1];
                out.vertices[i] = out.vertices[i - 1];
                out.vids[i] = out.vids[i - 1];
            }
            depths[place] = depth;
            out.vertices[place] = point;
            out.vids[place] = PackedFeatureId::vertex(number);
            count = (count + 1).min(4);
        });
        out.num_vertices = count;
    }
}

impl Shape for Feet {
    fn compute_local_aabb(&self) -> Aabb {
        self.bounds()
    }

    fn compute_local_bounding_sphere(&self) -> BoundingSphere {
        self.bounds().bounding_sphere()
    }

    fn clone_dyn(&self) -> Box<dyn Shape> {
        Box::new(self.clone())
    }

    fn scale_dyn(&self, _scale: Vector, _subdivisions: u32) -> Option<Box<dyn Shape>> {
        None
    }

    fn mass_properties(&self, _density: Real) -> MassProperties {
        MassProperties::default()
    }

    fn shape_type(&self) -> ShapeType {
        ShapeType::Custom
    }

    fn as_typed_shape(&self) -> TypedShape<'_> {
        TypedShape::Custom(self)
    }

    fn ccd_thickness(&self) -> Real {
        0.0
    }

    fn ccd_angular_thickness(&self) -> Real {
        std::f64::consts::FRAC_PI_2
    }

    fn as_polygonal_feature_map(&self) -> Option<(&dyn PolygonalFeatureMap, Real)> {
        Some((self, 0.0))
    }
}

// The engine asks for these where it looks for rays and points, which is never done here: the box answers.

impl PointQuery for Feet {
    fn project_local_point(&self, point: Vector, solid: bool) -> PointProjection {
        self.bounds().project_local_point(point, solid)
    }

    fn project_local_point_and_get_feature(&self, point: Vector) -> (PointProjection, FeatureId) {
        self.bounds().project_local_point_and_get_feature(point)
    }
}

impl RayCast for Feet {
    fn cast_local_ray_and_get_normal(
        &self,
        ray: &Ray,
        longest: Real,
        solid: bool,
    ) -> Option<RayIntersection> {
        self.bounds()
            .cast_local_ray_and_get_normal(ray, longest, solid)
    }
}

#[cfg(test)]
mod tests {
    use giveway_mechanics::attitude::Attitude;
    use nalgebra::Vector3;

    use super::super::super::{ground::Terrain, piece::Piece, tests::prepared};
    use super::super::{feet, vector};
    use super::*;

    /// Whichever way the pole is turned, its feet reach as low as its shape does, and the points come deepest first.
    #[test]
    fn the_feet_reach_as_low_as_the_piece() {
        let p = prepared(&[]);
        let terrain = Terrain::new(p.scenario());
        let mut piece = Piece::whole(&p, None).expect("a piece");
        piece.x = Vector3::new(5.0, 3.0, 20.0);
        let all = feet(&piece);
        for i in 0..200 {
            let turn = |k: f64| libm::sin(k * f64::from(i) + 0.3 * k);
            let v = Vector3::new(turn(1.1), turn(2.3), turn(3.7));
            let size = (v.norm_squared() + turn(0.7) * turn(0.7)).sqrt();
            piece.spin.attitude = Attitude {
                w: turn(0.7) / size,
                v: v / size,
            };
            piece.spin.rotation = piece.spin.attitude.matrix();
            let down = vector(&piece.spin.rotation.tr_mul(&-Vector3::z()));
            let mut deepest = Real::NEG_INFINITY;
            for feet in &all {
                let mut out = PolygonalFeature::default();
                feet.local_support_feature(down, &mut out);
                let depths = out.vertices.map(|point| point.dot(down));
                let depths = &depths[..out.num_vertices];
                assert!(depths.windows(2).all(|w| w[0] >= w[1]), "{depths:?}");
                let alone = feet.local_support_point(down).dot(down);
                assert!((depths[0] - alone).abs() < 1e-12);
                deepest = deepest.max(depths[0]);
            }
            let clearance = piece.x.z - deepest;
            let low = terrain.lowest(&piece);
            assert!((clearance - low.clearance).abs() < 1e-9, "{i}: {low:?}");
        }
    }
}
