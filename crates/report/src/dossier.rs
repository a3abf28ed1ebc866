//! The one-file report: a page for one run, for several side by side or for a study, that holds everything it needs and loads
//! nothing. The verdict comes first.
//!
//! Everything that it shows was computed before. Strings from scenarios and folders are escaped by [`markup`], figures are
//! rewritten by [`picture`], data of moving pictures by [`moving`]; nothing else of a folder reaches the page.

mod assumed;
mod books;
mod figures;
mod findings;
mod findings_chart;
mod frame;
mod happened;
pub(crate) mod ink;
mod markup;
mod moving;
mod notes;
mod numbers;
mod origin;
mod overlay;
pub(crate) mod picture;
mod several;
mod study;
mod style;
mod torque;
mod validation;
mod verdict;
pub(crate) mod words;

use giveway_occupant::CAUTION;
use giveway_results::RunContents;

use crate::{ReportError, paint};
use figures::Room;
use markup::Markup;
use moving::{Moving, Taken};
use picture::inline;
use several::Labelled;

pub(crate) use moving::in_script;
pub use study::StudyContents;
pub use torque::WindowContents;

/// Titles of chapters of one run, in a report of one and of several.
const FINDINGS: &str = "What was found on site, and what it does";
const DOCUMENTS: &str = "Every check of every document";

/// The script that plays moving pictures.
const PLAYER: Option<&str> = Some(include_str!("../assets/player.js"));

/// The report of one run, or of several side by side in that order, with these of their figures (none: with all).
///
/// # Errors
/// No run, or a figure that cannot be painted.
pub fn run_report(runs: &[RunContents], figures: Option<&[String]>) -> Result<String, ReportError> {
    let labelled: Vec<Labelled> = (runs.iter())
        .enumerate()
        .map(|(n, run)| (run, several::letter(n)))
        .collect();
    match labelled.as_slice() {
        [] => Err(ReportError::EmptyTrace),
        [(run, _)] => one(run, figures),
        many => side_by_side(many, figures),
    }
}

/// The report of a study.
///
/// # Errors
/// A figure that cannot be painted.
pub fn study_report(study: &StudyContents, caution: &str) -> Result<String, ReportError> {
    study::page(study, caution)
}

/// The report of a torque window.
///
/// # Errors
/// A figure that cannot be painted.
pub fn window_report(window: &WindowContents, caution: &str) -> Result<String, ReportError> {
    torque::page(window, caution)
}

/// A chapter or a part of one: identifier, title, content.
type Chapter = (&'static str, &'static str, Markup);

/// Chapters of one run that a report of one and of several share.
fn single(run: &RunContents, id: &str, level: u8) -> Result<[Chapter; 5], ReportError> {
    let s = &run.summary;
    let picture = findings::picture(s, &format!("{id}c"))?;
    let found = Markup::of(|m| findings::chapter(m, run, picture.as_ref()));
    let documents = Markup::of(|m| verdict::documents(m, run, level));
    let numbers = Markup::of(|m| numbers::chapter(m, s, level));
    let books = Markup::of(|m| books::chapter(m, s));
    let happened = Markup::of(|m| happened::chapter(m, s, level));
    Ok([
        ("happened", "What happened", happened),
        ("findings", FINDINGS, found),
        ("documents", DOCUMENTS, documents),
        ("numbers", "Numbers", numbers),
        ("books", "Books and checks", books),
    ])
}

fn length(chapters: &[Chapter]) -> usize {
    chapters.iter().map(|c| c.2.len()).sum()
}

