//! Writing of the page: every text goes through one escape, every element is closed by the one who opened it.

use std::fmt::Write as _;

use crate::printed::{self, Mark, escaped, framed, lead};

#[derive(Debug, Default)]
pub struct Markup {
    text: String,
}

/// One cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Text(String),
    /// A number or another short text that stands at the right.
    Number(String),
    /// A word of judgement in its frame.
    Word(Mark, String),
    /// The name of the rows that follow; the only cell of its row.
    Group(String),
    /// A value against its limit, drawn: value and preferred limit as fractions of the maximum. The same row tells it in numbers.
    Strip(f64, Option<f64>),
}

/// A table whose first column names the row.
#[derive(Debug, Clone, Default)]
pub struct Table {
    pub caption: String,
    /// Titles of the columns; those of numbers end in `>`.
    pub heads: Vec<String>,
    /// Rows, each with a cell for every column.
    pub rows: Vec<Vec<Cell>>,
}

/// A column of a table: its title, and what stands in it for an item.
type Column<'a, T> = (&'a str, &'a dyn Fn(&T) -> Cell);

impl Table {
    /// A table without rows. A title that ends in `>` belongs to a column of numbers.
    pub fn new(caption: &str, heads: &[&str]) -> Self {
        Self {
            caption: caption.to_owned(),
            heads: heads.iter().map(|h| (*h).to_owned()).collect(),
            rows: Vec::new(),
        }
    }

    /// A table with a row for each item: of every column its title and what stands in it.
    pub fn of<T>(
        caption: &str,
        items: impl IntoIterator<Item = T>,
        columns: &[Column<'_, T>],
    ) -> Self {
        let cells = |item: T| columns.iter().map(|(_, cell)| cell(&item)).collect();
        Self {
            caption: caption.to_owned(),
            heads: columns.iter().map(|(head, _)| (*head).to_owned()).collect(),
            rows: items.into_iter().map(cells).collect(),
        }
    }

    /// Adds a row of words and numbers: the first cell is its name.
    pub fn row(&mut self, cells: Vec<Cell>) {
        self.rows.push(cells);
    }

    /// Adds a row of a name and one value.
    pub fn pair(&mut self, name: &str, value: impl Into<String>) {
        self.row(vec![Cell::text(name), Cell::number(value)]);
    }
}

impl Cell {
    pub fn text(text: &str) -> Self {
        Self::Text(text.to_owned())
    }

    pub fn number(text: impl Into<String>) -> Self {
        Self::Number(text.into())
    }

    pub fn word((mark, word): (Mark, &str)) -> Self {
        Self::Word(mark, word.to_owned())
    }
}

impl Markup {
    /// What a chapter writes.
    pub fn of(write: impl FnOnce(&mut Self)) -> Self {
        let mut markup = Self::default();
        write(&mut markup);
        markup
    }

    /// Text that is markup already: literals of this crate, and what it has made itself.
    pub fn raw(&mut self, markup: &str) {
        self.text.push_str(markup);
    }

    /// How long it is, bytes.
    pub fn len(&self) -> usize {
        self.text.len()
    }

    /// Everything written.
    pub fn finish(self) -> String {
        self.text
    }

    /// A heading. `id` is of this crate.
    pub fn heading(&mut self, level: u8, id: &str, text: &str) {
        let _ = writeln!(
            self.text,
            "<h{level} id=\"{id}\">{}</h{level}>",
            escaped(text)
        );
    }

    /// A heading that nothing points to.
    pub fn subheading(&mut self, level: u8, text: &str) {
        let _ = writeln!(self.text, "<h{level}>{}</h{level}>", escaped(text));
    }

    pub fn paragraph(&mut self, text: &str) {
        let _ = writeln!(self.text, "<p>{}</p>", escaped(text));
    }

    pub fn classed(&mut self, class: &str, text: &str) {
        let _ = writeln!(self.text, "<p class=\"{class}\">{}</p>", escaped(text));
    }

    /// A paragraph that begins with a few strong words.
    pub fn lead(&mut self, class: &str, strong: &str, text: &str) {
        self.raw(&lead(class, strong, text));
    }

    pub fn points(&mut self, items: &[String]) {
        if items.is_empty() {
            return;
        }
        self.text.push_str("<ul>\n");
        for item in items {
            let _ = writeln!(self.text, "<li>{}</li>", escaped(item));
        }
        self.text.push_str("</ul>\n");
    }

    pub fn facts(&mut self, class: &str, facts: &[(String, String)]) {
        let _ = writeln!(self.text, "<dl class=\"{class}\">");
        self.raw(&printed::facts(facts));
        self.text.push_str("</dl>\n");
    }

    /// A word of judgement in its frame.
    pub fn word(&mut self, mark: Mark, word: &str) {
        self.text.push_str(&framed(mark, word));
    }

