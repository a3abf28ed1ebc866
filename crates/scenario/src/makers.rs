//! Values that follow from others: one function a row of the grammar names.
//!
//! References: NHTSA inertia regression on weight [recalled?]; NIST SP 811 (2008) for the pound and the
//! foot pound-force second squared; ISO 7089 for washers [recalled].

use core::f64::consts::{FRAC_PI_2, PI};

use giveway_units::{Dimension, shown_in};

use crate::grammar::Made;
use crate::model::{Anchorage, StruckFace};
use crate::parts;
use crate::store::{Data, Store};
use crate::words::{FacePlace, WashersWord, Word};

/// Density of steel for the slip plate, kg/m^3; common practice, no source.
const STEEL_KGPM3: f64 = 7850.0;
/// Restitution of a crushed face, middle of the upper half of the published 0 to 0.2.
const RESTITUTION: f64 = 0.15;

fn made(value: f64, how: impl Into<String>) -> Option<Made> {
    value.is_finite().then(|| Made {
        data: Data::Real(value),
        how: how.into(),
    })
}

fn real(store: &Store, at: &str, key: &str) -> Option<f64> {
    store.real(&format!("{at}.{key}"))
}

pub(crate) fn tip_diameter(store: &Store, at: &str) -> Option<Made> {
    made(
        real(store, at, "base_diameter")?,
        "the base diameter: no taper",
    )
}

/// Gust with a return period of `years` over that of 50 years: 0.36 + 0.1 ln(12 T).
fn wind(store: &Store, years: f64, how: &str) -> Option<Made> {
    let ratio = 0.36 + 0.1 * libm::log(12.0 * years);
    made(ratio * store.real("site.wind.speed")?, how)
}

pub(crate) fn yearly_wind(store: &Store, _: &str) -> Option<Made> {
    wind(
        store,
        1.0,
        "0.61 of the design wind: yearly over 50-year gust (Peterka and Shahid 1998) [recalled]",
    )
}
pub(crate) fn survival_wind(store: &Store, _: &str) -> Option<Made> {
    wind(
        store,
        700.0,
        "1.26 of the design wind: 700-year over 50-year gust (Peterka and Shahid 1998) [recalled]",
    )
}

fn grade(store: &Store, at: &str) -> Option<&'static parts::Grade> {
    parts::material(store.text(&format!("{at}.material"))?)
}

fn from_material(store: &Store, at: &str, value: fn(&parts::Grade) -> f64) -> Option<Made> {
    let grade = grade(store, at)?;
    made(value(grade), format!("{}: {}", grade.name, grade.source))
}

pub(crate) fn density(store: &Store, at: &str) -> Option<Made> {
    from_material(store, at, |g| g.density_kgpm3)
}
pub(crate) fn youngs(store: &Store, at: &str) -> Option<Made> {
    from_material(store, at, |g| g.youngs_pa)
}
pub(crate) fn poisson(store: &Store, at: &str) -> Option<Made> {
    from_material(store, at, |g| g.poisson)
}
pub(crate) fn yield_strength(store: &Store, at: &str) -> Option<Made> {
    from_material(store, at, |g| g.yield_pa)
}
pub(crate) fn tensile_strength(store: &Store, at: &str) -> Option<Made> {
    from_material(store, at, |g| g.ultimate_pa)
}

pub(crate) fn attachment_height(store: &Store, _: &str) -> Option<Made> {
    made(
        store.real("support.pole.length")?,
        "the pole's length: at its tip",
    )
}

/// Edge of the plate round a bolt, in bolt diameters; common practice, no source.
const PLATE_EDGE: f64 = 1.25;

