//! The page for the projector: one case at a time, large type, arrow keys; whole without the player and without scripts.

use std::fmt::Write as _;

use super::fill::{Piece, dents, stands, verdict};
use super::words::Words;
use super::{Card, Filled, Lesson, LessonError, opening};
use crate::dossier::picture::Inline;
use crate::printed::{escaped, policy};
use giveway_occupant::Outcome;

const STYLE: &str = include_str!("../../assets/lesson.css");
const SCRIPT: &str = include_str!("../../assets/lesson.js");

/// What the parts of the page are written from, and where to.
pub struct Slides<'a> {
    pub lesson: &'a Lesson,
    pub words: &'a Words,
    pub cases: &'a [Filled<'a>],
    pub out: String,
}

/// The page as one HTML text. `player` is the script that plays the replays.
pub fn page(
    lesson: &Lesson,
    words: &Words,
    cases: &[Filled<'_>],
    player: &str,
) -> Result<String, LessonError> {
    let mut slides = Slides {
        lesson,
        words,
        cases,
        out: String::new(),
    };
    slides.header();
    slides.out.push_str("<main>\n");
    for (i, case) in cases.iter().enumerate() {
        slides.section(i, case);
    }
    let mut out = slides.out;
    let _ = write!(
        out,
        "</main>\n<footer>\n<p><strong>{}</strong> {}</p>\n</footer>\n",
        escaped(&words.caution_lead),
        escaped(&words.caution)
    );
    let mut replays = false;
    for (n, case) in (1..).zip(cases) {
        if let Some(replay) = &case.script {
            replays = true;
            // Within a script element nothing but its end tag is markup.
            let _ = writeln!(
                out,
                "<script type=\"application/json\" id=\"replay-{n}\">{}</script>",
                replay.replace('<', "\\u003c")
            );
        }
    }
    // Scripts that the page itself brings carry a number that follows from its whole content; others do not run.
    let number = &giveway_results::hash_text(&out)[..32];
    let head = format!(
        "<!DOCTYPE html>\n<html lang=\"{}\" data-units=\"{}\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         {}<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n",
        escaped(&words.code),
        cases.first().map_or("si", |c| c.system.name()),
        policy(Some(number)),
        escaped(&lesson.title)
    );
    out.insert_str(0, &head);
    if replays {
        if player.to_ascii_lowercase().contains("</script") {
            return Err(LessonError::Player);
        }
        let _ = writeln!(out, "<script nonce=\"{number}\">\n{player}\n</script>");
    }
    let _ = write!(
        out,
        "<script nonce=\"{number}\">\n{SCRIPT}</script>\n</body>\n</html>\n"
    );
    Ok(out)
}

impl Slides<'_> {
    fn header(&mut self) {
        let (lesson, words, out) = (self.lesson, self.words, &mut self.out);
        let _ = write!(
            out,
            "<header>\n<h1>{}</h1>\n<p class=\"who\">{}</p>\n<nav aria-label=\"{}\">\n<ol>\n",
            escaped(&lesson.title),
            escaped(&lesson.audience),
            escaped(&words.cases)
        );
        for (n, case) in (1..).zip(&lesson.cases) {
            let _ = writeln!(
                out,
                "<li><a href=\"#case-{n}\" aria-label=\"{} {n}: {}\">{n}</a></li>",
                escaped(&words.case),
                escaped(&case.name)
            );
        }
        out.push_str("</ol>\n</nav>\n</header>\n");
    }

    /// A case and the one that it is compared with, which stands first, on the left.
    pub fn shown<'s>(&'s self, i: usize, case: &'s Filled<'s>) -> Vec<(usize, &'s Filled<'s>)> {
        let beside = case.case.beside.map(|b| b - 1);
        let beside = beside.and_then(|b| Some((b, self.cases.get(b)?)));
        beside.into_iter().chain([(i, case)]).collect()
    }

    fn section(&mut self, i: usize, case: &Filled<'_>) {
        let n = i + 1;
        let (words, all) = (self.words, self.lesson.cases.len());
        let count = words.case_of.replace("{n}", &n.to_string());
        let count = count.replace("{all}", &all.to_string());
        let _ = write!(
            self.out,
            "<section class=\"case\" id=\"case-{n}\" aria-labelledby=\"name-{n}\">\n<div class=\"top\">\n\
             <h2 id=\"name-{n}\" tabindex=\"-1\">{}</h2>\n<p class=\"count\">{}</p>\n</div>\n\
             <p class=\"ask\">{} <span class=\"watch\">{}</span></p>\n",
            escaped(&case.name),
            escaped(&count),
            told(&case.question),
            told(&case.watch)
        );
        if let Some(card) = &case.card {
            record(card, words, &mut self.out);
        }
        self.opening(i, case);
        let _ = write!(
            self.out,
            "<div class=\"told\">\n<div><h3>{}</h3><p>{}</p></div>\n<div class=\"do\"><h3>{}</h3><p>{}</p></div>\n",
            escaped(&words.finding),
            told(&case.finding),
            escaped(&words.action),
            told(&case.action)
        );
        facts(case, words, &mut self.out);
        self.out.push_str("</div>\n<div class=\"look\">\n");
        self.picture(i, case);
        let next = if n == all {
            &words.drive_end
        } else {
            &words.drive_case
        };
        let _ = write!(
            self.out,
            "</div>\n<div class=\"drive\">\n<button type=\"button\" class=\"go\" data-first=\"{}\" data-next=\"{}\" \
             data-answer=\"{}\" data-case=\"{}\">{0}</button>\n<button type=\"button\" class=\"back\">{}</button>\n\
             <button type=\"button\" class=\"around\" data-around=\"{}\" data-flat=\"{}\">{5}</button>\n\
             <button type=\"button\" class=\"full\">{}</button>\n<span class=\"help\">{}</span>\n</div>\n</section>\n",
            escaped(&words.drive_first),
            escaped(&words.drive_next),
            escaped(&words.drive_answer),
            escaped(next),
            escaped(&words.drive_back),
            escaped(&words.drive_around),
            escaped(&words.drive_flat),
            escaped(&words.drive_full),
            escaped(&words.keys)
        );
    }

    /// The player, with the still pictures in it; where there is no replay the pictures alone.
    fn picture(&mut self, i: usize, case: &Filled<'_>) {
        let words = self.words;
        let shown = self.shown(i, case);
        let playable = shown.iter().all(|(_, c)| c.script.is_some());
        let mut out = String::new();
        if playable {
            let ids: Vec<String> = (shown.iter())
                .map(|(k, _)| format!("replay-{}", k + 1))
                .collect();
            let until: Vec<String> = (shown.iter())
                .map(|(_, c)| format!("{:.5}", opening::counted_until(c.summary)))
                .collect();
            // The verdict stands in the answer.
            let _ = writeln!(
                out,
                "<section class=\"player\" data-replays=\"{}\" data-view=\"{}\" data-charts=\"no\" data-lost-until=\"{}\" \
                 aria-label=\"{}\">",
                ids.join(" "),
                escaped(&case.case.view),
                until.join(" "),
                escaped(&words.still.replace("{name}", &case.name))
            );
        }
        let time = format!("{} ms", self.lesson.handout_time_ms);
        out.push_str("<div class=\"still\">\n");
        for (k, c) in shown {
            // The shapes of a case stand in the page once, where its own section is.
            let drawn = |of: &Inline, kind: &str| {
                if k == i {
                    of.markup.clone()
                } else {
                    of.again(&format!("{kind}-{}-{}", i + 1, k + 1))
                }
            };
            let _ = writeln!(
                out,
                "<figure>\n{}\n{}\n<figcaption>{}</figcaption>\n</figure>",
                drawn(&c.base, "base"),
                drawn(&c.still, "still"),
                escaped(&(words.still_shows.replace("{time}", &time)).replace("{name}", &c.name))
            );
        }
        out.push_str("</div>\n");
        if playable {
            out.push_str("</section>\n");
        }
        self.out.push_str(&out);
    }
}

