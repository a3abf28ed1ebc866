//! A study as a plan: which run is which. It reads a study file, checks every path against its base scenarios, and
//! gives each run by its number. It runs nothing and writes nothing.
//!
//! ```text
//! run = ((file * conditions + condition) * grid points + grid point) * samples + sample
//! ```
//!
//! The last path of the grid moves fastest. The same sample points are drawn at every point of the grid, under every
//! condition and for every file (common random numbers), so that differences between them are not scatter.
//!
//! References: P. Glasserman and D. D. Yao, Some Guidelines and Guarantees for Common Random Numbers, Management Science
//! 38 (1992) \[recalled\].

mod axis;
mod checks;
pub mod codes;
mod columns;
mod document;
mod finding;
mod item;
mod sampled;
pub mod standard;

use std::fmt;

use giveway_impact::content;
use giveway_mechanics::MODEL_VERSION;
use giveway_results::summary::SUMMARY_FORMAT;
use giveway_results::{Cell, CellKind, RunKey, StudyCard, StudyColumn, StudyRow, hash_text};
use giveway_sampling::Design;
use giveway_scenario::model::Scenario;
use giveway_scenario::{Diagnostic, Severity, Template};
use std::ops::Range;

use crate::brief::BriefNumbers;
use crate::numbers::Numbers;
use axis::Axis;
pub(crate) use columns::suffix;
pub use columns::{Needs, output_words};
use columns::{Output, Shown, absent, fixed_columns, name_of, open_books, outputs};
use document::{Level, Sample};
use finding::{Findings, Said};
use item::borrowed;
use sampled::{Law, Value};
use standard::Acts;

pub use document::Histories;

/// Most runs of a study: what a folder of it takes grows with their number (0.3 TB), memory does not.
pub const MOST_RUNS: u64 = 1_000_000_000;

/// What a run gave.
#[expect(
    clippy::large_enum_variant,
    reason = "one a run, moved once; most are brief and need no allocation"
)]
#[derive(Debug, Clone, PartialEq)]
pub enum RunNumbers {
    /// The fewest numbers, where the columns ask for no others.
    Brief(BriefNumbers),
    /// All of them.
    Full(Box<Numbers>),
}

/// A base scenario.
#[derive(Debug)]
struct Base {
    /// Name in the table: the file's stem.
    name: String,
    template: Template,
}

/// A study that can be run.
pub struct Plan {
    title: String,
    bases: Vec<Base>,
    set: Vec<(String, String)>,
    levels: Vec<Level>,
    grid: Vec<Axis>,
    /// How the values of each axis of the grid stand in the table.
    shown: Vec<Shown>,
    sample: Option<Sample>,
    points: Option<Box<dyn Design>>,
    seed: u64,
    outputs: Vec<&'static Output>,
    columns: Vec<StudyColumn>,
    histories: Histories,
    hash: String,
    runs: u64,
}

impl fmt::Debug for Plan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Plan({:?}, {} runs)", self.title, self.runs)
    }
}

/// What is drawn, for people and for tables.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnAxis {
    /// Name of its column, with how it acts and the unit.
    pub column: String,
    /// Its first path, with the word factor or shift where it is not the value; or the name of the standard distribution.
    pub title: String,
    /// Dimension of the number, and the unit for people.
    pub measure: (giveway_units::Dimension, &'static str),
    /// The law in words.
    pub words: String,
    /// Whether it draws numbers.
    pub of_numbers: bool,
}

fn drawn_axis(axis: &sampled::Drawn) -> DrawnAxis {
    let (how, title) = match (&axis.law, axis.acts) {
        (Law::Words(_), _) | (_, Acts::AsValue) => ("", ""),
        (_, Acts::AsFactor) => ("_factor", " (factor)"),
        (_, Acts::AsShift) => ("_shift", " (shift)"),
    };
    let of_numbers = matches!(axis.law, Law::Numbers(_));
    let unit = if of_numbers {
        columns::suffix(axis.measure.0)
    } else {
        ""
    };
    DrawnAxis {
        column: format!("{}{how}{unit}", axis.name),
        title: format!("{}{title}", axis.paths.first().map_or("", String::as_str)),
        measure: axis.measure,
        words: format!("{}: {}.", axis.paths.join(", "), axis.words),
        of_numbers,
    }
}

