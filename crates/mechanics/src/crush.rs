//! Crush of one band of the struck face in series with the dent of the tube wall under it.
//!
//! Same force, penetrations add. Crush follows its polyline, unloads and reloads on a line of slope k_u,
//! and keeps its permanent part. The dent follows P = 15 m_p sqrt(D/t) sqrt(2X/D) = a sqrt(X) and never
//! recovers (Furnes and Amdahl 1980, recalled; coefficient in [`crate::strength`]). It ends at half the
//! tube's diameter, where the law's range ends and the flattened walls begin to meet (assumed): from
//! there on the tube is solid.

/// Dent law of the tube under a band: P = a sqrt(X) up to the largest dent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DentLaw {
    /// Coefficient a, N/sqrt(m); infinite for a wall that does not dent.
    pub coefficient: f64,
    /// Largest dent, m.
    pub most_m: f64,
}

impl DentLaw {
    /// A wall that does not dent.
    pub const SOLID: Self = Self {
        coefficient: f64::INFINITY,
        most_m: 0.0,
    };
}

/// Force-crush law of a band.
#[derive(Debug, Clone, PartialEq)]
pub struct CrushLaw {
    points: Vec<(f64, f64)>,
    /// Slope of the segment that starts at each point but the last.
    slopes: Vec<f64>,
    unloading: f64,
}

/// State of a band's crush and of the dent under it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CrushState {
    /// Largest crush so far, m.
    pub largest_m: f64,
    /// Force at that crush, N.
    pub largest_force_n: f64,
    /// Present crush, m (0 when the face has left the pole).
    pub crush_m: f64,
    /// Dent, m.
    pub dent_m: f64,
    /// Present force, N.
    pub force_n: f64,
}

impl CrushLaw {
    /// Polyline of (crush m, force N) from (0, 0) with rising crush; `unloading` is k_u, N/m. Beyond the
    /// last point the last slope goes on where it rises, otherwise the last force stays.
    pub fn new(points: &[(f64, f64)], unloading: f64) -> Self {
        Self {
            points: points.to_vec(),
            slopes: points
                .windows(2)
                .map(|w| (w[1].1 - w[0].1) / (w[1].0 - w[0].0))
                .collect(),
            unloading,
        }
    }

    /// Force on the virgin curve at `crush`, N.
    #[inline]
    pub fn virgin(&self, crush: f64) -> f64 {
        let (start, slope) = self.segment(crush);
        start.1 + slope * (crush - start.0)
    }

    /// Start point and slope of the segment that holds `crush`.
    #[inline]
    fn segment(&self, crush: f64) -> ((f64, f64), f64) {
        let p = &self.points;
        let last = p.len() - 1;
        let passed = p[1..last].iter().take_while(|q| q.0 <= crush);
        let i = passed.count();
        let slope = self.slopes[i];
        if crush > p[last].0 && slope < 0.0 {
            (p[last], 0.0)
        } else {
            (p[i], slope)
        }
    }

    /// Permanent part of the crush in `state`, m.
    pub fn permanent(&self, state: &CrushState) -> f64 {
        (state.largest_m - state.largest_force_n / self.unloading).max(0.0)
    }

    /// Moves to the penetration `pen`, m, against a wall with the law `dent`. Returns the force, N, and
    /// updates the state.
    pub fn advance(&self, state: &mut CrushState, pen: f64, dent: &DentLaw) -> f64 {
        let upper = pen - state.dent_m;
        let start = state.largest_m - state.largest_force_n / self.unloading;
        if upper <= start {
            state.crush_m = upper.max(0.0).min(start.max(0.0));
            state.force_n = 0.0;
            return 0.0;
        }
        // Everything by crush, nothing by new dent:
        let force = self.force_at(state, upper);
        if state.dent_m >= dent.most_m {
            self.settle(state, upper, force);
            return force;
        }
        let held = dent.coefficient * state.dent_m.sqrt();
        if force <= held {
            self.settle(state, upper, force);
            return force;
        }
        // New dent: find the crush c <= upper with F(c) = a sqrt(pen - c), walking down the curve.
        let mut c_hi = upper;
        loop {
            let (from, slope) = if c_hi > state.largest_m {
                let (p, s) = self.segment_below(c_hi);
                if p.0 < state.largest_m {
                    ((state.largest_m, self.virgin(state.largest_m)), s)
                } else {
                    (p, s)
                }
            } else {
                ((start, 0.0), self.unloading)
            };
            if let Some(c) = meet(from, slope, pen, dent.coefficient, c_hi) {
                // A flattened tube takes no more.
                let c = c.max(pen - dent.most_m);
                let f = self.force_at(state, c);
                state.dent_m = state.dent_m.max(pen - c);
                self.settle(state, c, f);
                return f;
            }
            if c_hi <= state.largest_m {
                // Only by rounding at the very start of the contact.
                self.settle(state, upper, held);
                return held;
            }
            c_hi = from.0;
        }
    }

