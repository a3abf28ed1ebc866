//! `giveway check`: reads documents of any kind, reports every problem and, of scenarios, what was assumed. Writes nothing.

use std::fmt::Write as _;
use std::path::Path;

use giveway_lab::record::describe;
use giveway_lab::shared::read_evidence;
use giveway_scenario::model::Scenario;
use giveway_scenario::{Assumption, Diagnostic, DocumentKind};
use giveway_site::{Profile, TestNumbers, inspect_in};

use super::record::faults;
use super::study::LARGEST_STUDY;
use super::{fit, lesson, plan, study};
use crate::arguments::{Check, Format};
use crate::exit::Exit;
use crate::input::{self, Accepted, Refusal};
use crate::people;
use crate::rendering;
use crate::terminal::{complain, print};

/// Checks each file; the highest code counts.
pub fn check(arguments: &Check) -> Exit {
    let mut exit = Exit::Done;
    for path in &arguments.input.files {
        let name = path.display().to_string();
        let outcome = checked(path, &arguments.input.set);
        if let Err(refusal) = &outcome {
            exit = exit.max(refusal.exit);
        }
        if arguments.format == Format::Json {
            print(&format!("{}\n", told(&name, &outcome)));
            continue;
        }
        match outcome {
            Ok(good) => {
                complain(&good.warned);
                if !arguments.quiet {
                    print(&people::said(&good.said));
                }
            }
            Err(refusal) => complain(&refusal.text),
        }
    }
    exit
}

/// A document without an error.
struct Good {
    kind: DocumentKind,
    title: String,
    warnings: Vec<Diagnostic>,
    /// The same for people.
    warned: String,
    assumed: Vec<Assumption>,
    /// What is said of it.
    said: String,
}

/// Reads a document of any kind.
fn checked(path: &Path, changes: &[(String, String)]) -> Result<Good, Refusal> {
    let name = path.display().to_string();
    // What cannot be read is told as of a scenario.
    let Ok(text) = input::text_up_to(path, LARGEST_STUDY, "a document has some kilobytes") else {
        return scenario(path, &name, changes);
    };
    let kind = DocumentKind::of(&text);
    let none = |title: String| Ok((title, Vec::new()));
    let of_problems = |list| Refusal::of_problems(list, &text);
    let read = match kind {
        DocumentKind::Scenario => return scenario(path, &name, changes),
        DocumentKind::Study => study::checked(path, &text, changes),
        DocumentKind::Fit => fit::checked(path, &text, changes),
        DocumentKind::NextTest => plan::checked(path, &text, changes),
        _ if !changes.is_empty() => {
            let problem = format!("is a {}; --set changes scenarios and studies", kind.words());
            return Err(Refusal::of_file(Exit::Usage, path, &problem));
        }
        DocumentKind::SiteRecord => site_record(path),
        DocumentKind::TestRecord => match describe(&name, &text) {
            Ok(description) => none(description.title),
            Err(list) => Err(faults(&list, &text)),
        },
        DocumentKind::Lesson => lesson::read(path, &text).and_then(|lesson| none(lesson.title)),
        DocumentKind::Evidence => match read_evidence(&name, &text) {
            Ok(evidence) => none(evidence.title),
            Err(list) => Err(faults(&list, &text)),
        },
        DocumentKind::Profile => Profile::read(&text, &name)
            .map_err(of_problems)
            .and_then(|profile| none(profile.title())),
    };
    read.map(|(title, warnings)| Good {
        kind,
        said: format!("{name}: ok ({}): {title}\n", kind.words()),
        warned: rendering::diagnostics(&warnings, &text),
        title,
        warnings,
        assumed: Vec::new(),
    })
}

fn scenario(path: &Path, name: &str, changes: &[(String, String)]) -> Result<Good, Refusal> {
    let accepted = input::load(path, changes)?;
    Ok(Good {
        kind: DocumentKind::Scenario,
        said: said(name, &accepted),
        warned: accepted.warnings,
        title: accepted.loaded.scenario.title,
        warnings: accepted.loaded.warnings,
        assumed: accepted.loaded.assumptions,
    })
}

/// A record is held against its type as in an inspection, without the impacts.
fn site_record(path: &Path) -> Result<(String, Vec<Diagnostic>), Refusal> {
    let (text, record, _, pole_type) = lesson::record_and_type(path)?;
    let nothing = |_: &Scenario| TestNumbers::failed("not computed".to_owned());
    match inspect_in(&record, &pole_type, &nothing, people::asked()) {
        Ok((_, warnings)) => Ok((record.pole, warnings)),
        Err(list) => Err(Refusal::of_problems(list, &text)),
    }
}

/// The same for an editor: one object a file. `problem` is told where the file could not be read at all.
fn told(name: &str, outcome: &Result<Good, Refusal>) -> serde_json::Value {
    match outcome {
        Ok(good) => {
            let assumed = good.assumed.iter().map(|a| {
                serde_json::json!({ "path": a.path, "value": a.value_text, "source": a.source })
            });
            serde_json::json!({
                "file": name,
                "ok": true,
                "document": good.kind.words(),
                "title": good.title,
                "diagnostics": good.warnings,
                "assumed": assumed.collect::<Vec<_>>(),
            })
        }
        Err(refusal) if refusal.diagnostics.is_empty() => serde_json::json!({
            "file": name,
            "ok": false,
            "problem": refusal.text.trim_end(),
            "diagnostics": [],
        }),
        Err(refusal) => serde_json::json!({
            "file": name,
            "ok": false,
            "diagnostics": refusal.diagnostics,
        }),
    }
}

fn said(name: &str, accepted: &Accepted) -> String {
    let loaded = &accepted.loaded;
    let mut text = format!("{name}: ok: {}\n", loaded.scenario.title);
    if loaded.assumptions.is_empty() {
        text.push_str("  nothing was assumed\n");
    } else {
        text.push_str("  assumed:\n");
        for a in &loaded.assumptions {
            let _ = writeln!(text, "    {} = {}  ({})", a.path, a.value_text, a.source);
        }
    }
    let conditions = loaded.scenario.as_found.present();
    if !conditions.is_empty() {
        text.push_str("  found on site, differing from the design:\n");
        for kind in conditions {
            let _ = writeln!(text, "    {}  ({})", kind.title(), kind.paths().join(", "));
        }
    }
    text
}
