//! A figure's SVG taken into a page.
//!
//! The file may come from anywhere, so nothing of it is copied: it is read as the few elements and attributes that this
//! program's painter writes, anything else refuses the whole figure, and it is written anew, shorter, with identifiers of
//! its own (several figures on a page must not share any) and with words dark enough to be read.

use std::fmt::Write as _;

use roxmltree::{Document, Node, ParsingOptions};

pub(crate) use super::ink::hex;
use super::ink::{parse, readable};
use crate::printed::escaped;
use crate::{ReportError, paint};
use giveway_draw::{Colour, Figure, for_reader};

/// Most elements of a figure and blanks between them; the largest of this program has some thousand.
const MOST_NODES: u32 = 120_000;

/// Most marks of a figure that is shown as lines and shapes.
const MOST_MARKS: usize = 20_000;
/// Largest markup of such a figure, bytes.
const LARGEST_DRAWN: usize = 300_000;

/// A figure for a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Inline {
    /// The `svg` element.
    pub markup: String,
    pub title: String,
    /// What it shows, in words.
    pub words: String,
    /// Identifier of what is drawn, and the picture's size; none for pixels.
    drawn: Option<(String, f64, f64)>,
}

impl Inline {
    /// The picture once more on the same page, without its shapes again; `id` as for the first. Pixels are repeated.
    pub fn again(&self, id: &str) -> String {
        let Some((first, width, height)) = &self.drawn else {
            return self.markup.clone();
        };
        format!(
            "{}<use href=\"#{first}\"/></svg>",
            head(id, (*width, *height), &self.title, &self.words)
        )
    }
}

/// Begin of the element, with title and words.
fn head(id: &str, (width, height): (f64, f64), title: &str, words: &str) -> String {
    format!(
        "<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\" \
         stroke-linejoin=\"round\" font-family=\"sans-serif\"><title id=\"{id}-t\">{}</title>\
         <desc id=\"{id}-d\">{}</desc>",
        escaped(title),
        escaped(words)
    )
}

/// Rewrites a figure; `id` begins its identifiers and consists of letters, digits and `-`.
///
/// # Errors
/// What is not as this program writes it, in a few words.
pub fn inline(svg: &str, id: &str) -> Result<Inline, &'static str> {
    let options = ParsingOptions {
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(svg, options)
        .map_err(|_| "it is no picture, or has too many elements")?;
    let root = Tag(document.root_element());
    if root.name() != "svg" {
        return Err("it does not begin with the picture");
    }
    let view: Vec<f64> = root
        .get("viewBox")
        .ok_or("it has no size")?
        .split(' ')
        .map(|v| v.parse::<f64>().map_err(|_| "its size is no number"))
        .collect::<Result<_, _>>()?;
    let [_, _, width, height] = *view.as_slice() else {
        return Err("its size is not four numbers");
    };
    let sane = |v: f64| v.is_finite() && (1.0..1.0e6).contains(&v);
    if !sane(width) || !sane(height) {
        return Err("its size is not possible");
    }
    let clocks = match root.get("data-clocks") {
        None => String::new(),
        Some(list) => format!(" data-clocks=\"{}\"", clocks(list)?),
    };
    let (mut title, mut words) = (String::new(), String::new());
    let mut body = Body::default();
    for node in root.0.children() {
        let tag = Tag(node);
        match (tag.name(), node.has_children()) {
            // Nothing but blanks stands between elements.
            ("", _) if node.text().is_some_and(|t| t.trim().is_empty()) => {}
            ("title", _) => title = tag.said()?,
            ("desc", _) => words = tag.said()?,
            // The paper: the page has its own.
            ("rect", false) if tag.get("width") == Some("100%") => {}
            ("polyline", false) => body.line(&tag)?,
            ("polygon", false) => body.shape(&tag)?,
            ("text", _) => body.words(&tag, &tag.said()?)?,
            _ => return Err("it holds an element that this program does not draw"),
        }
    }
    body.flush();
    let start = head(id, (width, height), &title, &words);
    let markup = format!(
        "<svg{clocks}{}<g id=\"{id}-g\">{}</g></svg>",
        &start["<svg".len()..],
        body.text
    );
    Ok(Inline {
        markup,
        title,
        words,
        drawn: Some((format!("{id}-g"), width, height)),
    })
}

