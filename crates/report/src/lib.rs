//! Figures and texts for a terminal. It computes nothing: every number comes from `impact`, `results`, `study`
//! and `site`.
//!
//! ```text
//! Scenario, Engagement, Summary --draw_all--> Figure (marks on a page) --paint--> SVG, PNG, text alternative
//! ```

use giveway_draw::{Figure, paint};
use giveway_impact::outcome::Engagement;
use giveway_results::Summary;
use giveway_scenario::model::Scenario;

mod base;
mod body;
mod closeup;
pub mod codes;
mod comparison;
mod contact;
mod dossier;
mod energy;
mod error;
pub mod film;
mod flight;
mod form;
mod found;
mod headline;
mod history;
mod inspection_page;
mod inspection_text;
mod joint;
mod laboratory;
mod lesson;
mod lines;
mod live;
mod motion;
mod overlay;
mod page;
pub mod printed;
mod review_record;
mod sheet_chord;
mod sheet_facts;
mod sheet_page;
mod sheet_plan;
mod sheet_section;
#[cfg(test)]
mod sheet_tests;
mod sheet_text;
mod storyboard;
pub mod study_figures;
mod survey_page;
mod view;
mod window_text;

pub use comparison::{Instant, Picture, Side, comparison};
pub use dossier::{StudyContents, WindowContents, run_report, study_report, window_report};
pub use form::form_page;
pub use headline::headline;
pub use inspection_page::inspection_page;
pub use inspection_text::{inspection_text, survey_text};
pub use laboratory::{DrawnParameter, band_figure, pair_figure};
pub use lesson::{
    Case, Lesson, LessonCase, LessonError, LessonPages, MOST_CASES, PLACES, lesson_pages,
};
pub use live::{LiveCase, LivePage, live_page};
pub use overlay::{OverlayPanel, overlay};
pub use review_record::{ReviewFacts, review_record};
pub use sheet_page::{installation_page, installation_page_warning};
pub use sheet_text::installation_text;
pub use survey_page::survey_page;
pub use window_text::{designs_text, window_text};

pub use error::ReportError;
use history::History;

/// A painted figure.
#[derive(Debug, Clone, PartialEq)]
pub struct FigureFile {
    /// File stem, for example `motion`.
    pub name: String,
    /// Scalable picture.
    pub svg: String,
    /// Picture of 1400 px width.
    pub png: Vec<u8>,
    /// What it shows, in words with numbers.
    pub alt_text: String,
}

/// Draws the picture of a run: six instants from the side and from above.
///
/// # Errors
/// No snapshots, or a number that is not finite: the error names it.
pub fn draw_storyboard(
    scenario: &Scenario,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<FigureFile, ReportError> {
    painted(&storyboard::draw(scenario, engagement, summary)?)
}

/// Draws every figure of a run.
///
/// # Errors
/// An empty trace, no snapshots, or a number that is not finite: the error names it.
pub fn draw_all(
    scenario: &Scenario,
    engagement: &Engagement,
    summary: &Summary,
) -> Result<Vec<FigureFile>, ReportError> {
    let history = History::new(&engagement.trace)?;
    let mut figures = vec![
        motion::draw(&history, engagement, summary)?,
        contact::draw(&history, engagement, summary)?,
        joint::draw(&history, scenario, engagement, summary)?,
        energy::draw(&history, engagement, summary)?,
        storyboard::draw(scenario, engagement, summary)?,
    ];
    figures.extend(flight::draw(scenario, engagement, summary)?);
    figures.iter().map(painted).collect()
}

fn painted(figure: &Figure) -> Result<FigureFile, ReportError> {
    Ok(FigureFile {
        name: figure.name().to_owned(),
        svg: paint::svg(figure)?,
        png: paint::png(figure)?,
        alt_text: giveway_draw::for_reader(figure).alt_text().to_owned(),
    })
}
