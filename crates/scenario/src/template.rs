//! One file, many scenarios: parsed once, then resolved again and again with other values.
//!
//! [`crate::read`] parses the text, looks for every default in a dozen rounds and writes the resolved copy. A study
//! that changes three numbers needs none of that a second time. A template keeps, for each *shape* of changes (which
//! paths are changed, and to which words where the value is a word), the filled store of the first such scenario
//! with what was made from what. A further scenario of that shape
//!
//! 1. takes the new numbers into the store,
//! 2. makes anew what was made from them, directly or not,
//! 3. repeats the checks and
//! 4. the parts of the scenario that look at any of these.
//!
//! Which values are there and which are given is the same for all scenarios of a shape, so everything else is equal.
//! Where the short way meets anything wrong, the long way runs instead and says it in its words.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError, RwLock};

use crate::assemble::{PARTS, Part};
use crate::checks::{CHECKS, Check};
use crate::diagnostic::{Diagnostic, Findings, Place};
use crate::fill;
use crate::grammar::{self, Row};
use crate::model::Scenario;
use crate::reading::{Loaded, resolve};
use crate::store::{Data, NAMED_OFFSET, Store, note};
use crate::tree::{self, Node};
use crate::value::{self, Ranged};

/// Most shapes that are kept; beyond, all are forgotten and made again as they come.
const MOST_SHAPES: usize = 128;

/// A value of a resolved scenario.
#[derive(Debug, Clone, PartialEq)]
pub enum Current {
    /// One number, SI.
    Number(f64),
    /// Pairs of numbers, SI.
    Pairs(Vec<(f64, f64)>),
    /// Anything else.
    Other,
}

impl Current {
    fn of(data: &Data) -> Self {
        match data {
            Data::Real(value) => Self::Number(*value),
            Data::Pairs(pairs) => Self::Pairs(pairs.clone()),
            _ => Self::Other,
        }
    }
}

/// A scenario file that is read once and resolved with many changes.
#[derive(Debug)]
pub struct Template {
    file: String,
    text: String,
    root: Node,
    shapes: RwLock<BTreeMap<String, Arc<Shape>>>,
}

impl Template {
    /// Reads a file. It need not be complete: what is missing may come with the changes.
    ///
    /// # Errors
    /// Where the text is not TOML, or empty.
    pub fn new(text: &str, file_name: &str) -> Result<Self, Vec<Diagnostic>> {
        let mut findings = Findings::new(file_name, text, &[]);
        let root = tree::read_file(text, &mut findings);
        if findings.any_error() {
            return Err(findings.finish().0);
        }
        Ok(Self {
            file: file_name.to_owned(),
            text: text.to_owned(),
            root,
            shapes: RwLock::default(),
        })
    }

    /// The scenario with these changes, path and value as in [`crate::read`]; equal to what `read` gives, to the last
    /// bit. It may be called from many threads.
    ///
    /// # Errors
    /// Every problem, as `read` reports it.
    pub fn with(&self, changes: &[(&str, &str)]) -> Result<Scenario, Vec<Diagnostic>> {
        self.resolved(changes, Shape::assembled, |_, scenario| scenario.clone())
    }

    /// The values at each of these paths of the scenario with these changes; `[*]` stands for every element of a list:
    /// `vehicle.front.band[*].crush`. Empty where nothing is there.
    ///
    /// # Errors
    /// As [`Template::with`].
    pub fn values(
        &self,
        changes: &[(&str, &str)],
        paths: &[&str],
    ) -> Result<Vec<Vec<(String, Current)>>, Vec<Diagnostic>> {
        let look = |store: &Store| -> Vec<_> { paths.iter().map(|p| current(store, p)).collect() };
        self.resolved(
            changes,
            |_, store| Some(look(store)),
            |store, _| look(store),
        )
    }

