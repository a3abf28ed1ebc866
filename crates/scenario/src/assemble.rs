//! The filled store as the resolved scenario.

mod as_found;
mod at;
mod event;

use core::mem::take;

use at::At;

use crate::grammar::limits;
use crate::model::{
    Arm, ArmJoint, Band, Bolt, Criteria, CriteriaSet, Face, Impact, Keeper, LimitOverride,
    Luminaire, Lump, Material, Output, Scenario, Site, SlipBase, Solver, StruckBody, Support, Tube,
    Vehicle,
};
use crate::store::Store;
use crate::words::Word;

/// Puts one part of the scenario into its place; none where a value is missing.
pub(crate) type Part = fn(&Store, &mut Scenario) -> Option<()>;

/// The parts of a scenario whose values are numbers, each by itself.
pub(crate) const PARTS: [Part; 10] = [
    |store, s| {
        s.site = site(&store.at("site"), &store.at("site.wind"))?;
        Some(())
    },
    |store, s| {
        s.support = support(&store.at("support"), &|path| store.at(path))?;
        Some(())
    },
    |store, s| {
        s.base = base(&|path| store.at(path))?;
        Some(())
    },
    |store, s| {
        let at = |path: &str| store.at(path);
        s.as_found = as_found::as_found(&at("as_found"), &at)?;
        Some(())
    },
    |store, s| {
        let (front, side) = (
            take(&mut s.vehicle.front.bands),
            take(&mut s.vehicle.side.bands),
        );
        s.vehicle = body(
            &store.at("vehicle"),
            &store.at("vehicle.suspension"),
            &store.at("vehicle.side_body"),
        )?;
        (s.vehicle.front.bands, s.vehicle.side.bands) = (front, side);
        Some(())
    },
    |store, s| {
        s.vehicle.front = face(&store.at("vehicle.front"))?;
        Some(())
    },
    |store, s| {
        s.vehicle.side = face(&store.at("vehicle.side"))?;
        Some(())
    },
    |store, s| {
        s.impact = impact(&store.at("impact"))?;
        Some(())
    },
    |store, s| {
        s.flight = event::follow(&store.at("flight"))?;
        Some(())
    },
    |store, s| {
        s.criteria = criteria(store)?;
        s.solver = solver(&store.at("solver"))?;
        Some(())
    },
];

/// The scenario; none where a value is missing.
pub(crate) fn assemble(store: &Store) -> Option<Scenario> {
    let at = |path: &str| store.at(path);
    Some(Scenario {
        title: at("").text("title")?,
        notes: at("").text("notes")?,
        site: site(&at("site"), &at("site.wind"))?,
        support: support(&at("support"), &at)?,
        base: base(&at)?,
        as_found: as_found::as_found(&at("as_found"), &at)?,
        vehicle: vehicle(store)?,
        impact: impact(&at("impact"))?,
        flight: event::follow(&at("flight"))?,
        criteria: criteria(store)?,
        solver: solver(&at("solver"))?,
        output: Output {
            history: at("output").flag("history")?,
            figures: at("output").flag("figures")?,
        },
    })
}

fn site(at: &At<'_>, wind: &At<'_>) -> Option<Site> {
    Some(Site {
        name: at.text("name")?,
        gravity_mps2: at.real("gravity")?,
        slip_plane_height_m: at.real("slip_plane_height")?,
        road_friction: at.real("road_friction")?,
        wind_speed_mps: wind.real("speed")?,
        wind_service_mps: wind.real("yearly_speed")?,
        wind_survival_mps: wind.real("survival_speed")?,
        wind_gust_factor: wind.real("gust_factor")?,
        wind_importance: wind.real("importance")?,
        ground: event::ground(at)?,
    })
}

fn tube(at: &At<'_>) -> Option<Tube> {
    Some(Tube {
        section: at.word("section")?,
        base_diameter_m: at.real("base_diameter")?,
        tip_diameter_m: at.real("tip_diameter")?,
        wall_m: at.real("wall")?,
        material: Material {
            name: at.text("material")?,
            density_kgpm3: at.real("density")?,
            youngs_pa: at.real("youngs_modulus")?,
            poisson: at.real("poisson")?,
            yield_pa: at.real("yield_strength")?,
            ultimate_pa: at.real("tensile_strength")?,
        },
    })
}

