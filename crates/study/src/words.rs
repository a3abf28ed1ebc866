//! Which flag words of a run belong to which installation condition.

use giveway_scenario::ConditionKind;

/// Words that the solver may raise because of a condition; each is defined in `docs/results.md`.
pub const fn flag_words(kind: ConditionKind) -> &'static [&'static str] {
    match kind {
        ConditionKind::Grout => &["binds", "marginal"],
        ConditionKind::Stub | ConditionKind::Conduit => &["snags", "marginal"],
        ConditionKind::RoundWashers => &["mates", "marginal"],
        ConditionKind::PlateWashers => &["dishes"],
        ConditionKind::Keeper => &["unkept", "tears"],
        ConditionKind::Nut => &["strips", "undertight"],
        ConditionKind::Torque | ConditionKind::Threads => &["overtight", "undertight", "yielded"],
        ConditionKind::Lump => &["keyed"],
        ConditionKind::NotchOffset => &["forced"],
        ConditionKind::Rust => &["seized"],
        ConditionKind::Turned => &["turned"],
        ConditionKind::PlateHeight => &["proud"],
        ConditionKind::Soil => &["blocked", "marginal"],
        ConditionKind::Foundation => &["shifts", "uproots"],
    }
}
