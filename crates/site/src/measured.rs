//! One measured item: from the text that a person wrote to values in SI.
//!
//! A text is a quantity with its unit, a plain number, a date, a word of the item, or "not measured" (an empty text too).

use giveway_units::{System, UnitError, nearest, parse};

use crate::date::Date;
use crate::finding::{At, Findings, Said};
use crate::requirements::{Found, Item, Measure, Word};

/// What is written where an item was not measured.
pub const NOT_MEASURED: &str = "not measured";

/// One value.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A quantity or a plain number.
    Real {
        /// SI.
        si: f64,
        /// As written, without blanks around it.
        written: String,
        /// System of units that it was written in; none where that cannot be told.
        system: Option<System>,
    },
    /// A word of the item.
    Word(&'static Word),
    /// A date.
    Date(Date),
    /// Bolts, counted from 1.
    Bolts(Vec<usize>),
}

impl Value {
    /// System of units that it was written in; none where that cannot be told.
    pub fn system(&self) -> Option<System> {
        match self {
            Self::Real { system, .. } => *system,
            _ => None,
        }
    }
}

/// An item that was measured.
#[derive(Clone)]
pub struct Measured {
    /// Requirement or detail.
    pub found: Found,
    /// One value, or several where the item takes them.
    pub values: Vec<Value>,
    /// As written.
    pub text: String,
    /// Where it stands in the file.
    pub at: At,
}

/// Whether a text says that nothing was measured.
pub fn is_open(text: &str) -> bool {
    let text = text.trim().to_lowercase().replace(['-', '_'], " ");
    text.is_empty() || text == NOT_MEASURED
}

/// Reads the text of an item; none where nothing was measured or where it is faulty, which the findings then say.
pub fn read(found: Found, text: &str, at: At, findings: &mut Findings<'_>) -> Option<Measured> {
    if is_open(text) {
        return None;
    }
    let item = found.item();
    let before = findings.count();
    let parts: Vec<&str> = if item.several {
        text.split(';').map(str::trim).collect()
    } else {
        vec![text.trim()]
    };
    let values: Vec<Value> = parts
        .iter()
        .filter_map(|part| one(item, part, at, findings))
        .collect();
    (findings.count() == before).then(|| Measured {
        found,
        values,
        text: text.trim().to_owned(),
        at,
    })
}

fn one(item: &'static Item, text: &str, at: At, findings: &mut Findings<'_>) -> Option<Value> {
    let folded = text.to_lowercase().replace([' ', '_'], "-");
    if let Some(word) = item.words.iter().find(|w| w.word == folded) {
        return Some(Value::Word(word));
    }
    let fault = match item.measure {
        Measure::Quantity(dimension, _) => match parse(text, dimension) {
            Ok(quantity) => {
                return Some(real(
                    quantity.si,
                    text,
                    System::of(quantity.unit, dimension),
                ));
            }
            Err(error) => of_quantity(item, text, &error),
        },
        Measure::Number => match text.parse::<f64>() {
            Ok(number) if number.is_finite() => return Some(real(number, text, None)),
            _ => ("R023", Said::that("this is not a number")),
        },
        Measure::Date => match Date::parse(text) {
            Some(date) => return Some(Value::Date(date)),
            None => (
                "R014",
                Said::that("this is no date of the calendar").hint(Date::meant(item.key, text)),
            ),
        },
        Measure::Bolts => match bolts(text) {
            Some(list) => return Some(Value::Bolts(list)),
            None => (
                "R023",
                Said::that("these are no numbers of bolts").hint(format!("{} = \"2 3\"", item.key)),
            ),
        },
        Measure::None => ("R013", Said::that("this is none of the item's words")),
    };
    let (code, mut said) = fault;
    said.found = Some(text.to_owned());
    said.allowed = Some(item.allowed());
    if let Some(word) = nearest(&folded, item.words.iter().map(|w| w.word)) {
        // A slip in a word, not in a quantity.
        if !text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.')) {
            let suggestion = Some(format!("{} = \"{word}\"", item.key));
            findings.add("R013", at, item.key, Said { suggestion, ..said });
            return None;
        }
    }
    findings.add(code, at, item.key, said);
    None
}

fn real(si: f64, text: &str, system: Option<System>) -> Value {
    Value::Real {
        si,
        system,
        written: text.to_owned(),
    }
}

