//! The handout: the section of each case, large enough to draw on, with blanks where the values stand; and the same filled
//! in, as the key.

use std::fmt::Write as _;

use super::fill::Piece;
use super::opening::cut;
use super::words::Words;
use super::{Filled, Lesson};
use crate::printed::{escaped, policy};

const STYLE: &str = include_str!("../../assets/handout.css");

/// Height of a sheet that A4 and US Letter both have within margins of 10 mm, mm; heading and foot of the first and last.
const SHEET_MM: f64 = 259.0;
const HEADING_MM: f64 = 30.0;
const FOOT_MM: f64 = 12.0;
/// Gap between rows, mm.
const GAP_MM: f64 = 3.0;
/// Most cases on a sheet: their pictures must be large enough to draw on.
const MOST_ON_SHEET: usize = 5;
/// Width of a picture over its height, and of a row, mm.
const ASPECT: f64 = 1.6;
const ROW_MM: f64 = 190.0;

/// The handout; with `key` filled in.
pub fn sheet(lesson: &Lesson, words: &Words, cases: &[Filled<'_>], key: bool) -> String {
    let sheets = cases.len().div_ceil(MOST_ON_SHEET).max(1);
    let on_sheet = cases.len().div_ceil(sheets).max(3);
    let height = (SHEET_MM - HEADING_MM - FOOT_MM) / on_sheet as f64 - GAP_MM;
    let wide = ASPECT * height;
    // What the longest texts need at a size of type: lines of the width beside the picture, in mm.
    let lines_mm = |point: f64| {
        let line = 1.22 * 0.3528 * point;
        let letter = 0.5 * 0.3528 * point;
        let lines = |text: usize| {
            ((text as f64 * letter) / (ROW_MM - wide - 5.0))
                .ceil()
                .max(1.0)
        };
        let needed = |c: &Filled<'_>| {
            let action = if key {
                lines(length(&c.action, false) + words.what_to_do.chars().count())
            } else {
                // A heading and two ruled lines.
                1.0 + 2.0 * 1.75 / 1.22
            };
            lines(length(&c.question, false)) + lines(length(&c.finding, !key)) + action
        };
        let longest = cases.iter().map(needed).fold(0.0, f64::max);
        (longest + 1.3) * line + 4.0
    };
    let type_pt = [11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5]
        .into_iter()
        .find(|point| lines_mm(*point) <= height)
        .unwrap_or(6.5);
    let kind = if key { &words.key } else { &words.handout };
    let mut out = String::new();
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         {}<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <title>{}: {}</title>\n<style>\n{STYLE}body {{ font-size: {type_pt}pt; }}\n\
         .cell {{ min-height: {height:.1}mm; grid-template-columns: {wide:.1}mm 1fr; }}\n</style>\n</head>\n<body>\n\
         <header><p class=\"kind\">{}</p><h1>{}</h1>",
        escaped(&words.code),
        policy(None),
        escaped(kind),
        escaped(&lesson.title),
        escaped(kind),
        escaped(&lesson.title)
    );
    if !key {
        let _ = write!(
            out,
            "<p class=\"line\">{} <span class=\"blank\"></span> {} <span class=\"blank\"></span></p>",
            escaped(&words.name),
            escaped(&words.date)
        );
    }
    out.push_str("</header>\n");
    let intro = if key { &words.draw_in } else { &words.fill_in };
    let _ = write!(out, "<p class=\"intro\">{}</p>\n<main>\n", escaped(intro));
    for (i, case) in cases.iter().enumerate() {
        let n = i + 1;
        let _ = write!(
            out,
            "<section class=\"cell{}\">\n<div class=\"drawing\">{}</div>\n<div>\n<h2>{n}. {}</h2>\n<p>{}</p>\n<p>{}</p>\n",
            if i > 0 && i % on_sheet == 0 {
                " next"
            } else {
                ""
            },
            cut(case, &format!("cut-{n}"), words).unwrap_or_else(|| case.base.markup.clone()),
            escaped(&case.name),
            text(&case.question, true),
            text(&case.finding, key)
        );
        if key {
            let _ = writeln!(
                out,
                "<p><strong>{}</strong> {}</p>",
                escaped(&words.what_to_do),
                text(&case.action, true)
            );
        } else {
            let _ = writeln!(
                out,
                "<p>{}<span class=\"rule\"></span><span class=\"rule\"></span></p>",
                escaped(&words.what_to_do)
            );
        }
        out.push_str("</div>\n</section>\n");
    }
    let _ = write!(
        out,
        "</main>\n<footer><strong>{}</strong> {}</footer>\n</body>\n</html>\n",
        escaped(&words.caution_lead),
        escaped(&words.caution)
    );
    out
}

/// Characters of a text; a blank is as long as twelve.
fn length(pieces: &[Piece], blanks: bool) -> usize {
    (pieces.iter())
        .map(|piece| match piece {
            Piece::Plain(text) => text.chars().count(),
            Piece::Value(_) if blanks => 12,
            Piece::Value(value) => value.chars().count(),
        })
        .sum()
}

fn text(pieces: &[Piece], filled: bool) -> String {
    (pieces.iter())
        .map(|piece| match piece {
            Piece::Plain(text) => escaped(text),
            Piece::Value(value) if filled => {
                format!("<span class=\"filled\">{}</span>", escaped(value))
            }
            Piece::Value(_) => "<span class=\"blank\"></span>".to_owned(),
        })
        .collect()
}
