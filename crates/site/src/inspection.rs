//! One pole inspected: every item against its requirement, what it does to the governing tests, what to put right first
//! and what was not measured.

use giveway_occupant::{Blow, CAUTION, Outcome};
use giveway_scenario::model::{AsFound, Scenario};
use giveway_scenario::{ConditionKind, Diagnostic};
use giveway_units::{System, shown, spoken};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::decision::{Decision, Open, RULE, TestResult, decide, speed};
use crate::finding::{Said, diagnostic};
use crate::judging::{ItemResult, items};
use crate::order::{LEAST_GAIN, Task, gain, order};
use crate::pole_type::{Pair, PoleType, Solver, TestNumbers, weighed, worst_load};
use crate::record::Record;
use crate::requirements::{REQUIREMENTS, Verdict, Weight};
use crate::settings::{self, Assumed, Setting};

/// Version of the layout.
pub const INSPECTION_FORMAT: u32 = 1;

/// What an inspection says of one pole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Inspection {
    /// Version of this layout.
    pub format: u32,
    /// Identifier of the pole.
    pub pole: String,
    /// Day of the inspection.
    pub date: String,
    /// Who inspected.
    pub inspector: Option<String>,
    /// Free text about the place.
    pub place: Vec<Note>,
    /// Title of the scenario of the pole's type.
    pub type_title: String,
    /// Its file, as named in the record.
    pub type_file: String,
    /// Whether the base is accepted as it stands.
    pub decision: Decision,
    /// Why.
    pub reasons: Vec<String>,
    /// What nobody has looked at: items that were not measured, and what no inspection of the base looks at.
    pub not_looked_at: Vec<String>,
    /// Profile and revision that the limits come from.
    pub profile: String,
    /// Units of the sentences: `si` or `us`. Numbers are SI.
    pub units: String,
    /// Names of photos, as written.
    pub photos: Vec<String>,
    /// Latitude and longitude, degrees.
    pub position_deg: Option<[f64; 2]>,
    /// Number of the torque wrench.
    pub wrench: Option<String>,
    /// Words of this inspection that need a word.
    pub words: Vec<Note>,
    /// The rule of the decision.
    pub rule: String,
    /// Said with every decision.
    pub caution: String,
    /// The governing tests.
    pub tests: Vec<TestResult>,
    /// Every item against its requirement.
    pub items: Vec<ItemResult>,
    /// What each condition found does to the tests.
    pub conditions: Vec<ConditionResult>,
    /// What to put right, in order.
    pub order: Vec<Step>,
    /// What was not measured.
    pub not_measured: Vec<Open>,
    /// Details that were assumed because they were not measured.
    pub assumed: Vec<Assumed>,
}

/// A line of free text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Note {
    /// What it is about.
    pub name: String,
    /// The text.
    pub text: String,
}

/// What one condition does to both tests.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ConditionResult {
    /// The condition.
    pub kind: ConditionKind,
    /// Its title.
    pub title: String,
    /// Key of the item.
    pub item: String,
    /// Verdict of the requirement.
    pub verdict: Verdict,
    /// Both tests with this condition put right and the others as found.
    pub put_right: [TestNumbers; 2],
    /// Both tests with this condition alone.
    pub alone: [TestNumbers; 2],
    /// What it does, one sentence.
    pub sentence: String,
}

/// One step on the way to a base that can be accepted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Number, from 1.
    pub number: usize,
    /// Key of the item.
    pub item: String,
    /// The requirement.
    pub requirement: String,
    /// How much it weighs.
    pub weight: Weight,
    /// What must be done.
    pub put_right: String,
    /// Both tests after this step and all before it.
    pub after: [TestNumbers; 2],
    /// What it gains, one sentence.
    pub sentence: String,
}

/// Inspects a pole. The warnings stand beside the result.
///
/// # Errors
/// Values that the type's scenario refuses, with their place in the record.
pub fn inspect(
    record: &Record,
    pole_type: &PoleType,
    solver: &Solver<'_>,
) -> Result<(Inspection, Vec<Diagnostic>), Vec<Diagnostic>> {
    inspect_in(record, pole_type, solver, None)
}

