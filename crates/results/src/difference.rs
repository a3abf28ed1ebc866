//! Where two versions of a results file differ first: a path of a JSON file, a row and column of a table, a line of a
//! text.

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ResultsError;
use crate::json_tree::{JsonTree, number_text, shortened};
use crate::number_table::NumberTable;

/// How much longer than its counterpart a file may be to be read in full, bytes.
const LONGER: u64 = 16 << 20;

/// The first difference of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Difference {
    /// File, with forward slashes.
    pub file: String,
    /// Path of a JSON value, `column NAME, row N`, `line N`, or `bytes`.
    pub place: String,
    /// What stands there in the first; null where nothing does.
    pub first: Option<String>,
    /// What stands there in the second; null where nothing does.
    pub second: Option<String>,
}

/// The first difference of the file `name` in two folders; none where the bytes are equal.
///
/// # Errors
/// A file that cannot be read.
pub fn file_difference(
    name: &str,
    first: &Path,
    second: &Path,
) -> Result<Option<Difference>, ResultsError> {
    let (a, b) = (first.join(name), second.join(name));
    let length = |path: &Path| fs::metadata(path).map(|m| m.len()).unwrap_or(0);
    let most = length(&a).min(length(&b)) + LONGER;
    let (x, y) = (read(&a, most)?, read(&b, most)?);
    if x == y {
        return Ok(None);
    }
    let ending = name.rsplit('.').next().unwrap_or_default();
    let found = match ending {
        "json" => in_json(&x, &y),
        "csv" => in_csv(&x, &y),
        "parquet" => in_parquet(&a, &b),
        "png" => None,
        _ => in_lines(&x, &y),
    };
    let (place, values) = found.unwrap_or_else(|| in_bytes(&x, &y));
    let [first, second] = values;
    Ok(Some(Difference {
        file: name.to_owned(),
        place,
        first,
        second,
    }))
}

fn read(path: &Path, most: u64) -> Result<Vec<u8>, ResultsError> {
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(ResultsError::io("read", path))?;
    file.take(most)
        .read_to_end(&mut bytes)
        .map_err(ResultsError::io("read", path))?;
    Ok(bytes)
}

type Found = Option<(String, [Option<String>; 2])>;

fn in_json(a: &[u8], b: &[u8]) -> Found {
    let (Some(a), Some(b)) = (JsonTree::read(a), JsonTree::read(b)) else {
        return None;
    };
    let found = a.first_difference(&b)?;
    let values = found.values.map(|v| v.map(ToString::to_string));
    let place = if found.path.is_empty() {
        "the whole".to_owned()
    } else {
        found.path
    };
    Some((place, values))
}

fn in_parquet(a: &Path, b: &Path) -> Found {
    let (Ok(a), Ok(b)) = (NumberTable::of_parquet(a), NumberTable::of_parquet(b)) else {
        return None;
    };
    in_tables(&a, &b)
}

/// Row by row, as a reader of the table goes.
fn in_tables(a: &NumberTable, b: &NumberTable) -> Found {
    for i in 0..a.columns.len().max(b.columns.len()) {
        let name = |t: &NumberTable| t.columns.get(i).map(|c| shortened(&c.0));
        if name(a) != name(b) {
            return Some((format!("name of column {}", i + 1), [name(a), name(b)]));
        }
    }
    for row in 0..a.rows().max(b.rows()) {
        for ((name, x), (_, y)) in a.columns.iter().zip(&b.columns) {
            let (x, y) = (x.get(row), y.get(row));
            if x.map(|v| v.to_bits()) != y.map(|v| v.to_bits()) {
                let values = [x, y].map(|v| v.map(|v| number_text(*v)));
                return Some((format!("column {name}, row {}", row + 1), values));
            }
        }
    }
    None
}

fn in_csv(a: &[u8], b: &[u8]) -> Found {
    let (a, b) = (
        String::from_utf8_lossy(a).into_owned(),
        String::from_utf8_lossy(b).into_owned(),
    );
    let head: Vec<&str> = a.lines().next().unwrap_or_default().split(',').collect();
    let (line, x, y) = first_line(&a, &b)?;
    let cells = |line: Option<&str>| -> Vec<String> {
        line.map(|l| l.split(',').map(shortened).collect())
            .unwrap_or_default()
    };
    let (x, y) = (cells(x), cells(y));
    let at = (0..x.len().max(y.len())).find(|&i| x.get(i) != y.get(i))?;
    let values = [x.get(at).cloned(), y.get(at).cloned()];
    if line == 0 {
        return Some((format!("name of column {}", at + 1), values));
    }
    let name = head.get(at).map_or_else(
        || format!("number {}", at + 1),
        |name| shortened(name).trim().to_owned(),
    );
    Some((format!("column {name}, row {line}"), values))
}

