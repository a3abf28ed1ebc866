//! Reading of a closed study, block by block.

use std::fs::File;
use std::path::{Path, PathBuf};

use crate::ResultsError;
use crate::read::{State, read_json, state_of};
use crate::row_parquet::RowReader;
use crate::row_table::RowTable;

use super::card::{FORMAT, STUDY_KIND, StudyFile};
use super::closing::{PARQUET_NAME, STUDY_NAME};

/// A closed study.
#[derive(Debug)]
pub struct Study {
    /// What its `study.json` says.
    pub file: StudyFile,
    folder: PathBuf,
}

/// Opens the folder of a closed or merged study and compares its files with their checksums.
///
/// # Errors
/// A folder that holds no closed study, or a file that was changed since.
pub fn read_study(folder: &Path) -> Result<Study, ResultsError> {
    let path = folder.join(STUDY_NAME);
    if !path.exists() {
        return Err(ResultsError::NoStudy {
            folder: folder.to_owned(),
            reason: format!(
                "it has no `{STUDY_NAME}`; a study that was interrupted is closed by the command that began it"
            ),
        });
    }
    let what = "a closed study";
    let file: StudyFile = read_json(&path, what)?;
    if file.kind != STUDY_KIND || file.format != FORMAT {
        return Err(ResultsError::Json {
            path,
            what,
            reason: format!(
                "it is `{}` of format {} instead of `{STUDY_KIND}` of format {FORMAT}",
                file.kind, file.format
            ),
        });
    }
    for entry in &file.files {
        let path = folder.join(&entry.name);
        let reason = match state_of(&path, entry)? {
            State::Same => continue,
            State::Changed => "was changed since the study was closed",
            State::Missing => "is missing since the study was closed",
        };
        return Err(ResultsError::Altered {
            path,
            reason: reason.to_owned(),
        });
    }
    Ok(Study {
        file,
        folder: folder.to_owned(),
    })
}

impl Study {
    /// The rows in the order of the plan, at most `BLOCK_ROWS` at a time; only the named columns, in that order, or all of
    /// them if none is named.
    ///
    /// # Errors
    /// A column that the study does not have, or a file that does not read.
    pub fn blocks(&self, columns: &[&str]) -> Result<Blocks, ResultsError> {
        let mut head = self.file.card.head();
        if !columns.is_empty() {
            head.columns = columns
                .iter()
                .map(|name| {
                    head.column(name)
                        .cloned()
                        .ok_or_else(|| ResultsError::StudyInput {
                            place: format!("column `{name}`"),
                            reason: "the study has no such column".to_owned(),
                        })
                })
                .collect::<Result<_, _>>()?;
        }
        let names: Vec<&str> = if self.file.parts.is_empty() {
            vec![PARQUET_NAME]
        } else {
            self.file
                .parts
                .iter()
                .map(|part| part.name.as_str())
                .collect()
        };
        let paths: Vec<PathBuf> = names.iter().map(|name| self.folder.join(name)).collect();
        let mut blocks = Blocks {
            head,
            paths: paths.into_iter(),
            open: None,
        };
        // What is wrong with the columns is said at once.
        blocks.next_file()?;
        Ok(blocks)
    }
}

/// Blocks of a study's table.
pub struct Blocks {
    head: RowTable,
    paths: std::vec::IntoIter<PathBuf>,
    open: Option<OpenFile>,
}

struct OpenFile {
    reader: RowReader,
    path: PathBuf,
    next: usize,
}

impl Blocks {
    // Goes on to the next file, if there is one.
    fn next_file(&mut self) -> Result<(), ResultsError> {
        self.open = None;
        let Some(path) = self.paths.next() else {
            return Ok(());
        };
        let file = File::open(&path).map_err(ResultsError::io("read", &path))?;
        let reader =
            RowReader::new(file, self.head.clone()).map_err(ResultsError::parquet_read(&path))?;
        self.open = Some(OpenFile {
            reader,
            path,
            next: 0,
        });
        Ok(())
    }
}

impl Iterator for Blocks {
    type Item = Result<RowTable, ResultsError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let file = self.open.as_mut()?;
            if file.next < file.reader.groups() {
                file.next += 1;
                let read = file.reader.read(file.next - 1);
                return Some(read.map_err(ResultsError::parquet_read(&file.path)));
            }
            if let Err(problem) = self.next_file() {
                return Some(Err(problem));
            }
        }
    }
}
