//! Vectors and turns, quaternions as x, y, z, w.

/// Between two points.
pub(super) fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3)
        .map(|i| (b[i] - a[i]) * (b[i] - a[i]))
        .sum::<f64>()
        .sqrt()
}

/// Quaternions x, y, z, w that turn `axis` into the direction of each step; each follows the one before by the shortest
/// way, so that nothing spins about its own axis.
pub(super) fn turns(axis: [f64; 3], steps: &[([f64; 3], [f64; 3])]) -> Vec<[f64; 4]> {
    let mut now = axis;
    let mut turn = [0.0, 0.0, 0.0, 1.0];
    steps
        .iter()
        .map(|(a, b)| {
            let length = distance(*a, *b);
            if length > 1e-9 {
                let to = [0, 1, 2].map(|i| (b[i] - a[i]) / length);
                turn = product(between(now, to), turn);
                now = to;
            }
            turn
        })
        .collect()
}

// Shortest rotation from one unit vector to another: (a x b, 1 + a.b), normalised.
fn between(a: [f64; 3], b: [f64; 3]) -> [f64; 4] {
    let dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    if dot < -1.0 + 1e-9 {
        // Turned right round: about any axis square to it.
        let side = if a[0].abs() < 0.9 {
            [1.0, 0.0, 0.0]
        } else {
            [0.0, 1.0, 0.0]
        };
        let c = cross(a, side);
        let n = (c[0] * c[0] + c[1] * c[1] + c[2] * c[2]).sqrt();
        return [c[0] / n, c[1] / n, c[2] / n, 0.0];
    }
    let c = cross(a, b);
    let w = 1.0 + dot;
    let n = (c[0] * c[0] + c[1] * c[1] + c[2] * c[2] + w * w).sqrt();
    [c[0] / n, c[1] / n, c[2] / n, w / n]
}

/// a x b.
pub(super) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

// Of two quaternions x, y, z, w: q after p, of unit length.
fn product(q: [f64; 4], p: [f64; 4]) -> [f64; 4] {
    let c = cross([q[0], q[1], q[2]], [p[0], p[1], p[2]]);
    let v = [0, 1, 2].map(|i| q[3] * p[i] + p[3] * q[i] + c[i]);
    let w = q[3] * p[3] - q[0] * p[0] - q[1] * p[1] - q[2] * p[2];
    let n = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2] + w * w).sqrt();
    [v[0] / n, v[1] / n, v[2] / n, w / n]
}
