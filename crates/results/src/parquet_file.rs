//! Parquet: one row group, snappy, meanings of the columns as key-value metadata. Histories are required doubles; a list
//! of poles also has texts, counts and numbers that may be absent.

use std::io::Write;
use std::path::Path;
use std::sync::Arc;

use parquet::basic::{Compression, LogicalType, Repetition, Type as PhysicalType};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;

use crate::ResultsError;
use crate::poles::{PoleTable, PoleValues};
use crate::sink::Sink;
use crate::tables::Table;

// Values that are copied at a time.
const CHUNK: usize = 8192;

/// Writes the table into the file and gives the file back.
pub fn write_parquet(table: &Table, sink: Sink, path: &Path) -> Result<Sink, ResultsError> {
    written(table, sink).map_err(|e| ResultsError::Parquet {
        path: path.to_owned(),
        reason: e.to_string(),
    })
}

fn written<W: Write + Send>(table: &Table, out: W) -> Result<W, ParquetError> {
    let fields = table
        .columns
        .iter()
        .map(|c| {
            Type::primitive_type_builder(&c.name, PhysicalType::DOUBLE)
                .with_repetition(Repetition::REQUIRED)
                .build()
                .map(Arc::new)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let schema = Type::group_type_builder(table.name)
        .with_fields(fields)
        .build()?;
    let meanings = table
        .columns
        .iter()
        .map(|c| KeyValue::new(c.name.clone(), c.meaning.to_owned()))
        .collect();
    let properties = properties(meanings);
    let mut writer = SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties))?;
    let mut group = writer.next_row_group()?;
    let mut index = 0;
    let mut values = Vec::with_capacity(CHUNK.min(table.rows));
    while let Some(mut column) = group.next_column()? {
        let read = &table.columns[index].value;
        for start in (0..table.rows).step_by(CHUNK) {
            values.clear();
            values.extend((start..table.rows.min(start + CHUNK)).map(read));
            column
                .typed::<DoubleType>()
                .write_batch(&values, None, None)?;
        }
        column.close()?;
        index += 1;
    }
    group.close()?;
    writer.into_inner()
}

fn properties(meanings: Vec<KeyValue>) -> WriterProperties {
    WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_dictionary_enabled(false)
        .set_created_by("giveway".to_owned())
        .set_key_value_metadata(Some(meanings))
        .build()
}

/// Writes a list of poles into the file and gives the file back.
pub fn write_poles(table: &PoleTable, sink: Sink, path: &Path) -> Result<Sink, ResultsError> {
    poles_written(table, sink).map_err(|e| ResultsError::Parquet {
        path: path.to_owned(),
        reason: e.to_string(),
    })
}

