//! Faults that somebody found; each file opens with what was seen and what is expected.

#[path = "regress/cells_had_no_column.rs"]
mod cells_had_no_column;
#[path = "regress/cleaning_pointed_at_no_cell.rs"]
mod cleaning_pointed_at_no_cell;
#[path = "regress/evidence_told_one_fault.rs"]
mod evidence_told_one_fault;
#[path = "regress/one_wrong_value_hid_the_others.rs"]
mod one_wrong_value_hid_the_others;