fn support<'a>(at: &At<'a>, sub: &dyn Fn(&str) -> At<'a>) -> Option<Support> {
    Some(Support {
        pole: tube(&sub("support.pole"))?,
        pole_length_m: sub("support.pole").real("length")?,
        arms: at.each("arm", |arm| {
            Some(Arm {
                tube: tube(arm)?,
                attachment_height_m: arm.real("attachment_height")?,
                azimuth_rad: arm.real("azimuth")?,
                reach_m: arm.real("reach")?,
                rise_m: arm.real("rise")?,
                luminaires: arm.each("luminaire", |l| {
                    Some(Luminaire {
                        mass_kg: l.real("mass")?,
                        lever_m: l.real("lever")?,
                        drag_area_m2: l.real("drag_area")?,
                        drag_coefficient: l.real("drag_coefficient")?,
                    })
                })?,
                joint: arm_joint(&arm.sub("joint"))?,
            })
        })?,
        lumps: at.each("lump", |l| {
            Some(Lump {
                name: l.text("name")?,
                mass_kg: l.real("mass")?,
                height_m: l.real("height")?,
                offset_m: l.real("offset")?,
                azimuth_rad: l.real("azimuth")?,
                drag_area_m2: l.real("drag_area")?,
                drag_coefficient: l.real("drag_coefficient")?,
            })
        })?,
        plate_mass_kg: sub("support.slip_plate").real("mass")?,
        damping_ratio: at.real("damping_ratio")?,
    })
}

fn fastener(at: &At<'_>) -> Option<Bolt> {
    Some(Bolt {
        size: at.text("size")?,
        grade: at.text("grade")?,
        diameter_m: at.real("diameter")?,
        pitch_m: at.real("pitch")?,
        stress_area_m2: at.real("stress_area")?,
        youngs_pa: at.real("youngs_modulus")?,
        yield_pa: at.real("yield_strength")?,
        ultimate_pa: at.real("tensile_strength")?,
        elongation: at.real("elongation")?,
        head_height_m: at.real("head_height")?,
        across_flats_m: at.real("across_flats")?,
        nut_height_m: at.real("nut_height")?,
    })
}

fn arm_joint(at: &At<'_>) -> Option<ArmJoint> {
    Some(ArmJoint {
        screws: at.count("screws")?,
        screw: fastener(at)?,
        circle_m: at.real("circle")?,
        grip_m: at.real("grip")?,
        tapped_m: at.real("tapped")?,
        length_m: at.real("length"),
    })
}

fn base<'a>(sub: &dyn Fn(&str) -> At<'a>) -> Option<SlipBase> {
    let at = sub("slip_base");
    let bolt = sub("slip_base.bolt");
    let clamp = sub("slip_base.clamp");
    let notch = sub("slip_base.notch");
    let plates = sub("slip_base.plates");
    let washers = sub("slip_base.washers");
    let keeper = sub("slip_base.keeper");
    let friction = sub("slip_base.friction");
    let sliding = sub("slip_base.friction.sliding");
    let stiffness = sub("slip_base.stiffness");
    Some(SlipBase {
        anchorage: at.word("anchorage")?,
        bolt_count: at.count("bolts")?,
        bolt_circle_m: at.real("bolt_circle")?,
        first_bolt_azimuth_rad: at.real("first_bolt_azimuth")?,
        bolt: fastener(&bolt)?,
        torque_nm: clamp.real("torque"),
        nut_factor: clamp.real("nut_factor")?,
        relaxation: clamp.real("relaxation")?,
        preload_n: clamp.real("preload")?,
        // beta is half of the included angle
        notch_half_angle_rad: notch.real("included_angle")? / 2.0,
        notch_travel_m: notch.real("travel")?,
        notch_span_m: notch.real("span")?,
        upper_plate_m: plates.real("upper_thickness")?,
        lower_plate_m: plates.real("lower_thickness")?,
        plate_radius_m: plates.real("radius")?,
        plate_yield_pa: plates.real("yield_strength")?,
        plate_ultimate_pa: plates.real("tensile_strength")?,
        plate_youngs_pa: plates.real("youngs_modulus")?,
        plate_washer_diameter_m: washers.real("plate_diameter")?,
        plate_washer_m: washers.real("plate_thickness")?,
        plate_washer_yield_pa: washers.real("plate_yield")?,
        round_washer_diameter_m: washers.real("round_diameter")?,
        round_washer_m: washers.real("round_thickness")?,
        keeper: if keeper.flag("present")? {
            Some(Keeper {
                thickness_m: keeper.real("thickness")?,
                edge_distance_m: keeper.real("edge_distance")?,
                ultimate_pa: keeper.real("tensile_strength")?,
            })
        } else {
            None
        },
        friction_outer: friction.real("outer")?,
        friction_inner: friction.real("inner")?,
        friction_wall: friction.real("wall")?,
        sliding_outer: sliding.real("outer")?,
        sliding_inner: sliding.real("inner")?,
        sliding_wall: sliding.real("wall")?,
        friction_transition_mps: friction.real("transition")?,
        bolt_length_m: bolt.real("length"),
        bolt_stiffness_npm: stiffness.real("bolt"),
        clamp_stiffness_npm: stiffness.real("clamp"),
        plate_lever_m: plates.real("lever")?,
        plate_give: plates.real("give")?,
        plate_stiffness_npm: stiffness.real("plates"),
        load_introduction: stiffness.real("load_introduction")?,
    })
}