fn one(run: &RunContents, asked: Option<&[String]>) -> Result<String, ReportError> {
    let s = &run.summary;
    let single = single(run, "r", 3)?;
    let top = Markup::of(|m| verdict::panel(m, run));
    let assumed_text = Markup::of(|m| assumed::chapter(m, run));
    let validated = validation::chapter(&[s.model_version])?;
    let from = Markup::of(|m| origin::of_run(m, run));
    let noted = Markup::of(|m| notes::chapter(m, run));
    let text = length(&single) + top.len() + assumed_text.len() + validated.len() + from.len();
    let mut room = room_beside(text);
    let list = [(run, "r".to_owned())];
    let taken = replays(&list, &mut room);
    let mut chosen = figures::choose(&list, asked, &mut room);
    let mut chosen = chosen.pop().unwrap_or_default();
    let board = figures::board(&mut chosen);
    let replay = taken.first().and_then(Taken::id);
    let drawn = Markup::of(|m| figures::chapter(m, run, &chosen, board.is_some(), replay));
    let shown = taken.iter().zip([board]).map(|(taken, board)| Moving {
        run,
        label: String::new(),
        taken,
        board,
    });
    let shown: Vec<Moving> = shown.collect();
    let moving_text = Markup::of(|m| moving::players(m, &shown, PLAYER.is_some()));

    let [happened, findings, documents, numbers, books] = single;
    let chapters = vec![
        ("verdict", "Verdict", top),
        happened,
        findings,
        ("moving", "Moving picture", moving_text),
        documents,
        ("figures", "Figures", drawn),
        numbers,
        books,
        ("assumed", "What was assumed", assumed_text),
        ("validation", validation::TITLE, validated),
        ("notes", "Reviewer's notes", noted),
        ("provenance", origin::TITLE, from),
    ];
    let (class, mass) = (&s.impact.vehicle_class, s.impact.vehicle_mass_kg);
    let facts = vec![
        ("Vehicle".to_owned(), format!("{class}, {mass:.0} kg")),
        ("Speed".to_owned(), crate::page::kmph(s.impact.speed_mps)),
        ("Model version".to_owned(), s.model_version.to_string()),
        ("Computed".to_owned(), run.manifest.started.clone()),
    ];
    Ok(frame::page(
        "Report of one run",
        &s.title,
        &facts,
        chapters,
        frame::Folding {
            open: OPEN,
            printed: true,
        },
        foot(&taken),
        CAUTION,
    ))
}

/// Chapters of a report of runs that stand open; the others are for those who look closer.
const OPEN: usize = 4;

fn side_by_side(runs: &[Labelled], asked: Option<&[String]>) -> Result<String, ReportError> {
    let top = Markup::of(|m| several::verdicts(m, runs));
    let mut compared = Markup::of(|m| several::numbers(m, runs));
    let (mut inputs, mut common) = (Markup::default(), Markup::default());
    assumed::compared(&mut inputs, &mut common, runs);
    let mut versions: Vec<u32> = runs.iter().map(|(r, _)| r.summary.model_version).collect();
    versions.sort_unstable();
    versions.dedup();
    let validated = validation::chapter(&versions)?;
    let mut from = Markup::default();
    let mut singles = Vec::new();
    for (run, label) in runs {
        from.subheading(3, &format!("Run {label}"));
        origin::of_run(&mut from, run);
        notes::chapter(&mut from, run);
        singles.push(single(run, &label.to_lowercase(), 4)?);
    }
    let text = [&top, &compared, &inputs, &common, &validated, &from]
        .iter()
        .map(|m| m.len())
        .sum::<usize>()
        + singles.iter().map(|s| length(s)).sum::<usize>();
    let mut room = room_beside(text);
    let courses = overlay_picture(runs, CAUTION)?;
    if let Some(p) = &courses {
        room.take(p.markup.len());
    }
    let list: Vec<(&RunContents, String)> =
        runs.iter().map(|(r, l)| (*r, l.to_lowercase())).collect();
    let taken = replays(runs, &mut room);
    let mut chosen = figures::choose(&list, asked, &mut room);

    let shown: Vec<Moving> = (runs.iter().zip(&taken).zip(&mut chosen))
        .map(|(((run, label), taken), chosen)| Moving {
            run,
            label: label.clone(),
            taken,
            board: figures::board(chosen),
        })
        .collect();
    let moving_text = Markup::of(|m| moving::players(m, &shown, PLAYER.is_some()));
    let boards: Vec<bool> = shown.iter().map(|m| m.board.is_some()).collect();
    if let Some(p) = &courses {
        let ids: Vec<&str> = taken.iter().filter_map(Taken::id).collect();
        let ids = ids.join(" ");
        let ids = (!ids.is_empty()).then_some(&*ids);
        let words = "Histories of the engagement on one clock.";
        figures::moved(&mut compared, p, words, ids);
    }
    let name = |(run, label): &Labelled| {
        let title = words::cut(&run.summary.title, 80);
        (
            format!("run-{}", label.to_lowercase()),
            format!("Run {label}: {title}"),
        )
    };
    let names: Vec<(String, String)> = runs.iter().map(name).collect();
    let mut chapters = vec![
        ("verdict", "Verdicts side by side", top),
        ("numbers", "Numbers side by side", compared),
        ("moving", "Moving pictures", moving_text),
        ("inputs", "What differs between the inputs", inputs),
    ];
    for (n, (single, (id, name))) in singles.into_iter().zip(&names).enumerate() {
        let shown = (&chosen[n], boards[n], taken[n].id());
        chapters.push((id, name, of_one(&list[n], single, shown)));
    }
    chapters.push(("assumed", "What was assumed", common));
    chapters.push(("validation", validation::TITLE, validated));
    let title = "Where the numbers come from, and reviewers' notes";
    chapters.push(("provenance", title, from));
    let title = several::answer(runs);
    Ok(frame::page(
        &format!("Report of {} runs side by side", runs.len()),
        &title,
        &[],
        chapters,
        frame::Folding {
            open: OPEN,
            printed: false,
        },
        foot(&taken),
        CAUTION,
    ))
}

