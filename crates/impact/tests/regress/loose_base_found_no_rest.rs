//! Seen: a base whose bolts have no clamp, on plates that give (2 to 2.8 times the default) and with less friction than usual, was
//! refused: "no equilibrium found". The descent ended in a corner between sticking and sliding.
//! Expected: it stands, and the impact is computed.

use giveway_impact::{Prepared, RecordRequest};

use super::cases::scenario;
use super::open;

#[test]
fn bolts_without_clamp_stand_in_their_notches() {
    for (factor, give) in [(0.25, "2"), (0.25, "2.8"), (0.5, "2.8"), (0.7, "2.8")] {
        let friction = |value: f64| (factor * value).to_string();
        let [outer, inner, wall] = [0.2, 0.18, 0.15].map(friction);
        let s = scenario(
            "../../scenarios/published/v8_side_normal.toml",
            &[
                ("as_found.torques", "0 N.m"),
                ("slip_base.plates.give", give),
                ("slip_base.friction.outer", &outer),
                ("slip_base.friction.inner", &inner),
                ("slip_base.friction.wall", &wall),
            ],
            false,
        );
        let p = Prepared::new(&s).unwrap_or_else(|e| panic!("{factor} {give}: {e}"));
        let e = p.engage(RecordRequest::NUMBERS).expect("it runs");
        assert!(open(&e) < 1e-3, "{factor} {give}: {:e}", open(&e));
        assert!(e.release_time_s.is_some(), "{factor} {give}");
    }
}
