//! The table of validation cases, from the data files that the tests read.
//!
//! Reads every `crates/*/tests/data/*.toml`: arrays `[[case]]` with `id`, `source`, `mark`, `quantity`,
//! `expected`, `tolerance`, `why_this_tolerance`. What came out may stand in any file of
//! these folders, arrays `[[computed]]` with `id`, `value` and `outcome`. A case with a `band` (two numbers) is a published
//! one: its outcome, inside or OUTSIDE, is decided here, and `must_pass` tells whether a test asserts it.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use toml::{Table, Value};

/// `docs/validation.md`.
pub fn page(root: &Path) -> Result<String, String> {
    let mut computed = BTreeMap::new();
    let mut chapters = Vec::new();
    for file in data_files(root)? {
        let text =
            std::fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        let table: Table = text
            .parse()
            .map_err(|e| format!("{}: {e}", file.display()))?;
        let shown = file
            .strip_prefix(root)
            .unwrap_or(&file)
            .display()
            .to_string();
        for entry in array(&table, "computed") {
            let id = field(entry, "id");
            let number = entry.get("value").and_then(Value::as_float);
            let shown = (field(entry, "value"), field(entry, "outcome"));
            computed.insert(id, (shown, number));
        }
        if table.contains_key("case") {
            chapters.push((shown, table));
        }
    }

    let mut page = String::from(HEAD);
    let mut count = 0;
    for (file, table) in &chapters {
        let cases = array(table, "case");
        count += cases.len();
        let _ = writeln!(page, "\n## `{file}`\n");
        if let Some(about) = table.get("about").and_then(Value::as_str) {
            let _ = writeln!(page, "{}\n", about.trim());
        }
        if cases.iter().any(|c| c.contains_key("band")) {
            page.push_str(&published(&cases, &computed));
            continue;
        }
        let with_results = cases.iter().any(|c| computed.contains_key(&field(c, "id")));
        page.push_str("| id | quantity | expected | tolerance | why this tolerance |");
        page.push_str(if with_results {
            " computed | outcome |"
        } else {
            ""
        });
        page.push_str(" source | mark |\n|---|---|---|---|---|");
        page.push_str(if with_results { "---|---|" } else { "" });
        page.push_str("---|---|\n");
        for case in cases {
            let id = field(case, "id");
            let _ = write!(page, "| {id} |");
            for name in ["quantity", "expected", "tolerance", "why_this_tolerance"] {
                let _ = write!(page, " {} |", field(case, name));
            }
            if with_results {
                let ((value, outcome), _) = computed.get(&id).cloned().unwrap_or_default();
                let _ = write!(page, " {value} | {outcome} |");
            }
            let _ = writeln!(
                page,
                " {} | {} |",
                field(case, "source"),
                field(case, "mark")
            );
        }
    }
    let _ = writeln!(page, "\n{count} cases in {} files.\n", chapters.len());
    page.push_str(&crate::shared::section(root)?);
    Ok(page)
}

/// What reports say of it: `crates/report/assets/validation.json`.
pub fn data(root: &Path) -> Result<String, String> {
    let mut computed = BTreeMap::new();
    let (mut published, mut asserted) = (Vec::new(), Vec::new());
    for file in data_files(root)? {
        let text =
            std::fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        let table: Table = text
            .parse()
            .map_err(|e| format!("{}: {e}", file.display()))?;
        for entry in array(&table, "computed") {
            let number = entry.get("value").and_then(Value::as_float);
            computed.insert(field(entry, "id"), number);
        }
        let cases = array(&table, "case");
        if cases.iter().any(|c| c.contains_key("band")) {
            published.extend(cases.into_iter().cloned());
        } else if !cases.is_empty() {
            asserted.push(serde_json::json!({ "subject": subject(&file), "cases": cases.len() }));
        }
    }
    let published: Vec<serde_json::Value> = published
        .iter()
        .map(|case| {
            let number = computed.get(&field(case, "id")).copied().flatten();
            let band = band_of(case);
            // Cells of a table on a page mark their bars.
            let plain = |name: &str| field(case, name).replace("\\|", "|");
            // A band that is open above has no number there.
            let ends: Vec<Option<f64>> = band
                .iter()
                .map(|x| Some(*x).filter(|x| x.is_finite()))
                .collect();
            serde_json::json!({
                "id": field(case, "id"),
                "quantity": plain("quantity"),
                "expected": plain("expected"),
                "computed": number,
                "band": ends,
                "inside": is_inside(number, &band),
                "source": plain("source"),
            })
        })
        .collect();
    let all = serde_json::json!({
        "model_version": giveway_mechanics::MODEL_VERSION,
        "published": published,
        "asserted": asserted,
    });
    let mut text = serde_json::to_string_pretty(&all).map_err(|e| e.to_string())?;
    text.push('\n');
    Ok(text)
}

