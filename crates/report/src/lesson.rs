//! Lessons: a page for the projector, a handout with blanks and its key, from a short file and computed runs. Every number
//! comes from the runs; every text is escaped.
//!
//! ```text
//! text --Lesson::read--> Lesson
//! Lesson, (Scenario, Engagement, Summary, replay) of each case --lesson_pages--> page, handout, key (HTML)
//! ```

pub mod codes;
mod document;
mod fill;
mod handout;
mod opening;
mod picture;
mod section;
mod slides;
mod words;

use giveway_impact::outcome::Engagement;
use giveway_results::{Replay, Summary};
use giveway_scenario::model::Scenario;
use giveway_site::Inspection;
use giveway_site::requirements::Verdict;
use giveway_units::{System, spoken};

pub use document::{Case, Lesson, MOST_CASES};
pub use fill::PLACES;
pub(crate) use section::{Carrier, DOTS, Fill, GROUT, LETTER, Layer, Paint, Section, Thing, ahead};
pub(crate) use words::words;

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
    /// A replay cannot be written.
    #[error("case {case}: {source}")]
    Replay {
        /// Number, from 1.
        case: usize,
        /// Why.
        source: giveway_results::ResultsError,
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
    /// Its motion; none to show the still picture alone.
    pub replay: Option<&'a Replay>,
    /// What was measured at the pole, where the case begins with a site record.
    pub inspection: Option<&'a Inspection>,
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
    name: String,
    system: System,
    scenario: &'a Scenario,
    summary: &'a Summary,
    replay: Option<&'a Replay>,
    /// The replay as it stands in the page.
    script: Option<String>,
    card: Option<Card>,
    question: Vec<Piece>,
    watch: Vec<Piece>,
    finding: Vec<Piece>,
    action: Vec<Piece>,
    /// The impact in instants.
    still: Inline,
    /// The slip base at one instant.
    base: Inline,
}

/// A site record to be judged.
pub(crate) struct Card {
    pole: String,
    rows: Vec<CardRow>,
    decision: String,
    go: bool,
}

/// One line of it.
struct CardRow {
    item: String,
    measured: String,
    required: String,
    verdict: String,
    meets: bool,
}

impl Card {
    /// The items that are judged: those that fail and those that matter to the blow.
    fn of(inspection: &Inspection) -> Self {
        let fails = |v: Verdict| v == Verdict::Fails;
        let rows = (inspection.items.iter())
            .filter(|i| fails(i.verdict) || SHOWN.contains(&i.item.as_str()))
            .map(|i| CardRow {
                item: i.requirement.clone(),
                measured: i.measured.clone(),
                required: i.limit.clone(),
                verdict: i.verdict.words().to_owned(),
                meets: !fails(i.verdict),
            })
            .collect();
        Self {
            pole: inspection.pole.clone(),
            rows,
            decision: inspection.decision.words().to_owned(),
            go: inspection.decision == giveway_site::Decision::Go,
        }
    }
}

/// Items of a record that a class sees, besides those that fail.
const SHOWN: [&str; 8] = [
    "round_washers",
    "grout_gap",
    "stub_projection",
    "soil_gap",
    "rust",
    "torque",
    "engaged_threads",
    "plate_height",
];

/// Writes the pages in a system of units; `cases` are those of the lesson in its order.
///
/// # Errors
/// An unknown language or place, or a picture that cannot be drawn.
pub fn lesson_pages(
    lesson: &Lesson,
    cases: &[LessonCase<'_>],
    system: System,
) -> Result<LessonPages, LessonError> {
    let words = words(&lesson.language).map_err(LessonError::Language)?;
    let summaries: Vec<&Summary> = cases.iter().map(|c| c.summary).collect();
    let mut filled = Vec::with_capacity(cases.len());
    for (i, (case, computed)) in lesson.cases.iter().zip(cases).enumerate() {
        let pieces = |text: &'static str, of: &str| {
            fill::pieces(of, i, &summaries, &words, system).map_err(|reason| LessonError::Place {
                case: i + 1,
                text,
                reason,
            })
        };
        let number = i + 1;
        let picture = |source| LessonError::Picture {
            case: number,
            source,
        };
        let still = storyboard::draw(computed.scenario, computed.engagement, computed.summary)
            .and_then(|figure| of_figure(&figure, &format!("still-{}", i + 1)))
            .map_err(picture)?;
        let time_s = 1e-3 * f64::from(lesson.handout_time_ms);
        let (scenario, engagement) = (computed.scenario, computed.engagement);
        let base = picture::base_figure("base", &case.name, scenario, engagement, time_s)
            .and_then(|figure| of_figure(&figure, &format!("base-{number}")))
            .map_err(picture)?;
        let script = match computed.replay.map(Replay::to_bytes).transpose() {
            Ok(bytes) => bytes.map(|b| String::from_utf8_lossy(&b).into_owned()),
            Err(source) => {
                return Err(LessonError::Replay {
                    case: i + 1,
                    source,
                });
            }
        };
        filled.push(Filled {
            case,
            name: spoken(&case.name, system),
            system,
            scenario: computed.scenario,
            summary: computed.summary,
            replay: computed.replay,
            script,
            card: computed.inspection.map(Card::of),
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
