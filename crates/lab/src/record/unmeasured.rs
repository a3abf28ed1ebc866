//! Numbers that rest on an acceleration which no channel measured.

use giveway_occupant::{Inputs, OccupantRisk, Outcome, SetVerdict, judge};
use giveway_scenario::model::Criteria;

use super::describe::{Channel, Measures};

const ACROSS: &str = "nothing was measured across the vehicle: no channel is acceleration-y";

/// Which accelerations were measured.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measured {
    across: bool,
    up: bool,
}

impl Measured {
    pub fn of(channels: &[Channel]) -> Self {
        let has = |axis| {
            let measures = Measures::Acceleration(axis);
            channels.iter().any(|c| c.measures == measures)
        };
        Self {
            across: has(1),
            up: has(2),
        }
    }

    /// Of the severity index, which is made of all three.
    fn lack_of_index(self) -> Option<&'static str> {
        match (self.across, self.up) {
            (true, true) => None,
            (false, true) => Some(ACROSS),
            (true, false) => Some("nothing was measured upward: no channel is acceleration-z"),
            (false, false) => Some(
                "nothing was measured across the vehicle and upward: no channel is acceleration-y or acceleration-z",
            ),
        }
    }

    /// The occupant numbers without those that rest on what was not measured, as far as they may be absent.
    pub fn only(self, risk: &OccupantRisk) -> OccupantRisk {
        let mut only = risk.clone();
        if self.lack_of_index().is_some() {
            (only.asi_50ms_mean, only.asi_13hz_filter) = (None, None);
        }
        if !self.across {
            only.flail.ridedown_lateral = None;
            (only.head.thiv_mps, only.head.thiv_kmph) = (None, None);
            (only.head.phd_10ms_mean, only.head.phd_10hz_filter) = (None, None);
        }
        only
    }

    /// The verdicts, in which a check without a measured quantity behind it is not evaluated. The index of fewer accelerations is
    /// too small: where it fails, it fails.
    pub fn verdicts(
        self,
        risk: &OccupantRisk,
        inputs: &Inputs,
        criteria: &Criteria,
    ) -> Vec<SetVerdict> {
        let fails = |v: &SetVerdict| {
            v.checks
                .iter()
                .any(|c| c.key == "asi" && c.outcome == Outcome::Fail)
        };
        let index_fails = judge(risk, inputs, criteria).iter().any(fails);
        let mut only = self.only(risk);
        if index_fails {
            (only.asi_50ms_mean, only.asi_13hz_filter) = (risk.asi_50ms_mean, risk.asi_13hz_filter);
        }
        if !self.across {
            // No number: nothing is graded.
            only.flail.oiv_lateral_mps = f64::NAN;
            only.head.thiv_mps = Some(f64::NAN);
        }
        let mut verdicts = judge(&only, inputs, criteria);
        for check in verdicts.iter_mut().flat_map(|v| &mut v.checks) {
            match (check.key.as_str(), self.lack_of_index()) {
                ("oiv_lateral_mps" | "ridedown_lateral_g" | "thiv_mps", _) if !self.across => {
                    check.remark = Some(ACROSS.to_owned());
                }
                ("asi", Some(lack)) if index_fails => {
                    check.remark = Some(format!("at least this much: {lack}"));
                }
                ("asi", Some(lack)) => check.remark = Some(lack.to_owned()),
                _ => {}
            }
        }
        verdicts
    }
}