/// Mass of the upper plate as it is cut: the hull of discs of 1.25 d round the bolts, no larger than the circumscribed
/// disc, less the notches.
pub(crate) fn slip_plate_mass(store: &Store, _: &str) -> Option<Made> {
    let radius = store.real("slip_base.plates.radius")?;
    let thickness = store.real("slip_base.plates.upper_thickness")?;
    let circle = 0.5 * store.real("slip_base.bolt_circle")?;
    let n = store.count("slip_base.bolts")? as f64;
    let edge = PLATE_EDGE * store.real("slip_base.bolt.diameter")?;
    let travel = store.real("slip_base.notch.travel")?;
    let span = store.real("slip_base.notch.span")?;
    let beta = 0.5 * store.real("slip_base.notch.included_angle")?;
    // regular polygon of n bolts, strips of the edge's width along its sides, one disc in all at its corners
    let hull = 0.5 * n * circle * circle * libm::sin(2.0 * PI / n)
        + 2.0 * n * circle * libm::sin(PI / n) * edge
        + PI * edge * edge;
    let disc = PI * radius * radius;
    let notches =
        n * (0.125 * PI * span * span + travel * span + travel * travel * libm::tan(beta));
    // A notch so wide that nothing is left is no plate: half of the hull then.
    let area = (hull.min(disc) - notches).max(0.5 * hull.min(disc));
    made(
        area * thickness * STEEL_KGPM3,
        "outline round the bolts (edge 1.25 d) less the notches, at 7850 kg/m3",
    )
}

/// Sliding friction of lubricated or waxed galvanised parts (0.08 to 0.16) over their static friction (0.15 to 0.25), at
/// the middle of both [recalled].
const SLIDING: f64 = 2.0 / 3.0;

fn sliding(store: &Store, interface: &str) -> Option<Made> {
    let at_rest = store.real(&format!("slip_base.friction.{interface}"))?;
    made(SLIDING * at_rest, "2/3 of the static friction")
}

pub(crate) fn sliding_outer(store: &Store, _: &str) -> Option<Made> {
    sliding(store, "outer")
}
pub(crate) fn sliding_inner(store: &Store, _: &str) -> Option<Made> {
    sliding(store, "inner")
}
pub(crate) fn sliding_wall(store: &Store, _: &str) -> Option<Made> {
    sliding(store, "wall")
}

/// Distance from the pole's wall to the bolt.
pub(crate) fn plate_lever(store: &Store, _: &str) -> Option<Made> {
    let free =
        0.5 * (store.real("slip_base.bolt_circle")? - store.real("support.pole.base_diameter")?);
    made(
        free.max(0.0),
        "half of the bolt circle - half of the pole's base diameter",
    )
}

pub(crate) fn notch_travel(store: &Store, _: &str) -> Option<Made> {
    times_diameter(store, 1.1, "1.1 d")
}

fn size(store: &Store, at: &str) -> Option<&'static parts::BoltSize> {
    parts::bolt_size(store.text(&format!("{at}.size"))?)
}

pub(crate) fn bolt_diameter(store: &Store, at: &str) -> Option<Made> {
    made(size(store, at)?.diameter_m, "from the size")
}
pub(crate) fn bolt_pitch(store: &Store, at: &str) -> Option<Made> {
    made(size(store, at)?.pitch_m, "from the size")
}
pub(crate) fn bolt_stress_area(store: &Store, at: &str) -> Option<Made> {
    let mut size = *size(store, at)?;
    // A diameter or pitch given by hand counts here too.
    size.diameter_m = real(store, at, "diameter")?;
    size.pitch_m = real(store, at, "pitch")?;
    if store.given(&format!("{at}.pitch")) {
        size.threads_per_inch = size.threads_per_inch.map(|_| 0.0254 / size.pitch_m);
    }
    let how = match size.threads_per_inch {
        None => "(pi/4)(d - 0.9382 P)^2",
        Some(_) => "(pi/4)(d - 0.9743/n)^2",
    };
    made(size.stress_area_m2(), how)
}

fn hexagon(store: &Store, at: &str, value: fn(&parts::BoltSize) -> f64) -> Option<Made> {
    let size = size(store, at)?;
    let standard = match size.threads_per_inch {
        None => "from the size: ISO 4014 and 4032 [recalled]",
        Some(_) => "from the size: heavy hexagon, ASME B18.2.6 [recalled]",
    };
    made(value(size), standard)
}

pub(crate) fn head_height(store: &Store, at: &str) -> Option<Made> {
    hexagon(store, at, |s| s.head_height_m)
}
pub(crate) fn across_flats(store: &Store, at: &str) -> Option<Made> {
    hexagon(store, at, |s| s.across_flats_m)
}
pub(crate) fn nut_height(store: &Store, at: &str) -> Option<Made> {
    hexagon(store, at, |s| s.nut_height_m)
}

