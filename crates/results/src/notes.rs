//! Review notes: what a reviewer says of results, signed off with name and date, in a file beside them that no checksum
//! covers. A note is somebody's work: a folder that holds one is not replaced.

use std::fs;
use std::io::Read;
use std::path::Path;
use std::time::SystemTime;

use giveway_units::invisible;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ResultsError;
use crate::disk::{pretty, sync_folder, write_file};
use crate::examine::examine;
use crate::file_names::NOTES_NAME;
use crate::hold::{FolderHold, SHORT_WAIT};
use crate::manifest::{Manifest, hash_text, utc_text};
use crate::seal::{SealState, Signers, read_seals};
use crate::under_way::{UnderWay, remove};

/// What marks the file.
const KIND: &str = "giveway-review-notes";
/// Longest name, characters.
pub const LONGEST_NAME: usize = 80;
/// Longest text, characters.
pub const LONGEST_TEXT: usize = 4000;
/// Most notes of a folder.
pub const MOST_NOTES: usize = 100;
/// Largest file that is read, bytes.
const LARGEST: u64 = 4 << 20;

/// One note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviewNote {
    /// Who signs it.
    pub name: String,
    /// Day, `YYYY-MM-DD`, as the reviewer gives it.
    pub date: String,
    /// What is said; lines may be broken.
    pub text: String,
    /// Which results it was written for: blake3 of the names and checksums in the manifest.
    pub results_blake3: String,
}

/// What `review_notes.json` holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviewNotes {
    /// Always `giveway-review-notes`.
    pub kind: String,
    /// Version of the layout.
    pub format: u32,
    /// Notes in the order in which they were written.
    pub notes: Vec<ReviewNote>,
}

impl ReviewNote {
    /// A note on the results of a manifest.
    ///
    /// # Errors
    /// What is wrong with name, date or text.
    pub fn new(name: &str, date: &str, text: &str, results: &Manifest) -> Result<Self, String> {
        let note = Self {
            name: name.trim().to_owned(),
            date: date.trim().to_owned(),
            text: text.trim().replace("\r\n", "\n"),
            results_blake3: results.results_hash(),
        };
        note.check()?;
        Ok(note)
    }

    /// Whether the results are still those that the note was written for.
    pub fn is_of(&self, results: &Manifest) -> bool {
        self.results_blake3 == results.results_hash()
    }

    fn check(&self) -> Result<(), String> {
        length("name", &self.name, LONGEST_NAME)?;
        length("text", &self.text, LONGEST_TEXT)?;
        plain("name", &self.name, false)?;
        plain("text", &self.text, true)?;
        if !is_day(&self.date) {
            return Err(format!(
                "the date `{}` is no day of the calendar; write it as 2026-03-31",
                self.date.escape_debug()
            ));
        }
        if self.results_blake3.len() != 64
            || !self.results_blake3.bytes().all(|b| b.is_ascii_hexdigit())
        {
            return Err("the checksum of the results is none".to_owned());
        }
        Ok(())
    }
}

fn length(what: &str, text: &str, most: usize) -> Result<(), String> {
    match text.chars().count() {
        0 => Err(format!("the {what} is empty")),
        count if count > most => Err(format!(
            "the {what} has {count} characters; at most {most} are kept"
        )),
        _ => Ok(()),
    }
}

/// Refuses what a terminal or a page would not show as it stands.
fn plain(what: &str, text: &str, lines: bool) -> Result<(), String> {
    let hidden = |c: char| invisible(c) && !(lines && c == '\n');
    match text.chars().find(|c| hidden(*c)) {
        None => Ok(()),
        Some(c) => Err(format!(
            "the {what} holds the invisible character U+{:04X}; leave it out",
            u32::from(c)
        )),
    }
}

/// Whether a text is a day of the calendar, `YYYY-MM-DD`.
fn is_day(text: &str) -> bool {
    let bytes = text.as_bytes();
    let shape = bytes.len() == 10
        && bytes.iter().enumerate().all(|(i, b)| match i {
            4 | 7 => *b == b'-',
            _ => b.is_ascii_digit(),
        });
    if !shape {
        return false;
    }
    let part = |from: usize, to: usize| text[from..to].parse::<u32>().unwrap_or(0);
    let (year, month, day) = (part(0, 4), part(5, 7), part(8, 10));
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let days = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    };
    year >= 1900 && (1..=days).contains(&day)
}

