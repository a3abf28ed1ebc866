//! Reading scenario files, and telling what is wrong with them.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use giveway_results::ResultsError;
use giveway_scenario::{Diagnostic, Loaded};

use giveway_site::Profile;
use giveway_site::profile::Changes;

use crate::exit::Exit;
use crate::people;
use crate::rendering;

/// Largest scenario file that is read, bytes. A real one has some kilobytes.
pub const LARGEST_FILE: u64 = 1024 * 1024;

/// Why a file gave no scenario: the code to end with, text for people, and the single problems.
#[derive(Debug)]
pub struct Refusal {
    /// How the program should end.
    pub exit: Exit,
    /// Rendered text, ending in a newline.
    pub text: String,
    /// The problems, where the file could be read.
    pub diagnostics: Vec<Diagnostic>,
}

impl Refusal {
    /// A problem with the file as a whole.
    pub fn of_file(exit: Exit, path: &Path, problem: &str) -> Self {
        Self {
            exit,
            text: format!("{}: error: {problem}\n", path.display()),
            diagnostics: Vec::new(),
        }
    }

    /// The problems of a document, with its text.
    pub fn of_problems(diagnostics: Vec<Diagnostic>, text: &str) -> Self {
        Self {
            exit: Exit::Scenario,
            text: rendering::diagnostics(&diagnostics, text),
            diagnostics,
        }
    }
}

/// Tells what went wrong with a file or a folder.
pub trait OrRefuse<T> {
    /// The value, or a refusal that names the file and says what was wrong.
    fn or_refuse(self, exit: Exit, path: &Path) -> Result<T, Refusal>;
}

impl<T, E: ToString> OrRefuse<T> for Result<T, E> {
    fn or_refuse(self, exit: Exit, path: &Path) -> Result<T, Refusal> {
        self.map_err(|e| Refusal::of_file(exit, path, &e.to_string()))
    }
}

/// Why a file of a results folder cannot be shown: it was changed, or it cannot be read.
pub fn altered_or_io(folder: &Path, problem: &ResultsError) -> Refusal {
    let exit = match problem {
        ResultsError::Altered { .. } => Exit::Tampered,
        _ => Exit::Io,
    };
    Refusal::of_file(exit, folder, &problem.to_string())
}

/// A scenario and what the reader had to say about it.
#[derive(Debug)]
pub struct Accepted {
    /// What the scenario crate made of the file.
    pub loaded: Loaded,
    /// Its warnings, rendered.
    pub warnings: String,
    /// The profile that it was read with.
    pub profile: Profile,
    /// The text of the file, without the name of a profile.
    pub text: String,
    /// What the profile and the command line change in it.
    pub changes: Changes,
}

/// Reads and resolves one scenario file with the changes of the command line.
pub fn load(path: &Path, changes: &[(String, String)]) -> Result<Accepted, Refusal> {
    let (text, profile) = people::profile_of(path, text_of(path)?)?;
    let name = path.display().to_string();
    let read = profile.read_scenario(&text, &name, changes);
    accepted(read, text, profile)
}

/// Reads and resolves the scenario that a folder of results keeps: nothing is changed in it, by no profile.
pub fn load_kept(path: &Path) -> Result<Accepted, Refusal> {
    let text = text_of(path)?;
    let read = giveway_scenario::read(&text, &path.display().to_string(), &[]);
    accepted(
        read.map(|loaded| (loaded, Vec::new())),
        text,
        Profile::trade(),
    )
}

fn accepted(
    read: Result<(Loaded, Changes), Vec<Diagnostic>>,
    text: String,
    profile: Profile,
) -> Result<Accepted, Refusal> {
    match read {
        Ok((loaded, changes)) => {
            let mut warnings = rendering::diagnostics(&loaded.warnings, &text);
            if !profile.name.is_empty() {
                warnings.push_str(&format!("note: limits of {}\n", profile.title()));
            }
            Ok(Accepted {
                loaded,
                warnings,
                profile,
                text,
                changes,
            })
        }
        Err(diagnostics) => Err(Refusal::of_problems(diagnostics, &text)),
    }
}

/// The text of a scenario file: UTF-8, at most [`LARGEST_FILE`] bytes.
pub fn text_of(path: &Path) -> Result<String, Refusal> {
    text_up_to(path, LARGEST_FILE, "a scenario has some kilobytes")
}

/// The text of a file: UTF-8, at most so many bytes (whole MiB); `usual` says what such a file usually holds.
pub fn text_up_to(path: &Path, largest: u64, usual: &str) -> Result<String, Refusal> {
    let unreadable = |problem: String| Refusal::of_file(Exit::Io, path, &problem);
    let file = File::open(path).map_err(|e| unreadable(format!("cannot be opened: {e}")))?;
    if file.metadata().is_ok_and(|m| m.is_dir()) {
        return Err(unreadable("is a folder, not a file".into()));
    }
    let mut bytes = Vec::new();
    file.take(largest + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| unreadable(format!("cannot be read: {e}")))?;
    if bytes.len() as u64 > largest {
        let problem = format!(
            "is larger than {} MiB; {usual}, so this is some other file",
            largest >> 20
        );
        return Err(Refusal::of_file(Exit::Scenario, path, &problem));
    }
    String::from_utf8(bytes).map_err(|e| {
        let good = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = good.iter().filter(|b| **b == b'\n').count() + 1;
        let problem = format!("is not UTF-8 text (line {line}); save it as UTF-8");
        Refusal::of_file(Exit::Scenario, path, &problem)
    })
}