fn from_grade(store: &Store, at: &str, value: fn(&parts::BoltGrade) -> f64) -> Option<Made> {
    let diameter = real(store, at, "diameter")?;
    let grade = parts::bolt_grade(store.text(&format!("{at}.grade"))?, diameter)?;
    made(value(grade), grade.source)
}

pub(crate) fn bolt_yield(store: &Store, at: &str) -> Option<Made> {
    from_grade(store, at, |g| g.yield_pa)
}
pub(crate) fn bolt_tensile(store: &Store, at: &str) -> Option<Made> {
    from_grade(store, at, |g| g.ultimate_pa)
}
pub(crate) fn bolt_elongation(store: &Store, at: &str) -> Option<Made> {
    from_grade(store, at, |g| g.elongation)
}

/// Circle of an arm's cap screws.
pub(crate) fn joint_circle(store: &Store, at: &str) -> Option<Made> {
    let (arm, _) = at.rsplit_once('.')?;
    let root = real(store, arm, "base_diameter")?;
    made(
        root + 4.0 * real(store, at, "diameter")?,
        "the arm's root diameter + 4 d (assumed: room for a socket beside the weld)",
    )
}

pub(crate) fn joint_tapped(store: &Store, at: &str) -> Option<Made> {
    made(1.5 * real(store, at, "diameter")?, "1.5 d (assumed)")
}

pub(crate) fn preload(store: &Store, _: &str) -> Option<Made> {
    if let Some(torque) = store.real("slip_base.clamp.torque") {
        let relaxation = store.real("slip_base.clamp.relaxation")?;
        let nut_factor = store.real("slip_base.clamp.nut_factor")?;
        let diameter = store.real("slip_base.bolt.diameter")?;
        // F_p = (1 - r) T / (K d)
        return made(
            (1.0 - relaxation) * torque / (nut_factor * diameter),
            "(1 - r) T / (K d)",
        );
    }
    (store.word::<Anchorage>("slip_base.anchorage")? == Anchorage::Fixed)
        .then(|| made(0.0, "a fixed anchorage has no clamp"))
        .flatten()
}

pub(crate) fn plate_radius(store: &Store, _: &str) -> Option<Made> {
    made(
        store.real("slip_base.bolt_circle")? / 2.0 + store.real("slip_base.notch.travel")?,
        "half of the bolt circle + the notch travel",
    )
}

pub(crate) fn notch_span(store: &Store, _: &str) -> Option<Made> {
    made(
        store.real("slip_base.bolt.diameter")? + 0.002,
        "d + 2 mm (assumed)",
    )
}

fn times_diameter(store: &Store, factor: f64, how: &str) -> Option<Made> {
    made(factor * store.real("slip_base.bolt.diameter")?, how)
}

pub(crate) fn plate_washer(store: &Store, _: &str) -> Option<Made> {
    times_diameter(store, 2.25, "2.25 d (assumed)")
}
pub(crate) fn round_washer(store: &Store, _: &str) -> Option<Made> {
    times_diameter(store, 1.85, "1.85 d: about ISO 7089 [recalled]")
}
pub(crate) fn keeper_edge(store: &Store, _: &str) -> Option<Made> {
    times_diameter(store, 1.5, "1.5 d (assumed)")
}

/// I = slope W - constant in lb.ft.s2 with W in lb; not below m (fraction of a length)^2, because the
/// regression falls to nothing (and below) for light vehicles.
fn inertia(
    store: &Store,
    slope: f64,
    constant: f64,
    fraction: f64,
    length: &str,
    what: &str,
) -> Option<Made> {
    let mass = store.real("vehicle.mass")?;
    let length = store.real(length)?;
    let weight_lb = mass / 0.453_592_37;
    // 1 lb.ft.s2 (pound-force) = 1.3558179483314004 kg.m2
    let regression = (slope * weight_lb - constant) * 1.355_817_948_331_400_4;
    let radius = fraction * length;
    let least = mass * radius * radius;
    if regression >= least {
        made(
            regression,
            format!("{slope} W - {constant} lb.ft.s2, W in lb (NHTSA regression [recalled?])"),
        )
    } else {
        made(
            least,
            format!("m ({fraction} {what})^2: the regression is too small here"),
        )
    }
}