/// The day of an instant, UTC, as a note wants it.
pub fn day_of(at: SystemTime) -> String {
    utc_text(at)[..10].to_owned()
}

/// The notes of a results folder; none where there is no file.
///
/// # Errors
/// A file that is not such a file, or too long; a note that would not be accepted today.
pub fn read_notes(folder: &Path) -> Result<Vec<ReviewNote>, ResultsError> {
    let path = folder.join(NOTES_NAME);
    let bad = |reason: String| ResultsError::json(&path, "review notes", reason);
    let file = match fs::File::open(&path) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        opened => opened.map_err(ResultsError::io("read", &path))?,
    };
    let mut text = String::new();
    file.take(LARGEST + 1)
        .read_to_string(&mut text)
        .map_err(ResultsError::io("read", &path))?;
    if text.len() as u64 > LARGEST {
        return Err(bad(format!("it is larger than {} MiB", LARGEST >> 20)));
    }
    let notes: ReviewNotes = serde_json::from_str(&text).map_err(|e| bad(e.to_string()))?;
    if notes.kind != KIND || notes.format != 1 {
        return Err(bad(format!("its kind is not `{KIND}` of format 1")));
    }
    if notes.notes.len() > MOST_NOTES {
        return Err(bad(format!("it holds more than {MOST_NOTES} notes")));
    }
    for (i, note) in notes.notes.iter().enumerate() {
        note.check()
            .map_err(|e| bad(format!("note {}: {e}", i + 1)))?;
    }
    Ok(notes.notes)
}

/// Adds a note to those of a results folder; the file is replaced as a whole. Nobody else writes into the folder meanwhile,
/// and the results are looked at again: the note is kept only where they are still those that it was written for. Returns
/// how many notes there are now.
///
/// # Errors
/// Results that were changed or replaced, notes that do not read, too many of them, or what the system refuses; what was
/// there stays.
pub fn add_note(folder: &Path, note: ReviewNote) -> Result<usize, ResultsError> {
    let hold = hold_results(folder, "note", &note.results_blake3)?;
    let folder = hold.folder();
    let path = folder.join(NOTES_NAME);
    let mut notes = read_notes(folder)?;
    if notes.len() >= MOST_NOTES {
        let reason = format!("there are {MOST_NOTES} notes already, no more are kept");
        return Err(ResultsError::json(path, "review notes", reason));
    }
    notes.push(note);
    let count = notes.len();
    let file = ReviewNotes {
        kind: KIND.to_owned(),
        format: 1,
        notes,
    };
    put_file(folder, NOTES_NAME, &pretty(&file, folder)?)?;
    Ok(count)
}

/// Takes the lock of results for a command, whole ones with this checksum.
pub(crate) fn hold_results(
    folder: &Path,
    who: &str,
    results_blake3: &str,
) -> Result<FolderHold, ResultsError> {
    let hold = FolderHold::take(folder, who, SHORT_WAIT)?;
    let other = |reason: String| ResultsError::OtherResults {
        folder: folder.to_owned(),
        reason,
    };
    let looked_at = examine(hold.folder()).map_err(|e| other(e.to_string()))?;
    if !looked_at.whole() {
        return Err(other(
            "a file was changed since the run wrote it, or is missing".to_owned(),
        ));
    }
    if read_seals(hold.folder(), &Signers::default())?
        .iter()
        .any(|s| s.state == SealState::Broken)
    {
        return Err(other(
            "its seal is broken: the manifest is not what was sealed".to_owned(),
        ));
    }
    if looked_at.manifest.results_hash() != results_blake3 {
        return Err(other(
            "the results were replaced by others meanwhile".to_owned(),
        ));
    }
    Ok(hold)
}

/// Writes a file beside its place in a folder that is held and puts it there whole.
pub(crate) fn put_file(folder: &Path, name: &str, bytes: &[u8]) -> Result<(), ResultsError> {
    let start = format!(".{name}.");
    // What a killed process left: nobody else is at work here.
    for entry in fs::read_dir(folder)
        .map_err(ResultsError::io("list", folder))?
        .flatten()
    {
        let file = entry.file_name().to_string_lossy().into_owned();
        if file.starts_with(&start) && file.ends_with(".part") {
            remove(&entry.path());
        }
    }
    let temporary = format!("{start}{}.part", std::process::id());
    let part = UnderWay::new(folder.join(&temporary));
    write_file(folder, &temporary, bytes)?;
    let path = folder.join(name);
    part.put(|from| fs::rename(from, &path).map_err(ResultsError::io("put in place", &path)))?;
    sync_folder(folder)
}

