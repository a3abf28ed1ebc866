//! What pole and arms sweep over in plan below head height, and how far they reach into the strips of the road.

use giveway_scenario::model::Strip;

use super::ground::Terrain;
use super::outcome::{StripReach, Sweep};
use super::piece::Piece;

/// Below this height over the ground a passing part counts, m (assumed: head height of a person standing).
const HEAD_M: f64 = 2.0;
/// Side of a cell of the plan, m.
const CELL_M: f64 = 0.1;
/// The plan's corner and its number of cells; beyond it only the extent is followed.
const CORNER_M: [f64; 2] = [-40.0, -40.0];
const CELLS: [usize; 2] = [1600, 800];

/// The plan during a flight.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    /// None before the first marking.
    cells: Vec<u64>,
    along: [f64; 2],
    across: [f64; 2],
    strips: Vec<StripReach>,
    edges: Vec<[f64; 2]>,
}

const NOTHING: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];

fn widen(range: &mut [f64; 2], x: f64) {
    range[0] = range[0].min(x);
    range[1] = range[1].max(x);
}

impl Plan {
    pub fn new(strips: &[Strip]) -> Self {
        Self {
            cells: Vec::new(),
            along: NOTHING,
            across: NOTHING,
            edges: strips.iter().map(|s| [s.right_m, s.left_m]).collect(),
            strips: strips
                .iter()
                .map(|s| StripReach {
                    name: s.name.clone(),
                    entered: false,
                    since_s: None,
                    swept_m: None,
                    remains_m: None,
                })
                .collect(),
        }
    }

    /// Marks what lies below head height now.
    pub fn mark(&mut self, pieces: &[Piece], terrain: &Terrain, time: f64) {
        self.cells.resize(CELLS[0] * CELLS[1] / 64, 0);
        low_points(pieces, terrain, |x, y| {
            widen(&mut self.along, x);
            widen(&mut self.across, y);
            let cell = [x - CORNER_M[0], y - CORNER_M[1]].map(|c| c / CELL_M);
            if cell[0] >= 0.0 && cell[1] >= 0.0 {
                let [i, j] = cell.map(|c| c as usize);
                if i < CELLS[0] && j < CELLS[1] {
                    let at = i * CELLS[1] + j;
                    self.cells[at / 64] |= 1 << (at % 64);
                }
            }
            for (strip, edges) in self.strips.iter_mut().zip(&self.edges) {
                if y >= edges[0] && y <= edges[1] {
                    strip.entered = true;
                    strip.since_s.get_or_insert(time);
                    widen(strip.swept_m.get_or_insert([y, y]), y);
                }
            }
        });
    }

    /// The plan with what remains.
    pub fn finish(mut self, pieces: &[Piece], terrain: &Terrain) -> Sweep {
        low_points(pieces, terrain, |_, y| {
            for (strip, edges) in self.strips.iter_mut().zip(&self.edges) {
                if y >= edges[0] && y <= edges[1] {
                    widen(strip.remains_m.get_or_insert([y, y]), y);
                }
            }
        });
        let cells: u32 = self.cells.iter().map(|c| c.count_ones()).sum();
        let finite = |r: [f64; 2]| if r[0] <= r[1] { r } else { [0.0, 0.0] };
        Sweep {
            height_m: HEAD_M,
            area_m2: f64::from(cells) * CELL_M * CELL_M,
            along_m: finite(self.along),
            across_m: finite(self.across),
            strips: self.strips,
        }
    }
}

/// Tells the points of the axes of all rods, a cell apart, that lie below head height: x and y.
fn low_points(pieces: &[Piece], terrain: &Terrain, mut tell: impl FnMut(f64, f64)) {
    for piece in pieces {
        for rod in &piece.rods {
            let [a, b] = rod.ends;
            let d = b - a;
            let count = (rod.length / CELL_M) as usize + 1;
            let per = 1.0 / count as f64;
            // On level ground only a part of the rod need be looked at.
            let (mut first, mut last) = (0, count);
            if terrain.tangent == 0.0 {
                // a.z + d.z s < h
                let s = (HEAD_M - a.z) / d.z * count as f64;
                if d.z > 0.0 {
                    last = (s.max(0.0) as usize).min(count);
                } else if d.z < 0.0 {
                    first = (s.max(0.0) as usize).min(count);
                }
            }
            for i in first..=last {
                let at = a + d * (i as f64 * per);
                if at.z - terrain.height(at.y) < HEAD_M {
                    tell(at.x, at.y);
                }
            }
        }
    }
}
