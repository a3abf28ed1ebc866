//! A template gives what `read` gives, to the last bit, whichever paths change.

#[path = "../../../tests/thorough.rs"]
mod thorough;

use giveway_scenario::grammar::{self, Kind};
use giveway_scenario::model::{Band, Scenario};
use giveway_scenario::{Current, Diagnostic, Template, read};
use giveway_units::{Dimension, exact_text};
use proptest::prelude::*;

const FIRST: &str = include_str!("../../../scenarios/first.toml");
const SIDE: &str = include_str!("../../../scenarios/side_impact.toml");
const OFFSET: &str = include_str!("../../../scenarios/quarter_offset.toml");
const POLE: &str = include_str!("../../../scenarios/published/v2_low_speed.toml");
const SEVERAL: &str = include_str!("../../../scenarios/conditions/several_small.toml");
const STUB: &str = include_str!("../../../scenarios/conditions/stub.toml");
const GROUT: &str = include_str!("../../../scenarios/conditions/grouted.toml");

const FILES: [&str; 7] = [FIRST, SIDE, OFFSET, POLE, SEVERAL, STUB, GROUT];

/// A path in a scenario for a row: first elements of lists, the band `bumper`.
fn concrete(path: &str) -> String {
    path.replace("band[]", "band[bumper]").replace("[]", "[1]")
}

/// A value of a row, at a fraction of its usual range.
fn value(row: &grammar::Row, fraction: f64) -> String {
    let (low, high) = if row.plausible.0.is_finite() {
        row.plausible
    } else if row.possible.0.is_finite() {
        row.possible
    } else {
        (0.0, 1.0)
    };
    let si = low + fraction * (high - low);
    match row.kind {
        Kind::Quantity(dimension, unit) | Kind::Quantities(dimension, unit) => {
            exact_text(si, dimension, unit)
        }
        Kind::Number => format!("{si:?}"),
        Kind::Count | Kind::Numbers => format!("{}", si.round().max(1.0)),
        Kind::Flag => (fraction < 0.5).to_string(),
        Kind::Text => format!("text {}", (10.0 * fraction) as usize),
        Kind::Choice(options) => {
            let names = options.names();
            names[(fraction * (names.len() - 1) as f64).round() as usize].to_owned()
        }
        Kind::Choices(options) => {
            let names = options.names();
            let name = names[(fraction * (names.len() - 1) as f64).round() as usize];
            format!("[\"{name}\"]")
        }
        Kind::Pairs(..) if row.path.ends_with("crush") => {
            format!(
                "[[\"0 m\", \"0 kN\"], [\"0.1 m\", \"{} kN\"], [\"0.5 m\", \"300 kN\"]]",
                20.0 + 100.0 * fraction
            )
        }
        Kind::Pairs(..) => format!("[[\"0 m\", \"{} m\"], [\"4 m\", \"1 m\"]]", 0.5 + fraction),
        Kind::LengthOrName(_) => exact_text(fraction - 0.5, Dimension::Length, "m"),
    }
}

/// Bits of a scenario: its JSON, whose numbers read back to the same bits.
fn bits(scenario: &Scenario) -> String {
    serde_json::to_string(scenario).unwrap()
}

fn compare(template: &Template, text: &str, changes: &[(String, String)]) -> Result<bool, String> {
    let borrowed: Vec<(&str, &str)> = changes
        .iter()
        .map(|(p, v)| (p.as_str(), v.as_str()))
        .collect();
    let short = template.with(&borrowed);
    let long: Result<Scenario, Vec<Diagnostic>> =
        read(text, "file", changes).map(|loaded| loaded.scenario);
    match (&short, &long) {
        (Ok(a), Ok(b)) if bits(a) == bits(b) && a == b => Ok(true),
        (Err(a), Err(b)) if a == b => Ok(false),
        _ => Err(format!("{changes:?}:\n{short:?}\n{long:?}")),
    }
}

#[test]
fn every_path_alone_gives_what_read_gives() {
    for text in [FIRST, SIDE, SEVERAL] {
        let template = Template::new(text, "file").unwrap();
        let mut good = 0;
        for row in grammar::rows() {
            let path = concrete(row.path);
            for fraction in [0.31, 0.66, 1.0] {
                let change = [(path.clone(), value(row, fraction))];
                good += usize::from(compare(&template, text, &change).unwrap());
            }
        }
        assert!(good > 300, "only {good} scenarios were sound");
    }
}

