//! Lean of an erected pole under the dead load of its arms.
//!
//! The pole is a cantilever fixed at its foot (the clamped base turns by less than a thousandth of it and is left out).
//! With v the lateral displacement, in each of two planes,
//!   E I v'' = M(z) = sum W_j (x_j + v_j - v(z)) + integral_z^L w (v(s) - v(z)) ds  over what is fixed above z:
//! weights W_j at their levers x_j and the pole's own weight w on its bent axis. The first-order part is integrated
//! directly, the second-order part by repeating the integration (three Gauss points a panel). The arm counts as
//! rigid and keeps its levers. A uniform pole with one arm weight P at lever e must give
//! v(L) = e (sec(kL) - 1), k^2 = P/(E I) (Timoshenko and Gere), without second order v(L) = M L^2/(2 E I).

use super::balance::{loads, tube_mass};
use crate::strength::{InputError, positive};
use crate::tube::properties_at;
use giveway_scenario::model::Support;
use schemars::JsonSchema;
use serde::Serialize;

/// Panels along the pole, at least.
const PANELS: f64 = 200.0;
/// Repetitions of the second-order part, at most.
const ROUNDS: usize = 400;
/// Places and weights of three-point Gauss quadrature on 0 to 1.
const GAUSS: [(f64, f64); 3] = [
    (0.112_701_665_379_258_31, 5.0 / 18.0),
    (0.5, 8.0 / 18.0),
    (0.887_298_334_620_741_7, 5.0 / 18.0),
];

/// Lean of the pole when everything hangs on it, foot axis plumb.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lean {
    /// Moment of the dead load about the foot, by direction of the lean: site x and y, N.m; first order.
    pub moment_nm: [f64; 2],
    /// Displacement of the tip, m.
    pub tip_m: f64,
    /// Slope of the axis at the tip, rad.
    pub tip_slope_rad: f64,
    /// Direction in which the tip leans, rad; none where it does not.
    pub azimuth_rad: Option<f64>,
    /// Rake to set before the arm's weight comes on, away from `azimuth_rad`, so that tip and foot come
    /// plumb: tip displacement over length, rad (m of lean for every m of height).
    pub rake_rad: f64,
    /// Share of the second order (weights on the bent pole) in the tip's displacement.
    pub second_order_share: f64,
    /// Bent axis: height, displacement in site x and y, m.
    pub axis_m: Vec<[f64; 3]>,
}

/// The pole cut into panels.
struct Cantilever {
    /// Heights of the panels' ends, m.
    z: Vec<f64>,
    /// (E I)^-1 at the Gauss points of each panel, 1/(N.m^2).
    compliance: Vec<[f64; 3]>,
    /// Weight at each height: loads there and the halves of the neighbouring panels, N.
    weight: Vec<f64>,
}

/// Slopes and displacements at the panels' ends.
struct Bent {
    slope: Vec<f64>,
    v: Vec<f64>,
}

impl Cantilever {
    /// Integrates M/(E I) twice from the foot; `constant` is the first-order moment of each panel, `rest` the
    /// second-order moment at the panels' ends.
    fn bend(&self, constant: &[f64], rest: &[f64]) -> Bent {
        let n = self.z.len();
        let mut bent = Bent {
            slope: vec![0.0; n],
            v: vec![0.0; n],
        };
        for i in 0..n - 1 {
            let h = self.z[i + 1] - self.z[i];
            let (mut slope, mut v) = (bent.slope[i], bent.v[i] + bent.slope[i] * h);
            for (k, (x, w)) in GAUSS.iter().enumerate() {
                let moment = constant[i] + rest[i] + (rest[i + 1] - rest[i]) * x;
                let share = h * w * moment * self.compliance[i][k];
                slope += share;
                v += share * h * (1.0 - x);
            }
            bent.slope[i + 1] = slope;
            bent.v[i + 1] = v;
        }
        bent
    }

    /// Second-order moment at the panels' ends: sum over what is above of W (v_j - v(z)).
    fn second_order(&self, v: &[f64]) -> Vec<f64> {
        let mut moment = vec![0.0; v.len()];
        let (mut weight, mut first) = (0.0, 0.0);
        for i in (0..v.len()).rev() {
            weight += self.weight[i];
            first += self.weight[i] * v[i];
            moment[i] = first - weight * v[i];
        }
        moment
    }

