//! A resolved scenario for the static checks: the support and base that the tables of `tests/data` describe.

use giveway_scenario::model::{
    Anchorage, Arm, ArmJoint, AsFound, Bolt, Criteria, CriteriaSet, Face, Follow, Ground, Impact,
    Keeper, Luminaire, Material, Output, RangeUse, Scenario, Section, Site, Skin, SlipBase, Solver,
    StruckBody, StruckFace, Support, Tube, Vehicle,
};

/// Steel of the tubes.
fn steel() -> Material {
    Material {
        name: "steel".into(),
        density_kgpm3: 7850.0,
        youngs_pa: 2.05e11,
        poisson: 0.3,
        yield_pa: 3.45e8,
        ultimate_pa: 4.5e8,
    }
}

/// A tapered tube.
pub fn tube(section: Section, base_m: f64, tip_m: f64, wall_m: f64) -> Tube {
    Tube {
        section,
        base_diameter_m: base_m,
        tip_diameter_m: tip_m,
        wall_m,
        material: steel(),
    }
}

/// The slip base: three M24, notches of 90 degrees.
pub fn base() -> SlipBase {
    let core: f64 = 0.024 - 0.9382 * 0.003;
    SlipBase {
        anchorage: Anchorage::Slip,
        bolt_count: 3,
        bolt_circle_m: 0.38,
        first_bolt_azimuth_rad: 10f64.to_radians(),
        bolt: Bolt {
            size: "M24".into(),
            grade: "8.8".into(),
            diameter_m: 0.024,
            pitch_m: 0.003,
            stress_area_m2: std::f64::consts::FRAC_PI_4 * core * core,
            youngs_pa: 2.05e11,
            yield_pa: 6.6e8,
            ultimate_pa: 8.3e8,
            elongation: 0.12,
            head_height_m: 0.015,
            across_flats_m: 0.036,
            nut_height_m: 0.0215,
        },
        torque_nm: None,
        nut_factor: 0.2,
        relaxation: 0.065,
        preload_n: 60_000.0,
        notch_half_angle_rad: std::f64::consts::FRAC_PI_4,
        notch_travel_m: 0.032,
        notch_span_m: 0.026,
        upper_plate_m: 0.028,
        lower_plate_m: 0.030,
        plate_radius_m: 0.24,
        plate_yield_pa: 2.5e8,
        plate_ultimate_pa: 4.0e8,
        plate_youngs_pa: 2.0e11,
        plate_washer_diameter_m: 0.060,
        plate_washer_m: 0.008,
        plate_washer_yield_pa: 9.0e8,
        round_washer_diameter_m: 0.050,
        round_washer_m: 0.004,
        keeper: Some(Keeper {
            thickness_m: 0.00053,
            edge_distance_m: 0.030,
            ultimate_pa: 3.1e8,
        }),
        friction_outer: 0.2,
        friction_inner: 0.2,
        friction_wall: 0.2,
        sliding_outer: 0.10,
        sliding_inner: 0.10,
        sliding_wall: 0.10,
        friction_transition_mps: 0.1,
        plate_lever_m: 0.09,
        plate_give: 1.0,
        plate_stiffness_npm: None,
        load_introduction: 0.5,
        bolt_length_m: None,
        bolt_stiffness_npm: None,
        clamp_stiffness_npm: None,
    }
}

/// The support: 12-sided pole with one rising arm.
pub fn support() -> Support {
    Support {
        pole: tube(Section::TwelveSided, 0.24, 0.11, 0.0045),
        pole_length_m: 11.0,
        arms: vec![Arm {
            tube: tube(Section::Round, 0.09, 0.06, 0.003),
            attachment_height_m: 10.6,
            azimuth_rad: std::f64::consts::FRAC_PI_2,
            reach_m: 2.5,
            rise_m: 0.4,
            luminaires: vec![Luminaire {
                mass_kg: 9.0,
                lever_m: 0.35,
                drag_area_m2: 0.12,
                drag_coefficient: 1.2,
            }],
            joint: ArmJoint {
                screws: 4,
                screw: Bolt {
                    size: "M20".into(),
                    grade: "8.8".into(),
                    diameter_m: 0.020,
                    pitch_m: 0.0025,
                    stress_area_m2: 245e-6,
                    youngs_pa: 2.05e11,
                    yield_pa: 6.6e8,
                    ultimate_pa: 8.3e8,
                    elongation: 0.12,
                    head_height_m: 0.0125,
                    across_flats_m: 0.030,
                    nut_height_m: 0.018,
                },
                circle_m: 0.16,
                grip_m: 0.024,
                tapped_m: 0.030,
                length_m: None,
            },
        }],
        lumps: vec![],
        plate_mass_kg: 25.0,
        damping_ratio: 0.005,
    }
}

/// Site with a design wind.
pub fn site(wind_mps: f64) -> Site {
    Site {
        name: "Ring road, Harrow Vale".into(),
        gravity_mps2: 9.80665,
        slip_plane_height_m: 0.075,
        road_friction: 0.7,
        wind_speed_mps: wind_mps,
        wind_service_mps: 0.6 * wind_mps,
        wind_survival_mps: 1.25 * wind_mps,
        wind_gust_factor: 1.14,
        wind_importance: 1.0,
        ground: Ground::default(),
    }
}

/// A whole scenario; the static checks do not read the vehicle.
pub fn scenario(wind_mps: f64) -> Scenario {
    Scenario {
        title: "static checks".into(),
        notes: String::new(),
        site: site(wind_mps),
        support: support(),
        base: base(),
        as_found: AsFound::default(),
        vehicle: Vehicle {
            class: "none".into(),
            guided: true,
            mass_kg: 900.0,
            cg_height_m: 0.5,
            cg_to_front_m: 1.5,
            length_m: 3.6,
            width_m: 1.6,
            cg_to_front_axle_m: 0.9,
            wheelbase_m: 2.3,
            track_m: 1.4,
            roll_inertia_kgm2: 300.0,
            pitch_inertia_kgm2: 1100.0,
            yaw_inertia_kgm2: 1200.0,
            underside_m: 0.15,
            wheel_stiffness_npm: 20_000.0,
            wheel_damping_nspm: 1500.0,
            front: Face { bands: vec![] },
            side: Face { bands: vec![] },
            side_body: StruckBody {
                share: 0.0,
                stiffness_npm: 5e6,
                yield_n: 5e4,
                hardening_npm: 1e5,
            },
            face_friction: 0.3,
            outline: vec![],
            skin: Skin::default(),
            head_x_m: 0.0,
            head_y_m: 0.0,
        },
        impact: Impact {
            speed_mps: 8.9,
            heading_rad: 0.0,
            velocity_direction_rad: 0.0,
            face: StruckFace::Front,
            offset_m: 0.0,
            braking: 0.0,
        },
        criteria: Criteria {
            sets: vec![CriteriaSet::Mash2016],
            overrides: vec![],
            ranges: RangeUse::None,
        },
        flight: Follow::default(),
        solver: Solver {
            elastic_modes: 12,
            pole_elements: 20,
            arm_elements: 6,
            step_s: 5e-5,
            stick_stiffness_npm: 1e8,
            joint_damping_s: 1e-5,
            engagement_limit_s: 0.4,
            record_limit_s: 1.5,
        },
        output: Output {
            history: false,
            figures: false,
        },
    }
}
