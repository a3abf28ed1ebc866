//! The moving picture of computed runs: size, nearness to the frames, hand-over, repetition, bad input.

mod fixture;

use std::path::Path;

use giveway_impact::outcome::{Engagement, MotionFrame};
use giveway_impact::{Prepared, RecordRequest};
use giveway_results::replay::{Samples, Tracks};
use giveway_results::{Replay, ResultsError, read_replay};
use giveway_scenario::model::Scenario;

fn shipped(name: &str, set: &[(&str, &str)]) -> Scenario {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../scenarios")
        .join(name);
    let text = std::fs::read_to_string(&path).unwrap();
    let set: Vec<(String, String)> = set
        .iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect();
    giveway_scenario::read(&text, name, &set).unwrap().scenario
}

fn computed(scenario: &Scenario) -> (Engagement, Replay) {
    let engagement = Prepared::new(scenario)
        .unwrap()
        .engage(RecordRequest::FULL)
        .unwrap();
    let summary = fixture::summary(scenario, &engagement);
    let replay = Replay::of(scenario, &engagement, &summary, "text").unwrap();
    (engagement, replay)
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3)
        .map(|i| (a[i] - b[i]) * (a[i] - b[i]))
        .sum::<f64>()
        .sqrt()
}

const FOLLOWED: [(&str, &str); 1] = [("flight.follow_pole", "true")];

/// The largest miss of a place in the replay from that of the frames, m.
fn worst(
    samples: &Samples,
    frames: &[MotionFrame],
    place: impl Fn(&MotionFrame) -> [f64; 3],
    point: usize,
) -> f64 {
    frames
        .iter()
        .map(|f| {
            let values = samples.at(f.pose.time_s).unwrap();
            let at = [
                values[3 * point],
                values[3 * point + 1],
                values[3 * point + 2],
            ];
            apart(at, place(f))
        })
        .fold(0.0, f64::max)
}

#[test]
fn four_seconds_stay_below_400_kilobytes_and_decode_to_the_frames() {
    // Four seconds: the limit is reached where a pole goes on rolling, so the picture is as long as it can be.
    let set = [
        FOLLOWED[0],
        ("flight.limit", "4 s"),
        ("impact.speed", "90 km/h"),
    ];
    let (engagement, replay) = computed(&shipped("first.toml", &set));
    let bytes = replay.to_bytes().unwrap();
    let flight = engagement.flight.as_ref().unwrap();
    println!(
        "{} bytes, flight until {} s",
        bytes.len(),
        flight.end_time_s
    );
    assert!(bytes.len() < 400_000, "{} bytes", bytes.len());
    assert!((replay.end_s - flight.end_time_s).abs() < 2e-5);

    let tracks = Tracks::of(&replay);
    let frames = engagement.frames.as_slice();
    let first = &frames[0].pose;
    // sqrt(3) of the tolerance of one component, and half a unit.
    let most = 3f64.sqrt() * 2.05e-3;
    let vehicle = tracks.get("vehicle").unwrap();
    let miss = worst(vehicle, frames, |f| f.pose.vehicle_position_m, 0);
    assert!(miss < most, "vehicle: {miss}");
    let pole = tracks.get("pole_axis").unwrap();
    let nodes = first.pole_axis_m.len();
    for (point, node) in [(0, 0), (10, nodes - 1)] {
        let miss = worst(pole, frames, |f| f.pose.pole_axis_m[node], point);
        assert!(miss < most, "pole, point {point}: {miss}");
    }
    let arm = tracks.get("arm1").unwrap();
    assert_eq!(arm.columns.len(), 3 * 6);
    let lamp = first.arms_m[0].len() - 1;
    let miss = worst(arm, frames, |f| f.pose.arms_m[0][lamp], 5);
    assert!(miss < most, "luminaire: {miss}");
    let engaged: Vec<MotionFrame> = frames
        .iter()
        .filter(|f| f.pose.time_s <= engagement.end_time_s)
        .cloned()
        .collect();
    let plate = tracks.get("plate").unwrap();
    let miss = worst(plate, &engaged, |f| f.pose.plate_centre_m, 0);
    assert!(miss < 3f64.sqrt() * 2.1e-4, "plate: {miss}");
    for f in frames {
        let (_, q) = plate.pose_at(f.pose.time_s).unwrap();
        let along: f64 = q
            .iter()
            .zip(f.pose.plate_rotation)
            .map(|(a, b)| a * b)
            .sum();
        // 1 - cos of half the angle between them
        assert!(1.0 - along.abs() < 4e-6, "{} s: {along}", f.pose.time_s);
    }
    // Scalars: half a per cent of their range.
    let force = tracks.get("contact_force_n").unwrap();
    let peak = engagement.peak_force_n;
    for f in &engaged {
        let trace = &engagement.trace;
        let row = trace.time_s.partition_point(|t| *t <= f.pose.time_s + 1e-9) - 1;
        let told = trace.column("contact_force_n").unwrap()[row];
        let read = force.at(f.pose.time_s).unwrap()[0];
        assert!((told - read).abs() <= 6e-3 * peak, "{told} {read}");
    }
}

