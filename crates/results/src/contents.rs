//! A results folder read whole, for a report: what it says, and what in it is not as the run left it.
//!
//! A folder may come from anywhere. Its files are compared with their checksums, its layouts with those that this program
//! writes; what cannot be relied on is left out and told, file by file.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use crate::ResultsError;
use crate::manifest::{MANIFEST_NAME, Manifest, hash_text};
use crate::notes::{ReviewNote, read_notes};
use crate::read::{State, read_json, read_manifest, state_of};
use crate::seal::{Seal, SealState, Signers, anchor, read_seals};
use crate::summary::{SUMMARY_FORMAT, Summary};

/// Largest text file that is taken into a report, bytes.
const LARGEST_TEXT: u64 = 4 << 20;
/// Columns of the history that a report draws.
const DRAWN: [&str; 4] = [
    "time_s",
    "velocity_change_mps",
    "contact_force_n",
    "crush_m",
];
const SUMMARY: &str = "summary.json";
const SCENARIO: &str = "scenario.toml";
const HISTORY: &str = "history.csv";
const REPLAY: &str = "replay.json";
/// Kind of the summary of a measured test.
const MEASURED: &str = "measured-record";

/// A figure of a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FigureText {
    /// File stem, for example `motion`.
    pub name: String,
    /// The SVG file as it stands in the folder.
    pub svg: String,
}

/// Histories of the engagement that a report draws, all of one length.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DrawnHistory {
    /// Time since first touch, s.
    pub time_s: Vec<f64>,
    /// Speed lost along the initial direction of travel, m/s.
    pub velocity_change_mps: Vec<f64>,
    /// Contact force, N.
    pub contact_force_n: Vec<f64>,
    /// Largest crush over all bands, m.
    pub crush_m: Vec<f64>,
}

/// Everything of a results folder that a report shows.
#[derive(Debug, Clone, PartialEq)]
pub struct RunContents {
    /// Name of the folder, without the path to it.
    pub folder: String,
    /// The summary.
    pub summary: Summary,
    /// The manifest.
    pub manifest: Manifest,
    /// The resolved scenario as text; none where it is missing.
    pub scenario_toml: Option<String>,
    /// Figures in the order of their names.
    pub figures: Vec<FigureText>,
    /// The moving picture's data as they stand in the folder; none where the run wrote none.
    pub replay: Option<String>,
    /// Why the moving picture's data cannot be shown although the run wrote them; none where they can or it wrote none.
    pub replay_fault: Option<String>,
    /// Some histories; none where the run wrote none or they do not read.
    pub history: Option<DrawnHistory>,
    /// Reviewers' notes in their order; the reason where the file of notes does not read.
    pub notes: Result<Vec<ReviewNote>, String>,
    /// Seals of the manifest.
    pub seals: Vec<Seal>,
    /// SHA-256 of the manifest.
    pub anchor: String,
    /// Files that are not as the run left them, and what was left out for that reason; plain sentences.
    pub altered: Vec<String>,
    /// Whether summary, scenario and manifest belong together: only then a verdict stands.
    pub sound: bool,
}

#[derive(Deserialize)]
struct Kind {
    kind: String,
}

#[derive(Deserialize)]
struct Head {
    format: u32,
}

/// Manifest and summary of a run, of layouts that this program knows.
fn known_run(folder: &Path) -> Result<(Manifest, Summary), ResultsError> {
    let at = |name: &str| folder.join(name);
    if !at(MANIFEST_NAME).exists() || !at(SUMMARY).exists() {
        return Err(ResultsError::NoRun {
            folder: folder.to_owned(),
        });
    }
    known(
        &at(MANIFEST_NAME),
        "a manifest",
        crate::manifest::MANIFEST_FORMAT,
    )?;
    let manifest = read_manifest(folder)?;
    if read_json::<Kind>(&at(SUMMARY), "a summary").is_ok_and(|k| k.kind == MEASURED) {
        let reason = "it is the record of a measured test; `giveway compare` lays a run beside it";
        return Err(ResultsError::json(
            at(SUMMARY),
            "a summary of a run",
            reason,
        ));
    }
    known(&at(SUMMARY), "a summary", SUMMARY_FORMAT)?;
    Ok((manifest, read_json(&at(SUMMARY), "a summary")?))
}

