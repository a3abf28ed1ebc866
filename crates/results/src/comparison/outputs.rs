//! Which outputs of two summaries moved, and by how much.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::inputs::relative;
use super::tolerance::Tolerances;
use crate::json_tree::JsonTree;

/// Told beside the comparison and not counted: they name versions and say nothing of an impact.
const NOT_COUNTED: [&str; 3] = ["format", "model_version", "assumptions"];

/// A number that moved beyond the tolerances.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NumberChange {
    /// Path in the summary; the unit ends its name.
    pub path: String,
    /// Old value.
    pub old: f64,
    /// New value.
    pub new: f64,
    /// New minus old.
    pub absolute: f64,
    /// New minus old over the larger magnitude.
    pub relative: f64,
}

/// A text or flag that changed, or a value that only one side has.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WordChange {
    /// Path in the summary.
    pub path: String,
    /// Old value; null where there is none.
    pub old: Option<String>,
    /// New value; null where there is none.
    pub new: Option<String>,
}

/// What two summaries have in common and what not.
pub(super) struct Outputs {
    /// Numbers compared.
    pub compared: usize,
    /// Numbers that are equal to the last bit.
    pub equal: usize,
    /// Largest relative change first; residuals of books, which are rounding, last.
    pub numbers: Vec<NumberChange>,
    /// In the order of the file.
    pub words: Vec<WordChange>,
    /// Paths of all outputs.
    pub paths: Vec<String>,
}

/// Compares leaf by leaf.
pub(super) fn output_changes(old: &JsonTree, new: &JsonTree, tolerances: &Tolerances) -> Outputs {
    let (x, y) = (old.leaves(), new.leaves());
    let there: BTreeMap<&str, &JsonTree> = y.iter().map(|(p, v)| (p.as_str(), *v)).collect();
    let before: BTreeMap<&str, &JsonTree> = x.iter().map(|(p, v)| (p.as_str(), *v)).collect();
    let mut outputs = Outputs {
        compared: 0,
        equal: 0,
        numbers: Vec::new(),
        words: Vec::new(),
        paths: x.iter().map(|(p, _)| p.clone()).collect(),
    };
    let fresh = y
        .iter()
        .map(|(p, _)| p)
        .filter(|p| !before.contains_key(p.as_str()));
    outputs.paths.extend(fresh.cloned());
    for path in &outputs.paths {
        if NOT_COUNTED.contains(&path.as_str()) {
            continue;
        }
        let pair = (before.get(path.as_str()), there.get(path.as_str()));
        if let (Some(JsonTree::Number(a)), Some(JsonTree::Number(b))) = pair {
            outputs.compared += 1;
            outputs.equal += usize::from(a.to_bits() == b.to_bits());
            if !tolerances.same(path, *a, *b) {
                outputs.numbers.push(NumberChange {
                    path: path.clone(),
                    old: *a,
                    new: *b,
                    absolute: b - a,
                    relative: relative(*a, *b).unwrap_or(0.0),
                });
            }
            continue;
        }
        let nothing = |v: Option<&&JsonTree>| v.is_none_or(|v| **v == JsonTree::Null);
        // A value that is null here and not listed there is the same.
        if pair.0 == pair.1 || (nothing(pair.0) && nothing(pair.1)) {
            continue;
        }
        let text = |v: Option<&&JsonTree>| {
            v.filter(|v| ***v != JsonTree::Null).map(|v| match v {
                JsonTree::Text(text) => text.clone(),
                other => other.to_string(),
            })
        };
        outputs.words.push(WordChange {
            path: path.clone(),
            old: text(pair.0),
            new: text(pair.1),
        });
    }
    outputs.numbers.sort_by(|a, b| {
        let key = |c: &NumberChange| c.path.contains("residual");
        let by_size = b.relative.abs().total_cmp(&a.relative.abs());
        key(a).cmp(&key(b)).then(by_size)
    });
    outputs
}

#[cfg(test)]
mod tests {
    use super::super::tolerance::Width;
    use super::*;

    #[test]
    fn numbers_are_sorted_by_how_much_and_words_are_told() {
        let tree = |text: &str| JsonTree::read(text.as_bytes()).unwrap();
        let old = tree(
            r#"{"format": 1, "a_m": 1.0, "b_m": 2.0, "r": {"residual_j": 1e-9}, "w": "pass", "n": null, "list": [1, 2]}"#,
        );
        let new = tree(
            r#"{"format": 2, "a_m": 1.1, "b_m": 3.0, "r": {"residual_j": -1e-9}, "w": "fail", "list": [1], "x": 4}"#,
        );
        let found = output_changes(&old, &new, &Tolerances::default());
        let paths: Vec<&str> = found.numbers.iter().map(|c| c.path.as_str()).collect();
        assert_eq!(paths, ["b_m", "a_m", "r.residual_j"]);
        assert_eq!((found.compared, found.equal), (4, 1));
        assert_eq!(
            (found.numbers[0].absolute, found.numbers[0].relative),
            (1.0, 1.0 / 3.0)
        );
        let words: Vec<&str> = found.words.iter().map(|c| c.path.as_str()).collect();
        assert_eq!(words, ["w", "list[1]", "x"]);
        let mut wide = Tolerances::default();
        wide.allow("", Width::Relative(0.2));
        let found = output_changes(&old, &new, &wide);
        let paths: Vec<&str> = found.numbers.iter().map(|c| c.path.as_str()).collect();
        assert_eq!(paths, ["b_m", "r.residual_j"]);
    }
}
