//! What decides about a run's numbers, as text: keys of runs are made of it.
//!
//! It stands here, with the time loop, because a study makes it once a run: the crates that are optimised fully need a
//! sixth of the instructions of the others for it.

use giveway_scenario::model::Scenario;

/// The resolved scenario as JSON without its titles and without what is recorded.
pub fn content(scenario: &Scenario) -> String {
    let mut scenario = scenario.clone();
    scenario.title.clear();
    scenario.notes.clear();
    scenario.site.name.clear();
    scenario.output.history = false;
    scenario.output.figures = false;
    // Plain data: it always has a text.
    serde_json::to_string(&scenario).unwrap_or_default()
}