fn poles_written<W: Write + Send>(table: &PoleTable, out: W) -> Result<W, ParquetError> {
    let fields = table
        .columns
        .iter()
        .map(|c| {
            let (physical, repetition, logical) = match &c.values {
                PoleValues::Text(_) => (
                    PhysicalType::BYTE_ARRAY,
                    Repetition::REQUIRED,
                    Some(LogicalType::String),
                ),
                PoleValues::Number(_) => (PhysicalType::DOUBLE, Repetition::OPTIONAL, None),
                PoleValues::Count(_) => (PhysicalType::INT64, Repetition::REQUIRED, None),
            };
            Type::primitive_type_builder(c.name, physical)
                .with_repetition(repetition)
                .with_logical_type(logical)
                .build()
                .map(Arc::new)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let schema = Type::group_type_builder("poles")
        .with_fields(fields)
        .build()?;
    let meanings = table
        .columns
        .iter()
        .map(|c| KeyValue::new(c.name.to_owned(), c.meaning.to_owned()))
        .collect();
    let properties = properties(meanings);
    let mut writer = SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties))?;
    let mut group = writer.next_row_group()?;
    let mut columns = table.columns.iter();
    while let Some(mut writer) = group.next_column()? {
        match columns.next().map(|c| &c.values) {
            Some(PoleValues::Text(texts)) => {
                let bytes: Vec<ByteArray> = texts.iter().map(|t| t.as_bytes().into()).collect();
                writer
                    .typed::<ByteArrayType>()
                    .write_batch(&bytes, None, None)?;
            }
            Some(PoleValues::Number(numbers)) => {
                // An absent number has level 0 and no value.
                let levels: Vec<i16> = numbers.iter().map(|n| i16::from(n.is_some())).collect();
                let present: Vec<f64> = numbers.iter().copied().flatten().collect();
                writer
                    .typed::<DoubleType>()
                    .write_batch(&present, Some(&levels), None)?;
            }
            Some(PoleValues::Count(counts)) => {
                writer
                    .typed::<Int64Type>()
                    .write_batch(counts, None, None)?;
            }
            None => {}
        }
        writer.close()?;
    }
    group.close()?;
    writer.into_inner()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::TableColumn;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::RowAccessor;

    #[test]
    fn what_is_written_is_read_back() {
        let rows = 20_000;
        let value = |i: usize| 1.0 / (i as f64 + 0.7);
        let table = Table {
            name: "history",
            rows,
            columns: vec![
                TableColumn {
                    name: "time_s".into(),
                    meaning: "time",
                    value: Box::new(|i| i as f64 * 1e-4),
                },
                TableColumn {
                    name: "force_n".into(),
                    meaning: "force",
                    value: Box::new(value),
                },
            ],
        };
        let bytes = written(&table, Vec::new()).unwrap();
        assert_eq!(bytes, written(&table, Vec::new()).unwrap());
        let dir = std::env::temp_dir().join(format!("giveway-parquet-{}", std::process::id()));
        std::fs::write(&dir, &bytes).unwrap();
        let reader = SerializedFileReader::new(std::fs::File::open(&dir).unwrap()).unwrap();
        let meta = reader.metadata().file_metadata();
        assert_eq!(meta.num_rows(), rows as i64);
        assert_eq!(meta.schema_descr().column(1).name(), "force_n");
        let key_values = meta.key_value_metadata().unwrap();
        assert!(
            key_values
                .iter()
                .any(|k| k.key == "force_n" && k.value.as_deref() == Some("force"))
        );
        for (i, row) in reader.get_row_iter(None).unwrap().enumerate() {
            let row = row.unwrap();
            assert_eq!(row.get_double(1).unwrap().to_bits(), value(i).to_bits());
        }
        std::fs::remove_file(&dir).unwrap();
    }

    #[test]
    fn a_list_of_poles_is_read_back() {
        use crate::poles::PoleColumn;
        let table = PoleTable {
            columns: vec![
                PoleColumn {
                    name: "pole",
                    meaning: "identifier",
                    values: PoleValues::Text(vec!["HV-1".into(), "\u{e9}, \"x\"".into()]),
                },
                PoleColumn {
                    name: "load",
                    meaning: "value over limit",
                    values: PoleValues::Number(vec![None, Some(1.0 / 3.0)]),
                },
                PoleColumn {
                    name: "failing",
                    meaning: "count",
                    values: PoleValues::Count(vec![0, 7]),
                },
            ],
        };
        let bytes = poles_written(&table, Vec::new()).unwrap();
        let path = std::env::temp_dir().join(format!("giveway-poles-{}", std::process::id()));
        std::fs::write(&path, &bytes).unwrap();
        let reader = SerializedFileReader::new(std::fs::File::open(&path).unwrap()).unwrap();
        let rows: Vec<_> = reader
            .get_row_iter(None)
            .unwrap()
            .map(Result::unwrap)
            .collect();
        std::fs::remove_file(&path).unwrap();
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].get_string(0).unwrap(), "HV-1");
        assert_eq!(rows[1].get_string(0).unwrap(), "\u{e9}, \"x\"");
        assert!(rows[0].get_double(1).is_err());
        assert_eq!(
            rows[1].get_double(1).unwrap().to_bits(),
            (1.0f64 / 3.0).to_bits()
        );
        assert_eq!(rows[1].get_long(2).unwrap(), 7);
    }
}