impl Manifest {
    /// blake3 of input, names and checksums: names the results, whoever computed them and when.
    pub fn results_hash(&self) -> String {
        let mut text = format!("{}\n", self.input_blake3);
        for file in &self.files {
            text.push_str(&format!("{} {}\n", file.blake3, file.name));
        }
        hash_text(&text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::manifest::{MANIFEST_NAME, RunFacts};

    fn manifest() -> Manifest {
        let facts = RunFacts {
            started: std::time::UNIX_EPOCH,
            threads: 1,
            features: Vec::new(),
        };
        Manifest::new(&facts, "input", Vec::new())
    }

    fn refused(name: &str, date: &str, text: &str) -> String {
        ReviewNote::new(name, date, text, &manifest()).unwrap_err()
    }

    #[test]
    fn names_days_and_texts_are_checked() {
        let good = ReviewNote::new(" A. Reviewer ", "2024-02-29", "one\r\ntwo\n", &manifest());
        let good = good.unwrap();
        assert_eq!(
            (good.name.as_str(), good.text.as_str()),
            ("A. Reviewer", "one\ntwo")
        );
        assert!(good.is_of(&manifest()));
        for day in [
            "2023-02-29",
            "2024-13-01",
            "2024-00-10",
            "2024-1-1",
            "24-01-01",
            "x",
            "2024-04-31",
            "1024-01-01",
            "2024\u{2212}01-01",
        ] {
            assert!(refused("n", day, "t").contains("calendar"), "{day}");
        }
        assert!(refused("", "2024-01-01", "t").contains("empty"));
        assert!(refused("n", "2024-01-01", " \n ").contains("empty"));
        assert!(refused(&"n".repeat(81), "2024-01-01", "t").contains("81 characters"));
        assert!(refused("n", "2024-01-01", &"t".repeat(4001)).contains("4001"));
        for bad in ["a\u{1b}[31m", "a\u{202e}b", "a\nb", "a\u{0}"] {
            assert!(
                refused(bad, "2024-01-01", "t").contains("invisible"),
                "{bad:?}"
            );
        }
        assert!(refused("n", "2024-01-01", "a\tb").contains("U+0009"));
        assert!(refused("n", "2024-01-01", "a\u{2066}b").contains("U+2066"));
    }

    #[test]
    fn notes_are_added_and_read_back() {
        let folder = std::env::temp_dir().join(format!("giveway-notes-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        assert_eq!(read_notes(&folder).unwrap(), []);
        let results = manifest();
        fs::write(
            folder.join(MANIFEST_NAME),
            pretty(&results, &folder).unwrap(),
        )
        .unwrap();
        let note = |text: &str| ReviewNote::new("N", "2024-01-01", text, &results).unwrap();
        assert_eq!(add_note(&folder, note("first")).unwrap(), 1);
        assert_eq!(add_note(&folder, note("<b>\"second\"</b>")).unwrap(), 2);
        let texts: Vec<String> = (read_notes(&folder).unwrap().into_iter())
            .map(|n| n.text)
            .collect();
        assert_eq!(texts, ["first", "<b>\"second\"</b>"]);
        for bad in [
            "",
            "{}",
            "[1]",
            "{\"kind\":\"x\",\"format\":1,\"notes\":[]}",
        ] {
            fs::write(folder.join(NOTES_NAME), bad).unwrap();
            assert!(read_notes(&folder).is_err(), "{bad}");
            assert!(add_note(&folder, note("third")).is_err(), "{bad}");
            assert_eq!(fs::read_to_string(folder.join(NOTES_NAME)).unwrap(), bad);
        }
        // A note on other results than these is not kept.
        let other = Manifest {
            input_blake3: "0".repeat(64),
            ..manifest()
        };
        let late = ReviewNote::new("N", "2024-01-01", "late", &other).unwrap();
        let refused = add_note(&folder, late).unwrap_err().to_string();
        assert!(refused.contains("replaced by others"), "{refused}");
        fs::remove_dir_all(&folder).unwrap();
    }
}
