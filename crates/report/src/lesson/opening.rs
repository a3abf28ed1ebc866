//! The opening of a case: right beside wrong in the section, three beats, one bar a car. Whole without scripts: the section
//! at first touch, all beats in words, the bars at their end.

use std::fmt::Write as _;

use giveway_impact::outcome::Ending;
use giveway_results::Summary;
use giveway_units::spoken;

use super::Filled;
use super::fill::{kmph, velocity_change};
use super::section::{Section, ahead};
use super::slides::Slides;
use super::words::Words;
use crate::printed::escaped;

/// The last beat ends so long after first touch, s: the pole is on its way, the car that was stopped rolls back.
const END_S: f64 = 0.45;
/// The second beat goes on so long after the last release, s.
const AFTER_RELEASE_S: f64 = 0.002;

impl Slides<'_> {
    /// Writes the opening of a case.
    pub fn opening(&mut self, i: usize, case: &Filled<'_>) {
        let shown = self.shown(i, case);
        let [first, second, third] = beats(&shown);
        let several = shown.len() > 1;
        let mut out =
            format!("<div class=\"opening\" data-beats=\"{first:.5} {second:.5} {third:.5}\">\n");
        if several {
            switch(i, shown.len(), self.words, &mut out);
        }
        let _ = writeln!(
            out,
            "<div class=\"panels\" data-panels=\"{}\">",
            shown.len()
        );
        for (k, c) in shown {
            let wrong = several && k == i;
            panel((i, k), c, (wrong, several), self.words, &mut out);
        }
        out.push_str("</div>\n</div>\n");
        self.out.push_str(&out);
    }
}

/// Where the window is narrow: one side or both.
fn switch(i: usize, sides: usize, words: &Words, out: &mut String) {
    let _ = write!(
        out,
        "<fieldset class=\"switch\"><legend>{}</legend>",
        escaped(&words.show_legend)
    );
    let names = [&words.show_right, &words.show_wrong, &words.show_both];
    for (k, name) in names.into_iter().enumerate() {
        let (value, checked) = if k == sides {
            ("both".to_owned(), " checked=\"checked\"")
        } else {
            (k.to_string(), "")
        };
        let _ = write!(
            out,
            "<label><input type=\"radio\" name=\"show-{}\" value=\"{value}\"{checked}/><span>{}</span></label>",
            i + 1,
            escaped(name)
        );
    }
    out.push_str("</fieldset>\n");
}

/// Side `k` of case `i`. `wrong`: it is the faulty one of several.
fn panel(
    (i, k): (usize, usize),
    c: &Filled<'_>,
    (wrong, several): (bool, bool),
    words: &Words,
    out: &mut String,
) {
    let s = c.summary;
    let lost = velocity_change(s);
    let speed = s.impact.speed_mps;
    let until = counted_until(s);
    let say = |v: f64| spoken(&kmph(v), c.system);
    let full = say(speed);
    // The share's number without its unit, which the whole carries.
    let number = |v: f64| (say(v).split(' ').next().unwrap_or_default()).to_owned();
    let of = |a: &str| words.lost_of.replace("{a}", a).replace("{b}", &full);
    let told = if lost > 1.005 * speed {
        words.thrown_back.clone()
    } else if lost > 0.995 * speed {
        words.stopped.clone()
    } else {
        of(&number(lost))
    };
    let factor = number(speed).parse().unwrap_or(0.0) / speed;
    let released = s.ending == Ending::Released;
    let ended = if released { "free" } else { "stopped" };
    let side = if wrong { "wrong" } else { "right" };
    let mark = match (several, wrong) {
        (false, _) => "",
        (true, false) => "<span class=\"badge\" aria-hidden=\"true\">\u{2713}</span> ",
        (true, true) => "<span class=\"badge\" aria-hidden=\"true\">\u{2715}</span> ",
    };
    let _ = write!(
        out,
        "<figure class=\"panel {side}\" data-replay=\"replay-{}\" data-lost=\"{lost:.5}\" data-lost-until=\"{until:.5}\" \
         data-speed=\"{speed:.5}\" data-factor=\"{factor:.5}\" data-ended=\"{ended}\" data-running=\"{}\">\n\
         <figcaption>{mark}{}</figcaption>\n<div class=\"shot\">",
        k + 1,
        escaped(&of("#")),
        escaped(&c.name)
    );
    // Where nothing moves, what there is stands among the still pictures.
    if let Some(section) = cut(c, &format!("cut-{}-{}", i + 1, k + 1), words) {
        out.push_str(&section);
    }
    out.push_str("</div>\n<ol class=\"beats\">");
    let middle = match (c.case.beat.as_str(), released) {
        ("", true) => &words.beat_out,
        ("", false) => &words.beat_stay,
        (own, _) => own,
    };
    let last = if released {
        &words.beat_leaves
    } else {
        &words.beat_stops
    };
    for text in [&words.beat_push, middle, last] {
        let _ = write!(out, "<li>{}</li>", escaped(text));
    }
    let _ = writeln!(
        out,
        "</ol>\n<div class=\"speed\"><span class=\"bar\"><i style=\"width:{:.1}%\"></i></span> <strong class=\"lost\">{}</strong></div>\n</figure>",
        (100.0 * lost / speed).clamp(0.0, 100.0),
        escaped(&told)
    );
}

/// Until when the speed lost is counted, s after first touch.
pub fn counted_until(s: &Summary) -> f64 {
    match s.ending {
        Ending::Released => s.times.contact_end_s,
        _ => None,
    }
    .unwrap_or(s.times.engagement_end_s)
}

/// The section of a case as SVG; none where its motion was not kept.
pub fn cut(c: &Filled<'_>, id: &str, words: &Words) -> Option<String> {
    let scene = &c.replay?.scene;
    let bolt = ahead(scene, c.scenario);
    let title =
        (words.section_of.replace("{name}", &c.name)).replace("{n}", &(bolt + 1).to_string());
    let section = Section {
        scene,
        scenario: c.scenario,
        bolt,
    };
    Some(section.svg(id, &title, words))
}

/// Ends of the three beats, s after first touch: the plates begin to slide; all bolts that come out are out, or what holds
/// them bears the most; the pole is on its way.
fn beats(shown: &[(usize, &Filled<'_>)]) -> [f64; 3] {
    let of = |f: &dyn Fn(&Summary) -> Option<f64>| {
        (shown.iter())
            .filter_map(move |(_, c)| f(c.summary))
            .collect::<Vec<f64>>()
    };
    let onset = of(&|s| s.times.slip_onset_s)
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let out = of(&|s| match s.ending {
        Ending::Released => s.times.release_s,
        _ => Some(s.contact.peak_force_time_s),
    });
    let second = out.into_iter().fold(0.0, f64::max) + AFTER_RELEASE_S;
    let end = of(&|s| Some(s.times.record_end_s))
        .into_iter()
        .fold(END_S, f64::min);
    let first = if onset < second { onset } else { 0.4 * second };
    [first, second, end.max(second + 0.05)]
}
