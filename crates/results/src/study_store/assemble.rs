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

// Rows of shards that are kept for the next block.
const KEPT_ROWS: usize = 4 * BLOCK_ROWS;

/// A shard and its folder.
#[derive(Debug, Clone)]
pub struct Source {
    pub folder: PathBuf,
    pub name: ShardName,
}

/// A row of a source.
#[derive(Debug, Clone, Copy)]
pub struct SourceRow {
    pub source: u32,
    pub row: u32,
}

/// Blocks of a table.
pub struct Assembly<'a> {
    head: RowTable,
    sources: &'a [Source],
    rows: Vec<SourceRow>,
    next: usize,
    // How many rows of each source are still to come.
    to_come: Vec<usize>,
    kept: BTreeMap<u32, RowTable>,
    kept_rows: usize,
}

impl<'a> Assembly<'a> {
    /// Of these rows in this order.
    pub fn new(card: &StudyCard, sources: &'a [Source], rows: Vec<SourceRow>) -> Self {
        let mut to_come = vec![0; sources.len()];
        for r in &rows {
            to_come[r.source as usize] += 1;
        }
        Assembly {
            head: card.head(),
            sources,
            rows,
            next: 0,
            to_come,
            kept: BTreeMap::new(),
            kept_rows: 0,
        }
    }

    /// The next `BLOCK_ROWS` rows, the last block shorter; none at the end.
    pub fn next_block(&mut self) -> Result<Option<RowTable>, ResultsError> {
        let end = self.rows.len().min(self.next + BLOCK_ROWS);
        if self.next == end {
            return Ok(None);
        }
        let mut wanted: Vec<(SourceRow, usize)> =
            self.rows[self.next..end].iter().copied().zip(0..).collect();
        wanted.sort_by_key(|(r, slot)| (r.source, *slot));
        let mut block = self.head.clone();
        for c in &mut block.columns {
            stretch(&mut c.values, end - self.next);
        }
        for group in wanted.chunk_by(|a, b| a.0.source == b.0.source) {
            let source = group[0].0.source;
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
                    copy_cell(&mut to.values, *slot, &from.values, r.row as usize);
                }
            }
            let to_come = &mut self.to_come[source as usize];
            *to_come -= group.len();
            if *to_come > 0 && self.kept_rows + shard.rows() <= KEPT_ROWS {
                self.kept_rows += shard.rows();
                self.kept.insert(source, shard);
            }
        }
        self.next = end;
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