    /// The segment just below `crush`.
    fn segment_below(&self, crush: f64) -> ((f64, f64), f64) {
        let p = &self.points;
        let last = p.len() - 1;
        if crush > p[last].0 {
            return self.segment(crush);
        }
        let mut i = last - 1;
        while i > 0 && p[i].0 >= crush {
            i -= 1;
        }
        (p[i], self.slopes[i])
    }

    #[inline]
    fn force_at(&self, state: &CrushState, crush: f64) -> f64 {
        if crush >= state.largest_m {
            self.virgin(crush).max(0.0)
        } else {
            (state.largest_force_n - self.unloading * (state.largest_m - crush)).max(0.0)
        }
    }

    #[inline]
    fn settle(&self, state: &mut CrushState, crush: f64, force: f64) {
        state.crush_m = crush;
        state.force_n = force;
        if crush >= state.largest_m {
            state.largest_m = crush;
            state.largest_force_n = force;
        }
    }
}

/// The largest c in [from.0, c_hi] with from.1 + slope (c - from.0) = a sqrt(pen - c).
fn meet(from: (f64, f64), slope: f64, pen: f64, a: f64, c_hi: f64) -> Option<f64> {
    // With x = sqrt(pen - c): slope x^2 + a x - (from.1 + slope (pen - from.0)) = 0.
    let top = from.1 + slope * (pen - from.0);
    let x = if slope == 0.0 {
        top / a
    } else {
        let disc = a * a + 4.0 * slope * top;
        if disc < 0.0 {
            return None;
        }
        // The root that stays bounded for slope -> 0.
        2.0 * top / (a + disc.sqrt())
    };
    let c = pen - x * x;
    (x >= 0.0 && c >= from.0 && c <= c_hi).then_some(c)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law() -> CrushLaw {
        CrushLaw::new(&[(0.0, 0.0), (0.1, 30e3), (0.5, 190e3)], 4e6)
    }

    #[test]
    fn loads_unloads_and_reloads_on_its_lines() {
        let (l, mut s) = (law(), CrushState::default());
        let f = l.advance(&mut s, 0.2, &DentLaw::SOLID);
        assert!((f - 70e3).abs() < 1e-6);
        assert!((l.permanent(&s) - (0.2 - 70e3 / 4e6)).abs() < 1e-12);
        assert!((l.advance(&mut s, 0.195, &DentLaw::SOLID) - 50e3).abs() < 1e-6);
        assert_eq!(l.advance(&mut s, 0.1, &DentLaw::SOLID), 0.0);
        assert!((l.advance(&mut s, 0.195, &DentLaw::SOLID) - 50e3).abs() < 1e-6);
        assert!((l.advance(&mut s, 0.3, &DentLaw::SOLID) - 110e3).abs() < 1e-6);
    }

    #[test]
    fn dent_and_crush_carry_the_same_force() {
        let (l, mut s) = (law(), CrushState::default());
        let a = 4e5;
        let wall = DentLaw {
            coefficient: a,
            most_m: 1.0,
        };
        for i in 1..=400 {
            let pen = f64::from(i) * 1e-3;
            let f = l.advance(&mut s, pen, &wall);
            assert!((s.crush_m + s.dent_m - pen).abs() < 1e-12);
            assert!((f - l.virgin(s.crush_m)).abs() < 1e-6);
            assert!((f - a * s.dent_m.sqrt()).abs() < 1e-6);
        }
        let dent = s.dent_m;
        let f = l.advance(&mut s, 0.39, &wall);
        assert!(f < s.largest_force_n && s.dent_m == dent);
    }

    #[test]
    fn falling_curves_are_followed() {
        let l = CrushLaw::new(
            &[
                (0.0, 0.0),
                (0.01, 25e3),
                (0.076, 25e3),
                (0.08, 2e3),
                (0.13, 2e3),
                (0.14, 65e3),
            ],
            1e7,
        );
        let mut s = CrushState::default();
        let mut last = 0.0;
        for i in 0..=140 {
            last = l.advance(
                &mut s,
                f64::from(i) * 1e-3,
                &DentLaw {
                    coefficient: 5e5,
                    most_m: 1.0,
                },
            );
            assert!(last.is_finite() && last >= 0.0);
        }
        assert!((last - l.virgin(s.crush_m)).abs() < 1e-6);
        assert!(s.dent_m > 0.0);
    }

    #[test]
    fn a_flattened_tube_is_solid() {
        let (l, mut s) = (law(), CrushState::default());
        let wall = DentLaw {
            coefficient: 2e5,
            most_m: 0.05,
        };
        let mut last = 0.0;
        for i in 1..=500 {
            let f = l.advance(&mut s, f64::from(i) * 1e-3, &wall);
            assert!(f >= last && f - last < 1e3, "jump at {i} mm: {last} to {f}");
            assert!(s.dent_m <= 0.05 + 1e-12);
            last = f;
        }
        // All further penetration is crush.
        assert!((s.crush_m - 0.45).abs() < 1e-12 && (last - l.virgin(0.45)).abs() < 1e-6);
    }
}