/// The same with its sentences in a system of units; none = that of the profile, else that in which the record was written.
///
/// # Errors
/// As [`inspect`].
pub fn inspect_in(
    record: &Record,
    pole_type: &PoleType,
    solver: &Solver<'_>,
    units: Option<System>,
) -> Result<(Inspection, Vec<Diagnostic>), Vec<Diagnostic>> {
    let design = &pole_type.design;
    let basis = pole_type.basis();
    let people = units
        .or(pole_type.profile.units)
        .unwrap_or_else(|| record.system());
    counts(record, design)?;
    let mut measured: Vec<Setting> = Vec::new();
    let mut assumed: Vec<Assumed> = Vec::new();
    for requirement in 0..REQUIREMENTS.len() {
        let settings = settings::of(requirement, record, basis);
        measured.extend(settings.list);
        assumed.extend(settings.assumed);
    }
    let (found, of_values) = pole_type.found(&measured, &record.file)?;
    let warnings = [record.warnings.clone(), of_values].concat();
    let run = |state: &AsFound| pole_type.run(state, solver);
    let items = items(record, basis, people);
    let as_found = run(&found);
    let as_designed = run(&AsFound::default());
    let tests = test_results(pole_type, &as_found, &as_designed);
    let not_measured = open(record, pole_type, &items, &measured, &as_found, solver)?;
    let (decision, reasons) = decide(&tests, &items, &not_measured);
    let conditions = conditions(&found, &items, &as_found, &run, pole_type);
    let order = steps(&found, &items, &as_found, &run, pole_type, people);
    let words = words(&tests);
    let mut inspection = Inspection {
        format: INSPECTION_FORMAT,
        pole: record.pole.clone(),
        date: record.date.to_string(),
        inspector: record.inspector.clone(),
        place: record
            .place
            .iter()
            .map(|(name, text)| Note {
                name: name.clone(),
                text: text.clone(),
            })
            .collect(),
        type_title: design.title.clone(),
        type_file: record.type_path.clone(),
        decision,
        reasons,
        not_looked_at: not_looked_at(&not_measured),
        profile: pole_type.profile.title(),
        units: people.name().to_owned(),
        photos: record.photos.clone(),
        position_deg: record.position_deg,
        wrench: record.wrench.clone(),
        words,
        rule: RULE.to_owned(),
        caution: CAUTION.to_owned(),
        tests,
        items,
        conditions,
        order,
        not_measured,
        assumed,
    };
    inspection.speak(people);
    Ok((inspection, warnings))
}