fn face(at: &At<'_>) -> Option<Face> {
    let mut bands = at.each("band", |b| {
        Some(Band {
            name: b.text("name")?,
            lower_m: b.real("lower")?,
            upper_m: b.real("upper")?,
            setback_m: b.real("setback")?,
            crush_curve: b.pairs("crush")?,
            unloading_npm: b.real("unloading")?,
        })
    })?;
    // From low to high; bands at the same height keep their order.
    bands.sort_by(|a, b| a.lower_m.total_cmp(&b.lower_m));
    Some(Face { bands }.used(at.real("used")?))
}

/// The vehicle with its faces.
fn vehicle(store: &Store) -> Option<Vehicle> {
    Some(Vehicle {
        front: face(&store.at("vehicle.front"))?,
        side: face(&store.at("vehicle.side"))?,
        ..body(
            &store.at("vehicle"),
            &store.at("vehicle.suspension"),
            &store.at("vehicle.side_body"),
        )?
    })
}

fn struck_body(at: &At<'_>) -> Option<StruckBody> {
    Some(StruckBody {
        share: at.real("share")?,
        stiffness_npm: at.real("stiffness")?,
        yield_n: at.real("yield_force")?,
        hardening_npm: at.real("hardening")?,
    })
}

/// The vehicle, its faces still empty.
fn body(at: &At<'_>, suspension: &At<'_>, side_body: &At<'_>) -> Option<Vehicle> {
    Some(Vehicle {
        class: at.text("class")?,
        guided: at.flag("guided")?,
        mass_kg: at.real("mass")?,
        cg_height_m: at.real("cg_height")?,
        cg_to_front_m: at.real("cg_to_front")?,
        length_m: at.real("length")?,
        width_m: at.real("width")?,
        cg_to_front_axle_m: at.real("cg_to_front_axle")?,
        wheelbase_m: at.real("wheelbase")?,
        track_m: at.real("track")?,
        roll_inertia_kgm2: at.real("roll_inertia")?,
        pitch_inertia_kgm2: at.real("pitch_inertia")?,
        yaw_inertia_kgm2: at.real("yaw_inertia")?,
        underside_m: at.real("underside")?,
        wheel_stiffness_npm: suspension.real("wheel_stiffness")?,
        wheel_damping_nspm: suspension.real("wheel_damping")?,
        front: Face { bands: Vec::new() },
        side: Face { bands: Vec::new() },
        side_body: struck_body(side_body)?,
        face_friction: at.real("face_friction")?,
        outline: at.pairs("outline")?,
        skin: event::skin(&at.sub("skin"))?,
        head_x_m: at.real("head_ahead")?,
        head_y_m: at.real("head_left")?,
    })
}

fn impact(at: &At<'_>) -> Option<Impact> {
    Some(Impact {
        speed_mps: at.real("speed")?,
        heading_rad: at.real("heading")?,
        velocity_direction_rad: at.real("velocity_direction")?,
        face: at.word("face")?,
        offset_m: at.real("offset")?,
        braking: at.real("braking")?,
    })
}

fn criteria(store: &Store) -> Option<Criteria> {
    let sets = store
        .texts("criteria.sets")?
        .iter()
        .map(|name| CriteriaSet::of(name))
        .collect::<Option<_>>()?;
    let overrides = limits()
        .iter()
        .filter_map(|&(name, key)| {
            let value = store.real(&format!("criteria.limit.{name}.value"))?;
            let source = store.text(&format!("criteria.limit.{name}.source"))?;
            Some(LimitOverride {
                key: key.to_owned(),
                // The one limit in g: 1 g = 9.80665 m/s^2.
                value: if name == "ridedown" {
                    value / 9.806_65
                } else {
                    value
                },
                source: source.to_owned(),
            })
        })
        .collect();
    Some(Criteria {
        sets,
        overrides,
        ranges: store.at("criteria").word("ranges")?,
    })
}

fn solver(at: &At<'_>) -> Option<Solver> {
    Some(Solver {
        elastic_modes: at.count("elastic_modes")?,
        pole_elements: at.count("pole_elements")?,
        arm_elements: at.count("arm_elements")?,
        step_s: at.real("step")?,
        stick_stiffness_npm: at.real("stick_stiffness")?,
        joint_damping_s: at.real("joint_damping")?,
        engagement_limit_s: at.real("engagement_limit")?,
        record_limit_s: at.real("record_limit")?,
    })
}
