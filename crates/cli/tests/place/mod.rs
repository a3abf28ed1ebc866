//! A folder for one test, in which the program runs as a person runs it.

mod scenario;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

pub use scenario::SCENARIO;

/// The folder.
pub struct Place(PathBuf);

impl Place {
    /// An empty one with this name, holding these files.
    pub fn new(name: &str, files: &[(&str, &str)]) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        for (file, text) in files {
            fs::write(folder.join(file), text).unwrap();
        }
        Place(folder)
    }

    /// A path in it.
    pub fn at(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// Exit code, output and errors of the program.
    pub fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        self.run_with(arguments, None)
    }

    /// The same on so many threads.
    pub fn run_with(&self, arguments: &[&str], threads: Option<&str>) -> (i32, String, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_giveway"));
        command.args(arguments).current_dir(&self.0);
        if let Some(threads) = threads {
            command.env("RAYON_NUM_THREADS", threads);
        }
        let output = command.output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (
            output.status.code().unwrap(),
            text(output.stdout),
            text(output.stderr),
        )
    }

    /// Runs a command that must succeed.
    pub fn done(&self, arguments: &[&str]) -> String {
        let (code, out, err) = self.run(arguments);
        assert_eq!(code, 0, "{arguments:?}\n{out}{err}");
        out
    }
}
