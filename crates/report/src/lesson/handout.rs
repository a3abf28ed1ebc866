//! The handout: one sheet with pictures and blanks where the values stand, and the same sheet filled in, as the key.

use std::fmt::Write as _;

use super::fill::Piece;
use super::words::Words;
use super::{Filled, Lesson};
use crate::printed::{escaped, policy};

const STYLE: &str = include_str!("../../assets/handout.css");

/// Height of a sheet that A4 and US Letter both have within margins of 10 mm, less heading, foot and gaps, mm.
const ROOM_MM: f64 = 259.0 - 34.0;
/// Width of a cell, mm.
const CELL_MM: f64 = 92.5;

/// The handout; with `key` filled in.
pub fn sheet(lesson: &Lesson, words: &Words, cases: &[Filled<'_>], key: bool) -> String {
    let rows = cases.len().div_ceil(2).max(1);
    let height = ROOM_MM / rows as f64 - 2.0;
    // What the longest texts need at a size of type: lines of width, in mm.
    let lines_mm = |point: f64| {
        let line = 1.22 * 0.3528 * point;
        let letter = 0.5 * 0.3528 * point;
        let lines = |text: usize| ((text as f64 * letter) / CELL_MM).ceil().max(1.0);
        let longest = |of: &dyn Fn(&Filled<'_>) -> f64| cases.iter().map(of).fold(0.0, f64::max);
        let text = longest(&|c| {
            let action = if key {
                lines(length(&c.action, false) + words.what_to_do.chars().count())
            } else {
                // A heading and two ruled lines.
                1.0 + 2.0 * 1.75 / 1.22
            };
            lines(length(&c.question, false)) + lines(length(&c.finding, !key)) + action
        });
        (text + 1.2) * line + 6.0
    };
    let type_pt = [10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5]
        .into_iter()
        .find(|point| height - lines_mm(*point) >= 22.0)
        .unwrap_or(6.5);
    // The pictures take what the texts leave.
    let tall = (height - lines_mm(type_pt)).clamp(12.0, 34.0);
    let wide = (tall * 896.0 / 330.0).min(CELL_MM);
    let kind = if key { &words.key } else { &words.handout };
    let mut out = String::new();
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         {}<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <title>{}: {}</title>\n<style>\n{STYLE}body {{ font-size: {type_pt}pt; }}\n\
         .cell svg {{ width: {wide:.1}mm; }}\n</style>\n</head>\n<body>\n\
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
    let time = format!("{} ms", lesson.handout_time_ms);
    let _ = write!(
        out,
        "<p class=\"intro\">{}</p>\n<main class=\"grid\">\n",
        escaped(&words.fill_in.replace("{time}", &time))
    );
    for (i, case) in cases.iter().enumerate() {
        let n = i + 1;
        let _ = write!(
            out,
            "<section class=\"cell\">\n<h2>{n}. {}</h2>\n{}<p>{}</p>\n<p>{}</p>\n",
            escaped(&case.case.name),
            case.base.markup,
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
        out.push_str("</section>\n");
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
    pieces
        .iter()
        .map(|piece| match piece {
            Piece::Plain(text) => text.chars().count(),
            Piece::Value(_) if blanks => 12,
            Piece::Value(value) => value.chars().count(),
        })
        .sum()
}

fn text(pieces: &[Piece], filled: bool) -> String {
    pieces
        .iter()
        .map(|piece| match piece {
            Piece::Plain(text) => escaped(text),
            Piece::Value(value) if filled => {
                format!("<span class=\"filled\">{}</span>", escaped(value))
            }
            Piece::Value(_) => "<span class=\"blank\"></span>".to_owned(),
        })
        .collect()
}