/// Areas whose horizontal axis is the time: edges and two times each, read and written anew.
fn clocks(list: &str) -> Result<String, &'static str> {
    const MOST: usize = 100;
    let one = |clock: &str| {
        let numbers: Vec<f64> = clock
            .split(' ')
            .map(|v| v.parse().ok().filter(|v: &f64| v.is_finite()))
            .collect::<Option<_>>()
            .filter(|n: &Vec<f64>| n.len() == 6 && n[0] < n[2] && n[1] < n[3] && n[4] < n[5])
            .ok_or("its axis of time is none")?;
        let text: Vec<String> = numbers.iter().map(f64::to_string).collect();
        Ok::<_, &'static str>(text.join(" "))
    };
    let all: Vec<String> = list
        .split(',')
        .take(MOST)
        .map(one)
        .collect::<Result<_, _>>()?;
    Ok(all.join(","))
}

/// A figure of this program for a page: as lines and shapes, or as pixels where these would be too many to open fast.
///
/// # Errors
/// A painter that fails.
pub fn of_figure(figure: &Figure, id: &str) -> Result<Inline, ReportError> {
    if figure.marks().count() <= MOST_MARKS
        && let Ok(picture) = inline(&paint::svg(figure)?, id)
        && picture.markup.len() <= LARGEST_DRAWN
    {
        return Ok(picture);
    }
    let figure = &*for_reader(figure);
    let (width, height) = figure.size();
    let markup = format!(
        "<img alt=\"{}\" width=\"{width:.0}\" height=\"{height:.0}\" src=\"data:image/png;base64,{}\">",
        escaped(figure.alt_text()),
        base64(&paint::png(figure)?)
    );
    Ok(Inline {
        markup,
        title: figure.title().to_owned(),
        words: figure.alt_text().to_owned(),
        drawn: None,
    })
}

/// Bytes as text of 64 letters, three bytes in four of them (RFC 4648, section 4).
pub(crate) fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for part in bytes.chunks(3) {
        let mut three = [0; 3];
        three[..part.len()].copy_from_slice(part);
        let number = u32::from(three[0]) << 16 | u32::from(three[1]) << 8 | u32::from(three[2]);
        for place in 0..4 {
            let letter = LETTERS[(number >> (18 - 6 * place) & 63) as usize];
            out.push(if place <= part.len() {
                char::from(letter)
            } else {
                '='
            });
        }
    }
    out
}

/// An element of the file.
struct Tag<'a>(Node<'a, 'a>);

impl<'a> Tag<'a> {
    fn name(&self) -> &'a str {
        self.0.tag_name().name()
    }

    fn get(&self, name: &str) -> Option<&'a str> {
        self.0.attribute(name)
    }

    /// What stands in it, as plain text.
    fn said(&self) -> Result<String, &'static str> {
        if self.0.children().all(|c| c.is_text()) {
            Ok(self.0.text().unwrap_or_default().trim().to_owned())
        } else {
            Err("it holds markup within text")
        }
    }

    fn colour(&self, name: &str) -> Result<Colour, &'static str> {
        self.get(name)
            .and_then(parse)
            .ok_or("it has a colour that is none")
    }

    fn number(&self, name: &str) -> Result<f64, &'static str> {
        self.get(name)
            .and_then(|v| v.parse::<f64>().ok())
            .filter(|v| v.is_finite() && v.abs() < 1.0e7)
            .ok_or("it has a number that is none")
    }

    /// Opacity as an attribute; nothing where it is whole.
    fn opacity(&self) -> Result<String, &'static str> {
        match self.get("opacity") {
            None | Some("1") => Ok(String::new()),
            Some(_) => Ok(format!(" opacity=\"{}\"", self.number("opacity")?)),
        }
    }

    /// Corner points, whole numbers as the painter sets them.
    fn points(&self) -> Result<Vec<(i64, i64)>, &'static str> {
        self.get("points")
            .ok_or("it has a line without points")?
            .split_whitespace()
            .map(|pair| {
                let (x, y) = pair.split_once(',')?;
                let whole = |v: &str| v.parse::<i64>().ok().filter(|v| v.abs() < 10_000_000);
                Some((whole(x)?, whole(y)?))
            })
            .collect::<Option<Vec<_>>>()
            .filter(|p| p.len() > 1)
            .ok_or("it has a line whose points are none")
    }
}

