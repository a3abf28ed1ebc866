//! Findings in the way of the upper plate and under the base: bars, height, soil, foundation.

use giveway_scenario::model::{STUB_HEIGHT_LIMIT_M, Scenario};

use super::Findings;
use super::phrase::{kn, mm, sentence};
use crate::engine::Run;
use crate::outcome::Engagement;

pub(super) fn of_bars(out: &mut Findings, outcome: &Engagement) {
    for bar in &outcome.bars {
        let what = bar
            .stub
            .map_or_else(|| "the conduit".to_owned(), |n| format!("anchor stub {n}"));
        if bar.peak_n <= 0.0 {
            out.add(
                "marginal",
                sentence(&format!(
                    "{what} stands in the slip plane, out of the way of this blow; from another side it would hold {}.",
                    kn(bar.limit_n)
                )),
            );
        } else {
            let end = if bar.sheared {
                "until it gave way"
            } else {
                "and did not give way"
            };
            out.add(
                "snags",
                sentence(&format!(
                    "{what} stood in the upper plate's way: it held {} {end}.",
                    kn(bar.peak_n)
                )),
            );
        }
    }
}

pub(super) fn of_ground(out: &mut Findings, run: &Run<'_>, outcome: &Engagement) {
    let s: &Scenario = &run.p.scenario;
    let height = s.site.slip_plane_height_m;
    if height > STUB_HEIGHT_LIMIT_M {
        let clearance = s.vehicle.underside_m - height;
        let what = if clearance >= 0.0 {
            format!("{} of clearance are left under the vehicle", mm(clearance))
        } else {
            format!(
                "the vehicle's underside is {} lower and may strike it",
                mm(-clearance)
            )
        };
        out.add(
            "proud",
            format!(
                "The lower plate's top stands {} above the ground (limit {}): {what}.",
                mm(height),
                mm(STUB_HEIGHT_LIMIT_M)
            ),
        );
    }
    if run.p.designed.as_found.soil.is_some() {
        if outcome.soil_peak_n > 0.0 {
            out.add(
                "blocked",
                format!(
                    "Soil behind the foot closed its way: it held up to {:.1} kN.",
                    1e-3 * outcome.soil_peak_n
                ),
            );
        } else {
            out.add(
                "marginal",
                "Soil behind the foot was not reached in this blow.".to_owned(),
            );
        }
    }
    if let Some(pier) = run.pier_law() {
        let yielded = if run.pier.yielded {
            "the ground yielded"
        } else {
            "the ground did not yield"
        };
        out.add(
            "shifts",
            format!(
                "The foundation moved by {:.1} mm at most (capacity {}); {yielded}.",
                1e3 * outcome.foundation_peak_m,
                kn(pier.capacity_n)
            ),
        );
    }
}
