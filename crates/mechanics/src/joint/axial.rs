//! The joint diagram of one bolt, with plates that bend.
//!
//! U is the opening of the two plates where the foot and the ground hold them, at the bolt. In series with the clamped joint
//! lie the two plates, bending between the pole's wall (or the anchorage) and the bolt, with the stiffness k_p together:
//!
//! ```text
//! U = u + X/k_p + e_plate        u  opening of the joint itself,  X = T - N  what the plates bring to it
//! T = F_p + k_b' (u - e_p)       bolt tension, T >= 0, no more than its yield load
//! N = F_p - k_c' u               force of the round washers, N >= 0
//! |X| <= X_p                     the plates' plastic limit, up, and down until they touch (e_plate = -gap between them)
//! ```
//!
//! Load introduction: the plates bring their force in between their faces, not under head and nut. Of the stack's compliance
//! the part n is relieved by it and the part 1 - n is pulled along with the bolt:
//!   1/k_b' = 1/k_b + (1 - n)/k_c,   k_c' = k_c/n,
//! so that the bolt sees n k_b/(k_b + k_c) of a force that does not open the joint (joint diagram of bolted-joint practice).
//! The law is piecewise linear; every piece is solved in closed form.
//!
//! # References
//! - VDI 2230-1:2003, joint diagram with the load introduction factor n (recalled).

/// Axial stiffness and strength of one bolt with its stack and its part of the plates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxialLaw {
    /// Stiffness of the bolt with its part of the stack k_b', N/m.
    pub bolt: f64,
    /// Stiffness of the relieved stack k_c', N/m.
    pub stack: f64,
    /// Compliance of both plates between wall and bolt 1/k_p, m/N; 0 for plates that do not bend.
    pub plates: f64,
    /// Preload F_p, N.
    pub preload: f64,
    /// Tension at yield, N.
    pub yield_load: f64,
    /// Force at which the plates bend for good X_p, N.
    pub plate_yield: f64,
    /// Distance between the plates, by which they can bend towards each other, m.
    pub gap: f64,
}

/// What an opening asks of the joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// Bolt tension T, N.
    pub tension: f64,
    /// Force of the round washers N, N.
    pub washer: f64,
    /// Stretch that the bolt gains for good, m.
    pub stretch: f64,
    /// Opening that the plates gain for good, m.
    pub bent: f64,
}

impl Pull {
    /// Force on the upper plate, upward, N.
    #[inline]
    pub fn lift(&self) -> f64 {
        self.washer - self.tension
    }
}

impl AxialLaw {
    /// From k_b, k_c and the load introduction factor n (above 0, at most 1).
    pub fn new(
        k_b: f64,
        k_c: f64,
        introduction: f64,
        plates: f64,
        preload: f64,
        yield_load: f64,
        [plate_yield, gap]: [f64; 2],
    ) -> Self {
        Self {
            bolt: 1.0 / (1.0 / k_b + (1.0 - introduction) / k_c),
            stack: k_c / introduction,
            plates,
            preload,
            yield_load,
            plate_yield,
            gap,
        }
    }

    /// Stiffness of the clamped joint with its plates, N/m: the largest.
    #[inline]
    pub fn stiffness(&self) -> f64 {
        1.0 / (1.0 / (self.bolt + self.stack) + self.plates)
    }

    /// Stiffness of plates that only bear on each other, N/m.
    #[inline]
    pub fn bearing(&self) -> f64 {
        1.0 / (1.0 / self.stack + self.plates)
    }

    /// External tension at which the washer gaps, N.
    pub fn gapping(&self) -> f64 {
        self.preload * (1.0 + self.bolt / self.stack)
    }

