//! What is drawn: paths, distributions, and the numbers of one sample put into a scenario.

use giveway_sampling::{Distribution, Levels, SamplingError};
use giveway_scenario::grammar::{Kind, Row, row_at};
use giveway_scenario::{Current, Diagnostic, Template};
use giveway_units::{Dimension, in_unit, parse, shortest_number};

use super::finding::{Findings, Said};
use super::item::{Content, Item, borrowed, unknown, unknown_path};
use super::standard::{Acts, Standard};

/// A law from which values are drawn.
#[derive(Debug, Clone)]
pub(super) enum Law {
    /// Numbers, SI.
    Numbers(Distribution),
    /// Values as written, with weights.
    Words(Levels),
}

/// One drawn axis.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    /// Name of the column without unit.
    pub name: String,
    pub paths: Vec<String>,
    pub acts: Acts,
    pub law: Law,
    /// Dimension of the drawn number and the unit in which it is written.
    pub measure: (Dimension, &'static str),
    /// The law in words, for the meaning of the column.
    pub words: String,
    pub at: usize,
}

/// Names of distributions, each with its keys.
const LAWS: [(&str, &[&str]); 5] = [
    ("uniform", &["low", "high"]),
    ("normal", &["mean", "deviation", "low", "high"]),
    ("lognormal", &["median", "spread", "low", "high"]),
    ("triangular", &["low", "mode", "high"]),
    ("discrete", &["values", "weights"]),
];

/// Whether a table is a distribution and not a section of the scenario.
pub(super) fn is_law(entries: &[(String, Item)]) -> bool {
    entries.is_empty()
        || entries
            .iter()
            .any(|(key, _)| key == "as" || key == "also" || LAWS.iter().any(|l| l.0 == key))
}

/// A standard distribution.
pub(super) fn of_standard(row: &Standard, at: usize) -> Option<Drawn> {
    Some(Drawn {
        name: row.name.replace('-', "_"),
        paths: row.paths.iter().map(|p| (*p).to_owned()).collect(),
        acts: row.acts,
        law: Law::Numbers(row.shape.distribution().ok()?),
        measure: row.measure,
        words: row.source.to_owned(),
        at,
    })
}

/// Dimension and usual unit of a row's numbers; none where they cannot be drawn.
fn measure_of(row: &Row) -> Option<(Dimension, &'static str)> {
    match row.kind {
        Kind::Quantity(dimension, unit) => Some((dimension, unit)),
        Kind::LengthOrName(_) => Some((Dimension::Length, "m")),
        Kind::Number => Some((Dimension::Ratio, "")),
        _ => None,
    }
}

/// Reads one drawn path.
pub(super) fn drawn(path: &str, item: &Item, findings: &mut Findings<'_>) -> Option<Drawn> {
    let Some(row) = row_at(&path.replace("[*]", "[x]")) else {
        unknown_path(path, item.at, findings);
        return None;
    };
    let entries = item.table(path, findings);
    let mut known: Vec<&str> = LAWS.iter().map(|l| l.0).collect();
    known.extend(["as", "also"]);
    let mut laws = Vec::new();
    let (mut acts, mut also) = (Acts::AsValue, Vec::new());
    for (key, inner) in entries {
        match key.as_str() {
            "as" => acts = acts_of(path, inner, findings)?,
            "also" => {
                for other in inner.list(path, findings) {
                    also.push(other.text(path, findings)?.to_owned());
                }
            }
            name if LAWS.iter().any(|l| l.0 == name) => laws.push((name, inner)),
            _ => unknown(key, inner, &known, "in a distribution", findings),
        }
    }
    let &[(name, parameters)] = laws.as_slice() else {
        let said = Said::that("one distribution is wanted")
            .allowed("uniform, normal, lognormal, triangular, discrete")
            .hint("{ uniform = { low = \"90 N.m\", high = \"280 N.m\" } }");
        findings.add("T021", item.at, path, said);
        return None;
    };
    let measure = match acts {
        Acts::AsFactor => Some((Dimension::Ratio, "")),
        _ => measure_of(row),
    };
    let scaled = matches!(row.kind, Kind::Pairs(..)) || measure_of(row).is_some();
    if name != "discrete" && (measure.is_none() || !scaled) || acts == Acts::AsFactor && !scaled {
        let said = Said::that("values of this path cannot be drawn from this distribution")
            .hint("{ discrete = { values = [...], weights = [...] } }");
        findings.add("T022", item.at, path, said);
        return None;
    }
    let measure = measure.unwrap_or((Dimension::Ratio, ""));
    let law = if name == "discrete" {
        let words = words(path, parameters, findings)?;
        if acts == Acts::AsValue {
            Law::Words(words)
        } else {
            Law::Numbers(weighted(path, parameters, &words, measure.0, findings)?)
        }
    } else {
        let possible = (acts == Acts::AsValue).then_some(row.possible);
        Law::Numbers(numbers(
            path, name, parameters, measure.0, possible, findings,
        )?)
    };
    if let (Acts::AsFactor, Law::Numbers(law)) = (acts, &law)
        && law.bounds().0 < 0.0
    {
        let said = Said::that("a factor is not below zero: give `low`");
        findings.add("T021", item.at, path, said);
        return None;
    }
    let mut paths = vec![path.to_owned()];
    paths.append(&mut also);
    Some(Drawn {
        name: super::columns::name_of(path),
        paths,
        acts,
        law,
        measure,
        words: format!("drawn: {name}"),
        at: item.at,
    })
}

