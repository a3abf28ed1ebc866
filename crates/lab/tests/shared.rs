//! The shared calibration: against a closed form, and the stored result against the file of evidence.

use giveway_lab::shared::{
    Evidence, Response, Responses, Surface, calibrate, draws, read_evidence,
};
use giveway_study::shared::stored;

/// Two rows, ln y = ln(m/0.12) + ln c + noise; spreads and error known: Gaussian in ln m.
const LINEAR: &str = r#"
title = "linear"
chosen = "2026-11-28"
seed = 3
draws = 1024
nut_factor = { spread = 0.1, why = "known" }
parameter = [
  { name = "m", acts = "friction", median = 0.12, spread = 0.3, present = 0.12, why = "-" },
  { name = "t", acts = "friction-spread", median = 0.2, spread = 0.0, present = 0.2, why = "-" },
  { name = "a", acts = "plate-lever", median = 1.0, spread = 0.2, present = 1.0, why = "-" },
  { name = "s", acts = "model-error", median = 0.15, spread = 0.0, present = 0.15, why = "-" },
]
row = [
  { id = "one", case = "A", scenario = "x", quantity = "velocity_change_mps", error = "s", says = { value = 1.3, reading = 0.05 }, why = "-" },
  { id = "two", case = "B", scenario = "x", quantity = "velocity_change_mps", error = "s", says = { value = 1.6, reading = 0.05 }, why = "-" },
]
"#;

fn linear() -> (Evidence, Responses) {
    let evidence = read_evidence("evidence.toml", LINEAR).unwrap();
    let even = |end: f64| vec![-end, 0.0, end];
    let levels = [even(3.0), even(2.0), even(2.0), vec![0.0], vec![0.0]];
    let run = Surface::of(levels, &|x| (x[0] + x[1], 0.0));
    let one = || Response {
        run: run.clone(),
        against: None,
        error: 0.0,
    };
    let of = vec![one(), one()];
    (evidence, Responses { of, runs: 0 })
}

/// Posterior of ln(m/0.12): precision 1/0.3^2 + 2/s^2 with s^2 = 0.2^2 + 0.1^2 + 0.15^2 + 0.05^2 = 0.075,
/// mean (ln 1.3 + ln 1.6)/0.075 over it.
#[test]
fn a_linear_problem_has_its_closed_form() {
    let (evidence, responses) = linear();
    let cloud = draws(&evidence, &responses, None).unwrap();
    let logs: Vec<f64> = cloud.draws.iter().map(|z| 0.3 * z[0]).collect();
    let n = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / n;
    let deviation = (logs.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / n).sqrt();
    let precision = 1.0 / 0.09 + 2.0 / 0.075;
    let expected = (libm::log(1.3) + libm::log(1.6)) / 0.075 / precision;
    let expected_deviation = (1.0 / precision).sqrt();
    // Three standard errors of 1024 draws of which about two thirds are worth one.
    assert!((mean - expected).abs() < 0.018, "{mean} {expected}");
    assert!(
        (deviation / expected_deviation - 1.0).abs() < 0.09,
        "{deviation} {expected_deviation}"
    );

    let told = calibrate(&evidence, &responses).unwrap();
    // The first row from the second alone: mean ln 1.6/0.075/(1/0.09 + 1/0.075), variance 1/(...) + 0.075.
    let precision = 1.0 / 0.09 + 1.0 / 0.075;
    let middle = libm::log(1.6) / 0.075 / precision;
    let wide = (1.0 / precision + 0.075).sqrt();
    let row = &told.rows[0];
    assert!(
        (libm::log(row.predicted[2]) - middle).abs() < 0.03,
        "{row:?}"
    );
    let width = libm::log(row.predicted[4] / row.predicted[0]) / (2.0 * 1.645 * wide);
    assert!((width - 1.0).abs() < 0.06, "{width}");
    // ln 1.6 lies 0.96 deviations above what the first row predicts: not in the middle half.
    assert_eq!(told.coverage, [2, 1, 2]);
    assert_eq!(told.rows[0].at_present, 1.0);
    // What no row tells of keeps its prior.
    let lever = &told.parameters[2];
    assert!(
        (lever.kept - 1.0).abs() < 0.12 && lever.moved.abs() < 0.15,
        "{lever:?}"
    );
    assert_eq!(calibrate(&evidence, &responses).unwrap(), told);
}

