//! Rows out of many shards into blocks of one table, in a given order and in bounded memory: a block, and shards that are
//! needed again up to `KEPT_ROWS`. Shards that hold neighbouring runs are read about once.

use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::ResultsError;
use crate::row_table::{CellValues, RowColumn, RowTable};

use super::BLOCK_ROWS;
use super::card::StudyCard;
use super::row::{Cell, StudyRow};
use super::shard::{Shard, ShardName};
use super::spans::{At, Piece};

// Rows of shards that are kept for the next block.
const KEPT_ROWS: usize = 4 * BLOCK_ROWS;

/// A shard and its folder.
#[derive(Debug, Clone)]
pub struct Source {
    pub folder: PathBuf,
    pub name: ShardName,
}

/// Neighbouring rows of a source.
#[derive(Debug, Clone, Copy)]
pub struct SourceRows {
    pub at: At,
    pub rows: u64,
}

impl From<Piece> for SourceRows {
    fn from((runs, at): Piece) -> Self {
        SourceRows {
            at,
            rows: runs.end - runs.start,
        }
    }
}

/// Blocks of a table.
pub struct Assembly<'a> {
    head: RowTable,
    sources: &'a [Source],
    rows: std::vec::IntoIter<SourceRows>,
    // What the last block left of its last entry.
    over: Option<SourceRows>,
    // How many rows of each source are still to come.
    to_come: Vec<u64>,
    kept: BTreeMap<u32, RowTable>,
    kept_rows: usize,
}

impl<'a> Assembly<'a> {
    /// Of these rows in this order.
    pub fn new(card: &StudyCard, sources: &'a [Source], rows: Vec<SourceRows>) -> Self {
        let mut to_come = vec![0; sources.len()];
        for r in &rows {
            to_come[r.at.shard as usize] += r.rows;
        }
        Assembly {
            head: card.head(),
            sources,
            rows: rows.into_iter(),
            over: None,
            to_come,
            kept: BTreeMap::new(),
            kept_rows: 0,
        }
    }

    // The rows of the next block, each with its place there, and how many they are.
    fn wanted(&mut self) -> (Vec<(SourceRows, usize)>, usize) {
        let mut wanted = Vec::new();
        let mut filled = 0;
        while filled < BLOCK_ROWS {
            let Some(next) = self.over.take().or_else(|| self.rows.next()) else {
                break;
            };
            let rows = next.rows.min((BLOCK_ROWS - filled) as u64);
            wanted.push((SourceRows { rows, ..next }, filled));
            filled += rows as usize;
            self.over = (rows < next.rows).then(|| SourceRows {
                at: next.at.after(rows),
                rows: next.rows - rows,
            });
        }
        (wanted, filled)
    }

    /// The next `BLOCK_ROWS` rows, the last block shorter; none at the end.
    pub fn next_block(&mut self) -> Result<Option<RowTable>, ResultsError> {
        let (mut wanted, filled) = self.wanted();
        if filled == 0 {
            return Ok(None);
        }
        wanted.sort_by_key(|(r, slot)| (r.at.shard, *slot));
        let mut block = self.head.clone();
        for c in &mut block.columns {
            stretch(&mut c.values, filled);
        }
        for group in wanted.chunk_by(|a, b| a.0.at.shard == b.0.at.shard) {
            let source = group[0].0.at.shard;
            let shard = match self.kept.remove(&source) {
                Some(shard) => {
                    self.kept_rows -= shard.rows();
                    shard
                }
                None => {
                    let s = &self.sources[source as usize];
                    Shard::open(&s.folder, &s.name, self.head.clone())?.read()?
                }
            };
            for (to, from) in block.columns.iter_mut().zip(&shard.columns) {
                for (r, slot) in group {
                    for i in 0..r.rows as usize {
                        let row = r.at.row as usize + i;
                        copy_cell(&mut to.values, slot + i, &from.values, row);
                    }
                }
            }
            let to_come = &mut self.to_come[source as usize];
            *to_come -= group.iter().map(|(r, _)| r.rows).sum::<u64>();
            if *to_come > 0 && self.kept_rows + shard.rows() <= KEPT_ROWS {
                self.kept_rows += shard.rows();
                self.kept.insert(source, shard);
            }
        }
        Ok(Some(block))
    }
}

fn stretch(values: &mut CellValues, rows: usize) {
    match values {
        CellValues::Text(v) => v.resize(rows, String::new()),
        CellValues::Number(v) => v.resize(rows, None),
        CellValues::Count(v) => v.resize(rows, 0),
        CellValues::MaybeText(v) => v.resize(rows, None),
        CellValues::MaybeCount(v) => v.resize(rows, None),
        CellValues::MaybeFlag(v) => v.resize(rows, None),
    }
}

// Both are of the kind of the same column of the card.
fn copy_cell(to: &mut CellValues, slot: usize, from: &CellValues, row: usize) {
    match (to, from) {
        (CellValues::Text(to), CellValues::Text(from)) => to[slot].clone_from(&from[row]),
        (CellValues::Number(to), CellValues::Number(from)) => to[slot] = from[row],
        (CellValues::Count(to), CellValues::Count(from)) => to[slot] = from[row],
        (CellValues::MaybeText(to), CellValues::MaybeText(from)) => to[slot].clone_from(&from[row]),
        (CellValues::MaybeCount(to), CellValues::MaybeCount(from)) => to[slot] = from[row],
        (CellValues::MaybeFlag(to), CellValues::MaybeFlag(from)) => to[slot] = from[row],
        _ => unreachable!("a shard was read for the columns of the card"),
    }
}

/// The table of finished runs, whose cells fit the card.
///
/// # Errors
/// Cells that do not fit it.
pub fn table_of(card: &StudyCard, rows: &[StudyRow]) -> Result<RowTable, ResultsError> {
    let fixed = [
        CellValues::Count(
            rows.iter()
                .map(|r| i64::try_from(r.index).unwrap_or(i64::MAX))
                .collect(),
        ),
        CellValues::Text(rows.iter().map(|r| r.key.to_string()).collect()),
        CellValues::Count(vec![i64::from(card.model_version); rows.len()]),
        CellValues::MaybeFlag(rows.iter().map(|r| Some(r.failed)).collect()),
    ];
    let mut table = card.head();
    let (first, own) = table.columns.split_at_mut(fixed.len());
    for (column, values) in first.iter_mut().zip(fixed) {
        column.values = values;
    }
    for (i, column) in own.iter_mut().enumerate() {
        fill(column, rows, i)?;
    }
    table.check("the shard")?;
    Ok(table)
}

fn fill(column: &mut RowColumn, rows: &[StudyRow], i: usize) -> Result<(), ResultsError> {
    for r in rows {
        match (&mut column.values, &r.cells[i]) {
            (CellValues::Number(v), Cell::Number(x)) => v.push(*x),
            (CellValues::MaybeCount(v), Cell::Count(x)) => v.push(*x),
            (CellValues::MaybeText(v), Cell::Text(x)) => v.push(x.clone()),
            (CellValues::MaybeFlag(v), Cell::Flag(x)) => v.push(*x),
            (_, other) => {
                return Err(ResultsError::StudyInput {
                    place: format!("run {}, column `{}`", r.index, column.name),
                    reason: format!("it holds a cell of another kind ({:?})", other.kind()),
                });
            }
        }
    }
    Ok(())
}
