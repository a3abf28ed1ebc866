//! Faults that somebody found; each file opens with what was seen and what is expected.

#[path = "regress/damaged_table_ended_the_program.rs"]
mod damaged_table_ended_the_program;
#[path = "../../../tests/thorough.rs"]
mod thorough;
