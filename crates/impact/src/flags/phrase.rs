//! Parts of a sentence: bolts by their numbers, quantities with their units.

use crate::outcome::{BoltOutcome, Engagement};

/// "bolt 2", "bolts 2 and 3", "bolts 1, 2 and 3".
pub(super) fn named(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(usize::to_string).collect();
    match words.as_slice() {
        [] => "no bolt".to_owned(),
        [one] => format!("bolt {one}"),
        [first @ .., last] => format!("bolts {} and {last}", first.join(", ")),
    }
}

/// The sentence with its first letter large.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// "is" or "are", "was" or "were".
pub(super) fn verb<'a>(numbers: &[usize], one: &'a str, many: &'a str) -> &'a str {
    if numbers.len() == 1 { one } else { many }
}

/// Numbers of the bolts that are picked.
pub(super) fn numbers(outcome: &Engagement, pick: impl Fn(&BoltOutcome) -> bool) -> Vec<usize> {
    outcome
        .bolts
        .iter()
        .filter(|b| pick(b))
        .map(|b| b.number)
        .collect()
}

/// A length in whole millimetres.
pub(super) fn mm(m: f64) -> String {
    format!("{:.0} mm", 1e3 * m)
}

/// A force in whole kilonewtons.
pub(super) fn kn(n: f64) -> String {
    format!("{:.0} kN", 1e-3 * n)
}

/// Smallest and largest of some forces as "71 kN" or "40 to 71 kN".
pub(super) fn range(forces: &[f64]) -> String {
    let low = forces.iter().copied().fold(f64::INFINITY, f64::min);
    let high = forces.iter().copied().fold(0.0, f64::max);
    if kn(low) == kn(high) {
        kn(high)
    } else {
        format!("{:.0} to {}", 1e-3 * low, kn(high))
    }
}

/// An angle in whole degrees: "1 degree", "30 degrees", "less than 1 degree".
pub(super) fn degrees(rad: f64) -> String {
    let whole = format!("{:.0}", rad.abs().to_degrees());
    match whole.as_str() {
        "0" => "less than 1 degree".to_owned(),
        "1" => "1 degree".to_owned(),
        _ => format!("{whole} degrees"),
    }
}

/// " each" after a force of several bolts.
pub(super) fn each(numbers: &[usize]) -> &'static str {
    if numbers.len() == 1 { "" } else { " each" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_and_many_are_told_apart() {
        assert_eq!(named(&[]), "no bolt");
        assert_eq!(named(&[2]), "bolt 2");
        assert_eq!(named(&[1, 2, 3]), "bolts 1, 2 and 3");
        assert_eq!(each(&[2]), "");
        assert_eq!(each(&[1, 3]), " each");
        assert_eq!(degrees(0.4_f64.to_radians()), "less than 1 degree");
        assert_eq!(degrees(-1.2_f64.to_radians()), "1 degree");
        assert_eq!(degrees(30.0_f64.to_radians()), "30 degrees");
        assert_eq!(range(&[40e3, 71e3]), "40 to 71 kN");
    }
}
