//! What holds a bolt besides its clamp and its keeper: the findings on site as force laws.
//!
//! Each law gives a resistance along the bolt's path on one plate. It is added to the friction of that plate,
//! so that wedging multiplies it like any other resistance, and the energy that it takes is booked to it.
//!
//! - Grout round the head: min(P_b, k (c - l)^1.5) along the path l on the lower plate; P_b bearing (crushing) of
//!   the grout, k (c - l)^1.5 breakout towards the free edge, of which c - l is left (none under a plate that keeps the
//!   grout down); with grout in the mouth of the notch also the bearing of the shank, once its gap is closed.
//! - Lump in a notch: tau w (a - l), its area left to shear, on its plate.
//! - Notches that do not match: the forced bolt presses on a wall, mu_w P_w on both plates.
//! - Dished plate washer: T tan(theta) on both plates.
//! - Plates that touch: their friction instead of the round washers', not fading at the notch mouth.
//! - Rust: what the friction is above the design's.

use super::rubbing::Friction;

/// Grout round a bolt head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroutLaw {
    /// Bearing resistance, N.
    pub bearing_n: f64,
    /// Breakout resistance over the 1.5th power of the cover, N/m^1.5.
    pub breakout_npm15: f64,
    /// Cover towards the free edge, m.
    pub cover_m: f64,
    /// Bearing of the shank in the mouth of the lower notch, N.
    pub shank_n: f64,
    /// Way before the shank meets that grout, m.
    pub shank_gap_m: f64,
}

/// Way over which grout that the shank meets comes to bear fully, m (assumed).
const SEATING_M: f64 = 1e-3;

impl GroutLaw {
    /// Resistance after the path `l`, N.
    pub fn force(&self, l: f64) -> f64 {
        let left = (self.cover_m - l).max(0.0);
        let breakout = if self.breakout_npm15.is_finite() {
            self.breakout_npm15 * left * left.sqrt()
        } else {
            f64::INFINITY
        };
        let shank = if self.shank_gap_m == 0.0 {
            self.shank_n
        } else {
            self.shank_n * ((l - self.shank_gap_m) / SEATING_M).clamp(0.0, 1.0)
        };
        self.bearing_n.min(breakout) + shank
    }
}

/// A lump that must be sheared off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LumpLaw {
    /// Shear strength times width, N/m.
    pub strength_npm: f64,
    /// Length along the path, m.
    pub length_m: f64,
}

impl LumpLaw {
    /// Resistance after the path `l`, N.
    pub fn force(&self, l: f64) -> f64 {
        self.strength_npm * (self.length_m - l).max(0.0)
    }
}

/// The findings at one bolt; zero means nothing found.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoltFaults {
    /// Grout round the head.
    pub grout: Option<GroutLaw>,
    /// Lump in the lower notch.
    pub lump_lower: Option<LumpLaw>,
    /// Lump in the upper notch.
    pub lump_upper: Option<LumpLaw>,
    /// Friction of a bolt that is forced against a notch wall, N.
    pub wall_friction_n: f64,
    /// Slope tan(theta) of dished plate washers.
    pub dish_slope: f64,
    /// The plates touch: friction of plate on plate, and of the round washers that it replaces.
    pub plate_friction: Option<[Friction; 2]>,
    /// Part of the outer and of the inner friction coefficient that rust has added.
    pub rust: [Friction; 2],
}

/// Energies that the findings at one bolt have taken, J.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FaultEnergy {
    /// Crushing and breaking grout.
    pub grout: f64,
    /// Shearing lumps.
    pub lump: f64,
    /// Friction of a forced bolt.
    pub wall: f64,
    /// Climbing dished washers.
    pub dish: f64,
    /// Plates rubbing on each other instead of on washers.
    pub plates: f64,
    /// Friction added by rust.
    pub rust: f64,
}

impl FaultEnergy {
    /// All of it, J.
    pub fn total(&self) -> f64 {
        self.grout + self.lump + self.wall + self.dish + self.plates + self.rust
    }

    pub(super) fn add(&mut self, shares: &Shares, lower: f64, upper: f64, factor: f64) {
        let part = |s: &[f64; 2]| (s[0] * lower + s[1] * upper) * factor;
        self.grout += part(&shares.grout);
        self.lump += part(&shares.lump);
        self.wall += part(&shares.wall);
        self.dish += part(&shares.dish);
        self.plates += part(&shares.plates);
        self.rust += part(&shares.rust);
    }
}

/// Shares of the findings in the resistance against the lower and the upper plate, N.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Shares {
    pub grout: [f64; 2],
    pub lump: [f64; 2],
    pub wall: [f64; 2],
    pub dish: [f64; 2],
    pub plates: [f64; 2],
    pub rust: [f64; 2],
}

impl Shares {
    /// All of them against one plate (0 lower, 1 upper), N.
    #[inline]
    pub fn sum(&self, plate: usize) -> f64 {
        self.grout[plate]
            + self.lump[plate]
            + self.wall[plate]
            + self.dish[plate]
            + self.plates[plate]
            + self.rust[plate]
    }

    /// Work along the increments of the two paths, J.
    pub fn work(&self, lower: f64, upper: f64) -> f64 {
        self.sum(0) * lower + self.sum(1) * upper
    }
}

impl BoltFaults {
    /// Shares for the tension `t`, the washer force `n`, the share of friction that is still static, the path and the
    /// fade against each plate.
    #[inline]
    pub(super) fn shares(
        &self,
        t: f64,
        n: f64,
        at_rest: f64,
        path: [f64; 2],
        fade: [f64; 2],
    ) -> Shares {
        let rust = self.rust.map(|mu| mu.at(at_rest));
        let lump = |law: &Option<LumpLaw>, l: f64| law.map_or(0.0, |law| law.force(l));
        let both = |f: f64| [f * fade[0], f * fade[1]];
        Shares {
            grout: [self.grout.map_or(0.0, |g| g.force(path[0])), 0.0],
            lump: [
                lump(&self.lump_lower, path[0]),
                lump(&self.lump_upper, path[1]),
            ],
            wall: [self.wall_friction_n; 2],
            dish: both(self.dish_slope * t),
            plates: self.plate_friction.map_or([0.0; 2], |found| {
                let [plate, washer] = found.map(|mu| mu.at(at_rest));
                fade.map(|f| (plate - washer * f).max(0.0) * n)
            }),
            rust: both(rust[0] * t + rust[1] * n),
        }
    }
}
