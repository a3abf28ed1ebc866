//! Figures as marks on a page, and their painting as SVG and PNG. It knows nothing of impacts: what a figure shows is said by
//! whoever draws it.
//!
//! ```text
//! marks, axes, curves --Figure::finish--> Figure --paint--> SVG, PNG, pixels
//! ```

pub mod animation;
pub mod axis;
pub mod chart;
pub mod clip;
mod error;
pub mod figure;
mod lettering;
pub mod paint;
pub mod palette;
mod raster;
mod reader;

pub use error::DrawError;
pub use lettering::text_width;
pub use reader::{for_reader, paint_in, painted_in};
