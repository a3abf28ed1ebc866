//! Figures of studies from invented analyses: well-formed, finite, the same twice, with marks where the base holds.

mod markup;

use giveway_report::FigureFile;
use giveway_report::study_figures::study_figures;
use giveway_study::analysis::{
    Analysis, AxisValues, ColumnLimit, Curve, CurvePoint, CurveSet, Exceedance, ExceedancePoint,
    Fixed, Indices, IndicesFactor, Screening, ScreeningFactor, Settled, Side, Surface, SurfaceCell,
    contour,
};
use markup::well_formed;

const CAUTION: &str = "An estimate.";

fn axis(column: &str, values: &[f64]) -> AxisValues {
    AxisValues {
        column: column.to_owned(),
        values: values.to_vec(),
        words: Vec::new(),
        bins: Vec::new(),
    }
}

fn limit(value: f64) -> Option<ColumnLimit> {
    Some(ColumnLimit {
        value,
        preferred: None,
        beyond: Side::Above,
        source: "an invented document <1> & more".to_owned(),
    })
}

fn empty() -> Analysis {
    Analysis {
        format: 1,
        title: "Harrow Vale <test> & more".to_owned(),
        plan_hash: String::new(),
        model_version: 1,
        runs: 63,
        failed: 1,
        missing: 0,
        surfaces: Vec::new(),
        curves: Vec::new(),
        exceedances: Vec::new(),
        screenings: Vec::new(),
        indices: Vec::new(),
        notes: Vec::new(),
    }
}

fn surface(
    nx: usize,
    ny: usize,
    value: impl Fn(f64, f64) -> Option<f64>,
    held_from: f64,
) -> Surface {
    let x: Vec<f64> = (0..nx).map(|i| 50.0 + 25.0 * i as f64).collect();
    let y: Vec<f64> = (0..ny).map(|i| 6.0 + 3.0 * i as f64).collect();
    let cells: Vec<Vec<SurfaceCell>> = (y.iter())
        .map(|y| {
            (x.iter())
                .map(|x| {
                    let value = value(*x, *y);
                    SurfaceCell {
                        runs: 1,
                        failed: u64::from(value.is_none()),
                        held: u64::from(*x >= held_from),
                        without_value: 0,
                        value,
                    }
                })
                .collect()
        })
        .collect();
    let mut s = Surface {
        value: "velocity_change_mps".to_owned(),
        x: axis("slip_base_clamp_torque_nm", &x),
        y: axis("impact_speed_mps", &y),
        fixed: vec![Fixed {
            column: "vehicle_mass_kg".to_owned(),
            value: Some(1100.0),
            word: None,
        }],
        quantile: 0.5,
        most_runs: 1,
        cells,
        limit: limit(4.88),
        limit_lines: Vec::new(),
        tells_endings: true,
    };
    s.limit_lines = contour(&s.x.values, &s.y.values, &s.values(), 4.88);
    s
}

fn sound(f: &FigureFile) {
    assert!(
        !f.svg.contains("NaN") && !f.svg.contains("inf"),
        "{}",
        f.name
    );
    let page = format!("<!DOCTYPE html>\n{}", f.svg);
    well_formed(&page).unwrap_or_else(|e| panic!("{}: {e}", f.name));
    assert!(f.alt_text.len() > 60, "{}", f.alt_text);
    assert!(!f.alt_text.contains("NaN"), "{}", f.alt_text);
    assert_eq!(&f.png[1..4], b"PNG");
    assert!(f.svg.contains(CAUTION));
}

fn drawn(analysis: &Analysis) -> Vec<FigureFile> {
    let figures = study_figures(analysis, CAUTION).unwrap();
    // To look at them: GIVEWAY_FIGURES=folder.
    if let Some(folder) = std::env::var_os("GIVEWAY_FIGURES") {
        for f in &figures {
            let path = std::path::Path::new(&folder).join(&f.name);
            std::fs::write(path.with_extension("png"), &f.png).unwrap();
        }
    }
    figures.iter().for_each(sound);
    // The same bytes twice.
    assert_eq!(figures, study_figures(analysis, CAUTION).unwrap());
    figures
}

