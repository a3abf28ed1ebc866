//! One run of a study as a row: index, key and cells.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::json_tree::{number_text, shortened};
use crate::row_table::CellValues;

/// What a column holds. Each value may be absent in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CellKind {
    /// A number, 64-bit.
    Number,
    /// A whole number, 64-bit with sign.
    Count,
    /// A text.
    Text,
    /// Yes or no.
    Flag,
}

/// A value in a row; none where it does not exist.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// A finite number.
    Number(Option<f64>),
    /// A whole number.
    Count(Option<i64>),
    /// A text.
    Text(Option<String>),
    /// Yes or no.
    Flag(Option<bool>),
}

impl Cell {
    /// Whether two cells hold the same, numbers by their bits.
    pub fn same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Number(Some(a)), Self::Number(Some(b))) => a.to_bits() == b.to_bits(),
            (a, b) => a == b,
        }
    }

    /// The value as text; none where it does not exist.
    pub fn text(&self) -> Option<String> {
        match self {
            Self::Number(v) => v.map(number_text),
            Self::Count(v) => v.map(|v| v.to_string()),
            Self::Text(v) => v.as_deref().map(shortened),
            Self::Flag(v) => v.map(|v| v.to_string()),
        }
    }

    /// What it holds.
    pub fn kind(&self) -> CellKind {
        match self {
            Self::Number(_) => CellKind::Number,
            Self::Count(_) => CellKind::Count,
            Self::Text(_) => CellKind::Text,
            Self::Flag(_) => CellKind::Flag,
        }
    }
}

impl CellKind {
    /// A column without rows.
    pub(crate) fn empty(self) -> CellValues {
        self.absent(0)
    }

    /// A column in which nothing exists.
    pub(crate) fn absent(self, rows: usize) -> CellValues {
        match self {
            Self::Number => CellValues::Number(vec![None; rows]),
            Self::Count => CellValues::MaybeCount(vec![None; rows]),
            Self::Text => CellValues::MaybeText(vec![None; rows]),
            Self::Flag => CellValues::MaybeFlag(vec![None; rows]),
        }
    }
}

/// Names a run by what is computed: checksum of the resolved run and of the version of the model's arithmetic. Equal keys
/// give equal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RunKey([u8; 32]);

impl RunKey {
    /// Of a run with nothing left out, as text.
    pub fn of(resolved: &str, model_version: u32) -> Self {
        let mut hasher = blake3::Hasher::new();
        hasher.update(&model_version.to_le_bytes());
        hasher.update(resolved.as_bytes());
        RunKey(*hasher.finalize().as_bytes())
    }

    /// From its bytes.
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        RunKey(bytes)
    }

    /// Its bytes.
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    pub(crate) fn from_hex(text: &str) -> Option<Self> {
        blake3::Hash::from_hex(text)
            .ok()
            .map(|h| RunKey(*h.as_bytes()))
    }
}

impl fmt::Display for RunKey {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&blake3::Hash::from_bytes(self.0).to_hex())
    }
}

impl fmt::Debug for RunKey {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "RunKey({self})")
    }
}

/// One finished run. A run that failed is a row too, with its reason in a text column.
#[derive(Debug, Clone, PartialEq)]
pub struct StudyRow {
    /// Place in the plan, from 0.
    pub index: u64,
    /// Key.
    pub key: RunKey,
    /// Whether it gave no result.
    pub failed: bool,
    /// Values in the order of the card's columns.
    pub cells: Vec<Cell>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_depends_on_run_and_model_and_reads_back() {
        let key = RunKey::of("speed = 1", 7);
        assert_ne!(key, RunKey::of("speed = 1", 8));
        assert_ne!(key, RunKey::of("speed = 2", 7));
        assert_eq!(RunKey::from_hex(&key.to_string()), Some(key));
        assert_eq!(RunKey::from_hex("no key"), None);
    }
}
