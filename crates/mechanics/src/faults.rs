//! Limit loads of what is found on site: grout round bolt heads, bars in the slip plane, dished washers, notches that
//! do not match or are not clean, soil behind the foot, a pier that moves, a nut that is not full.
//!
//! Pure functions on the resolved scenario, SI. Every one that needs a strength or a size with a meaning checks it and
//! returns [`InputError`]. A finding of zero severity gives exactly zero.
//!
//! # References
//! - ACI 318-19, 22.8 (bearing) and 17.7.2.2.1 (breakout of one anchor towards an edge, 9 sqrt(f'c) c^1.5 in psi and
//!   inches) (recalled).
//! - W. J. M. Rankine's passive pressure; B. B. Broms 1964, short pier in sand (recalled).
//! - Bars, lumps: min(0.6 F_u A, 3 F_y d h) and 0.6 F_u A (common practice, no source).
//! - S. Timoshenko, Strength of Materials, part II: beams bent beyond yield (recalled), see [`dish_angle`].

use crate::clamp::{grip, stripping_load, tensile_load};
use crate::obstacle::{PierLaw, SoilLaw};
use crate::strength::{
    InputError, breakout_n, broms_short_pier, concrete_bearing, finite, not_negative, positive,
    rankine_kp, stub_limit, within,
};
use giveway_scenario::model::{
    AsFound, Bolt, Conduit, Foundation, Grout, KeeperFound, NotchLump, RoundWashers, SlipBase,
    SoilBehind, Stub,
};
use nalgebra::Vector2;
use std::f64::consts::{FRAC_PI_4, PI};

mod dish;

pub use dish::{LARGEST_DISH_RAD, dish_angle, dish_force};

/// Factor of the breakout towards an edge, psi and inches (ACI 318-19 17.7.2.2.1b, recalled).
const EDGE_BREAKOUT: f64 = 9.0;

/// Projected area of a bolt's head and plate washer in grout, m^2:
/// A_b = min(e, k) s + min(max(e - k, 0), t_w) D_w.
///
/// `depth_m` is the embedded depth e, measured up from the lowest face of the head; k and s are the head's height and
/// width across the flats, t_w and D_w the washer's thickness and width. A depth of zero or less gives 0.
pub fn grout_area(depth_m: f64, bolt: &Bolt, washer_d_m: f64, washer_t_m: f64) -> f64 {
    let e = depth_m.max(0.0);
    let head = e.min(bolt.head_height_m) * bolt.across_flats_m;
    let washer = (e - bolt.head_height_m).clamp(0.0, washer_t_m) * washer_d_m;
    head + washer
}

/// What grout does to one bolt that must move through it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroutHold {
    /// Bearing (crushing) of the grout before head and washer, N.
    pub bearing_n: f64,
    /// Breakout of the grout towards its free edge, N; infinite where the plate above keeps it down.
    pub breakout_n: f64,
    /// The smaller of the two, N.
    pub force_n: f64,
    /// Whether the grout crushes before it breaks out.
    pub crushes: bool,
    /// Bearing of the shank on grout in the mouth of the lower notch, N.
    pub shank_n: f64,
    /// Way of the bolt before its shank meets that grout, m.
    pub shank_gap_m: f64,
}

impl GroutHold {
    /// Clear of the grout.
    const NONE: Self = Self {
        bearing_n: 0.0,
        breakout_n: 0.0,
        force_n: 0.0,
        crushes: false,
        shank_n: 0.0,
        shank_gap_m: 0.0,
    };
}

/// Most that confined grout bears, in f'c: partially loaded areas (EN 1992-1-1, 6.7, recalled).
const CONFINED: f64 = 3.0;

