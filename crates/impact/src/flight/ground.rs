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
            let (a, b) = (piece.place(&rod.from), piece.place(&rod.to));
            let d = b - a;
            let l = d.norm();
            // The ends of a rod are blunt: its rim lies at right angles to the axis.
            let (ra, rb) = (rod.radius_from, rod.radius_to);
            if l < 1e-9 {
                take(a, ra, rod.part);
                continue;
            }
            let unit = d / l;
            take(a + unit * ra.min(0.5 * l), ra, rod.part);
            take(b - unit * rb.min(0.5 * l), rb, rod.part);
            if self.tangent != 0.0 && (a.y - self.edge) * (b.y - self.edge) < 0.0 {
                let s = (self.edge - a.y) / d.y;
                take(a + d * s, ra + (rb - ra) * s, rod.part);
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

    /// Whether a piece is near the stub: over the circle about it, and low enough there.
    pub fn near_stub(&self, piece: &Piece, margin: f64) -> bool {
        let over = |a: &Vector3<f64>, b: &Vector3<f64>, radius: f64| {
            let reach = self.stub_radius + margin + radius;
            let d = b - a;
            // |a + s d|^2 = reach^2 in plan
            let (along, size) = (a.xy().dot(&d.xy()), d.xy().norm_squared());
            let inside = a.xy().norm_squared() - reach * reach;
            let (mut first, mut last) = (0.0, 1.0);
            if size > 1e-12 {
                let root = along * along - size * inside;
                if root <= 0.0 {
                    return false;
                }
                let root = root.sqrt();
                first = ((-along - root) / size).max(0.0);
                last = ((-along + root) / size).min(1.0);
            } else if inside > 0.0 {
                return false;
            }
            let lowest = (a.z + d.z * first).min(a.z + d.z * last);
            first <= last && lowest - radius < self.stub_height + margin
        };
        let rods = piece.rods.iter().any(|rod| {
            let radius = rod.radius_from.max(rod.radius_to);
            over(&piece.place(&rod.from), &piece.place(&rod.to), radius)
        });
        let plate = piece.disc.as_ref().is_some_and(|disc| {
            let centre = piece.place(&disc.centre);
            over(&centre, &centre, disc.radius + disc.half_thickness)
        });
        rods || plate
    }
}
