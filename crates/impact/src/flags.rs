//! Findings in plain words: one word each, defined in `docs/results.md` and `docs/conditions.md`.

mod bolts;
mod findings;
mod ground;
mod notches;
mod phrase;
mod plates;

use findings::Findings;
use phrase::{degrees, named, numbers, verb};

use crate::contact::BandRun;
use crate::kink::FAR_RAD;
use crate::outcome::{BoltFate, Ending, Engagement, Flag};
use crate::state::Run;

/// Turn of the hinge from which the shaft counts as folded, rad.
const FOLDED_RAD: f64 = 0.01;
/// Movement of the foundation from which a base that holds is no fixed obstacle, m.
const FIXED_M: f64 = 0.001;

/// All findings of a run.
pub(crate) fn flags(run: &Run<'_>, ending: Ending, outcome: &Engagement) -> Vec<Flag> {
    let mut out = Findings::default();
    of_ending(&mut out, run, ending, outcome);
    if let Some(base) = &run.p.base {
        bolts::of_bolts(&mut out, base, outcome);
        bolts::of_lever(&mut out, run, base, outcome);
        bolts::of_threads(&mut out, run, base, outcome);
        notches::of_grout(&mut out, run, base, outcome);
        ground::of_bars(&mut out, run, base, outcome);
        plates::of_plates(&mut out, run, base);
        notches::of_notches(&mut out, run, base);
        plates::of_rust_and_turn(&mut out, run);
        bolts::of_clamp(&mut out, run, base);
        ground::of_ground(&mut out, run, outcome);
    }
    of_shaft(&mut out, run, outcome);
    out.0
}

fn of_ending(out: &mut Findings, run: &Run<'_>, ending: Ending, outcome: &Engagement) {
    match ending {
        Ending::Held => {
            let held = numbers(outcome, |b| b.fate == BoltFate::Held);
            let what = if held.is_empty() {
                "The pole did not come free: its bolts are out, and what stands in its way holds it"
                    .to_owned()
            } else {
                format!(
                    "The base did not let go: {} {} still clamped",
                    named(&held),
                    verb(&held, "is", "are")
                )
            };
            let moved = outcome.foundation_peak_m;
            let met = if run.pier_law().is_some() && moved >= FIXED_M {
                format!(
                    "the vehicle met an obstacle whose foundation moved by {}",
                    ground::movement(moved)
                )
            } else {
                "the vehicle met a fixed obstacle".to_owned()
            };
            out.add("held", format!("{what}; {met}."));
        }
        Ending::TimeLimit => out.add(
            "unfinished",
            "The engagement was not over at its time limit.".to_owned(),
        ),
        Ending::NoContact => out.add("missed", "The vehicle did not touch the pole.".to_owned()),
        Ending::Released | Ending::FixedObstacle => {}
    }
}

fn of_shaft(out: &mut Findings, run: &Run<'_>, outcome: &Engagement) {
    if outcome.fold.path_rad > FOLDED_RAD {
        out.add(
            "folds",
            format!(
                "The shaft folded at its foot from {:.0} ms on: its plastic moment of {:.1} kN.m was reached, and it stands {} off its plate at the end.",
                1e3 * outcome.fold.since_s.unwrap_or(0.0),
                1e-3 * outcome.fold.plastic_moment_nm,
                degrees(outcome.fold.angle_rad)
            ),
        );
    }
    let kink = &outcome.kink;
    if kink.path_rad > FOLDED_RAD {
        let far = if kink.angle_rad > FAR_RAD {
            " Bent that far, the course after it is an estimate only."
        } else {
            ""
        };
        out.add(
            "kinks",
            format!(
                "The shaft kinked where it was struck from {:.0} ms on, by {} at the end; the dented section there carries no more than {:.1} kN.m, which bounds what reaches the base.{far}",
                1e3 * kink.since_s.unwrap_or(0.0),
                degrees(kink.angle_rad),
                1e-3 * kink.plastic_moment_nm
            ),
        );
    }
    of_override(out, run, outcome);
    let fixed_rigid = run.p.scenario.solver.elastic_modes == 0;
    if fixed_rigid && outcome.contact_moment_ratio.max(outcome.foot_moment_ratio) > 1.0 {
        out.add(
            "kinks",
            format!(
                "The shaft would kink: bending moment {:.2} of plastic where it is struck. A support without bending (elastic_modes = 0) does not show it.",
                outcome.contact_moment_ratio
            ),
        );
    }
}

/// The vehicle drives over the pole: the shaft is folded by more than a right angle where it is struck, or the pole is
/// behind the face without having come through it.
fn of_override(out: &mut Findings, run: &Run<'_>, outcome: &Engagement) {
    let behind = run.bands.iter().filter_map(BandRun::behind_since);
    let behind = behind.reduce(f64::min);
    let Some(since) = behind.into_iter().chain(run.kink.over).reduce(f64::min) else {
        return;
    };
    let how = match run.kink.over {
        Some(over) if over <= since => {
            "the shaft is folded by more than a right angle where it is struck"
        }
        _ => "the pole is behind the vehicle's face without having come through it",
    };
    let before = match outcome.contact_end_time_s {
        Some(counted) if counted <= since => " The velocity change is counted up to before that.",
        _ => "",
    };
    out.add(
        "overrides",
        format!(
            "From {:.0} ms on {how}: the vehicle drives over the pole, which is beyond the model. What is computed from there on is no forecast.{before}",
            1e3 * since
        ),
    );
}
