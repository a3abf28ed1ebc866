//! The kinds of installation conditions: which parts of the findings on site belong to each.
//!
//! A condition is present where its part differs from "as designed", also where it does no harm (grout far
//! below the bolt heads). To put it right is to set its part back.

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
    /// Bolt pattern turned from the design.
    Turned,
    /// Lower plate at another height than designed.
    PlateHeight,
    /// Soil, kerb or pocket wall behind the foot.
    Soil,
    /// A foundation that can move.
    Foundation,
}

impl ConditionKind {
    /// Every kind, in order.
    pub const ALL: [ConditionKind; 16] = [
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
        Self::Turned,
        Self::PlateHeight,
        Self::Soil,
        Self::Foundation,
    ];

    /// What it is, a noun without an article.
    pub fn title(self) -> &'static str {
        match self {
            Self::Grout => "grout at the bolt heads",
            Self::Stub => "anchor-bar stub in the slip plane",
            Self::Conduit => "conduit in the slip plane",
            Self::RoundWashers => "round washers missing or misplaced",
            Self::PlateWashers => "plate washers of another thickness",
            Self::Keeper => "keeper sheet missing or of another thickness",
            Self::Nut => "nut not fully engaged",
            Self::Torque => "torque other than designed",
            Self::Threads => "threads in another state than designed",
            Self::Lump => "zinc lump in a notch",
            Self::NotchOffset => "notches that do not match",
            Self::Rust => "rust in the joint",
            Self::Turned => "bolt pattern turned",
            Self::PlateHeight => "lower plate at another height",
            Self::Soil => "soil or wall behind the foot",
            Self::Foundation => "foundation that can move",
        }
    }

    /// What must be done to put it right, one imperative sentence.
    pub fn put_right(self) -> &'static str {
        match self {
            Self::Grout => "Chip the grout away from the bolt heads and around the lower notches.",
            Self::Stub => "Cut the anchor bars off below the top of the lower plate.",
            Self::Conduit => "Cut the conduit off below the top of the lower plate.",
            Self::RoundWashers => {
                "Put a round washer between the plates at every bolt, below the keeper."
            }
            Self::PlateWashers => "Replace the plate washers by those of the design.",
            Self::Keeper => "Fit the keeper sheet of the design between the plates.",
            Self::Nut => "Replace the bolts by ones long enough to fill their nuts.",
            Self::Torque => "Slacken the bolts and tighten them in stages to the design's torque.",
            Self::Threads => {
                "Replace the bolts and nuts by new ones in the state that the design's torque was set for."
            }
            Self::Lump => "File the notch walls smooth and repair the coating.",
            Self::NotchOffset => "Turn or replace a plate until the notches lie over each other.",
            Self::Rust => {
                "Take the joint apart, clean plates and washers, repair the coating and fit new bolts."
            }
            Self::Turned => "Turn the base so that the bolts point as designed.",
            Self::PlateHeight => {
                "Bring the top of the lower plate to the height of the design above the ground."
            }
            Self::Soil => "Remove soil or wall behind the foot until it can move and lift freely.",
            Self::Foundation => {
                "Replace the foundation by one that holds, or compact the soil around it."
            }
        }
    }

    /// Paths of the scenario file that set it: keys, sections and lists.
    pub fn paths(self) -> &'static [&'static str] {
        match self {
            Self::Grout => &["as_found.grout"],
            Self::Stub => &["as_found.stub"],
            Self::Conduit => &["as_found.conduit"],
            Self::RoundWashers => &["as_found.round_washers", "as_found.plate_friction"],
            Self::PlateWashers => &["as_found.plate_washer_thickness"],
            Self::Keeper => &["as_found.keeper", "as_found.keeper_thickness"],
            Self::Nut => &["as_found.engaged_threads"],
            Self::Torque => &["as_found.torques"],
            Self::Threads => &["as_found.threads"],
            Self::Lump => &["as_found.lump"],
            Self::NotchOffset => &["as_found.notch_offset"],
            Self::Rust => &["as_found.rust"],
            Self::Turned => &["as_found.turned"],
            Self::PlateHeight => &["as_found.slip_plane_height"],
            Self::Soil => &["as_found.soil"],
            Self::Foundation => &["as_found.foundation"],
        }
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
