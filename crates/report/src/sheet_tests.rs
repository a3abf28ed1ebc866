//! The drawings for every base that is plausible: no text on another, none off the paper; and one page on both sizes of paper.

use core::f64::consts::PI;

use giveway_scenario::model::Scenario;
use giveway_site::sheet::InstallationSheet;
use giveway_site::sheet::words::Say;
use giveway_units::System;

use crate::printed::drawing::{Drawing, TEXT};
use crate::sheet_section::Measures;
use crate::{sheet_chord, sheet_page, sheet_plan, sheet_section};
use giveway_draw::Anchor;

const SI: Say = Say(System::Si);
const BOTH: [Say; 2] = [SI, Say(System::Us)];
const SIZES: [(&str, &str); 7] = [
    ("M24", "8.8"),
    ("M27", "8.8"),
    ("M30", "8.8"),
    ("M36", "8.8"),
    ("7/8 in", "A325"),
    ("1 in", "A325"),
    ("1-1/4 in", "A325"),
];

fn scenario(changes: &[(&str, &str)]) -> Scenario {
    let changes: Vec<(String, String)> = (changes.iter())
        .map(|(p, v)| ((*p).to_owned(), (*v).to_owned()))
        .collect();
    giveway_scenario::read(
        include_str!("../../../scenarios/first.toml"),
        "first.toml",
        &changes,
    )
    .expect("a good scenario")
    .scenario
}

/// A US sheet said "straight edge 1.5 m", and the bolt and its circle in other numbers than the list of parts.
#[test]
fn drawings_speak_the_units_of_the_sheet() {
    let s = scenario(&[]);
    let sheet = InstallationSheet::new(&s).expect("a sheet");
    let mut m = sheet_page::measures(&sheet);
    m.say = BOTH[1];
    let thickness = [s.base.lower_plate_m, s.base.upper_plate_m];
    let drawings = [
        sheet_section::draw(&s.base, &m).0,
        sheet_chord::draw(&m, s.base.plate_radius_m, thickness, 0.2).0,
        sheet_plan::draw(&s.base, &s.support.pole, &s.support.arms, m.say).0,
    ];
    let text: String = drawings.map(|d| d.picture("", "").body).concat();
    for wanted in [
        format!(">bolt {}<", m.say.length(m.bolt_length_m)),
        format!(">bolt circle {}<", m.say.length(s.base.bolt_circle_m)),
        format!(">straight edge {}<", m.say.long(m.chord_m)),
    ] {
        assert!(text.contains(&wanted), "`{wanted}` is not in\n{text}");
    }
    assert!(!text.contains(" m<") && !text.contains(" mm<"), "{text}");
}

/// Every size with three and four bolts, small and large plates.
fn bases() -> Vec<(String, Scenario)> {
    let mut out = Vec::new();
    for (size, grade) in SIZES {
        for bolts in ["3", "4"] {
            for (circle, plate, washer) in
                [("330 mm", "25 mm", "8 mm"), ("430 mm", "32 mm", "12.5 mm")]
            {
                let changes = [
                    ("slip_base.bolt.size", size),
                    ("slip_base.bolt.grade", grade),
                    ("slip_base.bolts", bolts),
                    ("slip_base.bolt_circle", circle),
                    ("slip_base.plates.upper_thickness", plate),
                    ("slip_base.plates.lower_thickness", plate),
                    ("slip_base.washers.plate_thickness", washer),
                ];
                out.push((format!("{size} {bolts} {circle}"), scenario(&changes)));
            }
        }
    }
    out
}

#[test]
fn no_text_of_the_section_lies_on_another() {
    for (name, base) in bases() {
        for height_m in [0.030, 0.050, 0.0625, 0.075, 0.100, 0.120, 0.150] {
            for keeper in [true, false] {
                let mut s = base.clone();
                s.site.slip_plane_height_m = height_m;
                if !keeper {
                    s.base.keeper = None;
                }
                let sheet = InstallationSheet::new(&s).expect("a sheet");
                let mut m = sheet_page::measures(&sheet);
                for say in BOTH {
                    m.say = say;
                    let (drawing, _) = sheet_section::draw(&s.base, &m);
                    let found = drawing.overlaps();
                    assert!(found.is_empty(), "{name}, {height_m} m, {say:?}: {found:?}");
                    assert!(drawing.is_finite());
                }
            }
        }
    }
}

