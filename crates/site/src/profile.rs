//! What an agency sets: limits, torques and lengths by type of pole, the documents that judge, units, and the names of its
//! drawings. This is the one place of every limit that can be set; requirements, sheet, remarks and verdicts ask here.
//!
//! Without a profile the limits are those of the trade. Each has an inch and a metric twin (1/2 in and 13 mm), compared at
//! the resolution of the instrument, and is held against a value in the system that the value was written in.
//!
//! References
//! - AASHTO, Standard Specifications for Structural Supports for Highway Signs, Luminaires and Traffic Signals: stub up
//!   to 100 mm (4 in) above a chord of 1.5 m (5 ft), mass up to 454 kg (seen).
//! - A highway agency's handbook: washers hold the plates 3 to 6 mm apart (seen).
//! - Keeper sheets of 0.38 to 1.0 mm (published range, recalled).
//! - Everything else: common practice, no source.

mod bound;
mod read;

use giveway_scenario::model::Scenario;
use giveway_scenario::{Diagnostic, Loaded};
use giveway_units::System;

pub use bound::{Bound, Standard, Twin};
pub use read::named_in;

/// Ends the source of a limit that is only the inch twin of the document's.
const TWIN: &str = "; its inch twin";

/// Paths and values as after `--set`.
pub type Changes = Vec<(String, String)>;

/// Where the base is put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Assembly {
    /// On the lying pole; pole and base are set on the anchor bars together.
    #[default]
    Ground,
    /// On the foundation: the lower plate is set first, the pole is lowered on its bolts.
    Foundation,
}

impl Assembly {
    /// As written.
    pub fn name(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::Foundation => "foundation",
        }
    }
}

/// What an agency sets for poles up to a size.
#[derive(Debug, Clone, PartialEq)]
pub struct PoleRow {
    /// Longest pole, m.
    pub length_m: f64,
    /// Longest reach of an arm, m.
    pub reach_m: f64,
    /// Torque of the slip bolts, as written.
    pub torque: Option<String>,
    /// Length of the slip bolts, as written.
    pub bolt_length: Option<String>,
    /// Thickness of the plate washers, as written.
    pub plate_washer: Option<String>,
}

/// A profile.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Name; empty = the trade's own rules.
    pub name: String,
    /// Revision.
    pub revision: String,
    /// Units that a person reads; none = as asked for, or as the record was written.
    pub units: Option<System>,
    /// Where the base is put together.
    pub assembly: Assembly,
    /// Documents that judge, the governing one first; empty = those of the scenario.
    pub tests: Vec<String>,
    /// Names of documents and what they are: `("installation", "Standard drawing 611")`.
    pub documents: Vec<(String, String)>,
    /// Torques and lengths by size of pole; the first that fits counts.
    pub poles: Vec<PoleRow>,
    /// Limits that differ from the trade's.
    limits: Vec<(Bound, Twin, Option<String>)>,
}

impl Default for Profile {
    fn default() -> Self {
        Self::trade()
    }
}

impl Profile {
    /// The trade's own rules.
    pub fn trade() -> Self {
        Self {
            name: String::new(),
            revision: String::new(),
            units: None,
            assembly: Assembly::Ground,
            tests: Vec::new(),
            documents: Vec::new(),
            poles: Vec::new(),
            limits: Vec::new(),
        }
    }

    /// The limit, in both systems.
    pub fn limit(&self, bound: Bound) -> Twin {
        self.set(bound)
            .map_or(bound.standard().twin, |(_, t, _)| *t)
    }

    /// Where a limit comes from where it is not the trade's.
    pub fn source(&self, bound: Bound) -> Option<String> {
        let (_, _, source) = self.set(bound)?;
        Some(source.clone().unwrap_or_else(|| self.title()))
    }

    fn set(&self, bound: Bound) -> Option<&(Bound, Twin, Option<String>)> {
        self.limits.iter().find(|(b, _, _)| *b == bound)
    }

    /// Sets a limit; `source` says where it comes from, none = this profile.
    pub fn put(&mut self, bound: Bound, twin: Twin, source: Option<String>) {
        self.limits.retain(|(b, _, _)| *b != bound);
        self.limits.push((bound, twin, source));
    }

    /// Name and revision in words.
    pub fn title(&self) -> String {
        match (self.name.as_str(), self.revision.as_str()) {
            ("", _) => "the trade's own rules".to_owned(),
            (name, "") => name.to_owned(),
            (name, revision) => format!("{name}, revision {revision}"),
        }
    }

    /// The name of one of its documents.
    pub fn document(&self, key: &str) -> Option<&str> {
        let found = self.documents.iter().find(|(k, _)| k == key);
        found.map(|(_, name)| name.as_str())
    }