/// "mechanics: wind" of `crates/mechanics/tests/data/wind.toml`.
fn subject(file: &Path) -> String {
    let stem = file
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().replace('_', " "));
    let krate = file.ancestors().nth(3).and_then(Path::file_name);
    match krate {
        Some(name) if name.to_string_lossy() != stem => {
            format!("{}: {stem}", name.to_string_lossy())
        }
        _ => stem,
    }
}

fn band_of(case: &Table) -> Vec<f64> {
    case.get("band")
        .and_then(Value::as_array)
        .map(|a| a.iter().filter_map(Value::as_float).collect())
        .unwrap_or_default()
}

fn is_inside(number: Option<f64>, band: &[f64]) -> bool {
    match (number, band) {
        (Some(x), [low, high]) => (low..=high).contains(&&x),
        _ => false,
    }
}

/// What a run gave for one id: as text with its outcome, and as a number.
type Results = BTreeMap<String, ((String, String), Option<f64>)>;

/// The table of published tests.
fn published(cases: &[&Table], computed: &Results) -> String {
    let mut text = String::from(
        "| id | quantity | published | computed | band | outcome | asserted by the test | why this band | source | mark |\n\
         |---|---|---|---|---|---|---|---|---|---|\n",
    );
    let mut inside_count = 0;
    for case in cases {
        let id = field(case, "id");
        let number = computed.get(&id).and_then(|(_, number)| *number);
        let band = band_of(case);
        let inside = is_inside(number, &band);
        inside_count += usize::from(inside);
        let tolerance = match field(case, "tolerance") {
            t if t == "none" => String::new(),
            t => format!(" +/- {t}"),
        };
        let _ = writeln!(
            text,
            "| {id} | {} | {}{tolerance} | {} | {} | {} | {} | {} | {} | {} |",
            field(case, "quantity"),
            field(case, "expected"),
            number.map_or("none".to_owned(), significant),
            match band.as_slice() {
                [low, high] if high.is_infinite() => format!("from {low}"),
                [low, high] => format!("{low} to {high}"),
                _ => String::new(),
            },
            if inside { "inside" } else { "**OUTSIDE**" },
            field(case, "must_pass"),
            field(case, "why_this_tolerance"),
            field(case, "source"),
            field(case, "mark"),
        );
    }
    let _ = writeln!(
        text,
        "\n{inside_count} of {} inside, {} OUTSIDE.",
        cases.len(),
        cases.len() - inside_count
    );
    text
}

/// Four significant digits, without an exponent.
pub(crate) fn significant(x: f64) -> String {
    match format!("{x:.3e}").parse::<f64>() {
        Ok(rounded) => rounded.to_string(),
        Err(_) => x.to_string(),
    }
}

const HEAD: &str = "\
<!-- Generated by `cargo xtask generate`; do not edit. -->
# Validation

Every number here was written by someone else, or follows from a closed form; the tests compare what the
program computes with it. Marks: *seen* = read in the source or in a text that quotes it; *recalled* =
written from memory, verify before relying on it; *derived* = computed from a formula that is given.

