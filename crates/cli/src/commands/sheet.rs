//! `giveway sheet`: the installation sheet of one scenario, as text, as a printable page or as JSON.

use std::path::Path;

use giveway_site::sheet::{InstallationSheet, SheetError};
use giveway_study::Supports;

use crate::arguments::{Sheet, SheetFormat};
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal};
use crate::output;
use crate::people;
use crate::rendering;
use crate::terminal::{code, complain, print};

/// Prints or writes the sheet.
pub fn sheet(arguments: &Sheet) -> Exit {
    code(told(arguments))
}

fn told(arguments: &Sheet) -> Result<Exit, Refusal> {
    let file = &arguments.file;
    let accepted = input::load(file, &arguments.set)?;
    complain(&accepted.warnings);
    let format = arguments
        .format
        .unwrap_or_else(|| format_of(arguments.out.as_deref()));
    let loaded = &accepted.loaded;
    let system = people::system(&accepted.profile);
    let mut sheet = InstallationSheet::new_with(&loaded.scenario, &accepted.profile, system)
        .map_err(|problem| refusal(file, &problem))?;
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
    let text = match format {
        SheetFormat::Text => giveway_report::installation_text(&sheet),
        SheetFormat::Html => {
            giveway_report::installation_page(&sheet).or_refuse(Exit::Compute, file)?
        }
        SheetFormat::Json => output::json(&sheet, file)?,
    };
    match &arguments.out {
        None => print(&text),
        Some(path) => output::put(path, text.as_bytes())?,
    }
    Ok(Exit::Done)
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
    match output::ending(out).as_deref() {
        Some("html" | "htm") => SheetFormat::Html,
        Some("json") => SheetFormat::Json,
        _ => SheetFormat::Text,
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