/// What was measured at the pole, to be judged first; the decision is shown with the answer.
fn record(card: &Card, words: &Words, out: &mut String) {
    let _ = write!(
        out,
        "<div class=\"record\">\n<table>\n<caption>{}</caption>\n<thead><tr><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th><th scope=\"col\">{}</th><th scope=\"col\" class=\"judged\">{}</th></tr></thead>\n<tbody>\n",
        escaped(&words.record_of.replace("{pole}", &card.pole)),
        escaped(&words.record_item),
        escaped(&words.record_measured),
        escaped(&words.record_required),
        escaped(&words.record_verdict)
    );
    for row in &card.rows {
        let class = if row.meets { "" } else { " class=\"bad\"" };
        let _ = writeln!(
            out,
            "<tr{class}><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td class=\"judged\">{}</td></tr>",
            escaped(&row.item),
            escaped(&row.measured),
            escaped(&row.required),
            escaped(&row.verdict)
        );
    }
    let _ = writeln!(
        out,
        "</tbody>\n</table>\n<p class=\"judge\">{}</p>\n</div>",
        escaped(&words.record_judge)
    );
}

/// A text with its values in bold.
fn told(pieces: &[Piece]) -> String {
    (pieces.iter())
        .map(|piece| match piece {
            Piece::Plain(text) => escaped(text),
            Piece::Value(value) => format!("<strong>{}</strong>", escaped(value)),
        })
        .collect()
}

/// The verdict on the blow leads; what the pole does to roof and windscreen is a footnote.
fn facts(case: &Filled<'_>, words: &Words, out: &mut String) {
    let s = case.summary;
    out.push_str("<dl class=\"facts\">\n");
    let mut fact = |name: &str, class: &str, value: &str| {
        let _ = writeln!(
            out,
            "<div><dt>{}</dt><dd><span class=\"{class}\">{}</span></dd></div>",
            escaped(name),
            escaped(value)
        );
    };
    if let Some(card) = &case.card {
        let class = if card.go { "pass" } else { "fail" };
        fact(&words.decision, class, &card.decision);
    }
    let class = match s.blow().outcome() {
        Outcome::Pass => "pass",
        Outcome::Marginal => "marginal",
        Outcome::Fail => "fail",
        Outcome::NotEvaluated => "open",
    };
    fact(&words.verdict, class, verdict(s.blow(), words));
    if let Some(stands) = stands(s, words) {
        fact(&words.wind, "", stands);
    }
    out.push_str("</dl>\n");
    let by = (s.headline.document.as_ref())
        .map(|d| words.verdict_by.replace("{document}", d))
        .unwrap_or_default();
    let dents = dents(s, words)
        .map(|said| format!("{} {said}.", words.dents))
        .unwrap_or_default();
    let _ = writeln!(
        out,
        "<p class=\"foot\">{} {}</p>",
        escaped(&by),
        escaped(&dents)
    );
}
