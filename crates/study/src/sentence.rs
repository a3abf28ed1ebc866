//! A condition's effect in a plain sentence.

use giveway_impact::outcome::Ending;
use giveway_results::{ConditionCase, ConditionFinding};

/// Velocity changes are printed, and ranked, to this step, m/s.
const STEP_MPS: f64 = 0.1;

/// Most other conditions that are named.
const MOST_NAMED: usize = 3;

/// The sentence of one finding of a comparison.
pub(crate) fn sentence(finding: &ConditionFinding, all: &[ConditionFinding]) -> String {
    let mut parts = vec![format!(
        "{}: velocity change {}",
        upper_first(&finding.title),
        as_found_and_put_right(finding)
    )];
    let failures = [
        ("as found", &finding.as_found),
        ("with it put right", &finding.if_put_right),
    ];
    parts.extend(failures.into_iter().filter_map(|(how, case)| {
        let problem = case.error.as_ref()?;
        Some(format!("the run {how} could not be computed: {problem}"))
    }));
    if finding.gain_mps.is_some() {
        parts.extend(what_it_means(finding, all));
    }
    parts.extend(wind(finding));
    let text = parts.join("; ");
    if text.ends_with('.') {
        text
    } else {
        text + "."
    }
}

/// Both velocity changes; ending and verdict where they differ.
fn as_found_and_put_right(finding: &ConditionFinding) -> String {
    let (found, right) = (&finding.as_found, &finding.if_put_right);
    let told = |case: &ConditionCase| -> String {
        let ending = case.ending.filter(|_| found.ending != right.ending);
        let verdict = (found.outcome != right.outcome).then(|| case.outcome.word());
        let facts: Vec<&str> = ending
            .map(ending_in_words)
            .into_iter()
            .chain(verdict)
            .collect();
        if facts.is_empty() || case.error.is_some() {
            String::new()
        } else {
            format!(" ({})", facts.join(", "))
        }
    };
    format!(
        "{} as found{}, {} if put right{}",
        found.speed_in_words(),
        told(found),
        right.speed_in_words(),
        told(right)
    )
}

fn what_it_means(finding: &ConditionFinding, all: &[ConditionFinding]) -> Option<String> {
    let gain = in_steps(finding.gain_mps);
    let alone = in_steps(finding.alone_effect_mps);
    let single = format!(
        "alone it makes {} of {}",
        finding.alone.speed_in_words(),
        finding.all_put_right.speed_in_words()
    );
    match gain {
        // Said by the two numbers.
        1.. if all.len() == 1 => None,
        1.. if finding.alone_effect_mps.is_some() => Some(single),
        1.. => None,
        _ if alone > 0 && all.len() > 1 => Some(format!(
            "nothing is gained as long as {}; {single}",
            others(finding, all)
        )),
        0 => Some("no noticeable effect on the velocity change of this impact".to_owned()),
        _ => Some("the velocity change is less as found than if put right".to_owned()),
    }
}

/// A difference in whole steps of what is printed; unknown ones stand below all known ones.
pub(crate) fn in_steps(difference_mps: Option<f64>) -> i64 {
    // A conversion from f64 saturates: no overflow.
    difference_mps.map_or(i64::MIN, |d| (d / STEP_MPS).round() as i64)
}

/// The other conditions that hold the base by themselves, else those that do harm by themselves, and that they
/// still do it.
fn others(finding: &ConditionFinding, all: &[ConditionFinding]) -> String {
    let titles = |fits: &dyn Fn(&ConditionFinding) -> bool| -> Vec<&str> {
        all.iter()
            .filter(|f| f.kind != finding.kind && fits(f))
            .map(|f| f.title.as_str())
            .collect()
    };
    let held = finding.if_put_right.ending == Some(Ending::Held);
    let mut harmful = if held {
        titles(&|f| f.alone.ending == Some(Ending::Held))
    } else {
        Vec::new()
    };
    if harmful.is_empty() {
        harmful = titles(&|f| in_steps(f.alone_effect_mps) > 0);
    }
    let verb = match (held, harmful.len()) {
        (true, 1) => "still holds the base",
        (true, _) => "still hold the base",
        (false, 1) => "remains",
        (false, _) => "remain",
    };
    let names = match harmful.as_slice() {
        [] => "the others".to_owned(),
        [one] => (*one).to_owned(),
        [first @ .., last] if harmful.len() <= MOST_NAMED => {
            format!("{} and {last}", first.join(", "))
        }
        many => format!(
            "{} and {} more",
            many[..MOST_NAMED].join(", "),
            many.len() - MOST_NAMED
        ),
    };
    format!("{names} {verb}")
}

/// Whether putting it right decides over the wind.
fn wind(finding: &ConditionFinding) -> Option<String> {
    let stands = (
        finding.as_found.stands_in_wind?,
        finding.if_put_right.stands_in_wind?,
    );
    match stands {
        (false, true) => {
            Some("as found the base does not stand in the wind, put right it does".into())
        }
        (true, false) => Some("put right, the base does not stand in the wind".into()),
        _ => None,
    }
}

fn ending_in_words(ending: Ending) -> &'static str {
    match ending {
        Ending::NoContact => "no contact with the pole",
        Ending::Released => "the base lets go",
        Ending::Held => "the base holds",
        Ending::FixedObstacle => "fixed obstacle",
        Ending::TimeLimit => "not over at the time limit",
    }
}

fn upper_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(c) => c.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}