    /// Resolves and looks at the result: at the store of the scenario's shape, or, by the long way, at store and scenario.
    fn resolved<T>(
        &self,
        changes: &[(&str, &str)],
        short: impl Fn(&Shape, &Store) -> Option<T>,
        long: impl Fn(&Store, &Scenario) -> T,
    ) -> Result<T, Vec<Diagnostic>> {
        let Some((shape, data)) = shape(changes) else {
            return self
                .the_long_way(changes)
                .map(|((store, scenario), _)| long(&store, &scenario));
        };
        let known = self
            .shapes
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .get(&shape)
            .cloned();
        if let Some(seen) = known.and_then(|kept| kept.seen(&data, short)) {
            return Ok(seen);
        }
        let ((store, scenario), made_from) = self.the_long_way(changes)?;
        let seen = long(&store, &scenario);
        let kept = Shape::new(store, scenario, &made_from, &data);
        let mut shapes = self.shapes.write().unwrap_or_else(PoisonError::into_inner);
        if shapes.len() >= MOST_SHAPES {
            shapes.clear();
        }
        shapes.entry(shape).or_insert_with(|| Arc::new(kept));
        Ok(seen)
    }

    /// The same with warnings, assumptions and the resolved copy, by the long way.
    ///
    /// # Errors
    /// Every problem, as [`crate::read`] reports it.
    pub fn load(&self, changes: &[(&str, &str)]) -> Result<Loaded, Vec<Diagnostic>> {
        crate::read(&self.text, &self.file, &owned(changes))
    }

    /// Name of the file.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Text of the file.
    pub fn text(&self) -> &str {
        &self.text
    }

    #[allow(clippy::type_complexity)]
    fn the_long_way(
        &self,
        changes: &[(&str, &str)],
    ) -> Result<((Store, Scenario), BTreeMap<String, BTreeSet<String>>), Vec<Diagnostic>> {
        let changes = owned(changes);
        let mut findings = Findings::new(&self.file, &self.text, &changes);
        let mut store = Store::default();
        store.watch();
        let scenario = resolve(self.root.clone(), &changes, &mut store, &mut findings);
        let (mut errors, warnings) = findings.finish();
        match scenario {
            Some(scenario) => {
                let made_from = store.end_watch();
                Ok(((store, scenario), made_from))
            }
            None => {
                errors.extend(warnings);
                Err(errors)
            }
        }
    }
}

/// The values at a path, with the paths of the elements where it names every element of a list.
fn current(store: &Store, path: &str) -> Vec<(String, Current)> {
    let paths = if path.contains("[*]") {
        store.expand(&path.replace("[*]", "[]"))
    } else {
        vec![path.to_owned()]
    };
    let found = |path: String| {
        let value = Current::of(&store.get(&path)?.data);
        Some((path, value))
    };
    paths.into_iter().filter_map(found).collect()
}

fn owned(changes: &[(&str, &str)]) -> Vec<(String, String)> {
    changes
        .iter()
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect()
}

/// Name of the shape of changes, and the data of those that are numbers; none where a value is wrong.
fn shape(changes: &[(&str, &str)]) -> Option<(String, Vec<Option<Data>>)> {
    let mut name = String::new();
    let mut data = Vec::with_capacity(changes.len());
    for (path, value) in changes {
        name.push_str(path.trim());
        name.push('\n');
        let numbers = match grammar::row_at(path.trim()) {
            None => None,
            Some(row) => {
                let node = tree::literal(value, Place::Nowhere);
                let read = value::read(row, &node).ok()?;
                if matches!(value::ranged(row, &node, &read), Ranged::Impossible(_)) {
                    return None;
                }
                match read.data {
                    Data::Flag(_) | Data::Text(_) | Data::Texts(_) => None,
                    numbers => Some(numbers),
                }
            }
        };
        if numbers.is_none() {
            name.push_str(value);
        }
        name.push('\n');
        data.push(numbers);
    }
    Some((name, data))
}

