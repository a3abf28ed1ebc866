//! Tables of numbers read back: the histories of a run, from their Parquet or CSV file.
//!
//! References
//! - Y. Shafranovich, RFC 4180 (2005).

use std::fs::{self, File};
use std::path::Path;

use parquet::basic::Type as PhysicalType;
use parquet::column::reader::get_typed_column_reader;
use parquet::data_type::DoubleType;
use parquet::errors::ParquetError;
use parquet::file::reader::FileReader;
use parquet::record::Field;

use crate::ResultsError;
use crate::parquet_file::{opened, told};

/// A table of numbers; all columns have the same length.
#[derive(Debug, Clone, PartialEq)]
pub struct NumberTable {
    /// Name with unit, and values.
    pub columns: Vec<(String, Vec<f64>)>,
}

/// The engagement's history of a run folder; none where the run wrote none.
///
/// # Errors
/// A file that does not read.
pub fn read_history(folder: &Path) -> Result<Option<NumberTable>, ResultsError> {
    read_table(folder, "history")
}

/// The vehicle's record of a run folder; none where the run wrote none.
///
/// # Errors
/// A file that does not read.
pub fn read_vehicle_record(folder: &Path) -> Result<Option<NumberTable>, ResultsError> {
    read_table(folder, "vehicle_record")
}

fn read_table(folder: &Path, name: &str) -> Result<Option<NumberTable>, ResultsError> {
    let parquet = folder.join(format!("{name}.parquet"));
    if parquet.exists() {
        return NumberTable::of_parquet(&parquet).map(Some);
    }
    let csv = folder.join(format!("{name}.csv"));
    if !csv.exists() {
        return Ok(None);
    }
    let bytes = fs::read(&csv).map_err(ResultsError::io("read", &csv))?;
    let table = NumberTable::of_csv(&bytes);
    table
        .map(Some)
        .ok_or_else(|| ResultsError::altered(csv, "is no table of numbers"))
}

impl NumberTable {
    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.columns.first().map_or(0, |c| c.1.len())
    }

    /// Values of a column.
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        let found = self.columns.iter().find(|c| c.0 == name);
        found.map(|c| c.1.as_slice())
    }

    /// From a Parquet file of doubles that are never absent.
    ///
    /// # Errors
    /// A file that does not read, or that holds anything else.
    pub fn of_parquet(path: &Path) -> Result<Self, ResultsError> {
        let file = File::open(path).map_err(ResultsError::io("read", path))?;
        told(|| doubles(file)).map_err(ResultsError::parquet_read(path))
    }

    /// From a Parquet file of another program: columns of any numbers, of which some may be absent (NaN here). Columns of
    /// other things are left out.
    ///
    /// # Errors
    /// A file that does not read.
    pub fn of_foreign_parquet(path: &Path) -> Result<Self, ResultsError> {
        let file = File::open(path).map_err(ResultsError::io("read", path))?;
        told(|| foreign(file)).map_err(ResultsError::parquet_read(path))
    }

    /// From CSV with a line of names; none where a line has another number of cells or a cell is no number.
    pub fn of_csv(bytes: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(bytes).ok()?;
        let mut lines = text.lines();
        let mut columns: Vec<(String, Vec<f64>)> = (lines.next()?.split(','))
            .map(|name| (name.to_owned(), Vec::new()))
            .collect();
        for line in lines {
            let mut cells = line.split(',');
            for column in &mut columns {
                column.1.push(cells.next()?.parse().ok()?);
            }
            if cells.next().is_some() {
                return None;
            }
        }
        Some(Self { columns })
    }
}

fn foreign(file: File) -> Result<NumberTable, ParquetError> {
    let reader = opened(file)?;
    let schema = reader.metadata().file_metadata().schema_descr();
    let mut columns: Vec<(String, Vec<f64>)> = (schema.columns().iter())
        .map(|c| (c.name().to_owned(), Vec::new()))
        .collect();
    let mut odd = vec![false; columns.len()];
    for row in reader.get_row_iter(None)? {
        for (place, (_, field)) in row?.get_column_iter().enumerate() {
            let number = match field {
                Field::Null => f64::NAN,
                Field::Double(x) => *x,
                Field::Float(x) => f64::from(*x),
                Field::Int(x) => f64::from(*x),
                Field::Short(x) => f64::from(*x),
                // Counts of a logger lie far below 2^53.
                Field::Long(x) => *x as f64,
                _ => {
                    odd[place] = true;
                    f64::NAN
                }
            };
            if let Some(column) = columns.get_mut(place) {
                column.1.push(number);
            }
        }
    }
    let mut odd = odd.iter();
    columns.retain(|_| !odd.next().copied().unwrap_or(true));
    Ok(NumberTable { columns })
}

