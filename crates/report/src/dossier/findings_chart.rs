//! The findings as a picture: from the velocity change as found (a line down the page) each finding's arrow leads to what it
//! would be if that finding were put right; a hollow sign shows the finding alone, a second line everything put right.

use giveway_occupant::CAUTION;
use giveway_results::{ConditionCase, ConditionFinding, Summary};

use super::words::{cut, upper_first};
use crate::ReportError;
use crate::page::{MARGIN, WIDTH};
use giveway_draw::{Axis, Figure, GRID, INK, LIMIT, NAVY, PAPER, PLUM, SLATE, look, text_width};

const NAME: &str = "findings";
const LEFT: f64 = 470.0;
const RIGHT: f64 = WIDTH - 150.0;
const TOP: f64 = 150.0;
const ROW: f64 = 54.0;

/// The chart; none where there is nothing to compare.
pub fn draw(s: &Summary) -> Result<Option<Figure>, ReportError> {
    let Some(first) = s.conditions.first() else {
        return Ok(None);
    };
    let speed = ConditionCase::reliable_velocity_change_mps;
    let (Some(found), right) = (speed(&first.as_found), speed(&first.all_put_right)) else {
        return Ok(None);
    };
    let rows = &s.conditions[..s.conditions.len().min(super::findings::MOST_DRAWN)];
    let mut checks = s.verdicts.iter().flat_map(|v| &v.checks);
    let limit = checks.find(|c| c.key.starts_with("velocity_change"));
    let limit = limit.and_then(|c| c.limit_max);
    let mut values = vec![0.0, found];
    values.extend(right);
    values.extend(limit);
    for f in rows {
        values.extend(speed(&f.if_put_right));
        values.extend(speed(&f.alone));
    }
    let axis = Axis::covering(&values, 0.04, NAME, "velocity change")?;
    let bottom = TOP + ROW * rows.len() as f64 + 14.0;
    let x = |v: f64| LEFT + axis.fraction(v) * (RIGHT - LEFT);
    let title = "What each finding does";
    let whole = format!("{title}: {}", s.title);
    let mut f = Figure::new(NAME, &whole, WIDTH, bottom + 96.0);
    f.text((MARGIN, 34.0), title, look(26.0, INK).bold());
    let key = "Arrow: from the velocity change as found to that with this finding put right. Ring: this finding alone.";
    f.text((MARGIN, 66.0), key, look(16.0, SLATE));
    across(&mut f, &axis, &x, bottom);
    upright(&mut f, &x, bottom, (found, right, limit));
    let mut told = Vec::new();
    for (n, c) in rows.iter().enumerate() {
        let y = TOP + ROW * (n as f64 + 0.5) + 7.0;
        row(&mut f, &x, (found, y), c);
        let cases = [&c.if_put_right, &c.alone];
        let [right, alone] = cases.map(|case| case.speed_in_words());
        told.push(format!("{}: {right} if put right, {alone} alone", c.title));
    }
    f.text((MARGIN, bottom + 78.0), CAUTION, look(13.0, SLATE));
    f.set_alt_text(format!(
        "Velocity change {} as found, {} with everything put right. {}.",
        first.as_found.speed_in_words(),
        first.all_put_right.speed_in_words(),
        told.join("; ")
    ));
    Ok(Some(f.finish()?))
}

/// The axis across the page, with its lines.
fn across(f: &mut Figure, axis: &Axis, x: &impl Fn(f64) -> f64, bottom: f64) {
    f.in_each(|f, system| {
        let (ticks, title) = axis.said("velocity change, m/s", 9, system);
        for (t, text) in ticks {
            f.line([(x(t), TOP), (x(t), bottom)], 1.0, GRID);
            let look = look(15.0, INK).middle();
            f.text((x(t), bottom + 18.0), &text, look);
        }
        let look = look(16.0, INK).bold().end();
        f.text((RIGHT, bottom + 42.0), &title, look);
    });
    f.line([(LEFT, bottom), (RIGHT, bottom)], 1.5, INK);
}

/// Lines down the page - as found, all put right, limit -, their names above at heights of their own.
fn upright(
    f: &mut Figure,
    x: &impl Fn(f64) -> f64,
    bottom: f64,
    (found, right, limit): (f64, Option<f64>, Option<f64>),
) {
    let text = format!("as found {found:.1} m/s");
    let mut upright = vec![(found, text, NAVY, &[][..], 3.0)];
    if let Some(v) = right {
        let text = format!("all put right {v:.1} m/s");
        upright.push((v, text, SLATE, &[3.0, 4.0][..], 2.5));
    }
    if let Some(v) = limit {
        upright.push((v, format!("limit {v:.2} m/s"), LIMIT, &[10.0, 6.0][..], 2.0));
    }
    upright.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut ends = [f64::NEG_INFINITY; 2];
    for (v, text, colour, dash, width) in &upright {
        f.dashed([(x(*v), TOP - 6.0), (x(*v), bottom)], *width, *colour, dash);
        let half = 0.5 * text_width(text, 15.0, true) + 6.0;
        let row = usize::from(ends[0] > x(*v) - half);
        ends[row] = x(*v) + half;
        let at = (x(*v), TOP - 18.0 - 22.0 * row as f64);
        f.text(at, text, look(15.0, *colour).bold().middle());
    }
}

/// One finding: its name, a ring for what it does alone, an arrow to what putting it right gives.
fn row(f: &mut Figure, x: &impl Fn(f64) -> f64, (found, y): (f64, f64), c: &ConditionFinding) {
    let speed = ConditionCase::reliable_velocity_change_mps;
    let name = cut(&format!("{}. {}", c.rank, upper_first(&c.title)), 46);
    f.text((LEFT - 16.0, y), &name, look(16.0, INK).end());
    if let Some(v) = speed(&c.alone) {
        f.disc((x(v), y - 9.0), 7.0, PAPER);
        f.ring((x(v), y - 9.0), 7.0, 2.5, PLUM);
    }
    if let Some(v) = speed(&c.if_put_right) {
        arrow(f, (x(found), y + 8.0), x(v));
        let text = format!("{v:.1} m/s");
        f.text((RIGHT + 14.0, y), &text, look(16.0, INK).bold());
    } else {
        f.text((RIGHT + 14.0, y), "unknown", look(16.0, SLATE));
    }
}

/// An arrow along the row; a short stroke where it leads nowhere.
fn arrow(f: &mut Figure, from: (f64, f64), to: f64) {
    let (x, y) = from;
    let way = to - x;
    if way.abs() < 8.0 {
        f.line([(to, y - 7.0), (to, y + 7.0)], 5.0, INK);
        return;
    }
    let head = 11.0_f64.min(way.abs()) * way.signum();
    f.line([(x, y), (to - head, y)], 3.5, INK);
    let corners = [(to, y), (to - head, y - 7.0), (to - head, y + 7.0)];
    f.fill(corners, INK, 1.0);
}