/// A row that names no number is the probability of what is in print.
#[test]
fn rows_without_a_number() {
    let text = LINEAR
        .replace(
            "{ value = 1.3, reading = 0.05 }",
            "{ most = 1.0, reading = 0.05 }",
        )
        .replace(
            "{ value = 1.6, reading = 0.05 }",
            "{ outcomes = 1.0, reading = 0.05 }",
        );
    let evidence = read_evidence("evidence.toml", &text).unwrap();
    let (_, mut responses) = linear();
    let levels = [(); 5].map(|()| vec![0.0]);
    for of in &mut responses.of {
        of.run = Surface::of(levels.clone(), &|_| (0.0, 0.25));
    }
    let told = calibrate(&evidence, &responses).unwrap();
    assert_eq!(told.coverage, [0, 0, 0]);
    assert!(
        (told.rows[0].probability - 0.5).abs() < 1e-3,
        "{:?}",
        told.rows[0]
    );
    // 6 (0.75/2)^2 0.25
    assert!(
        (told.rows[1].probability - 0.2109).abs() < 1e-3,
        "{:?}",
        told.rows[1]
    );
}

#[test]
fn a_surface_is_straight_between_its_points_and_level_beyond() {
    let levels = [
        vec![0.0, 1.0, 3.0],
        vec![0.0, 1.0],
        vec![0.0],
        vec![-1.0, 1.0],
        vec![0.0, 2.0],
    ];
    let s = Surface::of(levels, &|x| {
        (2.0 * x[0] + x[1] - 3.0 * x[3] + 4.0 * x[4], x[1])
    });
    let (value, held) = s.at([2.5, 0.25, 7.0, 0.5, 1.5]);
    assert!((value - (5.0 + 0.25 - 1.5 + 6.0)).abs() < 1e-12 && (held - 0.25).abs() < 1e-12);
    assert_eq!(
        s.at([9.0, 9.0, 9.0, -9.0, 9.0]),
        (6.0 + 1.0 + 3.0 + 8.0, 1.0)
    );
}

#[test]
fn wrong_evidence_is_refused() {
    let refused = |from: &str, to: &str| {
        let text = LINEAR.replacen(from, to, 1);
        read_evidence("evidence.toml", &text)
            .unwrap_err()
            .to_string()
    };
    assert!(refused("value = 1.3", "value = nan").contains("above 0"));
    assert!(refused("value = 1.3", "value = 0.0").contains("above 0"));
    assert!(refused("spread = 0.3", "spread = inf").contains("`m`"));
    assert!(refused("id = \"two\"", "id = \"one\"").contains("another row"));
    assert!(refused("acts = \"plate-lever\"", "acts = \"front\"").contains("PlateLever"));
    let ratio = "{ name = \"r\", acts = \"static-ratio\", median = 1.5, spread = 0.2, present = 1.5, why = \"-\" },\n";
    let twice = format!("parameter = [\n{ratio}{ratio}");
    assert!(refused("parameter = [\n", &twice).contains("StaticRatio"));
    assert!(refused("value = 1.3", "ratio = 1.3").contains("against"));
    assert!(refused("error = \"s\"", "error = \"m\"").contains("model error"));
    assert!(refused("error = \"s\", ", "").contains("error"));
    assert!(read_evidence("evidence.toml", "").is_err());
}

/// What is shipped was made from the evidence that is shipped, and its counts are those of its rows.
#[test]
fn the_stored_result_fits_its_evidence() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../scenarios/published/evidence.toml"
    );
    let evidence = read_evidence("evidence.toml", &std::fs::read_to_string(path).unwrap()).unwrap();
    let s = stored().expect("crates/study/assets/shared.json");
    let names: Vec<&str> = evidence.parameter.iter().map(|p| p.name.as_str()).collect();
    let stored_names: Vec<&str> = s.parameters.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, stored_names);
    for (p, q) in evidence.parameter.iter().zip(&s.parameters) {
        assert_eq!(
            ([p.median, p.spread], p.present, p.acts),
            (q.prior, q.present, q.acts)
        );
        assert!(q.quantiles.is_sorted() && q.quantiles[0] > 0.0, "{q:?}");
    }
    let rows: Vec<_> = evidence
        .row
        .iter()
        .map(|r| (&r.id, r.counted, r.says.number()))
        .collect();
    let stored_rows: Vec<_> = s
        .rows
        .iter()
        .map(|r| (&r.id, r.counted, r.measured))
        .collect();
    assert_eq!(rows, stored_rows);
    let numbers: Vec<_> = s
        .rows
        .iter()
        .filter(|r| r.counted && r.measured.is_some())
        .collect();
    let within = |low: usize, high: usize| {
        let inside = |r: &&&giveway_study::shared::SharedRow| {
            let m = r.measured.unwrap();
            (r.predicted[low]..=r.predicted[high]).contains(&m)
        };
        numbers.iter().filter(inside).count()
    };
    assert_eq!(s.coverage, [numbers.len(), within(1, 3), within(0, 4)]);
    assert!(s.draws.len() == 32 && s.draws.iter().all(|d| d.len() == names.len()));
    assert_eq!(
        (s.chosen.as_str(), s.nut_spread),
        (evidence.chosen.as_str(), evidence.nut_factor.spread)
    );
}
