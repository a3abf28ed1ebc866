//! In which order to put things right: each step takes the condition whose removal lowers the worse of the two tests
//! most, where each test that fails adds a whole limit; once nothing gains any more, the heavier requirement comes first, then the order of the table.

use giveway_scenario::ConditionKind;
use giveway_scenario::model::AsFound;

use crate::pole_type::{Pair, weighed};
use crate::requirements::Weight;

/// A gain smaller than this is none: two thousandths of the limit.
pub const LEAST_GAIN: f64 = 0.002;

/// Something to be put right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Task {
    /// Place of its requirement in the table.
    pub requirement: usize,
    /// The condition that it takes away; none where it has no effect on the impact.
    pub condition: Option<ConditionKind>,
    /// Weight of the requirement.
    pub weight: Weight,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// What is put right.
    pub task: Task,
    /// The tests after it, with everything before it put right too.
    pub after: Pair,
    /// How much the worse load, with a limit for each failing test, fell by this step; infinite where it became a number.
    pub gain: f64,
}

/// The order of the tasks from a state as found, and the tests after each step. `run` computes a state of the base.
pub fn order(found: &AsFound, tasks: &[Task], run: &dyn Fn(&AsFound) -> Pair) -> Vec<Done> {
    let mut left: Vec<Task> = tasks.to_vec();
    // Heaviest first, then the table's order: who comes first wins a tie.
    left.sort_by_key(|t| (t.weight, t.requirement));
    let mut state = found.clone();
    let mut pair = run(&state);
    let mut done = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let now = weighed(&pair);
        let mut best: Option<(usize, f64)> = None;
        for (i, task) in left.iter().enumerate() {
            let Some(kind) = task.condition else { continue };
            let gain = gain(now, weighed(&run(&state.without(kind))));
            if gain >= LEAST_GAIN && best.is_none_or(|(_, g)| gain > g + LEAST_GAIN) {
                best = Some((i, gain));
            }
        }
        let task = left.remove(best.map_or(0, |(i, _)| i));
        if let Some(kind) = task.condition {
            state = state.without(kind);
        }
        pair = run(&state);
        done.push(Done {
            task,
            gain: gain(now, weighed(&pair)),
            after: pair.clone(),
        });
    }
    done
}

/// Fall of a load that may be unknown (infinite).
pub fn gain(before: f64, after: f64) -> f64 {
    if before == after { 0.0 } else { before - after }
}
