//! The program's own solver behind [`crate::Solver`]: one run without histories, in few numbers.

use giveway_occupant::{DentRemark, Outcome};
use giveway_results::summary::Status;
use giveway_scenario::model::Scenario;
use giveway_study::{Numbers, StudyError, Supports, numbers};

use crate::pole_type::TestNumbers;

/// Computes a scenario on kept supports. What cannot be computed says why.
pub fn solve(scenario: &Scenario, supports: &Supports) -> TestNumbers {
    let run = || -> Result<Numbers, StudyError> { numbers(&supports.prepare(scenario)?) };
    match run() {
        Ok(numbers) => short(&numbers),
        Err(error) => TestNumbers::failed(error.to_string()),
    }
}

fn short(numbers: &Numbers) -> TestNumbers {
    let verdict = numbers.verdicts.first();
    let complete = numbers.status == Status::Complete;
    TestNumbers {
        ending: Some(numbers.ending),
        velocity_change_mps: numbers.velocity_change_mps().filter(|_| complete),
        occupant_impact_velocity_mps: Some(numbers.occupant_impact_velocity_mps[0])
            .filter(|v| complete && v.is_finite()),
        // load = |value| / limit = 1 - margin
        load: verdict
            .and_then(|v| v.motion_margin_fraction)
            .map(|margin| 1.0 - margin)
            .filter(|load| load.is_finite()),
        blow: numbers.blow(),
        sentence: verdict.map_or_else(String::new, |v| v.sentence.clone()),
        dents: verdict.map_or_else(Vec::new, |v| {
            let own = ["roof", "windscreen"].into_iter().zip(v.dents);
            own.filter_map(|(part, outcome)| {
                let outcome = outcome.filter(|o| *o != Outcome::Pass)?;
                Some(DentRemark { part, outcome }.words())
            })
            .collect()
        }),
        stands_in_wind: numbers.stands_in_wind,
        flags: numbers.flags.clone(),
        error: None,
    }
}
