//! A site record: what was measured at one pole, on one day, by whom, and which scenario describes its type.
//!
//! ```toml
//! pole = "HV-0203"
//! date = 2025-09-12
//! inspector = "second crew"                 # may be left out
//! type = "types/ring_road_12m.toml"         # a scenario, path from the record's folder
//!
//! [measured]
//! grout_gap = "-22 mm"
//! rust = "light"
//! torque = "not measured"
//!
//! [place]
//! road = "Ring road, east verge"            # free text
//! ```

use giveway_scenario::Diagnostic;
use giveway_units::{System, invisible, nearest};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::date::Date;
use crate::finding::{At, Findings, Said};
use crate::measured::{Measured, Value, read};
use crate::requirements::{self, Found};

/// Keys at the top of a record.
const KEYS: [&str; 9] = [
    "pole",
    "date",
    "inspector",
    "type",
    "photo",
    "position",
    "wrench",
    "measured",
    "place",
];

/// A record that was read without errors.
#[derive(Clone)]
pub struct Record {
    /// Identifier of the pole.
    pub pole: String,
    /// Day of the inspection.
    pub date: Date,
    /// Who inspected.
    pub inspector: Option<String>,
    /// Path of the scenario of its type, from the record's folder.
    pub type_path: String,
    /// Free text about the place.
    pub place: Vec<(String, String)>,
    /// Names of photos, as written.
    pub photos: Vec<String>,
    /// Latitude and longitude, degrees.
    pub position_deg: Option<[f64; 2]>,
    /// Number of the torque wrench.
    pub wrench: Option<String>,
    /// What was measured, in the order of the requirements.
    pub measured: Vec<Measured>,
    /// File as named by the caller.
    pub file: String,
    /// Where the record begins.
    pub at: At,
    /// Where the type is named.
    pub type_at: At,
    /// What is unusual about it.
    pub warnings: Vec<Diagnostic>,
}

/// The pole of a record that was refused, where it can be told: for the list of what could not be read.
pub fn pole_named(text: &str) -> Option<String> {
    let (table, _) = DeTable::parse_recoverable(text);
    match table.get_ref().get("pole")?.get_ref() {
        DeValue::String(pole) if !pole.trim().is_empty() => Some(pole.trim().to_owned()),
        _ => None,
    }
}

/// Parts of a record while it is read.
#[derive(Default)]
pub(crate) struct Draft {
    pub pole: Option<String>,
    pub date: Option<Date>,
    pub inspector: Option<String>,
    pub type_path: Option<(String, At)>,
    pub place: Vec<(String, String)>,
    pub photos: Vec<String>,
    pub position_deg: Option<[f64; 2]>,
    pub wrench: Option<String>,
    pub measured: Vec<Measured>,
}

impl Record {
    /// The system of units in which most of its values are written; SI where none tells.
    pub fn system(&self) -> System {
        let values = self.measured.iter().flat_map(|m| &m.values);
        let (mut si, mut us) = (0, 0);
        for system in values.filter_map(Value::system) {
            match system {
                System::Si => si += 1,
                System::Us => us += 1,
            }
        }
        if us > si { System::Us } else { System::Si }
    }

    /// Reads a record from TOML. `file` is only used in diagnostics.
    ///
    /// # Errors
    /// Every problem of the record at once, in the order of the file.
    pub fn read(text: &str, file: &str) -> Result<Self, Vec<Diagnostic>> {
        let body = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut findings = Findings::new(file);
        let (table, errors) = DeTable::parse_recoverable(body);
        let mut last = 0;
        for error in &errors {
            let at = At::offset(body, error.span().map_or(0, |s| s.start));
            // Recovery may report one slip several times; one report a line is enough.
            if at.line == last {
                continue;
            }
            last = at.line;
            torn(body, at, error.message(), &mut findings);
        }
        let table = table.get_ref();
        if errors.is_empty() && table.is_empty() {
            findings.add(
                "R002",
                At::START,
                "",
                Said::that("the file holds no record: not one key")
                    .hint("start from scenarios/site/records/HV-0101.toml"),
            );
            return Err(findings.finish());
        }
        let whole = errors.is_empty();
        let draft = draft(table, body, &mut findings);
        draft.finish(file, At::START, whole, findings)
    }
}

