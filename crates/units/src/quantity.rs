//! Reading a quantity: a number, a unit, a dimension check.

use thiserror::Error;

use crate::dimension::{Dimension, Unit};
use crate::nearest::nearest;
use crate::number::{scan, shortest_number};

/// A quantity as it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// Value in the SI unit of its dimension.
    pub si: f64,
    /// The number as written, in `unit`.
    pub number: f64,
    /// The unit that was written.
    pub unit: &'static Unit,
}

/// Why a text is not a quantity of the wanted dimension.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum UnitError {
    /// Nothing but blanks.
    #[error("an empty text is not {wanted}")]
    Empty {
        /// The wanted dimension in words.
        wanted: &'static str,
    },
    /// No number at the start.
    #[error("`{found}` does not begin with a number")]
    NotANumber {
        /// The text.
        found: String,
        /// Corrected text, where there is a likely one.
        suggestion: Option<String>,
    },
    /// A bare number.
    #[error("`{found}` has no unit; {wanted} needs one")]
    MissingUnit {
        /// The text.
        found: String,
        /// The wanted dimension in words.
        wanted: &'static str,
        /// Corrected text.
        suggestion: String,
    },
    /// A unit that is not known at all.
    #[error("`{unit}` is not a unit that is known here")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// Corrected text, where there is a likely one.
        suggestion: Option<String>,
    },
    /// A known unit of another dimension.
    #[error("`{unit}` is a unit of {is}, but {wanted} is needed")]
    WrongDimension {
        /// The unit as written.
        unit: String,
        /// What it measures, in words.
        is: &'static str,
        /// The wanted dimension in words.
        wanted: &'static str,
        /// Corrected text, where there is a likely one.
        suggestion: Option<String>,
    },
    /// Infinite or not a number.
    #[error("`{found}` is not a finite number")]
    NonFinite {
        /// The text.
        found: String,
    },
}

impl UnitError {
    /// Corrected text, where there is a likely one.
    pub fn suggestion(&self) -> Option<&str> {
        match self {
            UnitError::MissingUnit { suggestion, .. } => Some(suggestion),
            UnitError::NotANumber { suggestion, .. }
            | UnitError::UnknownUnit { suggestion, .. }
            | UnitError::WrongDimension { suggestion, .. } => suggestion.as_deref(),
            UnitError::Empty { .. } | UnitError::NonFinite { .. } => None,
        }
    }
}

impl Unit {
    /// SI value of `number` in this unit: number * times / over.
    pub fn to_si(&self, number: f64) -> f64 {
        number * self.times / self.over
    }
}

/// One spelling for the many ways to write a compound unit: `N·m`, `N*m`, `N m`, `N-m` become `N.m`.
fn normal(unit: &str) -> String {
    let mut out = String::with_capacity(unit.len());
    let mut blank = false;
    for c in unit.trim().chars() {
        let replaced = match c {
            '\u{b7}' | '\u{22c5}' | '\u{2022}' | '*' | '-' | '.' => Some('.'),
            '\u{b5}' | '\u{3bc}' => Some('u'),
            '\u{b2}' => Some('2'),
            '\u{b3}' => Some('3'),
            '\u{2044}' => Some('/'),
            '^' => None,
            '\u{b0}' => {
                out.push_str("deg");
                blank = false;
                continue;
            }
            '"' | '\u{2033}' => {
                out.push_str("in");
                continue;
            }
            '\'' | '\u{2032}' => {
                out.push_str("ft");
                continue;
            }
            c if c.is_whitespace() => {
                blank = true;
                continue;
            }
            c => Some(c),
        };
        let Some(c) = replaced else { continue };
        if blank && !out.is_empty() && c != '.' && c != '/' && !out.ends_with(['.', '/']) {
            out.push('.');
        }
        blank = false;
        out.push(c);
    }
    // `ft-lb.`: an abbreviation's full stop.
    if out.len() > 1 && out.ends_with('.') {
        out.pop();
    }
    out
}

/// Thickness of sheet steel by its gauge number, thousandths of an inch (Manufacturers' Standard Gage, recalled).
const GAUGES: [(f64, f64); 17] = [
    (16.0, 59.8),
    (17.0, 53.8),
    (18.0, 47.8),
    (19.0, 41.8),
    (20.0, 35.9),
    (21.0, 32.9),
    (22.0, 29.9),
    (23.0, 26.9),
    (24.0, 23.9),
    (25.0, 20.9),
    (26.0, 17.9),
    (27.0, 16.4),
    (28.0, 14.9),
    (29.0, 13.5),
    (30.0, 12.0),
    (31.0, 10.5),
    (32.0, 9.7),
];