    /// A table; nothing where it has no rows. Wide ones can be moved sideways, also with the keyboard.
    pub fn table(&mut self, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        let numbers: Vec<bool> = table.heads.iter().map(|h| h.ends_with('>')).collect();
        let _ = write!(
            self.text,
            "<div class=\"wide\" role=\"group\" tabindex=\"0\" aria-label=\"{}\">\n<table>\n<caption>{}</caption>\n<thead><tr>",
            escaped(&table.caption),
            escaped(&table.caption)
        );
        for head in &table.heads {
            let (text, class) = match head.strip_suffix('>') {
                Some(text) => (text, " class=\"number\""),
                None => (head.as_str(), ""),
            };
            let _ = write!(self.text, "<th scope=\"col\"{class}>{}</th>", escaped(text));
        }
        self.text.push_str("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            if let [Cell::Group(name)] = row.as_slice() {
                let _ = writeln!(
                    self.text,
                    "<tr class=\"group\"><th scope=\"colgroup\" colspan=\"{}\">{}</th></tr>",
                    table.heads.len(),
                    breakable(name)
                );
                continue;
            }
            self.text.push_str("<tr>");
            for (i, cell) in row.iter().enumerate() {
                let inner = match cell {
                    Cell::Text(text) | Cell::Group(text) => breakable(text),
                    Cell::Number(text) => escaped(text),
                    Cell::Word(mark, word) => framed(*mark, word),
                    Cell::Strip(value, preferred) => strip(*value, *preferred),
                };
                let right = matches!(cell, Cell::Number(_)) || numbers.get(i) == Some(&true);
                let class = if right && i > 0 {
                    " class=\"number\""
                } else {
                    ""
                };
                let _ = if i == 0 {
                    write!(self.text, "<th scope=\"row\">{inner}</th>")
                } else {
                    write!(self.text, "<td{class}>{inner}</td>")
                };
            }
            self.text.push_str("</tr>\n");
        }
        self.text.push_str("</tbody>\n</table>\n</div>\n");
    }
}

/// A text that may be broken within its long words: behind dots and the like, and in endless words anywhere.
fn breakable(text: &str) -> String {
    const LONG: usize = 24;
    const ENDLESS: usize = 40;
    let word = |word: &str| {
        if word.chars().count() <= LONG {
            return escaped(word);
        }
        let mut out = String::new();
        let (mut piece, mut length) = (String::new(), 0);
        for c in word.chars() {
            piece.push(c);
            length += 1;
            if matches!(c, '.' | '_' | '/' | ',' | '-' | ']') || length >= ENDLESS {
                out.push_str(&escaped(&piece));
                out.push_str("<wbr>");
                piece.clear();
                length = 0;
            }
        }
        out + &escaped(&piece)
    };
    let words: Vec<String> = text.split(' ').map(word).collect();
    words.join(" ")
}

/// A value on a scale that ends at one and a half times the limit: a bar up to the value, a tall tick at the limit, a short
/// dashed one at the preferred limit. Beyond the limit the bar is hollow, beyond the scale it ends in a point.
fn strip(value: f64, preferred: Option<f64>) -> String {
    const WIDTH: f64 = 150.0;
    let x = |fraction: f64| 0.5 + fraction.clamp(0.0, 1.5) / 1.5 * (WIDTH - 12.0);
    let mut out = format!(
        "<svg class=\"strip\" viewBox=\"0 0 {WIDTH} 18\" aria-hidden=\"true\" focusable=\"false\">\
         <path class=\"scale\" d=\"M.5 9H{:.1}\"/>",
        x(1.5)
    );
    let size = if value.is_finite() { value.abs() } else { 0.0 };
    let _ = write!(
        out,
        "<rect class=\"bar\" x=\".5\" y=\"5\" width=\"{:.1}\" height=\"8\"/>",
        x(size.min(1.0)) - 0.5
    );
    if size > 1.0 {
        let _ = write!(
            out,
            "<rect class=\"over\" x=\"{:.1}\" y=\"5\" width=\"{:.1}\" height=\"8\"/>",
            x(1.0),
            x(size) - x(1.0)
        );
    }
    if size > 1.5 {
        let e = x(1.5);
        let _ = write!(
            out,
            "<path class=\"bar\" d=\"M{:.1} 3l8 6-8 6z\"/>",
            e + 1.0
        );
    }
    if let Some(p) = preferred.filter(|p| p.is_finite()) {
        let _ = write!(out, "<path class=\"preferred\" d=\"M{:.1} 3v12\"/>", x(p));
    }
    let _ = write!(
        out,
        "<path class=\"limit\" d=\"M{:.1} 0v18\"/></svg>",
        x(1.0)
    );
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_is_written_becomes_markup() {
        let bad = "</p><script>alert(1)</script>\"'&";
        let mut m = Markup::default();
        m.heading(2, "x", bad);
        m.paragraph(bad);
        m.lead("note", bad, bad);
        m.points(&[bad.to_owned()]);
        m.facts("facts", &[(bad.to_owned(), bad.to_owned())]);
        let mut t = Table::new(bad, &[bad, "n>"]);
        t.row(vec![Cell::text(bad), Cell::number(bad)]);
        t.row(vec![
            Cell::text("a"),
            Cell::Word(Mark::Open, bad.to_owned()),
        ]);
        m.table(&t);
        let text = m.finish();
        assert!(!text.contains("<script"), "{text}");
        assert_eq!(text.matches("&lt;script&gt;").count(), 13);
    }

    #[test]
    fn long_words_can_be_broken() {
        assert_eq!(breakable("a plain text."), "a plain text.");
        assert_eq!(
            breakable("see support.arm[1].luminaire[1].mass"),
            "see support.<wbr>arm[1]<wbr>.<wbr>luminaire[1]<wbr>.<wbr>mass"
        );
        assert_eq!(breakable(&"<".repeat(100)).matches("<wbr>").count(), 2);
    }

    #[test]
    fn a_strip_stays_on_its_scale() {
        for value in [0.0, -0.4, 1.2, 9.0, f64::NAN, f64::INFINITY] {
            let svg = strip(value, Some(0.6));
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
        }
        assert!(!strip(0.99, None).contains("over"));
        assert!(strip(1.2, None).contains("over"));
    }
}
