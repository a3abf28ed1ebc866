//! Exit codes.

use std::process::ExitCode;

/// How the program ended. With several files the highest code counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum Exit {
    /// Done, or an inspection says go. A verdict of "fail" is a result, not an error.
    Done = 0,
    /// The computation failed, or a run does not close its energy or momentum book.
    Compute = 1,
    /// The command line is wrong (also what clap returns).
    Usage = 2,
    /// A scenario, a study or a site record is wrong.
    Scenario = 3,
    /// A file could not be read or written.
    Io = 4,
    /// `--strict` was given and a verdict is "fail".
    Verdict = 5,
    /// An inspection cannot tell: something that decides was not measured or could not be computed.
    CannotTell = 6,
    /// An inspection says no-go.
    NoGo = 7,
    /// A study is partial: it was interrupted, or parts of it have gaps.
    Partial = 8,
    /// A rerun gave other results than the folder holds.
    Differs = 9,
    /// A results folder was changed since it was written.
    Tampered = 10,
    /// A file of a results folder is cut short.
    CutShort = 11,
    /// A file of a results folder is missing.
    MissingFile = 12,
    /// A results folder was written by another version of the format or of the model, and differs.
    ForeignVersion = 13,
    /// A folder holds no results that can be looked at.
    NoResults = 14,
}

/// The table of exit codes, for `--help`.
pub const HELP: &str = "\
Exit codes:
  0  done (a verdict of \"fail\" is a result, not an error), or an inspection says go
  1  the computation failed, or a run (also one of a study) does not close its energy or momentum book
  2  the command line is wrong
  3  a scenario, a study or a site record is wrong
  4  a file could not be read or written
  5  --strict was given and a verdict is \"fail\"
  6  an inspection cannot tell: something that decides was not measured or could not be computed
  7  an inspection says no-go
  8  a study is partial: it was interrupted (give the same command again), or parts of it have gaps
  9  rerun: computed again, the results differ from those in the folder
 10  a results folder was changed since it was written
 11  a file of a results folder is cut short
 12  a file of a results folder is missing
 13  a results folder was written by another version of the format or of the model, and its results differ
 14  a folder holds no results that can be looked at
compare alone: 0 the same within the tolerances, 1 they differ.
With several files or poles, the highest code of them.";

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        ExitCode::from(exit as u8)
    }
}
