//! One-page documents for paper: HTML that holds everything it needs, without script, network or shipped font.
//!
//! A page is a title block, bands of columns with sections, signature lines and a caution. All text is escaped here
//! and nowhere else, so callers pass plain text. The result is also well-formed XML, so that any reader can check it.
//! It is laid out for the part that A4 and US Letter share and set in the largest type that fits there;
//! [`Document::fit`] tells which that is, and whether the page is one page at all.
//!
//! Nothing depends on colour: verdicts are words in frames whose line differs ([`Mark`]).
//!
//! An inspection report, for example, is one band with one column:
//!
//! ```
//! use giveway_report::printed::*;
//!
//! let rows = vec![Row {
//!     head: "grout at the bolt heads".into(),
//!     cells: vec![
//!         Cell::text("at least 13 mm clear"),
//!         Cell::text("-22 mm"),
//!         Cell::verdict(Mark::Fails, "does not meet"),
//!     ],
//! }];
//! let table = Table {
//!     caption: "Items against their requirements".into(),
//!     columns: vec![
//!         Head::left("Item", 3.0),
//!         Head::left("Requirement", 3.0),
//!         Head::right("Measured", 1.5),
//!         Head::left("Verdict", 1.5),
//!     ],
//!     rows,
//! };
//! let mut page = Document::new("Inspection report", "Pole HV-017");
//! page.facts = vec![("Date".into(), "2031-05-04".into())];
//! page.verdict = Some(Verdict::new(Mark::Fails, "No go", "Clear the grout first."));
//! page.bands = vec![Band::whole(vec![Section::new("Requirements", vec![Part::Table(table)])])];
//! page.caution = "Engineering estimate.".into();
//! assert!(page.fit().one_page);
//! let html = page.html();
//! assert!(html.starts_with("<!DOCTYPE html>"));
//! ```

mod content;
#[cfg(test)]
mod contrast;
pub mod drawing;
mod escape;
mod fit;
mod style;
mod write;

pub use content::{
    Align, Band, Cell, Column, Document, Head, Mark, Part, Picture, Row, Section, Step, Table,
    Verdict,
};
pub use escape::escaped;
pub(crate) use escape::{facts, framed, lead, policy};
pub use fit::Fit;
pub use style::WIDTH_MM;
