//! From a table to a clean record at the centre of mass, judged.

use giveway_impact::RecordRequest;
use giveway_occupant::en12767::ClassSpeed;
use giveway_occupant::filter::{Edge, LowPass};
use giveway_occupant::{
    CAUTION, Inputs, Motion, OccupantError, OccupantRisk, STANDARD_GRAVITY_MPS2, SetVerdict, assess,
};
use giveway_scenario::model::Scenario;
use giveway_study::{StudyError, Supports};

use super::describe::{Channel, Description, Measures, ZeroMethod};
use super::doubt::Along;
use super::table::RawTable;
use super::unmeasured::Measured;
use super::{ChannelFacts, Drift, MeasuredVelocity, RECORD_FORMAT, RecordSummary, TimeZero};
use crate::fault::{Fault, Faults, MOST};
use crate::statistics::{deviation, mean, quantile};

/// Usual threshold of time zero, m/s^2: half a g.
const THRESHOLD_MPS2: f64 = 0.5 * STANDARD_GRAVITY_MPS2;
/// How long the threshold must stay passed, s.
const STAYS_S: f64 = 0.5e-3;
/// Left out between the quiet part and touch, s: what the filter smears.
const BEFORE_TOUCH_S: f64 = 5e-3;
/// Shortest quiet part, s.
const SHORTEST_QUIET_S: f64 = 2e-3;
/// Range of the search for the best alignment, s.
const ALIGNMENT_S: f64 = 0.02;
/// Steps of the clock that count as even, over the usual step.
const UNEVEN: f64 = 0.05;
/// Shortest record of a test, s, and the rates it is sampled at, Hz.
const SHORTEST_RECORD_S: f64 = 0.02;
const RATES_HZ: [f64; 2] = [100.0, 1e6];
/// Units of a clock, s.
const CLOCK_UNITS: [(&str, f64); 3] = [("s", 1.0), ("ms", 1e-3), ("us", 1e-6)];

/// What the computed run of the same scenario says, to hold the record against.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Velocity change along x at the ends of intervals of this length, m/s.
    pub interval_s: f64,
    /// Its values.
    pub change_mps: Vec<f64>,
    /// Mean acceleration of the centre of mass over each interval, vehicle axes, m/s^2.
    pub acceleration_mps2: Vec<[f64; 3]>,
}

impl Reference {
    /// Of the engagement of a scenario, the vehicle rolling on alone behind it.
    ///
    /// # Errors
    /// What could not be computed.
    pub fn of(scenario: &Scenario, seconds: f64) -> Result<Self, StudyError> {
        let mut alone = scenario.clone();
        alone.flight.pole = false;
        alone.solver.record_limit_s = seconds;
        let prepared = Supports::new().prepare(&alone)?;
        let request = RecordRequest {
            trace: false,
            rollout: true,
        };
        let record = prepared.engage(request)?.record;
        Ok(Self {
            interval_s: record.interval_s,
            change_mps: velocity_change(&record.acceleration_mps2, record.interval_s),
            acceleration_mps2: record.acceleration_mps2,
        })
    }

    /// Velocity change at an instant after first touch, m/s.
    pub fn at(&self, time_s: f64) -> f64 {
        if time_s <= 0.0 {
            return 0.0;
        }
        let place = time_s / self.interval_s - 1.0;
        let value = |i: i64| match usize::try_from(i) {
            Ok(i) => self.change_mps.get(i).or(self.change_mps.last()).copied(),
            Err(_) => Some(0.0),
        };
        let low = place.floor();
        let [a, b] = [low as i64, low as i64 + 1].map(|i| value(i).unwrap_or(0.0));
        a + (place - low) * (b - a)
    }
}

/// Minus the integral of the acceleration along x, at each interval's end.
pub(crate) fn velocity_change(acceleration_mps2: &[[f64; 3]], interval_s: f64) -> Vec<f64> {
    let mut change = 0.0;
    acceleration_mps2
        .iter()
        .map(|a| {
            change -= a[0] * interval_s;
            change
        })
        .collect()
}

/// A clean record: the vehicle's motion from time zero, one row an interval, and further histories at the same instants.
#[derive(Debug, Clone, PartialEq)]
pub struct CleanRecord {
    /// Everything in numbers and words.
    pub summary: RecordSummary,
    /// Mean acceleration of the centre of mass over each interval, vehicle axes, m/s^2.
    pub acceleration_mps2: Vec<[f64; 3]>,
    /// Yaw rate at the middle of each interval, rad/s; zero where it was not measured.
    pub yaw_rate_radps: Vec<f64>,
    /// Whether it was measured.
    pub yaw_measured: bool,
    /// Velocity change along x at each interval's end, m/s.
    pub velocity_change_mps: Vec<f64>,
    /// Way of the centre of mass at each interval's end, m.
    pub way_m: Vec<f64>,
    /// Further histories at each interval's end: column and values.
    pub others: Vec<(String, Vec<f64>)>,
}

/// A channel on the even clock.
struct Signal<'a> {
    channel: &'a Channel,
    /// As read, SI, sign turned.
    raw: Vec<f64>,
    /// Filtered and levelled.
    clean: Vec<f64>,
    level: f64,
    noise: f64,
    clipped: usize,
}

struct Clock {
    start_s: f64,
    interval_s: f64,
    samples: usize,
}

