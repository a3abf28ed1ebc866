//! `giveway note`: a reviewer's signed-off note beside results, or the notes that are there.

use std::time::SystemTime;

use giveway_results::{
    Examined, ResultsError, ReviewNote, Signers, add_note, day_of, examine, read_notes, read_seals,
};

use crate::arguments::Note;
use crate::exit::Exit;
use crate::input::{OrRefuse, Refusal};
use crate::terminal::ended;

/// Adds a note where a text is given; lists the notes otherwise.
pub fn note(arguments: &Note) -> Exit {
    ended(whole(arguments), false)
}

fn whole(arguments: &Note) -> Result<String, Refusal> {
    let folder = &arguments.result;
    let looked_at = examine(folder).or_refuse(Exit::NoResults, folder)?;
    let (Some(name), Some(text)) = (&arguments.name, &arguments.text) else {
        let seals = read_seals(folder, &Signers::default()).or_refuse(Exit::Io, folder)?;
        let mut text = listed(&read_notes(folder).or_refuse(Exit::Io, folder)?, &looked_at);
        text.extend(seals.iter().map(|seal| format!("{}\n", seal.line())));
        return Ok(text);
    };
    if !looked_at.whole() {
        let problem = "a file was changed since the run wrote it, or is missing; a note is for results as they were \
                       computed (`giveway rerun` says more)";
        return Err(Refusal::of_file(Exit::Tampered, folder, problem));
    }
    let today = || day_of(SystemTime::now());
    let date = arguments.date.clone().unwrap_or_else(today);
    let note =
        ReviewNote::new(name, &date, text, &looked_at.manifest).or_refuse(Exit::Usage, folder)?;
    let count = add_note(folder, note).map_err(|e| {
        let exit = match e {
            ResultsError::OtherResults { .. } => Exit::Tampered,
            _ => Exit::Io,
        };
        Refusal::of_file(exit, folder, &e.to_string())
    })?;
    Ok(format!("{}: note {count} is kept\n", folder.display()))
}

fn listed(notes: &[ReviewNote], looked_at: &Examined) -> String {
    if notes.is_empty() {
        return "no review notes; add one with --name and --text\n".to_owned();
    }
    let mut text = String::new();
    for note in notes {
        text.push_str(&format!("{}  {}", note.date, note.name));
        if !note.is_of(&looked_at.manifest) {
            text.push_str("  (on other results than these)");
        }
        text.push('\n');
        for line in note.text.lines() {
            text.push_str(&format!("  {line}\n"));
        }
    }
    text
}
