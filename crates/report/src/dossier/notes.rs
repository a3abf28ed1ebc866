//! What reviewers signed off, beside the checksums of the results.

use giveway_results::RunContents;

use super::markup::Markup;

/// The seals and the notes of one run.
pub fn chapter(m: &mut Markup, run: &RunContents) {
    for seal in &run.seals {
        m.classed("notice", &seal.line());
    }
    let anchor = format!("SHA-256 of manifest.json: {}.", run.anchor);
    m.classed("soft", &anchor);
    notes(m, run);
}

fn notes(m: &mut Markup, run: &RunContents) {
    let notes = match &run.notes {
        Ok(notes) => notes,
        Err(reason) => {
            m.paragraph(&format!("The file of notes does not read: {reason}."));
            return;
        }
    };
    if notes.is_empty() {
        m.paragraph("Nobody has signed a note on these results.");
        return;
    }
    for note in notes {
        m.lead("", &format!("{}, {}.", note.name, note.date), "");
        for line in note.text.lines().filter(|l| !l.trim().is_empty()) {
            m.classed("notice", line);
        }
        if !note.is_of(&run.manifest) {
            m.lead(
                "",
                "Written for other results.",
                "The folder has changed since this note was signed.",
            );
        }
    }
    m.classed(
        "soft",
        "Notes stand outside the checksums: they do not change the results, and nothing proves who wrote them.",
    );
}
