//! The page for the projector: one case at a time, large type, arrow keys; whole without the player and without scripts.

use std::fmt::Write as _;

use giveway_occupant::Outcome;
use giveway_results::Summary;

use super::fill::{Piece, velocity_change, verdict};
use super::words::Words;
use super::{Filled, Lesson, LessonError};
use crate::dossier::picture::Inline;
use crate::printed::{escaped, policy};

const STYLE: &str = include_str!("../../assets/lesson.css");
const SCRIPT: &str = include_str!("../../assets/lesson.js");

/// The page as one HTML text. `player` is the script that plays the replays.
pub fn page(
    lesson: &Lesson,
    words: &Words,
    cases: &[Filled<'_>],
    player: &str,
) -> Result<String, LessonError> {
    let mut out = String::new();
    header(lesson, words, &mut out);
    out.push_str("<main>\n");
    for (i, case) in cases.iter().enumerate() {
        section(i, case, lesson, words, cases, &mut out);
    }
    let _ = write!(
        out,
        "</main>\n<footer>\n<p><strong>{}</strong> {}</p>\n<p class=\"help\">{}</p>\n</footer>\n",
        escaped(&words.caution_lead),
        escaped(&words.caution),
        escaped(&words.keys)
    );
    let mut replays = false;
    for (i, case) in cases.iter().enumerate() {
        if let Some(replay) = case.replay {
            replays = true;
            // Within a script element nothing but its end tag is markup.
            let _ = writeln!(
                out,
                "<script type=\"application/json\" id=\"replay-{}\">{}</script>",
                i + 1,
                replay.replace('<', "\\u003c")
            );
        }
    }
    // Scripts that the page itself brings carry a number that follows from its whole content; others do not run.
    let number = &giveway_results::hash_text(&out)[..32];
    let head = format!(
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         {}<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n",
        escaped(&words.code),
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

fn header(lesson: &Lesson, words: &Words, out: &mut String) {
    let _ = write!(
        out,
        "<header>\n<h1>{}</h1>\n<p class=\"who\">{}</p>\n<nav aria-label=\"{}\">\n<ol>\n",
        escaped(&lesson.title),
        escaped(&lesson.audience),
        escaped(&words.cases)
    );
    for (i, case) in lesson.cases.iter().enumerate() {
        let _ = writeln!(
            out,
            "<li><a href=\"#case-{0}\" aria-label=\"{1} {0}: {2}\">{0}</a></li>",
            i + 1,
            escaped(&words.case),
            escaped(&case.name)
        );
    }
    out.push_str("</ol>\n</nav>\n</header>\n");
}

fn section(
    i: usize,
    case: &Filled<'_>,
    lesson: &Lesson,
    words: &Words,
    all: &[Filled<'_>],
    out: &mut String,
) {
    let n = i + 1;
    let count = (words.case_of.replace("{n}", &n.to_string()))
        .replace("{all}", &lesson.cases.len().to_string());
    let _ = write!(
        out,
        "<section class=\"case\" id=\"case-{n}\" aria-labelledby=\"name-{n}\">\n<div class=\"top\">\n\
         <h2 id=\"name-{n}\" tabindex=\"-1\">{}</h2>\n<p class=\"count\">{}</p>\n</div>\n<div class=\"ask\">\n<div><h3>{}</h3><p>{}</p></div>\n\
         <div><h3>{}</h3><p>{}</p></div>\n</div>\n",
        escaped(&case.case.name),
        escaped(&count),
        escaped(&words.question),
        told(&case.question),
        escaped(&words.watch),
        told(&case.watch)
    );
    picture(i, case, lesson, words, all, out);
    let _ = write!(
        out,
        "<details>\n<summary>{}</summary>\n<div class=\"told\">\n<div><h3>{}</h3><p>{}</p></div>\n\
         <div class=\"do\"><h3>{}</h3><p>{}</p></div>\n",
        escaped(&words.show_finding),
        escaped(&words.finding),
        told(&case.finding),
        escaped(&words.action),
        told(&case.action)
    );
    facts(case.summary, words, out);
    out.push_str("</div>\n</details>\n<p class=\"steps\">");
    for (step, text) in [
        (i.checked_sub(1), &words.previous),
        (Some(i + 1), &words.next),
    ] {
        match step.filter(|s| *s < all.len()) {
            Some(to) => {
                let _ = write!(out, "<a href=\"#case-{}\">{}</a>", to + 1, escaped(text));
            }
            None => out.push_str("<a class=\"off\" aria-hidden=\"true\"></a>"),
        }
    }
    out.push_str("</p>\n</section>\n");
}

/// The player, with the still pictures in it; where there is no replay the pictures alone.
fn picture(
    i: usize,
    case: &Filled<'_>,
    lesson: &Lesson,
    words: &Words,
    all: &[Filled<'_>],
    out: &mut String,
) {
    let beside = case
        .case
        .beside
        .map(|b| b - 1)
        .and_then(|b| all.get(b).map(|c| (b, c)));
    let mut shown = vec![(i, case)];
    // The one to compare with stands first, on the left.
    shown.splice(0..0, beside);
    let playable = shown.iter().all(|(_, c)| c.replay.is_some());
    if playable {
        let ids: Vec<String> = shown
            .iter()
            .map(|(k, _)| format!("replay-{}", k + 1))
            .collect();
        // The verdict comes after the blow: first there is a question.
        let _ = writeln!(
            out,
            "<section class=\"player\" data-replays=\"{}\" data-view=\"{}\" data-charts=\"no\" data-verdict=\"later\" \
             aria-label=\"{}\">",
            ids.join(" "),
            escaped(&case.case.view),
            escaped(&words.still.replace("{name}", &case.case.name))
        );
    }
    let time = format!("{} ms", lesson.handout_time_ms);
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
            escaped(&(words.still_shows.replace("{time}", &time)).replace("{name}", &c.case.name))
        );
    }
    out.push_str("</div>\n");
    if playable {
        out.push_str("</section>\n");
    }
}

/// A text with its values in bold.
fn told(pieces: &[Piece]) -> String {
    pieces
        .iter()
        .map(|piece| match piece {
            Piece::Plain(text) => escaped(text),
            Piece::Value(value) => format!("<strong>{}</strong>", escaped(value)),
        })
        .collect()
}

fn facts(s: &Summary, words: &Words, out: &mut String) {
    let release = s.times.release_s;
    let release = release.map_or_else(|| words.never.clone(), |t| format!("{:.0} ms", 1e3 * t));
    let wind = s.retention.as_ref().map(|r| {
        if r.holds && !r.nut_strips {
            words.stands.as_str()
        } else {
            words.does_not_stand.as_str()
        }
    });
    let lost = velocity_change(s);
    out.push_str("<dl class=\"facts\">\n");
    let mut fact = |name: &str, value: &str| {
        let _ = writeln!(
            out,
            "<div><dt>{}</dt><dd>{}</dd></div>",
            escaped(name),
            escaped(value)
        );
    };
    fact(
        &words.velocity_change,
        &format!("{:.1} km/h ({lost:.2} m/s)", 3.6 * lost),
    );
    fact(
        &words.peak_force,
        &format!("{:.0} kN", 1e-3 * s.contact.peak_force_n),
    );
    fact(
        &words.crush,
        &format!("{:.0} mm", 1e3 * s.contact.peak_crush_m),
    );
    fact(&words.release, &release);
    if let Some(wind) = wind {
        fact(&words.wind, wind);
    }
    let class = match s.blow().outcome() {
        Outcome::Pass => "pass",
        Outcome::Marginal => "marginal",
        Outcome::Fail => "fail",
        Outcome::NotEvaluated => "open",
    };
    let by = (s.headline.document.as_ref())
        .map(|d| format!(" ({})", words.verdict_by.replace("{document}", d)))
        .unwrap_or_default();
    let _ = write!(
        out,
        "<div><dt>{}</dt><dd><span class=\"{class}\">{}</span>{}</dd></div>\n</dl>\n",
        escaped(&words.verdict),
        escaped(verdict(s.blow(), words)),
        escaped(&by)
    );
}