/// Strokes of hatching: dark lines of the width that only hatching has, on the grid of eight.
fn hatching(f: &FigureFile) -> usize {
    f.svg.matches("stroke-width=\"13\"").count()
}

#[test]
fn a_surface_marks_what_does_not_let_go() {
    let plane = |x: f64, y: f64| Some(0.015 * x + 0.12 * y);
    let mut analysis = empty();
    analysis.surfaces = vec![surface(9, 7, plane, 200.0)];
    let with = drawn(&analysis).remove(0);
    assert!(
        with.alt_text.contains("The base holds at 21 of 63 places"),
        "{}",
        with.alt_text
    );
    assert!(with.svg.contains("no release"));
    assert!(hatching(&with) > 21);
    analysis.surfaces = vec![surface(9, 7, plane, 1e9)];
    let without = drawn(&analysis).remove(0);
    assert_eq!(hatching(&without), 0);
    assert!(without.svg.contains("The base lets go everywhere."));
}

#[test]
fn flat_empty_and_tiny_surfaces_are_drawn_all_the_same() {
    let mut analysis = empty();
    let hole = |x: f64, y: f64| (x > 60.0 || y > 7.0).then_some(3.0);
    analysis.surfaces = vec![
        surface(9, 7, |_, _| Some(3.0), 1e9),
        surface(9, 7, |_, _| Some(3.0), 0.0),
        surface(2, 2, |_, _| None, 1e9),
        surface(2, 3, hole, 100.0),
        surface(4, 4, |_, _| Some(-1e9), 1e9),
    ];
    let mut words = surface(3, 4, |x, y| Some(0.01 * x + y), 100.0);
    words.x.words = ["clean", "grouted and rusted", "keeper <missing>"]
        .map(str::to_owned)
        .to_vec();
    words.x.values = vec![0.0, 1.0, 2.0];
    analysis.surfaces.push(words);
    let names: Vec<String> = drawn(&analysis).into_iter().map(|f| f.name).collect();
    let mut once = names.clone();
    once.dedup();
    assert_eq!(names, once);
}

fn curve(of: Option<f64>, held_from: f64) -> Curve {
    Curve {
        of: of.map(|v| Fixed {
            column: "impact_speed_mps".to_owned(),
            value: Some(v),
            word: None,
        }),
        points: (0..9)
            .map(|i| {
                let x = 50.0 + 40.0 * f64::from(i);
                let m = 1.0 + 0.01 * x;
                CurvePoint {
                    x,
                    runs: 10,
                    failed: u64::from(i == 4),
                    held: if x >= held_from { 10 } else { 0 },
                    quantiles: (i != 6).then_some([0.7 * m, 0.9 * m, m, 1.1 * m, 1.4 * m]),
                }
            })
            .collect(),
    }
}

