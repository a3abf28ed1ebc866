//! Faults that somebody found; each file opens with what was seen and what is expected.

#[path = "regress/one_value_of_a_grid_hid_the_others.rs"]
mod one_value_of_a_grid_hid_the_others;
