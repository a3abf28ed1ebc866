//! Seen: "drift: halves of the quiet part 0.0364 m/s, noise 0.0277 m/s over the record; mean of the last tenth 0.142 m/s^2", of which
//! nobody knew what it is of and whether it is much. Expected: what it is of, and beside what it is small or not.

use super::{change_cells, laboratory, only_along};

#[test]
fn what_the_zero_level_leaves_open_is_said_with_its_weight() {
    let place = laboratory("zero_level");
    only_along(&place);
    let said = place.done(&["record", "record.toml"]);
    for part in [
        "zero level: its two halves before the blow differ by what would be 0.036 m/s over the record, noise alone makes 0.028 m/s: small beside the velocity change of 1.5",
        "end of the record: mean acceleration of its last tenth 0.14 m/s^2, near zero, as of a vehicle that rolls on",
    ] {
        assert!(said.contains(part), "{said}");
    }
    change_cells(&place, |[t, along, ..]| *along -= 5.0 * *t);
    let said = place.done(&["record", "record.toml"]);
    for part in [
        ": not small beside the velocity change of ",
        ", not near zero\n",
    ] {
        assert!(said.contains(part), "{said}");
    }
}
