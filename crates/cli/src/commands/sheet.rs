//! `giveway sheet`: the installation sheet of one scenario, as text, as a printable page or as JSON.

use std::path::Path;

use giveway_site::sheet::{InstallationSheet, SheetError};
use giveway_study::Supports;

use crate::arguments::{Sheet, SheetFormat};
use crate::exit::Exit;
use crate::input::{self, Refusal};
use crate::output;
use crate::people;
use crate::rendering;
use crate::terminal::{complain, print};

/// Prints or writes the sheet.
pub fn sheet(arguments: &Sheet) -> Exit {
    let file = &arguments.file;
    let accepted = match input::load(file, &arguments.set) {
        Ok(accepted) => accepted,
        Err(refusal) => {
            complain(&refusal.text);
            return refusal.exit;
        }
    };
    complain(&accepted.warnings);
    let format = arguments
        .format
        .unwrap_or_else(|| format_of(arguments.out.as_deref()));
    let text = InstallationSheet::new_with(
        &accepted.loaded.scenario,
        &accepted.profile,
        people::system(&accepted.profile),
    )
    .map_err(|problem| refusal(file, &problem))
    .and_then(|mut sheet| {
        let loaded = &accepted.loaded;
        sheet
            .tell_tests(&loaded.resolved_text, &loaded.scenario, &Supports::new())
            .map_err(|list| {
                let text = rendering::diagnostics(&list, &loaded.resolved_text);
                Refusal::of_file(Exit::Scenario, file, text.trim_end())
            })?;
        if format == SheetFormat::Html
            && let Ok(Some(warning)) = giveway_report::installation_page_warning(&sheet)
        {
            complain(&format!("{}: warning: {warning}\n", file.display()));
        }
        rendered(&sheet, format).map_err(|e| Refusal::of_file(Exit::Compute, file, &e))
    });
    let done = text.and_then(|text| match &arguments.out {
        None => {
            print(&text);
            Ok(())
        }
        Some(path) => output::write_file(path, text.as_bytes())
            .map_err(|e| Refusal::of_file(Exit::Io, path, &e)),
    });
    match done {
        Ok(()) => Exit::Done,
        Err(refusal) => {
            complain(&refusal.text);
            refusal.exit
        }
    }
}

fn refusal(file: &Path, problem: &SheetError) -> Refusal {
    let exit = match problem {
        SheetError::FixedAnchorage => Exit::Scenario,
        SheetError::Value(_) => Exit::Compute,
    };
    Refusal::of_file(exit, file, &problem.to_string())
}

/// What the name of the file asks for; text where there is none.
fn format_of(out: Option<&Path>) -> SheetFormat {
    let ending = out.and_then(Path::extension).and_then(|e| e.to_str());
    match ending.map(str::to_ascii_lowercase).as_deref() {
        Some("html" | "htm") => SheetFormat::Html,
        Some("json") => SheetFormat::Json,
        _ => SheetFormat::Text,
    }
}

fn rendered(sheet: &InstallationSheet, format: SheetFormat) -> Result<String, String> {
    match format {
        SheetFormat::Text => Ok(giveway_report::installation_text(sheet)),
        SheetFormat::Html => giveway_report::installation_page(sheet).map_err(|e| e.to_string()),
        SheetFormat::Json => {
            let mut text = serde_json::to_string_pretty(sheet).map_err(|e| e.to_string())?;
            text.push('\n');
            Ok(text)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_the_file_tells_the_format() {
        let format = |name: &str| format_of(Some(Path::new(name)));
        assert_eq!(format("a/sheet.HTML"), SheetFormat::Html);
        assert_eq!(format("sheet.json"), SheetFormat::Json);
        assert_eq!(format("sheet"), SheetFormat::Text);
        assert_eq!(format_of(None), SheetFormat::Text);
    }
}
