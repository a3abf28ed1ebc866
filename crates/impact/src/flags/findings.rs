//! The list that the findings are collected in.

use crate::outcome::Flag;

/// Collects the findings.
#[derive(Default)]
pub(super) struct Findings(pub Vec<Flag>);

impl Findings {
    pub fn add(&mut self, word: &'static str, sentence: String) {
        self.0.push(Flag { word, sentence });
    }
}