fn in_lines(a: &[u8], b: &[u8]) -> Found {
    let (Ok(a), Ok(b)) = (std::str::from_utf8(a), std::str::from_utf8(b)) else {
        return None;
    };
    let (line, x, y) = first_line(a, b)?;
    let text = |line: Option<&str>| line.map(|l| shortened(l.trim()));
    Some((format!("line {}", line + 1), [text(x), text(y)]))
}

/// Number from 0 and both versions of the first line that differs.
fn first_line<'a>(a: &'a str, b: &'a str) -> Option<(usize, Option<&'a str>, Option<&'a str>)> {
    let (mut x, mut y) = (a.lines(), b.lines());
    (0..).find_map(|line| match (x.next(), y.next()) {
        (None, None) => Some(None),
        (p, q) if p == q => None,
        (p, q) => Some(Some((line, p, q))),
    })?
}

fn in_bytes(a: &[u8], b: &[u8]) -> (String, [Option<String>; 2]) {
    let at = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let byte = |v: &[u8]| v.get(at).map(|byte| format!("byte {byte}"));
    (format!("bytes, from place {}", at + 1), [byte(a), byte(b)])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(name: &str, a: &[u8], b: &[u8]) -> Option<Difference> {
        let root = std::env::temp_dir().join(format!(
            "giveway-difference-{}-{}",
            std::process::id(),
            name.replace('.', "-")
        ));
        let folders = ["a", "b"].map(|f| root.join(f));
        for (folder, bytes) in folders.iter().zip([a, b]) {
            fs::create_dir_all(folder).unwrap();
            fs::write(folder.join(name), bytes).unwrap();
        }
        let found = file_difference(name, &folders[0], &folders[1]).unwrap();
        fs::remove_dir_all(&root).unwrap();
        found
    }

    fn told(name: &str, a: &[u8], b: &[u8]) -> String {
        let d = place(name, a, b).unwrap();
        let or = |v: Option<String>| v.unwrap_or("-".into());
        format!("{}: {} | {}", d.place, or(d.first), or(d.second))
    }

    #[test]
    fn each_kind_of_file_has_its_places() {
        assert_eq!(place("x.json", b"{}", b"{}"), None);
        assert_eq!(
            told("a.json", br#"{"a": [1, 2.5]}"#, br#"{"a": [1, 2.6]}"#),
            "a[1]: 2.5 | 2.6"
        );
        assert_eq!(
            told(
                "b.csv",
                b"t_s,f_n\n0.0,1.0\n1.0,2.0\n",
                b"t_s,f_n\n0.0,1.0\n1.0,2.5\n"
            ),
            "column f_n, row 2: 2.0 | 2.5"
        );
        assert_eq!(
            told(
                "c.csv",
                b"t_s,f_n\n0.0,1.0\n",
                b"t_s,f_n\n0.0,1.0\n1.0,2.5\n"
            ),
            "column t_s, row 2: - | 1.0"
        );
        assert_eq!(told("d.svg", b"<svg>\n1\n", b"<svg>\n2\n"), "line 2: 1 | 2");
        assert_eq!(
            told("e.png", &[1, 2, 3], &[1, 2]),
            "bytes, from place 3: byte 3 | -"
        );
        // What is cut short or no text has places of bytes.
        assert_eq!(
            told("f.json", br#"{"a": 1"#, br#"{"a": 1}"#),
            "bytes, from place 8: - | byte 125"
        );
        assert_eq!(
            told("g.txt", &[0xff], &[0xfe]),
            "bytes, from place 1: byte 255 | byte 254"
        );
        assert!(told("h.parquet", b"PAR1", b"PAR2").starts_with("bytes, from place 4"));
        // Equal values in other words.
        assert!(told("i.json", b"{\"a\": 1}", b"{\"a\":1}").starts_with("bytes, from place 6"));
    }
}