/// Reads a results folder for a report.
///
/// # Errors
/// A folder without manifest or summary, or of a layout that this program does not know; nothing else is an error.
pub fn read_contents(folder: &Path) -> Result<RunContents, ResultsError> {
    if !folder.is_dir() {
        let source = fs::metadata(folder)
            .err()
            .unwrap_or_else(|| std::io::Error::other("it is no folder"));
        return Err(ResultsError::io("read", folder)(source));
    }
    let at = |name: &str| folder.join(name);
    let (manifest, summary) = known_run(folder)?;

    let mut altered = Vec::new();
    let mut unsound = false;
    let mut spoiled: Vec<&str> = Vec::new();
    for entry in &manifest.files {
        let what = match state_of(&at(&entry.name), entry)? {
            State::Same => continue,
            State::Changed => "was changed since the run wrote it",
            State::Missing => "is missing",
        };
        altered.push(format!("{} {what}.", entry.name));
        spoiled.push(&entry.name);
        unsound |= [SUMMARY, SCENARIO].contains(&entry.name.as_str());
    }
    let listed = |name: &str| manifest.files.iter().any(|f| f.name == name);
    for name in [SUMMARY, SCENARIO] {
        if !listed(name) {
            altered.push(format!("{name} has no checksum in the manifest."));
            unsound = true;
        }
    }
    // Only what the manifest names and what is unchanged is taken.
    let text = |name: &str| -> Option<String> {
        let small = fs::metadata(at(name)).is_ok_and(|m| m.len() <= LARGEST_TEXT);
        (small && listed(name) && !spoiled.contains(&name))
            .then(|| fs::read_to_string(at(name)).ok())
            .flatten()
    };
    let scenario_toml = text(SCENARIO);
    if let Some(scenario) = &scenario_toml
        && hash_text(scenario) != manifest.input_blake3
    {
        altered.push(format!(
            "{SCENARIO} is not the input that the manifest names."
        ));
        unsound = true;
    }
    if summary.model_version != manifest.model_version {
        altered.push("Summary and manifest name different versions of the model.".to_owned());
        unsound = true;
    }
    let seals = read_seals(folder, &Signers::default())?;
    for seal in seals.iter().filter(|s| s.state == SealState::Broken) {
        altered.push(format!(
            "The seal {} is broken: the manifest is not what was sealed.",
            seal.file
        ));
        unsound = true;
    }
    let figures = manifest
        .files
        .iter()
        .filter_map(|f| {
            let stem = f.name.strip_prefix("figures/")?.strip_suffix(".svg")?;
            Some(FigureText {
                name: stem.to_owned(),
                svg: text(&f.name)?,
            })
        })
        .collect();
    let replay = text(REPLAY);
    let folder_name = fs::canonicalize(folder).unwrap_or_else(|_| PathBuf::from(folder));
    Ok(RunContents {
        folder: folder_name
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
        summary,
        scenario_toml,
        figures,
        notes: read_notes(folder).map_err(|e| e.to_string()),
        replay_fault: (listed(REPLAY) && replay.is_none()).then(|| replay_fault(&at(REPLAY))),
        replay,
        history: text(HISTORY).as_deref().and_then(drawn_history),
        seals,
        anchor: anchor(folder)?,
        altered,
        sound: !unsound,
        manifest,
    })
}

/// An error where the file is of another layout than this program's; files without a number fail when they are read.
fn known(path: &Path, what: &'static str, format: u32) -> Result<(), ResultsError> {
    match read_json::<Head>(path, what) {
        Ok(head) if head.format != format => Err(ResultsError::ForeignFormat {
            path: path.to_owned(),
            found: head.format,
            known: format,
        }),
        Ok(_) => Ok(()),
        Err(e) => Err(e),
    }
}

/// Whether a text is the data of a moving picture that this program knows.
///
/// # Errors
/// Why not, in a few words.
pub fn check_replay(text: &str) -> Result<(), String> {
    let replay = crate::Replay::from_text(text, Path::new(REPLAY)).map_err(|e| e.to_string())?;
    if replay.tracks.is_empty() {
        return Err("its data hold nothing that moves".to_owned());
    }
    Ok(())
}

/// Why a `replay.json` is not as the run left it.
fn replay_fault(path: &Path) -> String {
    match fs::metadata(path) {
        Err(_) => return format!("{REPLAY} is missing"),
        Ok(file) if file.len() > LARGEST_TEXT => {
            return format!("{REPLAY} was changed since the run wrote it and is too large");
        }
        Ok(_) => {}
    }
    let why = match fs::read_to_string(path) {
        Ok(text) => check_replay(&text).err(),
        Err(e) => Some(e.to_string()),
    };
    why.map_or_else(
        || format!("{REPLAY} was changed since the run wrote it: its checksum is another"),
        |why| format!("{REPLAY} was cut short or changed since the run wrote it ({why})"),
    )
}

/// Some columns of `history.csv`: plain numbers, one row a line. None where it is not so.
fn drawn_history(csv: &str) -> Option<DrawnHistory> {
    let mut lines = csv.lines();
    let head: Vec<&str> = lines.next()?.split(',').collect();
    let places: Vec<usize> = DRAWN
        .iter()
        .map(|name| head.iter().position(|h| h == name))
        .collect::<Option<_>>()?;
    let mut columns = vec![Vec::new(); DRAWN.len()];
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        for (column, place) in columns.iter_mut().zip(&places) {
            let number: f64 = cells.get(*place)?.parse().ok()?;
            column.push(Some(number).filter(|x| x.is_finite())?);
        }
    }
    let [time_s, velocity_change_mps, contact_force_n, crush_m] = columns.try_into().ok()?;
    (time_s.len() > 1).then_some(DrawnHistory {
        time_s,
        velocity_change_mps,
        contact_force_n,
        crush_m,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn some_columns_of_a_history_are_read_and_anything_else_is_none() {
        let csv = "time_s,vehicle_x_m,contact_force_n,velocity_change_mps,crush_m\n\
                   0.0,1.0,5e3,0.0,0.0\n0.0001,1.0,6e3,-0.25,1e-3\n";
        let h = drawn_history(csv).unwrap();
        assert_eq!(h.time_s, [0.0, 1e-4]);
        assert_eq!(h.velocity_change_mps, [0.0, -0.25]);
        assert_eq!(h.contact_force_n, [5e3, 6e3]);
        assert_eq!(h.crush_m, [0.0, 1e-3]);
        for bad in [
            "",
            "time_s\n0\n",
            &csv.replace("6e3", "<b>"),
            &csv.replace("6e3", "inf"),
            &csv.replace("-0.25,1e-3", ""),
        ] {
            assert_eq!(drawn_history(bad), None, "{bad}");
        }
    }
}
