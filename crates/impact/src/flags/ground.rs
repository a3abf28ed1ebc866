//! Findings in the way of the upper plate and under the base: bars, height, soil, foundation.

use giveway_mechanics::obstacle::{BarLaw, BarPlace};
use giveway_scenario::model::{STUB_HEIGHT_LIMIT_M, STUB_HEIGHT_READ_M, Scenario};

use super::findings::Findings;
use super::phrase::{kn, mm, sentence};
use crate::found::{BarKind, BaseLaw};
use crate::outcome::{Ending, Engagement};
use crate::state::Run;

/// Part of its embedded length that a foundation may move before the ground's law ends (common practice, no source).
const LAW_END: f64 = 0.1;

/// Anchor stubs and the conduit.
pub(super) fn of_bars(out: &mut Findings, run: &Run<'_>, base: &BaseLaw, outcome: &Engagement) {
    for (bar, law) in outcome.bars.iter().zip(&base.bars) {
        let what = bar
            .stub
            .map_or_else(|| "the conduit".to_owned(), |n| format!("anchor stub {n}"));
        let limit = kn(bar.limit_n);
        if bar.peak_n > 0.0 {
            let end = if bar.sheared {
                format!("it held {} until it gave way", kn(bar.peak_n))
            } else if kn(bar.peak_n) == limit {
                format!("it held {limit} and did not give way")
            } else {
                format!(
                    "it held {} of the {limit} that it can hold, and did not give way",
                    kn(bar.peak_n)
                )
            };
            out.add(
                "snags",
                sentence(&format!("{what} stood in the upper plate's way: {end}.")),
            );
            continue;
        }
        let why = if !in_the_way(run, &law.law) {
            format!("out of the way of this blow; from another side it can hold {limit}")
        } else if outcome.ending == Ending::Released {
            format!("and the plate passed it untouched; it can hold {limit}")
        } else {
            format!(
                "and was not reached in this blow; a plate that slides as far as that is held by up to {limit}"
            )
        };
        let comma = if why.starts_with("out") { "," } else { "" };
        out.add(
            "marginal",
            sentence(&format!("{what} stands in the slip plane{comma} {why}.")),
        );
    }
    of_ice(out, run, base);
}

/// Ice between the plates, which stands behind the bars.
fn of_ice(out: &mut Findings, run: &Run<'_>, base: &BaseLaw) {
    let laws = base.bars.iter().zip(&run.bars);
    for (law, ice) in laws.filter(|(law, _)| law.kind == BarKind::Ice) {
        let end = match ice.gone {
            true => "until it broke",
            false => "and did not break",
        };
        out.add(
            "frozen",
            format!(
                "Ice joins the plates: it held {} of {} {end}.",
                kn(ice.peak_n),
                kn(law.law.limit_n)
            ),
        );
    }
}

/// Whether the upper plate meets the bar when it slides straight on in the direction of the blow.
fn in_the_way(run: &Run<'_>, law: &BarLaw) -> bool {
    match law.place {
        BarPlace::Opening => true,
        BarPlace::Outside {
            direction,
            plate_radius_m,
        } => {
            // The bar stands at (R + g) d; the plate sweeps a band of half-width R along the blow.
            let blow = run.direction.xy();
            let bar = direction * (plate_radius_m + law.gap_m);
            blow.dot(&bar) > 0.0 && blow.perp(&bar).abs() < plate_radius_m * blow.norm()
        }
    }
}

/// Height of the lower plate, soil behind the foot, the foundation.
pub(super) fn of_ground(out: &mut Findings, run: &Run<'_>, outcome: &Engagement) {
    let s: &Scenario = &run.p.scenario;
    let height = s.site.slip_plane_height_m;
    // What the scenario or its profile sets counts; else the documents' limit in both systems of units. A tape reads 1 mm.
    let own = s.criteria.overrides.iter().rev();
    let own = own.into_iter().find(|o| o.key == "stub_height_m");
    let (limit, read) = own.map_or((STUB_HEIGHT_LIMIT_M, STUB_HEIGHT_READ_M), |o| {
        (o.value, o.value + 0.0005)
    });
    // An inspection keeps the limit in the units of who wrote it.
    let limit = if limit > STUB_HEIGHT_LIMIT_M && limit < STUB_HEIGHT_READ_M + 0.001 {
        "100 mm, or 4 in".to_owned()
    } else {
        mm(limit)
    };
    if height > read {
        let clearance = s.vehicle.underside_m - height;
        let what = if mm(clearance.abs()) == "0 mm" {
            "no clearance is left under the vehicle".to_owned()
        } else if clearance > 0.0 {
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
                limit
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
    if let (Some(pier), Some(found)) = (run.pier_law(), &run.p.designed.as_found.foundation) {
        let moved = outcome.foundation_peak_m;
        let yielded = if run.pier.yielded {
            format!("the ground yielded at {}", kn(pier.capacity_n))
        } else {
            format!(
                "the ground did not yield (it can hold {})",
                kn(pier.capacity_n)
            )
        };
        out.add(
            "shifts",
            format!(
                "The foundation's top moved by {} at most; {yielded}.",
                movement(moved)
            ),
        );
        let end = LAW_END * found.length_m;
        if moved > end {
            out.add(
                "uproots",
                format!(
                    "The foundation moved further than a tenth of its depth ({}): a real one tilts or is torn out there. What is computed beyond is no forecast.",
                    mm(end)
                ),
            );
        }
    }
}

/// A movement of the ground: tenths of a millimetre up to 10 mm, metres from 1 m on.
pub(super) fn movement(m: f64) -> String {
    if m < 0.01 {
        format!("{:.1} mm", 1e3 * m)
    } else if m < 0.9995 {
        mm(m)
    } else {
        format!("{m:.2} m")
    }
}

#[cfg(test)]
mod tests {
    use super::movement;

    #[test]
    fn movements_are_told_in_fitting_units() {
        assert_eq!(movement(0.0044), "4.4 mm");
        assert_eq!(movement(0.1429), "143 mm");
        assert_eq!(movement(0.9996), "1.00 m");
        assert_eq!(movement(1.41), "1.41 m");
    }
}
