//! What of a study is worth looking at, by default and by request.

use giveway_results::Study;
use giveway_units::{Dimension, nearest};

use super::layout::Role;
use super::limit::ColumnLimit;
use super::source::{AxisData, RowLimits, Source};
use super::{ANALYSIS_FORMAT, Analysis, AnalysisError};
use crate::plan::suffix;

/// Outputs that are looked at by default, where the table has them.
const VALUES: [&str; 7] = [
    "velocity_change_mps",
    "oiv_longitudinal_mps",
    "ridedown_longitudinal_g",
    "motion_margin_fraction",
    "peak_force_n",
    "release_time_s",
    "peak_crush_m",
];
/// Most combinations of base scenarios and conditions that each have figures of their own.
const MOST_COMBINATIONS: usize = 6;
/// Most drawn quantities against which curves are drawn where there is no grid.
const MOST_DRAWN: usize = 4;

/// What is asked for; all of it may be left open.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// Quantity along.
    pub x: Option<String>,
    /// Quantity up.
    pub y: Option<String>,
    /// Columns of outputs; empty: the usual ones.
    pub values: Vec<String>,
    /// Quantities kept at a value: column or path, and the value as it stands in the table.
    pub fixed: Vec<(String, String)>,
    /// Quantile of the runs at a place that a surface shows.
    pub quantile: f64,
    /// Limit of the outputs asked for, instead of that of the governing document.
    pub limit: Option<f64>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            x: None,
            y: None,
            values: Vec::new(),
            fixed: Vec::new(),
            quantile: 0.5,
            limit: None,
        }
    }
}

/// Axes by their part in the figures.
struct Chosen {
    x: Option<usize>,
    y: Option<usize>,
    /// What is kept: places of grid axes that are on no axis of the figure.
    kept: Vec<(usize, u32)>,
    /// Every combination of bases and conditions, each a list of places.
    combinations: Vec<Vec<(usize, u32)>>,
}

/// Looks at a study.
///
/// # Errors
/// A study without a value, an unknown column or value, an axis of one point.
pub fn analyse(study: &Study, request: &Request) -> Result<Analysis, AnalysisError> {
    let source = Source::new(study)?;
    let file = &study.file;
    let mut out = Analysis {
        format: ANALYSIS_FORMAT,
        title: file.card.title.clone(),
        plan_hash: file.card.plan_hash.clone(),
        model_version: file.card.model_version,
        runs: file.rows,
        failed: file.failed,
        missing: file.gaps.iter().map(|g| g.end - g.first).sum(),
        surfaces: Vec::new(),
        curves: Vec::new(),
        exceedances: Vec::new(),
        screenings: Vec::new(),
        indices: Vec::new(),
        notes: Vec::new(),
    };
    let chosen = source.chosen(request, &mut out.notes)?;
    if source.documents.len() > 1 {
        out.notes.push(format!(
            "The runs are judged by {}; each counts by its own limit, and a limit is drawn where all runs of a figure share it.",
            source.documents.join(", ")
        ));
    }
    let asked = !request.values.is_empty();
    let columns: Vec<String> = if asked {
        request.values.clone()
    } else {
        let usual = VALUES.iter().map(|v| (*v).to_owned());
        usual.filter(|v| source.layout.values.contains(v)).collect()
    };
    let mut first_problem = None;
    let mut any_value = false;
    for column in &columns {
        let values = match source.output(column) {
            Ok(values) => values,
            Err(problem) if asked => return Err(problem),
            Err(problem) => {
                out.notes.push(format!("{problem}."));
                first_problem.get_or_insert(problem);
                continue;
            }
        };
        any_value = true;
        let given = request.limit.filter(|_| asked).map(ColumnLimit::given);
        source.look(&chosen, (column, &values), given, request, &mut out)?;
    }
    if !out.is_empty() {
        return Ok(out);
    }
    match first_problem {
        Some(problem) if !any_value => Err(problem),
        _ if !(0..source.axes.len()).any(|axis| source.carries(axis)) => {
            Err(AnalysisError::NothingSwept)
        }
        _ => Err(AnalysisError::Nothing { notes: out.notes }),
    }
}

impl Analysis {
    /// Whether nothing was found to look at.
    pub fn is_empty(&self) -> bool {
        self.surfaces.is_empty()
            && self.curves.is_empty()
            && self.exceedances.is_empty()
            && self.screenings.is_empty()
            && self.indices.is_empty()
    }
}

