//! The few lines for a terminal.

#[path = "../../results/tests/fixture/mod.rs"]
mod fixture;

use giveway_report::headline;
use giveway_results::summary::Finding;

fn lines_of(text: &str) -> Vec<&str> {
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines.len() <= 35, "{} lines", lines.len());
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
        lines[0].starts_with("PASS: Harrow Vale ring road"),
        "{}",
        lines[0]
    );
    for wanted in [
        "By AASHTO Manual for Assessing Safety Hardware (MASH), 2nd edition, 2016: Passes",
        "Occupant impact velocity, longitudinal 2.45 m/s of 4.877 (preferred 3.048), 50 % left; MASH 2016",
        "Closest to its limit: height of the stub left standing 0.09 m of 0.1, 10 % left",
        "verify against the current edition",
        "Other documents: nchrp-350 pass, aashto-1994 pass",
        "Engineering estimate.",
        "no substitute",
        "2.45 m/s at loss of contact (71.0 ms)",
        "104.0 kN at 9.5 ms; crush 140 mm, dent 12.0 mm",
        "3 of 3 bolts released; preload 26.0 kN, largest rise 3.0 % at bolt 3",
        "the clamped base holds; margin against slip 1.90, against gapping 0.35",
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
    lines_of(&text);
    assert!(text.contains("more flags: see summary.json"), "{text}");
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
