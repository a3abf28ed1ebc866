//! What was swept in a study, told by the columns of its table: the plan writes them, so that a folder can be looked at
//! without the files that it was made from.

use giveway_results::{CellKind, StudyCard};

/// How a swept quantity came to its values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// The base scenario.
    Base,
    /// The level of the conditions.
    Condition,
    /// A listed value.
    Grid,
    /// A drawn one.
    Drawn,
}

/// One swept quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AxisInfo {
    /// Column of the table.
    pub column: String,
    /// How it came to its values.
    pub role: Role,
    /// Path in the scenario, for listed and drawn values; of several paths all, with commas.
    pub path: Option<String>,
    /// What its cells are.
    pub kind: CellKind,
}

/// How points were drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sampling {
    /// Word of the study file: `sobol`, `trajectories`, `crossed` ...
    pub method: String,
    /// Root of the random numbers, where the table says it.
    pub seed: Option<u64>,
}

/// The columns of a study by their part in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// Swept quantities in the table's order.
    pub axes: Vec<AxisInfo>,
    /// How points were drawn.
    pub sampling: Option<Sampling>,
    /// Columns of numbers that came out.
    pub values: Vec<String>,
}

impl Layout {
    /// Reads the columns.
    pub fn of(card: &StudyCard) -> Self {
        let mut layout = Self {
            axes: Vec::new(),
            sampling: None,
            values: Vec::new(),
        };
        // What was set stands before `preload_n` and `reason`.
        let outputs = card
            .columns
            .iter()
            .position(|c| c.name == "preload_n" || c.name == "reason")
            .unwrap_or(card.columns.len());
        for (i, c) in card.columns.iter().enumerate() {
            if i >= outputs {
                if c.kind != CellKind::Text {
                    layout.values.push(c.name.clone());
                }
                continue;
            }
            let (role, path) = match (c.name.as_str(), &layout.sampling) {
                ("point", _) => {
                    layout.sampling = Some(sampling(&c.meaning));
                    continue;
                }
                (_, Some(_)) => {
                    let path = c.meaning.split(": ").next().unwrap_or_default();
                    (Role::Drawn, Some(path.to_owned()))
                }
                ("base", _) if !c.meaning.starts_with("Set: ") => (Role::Base, None),
                ("condition", _) if !c.meaning.starts_with("Set: ") => (Role::Condition, None),
                _ => {
                    let path = c.meaning.strip_prefix("Set: ").unwrap_or(&c.name);
                    (Role::Grid, Some(path.trim_end_matches('.').to_owned()))
                }
            };
            layout.axes.push(AxisInfo {
                column: c.name.clone(),
                role,
                path,
                kind: c.kind,
            });
        }
        layout
    }
}

/// `Number of the sample point, from 0 (sobol, seed 7).`
fn sampling(meaning: &str) -> Sampling {
    let within = meaning
        .rsplit_once('(')
        .map_or("", |(_, rest)| rest.trim_end_matches(['.', ')']));
    let (method, seed) = within.split_once(", seed ").unwrap_or((within, ""));
    Sampling {
        method: method.to_owned(),
        seed: seed.parse().ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Plan;

    const BASE: &str = include_str!("../../../../scenarios/first.toml");

    /// The plan writes what the layout reads.
    #[test]
    fn the_columns_of_a_plan_say_what_was_swept_and_how() {
        let text = "title = \"x\"\nbase = \"first.toml\"\nseed = 7\n\
            [grid]\nslip_base.clamp.torque = [\"80 N.m\", \"120 N.m\"]\n\
            [sample]\nmethod = \"crossed\"\ncount = 4\nstandard = [\"nut-factor\", \"mass\"]\n\
            [[condition]]\nname = \"clean\"\n[[condition]]\nname = \"worn\"\nfound = { keeper = \"missing\" }\n";
        let load = |_: &str| Ok(("first.toml".to_owned(), BASE.to_owned()));
        let plan = Plan::read(text, "study.toml", &[], &load).unwrap().plan;
        let layout = Layout::of(&plan.card(0..plan.runs()));
        let axes: Vec<(&str, Role, Option<&str>)> = layout
            .axes
            .iter()
            .map(|a| (a.column.as_str(), a.role, a.path.as_deref()))
            .collect();
        assert_eq!(
            axes,
            [
                ("condition", Role::Condition, None),
                (
                    "slip_base_clamp_torque_nm",
                    Role::Grid,
                    Some("slip_base.clamp.torque")
                ),
                (
                    "nut_factor",
                    Role::Drawn,
                    Some("slip_base.clamp.nut_factor")
                ),
                ("mass_shift_kg", Role::Drawn, Some("vehicle.mass")),
            ]
        );
        let sampling = layout.sampling.unwrap();
        assert_eq!(sampling.method, "crossed");
        assert_eq!(sampling.seed, Some(7));
        assert!(layout.values.contains(&"velocity_change_mps".to_owned()));
        assert!(!layout.values.contains(&"ending".to_owned()));
    }
}