/// What is drawn. Lines of one look that follow each other become one path.
#[derive(Default)]
struct Body {
    text: String,
    look: String,
    path: String,
}

impl Body {
    fn flush(&mut self) {
        if !self.path.is_empty() {
            let _ = write!(self.text, "<path d=\"{}\" {}/>", self.path, self.look);
            self.path.clear();
        }
    }

    fn line(&mut self, tag: &Tag) -> Result<(), &'static str> {
        let look = format!(
            "fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{}",
            hex(tag.colour("stroke")?),
            tag.number("stroke-width")?,
            tag.opacity()?
        );
        // Lines that let something through must not be joined: where they cross they are darker.
        if look != self.look || look.contains("opacity") {
            self.flush();
            self.look = look;
        }
        add_path(&mut self.path, &tag.points()?);
        Ok(())
    }

    fn shape(&mut self, tag: &Tag) -> Result<(), &'static str> {
        self.flush();
        let mut path = String::new();
        add_path(&mut path, &tag.points()?);
        let _ = write!(
            self.text,
            "<path d=\"{path}z\" fill=\"{}\"{}/>",
            hex(tag.colour("fill")?),
            tag.opacity()?
        );
        Ok(())
    }

    fn words(&mut self, tag: &Tag, said: &str) -> Result<(), &'static str> {
        self.flush();
        let anchor = match tag.get("text-anchor") {
            Some("middle") => " text-anchor=\"middle\"",
            Some("end") => " text-anchor=\"end\"",
            _ => "",
        };
        let weight = match tag.get("font-weight") {
            Some("bold") => " font-weight=\"bold\"",
            _ => "",
        };
        let (x, y) = (tag.number("x")?, tag.number("y")?);
        let turn = match tag.get("transform") {
            None => String::new(),
            Some(t) if t.starts_with("rotate(270") => format!(" transform=\"rotate(270 {x} {y})\""),
            Some(_) => return Err("it holds a text turned in a way of its own"),
        };
        let _ = write!(
            self.text,
            "<text x=\"{x}\" y=\"{y}\" dy=\".5ex\"{anchor} font-size=\"{:.1}\" fill=\"{}\"{weight}{turn}{}>{}</text>",
            tag.number("font-size")?,
            hex(readable(tag.colour("fill")?)),
            tag.opacity()?,
            escaped(said)
        );
        Ok(())
    }
}

