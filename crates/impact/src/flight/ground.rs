//! The ground and the stub as shapes: how far a piece is from them.

use giveway_scenario::model::Scenario;
use nalgebra::Vector3;

use super::outcome::Part;
use super::piece::Piece;

/// Ground with a slope beside the road, and the stub with the lower plate.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Terrain {
    /// Rise per metre beyond the edge.
    pub tangent: f64,
    /// Angle of the slope, rad.
    pub angle: f64,
    /// Lateral position of the edge, m.
    pub edge: f64,
    /// Side of the slope: +1 left, -1 right.
    pub side: f64,
    pub friction: f64,
    pub stub_radius: f64,
    pub stub_height: f64,
}

/// A rod that lies across the stub or beside it leans no more than that (sine) ...
const FLAT: f64 = 0.3;
/// ... and where it lies across, it is no lower in it than that, m.
const SUNK_M: f64 = 0.03;

/// How a piece is at the stub.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum AtStub {
    Away,
    /// Rods lie across its top or beside it with both ends away from it, and nothing else is near.
    Across,
    Near,
}

/// The lowest point of a piece.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lowest {
    /// Distance from the ground, m.
    pub clearance: f64,
    /// The point, site frame.
    pub place: Vector3<f64>,
    pub part: Part,
}

impl Terrain {
    pub fn new(s: &Scenario) -> Self {
        let g = &s.site.ground;
        Self {
            tangent: libm::tan(g.slope_rad),
            angle: g.slope_rad,
            edge: g.slope_from_m,
            side: g.slope_side(),
            friction: g.friction,
            stub_radius: s.base.plate_radius_m,
            stub_height: s.site.slip_plane_height_m.max(0.0),
        }
    }

    /// Height of the ground, m.
    pub fn height(&self, y: f64) -> f64 {
        self.tangent * ((y - self.edge) * self.side).max(0.0)
    }

    /// Outward normal of the ground there.
    pub fn normal(&self, y: f64) -> Vector3<f64> {
        if (y - self.edge) * self.side > 0.0 {
            Vector3::new(0.0, -self.side * self.tangent, 1.0).normalize()
        } else {
            Vector3::z()
        }
    }

    /// Whether it falls away beyond the edge: a rod can then touch it anywhere, not with its ends alone.
    pub fn convex(&self) -> bool {
        self.tangent < 0.0
    }

    /// The planes that ground which is not convex lies above: a point of each and its normal.
    pub fn planes(&self) -> impl Iterator<Item = (Vector3<f64>, Vector3<f64>)> {
        let rise = (self.tangent > 0.0).then(|| {
            let normal = Vector3::new(
                0.0,
                -self.side * libm::sin(self.angle),
                libm::cos(self.angle),
            );
            (Vector3::new(0.0, self.edge, 0.0), normal)
        });
        std::iter::once((Vector3::zeros(), Vector3::z())).chain(rise)
    }

    /// The point of a piece that is nearest to the ground (vertically).
    pub fn lowest(&self, piece: &Piece) -> Lowest {
        let mut low = Lowest {
            clearance: f64::INFINITY,
            place: piece.x,
            part: Part::Pole,
        };
        let mut take = |place: Vector3<f64>, radius: f64, part: Part| {
            let n = self.normal(place.y);
            let clearance = (place.z - self.height(place.y)) * n.z - radius;
            if clearance < low.clearance {
                low = Lowest {
                    clearance,
                    place: place - n * radius,
                    part,
                };
            }
        };
        for rod in &piece.rods {
            // The ends of a rod are blunt: its rim lies at right angles to the axis.
            let (ra, rb) = (rod.radius_from, rod.radius_to);
            let [first, last] = rod.near_ends();
            take(first, ra, rod.part);
            if rod.length == 0.0 {
                continue;
            }
            take(last, rb, rod.part);
            let [a, b] = rod.ends;
            if self.tangent != 0.0 && (a.y - self.edge) * (b.y - self.edge) < 0.0 {
                let s = (self.edge - a.y) / (b.y - a.y);
                take(a + (b - a) * s, ra + (rb - ra) * s, rod.part);
            }
        }
        if let Some(disc) = &piece.disc {
            let centre = piece.place(&disc.centre);
            let n = piece.spin.rotation * disc.normal;
            // The lowest point of the rim: down, less its part along the axis.
            let down = -Vector3::z() + n * n.z;
            let reach = down.norm();
            let rim = if reach > 1e-9 {
                down * (disc.radius / reach)
            } else {
                Vector3::zeros()
            };
            let under = if n.z > 0.0 { -n } else { n } * disc.half_thickness;
            take(centre + rim + under, 0.0, Part::Plate);
        }
        low
    }