/// Reports a line that is not TOML, and nothing else about that line.
fn torn(text: &str, at: At, message: &str, findings: &mut Findings<'_>) {
    let line = text.lines().nth(at.line - 1).unwrap_or_default();
    let (key, value) = line.split_once('=').unwrap_or_default();
    let value = value.split('#').next().unwrap_or_default().trim();
    // An unquoted day that the calendar does not have.
    let like_a_date =
        value.matches('-').count() == 2 && value.chars().all(|c| c.is_ascii_digit() || c == '-');
    if like_a_date && Date::parse(value).is_none() {
        let start = At {
            line: at.line,
            column: 1,
        };
        no_date(key.trim(), value, start, findings);
    } else {
        let (code, message) = if message.contains("duplicate key") {
            ("R003", "this key (or section) is given twice".to_owned())
        } else {
            ("R001", format!("this is not TOML: {message}"))
        };
        let said = Said::that(message);
        findings.add(code, at, "", said);
    }
    findings.close_line(at.line);
}

fn draft(table: &DeTable<'_>, text: &str, findings: &mut Findings<'_>) -> Draft {
    let mut draft = Draft::default();
    for (key, value) in table {
        let at = At::offset(text, key.span().start);
        let key = key.get_ref().as_ref();
        match key {
            "pole" => draft.pole = words(key, value, at, findings),
            "inspector" => draft.inspector = words(key, value, at, findings),
            "type" => {
                draft.type_path = words(key, value, at, findings).map(|path| (path, at));
            }
            "date" => draft.date = date(value, at, findings),
            "photo" | "position" | "wrench" => {
                if let Some(text) = words(key, value, at, findings) {
                    draft.own(key, &text, at, findings);
                }
            }
            "measured" => {
                for (name, value, at) in entries(key, value, at, text, findings) {
                    measured(&name, value, at, &mut draft, findings);
                }
            }
            "place" => {
                for (name, value, at) in entries(key, value, at, text, findings) {
                    if let Some(text) = words(&name, value, at, findings) {
                        draft.place.push((name, text));
                    }
                }
            }
            _ => unknown(key, at, findings),
        }
    }
    draft
}

fn unknown(key: &str, at: At, findings: &mut Findings<'_>) {
    let (message, suggestion) = if requirements::item(key).is_some() {
        (
            "a measured item stands below [measured]".to_owned(),
            Some(format!("[measured]\n{key} = ...")),
        )
    } else {
        (
            "this is no key of a record".to_owned(),
            nearest(key, KEYS).map(str::to_owned),
        )
    };
    findings.add(
        "R010",
        at,
        key,
        Said::that(message)
            .allowed(KEYS.join(", "))
            .hint_of(suggestion),
    );
}

/// The entries of a section in the order of the file.
fn entries<'t, 'i>(
    key: &str,
    value: &'t Spanned<DeValue<'i>>,
    at: At,
    text: &str,
    findings: &mut Findings<'_>,
) -> Vec<(String, &'t Spanned<DeValue<'i>>, At)> {
    let DeValue::Table(table) = value.get_ref() else {
        findings.add(
            "R012",
            at,
            key,
            Said::that("this is a section, not a value").hint(format!("[{key}]")),
        );
        return Vec::new();
    };
    let mut list: Vec<_> = table
        .iter()
        .map(|(name, value)| {
            let at = At::offset(text, name.span().start);
            (name.get_ref().to_string(), value, at)
        })
        .collect();
    list.sort_by_key(|(_, _, at)| *at);
    list
}

