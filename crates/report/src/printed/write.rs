//! Writing a page as HTML that is also well-formed XML.

use std::fmt::Write as _;

use super::content::{Align, Band, Cell, Document, Part, Picture, Section, Step, Table, Verdict};
use super::escape::{self, escaped, framed, policy};
use super::style::sheet;
use crate::headline::cut;

/// Longest title that is written, about two lines; a longer one is cut.
const LONGEST_TITLE: usize = 120;

impl Document {
    /// The page as one HTML text.
    pub fn html(&self) -> String {
        let title = self.title_cut();
        let mut out = String::new();
        let _ = write!(
            out,
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
             {}<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <title>{}: {}</title>\n<style>\n{}</style>\n</head>\n<body>\n",
            policy(None),
            escaped(&self.kind),
            escaped(&title),
            sheet(self.fit().type_pt, (self.sheets > 1).then_some(&*title))
        );
        self.header(&title, &mut out);
        out.push_str("<main>\n");
        let mut pictures = 0;
        for part in &self.bands {
            band(part, &mut pictures, &mut out);
        }
        out.push_str("</main>\n");
        if !self.signatures.is_empty() {
            out.push_str("<div class=\"signs\">\n");
            pens(
                &self.signatures,
                ["<p>", ": "],
                &format!(" date {PEN}</p>\n"),
                &mut out,
            );
            out.push_str("</div>\n");
        }
        let _ = write!(
            out,
            "<footer>\n<p><strong>Caution.</strong> {}</p>\n</footer>\n</body>\n</html>\n",
            escaped(&self.caution)
        );
        out
    }

    /// The title, cut where it is endless.
    pub(super) fn title_cut(&self) -> String {
        cut(&self.title, LONGEST_TITLE)
    }

    fn header(&self, title: &str, out: &mut String) {
        let _ = write!(
            out,
            "<header>\n<p class=\"kind\">{}</p>\n<h1>{}</h1>\n",
            escaped(&self.kind),
            escaped(title)
        );
        if !self.facts.is_empty() {
            out.push_str("<dl class=\"block\">\n");
            out.push_str(&escape::facts(&self.facts));
            out.push_str("</dl>\n");
        }
        out.push_str("</header>\n");
        if let Some(v) = &self.verdict {
            verdict(v, out);
        }
    }
}

fn band(band: &Band, pictures: &mut usize, out: &mut String) {
    let shares: Vec<String> = (band.columns.iter())
        .map(|c| format!("minmax(0, {}fr)", c.share))
        .collect();
    let _ = writeln!(
        out,
        "<div class=\"band\" style=\"grid-template-columns: {}\">",
        shares.join(" ")
    );
    for column in &band.columns {
        out.push_str("<div>\n");
        for s in &column.sections {
            section(s, pictures, out);
        }
        out.push_str("</div>\n");
    }
    out.push_str("</div>\n");
}

fn section(section: &Section, pictures: &mut usize, out: &mut String) {
    out.push_str("<section>\n");
    if !section.heading.is_empty() {
        let _ = writeln!(out, "<h2>{}</h2>", escaped(&section.heading));
    }
    for p in &section.parts {
        part(p, pictures, out);
    }
    out.push_str("</section>\n");
}

fn part(part: &Part, pictures: &mut usize, out: &mut String) {
    match part {
        Part::Text(text) => {
            let _ = writeln!(out, "<p>{}</p>", escaped(text));
        }
        Part::Notice(lead, text) => {
            out.push_str(&escape::lead("notice", lead, text));
        }
        Part::List(items) => {
            out.push_str("<ul class=\"points\">\n");
            for item in items {
                let _ = writeln!(out, "<li>{}</li>", escaped(item));
            }
            out.push_str("</ul>\n");
        }
        Part::Facts(list) => {
            out.push_str("<dl>\n");
            for (name, value) in list {
                let _ = writeln!(
                    out,
                    "<div class=\"facts\"><dt>{}</dt><dd>{}</dd></div>",
                    escaped(name),
                    escaped(value)
                );
            }
            out.push_str("</dl>\n");
        }
        Part::Table(t) => table(t, out),
        Part::Steps(list) => steps(list, out),
        Part::Picture(p) => {
            *pictures += 1;
            picture(p, *pictures, out);
        }
    }
}