#[test]
fn poses_go_on_without_a_jump_at_the_hand_over() {
    let (engagement, replay) = computed(&shipped("first.toml", &FOLLOWED));
    let end = engagement.end_time_s;
    let frames = engagement.frames.as_slice();
    let i = frames.partition_point(|f| f.pose.time_s <= end + 1e-9);
    // The last of the engagement and the first two of the flight: no place runs faster than the bodies do.
    for pair in frames[i - 2..i + 2].windows(2) {
        let (a, b) = (&pair[0].pose, &pair[1].pose);
        let dt = b.time_s - a.time_s;
        let step = |a: [f64; 3], b: [f64; 3]| apart(a, b) / dt.max(1e-4);
        assert!(step(a.vehicle_position_m, b.vehicle_position_m) < 12.0);
        assert!(step(a.plate_centre_m, b.plate_centre_m) < 15.0);
        for (p, q) in a.pole_axis_m.iter().zip(&b.pole_axis_m) {
            assert!(step(*p, *q) < 15.0, "{p:?} {q:?} in {dt} s");
        }
        for (p, q) in a.arms_m[0].iter().zip(&b.arms_m[0]) {
            assert!(step(*p, *q) < 15.0, "{p:?} {q:?} in {dt} s");
        }
    }
    // In the file: from 1 ms before to 1 ms after, less than the speed of a struck pole allows.
    let tracks = Tracks::of(&replay);
    let pole = tracks.get("pole_axis").unwrap();
    let (a, b) = (
        pole.points_at(end - 1e-3).unwrap(),
        pole.points_at(end + 1e-3).unwrap(),
    );
    for (p, q) in a.iter().zip(&b) {
        assert!(apart(*p, *q) < 2e-3 * 15.0 + 8e-3);
    }
    // Every bolt is gone by then, and its track ends at its release.
    for bolt in &replay.bolts {
        let track = tracks.get(&format!("bolt{}", bolt.number)).unwrap();
        assert_eq!(track.until_s, bolt.release_time_s);
        assert!(track.at(end).is_none());
    }
}

#[test]
fn a_pole_that_is_not_followed_ends_with_the_engagement_and_one_that_holds_stays() {
    let alone = [("flight.follow_pole", "false")];
    let (engagement, replay) = computed(&shipped("first.toml", &alone));
    let tracks = Tracks::of(&replay);
    let until = tracks.get("pole_axis").unwrap().until_s.unwrap();
    assert!((until - engagement.end_time_s).abs() < 2e-4);
    assert!(tracks.get("vehicle").unwrap().at(replay.end_s).is_some());
    assert!(replay.end_s > 1.0);
    let (_, replay) = computed(&shipped("conditions/grouted_deep.toml", &[]));
    let tracks = Tracks::of(&replay);
    let held = replay.bolts.iter().filter(|b| b.fate == "held").count();
    println!("{held} bolts held: {}", replay.headline.sentence);
    if held > 0 {
        assert_eq!(tracks.get("pole_axis").unwrap().until_s, None);
    }
    assert!(replay.scene.found.grout.is_some());
    assert!(!replay.sentences.is_empty());
}

#[test]
fn the_same_run_gives_the_same_bytes_and_reads_back() {
    let scenario = shipped("first.toml", &FOLLOWED);
    let (_, a) = computed(&scenario);
    let (_, b) = computed(&scenario);
    let bytes = a.to_bytes().unwrap();
    assert_eq!(bytes, b.to_bytes().unwrap());
    let text = String::from_utf8(bytes).unwrap();
    assert_eq!(text.lines().count(), 1);
    assert_eq!(Replay::from_text(&text, Path::new("x")).unwrap(), a);
    // Events in order, from the first touch on.
    assert!(a.events.windows(2).all(|w| w[0].time_s <= w[1].time_s));
    assert_eq!(a.events[0].label, "first touch");
    assert!(a.slow_until_s > 0.0 && a.slow_until_s < a.end_s);
}

