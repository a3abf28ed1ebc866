//! `giveway check`: reads scenarios, reports every problem and what was assumed. Writes nothing.

use std::fmt::Write as _;

use crate::arguments::Check;
use crate::exit::Exit;
use crate::input::{self, Accepted};
use crate::people;
use crate::terminal::{complain, print};

/// Checks each file; the highest code counts.
pub fn check(arguments: &Check) -> Exit {
    let mut exit = Exit::Done;
    for path in &arguments.input.files {
        match input::load(path, &arguments.input.set) {
            Ok(accepted) => {
                complain(&accepted.warnings);
                if !arguments.quiet {
                    print(&people::said(&said(&path.display().to_string(), &accepted)));
                }
            }
            Err(refusal) => {
                complain(&refusal.text);
                exit = exit.max(refusal.exit);
            }
        }
    }
    exit
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
