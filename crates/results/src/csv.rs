//! Comma-separated values: a header line, then the shortest decimal text that reads back to the same bits.

use std::io::{self, Write};

use crate::tables::Table;

/// Writes the table. Its values must be finite.
pub fn write_csv(table: &Table, out: &mut impl Write) -> io::Result<()> {
    let mut line = Vec::with_capacity(24 * table.columns.len());
    for (i, c) in table.columns.iter().enumerate() {
        if i > 0 {
            line.push(b',');
        }
        line.extend_from_slice(c.name.as_bytes());
    }
    line.push(b'\n');
    for row in 0..table.rows {
        out.write_all(&line)?;
        line.clear();
        for (i, c) in table.columns.iter().enumerate() {
            if i > 0 {
                line.push(b',');
            }
            // serde_json writes the shortest text that reads back.
            serde_json::to_writer(&mut line, &(c.value)(row))?;
        }
        line.push(b'\n');
    }
    out.write_all(&line)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::TableColumn;

    #[test]
    fn every_number_reads_back_to_its_bits() {
        let values = [0.1, -0.0, 1.0 / 3.0, 5e-324, 1.797e308, 123_456_789.0, 1e-5];
        let table = Table {
            name: "t",
            rows: values.len(),
            columns: vec![
                TableColumn {
                    name: "a_m".into(),
                    meaning: "",
                    value: Box::new(|i| i as f64),
                },
                TableColumn {
                    name: "b_n".into(),
                    meaning: "",
                    value: Box::new(|i| values[i]),
                },
            ],
        };
        let mut out = Vec::new();
        write_csv(&table, &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        let mut lines = text.lines();
        assert_eq!(lines.next(), Some("a_m,b_n"));
        assert_eq!(text.lines().nth(1), Some("0.0,0.1"));
        for (line, v) in lines.zip(values) {
            let read: f64 = line.split(',').nth(1).unwrap().parse().unwrap();
            assert_eq!(read.to_bits(), v.to_bits(), "{line}");
        }
        assert!(text.ends_with('\n'));
    }
}
