//! Figures as marks on a page, and their painting as SVG and PNG. It knows nothing of impacts: what a figure shows is said by
//! whoever draws it.
//!
//! ```text
//! marks, axes, curves --Figure::finish--> Figure --paint--> SVG, PNG, pixels
//! ```

pub mod animation;
mod axis;
mod chart;
mod clip;
mod error;
mod figure;
mod lettering;
pub mod paint;
mod palette;
mod raster;
mod reader;

pub use axis::{Axis, tick_text};
pub use chart::{Chart, EndLabel, Instant, spread, thinned, without_straights};
pub use clip::Window;
pub use error::DrawError;
pub use figure::{Anchor, Figure, Mark, Point, TextLook, circle, look};
pub use lettering::text_width;
pub use palette::*;
pub use reader::{for_reader, paint_in, painted_in};