    /// Forces at the opening `opening`, with the bolt stretched by `stretched` and the plates bent by `bent` already.
    #[inline]
    pub fn pull(&self, opening: f64, stretched: f64, bent: f64) -> Pull {
        let opened = opening - bent;
        let (kb, kc, c, f) = (self.bolt, self.stack, self.plates, self.preload);
        // Clamped: X = k_b' (u - e) + k_c' u.
        let u = (opened + c * kb * stretched) / (1.0 + c * (kb + kc));
        let (tension, washer) = (f + kb * (u - stretched), f - kc * u);
        let x = tension - washer;
        let elastic = tension >= 0.0
            && washer >= 0.0
            && tension <= self.yield_load
            && x <= self.plate_yield
            && x >= -self.plate_yield;
        if elastic {
            return Pull {
                tension,
                washer,
                stretch: 0.0,
                bent: 0.0,
            };
        }
        self.beyond(opened, stretched, bent)
    }

    /// Opening of the joint itself where the plates do not yield.
    fn elastic(&self, opened: f64, stretched: f64) -> f64 {
        let (kb, kc, c, f, y) = (
            self.bolt,
            self.stack,
            self.plates,
            self.preload,
            self.yield_load,
        );
        let tension = |u: f64| (f + kb * (u - stretched)).clamp(0.0, y);
        let washer = |u: f64| (f - kc * u).max(0.0);
        let slack = stretched - f / kb;
        let yields = stretched + (y - f) / kb;
        let gaps = f / kc;
        // U rises with u: which piece holds U?
        let at = |u: f64| u + c * (tension(u) - washer(u));
        if opened <= at(slack) {
            // T = 0, X = -N
            let u = (opened + c * f) / (1.0 + c * kc);
            if u <= gaps { u } else { opened }
        } else if opened >= at(yields) {
            // T = Y
            let u = opened - c * y;
            if u >= gaps {
                u
            } else {
                (opened - c * (y - f)) / (1.0 + c * kc)
            }
        } else {
            // X = F_p + k_b' (u - e), the washer gaps
            let u = (opened - c * f + c * kb * stretched) / (1.0 + c * kb);
            if u >= gaps {
                u
            } else {
                (opened + c * kb * stretched) / (1.0 + c * (kb + kc))
            }
        }
    }