/// All of one run in a report of several, as a chapter: its figures, whether the storyboard moves, its replay.
fn of_one(
    (run, prefix): &Labelled,
    [happened, findings, documents, numbers, books]: [Chapter; 5],
    (chosen, board, replay): (&figures::Chosen, bool, Option<&str>),
) -> Markup {
    let drawn = Markup::of(|m| figures::chapter(m, run, chosen, board, replay));
    let mut m = Markup::of(|m| verdict::panel(m, run));
    let figures = ("figures", "Figures", drawn);
    for (part, name, content) in [happened, findings, documents, figures, numbers, books] {
        m.heading(3, &format!("{prefix}-{part}"), name);
        m.raw(&content.finish());
    }
    m
}

fn room_beside(text: usize) -> Room {
    let player = PLAYER.map_or(0, str::len);
    Room::beside(text + player)
}

fn replays(runs: &[Labelled], room: &mut Room) -> Vec<Taken> {
    if PLAYER.is_none() {
        return runs.iter().map(|_| Taken::None).collect();
    }
    (1..)
        .zip(runs)
        .map(|(n, (run, label))| {
            let label = format!("{label}: {}", words::cut(&run.summary.title, 80));
            moving::take(run, format!("replay-{n}"), label, room)
        })
        .collect()
}

/// Data and script at the end of the page.
fn foot(taken: &[Taken]) -> Markup {
    let mut m = Markup::default();
    if let Some(player) = PLAYER
        && taken.iter().any(|t| matches!(t, Taken::Here(_)))
    {
        moving::data(&mut m, taken);
        m.raw(&format!("<script nonce=\"{}\">", frame::NUMBER_MARK));
        m.raw(player);
        m.raw("</script>\n");
    }
    m
}

/// Histories of the runs that have them, where there are two.
fn overlay_picture(
    runs: &[Labelled],
    caution: &str,
) -> Result<Option<picture::Inline>, ReportError> {
    let courses: Vec<overlay::Course> = (runs.iter())
        .filter_map(|(run, label)| {
            Some(overlay::Course {
                label: label.clone(),
                history: run.history.as_ref()?,
            })
        })
        .collect();
    if courses.len() < 2 {
        return Ok(None);
    }
    let svg = paint::svg(&overlay::draw(&courses, caution)?)?;
    Ok(inline(&svg, "courses").ok())
}
