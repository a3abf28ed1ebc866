//! A vehicle struck on its side as two masses: the struck part of the body, and the rest behind a coupling that yields.
//!
//! A pole stops the sill, the door and the floor behind them long before it has stopped the vehicle; the ends of the body go
//! on and bend it round the pole. The struck part, m_s, moves inward by xi against the rest:
//!   F = k (xi - p), |F| <= Y + H a      p: what the body keeps, a: all its plastic way
//!   m_s (d2xi/dt2 - dv_n/dt) = f - F - c dxi/dt,   (M - m_s) dv_n/dt = -F - c dxi/dt
//! f the force of the pole on the face, v_n the rest's velocity along the outward normal.
//!
//! References: derived (elastic-plastic spring with isotropic hardening).

/// Coupling of the struck part of the body with the rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideBody {
    /// Mass of the struck part m_s, kg.
    pub mass: f64,
    /// Elastic stiffness k, N/m.
    pub stiffness: f64,
    /// Force at which the body yields first Y, N.
    pub yield_force: f64,
    /// Hardening H, N/m.
    pub hardening: f64,
    /// Damping c, N.s/m.
    pub damping: f64,
}

/// Damping of the elastic coupling over its critical value (assumed).
const DAMPING: f64 = 0.1;

/// The struck part in the course of a run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SideState {
    /// Way inward against the rest xi, m.
    pub place: f64,
    /// Its rate, m/s.
    pub rate: f64,
    /// Force of the coupling F, N, without damping.
    pub force: f64,
    /// Largest way inward so far, m.
    pub largest: f64,
    /// Energy that the coupling has taken, stored and spent, J.
    pub energy: f64,
    kept: f64,
    hardened: f64,
}

impl SideBody {
    /// From mass, stiffness, yield force and hardening.
    pub fn new(mass: f64, stiffness: f64, yield_force: f64, hardening: f64) -> Self {
        Self {
            mass,
            stiffness,
            yield_force,
            hardening,
            damping: 2.0 * DAMPING * (stiffness * mass).sqrt(),
        }
    }

    /// Moves the struck part on for `dt` and finds the force there.
    pub fn drift(&self, state: &mut SideState, dt: f64) {
        let step = state.rate * dt;
        state.place += step;
        state.largest = state.largest.max(state.place);
        let before = state.force;
        let mut force = self.stiffness * (state.place - state.kept);
        let over = force.abs() - (self.yield_force + self.hardening * state.hardened);
        if over > 0.0 {
            let slip = over / (self.stiffness + self.hardening);
            state.hardened += slip;
            state.kept += slip * force.signum();
            force = self.stiffness * (state.place - state.kept);
        }
        state.force = force;
        state.energy += 0.5 * (before + force) * step;
    }

    /// Force on the rest, inward: the coupling and its damping, N.
    pub fn pull(&self, state: &SideState) -> f64 {
        state.force + self.damping * state.rate
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_yields_hardens_and_keeps_its_set() {
        let body = SideBody::new(400.0, 5e6, 100e3, 3e5);
        let mut s = SideState {
            rate: 1.0,
            ..SideState::default()
        };
        for _ in 0..500 {
            body.drift(&mut s, 1e-3);
        }
        // Y + H a with xi = F/k + a: a = (0.5 - 0.02)/(1 + H/k)
        let a = 0.48 / (1.0 + 3e5 / 5e6);
        assert!((s.force - (100e3 + 3e5 * a)).abs() < 1.0, "{}", s.force);
        // Work by hand: 1000 J elastic, then the trapezoid.
        let hand = 0.5 * 100e3 * 0.02 + 0.5 * (100e3 + s.force) * 0.48;
        assert!((s.energy / hand - 1.0).abs() < 1e-3);
        // Back on the elastic line.
        s.rate = -1.0;
        body.drift(&mut s, 1e-2);
        assert!((s.force - (100e3 + 3e5 * a - 5e4)).abs() < 1.0);
    }
}
