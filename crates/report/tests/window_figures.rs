//! Figures of a window, a fragility curve and directions, from the computation itself on an invented pole.

mod markup;

use giveway_report::FigureFile;
use giveway_report::study_figures::{
    WindowPicture, directions_figure, fragility_figure, window_figure,
};
use giveway_scenario::model::Scenario;
use giveway_study::analysis::ColumnLimit;
use giveway_study::window::{
    CaseRequest, Confidence, FragilityRequest, Scatter, cases, confident_window, fragility, table,
    torque_window,
};
use giveway_study::{Supports, directions};
use markup::well_formed;

const CAUTION: &str = "An estimate.";
const FIRST: &str = include_str!("../../../scenarios/first.toml");

fn first() -> Scenario {
    giveway_scenario::read(FIRST, "first.toml", &[])
        .unwrap()
        .scenario
}

fn sound(f: &FigureFile) {
    if let Some(folder) = std::env::var_os("GIVEWAY_FIGURES") {
        let path = std::path::Path::new(&folder).join(&f.name);
        std::fs::write(path.with_extension("png"), &f.png).unwrap();
        std::fs::write(path.with_extension("svg"), &f.svg).unwrap();
    }
    assert!(
        !f.svg.contains("NaN") && !f.svg.contains("inf\""),
        "{}",
        f.name
    );
    let page = format!("<!DOCTYPE html>\n{}", f.svg);
    well_formed(&page).unwrap_or_else(|e| panic!("{}: {e}", f.name));
    assert!(f.alt_text.len() > 100, "{}", f.alt_text);
    assert!(f.svg.contains(CAUTION));
}

#[test]
fn a_window_with_its_scatter_is_drawn() {
    let (design, supports) = (first(), Supports::new());
    let list = cases(FIRST, "first.toml", &[], &CaseRequest::default()).unwrap();
    let window = torque_window(&design, &list, &supports).unwrap();
    let scatter = Scatter::standard(&design).unwrap();
    let asked = Confidence {
        level: 0.9,
        realisations: 40,
        root: 1,
    };
    let confident = confident_window(&design, &list, &window, &scatter, asked, &supports).unwrap();
    let table = table(&design, &list, &window, &supports).unwrap();
    let picture = WindowPicture {
        title: &design.title,
        window: &window,
        table: &table,
        confident: Some(&confident),
        caution: CAUTION,
    };
    let figure = window_figure("window", &picture).unwrap();
    sound(&figure);
    assert_eq!(figure, window_figure("window", &picture).unwrap());
    // What the window says is what the picture says.
    match window.window_nm {
        Some([from, to]) => {
            let text = format!("Torque window: {from:.0} to {to:.0} N.m");
            assert!(figure.svg.contains(&text), "{text}");
        }
        None => assert!(figure.svg.contains("Torque window: none")),
    }
    assert!(figure.svg.contains("window at 90 % confidence"));
    for case in &window.cases {
        assert!(figure.alt_text.contains(&format!("{}: ", case.name)));
    }
    let request = FragilityRequest {
        torques_nm: (1..=8).map(|i| 60.0 * f64::from(i)).collect(),
        realisations: 40,
        root: 1,
    };
    let curve = fragility(&list[0], &scatter, &request, &supports).unwrap();
    let figure = fragility_figure("fragility-1", &design.title, &curve, CAUTION).unwrap();
    sound(&figure);
    assert!(figure.alt_text.contains("of 40 runs"));
}

#[test]
fn a_base_is_drawn_from_all_sides() {
    let design = first();
    let all = directions(&design, 24, &Supports::new()).unwrap();
    let limit = ColumnLimit::of("velocity_change_mps", Some("aashto-1994"));
    let draw = |list: &[giveway_study::Direction]| {
        directions_figure(
            "directions",
            &design.title,
            &design.base,
            list,
            limit.as_ref(),
            CAUTION,
        )
    };
    let figure = draw(&all).unwrap();
    sound(&figure);
    assert_eq!(figure, draw(&all).unwrap());
    let mut one = draw(&all[..1]).unwrap();
    one.name = "directions-one".to_owned();
    sound(&one);
    let problem = draw(&[]).unwrap_err().to_string();
    assert!(problem.contains("no direction"), "{problem}");
}