impl Clock {
    fn time(&self, i: usize) -> f64 {
        self.start_s + i as f64 * self.interval_s
    }

    /// The first sample at or behind a time.
    fn sample(&self, time_s: f64) -> usize {
        let place = ((time_s - self.start_s) / self.interval_s - 1e-9).ceil();
        (place.max(0.0) as usize).min(self.samples)
    }
}

/// Cleans and judges a record. `reference` is the computed run of the same scenario, where there is one.
///
/// # Errors
/// Every problem of the table, with line and channel.
pub fn clean(
    d: &Description,
    table: &RawTable,
    scenario: &Scenario,
    reference: Option<&Reference>,
) -> Result<CleanRecord, Faults> {
    let lacking = table.lacking(d);
    if !lacking.is_empty() {
        return Err(Faults(lacking));
    }
    let mut steps = Vec::new();
    let mut warnings = Vec::new();
    let (clock, times) = clock(d, table, &mut steps)?;
    let mut signals = signals(d, table, (&clock, &times), &mut steps, &mut warnings)?;
    let along = signals
        .iter()
        .position(|s| s.channel.measures == Measures::Acceleration(0))
        .unwrap_or(0);
    let touch = touch(&signals[along], d, &clock, table)?;
    let quiet = quiet_part(
        d,
        &clock,
        (&signals[along], touch.sample),
        table,
        &mut steps,
    )?;
    for signal in &mut signals {
        level(signal, d, &quiet, &clock, &mut steps);
    }
    let drift = drift(&signals[along], &quiet, &clock, touch.sample, d);
    let zero = time_zero(d, &signals[along], &clock, &touch, reference, &mut steps)?;
    let centre = at_centre(&signals, d, &clock, &mut steps);
    let (length_s, intervals) = length(d, &table.file, &clock, &zero)?;
    let speed = scenario.impact.speed_mps;
    let start = (zero.file_time_s - clock.start_s) / clock.interval_s;
    let record = FromZero::of(
        &signals,
        &centre,
        (start, intervals),
        clock.interval_s,
        speed,
    );
    let unit_in_doubt = Along {
        d,
        table,
        channel: signals[along].channel,
        change: &record.velocity_change_mps,
        interval_s: clock.interval_s,
        speed,
        tail_mps2: drift.tail_mps2,
        rest_s: clock.time(clock.samples - 1) - zero.file_time_s,
    }
    .plausible(reference, &mut warnings)?;
    let change = velocity(d, &record.velocity_change_mps, clock.interval_s);
    tell_drift(&drift, &change, unit_in_doubt, &mut warnings);
    let (occupant, verdicts) = record
        .judged(
            scenario,
            &change,
            d.contact_end_s.unwrap_or(length_s),
            Measured::of(&d.channels),
        )
        .map_err(|e| Fault::new(&table.file, e.to_string()))?;
    let yaw_measured = signals
        .iter()
        .any(|s| s.channel.measures == Measures::YawRate);
    if !yaw_measured {
        steps.push("no yaw rate was measured: the head's flight counts none, and the sensor is taken as at the centre of mass".to_owned());
    }
    Ok(CleanRecord {
        summary: RecordSummary {
            format: RECORD_FORMAT,
            kind: "measured-record".to_owned(),
            title: d.title.clone(),
            caution: CAUTION.to_owned(),
            verdicts,
            velocity_change: change,
            occupant,
            time_zero: zero,
            drift,
            channels: signals.iter().map(facts).collect(),
            interval_s: clock.interval_s,
            steps,
            warnings,
        },
        acceleration_mps2: record.acceleration_mps2,
        yaw_rate_radps: record.yaw_rate_radps,
        yaw_measured,
        velocity_change_mps: record.velocity_change_mps,
        way_m: record.way_m,
        others: record.others,
    })
}

/// Length of the record from time zero, s, and how many intervals that is.
fn length(
    d: &Description,
    file: &str,
    clock: &Clock,
    zero: &TimeZero,
) -> Result<(f64, usize), Faults> {
    let end = clock.time(clock.samples - 1);
    let length_s = d
        .length_s
        .unwrap_or(f64::INFINITY)
        .min(end - zero.file_time_s);
    let intervals = (length_s / clock.interval_s + 1e-6) as usize;
    if intervals < 10 {
        let message = format!(
            "only {intervals} samples are left behind time zero ({} ms)",
            ms(zero.file_time_s)
        );
        let fault = match (d.time_zero, d.length_s) {
            (ZeroMethod::Given(_), _) => d.fault("event.at", message),
            (_, Some(_)) => d.fault("event.length", message),
            _ => Fault::new(file, message),
        };
        return Err(fault.into());
    }
    Ok((length_s, intervals))
}

fn facts(s: &Signal<'_>) -> ChannelFacts {
    ChannelFacts {
        column: s.channel.column.clone(),
        measures: s.channel.word.clone(),
        zero_level: s.level,
        quiet_deviation: s.noise,
        clipped_samples: s.clipped,
    }
}

