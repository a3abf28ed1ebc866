//! Names of what may lie in a results folder beside the files of a run.

use crate::manifest::MANIFEST_NAME;

/// File name of the notes.
pub const NOTES_NAME: &str = "review_notes.json";

pub(crate) const SEAL_ENDING: &str = ".sig";

/// Whether a file of a results folder is a seal by its name.
pub fn is_seal(name: &str) -> bool {
    name.strip_prefix(MANIFEST_NAME)
        .and_then(|rest| rest.strip_suffix(SEAL_ENDING))
        .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}