/// Force with which grout holds one bolt back.
///
/// - Bearing 0.85 f'c A_b sqrt(A2/A1), the root at most 2. The load spreads 2 to each side for 1 ahead over the cover c:
///   A2/A1 = (w + 4 c)/w with the mean width w = A_b/e. It is not spread downward, and the grout's top is free, so that
///   a shallow embedment is not credited with more than it has.
/// - Edge breakout 9 sqrt(f'c) c^1.5 (psi, inches): one anchor in thick plain concrete with a wide edge. Grout of no great
///   depth breaks out more easily; neighbouring bolts and corners are not reduced. An engineering estimate.
///
/// - Grout that fills the room up to the lower plate is confined: it cannot break out upward, and bears f'c A_b sqrt(A2/A1),
///   the root at most 3 (EN 1992-1-1, 6.7, recalled).
/// - Grout in the mouth of the lower notch bears on the shank, between the walls of the notch and therefore confined:
///   3 f'c d h, over the whole thickness of the lower plate where `notch_gap_m` tells how far it stands off the shank,
///   over what is embedded beyond head and washer otherwise.
///
/// A gap of zero or more (heads), or no cover, holds nothing.
///
/// # Errors
/// A gap that is not finite, a strength that is not above zero, a negative cover; head or washer without size.
pub fn grout_hold(grout: &Grout, base: &SlipBase) -> Result<GroutHold, InputError> {
    let gap = finite("gap from the grout to the bolt head, m", grout.gap_m)?;
    let strength = positive("strength of the grout f'c, Pa", grout.strength_pa)?;
    let cover = not_negative("cover of grout towards the free edge c, m", grout.cover_m)?;
    let head = positive("height of the bolt head, m", base.bolt.head_height_m)?;
    positive(
        "width of the head across the flats, m",
        base.bolt.across_flats_m,
    )?;
    let washer = not_negative("plate washer thickness, m", base.plate_washer_m)?;
    let width = not_negative(
        "outside diameter of the plate washer, m",
        base.plate_washer_diameter_m,
    )?;
    if cover == 0.0 {
        return Ok(GroutHold::NONE);
    }
    let plate = positive("lower plate thickness, m", base.lower_plate_m)?;
    let mut hold = GroutHold::NONE;
    let (height, notch_gap) = match grout.notch_gap_m {
        Some(gap) => (
            plate,
            finite("gap from the shank to the grout, m", gap)?.max(0.0),
        ),
        None => ((-gap - head - washer).clamp(0.0, plate), 0.0),
    };
    hold.shank_n = CONFINED * strength * base.bolt.diameter_m * height;
    hold.shank_gap_m = notch_gap;
    if gap >= 0.0 {
        return Ok(hold);
    }
    // Above the washer comes the lower plate: no more can be embedded.
    let depth = (-gap).min(head + washer);
    let area = grout_area(depth, &base.bolt, width, washer);
    let mean_width = area / depth;
    let spread = 1.0 + 4.0 * cover / mean_width;
    if -gap >= head + washer {
        hold.bearing_n = strength * area * spread.sqrt().min(CONFINED);
        hold.breakout_n = f64::INFINITY;
    } else {
        hold.bearing_n = concrete_bearing(strength, area, area * spread)?;
        hold.breakout_n = breakout_n(EDGE_BREAKOUT, strength, cover)?;
    }
    hold.force_n = hold.bearing_n.min(hold.breakout_n);
    hold.crushes = hold.bearing_n <= hold.breakout_n;
    Ok(hold)
}

/// Distance between the plates as found, m: round washer (0 where it is missing) and keeper.
pub fn plate_spacing(base: &SlipBase, found: &AsFound) -> f64 {
    let washer = match found.round_washers {
        RoundWashers::Missing { .. } => 0.0,
        RoundWashers::Between | RoundWashers::AboveKeeper => base.round_washer_m,
    };
    let keeper = match found.keeper {
        KeeperFound::AsDesigned => base.keeper.as_ref().map_or(0.0, |k| k.thickness_m),
        KeeperFound::Missing => 0.0,
        KeeperFound::Thickness(t) => t,
    };
    washer + keeper
}

/// Height over which a bar of this projection meets the upper plate's edge, m: h = min(p - spacing, t_u), 0 where it
/// ends below the plate.
fn contact_height(projection_m: f64, base: &SlipBase, spacing_m: f64) -> Result<f64, InputError> {
    let above = finite("projection of the bar, m", projection_m)?
        - not_negative("distance between the plates, m", spacing_m)?;
    Ok(above
        .min(positive("upper plate thickness, m", base.upper_plate_m)?)
        .max(0.0))
}

/// Limit load of a bar or a tube of the given shear area and width against the upper plate's edge, N.
fn bar_force(
    ultimate_pa: f64,
    area_m2: f64,
    width_m: f64,
    height_m: f64,
    base: &SlipBase,
) -> Result<f64, InputError> {
    // A height of 1 m stands in where there is no contact, so that the other inputs are checked all the same.
    let met = height_m > 0.0;
    let force = stub_limit(
        ultimate_pa,
        area_m2,
        base.plate_yield_pa,
        width_m,
        if met { height_m } else { 1.0 },
    )?;
    Ok(if met { force } else { 0.0 })
}

