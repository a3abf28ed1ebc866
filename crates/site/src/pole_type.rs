//! A pole's type: its scenario as designed, put through the governing tests.

use std::sync::{PoisonError, RwLock};

use giveway_impact::outcome::Ending;
use giveway_occupant::Blow;
use giveway_results::summary::Finding;
use giveway_scenario::model::{Anchorage, AsFound, LimitOverride, Scenario};
use giveway_scenario::{Diagnostic, Severity};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::finding::{At, Said, diagnostic};
use crate::profile::{Basis, Bound, Profile};
use crate::record::Record;
use crate::requirements::REQUIREMENTS;
use crate::settings::{self, Setting};
use giveway_study::{GoverningTest, governing};

/// Computes one scenario. The program passes its own solver; tests pass numbers made by hand.
pub type Solver<'a> = dyn Fn(&Scenario) -> TestNumbers + Sync + 'a;

/// One run of one test in few numbers. A run that could not be computed has an error and no numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TestNumbers {
    /// How the engagement ended.
    pub ending: Option<Ending>,
    /// Speed lost along the initial direction of travel at loss of contact (at the end of the engagement while contact
    /// lasts), m/s.
    pub velocity_change_mps: Option<f64>,
    /// Occupant impact velocity, longitudinal, m/s.
    pub occupant_impact_velocity_mps: Option<f64>,
    /// Largest value over its limit among the governing document's checks of the motion of vehicle and occupant; more
    /// than 1 fails.
    pub load: Option<f64>,
    /// Verdict of the blow by the governing document.
    #[serde(rename = "outcome")]
    pub blow: Blow,
    /// Its sentence, with the remarks on dents.
    pub sentence: String,
    /// Remarks on dents of roof and windscreen that do not pass, for example "roof: fail, by a rough estimate". They have no part in
    /// the decision.
    #[serde(default)]
    pub dents: Vec<String>,
    /// Whether the clamped base stands in the design wind.
    pub stands_in_wind: Option<bool>,
    /// Findings of the run.
    pub flags: Vec<Finding>,
    /// Why the run could not be computed.
    pub error: Option<String>,
}

impl TestNumbers {
    /// A run that could not be computed.
    pub fn failed(error: String) -> Self {
        Self {
            ending: None,
            velocity_change_mps: None,
            occupant_impact_velocity_mps: None,
            load: None,
            blow: Blow::NotEvaluated,
            sentence: error.clone(),
            dents: Vec::new(),
            stands_in_wind: None,
            flags: Vec::new(),
            error: Some(error),
        }
    }
}

/// The low-speed and the high-speed test of one state of the base.
pub type Pair = [TestNumbers; 2];

/// The worse of the two loads; none where neither is known. A run without a number counts as worse than any number.
pub fn worst_load(pair: &Pair) -> f64 {
    pair.iter()
        .map(|run| run.load.unwrap_or(f64::INFINITY))
        .fold(0.0, f64::max)
}

/// The same as it counts for the order of work: each test that fails adds a whole limit, because it may fail by something
/// else than the motion of vehicle and occupant, such as the stub left standing.
pub fn weighed(pair: &Pair) -> f64 {
    let failing = pair.iter().filter(|run| run.blow == Blow::Fail);
    worst_load(pair) + failing.count() as f64
}

/// A type that was read without errors.
pub struct PoleType {
    /// File as named by the caller.
    pub file: String,
    /// The scenario as designed.
    pub design: Scenario,
    /// The tests.
    pub tests: [GoverningTest; 2],
    /// What limits are taken from, with those that the scenario sets itself.
    pub profile: Profile,
    /// Changes that the profile makes to the scenario.
    changes: Vec<(String, String)>,
    text: String,
    scenarios: [Scenario; 2],
    /// States of the base that many poles of a type share, solved once.
    known: RwLock<Vec<(AsFound, Pair)>>,
}

