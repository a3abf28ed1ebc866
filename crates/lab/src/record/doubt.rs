//! A unit, a sign, a range or a scenario that is wrong shows in the velocity.

use giveway_occupant::STANDARD_GRAVITY_MPS2;
use giveway_units::{Dimension, shown, unit_named};

use super::Reference;
use super::describe::{Channel, Description};
use super::table::RawTable;
use crate::fault::{Fault, Faults};

/// Rise of velocity that no noise explains, m/s.
const RISE_MPS: f64 = 0.3;
/// Largest velocity change over the speed of the impact that a test can give, with the rebound.
const LARGEST_CHANGE: f64 = 1.4;
/// A velocity change that differs from the computed one by more than this is doubted.
const DOUBTED: f64 = 3.0;
/// A unit stands in question where the numbers read in it come as near as this to the computed change.
const NEAR: f64 = 1.63;
/// Units nearer to each other than this are not told apart by the velocity change.
const UNITS_APART: f64 = 6.0;
/// Least computed velocity change that a record is held against, m/s.
const LEAST_COMPUTED_MPS: f64 = 0.2;

/// A cleaned channel along the vehicle.
pub(super) struct Along<'a> {
    pub d: &'a Description,
    pub table: &'a RawTable,
    pub channel: &'a Channel,
    /// Velocity change at each interval's end, m/s.
    pub change: &'a [f64],
    pub interval_s: f64,
    /// Speed of the impact, m/s.
    pub speed: f64,
    /// Mean acceleration in the last tenth of the file, m/s^2.
    pub tail_mps2: f64,
    /// From time zero to the end of the file, s.
    pub rest_s: f64,
}