/// Force at which the stub of an anchor bar gives way to the upper plate, N: min(0.6 F_u pi D^2/4, 3 F_y D h); 0 where the
/// bar ends below the plate.
///
/// # Errors
/// A size or strength that is not above zero, a projection or spacing without meaning.
pub fn stub_force(stub: &Stub, base: &SlipBase, spacing_m: f64) -> Result<f64, InputError> {
    let d = positive("diameter of the bar, m", stub.diameter_m)?;
    let h = contact_height(stub.projection_m, base, spacing_m)?;
    bar_force(stub.ultimate_pa, FRAC_PI_4 * d * d, d, h, base)
}

/// Force at which a conduit gives way to the edge of the upper plate's opening, N: min(0.6 F_u pi (D - t) t, 3 F_y D h);
/// 0 where it ends below the plate. A flattening wall is not counted: the force is an upper estimate for a thin one.
///
/// # Errors
/// A size or strength that is not above zero, a wall above half the diameter, a projection or spacing without meaning.
pub fn conduit_force(
    conduit: &Conduit,
    base: &SlipBase,
    spacing_m: f64,
) -> Result<f64, InputError> {
    let d = positive("diameter of the conduit, m", conduit.diameter_m)?;
    let t = within(
        "wall of the conduit, m",
        conduit.wall_m,
        conduit.wall_m > 0.0 && 2.0 * conduit.wall_m <= d,
        "above zero and at most half the diameter",
    )?;
    let h = contact_height(conduit.projection_m, base, spacing_m)?;
    bar_force(conduit.ultimate_pa, PI * (d - t) * t, d, h, base)
}

/// Room between a bolt in the middle of its notch and either wall, m: (b - d)/2, b the notch's width at the seated
/// bolt; 0 where the bolt is as wide as the notch.
///
/// # Errors
/// A width or diameter that is not above zero.
pub fn notch_clearance(base: &SlipBase) -> Result<f64, InputError> {
    let span = positive("width of the notch at the bolt, m", base.notch_span_m)?;
    let d = positive("bolt diameter d, m", base.bolt.diameter_m)?;
    Ok((0.5 * (span - d)).max(0.0))
}

/// Force of a bolt on the notch walls when the upper notches stand off the lower ones by `offset_m` along the bolt
/// circle, N: min(12 E I/g^3 (offset - free), 2 M_p/g), I = pi d^4/64, M_p = F_y d^3/6.
///
/// The bolt settles midway between the two notch axes, off each by half the offset, so that it stays free up to twice
/// [`notch_clearance`] (derived). Beyond, head and nut keep it from turning over the grip g: a beam fixed at both ends
/// with one end displaced, up to its plastic hinges (elementary statics; that the washers hold the ends upright is
/// assumed and gives the upper end of the force). The sign of the offset does not matter.
///
/// # Errors
/// An offset that is not finite, a bolt or base without size or strength.
pub fn notch_offset_force(offset_m: f64, base: &SlipBase) -> Result<f64, InputError> {
    let offset = finite("offset between the notches, m", offset_m)?.abs();
    let forced = (offset - 2.0 * notch_clearance(base)?).max(0.0);
    let d = base.bolt.diameter_m;
    let youngs = positive("Young's modulus of the bolt, Pa", base.bolt.youngs_pa)?;
    let yielding = positive("yield strength of the bolt, Pa", base.bolt.yield_pa)?;
    let g = grip(base)?;
    // k = 12 E I/g^3, I = pi d^4/64
    let stiffness = 12.0 * youngs * (PI * d * d * d * d / 64.0) / (g * g * g);
    // P = 2 M_p/g, M_p = F_y d^3/6
    let hinges = 2.0 * (yielding * d * d * d / 6.0) / g;
    Ok((stiffness * forced).min(hinges))
}

/// Force at which a lump on a notch wall shears off, N: 0.6 F_u length width (common practice, no source); 0 for a
/// lump no higher than [`notch_clearance`], which the bolt passes.
///
/// # Errors
/// A size below zero, a strength that is not above zero, a notch without width.
pub fn lump_force(lump: &NotchLump, base: &SlipBase) -> Result<f64, InputError> {
    let height = not_negative("height of the lump, m", lump.height_m)?;
    let length = not_negative("length of the lump, m", lump.length_m)?;
    let width = not_negative("width of the lump, m", lump.width_m)?;
    let strength = positive("tensile strength of the lump, Pa", lump.ultimate_pa)?;
    if height <= notch_clearance(base)? {
        return Ok(0.0);
    }
    Ok(0.6 * strength * length * width)
}

