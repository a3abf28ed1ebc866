//! Questions about the posterior: how far a quantity may go before a result passes a limit.

use giveway_impact::RecordRequest;
use giveway_study::Supports;
use giveway_study::plan::Plan;
use giveway_units::{Dimension, parse, shortest_number};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use toml::Spanned;

use crate::fault::Described;
use crate::quantity::{Quantity, quantity_named, shown};

type Text = Spanned<String>;

/// Values that are tried along the range.
const TRIED: usize = 9;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawAsk {
    name: Option<String>,
    parameter: Option<Text>,
    limit: Option<Text>,
    from: Option<Text>,
    to: Option<Text>,
    column: Option<Text>,
    most: Option<Text>,
    scenario: Option<Text>,
}

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question {
    /// In words.
    pub name: String,
    pub(crate) kind: Kind,
    /// Dimension and unit for people.
    pub measure: (Dimension, &'static str),
}

#[derive(Debug, Clone)]
pub(crate) enum Kind {
    /// A parameter by its place.
    Parameter(usize),
    /// The largest value of a path at which a quantity keeps below a limit.
    Limit {
        base: usize,
        path: String,
        /// Range in the unit of `measure`.
        range: [f64; 2],
        quantity: &'static Quantity,
        most: f64,
    },
}

/// An answer with its uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Asked {
    /// The question.
    pub name: String,
    /// Quantiles 5, 25, 50, 75, 95 %, SI.
    pub quantiles: [f64; 5],
    /// The same for people.
    pub words: String,
    /// Share of the draws for which the limit lies beyond the range that was tried.
    pub beyond: f64,
}

pub(crate) fn questions(
    raw: &[Spanned<RawAsk>],
    plan: &Plan,
    d: &mut Described<'_>,
) -> Vec<Question> {
    raw.iter()
        .filter_map(|one| question(one, plan, d))
        .collect()
}

/// The question after a parameter itself.
fn of_a_parameter(
    raw: &RawAsk,
    parameter: &Spanned<String>,
    plan: &Plan,
    d: &mut Described<'_>,
) -> Option<Question> {
    let axes = plan.drawn_axes();
    let name = parameter.get_ref();
    let place = axes.iter().position(|a| {
        a.column == *name || a.title == *name || a.column.starts_with(&name.replace('-', "_"))
    });
    let Some(place) = place else {
        let names: Vec<&str> = axes.iter().map(|a| a.column.as_str()).collect();
        d.fault_at(
            parameter.span().start,
            name,
            format!("this is not drawn: {}", names.join(", ")),
        );
        return None;
    };
    Some(Question {
        name: raw
            .name
            .clone()
            .unwrap_or_else(|| axes[place].title.clone()),
        kind: Kind::Parameter(place),
        measure: axes[place].measure,
    })
}

/// The number of the base scenario; the first where none is named.
fn base_named(name: Option<&Spanned<String>>, plan: &Plan, d: &mut Described<'_>) -> Option<usize> {
    let Some(name) = name else { return Some(0) };
    let base = plan.bases().position(|b| b == name.get_ref());
    if base.is_none() {
        d.fault_at(
            name.span().start,
            "scenario",
            "there is no such base scenario",
        );
    }
    base
}

