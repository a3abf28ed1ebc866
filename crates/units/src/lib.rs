//! Quantities as text: "50 km/h" to SI with a dimension check, and SI back to text that reads to the
//! very same bits. It knows units and numbers; it knows nothing of scenarios, files or mechanics.
//!
//! ```
//! use giveway_units::{parse, exact_text, Dimension};
//! let torque = parse("150 lbf.ft", Dimension::Torque).unwrap();
//! assert_eq!(torque.si, 203.37269224971004);
//! assert_eq!(exact_text(torque.si, Dimension::Torque, "lbf.ft"), "150 lbf.ft");
//! assert!(parse("150", Dimension::Torque).unwrap_err().to_string().contains("no unit"));
//! ```
//!
//! References: A. Thompson and B. N. Taylor, Guide for the Use of the International System of Units,
//! NIST Special Publication 811, 2008 edition, appendix B (factors in bold there are exact: inch 0.0254 m, foot
//! 0.3048 m, mile 1609.344 m, pound 0.453 592 37 kg, standard gravity 9.806 65 m/s^2); International yard
//! and pound agreement, 1959.

mod dimension;
mod nearest;
mod number;
mod quantity;
mod speak;
mod system;
mod text;

pub use dimension::{Dimension, Unit};
pub use nearest::{edit_distance, nearest};
pub use number::{shortest_number, shown};
pub use quantity::{Quantity, UnitError, parse, unit_named};
pub use speak::{spoken, spoken_page, spoken_title};
pub use system::{System, in_inches};
pub use text::{exact_text, in_unit, invisible, shown_in};