/// Most states that are kept.
const MOST: usize = 512;

impl PoleType {
    /// Reads the scenario of a type. `file` is only used in diagnostics.
    ///
    /// # Errors
    /// What is wrong with the scenario, in its own codes, or why it is no type (R042).
    pub fn read(text: &str, file: &str) -> Result<Self, Vec<Diagnostic>> {
        Self::read_with(text, file, &Profile::trade())
    }

    /// The same by the limits of a profile.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_with(text: &str, file: &str, profile: &Profile) -> Result<Self, Vec<Diagnostic>> {
        let (loaded, changes) = profile.read_scenario(text, file, &[])?;
        let design = loaded.scenario;
        let profile = profile.with(&design);
        let refuse = |message: &str| {
            let said = Said::that(message);
            Err(vec![diagnostic("R042", file, At::START, "", said)])
        };
        if design.base.anchorage == Anchorage::Fixed {
            return refuse("a fixed obstacle has no slip base to inspect");
        }
        if design.as_found != AsFound::default() {
            return refuse(
                "a type describes the design; what was found stands in the record, not in [as_found]",
            );
        }
        let Some(&set) = design.criteria.sets.first() else {
            return refuse("the type names no document in criteria.sets to judge by");
        };
        let tests = governing(set, design.impact.speed_mps);
        let scenarios = [
            test_scenario(text, file, &design, &tests[0], &changes)?,
            test_scenario(text, file, &design, &tests[1], &changes)?,
        ];
        let scenarios = scenarios.map(|s| tape_height(s, &profile));
        Ok(Self {
            file: file.to_owned(),
            text: text.to_owned(),
            design,
            tests,
            profile,
            changes,
            scenarios,
            known: RwLock::new(Vec::new()),
        })
    }

    /// What a record says of the base, as changes of the type's scenario: path and value as after `--set`.
    pub fn changes_of(&self, record: &Record) -> Vec<(String, String)> {
        let measured = (0..REQUIREMENTS.len())
            .flat_map(|requirement| settings::of(requirement, record, self.basis()).list);
        (self.changes.iter().cloned())
            .chain(measured.map(|s| (s.path, s.literal)))
            .collect()
    }

    /// The findings that a list of settings makes of this type.
    ///
    /// # Errors
    /// What the scenario says against a value, with the place in the record.
    pub fn found(
        &self,
        settings: &[Setting],
        file: &str,
    ) -> Result<(AsFound, Vec<Diagnostic>), Vec<Diagnostic>> {
        let found = settings.iter().map(|s| (s.path.clone(), s.literal.clone()));
        let overrides: Vec<(String, String)> = self.changes.iter().cloned().chain(found).collect();
        match giveway_scenario::read(&self.text, &self.file, &overrides) {
            Ok(loaded) => {
                let warnings = loaded
                    .warnings
                    .iter()
                    .filter_map(|d| carried(d, settings, file))
                    .collect();
                Ok((loaded.scenario.as_found, warnings))
            }
            Err(list) => {
                let errors = list.iter().filter(|d| d.severity == Severity::Error);
                let carried: Vec<Diagnostic> = errors
                    .map(|d| carried(d, settings, file).unwrap_or_else(|| d.clone()))
                    .collect();
                Err(carried)
            }
        }
    }

    /// What limits are taken from.
    pub fn basis(&self) -> Basis<'_> {
        Basis {
            design: &self.design,
            profile: &self.profile,
        }
    }

    /// Mass of the tests' vehicle, kg.
    pub fn mass_kg(&self) -> f64 {
        self.scenarios[0].vehicle.mass_kg
    }

    /// Both tests with a state of the base.
    pub fn run(&self, found: &AsFound, solver: &Solver<'_>) -> Pair {
        let known = || {
            let list = self.known.read().unwrap_or_else(PoisonError::into_inner);
            list.iter()
                .find(|(state, _)| state == found)
                .map(|(_, pair)| pair.clone())
        };
        if let Some(pair) = known() {
            return pair;
        }
        let pair = [0, 1].map(|i| {
            let mut scenario = self.scenarios[i].clone();
            scenario.as_found = found.clone();
            solver(&scenario)
        });
        let mut list = self.known.write().unwrap_or_else(PoisonError::into_inner);
        // Two threads may have solved the same state, with the same digits.
        if list.len() < MOST && !list.iter().any(|(state, _)| state == found) {
            list.push((found.clone(), pair.clone()));
        }
        pair
    }
}