/// Every channel on the even clock, filtered; the faults of all of them where there are any.
fn signals<'a>(
    d: &'a Description,
    table: &RawTable,
    (clock, times): (&Clock, &[f64]),
    steps: &mut Vec<String>,
    warnings: &mut Vec<String>,
) -> Result<Vec<Signal<'a>>, Faults> {
    let mut faults = Vec::new();
    let mut signals = Vec::new();
    for channel in &d.channels {
        let values = table.column(&channel.column).unwrap_or_default();
        match signal(d, channel, values, table, (clock, times), warnings) {
            Ok(signal) => signals.push(signal),
            Err(mut list) => faults.append(&mut list),
        }
    }
    faults.extend(copies(d, table));
    if !faults.is_empty() {
        return Err(Faults(faults));
    }
    for signal in &mut signals {
        filter(signal, d, clock.interval_s, steps)
            .map_err(|e| table.fault(&signal.channel.column, None, e))?;
    }
    Ok(signals)
}

/// Channels whose cells are those of another one throughout. Of a dead channel it is told that it is one.
fn copies<'a>(d: &'a Description, table: &'a RawTable) -> impl Iterator<Item = Fault> + 'a {
    let values = |c: &Channel| table.column(&c.column).unwrap_or_default();
    let live = move |c: &Channel| values(c).windows(2).any(|pair| pair[0] != pair[1]);
    d.channels.iter().enumerate().filter_map(move |(i, c)| {
        let mut before = d.channels[..i].iter();
        let other = before.find(|other| live(c) && values(other) == values(c))?;
        let message = format!(
            "its samples are those of `{}` throughout: one signal cannot be {} and {}",
            other.column.escape_debug(),
            other.word,
            c.word
        );
        let hint = format!(
            "name the column that holds {}, or leave this channel out",
            c.word
        );
        Some(table.fault(&c.column, None, message).hint(hint))
    })
}

/// The vehicle's motion from time zero on, in whole intervals.
struct FromZero {
    interval_s: f64,
    acceleration_mps2: Vec<[f64; 3]>,
    yaw_rate_radps: Vec<f64>,
    velocity_change_mps: Vec<f64>,
    way_m: Vec<f64>,
    others: Vec<(String, Vec<f64>)>,
}

