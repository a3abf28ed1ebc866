//! `giveway note`: a reviewer's signed-off note beside results, or the notes that are there.

use std::time::SystemTime;

use giveway_results::{
    Examined, ResultsError, ReviewNote, Signers, add_note, day_of, examine, read_notes, read_seals,
};

use crate::arguments::Note;
use crate::exit::Exit;
use crate::terminal::{complain, print};

/// Adds a note where a text is given; lists the notes otherwise.
pub fn note(arguments: &Note) -> Exit {
    match whole(arguments) {
        Ok(text) => {
            print(&text);
            Exit::Done
        }
        Err((exit, problem)) => {
            complain(&format!(
                "{}: error: {problem}\n",
                arguments.result.display()
            ));
            exit
        }
    }
}

fn whole(arguments: &Note) -> Result<String, (Exit, String)> {
    let folder = &arguments.result;
    let looked_at = examine(folder).map_err(|e| (Exit::NoResults, e.to_string()))?;
    let io = |e: ResultsError| (Exit::Io, e.to_string());
    let (Some(name), Some(text)) = (&arguments.name, &arguments.text) else {
        let seals = read_seals(folder, &Signers::default()).map_err(io)?;
        let mut text = listed(&read_notes(folder).map_err(io)?, &looked_at);
        text.extend(seals.iter().map(|seal| format!("{}\n", seal.line())));
        return Ok(text);
    };
    if !looked_at.whole() {
        let problem = "a file was changed since the run wrote it, or is missing; a note is for results as they were \
                       computed (`giveway rerun` says more)";
        return Err((Exit::Tampered, problem.to_owned()));
    }
    let today = || day_of(SystemTime::now());
    let date = arguments.date.clone().unwrap_or_else(today);
    let note = ReviewNote::new(name, &date, text, &looked_at.manifest)
        .map_err(|problem| (Exit::Usage, problem))?;
    let count = add_note(folder, note).map_err(|e| {
        let exit = match e {
            ResultsError::OtherResults { .. } => Exit::Tampered,
            _ => Exit::Io,
        };
        (exit, e.to_string())
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
