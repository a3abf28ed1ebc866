//! The few lines for a terminal.

#[path = "../../results/tests/fixture/mod.rs"]
mod fixture;

use giveway_impact::outcome::Ending;
use giveway_report::headline;
use giveway_results::summary::{Finding, Status};
use giveway_results::{ConditionCase, ConditionFinding};
use giveway_scenario::ConditionKind;

fn lines_of(text: &str) -> Vec<&str> {
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines.len() <= 38, "{} lines", lines.len());
    for l in &lines {
        assert!(l.chars().count() <= 80, "{l}");
    }
    assert!(text.ends_with('\n'));
    lines
}

#[test]
fn verdict_first_then_numbers() {
    let s = fixture::summary(&fixture::scenario(), &fixture::engagement());
    let text = headline(&s);
    eprintln!("{text}");
    let lines = lines_of(&text);
    assert!(
        lines[0].starts_with("THE BLOW PASSES: Harrow Vale ring road"),
        "{}",
        lines[0]
    );
    for wanted in [
        "By AASHTO Manual for Assessing Safety Hardware (MASH), 2nd edition, 2016: The blow passes",
        "Occupant impact velocity, longitudinal 2.45 m/s of 4.877 m/s (preferred 3.048 m/s), 50 % left; MASH 2016",
        "Closest to its limit: height of the stub left standing 0.09 m of 0.1 m, 10 % left",
        "verify against the current edition",
        "Other documents: nchrp-350: the blow passes, aashto-1994: the blow passes",
        "Engineering estimate.",
        "no substitute",
        "2.45 m/s until vehicle and pole part (71.0 ms)",
        "104.0 kN at 9.5 ms; crush 140 mm (90 mm at first slip, 120 mm at release), dent 12.0 mm",
        "3 of 3 bolts released, the plates slide from 12.6 ms; preload 26.0 kN, largest rise 3.0 % at bolt 3 (15.0 ms, pried as the foot turned while the plates slid)",
        "clamped by 26.0 kN, the base stands; yearly wind holds, 2.90 times its pressure; design gust holds, 1.60 times its pressure; 700-year wind of 50 m/s: holds",
        "closed: energy 0.023 % (limit 0.5 %), momentum 0.0002 % (limit 0.1 %)",
        "17 values left",
        "! contact-again",
    ] {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(wanted), "`{wanted}` is not in\n{text}");
    }
}

#[test]
fn many_flags_and_endless_words_stay_within_the_page() {
    let mut s = fixture::summary(&fixture::scenario(), &fixture::engagement());
    s.title = "x".repeat(500);
    s.flags = (0..40)
        .map(|i| Finding {
            word: format!("flag{i}"),
            sentence: "A long sentence that needs more than one line of the terminal to be said."
                .into(),
            consequence: None,
        })
        .collect();
    let text = headline(&s);
    let lines = lines_of(&text);
    // A flag takes two lines here: four of them, and the rest is counted.
    assert!(
        text.contains("! flag3: ") && !text.contains("flag4"),
        "{text}"
    );
    assert!(text.contains("  ! 36 more: see summary.json"), "{text}");
    // Flags stand before the numbers.
    let at = |what: &str| lines.iter().position(|l| l.starts_with(what));
    assert!(at("  ! 36 more") < at("  impact "), "{text}");
    // What matters is still there; what had no room is named, in the last line.
    for kept in [
        "  impact ",
        "  speed lost ",
        "  occupant ",
        "  slip joint ",
        "  wind ",
    ] {
        assert!(at(kept).is_some(), "`{kept}` is not in\n{text}");
    }
    let last = lines[lines.len() - 1];
    assert!(
        last.starts_with("  no room for") && last.ends_with(": see summary.json"),
        "{text}"
    );
    for name in ["record", "contact", "pole", "assumed", "books"] {
        let told = at(&format!("  {name} ")).is_some();
        assert_ne!(told, last.contains(name), "{name}: {text}");
    }
}

/// A grade that is not met is told in full: with its wind and what happens.
#[test]
fn a_base_that_does_not_stand_says_in_which_wind() {
    let mut s = fixture::summary(&fixture::scenario(), &fixture::engagement());
    let r = s.retention.as_mut().expect("a wind check");
    r.holds = false;
    r.grades[1].holds = false;
    r.grades[1].margin_fraction = Some(-0.4);
    let text = headline(&s);
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let wanted = "the base DOES NOT STAND; yearly wind holds, 2.90 times its pressure; \
                  design gust of 40 m/s: DOES NOT HOLD, the plates slip by more than 1 mm;";
    assert!(flat.contains(wanted), "`{wanted}` is not in\n{text}");
}

#[test]
fn a_failed_run_says_so_first() {
    let mut e = fixture::engagement();
    e.energy.residual_j = 0.02 * e.energy.initial_kinetic_j;
    let text = headline(&fixture::summary(&fixture::scenario(), &e));
    let lines = lines_of(&text);
    assert!(lines[0].starts_with("RUN FAILED"), "{text}");
    assert!(!text.contains("PASS"), "{text}");
    assert!(text.contains("OPEN: energy 2.000 %"), "{text}");
}

#[test]
fn conditions_are_listed_worst_first_and_leave_room_for_flags() {
    let mut s = fixture::summary(&fixture::scenario(), &fixture::engagement());
    let case = |velocity_change_mps: f64, ending: Ending| ConditionCase {
        status: Some(Status::Complete),
        ending: Some(ending),
        velocity_change_mps: Some(velocity_change_mps),
        error: None,
        ..ConditionCase::failed(String::new())
    };
    s.conditions = ConditionKind::ALL
        .into_iter()
        .enumerate()
        .map(|(i, kind)| ConditionFinding {
            rank: i + 1,
            kind,
            title: kind.title().into(),
            put_right: kind.put_right().into(),
            flags: Vec::new(),
            as_found: case(9.41, Ending::Held),
            if_put_right: if i == 1 {
                ConditionCase::failed("no".into())
            } else {
                case(2.6, Ending::Released)
            },
            alone: case(9.0, Ending::Held),
            all_put_right: case(2.1, Ending::Released),
            gain_mps: None,
            alone_effect_mps: None,
            sentence: String::new(),
        })
        .collect();
    s.flags = vec![Finding {
        word: "binds".into(),
        sentence: "Bolt 2 is held.".into(),
        consequence: Some(s.conditions[0].in_short()),
    }];
    let text = headline(&s);
    assert!(text.lines().count() <= 38 + 16, "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let more = format!(
        "{} more conditions: see summary.json",
        ConditionKind::ALL.len() - 6
    );
    for wanted in [
        "Found on site, worst first: velocity change 9.4 m/s as found, 2.1 m/s with everything put right",
        "1. grout at the bolt heads: 2.6 m/s if put right (the base let go), 9.0 m/s alone",
        "2. anchor-bar stub in the slip plane: unknown (not computed) if put right, 9.0 m/s alone",
        &more,
        "! binds: Bolt 2 is held. Velocity change 9.4 m/s as found, 2.6 m/s if put right.",
    ] {
        assert!(flat.contains(wanted), "`{wanted}` is not in\n{text}");
    }
}