/// A plan with what a person should look at.
#[derive(Debug)]
pub struct Read {
    /// The plan.
    pub plan: Plan,
    /// Warnings about unusual values.
    pub warnings: Vec<Diagnostic>,
}

/// One run: where it stands, and what it changes.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedRun {
    /// Number of the run, from 0.
    pub index: u64,
    /// Number of its base scenario, from 0.
    pub base: usize,
    /// Name of its level of conditions.
    pub condition: Option<String>,
    /// Number of its sample point, from 0.
    pub point: Option<u64>,
    /// Changes of the base scenario, path and value as after `--set`, in order.
    pub changes: Vec<(String, String)>,
    /// Cells of what was set, in the order of the columns.
    inputs: Vec<Cell>,
}

/// Reads a text beside the study file: its name for messages, and the text.
pub type Load<'a> = dyn Fn(&str) -> Result<(String, String), String> + 'a;

impl Plan {
    /// Reads a study file. `file_name` is for messages; `load` reads a base scenario named in the file; each of `extra`
    /// is a change of every run, as after `--set`.
    ///
    /// # Errors
    /// Every problem of the file at once, in its order.
    pub fn read(
        text: &str,
        file_name: &str,
        extra: &[(String, String)],
        load: &Load<'_>,
    ) -> Result<Read, Vec<Diagnostic>> {
        Self::read_among(text, file_name, extra, load, &[])
    }

    /// As [`Plan::read`], of a plan that was checked before, perhaps on another machine, and has this hash: its values are not
    /// tried one by one again, which takes most of the time.
    ///
    /// # Errors
    /// As [`Plan::read`]; also where it is another plan.
    pub fn read_known(
        text: &str,
        file_name: &str,
        extra: &[(String, String)],
        load: &Load<'_>,
        hash: &str,
    ) -> Result<Read, Vec<Diagnostic>> {
        Self::read_as(text, file_name, extra, load, &[], Some(hash))
    }

    /// As [`Plan::read`], from a file that holds other things besides a study: the sections of these names are left to
    /// their own reader.
    ///
    /// # Errors
    /// As [`Plan::read`].
    pub fn read_among(
        text: &str,
        file_name: &str,
        extra: &[(String, String)],
        load: &Load<'_>,
        others: &[&str],
    ) -> Result<Read, Vec<Diagnostic>> {
        Self::read_as(text, file_name, extra, load, others, None)
    }

    fn read_as(
        text: &str,
        file_name: &str,
        extra: &[(String, String)],
        load: &Load<'_>,
        others: &[&str],
        known: Option<&str>,
    ) -> Result<Read, Vec<Diagnostic>> {
        let mut findings = Findings::new(file_name, text);
        let mut entries = item::read(text, &mut findings);
        entries.retain(|(key, _)| !others.contains(&key.as_str()));
        if !findings.clean() {
            return Err(findings.finish());
        }
        let mut document = document::document(&entries, &mut findings);
        for (path, value) in extra {
            document.set.retain(|(p, ..)| p != path);
            document.set.push((path.clone(), value.clone(), 0));
        }
        let bases = bases(&document.files, load, &mut findings);
        checks::paths_apart(&document, &mut findings);
        if !findings.clean() {
            return Err(findings.finish());
        }
        let points =
            (document.sample.as_ref()).and_then(|sample| sample.design(document.seed).ok());
        let runs = runs(&document, bases.len(), points.as_deref(), &mut findings);
        let shown = (document.grid.iter())
            .map(|a| Shown::of(&a.path, a.values.iter().map(String::as_str)))
            .collect();
        let mut plan = Plan {
            outputs: outputs(&document.columns),
            title: document.title,
            bases,
            set: (document.set.iter())
                .map(|(p, v, _)| (p.clone(), v.clone()))
                .collect(),
            levels: document.levels,
            grid: document.grid,
            shown,
            sample: document.sample,
            points,
            seed: document.seed,
            columns: Vec::new(),
            histories: document.histories,
            hash: String::new(),
            runs,
        };
        plan.columns = plan.make_columns();
        if findings.clean() && known.is_none() {
            checks::check(&plan, &document.set, &mut findings);
        }
        if findings.clean() {
            plan.hash = plan.make_hash();
            if let Some(known) = known.filter(|known| *known != plan.hash) {
                let said = Said::that("this is another plan than the one that was asked for");
                let said = said.found(plan.hash.clone()).allowed(known);
                findings.add("T051", 0, "", said);
            }
        }
        let clean = findings.clean();
        let list = findings.finish();
        if clean {
            Ok(Read {
                plan,
                warnings: list,
            })
        } else {
            Err(list)
        }
    }