/// What scenarios with changes of one shape share.
#[derive(Debug)]
struct Shape {
    /// The first of them: its parts that no number of a change reaches are those of all.
    scenario: Scenario,
    /// Path in the store of each change that is a number; none where another change took its place.
    places: Vec<Option<String>>,
    /// What is made anew, in the order of the grammar.
    remade: Vec<(&'static Row, String)>,
    /// The named place on the face, where its offset is made anew.
    named_offset: Option<String>,
    checks: Vec<Check>,
    parts: Vec<Part>,
    /// Stores that no thread is using.
    idle: Mutex<Vec<Store>>,
    first: Mutex<Store>,
}

impl Shape {
    fn new(
        store: Store,
        scenario: Scenario,
        made_from: &BTreeMap<String, BTreeSet<String>>,
        data: &[Option<Data>],
    ) -> Self {
        let mut places = vec![None; data.len()];
        for (i, path) in store.overridden() {
            if data.get(i).is_some_and(Option::is_some) {
                places[i] = Some(path.to_owned());
            }
        }
        // Everything that a changed number reaches.
        let mut reached: BTreeSet<&str> = places.iter().flatten().map(String::as_str).collect();
        let touches = |reached: &BTreeSet<&str>, name: &str| {
            made_from
                .get(name)
                .is_some_and(|reads| reads.iter().any(|path| reached.contains(path.as_str())))
        };
        loop {
            let more: Vec<&str> = made_from
                .keys()
                .map(String::as_str)
                .filter(|name| !reached.contains(name) && touches(&reached, name))
                .collect();
            if more.is_empty() {
                break;
            }
            reached.extend(more);
        }
        let offset_reached = reached.contains(NAMED_OFFSET);
        if offset_reached {
            reached.insert("impact.offset");
        }
        let of = |what: &str, number: usize| touches(&reached, &note(what, number));
        let remade = grammar::rows()
            .flat_map(|row| {
                store
                    .expand(row.path)
                    .into_iter()
                    .map(move |path| (row, path))
            })
            .filter(|(_, path)| {
                reached.contains(path.as_str())
                    && !places.iter().flatten().any(|place| place == path)
                    && path != "impact.offset"
            })
            .collect();
        Self {
            remade,
            named_offset: store
                .named_offset()
                .filter(|_| offset_reached)
                .map(str::to_owned),
            checks: (0..CHECKS.len())
                .filter(|&i| of("check", i))
                .map(|i| CHECKS[i])
                .collect(),
            parts: (0..PARTS.len())
                .filter(|&i| of("part", i))
                .map(|i| PARTS[i])
                .collect(),
            places,
            scenario,
            idle: Mutex::default(),
            first: Mutex::new(store),
        }
    }

    /// What is seen of the store with these numbers; none where the long way must say what is wrong.
    fn seen<T>(
        &self,
        data: &[Option<Data>],
        look: impl Fn(&Self, &Store) -> Option<T>,
    ) -> Option<T> {
        let idle = self
            .idle
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .pop();
        let mut store = match idle {
            Some(store) => store,
            None => self
                .first
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .clone(),
        };
        self.renew(data, &mut store)?;
        let seen = look(self, &store);
        self.idle
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(store);
        seen
    }

    /// Takes these numbers into the store, makes anew what hangs on them and checks it.
    fn renew(&self, data: &[Option<Data>], store: &mut Store) -> Option<()> {
        for (place, data) in self.places.iter().zip(data) {
            if let (Some(path), Some(data)) = (place, data)
                && !store.set_data(path, data.clone())
            {
                return None;
            }
        }
        if !fill::remake(store, &self.remade) {
            return None;
        }
        let mut findings = Findings::new("", "", &[]);
        if let Some(name) = &self.named_offset {
            store.set_data("impact.offset", Data::Text(name.clone()));
            fill::named_offset(store, &mut findings);
            store.real("impact.offset")?;
        }
        for check in &self.checks {
            check(store, &mut findings);
        }
        (!findings.any_error()).then_some(())
    }

    /// The scenario of a renewed store.
    fn assembled(&self, store: &Store) -> Option<Scenario> {
        let mut scenario = self.scenario.clone();
        for part in &self.parts {
            part(store, &mut scenario)?;
        }
        Some(scenario)
    }
}
