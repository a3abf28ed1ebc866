//! Diagnostics as text for a terminal: place, message, the line of the file with a caret, and what to do.
//!
//! ```text
//! scenarios/first.toml:14:9: error[S012]: the value has no unit
//!    |
//! 14 | speed = 50
//!    |         ^
//!    = found: 50
//!    = try: speed = "50 km/h"
//! ```

use std::fmt::Write as _;

use giveway_scenario::{Diagnostic, Severity};
use giveway_units::invisible;
use unicode_width::UnicodeWidthStr;

/// Longest piece of a source line that is shown, characters.
const WIDEST: usize = 120;

/// All findings of one file, one after the other; empty where there are none.
pub fn diagnostics(list: &[Diagnostic], source: &str) -> String {
    let mut text = String::new();
    for diagnostic in list {
        render(diagnostic, source, &mut text);
    }
    text
}

fn render(diagnostic: &Diagnostic, source: &str, text: &mut String) {
    let Diagnostic {
        code,
        severity,
        file,
        line,
        column,
        path,
        message,
        found,
        allowed,
        suggestion,
    } = diagnostic;
    let word = match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    let place = if *line > 0 {
        format!("{file}:{line}:{column}")
    } else {
        file.clone()
    };
    let subject = if path.is_empty() {
        String::new()
    } else {
        format!("{path}: ")
    };
    let _ = writeln!(text, "{place}: {word}[{code}]: {subject}{message}");
    let number = line.to_string();
    let margin = " ".repeat(number.len());
    if let Some((shown, caret)) = excerpt(source, *line, *column) {
        let _ = writeln!(text, "{margin} |");
        let _ = writeln!(text, "{number} | {shown}");
        let _ = writeln!(text, "{margin} | {caret}^");
    }
    let notes = [("found", found), ("allowed", allowed), ("try", suggestion)];
    for (label, note) in notes {
        if let Some(note) = note {
            let _ = writeln!(text, "{margin} = {label}: {note}");
        }
    }
}

/// A line of the source, cut to a readable width, and the blanks that put a caret under the column.
fn excerpt(source: &str, line: usize, column: usize) -> Option<(String, String)> {
    let whole = source.lines().nth(line.checked_sub(1)?)?;
    let whole = whole.trim_start_matches('\u{feff}');
    let before = column.checked_sub(1)?;
    // Keep the column in sight when the line is very long.
    let skipped = before.saturating_sub(WIDEST / 2);
    let shown: String = whole
        .chars()
        .skip(skipped)
        .take(WIDEST)
        .map(|c| if invisible(c) { ' ' } else { c })
        .collect();
    if shown.trim().is_empty() {
        return None;
    }
    // Signs of the far east are two columns wide, accents that stand alone none.
    let ahead = before - skipped;
    let head = shown
        .char_indices()
        .nth(ahead)
        .map_or(shown.as_str(), |(i, _)| &shown[..i]);
    let beyond = ahead.saturating_sub(shown.chars().count());
    let blanks = " ".repeat(head.width() + beyond);
    Some((shown.trim_end().to_owned(), blanks))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example(line: usize, column: usize) -> Diagnostic {
        Diagnostic {
            code: "S012",
            severity: Severity::Error,
            file: "a.toml".into(),
            line,
            column,
            path: "impact.speed".into(),
            message: "no unit".into(),
            found: Some("50".into()),
            allowed: None,
            suggestion: Some("\"50 km/h\"".into()),
        }
    }

    #[test]
    fn the_caret_stands_under_the_column() {
        let source = "[impact]\n\u{e9}speed = 50\n";
        let text = diagnostics(&[example(2, 10)], source);
        assert_eq!(
            text,
            "a.toml:2:10: error[S012]: impact.speed: no unit\n  |\n2 | \u{e9}speed = 50\n  |          ^\n  \
             = found: 50\n  = try: \"50 km/h\"\n"
        );
    }

    #[test]
    fn wide_signs_accents_tabs_and_marks_do_not_move_the_caret() {
        // Text, column of the `x`, columns of a terminal before it.
        for (source, column, blanks) in [
            ("\u{6771}\u{4eac} x", 4, 5),
            ("e\u{301}\u{1f697}x", 4, 3),
            ("\t\tx\r", 3, 2),
            ("\u{feff}ab x", 4, 3),
        ] {
            let text = diagnostics(&[example(1, column)], source);
            let caret = text.lines().nth(3).unwrap();
            assert_eq!(caret, format!("  | {}^", " ".repeat(blanks)), "{source:?}");
        }
    }

    #[test]
    fn places_outside_the_file_show_no_line() {
        for (line, column) in [(0, 0), (9, 1), (1, 0)] {
            assert!(!diagnostics(&[example(line, column)], "x = 1\n").contains('^'));
        }
    }

    #[test]
    fn long_lines_are_cut_around_the_column() {
        let source = format!("a = \"{}\"", "x".repeat(10_000));
        let text = diagnostics(&[example(1, 5_000)], &source);
        assert!(text.lines().all(|l| l.chars().count() < 140));
        assert!(text.contains('^'));
    }
}