    /// Number of runs.
    pub fn runs(&self) -> u64 {
        self.runs
    }

    /// Title.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// blake3 of the resolved plan, hexadecimal.
    pub fn hash(&self) -> &str {
        &self.hash
    }

    /// Columns of the table after `run`, `run_key`, `model_version`, `failed`.
    pub fn columns(&self) -> &[StudyColumn] {
        &self.columns
    }

    /// Which runs leave their time histories.
    pub fn histories(&self) -> &Histories {
        &self.histories
    }

    /// Names of the base scenarios, in order.
    pub fn bases(&self) -> impl Iterator<Item = &str> {
        self.bases.iter().map(|base| base.name.as_str())
    }

    /// How the number of runs comes about, for people.
    pub fn size_in_words(&self) -> String {
        let mut parts = vec![format!("{} base", self.bases.len())];
        if !self.levels.is_empty() {
            parts.push(format!("{} conditions", self.levels.len()));
        }
        parts.extend(
            self.grid
                .iter()
                .map(|a| format!("{} of {}", a.values.len(), a.path)),
        );
        if let (Some(sample), Some(points)) = (&self.sample, &self.points) {
            parts.push(format!("{} points ({})", points.size(), sample.method));
        }
        parts.join(" x ")
    }

    /// The card of a slice of the study's runs.
    pub fn card(&self, slice: Range<u64>) -> StudyCard {
        StudyCard {
            title: self.title.clone(),
            plan_hash: self.hash.clone(),
            model_version: MODEL_VERSION,
            summary_format: SUMMARY_FORMAT,
            planned_rows: self.runs,
            first: slice.start,
            end: slice.end,
            columns: self.columns.clone(),
        }
    }

    /// A run by its number, which is below [`Plan::runs`].
    ///
    /// # Errors
    /// What is wrong with its base scenario or a drawn value, as one line.
    pub fn run(&self, index: u64) -> Result<PlannedRun, String> {
        let mut rest = index;
        let mut take = |count: u64| {
            let place = rest % count;
            rest /= count;
            place
        };
        let point = self.points.as_ref().map(|points| take(points.size()));
        let mut places = vec![0; self.grid.len()];
        for (place, axis) in places.iter_mut().zip(&self.grid).rev() {
            *place = take(axis.values.len() as u64) as usize;
        }
        let level = take(self.levels.len().max(1) as u64) as usize;
        let base = take(self.bases.len() as u64) as usize;
        self.at(index, base, level, &places, point)
    }

