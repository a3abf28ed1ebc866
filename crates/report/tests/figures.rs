//! Figures of an invented engagement, and of the worst that a run could hand over.

#[path = "../../results/tests/fixture/mod.rs"]
mod fixture;

use giveway_impact::outcome::{Engagement, Trace};
use giveway_report::{FigureFile, ReportError, draw_all};
use giveway_scenario::model::{Anchorage, Scenario, StruckFace};

fn draw(scenario: &Scenario, engagement: &Engagement) -> Result<Vec<FigureFile>, ReportError> {
    let summary = fixture::summary(&fixture::scenario(), &fixture::engagement());
    draw_all(scenario, engagement, &summary)
}

#[test]
fn every_figure_is_painted() {
    let files = draw(&fixture::scenario(), &fixture::engagement()).unwrap();
    let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(
        names,
        ["motion", "contact", "joint", "energy", "storyboard"]
    );
    // To look at them: GIVEWAY_FIGURES=folder.
    if let Some(folder) = std::env::var_os("GIVEWAY_FIGURES") {
        for f in &files {
            let path = std::path::Path::new(&folder).join(&f.name);
            std::fs::write(path.with_extension("svg"), &f.svg).unwrap();
            std::fs::write(path.with_extension("png"), &f.png).unwrap();
        }
    }
    for f in &files {
        assert!(
            f.svg.starts_with("<svg") && f.svg.trim_end().ends_with("</svg>"),
            "{}",
            f.name
        );
        assert!(f.svg.contains("width=\"1400\""), "{}", f.name);
        assert!(f.svg.contains("font-family=\"sans-serif\""), "{}", f.name);
        assert!(f.svg.contains("Engineering estimate."), "{}", f.name);
        // Width in the header of a PNG: bytes 16 to 19.
        assert_eq!(f.png[16..20], 1400_u32.to_be_bytes(), "{}", f.name);
        assert!(f.alt_text.len() > 150, "{}", f.name);
        assert!(!f.svg.contains("NaN"), "{}", f.name);
        assert!(
            f.svg.len() < 800_000 && f.png.len() < 1_500_000,
            "{}",
            f.name
        );
    }
    let alt = |name: &str| &files.iter().find(|f| f.name == name).unwrap().alt_text;
    assert!(alt("motion").contains("35.0 km/h") && alt("motion").contains("2.45 m/s"));
    assert!(alt("contact").contains("104.0 kN after 9.5 ms"));
    assert!(alt("joint").contains("bolt 1 left by the upper plate at 15.0 ms"));
    assert!(alt("energy").contains("crush of the vehicle 4.20 kJ"));
    assert!(alt("storyboard").contains("6 instants"));
}

// Seen: with an arm of 9 m across the road the plan view showed the arm's tip alone; car and base were cut off below.
// Expected: the pole's foot, a disc in its plan, stands in the plan of each instant, whatever the arm's reach.
#[test]
fn a_long_arm_keeps_the_foot_in_the_plan() {
    let disc = |polygon: &str| -> bool {
        let points = polygon.split("points=\"").nth(1).unwrap_or_default();
        let points: Vec<(f64, f64)> = points
            .split('"')
            .next()
            .unwrap_or_default()
            .split_whitespace()
            .filter_map(|p| p.split_once(','))
            .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
            .collect();
        let span = |of: fn(&(f64, f64)) -> f64| {
            let values = points.iter().map(of);
            values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min)
        };
        polygon.contains("#4A5560")
            && points.len() >= 20
            && (span(|p| p.0) - span(|p| p.1)).abs() <= 2.0
    };
    let mut seen = None;
    for reach_m in [2.4, 9.0, 20.0] {
        let mut run = fixture::engagement();
        for point in run
            .snapshots
            .iter_mut()
            .flat_map(|s| s.arms_m.iter_mut().flatten())
        {
            point[1] *= reach_m / 2.4;
        }
        let files = draw(&fixture::scenario(), &run).unwrap();
        let storyboard = files.iter().find(|f| f.name == "storyboard").unwrap();
        let feet = storyboard.svg.split("<polygon").filter(|p| disc(p)).count();
        // Besides the six plans: the close-ups show the pole's section, whatever the reach.
        assert_eq!(feet, *seen.get_or_insert(feet), "an arm of {reach_m} m");
        assert!(feet >= 6, "{feet}");
    }
}