    /// The same as [`AxialLaw::pull`] where the washer gaps, the bolt is slack, or something yields.
    fn beyond(&self, opened: f64, stretched: f64, kept: f64) -> Pull {
        let (kb, kc, c, f) = (self.bolt, self.stack, self.plates, self.preload);
        let tension = |u: f64| (f + kb * (u - stretched)).clamp(0.0, self.yield_load);
        let washer = |u: f64| (f - kc * u).max(0.0);
        let slack = stretched - f / kb;
        let yields = stretched + (self.yield_load - f) / kb;
        let mut u = self.elastic(opened, stretched);
        let mut bent = 0.0;
        let x = tension(u) - washer(u);
        if x > self.plate_yield {
            let most = self.plate_yield;
            u = (most + kb * stretched) / (kb + kc);
            if u > f / kc {
                u = stretched + (most - f) / kb;
            } else if u < slack {
                u = (most + f) / kc;
            }
            bent = opened - u - c * most;
        } else if x < -self.plate_yield {
            let most = -self.plate_yield;
            u = (most + kb * stretched) / (kb + kc);
            if u < slack {
                u = (most + f) / kc;
            }
            bent = opened - u - c * most;
            // Bent onto each other the plates carry the rest.
            let room = (self.gap + kept).max(0.0);
            if bent < -room {
                bent = -room;
                u = self.elastic(opened + room, stretched);
            }
        }
        Pull {
            tension: tension(u),
            washer: washer(u),
            stretch: (u - yields).max(0.0),
            bent,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law() -> AxialLaw {
        AxialLaw::new(0.7e9, 4.2e9, 0.5, 1.0 / 1e8, 40e3, 300e3, [90e3, 5e-3])
    }

    /// T and N by bisection on u, from the written law alone.
    fn by_bisection(l: &AxialLaw, opened: f64) -> (f64, f64) {
        let t = |u: f64| (l.preload + l.bolt * u).clamp(0.0, l.yield_load);
        let n = |u: f64| (l.preload - l.stack * u).max(0.0);
        let x = |u: f64| (t(u) - n(u)).clamp(-l.plate_yield, l.plate_yield);
        let (mut low, mut high) = (-0.1, 0.1);
        for _ in 0..200 {
            let u = 0.5 * (low + high);
            if u + l.plates * x(u) < opened {
                low = u;
            } else {
                high = u;
            }
        }
        (t(low), n(low))
    }

    #[test]
    fn every_piece_agrees_with_bisection() {
        for plate_yield in [90e3, 1e9] {
            for yield_load in [300e3, 60e3] {
                let l = AxialLaw {
                    plate_yield,
                    yield_load,
                    ..law()
                };
                for i in -40..=40 {
                    let opened = f64::from(i) * 5e-5;
                    let p = l.pull(opened, 0.0, 0.0);
                    let (t, n) = by_bisection(&l, opened);
                    // Where the plates bend for good the bisection's u runs away: X is what counts.
                    if p.bent == 0.0 {
                        assert!((p.tension - t).abs() < 1.0, "{opened}: {p:?} {t} {n}");
                        assert!((p.washer - n).abs() < 1.0, "{opened}: {p:?} {t} {n}");
                    } else {
                        assert!((p.lift().abs() - plate_yield).abs() < 1e-6);
                    }
                }
            }
        }
    }

    #[test]
    fn small_pulls_follow_the_joint_diagram_with_load_introduction() {
        // VDI 2230: F_SA = n Phi F_A with Phi = k_b/(k_b + k_c), here 0.5 * 0.7/4.9 = 1/14.
        let l = law();
        let p = l.pull(1e-4, 0.0, 0.0);
        let external = p.tension - p.washer;
        assert!(((p.tension - 40e3) / external - 1.0 / 14.0).abs() < 1e-12);
        // The joint gaps at F/(1 - n Phi).
        assert!((l.gapping() - 40e3 / (1.0 - 1.0 / 14.0)).abs() < 1e-6);
        // A rigid plate: X = (k_b' + k_c') u.
        let rigid = AxialLaw { plates: 0.0, ..l };
        let p = rigid.pull(1e-6, 0.0, 0.0);
        assert!(((p.tension - p.washer) / ((l.bolt + l.stack) * 1e-6) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_yields_keeps_its_set() {
        let l = AxialLaw {
            yield_load: 80e3,
            plate_yield: 1e9,
            ..law()
        };
        let first = l.pull(3e-3, 0.0, 0.0);
        assert!((first.tension - 80e3).abs() < 1e-6 && first.stretch > 0.0);
        // Again at the same opening: at yield, nothing more.
        let again = l.pull(3e-3, first.stretch, 0.0);
        assert!((again.tension - 80e3).abs() < 1e-3 && again.stretch < 1e-12);
        // Closed again the bolt is slack.
        let closed = l.pull(0.0, first.stretch, 0.0);
        assert_eq!(closed.tension, 0.0);
        // Plates first.
        let l = AxialLaw {
            plate_yield: 60e3,
            ..law()
        };
        let bent = l.pull(2e-3, 0.0, 0.0);
        assert!((bent.tension - bent.washer - 60e3).abs() < 1e-6 && bent.bent > 0.0);
        let back = l.pull(2e-3, 0.0, bent.bent);
        assert!((back.tension - 60e3).abs() < 1e-3 && back.bent.abs() < 1e-12);
        // Pressed together they bend as far as the gap between them, and carry the rest as they are.
        let pressed = l.pull(-10e-3, 0.0, 0.0);
        assert!((pressed.bent + 5e-3).abs() < 1e-12 && pressed.lift() > 200e3);
        let more = l.pull(-11e-3, 0.0, pressed.bent);
        assert!(more.bent == 0.0);
        // The bolt is slack: 1 mm more of the bearing stiffness, less what it still loses.
        let rise = more.lift() - pressed.lift();
        assert!((rise / (1e-3 * l.bearing()) - 1.0).abs() < 0.2, "{rise}");
    }
}