pub(crate) fn roll_inertia(store: &Store, _: &str) -> Option<Made> {
    inertia(store, 0.18, 150.0, 0.3, "vehicle.width", "width")
}
pub(crate) fn pitch_inertia(store: &Store, _: &str) -> Option<Made> {
    inertia(store, 0.99, 1149.0, 0.2, "vehicle.length", "length")
}
pub(crate) fn yaw_inertia(store: &Store, _: &str) -> Option<Made> {
    inertia(store, 1.03, 1206.0, 0.2, "vehicle.length", "length")
}

pub(crate) fn struck_share(store: &Store, _: &str) -> Option<Made> {
    if store.flag("vehicle.guided")? {
        return made(0.0, "a guided mass is one body");
    }
    made(
        0.2,
        "doors, sills, floor and roof between the axles (assumed)",
    )
}
pub(crate) fn body_yield(store: &Store, _: &str) -> Option<Made> {
    made(
        48.0 * store.real("vehicle.mass")?,
        "48 N for each kg (assumed)",
    )
}
pub(crate) fn body_hardening(store: &Store, _: &str) -> Option<Made> {
    made(
        147.0 * store.real("vehicle.mass")?,
        "147 N/m for each kg: FHWA-RD-98-081 [derived]",
    )
}

pub(crate) fn roof_width(store: &Store, _: &str) -> Option<Made> {
    made(
        0.72 * store.real("vehicle.width")?,
        "0.72 of the width (assumed)",
    )
}
pub(crate) fn roof_force(store: &Store, _: &str) -> Option<Made> {
    // F = 1.5 m g, standard gravity
    made(
        1.5 * 9.806_65 * store.real("vehicle.mass")?,
        "1.5 times the weight, FMVSS 216 [recalled]; for a pole across the roof assumed",
    )
}
pub(crate) fn panel_force(store: &Store, _: &str) -> Option<Made> {
    made(
        0.5 * store.real("vehicle.skin.roof_force")?,
        "half of the roof's (assumed)",
    )
}
pub(crate) fn glass_force(store: &Store, _: &str) -> Option<Made> {
    // E = m v^2/2 of a headform of 4.5 kg at 40 km/h, stopped in 100 mm: k = 2 E / D^2
    let speed = 40.0 / 3.6;
    let stiffness = 4.5 * speed * speed / (0.1 * 0.1);
    made(
        stiffness * store.real("vehicle.skin.depth")?,
        "55.6 kN/m: a pedestrian headform of 4.5 kg at 40 km/h dents a windscreen by about 100 mm [recalled]",
    )
}

pub(crate) fn wheel_stiffness(store: &Store, _: &str) -> Option<Made> {
    let mass = store.real("vehicle.mass")?;
    let frequency = store.real("vehicle.suspension.ride_frequency")?;
    let omega = 2.0 * PI * frequency;
    // k = m (2 pi f)^2 / 4
    made(
        mass * omega * omega / 4.0,
        format!(
            "m (2 pi f)^2 / 4 with f = {}",
            shown_in(frequency, Dimension::Frequency, "Hz", 6)
        ),
    )
}

pub(crate) fn wheel_damping(store: &Store, _: &str) -> Option<Made> {
    let mass = store.real("vehicle.mass")?;
    let ratio = store.real("vehicle.suspension.damping_ratio")?;
    let stiffness = store.real("vehicle.suspension.wheel_stiffness")?;
    // c = 2 zeta sqrt(k m/4), a quarter of the mass on each wheel
    made(
        2.0 * ratio * (stiffness * mass / 4.0).sqrt(),
        format!("2 zeta sqrt(k m / 4) with zeta = {ratio}"),
    )
}

pub(crate) fn unloading(store: &Store, at: &str) -> Option<Made> {
    let curve = store.pairs(&format!("{at}.crush"))?;
    let mut energy = 0.0;
    let mut steepest = 0.0f64;
    for pair in curve.windows(2) {
        let (x0, f0) = pair[0];
        let (x1, f1) = pair[1];
        if x1 <= x0 {
            return None;
        }
        energy += (x1 - x0) * (f0 + f1) / 2.0;
        steepest = steepest.max((f1 - f0) / (x1 - x0));
    }
    let (_, force) = *curve.last()?;
    // e^2 = (F^2 / 2 k_u) / E
    let slope = force * force / (2.0 * RESTITUTION * RESTITUTION * energy);
    if steepest <= 0.0 {
        return None;
    }
    if slope > steepest {
        made(slope, "restitution 0.15 for a blow up to the last point")
    } else {
        made(steepest, "the steepest loading slope")
    }
}

