//! A profile from TOML.
//!
//! ```toml
//! name = "Harrow Vale road works"
//! revision = "2026-03"
//! units = "us"                    # what people read
//! assembly = "ground"             # or "foundation"
//! tests = ["mash-2016"]           # documents that judge, the governing one first
//!
//! [documents]
//! installation = "Standard drawing 611, sheet 3"
//!
//! [limits]
//! grout_gap = "1/2 in; 13 mm"     # one value, or its two twins
//!
//! [[pole]]                        # the first that fits counts
//! length = "35 ft"                # poles up to this length
//! reach = "30 ft"                 # with arms up to this reach
//! torque = "150 lbf.ft"
//! bolt_length = "4-1/2 in"
//! plate_washer = "1/2 in"
//! ```

use giveway_scenario::Diagnostic;
use giveway_units::{Dimension, System, nearest, parse};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::{Assembly, Bound, PoleRow, Profile, Twin};
use crate::finding::{At, Findings, Said};
use crate::requirements::Measure;

const KEYS: [&str; 8] = [
    "name",
    "revision",
    "units",
    "assembly",
    "tests",
    "documents",
    "limits",
    "pole",
];
const POLE_KEYS: [&str; 5] = ["length", "reach", "torque", "bolt_length", "plate_washer"];

/// The profile that a scenario names at its top (`profile = "harrow_vale.toml"`), a path from the scenario's folder, and the
/// scenario without that line, every other place in it unchanged. None where it names none or cannot be read.
pub fn named_in(text: &str) -> Option<(String, String)> {
    let (table, _) = DeTable::parse_recoverable(text);
    let (key, value) = table.get_ref().get_key_value("profile")?;
    let DeValue::String(path) = value.get_ref() else {
        return None;
    };
    let path = path.to_string();
    let span = key.span().start..value.span().end;
    let blank: String = text
        .get(span.clone())?
        .chars()
        .map(|c| if c == '\n' { '\n' } else { ' ' })
        .collect();
    let mut rest = text.to_owned();
    rest.replace_range(span, &blank);
    Some((path, rest))
}

/// Reads one profile; everything that is wrong is collected.
struct Reader<'a> {
    text: &'a str,
    findings: Findings<'a>,
}

type Entry<'t, 'i> = (&'t str, &'t Spanned<DeValue<'i>>, At);

impl Profile {
    /// Reads a profile. `file` is only used in diagnostics.
    ///
    /// # Errors
    /// Every problem of the file at once.
    pub fn read(text: &str, file: &str) -> Result<Self, Vec<Diagnostic>> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = Reader {
            text,
            findings: Findings::new(file),
        };
        let (table, errors) = DeTable::parse_recoverable(text);
        for error in &errors {
            let at = At::offset(text, error.span().map_or(0, |s| s.start));
            reader.say(
                "R080",
                at,
                "",
                format!("this is not TOML: {}", error.message()),
                None,
            );
            reader.findings.close_line(at.line);
        }
        let mut profile = Self::trade();
        for (key, value, at) in entries(text, table.get_ref()) {
            reader.entry(&mut profile, key, value, at);
        }
        if profile.name.is_empty() && errors.is_empty() {
            let message = "a profile needs a name, and a revision that pages can show".to_owned();
            reader.say(
                "R080",
                At::START,
                "name",
                message,
                Some("name = \"Harrow Vale road works\"".into()),
            );
        }
        if reader.findings.clean() {
            Ok(profile)
        } else {
            Err(reader.findings.finish())
        }
    }
}

/// The entries of a table in the order of the file.
fn entries<'t, 'i>(text: &str, table: &'t DeTable<'i>) -> Vec<Entry<'t, 'i>> {
    let mut list: Vec<Entry<'t, 'i>> = table
        .iter()
        .map(|(key, value)| {
            let at = At::offset(text, key.span().start);
            (key.get_ref().as_ref(), value, at)
        })
        .collect();
    list.sort_by_key(|(_, _, at)| *at);
    list
}