impl FromZero {
    /// So many intervals from time zero, a place between samples; the vehicle comes at `speed`.
    fn of(
        signals: &[Signal<'_>],
        centre: &AtCentre,
        (start, intervals): (f64, usize),
        interval_s: f64,
        speed: f64,
    ) -> Self {
        let place = |k: usize| start + k as f64;
        let mid =
            |values: &[f64], k: usize| 0.5 * (at(values, place(k)) + at(values, place(k + 1)));
        let acceleration_mps2: Vec<[f64; 3]> = (0..intervals)
            .map(|k| [0, 1, 2].map(|axis| mid(&centre.acceleration[axis], k)))
            .collect();
        let velocity_change_mps = velocity_change(&acceleration_mps2, interval_s);
        let (mut way, mut before) = (0.0, 0.0);
        let way_m = velocity_change_mps
            .iter()
            .map(|change| {
                way += (speed - 0.5 * (before + change)) * interval_s;
                before = *change;
                way
            })
            .collect();
        let others = signals
            .iter()
            .filter_map(|s| match &s.channel.measures {
                Measures::Column(name) => Some((
                    name.clone(),
                    (0..intervals).map(|k| at(&s.clean, place(k + 1))).collect(),
                )),
                _ => None,
            })
            .collect();
        Self {
            interval_s,
            acceleration_mps2,
            yaw_rate_radps: (0..intervals).map(|k| mid(&centre.yaw_rate, k)).collect(),
            velocity_change_mps,
            way_m,
            others,
        }
    }

    /// What it means for the occupants, and the verdicts.
    fn judged(
        &self,
        scenario: &Scenario,
        change: &MeasuredVelocity,
        contact_end_s: f64,
        measured: Measured,
    ) -> Result<(OccupantRisk, Vec<SetVerdict>), OccupantError> {
        let speed = scenario.impact.speed_mps;
        let motion = Motion {
            interval_s: self.interval_s,
            initial_heading_rad: scenario.impact.heading_rad,
            initial_velocity_mps: [
                speed * libm::cos(scenario.impact.velocity_direction_rad),
                speed * libm::sin(scenario.impact.velocity_direction_rad),
                0.0,
            ],
            head_m: [scenario.vehicle.head_x_m, scenario.vehicle.head_y_m],
            acceleration_mps2: &self.acceleration_mps2,
            yaw_rate_radps: &self.yaw_rate_radps,
            end_velocity_mps: &[],
            position_m: &[],
            attitude_rad: &[],
        };
        let risk = assess(&motion, motion.velocity_change_by_mps(contact_end_s))?;
        let inputs = Inputs {
            impact_speed_mps: Some(speed),
            vehicle_mass_kg: Some(scenario.vehicle.mass_kg),
            velocity_change_at_contact_end_mps: change.at_contact_end_mps,
            velocity_change_at_engagement_end_mps: Some(change.at_engagement_end_mps),
            class_speed: ClassSpeed::near(speed),
            ..Inputs::default()
        };
        let verdicts = measured.verdicts(&risk, &inputs, &scenario.criteria);
        Ok((measured.only(&risk), verdicts))
    }
}

fn ms(seconds: f64) -> String {
    giveway_units::shown(1e3 * seconds, 5)
}

/// Value between samples, held beyond the ends.
fn at(values: &[f64], place: f64) -> f64 {
    let last = values.len() - 1;
    let place = place.clamp(0.0, last as f64);
    let low = (place as usize).min(last.saturating_sub(1));
    let high = (low + 1).min(last);
    values[low] + (place - low as f64) * (values[high] - values[low])
}

/// The even clock, and the time of each row.
fn clock(
    d: &Description,
    table: &RawTable,
    steps: &mut Vec<String>,
) -> Result<(Clock, Vec<f64>), Faults> {
    let rows = table.lines.len();
    if rows < 2 {
        let message = "the file has fewer than two rows of numbers";
        return Err(Fault::new(&table.file, message).into());
    }
    let Some((name, factor)) = &d.time else {
        let interval_s = 1.0 / d.rate_hz.unwrap_or(f64::NAN);
        let times = (0..rows).map(|i| i as f64 * interval_s).collect();
        let clock = Clock {
            start_s: 0.0,
            interval_s,
            samples: rows,
        };
        return Ok((clock, times));
    };
    let times: Vec<f64> = table
        .column(name)
        .unwrap_or_default()
        .iter()
        .map(|t| t * factor)
        .collect();
    if let Some(i) = times.iter().position(|t| !t.is_finite()) {
        let message = "a time is missing or no number";
        return Err(table.fault(name, Some(i), message).into());
    }
    let differences: Vec<f64> = times.windows(2).map(|t| t[1] - t[0]).collect();
    if let Some(i) = differences.iter().position(|step| *step <= 0.0) {
        let message = "the clock does not run forward here";
        return Err(table.fault(name, Some(i + 1), message).into());
    }
    let usual = quantile(&differences, 0.5);
    if let Some(rate) = d.rate_hz
        && (usual * rate - 1.0).abs() > 0.01
    {
        let message = format!(
            "the clock `{name}` steps by {} ms, which is no rate of {} Hz",
            ms(usual),
            giveway_units::shown(rate, 6)
        );
        return Err(d
            .fault("file.rate", message)
            .hint("is time_unit right?")
            .into());
    }
    if let Some(fault) = clock_in_doubt(d, times[rows - 1] - times[0], usual) {
        return Err(fault.into());
    }
    let uneven = uneven_steps(d, table, (name, usual), &differences, steps)?;
    if uneven > 0 {
        steps.push(format!(
            "{uneven} uneven steps of the clock put on an even one of {} ms",
            ms(usual)
        ));
    }
    let (start_s, end_s) = (times[0], times[rows - 1]);
    // The mean step where none is missing: printed times are rounded.
    let whole = ((end_s - start_s) / usual).round();
    let clock = Clock {
        start_s,
        interval_s: (end_s - start_s) / whole,
        samples: whole as usize + 1,
    };
    Ok((clock, times))
}

/// A fault of the clock's unit, where the record would be shorter than a blow or sampled as no test is. A rate that is given
/// besides, and is the clock's, leaves no doubt.
fn clock_in_doubt(d: &Description, length_s: f64, step_s: f64) -> Option<Fault> {
    let likely = |factor: f64| {
        let rate = 1.0 / (factor * step_s);
        let [least, most] = [RATES_HZ[0] * (1.0 - 1e-6), RATES_HZ[1] * (1.0 + 1e-6)];
        factor * length_s >= SHORTEST_RECORD_S && (least..=most).contains(&rate)
    };
    if d.rate_hz.is_some() || likely(1.0) {
        return None;
    }
    let own = d.time.as_ref().map_or(1.0, |(_, factor)| *factor);
    let named = |factor: f64| CLOCK_UNITS.iter().find(|u| u.1 == factor);
    let unit = named(own).map_or("its unit", |u| u.0);
    let rate = |factor: f64| giveway_units::shown(1.0 / (factor * step_s), 4);
    let message = format!(
        "with a clock in {unit} the record is {} ms long and sampled at {} Hz, which is no record of a blow",
        ms(length_s),
        rate(1.0)
    );
    let key = ["file.time_unit", "file.time"]
        .into_iter()
        .find(|key| d.gives(key))?;
    let other = CLOCK_UNITS.iter().find(|u| u.1 != own && likely(u.1 / own));
    let hint = match other {
        Some((name, factor)) => format!(
            "time_unit = {name:?} makes it {} ms at {} Hz",
            ms(factor / own * length_s),
            rate(factor / own)
        ),
        None => "is the clock's unit right? Where it is, give `rate` under [file] too".to_owned(),
    };
    Some(d.fault(key, message).hint(hint))
}

/// How many steps of the clock are uneven; the lines where a gap or such a step is not allowed.
fn uneven_steps(
    d: &Description,
    table: &RawTable,
    (name, usual): (&str, f64),
    differences: &[f64],
    steps: &mut Vec<String>,
) -> Result<usize, Faults> {
    let mut faults = Vec::new();
    let (mut uneven, mut count) = (0, 0);
    for (i, step) in differences.iter().enumerate() {
        let mut refuse = |message: String, hint: &str| {
            count += 1;
            if count <= MOST {
                faults.push(table.fault(name, Some(i + 1), message).hint(hint));
            }
        };
        if *step > 1.5 * usual {
            if *step > d.fill_gaps_s {
                let message = format!(
                    "a gap of {} ms before this line; the usual step is {} ms",
                    ms(*step),
                    ms(usual)
                );
                let hint = "fill_gaps under [file] fills short ones in a straight line";
                refuse(message, hint);
            } else {
                steps.push(format!(
                    "gap of {} ms before line {} filled in a straight line",
                    ms(*step),
                    table.lines[i + 1]
                ));
            }
        } else if (step / usual - 1.0).abs() > UNEVEN {
            uneven += 1;
            if !d.resample && uneven == 1 {
                let message = format!(
                    "the clock is not even: a step of {} ms where {} ms is usual",
                    ms(*step),
                    ms(usual)
                );
                let hint = "resample = true under [file] puts it on an even clock";
                refuse(message, hint);
            }
        }
    }
    if count > 0 {
        return Err(Faults::first_of(faults, count));
    }
    Ok(uneven)
}

fn signal<'a>(
    d: &Description,
    channel: &'a Channel,
    values: &[f64],
    table: &RawTable,
    (clock, times): (&Clock, &[f64]),
    warnings: &mut Vec<String>,
) -> Result<Signal<'a>, Vec<Fault>> {
    let mut faults = Vec::new();
    let fault = |row, message: String| table.fault(&channel.column, row, message);
    if let Some(i) = values.iter().position(|v| !v.is_finite()) {
        faults.push(fault(Some(i), "a value is missing or no number".into()));
        return Err(faults);
    }
    let unit = channel.measure.1.as_str();
    if let Some(other) = other_unit(&channel.column, unit) {
        let message = format!("the unit is given as {unit}, and the column's name says {other}");
        let line = d.line_of_unit(channel);
        let hint = format!("correct `unit` in {line}, or rename the column if it is wrong");
        faults.push(fault(None, message).hint(hint));
    }
    let sign = if channel.reversed { -1.0 } else { 1.0 };
    // Known by `describe`.
    let scale = giveway_units::unit_named(unit, channel.measure.0).map_or(1.0, |u| u.to_si(1.0));
    let si: Vec<f64> = values.iter().map(|v| sign * scale * v).collect();
    let (low, high) = si
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(*v), h.max(*v))
        });
    if low == high {
        let message = format!("one value throughout ({}): a dead channel", values[0]);
        faults.push(fault(Some(0), message));
    }
    let Clipping {
        clipped,
        first,
        kept,
    } = clipping(&si, low, high, channel.full_scale);
    if kept > 0 && low < high {
        warnings.push(format!(
            "{}: {kept} samples hold the extreme of the channel up to an end of the record, and the channel is as flat elsewhere: taken as a constant value; `full_scale` tells a clipped channel for certain",
            channel.column
        ));
    }
    if clipped > 0 && low < high {
        let message =
            format!("{clipped} samples lie at the end of the range: the channel is clipped");
        if channel.keep_clipped {
            warnings.push(format!(
                "{}: {message}, and kept: peaks and the velocity change are too small",
                channel.column
            ));
        } else {
            faults.push(fault(Some(first), message).hint(
                "clipped = \"keep\" keeps them: peaks and velocity change are then too small",
            ));
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let even = (0..clock.samples).map(|i| {
        let t = clock.time(i);
        let next = times.partition_point(|x| *x < t).clamp(1, times.len() - 1);
        let part = ((t - times[next - 1]) / (times[next] - times[next - 1])).clamp(0.0, 1.0);
        // A printed time is off by its rounding: the row's own value.
        if part > 0.75 {
            si[next]
        } else if part < 0.25 {
            si[next - 1]
        } else {
            si[next - 1] + part * (si[next] - si[next - 1])
        }
    });
    let even_clock = (times.len() == clock.samples)
        && (0..clock.samples).all(|i| (times[i] - clock.time(i)).abs() < 0.5 * clock.interval_s);
    Ok(Signal {
        channel,
        raw: if even_clock {
            si.clone()
        } else {
            even.collect()
        },
        clean: Vec::new(),
        level: 0.0,
        noise: 0.0,
        clipped,
    })
}

/// A unit in a column's name that is another than the one given.
fn other_unit(column: &str, unit: &str) -> Option<&'static str> {
    let name = column.to_lowercase();
    let per_second = ["m/s2", "m/s^2", "m/s\u{b2}", "m/s/s", "ms-2"]
        .iter()
        .any(|u| name.contains(u));
    let in_g = ["[g]", "(g)", " g)", "_g"]
        .iter()
        .any(|u| name.ends_with(u));
    match unit {
        "g" | "G" | "gn" | "g0" if per_second => Some("m/s^2"),
        "m/s2" | "m/s/s" | "m/s^2" if in_g => Some("g"),
        _ => None,
    }
}

