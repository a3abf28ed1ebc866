//! A study file as its parts, each read by itself; what they mean together is looked at afterwards.

use giveway_sampling::{
    Crossed, Design, LatinHypercube, MonteCarlo, Placement, Scrambling, Sobol, Trajectories,
};
use giveway_units::nearest;

use super::axis::{Axis, axis, is_range};
use super::columns::OUTPUTS;
use super::finding::{Findings, Said};
use super::item::{Content, Item, leaves, unknown};
use super::sampled::{Drawn, drawn, is_law, of_standard};
use super::standard::{STANDARD, standard};

/// A level of the installation conditions.
#[derive(Debug, Clone)]
pub(super) struct Level {
    pub name: String,
    /// Changes, paths from the top of the scenario.
    pub changes: Vec<(String, String)>,
    pub at: usize,
}

/// Which runs leave their time histories.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Histories {
    /// None.
    None,
    /// All of them.
    All,
    /// These.
    Runs(Vec<u64>),
}

/// What is drawn, and how.
#[derive(Clone)]
pub(super) struct Sample {
    pub method: &'static str,
    pub count: u64,
    pub axes: Vec<Drawn>,
    pub at: usize,
}

/// The parts of a study file.
pub(super) struct Document {
    pub title: String,
    pub files: Vec<(String, usize)>,
    pub seed: u64,
    /// Path, value, place.
    pub set: Vec<(String, String, usize)>,
    pub levels: Vec<Level>,
    pub grid: Vec<Axis>,
    pub sample: Option<Sample>,
    pub columns: Vec<String>,
    pub histories: Histories,
}

const KEYS: [&str; 10] = [
    "title",
    "notes",
    "base",
    "files",
    "seed",
    "set",
    "grid",
    "sample",
    "condition",
    "output",
];

/// Methods of drawing.
const METHODS: [&str; 5] = [
    "sobol",
    "latin-hypercube",
    "random",
    "trajectories",
    "crossed",
];

/// Most points of a sample.
const MOST_POINTS: u64 = 1_000_000_000;

/// Reads the parts; what is wrong is found, what can be read is returned.
pub(super) fn document(entries: &[(String, Item)], findings: &mut Findings<'_>) -> Document {
    let mut document = Document {
        title: String::new(),
        files: Vec::new(),
        seed: 1,
        set: Vec::new(),
        levels: Vec::new(),
        grid: Vec::new(),
        sample: None,
        columns: Vec::new(),
        histories: Histories::None,
    };
    let never = |_: &[(String, Item)]| false;
    for (key, item) in entries {
        match key.as_str() {
            "title" => {
                let title = item.text(key, findings).unwrap_or_default();
                if title.chars().any(giveway_units::invisible) {
                    let said = Said::that("the title holds an invisible character".to_owned());
                    findings.add(
                        "T014",
                        item.at,
                        key,
                        said.allowed("characters that can be seen"),
                    );
                }
                document.title = title.to_owned();
            }
            "notes" => drop(item.text(key, findings)),
            "base" => {
                let name = item.text(key, findings).unwrap_or_default().to_owned();
                document.files.push((name, item.at));
            }
            "files" => {
                for one in item.list(key, findings) {
                    let name = one.text(key, findings).unwrap_or_default().to_owned();
                    document.files.push((name, one.at));
                }
            }
            "seed" => document.seed = item.whole(key, findings).unwrap_or(1),
            "set" => {
                for (path, one) in leaves(item.table(key, findings), &never) {
                    document.set.push((path, one.raw.clone(), one.at));
                }
            }
            "grid" => {
                for (path, one) in leaves(item.table(key, findings), &is_range) {
                    document.grid.extend(axis(&path, one, findings));
                }
            }
            "sample" => document.sample = sample(item, findings),
            "condition" => {
                for one in item.list(key, findings) {
                    document.levels.extend(level(one, findings));
                }
            }
            "output" => output(item, &mut document, findings),
            _ => unknown(key, item, &KEYS, "at the top of a study", findings),
        }
    }
    let has = |name: &str| entries.iter().find(|(key, _)| key == name);
    if let (Some(_), Some((_, files))) = (has("base"), has("files")) {
        let said = Said::that("`base` and `files` are both given").allowed("one of them");
        findings.add("T042", files.at, "files", said);
    } else if document.files.is_empty() && !entries.is_empty() {
        let said = Said::that("the base scenario is missing").hint("base = \"../first.toml\"");
        findings.add("T011", 0, "base", said);
    }
    names_differ(&document.levels, findings);
    document
}

fn names_differ(levels: &[Level], findings: &mut Findings<'_>) {
    for (i, level) in levels.iter().enumerate() {
        if levels[..i].iter().any(|other| other.name == level.name) {
            let said = Said::that("two levels have this name").found(level.name.clone());
            findings.add("T041", level.at, "condition", said);
        }
    }
}

/// One `[[condition]]`: its name, and what is found, by paths below `as_found`.
fn level(item: &Item, findings: &mut Findings<'_>) -> Option<Level> {
    let mut name = None;
    let mut changes = Vec::new();
    for (key, inner) in item.table("condition", findings) {
        match key.as_str() {
            "name" => name = inner.text("condition.name", findings).map(str::to_owned),
            "found" => {
                let never = |_: &[(String, Item)]| false;
                for (path, one) in leaves(inner.table("condition.found", findings), &never) {
                    changes.push((format!("as_found.{path}"), one.raw.clone()));
                }
            }
            _ => unknown(key, inner, &["name", "found"], "in [[condition]]", findings),
        }
    }
    let Some(name) = name.filter(|n| !n.trim().is_empty()) else {
        let said = Said::that("a level needs a name").hint("name = \"clean\"");
        findings.add("T011", item.at, "condition.name", said);
        return None;
    };
    Some(Level {
        name,
        changes,
        at: item.at,
    })
}

