//! Figure 2: contact force against crush and against time.

use giveway_impact::outcome::Engagement;
use giveway_results::Summary;

use crate::ReportError;
use crate::history::{History, instants, instants_in_words, peak};
use crate::page::{ms, page};
use giveway_draw::{
    Axis, Chart, Figure, NAVY, PAPER, PENS, Point, RUST, SEA, SLATE, Window, look, text_width,
};

const NAME: &str = "contact";

pub fn draw(
    history: &History,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Figure, ReportError> {
    let force = history.scaled("contact_force_n", 1e-3)?;
    let friction = history.scaled("contact_friction_n", 1e-3)?;
    let crush = history.scaled("crush_m", 1e3)?;
    let c = &summary.contact;
    let facts = format!(
        "peak {:.1} kN at {}, impulse {:.0} N.s, largest crush {:.0} mm, dent in the tube {:.1} mm",
        1e-3 * c.peak_force_n,
        ms(c.peak_force_time_s),
        c.impulse_ns,
        1e3 * c.peak_crush_m,
        1e3 * c.dent_m
    );
    let title = "Force between vehicle and pole";
    let mut f = page(NAME, title, &facts, 720.0, summary);
    let forces = force.iter().chain(&friction).chain([&0.0]);
    let y = Axis::covering(forces, 0.24, NAME, "contact force")?;
    let window = |left: f64, right: f64| Window::new((left, 130.0), (right, 585.0));
    let against_crush = Chart {
        area: window(95.0, 610.0),
        x: Axis::covering(crush.iter().chain([&0.0]), 0.06, NAME, "crush")?,
        y,
    };
    let title = Some("crush of the struck face, mm");
    against_crush.frame(&mut f, title, "Contact force, kN");
    against_crush.series(&mut f, &crush, &force, PENS[0], 2.5, false);
    let top = peak(&force).0;
    let at = against_crush.at(crush[top], force[top]);
    f.disc(at, 6.0, NAVY);
    let index = |time_s: Option<f64>| {
        let at = |t: f64| history.time_ms.iter().position(|ms| *ms >= 1e3 * t);
        time_s.and_then(at)
    };
    if let Some(i) = index(engagement.slip_onset_time_s) {
        let at = against_crush.at(crush[i], force[i]);
        slip_onset(&mut f, at, history.time_ms[i]);
    }
    if let Some(i) = index(engagement.release_time_s) {
        let at = against_crush.at(crush[i], force[i]);
        let loading = against_crush.points(&crush, &force);
        release(&mut f, &against_crush, at, loading);
    }
    let against_time = Chart {
        area: window(720.0, 1340.0),
        x: Axis::covering(&history.time_ms, 0.0, NAME, "time")?,
        y,
    };
    over_time(&mut f, &against_time, history, (&force, &friction));
    against_time.instants(&mut f, &instants(engagement), true);
    rubbing(&mut f, &friction);
    let note = "The area inside the loop is close to the energy that crushing took.";
    f.text((95.0, 662.0), note, look(14.0, SLATE));
    f.set_alt_text(format!(
        "Two charts of the contact force, against crush and against time. The force peaks at {:.1} kN after {}; the \
         struck face is crushed by up to {:.0} mm and the tube wall is dented by {:.1} mm; {}.",
        1e-3 * c.peak_force_n,
        ms(c.peak_force_time_s),
        1e3 * c.peak_crush_m,
        1e3 * c.dent_m,
        instants_in_words(summary)
    ));
    Ok(f.finish()?)
}

/// The two forces over the time, and the peak.
fn over_time(
    f: &mut Figure,
    chart: &Chart,
    history: &History,
    (force, friction): (&[f64], &[f64]),
) {
    let top = peak(force).0;
    chart.over_time(f, true, "Contact force, kN");
    chart.series(f, &history.time_ms, friction, PENS[1], 2.0, false);
    chart.series(f, &history.time_ms, force, PENS[0], 2.5, false);
    let at = chart.at(history.time_ms[top], force[top]);
    f.disc(at, 6.0, NAVY);
    let text = format!("normal force, peak {:.1} kN", force[top]);
    f.label((at.0 + 12.0, at.1), &text, look(15.0, NAVY).bold(), PAPER);
}

/// What rubbing across the face came to, where there was any.
fn rubbing(f: &mut Figure, friction: &[f64]) {
    let slide = peak(friction).1;
    if slide > 0.0 {
        let text = format!("broken line: rubbing across the face, peak {slide:.1} kN");
        f.label((1330.0, 186.0), &text, look(15.0, RUST).end(), PAPER);
    }
}

/// The ring where the plates begin to slide, and what it says.
fn slip_onset(f: &mut Figure, at: Point, time_ms: f64) {
    f.disc(at, 7.0, PAPER);
    f.ring(at, 6.0, 2.5, SEA);
    let time = ms(1e-3 * time_ms);
    let said = format!("Green ring: the plates begin to slide, {time}.");
    f.text((95.0, 642.0), &said, look(14.0, SLATE));
}

/// The ring where the last bolt leaves, named where the line of loading leaves room.
fn release(f: &mut Figure, chart: &Chart, at: Point, loading: Vec<Point>) {
    f.disc(at, 8.0, PAPER);
    f.ring(at, 7.0, 2.5, RUST);
    let words = "last bolt released";
    let length = text_width(words, 15.0, false);
    let left = -14.0 - length;
    let places = [
        (left, 0.0),
        (14.0, 0.0),
        (left, 26.0),
        (left, 80.0),
        (left, 150.0),
        (14.0, 26.0),
        (14.0, -26.0),
        (left, -26.0),
    ]
    .map(|(dx, dy)| (at.0 + dx, at.1 + dy));
    let chosen = chart.clear_label(f, &places, words, look(15.0, RUST), &[loading]);
    if let Some(place) = chosen
        && (place.1 - at.1).abs() > 40.0
    {
        let end = (place.0 + 0.5 * length, place.1 - 11.0);
        f.line([(at.0 - 4.0, at.1 + 7.0), end], 1.0, RUST);
    }
}
