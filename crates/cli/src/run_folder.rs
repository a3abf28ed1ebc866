//! The folder of a computed run: its figures are drawn, its files written. `run` and `rerun` share these lines, so that equal
//! input gives equal bytes.

use std::path::Path;
use std::time::SystemTime;

use giveway_report::FigureFile;
use giveway_results::{
    FigureBytes, FolderHold, ResultsError, RunFacts, RunFiles, hold_to_replace,
    write_held_run_folder,
};
use giveway_scenario::Loaded;
use giveway_study::Computed;

use crate::exit::Exit;

/// Why a folder was not written.
#[derive(Debug)]
pub struct Problem {
    /// How the program should end.
    pub exit: Exit,
    /// For people.
    pub text: String,
}

/// Draws what the scenario's output asks for and writes the folder that is held.
///
/// # Errors
/// What could not be drawn or written.
pub fn write(
    hold: FolderHold,
    loaded: &Loaded,
    computed: &Computed,
    started: SystemTime,
) -> Result<(), Problem> {
    let output = &loaded.scenario.output;
    let drawn = if output.figures {
        giveway_report::draw_all(&loaded.scenario, &computed.engagement, &computed.summary)
            .map_err(|e| Problem {
                exit: Exit::Compute,
                text: e.to_string(),
            })?
    } else {
        Vec::new()
    };
    // Each figure as a scalable picture, as pixels, and in words.
    let bytes: Vec<(String, &[u8])> = drawn.iter().flat_map(files_of).collect();
    let figures = figure_bytes(&bytes);
    let files = RunFiles {
        scenario_toml: &loaded.resolved_text,
        scenario: &loaded.scenario,
        summary: &computed.summary,
        histories: output.history.then_some(&computed.engagement),
        figures: &figures,
        facts: &RunFacts::new(started, rayon::current_num_threads()),
    };
    write_held_run_folder(hold, &files)
        .map(drop)
        .map_err(problem)
}

fn problem(e: ResultsError) -> Problem {
    Problem {
        exit: match e {
            ResultsError::NotFinite { .. } | ResultsError::Length { .. } => Exit::Compute,
            _ => Exit::Io,
        },
        text: e.to_string(),
    }
}

/// Takes the place of the results before anything is computed: whoever comes second is told at once.
///
/// # Errors
/// A folder that must not be replaced or that another process writes.
pub fn hold(folder: &Path, who: &str) -> Result<FolderHold, Problem> {
    hold_to_replace(folder, who).map_err(problem)
}

/// A figure as scalable picture, pixels and words.
pub(crate) fn files_of(f: &FigureFile) -> Vec<(String, &[u8])> {
    vec![
        (format!("{}.svg", f.name), f.svg.as_bytes()),
        (format!("{}.png", f.name), f.png.as_slice()),
        (format!("{}.txt", f.name), f.alt_text.as_bytes()),
    ]
}

/// The files of figures as a folder takes them.
pub(crate) fn figure_bytes<'a>(files: &'a [(String, &'a [u8])]) -> Vec<FigureBytes<'a>> {
    files
        .iter()
        .map(|(name, bytes)| FigureBytes { name, bytes })
        .collect()
}
