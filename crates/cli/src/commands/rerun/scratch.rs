//! A place to compute in.

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use giveway_results::UnderWay;

/// A folder beside the system's temporary files that disappears with its owner.
pub(super) struct Scratch(UnderWay);

impl Scratch {
    /// A name that is free; nothing is made there yet.
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("giveway-rerun-{}-{number}", std::process::id());
        Self(UnderWay::new(std::env::temp_dir().join(name)))
    }

    pub fn path(&self) -> &Path {
        self.0.path()
    }
}