fn sample(item: &Item, findings: &mut Findings<'_>) -> Option<Sample> {
    let keys = ["method", "count", "standard", "over"];
    let mut method = "sobol";
    let mut count = None;
    let mut axes = Vec::new();
    for (key, inner) in item.table("sample", findings) {
        match key.as_str() {
            "method" => {
                let word = inner.text("sample.method", findings).unwrap_or_default();
                match METHODS.iter().find(|m| **m == word) {
                    Some(known) => method = known,
                    None => not_a_choice("sample.method", inner, word, &METHODS, findings),
                }
            }
            "count" => count = Some((inner.whole("sample.count", findings), inner.at)),
            "standard" => {
                for one in inner.list("sample.standard", findings) {
                    let word = one.text("sample.standard", findings).unwrap_or_default();
                    match standard(word).and_then(|row| of_standard(row, one.at)) {
                        Some(axis) => axes.push(axis),
                        None => {
                            let names: Vec<&str> = STANDARD.iter().map(|s| s.name).collect();
                            not_a_choice("sample.standard", one, word, &names, findings);
                        }
                    }
                }
            }
            "over" => {
                for (path, one) in leaves(inner.table("sample.over", findings), &is_law) {
                    axes.extend(drawn(&path, one, findings));
                }
            }
            _ => unknown(key, inner, &keys, "in [sample]", findings),
        }
    }
    let Some((count, at)) = count else {
        let said = Said::that("the number of points is missing").hint("count = 256");
        findings.add("T011", item.at, "sample.count", said);
        return None;
    };
    let count = count?;
    if !(1..=MOST_POINTS).contains(&count) {
        let said = Said::that("a sample has this many points");
        let said = said.found(count.to_string());
        findings.add(
            "T023",
            at,
            "sample.count",
            said.allowed(format!("1 to {MOST_POINTS}")),
        );
        return None;
    }
    if axes.is_empty() {
        if findings.clean() {
            let said = Said::that("nothing is drawn").hint("standard = [\"nut-factor\"]");
            findings.add("T011", item.at, "sample", said);
        }
        return None;
    }
    let sample = Sample {
        method,
        count,
        axes,
        at,
    };
    if let Err(problem) = sample.design(1) {
        findings.add("T023", at, "sample.count", Said::that(problem));
        return None;
    }
    Some(sample)
}

fn not_a_choice(path: &str, item: &Item, word: &str, names: &[&str], findings: &mut Findings<'_>) {
    let said = Said::that("this name is not known here")
        .found(word)
        .allowed(names.join(", "));
    let said = match nearest(word, names.iter().copied()) {
        Some(meant) => said.hint(format!("did you mean `{meant}`?")),
        None => said,
    };
    findings.add("T013", item.at, path, said);
}

impl Sample {
    /// The points of the sample.
    pub fn design(&self, root: u64) -> Result<Box<dyn Design>, String> {
        let dimensions = self.axes.len();
        let said = |e: giveway_sampling::SamplingError| e.to_string();
        Ok(match self.method {
            "latin-hypercube" => Box::new(
                LatinHypercube::new(dimensions, self.count, Placement::Random, root)
                    .map_err(said)?,
            ),
            "random" => Box::new(MonteCarlo::new(dimensions, self.count, root).map_err(said)?),
            "trajectories" => Box::new(
                Trajectories::new(dimensions, self.count, 4, root)
                    .and_then(|t| t.with_edge(0.01))
                    .map_err(said)?,
            ),
            "crossed" => {
                let base =
                    Sobol::new(2 * dimensions, self.count, Scrambling::Owen(root)).map_err(said)?;
                Box::new(Crossed::new(base, self.count).map_err(said)?)
            }
            _ => {
                Box::new(Sobol::new(dimensions, self.count, Scrambling::Owen(root)).map_err(said)?)
            }
        })
    }
}

fn output(item: &Item, document: &mut Document, findings: &mut Findings<'_>) {
    for (key, inner) in item.table("output", findings) {
        match key.as_str() {
            "columns" => {
                for one in inner.list("output.columns", findings) {
                    let name = one.text("output.columns", findings).unwrap_or_default();
                    if OUTPUTS.iter().all(|o| o.name != name) {
                        let names: Vec<&str> = OUTPUTS.iter().map(|o| o.name).collect();
                        let said = Said::that("the output has no such column")
                            .found(name)
                            .allowed(names.join(", "));
                        let said = match nearest(name, names.iter().copied()) {
                            Some(meant) => said.hint(format!("did you mean `{meant}`?")),
                            None => said,
                        };
                        findings.add("T060", one.at, "output.columns", said);
                    }
                    document.columns.push(name.to_owned());
                }
            }
            "histories" => {
                document.histories = match &inner.content {
                    Content::List(items) => Histories::Runs(
                        items
                            .iter()
                            .filter_map(|i| i.whole("output.histories", findings))
                            .collect(),
                    ),
                    Content::Text if inner.raw == "all" => Histories::All,
                    Content::Text if inner.raw == "none" => Histories::None,
                    _ => {
                        let wanted = "\"none\", \"all\" or a list of runs";
                        inner.wrong("output.histories", wanted, findings);
                        Histories::None
                    }
                }
            }
            _ => unknown(
                key,
                inner,
                &["columns", "histories"],
                "in [output]",
                findings,
            ),
        }
    }
}
