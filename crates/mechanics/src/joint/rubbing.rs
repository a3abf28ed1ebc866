//! Friction that falls with the sliding speed.
//!
//! What holds a pole in the wind is the friction of surfaces that stick; what rubs when a vehicle drives the plates apart at
//! metres a second is less. Each interface has two coefficients, at rest and sliding, and
//!   mu(v) = mu_d + (mu_s - mu_d) / (1 + (v/v_t)^2)
//! leads from one to the other, with the transition speed v_t, common to all. At v = v_t half of the difference is left.
//! Friction follows a change of speed with a lag, its memory: v is the sliding speed behind a lag of [`MEMORY_S`].
//!
//! # References
//! - D. P. Hess, A. Soom, Friction at a lubricated line contact operating at oscillating sliding velocities, J. Tribology
//!   112 (1990) 147: this form, and a lag of milliseconds (recalled).
//! - B. Armstrong-Helouvry, P. Dupont, C. Canudas de Wit, A survey of models ... for the control of machines with friction,
//!   Automatica 30 (1994) 1083: it stands there beside the exponential form (recalled).

/// Lag of friction behind the sliding speed, s: the lower end of what was measured, 0.5 to some ms (recalled).
pub const MEMORY_S: f64 = 5e-4;

/// Friction coefficient of one interface.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Friction {
    /// Static: of surfaces that stick, mu_s.
    pub at_rest: f64,
    /// Sliding fast, mu_d.
    pub sliding: f64,
}

impl Friction {
    /// The same at every speed.
    pub const fn even(mu: f64) -> Self {
        Self {
            at_rest: mu,
            sliding: mu,
        }
    }

    /// Its value where the share `at_rest` of the difference is left.
    #[inline]
    pub fn at(&self, at_rest: f64) -> f64 {
        self.sliding + (self.at_rest - self.sliding) * at_rest
    }
}

/// Friction of the interfaces of one bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionLaw {
    /// Under head and nut mu_o.
    pub outer: Friction,
    /// Between plates, round washer and keeper mu_i.
    pub inner: Friction,
    /// Of the bolt on the notch wall mu_w.
    pub wall: Friction,
    /// Transition speed v_t, m/s.
    pub transition: f64,
}

/// The coefficients at one speed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rub {
    pub outer: f64,
    pub inner: f64,
    pub wall: f64,
}

impl FrictionLaw {
    /// How much of a change of speed friction follows in a step of `1/inverse_dt`; 0 for a push without time. The
    /// law reads the speed of the step before, which is part of the lag.
    #[inline]
    pub(super) fn follows(&self, inverse_dt: f64) -> f64 {
        if inverse_dt > 0.0 {
            (1.0 / (inverse_dt * MEMORY_S)).min(1.0)
        } else {
            0.0
        }
    }

    /// Share of the difference between static and sliding friction that is left at the sliding speed `v`, m/s.
    #[inline]
    pub fn share_at_rest(&self, v: f64) -> f64 {
        let ratio = v / self.transition;
        1.0 / (1.0 + ratio * ratio)
    }

    /// The coefficients at that share.
    #[inline]
    pub(super) fn at(&self, share: f64) -> Rub {
        Rub {
            outer: self.outer.at(share),
            inner: self.inner.at(share),
            wall: self.wall.at(share),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn falls_from_static_to_sliding_friction() {
        let mu = Friction {
            at_rest: 0.18,
            sliding: 0.12,
        };
        let law = FrictionLaw {
            outer: mu,
            inner: mu,
            wall: mu,
            transition: 0.1,
        };
        let at = |v: f64| law.at(law.share_at_rest(v)).inner;
        // 0.12 + 0.06/(1 + (v/0.1)^2) by hand
        for (v, hand) in [(0.0, 0.18), (0.1, 0.15), (0.2, 0.132), (0.7, 0.1212)] {
            assert!((at(v) - hand).abs() < 1e-12, "{v}: {}", at(v));
        }
    }
}
