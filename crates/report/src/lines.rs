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

    /// A text that begins with `first`; further lines begin with `next`. A word wider than a line is cut.
    pub fn text(&mut self, first: &str, next: &str, text: &str) {
        let room = self
            .columns
            .saturating_sub(first.chars().count().max(next.chars().count()))
            .max(8);
        let mut line = first.to_owned();
        let mut used = 0;
        let mut push = |lines: &mut Vec<String>, piece: &str| {
            let width = piece.chars().count();
            if used > 0 && used + 1 + width > room {
                lines.push(std::mem::replace(&mut line, next.to_owned()));
                used = 0;
            }
            if used > 0 {
                line.push(' ');
                used += 1;
            }
            line.push_str(piece);
            used += width;
        };
        for word in text.split_whitespace() {
            let letters: Vec<char> = word.chars().collect();
            for piece in letters.chunks(room) {
                push(&mut self.lines, &piece.iter().collect::<String>());
            }
        }
        self.lines.push(line.trim_end().to_owned());
    }

    /// Everything, each line with its break.
    pub fn finish(self) -> String {
        let mut out = self.lines.join("\n");
        out.push('\n');
        out
    }
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
}
