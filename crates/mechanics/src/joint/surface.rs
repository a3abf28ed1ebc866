//! What the stick spring of a bolt can hold in the slip plane.
//!
//! **One wall.** On a wall of the lower notch with the way out e_L and the normal m_L into the notch the massless bolt
//! carries the spring's force p when N_L = -p.m_L >= 0, and slides out at p.e_L = f_L + mu_w N_L, that is at
//! p.(e_L + mu_w m_L) = f_L, and inwards at p.(-e_L + mu_w m_L) = f_L. On a wall of the upper notch it is the same with
//! e_U the direction of p that drives it out and N_U = p.m_U. A bolt that slides along one wall is therefore rubbed by
//! what presses on that wall alone. The slide along e leaves p.m as it is, so the force comes back along e onto
//! |p.e| = f + mu_w N.
//!
//! **Both walls.** The corner of the two edges: the squeezed force of [`crate::joint`].
//!
//! The bolt's shear cuts the surface off by a circle.

use nalgebra::Vector2;

/// What the spring in the slip plane can hold.
pub(super) enum Surface {
    /// Friction circle, the square of its radius (cases a and b, and a locked bolt), N^2.
    Circle(f64),
    /// Sliding along the wall of the lower notch, of the upper notch, or of both, as far as the bolt's shear allows: its
    /// square, N^2.
    Walls {
        walls: [Wall; 2],
        shear_squared: f64,
    },
}

/// One wall that the bolt can slide along.
pub(super) struct Wall {
    /// Direction of the spring's force that drives the bolt out along it (unit).
    pub along: Vector2<f64>,
    /// Direction of the spring's force that presses the bolt on it (unit, square to `along`).
    pub press: Vector2<f64>,
    /// Resistance of the washers and of what was found along it f, N.
    pub limit: f64,
    /// Friction on it mu_w.
    pub friction: f64,
}

impl Wall {
    /// How far the force `p` along the wall is beyond f + mu_w N, with its sign; 0 where the bolt sticks.
    fn beyond(&self, p: &Vector2<f64>) -> f64 {
        let q = p.dot(&self.along);
        let most = self.limit + self.friction * p.dot(&self.press).max(0.0);
        (q - most).max(0.0) + (q + most).min(0.0)
    }

    /// The force that is left when the bolt slides along this wall only.
    fn slide(&self, p: &Vector2<f64>) -> Vector2<f64> {
        p - self.along * self.beyond(p)
    }

    /// Normal g of the edge p.g = f on the side `sense` of the wall, pressed or lifted off.
    fn edge(&self, sense: f64, pressed: bool) -> Vector2<f64> {
        let outward = self.along * sense;
        if pressed {
            outward - self.press * self.friction
        } else {
            outward
        }
    }
}

impl Surface {
    /// Force of the spring (that of the upper plate on the joint) brought back to what can be held, and
    /// whether it was beyond. Every correction is a slide of the bolt in a notch, so it only dissipates.
    #[inline(always)]
    pub(super) fn hold(&self, trial: Vector2<f64>) -> (Vector2<f64>, bool) {
        match self {
            Self::Circle(most) => within(trial, *most, false),
            Self::Walls {
                walls,
                shear_squared,
            } => {
                let held = between(walls, &trial);
                within(held, *shear_squared, held != trial)
            }
        }
    }
}

/// The force `p` cut off at a size by its square, and whether it `slid` before or was cut.
#[inline]
fn within(p: Vector2<f64>, most_squared: f64, slid: bool) -> (Vector2<f64>, bool) {
    let squared = p.norm_squared();
    if squared > most_squared {
        (p * (most_squared / squared).sqrt(), true)
    } else {
        (p, slid)
    }
}

/// The force `trial` brought back between the edges of the two walls.
fn between(walls: &[Wall; 2], trial: &Vector2<f64>) -> Vector2<f64> {
    let [lower, upper] = walls;
    // Sliding along one wall unloads that wall only.
    let mut over = [0.0; 2];
    for (i, (one, other)) in [(lower, upper), (upper, lower)].into_iter().enumerate() {
        let slid = one.slide(trial);
        over[1 - i] = other.beyond(&slid);
        if over[1 - i].abs() <= 1e-9 * other.limit {
            return slid;
        }
    }
    // Along both, each in the sense in which the slide along the other leaves it beyond: the corner p.g_L = f_L and
    // p.g_U = f_U. A wall that the corner does not press does not rub.
    let mut pressed = [true; 2];
    loop {
        let a = lower.edge(over[0].signum(), pressed[0]);
        let b = upper.edge(over[1].signum(), pressed[1]);
        let determinant = a.x * b.y - a.y * b.x;
        let p = Vector2::new(
            (lower.limit * b.y - upper.limit * a.y) / determinant,
            (a.x * upper.limit - b.x * lower.limit) / determinant,
        );
        let presses = [p.dot(&lower.press) >= 0.0, p.dot(&upper.press) >= 0.0];
        let still = [pressed[0] && presses[0], pressed[1] && presses[1]];
        if still == pressed {
            return p;
        }
        pressed = still;
    }
}
