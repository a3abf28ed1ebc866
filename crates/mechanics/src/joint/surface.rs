//! What the stick spring of a bolt can hold in the slip plane.

use nalgebra::Vector2;

/// What the spring in the slip plane can hold.
pub(super) enum Surface {
    /// Friction circle of this radius (cases a and b, and a locked bolt), N.
    Circle(f64),
    /// Sliding along the wall of the lower notch (direction, most, least) and of the upper notch.
    Walls([(Vector2<f64>, f64, f64); 2]),
}

impl Surface {
    /// Force of the spring (that of the upper plate on the joint) brought back to what can be held, and
    /// whether it was beyond. Every correction is a slide of the bolt in a notch, so it only dissipates.
    pub(super) fn hold(&self, trial: Vector2<f64>) -> (Vector2<f64>, bool) {
        match self {
            Self::Circle(most) => {
                let size = trial.norm();
                if size > *most {
                    (trial * (most / size), true)
                } else {
                    (trial, false)
                }
            }
            Self::Walls([lower, upper]) => {
                let beyond = |p: &Vector2<f64>, w: &(Vector2<f64>, f64, f64)| {
                    let q = p.dot(&w.0);
                    (q - w.1).max(0.0) + (q - w.2).min(0.0)
                };
                // Sliding along one wall unloads that wall only.
                for (one, other) in [(lower, upper), (upper, lower)] {
                    let slid = trial - one.0 * beyond(&trial, one);
                    if beyond(&slid, other).abs() <= 1e-9 * other.1 {
                        return (slid, slid != trial);
                    }
                }
                // Along both: the corner, p.e_L = q_L and p.e_U = q_U.
                let edge = |w: &(Vector2<f64>, f64, f64)| {
                    if trial.dot(&w.0) >= 0.0 { w.1 } else { w.2 }
                };
                (corner(lower, edge(lower), upper, edge(upper)), true)
            }
        }
    }
}

/// The force p with p.e_L = q_L and p.e_U = q_U.
fn corner(
    lower: &(Vector2<f64>, f64, f64),
    q_l: f64,
    upper: &(Vector2<f64>, f64, f64),
    q_u: f64,
) -> Vector2<f64> {
    let (a, b) = (&lower.0, &upper.0);
    let determinant = a.x * b.y - a.y * b.x;
    Vector2::new(
        (q_l * b.y - q_u * a.y) / determinant,
        (a.x * q_u - b.x * q_l) / determinant,
    )
}
