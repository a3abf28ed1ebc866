//! A table of rows as Parquet and back: snappy, one row group for every table that is handed in, meanings of the columns as
//! key-value metadata. Texts of studies repeat, so that they are written once and referred to; everything else is plain.

use std::fs::File;
use std::io::Write;
use std::sync::Arc;

use parquet::basic::{LogicalType, Repetition, Type as PhysicalType};
use parquet::column::reader::{ColumnReader, get_typed_column_reader};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::{ParquetError, Result};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::{ColumnPath, Type};

use crate::parquet_file::{opened, plain_properties, told};
use crate::row_table::{CellValues, RowColumn, RowTable};

/// A Parquet file under construction. An error leaves an incomplete file behind.
pub struct RowWriter<W: Write + Send> {
    writer: SerializedFileWriter<W>,
}

impl<W: Write + Send> RowWriter<W> {
    /// A file for tables with the columns of `head`, whose values are not looked at. `facts` are further key-value metadata.
    pub fn new(out: W, name: &str, head: &RowTable, facts: &[(&str, String)]) -> Result<Self> {
        let fields = head
            .columns
            .iter()
            .map(|c| field(c).map(Arc::new))
            .collect::<Result<Vec<_>>>()?;
        let schema = Type::group_type_builder(name).with_fields(fields).build()?;
        let meanings = head
            .columns
            .iter()
            .map(|c| KeyValue::new(c.name.clone(), c.meaning.clone()))
            .chain(
                facts
                    .iter()
                    .map(|(key, value)| KeyValue::new((*key).to_owned(), value.clone())),
            )
            .collect();
        let properties = properties(head, meanings);
        Ok(Self {
            writer: SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties))?,
        })
    }

    /// Adds a row group.
    pub fn write(&mut self, table: &RowTable) -> Result<()> {
        let mut group = self.writer.next_row_group()?;
        let mut columns = table.columns.iter();
        while let Some(mut column) = group.next_column()? {
            let read = columns.next().ok_or_else(|| other("a column is missing"))?;
            write_column(&mut column, &read.values)?;
            column.close()?;
        }
        group.close()?;
        Ok(())
    }

    /// Writes the footer and gives the file back.
    pub fn finish(self) -> Result<W> {
        self.writer.into_inner()
    }
}

fn other(reason: &str) -> ParquetError {
    ParquetError::General(reason.to_owned())
}

fn field(column: &RowColumn) -> Result<Type> {
    let text = Some(LogicalType::String);
    let (physical, repetition, logical) = match &column.values {
        CellValues::Text(_) => (PhysicalType::BYTE_ARRAY, Repetition::REQUIRED, text),
        CellValues::MaybeText(_) => (PhysicalType::BYTE_ARRAY, Repetition::OPTIONAL, text),
        CellValues::Number(_) => (PhysicalType::DOUBLE, Repetition::OPTIONAL, None),
        CellValues::Count(_) => (PhysicalType::INT64, Repetition::REQUIRED, None),
        CellValues::MaybeCount(_) => (PhysicalType::INT64, Repetition::OPTIONAL, None),
        CellValues::MaybeFlag(_) => (PhysicalType::BOOLEAN, Repetition::OPTIONAL, None),
    };
    Type::primitive_type_builder(&column.name, physical)
        .with_repetition(repetition)
        .with_logical_type(logical)
        .build()
}

fn properties(head: &RowTable, meanings: Vec<KeyValue>) -> WriterProperties {
    let mut builder = plain_properties(meanings);
    for c in &head.columns {
        if matches!(c.values, CellValues::MaybeText(_)) {
            builder =
                builder.set_column_dictionary_enabled(ColumnPath::from(c.name.as_str()), true);
        }
    }
    builder.build()
}

