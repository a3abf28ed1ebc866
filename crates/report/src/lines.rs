//! Lines of plain text for a terminal, wrapped at a width.

/// Wrapped lines.
#[derive(Debug, Clone, Default)]
pub struct Lines {
    columns: usize,
    lines: Vec<String>,
}

impl Lines {
    /// No lines yet; none will be wider than `columns` characters.
    pub fn new(columns: usize) -> Self {
        Self {
            columns,
            lines: Vec::new(),
        }
    }

    /// An empty line.
    pub fn blank(&mut self) {
        self.lines.push(String::new());
    }

    /// A text that begins with `first`; further lines begin with `next`. A unit stays with its number; a word wider than
    /// a line is cut.
    pub fn text(&mut self, first: &str, next: &str, text: &str) {
        let room = |lead: &str| self.columns.saturating_sub(lead.chars().count()).max(8);
        let (mut left, later) = (room(first), room(next));
        let narrow = left.min(later);
        let mut line = first.to_owned();
        let mut fresh = true;
        for word in with_units(text) {
            let letters: Vec<char> = word.chars().collect();
            for piece in letters.chunks(narrow) {
                let width = piece.len() + usize::from(!fresh);
                if !fresh && width > left {
                    let full = std::mem::replace(&mut line, next.to_owned());
                    self.lines.push(full.trim_end().to_owned());
                    left = later;
                    fresh = true;
                }
                if !fresh {
                    line.push(' ');
                }
                line.extend(piece);
                left = left.saturating_sub(piece.len() + usize::from(!fresh));
                fresh = false;
            }
        }
        self.lines.push(line.trim_end().to_owned());
    }

    /// A text behind a few words; further lines begin below the text.
    pub fn hanging(&mut self, lead: &str, text: &str) {
        self.text(lead, &" ".repeat(lead.chars().count()), text);
    }

    /// A text below a heading: its lines begin with two blanks, further ones with four.
    pub fn item(&mut self, text: &str) {
        self.text("  ", "    ", text);
    }

    /// A heading below an empty line.
    pub fn heading(&mut self, text: &str) {
        self.blank();
        self.text("", "", text);
    }

    /// How many lines there are.
    pub fn count(&self) -> usize {
        self.lines.len()
    }

    /// Adds the lines of another page.
    pub fn append(&mut self, mut other: Self) {
        self.lines.append(&mut other.lines);
    }

    /// Leaves out what is beyond `most` lines.
    pub fn truncate(&mut self, most: usize) {
        self.lines.truncate(most);
    }

    /// Everything, each line with its break.
    pub fn finish(self) -> String {
        let mut out = self.lines.join("\n");
        out.push('\n');
        out
    }
}

/// The words of a text; a unit stays with its number.
fn with_units(text: &str) -> Vec<String> {
    const UNITS: [&str; 9] = ["m/s", "km/h", "ms", "kN", "mm", "kg", "g", "%", "m"];
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let bare = word.trim_end_matches([',', ';', ':', '.', ')']);
        match words.last_mut() {
            Some(number)
                if UNITS.contains(&bare) && number.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                number.push(' ');
                number.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_asked() {
        let mut lines = Lines::new(20);
        lines.text(
            "1. ",
            "   ",
            &format!("one two three four five {}", "x".repeat(50)),
        );
        lines.blank();
        let text = lines.finish();
        assert!(text.lines().all(|l| l.chars().count() <= 20), "{text}");
        assert!(
            text.starts_with("1. one two three\n   four five\n"),
            "{text}"
        );
    }

    #[test]
    fn a_unit_stays_with_its_number_and_each_line_has_its_own_room() {
        let mut lines = Lines::new(20);
        lines.text("", "      ", "a loss of almost 12.5 km/h, (3 m/s) in all");
        let text = lines.finish();
        assert_eq!(
            text,
            "a loss of almost\n      12.5 km/h,\n      (3 m/s) in all\n"
        );
        let mut lines = Lines::new(20);
        lines.text("", "", "it held up to about 118 kN.");
        assert_eq!(lines.finish(), "it held up to about\n118 kN.\n");
    }
}
