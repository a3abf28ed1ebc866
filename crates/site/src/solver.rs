//! The program's own solver behind [`crate::Solver`]: one run without histories, in few numbers.

use giveway_occupant::limits::LIMITS;
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
        outcome: numbers.outcome(),
        sentence: verdict.map_or_else(String::new, |v| with_titles(&v.sentence)),
        stands_in_wind: numbers.stands_in_wind,
        flags: numbers.flags.clone(),
        error: None,
    }
}

/// Titles of the checks that are not in the table of limits: those of EN 12767.
const OTHERS: [(&str, &str); 3] = [
    ("asi", "Acceleration severity index"),
    ("thiv_mps", "Theoretical head impact velocity"),
    ("exit_speed_mps", "Exit speed 12 m behind the impact point"),
];

/// A verdict's sentence with the titles of the checks in place of their keys.
fn with_titles(sentence: &str) -> String {
    let title = |word: &str| {
        let known = LIMITS.iter().map(|row| (row.key, row.title)).chain(OTHERS);
        known
            .into_iter()
            .find(|(key, _)| *key == word)
            .map(|(_, title)| in_a_list(title))
    };
    let inside = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let mut out = String::with_capacity(2 * sentence.len());
    let mut rest = sentence;
    while let Some(start) = rest.find(inside) {
        let end = rest[start..]
            .find(|c| !inside(c))
            .map_or(rest.len(), |length| start + length);
        out.push_str(&rest[..start]);
        let word = &rest[start..end];
        out.push_str(&title(word).unwrap_or_else(|| word.to_owned()));
        rest = &rest[end..];
    }
    out.push_str(rest);
    out
}

/// "Occupant impact velocity, longitudinal (10 ms mean)" as "longitudinal occupant impact velocity".
fn in_a_list(title: &str) -> String {
    let bare = title.split(" (").next().unwrap_or(title);
    let mut letters = bare.chars();
    let small: String = letters
        .next()
        .map(|first| first.to_lowercase().chain(letters).collect())
        .unwrap_or_default();
    match small.split_once(", ") {
        Some((what, direction)) => format!("{direction} {what}"),
        None => small,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checks_are_named_by_their_titles() {
        assert_eq!(
            with_titles(
                "Fails: oiv_longitudinal_mps, stub_height_m; not evaluated: roll_rad, asi."
            ),
            "Fails: longitudinal occupant impact velocity, height of the stub left standing; not evaluated: largest roll of \
             the vehicle, acceleration severity index."
        );
        for row in LIMITS {
            let text = with_titles(&format!("Fails: {}.", row.key));
            assert!(!text.contains(row.key) && !text.contains('_'), "{text}");
        }
        let plain = "Passes the 12 checks that were evaluated.";
        assert_eq!(with_titles(plain), plain);
    }
}
