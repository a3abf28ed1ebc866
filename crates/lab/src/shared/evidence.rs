//! The file of the evidence.

use std::collections::BTreeMap;

use giveway_scenario::{clipped, place_of};
use giveway_study::shared::Acts;
use serde::Deserialize;

use crate::fault::{Described, Faults};

/// What is in print, and what is shared.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// Title.
    pub title: String,
    /// Date at which rows and priors were written down.
    pub chosen: String,
    /// Root of the random numbers.
    pub seed: u64,
    /// Draws of the posterior, an even number.
    pub draws: usize,
    /// What is not fitted.
    pub nut_factor: NutFactor,
    /// What is shared.
    pub parameter: Vec<Parameter>,
    /// Rows, those of one case side by side.
    pub row: Vec<Row>,
}

/// Scatter of the clamp at a given torque.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NutFactor {
    /// Standard deviation of the logarithm.
    pub spread: f64,
    /// Why.
    pub why: String,
}

/// A shared parameter with its log-normal prior.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Parameter {
    /// Name.
    pub name: String,
    /// What it moves.
    pub acts: Acts,
    /// Median.
    pub median: f64,
    /// Standard deviation of the logarithm.
    pub spread: f64,
    /// What runs have at present.
    pub present: f64,
    /// Why.
    pub why: String,
}

/// One published outcome.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Name.
    pub id: String,
    /// Its case.
    pub case: String,
    /// Scenario file without its ending.
    pub scenario: String,
    /// Changes of it.
    #[serde(default)]
    pub set: BTreeMap<String, String>,
    /// The run with which it is compared.
    pub against: Option<Against>,
    /// What of the run.
    pub quantity: String,
    /// Parameter of the struck face; none for a rigid nose.
    pub front: Option<String>,
    /// Parameter of the model error of its kind of quantity.
    pub error: String,
    /// Whether the preload was measured.
    #[serde(default)]
    pub preload_known: bool,
    /// What is in print.
    pub says: Says,
    /// Whether it counts.
    #[serde(default = "yes")]
    pub counted: bool,
    /// Why.
    pub why: String,
}

/// Another run.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Against {
    /// Scenario file without its ending.
    pub scenario: String,
    /// Changes of it.
    #[serde(default)]
    pub set: BTreeMap<String, String>,
}

fn yes() -> bool {
    true
}

