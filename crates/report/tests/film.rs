//! Films of an invented run: number of pictures, size, that something moves, what is refused.

#[path = "../../results/tests/fixture/mod.rs"]
mod fixture;

use giveway_report::film::{Film, FilmOptions, FilmRun, FilmView, Pace};
use giveway_results::Replay;
use giveway_scenario::model::Scenario;

const OPTIONS: FilmOptions = FilmOptions {
    size: (480, 360),
    pace: Pace {
        slow: 0.02,
        after: 0.25,
        pictures_per_second: 10.0,
    },
    view: FilmView::Side,
};

fn run() -> (Scenario, Replay) {
    let scenario = fixture::scenario();
    let engagement = fixture::engagement();
    let summary = fixture::summary(&scenario, &engagement);
    let replay = Replay::of(&scenario, &engagement, &summary, "text").unwrap();
    (scenario, replay)
}

fn shown<'a>(heading: &str, (scenario, replay): &'a (Scenario, Replay)) -> FilmRun<'a> {
    FilmRun {
        heading: heading.to_owned(),
        scenario,
        replay,
    }
}

fn decoded(bytes: &[u8]) -> (png::Info<'static>, Vec<Vec<u8>>) {
    let mut reader = png::Decoder::new(bytes).read_info().unwrap();
    let mut pictures = Vec::new();
    let mut buffer = vec![0; reader.output_buffer_size()];
    while reader.next_frame(&mut buffer).is_ok() {
        pictures.push(buffer.clone());
    }
    (reader.info().clone(), pictures)
}

/// Pixels that differ between two pictures.
fn changed(a: &[u8], b: &[u8]) -> usize {
    a.chunks(3).zip(b.chunks(3)).filter(|(a, b)| a != b).count()
}

#[test]
fn as_many_pictures_of_the_size_that_was_asked_for() {
    let one = run();
    let film = Film::new(&[shown("as it should be", &one)], OPTIONS).unwrap();
    let times = film.times_s();
    // Slow until `slow_until_s`, faster to the end, then 1.5 s of standing still.
    let slow = one.1.slow_until_s;
    let step = OPTIONS.pace.slow / OPTIONS.pace.pictures_per_second;
    let before = times.iter().filter(|t| **t < slow).count();
    assert_eq!(before, (slow / step - 1e-9).ceil() as usize);
    assert!(times.windows(2).all(|w| w[0] <= w[1]));
    assert_eq!(
        times
            .iter()
            .filter(|t| **t == times[times.len() - 1])
            .count(),
        16
    );
    for i in [0, times.len() - 1] {
        let (info, pictures) = decoded(&film.picture(i).unwrap().1);
        assert_eq!((info.width, info.height), (480, 360));
        assert_eq!(pictures.len(), 1);
        assert_eq!(pictures[0], film.picture(i).unwrap().0);
    }
    assert!(film.picture(times.len()).is_err());
}

#[test]
fn vehicle_and_pole_move_in_every_view() {
    let one = run();
    for view in [FilmView::Side, FilmView::Plan, FilmView::Base] {
        let options = FilmOptions { view, ..OPTIONS };
        let film = Film::new(&[shown("run", &one)], options).unwrap();
        let at = |t: f64| film.times_s().partition_point(|x| *x < t);
        let picture = |t: f64| film.picture(at(t)).unwrap().0;
        let first = picture(0.0);
        // Two instants 0.2 ms apart are nearly the same, the slip and the release change the picture.
        let (slip, released) = (
            changed(&first, &picture(0.013)),
            changed(&first, &picture(0.05)),
        );
        assert!(slip > 200, "{view:?}: {slip} pixels");
        assert!(released > slip, "{view:?}: {released} of {slip} pixels");
    }
}

#[test]
fn an_animation_holds_every_picture() {
    let one = run();
    let options = FilmOptions {
        pace: Pace {
            slow: 0.2,
            after: 1.0,
            pictures_per_second: 8.0,
        },
        ..OPTIONS
    };
    let film = Film::new(&[shown("run", &one)], options).unwrap();
    let mut animation = film.animation().unwrap();
    for i in 0..film.times_s().len() {
        animation.add(&film.picture(i).unwrap().0).unwrap();
    }
    let (info, pictures) = decoded(&animation.finish().unwrap());
    let control = info.animation_control.unwrap();
    assert_eq!(control.num_frames as usize, film.times_s().len());
    assert_eq!(control.num_plays, 0);
    assert_eq!(pictures.len(), film.times_s().len());
    // Later pictures hold only what changed: laid over each other they are the pictures.
    let mut canvas = vec![0; 3 * 480 * 360];
    for (i, picture) in pictures.iter().enumerate() {
        for (under, over) in canvas.chunks_mut(3).zip(picture.chunks(4)) {
            match over[3] {
                0 => {}
                255 => under.copy_from_slice(&over[..3]),
                a => panic!("half clear: {a}"),
            }
        }
        assert_eq!(canvas, film.picture(i).unwrap().0, "picture {i}");
    }
    // One picture too few is told.
    let mut short = film.animation().unwrap();
    short.add(&film.picture(0).unwrap().0).unwrap();
    assert!(short.finish().is_err());
}

#[test]
fn two_runs_stand_side_by_side_on_one_clock() {
    let (one, mut two) = (run(), run());
    two.1.slow_until_s *= 0.5;
    let options = FilmOptions {
        size: (960, 360),
        ..OPTIONS
    };
    let film = Film::new(&[shown("left", &one), shown("right", &two)], options).unwrap();
    let alone = Film::new(&[shown("left", &one)], OPTIONS).unwrap();
    assert_eq!(film.times_s(), alone.times_s());
    let words = film.alt_text();
    assert!(
        words.contains("left") && words.contains("right") && words.contains("bolt 2"),
        "{words}"
    );
}

#[test]
fn what_cannot_be_shown_is_refused_with_a_reason() {
    let one = run();
    let refused = |options: FilmOptions| {
        Film::new(&[shown("run", &one)], options)
            .unwrap_err()
            .to_string()
    };
    assert!(Film::new(&[], OPTIONS).is_err());
    for size in [(0, 0), (480, 0), (40, 360), (200, 360), (480, 100)] {
        let text = refused(FilmOptions { size, ..OPTIONS });
        assert!(text.contains("pixels"), "{text}");
    }
    for slow in [0.0, f64::NAN, 1e-9] {
        let pace = Pace {
            slow,
            ..OPTIONS.pace
        };
        refused(FilmOptions { pace, ..OPTIONS });
    }
    let mut other = run();
    other.1.tracks.retain(|t| t.name != "pole_axis");
    let text = Film::new(&[shown("bare", &other)], OPTIONS)
        .unwrap_err()
        .to_string();
    assert!(text.contains("bare"), "{text}");
}
