//! Every value of a resolved scenario by its path, for whoever compares two.

use crate::diagnostic::{Diagnostic, Findings};
use crate::reading::resolve;
use crate::resolved::{each_value, value_text};
use crate::store::{Data, Store};
use crate::tree;

/// One value of a resolved scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct ResolvedValue {
    /// Path, for example `impact.speed`.
    pub path: String,
    /// As text with its unit, for example `50 km/h`.
    pub text: String,
    /// The number in SI, where it is one number.
    pub si: Option<f64>,
}

impl ResolvedValue {
    /// Whether two values are the same, whatever their units.
    pub fn same(&self, other: &Self) -> bool {
        match (self.si, other.si) {
            (Some(a), Some(b)) => a.to_bits() == b.to_bits(),
            _ => self.text == other.text,
        }
    }
}

/// Every value of a scenario file, nothing left to default, in the order of the grammar.
///
/// # Errors
/// Every problem of the file.
pub fn values(text: &str, file_name: &str) -> Result<Vec<ResolvedValue>, Vec<Diagnostic>> {
    let mut findings = Findings::new(file_name, text, &[]);
    let root = tree::read_file(text, &mut findings);
    let mut store = Store::default();
    let scenario = resolve(root, &[], &mut store, &mut findings);
    let (mut errors, warnings) = findings.finish();
    if scenario.is_none() {
        errors.extend(warnings);
        return Err(errors);
    }
    Ok(each_value(&store)
        .map(|(_, path, value)| ResolvedValue {
            path,
            text: value_text(value),
            si: match value.data {
                Data::Real(number) => Some(number),
                _ => None,
            },
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[support.pole]\nlength = \"9 m\"\nbase_diameter = \"170 mm\"\nwall = \"4 mm\"\n\
        material = \"steel-345\"\n[slip_base.clamp]\ntorque = \"150 N.m\"\n[vehicle]\nclass = \"small-car-1100\"\n\
        [impact]\nspeed = \"36 km/h\"\n";

    #[test]
    fn values_are_compared_whatever_their_unit() {
        let a = values(TEXT, "a").unwrap();
        let b = values(
            &TEXT.replace("36 km/h", "10 m/s").replace("9 m", "8 m"),
            "b",
        )
        .unwrap();
        assert_eq!(a.len(), b.len());
        let moved: Vec<&str> = (a.iter().zip(&b))
            .filter(|(a, b)| !a.same(b))
            .map(|(a, _)| a.path.as_str())
            .collect();
        assert!(moved.contains(&"support.pole.length"), "{moved:?}");
        assert!(!moved.contains(&"impact.speed"), "{moved:?}");
        let speed = b.iter().find(|v| v.path == "impact.speed").unwrap();
        assert_eq!((speed.text.as_str(), speed.si), ("10 m/s", Some(10.0)));
        assert!(values("speed = 1", "c").is_err());
    }
}