    /// A run by its places.
    fn at(
        &self,
        index: u64,
        base: usize,
        level: usize,
        places: &[usize],
        point: Option<u64>,
    ) -> Result<PlannedRun, String> {
        let level = self.levels.get(level);
        let mut changes = self.set.clone();
        let mut inputs = Vec::new();
        if self.bases.len() > 1 {
            inputs.push(Cell::Text(Some(self.bases[base].name.clone())));
        }
        if let Some(level) = level {
            changes.extend(level.changes.iter().cloned());
            inputs.push(Cell::Text(Some(level.name.clone())));
        }
        for ((axis, &place), shown) in self.grid.iter().zip(places).zip(&self.shown) {
            let value = &axis.values[place];
            changes.push((axis.path.clone(), value.clone()));
            inputs.push(shown.cell(value));
        }
        if let (Some(sample), Some(points), Some(point)) = (&self.sample, &self.points, point) {
            let mut place = vec![0.0; points.dimensions()];
            points.fill(point, &mut place).map_err(|e| e.to_string())?;
            inputs.push(Cell::Count(i64::try_from(point).ok()));
            let template = &self.bases[base].template;
            for (axis, place) in sample.axes.iter().zip(&place) {
                let value = axis.value(*place).map_err(|e| e.to_string())?;
                axis.change(&value, template, &mut changes)
                    .map_err(|d| one_line(&d))?;
                inputs.push(match value {
                    Value::Number(number) => Cell::Number(Some(number)),
                    Value::Word(word) => Cell::Text(Some(word)),
                });
            }
        }
        Ok(PlannedRun {
            index,
            base,
            condition: level.map(|l| l.name.clone()),
            point,
            changes,
            inputs,
        })
    }

    /// What is drawn, in the order of the places of [`Plan::drawn`].
    pub fn drawn_axes(&self) -> Vec<DrawnAxis> {
        let axes = self.sample.as_ref().map_or(&[][..], |s| &s.axes);
        axes.iter().map(drawn_axis).collect()
    }

    /// Number of points of the sample; 0 where nothing is drawn.
    pub fn sample_points(&self) -> u64 {
        self.points.as_ref().map_or(0, |points| points.size())
    }

    /// Number of points of the grid: 1 where there is none.
    pub fn grid_points(&self) -> u64 {
        self.grid.iter().map(|a| a.values.len() as u64).product()
    }

    /// Whether it has levels of installation conditions.
    pub fn has_conditions(&self) -> bool {
        !self.levels.is_empty()
    }

    /// The root of everything that is drawn.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The values of a point of the grid in words, one for each axis: path and value.
    pub fn grid_values(&self, point: u64) -> Vec<(String, String)> {
        let mut rest = point;
        let mut values: Vec<(String, String)> = Vec::new();
        for axis in self.grid.iter().rev() {
            let count = axis.values.len() as u64;
            values.push((
                axis.path.clone(),
                axis.values[(rest % count) as usize].clone(),
            ));
            rest /= count;
        }
        values.reverse();
        values
    }

    /// The numbers at places in the unit cube, one place for each drawn axis.
    ///
    /// # Errors
    /// A place outside 0 to 1, or an axis of words.
    pub fn drawn(&self, places: &[f64]) -> Result<Vec<f64>, String> {
        let axes = self.sample.as_ref().map_or(&[][..], |s| &s.axes);
        axes.iter()
            .zip(places)
            .map(|(axis, place)| match axis.value(*place) {
                Ok(Value::Number(number)) => Ok(number),
                Ok(Value::Word(_)) => Err(format!("`{}` has words, not numbers", axis.name)),
                Err(problem) => Err(problem.to_string()),
            })
            .collect()
    }

    /// The scenario of a base and a point of the grid with these numbers for what is drawn and these further changes.
    ///
    /// # Errors
    /// What is wrong with it, as one line.
    pub fn scenario_with(
        &self,
        base: usize,
        grid_point: u64,
        numbers: &[f64],
        further: &[(String, String)],
    ) -> Result<Scenario, String> {
        let template = &self.bases[base].template;
        let mut changes = self.set.clone();
        changes.extend(self.grid_values(grid_point));
        changes.extend(further.iter().cloned());
        let axes = self.sample.as_ref().map_or(&[][..], |s| &s.axes);
        for (axis, number) in axes.iter().zip(numbers) {
            axis.change(&Value::Number(*number), template, &mut changes)
                .map_err(|d| one_line(&d))?;
        }
        template.with(&borrowed(&changes)).map_err(|d| one_line(&d))
    }

