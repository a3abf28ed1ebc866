//! `giveway check`: reads scenarios, reports every problem and what was assumed. Writes nothing.

use std::fmt::Write as _;

use crate::arguments::{Check, Format};
use crate::exit::Exit;
use crate::input::{self, Accepted, Refusal};
use crate::people;
use crate::terminal::{complain, print};

/// Checks each file; the highest code counts.
pub fn check(arguments: &Check) -> Exit {
    let mut exit = Exit::Done;
    for path in &arguments.input.files {
        let name = path.display().to_string();
        let outcome = input::load(path, &arguments.input.set);
        if let Err(refusal) = &outcome {
            exit = exit.max(refusal.exit);
        }
        if arguments.format == Format::Json {
            print(&format!("{}\n", told(&name, &outcome)));
            continue;
        }
        match outcome {
            Ok(accepted) => {
                complain(&accepted.warnings);
                if !arguments.quiet {
                    print(&people::said(&said(&name, &accepted)));
                }
            }
            Err(refusal) => complain(&refusal.text),
        }
    }
    exit
}

/// The same for an editor: one object a file. `problem` is told where the file could not be read at all.
fn told(name: &str, outcome: &Result<Accepted, Refusal>) -> serde_json::Value {
    match outcome {
        Ok(accepted) => {
            let assumed = accepted.loaded.assumptions.iter().map(|a| {
                serde_json::json!({ "path": a.path, "value": a.value_text, "source": a.source })
            });
            serde_json::json!({
                "file": name,
                "ok": true,
                "title": accepted.loaded.scenario.title,
                "diagnostics": accepted.loaded.warnings,
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