/// Inches of a gauge number; none where the table has no such number.
fn gauge(number: f64) -> Option<f64> {
    let row = GAUGES.iter().find(|(gauge, _)| *gauge == number)?;
    Some(row.1 / 1e3)
}

/// Fractions that are one letter, as they are written out: `4\u{bd} in` becomes `4-1/2 in`.
fn written_out(text: &str) -> std::borrow::Cow<'_, str> {
    const LETTERS: [(char, &str); 9] = [
        ('\u{bc}', "1/4"),
        ('\u{bd}', "1/2"),
        ('\u{be}', "3/4"),
        ('\u{215b}', "1/8"),
        ('\u{215c}', "3/8"),
        ('\u{215d}', "5/8"),
        ('\u{215e}', "7/8"),
        ('\u{2153}', "1/3"),
        ('\u{2154}', "2/3"),
    ];
    let letter = |c: char| LETTERS.iter().find(|(l, _)| *l == c).map(|(_, f)| *f);
    if !text.contains(|c| letter(c).is_some() || c == '\u{2044}') {
        return text.into();
    }
    let mut out = String::with_capacity(text.len() + 4);
    for c in text.chars() {
        match letter(c) {
            Some(fraction) => {
                if out.ends_with(|c: char| c.is_ascii_digit()) {
                    out.push('-');
                }
                out.push_str(fraction);
            }
            None if c == '\u{2044}' => out.push('/'),
            None => out.push(c),
        }
    }
    out.into()
}

/// The unit of that name (or alias, in any spelling of its products) in that dimension.
pub fn unit_named(name: &str, dimension: Dimension) -> Option<&'static Unit> {
    let name = normal(name);
    dimension
        .units()
        .iter()
        .find(|u| u.name == name || u.aliases.contains(&name.as_str()))
}

/// The unit a person most likely wants where none was written: the everyday one of the trade.
fn everyday(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Speed => "km/h",
        Dimension::Force => "kN",
        Dimension::Stress => "MPa",
        Dimension::Angle => "deg",
        Dimension::AngularRate => "deg/s",
        Dimension::Stiffness => "kN/m",
        Dimension::Acceleration => "m/s2",
        Dimension::UnitWeight => "kN/m3",
        other => other.units()[0].name,
    }
}

/// The same for a number as it is written: a fraction of a length is one of an inch.
fn usual_of(written: &str, dimension: Dimension) -> &'static str {
    if dimension == Dimension::Length && written.contains('/') {
        "in"
    } else {
        everyday(dimension)
    }
}

/// Reads `text` as a quantity of `dimension`.
///
/// A number (decimal, fraction or mixed number), blanks, a unit. Lengths may be feet and inches: `5 ft 6 in`.
/// The thickness of a sheet may be a gauge number: `28 ga`. A ratio may also stand without a unit.
pub fn parse(text: &str, dimension: Dimension) -> Result<Quantity, UnitError> {
    let found = || text.trim().to_owned();
    let text = &*written_out(text);
    if text.trim().is_empty() {
        return Err(UnitError::Empty {
            wanted: dimension.noun(),
        });
    }
    let Some(first) = scan(text) else {
        // A typographic minus, or a number hidden behind a leading word.
        let plain = text.trim().replace(['\u{2212}', '\u{2013}'], "-");
        let suggestion =
            (plain != text.trim() && parse(&plain, dimension).is_ok()).then_some(plain);
        return Err(UnitError::NotANumber {
            found: found(),
            suggestion,
        });
    };
    if !first.value.is_finite() {
        return Err(UnitError::NonFinite { found: found() });
    }
    if first.rest.is_empty() {
        if dimension == Dimension::Ratio {
            static PLAIN: Unit = Unit {
                name: "",
                aliases: &[],
                times: 1.0,
                over: 1.0,
            };
            return Ok(Quantity {
                si: first.value,
                number: first.value,
                unit: &PLAIN,
            });
        }
        return Err(UnitError::MissingUnit {
            found: found(),
            wanted: dimension.noun(),
            suggestion: format!("{} {}", first.written, usual_of(first.written, dimension)),
        });
    }
    if let Some(fixed) = decimal_comma(text, first.rest) {
        return Err(UnitError::NotANumber {
            found: found(),
            suggestion: parse(&fixed, dimension).is_ok().then_some(fixed),
        });
    }
    if dimension == Dimension::Length
        && let Some(inches) = feet_and_inches(first.value, first.rest)
    {
        return finite(inches, "in", dimension, text);
    }
    if dimension == Dimension::Length
        && matches!(normal(first.rest).as_str(), "ga" | "gauge" | "gage")
        && let Some(inches) = gauge(first.value)
    {
        return finite(inches, "in", dimension, text);
    }
    if let Some(unit) = unit_named(first.rest, dimension) {
        return finite(first.value, unit.name, dimension, text);
    }
    for &other in Dimension::ALL {
        if unit_named(first.rest, other).is_some() {
            return Err(UnitError::WrongDimension {
                unit: first.rest.to_owned(),
                is: other.noun(),
                wanted: dimension.noun(),
                suggestion: confused(first.rest, dimension)
                    .map(|unit| format!("{} {unit}", first.written)),
            });
        }
    }
    // Among equals the usual unit.
    let names = dimension
        .units()
        .iter()
        .flat_map(|u| core::iter::once(u.name).chain(u.aliases.iter().copied()));
    let names = core::iter::once(usual_of(first.written, dimension)).chain(names);
    Err(UnitError::UnknownUnit {
        unit: first.rest.to_owned(),
        suggestion: nearest(&normal(first.rest), names)
            .and_then(|name| unit_named(name, dimension))
            .map(|unit| format!("{} {}", first.written, unit.name)),
    })
}

