//! Triangles of simple bodies, flat shaded.

/// Triangles: three corners each with its normal, no corner shared.
#[derive(Debug, Default)]
pub(super) struct Mesh {
    pub places: Vec<[f64; 3]>,
    pub normals: Vec<[f64; 3]>,
}

impl Mesh {
    /// A triangle, anticlockwise seen from outside; one without area is left out.
    fn triangle(&mut self, a: [f64; 3], b: [f64; 3], c: [f64; 3]) {
        let (u, v) = (
            [0, 1, 2].map(|i| b[i] - a[i]),
            [0, 1, 2].map(|i| c[i] - a[i]),
        );
        let n = super::turn::cross(u, v);
        let size = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
        if size <= 1e-14 {
            return;
        }
        self.places.extend([a, b, c]);
        self.normals.extend([n.map(|x| x / size); 3]);
    }

    fn quad(&mut self, a: [f64; 3], b: [f64; 3], c: [f64; 3], d: [f64; 3]) {
        self.triangle(a, b, c);
        self.triangle(a, c, d);
    }

    /// A tapered prism about z with closed ends.
    pub fn tube(&mut self, radii: (f64, f64), heights: (f64, f64), sides: u32) {
        let sides = sides.max(3);
        let ring = |radius: f64, z: f64, k: u32| {
            let a = core::f64::consts::TAU * f64::from(k % sides) / f64::from(sides);
            [radius * libm::cos(a), radius * libm::sin(a), z]
        };
        for k in 0..sides {
            let low = [ring(radii.0, heights.0, k), ring(radii.0, heights.0, k + 1)];
            let high = [ring(radii.1, heights.1, k), ring(radii.1, heights.1, k + 1)];
            self.quad(low[0], low[1], high[1], high[0]);
            self.triangle([0.0, 0.0, heights.0], low[1], low[0]);
            self.triangle([0.0, 0.0, heights.1], high[0], high[1]);
        }
    }

    /// A disc of that half width about y.
    pub fn wheel(&mut self, middle: [f64; 3], radius: f64, half: f64) {
        let sides = 24;
        let ring = |y: f64, k: u32| {
            let a = core::f64::consts::TAU * f64::from(k % sides) / f64::from(sides);
            [
                middle[0] + radius * libm::cos(a),
                middle[1] + y,
                middle[2] + radius * libm::sin(a),
            ]
        };
        for k in 0..sides {
            let (right, left) = (
                [ring(-half, k), ring(-half, k + 1)],
                [ring(half, k), ring(half, k + 1)],
            );
            self.quad(right[0], left[0], left[1], right[1]);
            self.triangle([middle[0], middle[1] - half, middle[2]], right[0], right[1]);
            self.triangle([middle[0], middle[1] + half, middle[2]], left[1], left[0]);
        }
    }

    /// A box between two corners.
    pub fn cuboid(&mut self, a: [f64; 3], b: [f64; 3]) {
        let outline = [[a[0], a[2]], [b[0], a[2]], [b[0], b[2]], [a[0], b[2]]];
        let before = self.places.len();
        let half = 0.5 * (b[1] - a[1]);
        self.extruded(&outline, half);
        let middle = 0.5 * (a[1] + b[1]);
        self.places[before..]
            .iter_mut()
            .for_each(|p| p[1] += middle);
    }

    /// A contour in x and z, drawn out from -half to +half along y.
    pub fn extruded(&mut self, contour: &[[f64; 2]], half: f64) {
        let mut outline = contour.to_vec();
        outline.dedup();
        if area(&outline) < 0.0 {
            outline.reverse();
        }
        let at = |p: [f64; 2], y: f64| [p[0], y, p[1]];
        for (i, a) in outline.iter().enumerate() {
            let b = outline[(i + 1) % outline.len()];
            self.quad(at(*a, -half), at(*a, half), at(b, half), at(b, -half));
        }
        for [a, b, c] in ears(&outline) {
            self.triangle(at(a, -half), at(b, -half), at(c, -half));
            self.triangle(at(a, half), at(c, half), at(b, half));
        }
    }
}

/// Twice the area of a closed contour: positive where it turns from the first axis to the second.
fn area(p: &[[f64; 2]]) -> f64 {
    p.iter()
        .zip(p.iter().cycle().skip(1))
        .map(|(a, b)| a[0] * b[1] - b[0] * a[1])
        .sum()
}

/// Triangles of a simple contour (G. H. Meisters, 1975: cut off ears).
fn ears(contour: &[[f64; 2]]) -> Vec<[[f64; 2]; 3]> {
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let mut left = contour.to_vec();
    let mut out = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let ear = (0..n).find(|&i| {
            let (a, b, c) = (left[(i + n - 1) % n], left[i], left[(i + 1) % n]);
            turn(a, b, c) > 0.0
                && !left.iter().any(|p| {
                    ![a, b, c].contains(p)
                        && turn(a, b, *p) >= 0.0
                        && turn(b, c, *p) >= 0.0
                        && turn(c, a, *p) >= 0.0
                })
        });
        // A contour that touches itself has no clean ear left: go on with any corner.
        let i = ear.unwrap_or(0);
        if ear.is_some() {
            out.push([left[(i + n - 1) % n], left[i], left[(i + 1) % n]]);
        }
        left.remove(i);
    }
    if let [a, b, c] = left[..] {
        out.push([a, b, c]);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    // Volume by the divergence theorem: a closed body with all normals outward has its own.
    fn volume(m: &Mesh) -> f64 {
        let (triangles, rest) = m.places.as_chunks::<3>();
        assert!(rest.is_empty());
        triangles
            .iter()
            .map(|[a, b, c]| {
                let n = super::super::turn::cross(*b, *c);
                (a[0] * n[0] + a[1] * n[1] + a[2] * n[2]) / 6.0
            })
            .sum()
    }

    #[test]
    fn bodies_are_closed_and_turned_outward() {
        let mut cuboid = Mesh::default();
        cuboid.cuboid([-1.0, 2.0, 0.5], [1.0, 5.0, 2.5]);
        assert!((volume(&cuboid) - 12.0).abs() < 1e-12);
        // A cone's frustum of many sides: pi h (a^2 + a b + b^2)/3.
        let mut tube = Mesh::default();
        tube.tube((0.3, 0.2), (1.0, 4.0), 720);
        let exact = core::f64::consts::PI * 3.0 * (0.09 + 0.06 + 0.04) / 3.0;
        assert!((volume(&tube) / exact - 1.0).abs() < 1e-4);
        let mut wheel = Mesh::default();
        wheel.wheel([1.0, -0.5, 0.3], 0.3, 0.1);
        let sides = 24.0;
        let exact = 0.2 * 0.5 * sides * 0.09 * libm::sin(core::f64::consts::TAU / sides);
        assert!((volume(&wheel) - exact).abs() < 1e-12);
        // An L, given the wrong way round.
        let mut l = Mesh::default();
        l.extruded(
            &[
                [0.0, 0.0],
                [0.0, 2.0],
                [1.0, 2.0],
                [1.0, 1.0],
                [2.0, 1.0],
                [2.0, 0.0],
            ],
            0.5,
        );
        assert!((volume(&l) - 3.0).abs() < 1e-12);
    }
}
