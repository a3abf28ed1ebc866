//! Writing a single file.

use std::fs;
use std::path::Path;

/// Writes a file under a temporary name beside its place, then renames it: a reader never sees half of it, and a
/// failure leaves what was there. A file of that name is replaced; what is no file (a terminal, a pipe, a device) is
/// written to and stays.
///
/// # Errors
/// What the system says, in words.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), String> {
    if path.is_dir() {
        return Err("is a folder, not a file".to_owned());
    }
    if path.metadata().is_ok_and(|m| !m.is_file()) {
        return fs::write(path, bytes).map_err(|e| format!("cannot be written: {e}"));
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

#[cfg(all(test, unix))]
mod tests {
    use std::io::Read;
    use std::os::unix::fs::FileTypeExt;
    use std::process::Command;

    use super::*;

    #[test]
    fn a_pipe_is_written_to_and_stays() {
        let folder = std::env::temp_dir().join(format!("giveway-pipe-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let pipe = folder.join("pipe");
        assert!(
            Command::new("mkfifo")
                .arg(&pipe)
                .status()
                .unwrap()
                .success()
        );
        let reader = {
            let pipe = pipe.clone();
            std::thread::spawn(move || {
                let mut text = String::new();
                fs::File::open(pipe)
                    .unwrap()
                    .read_to_string(&mut text)
                    .unwrap();
                text
            })
        };
        write_file(&pipe, b"whole").unwrap();
        assert_eq!(reader.join().unwrap(), "whole");
        let kind = fs::symlink_metadata(&pipe).unwrap().file_type();
        assert!(kind.is_fifo());
        fs::remove_dir_all(&folder).unwrap();
    }
}