fn finite(
    number: f64,
    unit: &str,
    dimension: Dimension,
    text: &str,
) -> Result<Quantity, UnitError> {
    let non_finite = UnitError::NonFinite {
        found: text.trim().to_owned(),
    };
    let Some(unit) = unit_named(unit, dimension) else {
        return Err(non_finite);
    };
    let si = unit.to_si(number);
    if !si.is_finite() {
        return Err(non_finite);
    }
    Ok(Quantity { si, number, unit })
}

/// `5 ft 6 in`, the part after the 5: inches altogether.
fn feet_and_inches(feet: f64, rest: &str) -> Option<f64> {
    let after = ["feet", "foot", "ft", "'"]
        .iter()
        .find_map(|word| rest.strip_prefix(word))?;
    let second = scan(after)?;
    unit_named(second.rest, Dimension::Length).filter(|u| u.name == "in")?;
    let sign = if feet.is_sign_negative() { -1.0 } else { 1.0 };
    (second.value >= 0.0 && second.value < 12.0).then_some(feet * 12.0 + sign * second.value)
}

/// `1,5 m`: a decimal comma.
fn decimal_comma(text: &str, rest: &str) -> Option<String> {
    let after = rest.strip_prefix(',')?;
    after
        .starts_with(|c: char| c.is_ascii_digit())
        .then(|| text.trim().replacen(',', ".", 1))
}

/// The unit of the wanted dimension that is often confused with the one written.
fn confused(unit: &str, wanted: Dimension) -> Option<&'static str> {
    let unit = normal(unit);
    let pairs: &[(&str, Dimension, &str)] = &[
        ("lb", Dimension::Force, "lbf"),
        ("lbs", Dimension::Force, "lbf"),
        ("lbf", Dimension::Mass, "lb"),
        ("kg", Dimension::Force, "kgf"),
        ("J", Dimension::Torque, "N.m"),
        ("N.m", Dimension::Energy, "J"),
        ("Nm", Dimension::Energy, "J"),
        ("N/m", Dimension::Torque, "N.m"),
        ("N.m", Dimension::Stiffness, "N/m"),
        ("kN.m", Dimension::Stiffness, "kN/m"),
        ("km", Dimension::Speed, "km/h"),
        ("m", Dimension::Speed, "m/s"),
        ("mm", Dimension::Area, "mm2"),
        ("m", Dimension::Area, "m2"),
        ("m/s", Dimension::Acceleration, "m/s2"),
        ("lbf/ft3", Dimension::Density, "lb/ft3"),
        ("kg/m3", Dimension::UnitWeight, "N/m3"),
        ("kN", Dimension::Torque, "kN.m"),
        ("N", Dimension::Torque, "N.m"),
        ("lbf", Dimension::Torque, "lbf.ft"),
    ];
    pairs
        .iter()
        .find(|(from, dimension, _)| *from == unit && *dimension == wanted)
        .map(|(_, _, to)| *to)
}

impl core::fmt::Display for Quantity {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{} {}", shortest_number(self.number), self.unit.name)
    }
}