    /// Bends under the panels' first-order moments; the displacement of the tip without second order comes along.
    fn settle(&self, constant: &[f64]) -> Result<(Bent, f64), InputError> {
        let tip = self.z.len() - 1;
        let mut bent = self.bend(constant, &vec![0.0; tip + 1]);
        let first = bent.v[tip];
        for _ in 0..ROUNDS {
            let next = self.bend(constant, &self.second_order(&bent.v));
            let change = (next.v[tip] - bent.v[tip]).abs();
            bent = next;
            if change <= 1e-13 * bent.v[tip].abs() {
                return Ok((bent, first));
            }
        }
        Err(InputError::OutOfRange {
            quantity: "displacement of the pole's tip under dead load, m",
            value: bent.v[tip],
            allowed: "settling: the weight must stay well below the load that buckles the pole",
        })
    }
}

/// Lean of the pole under the dead load of arms, luminaires and lumps beside the axis.
///
/// # Errors
/// A size, mass, stiffness or place without meaning; a pole that buckles under its load.
pub fn lean(support: &Support, gravity_mps2: f64) -> Result<Lean, InputError> {
    let gravity = positive("gravity, m/s^2", gravity_mps2)?;
    let length = positive("pole length, m", support.pole_length_m)?;
    let youngs = positive(
        "Young's modulus of the pole, Pa",
        support.pole.material.youngs_pa,
    )?;
    tube_mass(&support.pole, length)?;
    let loads = loads(support, true)?;

    // Panels between the heights where something is fixed.
    let mut cuts: Vec<f64> = loads.iter().map(|l| l.fixed_m).collect();
    cuts.extend([0.0, length]);
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let mut z = vec![0.0];
    for piece in cuts.windows(2) {
        let panels = libm::ceil(PANELS * (piece[1] - piece[0]) / length).max(1.0);
        for i in 1..panels as usize {
            z.push(piece[0] + (piece[1] - piece[0]) * i as f64 / panels);
        }
        z.push(piece[1]);
    }
    let nodes = z.len();
    let mut weight = vec![0.0; nodes];
    let mut compliance = Vec::with_capacity(nodes - 1);
    for i in 0..nodes - 1 {
        let h = z[i + 1] - z[i];
        let middle = properties_at(&support.pole, 0.5 * (z[i] + z[i + 1]) / length);
        let half = 0.5 * gravity * support.pole.material.density_kgpm3 * middle.area_m2 * h;
        weight[i] += half;
        weight[i + 1] += half;
        compliance.push(GAUSS.map(|(x, _)| {
            let section = properties_at(&support.pole, (z[i] + x * h) / length);
            1.0 / (youngs * section.second_moment_m4)
        }));
    }
    // First-order moment of the loads fixed at or above a panel's upper end.
    let mut constant = [vec![0.0; nodes - 1], vec![0.0; nodes - 1]];
    let mut moment_nm = [0.0; 2];
    for load in &loads {
        let w = load.mass_kg * gravity;
        let node = z.partition_point(|&height| height < load.fixed_m);
        weight[node] += w;
        for (axis, panels) in constant.iter_mut().enumerate() {
            let m = w * load.place_m[axis];
            moment_nm[axis] += m;
            panels[..node].iter_mut().for_each(|sum| *sum += m);
        }
    }
    let pole = Cantilever {
        z,
        compliance,
        weight,
    };
    let [(x, first_x), (y, first_y)] = {
        let [a, b] = &constant;
        [pole.settle(a)?, pole.settle(b)?]
    };
    let tip = nodes - 1;
    let tip_m = libm::hypot(x.v[tip], y.v[tip]);
    let first = libm::hypot(first_x, first_y);
    Ok(Lean {
        moment_nm,
        tip_m,
        tip_slope_rad: libm::hypot(x.slope[tip], y.slope[tip]),
        azimuth_rad: (tip_m > 0.0).then(|| libm::atan2(y.v[tip], x.v[tip])),
        rake_rad: tip_m / length,
        second_order_share: if tip_m > 0.0 {
            1.0 - first / tip_m
        } else {
            0.0
        },
        axis_m: (0..nodes).map(|i| [pole.z[i], x.v[i], y.v[i]]).collect(),
    })
}