impl Reader<'_> {
    fn say(
        &mut self,
        code: &'static str,
        at: At,
        key: &str,
        message: String,
        suggestion: Option<String>,
    ) {
        let said = Said::that(message).hint_of(suggestion);
        self.findings.add(code, at, key, said);
    }

    fn unknown(&mut self, key: &str, at: At, known: &[&'static str]) {
        let near = nearest(key, known.iter().copied()).map(str::to_owned);
        let message = format!(
            "this is no key of a profile here; there are {}",
            known.join(", ")
        );
        self.say("R081", at, key, message, near);
    }

    fn entry(&mut self, profile: &mut Profile, key: &str, value: &Spanned<DeValue<'_>>, at: At) {
        match (key, value.get_ref()) {
            ("name", DeValue::String(text)) => profile.name = one_line(text),
            ("revision", DeValue::String(text)) => profile.revision = one_line(text),
            ("revision", DeValue::Datetime(date)) => profile.revision = date.to_string(),
            ("units", DeValue::String(text)) => match System::named(text) {
                Some(system) => profile.units = Some(system),
                None => self.say("R082", at, key, "units are \"si\" or \"us\"".into(), None),
            },
            ("assembly", DeValue::String(text)) => match text.as_ref() {
                "ground" => profile.assembly = Assembly::Ground,
                "foundation" => profile.assembly = Assembly::Foundation,
                _ => {
                    let message =
                        "the base is put together on the \"ground\" or on the \"foundation\"";
                    self.say("R082", at, key, message.into(), None);
                }
            },
            ("tests", DeValue::Array(list)) => {
                for one in list {
                    self.test(profile, one.get_ref(), at);
                }
            }
            ("tests", one @ DeValue::String(_)) => self.test(profile, one, at),
            ("documents", DeValue::Table(table)) => {
                for (name, value, at) in entries(self.text, table) {
                    match value.get_ref() {
                        DeValue::String(text) => {
                            profile.documents.push((name.to_owned(), one_line(text)));
                        }
                        _ => self.say("R082", at, name, "a text in quotes is wanted".into(), None),
                    }
                }
            }
            ("limits", DeValue::Table(table)) => {
                for (name, value, at) in entries(self.text, table) {
                    self.limit(profile, name, value.get_ref(), at);
                }
            }
            ("pole", DeValue::Array(list)) => {
                for one in list {
                    match one.get_ref() {
                        DeValue::Table(table) => self.pole(profile, table, at),
                        _ => self.say(
                            "R082",
                            at,
                            key,
                            "each pole is a section [[pole]]".into(),
                            None,
                        ),
                    }
                }
            }
            _ if KEYS.contains(&key) => {
                let message = "this value is of another kind than is wanted".to_owned();
                let like = match key {
                    "pole" => "[[pole]]".to_owned(),
                    "limits" | "documents" => format!("[{key}]"),
                    _ => format!("{key} = \"...\""),
                };
                self.say("R082", at, key, message, Some(like));
            }
            _ => self.unknown(key, at, &KEYS),
        }
    }

    fn test(&mut self, profile: &mut Profile, value: &DeValue<'_>, at: At) {
        let names = giveway_scenario::model::CriteriaSet::NAMES;
        match value {
            DeValue::String(text) if names.contains(&text.as_ref()) => {
                profile.tests.push(text.to_string());
            }
            _ => {
                let message = format!("the documents that judge are {}", names.join(", "));
                self.say("R082", at, "tests", message, None);
            }
        }
    }

    fn limit(&mut self, profile: &mut Profile, name: &str, value: &DeValue<'_>, at: At) {
        let Some(bound) = Bound::named(name) else {
            let keys: Vec<&'static str> = Bound::ALL.iter().map(|b| b.standard().key).collect();
            self.unknown(name, at, &keys);
            return;
        };
        let standard = bound.standard();
        let text = match value {
            DeValue::String(text) => text.to_string(),
            DeValue::Integer(number) => number.to_string(),
            DeValue::Float(number) => number.as_str().to_owned(),
            _ => String::new(),
        };
        match read_twin(&text, standard.measure) {
            Ok(twin) if twin.si >= 0.0 && twin.us >= 0.0 => profile.put(bound, twin, None),
            Ok(_) => self.say("R082", at, name, "a limit is not below zero".into(), None),
            Err(message) => self.say("R082", at, name, message, None),
        }
    }

    fn pole(&mut self, profile: &mut Profile, table: &DeTable<'_>, at: At) {
        let mut row = PoleRow {
            length_m: f64::INFINITY,
            reach_m: f64::INFINITY,
            torque: None,
            bolt_length: None,
            plate_washer: None,
        };
        for (name, value, at) in entries(self.text, table) {
            let DeValue::String(text) = value.get_ref() else {
                self.say(
                    "R082",
                    at,
                    name,
                    "a quantity in quotes is wanted, with its unit".into(),
                    None,
                );
                continue;
            };
            if !POLE_KEYS.contains(&name) {
                self.unknown(name, at, &POLE_KEYS);
                continue;
            }
            let dimension = if name == "torque" {
                Dimension::Torque
            } else {
                Dimension::Length
            };
            match parse(text, dimension) {
                Ok(q) if q.si > 0.0 => match name {
                    "length" => row.length_m = q.si,
                    "reach" => row.reach_m = q.si,
                    "torque" => row.torque = Some(text.to_string()),
                    "bolt_length" => row.bolt_length = Some(text.to_string()),
                    _ => row.plate_washer = Some(text.to_string()),
                },
                Ok(_) => self.say("R082", at, name, "this must be above zero".into(), None),
                Err(e) => self.say(
                    "R082",
                    at,
                    name,
                    e.to_string(),
                    e.suggestion().map(str::to_owned),
                ),
            }
        }
        if row.torque.is_none() && row.bolt_length.is_none() && row.plate_washer.is_none() {
            let message =
                "this pole sets nothing: give torque, bolt_length or plate_washer".to_owned();
            self.say("R082", at, "pole", message, None);
        }
        profile.poles.push(row);
    }
}

fn one_line(text: &str) -> String {
    let mut line: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    line.truncate(line.char_indices().nth(200).map_or(line.len(), |(i, _)| i));
    line.trim().to_owned()
}

/// One value for both systems, or an inch and a metric one divided by `;`.
fn read_twin(text: &str, measure: Measure) -> Result<Twin, String> {
    let Measure::Quantity(dimension, unit) = measure else {
        return match text.trim().parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Twin::both(value)),
            _ => Err("a plain number is wanted".to_owned()),
        };
    };
    let mut twin: Option<Twin> = None;
    for part in text.split(';') {
        let q = parse(part, dimension).map_err(|e| format!("{e}; write it as in \"10 {unit}\""))?;
        let t = twin.get_or_insert(Twin::both(q.si));
        match System::of(q.unit, dimension) {
            Some(System::Us) => t.us = q.si,
            Some(System::Si) => t.si = q.si,
            None => {}
        }
    }
    twin.ok_or_else(|| "a quantity with its unit is wanted".to_owned())
}