#[test]
fn bad_input_is_refused() {
    let scenario = fixture::scenario();
    let engagement = fixture::engagement();
    let summary = fixture::summary(&scenario, &engagement);
    let of = |e: &Engagement| Replay::of(&scenario, e, &summary, "text");
    let good = of(&engagement).unwrap();
    let mut bad = engagement.clone();
    bad.frames[3].pose.pole_axis_m[24][2] = f64::NAN;
    let text = of(&bad).unwrap_err().to_string();
    assert!(text.contains("pole_axis") && text.contains("z10"), "{text}");
    let mut bad = engagement.clone();
    bad.frames[5].pose.vehicle_position_m[0] = f64::INFINITY;
    assert!(matches!(of(&bad), Err(ResultsError::NotFinite { .. })));
    let mut bad = engagement.clone();
    bad.frames.clear();
    assert!(matches!(of(&bad), Err(ResultsError::NoMotion)));
    let mut bad = good.clone();
    bad.slow_until_s = f64::NAN;
    assert!(bad.to_bytes().is_err());

    let whole = String::from_utf8(good.to_bytes().unwrap()).unwrap();
    let read = |text: &str| Replay::from_text(text, Path::new("replay.json"));
    for cut in [0, 1, whole.len() / 2, whole.len() - 3] {
        let text = read(&whole[..cut]).unwrap_err().to_string();
        assert!(text.contains("replay.json"), "{text}");
    }
    let altered = |change: &dyn Fn(&mut Replay)| {
        let mut r = good.clone();
        change(&mut r);
        read(&serde_json::to_string(&r).unwrap())
            .unwrap_err()
            .to_string()
    };
    assert!(altered(&|r| r.format = 2).contains("format"));
    assert!(altered(&|r| r.tick_s = 0.0).contains("unit of time"));
    assert!(altered(&|r| r.tracks[0].times.push(1)).contains("as many values"));
    assert!(altered(&|r| r.tracks[0].times[1] = 0).contains("rise"));
    assert!(altered(&|r| r.tracks[0].values[2][1] = i64::MAX).contains("too large"));
    assert!(altered(&|r| r.tracks[0].values[2][0] = i64::MIN).contains("too large"));
    assert!(
        altered(&|r| {
            r.tracks[0].scale.pop();
        })
        .contains("equally many")
    );
    assert!(altered(&|r| r.tracks[1].values.clear()).contains("equally many"));
    let missing = read_replay(Path::new("nowhere")).unwrap_err().to_string();
    assert!(missing.contains("nowhere"), "{missing}");
}

/// The numbers of an accessor of a binary glTF file.
fn accessor(file: &serde_json::Value, buffer: &[u8], index: usize) -> Vec<f32> {
    let a = &file["accessors"][index];
    let view = &file["bufferViews"][a["bufferView"].as_u64().unwrap() as usize];
    let from = view["byteOffset"].as_u64().unwrap() as usize;
    let bytes = &buffer[from..from + view["byteLength"].as_u64().unwrap() as usize];
    bytes
        .chunks(4)
        .map(|b| f32::from_le_bytes(b.try_into().unwrap()))
        .collect()
}

#[test]
fn the_scene_file_moves_what_the_replay_moves() {
    let (_, replay) = computed(&shipped("first.toml", &FOLLOWED));
    let glb = replay.to_glb().unwrap();
    assert_eq!(glb, replay.to_glb().unwrap());
    let word = |at: usize| u32::from_le_bytes(glb[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!(&glb[..4], b"glTF");
    assert_eq!((word(4), word(8)), (2, glb.len()));
    let text = word(12);
    assert_eq!(&glb[16..20], b"JSON");
    let file: serde_json::Value = serde_json::from_slice(&glb[20..20 + text]).unwrap();
    assert_eq!(&glb[24 + text..28 + text], b"BIN\0");
    let buffer = &glb[28 + text..];
    let tracks = Tracks::of(&replay);
    let pole = tracks.get("pole_axis").unwrap();
    let animation = &file["animations"][0];
    let (mut moved, mut turned) = (0, 0);
    for channel in animation["channels"].as_array().unwrap() {
        let node = channel["target"]["node"].as_u64().unwrap() as usize;
        let name = file["nodes"][node]["name"].as_str().unwrap();
        let sampler = &animation["samplers"][channel["sampler"].as_u64().unwrap() as usize];
        let read = |what: &str| {
            let index = sampler[what].as_u64().unwrap() as usize;
            accessor(&file, buffer, index)
        };
        let (times, values) = (read("input"), read("output"));
        assert!(times.windows(2).all(|w| w[0] < w[1]), "{name}");
        let Some(k) = name.strip_prefix("pole-") else {
            continue;
        };
        let k: usize = k.parse::<usize>().unwrap() - 1;
        // Each segment stands on its point, and its own z axis leads to the next.
        for (i, t) in times.iter().enumerate() {
            let points = pole.points_at(f64::from(*t)).unwrap();
            if channel["target"]["path"] == "translation" {
                let at = [0, 1, 2].map(|c| f64::from(values[3 * i + c]));
                assert!(
                    apart(at, points[k]) < 1e-3,
                    "{name} {t}: {at:?} {:?}",
                    points[k]
                );
                moved += 1;
            } else {
                let q: Vec<f64> = values[4 * i..4 * i + 4]
                    .iter()
                    .map(|c| f64::from(*c))
                    .collect();
                let (x, y, z, w) = (q[0], q[1], q[2], q[3]);
                let axis = [
                    2.0 * (x * z + w * y),
                    2.0 * (y * z - w * x),
                    1.0 - 2.0 * (x * x + y * y),
                ];
                let length = apart(points[k], points[k + 1]);
                let to = [0, 1, 2].map(|c| points[k][c] + length * axis[c]);
                assert!(apart(to, points[k + 1]) < 2e-3, "{name} {t}");
                turned += 1;
            }
        }
    }
    assert!(moved > 1000 && moved == turned, "{moved} {turned}");
    // What the scene needs must be there.
    let mut bare = replay.clone();
    bare.tracks.retain(|t| t.name != "plate");
    assert!(bare.to_glb().unwrap_err().to_string().contains("plate"));
}