/// A box to tick.
const BOX: &str = "<span class=\"box\" aria-hidden=\"true\"></span>";
/// A line to write on.
const PEN: &str = "<span class=\"pen\"></span>";

/// Names, each between two pieces of markup and with a line to write on, then `end`.
fn pens(names: &[String], [before, after]: [&str; 2], end: &str, out: &mut String) {
    for name in names {
        let _ = write!(out, "{before}{}{after}{PEN}{end}", escaped(name));
    }
}

fn steps(list: &[Step], out: &mut String) {
    out.push_str("<ol class=\"steps\">\n");
    for (i, step) in list.iter().enumerate() {
        let _ = write!(
            out,
            "<li>{BOX}<span class=\"number\">{}</span><div>{}",
            i + 1,
            escaped(&step.text)
        );
        if !step.notes.is_empty() {
            out.push_str("<div class=\"note\">");
            for (lead, text) in &step.notes {
                let _ = write!(out, "<em>{}:</em> {} ", escaped(lead), escaped(text));
            }
            out.push_str("</div>");
        }
        if !step.blanks.is_empty() {
            out.push_str("<div class=\"blanks\">");
            pens(&step.blanks, ["<span>", " "], "</span> ", out);
            out.push_str("</div>");
        }
        if let Some(hold) = &step.hold {
            let _ = write!(
                out,
                "<div class=\"hold\"><strong>HOLD POINT.</strong> {} Signed: {PEN}</div>",
                escaped(hold)
            );
        }
        out.push_str("</div></li>\n");
    }
    out.push_str("</ol>\n");
}

fn table(table: &Table, out: &mut String) {
    out.push_str("<table>\n");
    if !table.caption.is_empty() {
        let _ = writeln!(out, "<caption>{}</caption>", escaped(&table.caption));
    }
    let whole: f64 = table.columns.iter().map(|c| c.share).sum();
    out.push_str("<colgroup>");
    for c in &table.columns {
        let _ = write!(
            out,
            "<col style=\"width: {:.2}%\"/>",
            100.0 * c.share / whole
        );
    }
    out.push_str("</colgroup>\n<thead>\n<tr>");
    for c in &table.columns {
        let _ = write!(
            out,
            "<th scope=\"col\"{}>{}</th>",
            class(c.align),
            escaped(&c.text)
        );
    }
    out.push_str("</tr>\n</thead>\n<tbody>\n");
    for row in &table.rows {
        let _ = write!(out, "<tr><th scope=\"row\">{}</th>", escaped(&row.head));
        for (i, c) in table.columns.iter().enumerate().skip(1) {
            let _ = write!(out, "<td{}>", class(c.align));
            match row.cells.get(i - 1) {
                Some(Cell::Text(text)) => out.push_str(&escaped(text)),
                Some(Cell::Verdict(mark, word)) => out.push_str(&framed(*mark, word)),
                Some(Cell::Blank) => out.push_str(PEN),
                None => {}
            }
            out.push_str("</td>");
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
}

fn class(align: Align) -> &'static str {
    match align {
        Align::Left => "",
        Align::Right => " class=\"right\"",
    }
}

fn verdict(verdict: &Verdict, out: &mut String) {
    out.push_str("<p class=\"verdict\">");
    out.push_str(&framed(verdict.mark, &verdict.word));
    let _ = writeln!(out, " {}</p>", escaped(&verdict.sentence));
}

fn picture(picture: &Picture, number: usize, out: &mut String) {
    let _ = write!(
        out,
        "<figure style=\"max-width: {:.1}mm\">\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.2} {:.2}\" role=\"img\" \
         aria-labelledby=\"picture{number}-title picture{number}-text\">\n\
         <title id=\"picture{number}-title\">{}</title>\n<desc id=\"picture{number}-text\">{}</desc>\n\
         {}</svg>\n<figcaption>{}</figcaption>\n</figure>\n",
        picture.width_mm,
        picture.width,
        picture.height,
        escaped(&picture.title),
        escaped(&picture.description),
        picture.body,
        escaped(&picture.title)
    );
}