#[test]
fn no_text_of_the_plan_lies_on_another() {
    for (name, base) in bases() {
        for turned in 0..12 {
            for arm in 0..12 {
                let mut s = base.clone();
                s.base.first_bolt_azimuth_rad = f64::from(turned) * PI / 6.0;
                s.support.arms[0].azimuth_rad = f64::from(arm) * PI / 6.0;
                for say in BOTH {
                    let (pole, arms) = (&s.support.pole, &s.support.arms);
                    let (drawing, _) = sheet_plan::draw(&s.base, pole, arms, say);
                    let found = drawing.overlaps();
                    assert!(
                        found.is_empty(),
                        "{name}, turned {turned}, arm {arm}, {say:?}: {found:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn two_arms_are_told_apart() {
    for turned in 0..12 {
        let mut s = scenario(&[]);
        s.support.arms[0].azimuth_rad = f64::from(turned) * PI / 6.0;
        let mut other = s.support.arms[0].clone();
        other.azimuth_rad += PI;
        s.support.arms.push(other);
        let (drawing, _) = sheet_plan::draw(&s.base, &s.support.pole, &s.support.arms, SI);
        assert!(
            drawing.overlaps().is_empty(),
            "{turned}: {:?}",
            drawing.overlaps()
        );
        let body = drawing.picture("", "").body;
        assert!(body.contains(">arm 1<") && body.contains(">arm 2<"));
    }
}

/// The name of an arm that points away to the left stood on its own arrow and hid the head.
#[test]
fn no_name_of_an_arm_lies_on_an_arrow() {
    let mut s = scenario(&[]);
    let other = s.support.arms[0].clone();
    s.support.arms.push(other);
    for turned in 0..24 {
        for (arm, shift) in [(0, 0.0), (1, 2.0)] {
            s.support.arms[arm].azimuth_rad = f64::from(turned) * PI / 12.0 + shift;
        }
        let (drawing, _) = sheet_plan::draw(&s.base, &s.support.pole, &s.support.arms, SI);
        let body = drawing.picture("", "").body;
        for name in ["arm 1", "arm 2"] {
            let line = body.lines().find(|l| l.contains(&format!(">{name}<")));
            let line = line.expect("a name");
            let value = |key: &str| {
                let rest = line.split(&format!(" {key}=\"")).nth(1).expect("a value");
                rest.split('"').next().expect("its end")
            };
            let number = |key| value(key).parse::<f64>().expect("a number");
            let hang = match value("text-anchor") {
                "start" => Anchor::Start,
                "middle" => Anchor::Middle,
                _ => Anchor::End,
            };
            // The baseline lies 0.36 of the size below the middle.
            let at = (number("x"), number("y") - 0.36 * TEXT);
            for arm in &s.support.arms {
                for r in 0..24 {
                    let (r, a) = (f64::from(r), arm.azimuth_rad);
                    let place = (35.0 + r * libm::cos(a), 30.0 - r * libm::sin(a));
                    let on = Drawing::covers(at, name, hang, place);
                    assert!(!on, "{name}, turned {turned}");
                }
            }
        }
    }
}

#[test]
fn no_text_of_the_straight_edge_lies_on_another() {
    for height_m in [0.0, 0.05, 0.1, 0.15] {
        for radius_m in [0.15, 0.2, 0.3, 0.4] {
            let mut m = Measures {
                bolt_length_m: 0.11,
                thread_length_m: 0.06,
                grout_clear_m: 0.013,
                stub_limit_m: 0.1,
                chord_m: 1.5,
                slip_plane_height_m: height_m,
                say: SI,
            };
            for say in BOTH {
                m.say = say;
                let (drawing, _) = sheet_chord::draw(&m, radius_m, [0.028; 2], 0.2);
                let found = drawing.overlaps();
                assert!(found.is_empty(), "{height_m} {radius_m} {say:?}: {found:?}");
            }
        }
    }
}

#[test]
fn every_sheet_is_two_pages_of_legible_type() {
    let mut cases = bases();
    let mut bare = scenario(&[]);
    bare.support.arms.clear();
    cases.push(("no arm".into(), bare));
    let mut two = scenario(&[("slip_base.clamp.torque", "60 N.m")]);
    let mut other = two.support.arms[0].clone();
    other.azimuth_rad += 2.0;
    two.support.arms.push(other);
    two.title = "a long title of a long road ".repeat(8);
    cases.push(("two arms, a remark and a long title".into(), two));
    for (name, s) in cases {
        let sheet = InstallationSheet::new(&s).expect("a sheet");
        let page = sheet_page::document(&sheet).expect("a page");
        let fit = page.fit();
        assert!(fit.one_page && fit.type_pt >= 10.0, "{name}: {fit:?}");
    }
}
