//! Writing a single file.

use std::fs;
use std::path::Path;

/// Writes a file under a temporary name beside its place, then renames it: a reader never sees half of it, and a
/// failure leaves what was there. A file of that name is replaced.
///
/// # Errors
/// What the system says, in words.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), String> {
    if path.is_dir() {
        return Err("is a folder, not a file".to_owned());
    }
    let Some(name) = path.file_name().and_then(|n| n.to_str()) else {
        return Err("has no file name".to_owned());
    };
    let temporary = path.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let written = fs::write(&temporary, bytes).and_then(|()| fs::rename(&temporary, path));
    written.map_err(|e| {
        // Whatever was begun is of no use; that it cannot be removed changes nothing.
        let _ = fs::remove_file(&temporary);
        format!("cannot be written: {e}")
    })
}
