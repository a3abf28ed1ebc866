//! `giveway seal`: a signature of results with a key, and the line that anchors them on paper.

use std::path::Path;

use giveway_results::{
    Examined, FolderFault, ResultsError, SealState, Signers, add_seal, anchor, examine, read_key,
    read_seals,
};

use crate::arguments::Seal;
use crate::exit::Exit;
use crate::input::Refusal;
use crate::terminal::{code, print};

/// Signs where a key is given; checks what is there in any case.
pub fn seal(arguments: &Seal) -> Exit {
    code(whole(arguments))
}

fn whole(arguments: &Seal) -> Result<Exit, Refusal> {
    let folder = &arguments.result;
    let io = |e: ResultsError| Refusal::of_file(Exit::Io, folder, &e.to_string());
    let looked_at = examine(folder).map_err(|e| {
        let exit = match e {
            FolderFault::ManifestChanged(_) => Exit::Tampered,
            FolderFault::ManifestCut(_) => Exit::CutShort,
            _ => Exit::NoResults,
        };
        Refusal::of_file(exit, folder, &e.to_string())
    })?;
    let signers = signers(arguments.signers.as_deref()).map_err(io)?;
    let mut text = String::new();
    if let Some(path) = &arguments.key {
        let key = read_key(path).map_err(io)?;
        let name =
            add_seal(folder, &key, &looked_at.manifest.results_hash()).map_err(|e| match e {
                ResultsError::OtherResults { .. } => {
                    Refusal::of_file(Exit::Tampered, folder, &e.to_string())
                }
                e => io(e),
            })?;
        text.push_str(&format!("{}: sealed, {name}\n", folder.display()));
    }
    let seals = read_seals(folder, &signers).map_err(io)?;
    if seals.is_empty() {
        text.push_str("no seal; --key signs these results\n");
    }
    for seal in &seals {
        text.push_str(&format!("{}\n", seal.line()));
    }
    text.push_str(&format!(
        "{}\n",
        anchor_line(folder, &looked_at).map_err(io)?
    ));
    let broken = seals.iter().any(|s| s.state == SealState::Broken);
    if !looked_at.whole() {
        text.push_str(
            "a file was changed since the run wrote it, or is missing; `giveway rerun` says more\n",
        );
    }
    print(&text);
    Ok(if broken || !looked_at.whole() {
        Exit::Tampered
    } else {
        Exit::Done
    })
}

/// The keys of a list; none where no list is given.
pub fn signers(path: Option<&Path>) -> Result<Signers, ResultsError> {
    path.map_or_else(|| Ok(Signers::default()), Signers::read)
}

/// What can be printed and filed: the manifest's checksum and when the results were begun.
pub fn anchor_line(folder: &Path, looked_at: &Examined) -> Result<String, ResultsError> {
    Ok(format!(
        "anchor: SHA-256 of manifest.json {}, results of {}, model version {}",
        anchor(folder)?,
        looked_at.manifest.started,
        looked_at.manifest.model_version
    ))
}
