//! Tables for other libraries, by the C interfaces of Arrow.
//!
//! References
//! - Apache Arrow, The Arrow C data interface, The Arrow C stream interface, The Arrow PyCapsule interface: names of the
//!   capsules (`arrow_schema`, `arrow_array`, `arrow_array_stream`), who releases what.

#![allow(unsafe_code)]

use std::path::PathBuf;
use std::sync::Arc;

use arrow_array::ffi::{FFI_ArrowArray, FFI_ArrowSchema};
use arrow_array::ffi_stream::FFI_ArrowArrayStream;
use arrow_array::{
    Array, ArrayRef, BooleanArray, Float64Array, Int64Array, RecordBatch, RecordBatchIterator,
    StringArray, StructArray,
};
use arrow_schema::{ArrowError, DataType, Field, Schema};
use giveway_results::{CellValues, RowColumn, RowTable, read_study};
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyCapsuleMethods};

use crate::function::function;
use crate::refusal::Refusal;

/// Name of the capsule that holds a table between the calls.
const TABLE: &std::ffi::CStr = c"giveway.table";

/// A table in memory as one batch. What a column means goes with it.
pub fn batch(table: RowTable) -> Result<RecordBatch, Refusal> {
    batch_of(table).map_err(|e| Refusal::compute(&e.to_string()))
}

fn batch_of(table: RowTable) -> Result<RecordBatch, ArrowError> {
    let schema = Arc::new(schema_of(&table.columns));
    let arrays = table
        .columns
        .into_iter()
        .map(|c| -> ArrayRef {
            match c.values {
                CellValues::Text(v) => Arc::new(StringArray::from(v)),
                CellValues::Number(v) => Arc::new(Float64Array::from(v)),
                CellValues::Count(v) => Arc::new(Int64Array::from(v)),
                CellValues::MaybeText(v) => Arc::new(StringArray::from(v)),
                CellValues::MaybeCount(v) => Arc::new(Int64Array::from(v)),
                CellValues::MaybeFlag(v) => Arc::new(BooleanArray::from(v)),
            }
        })
        .collect();
    RecordBatch::try_new(schema, arrays)
}

fn schema_of(columns: &[RowColumn]) -> Schema {
    let field = |c: &RowColumn| {
        let (kind, nullable) = match &c.values {
            CellValues::Text(_) => (DataType::Utf8, false),
            CellValues::Number(_) => (DataType::Float64, true),
            CellValues::Count(_) => (DataType::Int64, false),
            CellValues::MaybeText(_) => (DataType::Utf8, true),
            CellValues::MaybeCount(_) => (DataType::Int64, true),
            CellValues::MaybeFlag(_) => (DataType::Boolean, true),
        };
        let meaning = [("meaning".to_owned(), c.meaning.clone())];
        Field::new(&c.name, kind, nullable).with_metadata(std::collections::HashMap::from(meaning))
    };
    Schema::new(columns.iter().map(field).collect::<Vec<_>>())
}

/// A table of numbers, whose values may be no numbers (`NaN`) and are handed out so.
pub fn numbers(columns: Vec<(String, String, Vec<f64>)>) -> Result<RecordBatch, Refusal> {
    let columns = columns
        .into_iter()
        .map(|(name, meaning, values)| RowColumn {
            name,
            meaning,
            values: CellValues::Number(values.into_iter().map(Some).collect()),
        });
    batch(RowTable {
        columns: columns.collect(),
    })
}

/// The capsule that Python keeps.
pub fn kept(py: Python<'_>, batch: RecordBatch) -> PyResult<Bound<'_, PyCapsule>> {
    PyCapsule::new_with_value(py, batch, TABLE)
}

/// Adds `array`, `stream` (of a table in memory), `stream_of_folder` and `rows`.
pub fn add(m: &Bound<'_, PyModule>) -> PyResult<()> {
    function(m, c"array", |args| {
        let batch = of(&args.get_item(0)?)?;
        let data = StructArray::from(batch).into_data();
        let schema = FFI_ArrowSchema::try_from(data.data_type()).map_err(said)?;
        let py = args.py();
        let schema = PyCapsule::new_with_value(py, schema, c"arrow_schema")?;
        let array = PyCapsule::new_with_value(py, FFI_ArrowArray::new(&data), c"arrow_array")?;
        PyResult::Ok((schema.unbind(), array.unbind()))
    })?;
    function(m, c"stream", |args| {
        let batch = of(&args.get_item(0)?)?;
        let reader = RecordBatchIterator::new([Ok(batch.clone())], batch.schema());
        let stream = FFI_ArrowArrayStream::new(Box::new(reader));
        PyCapsule::new_with_value(args.py(), stream, c"arrow_array_stream").map(Bound::unbind)
    })?;
    function(m, c"stream_of_folder", |args| {
        let py = args.py();
        let folder: PathBuf = args.get_item(0)?.extract()?;
        let stream = py
            .detach(|| stream_of_folder(&folder))
            .map_err(|r| r.raised(py))?;
        PyCapsule::new_with_value(py, stream, c"arrow_array_stream").map(Bound::unbind)
    })?;
    function(m, c"rows", |args| {
        of(&args.get_item(0)?).map(|batch| batch.num_rows())
    })?;
    Ok(())
}

/// Block by block, each read when it is asked for.
fn stream_of_folder(folder: &std::path::Path) -> Result<FFI_ArrowArrayStream, Refusal> {
    let study = read_study(folder)?;
    let mut blocks = study.blocks(&[])?.peekable();
    let head = match blocks.peek() {
        Some(Ok(block)) => schema_of(&block.columns),
        _ => schema_of(&table_head(&study.file.card)?),
    };
    let batches = blocks.map(|block| {
        block
            .map_err(|e| ArrowError::ExternalError(Box::new(e)))
            .and_then(batch_of)
    });
    let reader = RecordBatchIterator::new(batches, Arc::new(head));
    Ok(FFI_ArrowArrayStream::new(Box::new(reader)))
}

fn table_head(card: &giveway_results::StudyCard) -> Result<Vec<RowColumn>, Refusal> {
    Ok(giveway_results::table_of(card, &[])?.columns)
}

fn of(capsule: &Bound<'_, PyAny>) -> PyResult<RecordBatch> {
    let capsule = capsule.cast::<PyCapsule>()?;
    let place = capsule.pointer_checked(Some(TABLE))?;
    // SAFETY: a capsule of this name is made by `kept` alone, from a RecordBatch, and lives as long as `capsule`.
    Ok(unsafe { place.cast::<RecordBatch>().as_ref() }.clone())
}

fn said(problem: ArrowError) -> PyErr {
    pyo3::exceptions::PyRuntimeError::new_err(problem.to_string())
}
