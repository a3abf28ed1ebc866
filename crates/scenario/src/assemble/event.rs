//! Ground, skin and the flight's settings.

use super::At;
use crate::model::{ArmHold, Follow, Ground, Skin, Strip, StripUse};

pub(super) fn ground(site: &At<'_>) -> Option<Ground> {
    let at = site.sub("ground");
    Some(Ground {
        friction: at.real("friction")?,
        slope_rad: at.real("slope")?,
        slope_from_m: at.real("slope_from")?,
        strips: site.each("strip", |strip| {
            Some(Strip {
                name: strip.text("name")?,
                used_by: match strip.text("use")?.as_str() {
                    "lane" => StripUse::Lane,
                    "opposite-lane" => StripUse::OppositeLane,
                    "footway" => StripUse::Footway,
                    "cycle-track" => StripUse::CycleTrack,
                    _ => StripUse::Verge,
                },
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
        arms: match at.text("arms")?.as_str() {
            "break" => ArmHold::Break,
            "stay" => ArmHold::Stay,
            _ => ArmHold::ByStrength,
        },
    })
}
