//! What a writing leaves behind when it does not come to its end: temporary files and folders, and who takes them away.
//!
//! Three hands clear up. A writer that fails removes its own (`UnderWay` does so when it is dropped). A program that is
//! told to end calls `give_up`, which removes everything that is under way in it. What a killed process left is removed by
//! the next writer at that place, which knows from the lock that nobody holds it any more (see `hold.rs`).

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

static PATHS: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

fn paths() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    PATHS.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A temporary file or folder; it is removed when this is dropped.
#[derive(Debug)]
pub struct UnderWay(PathBuf);

impl UnderWay {
    /// Of a path, which need not exist yet.
    pub fn new(path: PathBuf) -> Self {
        paths().insert(path.clone());
        Self(path)
    }

    /// The path.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Leaves it where it is.
    pub fn keep(self) {
        paths().remove(&self.0);
    }

    /// Puts it in its place: from then on it stays. Nothing that ends the program by `give_up` comes in between.
    ///
    /// # Errors
    /// Those of `put`; it is then removed.
    pub fn put<T, E>(self, put: impl FnOnce(&Path) -> Result<T, E>) -> Result<T, E> {
        let mut all = paths();
        let done = put(&self.0);
        if done.is_ok() {
            all.remove(&self.0);
        }
        drop(all);
        done
    }
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        // Whoever put it in place took it off the list.
        let mut all = paths();
        if all.remove(&self.0) {
            remove(&self.0);
        }
    }
}

/// Removes everything that is under way in this program, for an end by a signal. Nothing is put in place any more.
pub fn give_up() {
    let all = paths();
    for path in all.iter() {
        // Another thread may still write into a folder.
        for _ in 0..100 {
            remove(path);
            if fs::symlink_metadata(path).is_err() {
                break;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
    }
    // The list stays locked: a writer that goes on waits for the end of the program.
    std::mem::forget(all);
}

/// Removes a file or a folder; nothing can be done about a failure.
pub(crate) fn remove(path: &Path) {
    let _ = match fs::symlink_metadata(path) {
        Ok(meta) if meta.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
        Err(_) => Ok(()),
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_put_in_place_is_removed() {
        let folder = std::env::temp_dir().join(format!("giveway-under-way-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let at = |name: &str| folder.join(name);
        let file = |name: &str| {
            fs::write(at(name), "x").unwrap();
            UnderWay::new(at(name))
        };
        drop(file("a"));
        file("b").put(|from| fs::rename(from, at("c"))).unwrap();
        assert!(file("d").put(|_| Err::<(), _>("no")).is_err());
        let left: Vec<_> = fs::read_dir(&folder)
            .unwrap()
            .map(|e| e.unwrap().file_name())
            .collect();
        assert_eq!(left, ["c"]);
        fs::remove_dir_all(&folder).unwrap();
    }
}
