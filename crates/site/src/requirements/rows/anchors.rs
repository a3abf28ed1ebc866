//! What carries the lower plate, and the wire that must part. Neither has a computed effect on the impact.

use super::make::*;

pub(super) const ANCHOR_BARS: Requirement = Requirement {
    item: item(
        "anchor_bars",
        "whether an anchor bar was bent, hot or cold, to meet its hole",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets("straight", "straight as poured"),
        fails("bent", "bent to meet the hole", None),
    ]),
    title: "anchor bars straight",
    weight: Weight::Important,
    put_right: "Have the designer judge the bent bar; a bar that was bent is replaced, never bent back.",
    ..ROW
};

pub(super) const ANCHOR_NUTS: Requirement = Requirement {
    item: item(
        "anchor_nuts",
        "whether the nuts of the anchor bars are tight: a levelling nut below, a top nut above, hardened flat washers",
        Tool::TorqueWrench,
        Measure::None,
        None,
    )
    .or(&[
        meets("tight", "both nuts on every bar, wrench tight"),
        fails("loose", "a nut turns, or is not there", None),
    ]),
    title: "anchor nuts tight",
    weight: Weight::Important,
    put_right: "Tighten the top nuts against the levelling nuts, the pole plumb.",
    ..ROW
};

pub(super) const BARS_PRIMED: Requirement = Requirement {
    item: item(
        "bars_primed",
        "whether sawn ends of anchor bars are painted with zinc-rich primer",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets("not-sawn", "nothing was sawn"),
        meets("primed", "sawn and painted"),
        fails("bare", "sawn and bare", None),
    ]),
    title: "sawn bars primed",
    weight: Weight::Minor,
    put_right: "Clean the sawn ends and paint them with zinc-rich primer.",
    ..ROW
};

pub(super) const WIRING_DISCONNECT: Requirement = Requirement {
    item: item(
        "wiring_disconnect",
        "whether the wiring parts by itself when the pole goes",
        Tool::Eye,
        Measure::None,
        None,
    )
    .or(&[
        meets(
            "fitted",
            "a disconnect that parts under pull sits above the slip plane",
        ),
        meets("no-wiring", "no wire passes the slip plane"),
        fails("missing", "wires pass without a disconnect", None),
    ]),
    title: "wiring parts when the pole goes",
    weight: Weight::Important,
    put_right: "Switch off, and have an electrician fit a disconnect that parts under pull, with its fuse on the fixed side.",
    ..ROW
};