    /// The row for a design: the first whose length and reach are not exceeded.
    pub fn row(&self, design: &Scenario) -> Option<&PoleRow> {
        let support = &design.support;
        let reach = support.arms.iter().map(|a| a.reach_m).fold(0.0, f64::max);
        // Half a millimetre: a pole of 35 ft may be given as 10.668 m.
        let fits = |most: f64, have: f64| have <= most + 0.0005;
        self.poles
            .iter()
            .find(|row| fits(row.length_m, support.pole_length_m) && fits(row.reach_m, reach))
    }

    /// Reads a scenario with what the profile sets, and after that `changes`; all of these changes come back too.
    ///
    /// # Errors
    /// Every problem, as [`giveway_scenario::read`] reports it.
    pub fn read_scenario(
        &self,
        text: &str,
        name: &str,
        changes: &[(String, String)],
    ) -> Result<(Loaded, Changes), Vec<Diagnostic>> {
        let plain = giveway_scenario::read(text, name, changes)?;
        let mut all = self.changes(&plain.scenario);
        if all.is_empty() {
            return Ok((plain, changes.to_vec()));
        }
        all.extend_from_slice(changes);
        Ok((giveway_scenario::read(text, name, &all)?, all))
    }

    /// What the profile changes in a scenario.
    pub fn changes(&self, design: &Scenario) -> Changes {
        let mut out = Vec::new();
        let mut say = |path: &str, text: &str| {
            out.push((path.to_owned(), format!("\"{}\"", escaped(text))));
        };
        if let Some(row) = self.row(design) {
            let of = [
                ("slip_base.clamp.torque", &row.torque),
                ("slip_base.bolt.length", &row.bolt_length),
                ("slip_base.washers.plate_thickness", &row.plate_washer),
            ];
            for (path, text) in of {
                // A design that gives its preload is tightened by that.
                if path.ends_with("torque") && design.base.torque_nm.is_none() {
                    continue;
                }
                if let Some(text) = text {
                    say(path, text);
                }
            }
        }
        self.plate_height(design, &mut say);
        if !self.tests.is_empty() {
            let sets: Vec<String> = self.tests.iter().map(|t| format!("\"{t}\"")).collect();
            out.push(("criteria.sets".to_owned(), format!("[{}]", sets.join(", "))));
        }
        out
    }

    /// The limit that a run judges the height of the lower plate by: this profile's, or the inch twin of the document's where
    /// the height was written in sixteenths of an inch.
    fn plate_height(&self, design: &Scenario, say: &mut dyn FnMut(&str, &str)) {
        const SIXTEENTH_M: f64 = 0.0254 / 16.0;
        if design
            .criteria
            .overrides
            .iter()
            .any(|o| o.key == "stub_height_m")
        {
            return;
        }
        let found = design.as_found.slip_plane_height_m;
        let have = found.unwrap_or(design.site.slip_plane_height_m);
        let twin = self.limit(Bound::PlateHeight);
        let sixteenths = have / SIXTEENTH_M;
        let in_inches = libm::fabs(sixteenths - libm::round(sixteenths)) < 1e-6;
        let (value, source) = match self.source(Bound::PlateHeight) {
            Some(source) => (twin.si.max(twin.us), source),
            None if in_inches && have > twin.si && have <= twin.us + 1e-9 => {
                let source = Bound::PlateHeight.standard().source;
                (twin.us, format!("{source}{TWIN}"))
            }
            None => return,
        };
        say("criteria.limit.stub_height.value", &format!("{value:?} m"));
        say("criteria.limit.stub_height.source", &source);
    }

    /// This profile with the limits that a scenario sets itself: what its author overrides counts for every page.
    #[must_use]
    pub fn with(&self, design: &Scenario) -> Self {
        let mut out = self.clone();
        for own in &design.criteria.overrides {
            let bound = match own.key.as_str() {
                "stub_height_m" => Bound::PlateHeight,
                "support_mass_kg" => Bound::SupportMass,
                _ => continue,
            };
            // What this profile put there itself keeps its twins.
            if out.source(bound).is_none_or(|source| source != own.source)
                && !own.source.ends_with(TWIN)
            {
                out.put(bound, Twin::both(own.value), Some(own.source.clone()));
            }
        }
        out
    }
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace('"', "\\\"")
}

/// What limits are taken from: the design, and the profile.
#[derive(Clone, Copy)]
pub struct Basis<'a> {
    /// The design.
    pub design: &'a Scenario,
    /// The profile.
    pub profile: &'a Profile,
}
