//! A face that an earlier blow has pushed in already.
//!
//! ```text
//! p = c - F(c)/k_u                 dent p that is left of a largest crush c: what springs back is F/k_u
//! F(x) = k_u x                     then, from the dent on, to F(c)
//! F(x) = F_new(x + p)              beyond, the law of the new face
//! ```
//!
//! The pole is a straight post: at its deepest it has pushed all bands to one line, or not reached them; each springs back by its own law.

use crate::model::{Band, Face, Scenario, StruckFace};

impl Scenario {
    /// The face that meets the pole.
    pub fn struck_face(&self) -> &Face {
        match self.impact.face {
            StruckFace::Front => &self.vehicle.front,
            StruckFace::LeftSide | StruckFace::RightSide => &self.vehicle.side,
        }
    }
}

impl Face {
    /// The face that an earlier blow left pushed in by this much at the band that stands foremost now, m.
    #[must_use]
    pub fn used(mut self, dent_m: f64) -> Self {
        if dent_m <= 0.0 {
            return self;
        }
        // The post was as deep as the band that stands foremost now asks for; the others stay behind it.
        let reached = self.bands.iter().filter_map(|b| {
            let crush = b.crush_of(dent_m - b.setback_m)?;
            Some(b.setback_m + crush)
        });
        let reached = reached.reduce(f64::max);
        for band in &mut self.bands {
            match reached {
                Some(reached) => band.use_up(reached - band.setback_m),
                // A face that springs back whole keeps its laws.
                None => band.setback_m = band.setback_m.max(dent_m),
            }
        }
        self
    }

    /// How far the band that stands foremost is pushed in, m, from what stays of each band's crush.
    pub fn dent_left_m(&self, permanent_crush_m: &[f64]) -> f64 {
        let bands = self.bands.iter().zip(permanent_crush_m);
        let behind = bands.map(|(b, crush)| b.setback_m + crush);
        behind.reduce(f64::min).unwrap_or(0.0).max(0.0)
    }

    /// Depth behind the foremost line to which its crush laws are given, m.
    pub fn depth_m(&self) -> f64 {
        let ends = self.bands.iter().filter_map(|b| {
            let last = b.crush_curve.last()?;
            Some(b.setback_m + last.0)
        });
        ends.fold(0.0, f64::max)
    }
}

impl Band {
    /// Force of the crush law, beyond its last point along its last slope, N.
    fn force_n(&self, crush_m: f64) -> f64 {
        let curve = &self.crush_curve;
        let next = curve.partition_point(|p| p.0 < crush_m);
        let next = next.clamp(1, curve.len() - 1);
        let ((x0, f0), (x1, f1)) = (curve[next - 1], curve[next]);
        f0 + (f1 - f0) / (x1 - x0) * (crush_m - x0)
    }

    /// Largest crush that leaves this dent; none where there is no dent, or all of it springs back.
    fn crush_of(&self, dent_m: f64) -> Option<f64> {
        let left = |(x, f): (f64, f64)| x - f / self.unloading_npm;
        let curve = &self.crush_curve;
        if dent_m <= 0.0 || curve.len() < 2 {
            return None;
        }
        let next = curve.iter().position(|p| left(*p) >= dent_m);
        let next = next.unwrap_or(curve.len() - 1).max(1);
        let (before, after) = (curve[next - 1], curve[next]);
        let share = (dent_m - left(before)) / (left(after) - left(before));
        let crush = before.0 + share * (after.0 - before.0);
        (crush.is_finite() && crush >= before.0).then_some(crush)
    }

    /// The band after this crush.
    fn use_up(&mut self, crush: f64) {
        if crush <= 0.0 || self.crush_curve.len() < 2 {
            return;
        }
        let force = self.force_n(crush);
        let left = crush - force / self.unloading_npm;
        let mut curve = vec![(0.0, 0.0)];
        if force > 0.0 {
            curve.push((crush - left, force));
        }
        let beyond = self.crush_curve.iter().filter(|p| p.0 > crush);
        curve.extend(beyond.map(|(x, f)| (x - left, *f)));
        if self.crush_curve.iter().all(|p| p.0 <= crush) {
            // One metre more along the last slope.
            curve.push((crush - left + 1.0, self.force_n(crush + 1.0)));
        }
        self.setback_m += left;
        self.crush_curve = curve;
    }
}