/// The type's scenario with the vehicle and the impact of a test.
fn test_scenario(
    text: &str,
    file: &str,
    design: &Scenario,
    test: &GoverningTest,
    changes: &[(String, String)],
) -> Result<Scenario, Vec<Diagnostic>> {
    let sets: Vec<String> = design
        .criteria
        .sets
        .iter()
        .map(|set| format!("\"{}\"", set.name()))
        .collect();
    let mut overrides = changes.to_vec();
    overrides.retain(|(path, _)| path != "criteria.sets");
    overrides.push(("criteria.sets".to_owned(), format!("[{}]", sets.join(", "))));
    // A vehicle of the test's class keeps what the type says about it.
    if design.vehicle.class != test.class {
        overrides.push((
            "vehicle".to_owned(),
            format!("{{ class = \"{}\" }}", test.class),
        ));
    }
    // Impact values of the type may not suit another vehicle; the test sets its own.
    overrides.push(("impact.face".to_owned(), "\"front\"".to_owned()));
    overrides.push(("impact.offset".to_owned(), "\"centre\"".to_owned()));
    let direction = format!(
        "{} rad",
        giveway_units::shortest_number(design.impact.velocity_direction_rad)
    );
    overrides.push(("impact.heading".to_owned(), format!("\"{direction}\"")));
    overrides.push((
        "impact.velocity_direction".to_owned(),
        format!("\"{direction}\""),
    ));
    let mut scenario = giveway_scenario::read(text, file, &overrides)?.scenario;
    test.apply(&mut scenario);
    Ok(scenario)
}

/// The height of the lower plate is read with a tape and judged as such, by the requirement. The run must not judge the
/// same height by a finer rule: its limit is the larger twin and half a step of the tape.
fn tape_height(mut scenario: Scenario, profile: &Profile) -> Scenario {
    const KEY: &str = "stub_height_m";
    let twin = profile.limit(Bound::PlateHeight);
    let limits = &mut scenario.criteria.overrides;
    let source = limits.iter().find(|o| o.key == KEY).map_or_else(
        || Bound::PlateHeight.standard().source.to_owned(),
        |o| o.source.clone(),
    );
    limits.retain(|o| o.key != KEY);
    limits.push(LimitOverride {
        key: KEY.to_owned(),
        value: twin.si.max(twin.us) + Bound::PlateHeight.standard().slack,
        source,
    });
    scenario
}

/// A diagnostic of the scenario about a setting, as one of the record at the item's place; none if it is about something else.
fn carried(d: &Diagnostic, settings: &[Setting], file: &str) -> Option<Diagnostic> {
    let setting = settings.iter().find(|s| s.path == d.path).or_else(|| {
        settings
            .iter()
            .find(|s| s.path.starts_with(&d.path) && !d.path.is_empty())
    })?;
    let code = match (d.severity, d.code) {
        (Severity::Warning, _) => "R502",
        (_, "S071") => "R031",
        _ => "R030",
    };
    // The scenario names the override; the record names its own key.
    let message = d.message.split(" (in `").next().unwrap_or(&d.message);
    Some(diagnostic(
        code,
        file,
        setting.at,
        setting.key,
        Said {
            found: d.found.clone(),
            allowed: d.allowed.clone(),
            ..Said::that(message)
        },
    ))
}
