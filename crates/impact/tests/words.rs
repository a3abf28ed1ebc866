//! The sentences of the findings: what was reached and what could be held, singular and plural, directions, units.

mod cases;

use cases::{first, scenario};
use giveway_impact::outcome::{Ending, Engagement};
use giveway_impact::{Prepared, RecordRequest};
use giveway_scenario::model::{AsFound, Foundation, Grout, NotchLump, Plate, Rust, Scenario, Stub};

fn run(s: &Scenario) -> Engagement {
    Prepared::new(s)
        .expect("prepared")
        .engage(RecordRequest::NUMBERS)
        .expect("run")
}

fn found(change: impl FnOnce(&mut AsFound)) -> Engagement {
    let mut s = first(&[]);
    change(&mut s.as_found);
    run(&s)
}

fn shipped(name: &str) -> Engagement {
    run(&scenario(
        &format!("../../scenarios/conditions/{name}.toml"),
        &[],
        false,
    ))
}

/// The sentence of a word.
fn said<'a>(e: &'a Engagement, word: &str) -> Option<&'a str> {
    e.flags
        .iter()
        .find(|f| f.word == word)
        .map(|f| f.sentence.as_str())
}

fn stub(azimuth_deg: f64, gap_mm: f64) -> Stub {
    Stub {
        azimuth_rad: azimuth_deg.to_radians(),
        projection_m: 0.025,
        gap_m: 1e-3 * gap_mm,
        diameter_m: 0.025,
        ultimate_pa: 4e8,
    }
}

#[test]
fn a_bar_out_of_the_way_and_a_bar_not_reached_are_told_apart() {
    let behind = found(|f| f.stubs = vec![stub(180.0, 10.0)]);
    assert_eq!(behind.ending, Ending::Released);
    let text = said(&behind, "marginal").expect("marginal");
    assert!(
        text.starts_with("Anchor stub 1 stands in the slip plane, out of the way of this blow;"),
        "{text}"
    );
    // Rust stops the plate before it comes to the bar ahead of it.
    let held = found(|f| {
        f.stubs = vec![stub(0.0, 40.0)];
        f.rust = Rust::Seized;
    });
    assert_eq!(held.ending, Ending::Held);
    let text = said(&held, "marginal").expect("marginal");
    assert!(
        text.starts_with(
            "Anchor stub 1 stands in the slip plane and was not reached in this blow;"
        ),
        "{text}"
    );
    // The same bar beside the plate is out of the way of a base that holds, too.
    let beside = found(|f| {
        f.stubs = vec![stub(90.0, 40.0)];
        f.rust = Rust::Seized;
    });
    let text = said(&beside, "marginal").expect("marginal");
    assert!(text.contains("out of the way of this blow"), "{text}");
}

#[test]
fn grout_names_the_bolts_that_bore_on_it() {
    let text = |name| {
        said(&shipped(name), "binds")
            .map(str::to_owned)
            .expect("binds")
    };
    // The blow comes along x; bolt 2 lies 150 degrees from it and is left behind, bolt 3 on the other side of the blow.
    let light = text("grouted");
    assert!(
        light.starts_with(
            "Bolts 1 and 3 must leave the lower notch and are held by 10 mm of grout:"
        ),
        "{light}"
    );
    assert!(
        light.ends_with("Bolt 2 is buried too, but was not pressed against it in this blow."),
        "{light}"
    );
    // Grout up to the plate is confined and does not give: no bolt is pushed through it.
    let deep = text("grouted_deep");
    assert!(
        deep.contains("are held by 28 mm of grout that did not give; it can hold 106 kN each."),
        "{deep}"
    );
    assert!(text("grouted_other_side").starts_with("Bolts 1 and 2 must"));
}

#[test]
fn grout_that_did_not_give_is_told_as_what_it_can_hold() {
    // The deepest grout that does not shear the bolt, against a slow car: no bolt is pushed through it.
    let mut s = first(&[("impact.speed", "10 km/h")]);
    s.as_found.grout = Some(Grout {
        notch_gap_m: None,
        gap_m: -0.04,
        strength_pa: 60e6,
        cover_m: 0.3,
        bolts: vec![1],
    });
    let e = run(&s);
    assert_eq!(e.ending, Ending::Held);
    let text = said(&e, "binds").expect("binds");
    assert!(
        text.starts_with(
            "Bolt 1 must leave the lower notch and is held by 40 mm of grout that did not give; it can hold "
        ),
        "{text}"
    );
    // What it can hold is more than what was reached, and only that is told as a number.
    let bolt = &e.bolts[0];
    assert!(
        bolt.could_hold_lower_n > 10.0 * bolt.held_lower_n,
        "{bolt:?}"
    );
    let can = format!("{:.0} kN.", 1e-3 * bolt.could_hold_lower_n);
    assert!(text.ends_with(&can), "{text}");
}

#[test]
fn grout_that_gave_is_told_as_what_was_reached() {
    let e = shipped("grouted");
    let text = said(&e, "binds").expect("binds");
    let reached: Vec<f64> = e.bolts.iter().map(|b| b.held_lower_n).collect();
    let most = reached.iter().copied().fold(0.0, f64::max);
    assert!(most > 19e3, "{reached:?}");
    assert!(text.contains(&format!("{:.0} kN", 1e-3 * most)), "{text}");
    assert!(!text.contains("can hold"), "{text}");
    // With rust beside it the force is that of both.
    let mut s = first(&[]);
    s.as_found.rust = Rust::Light;
    s.as_found.grout = Some(Grout {
        notch_gap_m: None,
        gap_m: -0.01,
        strength_pa: 30e6,
        cover_m: 0.05,
        bolts: vec![],
    });
    let both = run(&s);
    let text = said(&both, "binds").expect("binds");
    assert!(
        text.contains("with what else was found at the lower plate."),
        "{text}"
    );
}

