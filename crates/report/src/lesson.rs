//! Lessons: a page for the projector, a handout with blanks and its key, from a short file and computed runs. Every number
//! comes from the runs; every text is escaped.
//!
//! ```text
//! text --Lesson::read--> Lesson
//! Lesson, (Scenario, Engagement, Summary, replay) of each case --lesson_pages--> page, handout, key (HTML)
//! ```

mod document;
mod fill;
mod handout;
mod picture;
mod slides;
mod words;

use giveway_impact::outcome::Engagement;
use giveway_results::Summary;
use giveway_scenario::model::Scenario;

pub use document::{Case, Lesson, MOST_CASES};
pub use fill::PLACES;

use crate::dossier::picture::{Inline, of_figure};
use crate::{ReportError, storyboard};
use fill::Piece;

/// The script that plays replays.
const PLAYER: &str = include_str!("../assets/player.js");

/// What can be wrong with a lesson.
#[derive(Debug, thiserror::Error)]
pub enum LessonError {
    /// A language that is not there.
    #[error("{0}")]
    Language(String),
    /// A text asks for something that is not there.
    #[error("case {case}: `{text}`: {reason}")]
    Place {
        /// Number, from 1.
        case: usize,
        /// Which text.
        text: &'static str,
        /// Why.
        reason: String,
    },
    /// A picture could not be drawn.
    #[error("case {case}: {source}")]
    Picture {
        /// Number, from 1.
        case: usize,
        /// Why.
        source: ReportError,
    },
    /// The player cannot stand in a page.
    #[error("the player's script holds the end of a script element")]
    Player,
}

/// A computed case.
#[derive(Debug, Clone, Copy)]
pub struct LessonCase<'a> {
    /// Its scenario.
    pub scenario: &'a Scenario,
    /// What happened, with snapshots.
    pub engagement: &'a Engagement,
    /// What happened, in numbers.
    pub summary: &'a Summary,
    /// Content of its `replay.json`; none to show the still picture alone.
    pub replay: Option<&'a str>,
}

/// The pages of a lesson, each one HTML text that needs no other file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LessonPages {
    /// For the projector.
    pub page: String,
    /// One sheet with blanks.
    pub handout: String,
    /// The sheet filled in.
    pub key: String,
}

/// A case with its texts filled and its pictures drawn.
pub(crate) struct Filled<'a> {
    case: &'a Case,
    summary: &'a Summary,
    replay: Option<&'a str>,
    question: Vec<Piece>,
    watch: Vec<Piece>,
    finding: Vec<Piece>,
    action: Vec<Piece>,
    /// The impact in instants.
    still: Inline,
    /// The slip base at one instant.
    base: Inline,
}

/// Writes the pages; `cases` are those of the lesson in its order.
///
/// # Errors
/// An unknown language or place, or a picture that cannot be drawn.
pub fn lesson_pages(lesson: &Lesson, cases: &[LessonCase<'_>]) -> Result<LessonPages, LessonError> {
    let words = words::words(&lesson.language).map_err(LessonError::Language)?;
    let summaries: Vec<&Summary> = cases.iter().map(|c| c.summary).collect();
    let mut filled = Vec::with_capacity(cases.len());
    for (i, (case, computed)) in lesson.cases.iter().zip(cases).enumerate() {
        let pieces = |text: &'static str, of: &str| {
            fill::pieces(of, i, &summaries, &words).map_err(|reason| LessonError::Place {
                case: i + 1,
                text,
                reason,
            })
        };
        let picture = |source| LessonError::Picture {
            case: i + 1,
            source,
        };
        let still = storyboard::draw(computed.scenario, computed.engagement, computed.summary)
            .and_then(|figure| of_figure(&figure, &format!("still-{}", i + 1)))
            .map_err(picture)?;
        let base = picture::base_figure(
            "base",
            &case.name,
            computed.scenario,
            computed.engagement,
            1e-3 * f64::from(lesson.handout_time_ms),
        )
        .and_then(|figure| of_figure(&figure, &format!("base-{}", i + 1)))
        .map_err(picture)?;
        filled.push(Filled {
            case,
            summary: computed.summary,
            replay: computed.replay,
            question: pieces("question", &case.question)?,
            watch: pieces("watch", &case.watch)?,
            finding: pieces("finding", &case.finding)?,
            action: pieces("action", &case.action)?,
            still,
            base,
        });
    }
    Ok(LessonPages {
        page: slides::page(lesson, &words, &filled, PLAYER)?,
        handout: handout::sheet(lesson, &words, &filled, false),
        key: handout::sheet(lesson, &words, &filled, true),
    })
}
