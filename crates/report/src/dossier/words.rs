//! Numbers and small texts of the report.

use giveway_occupant::en12767::Classes;
use serde::Serialize;

use crate::headline::fixed;
pub use crate::headline::{cut, ending_in_words as ending, lower_first, number, upper_first};

/// A number with its unit; shares without a unit stand alone, angles in degrees.
pub fn quantity(value: f64, unit: &str) -> String {
    match unit {
        "-" | "" => number(value),
        "rad" => format!("{}\u{b0}", number(value.to_degrees())),
        unit => format!("{} {unit}", number(value)),
    }
}

/// So many decimals.
pub fn to(value: f64, decimals: usize, unit: &str) -> String {
    format!("{} {unit}", fixed(value, decimals))
}

/// The same, or a dash where there is none.
pub fn maybe(value: Option<f64>, decimals: usize, unit: &str) -> String {
    or_dash(value.map(|v| to(v, decimals, unit)))
}

/// What is said, or a dash.
pub fn or_dash(said: Option<String>) -> String {
    said.unwrap_or_else(|| "\u{2013}".to_owned())
}

/// The word by which the data name a value, for example `no-contact`.
pub fn word(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

/// Classes of EN 12767 in a sentence.
pub fn classes(c: &Classes) -> String {
    let part = |name: &str, word: String| {
        let word = if word.is_empty() { "none" } else { &word };
        format!("{name} {word}")
    };
    format!(
        "Classes that this run would earn: {}, {}, {}, {}. {}",
        part("test", word(&c.test)),
        part("speed class", word(&c.class_speed)),
        part("energy absorption", word(&c.energy)),
        part("occupant class", word(&c.occupant)),
        c.remark
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use giveway_impact::outcome::Ending;

    #[test]
    fn quantities_have_units_that_people_use() {
        assert_eq!(quantity(4.8768, "m/s"), "4.877 m/s");
        assert_eq!(quantity(1.3089969389957472, "rad"), "75\u{b0}");
        assert_eq!(quantity(1.0, "-"), "1");
        assert_eq!(maybe(None, 1, "ms"), "\u{2013}");
        assert_eq!(cut("abcdef", 3), "abc\u{2026}");
        assert_eq!(cut("abc", 3), "abc");
        assert_eq!(word(&Ending::NoContact), "no-contact");
        assert_eq!(word(&1), "");
    }
}