fn doubles(file: File) -> Result<NumberTable, ParquetError> {
    let reader = opened(file)?;
    let schema = reader.metadata().file_metadata().schema_descr();
    let mut columns = Vec::with_capacity(schema.num_columns());
    for place in 0..schema.num_columns() {
        let column = schema.column(place);
        if column.physical_type() != PhysicalType::DOUBLE || column.max_def_level() > 0 {
            let name = column.name();
            let problem = format!("column `{name}` does not hold numbers alone");
            return Err(ParquetError::General(problem));
        }
        columns.push((column.name().to_owned(), Vec::new()));
    }
    for group in 0..reader.num_row_groups() {
        let group = reader.get_row_group(group)?;
        let rows = usize::try_from(group.metadata().num_rows())
            .map_err(|_| ParquetError::General("a row group has a negative length".to_owned()))?;
        for (place, (name, values)) in columns.iter_mut().enumerate() {
            let before = values.len();
            let mut column = get_typed_column_reader::<DoubleType>(group.get_column_reader(place)?);
            while values.len() - before < rows {
                let left = rows - (values.len() - before);
                if column.read_records(left, None, None, values)?.0 == 0 {
                    let problem = format!("column `{name}` is too short");
                    return Err(ParquetError::General(problem));
                }
            }
        }
    }
    Ok(NumberTable { columns })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_of_numbers_is_read_and_anything_else_is_not() {
        let t = NumberTable::of_csv(b"time_s,force_n\n0.0,1e3\n1e-4,-2.5\n").unwrap();
        assert_eq!(t.rows(), 2);
        assert_eq!(t.column("force_n"), Some(&[1000.0, -2.5][..]));
        assert_eq!(t.column("other"), None);
        for bad in ["", "a,b\n1\n", "a\n1,2\n", "a\nx\n"] {
            let read = NumberTable::of_csv(bad.as_bytes());
            assert!(read.is_none() || bad.is_empty(), "{bad:?}");
        }
        assert!(NumberTable::of_csv(&[0xff, 0xfe]).is_none());
    }

    // Seen: a footer that places a column before the file's start ended the process.
    #[test]
    fn a_forged_footer_is_told_and_ends_nothing() {
        use parquet::file::metadata::{ColumnChunkMetaDataBuilder, ParquetMetaDataWriter};
        use parquet::file::reader::SerializedFileReader;
        let path = std::env::temp_dir().join(format!("giveway-forged-{}", std::process::id()));
        let table = crate::tables::Table {
            name: "history",
            rows: 2,
            columns: vec![crate::tables::TableColumn {
                name: "time_s".to_owned(),
                meaning: "",
                value: Box::new(|i| i as f64),
            }],
        };
        let sink = crate::sink::Sink::create(&path).unwrap();
        drop(crate::parquet_file::write_parquet(&table, sink, &path).unwrap());
        let sound = fs::read(&path).unwrap();
        assert_eq!(NumberTable::of_parquet(&path).unwrap().rows(), 2);
        let meta = (SerializedFileReader::new(File::open(&path).unwrap()).unwrap())
            .metadata()
            .clone();
        let forge = |change: &dyn Fn(ColumnChunkMetaDataBuilder) -> ColumnChunkMetaDataBuilder| {
            let group = meta.row_group(0).clone();
            let columns = (group.columns().iter().cloned())
                .map(|c| change(c.into_builder()).build().unwrap())
                .collect();
            let group = (group.into_builder().set_column_metadata(columns).build()).unwrap();
            let forged = (meta.clone().into_builder())
                .set_row_groups(vec![group])
                .build();
            let mut bytes = sound.clone();
            ParquetMetaDataWriter::new(&mut bytes, &forged)
                .finish()
                .unwrap();
            fs::write(&path, &bytes).unwrap();
            NumberTable::of_parquet(&path).unwrap_err().to_string()
        };
        let told = [
            forge(&|c| c.set_data_page_offset(-4)),
            forge(&|c| c.set_dictionary_page_offset(Some(-1))),
            forge(&|c| c.set_total_compressed_size(-1)),
        ];
        fs::remove_file(&path).unwrap();
        for told in told {
            assert!(
                told.contains("`\"time_s\"` lies outside the file"),
                "{told}"
            );
        }
    }
}
