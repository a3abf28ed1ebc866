//! Two bases side by side at the same instants: the slip base from the side and from above, to one scale.
//!
//! For a wall or a slide of a training: left the base as it should be, right the base as found, one row for each
//! instant, a sentence under each pair of pictures.

use giveway_impact::outcome::{BarOutcome, Snapshot};
use giveway_scenario::model::Scenario;

use crate::ReportError;
use crate::base::azimuths;
use crate::closeup::{self, CLOSE, panel};
use crate::found::as_drawn;
use crate::page::{MARGIN, WIDTH};
use crate::storyboard::check;
use crate::view::{Look, View, travel};
use giveway_draw::{Figure, GRID, INK, NAVY, RUST, SLATE, Window, for_reader, look, paint};

/// Gap between the two halves, and between the two pictures of a half, px.
const GAPS: (f64, f64) = (44.0, 10.0);
const TOP: f64 = 168.0;
const ROW_HEAD: f64 = 34.0;
const ROW_FOOT: f64 = 44.0;
const RESULT: f64 = 40.0;

/// One instant of one base.
#[derive(Debug, Clone)]
pub struct Instant<'a> {
    /// Poses; its time counts.
    pub snapshot: &'a Snapshot,
    /// What has become of the bars in the slip plane.
    pub bars: &'a [BarOutcome],
    /// What there is to see, one short sentence.
    pub words: String,
}

/// One of the two bases.
#[derive(Debug, Clone)]
pub struct Side<'a> {
    /// What it is.
    pub heading: String,
    /// Its scenario.
    pub scenario: &'a Scenario,
    /// Its instants; the same number on both sides.
    pub instants: Vec<Instant<'a>>,
    /// What came of it, one short sentence.
    pub result: String,
}

/// A picture for a page: vector graphics and what it shows in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Scalable picture.
    pub svg: String,
    /// What it shows.
    pub alt_text: String,
}

/// Draws two bases side by side. `name` becomes the picture's identifier, `facts` stands under the title, `caution`
/// at the foot of the page.
///
/// # Errors
/// No instants, or a number that is not finite.
pub fn comparison(
    name: &str,
    (title, facts, caution): (&str, &str, &str),
    sides: &[Side<'_>; 2],
) -> Result<Picture, ReportError> {
    let rows = sides[0].instants.len().min(sides[1].instants.len());
    if rows == 0 {
        return Err(ReportError::NoSnapshots);
    }
    let half = 0.5 * (WIDTH - 2.0 * MARGIN - GAPS.0);
    let wide = 0.5 * (half - GAPS.1);
    let (before, after, breadth, _) = CLOSE;
    let scale = wide / (before + after);
    let tall = 2.0 * breadth * scale;
    let row = ROW_HEAD + tall + ROW_FOOT;
    let height = libm::ceil(TOP + row * rows as f64 + RESULT + 72.0);
    let mut f = Figure::new(name, title, WIDTH, height);
    f.text((MARGIN, 36.0), title, look(26.0, INK).bold());
    f.text((MARGIN, 68.0), facts, look(16.0, SLATE));
    let mut told = Vec::new();
    for (i, (side, colour)) in sides.iter().zip([NAVY, RUST]).enumerate() {
        let left = MARGIN + (half + GAPS.0) * i as f64;
        f.rect(((left, 96.0), (left + half, 102.0)), colour, 1.0);
        f.text((left, 124.0), &side.heading, look(21.0, INK).bold());
        for (x, words) in [(0.0, "from the side"), (wide + GAPS.1, "from above")] {
            f.text((left + x, 152.0), words, look(14.0, SLATE));
        }
        let scenario = as_drawn(side.scenario);
        let travel = travel(&scenario);
        for (j, instant) in side.instants.iter().take(rows).enumerate() {
            check(name, instant.snapshot)?;
            let top = TOP + row * j as f64;
            let time = format!("{:.0} ms", 1e3 * instant.snapshot.time_s);
            f.text((left, top + 14.0), &time, look(19.0, INK).bold());
            for (k, look_at) in [Look::FromTheSide, Look::FromAbove].into_iter().enumerate() {
                let from = left + (wide + GAPS.1) * k as f64;
                let window = Window::sized((from, top + ROW_HEAD), (wide, tall));
                let view = closeup::view(look_at, window, (scale, 0.5 * tall), travel);
                panel(&mut f, &view, &scenario, instant.snapshot, instant.bars);
                if look_at == Look::FromAbove {
                    numbers(&mut f, &view, &scenario, instant.snapshot);
                }
            }
            let under = top + ROW_HEAD + tall + 17.0;
            f.text((left, under), &instant.words, look(16.0, INK));
            told.push(format!("{}, {time}: {}", side.heading, instant.words));
        }
        let under = TOP + row * rows as f64 + 8.0;
        f.text((left, under), &side.result, look(19.0, INK).bold());
        told.push(side.result.clone());
    }
    let middle = 0.5 * WIDTH;
    let line = [(middle, 96.0), (middle, TOP + row * rows as f64 + 18.0)];
    f.line(line, 1.5, GRID);
    let foot = TOP + row * rows as f64 + RESULT;
    f.text((MARGIN, foot + 12.0), KEY, look(14.0, INK));
    f.text((MARGIN, foot + 44.0), caution, look(13.0, SLATE));
    f.set_alt_text(told.join(" "));
    let f = f.finish()?;
    Ok(Picture {
        svg: paint::svg(&f)?,
        alt_text: for_reader(&f).alt_text().to_owned(),
    })
}

/// Numbers beside the bolts that are still there.
fn numbers(f: &mut Figure, view: &View, scenario: &Scenario, s: &Snapshot) {
    let base = &scenario.base;
    let out = 0.5 * base.bolt_circle_m + base.notch_travel_m + 0.035;
    for (i, a) in azimuths(base).iter().enumerate() {
        if s.bolts_m.get(i).is_none_or(Option::is_none) {
            continue;
        }
        let at = view.at([out * libm::cos(*a), out * libm::sin(*a), 0.0]);
        if view.window.contains(at) {
            let number = (i + 1).to_string();
            f.text(at, &number, look(15.0, INK).bold().middle());
        }
    }
}

const KEY: &str = "Blue: upper plate, with the pole.  Grey: lower plate.  Black: bolt heads and nuts.  Hatched: grout \
     or soil.  Red: bar or conduit (dashed outline: it has given way).";
