//! Pictures of a faulty base beside the same base put right, at the same instants.

use giveway_impact::outcome::{Engagement, Snapshot};
use giveway_impact::{Prepared, RecordRequest};
use giveway_occupant::CAUTION;
use giveway_report::{Instant, Side, comparison};
use giveway_results::Summary;
use giveway_scenario::model::{AsFound, Scenario};
use giveway_study::Supports;

use super::cases::{Case, PICTURES};
use super::words::{base, kmph, loss, lost_mps};

/// Instants before and after the release of the sound base, s.
const EARLY_S: f64 = 0.02;
const LATE_S: f64 = 0.08;
/// Largest difference between an instant and its picture, s.
const NEAR_S: f64 = 3e-4;

/// The picture as SVG, and the lines that show it on the page.
pub fn beside_the_sound_base(case: &Case) -> Result<(String, String), String> {
    let failed = |e: &dyn std::fmt::Display| format!("picture of {}: {e}", case.stem);
    let right = Scenario {
        as_found: AsFound::default(),
        ..case.scenario.clone()
    };
    let release_s = case
        .right
        .summary
        .times
        .release_s
        .ok_or_else(|| failed(&"the sound base holds"))?;
    // Whole milliseconds are what the picture says.
    let free_s = 1e-3 * (1e3 * release_s).ceil();
    let times = [0.0, EARLY_S, free_s, LATE_S];
    let sides = [&right, &case.scenario].map(|scenario| {
        let runs: Result<Vec<Engagement>, String> = times
            .iter()
            .map(|&t| until(scenario, t).map_err(|e| failed(&e)))
            .collect();
        runs.map(|runs| (scenario, runs))
    });
    let [sound, faulty] = sides;
    let (sound, faulty) = (sound?, faulty?);
    let heading = format!("As found: {}", case.finding());
    let (found, right) = (&case.found.summary, &case.right.summary);
    let sides = [
        side(("As it should be", right), &sound, &times)?,
        side((&heading, found), &faulty, &times)?,
    ];
    let facts = format!(
        "Ring road of Harrow Vale, an invented town: car of {:.0} kg at {:.0} km/h. Time runs from first touch. Car comes from the left.",
        case.scenario.vehicle.mass_kg,
        3.6 * case.scenario.impact.speed_mps
    );
    let title = "The same blow on a sound base and on a faulty one";
    let picture =
        comparison(&case.stem, (title, &facts, CAUTION), &sides).map_err(|e| failed(&e))?;
    let text = format!(
        "![A sound base beside the base as found ({}), at the same instants]({}/{}.svg)\n\n\
         *Left the base as it should be: it {}, the car loses {}. Right the base as found: it {}, the car loses {}.*",
        case.finding(),
        PICTURES.trim_start_matches("docs/"),
        case.stem,
        base(right),
        loss(right)?,
        base(found),
        loss(found)?,
    );
    Ok((picture.svg, text))
}

/// The engagement up to an instant; the first touch for zero.
fn until(scenario: &Scenario, time_s: f64) -> Result<Engagement, String> {
    let mut scenario = scenario.clone();
    scenario.solver.engagement_limit_s = time_s.max(1e-3);
    let prepared: Prepared = Supports::new()
        .prepare(&scenario)
        .map_err(|e| e.to_string())?;
    let request = RecordRequest {
        trace: true,
        rollout: false,
    };
    prepared.engage(request).map_err(|e| e.to_string())
}

fn side<'a>(
    (heading, whole): (&str, &Summary),
    (scenario, runs): &'a (&'a Scenario, Vec<Engagement>),
    times: &[f64],
) -> Result<Side<'a>, String> {
    let instants: Result<Vec<Instant<'a>>, String> = runs
        .iter()
        .zip(times)
        .map(|(run, &time_s)| {
            let first = run.snapshots.first();
            let wanted = if time_s > 0.0 {
                run.snapshots.last()
            } else {
                first
            };
            let (Some(first), Some(snapshot)) = (first, wanted) else {
                return Err(format!("{heading}: no snapshots"));
            };
            if (snapshot.time_s - time_s).abs() > NEAR_S {
                return Err(format!(
                    "{heading}: the run ends at {} s, before {time_s} s",
                    snapshot.time_s
                ));
            }
            Ok(Instant {
                snapshot,
                bars: if time_s > 0.0 { &run.bars } else { &[] },
                words: if time_s > 0.0 {
                    told(run, first, snapshot)
                } else {
                    "First touch.".to_owned()
                },
            })
        })
        .collect();
    Ok(Side {
        heading: heading.to_owned(),
        scenario,
        instants: instants?,
        result: result(whole)?,
    })
}

/// What came of a whole run, in a line.
fn result(s: &Summary) -> Result<String, String> {
    let lost = lost_mps(s)?;
    let car = if lost > s.impact.speed_mps {
        "the car is stopped and thrown back".to_owned()
    } else {
        format!("the car loses {}", kmph(lost))
    };
    Ok(format!("The base {}: {car}.", base(s)))
}

/// What there is to see at the end of a run.
fn told(run: &Engagement, first: &Snapshot, now: &Snapshot) -> String {
    let in_place = now.bolts_m.iter().flatten().count();
    let bolts = match (in_place, now.bolts_m.len()) {
        (0, _) => "All bolts are out".to_owned(),
        (1, _) => "One bolt is still in".to_owned(),
        (n, all) if n == all => format!("All {all} bolts are in"),
        (n, _) => format!("{n} bolts are still in"),
    };
    let moved = |i: usize| now.plate_centre_m[i] - first.plate_centre_m[i];
    let way = (moved(0) * moved(0) + moved(1) * moved(1)).sqrt();
    format!(
        "{bolts}; the plate has moved {:.0} mm; the car has lost {}.",
        1e3 * way,
        kmph(run.velocity_change_at_end_mps)
    )
}