/// A text that is not empty.
fn words(
    key: &str,
    value: &Spanned<DeValue<'_>>,
    at: At,
    findings: &mut Findings<'_>,
) -> Option<String> {
    match value.get_ref() {
        DeValue::String(text) => plain_text(key, text, at, findings),
        other => {
            findings.add(
                "R012",
                at,
                key,
                Said::that("a text in quotes is wanted")
                    .found(shown(other))
                    .hint(format!("{key} = \"{}\"", shown(other))),
            );
            None
        }
    }
}

/// `47.3769, 8.5417`: latitude and longitude in degrees.
fn position(text: &str) -> Option<[f64; 2]> {
    let (latitude, longitude) = text.split_once([',', ' '])?;
    let degrees = |part: &str, most: f64| {
        let value: f64 = part.trim().trim_end_matches('\u{b0}').parse().ok()?;
        (value.abs() <= most).then_some(value)
    };
    Some([degrees(latitude, 90.0)?, degrees(longitude, 180.0)?])
}

/// A text of one line that says something.
pub(crate) fn plain_text(
    key: &str,
    text: &str,
    at: At,
    findings: &mut Findings<'_>,
) -> Option<String> {
    let text = text.trim();
    let fault = if text.is_empty() {
        "this text is empty"
    } else if text.chars().any(|c| invisible(c) && c != '\n') {
        "this text holds invisible characters"
    } else if text.chars().count() > 400 {
        "this text is longer than 400 characters"
    } else {
        return Some(text.replace('\n', " "));
    };
    findings.add("R012", at, key, Said::that(fault));
    None
}

fn date(value: &Spanned<DeValue<'_>>, at: At, findings: &mut Findings<'_>) -> Option<Date> {
    let text = match value.get_ref() {
        DeValue::String(text) => text.to_string(),
        other => shown(other),
    };
    read_date(&text, at, findings)
}

/// The date of the inspection.
pub(crate) fn read_date(text: &str, at: At, findings: &mut Findings<'_>) -> Option<Date> {
    let date = Date::parse(text);
    match date {
        None => no_date("date", text, at, findings),
        Some(date) if !date.is_likely() => findings.add(
            "R503",
            at,
            "date",
            Said::that("an inspection on this day is not likely")
                .found(date.to_string())
                .allowed("1950 to 2100"),
        ),
        Some(_) => {}
    }
    date
}

fn no_date(key: &str, text: &str, at: At, findings: &mut Findings<'_>) {
    findings.add(
        "R014",
        at,
        key,
        Said::that("this is no date of the calendar")
            .found(text.to_owned())
            .allowed("year-month-day")
            .hint(Date::meant(key, text)),
    );
}

fn measured(
    name: &str,
    value: &Spanned<DeValue<'_>>,
    at: At,
    draft: &mut Draft,
    findings: &mut Findings<'_>,
) {
    let Some(found) = known_item(name, "R010", at, findings) else {
        return;
    };
    let text = match value.get_ref() {
        DeValue::String(text) => text.to_string(),
        // Counts and dates need no quotes; a bare number where a unit is wanted is told so.
        DeValue::Integer(number) => number.to_string(),
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Datetime(date) => date.to_string(),
        other => {
            findings.add(
                "R012",
                at,
                name,
                Said::that("a text in quotes is wanted")
                    .found(shown(other))
                    .allowed(found.item().allowed()),
            );
            return;
        }
    };
    draft.measured.extend(read(found, &text, at, findings));
}

/// The item of that name, or a finding.
pub(crate) fn known_item(
    name: &str,
    code: &'static str,
    at: At,
    findings: &mut Findings<'_>,
) -> Option<Found> {
    let found = requirements::item(name);
    if found.is_none() {
        let near = nearest(name, requirements::items().map(|f| f.item().key));
        findings.add(
            code,
            at,
            name,
            Said::that("this is no item that can be measured").hint_of(near.map(str::to_owned)),
        );
    }
    found
}