/// Samples at an end of the range.
#[derive(Debug, Default, PartialEq, Eq)]
struct Clipping {
    /// Samples that are clipped.
    clipped: usize,
    /// The first of them.
    first: usize,
    /// Samples at an extreme that are taken as a constant value.
    kept: usize,
}

/// Shortest run of equal samples that counts as flat.
const FLAT: usize = 3;
/// Part of a plateau over which the channel must be flat elsewhere, for flatness to be its own way and no sign.
const FLAT_ELSEWHERE: f64 = 0.25;

/// Clipped samples: any at the stated full scale; without one, plateaus, which are three or more equal samples at an extreme
/// of the channel.
///
/// An honestly constant value and a clipped one are both flat to the digit. Two things tell them apart:
/// - A clipped signal wanted to go further: it runs into the end of the range and, when the load falls, out of it again. A
///   plateau with the channel's slope on both sides is therefore clipped. A value that is reached and kept (the rate of a
///   vehicle that turns freely after the blow) runs into its plateau only, and the record ends in it, or begins in it.
/// - A sensor that still measures shows its noise, a clipped one does not. A plateau up to an end of the record is
///   therefore clipped where the rest of the channel is never flat for a quarter as long.
///
/// What is left, a plateau up to an end of the record in a channel that is as flat elsewhere (computed, or with steps
/// coarser than its noise), can be either: it is kept, and said.
fn clipping(si: &[f64], low: f64, high: f64, full_scale: Option<f64>) -> Clipping {
    let mut out = Clipping::default();
    if let Some(full) = full_scale {
        let beyond = |v: &f64| v.abs() >= 0.999 * full;
        out.first = si.iter().position(beyond).unwrap_or(0);
        out.clipped = si.iter().filter(|v| beyond(v)).count();
        return out;
    }
    let runs = runs(si);
    let least = 0.5 * low.abs().max(high.abs());
    for run in runs.iter().filter(|r| r.len() >= FLAT) {
        let value = si[run.start];
        if (value != low && value != high) || value.abs() < least {
            continue;
        }
        let both_sides = run.start > 0 && run.end < si.len();
        let elsewhere = runs
            .iter()
            .filter(|r| si[r.start] != value)
            .map(ExactSizeIterator::len);
        let flat = elsewhere.max().filter(|n| *n >= FLAT).unwrap_or(0);
        if both_sides || (flat as f64) < FLAT_ELSEWHERE * run.len() as f64 {
            if out.clipped == 0 {
                out.first = run.start;
            }
            out.clipped += run.len();
        } else {
            out.kept += run.len();
        }
    }
    out
}

