//! Ground, skin and the flight's settings.

use super::at::At;
use crate::model::{Follow, Ground, Skin, Strip};

pub(super) fn ground(site: &At<'_>) -> Option<Ground> {
    let at = site.sub("ground");
    Some(Ground {
        friction: at.real("friction")?,
        slope_rad: at.real("slope")?,
        slope_from_m: at.real("slope_from")?,
        strips: site.each("strip", |strip| {
            Some(Strip {
                name: strip.text("name")?,
                used_by: strip.word("use")?,
                right_m: strip.real("right")?,
                left_m: strip.real("left")?,
            })
        })?,
    })
}

pub(super) fn skin(at: &At<'_>) -> Option<Skin> {
    Some(Skin {
        roof_width_m: at.real("roof_width")?,
        depth_m: at.real("depth")?,
        roof_force_n: at.real("roof_force")?,
        panel_force_n: at.real("panel_force")?,
        glass_force_n: at.real("glass_force")?,
        recovery: at.real("recovery")?,
        spread: at.real("spread")?,
    })
}

pub(super) fn follow(at: &At<'_>) -> Option<Follow> {
    Some(Follow {
        pole: at.flag("follow_pole")?,
        limit_s: at.real("limit")?,
        step_s: at.real("step")?,
        arms: at.word("arms")?,
    })
}