    /// The scenario of a run.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn scenario(&self, run: &PlannedRun) -> Result<Scenario, Vec<Diagnostic>> {
        self.bases[run.base].template.with(&borrowed(&run.changes))
    }

    /// The same with warnings, assumptions and the resolved copy.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn load(&self, run: &PlannedRun) -> Result<giveway_scenario::Loaded, Vec<Diagnostic>> {
        self.bases[run.base].template.load(&borrowed(&run.changes))
    }

    /// The row of a run.
    pub fn row(
        &self,
        run: &PlannedRun,
        key: RunKey,
        scenario: &Scenario,
        numbers: &RunNumbers,
    ) -> StudyRow {
        let (brief, full) = match numbers {
            RunNumbers::Brief(brief) => (brief.clone(), None),
            RunNumbers::Full(full) => (full.brief(), Some(full.as_ref())),
        };
        if let Some(reason) = open_books(&brief) {
            return self.failed_row(run.index, Some(run), key, reason);
        }
        let mut cells = run.inputs.clone();
        let preload = scenario.base.preload_n;
        cells.push(Cell::Number(preload.is_finite().then_some(preload)));
        cells.push(Cell::Text(None));
        cells.extend(self.outputs.iter().map(|output| {
            let cell = output.cell(&brief, full);
            cell.unwrap_or_else(|| absent(output.kind))
        }));
        StudyRow {
            index: run.index,
            key,
            failed: false,
            cells,
        }
    }

    /// How much of each run its columns ask for; less costs less.
    pub fn needs(&self) -> Needs {
        let each = self.outputs.iter().map(|output| output.needs());
        each.max().unwrap_or(Needs::Engagement)
    }

    /// The row of a run that has no numbers.
    pub fn failed_row(
        &self,
        index: u64,
        run: Option<&PlannedRun>,
        key: RunKey,
        reason: String,
    ) -> StudyRow {
        let mut cells = run.map(|r| r.inputs.clone()).unwrap_or_default();
        for column in &self.columns[cells.len()..] {
            cells.push(match column.name.as_str() {
                "reason" => Cell::Text(Some(reason.clone())),
                _ => absent(column.kind),
            });
        }
        StudyRow {
            index,
            key,
            failed: true,
            cells,
        }
    }

    fn make_columns(&self) -> Vec<StudyColumn> {
        let column = |name: &str, meaning: String, kind| StudyColumn {
            name: name.to_owned(),
            meaning,
            kind,
        };
        let mut columns = Vec::new();
        if self.bases.len() > 1 {
            let meaning = "Base scenario: the file's name without its ending.";
            columns.push(column("base", meaning.into(), CellKind::Text));
        }
        if !self.levels.is_empty() {
            let meaning = "Level of the installation conditions.";
            columns.push(column("condition", meaning.into(), CellKind::Text));
        }
        for (axis, shown) in self.grid.iter().zip(&self.shown) {
            let name = name_of(&axis.path) + shown.suffix();
            columns.push(column(&name, format!("Set: {}.", axis.path), shown.kind()));
        }
        if let Some(sample) = &self.sample {
            let meaning = format!(
                "Number of the sample point, from 0 ({}, seed {}).",
                sample.method, self.seed
            );
            columns.push(column("point", meaning, CellKind::Count));
            for axis in sample.axes.iter().map(drawn_axis) {
                let kind = if axis.of_numbers {
                    CellKind::Number
                } else {
                    CellKind::Text
                };
                columns.push(column(&axis.column, axis.words, kind));
            }
        }
        columns.extend(fixed_columns());
        columns.extend(self.outputs.iter().map(|output| output.column()));
        columns
    }

    /// What the plan asks for, whatever the file looks like: its values, its columns, and the first scenario of each
    /// file and condition.
    fn make_hash(&self) -> String {
        let mut text = format!("{:?}\n{:?}\n", self.set, self.columns);
        for axis in &self.grid {
            text.push_str(&format!("{} {:?}\n", axis.path, axis.values));
        }
        for level in &self.levels {
            text.push_str(&format!("{} {:?}\n", level.name, level.changes));
        }
        if let (Some(sample), Some(points)) = (&self.sample, &self.points) {
            text.push_str(&format!("{} {}\n", sample.method, points.size()));
            for axis in &sample.axes {
                text.push_str(&format!(
                    "{:?} {:?} {:?}\n",
                    axis.paths, axis.acts, axis.law
                ));
            }
            // The seed shows in the points.
            for point in [0, points.size() - 1] {
                text.push_str(&format!("{:?}\n", points.point(point)));
            }
        }
        let places = vec![0; self.grid.len()];
        for base in 0..self.bases.len() {
            text.push_str(&format!("{}\n", self.bases[base].name));
            for level in 0..self.levels.len().max(1) {
                let point = self.points.as_ref().map(|_| 0);
                let run = self.at(0, base, level, &places, point);
                let scenario = run.ok().and_then(|run| self.scenario(&run).ok());
                text.push_str(&format!(
                    "{}\n",
                    scenario.as_ref().map_or(String::new(), content)
                ));
            }
        }
        hash_text(&text)
    }
}

