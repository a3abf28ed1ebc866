//! Findings on site: hand calculations (`tests/data/faults.toml`), zero severity, order and worst inputs.

#[allow(dead_code, reason = "only the base is needed here")]
mod static_base;
mod tables;

use giveway_mechanics::faults::*;
use giveway_scenario::model::{
    AsFound, Conduit, Foundation, Grout, KeeperFound, NotchLump, Plate, RoundWashers, SlipBase,
    SoilBehind, Stub,
};

/// The static base with notches 4 mm wider than the bolt.
fn base() -> SlipBase {
    SlipBase {
        notch_span_m: 0.028,
        ..static_base::base()
    }
}

/// Plate washers of soft steel over 30 mm.
fn soft() -> SlipBase {
    SlipBase {
        notch_span_m: 0.030,
        plate_washer_yield_pa: 2.5e8,
        ..static_base::base()
    }
}

fn grout(depth_mm: f64, strength_mpa: f64, cover_mm: f64) -> Grout {
    Grout {
        notch_gap_m: None,
        gap_m: -depth_mm * 1e-3,
        strength_pa: strength_mpa * 1e6,
        cover_m: cover_mm * 1e-3,
        bolts: vec![],
    }
}

fn stub(projection_mm: f64) -> Stub {
    Stub {
        azimuth_rad: 0.0,
        projection_m: projection_mm * 1e-3,
        gap_m: 0.01,
        diameter_m: 0.025,
        ultimate_pa: 5e8,
    }
}

fn conduit(diameter_mm: f64, wall_mm: f64, ultimate_mpa: f64) -> Conduit {
    Conduit {
        projection_m: 0.020,
        gap_m: 0.01,
        diameter_m: diameter_mm * 1e-3,
        wall_m: wall_mm * 1e-3,
        ultimate_pa: ultimate_mpa * 1e6,
    }
}

fn lump(height_mm: f64) -> NotchLump {
    NotchLump {
        height_m: height_mm * 1e-3,
        length_m: 0.020,
        width_m: 0.012,
        ultimate_pa: 1.5e8,
        plate: Plate::Lower,
        bolts: vec![],
    }
}

fn soil(slope_deg: f64, cohesion_kpa: f64) -> SoilBehind {
    SoilBehind {
        azimuth_rad: 0.0,
        gap_m: 0.020,
        height_m: 0.3,
        slope_rad: slope_deg.to_radians(),
        friction_angle_rad: 30f64.to_radians(),
        cohesion_pa: cohesion_kpa * 1e3,
        unit_weight_npm3: 18e3,
    }
}

fn foundation() -> Foundation {
    Foundation {
        diameter_m: 0.6,
        length_m: 2.0,
        friction_angle_rad: 30f64.to_radians(),
        unit_weight_npm3: 18e3,
        density_kgpm3: 2400.0,
        movement_m: 0.020,
    }
}

