//! What does not move: vehicle, pole, slip base as found, ground.

use giveway_mechanics::erection::bolt_length;
use giveway_scenario::model::{
    Anchorage, Band, RoundWashers, Scenario, Section, SlipBase, StruckFace, Tube, Vehicle,
};

use super::model::{
    ArmScene, BandScene, BaseScene, BoltSize, FoundScene, Glass, KeeperSheet, LampBox, PierSize,
    PoleScene, RoundWasher, Scene, SiteScene, StripScene, VehicleScene, Washer,
};
use super::silhouette::{side_view, wheel_radius, windows};
use crate::ResultsError;

/// Points of the track of the pole.
pub(super) const POLE_POINTS: usize = 11;
/// Points of the track of an arm, without its luminaire.
pub(super) const ARM_POINTS: usize = 5;
/// Size of a luminaire, m (assumed).
const LAMP: LampBox = LampBox {
    length_m: 0.6,
    width_m: 0.25,
    height_m: 0.12,
};

/// Everything that does not move.
pub(super) fn scene(designed: &Scenario) -> Result<Scene, ResultsError> {
    let scenario = giveway_impact::as_found(designed).map_err(ResultsError::scene)?;
    let (site, support) = (&scenario.site, &scenario.support);
    Ok(Scene {
        site: SiteScene {
            slip_plane_height_m: site.slip_plane_height_m,
            slope_rad: site.ground.slope_rad,
            slope_from_m: site.ground.slope_from_m,
            strips: site
                .ground
                .strips
                .iter()
                .map(|s| StripScene {
                    name: s.name.clone(),
                    used_by: s.used_by,
                    right_m: s.right_m,
                    left_m: s.left_m,
                })
                .collect(),
        },
        vehicle: vehicle(&scenario),
        pole: PoleScene {
            sides: match support.pole.section {
                Section::Round => 0,
                Section::Square => 4,
                Section::EightSided => 8,
                Section::TwelveSided => 12,
                Section::SixteenSided => 16,
            },
            radii_m: radii(&support.pole, POLE_POINTS),
        },
        arms: support
            .arms
            .iter()
            .map(|a| ArmScene {
                radii_m: radii(&a.tube, ARM_POINTS),
                luminaire: (!a.luminaires.is_empty()).then_some(LAMP),
            })
            .collect(),
        base: base(&scenario),
        found: FoundScene {
            grout: designed.as_found.grout.clone(),
            stubs: designed.as_found.stubs.clone(),
            conduit: designed.as_found.conduit.clone(),
            lumps: designed.as_found.lump.iter().cloned().collect(),
            soil: designed.as_found.soil.clone(),
            rust: designed.as_found.rust,
        },
    })
}

/// Bands of the struck face.
pub(super) fn bands(scenario: &Scenario) -> &[Band] {
    match scenario.impact.face {
        StruckFace::Front => &scenario.vehicle.front.bands,
        StruckFace::LeftSide | StruckFace::RightSide => &scenario.vehicle.side.bands,
    }
}

fn radii(tube: &Tube, points: usize) -> Vec<f64> {
    (0..points)
        .map(|i| {
            let part = i as f64 / (points - 1) as f64;
            0.5 * (tube.base_diameter_m + part * (tube.tip_diameter_m - tube.base_diameter_m))
        })
        .collect()
}

fn vehicle(scenario: &Scenario) -> VehicleScene {
    let v: &Vehicle = &scenario.vehicle;
    VehicleScene {
        name: v.class.clone(),
        mass_kg: v.mass_kg,
        guided: v.guided,
        length_m: v.length_m,
        width_m: v.width_m,
        cg_height_m: v.cg_height_m,
        cg_to_front_m: v.cg_to_front_m,
        cg_to_front_axle_m: v.cg_to_front_axle_m,
        wheelbase_m: v.wheelbase_m,
        track_m: v.track_m,
        wheel_radius_m: wheel_radius(v),
        underside_m: v.underside_m,
        roof_width_m: v.skin.roof_width_m,
        side_view: side_view(v).into_iter().map(|(d, h)| [d, h]).collect(),
        windows: windows(v).map(|w| Glass {
            side: w.side.iter().map(|p| [p.0, p.1]).collect(),
            waist_m: w.waist,
            roof: [w.roof.0, w.roof.1],
            glass: [w.glass.0, w.glass.1],
        }),
        face: scenario.impact.face.name().to_owned(),
        bands: bands(scenario)
            .iter()
            .map(|b| BandScene {
                name: b.name.clone(),
                lower_m: b.lower_m,
                upper_m: b.upper_m,
                setback_m: b.setback_m,
            })
            .collect(),
    }
}

fn base(scenario: &Scenario) -> BaseScene {
    let b: &SlipBase = &scenario.base;
    let found = &scenario.as_found;
    let count = b.bolt_count.max(1);
    BaseScene {
        fixed: b.anchorage == Anchorage::Fixed,
        bolt_count: b.bolt_count,
        bolt_circle_m: b.bolt_circle_m,
        plate_radius_m: b.plate_radius_m,
        upper_plate_m: b.upper_plate_m,
        lower_plate_m: b.lower_plate_m,
        notch_half_angle_rad: b.notch_half_angle_rad,
        notch_travel_m: b.notch_travel_m,
        notch_width_m: b.notch_span_m,
        bolt: BoltSize {
            diameter_m: b.bolt.diameter_m,
            head_height_m: b.bolt.head_height_m,
            across_flats_m: b.bolt.across_flats_m,
            nut_height_m: b.bolt.nut_height_m,
            length_m: length(b),
        },
        plate_washer: Washer {
            diameter_m: b.plate_washer_diameter_m,
            thickness_m: b.plate_washer_m,
        },
        round_washer: RoundWasher {
            diameter_m: b.round_washer_diameter_m,
            thickness_m: b.round_washer_m,
            missing: matches!(found.round_washers, RoundWashers::Missing { .. }),
        },
        keeper: b.keeper.as_ref().map(|k| KeeperSheet {
            thickness_m: k.thickness_m,
            edge_distance_m: k.edge_distance_m,
        }),
        azimuths_rad: (0..count)
            .map(|i| b.first_bolt_azimuth_rad + core::f64::consts::TAU * i as f64 / count as f64)
            .collect(),
        foundation: found.foundation.as_ref().map(|f| PierSize {
            diameter_m: f.diameter_m,
            length_m: f.length_m,
        }),
    }
}

/// Length of the bolts as supplied; else the standard length, or the bare stack where there is none.
fn length(b: &SlipBase) -> f64 {
    let keeper = b.keeper.as_ref().map_or(0.0, |k| k.thickness_m);
    let stack = b.upper_plate_m
        + b.lower_plate_m
        + 2.0 * b.plate_washer_m
        + b.round_washer_m
        + keeper
        + b.bolt.nut_height_m
        + 3.0 * b.bolt.pitch_m;
    b.bolt_length_m
        .or_else(|| bolt_length(b).ok().map(|l| l.length_m))
        .unwrap_or(stack)
}