#[test]
fn a_lump_that_no_bolt_met_says_so() {
    let lump = |bolts: Vec<usize>| {
        found(|f| {
            f.lump = Some(NotchLump {
                height_m: 0.003,
                length_m: 0.01,
                width_m: 0.02,
                ultimate_pa: 1.2e8,
                plate: Plate::Upper,
                bolts,
            });
        })
    };
    // Bolt 1 stands ahead of the blow and goes with the upper plate: it does not slide in the upper notch.
    let text = lump(vec![1]);
    let text = said(&text, "keyed").expect("keyed");
    assert!(text.ends_with("none was met in this blow."), "{text}");
    let text = lump(vec![]);
    let text = said(&text, "keyed").expect("keyed");
    assert!(
        text.contains(" each; that of bolt 1 was not met in this blow."),
        "{text}"
    );
}

#[test]
fn a_foundation_that_moves_far_is_no_fixed_obstacle_and_no_forecast() {
    let mut s = first(&[("impact.speed", "60 km/h")]);
    s.as_found.rust = Rust::Seized;
    s.as_found.foundation = Some(Foundation {
        diameter_m: 0.6,
        length_m: 0.8,
        friction_angle_rad: 0.5,
        unit_weight_npm3: 18e3,
        density_kgpm3: 2400.0,
        movement_m: 0.02,
    });
    let e = run(&s);
    assert!(e.foundation_peak_m > 0.08, "{}", e.foundation_peak_m);
    let held = said(&e, "held").expect("held");
    assert!(
        held.contains("the vehicle met an obstacle whose foundation moved by"),
        "{held}"
    );
    assert!(!held.contains("fixed obstacle"), "{held}");
    let text = said(&e, "uproots").expect("uproots");
    assert!(text.contains("a tenth of its depth (80 mm)"), "{text}");
    // Within a tenth of its length it shifts only.
    let soft = shipped("soft_ground");
    assert!(soft.foundation_peak_m < 0.15);
    assert_eq!(said(&soft, "uproots"), None);
    let shifts = said(&soft, "shifts").expect("shifts");
    assert!(
        shifts.ends_with(" mm at most; the ground yielded at 35 kN."),
        "{shifts}"
    );
}

#[test]
fn a_shallow_dish_has_no_word() {
    // 62 kN dish the 8 mm washers by 0.04 degrees: energy is booked, a person need not know.
    let e = shipped("overtight");
    assert!(e.energy.dishing_j > 0.0);
    assert_eq!(said(&e, "dishes"), None);
    let thin = shipped("thin_washers");
    assert!(said(&thin, "dishes").is_some_and(|t| t.contains("dish by 3.7 degrees")));
}

#[test]
fn degrees_threads_and_clearance_are_told_as_people_say_them() {
    let turned = shipped("turned");
    assert_eq!(
        said(&turned, "turned"),
        Some(
            "The bolt pattern is turned by 30 degrees clockwise from the design, seen from above."
        )
    );
    let other = found(|f| f.turned_rad = 1.0_f64.to_radians());
    assert_eq!(
        said(&other, "turned"),
        Some(
            "The bolt pattern is turned by 1 degree anticlockwise from the design, seen from above."
        )
    );
    let thread = shipped("short_thread");
    assert!(
        said(&thread, "strips")
            .is_some_and(|t| t
                .starts_with("Only 0.5 of a thread of each nut is engaged: it strips at 42 kN")),
        "{:?}",
        said(&thread, "strips")
    );
    // Half a thread, 0.5 of 84 kN, carries more than the torque asks for: the clamp is the design's. A tenth does not.
    assert!(said(&thread, "strips").is_some_and(|t| !t.contains("wind check")));
    let tenth = found(|f| f.engaged_threads = Some(0.1));
    let text = said(&tenth, "strips").expect("strips");
    let load = format!("{:.0} kN", 1e-3 * tenth.bolts[0].preload_n);
    assert!(
        text.ends_with(&format!(
            " The torque asks for more: bolts 1, 2 and 3 are clamped by {load} only, and in the wind check their nuts strip at that clamp."
        )),
        "{text}"
    );
    assert!(
        said(&shipped("proud"), "proud")
            .is_some_and(|t| t.ends_with("no clearance is left under the vehicle."))
    );
    assert_eq!(
        said(&shipped("undertight"), "undertight"),
        Some(
            "Bolts 1, 2 and 3 are clamped by 9 kN each instead of 31 kN: the base may not stand in the wind."
        )
    );
}

/// No sentence of the shipped scenarios has a sign, a double space, a "1 degrees" or an unfinished end.
#[test]
fn every_sentence_reads_like_a_sentence() {
    let folder = std::fs::read_dir("../../scenarios/conditions").expect("folder");
    for entry in folder {
        let path = entry.expect("entry").path();
        if path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let e = run(&scenario(&path.to_string_lossy(), &[], false));
        for flag in &e.flags {
            let text = &flag.sentence;
            let sound = text.starts_with(char::is_uppercase)
                && text.ends_with('.')
                && !text.contains("  ")
                && !text.contains(" -")
                && !text.contains(" 0 ")
                && !text.contains(" 0.0 ")
                && !text.contains(" 1 degrees");
            assert!(sound, "{}: {}: {text}", path.display(), flag.word);
        }
    }
}
