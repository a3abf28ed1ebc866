//! Tables inside pages that people write: what the code holds stands there as the code has it.

use std::fmt::Write as _;
use std::path::Path;

use giveway_occupant::Mark;
use giveway_occupant::limits::LIMITS;
use giveway_study::plan::standard::{Acts, STANDARD, Shape, Standard};
use giveway_units::{shown, shown_in};

/// Path and text of the pages, each with its table renewed.
pub fn pages(root: &Path) -> Result<Vec<(String, String)>, String> {
    let tables = [
        ("docs/studies.md", STANDARDS_HEAD, standards()),
        ("docs/theory.md", LIMITS_HEAD, limits()),
    ];
    let renewed = tables.into_iter().map(|(path, head, rows)| {
        let page = std::fs::read_to_string(root.join(path)).map_err(|e| format!("{path}: {e}"))?;
        let text = renewed(&page, head, &rows).ok_or(format!("{path}: no table `{head}`"))?;
        Ok((path.to_owned(), text))
    });
    renewed.collect()
}

/// The page with other rows in the table below this head: all up to the next empty line.
fn renewed(page: &str, head: &str, rows: &str) -> Option<String> {
    let start = page.find(&format!("\n{head}\n"))? + head.len() + 2;
    let rule = start + page[start..].find('\n')? + 1;
    let end = rule + page[rule - 1..].find("\n\n")?;
    Some(format!("{}{rows}{}", &page[..rule], &page[end..]))
}

const STANDARDS_HEAD: &str = "| name | moves | as | shape | where it comes from |";

fn standards() -> String {
    let mut rows = String::new();
    for row in STANDARD {
        let paths: Vec<String> = row.paths.iter().map(|path| format!("`{path}`")).collect();
        let acts = match row.acts {
            Acts::AsValue => "the value",
            Acts::AsFactor => "a factor",
            Acts::AsShift => "a shift",
        };
        let _ = writeln!(
            rows,
            "| `{}` | {} | {acts} | {} | {} |",
            row.name,
            paths.join(", "),
            shape(row),
            row.source
        );
    }
    rows
}

fn shape(row: &Standard) -> String {
    let (dimension, unit) = row.measure;
    let n = |value: f64| shown_in(value, dimension, unit, 4).trim_end().to_owned();
    match row.shape {
        Shape::Uniform(low, high) => format!("uniform, {} to {}", n(low), n(high)),
        Shape::Normal(mean, deviation, low, high) => format!(
            "normal, mean {}, deviation {}, cut at {} and {}",
            n(mean),
            n(deviation),
            n(low),
            n(high)
        ),
        Shape::Lognormal(median, spread, low, high) => format!(
            "lognormal, median {}, spread {}, cut at {} and {}",
            n(median),
            shown(spread, 4),
            n(low),
            n(high)
        ),
        Shape::Triangular(low, mode, high) => {
            format!("triangular, {}, mode {}, {}", n(low), n(mode), n(high))
        }
    }
}

const LIMITS_HEAD: &str = "| document, and the limit as printed | quantity | unit | preferred | maximum | mark of the maximum |";

fn limits() -> String {
    let mut rows = String::new();
    for limit in LIMITS {
        let preferred = limit
            .preferred
            .map_or("-".to_owned(), |(value, _)| shown(value, 4));
        let (max, mark) = limit.max;
        let mark = match mark {
            Mark::Seen => "seen",
            Mark::Recalled => "recalled",
            Mark::Derived => "derived",
            Mark::Scenario => "scenario",
        };
        let _ = writeln!(
            rows,
            "| {} | {} | {} | {preferred} | {} | {mark} |",
            limit.source,
            limit.title.to_lowercase(),
            limit.unit,
            shown(max, 4)
        );
    }
    rows
}
