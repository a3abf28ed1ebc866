//! Checks of how vehicle and pole meet.

use giveway_units::{Dimension, shown_in};

use super::said::said;
use crate::diagnostic::Findings;
use crate::makers::face_angle;
use crate::model::StruckFace;
use crate::store::{Origin, Store};

pub(super) fn impact(store: &Store, findings: &mut Findings<'_>) {
    let (Some(face), Some(heading), Some(direction)) = (
        store.word::<StruckFace>("impact.face"),
        store.real("impact.heading"),
        store.real("impact.velocity_direction"),
    ) else {
        return;
    };
    // Part of the velocity that runs along the outward normal of the face.
    let along = libm::cos(direction - heading - face_angle(face));
    let path = "impact.velocity_direction";
    let place = store.place(path).max(store.place("impact.heading"));
    let angle = shown_in(
        libm::acos(along.clamp(-1.0, 1.0)),
        Dimension::Angle,
        "deg",
        4,
    );
    if along <= 0.02 {
        findings.error(
            "S065",
            place,
            path,
            said(
                format!("the {} does not move towards the pole", face.name()),
                format!("{angle} between velocity and the face's outward normal"),
                "less than 88 deg",
            ),
        );
    } else if along < 0.5 {
        findings.warning(
            "S505",
            place,
            path,
            said(
                format!("the {} only grazes the pole", face.name()),
                format!("{angle} between velocity and the face's outward normal"),
                "usual: at most 60 deg",
            ),
        );
    }
    passes_by(store, face, findings);
}

fn passes_by(store: &Store, face: StruckFace, findings: &mut Findings<'_>) {
    let path = "impact.offset";
    let (Some(offset), Some(pole), Some(width), Some(length), Some(ahead)) = (
        store.real(path),
        store.real("support.pole.base_diameter"),
        store.real("vehicle.width"),
        store.real("vehicle.length"),
        store.real("vehicle.cg_to_front"),
    ) else {
        return;
    };
    let (low, high) = if face == StruckFace::Front {
        (-width / 2.0, width / 2.0)
    } else {
        (ahead - length, ahead)
    };
    let asked_to_miss = matches!(
        store.get(path).map(|v| &v.origin),
        Some(Origin::Computed(how)) if how.starts_with("miss")
    );
    if !asked_to_miss && !(low..=high).contains(&offset) {
        let m = |x| shown_in(x, Dimension::Length, "m", 4);
        let what = if offset > high + pole / 2.0 || offset < low - pole / 2.0 {
            "the vehicle passes beside the pole"
        } else {
            "the pole's axis lies off the face: only its edge is touched"
        };
        findings.warning(
            "S504",
            store.place(path),
            path,
            said(
                what,
                m(offset),
                format!("on the face: {} to {}", m(low), m(high)),
            ),
        );
    }
}