/// Key of a run: the content of its resolved scenario and the model's version.
pub fn run_key(scenario: &Scenario) -> RunKey {
    RunKey::of(&content(scenario), MODEL_VERSION)
}

/// Key of a run that has no scenario: what it would have changed.
pub fn key_without_scenario(run: Option<&PlannedRun>, reason: &str) -> RunKey {
    RunKey::of(
        &format!("no scenario: {:?} {reason}", run.map(|r| &r.changes)),
        MODEL_VERSION,
    )
}

/// The first error in one line.
pub fn one_line(diagnostics: &[Diagnostic]) -> String {
    let error = diagnostics.iter().find(|d| d.severity == Severity::Error);
    let Some(d) = error.or(diagnostics.first()) else {
        return "the scenario cannot be resolved".to_owned();
    };
    let mut text = format!("{}: {}: {}", d.code, d.path, d.message);
    if let Some(allowed) = &d.allowed {
        text.push_str(&format!("; allowed: {allowed}"));
    }
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// Reads the base scenarios.
fn bases(files: &[(String, usize)], load: &Load<'_>, findings: &mut Findings<'_>) -> Vec<Base> {
    let mut bases: Vec<Base> = Vec::new();
    for (file, at) in files {
        let (name, text) = match load(file) {
            Ok(read) => read,
            Err(problem) => {
                let said = Said::that(problem).found(file.clone());
                findings.add(
                    "T030",
                    *at,
                    "base",
                    said.hint("a path from the study file's folder"),
                );
                continue;
            }
        };
        match Template::new(&text, &name) {
            Ok(template) => {
                let last = file.rsplit(['/', '\\']).next().unwrap_or(file);
                let stem = last.strip_suffix(".toml").unwrap_or(last);
                let twins = bases.iter().filter(|b| b.name == stem).count();
                let name = match twins {
                    0 => stem.to_owned(),
                    _ => file.clone(),
                };
                bases.push(Base { name, template });
            }
            Err(list) => checks::base_is_wrong(&name, *at, &list, findings),
        }
    }
    bases
}

/// Number of runs; 1 where there are too many, which is found.
fn runs(
    document: &document::Document,
    bases: usize,
    points: Option<&dyn Design>,
    findings: &mut Findings<'_>,
) -> u64 {
    let mut factors = vec![bases as u64, document.levels.len().max(1) as u64];
    factors.extend(document.grid.iter().map(|axis| axis.values.len() as u64));
    factors.extend(points.map(|p| p.size()));
    let product = factors
        .iter()
        .try_fold(1u64, |product, factor| product.checked_mul(*factor));
    match product {
        Some(runs) if runs <= MOST_RUNS => runs,
        _ => {
            let factors: Vec<String> = factors
                .iter()
                .filter(|f| **f != 1)
                .map(u64::to_string)
                .collect();
            let at = (document.grid.first().map(|a| a.at))
                .or(document.sample.as_ref().map(|s| s.at))
                .unwrap_or(0);
            let said = Said::that("the study has too many runs")
                .found(factors.join(" x "))
                .allowed(format!("at most {MOST_RUNS}"))
                .hint("fewer values, or `[sample]` with some hundreds of points");
            findings.add("T050", at, "", said);
            1
        }
    }
}
