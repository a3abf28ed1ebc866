//! A film of one run or of several side by side on one clock: true scale, slow while vehicle and base are at work,
//! faster while the pole flies.
//!
//! ```text
//! Replay + Scenario --Film::new--> times of the pictures --picture--> Figure --paint--> PNG, animated PNG
//! ```

mod camera;
mod clock;
mod cut;
mod instant;
mod panel;
mod run;
mod strip;
mod work;

use giveway_results::Replay;
use giveway_results::replay::Tracks;
use giveway_scenario::model::Scenario;

use crate::ReportError;
use crate::found::as_drawn;
use camera::Camera;
use clock::Clock;
use cut::Cut;
use giveway_draw::{Figure, SLATE, look, paint, text_width};
use run::{FOOT, HEIGHT, Shown};

pub use clock::Pace;
pub use giveway_draw::animation::Animation;
pub use run::FilmView;
pub use work::{BoltNow, Doing};

/// Least width of a run's part of that page, px.
const LEAST_WIDTH: f64 = 420.0;
/// Gap between the runs, px.
const GAP: f64 = 20.0;
const EDGE: f64 = 18.0;

/// One run of a film.
#[derive(Debug, Clone)]
pub struct FilmRun<'a> {
    /// What stands over it.
    pub heading: String,
    /// Its scenario.
    pub scenario: &'a Scenario,
    /// Its motion.
    pub replay: &'a Replay,
}

/// How a film is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmOptions {
    /// Width and height of a picture, px.
    pub size: (u32, u32),
    /// Speeds and pictures a second.
    pub pace: Pace,
    /// What is looked at.
    pub view: FilmView,
}

/// A film that can be painted picture by picture.
#[derive(Debug)]
pub struct Film<'a> {
    runs: Vec<Shown<'a>>,
    /// Of each run, where sections are shown.
    cuts: Vec<Option<Cut>>,
    options: FilmOptions,
    clock: Clock,
    camera: Camera,
}

impl<'a> Film<'a> {
    /// Prepares a film.
    ///
    /// # Errors
    /// No runs, a size that is too small for them, speeds without meaning, a replay without a vehicle or pole.
    pub fn new(runs: &[FilmRun<'a>], options: FilmOptions) -> Result<Self, ReportError> {
        let bad = |reason: String| ReportError::Film { reason };
        if runs.is_empty() {
            return Err(bad("there is no run to show".to_owned()));
        }
        let width = page_width(options.size);
        let least = LEAST_WIDTH * runs.len() as f64;
        if !(160..=7680).contains(&options.size.1) || width < least {
            return Err(bad(format!(
                "{} x {} pixels: a film of {} run(s) needs a height from 160 to 7680 and at least {:.2} times that in width",
                options.size.0,
                options.size.1,
                runs.len(),
                least / HEIGHT
            )));
        }
        let runs: Vec<Shown> = (runs.iter())
            .map(|run| Shown {
                heading: run.heading.clone(),
                scenario: as_drawn(run.scenario),
                replay: run.replay,
                tracks: Tracks::of(run.replay),
            })
            .collect();
        for run in &runs {
            if run.pose(0.0).is_none() {
                return Err(bad(format!(
                    "the replay of `{}` holds no vehicle, plate or pole of this scenario",
                    run.heading
                )));
            }
        }
        let spans: Vec<(f64, f64)> = runs.iter().map(Shown::span).collect();
        let clock = Clock::new(&spans, options.pace).map_err(bad)?;
        let cuts: Vec<Option<Cut>> = match options.view {
            FilmView::Section => runs.iter().map(Cut::of).collect::<Result<_, _>>()?,
            _ => runs.iter().map(|_| None).collect(),
        };
        let size = (panel_width(width, runs.len()), panel::TALL);
        let camera = Camera::new(&runs, &cuts, size, options.view, clock.last());
        Ok(Self {
            runs,
            cuts,
            options,
            clock,
            camera,
        })
    }

    /// Times of the pictures, s after first touch.
    pub fn times_s(&self) -> &[f64] {
        self.clock.times()
    }

    /// What the bolts of a run (from 0) do at a time; empty where there is no such run or its base does not slip.
    pub fn bolts(&self, run: usize, time_s: f64) -> Vec<BoltNow> {
        (self.runs.get(run)).map_or_else(Vec::new, |run| run.bolts_now(time_s))
    }

    /// Width and height of a picture, px.
    pub fn size(&self) -> (u32, u32) {
        self.options.size
    }

    /// Pixels of one picture, and the same as PNG, painted once.
    ///
    /// # Errors
    /// No such picture, or a number that cannot be drawn.
    pub fn picture(&self, index: usize) -> Result<(Vec<u8>, Vec<u8>), ReportError> {
        Ok(paint::both(&self.page(index)?)?)
    }

    /// The film's pictures, to be added one by one.
    ///
    /// # Errors
    /// What the encoder refuses.
    pub fn animation(&self) -> Result<Animation, ReportError> {
        let speed = self.options.pace.pictures_per_second;
        Ok(Animation::new(
            self.options.size,
            self.times_s().len(),
            speed,
        )?)
    }

    /// What the film shows, in words.
    pub fn alt_text(&self) -> String {
        let told = |run: &Shown<'_>| {
            let bolts = run.replay.bolts.iter();
            let bolts: Vec<String> = bolts
                .map(|b| format!("bolt {} {}", b.number, b.words))
                .collect();
            let sentence = &run.replay.headline.sentence;
            format!("{}: {}. {sentence}", run.heading, bolts.join(", "))
        };
        let told: Vec<String> = self.runs.iter().map(told).collect();
        let words = format!(
            "A film of {:.2} s after first touch, to scale. {}",
            self.clock.last(),
            told.join(" ")
        );
        giveway_units::spoken(&words, giveway_draw::painted_in())
    }

    fn page(&self, index: usize) -> Result<Figure, ReportError> {
        let Some(&time) = self.times_s().get(index) else {
            return Err(ReportError::Film {
                reason: format!("there is no picture {index}"),
            });
        };
        let width = page_width(self.options.size);
        let mut f = Figure::new("film", "film", width, HEIGHT);
        let wide = panel_width(width, self.runs.len());
        for (i, run) in self.runs.iter().enumerate() {
            let left = EDGE + (wide + GAP) * i as f64;
            let bottom = HEIGHT - FOOT.0 - FOOT.1 - 8.0;
            let cut = self.cuts[i].as_ref();
            let place = (left, wide, bottom);
            panel::draw(&mut f, run, place, (&self.camera, cut), i, time)?;
        }
        let room = strip::draw(&mut f, &self.runs, &self.clock, time, (EDGE, width - EDGE));
        if self.camera.close_at(time) && self.options.view != FilmView::Section {
            work::legend(&mut f, room, HEIGHT - FOOT.0 - FOOT.1 + 14.0);
        }
        let caution = &self.runs[0].replay.caution;
        let room = width - 2.0 * EDGE;
        let size = (12.5 * room / text_width(caution, 12.5, false).max(1.0)).min(12.5);
        f.text((EDGE, HEIGHT - 13.0), caution, look(size, SLATE));
        let f = f.finish()?;
        Ok(f.scaled(f64::from(self.options.size.1) / HEIGHT, self.options.size))
    }
}

fn page_width(size: (u32, u32)) -> f64 {
    HEIGHT * f64::from(size.0) / f64::from(size.1.max(1))
}

fn panel_width(width: f64, runs: usize) -> f64 {
    (width - 2.0 * EDGE - GAP * (runs - 1) as f64) / runs as f64
}