/// Where each bolt has its own value there is one for every bolt, or one for all.
fn counts(record: &Record, design: &Scenario) -> Result<(), Vec<Diagnostic>> {
    let bolts = design.base.bolt_count;
    let wrong: Vec<Diagnostic> = record
        .measured
        .iter()
        .filter(|m| {
            let item = m.found.item();
            let listed = item.path.is_some_and(|path| path.contains("[]"));
            let count = m.values.len();
            item.several && !listed && count != 1 && count != bolts
        })
        .map(|m| {
            let said = Said::that(format!("{} values for {bolts} bolts", m.values.len()))
                .found(m.text.clone())
                .allowed(format!("1 for every bolt, or {bolts} divided by `;`"));
            diagnostic("R031", &record.file, m.at, m.found.item().key, said)
        })
        .collect();
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

fn test_results(pole_type: &PoleType, as_found: &Pair, as_designed: &Pair) -> Vec<TestResult> {
    pole_type
        .tests
        .iter()
        .enumerate()
        .map(|(i, test)| TestResult {
            name: test.name.clone(),
            document: test.document.to_owned(),
            vehicle_class: test.class.to_owned(),
            vehicle_mass_kg: pole_type.mass_kg(),
            speed_kmph: test.speed_kmph,
            as_found: as_found[i].clone(),
            as_designed: as_designed[i].clone(),
        })
        .collect()
}

/// `3-60 low speed 2.6 m/s, 3-61 high speed 0.9 m/s`.
fn speeds(pole_type: &PoleType, pair: &Pair) -> String {
    let parts: Vec<String> = pole_type
        .tests
        .iter()
        .zip(pair)
        .map(|(test, run)| {
            let fails = if run.blow == Blow::Fail {
                " (fails)"
            } else {
                ""
            };
            format!("{} {}{fails}", test.name, speed(run))
        })
        .collect();
    parts.join(", ")
}

fn fails(pair: &Pair) -> bool {
    pair.iter().any(|run| run.blow == Blow::Fail)
}

/// What was not measured, each at its worst plausible value on top of what was found.
fn open(
    record: &Record,
    pole_type: &PoleType,
    items: &[ItemResult],
    measured: &[Setting],
    as_found: &Pair,
    solver: &Solver<'_>,
) -> Result<Vec<Open>, Vec<Diagnostic>> {
    let mut list = Vec::new();
    for (i, item) in items.iter().enumerate() {
        if item.verdict != Verdict::NotMeasured {
            continue;
        }
        let worst = settings::worst(i, pole_type.basis());
        let mut tests = None;
        if let Some((settings, _, _)) = &worst {
            let all: Vec<Setting> = measured.iter().chain(&settings.list).cloned().collect();
            let (state, _) = pole_type.found(&all, &record.file)?;
            tests = Some(pole_type.run(&state, solver));
        }
        let would_fail = tests.as_ref().is_some_and(fails);
        let sentence = match (&tests, &worst) {
            (Some(pair), Some((_, value, _))) => {
                let change = gain(weighed(as_found), weighed(pair)).abs();
                if change < LEAST_GAIN {
                    format!("At {value} it would change nothing.")
                } else {
                    format!("At {value}: velocity change {}.", speeds(pole_type, pair))
                }
            }
            _ if item.weight == Weight::Minor => "No effect on the impact.".to_owned(),
            _ => "Its effect is not computed.".to_owned(),
        };
        list.push(Open {
            item: item.item.clone(),
            requirement: item.requirement.clone(),
            weight: item.weight,
            worst_plausible: worst.as_ref().map(|w| w.1.clone()),
            reason: worst.as_ref().map(|w| w.2.to_owned()),
            tests,
            would_fail,
            sentence,
        });
    }
    Ok(list)
}

/// The requirement of a condition.
fn row_of(kind: ConditionKind) -> usize {
    REQUIREMENTS
        .iter()
        .position(|row| row.condition == Some(kind))
        .unwrap_or(0)
}

fn conditions(
    found: &AsFound,
    items: &[ItemResult],
    as_found: &Pair,
    run: &dyn Fn(&AsFound) -> Pair,
    pole_type: &PoleType,
) -> Vec<ConditionResult> {
    let mut list: Vec<(f64, ConditionResult)> = found
        .present()
        .into_iter()
        .map(|kind| {
            let item = &items[row_of(kind)];
            let put_right = run(&found.without(kind));
            let alone = run(&found.only(kind));
            let gained = gain(weighed(as_found), weighed(&put_right));
            let sentence = format!(
                "Put right, the others as found: {}. Alone: {}.",
                speeds(pole_type, &put_right),
                speeds(pole_type, &alone)
            );
            let result = ConditionResult {
                kind,
                title: kind.title().to_owned(),
                item: item.item.clone(),
                verdict: item.verdict,
                put_right,
                alone,
                sentence,
            };
            (gained, result)
        })
        .collect();
    // Most gain first; the sort keeps the table's order among equals.
    list.sort_by(|a, b| b.0.total_cmp(&a.0));
    list.into_iter().map(|(_, result)| result).collect()
}

fn steps(
    found: &AsFound,
    items: &[ItemResult],
    as_found: &Pair,
    run: &dyn Fn(&AsFound) -> Pair,
    pole_type: &PoleType,
    people: System,
) -> Vec<Step> {
    let present = found.present();
    // What is within its requirement is left alone unless a test fails as found.
    let everything = fails(as_found);
    let tasks: Vec<Task> = REQUIREMENTS
        .iter()
        .enumerate()
        .filter_map(|(i, row)| {
            let condition = row.condition.filter(|kind| present.contains(kind));
            let wanted = items[i].verdict == Verdict::Fails || (everything && condition.is_some());
            wanted.then_some(Task {
                requirement: i,
                condition,
                weight: row.weight,
            })
        })
        .collect();
    order(found, &tasks, run)
        .into_iter()
        .enumerate()
        .map(|(n, done)| {
            let row = &REQUIREMENTS[done.task.requirement];
            let sentence = match done.task.condition {
                None if row.weight == Weight::Minor => "No effect on the impact.".to_owned(),
                None => "Its effect is not computed.".to_owned(),
                Some(_) if done.gain.abs() < LEAST_GAIN => {
                    format!(
                        "Changes nothing by itself: {}.",
                        speeds(pole_type, &done.after)
                    )
                }
                Some(_) => format!("Then: {}.", speeds(pole_type, &done.after)),
            };
            Step {
                number: n + 1,
                item: row.item.key.to_owned(),
                requirement: row.title.to_owned(),
                weight: row.weight,
                put_right: items[done.task.requirement]
                    .put_right
                    .clone()
                    .unwrap_or_else(|| row.put_right_in(pole_type.basis(), people)),
                after: done.after,
                sentence,
            }
        })
        .collect()
}

/// What no inspection of a base looks at.
const NEVER: &str =
    "strength of the anchors below ground, wiring, cracks and corrosion of pole and arm";

fn not_looked_at(open: &[Open]) -> Vec<String> {
    let mut list: Vec<String> = open.iter().map(|o| o.requirement.clone()).collect();
    list.push(NEVER.to_owned());
    list
}

/// Each flag of the runs with its sentence, and the words of an outcome.
fn words(tests: &[TestResult]) -> Vec<Note> {
    let mut list: Vec<Note> = Vec::new();
    let mut add = |name: &str, text: &str| {
        if !list.iter().any(|n| n.name == name) {
            list.push(Note {
                name: name.to_owned(),
                text: text.to_owned(),
            });
        }
    };
    for run in tests.iter().flat_map(|t| [&t.as_found, &t.as_designed]) {
        if run.blow.outcome() == Outcome::Marginal {
            add(
                "marginal",
                "within the limit by less than what is not known, or on both sides of it",
            );
        }
        for flag in &run.flags {
            add(&flag.word, &flag.sentence);
        }
    }
    list
}

impl Inspection {
    /// Says every sentence in a system of units; numbers stay SI.
    fn speak(&mut self, system: System) {
        let say = |text: &mut String| *text = spoken(text, system);
        self.reasons.iter_mut().for_each(say);
        self.words.iter_mut().for_each(|n| say(&mut n.text));
        self.conditions
            .iter_mut()
            .for_each(|c| say(&mut c.sentence));
        for test in &mut self.tests {
            for run in [&mut test.as_found, &mut test.as_designed] {
                say(&mut run.sentence);
                run.flags.iter_mut().for_each(|f| say(&mut f.sentence));
            }
        }
        for step in &mut self.order {
            say(&mut step.put_right);
            say(&mut step.sentence);
        }
        for open in &mut self.not_measured {
            say(&mut open.sentence);
            open.reason.iter_mut().for_each(say);
            open.worst_plausible.iter_mut().for_each(say);
        }
        for a in &mut self.assumed {
            say(&mut a.value);
        }
    }

    /// The system of units of its sentences.
    pub fn system(&self) -> System {
        System::named(&self.units).unwrap_or_default()
    }

    /// The worse load of both tests as found; none where a run gave no number.
    pub fn load_as_found(&self) -> Option<f64> {
        let loads: Option<Vec<f64>> = self.tests.iter().map(|t| t.as_found.load).collect();
        loads.map(|l| l.into_iter().fold(0.0, f64::max))
    }

    /// The worse load of both tests as designed; none where a run gave no number.
    pub fn load_as_designed(&self) -> Option<f64> {
        let loads: Option<Vec<f64>> = self.tests.iter().map(|t| t.as_designed.load).collect();
        loads.map(|l| l.into_iter().fold(0.0, f64::max))
    }

    /// The worst load that something not measured would give.
    pub fn load_at_worst(&self) -> Option<f64> {
        let pairs = self.not_measured.iter().filter_map(|o| o.tests.as_ref());
        let loads: Vec<f64> = pairs.map(worst_load).filter(|l| l.is_finite()).collect();
        loads.into_iter().reduce(f64::max)
    }

    /// Number of items with a verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.items.iter().filter(|i| i.verdict == verdict).count()
    }

    /// A load as a percentage of the limit.
    pub fn percent(load: Option<f64>) -> String {
        load.map_or_else(
            || "unknown".to_owned(),
            |l| format!("{} %", shown(100.0 * l, 3)),
        )
    }
}