impl Along<'_> {
    /// Whether the unit is in doubt; what a person should look at is told.
    ///
    /// # Errors
    /// A velocity that cannot be.
    pub fn plausible(
        &self,
        reference: Option<&Reference>,
        warnings: &mut Vec<String>,
    ) -> Result<bool, Faults> {
        let larger = |m: f64, v: &f64| if v.abs() > m.abs() { *v } else { m };
        let extreme = self.change.iter().fold(0.0_f64, larger);
        if extreme < -RISE_MPS {
            return Err(self.gains(-extreme).into());
        }
        if extreme > LARGEST_CHANGE * self.speed {
            return Err(self.loses_too_much(extreme).into());
        }
        let Some((said, of_unit)) = reference.and_then(|r| self.against(r)) else {
            return Ok(false);
        };
        warnings.push(said);
        Ok(of_unit)
    }

    fn fault(&self, message: String) -> Fault {
        self.table.fault(&self.channel.column, None, message)
    }

    /// SI over the unit of the channel.
    fn scale(&self) -> f64 {
        let (dimension, unit) = &self.channel.measure;
        unit_named(unit, *dimension).map_or(1.0, |u| u.to_si(1.0))
    }

    /// The velocity that a zero level adds by an instant which drifts evenly from nothing at touch to the mean of the last tenth,
    /// m/s; or which lies there from touch on.
    fn drifted(&self, time_s: f64, evenly: bool) -> f64 {
        let part = if evenly {
            0.5 * time_s / self.rest_s
        } else {
            1.0
        };
        self.tail_mps2 * part * time_s
    }

    fn tail_in_g(&self) -> String {
        shown(self.tail_mps2 / STANDARD_GRAVITY_MPS2, 2)
    }

    /// What a drift adds over the record, where it leaves no gain of velocity: evenly, or from touch on.
    fn drift_behind_the_gain(&self) -> Option<f64> {
        let time = |k: usize| (k + 1) as f64 * self.interval_s;
        let explains = |evenly: &bool| {
            let mut changes = self.change.iter().enumerate();
            changes.all(|(k, change)| change + self.drifted(time(k), *evenly) >= -RISE_MPS)
        };
        let evenly = [true, false].into_iter().find(explains)?;
        Some(self.drifted(time(self.change.len() - 1), evenly))
    }

    fn gains(&self, gain: f64) -> Fault {
        let turned = if self.channel.reversed {
            "sign = \"as-is\""
        } else {
            "sign = \"reversed\""
        };
        let line = self.d.line_of_sign(self.channel);
        let gains = format!(
            "by this channel the vehicle would gain {} m/s in the blow",
            shown(gain, 3)
        );
        let Some(drift) = self.drift_behind_the_gain() else {
            let hint = format!(
                "x points forward, so a blow at the front is negative; write {turned} {line}"
            );
            return self.fault(format!("{gains}: its sign is wrong")).hint(hint);
        };
        let message = format!(
            "{gains}: its zero level drifts (the last tenth of the record lies {} g off zero, and a drift to there adds {} m/s over the record), or its sign is wrong",
            self.tail_in_g(),
            shown(drift, 3)
        );
        self.fault(message).hint(format!(
            "x points forward, so a blow at the front is negative in its first milliseconds: where it is, write zero_level = \"before-and-after\" under [event]; where it is positive, {turned} {line}"
        ))
    }

    fn loses_too_much(&self, loss: f64) -> Fault {
        let message = format!(
            "by this channel the vehicle would lose {} m/s, and it came with {} m/s",
            shown(loss, 3),
            shown(self.speed, 3)
        );
        let line = self.d.line_of_unit(self.channel);
        let read = loss / STANDARD_GRAVITY_MPS2;
        let in_g = self.scale() == STANDARD_GRAVITY_MPS2;
        let hint = if in_g && read < LARGEST_CHANGE * self.speed {
            let lost = shown(read, 3);
            format!("is the unit m/s2? Then it lost {lost} m/s; the unit stands in {line}")
        } else {
            format!(
                "is the unit right ({line}), or the zero level? The last tenth of the record lies {} g off zero",
                self.tail_in_g()
            )
        };
        self.fault(message).hint(hint)
    }

    /// A doubt where the record is far from the computed run, and whether it is one of the unit.
    fn against(&self, reference: &Reference) -> Option<(String, bool)> {
        let length_s = self.change.len() as f64 * self.interval_s;
        let until = length_s.min(reference.change_mps.len() as f64 * reference.interval_s);
        let last = (until / self.interval_s).round() as usize;
        let measured = *self
            .change
            .get(last.min(self.change.len()).checked_sub(1)?)?;
        let computed = reference.at(until);
        let ratio = measured / computed;
        if computed <= LEAST_COMPUTED_MPS || (1.0 / DOUBTED..=DOUBTED).contains(&ratio) {
            return None;
        }
        let compared = if ratio > 1.0 {
            format!("about {} times more", shown(ratio, 3))
        } else if ratio > 0.0 {
            format!("about {} times less", shown(1.0 / ratio, 3))
        } else {
            format!("{} times that", shown(ratio, 2))
        };
        let unit = self.other_unit(ratio);
        let look = match unit {
            Some(unit) => format!(
                "is the unit {unit}? It stands in {}",
                self.d.line_of_unit(self.channel)
            ),
            None => self.what_to_look_at(ratio),
        };
        let said = format!(
            "{}: a velocity change of {} m/s where {} m/s is computed, {compared}: {look}",
            self.channel.column,
            shown(measured, 3),
            shown(computed, 3)
        );
        Some((said, unit.is_some()))
    }

    /// Another unit in which the numbers would give about the computed change.
    fn other_unit(&self, ratio: f64) -> Option<&'static str> {
        let apart = |a: f64, b: f64| libm::log(a / b).abs();
        let likely = |factor: f64| {
            apart(factor, self.scale()) > libm::log(UNITS_APART)
                && ratio > 0.0
                && apart(ratio * factor, self.scale()) < libm::log(NEAR)
        };
        let mut units = Dimension::Acceleration.units().iter();
        units.find(|u| likely(u.to_si(1.0))).map(|u| u.name)
    }

    fn what_to_look_at(&self, ratio: f64) -> String {
        // Nothing is measured in a larger unit than g.
        let unit = if ratio < 1.0 && self.scale() == STANDARD_GRAVITY_MPS2 {
            String::new()
        } else {
            format!("its unit ({}), ", self.d.line_of_unit(self.channel))
        };
        let end_s = self.change.len() as f64 * self.interval_s;
        format!(
            "look at {unit}its drift and zero level (the last tenth of the record lies {} g off zero; a drift to there makes {} m/s over the record), its sign, its range (full scale), and at speed and mass in {}",
            self.tail_in_g(),
            shown(self.drifted(end_s, true).abs(), 2),
            self.d.scenario
        )
    }
}
