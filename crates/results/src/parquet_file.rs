//! Histories as Parquet: required doubles in one row group, snappy, meanings of the columns as key-value metadata.

use std::cell::Cell;
use std::fs::File;
use std::io::Write;
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;
use std::sync::{Arc, Once};

use parquet::basic::{Compression, Repetition, Type as PhysicalType};
use parquet::data_type::DoubleType;
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::{WriterProperties, WriterPropertiesBuilder};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;

use crate::ResultsError;
use crate::sink::Sink;
use crate::tables::Table;

// Values that are copied at a time.
const CHUNK: usize = 8192;

/// Writes the table into the file and gives the file back.
pub fn write_parquet(table: &Table, sink: Sink, path: &Path) -> Result<Sink, ResultsError> {
    written(table, sink).map_err(ResultsError::parquet(path))
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
    let properties = plain_properties(meanings).build();
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

/// What every Parquet file of the program has in common.
pub fn plain_properties(meanings: Vec<KeyValue>) -> WriterPropertiesBuilder {
    WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_dictionary_enabled(false)
        .set_created_by("giveway".to_owned())
        .set_key_value_metadata(Some(meanings))
}

/// Opens a Parquet file of anybody's. A damaged or forged footer may place a column before the file's start.
pub fn opened(file: File) -> Result<SerializedFileReader<File>, ParquetError> {
    let reader = told(|| SerializedFileReader::new(file))?;
    for column in (reader.metadata().row_groups().iter()).flat_map(|group| group.columns()) {
        let start = (column.dictionary_page_offset()).unwrap_or_else(|| column.data_page_offset());
        if start < 0 || column.compressed_size() < 0 {
            let problem = format!("column `{}` lies outside the file", column.column_path());
            return Err(ParquetError::General(problem));
        }
    }
    Ok(reader)
}

thread_local! {
    static TELLS_PANICS: Cell<bool> = const { Cell::new(false) };
}

/// What `read` gives. At some damaged or forged bytes the library panics where it should return an error (a page that refers to a
/// dictionary which is not there, among others): here that is an error as any other, and nothing is printed.
pub fn told<T>(read: impl FnOnce() -> Result<T, ParquetError>) -> Result<T, ParquetError> {
    static QUIET: Once = Once::new();
    QUIET.call_once(|| {
        let others = panic::take_hook();
        panic::set_hook(Box::new(move |what| {
            if !TELLS_PANICS.get() {
                others(what);
            }
        }));
    });
    let before = TELLS_PANICS.replace(true);
    let outcome = panic::catch_unwind(AssertUnwindSafe(read));
    TELLS_PANICS.set(before);
    outcome.unwrap_or_else(|_| Err(ParquetError::General("its bytes are damaged".to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::TableColumn;
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
}