fn acts_of(path: &str, item: &Item, findings: &mut Findings<'_>) -> Option<Acts> {
    Some(match item.text(path, findings)? {
        "value" => Acts::AsValue,
        "factor" => Acts::AsFactor,
        "shift" => Acts::AsShift,
        other => {
            let said = Said::that("a drawn number acts as one of these");
            let said = said.found(other).allowed("value, factor, shift");
            findings.add("T013", item.at, path, said);
            return None;
        }
    })
}

/// A parameter in SI.
fn parameter(path: &str, item: &Item, d: Dimension, findings: &mut Findings<'_>) -> Option<f64> {
    let read = match (&item.content, d) {
        (Content::Number(number), Dimension::Ratio) => Ok(*number),
        _ => parse(&item.raw, d).map(|q| q.si).map_err(|e| e.to_string()),
    };
    let fault = match read {
        Ok(value) if value.is_finite() => return Some(value),
        Ok(_) => "this is no finite number".to_owned(),
        Err(problem) => problem,
    };
    findings.add(
        "T021",
        item.at,
        path,
        Said::that(fault).found(item.raw.clone()),
    );
    None
}

fn numbers(
    path: &str,
    name: &str,
    item: &Item,
    dimension: Dimension,
    possible: Option<(f64, f64)>,
    findings: &mut Findings<'_>,
) -> Option<Distribution> {
    let keys = LAWS.iter().find(|l| l.0 == name)?.1;
    let mut given: Vec<(&str, f64)> = Vec::new();
    for (key, inner) in item.table(path, findings) {
        let Some(&key) = keys.iter().find(|k| *k == key) else {
            unknown(key, inner, keys, "in this distribution", findings);
            return None;
        };
        // The spread is of a logarithm: a plain number.
        let d = if key == "spread" {
            Dimension::Ratio
        } else {
            dimension
        };
        given.push((key, parameter(path, inner, d, findings)?));
    }
    let of = |key: &str| given.iter().find(|(k, _)| *k == key).map(|(_, v)| *v);
    let missing = keys.iter().find(|k| {
        of(k).is_none()
            && !(matches!(name, "normal" | "lognormal") && matches!(**k, "low" | "high"))
    });
    if let Some(key) = missing {
        let said = Said::that(format!("`{key}` is missing")).allowed(keys.join(", "));
        findings.add("T021", item.at, path, said);
        return None;
    }
    let value = |key: &str| of(key).unwrap_or(f64::NAN);
    // What is not possible is not drawn.
    let (least, most) = possible.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    let cut = |law: Distribution| {
        let (low, high) = (of("low").unwrap_or(least), of("high").unwrap_or(most));
        if low.is_finite() || high.is_finite() {
            law.between(low, high)
        } else {
            Ok(law)
        }
    };
    let law: Result<Distribution, SamplingError> = match name {
        "uniform" => Distribution::uniform(value("low"), value("high")),
        "normal" => Distribution::normal(value("mean"), value("deviation")).and_then(cut),
        "lognormal" => Distribution::lognormal(value("median"), value("spread")).and_then(cut),
        _ => Distribution::triangular(value("low"), value("mode"), value("high")),
    };
    let said = match law {
        Ok(law) => {
            let (low, high) = law.bounds();
            if least <= low && high <= most {
                return Some(law);
            }
            let said = Said::that("it can give values that are not possible for this path");
            match row_at(path) {
                Some(row) => said.allowed(row.range_text(row.possible)),
                None => said,
            }
        }
        Err(problem) => Said::that(problem.to_string()),
    };
    findings.add("T021", item.at, path, said);
    None
}