#[test]
fn several_files_give_different_scenarios_and_errors_are_those_of_read() {
    let template = Template::new(FIRST, "file").unwrap();
    for (path, value) in [
        ("slip_base.clamp.torqe", "150 N.m"),
        ("slip_bass.clamp.torque", "150 N.m"),
        ("slip_base.clamp.torque", "150"),
        ("slip_base.clamp.torque", "NaN N.m"),
        ("slip_base.clamp.torque", "1e9 N.m"),
        ("support.arm[9].reach", "3 m"),
        ("support.arm.reach", "3 m"),
        ("vehicle", "3"),
        ("", "3"),
        ("vehicle.width", "0.1 m"),
    ] {
        let change = [(path.to_owned(), value.to_owned())];
        for _ in 0..2 {
            assert_eq!(compare(&template, FIRST, &change), Ok(false), "{path}");
        }
    }
    // A path twice: the last one counts, also the second time.
    for torque in ["150 N.m", "170 N.m"] {
        let twice = [
            ("slip_base.clamp.torque".to_owned(), torque.to_owned()),
            ("slip_base.clamp.torque".to_owned(), "90 N.m".to_owned()),
        ];
        assert_eq!(compare(&template, FIRST, &twice), Ok(true));
    }
}

#[test]
fn values_are_those_of_the_scenario() {
    let template = Template::new(FIRST, "file").unwrap();
    for mass in ["1000 kg", "1200 kg"] {
        let change = [("vehicle.mass", mass)];
        let scenario = template.with(&change).unwrap();
        let damping = template
            .values(&change, &["vehicle.suspension.wheel_damping"])
            .unwrap()
            .remove(0);
        assert_eq!(damping.len(), 1);
        assert_eq!(
            damping[0].1,
            Current::Number(scenario.vehicle.wheel_damping_nspm)
        );
        let curves = template
            .values(&change, &["vehicle.front.band[*].crush"])
            .unwrap()
            .remove(0);
        assert_eq!(curves.len(), scenario.vehicle.front.bands.len());
        for (path, value) in curves {
            let band = |b: &&Band| path == format!("vehicle.front.band[{}].crush", b.name);
            let band = scenario.vehicle.front.bands.iter().find(band).unwrap();
            assert_eq!(value, Current::Pairs(band.crush_curve.clone()));
        }
    }
    assert_eq!(template.values(&[], &["as_found.rust"]), Ok(vec![vec![]]));
}

#[test]
fn an_incomplete_file_is_completed_by_the_changes() {
    let text = FIRST
        .lines()
        .filter(|l| !l.starts_with("speed"))
        .collect::<Vec<_>>()
        .join("\n");
    let template = Template::new(&text, "file").unwrap();
    assert!(template.with(&[]).is_err());
    for speed in ["30 km/h", "60 km/h"] {
        let change = [("impact.speed".to_owned(), speed.to_owned())];
        assert_eq!(compare(&template, &text, &change), Ok(true));
    }
    assert!(Template::new("", "file").is_err());
    assert!(Template::new("speed = 30 km/h", "file").is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(thorough::of(96)))]

    /// Any few paths together, each shape with three sets of numbers, in any order.
    #[test]
    fn any_paths_together_give_what_read_gives(
        file in 0..FILES.len(),
        picks in proptest::collection::vec((0usize..4096, 0.0..1.0f64, 0.0..1.0f64, 0.0..1.0f64), 1..7),
    ) {
        let rows: Vec<_> = grammar::rows().filter(|r| !r.path.starts_with("criteria")).collect();
        let template = Template::new(FILES[file], "file").unwrap();
        for run in 0..3 {
            let changes: Vec<(String, String)> = picks
                .iter()
                .map(|&(i, a, b, c)| {
                    let row = rows[i % rows.len()];
                    (concrete(row.path), value(row, [a, b, c][run]))
                })
                .collect();
            if let Err(problem) = compare(&template, FILES[file], &changes) {
                prop_assert!(false, "{}", problem);
            }
        }
    }
}