#[test]
fn curves_shares_and_sensitivities_are_drawn() {
    let x: Vec<f64> = (0..9).map(|i| 50.0 + 40.0 * f64::from(i)).collect();
    let mut analysis = empty();
    let set = |curves: Vec<Curve>, most_runs| CurveSet {
        value: "oiv_longitudinal_mps".to_owned(),
        x: axis("slip_base_clamp_torque_nm", &x),
        fixed: Vec::new(),
        curves,
        limit: limit(5.0),
        most_runs,
    };
    analysis.curves = vec![
        set(vec![curve(None, 1e9)], 10),
        set(
            (1..5).map(|i| curve(Some(f64::from(i)), 250.0)).collect(),
            1,
        ),
    ];
    let share = |i: u64| ExceedancePoint {
        x: x[i as usize],
        runs: 20,
        without_value: i,
        beyond: 2 * i,
        held: i,
        share: i as f64 / 10.0,
        interval: [0.05 * i as f64, (0.15 + 0.1 * i as f64).min(1.0)],
    };
    analysis.exceedances = vec![Exceedance {
        value: "oiv_longitudinal_mps".to_owned(),
        limit: limit(5.0).unwrap(),
        x: axis("slip_base_clamp_torque_nm", &x),
        fixed: Vec::new(),
        points: (0..9).map(share).collect(),
        settling_at: 250.0,
        settling: vec![
            Settled {
                runs: 16,
                share: 0.4,
                interval: [0.2, 0.65],
            },
            Settled {
                runs: 20,
                share: 0.5,
                interval: [0.3, 0.7],
            },
        ],
        confidence: 0.95,
    }];
    analysis.screenings = vec![Screening {
        value: "velocity_change_mps".to_owned(),
        fixed: Vec::new(),
        factors: (0..6)
            .map(|i| ScreeningFactor {
                column: ["nut_factor", "friction_inner", "mass_shift_kg"][i % 3].to_owned(),
                mean: 0.1,
                mean_absolute: 0.2 / (1.0 + i as f64),
                mean_absolute_interval: [0.1 / (1.0 + i as f64), 0.3 / (1.0 + i as f64)],
                deviation: 0.05,
                deviation_interval: [0.02, 0.1],
                used: 10,
            })
            .collect(),
        complete: "all 60 effects".to_owned(),
        trajectories: 10,
        confidence: 0.95,
    }];
    analysis.indices = vec![Indices {
        value: "velocity_change_mps".to_owned(),
        fixed: Vec::new(),
        mean: 3.0,
        variance: 0.2,
        factors: (0..5)
            .map(|i| IndicesFactor {
                column: ["nut_factor", "friction_inner", "mass_shift_kg"][i % 3].to_owned(),
                first: 0.4 - 0.11 * i as f64,
                first_interval: [0.3 - 0.11 * i as f64, 0.5 - 0.11 * i as f64],
                total: 0.6 - 0.1 * i as f64,
                total_interval: [0.5 - 0.1 * i as f64, 0.7 - 0.1 * i as f64],
            })
            .collect(),
        complete: "all 64 rows".to_owned(),
        confidence: 0.95,
    }];
    let figures = drawn(&analysis);
    assert_eq!(figures.len(), 5);
    assert!(
        figures[1]
            .alt_text
            .contains("the base holds from 250 N.m to 370 N.m"),
        "{}",
        figures[1].alt_text
    );
}

#[test]
fn a_number_that_is_not_finite_is_named() {
    let mut analysis = empty();
    analysis.surfaces = vec![surface(3, 3, |_, _| Some(f64::NAN), 1e9)];
    let problem = study_figures(&analysis, CAUTION).unwrap_err().to_string();
    assert!(problem.contains("velocity_change_mps"), "{problem}");
}

/// Seen: of classes along the axis the words said that the estimate settles "at 1", while the picture named the class.
#[test]
fn the_text_alternative_names_the_place_that_the_picture_names() {
    let mut analysis = empty();
    analysis.exceedances = vec![Exceedance {
        value: "oiv_longitudinal_mps".to_owned(),
        limit: limit(5.0).unwrap(),
        x: AxisValues {
            words: ["small-car-1100", "pickup-2270"]
                .map(str::to_owned)
                .to_vec(),
            ..axis("vehicle_class", &[0.0, 1.0])
        },
        fixed: Vec::new(),
        points: (0..2_u32)
            .map(|i| ExceedancePoint {
                x: f64::from(i),
                runs: 20,
                without_value: 0,
                beyond: 5,
                held: 0,
                share: 0.25,
                interval: [0.1, 0.5],
            })
            .collect(),
        settling_at: 1.0,
        settling: vec![Settled {
            runs: 20,
            share: 0.25,
            interval: [0.1, 0.5],
        }],
        confidence: 0.95,
    }];
    let words = &drawn(&analysis)[0].alt_text;
    assert!(
        words.contains("the estimate at pickup-2270 against the number of runs; 25 % after 20"),
        "{words}"
    );
}
