//! What a posterior says, in plain sentences.

use giveway_study::plan::DrawnAxis;
use giveway_units::Dimension;

use super::observe::NumberDatum;
use super::posterior::{CasePrediction, NumberFit, ParameterFacts, Posterior, PriorEnd, TraceFit};
use crate::quantity::shown;

/// Dimension and unit for people.
type Measure = (Dimension, &'static str);

/// Part of the prior's standard deviation from which nothing was learned ...
const UNLEARNED: f64 = 0.9;
/// ... where the mean lies no further from that of the prior, in the same measure.
const UNMOVED: f64 = 0.3;
/// Share of a trace's instants within nine of ten below which model and data do not agree.
const AGREES: f64 = 0.5;
/// A time zero that comes out so many of its stated deviations off is none.
const FAR: f64 = 3.0;

/// All of it, a sentence each.
pub(super) fn words(
    axes: &[DrawnAxis],
    data: &[NumberDatum],
    model_error_stated: bool,
    p: &Posterior,
) -> Vec<String> {
    let parameters = p.parameters.iter().zip(axes);
    let mut words: Vec<String> = parameters
        .flat_map(|(facts, axis)| of_parameter(facts, axis.measure, p.draws))
        .collect();
    words.extend(p.ties.iter().map(|t| t.words.clone()));
    words.push(of_combinations(p.determined));
    let numbers = p.numbers.iter().zip(data);
    let apart = numbers.filter(|(n, _)| !n.in_nine_tenths);
    words.extend(apart.map(|(n, datum)| {
        let told = of_number(n, datum.quantity.measure);
        format!("{told}: model and data do not agree there.")
    }));
    words.extend(p.traces.iter().flat_map(of_trace));
    words.extend(of_left_out(data, &p.left_out));
    words.extend(p.asked.iter().map(|a| a.words.clone()));
    if !model_error_stated {
        words.push("No model error is stated ([error]): if the model is off, these intervals are too narrow.".to_owned());
    }
    words
}

fn of_parameter(facts: &ParameterFacts, measure: Measure, draws: usize) -> Vec<String> {
    let [low, .., high] = facts.posterior;
    let range = format!(
        "`{}`: {}, nine of ten within {} to {}",
        facts.title,
        shown(facts.posterior[2], measure),
        shown(low, measure),
        shown(high, measure)
    );
    let unlearned = facts.deviation_left > UNLEARNED && facts.moved.abs() < UNMOVED;
    let mut words = vec![if unlearned {
        format!(
            "{range}. The data says nothing of it that {draws} draws would show: this is the prior."
        )
    } else {
        let left = giveway_units::shown(100.0 * facts.width_left, 2);
        let error = (100.0 * facts.width_error).ceil();
        format!("{range}; {left} % (give or take {error}) of the prior's interval is left.")
    }];
    if let Some(end) = facts.against {
        let (end, bound) = match end {
            PriorEnd::Lower => (
                "lower end of its prior (of which one in twenty lies below",
                facts.prior[0],
            ),
            PriorEnd::Upper => (
                "upper end of its prior (of which one in twenty lies above",
                facts.prior[4],
            ),
        };
        words.push(format!(
            "`{}` stands against the {end} {}): the prior leaves the truth out, or record, scenario or model is off.",
            facts.title,
            shown(bound, measure)
        ));
    }
    words
}

fn of_combinations([known, of]: [usize; 2]) -> String {
    let combinations = if known == 1 {
        "combination"
    } else {
        "combinations"
    };
    match known {
        k if k == of => format!(
            "The data determines all {of} parameters (each direction to half of the prior's width or less)."
        ),
        0 => format!(
            "The data determines no combination of the {of} parameters to half of the prior's width."
        ),
        _ => format!(
            "The data determines {known} {combinations} of the {of} parameters; along the other {} it leaves more than half of the prior's width.",
            of - known
        ),
    }
}

/// A number and what was predicted of it.
fn of_number(n: &NumberFit, measure: Measure) -> String {
    format!(
        "{}: measured {}, predicted {} to {} (nine of ten)",
        n.what,
        shown(n.measured, measure),
        shown(n.predicted[0], measure),
        shown(n.predicted[4], measure)
    )
}

fn of_trace(t: &TraceFit) -> Vec<String> {
    let share = giveway_units::shown(100.0 * t.share_in_nine_tenths, 2);
    let told = format!(
        "{}: {share} % of the instants lie within the band of nine of ten",
        t.what
    );
    let apart = t.share_in_nine_tenths < AGREES;
    let mut words = vec![ended(told, apart, ": model and data do not agree")];
    let time = |seconds: f64| shown(seconds, (Dimension::Time, "ms"));
    if let Some([low, _, middle, _, high]) = t.shift_s {
        let (word, [middle, low, high]) = if middle < 0.0 {
            ("earlier", [-middle, -high, -low])
        } else {
            ("later", [middle, low, high])
        };
        let told = format!(
            "{}: comes {} {word} than its clock says, nine of ten within {} to {}",
            t.what,
            time(middle),
            time(low),
            time(high)
        );
        let stated = format!(
            ", where its time zero is stated to {}: model and data do not agree",
            time(t.time_zero_s)
        );
        words.push(ended(told, middle > FAR * t.time_zero_s, &stated));
    }
    words
}

/// The sentence, with its end where things are apart.
fn ended(told: String, apart: bool, end: &str) -> String {
    format!("{told}{}.", if apart { end } else { "" })
}

fn of_left_out(data: &[NumberDatum], cases: &[CasePrediction]) -> Vec<String> {
    let numbers: Vec<&NumberFit> = cases.iter().flat_map(|c| &c.numbers).collect();
    let mut words = Vec::new();
    if !numbers.is_empty() {
        let all = numbers.len();
        let half = numbers.iter().filter(|n| n.in_half).count();
        let nine = numbers.iter().filter(|n| n.in_nine_tenths).count();
        words.push(format!("Each predicted from the others alone: {half} of {all} numbers lie in the middle half, {nine} of {all} in nine of ten."));
    }
    let outside = numbers.into_iter().filter(|n| !n.in_nine_tenths);
    words.extend(outside.map(|n| {
        let datum = data.iter().find(|datum| datum.what == n.what);
        let measure = datum.map_or((Dimension::Ratio, ""), |datum| datum.quantity.measure);
        format!(
            "From the others alone, {}: they do not agree.",
            of_number(n, measure)
        )
    }));
    for t in cases.iter().flat_map(|c| &c.traces) {
        let share = giveway_units::shown(100.0 * t.share_in_nine_tenths, 2);
        let told = format!(
            "{} predicted from the others alone: {share} % of the instants within nine of ten",
            t.what
        );
        let apart = t.share_in_nine_tenths < AGREES;
        words.push(ended(told, apart, ": they do not agree"));
    }
    words
}
