//! The page of a study's figure: heading, what is kept, caution; and the names of the files.

use giveway_study::analysis::{Analysis, Fixed};

use super::quantity::Quantity;
use crate::page::{MARGIN, WIDTH};
use giveway_draw::{Colour, Figure, INK, SLATE, look, text_width};

/// What all figures of a study say.
pub struct Facts<'a> {
    pub analysis: &'a Analysis,
    pub caution: &'a str,
}

impl Facts<'_> {
    /// How many runs there are, and how many are missing or failed.
    pub fn runs(&self) -> String {
        let a = self.analysis;
        let mut text = format!("{} runs", a.runs);
        if a.failed > 0 {
            text.push_str(&format!(", {} failed", a.failed));
        }
        if a.missing > 0 {
            text.push_str(&format!(", {} not yet computed", a.missing));
        }
        text
    }
}

/// An empty page: title, a line of facts below it (wrapped to two at most), the caution at its foot.
pub fn sheet(name: &str, title: &str, facts: &str, height: f64, caution: &str) -> Figure {
    let mut f = Figure::new(name, title, WIDTH, height);
    f.text((MARGIN, 34.0), title, look(26.0, INK).bold());
    let lines = wrapped(facts, 16.0, WIDTH - 2.0 * MARGIN);
    for (i, line) in lines.iter().take(2).enumerate() {
        f.text((MARGIN, 64.0 + 21.0 * i as f64), line, look(16.0, SLATE));
    }
    f.text((MARGIN, height - 18.0), caution, look(13.0, SLATE));
    f
}

/// A text in lines of at most that width.
pub fn wrapped(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size, false) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Writes a text in a column; returns the y below it.
pub fn column(f: &mut Figure, at: (f64, f64), width: f64, text: &str, colour: Colour) -> f64 {
    let size = 15.0;
    let mut y = at.1;
    for line in wrapped(text, size, width) {
        f.text((at.0, y), &line, look(size, colour));
        y += 20.0;
    }
    y
}

/// A kept quantity in words.
pub fn fixed_text(fixed: &Fixed) -> String {
    let q = Quantity::of(&fixed.column);
    match (&fixed.word, fixed.value) {
        (Some(word), _) => format!("{} {word}", q.words),
        (None, Some(value)) => format!("{} {}", q.words, q.text(value)),
        (None, None) => q.words,
    }
}

/// Everything kept, after a `; `; empty where nothing is.
pub fn kept(fixed: &[Fixed]) -> String {
    if fixed.is_empty() {
        return String::new();
    }
    let list: Vec<String> = fixed.iter().map(fixed_text).collect();
    format!("; at {}", list.join(", "))
}

/// File names, each given once.
#[derive(Default)]
pub struct Names {
    given: Vec<String>,
}

impl Names {
    /// A name from a few words; another figure of these words gets what is kept, or a number, behind it.
    pub fn of(&mut self, words: &[&str], number: usize, fixed: &[Fixed]) -> String {
        let mut name = plain(&words.join("-"));
        let kept: Vec<&str> = fixed.iter().filter_map(|f| f.word.as_deref()).collect();
        if !kept.is_empty() {
            name = format!("{name}-{}", plain(&kept.join("-")));
        }
        if self.given.contains(&name) {
            name = format!("{name}-{}", number + 1);
        }
        self.given.push(name.clone());
        name
    }
}

fn plain(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            c if c.is_ascii_alphanumeric() => c.to_ascii_lowercase(),
            _ => '-',
        })
        .collect()
}