    /// Where a piece is nearer to the stub than `margin`: over the circle about it, and low enough there.
    pub fn stub(&self, piece: &Piece, margin: f64) -> AtStub {
        let near = |a: &Vector3<f64>, b: &Vector3<f64>, radius: f64| {
            let (first, last) = self.over_stub(a, b, self.stub_radius + margin + radius)?;
            let lowest = a.z + ((b.z - a.z) * first).min((b.z - a.z) * last) - radius;
            (lowest < self.stub_height + margin).then_some(lowest)
        };
        let plate = piece.disc.as_ref().and_then(|disc| {
            let centre = piece.place(&disc.centre);
            near(&centre, &centre, disc.radius + disc.half_thickness)
        });
        if plate.is_some() {
            return AtStub::Near;
        }
        let mut found = AtStub::Away;
        for rod in &piece.rods {
            let [a, b] = rod.ends;
            let Some(lowest) = near(&a, &b, rod.radius_from.max(rod.radius_to)) else {
                continue;
            };
            let lies = match self.over_stub(&a, &b, self.stub_radius) {
                Some((first, last)) => {
                    first > 0.0 && last < 1.0 && lowest > self.stub_height - SUNK_M
                }
                None => (0.0..1.0).contains(&nearest(&a, &(b - a))),
            };
            if !lies || rod.unit.z.abs() > FLAT {
                return AtStub::Near;
            }
            found = AtStub::Across;
        }
        found
    }

    /// Tells where rods that lie across the stub or beside it meet the edge of its top or its side: place on the rod, normal,
    /// gap.
    pub fn across_stub(
        &self,
        piece: &Piece,
        mut tell: impl FnMut(Vector3<f64>, Vector3<f64>, f64),
    ) {
        for rod in &piece.rods {
            let [a, b] = rod.ends;
            let d = b - a;
            let unit = rod.unit;
            let mut touch = |s: f64, height: f64, outward: Vector3<f64>| {
                let radius = rod.radius_from + (rod.radius_to - rod.radius_from) * s;
                let normal = (outward - unit * unit.dot(&outward)).normalize();
                let axis = a + d * s;
                tell(
                    axis - normal * radius,
                    normal,
                    height * normal.dot(&outward) - radius,
                );
            };
            if let Some((first, last)) = self.over_stub(&a, &b, self.stub_radius) {
                for s in [first, last] {
                    touch(s, a.z + d.z * s - self.stub_height, Vector3::z());
                }
                continue;
            }
            let s = nearest(&a, &d);
            let axis = a + d * s;
            let way = axis.xy().norm();
            let rim = axis.xy() * (self.stub_radius / way);
            let from = axis - Vector3::new(rim.x, rim.y, axis.z.min(self.stub_height));
            touch(s, from.norm(), from.normalize());
        }
    }

    /// The parts of the way from a to b, 0 to 1, between which it is over a circle about the stub.
    fn over_stub(&self, a: &Vector3<f64>, b: &Vector3<f64>, reach: f64) -> Option<(f64, f64)> {
        let d = b - a;
        // |a + s d|^2 = reach^2 in plan
        let (along, size) = (a.xy().dot(&d.xy()), d.xy().norm_squared());
        let inside = a.xy().norm_squared() - reach * reach;
        if size <= 1e-12 {
            return (inside <= 0.0).then_some((0.0, 1.0));
        }
        let root = along * along - size * inside;
        if root <= 0.0 {
            return None;
        }
        let root = root.sqrt();
        let first = ((-along - root) / size).max(0.0);
        let last = ((-along + root) / size).min(1.0);
        (first <= last).then_some((first, last))
    }
}

/// Where a straight way from `a` along `d` is nearest to the stub's axis, in parts of `d`.
fn nearest(a: &Vector3<f64>, d: &Vector3<f64>) -> f64 {
    -a.xy().dot(&d.xy()) / d.xy().norm_squared().max(1e-12)
}