fn question(one: &Spanned<RawAsk>, plan: &Plan, d: &mut Described<'_>) -> Option<Question> {
    let raw = one.get_ref();
    let at = one.span().start;
    if let Some(parameter) = &raw.parameter {
        return of_a_parameter(raw, parameter, plan, d);
    }
    let (Some(limit), Some(from), Some(to), Some(column), Some(most)) =
        (&raw.limit, &raw.from, &raw.to, &raw.column, &raw.most)
    else {
        let keys = [
            ("limit", &raw.limit),
            ("from", &raw.from),
            ("to", &raw.to),
            ("column", &raw.column),
            ("most", &raw.most),
        ];
        let missing = keys.iter().filter(|(_, value)| value.is_none());
        let missing: Vec<&str> = missing.map(|(key, _)| *key).collect();
        let problem = format!(
            "a question names a `parameter`, or a `limit` (a path) with `from`, `to`, `column` and `most`; missing here: {}",
            missing.join(", ")
        );
        d.fault_at(at, "ask", problem);
        return None;
    };
    let path = limit.get_ref();
    let dimension = match giveway_scenario::grammar::row_at(path).map(|row| row.kind) {
        Some(giveway_scenario::grammar::Kind::Quantity(dimension, _)) => dimension,
        Some(giveway_scenario::grammar::Kind::Number) => Dimension::Ratio,
        _ => {
            d.fault_at(
                limit.span().start,
                path,
                "this path is no quantity of a scenario",
            );
            return None;
        }
    };
    let ends = [from, to].map(|end| {
        d.quantity(path, end, dimension)?;
        parse(end.get_ref(), dimension).ok()
    });
    let [Some(low), Some(high)] = ends else {
        return None;
    };
    let unit = low.unit.name;
    let high = giveway_units::in_unit(high.si, dimension, unit);
    if low.number >= high {
        d.fault_at(from.span().start, path, "the range does not run upward");
        return None;
    }
    let quantity = quantity_named(column, d)?;
    let most = d.quantity(column.get_ref(), most, quantity.measure.0)?;
    let base = base_named(raw.scenario.as_ref(), plan, d)?;
    let name = raw.name.clone().unwrap_or_else(|| {
        format!(
            "largest {path} with {} up to {}",
            quantity.name,
            quantity.shown(most)
        )
    });
    Some(Question {
        name,
        kind: Kind::Limit {
            base,
            path: path.clone(),
            range: [low.number, high],
            quantity,
            most,
        },
        measure: (dimension, unit),
    })
}

impl Question {
    /// The answer in words: quantiles 5, 25, 50, 75, 95 %, and the share of the draws beyond the range that was tried.
    pub(crate) fn told(&self, q: [f64; 5], beyond: f64) -> String {
        let ends = match &self.kind {
            Kind::Limit { range, .. } => Some(range.map(|x| self.si(x))),
            Kind::Parameter(_) => None,
        };
        let one = |x: f64| {
            let side = match ends {
                Some([_, high]) if beyond > 0.0 && x >= high => "above ",
                Some([low, _]) if beyond > 0.0 && x <= low => "below ",
                _ => "",
            };
            format!("{side}{}", shown(x, self.measure))
        };
        let all = one(q[2]);
        let range = if q[0] == q[4] && beyond > 0.0 {
            format!("{}: {all}", self.name)
        } else {
            format!(
                "{}: {all}, nine of ten within {} to {}",
                self.name,
                one(q[0]),
                one(q[4])
            )
        };
        if beyond == 0.0 {
            return format!("{range}.");
        }
        let share = giveway_units::shown(100.0 * beyond, 2);
        format!("{range}. In {share} % of the draws it lies beyond the range that was tried.")
    }

    fn si(&self, x: f64) -> f64 {
        match giveway_units::unit_named(self.measure.1, self.measure.0) {
            Some(unit) => unit.to_si(x),
            None => x,
        }
    }

    /// The answer for these numbers of what is drawn, SI, and whether it lies beyond the range; none where a run fails.
    pub(crate) fn answer(
        &self,
        plan: &Plan,
        supports: &Supports,
        numbers: &[f64],
    ) -> Option<(f64, bool)> {
        let Kind::Limit {
            base,
            path,
            range,
            quantity,
            most,
        } = &self.kind
        else {
            let Kind::Parameter(place) = self.kind else {
                return None;
            };
            return Some((numbers[place], false));
        };
        let mut before: Option<(f64, f64)> = None;
        for i in 0..TRIED {
            let x = range[0] + (range[1] - range[0]) * i as f64 / (TRIED - 1) as f64;
            let value = format!("{} {}", shortest_number(x), self.measure.1);
            let changes = [(path.clone(), value.trim().to_owned())];
            let mut scenario = plan.scenario_with(*base, 0, numbers, &changes).ok()?;
            scenario.flight.pole = false;
            let prepared = supports.prepare(&scenario).ok()?;
            let engagement = prepared.engage(RecordRequest::NUMBERS).ok()?;
            let found = (quantity.of)(&scenario, &engagement)?;
            if found > *most {
                return Some(match before {
                    None => (self.si(x), true),
                    Some((last, value)) => (
                        self.si(
                            last + (x - last) * ((most - value) / (found - value)).clamp(0.0, 1.0)
                        ),
                        false,
                    ),
                });
            }
            before = Some((x, found));
        }
        Some((self.si(range[1]), true))
    }
}
