//! Checks of tubes, arms and lumps.

use giveway_units::{Dimension, exact_text, shown_in};

use super::said::{mm, said};
use crate::diagnostic::{Findings, Said};
use crate::store::Store;

pub(super) fn support(store: &Store, findings: &mut Findings<'_>) {
    let mut tubes = vec!["support.pole".to_owned()];
    tubes.extend(
        store
            .list("support.arm")
            .iter()
            .map(|i| format!("support.arm[{i}]")),
    );
    for tube in &tubes {
        let path = format!("{tube}.wall");
        for end in ["base_diameter", "tip_diameter"] {
            let (Some(wall), Some(diameter)) =
                (store.real(&path), store.real(&format!("{tube}.{end}")))
            else {
                continue;
            };
            if 2.0 * wall >= diameter {
                findings.error(
                    "S050",
                    store.place(&path),
                    &path,
                    said(
                        format!(
                            "the wall is thicker than the radius at the {}",
                            &end[..end.len() - 9]
                        ),
                        mm(wall),
                        format!("less than {}", mm(diameter / 2.0)),
                    ),
                );
                break;
            }
        }
        strengths(store, tube, findings);
    }
    for i in store.list("support.arm") {
        joint_circle(store, &format!("support.arm[{i}]"), findings);
        strengths(store, &format!("support.arm[{i}].joint"), findings);
    }
    strengths(store, "slip_base.bolt", findings);
    strengths(store, "slip_base.plates", findings);
    let Some(length) = store.real("support.pole.length") else {
        return;
    };
    let too_high = |list: &str, key: &str, code, what: &str, findings: &mut Findings<'_>| {
        for i in store.list(list) {
            let path = format!("{list}[{i}].{key}");
            let Some(height) = store.real(&path) else {
                continue;
            };
            if height > length {
                findings.error(
                    code,
                    store.place(&path),
                    &path,
                    Said::that(format!("{what} sits higher than the pole is long"))
                        .found(shown_in(height, Dimension::Length, "m", 5))
                        .allowed(format!(
                            "at most {}, the pole's length",
                            shown_in(length, Dimension::Length, "m", 5)
                        ))
                        .hint(format!(
                            "{key} = \"{}\"",
                            exact_text(length, Dimension::Length, "m")
                        )),
                );
            }
        }
    };
    too_high(
        "support.arm",
        "attachment_height",
        "S051",
        "the arm",
        findings,
    );
    too_high("support.lump", "height", "S052", "the lump", findings);
}

/// The cap screws of an arm stand outside its tube.
fn joint_circle(store: &Store, arm: &str, findings: &mut Findings<'_>) {
    let path = format!("{arm}.joint.circle");
    let root_path = format!("{arm}.base_diameter");
    let (Some(circle), Some(d), Some(root)) = (
        store.real(&path),
        store.real(&format!("{arm}.joint.diameter")),
        store.real(&root_path),
    ) else {
        return;
    };
    if circle - d <= root {
        findings.error(
            "S053",
            store.place(&path).max(store.place(&root_path)),
            &path,
            said(
                format!("the cap screws stand inside the arm of {}", mm(root)),
                mm(circle),
                format!("more than {}", mm(root + d)),
            ),
        );
    }
}

fn strengths(store: &Store, at: &str, findings: &mut Findings<'_>) {
    let path = format!("{at}.yield_strength");
    let ultimate_path = format!("{at}.tensile_strength");
    if let (Some(y), Some(u)) = (store.real(&path), store.real(&ultimate_path))
        && y > u
    {
        let shown = |x| shown_in(x, Dimension::Stress, "MPa", 4);
        findings.error(
            "S067",
            store.place(&path).max(store.place(&ultimate_path)),
            &path,
            said(
                "the yield strength is above the tensile strength",
                shown(y),
                format!("at most {}", shown(u)),
            ),
        );
    }
}
