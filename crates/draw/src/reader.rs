//! The system of units of whoever looks at the pictures. A figure is drawn for every system and painted for this one; the
//! program sets it once, before anything is painted. Data stay SI.

use std::borrow::Cow;
use std::sync::atomic::{AtomicBool, Ordering};

use giveway_units::System;

use crate::figure::Figure;

static US: AtomicBool = AtomicBool::new(false);

/// Paints every figure and film from now on in a system of units.
pub fn paint_in(system: System) {
    US.store(system == System::Us, Ordering::Relaxed);
}

/// What is painted in now.
pub fn painted_in() -> System {
    if US.load(Ordering::Relaxed) {
        System::Us
    } else {
        System::Si
    }
}

/// The figure for the reader.
pub fn for_reader(figure: &Figure) -> Cow<'_, Figure> {
    match painted_in() {
        System::Si => Cow::Borrowed(figure),
        system => Cow::Owned(figure.said(system)),
    }
}