/// A value with its unit for a column, SI.
fn quantity(column: &str, text: &str) -> Option<f64> {
    let mut found = Dimension::ALL.iter().filter_map(|&dimension| {
        let end = suffix(dimension);
        let suits = !end.is_empty() && column.ends_with(end);
        let value = giveway_units::parse(text, dimension).ok();
        value.filter(|_| suits).map(|q| q.si)
    });
    found.next()
}

impl Source<'_> {
    /// Whether an axis can carry a figure: two places or more, or drawn numbers.
    fn carries(&self, axis: usize) -> bool {
        match &self.axes[axis] {
            AxisData::Drawn(_) => true,
            levels => levels.levels() > 1,
        }
    }

    /// How well an axis suits the horizontal: a torque best, then one of many values.
    fn rank(&self, axis: usize) -> (bool, usize) {
        let column = &self.layout.axes[axis].column;
        let clamp = column.contains("torque") || column.contains("preload");
        (clamp, self.axes[axis].levels())
    }

    fn chosen(&self, request: &Request, notes: &mut Vec<String>) -> Result<Chosen, AnalysisError> {
        let named = |name: &Option<String>| name.as_deref().map(|n| self.axis_named(n)).transpose();
        let (mut x, mut y) = (named(&request.x)?, named(&request.y)?);
        for axis in [x, y].into_iter().flatten() {
            if !self.carries(axis) {
                let column = self.layout.axes[axis].column.clone();
                return Err(AnalysisError::OnePoint { column });
            }
        }
        let mut kept = Vec::new();
        for (name, value) in &request.fixed {
            let axis = self.axis_named(name)?;
            kept.push((axis, self.place_of(axis, value)?));
        }
        let of_role = |role: Role| {
            let infos = self.layout.axes.iter().enumerate();
            infos.filter(move |(_, a)| a.role == role).map(|(i, _)| i)
        };
        let free = |i: usize| self.carries(i) && !kept.iter().any(|k| k.0 == i);
        let mut grid: Vec<usize> = of_role(Role::Grid).filter(|i| free(*i)).collect();
        // Numbers before words; the sort keeps the plan's order among equals.
        grid.sort_by_key(|i| {
            let words = matches!(self.axes[*i], AxisData::Words(..));
            (words, std::cmp::Reverse(self.rank(*i)))
        });
        // Levels of conditions and base scenarios share a picture where the grid leaves an axis free.
        let shared = of_role(Role::Condition).chain(of_role(Role::Base));
        grid.extend(shared.filter(|i| free(*i)));
        let left: Vec<usize> = (grid.into_iter())
            .filter(|i| Some(*i) != x && Some(*i) != y)
            .collect();
        let mut rest = left.into_iter();
        if x.is_none() {
            x = rest.next();
        }
        if y.is_none() {
            y = rest.next();
        }
        for axis in rest.filter(|i| self.layout.axes[*i].role == Role::Grid) {
            // The middle of its values.
            kept.push((axis, (self.axes[axis].levels() as u32 - 1) / 2));
        }
        let mut combinations: Vec<Vec<(usize, u32)>> = vec![Vec::new()];
        for axis in of_role(Role::Base).chain(of_role(Role::Condition)) {
            if Some(axis) == x || Some(axis) == y || kept.iter().any(|k| k.0 == axis) {
                continue;
            }
            let levels = self.axes[axis].levels() as u32;
            combinations = (combinations.iter())
                .flat_map(|c| {
                    (0..levels).map(|place| {
                        let mut c = c.clone();
                        c.push((axis, place));
                        c
                    })
                })
                .collect();
        }
        if combinations.len() > MOST_COMBINATIONS {
            notes.push(format!(
                "Figures show {MOST_COMBINATIONS} of {} combinations of base scenario and condition; ask for another one by \
                 name.",
                combinations.len()
            ));
            combinations.truncate(MOST_COMBINATIONS);
        }
        Ok(Chosen {
            x,
            y,
            kept,
            combinations,
        })
    }

    fn place_of(&self, axis: usize, value: &str) -> Result<u32, AnalysisError> {
        let column = &self.layout.axes[axis].column;
        let (known, found): (Vec<String>, Option<usize>) = match &self.axes[axis] {
            AxisData::Words(words, _) => {
                let found = words.iter().position(|w| w == value);
                let near = || {
                    let meant = nearest(value, words.iter().map(String::as_str));
                    words.iter().position(|w| Some(w.as_str()) == meant)
                };
                (words.clone(), found.or_else(near))
            }
            AxisData::Numbers(levels, _) => {
                let number = value.parse().ok().or_else(|| quantity(column, value));
                // As it is printed: to a part in a thousand.
                let same =
                    |l: &f64| number.is_some_and(|n| (n - l).abs() <= 1e-3 * l.abs().max(1e-9));
                let found = levels.iter().position(same);
                (levels.iter().map(|l| format!("{l}")).collect(), found)
            }
            AxisData::Drawn(_) => (vec!["drawn values, which cannot be kept".to_owned()], None),
        };
        found
            .map(|f| f as u32)
            .ok_or_else(|| AnalysisError::NoSuchPlace {
                column: column.clone(),
                value: value.to_owned(),
                known,
            })
    }

    /// Everything about one output.
    fn look(
        &self,
        chosen: &Chosen,
        output: (&str, &[f64]),
        given: Option<ColumnLimit>,
        request: &Request,
        out: &mut Analysis,
    ) -> Result<(), AnalysisError> {
        let method = self.layout.sampling.as_ref().map(|s| s.method.as_str());
        let designed = matches!(method, Some("trajectories" | "crossed"));
        let asked = request.x.is_some() || request.y.is_some();
        for combination in &chosen.combinations {
            let with = |more: Option<(usize, u32)>| -> Vec<(usize, u32)> {
                (combination.iter().copied())
                    .chain(chosen.kept.iter().copied())
                    .chain(more)
                    .collect()
            };
            let middle = |axis: usize| (axis, (self.axes[axis].levels().max(1) as u32 - 1) / 2);
            let fixed = with(None);
            let limits = match &given {
                Some(limit) => RowLimits::same(Some(limit.clone())),
                None => self.limits_of(output.0, &self.rows_at(&fixed)),
            };
            let limit = limits.line.clone();
            if let (Some(x), Some(y)) = (chosen.x, chosen.y) {
                let axes = [x, y];
                let surface =
                    self.surface(output, axes, &fixed, request.quantile, limit.clone())?;
                if surface.cells.iter().flatten().any(|c| c.value.is_some()) {
                    out.surfaces.push(surface);
                }
            }
            if let Some(x) = chosen.x {
                let family = chosen.y.filter(|y| self.axes[*y].levels() > 1);
                let curves = self.curves(output, x, family, &fixed, limit.clone())?;
                let sampled = curves.most_runs > 1;
                let levels = family.map_or(0, |y| self.axes[y].levels());
                if levels > curves.curves.len() {
                    let note = format!(
                        "Curves against `{}` show {} of {levels} values of `{}`; surfaces show all of them.",
                        curves.x.column,
                        curves.curves.len(),
                        family.map_or("", |y| self.layout.axes[y].column.as_str())
                    );
                    if !out.notes.contains(&note) {
                        out.notes.push(note);
                    }
                }
                out.curves.push(curves);
                if limits.shown.is_some() && sampled && !designed {
                    let fixed = with(family.map(middle));
                    if let Ok(e) = self.exceedance(output, x, &fixed, &limits) {
                        out.exceedances.push(e);
                    }
                }
            } else if !designed && !asked {
                let drawn = (0..self.axes.len())
                    .filter(|i| self.layout.axes[*i].role == Role::Drawn)
                    .take(MOST_DRAWN);
                for (n, axis) in drawn.enumerate() {
                    let curves = match self.curves(output, axis, None, &fixed, limit.clone()) {
                        Ok(curves) => curves,
                        Err(AnalysisError::OnePoint { .. }) => continue,
                        Err(problem) => return Err(problem),
                    };
                    out.curves.push(curves);
                    if n == 0
                        && limits.shown.is_some()
                        && let Ok(e) = self.exceedance(output, axis, &fixed, &limits)
                    {
                        out.exceedances.push(e);
                    }
                }
            }
            if designed {
                let mut fixed = with(chosen.x.filter(|x| self.axes[*x].levels() > 0).map(middle));
                fixed.extend(chosen.y.filter(|y| self.axes[*y].levels() > 0).map(middle));
                self.sensitivity(method, output, &fixed, out);
            }
        }
        Ok(())
    }

    /// Sensitivities; what cannot be estimated is noted.
    fn sensitivity(
        &self,
        method: Option<&str>,
        output: (&str, &[f64]),
        fixed: &[(usize, u32)],
        out: &mut Analysis,
    ) {
        let problem = if method == Some("crossed") {
            self.indices(output, fixed)
                .map(|i| out.indices.push(i))
                .err()
        } else {
            let seed = self.layout.sampling.as_ref().and_then(|s| s.seed);
            match seed {
                Some(seed) => (self.screening(output, fixed, seed))
                    .map(|s| out.screenings.push(s))
                    .err(),
                None => {
                    let note = "The table does not tell the seed of the trajectories; there is no screening.";
                    out.notes.push(note.to_owned());
                    None
                }
            }
        };
        out.notes.extend(problem.map(|p| format!("{p}.")));
    }
}