#[test]
fn the_same_run_gives_the_same_pictures() {
    let draw = || draw(&fixture::scenario(), &fixture::engagement()).unwrap();
    assert_eq!(draw(), draw());
}

#[test]
fn an_empty_trace_and_no_snapshots_are_errors() {
    let mut e = fixture::engagement();
    e.trace = Trace::default();
    assert_eq!(draw(&fixture::scenario(), &e), Err(ReportError::EmptyTrace));
    let mut e = fixture::engagement();
    e.snapshots.clear();
    assert_eq!(
        draw(&fixture::scenario(), &e),
        Err(ReportError::NoSnapshots)
    );
}

#[test]
fn numbers_that_are_not_finite_are_named() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
        let mut e = fixture::engagement();
        let column = e
            .trace
            .columns
            .iter_mut()
            .find(|c| c.name == "crush_m")
            .unwrap();
        column.values[1000] = bad;
        let text = draw(&fixture::scenario(), &e).unwrap_err().to_string();
        assert!(
            text.contains("crush_m") && text.contains("row 1001"),
            "{text}"
        );

        let mut e = fixture::engagement();
        e.trace.time_s[3] = bad;
        let text = draw(&fixture::scenario(), &e).unwrap_err().to_string();
        assert!(text.contains("time_s"), "{text}");

        let mut e = fixture::engagement();
        e.snapshots[2].pole_axis_m[5][1] = bad;
        let text = draw(&fixture::scenario(), &e).unwrap_err().to_string();
        assert!(text.contains("last bolt released"), "{text}");

        let mut e = fixture::engagement();
        e.snapshots[0].vehicle_rotation = [bad, 0.0, 0.0, 0.0];
        assert!(draw(&fixture::scenario(), &e).is_err());
    }
    let mut e = fixture::engagement();
    e.trace
        .columns
        .retain(|c| c.name != "dent_m" && c.name != "energy_dent_j");
    let text = draw(&fixture::scenario(), &e).unwrap_err().to_string();
    assert!(text.contains("energy_dent_j"), "{text}");
    let mut e = fixture::engagement();
    e.trace.columns[4].values.truncate(10);
    let text = draw(&fixture::scenario(), &e).unwrap_err().to_string();
    assert!(
        text.contains("vehicle_vy_mps") && text.contains("10 values"),
        "{text}"
    );
}

#[test]
fn unusual_runs_are_drawn_all_the_same() {
    // Nothing moves: every range has zero width.
    let mut e = fixture::engagement();
    for c in &mut e.trace.columns {
        c.values.fill(0.0);
    }
    e.release_time_s = None;
    e.contact_end_time_s = None;
    for b in &mut e.bolts {
        b.release_time_s = None;
    }
    draw(&fixture::scenario(), &e).unwrap();

    // A fixed obstacle without bolts, struck by the side, sliding across the road.
    let mut s = fixture::scenario();
    s.base.anchorage = Anchorage::Fixed;
    s.impact.face = StruckFace::LeftSide;
    s.impact.velocity_direction_rad = 2.0;
    e.bolts.clear();
    for snapshot in &mut e.snapshots {
        snapshot.bolts_m.clear();
    }
    draw(&s, &e).unwrap();

    // No outline, no arms, one snapshot with the least that there can be.
    s.vehicle.outline.clear();
    s.vehicle.guided = true;
    s.support.arms.clear();
    e.snapshots.truncate(1);
    e.snapshots[0].arms_m.clear();
    e.snapshots[0].pole_axis_m.truncate(1);
    e.snapshots[0].crush_m.clear();
    draw(&s, &e).unwrap();
    e.snapshots[0].pole_axis_m.clear();
    draw(&s, &e).unwrap();

    // Two instants only; a very tall pole; bodies far apart.
    let mut e = fixture::engagement();
    e.trace.time_s.truncate(2);
    for c in &mut e.trace.columns {
        c.values.truncate(2);
    }
    for p in &mut e.snapshots[5].pole_axis_m {
        p[0] += 900.0;
        p[2] *= 8.0;
    }
    draw(&fixture::scenario(), &e).unwrap();
}
