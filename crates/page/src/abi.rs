//! The C interface: two functions and an address. Numbers that cross it are lengths in bytes; texts are UTF-8.
//!
//! ```text
//! place = giveway_place(length)       memory for a request of that length; the page writes the request there
//! length = giveway_ask()              computes; the length of the answer
//! place = giveway_answer()            where the answer stands, until the next giveway_place
//! ```

#![allow(unsafe_code)]

use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::Engine;

/// Longest request that is taken, bytes: a scenario file has at most a megabyte.
const LONGEST: usize = 4 << 20;

struct Desk {
    engine: Option<Engine>,
    request: Vec<u8>,
    answer: String,
}

static DESK: Mutex<Desk> = Mutex::new(Desk {
    engine: None,
    request: Vec::new(),
    answer: String::new(),
});

fn desk() -> MutexGuard<'static, Desk> {
    DESK.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Memory for a request of `length` bytes; a null address where that is too long.
#[unsafe(no_mangle)]
pub extern "C" fn giveway_place(length: usize) -> *mut u8 {
    let mut desk = desk();
    desk.answer = String::new();
    if length > LONGEST {
        desk.request = Vec::new();
        return std::ptr::null_mut();
    }
    desk.request = vec![0; length];
    desk.request.as_mut_ptr()
}

/// Answers the request that was written to the place; returns the length of the answer.
#[unsafe(no_mangle)]
pub extern "C" fn giveway_ask() -> usize {
    let mut desk = desk();
    let request = std::mem::take(&mut desk.request);
    let engine = desk.engine.get_or_insert_with(Engine::new);
    let answer = engine.answer(&String::from_utf8_lossy(&request));
    desk.answer = answer;
    desk.answer.len()
}

/// Where the answer stands.
#[unsafe(no_mangle)]
pub extern "C" fn giveway_answer() -> *const u8 {
    desk().answer.as_ptr()
}