/// A subpath: its first point as it is, the others from one to the next.
fn add_path(path: &mut String, points: &[(i64, i64)]) {
    let (mut x, mut y) = points[0];
    let _ = write!(path, "M{x} {y}");
    for (n, (u, v)) in points[1..].iter().enumerate() {
        let (dx, dy) = (u - x, v - y);
        let lead = if n == 0 {
            "l"
        } else if dx < 0 {
            ""
        } else {
            " "
        };
        let gap = if dy < 0 { "" } else { " " };
        let _ = write!(path, "{lead}{dx}{gap}{dy}");
        (x, y) = (*u, *v);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use giveway_draw::{Axis, INK, RUST, SEA, Window, look};

    fn figure() -> String {
        let mut f = Figure::new("trial", "A < B & \"C\"", 120.0, 60.0);
        f.set_alt_text("Words > 'none'".into());
        f.rect(((10.0, 10.0), (50.0, 50.0)), RUST, 0.5);
        f.dashed(
            [(60.0, 10.0), (110.0, 50.0), (20.0, 5.0)],
            2.0,
            INK,
            &[4.0, 2.0],
        );
        f.text((60.0, 30.0), "<b>", look(12.0, SEA).bold());
        f.text((60.0, 30.0), "up", look(12.0, INK).upright());
        let area = Window::new((10.0, 5.0), (110.0, 50.0));
        f.clock(area, Axis::new(0.0, 92.5));
        paint::svg(&f.finish().unwrap()).unwrap()
    }

    #[test]
    fn a_figure_of_this_program_comes_through_shorter_with_names_of_its_own() {
        let svg = figure();
        let a = inline(&svg, "a").unwrap();
        assert_eq!(a.title, "A < B & \"C\"");
        assert_eq!(a.words, "Words > 'none'");
        assert!(
            a.markup.len() < svg.len(),
            "{} {}",
            a.markup.len(),
            svg.len()
        );
        // All dashes in one path, the words darkened, markup in words escaped.
        assert_eq!(a.markup.matches("stroke-width").count(), 1);
        assert!(a.markup.contains("&lt;b&gt;") && !a.markup.contains("<b>"));
        assert!(!a.markup.contains("#3cab94"), "{}", a.markup);
        assert!(a.markup.contains("rotate(270 "));
        assert!(
            a.markup
                .starts_with("<svg data-clocks=\"80 40 880 400 0 0.0925\" viewBox"),
            "{}",
            a.markup
        );
        let again = a.again("b");
        assert!(again.contains("<use href=\"#a-g\"/>") && a.markup.contains("<g id=\"a-g\">"));
        assert!(
            again.contains("id=\"b-t\"") && !again.contains("<path"),
            "{again}"
        );
        assert!(a.markup.contains("id=\"a-t\"") && !a.markup.contains("trial-title"));
    }

    #[test]
    fn a_figure_of_very_many_marks_becomes_pixels() {
        // Test vectors of RFC 4648, section 10.
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
        let mut f = Figure::new("trial", "t", 120.0, 60.0);
        f.set_alt_text("\"words\"".into());
        f.rect(((10.0, 10.0), (50.0, 50.0)), RUST, 1.0);
        assert!(of_figure(&f, "a").unwrap().markup.starts_with("<svg"));
        for _ in 0..=MOST_MARKS {
            f.rect(((10.0, 10.0), (11.0, 11.0)), RUST, 1.0);
        }
        let markup = of_figure(&f, "a").unwrap().markup;
        assert!(
            markup.starts_with("<img alt=\"&quot;words&quot;\""),
            "{markup}"
        );
    }

    #[test]
    fn anything_else_is_refused() {
        let svg = figure();
        for (from, to) in [
            ("<polygon", "<script>alert(1)</script><polygon"),
            ("<polygon", "<image href=\"http://x/\"/><polygon"),
            ("<polygon", "<a><polygon"),
            ("<polygon", "text<polygon"),
            ("fill=\"#D05A0C\"", "fill=\"url(#x)\""),
            ("</svg>", ""),
            ("</svg>", "</svg><script>alert(1)</script>"),
            ("viewBox=\"0 0 960 480\"", "viewBox=\"0 0 9e999 480\""),
            ("points=\"", "points=\"a,b "),
            ("rotate(270", "skewX(270"),
            ("data-clocks=\"80 40", "data-clocks=\"80 x"),
        ] {
            assert!(svg.contains(from), "{from} is not in {svg}");
            let bad = svg.replacen(from, to, 1);
            assert!(inline(&bad, "a").is_err(), "{to}");
        }
        // Attributes that it does not know are dropped.
        let quiet = inline(
            &svg.replacen("<polygon", "<polygon onclick=\"alert(1)\"", 1),
            "a",
        )
        .unwrap();
        assert!(!quiet.markup.contains("onclick"));
        assert!(inline("", "a").is_err() && inline("<svg/>", "a").is_err());
    }
}