/// Force law of the soil behind the foot: Rankine's passive force on a wall of the given width (twice the upper plate's
/// radius), mobilised as the law says.
///
/// # Errors
/// A soil property, gap, height, slope (0 to below 90 degrees) or width without meaning.
pub fn soil_law(soil: &SoilBehind, width_m: f64) -> Result<SoilLaw, InputError> {
    let azimuth = finite("direction of the soil, rad", soil.azimuth_rad)?;
    let phi = soil.friction_angle_rad;
    let kp = rankine_kp(phi)?;
    let b = not_negative("width pressed against the soil, m", width_m)?;
    let slope = within(
        "slope of the soil behind its face, rad",
        soil.slope_rad,
        (0.0..0.5 * PI).contains(&soil.slope_rad),
        "from 0 to below 90 degrees",
    )?;
    let gamma = not_negative("unit weight of soil, N/m^3", soil.unit_weight_npm3)?;
    let cohesion = not_negative("cohesion of soil, Pa", soil.cohesion_pa)?;
    Ok(SoilLaw {
        direction: Vector2::new(libm::cos(azimuth), libm::sin(azimuth)),
        gap_m: not_negative("gap between plate and soil, m", soil.gap_m)?,
        height_m: not_negative("height of the soil's face, m", soil.height_m)?,
        slope: libm::tan(slope),
        // P/H^2 = gamma K_p b/2,  P/H = 2 c sqrt(K_p) b
        weight_npm2: 0.5 * gamma * kp * b,
        cohesion_npm: 2.0 * cohesion * kp.sqrt() * b,
        face_friction: libm::tan(2.0 / 3.0 * phi),
    })
}

/// Resistance of the soil when the foot has moved `travel_m` towards it, N: 0 until the gap closes, then
/// (gamma H^2 K_p/2 + 2 c H sqrt(K_p)) b, H = h + (travel - gap) tan(slope), growing linearly over the first 2 % of H
/// (that share is assumed; common practice, no source).
///
/// # Errors
/// As [`soil_law`]; a travel that is not finite.
pub fn soil_force(soil: &SoilBehind, width_m: f64, travel_m: f64) -> Result<f64, InputError> {
    let travel = finite("travel towards the soil, m", travel_m)?;
    Ok(soil_law(soil, width_m)?.resistance(travel))
}

/// A pier that can move under a load at `load_height_m` above the ground: Broms' capacity, reached at the given movement,
/// and a third of the pier's mass: a rod that turns about its lower end has the inertia m L^2/3, seen at its top as m/3
/// (derived; the soil that moves along is left out).
///
/// # Errors
/// A size, density, movement or weight that is not above zero, a negative height, a friction angle outside 0 to 60
/// degrees.
pub fn pier(foundation: &Foundation, load_height_m: f64) -> Result<PierLaw, InputError> {
    let f = foundation;
    let capacity_n = broms_short_pier(
        f.unit_weight_npm3,
        f.diameter_m,
        f.length_m,
        f.friction_angle_rad,
        load_height_m,
    )?;
    let movement = positive("movement at the pier's capacity, m", f.movement_m)?;
    let density = positive("density of the pier, kg/m^3", f.density_kgpm3)?;
    // m = rho pi D^2 L/4
    let mass = density * FRAC_PI_4 * f.diameter_m * f.diameter_m * f.length_m;
    Ok(PierLaw {
        capacity_n,
        stiffness_npm: capacity_n / movement,
        mass_kg: mass / 3.0,
    })
}

/// Tension that a bolt carries with `threads` engaged threads, N: the stripping load, no more than the tensile load.
///
/// # Errors
/// A negative number of threads, a bolt without size or strength.
pub fn engaged_load(threads: f64, bolt: &Bolt) -> Result<f64, InputError> {
    let strips = stripping_load(bolt.ultimate_pa, bolt.diameter_m, bolt.pitch_m, threads)?;
    Ok(strips.min(tensile_load(bolt.ultimate_pa, bolt.stress_area_m2)?))
}
