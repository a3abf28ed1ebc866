//! Figures of studies, torque windows and directions: from what was looked at in a study, and from the window's types.
//!
//! ```text
//! Analysis --study_figures----------------> surfaces, curves, shares beyond a limit, sensitivities
//! TorqueWindow --window_figure------------> a bar over the torque for everything that asks something of it
//! Fragility --fragility_figure------------> probability of failing an impact
//! Direction ... --directions_figure-------> resistance and velocity change round the base
//! ```
//!
//! Nothing is told by colour alone: bands have lines and numbers at their borders, series have dashes, markers and their
//! names beside them, a base that holds is hatched or marked by an open sign.

mod curves;
mod directions;
mod exceedance;
mod frame;
mod indices;
mod quantity;
mod screening;
mod shade;
mod sheet;
mod surface;
mod surface_cells;
mod surface_shown;
mod surface_smooth;
mod window;

pub use directions::directions_figure;
pub use exceedance::fragility_figure;
pub use window::{WindowPicture, window_figure};
pub(crate) use window::{drawn_window, headline};

use giveway_study::analysis::Analysis;

use crate::{FigureFile, ReportError, painted};
use giveway_draw::Figure;
pub(crate) use quantity::Quantity;
use sheet::Facts;

/// Draws everything that was looked at in a study.
///
/// # Errors
/// A number that is not finite, a painter that fails.
pub fn study_figures(analysis: &Analysis, caution: &str) -> Result<Vec<FigureFile>, ReportError> {
    drawn(analysis, caution)?.iter().map(painted).collect()
}

/// Names of the figures, in their order.
///
/// # Errors
/// A number that is not finite.
pub fn study_figure_names(analysis: &Analysis) -> Result<Vec<String>, ReportError> {
    let figures = drawn(analysis, "")?;
    Ok(figures.iter().map(|f| f.name().to_owned()).collect())
}

/// The same figures before they are painted.
pub(crate) fn drawn(analysis: &Analysis, caution: &str) -> Result<Vec<Figure>, ReportError> {
    let facts = Facts { analysis, caution };
    let mut names = sheet::Names::default();
    let mut figures = Vec::new();
    for (i, s) in analysis.surfaces.iter().enumerate() {
        let name = names.of(&["surface", &s.value], i, &s.fixed);
        figures.push(surface::draw(&name, s, &facts)?);
    }
    for (i, c) in analysis.curves.iter().enumerate() {
        let name = names.of(&["curves", &c.value, "by", &c.x.column], i, &c.fixed);
        figures.push(curves::draw(&name, c, &facts)?);
    }
    for (i, e) in analysis.exceedances.iter().enumerate() {
        let name = names.of(&["beyond", &e.value], i, &e.fixed);
        figures.push(exceedance::draw(&name, e, &facts)?);
    }
    for (i, s) in analysis.screenings.iter().enumerate() {
        let name = names.of(&["screening", &s.value], i, &s.fixed);
        figures.push(screening::draw(&name, s, &facts)?);
    }
    for (i, s) in analysis.indices.iter().enumerate() {
        let name = names.of(&["indices", &s.value], i, &s.fixed);
        figures.push(indices::draw(&name, s, &facts)?);
    }
    Ok(figures)
}