/// What is in print, with the standard deviation of its logarithm as it can be read.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(from = "RawSays")]
pub enum Says {
    /// A number.
    Value {
        /// The number.
        value: f64,
        /// Standard deviation of its logarithm.
        reading: f64,
    },
    /// No more than this.
    Most {
        /// The bound.
        most: f64,
        /// Standard deviation of its logarithm.
        reading: f64,
    },
    /// This multiple of the other run.
    Ratio {
        /// The ratio.
        ratio: f64,
        /// Standard deviation of its logarithm.
        reading: f64,
    },
    /// More than this multiple of the other run.
    Above {
        /// The multiple.
        above: f64,
        /// Standard deviation of its logarithm.
        reading: f64,
    },
    /// In three tests one that releases below this, one that releases above, one that holds.
    Outcomes {
        /// The limit.
        outcomes: f64,
        /// Standard deviation of its logarithm.
        reading: f64,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSays {
    value: Option<f64>,
    most: Option<f64>,
    ratio: Option<f64>,
    above: Option<f64>,
    outcomes: Option<f64>,
    reading: f64,
}

impl From<RawSays> for Says {
    /// Not a number where it is not exactly one of them: the check of the rows refuses that.
    fn from(raw: RawSays) -> Self {
        let reading = raw.reading;
        match (raw.value, raw.most, raw.ratio, raw.above, raw.outcomes) {
            (Some(value), None, None, None, None) => Self::Value { value, reading },
            (None, Some(most), None, None, None) => Self::Most { most, reading },
            (None, None, Some(ratio), None, None) => Self::Ratio { ratio, reading },
            (None, None, None, Some(above), None) => Self::Above { above, reading },
            (None, None, None, None, Some(outcomes)) => Self::Outcomes { outcomes, reading },
            _ => Self::Value {
                value: f64::NAN,
                reading,
            },
        }
    }
}

impl Says {
    /// The measured number, where there is one.
    pub fn number(&self) -> Option<f64> {
        match *self {
            Self::Value { value: x, .. } | Self::Ratio { ratio: x, .. } => Some(x),
            _ => None,
        }
    }

    /// Standard deviation of the logarithm.
    pub fn reading(&self) -> f64 {
        match *self {
            Self::Value { reading, .. }
            | Self::Most { reading, .. }
            | Self::Ratio { reading, .. }
            | Self::Above { reading, .. }
            | Self::Outcomes { reading, .. } => reading,
        }
    }

    /// For people.
    pub fn in_words(&self) -> String {
        match self {
            Self::Value { value, .. } => format!("{value}"),
            Self::Most { most, .. } => format!("at most {most}"),
            Self::Ratio { ratio, .. } => format!("{ratio} of the other run"),
            Self::Above { above, .. } => format!("above {above} of the other run"),
            Self::Outcomes { outcomes, .. } => {
                format!("some below {outcomes}, some above, some stopped")
            }
        }
    }
}

impl Evidence {
    /// The parameters at coordinates that are standard normal under the prior.
    pub fn values(&self, z: &[f64]) -> Vec<f64> {
        self.parameter
            .iter()
            .zip(z)
            .map(|(p, z)| p.median * libm::exp(p.spread * z))
            .collect()
    }
}

/// Reads the file.
///
/// # Errors
/// Everything that is wrong with it, with its place.
pub fn read_evidence(file: &str, text: &str) -> Result<Evidence, Faults> {
    let mut d = Described::new(file, text);
    let evidence: Evidence = d.sections()?;
    // Places are those of the text, also where something stands in: what is told of a line is told once.
    check_parameters(&evidence, &mut d);
    for i in 0..evidence.row.len() {
        check_row(&evidence, i, &mut d);
    }
    d.finish(Some(evidence))
}

fn above(x: f64) -> bool {
    x.is_finite() && x > 0.0
}

fn check_parameters(evidence: &Evidence, d: &mut Described<'_>) {
    for (i, p) in (1..).zip(&evidence.parameter) {
        let mut positive = |key: &str, fits: bool, wanted: &str| {
            if fits {
                return;
            }
            let at = place_of(d.text, &format!("parameter[{i}].{key}"));
            if !d.told_at(at) {
                d.fault_at(at, &p.name, format!("`{key}` is a number {wanted}"));
            }
        };
        positive("median", above(p.median), "above 0");
        positive("present", above(p.present), "above 0");
        positive(
            "spread",
            p.spread >= 0.0 && p.spread.is_finite(),
            "from 0 on",
        );
    }
    let acting = |acts: Acts| {
        evidence
            .parameter
            .iter()
            .filter(move |p| p.acts == acts)
            .count()
    };
    for acts in [Acts::Friction, Acts::FrictionSpread, Acts::PlateLever] {
        if acting(acts) != 1 {
            let message = format!("{} parameters act as {acts:?}, and one must", acting(acts));
            d.fault_at(0, "parameter", message);
        }
    }
    if acting(Acts::StaticRatio) > 1 {
        d.fault_at(0, "parameter", "two parameters act as StaticRatio");
    }
}

fn check_row(evidence: &Evidence, i: usize, d: &mut Described<'_>) {
    let row = &evidence.row[i];
    let mut wrong = |key: &str, message: String| {
        let at = place_of(d.text, &format!("row[{}].{key}", i + 1));
        if !d.told_at(at) {
            d.fault_at(at, &row.id, message);
        }
    };
    if evidence.row[..i].iter().any(|r| r.id == row.id) {
        wrong("id", "another row has this name".to_owned());
    }
    let before = evidence.row[..i].iter().rposition(|r| r.case == row.case);
    if before.is_some_and(|b| b + 1 != i) {
        let message = format!("the rows of `{}` stand side by side", clipped(&row.case));
        wrong("case", message);
    }
    let (Says::Value { value: x, .. }
    | Says::Most { most: x, .. }
    | Says::Ratio { ratio: x, .. }
    | Says::Above { above: x, .. }
    | Says::Outcomes { outcomes: x, .. }) = row.says;
    if !above(x) || !above(row.says.reading()) {
        let message = "a row says one of `value`, `most`, `ratio`, `above` and `outcomes`, with its `reading`, both above 0";
        wrong("says", message.to_owned());
    }
    let pair = matches!(row.says, Says::Ratio { .. } | Says::Above { .. });
    if pair != row.against.is_some() {
        wrong(
            "against",
            "`against` goes with a ratio or an order".to_owned(),
        );
    }
    let known = |name: &str, acts: Acts| {
        let fits = |p: &Parameter| p.name == name && p.acts == acts;
        evidence.parameter.iter().any(fits)
    };
    if !row.front.as_ref().is_none_or(|f| known(f, Acts::Front)) {
        wrong("front", "no parameter of that front".to_owned());
    }
    if !known(&row.error, Acts::ModelError) {
        wrong("error", "no parameter of that model error".to_owned());
    }
}