fn write_column(column: &mut SerializedColumnWriter, values: &CellValues) -> Result<()> {
    match values {
        CellValues::Text(v) => {
            let bytes: Vec<ByteArray> = v.iter().map(|t| t.as_bytes().into()).collect();
            put::<ByteArrayType>(column, &bytes, None)
        }
        CellValues::Count(v) => put::<Int64Type>(column, v, None),
        CellValues::Number(v) => put_some::<DoubleType, _>(column, v, |x| *x),
        CellValues::MaybeText(v) => {
            put_some::<ByteArrayType, _>(column, v, |t| t.as_bytes().into())
        }
        CellValues::MaybeCount(v) => put_some::<Int64Type, _>(column, v, |x| *x),
        CellValues::MaybeFlag(v) => put_some::<BoolType, _>(column, v, |x| *x),
    }
}

fn put<T: DataType>(
    column: &mut SerializedColumnWriter,
    values: &[T::T],
    levels: Option<&[i16]>,
) -> Result<()> {
    column
        .typed::<T>()
        .write_batch(values, levels, None)
        .map(|_| ())
}

// An absent value has level 0 and no value.
fn put_some<T: DataType, V>(
    column: &mut SerializedColumnWriter,
    values: &[Option<V>],
    convert: impl Fn(&V) -> T::T,
) -> Result<()> {
    let levels: Vec<i16> = values.iter().map(|v| i16::from(v.is_some())).collect();
    let present: Vec<T::T> = values.iter().flatten().map(convert).collect();
    put::<T>(column, &present, Some(&levels))
}

/// A Parquet file with a known layout, read row group by row group.
pub struct RowReader {
    reader: SerializedFileReader<File>,
    places: Vec<usize>,
    head: RowTable,
}

impl RowReader {
    /// Opens a file for the columns of `head`, whose names and kinds must be in it.
    pub fn new(file: File, head: RowTable) -> Result<Self> {
        let reader = opened(file)?;
        let schema = reader.metadata().file_metadata().schema_descr();
        let places = head
            .columns
            .iter()
            .map(|c| {
                let expected = field(c)?;
                schema
                    .columns()
                    .iter()
                    .position(|found| *found.self_type() == expected)
                    .ok_or_else(|| other(&format!("it has no column `{}` of that kind", c.name)))
            })
            .collect::<Result<_>>()?;
        Ok(Self {
            reader,
            places,
            head,
        })
    }

    /// Value of a key of the metadata.
    pub fn fact(&self, key: &str) -> Option<&str> {
        self.reader
            .metadata()
            .file_metadata()
            .key_value_metadata()?
            .iter()
            .find(|k| k.key == key)?
            .value
            .as_deref()
    }

    /// Number of columns in the file.
    pub fn columns_in_file(&self) -> usize {
        self.reader
            .metadata()
            .file_metadata()
            .schema_descr()
            .num_columns()
    }

    /// Number of row groups.
    pub fn groups(&self) -> usize {
        self.reader.num_row_groups()
    }

    /// The columns of a row group.
    pub fn read(&self, group: usize) -> Result<RowTable> {
        told(|| self.read_group(group))
    }

    fn read_group(&self, group: usize) -> Result<RowTable> {
        let group = self.reader.get_row_group(group)?;
        let rows = usize::try_from(group.metadata().num_rows())
            .map_err(|_| other("a row group has a negative length"))?;
        let columns = self
            .head
            .columns
            .iter()
            .zip(&self.places)
            .map(|(c, &place)| {
                let reader = group.get_column_reader(place)?;
                let values = match &c.values {
                    CellValues::Text(_) => {
                        let texts = all(get::<ByteArrayType>(reader, rows, false)?)?;
                        CellValues::Text(texts.iter().map(text).collect::<Result<_>>()?)
                    }
                    CellValues::Count(_) => {
                        CellValues::Count(all(get::<Int64Type>(reader, rows, false)?)?)
                    }
                    CellValues::Number(_) => {
                        CellValues::Number(get::<DoubleType>(reader, rows, true)?)
                    }
                    CellValues::MaybeText(_) => CellValues::MaybeText(
                        get::<ByteArrayType>(reader, rows, true)?
                            .iter()
                            .map(|t| t.as_ref().map(text).transpose())
                            .collect::<Result<_>>()?,
                    ),
                    CellValues::MaybeCount(_) => {
                        CellValues::MaybeCount(get::<Int64Type>(reader, rows, true)?)
                    }
                    CellValues::MaybeFlag(_) => {
                        CellValues::MaybeFlag(get::<BoolType>(reader, rows, true)?)
                    }
                };
                if values.len() == rows {
                    Ok(RowColumn {
                        name: c.name.clone(),
                        meaning: c.meaning.clone(),
                        values,
                    })
                } else {
                    Err(other(&format!("column `{}` is too short", c.name)))
                }
            })
            .collect::<Result<_>>()?;
        Ok(RowTable { columns })
    }
}

