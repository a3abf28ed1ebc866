//! What would open a window where there is none: changes to the design, each tried by the same computation.

use std::f64::consts::PI;

use giveway_scenario::model::Scenario;
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::case::ImpactCase;
use super::torque_window;
use crate::error::StudyError;
use crate::supports::Supports;

/// One change that was tried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Opening {
    /// The change in words.
    pub change: String,
    /// The window with it, N.m; none: still no window.
    pub window_nm: Option<[f64; 2]>,
    /// What the computation says, or why it could not be made.
    pub sentence: String,
}

type Change = (String, Box<dyn Fn(&mut Scenario) + Sync + Send>);

/// Tries every change of the list on the design and on its impacts.
///
/// The changes are larger bolt circles with their plates, shorter arms and lighter luminaires, plates of less friction,
/// thicker plate washers, the base turned within one spacing of its bolts, a bolt more, and without what was found on site where something was.
pub fn openings(design: &Scenario, cases: &[ImpactCase], supports: &Supports) -> Vec<Opening> {
    changes(design)
        .into_par_iter()
        .map(|(change, apply)| {
            let mut changed = design.clone();
            apply(&mut changed);
            let cases: Vec<ImpactCase> = cases
                .iter()
                .map(|c| {
                    let mut c = c.clone();
                    apply(&mut c.scenario);
                    c
                })
                .collect();
            let outcome = torque_window(&changed, &cases, supports);
            told(change, outcome.map(|w| (w.window_nm, w.sentence)))
        })
        .collect()
}

fn told(change: String, outcome: Result<(Option<[f64; 2]>, String), StudyError>) -> Opening {
    let (window_nm, sentence) = match outcome {
        Ok(found) => found,
        Err(error) => (None, format!("It could not be computed: {error}.")),
    };
    Opening {
        change,
        window_nm,
        sentence,
    }
}

fn changes(design: &Scenario) -> Vec<Change> {
    let mut list: Vec<Change> = Vec::new();
    let mut add = |words: String, change: Box<dyn Fn(&mut Scenario) + Sync + Send>| {
        list.push((words, change));
    };
    if design.as_found != Default::default() {
        add(
            "everything found on site put right".into(),
            Box::new(|s| s.as_found = Default::default()),
        );
    }
    for factor in [1.15, 1.3] {
        let circle = design.base.bolt_circle_m * factor * 1e3;
        add(
            format!("a bolt circle of {circle:.0} mm, plates to match"),
            Box::new(move |s| {
                // The edge of the plates beyond the bolts stays as it is.
                let wider = s.base.bolt_circle_m * (factor - 1.0);
                s.base.bolt_circle_m += wider;
                s.base.plate_radius_m += 0.5 * wider;
            }),
        );
    }
    if !design.support.arms.is_empty() {
        for factor in [0.75, 0.5] {
            add(
                format!("arms of {:.0} % of their reach", factor * 100.0),
                Box::new(move |s| {
                    for arm in &mut s.support.arms {
                        arm.reach_m *= factor;
                    }
                }),
            );
        }
        add(
            "luminaires of half the mass and area".into(),
            Box::new(|s| {
                let arms = s.support.arms.iter_mut();
                for luminaire in arms.flat_map(|a| a.luminaires.iter_mut()) {
                    luminaire.mass_kg *= 0.5;
                    luminaire.drag_area_m2 *= 0.5;
                }
            }),
        );
    }
    for factor in [0.75, 0.5] {
        add(
            format!(
                "friction of {:.0} % at plates, washers and notch walls",
                factor * 100.0
            ),
            Box::new(move |s| {
                s.base.friction_outer *= factor;
                s.base.friction_inner *= factor;
                s.base.friction_wall *= factor;
                s.base.sliding_outer *= factor;
                s.base.sliding_inner *= factor;
                s.base.sliding_wall *= factor;
            }),
        );
    }
    for factor in [1.5, 2.0] {
        let mm = design.base.plate_washer_m * factor * 1e3;
        add(
            format!("plate washers of {mm:.0} mm"),
            Box::new(move |s| s.base.plate_washer_m *= factor),
        );
    }
    let spacing = 2.0 * PI / design.base.bolt_count as f64;
    for quarter in 1..4 {
        let turn = spacing * f64::from(quarter) / 4.0;
        add(
            format!("the base turned by {:.0} degrees", turn.to_degrees()),
            Box::new(move |s| s.base.first_bolt_azimuth_rad += turn),
        );
    }
    if design.base.bolt_count == 3 {
        add("four bolts".into(), Box::new(|s| s.base.bolt_count = 4));
    }
    list
}