/// Runs of equal samples, in order.
fn runs(si: &[f64]) -> Vec<core::ops::Range<usize>> {
    let mut start = 0;
    si.chunk_by(|a, b| a == b)
        .map(|run| {
            start += run.len();
            start - run.len()..start
        })
        .collect()
}

fn filter(
    signal: &mut Signal<'_>,
    d: &Description,
    interval_s: f64,
    steps: &mut Vec<String>,
) -> Result<(), String> {
    let column = &signal.channel.column;
    let name = |hz: f64| format!("CFC {hz}");
    let wanted = d.filter.frequency_hz();
    if let Some(applied) = signal.channel.applied
        && applied.frequency_hz() <= wanted
    {
        let applied = applied.frequency_hz();
        signal.clean = signal.raw.clone();
        steps.push(format!(
            "{column}: already filtered to {}, left as it is",
            name(applied)
        ));
        return Ok(());
    }
    let pass = LowPass::channel(d.filter, interval_s).map_err(|e| e.to_string())?;
    signal.clean = pass.run(&signal.raw, Edge::Hold, Edge::Hold);
    steps.push(format!(
        "{column}: filtered to {}, forward and backward",
        name(wanted)
    ));
    Ok(())
}

struct Touch {
    sample: usize,
    time_s: f64,
    threshold: f64,
}

/// First instant beyond the threshold; where time zero is given, that.
fn touch(
    along: &Signal<'_>,
    d: &Description,
    clock: &Clock,
    table: &RawTable,
) -> Result<Touch, Faults> {
    let first = (clock.samples / 50).clamp(10.min(clock.samples), 200.max(clock.samples / 50));
    let start = match d.quiet_s {
        Some([from, to]) => clock.sample(from)..clock.sample(to).max(clock.sample(from) + 1),
        None => 0..first.min(clock.samples),
    };
    let part = along.clean.get(start.clone()).filter(|p| !p.is_empty());
    let Some(part) = part else {
        let message = "the quiet part lies outside the record";
        return Err(d.fault("event.quiet", message).into());
    };
    let (level, noise) = (quantile(part, 0.5), deviation(part));
    if let ZeroMethod::Given(time_s) = d.time_zero {
        return Ok(Touch {
            sample: clock.sample(time_s),
            time_s,
            threshold: 0.0,
        });
    }
    let stated = match d.time_zero {
        ZeroMethod::Threshold(stated) => stated,
        _ => None,
    };
    let threshold = stated.unwrap_or(THRESHOLD_MPS2.max(6.0 * noise));
    let stays = ((STAYS_S / clock.interval_s) as usize).max(1);
    let beyond: Vec<bool> = along
        .clean
        .iter()
        .map(|a| (a - level).abs() > threshold)
        .collect();
    let place = (start.end..clock.samples.saturating_sub(stays))
        .find(|i| beyond[*i..i + stays].iter().all(|b| *b));
    let Some(sample) = place else {
        let g = giveway_units::shown(threshold / STANDARD_GRAVITY_MPS2, 3);
        let message = format!("no blow: the record never stays beyond {g} g");
        let fault = match stated {
            Some(_) => d.fault("event.threshold", message),
            None => table.fault(&along.channel.column, None, message),
        };
        let line = d.line_of_unit(along.channel);
        let hint =
            format!("is the unit right ({line})? `threshold` under [event] sets another threshold");
        return Err(fault.hint(hint).into());
    };
    // Where the line between two samples passes the threshold.
    let [a, b] = [sample.saturating_sub(1), sample].map(|i| (along.clean[i] - level).abs());
    let part = if b > a {
        ((b - threshold) / (b - a)).clamp(0.0, 1.0)
    } else {
        0.0
    };
    Ok(Touch {
        sample,
        time_s: clock.time(sample) - part * clock.interval_s,
        threshold,
    })
}

