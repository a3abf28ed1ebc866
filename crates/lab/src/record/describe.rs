//! The description of a laboratory's file.

use giveway_occupant::filter::ChannelClass;
use giveway_units::Dimension;
use serde::Deserialize;
use toml::Spanned;

use crate::fault::{Described, Fault, Faults};

type Text = Spanned<String>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    #[serde(default)]
    title: String,
    #[serde(default, rename = "notes")]
    _notes: Option<String>,
    scenario: Text,
    file: RawFile,
    channel: Vec<Spanned<RawChannel>>,
    #[serde(default)]
    sensor: RawSensor,
    #[serde(default)]
    event: RawEvent,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFile {
    name: Text,
    separator: Option<Text>,
    decimal: Option<Text>,
    #[serde(default)]
    skip: usize,
    time: Option<Text>,
    time_unit: Option<Text>,
    rate: Option<Text>,
    fill_gaps: Option<Text>,
    #[serde(default)]
    resample: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawChannel {
    column: Text,
    measures: Text,
    unit: Text,
    sign: Option<Text>,
    full_scale: Option<Text>,
    clipped: Option<Text>,
    filter: Option<Text>,
    offset: Option<Text>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawSensor {
    ahead: Option<Text>,
    left: Option<Text>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawEvent {
    quiet: Option<[Text; 2]>,
    zero_level: Option<Text>,
    time_zero: Option<Text>,
    threshold: Option<Text>,
    at: Option<Text>,
    contact_end: Option<Text>,
    length: Option<Text>,
    filter: Option<Text>,
}

/// What a channel measures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Measures {
    /// Acceleration along x (forward), y (to the left) or z (up).
    Acceleration(usize),
    /// Rate of yaw, anticlockwise from above.
    YawRate,
    /// Another history: column of the results.
    Column(String),
}

/// One channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Name in the file.
    pub column: String,
    /// What it measures.
    pub measures: Measures,
    /// The word for it.
    pub word: String,
    /// Dimension and unit.
    pub measure: (Dimension, String),
    /// Whether its sign is turned.
    pub reversed: bool,
    /// End of the range, SI.
    pub full_scale: Option<f64>,
    /// Whether clipped samples are kept.
    pub keep_clipped: bool,
    /// Filter class that was applied already.
    pub applied: Option<ChannelClass>,
    /// Known offset, SI; it is taken off instead of the quiet part's mean.
    pub offset: Option<f64>,
    /// Lines of its unit, and of its sign or, where none is given, of its head.
    lines: [usize; 2],
    sign_given: bool,
}

/// How time zero is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ZeroMethod {
    /// First instant beyond a threshold, m/s^2; none for the usual one.
    Threshold(Option<f64>),
    /// Best agreement of the velocity with the computed run.
    Alignment,
    /// Given, s on the clock of the file.
    Given(f64),
}

/// A description that can be followed.
#[derive(Debug, Clone, PartialEq)]
pub struct Description {
    /// Name of the description's file.
    pub described_in: String,
    /// Title.
    pub title: String,
    /// The scenario file beside it.
    pub scenario: String,
    /// The laboratory's file beside it.
    pub file: String,
    /// What stands between cells.
    pub separator: u8,
    /// What stands before decimals.
    pub decimal: char,
    /// Lines before the line of names.
    pub skip: usize,
    /// Column and factor to seconds of the clock.
    pub time: Option<(String, f64)>,
    /// Stated rate, Hz.
    pub rate_hz: Option<f64>,
    /// Longest gap that is filled, s.
    pub fill_gaps_s: f64,
    /// Whether an uneven clock is put right.
    pub resample: bool,
    /// Channels.
    pub channels: Vec<Channel>,
    /// Sensor ahead of and to the left of the centre of mass, m.
    pub sensor_m: [f64; 2],
    /// Quiet part on the file's clock, s; none to find it.
    pub quiet_s: Option<[f64; 2]>,
    /// Whether the zero level is a line through quiet parts before and after.
    pub level_after: bool,
    /// Time zero.
    pub time_zero: ZeroMethod,
    /// End of contact after time zero, s.
    pub contact_end_s: Option<f64>,
    /// Length of the record from time zero, s.
    pub length_s: Option<f64>,
    /// Filter class of the clean record.
    pub filter: ChannelClass,
    /// Line and column of the settings that the files may speak against.
    places: Vec<(&'static str, (usize, usize))>,
}

impl Description {
    /// What is wrong with a setting once the table is known, at its place.
    pub fn fault(&self, key: &str, message: impl Into<String>) -> Fault {
        let fault = Fault {
            code: "L020",
            ..Fault::new(&self.described_in, message).channel(key)
        };
        match self.places.iter().find(|(name, _)| *name == key) {
            Some((_, place)) => fault.at(*place),
            None => fault,
        }
    }