/// Listed values with weights.
fn words(path: &str, item: &Item, findings: &mut Findings<'_>) -> Option<Levels> {
    let entries = item.table(path, findings);
    let of = |key: &str| entries.iter().find(|(k, _)| k == key).map(|(_, i)| i);
    for (key, inner) in entries {
        if !["values", "weights"].contains(&key.as_str()) {
            unknown(
                key,
                inner,
                &["values", "weights"],
                "in `discrete`",
                findings,
            );
        }
    }
    let Some(values) = of("values") else {
        let said = Said::that("`values` is missing");
        findings.add("T021", item.at, path, said);
        return None;
    };
    let values: Vec<String> = values
        .list(path, findings)
        .iter()
        .map(|v| v.raw.clone())
        .collect();
    let weights: Vec<f64> = match of("weights") {
        None => vec![1.0; values.len()],
        Some(list) => list
            .list(path, findings)
            .iter()
            .map(|w| match w.content {
                Content::Number(x) => x,
                _ => f64::NAN,
            })
            .collect(),
    };
    if weights.len() != values.len() {
        let said = Said::that("each value has one weight").found(format!(
            "{} values, {} weights",
            values.len(),
            weights.len()
        ));
        findings.add("T021", item.at, path, said);
        return None;
    }
    let pairs: Vec<(String, f64)> = values.into_iter().zip(weights).collect();
    Levels::new(&pairs)
        .map_err(|e| findings.add("T021", item.at, path, Said::that(e.to_string())))
        .ok()
}

fn weighted(
    path: &str,
    item: &Item,
    words: &Levels,
    dimension: Dimension,
    findings: &mut Findings<'_>,
) -> Option<Distribution> {
    let mut pairs = Vec::new();
    for (word, share) in words.names().iter().zip(words.shares()) {
        let one = Item {
            at: item.at,
            raw: word.clone(),
            content: word.parse().map_or(Content::Text, Content::Number),
        };
        pairs.push((parameter(path, &one, dimension, findings)?, *share));
    }
    Distribution::discrete(&pairs)
        .map_err(|e| findings.add("T021", item.at, path, Said::that(e.to_string())))
        .ok()
}

/// A drawn value: as it stands in the table, and what it makes of the scenario.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Number(f64),
    Word(String),
}

impl Drawn {
    /// The value at a place of the unit interval.
    pub fn value(&self, place: f64) -> Result<Value, SamplingError> {
        Ok(match &self.law {
            Law::Numbers(law) => Value::Number(law.quantile(place)?),
            Law::Words(levels) => Value::Word(levels.pick(place)?.to_owned()),
        })
    }

    /// Adds what the value changes; a factor and a shift look at the scenario with the changes so far.
    pub fn change(
        &self,
        value: &Value,
        template: &Template,
        changes: &mut Vec<(String, String)>,
    ) -> Result<(), Vec<Diagnostic>> {
        let number = match value {
            Value::Word(word) => {
                changes.extend(self.paths.iter().map(|p| (p.clone(), word.clone())));
                return Ok(());
            }
            Value::Number(number) => *number,
        };
        let plain = |path: &&String| self.acts == Acts::AsValue && !path.contains("[*]");
        let moved: Vec<&str> = (self.paths.iter().filter(|p| !plain(p)))
            .map(String::as_str)
            .collect();
        let mut found = if moved.is_empty() {
            Vec::new()
        } else {
            template.values(&borrowed(changes), &moved)?
        }
        .into_iter();
        for path in &self.paths {
            if plain(&path) {
                changes.push((path.clone(), written(number, self.measure)));
                continue;
            }
            for (path, current) in found.next().unwrap_or_default() {
                let Some(row) = row_at(&path) else { continue };
                if let Some(text) = self.moved(number, row, &current) {
                    changes.push((path, text));
                }
            }
        }
        Ok(())
    }

    /// The value of one path, as text.
    fn moved(&self, number: f64, row: &Row, current: &Current) -> Option<String> {
        let measure = measure_of(row);
        match (current, self.acts) {
            (_, Acts::AsValue) => Some(written(number, self.measure)),
            (Current::Number(now), Acts::AsFactor) => Some(written(number * now, measure?)),
            (Current::Number(now), Acts::AsShift) => Some(written(number + now, measure?)),
            (Current::Pairs(pairs), Acts::AsFactor) => {
                let Kind::Pairs(first, second) = row.kind else {
                    return None;
                };
                let pairs: Vec<String> = pairs
                    .iter()
                    .map(|(x, y)| {
                        format!(
                            "[\"{}\", \"{}\"]",
                            written(*x, first),
                            written(number * y, second)
                        )
                    })
                    .collect();
                Some(format!("[{}]", pairs.join(", ")))
            }
            _ => None,
        }
    }
}

/// A number in SI as a quantity in a unit.
pub(super) fn written(si: f64, (dimension, unit): (Dimension, &str)) -> String {
    if unit.is_empty() {
        shortest_number(si)
    } else {
        format!("{} {unit}", shortest_number(in_unit(si, dimension, unit)))
    }
}
