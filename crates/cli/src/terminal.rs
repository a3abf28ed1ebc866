//! Writing to the terminal, without panicking when the reader went away.

use std::io::Write;

use crate::exit::Exit;
use crate::input::Refusal;

/// Writes to standard output. A reader that goes away early (`giveway ... | head`) is no error.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    // Nothing useful can be done about a closed standard output.
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Writes to standard error, under the same rule.
pub fn complain(text: &str) {
    let mut err = std::io::stderr().lock();
    let _ = err.write_all(text.as_bytes()).and_then(|()| err.flush());
}

/// Says what a command has done, unless it is to be quiet, or why it refused.
pub fn ended(outcome: Result<String, Refusal>, quiet: bool) -> Exit {
    match outcome {
        Ok(said) => {
            if !quiet {
                print(&said);
            }
            Exit::Done
        }
        Err(refusal) => {
            complain(&refusal.text);
            refusal.exit
        }
    }
}
