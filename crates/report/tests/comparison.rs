//! Two bases side by side: what was found is drawn where it stands, and bad numbers are refused.

#[path = "../../results/tests/fixture/mod.rs"]
mod fixture;

use giveway_draw::DrawError;
use giveway_impact::outcome::{BarOutcome, Snapshot};
use giveway_report::{Instant, Picture, ReportError, Side, comparison};
use giveway_scenario::model::{
    AsFound, Conduit, Grout, NotchLump, Plate, Scenario, SoilBehind, Stub,
};

const RED: &str = "#A81E1E";
const GROUT: &str = "#E9DCBF";
const STRAW: &str = "#E6BC3C";

/// The fixture's base beside the same with something found, at its first and last instant.
fn draw(found: AsFound, bars: &[BarOutcome]) -> Result<Picture, ReportError> {
    let snapshots = fixture::engagement().snapshots;
    draw_at(found, bars, &[&snapshots[0], snapshots.last().unwrap()])
}

fn draw_at(
    found: AsFound,
    bars: &[BarOutcome],
    shown: &[&Snapshot],
) -> Result<Picture, ReportError> {
    let sound = fixture::scenario();
    let faulty = Scenario {
        as_found: found,
        ..sound.clone()
    };
    let side = |heading: &str, scenario| Side {
        heading: heading.to_owned(),
        scenario,
        instants: shown
            .iter()
            .map(|&snapshot| Instant {
                snapshot,
                bars,
                words: "Something is seen.".to_owned(),
            })
            .collect(),
        result: format!("{heading}: came out."),
    };
    let sides = [side("sound", &sound), side("faulty", &faulty)];
    comparison("pair", ("Title", "facts", "Caution."), &sides)
}

fn stub() -> Stub {
    Stub {
        azimuth_rad: 0.0,
        projection_m: 0.025,
        gap_m: 0.01,
        diameter_m: 0.025,
        ultimate_pa: 400e6,
    }
}

/// Marks of the colour of bars: the legend is text and has none.
fn red(p: &Picture) -> usize {
    p.svg.matches(RED).count()
}

#[test]
fn both_bases_and_what_came_of_them_are_told() {
    let p = draw(AsFound::default(), &[]).unwrap();
    assert!(p.svg.starts_with("<svg") && p.svg.trim_end().ends_with("</svg>"));
    for words in ["sound: came out.", "faulty: came out.", "Caution."] {
        assert!(p.svg.contains(words), "{words}");
    }
    assert!(p.alt_text.contains("sound, 0 ms: Something is seen."));
    assert!(p.alt_text.contains("faulty: came out."));
    assert_eq!(p, draw(AsFound::default(), &[]).unwrap());
    assert_eq!((red(&p), p.svg.matches(GROUT).count()), (0, 0));
}

#[test]
fn a_stub_stands_in_both_views_at_every_instant_until_it_gives_way() {
    let found = || AsFound {
        stubs: vec![stub()],
        ..AsFound::default()
    };
    assert_eq!(red(&draw(found(), &[]).unwrap()), 4);
    let gone = BarOutcome {
        stub: Some(1),
        limit_n: 118e3,
        peak_n: 118e3,
        sheared: true,
        energy_j: 1.0,
    };
    // Its outline is then dashed: several strokes.
    let dashed = draw(found(), std::slice::from_ref(&gone)).unwrap();
    assert!(red(&dashed) > 12, "{}", red(&dashed));
    // What became of another bar does not matter.
    let other = BarOutcome { stub: None, ..gone };
    assert_eq!(red(&draw(found(), &[other]).unwrap()), 4);
}

#[test]
fn a_conduit_stands_too() {
    let found = AsFound {
        conduit: Some(Conduit {
            projection_m: 0.03,
            gap_m: 0.02,
            diameter_m: 0.06,
            wall_m: 0.0037,
            ultimate_pa: 310e6,
        }),
        ..AsFound::default()
    };
    assert_eq!(red(&draw(found, &[]).unwrap()), 4);
}

#[test]
fn grout_lies_around_every_bolt_or_around_those_that_are_named() {
    let grout = |bolts: &[usize]| AsFound {
        grout: Some(Grout {
            notch_gap_m: None,
            gap_m: -0.01,
            strength_pa: 28e6,
            cover_m: 0.15,
            bolts: bolts.to_vec(),
        }),
        ..AsFound::default()
    };
    let pads = |p: Picture| p.svg.matches(GROUT).count();
    // One pad in two views at two instants; two bolts, twice as many.
    assert_eq!(pads(draw(grout(&[]), &[]).unwrap()), 4);
    assert_eq!(pads(draw(grout(&[1, 3]), &[]).unwrap()), 8);
}

#[test]
fn lumps_are_seen_from_above_and_soil_is_hatched() {
    let lump = AsFound {
        lump: Some(NotchLump {
            height_m: 0.004,
            length_m: 0.01,
            width_m: 0.01,
            ultimate_pa: 120e6,
            plate: Plate::Lower,
            bolts: vec![2],
        }),
        ..AsFound::default()
    };
    assert_eq!(draw(lump, &[]).unwrap().svg.matches(STRAW).count(), 2);
    let soil = AsFound {
        soil: Some(SoilBehind {
            azimuth_rad: 0.0,
            gap_m: 0.08,
            height_m: 0.2,
            slope_rad: 0.45,
            friction_angle_rad: 0.55,
            cohesion_pa: 0.0,
            unit_weight_npm3: 18e3,
        }),
        ..AsFound::default()
    };
    let lines = |p: Picture| p.svg.matches("<polyline").count();
    let plain = lines(draw(AsFound::default(), &[]).unwrap());
    assert!(lines(draw(soil, &[]).unwrap()) > plain + 20);
}

#[test]
fn a_turned_base_and_a_high_one_are_drawn_as_found() {
    let plain = draw(AsFound::default(), &[]).unwrap();
    for found in [
        AsFound {
            turned_rad: 0.5,
            ..AsFound::default()
        },
        AsFound {
            slip_plane_height_m: Some(0.15),
            ..AsFound::default()
        },
    ] {
        assert_ne!(draw(found, &[]).unwrap().svg, plain.svg);
    }
}

#[test]
fn nothing_to_show_and_bad_numbers_are_errors() {
    let none = draw_at(AsFound::default(), &[], &[]);
    assert_eq!(none, Err(ReportError::NoSnapshots));
    let mut bad = fixture::engagement().snapshots[0].clone();
    bad.plate_centre_m[2] = f64::NAN;
    let refused = draw_at(AsFound::default(), &[], &[&bad]);
    assert!(
        matches!(refused, Err(ReportError::Drawing(DrawError::NotFinite { figure, .. })) if figure == "pair")
    );
}
