//! Seen: bytes of a table of numbers in Parquet, changed at random, ended the program: the library that reads them panics, where
//! it should return an error, at a page that refers to a dictionary which is not there. Expected: with any one byte changed the
//! table is read or the file is told as one that does not read.

use std::sync::Arc;

use giveway_results::NumberTable;
use parquet::basic::{Repetition, Type as PhysicalType};
use parquet::data_type::DoubleType;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;

use crate::thorough;

fn sound(dictionary: bool) -> Vec<u8> {
    let column = Type::primitive_type_builder("time_s", PhysicalType::DOUBLE)
        .with_repetition(Repetition::REQUIRED)
        .build()
        .unwrap();
    let schema = Type::group_type_builder("history")
        .with_fields(vec![Arc::new(column)])
        .build()
        .unwrap();
    let properties = WriterProperties::builder()
        .set_dictionary_enabled(dictionary)
        .build();
    let mut writer =
        SerializedFileWriter::new(Vec::new(), Arc::new(schema), Arc::new(properties)).unwrap();
    let mut group = writer.next_row_group().unwrap();
    let mut column = group.next_column().unwrap().unwrap();
    let values = [1.0, 2.0, 1.0];
    let typed = column.typed::<DoubleType>();
    typed.write_batch(&values, None, None).unwrap();
    column.close().unwrap();
    group.close().unwrap();
    writer.into_inner().unwrap()
}

#[test]
fn with_any_byte_changed_it_is_read_or_told() {
    let path = std::env::temp_dir().join(format!("giveway-damaged-{}", std::process::id()));
    let mut damaged = 0;
    for dictionary in [false, true] {
        let sound = sound(dictionary);
        std::fs::write(&path, &sound).unwrap();
        let read = NumberTable::of_parquet(&path).unwrap();
        assert_eq!(read.column("time_s"), Some(&[1.0, 2.0, 1.0][..]));
        for place in 0..sound.len() {
            // One bit by default, one to four bits beside each other in a thorough search.
            for kind in 0..thorough::of(32) {
                let bits = [1_u8, 3, 7, 15][kind as usize / 8].rotate_left(kind % 8);
                let mut changed = sound.clone();
                changed[place] ^= bits;
                std::fs::write(&path, &changed).unwrap();
                if let Err(told) = NumberTable::of_parquet(&path) {
                    damaged += usize::from(told.to_string().contains("its bytes are damaged"));
                }
            }
        }
    }
    std::fs::remove_file(&path).unwrap();
    // The library panics at some of them; if it no longer does, `told` of `parquet_file` may go.
    assert!(damaged > 0);
}
