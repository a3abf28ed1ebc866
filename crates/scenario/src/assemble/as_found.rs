//! The findings on site.

use super::at::At;
use crate::model::{
    AsFound, Conduit, Foundation, Grout, KeeperFound, NotchLump, RoundWashers, SoilBehind, Stub,
};
use crate::words::{KeeperWord, WashersWord};

/// The findings; a part of which nothing was given is as designed.
pub(super) fn as_found<'a>(at: &At<'a>, sub: &dyn Fn(&str) -> At<'a>) -> Option<AsFound> {
    Some(AsFound {
        grout: part(&sub("as_found.grout"), "gap", grout)?,
        stubs: at.each("stub", stub)?,
        conduit: part(&sub("as_found.conduit"), "projection", conduit)?,
        round_washers: match at.word("round_washers").unwrap_or_default() {
            WashersWord::Between => RoundWashers::Between,
            WashersWord::AboveKeeper => RoundWashers::AboveKeeper,
            WashersWord::Missing => RoundWashers::Missing {
                plate_friction: at.real("plate_friction")?,
            },
        },
        plate_washer_m: at.real("plate_washer_thickness"),
        keeper: match (
            at.real("keeper_thickness"),
            at.word("keeper").unwrap_or_default(),
        ) {
            (Some(thickness), _) => KeeperFound::Thickness(thickness),
            (None, KeeperWord::Missing) => KeeperFound::Missing,
            (None, KeeperWord::AsDesigned) => KeeperFound::AsDesigned,
        },
        engaged_threads: at.real("engaged_threads"),
        torques_nm: at.reals("torques"),
        threads: at.word("threads").unwrap_or_default(),
        lump: part(&sub("as_found.lump"), "height", lump)?,
        notch_offset_m: signed(at.real("notch_offset")),
        rust: at.word("rust").unwrap_or_default(),
        ice: at.word("ice").unwrap_or_default(),
        turned_rad: signed(at.real("turned")),
        slip_plane_height_m: at.real("slip_plane_height"),
        soil: part(&sub("as_found.soil"), "gap", soil)?,
        foundation: part(&sub("as_found.foundation"), "diameter", foundation)?,
    })
}

/// Left out = none; `-0` becomes 0, so that it is "as designed" to the last bit.
fn signed(value: Option<f64>) -> f64 {
    value.unwrap_or(0.0) + 0.0
}

/// A finding that is there only where its key measurement is.
fn part<T>(at: &At<'_>, key: &str, read: impl Fn(&At<'_>) -> Option<T>) -> Option<Option<T>> {
    if at.has(key) {
        read(at).map(Some)
    } else {
        Some(None)
    }
}

fn grout(at: &At<'_>) -> Option<Grout> {
    Some(Grout {
        gap_m: at.real("gap")?,
        notch_gap_m: at.real("notch_gap"),
        strength_pa: at.real("strength")?,
        cover_m: at.real("cover")?,
        bolts: at.numbers("bolts"),
    })
}

fn stub(at: &At<'_>) -> Option<Stub> {
    Some(Stub {
        azimuth_rad: at.real("azimuth")?,
        projection_m: at.real("projection")?,
        gap_m: at.real("gap")?,
        diameter_m: at.real("diameter")?,
        ultimate_pa: at.real("tensile_strength")?,
    })
}

fn conduit(at: &At<'_>) -> Option<Conduit> {
    Some(Conduit {
        projection_m: at.real("projection")?,
        gap_m: at.real("gap")?,
        diameter_m: at.real("diameter")?,
        wall_m: at.real("wall")?,
        ultimate_pa: at.real("tensile_strength")?,
    })
}

fn lump(at: &At<'_>) -> Option<NotchLump> {
    Some(NotchLump {
        height_m: at.real("height")?,
        length_m: at.real("length")?,
        width_m: at.real("width")?,
        ultimate_pa: at.real("tensile_strength")?,
        plate: at.word("plate")?,
        bolts: at.numbers("bolts"),
    })
}

fn soil(at: &At<'_>) -> Option<SoilBehind> {
    Some(SoilBehind {
        azimuth_rad: at.real("azimuth")?,
        gap_m: at.real("gap")?,
        height_m: at.real("height")?,
        slope_rad: at.real("slope")?,
        friction_angle_rad: at.real("friction_angle")?,
        cohesion_pa: at.real("cohesion")?,
        unit_weight_npm3: at.real("unit_weight")?,
    })
}

fn foundation(at: &At<'_>) -> Option<Foundation> {
    Some(Foundation {
        diameter_m: at.real("diameter")?,
        length_m: at.real("length")?,
        friction_angle_rad: at.real("friction_angle")?,
        unit_weight_npm3: at.real("unit_weight")?,
        density_kgpm3: at.real("density")?,
        movement_m: at.real("movement")?,
    })
}