fn text(bytes: &ByteArray) -> Result<String> {
    bytes.as_utf8().map(str::to_owned)
}

fn all<T>(values: Vec<Option<T>>) -> Result<Vec<T>> {
    values
        .into_iter()
        .collect::<Option<_>>()
        .ok_or_else(|| other("a value that must exist is absent"))
}

fn get<T: DataType>(
    reader: ColumnReader,
    rows: usize,
    may_be_absent: bool,
) -> Result<Vec<Option<T::T>>> {
    let mut reader = get_typed_column_reader::<T>(reader);
    // No room ahead: a forged footer may claim more rows than any memory holds.
    let mut values = Vec::new();
    let mut levels = Vec::new();
    let mut read = 0;
    while read < rows {
        let (records, _, _) = reader.read_records(
            rows - read,
            may_be_absent.then_some(&mut levels),
            None,
            &mut values,
        )?;
        if records == 0 {
            break;
        }
        read += records;
    }
    if !may_be_absent {
        return Ok(values.into_iter().map(Some).collect());
    }
    let mut present = values.into_iter();
    Ok(levels
        .iter()
        .map(|&level| if level > 0 { present.next() } else { None })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> RowTable {
        let column = |name: &str, values| RowColumn {
            name: name.to_owned(),
            meaning: format!("meaning of {name}"),
            values,
        };
        RowTable {
            columns: vec![
                column(
                    "pole",
                    CellValues::Text(vec!["HV-1".into(), "\u{e9}, \"x\"".into()]),
                ),
                column("load", CellValues::Number(vec![None, Some(1.0 / 3.0)])),
                column("failing", CellValues::Count(vec![0, 7])),
                column(
                    "reason",
                    CellValues::MaybeText(vec![Some(String::new()), None]),
                ),
                column("steps", CellValues::MaybeCount(vec![Some(-1), None])),
                column("stands", CellValues::MaybeFlag(vec![None, Some(true)])),
            ],
        }
    }

    fn written(groups: usize) -> Vec<u8> {
        let mut writer =
            RowWriter::new(Vec::new(), "t", &table(), &[("key", "value".to_owned())]).unwrap();
        for _ in 0..groups {
            writer.write(&table()).unwrap();
        }
        writer.finish().unwrap()
    }

    #[test]
    fn what_is_written_is_read_back() {
        let path = std::env::temp_dir().join(format!("giveway-rows-{}", std::process::id()));
        std::fs::write(&path, written(3)).unwrap();
        assert_eq!(written(3), written(3));
        let open = |head| RowReader::new(File::open(&path).unwrap(), head);
        let reader = open(table()).unwrap();
        assert_eq!(reader.groups(), 3);
        assert_eq!(reader.columns_in_file(), 6);
        assert_eq!(reader.fact("key"), Some("value"));
        assert_eq!(reader.fact("load"), Some("meaning of load"));
        assert_eq!(reader.read(2).unwrap(), table());
        let some = RowTable {
            columns: vec![table().columns.remove(4), table().columns.remove(0)],
        };
        assert_eq!(open(some.clone()).unwrap().read(0).unwrap(), some);
        // The same name with another kind is not found.
        let mut wrong = some;
        wrong.columns[0].values = CellValues::Number(Vec::new());
        assert!(open(wrong).is_err());
        std::fs::remove_file(&path).unwrap();
    }

    #[test]
    fn a_file_may_have_no_row() {
        let path = std::env::temp_dir().join(format!("giveway-no-rows-{}", std::process::id()));
        std::fs::write(&path, written(0)).unwrap();
        let reader = RowReader::new(File::open(&path).unwrap(), table()).unwrap();
        assert_eq!(reader.groups(), 0);
        std::fs::remove_file(&path).unwrap();
    }
}
