//! `giveway draw`: figures of a closed study, and what they show as numbers.

use std::path::Path;

use giveway_occupant::CAUTION;
use giveway_report::study_figures::study_figures;
use giveway_results::read_study;
use giveway_study::analysis::{Analysis, AnalysisError, Request, analyse};

use crate::arguments::Draw;
use crate::exit::Exit;
use crate::input::{OrRefuse, Refusal};
use crate::output;
use crate::terminal::ended;

/// Folder of the figures within that of the study.
const FIGURES: &str = "figures";
/// File of the numbers.
const ANALYSIS: &str = "analysis.json";

/// Looks at a study and draws it.
pub fn draw(arguments: &Draw) -> Exit {
    ended(drawn(arguments), arguments.quiet)
}

fn drawn(arguments: &Draw) -> Result<String, Refusal> {
    let folder = &arguments.folder;
    let study = read_study(folder).or_refuse(Exit::Io, folder)?;
    let analysis = analyse(&study, &request(arguments)).map_err(|e| {
        let exit = match &e {
            AnalysisError::Results(_) => Exit::Io,
            AnalysisError::NoRows
            | AnalysisError::NoValue { .. }
            | AnalysisError::Nothing { .. }
            | AnalysisError::Sampling { .. } => Exit::Compute,
            _ => Exit::Usage,
        };
        Refusal::of_file(exit, folder, &e.to_string())
    })?;
    let place = arguments
        .out
        .clone()
        .unwrap_or_else(|| folder.join(FIGURES));
    let figures = study_figures(&analysis, CAUTION).or_refuse(Exit::Compute, folder)?;
    output::make_folder(&place)?;
    output::put_figures(&place, &figures, "txt")?;
    let json = output::json(&analysis, folder)?;
    output::put(&place.join(ANALYSIS), json.as_bytes())?;
    let mut said = format!(
        "{}: {} runs, {} figures in {}\n",
        title(&analysis, folder),
        analysis.runs,
        figures.len(),
        place.display()
    );
    for f in &figures {
        said.push_str(&format!("  {}\n", f.name));
    }
    for note in &analysis.notes {
        said.push_str(&format!("  note: {note}\n"));
    }
    said.push_str(&format!("  {CAUTION}\n"));
    Ok(said)
}

fn title(analysis: &Analysis, folder: &Path) -> String {
    if analysis.title.is_empty() {
        folder.display().to_string()
    } else {
        analysis.title.clone()
    }
}

fn request(arguments: &Draw) -> Request {
    Request {
        x: arguments.x.clone(),
        y: arguments.y.clone(),
        values: arguments.value.clone(),
        fixed: arguments.at.clone(),
        quantile: arguments.quantile,
        limit: arguments.limit,
    }
}
