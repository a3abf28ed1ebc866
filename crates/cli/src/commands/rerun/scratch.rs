//! A place to compute in.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};

/// A folder beside the system's temporary files that disappears with its owner.
pub(super) struct Scratch(pub PathBuf);

impl Scratch {
    /// A name that is free; nothing is made there yet.
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("giveway-rerun-{}-{number}", std::process::id());
        Self(std::env::temp_dir().join(name))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // That it cannot be removed changes nothing.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