/// Angle from the heading to the outward normal of the struck face, rad.
pub(crate) fn face_angle(face: StruckFace) -> f64 {
    match face {
        StruckFace::Front => 0.0,
        StruckFace::LeftSide => FRAC_PI_2,
        StruckFace::RightSide => -FRAC_PI_2,
    }
}

pub(crate) fn heading(store: &Store, _: &str) -> Option<Made> {
    let turn = face_angle(store.word("impact.face")?);
    if store.is_broken("impact.velocity_direction") {
        return None;
    }
    let direction = match store.given("impact.velocity_direction") {
        true => store.real("impact.velocity_direction")?,
        false => 0.0,
    };
    let how = if turn == 0.0 {
        "the velocity direction: no slide"
    } else {
        "the velocity direction, turned to slide broadside"
    };
    made(direction - turn, how)
}

pub(crate) fn velocity_direction(store: &Store, _: &str) -> Option<Made> {
    let turn = face_angle(store.word("impact.face")?);
    let heading = store.real("impact.heading")?;
    let how = if turn == 0.0 {
        "the heading: no slide"
    } else {
        "at right angles to the heading: broadside"
    };
    made(heading + turn, how)
}

/// The offset that a named place stands for, and how; `Err` where the name does not fit the face.
pub(crate) fn named_offset(store: &Store, name: &str) -> Option<Result<Made, &'static str>> {
    let front = store.word::<StruckFace>("impact.face")? == StruckFace::Front;
    let width = store.real("vehicle.width")?;
    let length = store.real("vehicle.length")?;
    let ahead = store.real("vehicle.cg_to_front")?;
    let pole = store.real("support.pole.base_diameter")?;
    let on_front = |value: f64, how: &str| {
        if front {
            made(value, how).ok_or("is not finite")
        } else {
            Err("is a place on the front; a side has `quarter-front` and `quarter-rear`")
        }
    };
    let on_side = |value: f64, how: &str| {
        if front {
            Err("is a place on a side; the front has `quarter-left` and `quarter-right`")
        } else {
            made(value, how).ok_or("is not finite")
        }
    };
    let Some(place) = FacePlace::of(name) else {
        return Some(Err("is not a place"));
    };
    Some(match place {
        FacePlace::Centre => made(0.0, "centre").ok_or("is not finite"),
        FacePlace::QuarterLeft => on_front(
            width / 4.0,
            "quarter-left: a quarter of the width off the centre line",
        ),
        FacePlace::QuarterRight => on_front(
            -width / 4.0,
            "quarter-right: a quarter of the width off the centre line",
        ),
        FacePlace::CornerLeft => on_front(
            0.45 * width,
            "corner-left: 0.45 of the width off the centre line",
        ),
        FacePlace::CornerRight => on_front(
            -0.45 * width,
            "corner-right: 0.45 of the width off the centre line",
        ),
        FacePlace::QuarterFront => {
            on_side(length / 4.0, "quarter-front: a quarter of the length ahead")
        }
        FacePlace::QuarterRear => on_side(
            -length / 4.0,
            "quarter-rear: a quarter of the length behind",
        ),
        FacePlace::Miss => {
            let edge = if front { width / 2.0 } else { ahead };
            made(edge + pole + 0.5, "miss: 0.5 m clear of the vehicle").ok_or("is not finite")
        }
    })
}

/// Plate on plate, only where the round washers are missing.
pub(crate) fn plate_friction(store: &Store, at: &str) -> Option<Made> {
    (store.word::<WashersWord>(&format!("{at}.round_washers"))? == WashersWord::Missing)
        .then(|| {
            made(
                0.33,
                "clean mill scale (Kulak, Fisher and Struik) [recalled]",
            )
        })
        .flatten()
}

/// A limit without a source comes from the scenario itself.
pub(crate) fn limit_source(store: &Store, at: &str) -> Option<Made> {
    store.has(&format!("{at}.value")).then(|| Made {
        data: Data::Text("given in the scenario".to_owned()),
        how: "no source given".to_owned(),
    })
}
