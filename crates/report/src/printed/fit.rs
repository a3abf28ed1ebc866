//! Which type size lets a page fit on the part that A4 and US Letter share.
//!
//! The height is summed from above: words are measured in the font that the figures ship, which is wider than the
//! fonts that the style sheet asks for first, and broken where a browser would break them.

use super::content::{Band, Cell, Document, Part, Section, Table, Verdict};
use super::style::{GUTTER, HEIGHT_MM, LINE, WIDTH_MM};
use giveway_draw::text_width;

/// Type sizes that are tried, pt, largest first. Nothing below 6.5 pt: nobody reads it on site.
const SIZES: [f64; 10] = [9.5, 9.0, 8.5, 8.0, 7.75, 7.5, 7.25, 7.0, 6.75, 6.5];
/// Height that a break between two sheets may leave empty, mm: a step of up to 28 mm moves as a whole; Letter has 3 mm more
/// on either sheet than is counted on.
const WASTE_MM: f64 = 21.0;
/// Width of an empty line beside a name, rem.
const PEN: f64 = 5.0;
/// One point, mm.
const POINT_MM: f64 = 25.4 / 72.0;

/// How a page fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Size of the running text, pt.
    pub type_pt: f64,
    /// Estimated height of the page, mm.
    pub height_mm: f64,
    /// Whether it is on the sheets that it may take, of A4 and of US Letter.
    pub one_page: bool,
}

impl Document {
    /// The largest type that keeps the page on one sheet of A4 and of US Letter; the smallest where none does.
    pub fn fit(&self) -> Fit {
        let sheets = self.sheets.max(1) as f64;
        // What a page break may waste: a step moves as a whole.
        let room = sheets * HEIGHT_MM - (sheets - 1.0) * WASTE_MM;
        let tried = SIZES.map(|size| {
            let type_pt = size.max(self.least_pt);
            let height_mm = height(self, type_pt * POINT_MM);
            Fit {
                type_pt,
                height_mm,
                one_page: height_mm <= room,
            }
        });
        let smallest = tried[SIZES.len() - 1];
        tried.into_iter().find(|f| f.one_page).unwrap_or(smallest)
    }
}

/// Height of the page, mm, where one rem is `rem` mm.
fn height(page: &Document, rem: f64) -> f64 {
    let width = WIDTH_MM / rem;
    let mut h = LINE * 0.95 + 1.2 * 1.35 * lines(&page.title_cut(), width / 1.35, true) + 1.3;
    h += LINE * block_lines(&page.facts, width);
    if let Some(v) = &page.verdict {
        h += verdict_height(v, width);
    }
    for b in &page.bands {
        h += band_height(b, width, rem);
    }
    h += 1.9 * page.signatures.len().div_ceil(2) as f64 + 0.3;
    h += 0.7 + LINE * lines(&format!("Caution. {}", page.caution), width, false);
    h * rem
}

fn band_height(band: &Band, width: f64, rem: f64) -> f64 {
    let whole: f64 = band.columns.iter().map(|c| c.share).sum();
    let gaps = GUTTER * band.columns.len().saturating_sub(1) as f64;
    let column = |share: f64, sections: &[Section]| -> f64 {
        let w = (width - gaps) * share / whole;
        sections.iter().map(|s| section_height(s, w, rem)).sum()
    };
    (band.columns.iter())
        .map(|c| column(c.share, &c.sections))
        .fold(0.0, f64::max)
}

fn section_height(section: &Section, width: f64, rem: f64) -> f64 {
    let heading = if section.heading.is_empty() {
        0.0
    } else {
        0.35 + 1.05 * LINE * lines(&section.heading, width / 1.05, true)
    };
    let parts: f64 = (section.parts.iter())
        .map(|p| part_height(p, width, rem))
        .sum();
    0.55 + heading + parts
}

fn part_height(part: &Part, width: f64, rem: f64) -> f64 {
    match part {
        Part::Text(text) => 0.2 + LINE * lines(text, width, false),
        Part::Notice(lead, text) => {
            0.2 + LINE * lines(&format!("{lead} {text}"), width - 0.8, true)
        }
        Part::List(items) => items
            .iter()
            .map(|t| LINE * lines(t, width - 1.1, false))
            .sum(),
        Part::Facts(list) => list
            .iter()
            .map(|(name, value)| {
                // A value that does not fit beside its name goes below it.
                let beside = rems(name, false) + 0.6 + rems(value, true) <= width;
                let below = lines(name, width, false) + lines(value, width, true);
                LINE * if beside { 1.0 } else { below }
            })
            .sum(),
        Part::Table(t) => table_height(t, width),
        Part::Steps(list) => list
            .iter()
            .map(|s| {
                let w = width - 3.3;
                let hold = s.hold.as_ref().map_or(0.0, |h| {
                    // The pen line takes the room of its width; the bold beginning is taken off every line.
                    let rest = w - 0.95 - rems("HOLD POINT. ", true);
                    0.5 + LINE * wrapped(&format!("{h} Signed:"), rest, false, 7.0)
                });
                let notes: Vec<String> = s.notes.iter().map(|(n, t)| format!("{n}: {t}")).collect();
                let notes = match notes.is_empty() {
                    true => 0.0,
                    false => LINE * lines(&notes.join(" "), w, false),
                };
                let blanks = match s.blanks.is_empty() {
                    true => 0.0,
                    false => {
                        let pens = s.blanks.iter().map(|b| rems(b, false) + 0.32 + PEN);
                        1.5 * rows(pens, 1.2, w)
                    }
                };
                0.12 + LINE * lines(&s.text, w, false) + notes + blanks + hold
            })
            .sum(),
        Part::Picture(p) => {
            let w = (p.width_mm / rem).min(width);
            w * p.height / p.width + 0.2 + LINE * lines(&p.title, w, false)
        }
    }
}

