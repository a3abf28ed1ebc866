//! Writing to the terminal, without panicking when the reader went away, and without letting a text out that would do
//! something to the terminal instead of standing in it.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::io::Write;
use std::process::ExitCode;

use clap::error::ErrorKind;
use giveway_units::invisible;

use crate::exit::Exit;
use crate::input::Refusal;

/// Writes to standard output. A reader that goes away early (`giveway ... | head`) is no error.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    // Nothing useful can be done about a closed standard output.
    let _ = out
        .write_all(tame(text).as_bytes())
        .and_then(|()| out.flush());
}

/// Writes to standard error, under the same rule.
pub fn complain(text: &str) {
    let mut err = std::io::stderr().lock();
    let _ = err
        .write_all(tame(text).as_bytes())
        .and_then(|()| err.flush());
}

/// Every text passes here on its way out: what is invisible or moves the cursor, colours or turns the line is written as
/// `\u001b`. JSON reads that as the same character.
fn tame(text: &str) -> Cow<'_, str> {
    let wild = |c: char| invisible(c) && !matches!(c, '\n' | '\t');
    if !text.contains(wild) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if wild(c) {
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                let _ = write!(out, "\\u{unit:04x}");
            }
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// What the command line's grammar has to say: help as it is, a mistake with the words of the command line tamed.
pub fn told_by_the_grammar(told: &clap::Error) -> ExitCode {
    match told.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            let _ = told.print();
        }
        _ => complain(&told.render().to_string()),
    }
    ExitCode::from(u8::try_from(told.exit_code()).unwrap_or(Exit::Usage as u8))
}

/// Says what a command has done, unless it is to be quiet, or why it refused.
pub fn ended(outcome: Result<String, Refusal>, quiet: bool) -> Exit {
    let said = outcome.map(|said| {
        if !quiet {
            print(&said);
        }
        Exit::Done
    });
    code(said)
}

/// The code of a command, which says why it refused.
pub fn code(outcome: Result<Exit, Refusal>) -> Exit {
    outcome.unwrap_or_else(|refusal| {
        complain(&refusal.text);
        refusal.exit
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_leaves_that_a_terminal_obeys() {
        assert_eq!(
            tame("plain \u{e9} \u{2026}\n\tx"),
            "plain \u{e9} \u{2026}\n\tx"
        );
        assert_eq!(
            tame("a\u{1b}[2K\rPASS\u{202e}"),
            "a\\u001b[2K\\u000dPASS\\u202e"
        );
        assert_eq!(
            tame("\u{9b}m\u{7f}\u{2066}\u{feff}\u{e0041}"),
            "\\u009bm\\u007f\\u2066\\ufeff\\udb40\\udc41"
        );
        let json = serde_json::json!({"t": "x\u{202e}\u{e0041}\u{85}"}).to_string();
        let back: serde_json::Value = serde_json::from_str(&tame(&json)).unwrap();
        assert_eq!(back["t"], "x\u{202e}\u{e0041}\u{85}");
    }
}
