//! Faults that somebody found; each file opens with what was seen and what is expected.

#[path = "regress/notch_narrower_than_its_bolt.rs"]
mod notch_narrower_than_its_bolt;
#[path = "regress/one_entry_of_a_list_hid_the_others.rs"]
mod one_entry_of_a_list_hid_the_others;