impl Draft {
    /// Photo, position or wrench.
    pub(crate) fn own(&mut self, key: &str, text: &str, at: At, findings: &mut Findings<'_>) {
        match key {
            "photo" => {
                let names = text.split(';').map(str::trim).filter(|n| !n.is_empty());
                self.photos.extend(names.map(str::to_owned));
            }
            "wrench" => self.wrench = Some(text.to_owned()),
            _ => match position(text) {
                Some(position) => self.position_deg = Some(position),
                None => findings.add(
                    "R023",
                    at,
                    key,
                    Said::that("this is no latitude and longitude in degrees")
                        .found(text.to_owned())
                        .allowed("-90 to 90, then -180 to 180")
                        .hint("position = \"47.3769, 8.5417\""),
                ),
            },
        }
    }

    /// The record, if nothing is missing and nothing was wrong. `whole` is false where lines could not be read: what is
    /// missing may stand in them.
    pub(crate) fn finish(
        mut self,
        file: &str,
        at: At,
        whole: bool,
        mut findings: Findings<'_>,
    ) -> Result<Record, Vec<Diagnostic>> {
        self.measured
            .sort_by_key(|m| (m.found.requirement, m.found.detail));
        if whole && findings.clean() {
            for (key, there) in [
                ("pole", self.pole.is_some()),
                ("date", self.date.is_some()),
                ("type", self.type_path.is_some()),
            ] {
                if !there {
                    findings.add("R011", at, key, Said::that("a record needs this"));
                }
            }
        }
        self.check_details(&mut findings);
        self.check_dates(&mut findings);
        match (self.pole, self.date, self.type_path) {
            (Some(pole), Some(date), Some((type_path, type_at))) if findings.clean() && whole => {
                Ok(Record {
                    pole,
                    date,
                    inspector: self.inspector,
                    type_path,
                    place: self.place,
                    photos: self.photos,
                    position_deg: self.position_deg,
                    wrench: self.wrench,
                    measured: self.measured,
                    file: file.to_owned(),
                    at,
                    type_at,
                    warnings: findings.finish(),
                })
            }
            _ => Err(findings.finish()),
        }
    }

    /// Details stand beside their finding, one for each.
    fn check_details(&self, findings: &mut Findings<'_>) {
        for m in &self.measured {
            if m.found.detail.is_none() {
                continue;
            }
            let own = self
                .measured
                .iter()
                .find(|o| o.found.requirement == m.found.requirement && o.found.detail.is_none());
            let key = m.found.item().key;
            match own {
                None => findings.add(
                    "R032",
                    m.at,
                    key,
                    Said::that(format!(
                        "this detail needs `{}` beside it",
                        m.found.requirement().item.key
                    )),
                ),
                Some(own) if m.values.len() > 1 && m.values.len() != own.values.len() => findings
                    .add(
                        "R031",
                        m.at,
                        key,
                        Said::that(format!(
                            "{} values beside {} of `{}`",
                            m.values.len(),
                            own.values.len(),
                            own.found.item().key
                        )),
                    ),
                Some(_) => {}
            }
        }
    }

    /// Nothing was checked after the inspection.
    fn check_dates(&self, findings: &mut Findings<'_>) {
        let Some(date) = self.date else { return };
        for m in &self.measured {
            for value in &m.values {
                if let Value::Date(checked) = value
                    && checked.days_to(date) < 0
                {
                    findings.add(
                        "R014",
                        m.at,
                        m.found.item().key,
                        Said::that(format!("this lies after the inspection of {date}"))
                            .found(m.text.clone()),
                    );
                }
            }
        }
    }
}

fn shown(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => text.to_string(),
        DeValue::Integer(number) => number.to_string(),
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(date) => date.to_string(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a section".to_owned(),
    }
}