#[test]
fn faults() {
    let spacing = plate_spacing(&base(), &AsFound::default());
    assert_eq!(spacing, 0.004 + 0.00053);
    let area = |mm: f64| grout_area(mm * 1e-3, &base().bolt, 0.060, 0.008) * 1e6;
    let hold = |e, f, c| grout_hold(&grout(e, f, c), &base()).unwrap();
    let tube = |d, t, fu| conduit_force(&conduit(d, t, fu), &base(), spacing).unwrap() * 1e-3;
    // T_y = t^2 W F_y/(1.5 b) = 12.8 kN
    let dish = |ratio: f64| dish_angle(ratio * 12_800.0, &soft(), 0.008).unwrap();
    let offset = |mm: f64| notch_offset_force(mm * 1e-3, &base()).unwrap() * 1e-3;
    let earth = |slope, c, travel| soil_force(&soil(slope, c), 0.48, travel).unwrap();
    let moved = pier(&foundation(), 0.1).unwrap();
    assert!(!hold(20.0, 20.0, 50.0).crushes && hold(20.0, 20.0, 150.0).crushes);
    tables::compare("faults.toml", |id| {
        Some(match id {
            "fault-grout-area-head" => area(10.0),
            "fault-grout-area-washer" => area(20.0),
            "fault-grout-area-all" => area(40.0),
            "fault-grout-bearing" => hold(20.0, 20.0, 50.0).bearing_n * 1e-3,
            "fault-grout-bearing-root" => hold(6.0, 30.0, 20.0).bearing_n * 1e-3,
            "fault-grout-breakout" => hold(20.0, 20.0, 50.0).breakout_n * 1e-3,
            "fault-grout-force" => hold(20.0, 20.0, 50.0).force_n * 1e-3,
            "fault-grout-crushes" => hold(20.0, 20.0, 150.0).force_n * 1e-3,
            "fault-stub-shear" => stub_force(&stub(20.0), &base(), spacing).unwrap() * 1e-3,
            "fault-stub-plate" => stub_force(&stub(8.0), &base(), spacing).unwrap() * 1e-3,
            "fault-conduit-steel" => tube(60.3, 3.9, 400.0),
            "fault-conduit-plastic" => tube(60.0, 4.0, 45.0),
            "fault-dish-1.2" => dish(1.2) * 1e6,
            "fault-dish-1.5" => dish(1.5) * 1e6,
            "fault-dish-2" => dish(2.0) * 1e3,
            "fault-dish-force" => dish_force(25_600.0, &soft(), 0.008).unwrap(),
            "fault-dish-cap" => dish(6.0).to_degrees(),
            "fault-offset-elastic" => offset(4.2),
            "fault-offset-hinges" => offset(-6.0),
            "fault-lump" => lump_force(&lump(3.0), &base()).unwrap() * 1e-3,
            "fault-soil" => earth(0.0, 0.0, 0.10),
            "fault-soil-mobilised" => earth(0.0, 0.0, 0.023),
            "fault-soil-slope" => earth(20.0, 0.0, 0.10),
            "fault-soil-cohesion" => earth(0.0, 5.0, 0.10),
            "fault-pier-capacity" => moved.capacity_n * 1e-3,
            "fault-pier-stiffness" => moved.stiffness_npm * 1e-6,
            "fault-pier-mass" => moved.mass_kg,
            "fault-nut-four-threads" => engaged_load(4.0, &base().bolt).unwrap() * 1e-3,
            "fault-nut-full" => engaged_load(7.0, &base().bolt).unwrap() * 1e-3,
            _ => return None,
        })
    });
}

#[test]
fn zero_severity_is_exactly_nothing() {
    let base = base();
    assert_eq!(grout_area(-0.010, &base.bolt, 0.06, 0.008), 0.0);
    assert_eq!(
        grout_hold(&grout(0.0, 20.0, 50.0), &base).unwrap().force_n,
        0.0
    );
    assert_eq!(
        grout_hold(&grout(-13.0, 20.0, 50.0), &base)
            .unwrap()
            .force_n,
        0.0
    );
    assert_eq!(
        grout_hold(&grout(20.0, 20.0, 0.0), &base).unwrap().force_n,
        0.0
    );
    // A bar that ends at the upper plate's underside is out of its way.
    assert_eq!(stub_force(&stub(4.53), &base, 0.00453).unwrap(), 0.0);
    assert_eq!(stub_force(&stub(-30.0), &base, 0.00453).unwrap(), 0.0);
    assert_eq!(
        conduit_force(&conduit(60.0, 4.0, 45.0), &base, 0.020).unwrap(),
        0.0
    );
    assert_eq!(dish_angle(12_799.999, &soft(), 0.008).unwrap(), 0.0);
    assert_eq!(dish_force(0.0, &soft(), 0.008).unwrap(), 0.0);
    assert_eq!(notch_offset_force(0.0, &base).unwrap(), 0.0);
    assert_eq!(notch_offset_force(0.0039, &base).unwrap(), 0.0);
    assert_eq!(lump_force(&lump(0.0), &base).unwrap(), 0.0);
    assert_eq!(lump_force(&lump(1.9), &base).unwrap(), 0.0);
    assert_eq!(soil_force(&soil(10.0, 5.0), 0.48, 0.020).unwrap(), 0.0);
    assert_eq!(soil_force(&soil(10.0, 5.0), 0.48, -0.3).unwrap(), 0.0);
    assert_eq!(engaged_load(0.0, &base.bolt).unwrap(), 0.0);
}