fn of_quantity(item: &Item, text: &str, error: &UnitError) -> (&'static str, Said) {
    let code = match error {
        UnitError::MissingUnit { .. } => "R020",
        UnitError::UnknownUnit { .. } => "R021",
        UnitError::WrongDimension { .. } => "R022",
        UnitError::Empty { .. } | UnitError::NotANumber { .. } | UnitError::NonFinite { .. } => {
            "R023"
        }
    };
    // The everyday unit of the item is likelier than that of the dimension.
    let suggestion = match (error, item.measure) {
        (UnitError::MissingUnit { .. }, Measure::Quantity(_, unit)) => {
            Some(format!("{} = \"{} {unit}\"", item.key, text.trim()))
        }
        _ => error
            .suggestion()
            .map(|text| format!("{} = \"{text}\"", item.key)),
    };
    (code, Said::that(error.to_string()).hint_of(suggestion))
}

/// Numbers of bolts divided by blanks or commas.
fn bolts(text: &str) -> Option<Vec<usize>> {
    let list = text
        .split([' ', ','])
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().ok().filter(|n| *n >= 1))
        .collect::<Option<Vec<usize>>>()?;
    (!list.is_empty()).then_some(list)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::requirements::item;

    fn said(key: &str, text: &str) -> Result<Vec<Value>, (String, Option<String>)> {
        let mut findings = Findings::new("r.toml");
        let measured = read(item(key).unwrap(), text, At::START, &mut findings);
        match findings.finish().into_iter().next() {
            Some(d) => Err((d.code.to_owned(), d.suggestion)),
            None => Ok(measured.map(|m| m.values).unwrap_or_default()),
        }
    }

    fn err(code: &str, suggestion: &str) -> Result<Vec<Value>, (String, Option<String>)> {
        let suggestion = (!suggestion.is_empty()).then(|| suggestion.to_owned());
        Err((code.to_owned(), suggestion))
    }

    #[test]
    fn quantities_words_numbers_and_dates() {
        assert_eq!(
            said("grout_gap", " -22 mm "),
            Ok(vec![real(-0.022, "-22 mm", Some(System::Si))])
        );
        assert!(
            matches!(said("rust", "Light").unwrap()[..], [Value::Word(w)] if w.word == "light")
        );
        assert!(matches!(
            said("round_washers", "above keeper").unwrap()[..],
            [Value::Word(w)] if w.word == "above-keeper"
        ));
        assert_eq!(
            said("engaged_threads", "4.5"),
            Ok(vec![real(4.5, "4.5", None)])
        );
        assert_eq!(
            said("torque", "180 N.m; 150 N.m"),
            Ok(["180 N.m", "150 N.m"]
                .map(|t| real(t[..3].parse().unwrap(), t, Some(System::Si)))
                .to_vec())
        );
        assert_eq!(
            said("grout_bolts", "2, 3"),
            Ok(vec![Value::Bolts(vec![2, 3])])
        );
        assert_eq!(
            said("last_check", "2024-05-01"),
            Ok(vec![Value::Date(Date::parse("2024-05-01").unwrap())])
        );
    }

    #[test]
    fn open_items_are_no_values() {
        for text in ["", "  ", "not measured", "Not Measured", "not-measured"] {
            assert_eq!(said("grout_gap", text), Ok(vec![]), "{text:?}");
        }
    }

    #[test]
    fn faults_say_what_to_write() {
        assert_eq!(
            said("grout_gap", "20"),
            err("R020", "grout_gap = \"20 mm\"")
        );
        assert_eq!(said("torque", "180"), err("R020", "torque = \"180 N.m\""));
        assert_eq!(said("torque", "180 mm").unwrap_err().0, "R022");
        assert_eq!(said("grout_gap", "20 mn").unwrap_err().0, "R021");
        assert_eq!(said("grout_gap", "inf mm").unwrap_err().0, "R023");
        assert_eq!(said("grout_gap", "NaN mm").unwrap_err().0, "R023");
        assert_eq!(said("engaged_threads", "NaN").unwrap_err().0, "R023");
        assert_eq!(said("grout_bolts", "0").unwrap_err().0, "R023");
        assert_eq!(said("rust", "ligt"), err("R013", "rust = \"light\""));
        assert_eq!(
            said("keeper_thickness", "mising"),
            err("R013", "keeper_thickness = \"missing\"")
        );
        assert_eq!(said("last_check", "2024-02-30").unwrap_err().0, "R014");
        assert_eq!(said("torque", "180 N.m;").unwrap_err().0, "R023");
    }
}
