//! The file of the evidence.

use std::collections::BTreeMap;

use giveway_study::shared::Acts;
use serde::Deserialize;

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
#[serde(untagged, deny_unknown_fields)]
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
/// What is wrong with it, in words.
pub fn read_evidence(text: &str) -> Result<Evidence, String> {
    let evidence: Evidence = toml::from_str(text).map_err(|e| e.to_string())?;
    let above = |x: f64| x.is_finite() && x > 0.0;
    for p in &evidence.parameter {
        if !(above(p.median) && above(p.present) && p.spread.is_finite() && p.spread >= 0.0) {
            return Err(format!(
                "parameter `{}`: median and present lie above 0, the spread not below",
                p.name
            ));
        }
    }
    for acts in [Acts::Friction, Acts::FrictionSpread, Acts::PlateLever] {
        if evidence.parameter.iter().filter(|p| p.acts == acts).count() != 1 {
            return Err(format!("one parameter acts as {acts:?}"));
        }
    }
    if evidence
        .parameter
        .iter()
        .filter(|p| p.acts == Acts::StaticRatio)
        .count()
        > 1
    {
        return Err("two parameters act as StaticRatio".to_owned());
    }
    let mut ids: Vec<&str> = Vec::new();
    for (i, row) in evidence.row.iter().enumerate() {
        let id = &row.id;
        if ids.contains(&id.as_str()) {
            return Err(format!("row `{id}` stands twice"));
        }
        ids.push(id);
        let before = evidence.row[..i].iter().rposition(|r| r.case == row.case);
        if before.is_some_and(|b| b + 1 != i) {
            return Err(format!(
                "row `{id}`: the rows of `{}` stand side by side",
                row.case
            ));
        }
        let (Says::Value { value: x, .. }
        | Says::Most { most: x, .. }
        | Says::Ratio { ratio: x, .. }
        | Says::Above { above: x, .. }
        | Says::Outcomes { outcomes: x, .. }) = row.says;
        if !above(x) || !above(row.says.reading()) {
            return Err(format!("row `{id}`: number and reading lie above 0"));
        }
        let pair = matches!(row.says, Says::Ratio { .. } | Says::Above { .. });
        if pair != row.against.is_some() {
            return Err(format!(
                "row `{id}`: `against` goes with a ratio or an order"
            ));
        }
        let known = |name: &str, acts: Acts| {
            let fits = |p: &Parameter| p.name == name && p.acts == acts;
            evidence.parameter.iter().any(fits)
        };
        if !row.front.as_ref().is_none_or(|f| known(f, Acts::Front)) {
            return Err(format!("row `{id}`: no parameter of that front"));
        }
        if !known(&row.error, Acts::ModelError) {
            return Err(format!("row `{id}`: no parameter of that model error"));
        }
    }
    Ok(evidence)
}
