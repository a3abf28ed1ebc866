//! A list of inspected poles on disk: one folder with the table as text for spreadsheets and as Parquet, whatever texts
//! go with it, and a manifest. All or nothing, as a run's folder.

use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::disk::{sync_folder, write_file};
use crate::folder::{check_name, hold_to_replace, write_manifest, write_whole};
use crate::manifest::RunFacts;
use crate::row_parquet::RowWriter;
use crate::row_table::RowTable;
use crate::sink::Sink;

/// What goes into the folder besides table and manifest.
#[derive(Debug, Clone, Copy)]
pub struct PoleFiles<'a> {
    /// The table: `poles.csv` and `poles.parquet`.
    pub table: &'a RowTable,
    /// Other files: name and content.
    pub others: &'a [(String, String)],
    /// Text of everything that was read, for its checksum in the manifest.
    pub input: &'a str,
    /// Circumstances.
    pub facts: &'a RunFacts,
}

/// Writes the folder and returns its path.
///
/// # Errors
/// Every error leaves the output path as it was and no half folder behind.
pub fn write_pole_folder(out: &Path, files: &PoleFiles) -> Result<PathBuf, ResultsError> {
    let csv = files.table.csv()?;
    for (name, _) in files.others {
        check_name(name)?;
    }
    write_whole(hold_to_replace(out, "inspect")?, |folder| {
        let mut entries = vec![write_file(folder, "poles.csv", csv.as_bytes())?];
        let path = folder.join("poles.parquet");
        let sink = RowWriter::new(Sink::create(&path)?, "poles", files.table, &[])
            .and_then(|mut writer| {
                writer.write(files.table)?;
                writer.finish()
            })
            .map_err(ResultsError::parquet(&path))?;
        entries.push(sink.finish("poles.parquet")?);
        for (name, content) in files.others {
            entries.push(write_file(folder, name, content.as_bytes())?);
        }
        write_manifest(folder, files.facts, files.input, entries)?;
        sync_folder(folder)
    })
}