fn verdict_height(verdict: &Verdict, width: f64) -> f64 {
    let text = format!("{}    {}", verdict.word, verdict.sentence);
    1.0 + LINE * 1.1 * lines(&text, width - 2.0, true)
}

fn table_height(table: &Table, width: f64) -> f64 {
    let whole: f64 = table.columns.iter().map(|c| c.share).sum();
    let w = |i: usize| {
        table
            .columns
            .get(i)
            .map_or(1.0, |c| width * c.share / whole - 0.4)
    };
    let head = (0..table.columns.len())
        .map(|i| lines(&table.columns[i].text, w(i), true))
        .fold(1.0, f64::max);
    let caption = if table.caption.is_empty() {
        0.0
    } else {
        LINE * lines(&table.caption, width, false)
    };
    let rows: f64 = (table.rows.iter())
        .map(|row| {
            let mut tallest = lines(&row.head, w(0), false);
            for (i, cell) in row.cells.iter().enumerate() {
                let h = match cell {
                    Cell::Text(text) => lines(text, w(i + 1), false),
                    Cell::Verdict(_, word) => 0.4 + lines(word, w(i + 1) - 1.1, true),
                    Cell::Blank => 1.0,
                };
                tallest = tallest.max(h);
            }
            0.27 + LINE * tallest
        })
        .sum();
    caption + 0.3 + LINE * head + rows
}

/// Lines of the title block: its facts stay whole and wrap as whole pieces.
fn block_lines(facts: &[(String, String)], width: f64) -> f64 {
    let pieces = (facts.iter()).map(|(name, value)| rems(name, false) + 0.4 + rems(value, true));
    rows(pieces, 1.4, width)
}

/// Rows of pieces that stay whole, with a gap between them.
fn rows(pieces: impl Iterator<Item = f64>, gap: f64, width: f64) -> f64 {
    let mut count = 0.0;
    let mut used = f64::INFINITY;
    for w in pieces {
        if used + gap + w > width {
            count += (w / width).ceil().max(1.0);
            used = w;
        } else {
            used += gap + w;
        }
    }
    count
}

/// The library of the figures sets type this much wider than a browser does at the same size: 4.921 against 4.774 em for
/// `hardened` in DejaVu Sans, 23.96 against 23.25 for a line (measured in a browser); rounded down.
const SET_WIDER: f64 = 1.03;

/// Width of a text, rem. Measured large: at the size of one pixel the width of a word would be rounded to tenths.
fn rems(text: &str, bold: bool) -> f64 {
    text_width(text, 100.0, bold) / (100.0 * SET_WIDER)
}

/// Lines that a text takes in that width, rem.
fn lines(text: &str, width: f64, bold: bool) -> f64 {
    wrapped(text, width, bold, 0.0)
}

/// Lines that a text takes in that width, with a piece of `last` rem after it.
fn wrapped(text: &str, width: f64, bold: bool, last: f64) -> f64 {
    let width = width.max(1.0);
    let space = if bold { 0.35 } else { 0.32 };
    let mut count = 1.0;
    let mut used = 0.0;
    let words = text.split_whitespace().map(|word| rems(word, bold));
    let last = (last > 0.0).then_some(last);
    for w in words.chain(last) {
        let with_gap = if used > 0.0 { space + w } else { w };
        if used + with_gap <= width {
            used += with_gap;
        } else if w <= width {
            count += 1.0;
            used = w;
        } else {
            // A word that is wider than the line is broken anywhere.
            count += (w / width).ceil();
            used = w % width;
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_where_they_must() {
        assert_eq!(lines("", 10.0, false), 1.0);
        assert_eq!(lines("short", 10.0, false), 1.0);
        // 4.774 em in a browser.
        let w = rems("hardened", false);
        assert!((4.774..4.79).contains(&w), "{w}");
        let w = rems("word", false);
        assert_eq!(lines("word word word", 1.5 * w, false), 3.0);
        assert_eq!(lines("word word word", 4.0 * w, false), 1.0);
    }

    #[test]
    fn an_endless_page_is_not_called_one_page() {
        let mut page = Document::new("Sheet", "Title");
        let small = page.fit();
        assert!(small.one_page && small.type_pt == SIZES[0], "{small:?}");
        let parts = vec![Part::List(vec!["a line".into(); 400])];
        page.bands = vec![Band::whole(vec![Section::new("Much", parts)])];
        let fit = page.fit();
        assert!(
            !fit.one_page && fit.type_pt == SIZES[SIZES.len() - 1],
            "{fit:?}"
        );
    }
}
