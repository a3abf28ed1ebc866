//! What all pages share: width, heading, footer.

use giveway_results::Summary;
use giveway_results::summary::{Contact, Joint};

use giveway_draw::{Figure, INK, SLATE, look, text_width};

/// Width of every page, px.
pub const WIDTH: f64 = 1400.0;
/// Left edge of text and of frames without numbers beside them, px.
pub const MARGIN: f64 = 40.0;

/// An empty page with its title.
pub fn titled(name: &str, title: &str, height: f64) -> Figure {
    let mut f = Figure::new(name, title, WIDTH, height);
    f.text((MARGIN, 34.0), title, look(26.0, INK).bold());
    f
}

/// An empty page with its heading (a title, then the scenario's title and some facts) and, at the foot, the caution.
pub fn page(name: &str, title: &str, facts: &str, height: f64, summary: &Summary) -> Figure {
    let mut f = Figure::new(name, &format!("{title}: {}", summary.title), WIDTH, height);
    f.text((MARGIN, 34.0), title, look(26.0, INK).bold());
    let subtitle = subtitle(&summary.title, facts, 16.0, WIDTH - 2.0 * MARGIN);
    f.text((MARGIN, 64.0), &subtitle, look(16.0, SLATE));
    f.text((MARGIN, height - 18.0), &summary.caution, look(13.0, SLATE));
    f
}

/// A time in milliseconds with one decimal.
pub fn ms(time_s: f64) -> String {
    format!("{:.1} ms", 1e3 * time_s)
}

/// How many bolts the base let go of.
pub fn released(j: &Joint) -> usize {
    (j.bolts.iter())
        .filter(|b| b.release_time_s.is_some())
        .count()
}

/// "3 of 3 bolts released, the plates slide from 15.5 ms".
pub fn released_in_words(s: &Summary) -> String {
    let slide = |t| format!(", the plates slide from {}", ms(t));
    let slide = s.times.slip_onset_s.map(slide).unwrap_or_default();
    format!(
        "{} of {} bolts released{slide}",
        released(&s.joint),
        s.joint.bolts.len()
    )
}

/// The largest rise of a bolt's tension with its cause.
pub fn tension_rise_in_words(j: &Joint) -> String {
    format!(
        "largest rise {:.1} % at bolt {} ({}, {})",
        100.0 * j.tension_rise_fraction,
        j.tension_rise_bolt,
        ms(j.tension_rise_time_s),
        j.tension_rise_cause.words()
    )
}

/// " (12 mm at first slip, 80 mm at release)"; empty where the plates did not slide.
pub fn crush_on_the_way(c: &Contact) -> String {
    let told = [
        (c.crush_at_slip_onset_m, "at first slip"),
        (c.crush_at_release_m, "at release"),
    ];
    let list: Vec<String> = (told.into_iter())
        .filter_map(|(crush, when)| Some(format!("{:.0} mm {when}", 1e3 * crush?)))
        .collect();
    if list.is_empty() {
        String::new()
    } else {
        format!(" ({})", list.join(", "))
    }
}

/// Until when the velocity change is counted.
pub fn counted_until(s: &Summary) -> &'static str {
    if s.times.contact_end_s.is_some() && s.times.contact_end_s == s.times.occupant_met_s {
        "until the occupant meets the interior"
    } else {
        "until vehicle and pole part"
    }
}

/// A speed in km/h with one decimal.
pub fn kmph(speed_mps: f64) -> String {
    format!("{:.1} km/h", 3.6 * speed_mps)
}

/// Title and facts in one line; the title is cut where the line would be wider than that.
fn subtitle(title: &str, facts: &str, size: f64, width: f64) -> String {
    let room = width - text_width(&format!(": {facts}"), size, false);
    format!("{}: {facts}", fitted(title, size, false, room))
}

/// A text of at most that width: what goes beyond is cut. Nothing where there is room for nothing.
pub fn fitted(text: &str, size: f64, bold: bool, room: f64) -> String {
    if text_width(text, size, bold) <= room {
        return text.to_owned();
    }
    let ends: Vec<usize> = text.char_indices().skip(1).map(|(i, _)| i).collect();
    let cut = |end: &usize| format!("{}\u{2026}", text[..*end].trim_end());
    let fits = ends.partition_point(|end| text_width(&cut(end), size, bold) <= room);
    ends[..fits].last().map(cut).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_title_is_cut_and_the_facts_stay() {
        let facts = "35.0 km/h at first touch";
        let line = subtitle(&"a long title ".repeat(40), facts, 16.0, 1320.0);
        let width = text_width(&line, 16.0, false);
        assert!(width <= 1320.0 && width > 1250.0, "{width}");
        assert!(
            line.ends_with("\u{2026}: 35.0 km/h at first touch"),
            "{line}"
        );
        assert_eq!(
            subtitle("short", facts, 16.0, 1320.0),
            format!("short: {facts}")
        );
    }
}