    /// Whether a setting is given.
    pub(super) fn gives(&self, key: &str) -> bool {
        self.places.iter().any(|(name, _)| *name == key)
    }

    /// Where the unit of a channel is put right.
    pub(super) fn line_of_unit(&self, channel: &Channel) -> String {
        format!("line {} of {}", channel.lines[0], self.described_in)
    }

    /// Where its sign is, or is to be given.
    pub(super) fn line_of_sign(&self, channel: &Channel) -> String {
        let line = channel.lines[1];
        match channel.sign_given {
            true => format!("in line {line} of {}", self.described_in),
            false => format!(
                "under the [[channel]] of line {line} of {}",
                self.described_in
            ),
        }
    }
}

const MEASURES: &str = "acceleration-x, acceleration-y, acceleration-z, yaw-rate, crush, contact-force, bolt-tension-1 and so on";
const CLASSES: [(&str, ChannelClass); 4] = [
    ("CFC 60", ChannelClass::Cfc60),
    ("CFC 180", ChannelClass::Cfc180),
    ("CFC 600", ChannelClass::Cfc600),
    ("CFC 1000", ChannelClass::Cfc1000),
];

fn class(key: &str, value: Option<&Text>, d: &mut Described<'_>) -> Option<ChannelClass> {
    let value = value?;
    let word = value.get_ref().to_uppercase().replace("CFC", "CFC ");
    let word = word.split_whitespace().collect::<Vec<_>>().join(" ");
    let found = CLASSES.iter().find(|c| c.0 == word).map(|c| c.1);
    if found.is_none() {
        let names: Vec<&str> = CLASSES.iter().map(|c| c.0).collect();
        let problem = format!(
            "`{}` is no filter class: {}",
            value.get_ref(),
            names.join(", ")
        );
        d.fault_at(value.span().start, key, problem);
    }
    found
}

/// One of some words; the first where nothing is given.
fn choice(key: &str, value: Option<&Text>, words: &[&str], d: &mut Described<'_>) -> usize {
    let Some(value) = value else { return 0 };
    let found = words.iter().position(|w| w == value.get_ref());
    found.unwrap_or_else(|| {
        let problem = format!(
            "`{}` is not known here: {}",
            value.get_ref(),
            words.join(", ")
        );
        d.fault_at(value.span().start, key, problem);
        0
    })
}

fn measures(word: &str) -> Option<(Measures, Dimension)> {
    let bolt = word.strip_prefix("bolt-tension-");
    Some(match word {
        "acceleration-x" => (Measures::Acceleration(0), Dimension::Acceleration),
        "acceleration-y" => (Measures::Acceleration(1), Dimension::Acceleration),
        "acceleration-z" => (Measures::Acceleration(2), Dimension::Acceleration),
        "yaw-rate" => (Measures::YawRate, Dimension::AngularRate),
        "crush" => (Measures::Column("crush_m".into()), Dimension::Length),
        "contact-force" => (Measures::Column("contact_force_n".into()), Dimension::Force),
        _ => {
            let number: u8 = bolt?.parse().ok().filter(|n| *n > 0)?;
            (
                Measures::Column(format!("bolt{number}_tension_n")),
                Dimension::Force,
            )
        }
    })
}

fn channel(raw: &Spanned<RawChannel>, d: &mut Described<'_>) -> Option<Channel> {
    let c = raw.get_ref();
    let column = c.column.get_ref().as_str();
    let word = c.measures.get_ref();
    let Some((measures, dimension)) = measures(word) else {
        let problem = format!("`{word}` is nothing that a channel measures here: {MEASURES}");
        d.fault_at(c.measures.span().start, column, problem);
        return None;
    };
    let unit = c.unit.get_ref();
    if giveway_units::unit_named(unit, dimension).is_none() {
        let names: Vec<&str> = dimension.units().iter().map(|u| u.name).collect();
        let problem = format!("`{unit}` is no unit of {word}: {}", names.join(", "));
        d.fault_at(c.unit.span().start, column, problem);
        return None;
    }
    Some(Channel {
        column: column.to_owned(),
        measures,
        word: word.clone(),
        measure: (dimension, unit.clone()),
        reversed: choice(column, c.sign.as_ref(), &["as-is", "reversed"], d) == 1,
        full_scale: d.positive(column, c.full_scale.as_ref(), dimension),
        keep_clipped: choice(column, c.clipped.as_ref(), &["refuse", "keep"], d) == 1,
        applied: class(column, c.filter.as_ref(), d),
        offset: d.maybe(column, c.offset.as_ref(), dimension),
        lines: [
            d.position(c.unit.span().start).0,
            d.position(c.sign.as_ref().map_or(raw.span().start, |s| s.span().start))
                .0,
        ],
        sign_given: c.sign.is_some(),
    })
}

fn one_character(
    key: &str,
    value: Option<&Text>,
    allowed: &str,
    usual: char,
    d: &mut Described<'_>,
) -> char {
    let Some(value) = value else { return usual };
    let text = value.get_ref().replace("\\t", "\t");
    let mut characters = text.chars();
    match (characters.next(), characters.next()) {
        (Some(c), None) if allowed.contains(c) => c,
        _ => {
            let problem = format!(
                "this must be one of {:?}",
                allowed.chars().collect::<Vec<_>>()
            );
            d.fault_at(value.span().start, key, problem);
            usual
        }
    }
}

/// The column of the time and its unit in seconds.
fn clock(f: &RawFile, d: &mut Described<'_>) -> Option<(String, f64)> {
    let column = f.time.as_ref()?;
    let unit = f.time_unit.as_ref().map_or("s", |u| u.get_ref().as_str());
    let factor = giveway_units::unit_named(unit, Dimension::Time).map(|u| u.to_si(1.0));
    if factor.is_none() {
        let at = f.time_unit.as_ref().map_or(0, |u| u.span().start);
        d.fault_at(
            at,
            "file.time_unit",
            format!("`{unit}` is no unit of time: s, ms, us"),
        );
    }
    Some((column.get_ref().clone(), factor.unwrap_or(1.0)))
}

/// No two channels measure the same or stand in the same column, and one measures what the record is made of.
fn check_channels(channels: &[Channel], raw: &[&Spanned<RawChannel>], d: &mut Described<'_>) {
    for (i, c) in channels.iter().enumerate() {
        if channels[..i]
            .iter()
            .any(|other| other.measures == c.measures)
        {
            let at = raw[i].span().start;
            d.fault_at(
                at,
                &c.column,
                format!("another channel measures {} already", c.word),
            );
        } else if let Some(other) = channels[..i].iter().find(|other| other.column == c.column) {
            d.fault_at(
                raw[i].get_ref().column.span().start,
                &c.column,
                format!(
                    "this column is given as {} already, and cannot measure {} too",
                    other.word, c.word
                ),
            );
        }
    }
    if d.faults.is_empty()
        && !channels
            .iter()
            .any(|c| c.measures == Measures::Acceleration(0))
    {
        d.fault_at(
            0,
            "channel",
            "no channel measures acceleration-x, without which there is no record",
        );
    }
}

/// The quiet part, s.
fn quiet(e: &RawEvent, d: &mut Described<'_>) -> Option<[f64; 2]> {
    let [from, to] = e.quiet.as_ref()?;
    let ends = [
        d.quantity("event.quiet", from, Dimension::Time)?,
        d.quantity("event.quiet", to, Dimension::Time)?,
    ];
    if ends[0] < ends[1] {
        return Some(ends);
    }
    d.fault_at(
        from.span().start,
        "event.quiet",
        "the quiet part does not run forward",
    );
    None
}

/// How time zero is found.
fn time_zero(e: &RawEvent, d: &mut Described<'_>) -> ZeroMethod {
    let threshold = d.positive(
        "event.threshold",
        e.threshold.as_ref(),
        Dimension::Acceleration,
    );
    let at = d.maybe("event.at", e.at.as_ref(), Dimension::Time);
    let method = choice(
        "event.time_zero",
        e.time_zero.as_ref(),
        &["threshold", "alignment", "given"],
        d,
    );
    match (method, at) {
        (1, _) => ZeroMethod::Alignment,
        (2, Some(at)) => ZeroMethod::Given(at),
        (2, None) => {
            d.fault_at(
                0,
                "event.at",
                "`at` is missing: time zero on the clock of the file, for example \"12.4 ms\"",
            );
            ZeroMethod::Threshold(None)
        }
        _ => ZeroMethod::Threshold(threshold),
    }
}

/// Line and column of the settings that the files may speak against.
fn places(raw: &Raw, d: &Described<'_>) -> Vec<(&'static str, (usize, usize))> {
    let (f, e) = (&raw.file, &raw.event);
    let settings = [
        ("scenario", Some(&raw.scenario)),
        ("file.name", Some(&f.name)),
        ("file.time", f.time.as_ref()),
        ("file.time_unit", f.time_unit.as_ref()),
        ("file.rate", f.rate.as_ref()),
        ("event.quiet", e.quiet.as_ref().map(|q| &q[0])),
        ("event.time_zero", e.time_zero.as_ref()),
        ("event.threshold", e.threshold.as_ref()),
        ("event.at", e.at.as_ref()),
        ("event.length", e.length.as_ref()),
    ];
    let place = |(key, value): (_, Option<&Text>)| Some((key, d.position(value?.span().start)));
    settings.into_iter().filter_map(place).collect()
}

/// Reads a description.
///
/// # Errors
/// Every problem with its place.
pub fn describe(file_name: &str, text: &str) -> Result<Description, Faults> {
    let mut d = Described::new(file_name, text);
    let raw: Raw = d.sections()?;
    let f = &raw.file;
    let separator = one_character("file.separator", f.separator.as_ref(), ",;\t", ',', &mut d);
    let decimal = one_character("file.decimal", f.decimal.as_ref(), ".,", '.', &mut d);
    if separator == decimal {
        d.fault_at(
            0,
            "file.separator",
            "the same sign cannot part cells and decimals; a table with commas for both must be exported again with another separator or with decimal points",
        );
    }
    let time = clock(f, &mut d);
    let rate_hz = d.positive("file.rate", f.rate.as_ref(), Dimension::Frequency);
    if time.is_none() && f.rate.is_none() {
        d.fault_at(
            0,
            "file",
            "a clock is missing: give `time`, the name of its column, or `rate`",
        );
    }
    let fill_gaps_s = d
        .positive("file.fill_gaps", f.fill_gaps.as_ref(), Dimension::Time)
        .unwrap_or(0.0);
    let (channels, given): (Vec<Channel>, Vec<&Spanned<RawChannel>>) = raw
        .channel
        .iter()
        .filter_map(|c| Some((channel(c, &mut d)?, c)))
        .unzip();
    check_channels(&channels, &given, &mut d);
    let e = &raw.event;
    let quiet_s = quiet(e, &mut d);
    let level_after = choice(
        "event.zero_level",
        e.zero_level.as_ref(),
        &["before", "before-and-after"],
        &mut d,
    ) == 1;
    let time_zero = time_zero(e, &mut d);
    let sensor_m = [raw.sensor.ahead.as_ref(), raw.sensor.left.as_ref()]
        .map(|v| d.maybe("sensor", v, Dimension::Length).unwrap_or(0.0));
    let contact_end_s = d.positive("event.contact_end", e.contact_end.as_ref(), Dimension::Time);
    let length_s = d.positive("event.length", e.length.as_ref(), Dimension::Time);
    let filter = class("event.filter", e.filter.as_ref(), &mut d).unwrap_or(ChannelClass::Cfc180);
    let places = places(&raw, &d);
    let description = Description {
        described_in: file_name.to_owned(),
        title: raw.title,
        scenario: raw.scenario.into_inner(),
        file: raw.file.name.get_ref().clone(),
        separator: separator as u8,
        decimal,
        skip: raw.file.skip,
        time,
        rate_hz,
        fill_gaps_s,
        resample: raw.file.resample,
        channels,
        sensor_m,
        quiet_s,
        level_after,
        time_zero,
        contact_end_s,
        length_s,
        filter,
        places,
    };
    d.finish(Some(description))
}