fn quiet_part(
    d: &Description,
    clock: &Clock,
    (along, touch): (&Signal<'_>, usize),
    table: &RawTable,
    steps: &mut Vec<String>,
) -> Result<core::ops::Range<usize>, Faults> {
    let all_offset = d.channels.iter().all(|c| c.offset.is_some());
    let quiet = match d.quiet_s {
        Some([from, to]) => clock.sample(from)..clock.sample(to),
        None => 0..touch.saturating_sub((BEFORE_TOUCH_S / clock.interval_s) as usize),
    };
    let length_s = quiet.len() as f64 * clock.interval_s;
    if quiet.end > touch {
        let message = format!(
            "the quiet part ends at {} ms, behind the touch at {} ms",
            ms(clock.time(quiet.end)),
            ms(clock.time(touch))
        );
        return Err(d.fault("event.quiet", message).into());
    }
    if (length_s < SHORTEST_QUIET_S || quiet.len() < 4) && !all_offset {
        let message = format!(
            "only {} ms are quiet before touch: there is no zero level",
            ms(length_s)
        );
        let fault = match d.quiet_s {
            Some(_) => d.fault("event.quiet", message),
            None => table.fault(&along.channel.column, None, message),
        };
        return Err(fault
            .hint("give `offset` of every channel, from the laboratory's notes")
            .into());
    }
    // A record that begins in the blow has a part below the threshold too; it is not level.
    let part = &along.clean[quiet.clone()];
    let half = part.len() / 2;
    if half > 0 && !all_offset {
        let apart = mean(&part[half..]) - mean(&part[..half]);
        if apart.abs() > THRESHOLD_MPS2 {
            let g = giveway_units::shown(apart / STANDARD_GRAVITY_MPS2, 2);
            let message = format!(
                "the part before the threshold is not quiet (its halves differ by {g} g): there is no zero level"
            );
            return Err(table
                .fault(&along.channel.column, None, message)
                .hint("does the record begin in the blow? Give `offset` of every channel")
                .into());
        }
    }
    steps.push(format!(
        "zero level from the quiet part, {} to {} ms of the file's clock",
        ms(clock.time(quiet.start)),
        ms(clock.time(quiet.end))
    ));
    Ok(quiet)
}

fn level(
    signal: &mut Signal<'_>,
    d: &Description,
    quiet: &core::ops::Range<usize>,
    clock: &Clock,
    steps: &mut Vec<String>,
) {
    let part = &signal.raw[quiet.clone()];
    let measured = if part.is_empty() { 0.0 } else { mean(part) };
    signal.noise = if part.is_empty() {
        0.0
    } else {
        deviation(part)
    };
    signal.level = signal.channel.offset.unwrap_or(measured);
    let mut slope = 0.0;
    if d.level_after && !part.is_empty() {
        // A line through the middles of the quiet part and of the last tenth.
        let tail = clock.samples - (clock.samples / 10).max(1)..clock.samples;
        let after = mean(&signal.raw[tail.clone()]);
        let middle = |r: &core::ops::Range<usize>| 0.5 * (r.start + r.end) as f64;
        slope = (after - signal.level) / (middle(&tail) - middle(quiet));
        signal.level -= slope * middle(quiet);
        steps.push(format!(
            "{}: zero level is a line through the quiet part and the last tenth of the record",
            signal.channel.column
        ));
    }
    let level = signal.level;
    for (i, v) in signal.clean.iter_mut().enumerate() {
        *v -= level + slope * i as f64;
    }
}

fn drift(
    along: &Signal<'_>,
    quiet: &core::ops::Range<usize>,
    clock: &Clock,
    touch: usize,
    d: &Description,
) -> Drift {
    let part = &along.raw[quiet.clone()];
    let length_s = ((clock.samples - touch) as f64 * clock.interval_s)
        .min(d.length_s.unwrap_or(f64::INFINITY));
    let half = part.len() / 2;
    let by_halves = if half > 0 {
        mean(&part[half..]) - mean(&part[..half])
    } else {
        0.0
    };
    let tail = &along.clean[clock.samples - (clock.samples / 10).max(1)..];
    Drift {
        quiet_s: part.len() as f64 * clock.interval_s,
        by_halves_mps: by_halves * length_s,
        by_noise_mps: along.noise / (part.len().max(1) as f64).sqrt() * length_s,
        tail_mps2: mean(tail),
    }
}

fn tell_drift(
    drift: &Drift,
    change: &MeasuredVelocity,
    unit_in_doubt: bool,
    warnings: &mut Vec<String>,
) {
    // In a wrong unit the velocity change is small beside anything.
    if !drift.is_small_beside(change) && !unit_in_doubt {
        warnings.push(format!(
            "the zero level is known so badly that the velocity at the end of the record may be off by {} m/s: a longer quiet part, `offset`, or zero_level = \"before-and-after\"",
            giveway_units::shown(drift.worst_mps(), 2)
        ));
    }
    if !drift.ends_at_zero() {
        warnings.push(format!(
            "in the last tenth of the record the mean acceleration is {} g: braking, a later blow, or a zero level that drifted",
            giveway_units::shown(drift.tail_mps2 / STANDARD_GRAVITY_MPS2, 2)
        ));
    }
}

fn time_zero(
    d: &Description,
    along: &Signal<'_>,
    clock: &Clock,
    touch: &Touch,
    reference: Option<&Reference>,
    steps: &mut Vec<String>,
) -> Result<TimeZero, Faults> {
    let (file_time_s, method) = match d.time_zero {
        ZeroMethod::Given(at) => {
            if !(clock.start_s..=clock.time(clock.samples - 1)).contains(&at) {
                let message = format!("time zero at {} ms lies outside the record", ms(at));
                return Err(d.fault("event.at", message).into());
            }
            (at, "given")
        }
        ZeroMethod::Threshold(_) => (touch.time_s, "threshold"),
        ZeroMethod::Alignment => {
            let Some(reference) = reference else {
                let message = "time zero by alignment needs the computed run of the scenario";
                return Err(d.fault("event.time_zero", message).into());
            };
            (aligned(along, clock, touch, reference), "alignment")
        }
    };
    let threshold = (method == "threshold").then_some(touch.threshold);
    steps.push(match method {
        "threshold" => format!(
            "time zero at {} ms of the file's clock, where {} g is passed for good",
            ms(file_time_s),
            giveway_units::shown(touch.threshold / STANDARD_GRAVITY_MPS2, 3)
        ),
        "alignment" => format!(
            "time zero at {} ms of the file's clock, where the velocity agrees best with the computed run ({} ms from the threshold)",
            ms(file_time_s),
            ms(file_time_s - touch.time_s)
        ),
        _ => format!("time zero at {} ms of the file's clock, as given", ms(file_time_s)),
    });
    Ok(TimeZero {
        file_time_s,
        method: method.to_owned(),
        threshold_mps2: threshold,
    })
}

/// Time zero at which measured and computed velocity differ least, by squares, over 0.1 s.
fn aligned(along: &Signal<'_>, clock: &Clock, touch: &Touch, reference: &Reference) -> f64 {
    let mut change = 0.0;
    let measured: Vec<f64> = (along.clean.windows(2))
        .map(|a| {
            change -= 0.5 * (a[0] + a[1]) * clock.interval_s;
            change
        })
        .collect();
    let from = clock.sample(touch.time_s - ALIGNMENT_S);
    let to = clock.sample(touch.time_s + 0.1).min(measured.len());
    let base = if from > 0 { measured[from - 1] } else { 0.0 };
    let misfit = |zero: f64| {
        let each = (from..to).map(|i| {
            let t = clock.time(i + 1) - zero;
            measured[i] - base - reference.at(t)
        });
        each.map(|e| e * e).sum::<f64>()
    };
    let step = 0.25 * clock.interval_s;
    let count = (ALIGNMENT_S / step) as i64;
    let candidates = (-count..=count).map(|i| touch.time_s + i as f64 * step);
    let best = candidates
        .map(|zero| (misfit(zero), zero))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    best.map_or(touch.time_s, |b| b.1)
}

struct AtCentre {
    acceleration: [Vec<f64>; 3],
    yaw_rate: Vec<f64>,
}

/// Moves the accelerations from the sensor to the centre of mass where the yaw rate is known:
/// a_cm = a_s - (-alpha ry - w^2 rx, alpha rx - w^2 ry).
fn at_centre(
    signals: &[Signal<'_>],
    d: &Description,
    clock: &Clock,
    steps: &mut Vec<String>,
) -> AtCentre {
    let of = |measures: &Measures| {
        signals
            .iter()
            .find(|s| s.channel.measures == *measures)
            .map(|s| s.clean.clone())
    };
    let nothing = || vec![0.0; clock.samples];
    let mut acceleration =
        [0, 1, 2].map(|axis| of(&Measures::Acceleration(axis)).unwrap_or_else(nothing));
    let measured = of(&Measures::YawRate);
    let yaw_rate = measured.clone().unwrap_or_else(nothing);
    let [ahead, left] = d.sensor_m;
    if measured.is_some() && (ahead != 0.0 || left != 0.0) {
        for i in 0..clock.samples {
            let (a, b) = (i.saturating_sub(1), (i + 1).min(clock.samples - 1));
            let alpha = (yaw_rate[b] - yaw_rate[a]) / ((b - a) as f64 * clock.interval_s);
            let square = yaw_rate[i] * yaw_rate[i];
            acceleration[0][i] += alpha * left + square * ahead;
            acceleration[1][i] -= alpha * ahead - square * left;
        }
        steps.push(format!(
            "accelerations moved from the sensor ({} m ahead, {} m to the left) to the centre of mass by the yaw rate",
            giveway_units::shown(ahead, 3),
            giveway_units::shown(left, 3)
        ));
    }
    AtCentre {
        acceleration,
        yaw_rate,
    }
}

fn velocity(d: &Description, change: &[f64], interval_s: f64) -> MeasuredVelocity {
    let largest = change
        .iter()
        .enumerate()
        .fold((0, 0.0_f64), |best, (i, v)| {
            if v.abs() > best.1.abs() {
                (i, *v)
            } else {
                best
            }
        });
    let end = |t: f64| at(change, t / interval_s - 1.0);
    MeasuredVelocity {
        at_contact_end_mps: d.contact_end_s.map(end),
        at_engagement_end_mps: change.last().copied().unwrap_or(0.0),
        largest_mps: [largest.1, (largest.0 + 1) as f64 * interval_s],
    }
}
