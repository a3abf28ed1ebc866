//! `giveway film`: numbered pictures and an animated one of computed runs, side by side on one clock.

use std::path::{Path, PathBuf};

use giveway_report::film::{Film, FilmOptions, FilmRun, FilmView, Pace};
use giveway_results::{Replay, ResultsError, as_written, read_replay};
use giveway_scenario::model::Scenario;
use rayon::prelude::*;

use crate::arguments::{Film as Arguments, FilmLook};
use crate::exit::Exit;
use crate::input::{self, OrRefuse, Refusal, altered_or_io};
use crate::output;
use crate::terminal::ended;

/// Height of a picture where none is given, and width of it for each run, px.
const HEIGHT: u32 = 720;
const WIDTH_OF_ONE: u32 = 960;
const WIDTH_OF_EACH: u32 = 640;
/// Pictures painted at a time.
const BATCH: usize = 16;

/// Paints the film.
pub fn film(arguments: &Arguments) -> Exit {
    ended(painted(arguments), arguments.quiet)
}

/// A run as its folder has it.
struct Run {
    scenario: Scenario,
    replay: Replay,
}

/// Reads the motion and the scenario of a run's folder.
fn read(folder: &Path) -> Result<Run, Refusal> {
    let said = |e: ResultsError| altered_or_io(folder, &e);
    let replay = read_replay(folder).map_err(said)?;
    as_written(folder, "scenario.toml").map_err(said)?;
    let accepted = input::load_kept(&folder.join("scenario.toml"))?;
    Ok(Run {
        scenario: accepted.loaded.scenario,
        replay,
    })
}

fn painted(arguments: &Arguments) -> Result<String, Refusal> {
    let runs: Vec<Run> = arguments
        .results
        .iter()
        .map(|folder| read(folder))
        .collect::<Result<_, _>>()?;
    let headings =
        headings(&arguments.heading, &runs).or_refuse(Exit::Usage, &arguments.results[0])?;
    let shown: Vec<FilmRun> = runs
        .iter()
        .zip(headings)
        .map(|(run, heading)| FilmRun {
            heading,
            scenario: &run.scenario,
            replay: &run.replay,
        })
        .collect();
    let size = arguments.size.unwrap_or(match shown.len() {
        1 => (WIDTH_OF_ONE, HEIGHT),
        n => (WIDTH_OF_EACH.saturating_mul(n as u32), HEIGHT),
    });
    let options = FilmOptions {
        size,
        pace: Pace {
            slow: arguments.speed,
            after: arguments.speed_after,
            pictures_per_second: arguments.frames_per_second,
        },
        view: match arguments.view {
            FilmLook::Side => FilmView::Side,
            FilmLook::Plan => FilmView::Plan,
            FilmLook::Base => FilmView::Base,
            FilmLook::Section => FilmView::Section,
        },
    };
    let film = Film::new(&shown, options).or_refuse(Exit::Usage, &arguments.results[0])?;
    write(arguments, &film)
}

/// What stands over each run: as given, or the title of its scenario.
fn headings(given: &[String], runs: &[Run]) -> Result<Vec<String>, String> {
    match given.len() {
        0 => Ok(runs.iter().map(|run| run.replay.title.clone()).collect()),
        n if n == runs.len() => Ok(given.to_vec()),
        n => Err(format!(
            "{n} headings were given for {} runs; give one for each, in their order",
            runs.len()
        )),
    }
}

fn write(arguments: &Arguments, film: &Film) -> Result<String, Refusal> {
    let out: PathBuf = arguments.out.clone().unwrap_or_else(|| "film".into());
    output::make_folder(&out)?;
    let of = &arguments.results[0];
    let file = |name: &str, bytes: &[u8]| output::put(&out.join(name), bytes);
    let count = film.times_s().len();
    let mut animation = film.animation().or_refuse(Exit::Compute, of)?;
    let numbers: Vec<usize> = (0..count).collect();
    // The last pictures are the same one, which stands still for a while.
    let distinct = 1 + film
        .times_s()
        .partition_point(|t| *t < film.times_s()[count - 1]);
    let mut last = Vec::new();
    for batch in numbers[..distinct].chunks(BATCH) {
        let pictures: Vec<(Vec<u8>, Vec<u8>)> = batch
            .par_iter()
            .map(|&i| film.picture(i))
            .collect::<Result<_, _>>()
            .or_refuse(Exit::Compute, of)?;
        for (&i, (pixels, png)) in batch.iter().zip(pictures) {
            file(&format!("frame-{:04}.png", i + 1), &png)?;
            animation.add(&pixels).or_refuse(Exit::Compute, of)?;
            last = pixels;
        }
    }
    for _ in distinct..count {
        animation.add(&last).or_refuse(Exit::Compute, of)?;
    }
    let whole = animation.finish().or_refuse(Exit::Compute, of)?;
    file("film.png", &whole)?;
    let words = film.alt_text();
    file("film.txt", format!("{words}\n").as_bytes())?;
    Ok(format!(
        "{}: {distinct} pictures frame-0001.png ... and the animated film.png, {} x {} pixels, {:.1} s at {} pictures a \
         second\n  {}\n",
        out.display(),
        film.size().0,
        film.size().1,
        count as f64 / arguments.frames_per_second,
        arguments.frames_per_second,
        giveway_occupant::CAUTION
    ))
}