A case outside its tolerance is not removed: its outcome says so.
";

/// All data files of the crates and of the workspace itself, sorted by path.
fn data_files(root: &Path) -> Result<Vec<PathBuf>, String> {
    let mut folders: Vec<PathBuf> = entries(&root.join("crates"))?
        .into_iter()
        .map(|c| c.join("tests/data"))
        .collect();
    folders.push(root.join("tests/data"));
    let mut files = Vec::new();
    for folder in folders.iter().filter(|f| f.is_dir()) {
        files.extend(
            entries(folder)?
                .into_iter()
                .filter(|f| f.extension().is_some_and(|e| e == "toml")),
        );
    }
    files.sort();
    Ok(files)
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let problem = |e: std::io::Error| format!("{}: {e}", folder.display());
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(problem)? {
        paths.push(entry.map_err(problem)?.path());
    }
    paths.sort();
    Ok(paths)
}

fn array<'a>(table: &'a Table, key: &str) -> Vec<&'a Table> {
    table
        .get(key)
        .and_then(Value::as_array)
        .map(|a| a.iter().filter_map(Value::as_table).collect())
        .unwrap_or_default()
}

/// A value as one table cell.
fn field(table: &Table, key: &str) -> String {
    table.get(key).map(cell).unwrap_or_default()
}

fn cell(value: &Value) -> String {
    match value {
        Value::String(s) => s
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .replace('|', "\\|"),
        Value::Integer(i) => i.to_string(),
        Value::Float(f) if *f != 0.0 && f.abs() < 1e-4 => format!("{f:e}"),
        Value::Float(f) => f.to_string(),
        Value::Boolean(b) => if *b { "yes" } else { "no" }.to_owned(),
        Value::Datetime(d) => d.to_string(),
        Value::Array(a) => a.iter().map(cell).collect::<Vec<_>>().join(", "),
        Value::Table(t) => t
            .iter()
            .map(|(k, v)| format!("{k} {}", cell(v)))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_cases_say_inside_or_outside() {
        let table: Table = "[[case]]\nid = \"a\"\nexpected = \"2\"\ntolerance = \"10 %\"\nband = [1.8, 2.2]\n\
             [[case]]\nid = \"b\"\nexpected = \"above 0\"\ntolerance = \"none\"\nband = [0.0, inf]\n\
             [[case]]\nid = \"c\"\nexpected = \"1\"\ntolerance = \"none\"\nband = [1.0, 2.0]\n"
            .parse()
            .unwrap();
        let computed = [("a", 2.3), ("b", 4.0)]
            .map(|(id, x)| (id.to_owned(), (Default::default(), Some(x))))
            .into();
        let text = published(&array(&table, "case"), &computed);
        assert!(
            text.contains("| 2 +/- 10 % | 2.3 | 1.8 to 2.2 | **OUTSIDE** |"),
            "{text}"
        );
        assert!(text.contains("| above 0 | 4 | from 0 | inside |"), "{text}");
        assert!(
            text.contains("| 1 | none | 1 to 2 | **OUTSIDE** |"),
            "{text}"
        );
        assert!(text.contains("1 of 3 inside"), "{text}");
    }

    #[test]
    fn numbers_keep_four_digits() {
        let shown = [229_138.38, 0.123_456, -10.388_16, 0.0, 9.0].map(significant);
        assert_eq!(shown, ["229100", "0.1235", "-10.39", "0", "9"]);
    }

    #[test]
    fn cells_stay_on_one_line() {
        let table: Table =
            "a = \"\"\"two\n lines | bar\"\"\"\nb = [1.5, 2]\nc = { hi = 3, lo = 1 }"
                .parse()
                .unwrap();
        assert_eq!(field(&table, "a"), "two lines \\| bar");
        assert_eq!(field(&table, "b"), "1.5, 2");
        assert_eq!(field(&table, "c"), "hi 3, lo 1");
        assert_eq!(field(&table, "missing"), "");
    }
}