#[test]
fn more_of_a_finding_never_helps() {
    let base = base();
    let rises = |what: &str, force: &dyn Fn(f64) -> f64| {
        let mut last = 0.0;
        for i in 0..=400 {
            let now = force(f64::from(i) / 400.0);
            assert!(now >= last, "{what} at {i}: {last} to {now}");
            last = now;
        }
        assert!(last > 0.0, "{what}");
    };
    let held = |depth, f, c| grout_hold(&grout(depth, f, c), &base).unwrap().force_n;
    rises("depth of grout", &|x| held(40.0 * x, 30.0, 200.0));
    rises("strength of grout", &|x| held(20.0, 1.0 + 40.0 * x, 80.0));
    rises("cover of grout", &|x| held(20.0, 30.0, 300.0 * x));
    rises("stub", &|x| {
        stub_force(&stub(40.0 * x), &base, 0.0045).unwrap()
    });
    rises("tension on a washer", &|x| {
        dish_force(60_000.0 * x, &soft(), 0.008).unwrap()
    });
    rises("thin washer", &|x| {
        dish_angle(30_000.0, &soft(), 0.012 - 0.010 * x).unwrap()
    });
    rises("offset", &|x| notch_offset_force(0.01 * x, &base).unwrap());
    rises("lump", &|x| lump_force(&lump(6.0 * x), &base).unwrap());
    rises("travel into soil", &|x| {
        soil_force(&soil(20.0, 2.0), 0.48, 0.4 * x).unwrap()
    });
    rises("threads", &|x| engaged_load(8.0 * x, &base.bolt).unwrap());
}

#[test]
fn the_plates_stand_apart_as_found() {
    let base = base();
    let found = |washers, keeper| AsFound {
        round_washers: washers,
        keeper,
        ..AsFound::default()
    };
    let gone = RoundWashers::Missing {
        plate_friction: 0.4,
    };
    let between = RoundWashers::Between;
    assert_eq!(
        plate_spacing(&base, &found(gone, KeeperFound::AsDesigned)),
        0.00053
    );
    assert_eq!(
        plate_spacing(&base, &found(gone, KeeperFound::Missing)),
        0.0
    );
    assert_eq!(
        plate_spacing(&base, &found(between, KeeperFound::Missing)),
        0.004
    );
    let thick = KeeperFound::Thickness(0.003);
    assert_eq!(
        plate_spacing(&base, &found(RoundWashers::AboveKeeper, thick)),
        0.007
    );
    // A bar below the washers is met once they are left out.
    assert_eq!(stub_force(&stub(4.0), &base, 0.00453).unwrap(), 0.0);
    assert!(stub_force(&stub(4.0), &base, 0.00053).unwrap() > 0.0);
}

#[test]
fn nonsense_is_an_error() {
    let base = base();
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(grout_hold(&grout(bad, 20.0, 50.0), &base).is_err());
        assert!(grout_hold(&grout(10.0, bad, 50.0), &base).is_err());
        assert!(grout_hold(&grout(10.0, 20.0, bad), &base).is_err());
        assert!(stub_force(&stub(bad), &base, 0.004).is_err());
        assert!(stub_force(&stub(20.0), &base, bad).is_err());
        assert!(conduit_force(&conduit(bad, 4.0, 45.0), &base, 0.004).is_err());
        assert!(conduit_force(&conduit(60.0, 4.0, bad), &base, 0.004).is_err());
        assert!(dish_angle(bad, &soft(), 0.008).is_err());
        assert!(dish_angle(3e4, &soft(), bad).is_err());
        assert!(notch_offset_force(bad, &base).is_err());
        assert!(lump_force(&lump(bad), &base).is_err());
        assert!(soil_force(&soil(bad, 0.0), 0.48, 0.1).is_err());
        assert!(soil_force(&soil(0.0, bad), 0.48, 0.1).is_err());
        assert!(soil_force(&soil(0.0, 0.0), bad, 0.1).is_err());
        assert!(soil_force(&soil(0.0, 0.0), 0.48, bad).is_err());
        assert!(pier(&foundation(), bad).is_err());
        assert!(engaged_load(bad, &base.bolt).is_err());
    }
    // Strengths are checked even where the bar is out of the way.
    let mut low = stub(1.0);
    low.ultimate_pa = 0.0;
    assert!(stub_force(&low, &base, 0.004).is_err());
    assert!(conduit_force(&conduit(60.0, 31.0, 45.0), &base, 0.004).is_err());
    assert!(grout_hold(&grout(10.0, -1.0, 50.0), &base).is_err());
    assert!(grout_hold(&grout(10.0, 20.0, -1.0), &base).is_err());
    assert!(engaged_load(-1.0, &base.bolt).is_err());
    let mut still = foundation();
    still.movement_m = 0.0;
    assert!(pier(&still, 0.1).is_err());
    assert!(soil_force(&soil(90.0, 0.0), 0.48, 0.1).is_err());
    // A dish never exceeds its cap, however thin the washer.
    let thin = dish_angle(1e9, &soft(), 1e-9).unwrap();
    assert_eq!(thin, LARGEST_DISH_RAD);
}
