//! The velocity change against the tightening torque: it rises, and has no jump that is not a release turning into a hold.

use giveway_impact::{Prepared, RecordRequest, SupportSolution};
use giveway_scenario::read;

/// Velocity change and whether the base let go, for torques in steps of 1 N.m.
fn sweep(file: &str, from: usize, to: usize) -> Vec<(usize, f64, bool)> {
    let path = format!("../../scenarios/{file}.toml");
    let text = std::fs::read_to_string(&path).expect("a shipped scenario");
    let mut solution = None;
    (from..=to)
        .map(|torque| {
            let change = ("slip_base.clamp.torque".to_owned(), format!("{torque} N.m"));
            let scenario = read(&text, &path, &[change])
                .expect("a sound scenario")
                .scenario;
            let solution = solution
                .get_or_insert_with(|| SupportSolution::solve(&scenario).expect("a support"));
            let prepared = Prepared::with_support(&scenario, solution.clone()).expect("ready");
            let e = prepared.engage(RecordRequest::NUMBERS).expect("it runs");
            let change = e
                .velocity_change_at_contact_end_mps
                .unwrap_or(e.velocity_change_at_end_mps);
            (torque, change, e.release_time_s.is_some())
        })
        .collect()
}

#[test]
fn no_jump_that_is_not_a_release_turning_into_a_hold() {
    for file in ["first", "heavy_15m_long_arm", "pickup_slow", "side_impact"] {
        let runs = sweep(file, 20, 400);
        let mut jumps = Vec::new();
        for pair in runs.windows(2) {
            let [(torque, a, went), (_, b, goes)] = pair else {
                unreachable!()
            };
            if went == goes && (b - a).abs() > 0.04 {
                jumps.push(format!("{file}: {torque} N.m: {a:.3} to {b:.3} m/s"));
            }
        }
        assert!(jumps.is_empty(), "{}", jumps.join("\n"));
        let (first, last) = (runs[0].1, runs[runs.len() - 1].1);
        assert!(last > 1.1 * first, "{file}: {first} to {last} m/s");
    }
}
