//! Writing to the terminal, without panicking when the reader went away.

use std::io::Write;

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
