//! Checks of the vehicle's measures and of the crush laws of its faces.

use giveway_units::{Dimension, shown_in};

use super::said::{mm, said};
use crate::diagnostic::Findings;
use crate::store::Store;

pub(super) fn vehicle(store: &Store, findings: &mut Findings<'_>) {
    let m = |x| shown_in(x, Dimension::Length, "m", 4);
    let get = |key: &str| store.real(&format!("vehicle.{key}"));
    if let (Some(front), Some(length)) = (get("cg_to_front"), get("length"))
        && front >= length
    {
        let path = "vehicle.cg_to_front";
        findings.error(
            "S063",
            store.place(path).max(store.place("vehicle.length")),
            path,
            said(
                "the centre of mass lies behind the vehicle",
                m(front),
                format!("less than the length, {}", m(length)),
            ),
        );
    }
    if let (Some(axle), Some(wheelbase)) = (get("cg_to_front_axle"), get("wheelbase"))
        && axle >= wheelbase
    {
        let path = "vehicle.cg_to_front_axle";
        findings.error(
            "S063",
            store.place(path).max(store.place("vehicle.wheelbase")),
            path,
            said(
                "the centre of mass lies behind the rear axle: the vehicle would tip over",
                m(axle),
                format!("less than the wheelbase, {}", m(wheelbase)),
            ),
        );
    }
    if let (Some(track), Some(width)) = (get("track"), get("width"))
        && track > width
    {
        let path = "vehicle.track";
        findings.error(
            "S063",
            store.place(path).max(store.place("vehicle.width")),
            path,
            said(
                "the track is wider than the vehicle",
                m(track),
                format!("at most {}", m(width)),
            ),
        );
    }
    let path = "vehicle.outline";
    if let Some(outline) = store.pairs(path) {
        let rising = outline.windows(2).all(|p| p[0].0 < p[1].0);
        let above = outline.iter().all(|&(x, z)| x >= 0.0 && z >= 0.0);
        if outline.len() < 2 || !rising || !above {
            findings.error(
                "S064",
                store.place(path),
                path,
                said(
                    "the outline must run from front to rear",
                    format!("{} points", outline.len()),
                    "at least 2 points, distances rising from 0, heights not negative",
                ),
            );
        }
    }
}

pub(super) fn bands(store: &Store, face: &str, findings: &mut Findings<'_>) {
    let list = format!("{face}.band");
    if store.list(&list).is_empty() && !store.is_broken(&list) && store.has("vehicle.class") {
        let path = format!("{face}.class_bands");
        findings.error(
            "S062",
            store.place(&path),
            face,
            said("the face has no band", "none", "at least one band"),
        );
    }
    for name in store.list(&list) {
        let at = format!("{list}[{name}]");
        let lower_path = format!("{at}.lower");
        let upper_path = format!("{at}.upper");
        if let (Some(lower), Some(upper)) = (store.real(&lower_path), store.real(&upper_path))
            && lower >= upper
        {
            findings.error(
                "S062",
                store.place(&lower_path).max(store.place(&upper_path)),
                &lower_path,
                said(
                    "the lower edge is not below the upper edge",
                    format!("{} and {}", mm(lower), mm(upper)),
                    "lower < upper",
                ),
            );
        }
        crush(store, &at, findings);
    }
}

fn crush(store: &Store, at: &str, findings: &mut Findings<'_>) {
    let path = format!("{at}.crush");
    let Some(curve) = store.pairs(&path) else {
        return;
    };
    let kn = |f| shown_in(f, Dimension::Force, "kN", 4);
    let mut problem = |message: &str, found: String, allowed: &str| {
        findings.error(
            "S060",
            store.place(&path),
            &path,
            said(message, found, allowed),
        );
    };
    if curve.len() < 2 {
        problem(
            "a crush law needs two points at least",
            format!("{} points", curve.len()),
            "(0, 0) and one more",
        );
        return;
    }
    let (x0, f0) = curve[0];
    if x0 != 0.0 || f0 != 0.0 {
        problem(
            "a crush law starts at no crush and no force",
            format!("{}, {}", mm(x0), kn(f0)),
            "[\"0 mm\", \"0 kN\"] first",
        );
        return;
    }
    if let Some(pair) = curve.windows(2).find(|p| p[1].0 <= p[0].0) {
        problem(
            "crush does not rise from point to point",
            format!("{} after {}", mm(pair[1].0), mm(pair[0].0)),
            "strictly rising crush; force may stay level or fall",
        );
        return;
    }
    if let Some(&(_, force)) = curve.iter().find(|p| p.1 < 0.0) {
        problem("a crush force pulls", kn(force), "forces of 0 and more");
        return;
    }
    if curve[1].1 <= 0.0 {
        problem(
            "the first slope is nothing: the band would not be felt",
            kn(curve[1].1),
            "a force above 0 at the second point",
        );
        return;
    }
    let n = curve.len();
    if curve[n - 1].1 < curve[n - 2].1 {
        problem(
            "the last slope falls, and it continues for ever: the force would turn negative",
            format!("{} after {}", kn(curve[n - 1].1), kn(curve[n - 2].1)),
            "a last slope that rises or stays level",
        );
        return;
    }
    let steepest = curve
        .windows(2)
        .map(|p| (p[1].1 - p[0].1) / (p[1].0 - p[0].0))
        .fold(0.0f64, f64::max);
    let slope_path = format!("{at}.unloading");
    if let Some(slope) = store.real(&slope_path)
        && slope < steepest
    {
        let show = |k| shown_in(k, Dimension::Stiffness, "MN/m", 4);
        let message = "the unloading slope is below the steepest loading slope: the face would give back more than it took";
        let said = said(message, show(slope), format!("at least {}", show(steepest)));
        findings.error(
            "S061",
            store.place(&slope_path).max(store.place(&path)),
            &slope_path,
            said.hint("leave `unloading` out, or raise it"),
        );
    }
}
