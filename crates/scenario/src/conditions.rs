//! The kinds of installation conditions: which parts of the findings on site belong to each.
//!
//! A condition is present where its part differs from "as designed", also where it does no harm (grout far
//! below the bolt heads). To put it right is to set its part back.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::model::AsFound;

/// One kind of condition, in the order in which reports list them.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum ConditionKind {
    /// Grout at the bolt heads under the lower plate.
    Grout,
    /// Ends of anchor bars in the slip plane.
    Stub,
    /// Conduit in the slip plane.
    Conduit,
    /// Round washers left out or on the wrong side of the keeper.
    RoundWashers,
    /// Plate washers of another thickness.
    PlateWashers,
    /// Keeper sheet missing or of another thickness.
    Keeper,
    /// Nut not fully on its bolt.
    Nut,
    /// Tightening torque other than designed.
    Torque,
    /// State of the threads other than designed.
    Threads,
    /// Zinc lump or burr in a notch.
    Lump,
    /// Notches of the two plates that do not match.
    NotchOffset,
    /// Rust between the parts of the joint.
    Rust,
    /// Ice between the plates.
    Ice,
    /// Bolt pattern turned from the design.
    Turned,
    /// Lower plate at another height than designed.
    PlateHeight,
    /// Soil, kerb or pocket wall behind the foot.
    Soil,
    /// A foundation that can move.
    Foundation,
}

/// What is said of a kind of condition, in one place.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// What it is, a noun without an article.
    pub title: &'static str,
    /// What must be done to put it right, one imperative sentence.
    pub put_right: &'static str,
    /// Paths of the scenario file that set it: keys, sections and lists.
    #[serde(borrow)]
    pub paths: Vec<&'static str>,
    /// Flag words that a run may raise because of it; each is defined in `docs/results.md`.
    #[serde(borrow)]
    pub words: Vec<&'static str>,
    /// A bad case of it as a scenario file says it.
    pub example: &'static str,
}

impl ConditionKind {
    /// Every kind, in order.
    pub const ALL: [ConditionKind; 17] = [
        Self::Grout,
        Self::Stub,
        Self::Conduit,
        Self::RoundWashers,
        Self::PlateWashers,
        Self::Keeper,
        Self::Nut,
        Self::Torque,
        Self::Threads,
        Self::Lump,
        Self::NotchOffset,
        Self::Rust,
        Self::Ice,
        Self::Turned,
        Self::PlateHeight,
        Self::Soil,
        Self::Foundation,
    ];

    /// All that is said of it.
    pub fn record(self) -> &'static Condition {
        static RECORDS: LazyLock<BTreeMap<ConditionKind, Condition>> = LazyLock::new(|| {
            toml::from_str(include_str!("conditions.toml")).expect("what is built in reads")
        });
        &RECORDS[&self]
    }

    /// What it is, a noun without an article.
    pub fn title(self) -> &'static str {
        self.record().title
    }

    /// What must be done to put it right, one imperative sentence.
    pub fn put_right(self) -> &'static str {
        self.record().put_right
    }

    /// Paths of the scenario file that set it: keys, sections and lists.
    pub fn paths(self) -> &'static [&'static str] {
        &self.record().paths
    }
}

impl AsFound {
    /// Kinds whose part differs from "as designed", in order; a part that does no harm counts too.
    pub fn present(&self) -> Vec<ConditionKind> {
        let designed = AsFound::default();
        ConditionKind::ALL
            .into_iter()
            .filter(|&kind| self.only(kind) != designed)
            .collect()
    }

    /// The findings with one kind put right.
    pub fn without(&self, kind: ConditionKind) -> AsFound {
        let mut rest = self.clone();
        rest.take_part(kind, &AsFound::default());
        rest
    }

    /// One kind alone, everything else as designed.
    pub fn only(&self, kind: ConditionKind) -> AsFound {
        let mut alone = AsFound::default();
        alone.take_part(kind, self);
        alone
    }

    /// Takes over the part of one kind.
    fn take_part(&mut self, kind: ConditionKind, from: &AsFound) {
        match kind {
            ConditionKind::Grout => self.grout.clone_from(&from.grout),
            ConditionKind::Stub => self.stubs.clone_from(&from.stubs),
            ConditionKind::Conduit => self.conduit.clone_from(&from.conduit),
            ConditionKind::RoundWashers => self.round_washers = from.round_washers,
            ConditionKind::PlateWashers => self.plate_washer_m = from.plate_washer_m,
            ConditionKind::Keeper => self.keeper = from.keeper,
            ConditionKind::Nut => self.engaged_threads = from.engaged_threads,
            ConditionKind::Torque => self.torques_nm.clone_from(&from.torques_nm),
            ConditionKind::Threads => self.threads = from.threads,
            ConditionKind::Lump => self.lump.clone_from(&from.lump),
            ConditionKind::NotchOffset => self.notch_offset_m = from.notch_offset_m,
            ConditionKind::Rust => self.rust = from.rust,
            ConditionKind::Ice => self.ice = from.ice,
            ConditionKind::Turned => self.turned_rad = from.turned_rad,
            ConditionKind::PlateHeight => self.slip_plane_height_m = from.slip_plane_height_m,
            ConditionKind::Soil => self.soil.clone_from(&from.soil),
            ConditionKind::Foundation => self.foundation.clone_from(&from.foundation),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{KeeperFound, RoundWashers, Rust, Threads};

    #[test]
    fn nothing_is_present_as_designed() {
        assert_eq!(AsFound::default().present(), []);
        for kind in ConditionKind::ALL {
            assert_eq!(AsFound::default().without(kind), AsFound::default());
            assert_eq!(AsFound::default().only(kind), AsFound::default());
        }
    }

    #[test]
    fn kinds_are_taken_apart_and_put_together() {
        let found = AsFound {
            round_washers: RoundWashers::Missing {
                plate_friction: 0.33,
            },
            keeper: KeeperFound::Missing,
            threads: Threads::Dry,
            rust: Rust::Light,
            torques_nm: vec![200.0],
            ..AsFound::default()
        };
        let kinds = found.present();
        assert_eq!(
            kinds,
            [
                ConditionKind::RoundWashers,
                ConditionKind::Keeper,
                ConditionKind::Torque,
                ConditionKind::Threads,
                ConditionKind::Rust
            ]
        );
        let mut rest = found.clone();
        for &kind in &kinds {
            assert_eq!(found.only(kind).present(), [kind]);
            assert!(!found.without(kind).present().contains(&kind));
            assert_eq!(found.without(kind).present().len(), kinds.len() - 1);
            rest = rest.without(kind);
        }
        assert_eq!(rest, AsFound::default());
    }

    #[test]
    fn the_order_is_that_of_the_list_and_names_are_one_word() {
        assert!(ConditionKind::ALL.windows(2).all(|k| k[0] < k[1]));
        for kind in ConditionKind::ALL {
            let name = serde_json::to_string(&kind).unwrap();
            assert_eq!(serde_json::from_str::<ConditionKind>(&name).unwrap(), kind);
            assert!(kind.put_right().ends_with('.') && !kind.paths().is_empty());
            assert!(!kind.title().is_empty());
        }
        assert_eq!(
            serde_json::to_string(&ConditionKind::NotchOffset).unwrap(),
            "\"notch-offset\""
        );
    }
}
