//! Whole runs of real scenarios: the light run has the digits of the full one, comparisons are complete and do
//! not depend on threads.

use giveway_impact::outcome::VehicleRecord;
use giveway_impact::{RecordRequest, Workspace};
use giveway_results::summary::Status;
use giveway_scenario::model::{AsFound, Scenario};
use giveway_scenario::{ConditionKind, Loaded, read};
use giveway_study::{
    BriefWorkspace, Counterfactuals, Numbers, Supports, Wanted, brief_numbers, compare_conditions,
    compute, compute_in, compute_with_conditions, numbers, numbers_in,
};

const FIRST: &str = include_str!("../../../scenarios/first.toml");

/// Findings that together hold the base of the first scenario.
const HELD: &str = r#"
[as_found]
rust = "light"
[as_found.grout]
gap = "-28 mm"
strength = "35 MPa"
cover = "90 mm"
"#;

/// Every kind of finding, each mild enough that the base can stand.
const EVERY: &str = r#"
[as_found]
round_washers = "missing"
plate_washer_thickness = "6 mm"
keeper_thickness = "2 mm"
engaged_threads = 6.5
torques = ["180 N.m", "150 N.m", "200 N.m"]
threads = "dry"
notch_offset = "-2.5 mm"
rust = "light"
turned = "30 deg"
slip_plane_height = "13 cm"
[as_found.grout]
gap = "-10 mm"
strength = "20 MPa"
cover = "50 mm"
[[as_found.stub]]
azimuth = "0 deg"
projection = "12 mm"
gap = "20 mm"
[as_found.conduit]
projection = "40 mm"
gap = "15 mm"
[as_found.lump]
height = "4 mm"
length = "20 mm"
width = "6 mm"
[as_found.soil]
azimuth = "0 deg"
gap = "25 mm"
height = "0.2 m"
[as_found.foundation]
diameter = "0.6 m"
length = "1.2 m"
"#;

fn load(section: &str, changes: &[(&str, &str)]) -> Loaded {
    let mut all = vec![
        ("solver.record_limit".to_owned(), "0.6 s".to_owned()),
        // What many runs have none of.
        ("criteria.ranges".to_owned(), "none".to_owned()),
    ];
    all.extend(
        changes
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned())),
    );
    read(&format!("{FIRST}\n{section}"), "study.toml", &all).unwrap_or_else(|problems| {
        let list: Vec<String> = problems.iter().map(ToString::to_string).collect();
        panic!("{}", list.join("\n"))
    })
}

fn scenario(section: &str) -> Scenario {
    load(section, &[]).scenario
}

/// JSON as written: equal texts are equal bits.
fn bits<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).expect("plain data")
}

#[test]
fn the_light_run_has_the_digits_of_the_full_one() {
    for (section, face) in [("", "front"), (HELD, "front"), (EVERY, "left-side")] {
        let loaded = load(section, &[("impact.face", face)]);
        let s = &loaded.scenario;
        let full = compute(s, loaded.assumptions.len()).expect("computes");
        assert!(!full.engagement.trace.time_s.is_empty());
        assert_eq!(full.summary.assumptions, loaded.assumptions.len());
        let supports = Supports::new();
        let light = numbers(&supports.prepare(s).expect("prepares")).expect("computes");
        assert_eq!(bits(&light), bits(&Numbers::of(&full.summary)));
        assert!(light.velocity_change_mps().is_some_and(|v| v > 0.1));
        assert_eq!(light.verdicts.len(), s.criteria.sets.len());
        // Again on the kept support.
        let again = numbers(&supports.prepare(s).expect("prepares")).expect("computes");
        assert_eq!(bits(&light), bits(&again));
        assert_eq!(supports.len(), 1);
    }
}

/// Memory that earlier runs have used changes no digit, and the brief numbers are those of the light run.
#[test]
fn brief_numbers_are_those_of_the_light_run() {
    let supports = Supports::new();
    let (mut brief_memory, mut memory) = (BriefWorkspace::default(), Workspace::new());
    for section in ["", HELD, EVERY, ""] {
        let prepared = supports.prepare(&scenario(section)).unwrap();
        let light = numbers(&prepared).unwrap();
        assert_eq!(
            bits(&numbers_in(&prepared, &mut memory).unwrap()),
            bits(&light)
        );
        let brief = brief_numbers(&prepared, &mut brief_memory).unwrap();
        assert_eq!(brief, light.brief());
    }
}

#[test]
fn the_numbers_are_those_of_the_summary() {
    let summary = compute(&scenario(""), 0).expect("computes").summary;
    let n = Numbers::of(&summary);
    assert_eq!(n.status, Status::Complete);
    assert_eq!(Some(n.blow()), summary.headline.blow);
    assert_eq!(n.outcome(), summary.blow().outcome());
    assert_eq!(n.verdicts[0].closest_check, summary.headline.closest_check);
    assert_eq!(
        n.verdicts[0].margin_fraction,
        summary.headline.closest_margin_fraction
    );
    assert_eq!(
        n.velocity_change_mps(),
        summary.velocity_change.at_contact_end_mps
    );
    assert_eq!(
        n.stands_in_wind,
        summary.retention.as_ref().map(|r| r.holds)
    );
    assert_eq!(n.release_time_s, summary.times.release_s);
}

fn compare(section: &str) -> (Scenario, Counterfactuals, usize) {
    let s = scenario(section);
    let supports = Supports::new();
    let comparison = compare_conditions(&s, &supports);
    (s, comparison, supports.len())
}

#[test]
fn a_base_as_designed_takes_one_run() {
    let (s, c, _) = compare("");
    assert_eq!((c.runs, c.findings.len()), (1, 0));
    assert_eq!(c.as_found, c.all_put_right);
    let clean = compute(&s, 0).expect("computes").summary;
    assert_eq!(bits(&c.as_found_numbers), bits(&Some(Numbers::of(&clean))));
    let with = compute_with_conditions(&s, 0).expect("computes").summary;
    assert_eq!(bits(&with), bits(&clean));
}

#[test]
fn put_right_is_the_clean_run_to_the_last_bit() {
    let (_, c, _) = compare("[as_found]\nrust = \"light\"");
    assert_eq!((c.runs, c.findings.len()), (2, 1));
    let clean = Numbers::of(&compute(&scenario(""), 0).expect("computes").summary);
    assert_eq!(bits(&c.all_put_right_numbers), bits(&Some(clean)));
    let f = &c.findings[0];
    assert_eq!(bits(&f.if_put_right), bits(&c.all_put_right));
    assert_eq!(bits(&f.alone), bits(&c.as_found));
    assert!(f.gain_mps.is_some_and(|g| g > 0.1), "{f:?}");
    assert_eq!(f.flags, ["seized"]);
}

#[test]
fn two_conditions_take_four_runs_and_go_crosswise() {
    let (s, c, supports) = compare(HELD);
    assert_eq!((c.runs, c.findings.len(), supports), (4, 2, 1));
    let [a, b] = c.findings.as_slice() else {
        panic!("{c:?}")
    };
    assert_eq!(bits(&a.if_put_right), bits(&b.alone));
    assert_eq!(bits(&b.if_put_right), bits(&a.alone));
    // Each case is the run of its own scenario.
    let with = |as_found: AsFound| {
        let s = Scenario {
            as_found,
            ..s.clone()
        };
        Numbers::of(&compute(&s, 0).expect("computes").summary).velocity_change_mps()
    };
    assert_eq!(
        a.if_put_right.velocity_change_mps,
        with(s.as_found.without(a.kind))
    );
    assert_eq!(a.alone.velocity_change_mps, with(s.as_found.only(a.kind)));
    assert_eq!(c.as_found.velocity_change_mps, with(s.as_found.clone()));
}

#[test]
fn every_condition_at_once_has_its_runs_and_its_words() {
    // A kind that the text does not have comes with its own example.
    let read = scenario(EVERY).as_found.present();
    let others = ConditionKind::ALL.into_iter().filter(|k| !read.contains(k));
    let keys: String = others
        .map(|k| k.record().example.replace("[as_found]", ""))
        .collect();
    let every = EVERY.replacen("[as_found]", &format!("[as_found]\n{keys}"), 1);
    let (s, c, supports) = compare(&every);
    let kinds = ConditionKind::ALL.len();
    assert_eq!(s.as_found.present(), ConditionKind::ALL);
    assert_eq!((c.findings.len(), c.runs), (kinds, 2 * kinds + 2));
    // The height of the lower plate moves the place of the contact on the pole: a second support.
    assert_eq!(supports, 2);
    for (i, f) in c.findings.iter().enumerate() {
        assert_eq!(f.rank, i + 1);
        assert!(
            f.sentence.starts_with(|c: char| c.is_uppercase()),
            "{}",
            f.sentence
        );
        assert!(f.sentence.ends_with('.') && f.sentence.contains("velocity change"));
        for case in [&f.as_found, &f.if_put_right, &f.alone, &f.all_put_right] {
            assert!(
                case.error.is_none() && case.velocity_change_mps.is_some(),
                "{f:?}"
            );
        }
        println!("{} {:?} {}", f.rank, f.flags, f.sentence);
    }
    let mut kinds: Vec<ConditionKind> = c.findings.iter().map(|f| f.kind).collect();
    kinds.sort();
    assert_eq!(kinds, ConditionKind::ALL);
}

#[test]
fn the_number_of_threads_does_not_matter() {
    let s = scenario(EVERY);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a pool");
        pool.install(|| bits(&compare_conditions(&s, &Supports::new())))
    };
    assert_eq!(on(1), on(2));
}

#[test]
fn a_run_that_fails_is_reported_in_its_place() {
    // A negative torque has no run; the other runs go on.
    let mut s = scenario("[as_found]\ntorques = \"180 N.m\"\nrust = \"light\"");
    s.as_found.torques_nm = vec![-1.0];
    let c = compare_conditions(&s, &Supports::new());
    assert_eq!((c.runs, c.findings.len()), (4, 2));
    assert!(c.as_found.error.is_some() && c.as_found_numbers.is_none());
    assert!(c.all_put_right.error.is_none() && c.all_put_right_numbers.is_some());
    let [rust, torque] = c.findings.as_slice() else {
        panic!("{c:?}")
    };
    // Rust is known to do harm alone and stands first; nothing is known of the torque.
    assert_eq!(
        (rust.kind, torque.kind),
        (ConditionKind::Rust, ConditionKind::Torque)
    );
    assert!(rust.if_put_right.error.is_some() && rust.alone.error.is_none());
    assert_eq!(rust.gain_mps, None);
    assert!(rust.alone_effect_mps.is_some_and(|e| e > 0.1));
    assert!(torque.if_put_right.error.is_none() && torque.alone.error.is_some());
    assert_eq!((torque.gain_mps, torque.alone_effect_mps), (None, None));
    assert!(
        torque
            .sentence
            .contains("the run as found could not be computed: "),
        "{}",
        torque.sentence
    );
    giveway_results::check_finite("comparison", &c).expect("no number that is not one");
    assert!(compute_with_conditions(&s, 0).is_err());
}

#[test]
fn the_summary_carries_the_findings_and_flags_carry_what_they_cost() {
    let summary = compute_with_conditions(&scenario(HELD), 0)
        .expect("computes")
        .summary;
    assert_eq!(summary.conditions.len(), 2);
    giveway_results::check_finite("summary", &summary).expect("finite");
    let flag = |word: &str| {
        summary
            .flags
            .iter()
            .find(|f| f.word == word)
            .unwrap_or_else(|| panic!("{:?}", summary.flags))
    };
    for word in ["binds", "seized"] {
        let consequence = flag(word).consequence.as_deref().expect("a consequence");
        assert!(
            consequence.starts_with("velocity change ")
                && consequence.ends_with(" m/s if put right"),
            "{consequence}"
        );
    }
    // Without the comparison everything else is the same.
    let mut plain = compute(&scenario(HELD), 0).expect("computes").summary;
    assert!(plain.conditions.is_empty() && plain.flags.iter().all(|f| f.consequence.is_none()));
    plain.conditions.clone_from(&summary.conditions);
    plain.flags.clone_from(&summary.flags);
    assert_eq!(bits(&plain), bits(&summary));
}

/// All numbers of a record, bit by bit.
fn record_bits(r: &VehicleRecord) -> Vec<u64> {
    let vectors = [
        &r.acceleration_mps2,
        &r.position_m,
        &r.end_velocity_mps,
        &r.attitude_rad,
    ];
    let vectors = vectors.into_iter().flatten().flatten();
    vectors
        .chain(&r.yaw_rate_radps)
        .map(|x| x.to_bits())
        .collect()
}

/// The record without the pole's flight came from a second engagement; it comes from the same one, with the same digits.
#[test]
fn one_engagement_gives_the_record_with_and_without_the_flight() {
    for (changes, followed) in [
        (&[][..], true),
        (
            &[("impact.offset", "0.35 m"), ("impact.heading", "12 deg")][..],
            true,
        ),
        (&[("flight.follow_pole", "false")][..], false),
        (&[("as_found.grout.gap", "-28 mm")][..], false),
    ] {
        let prepared = Supports::new()
            .prepare(&load("", changes).scenario)
            .unwrap();
        let (both, alone) = prepared
            .engage_both(RecordRequest::FULL, &mut Workspace::new())
            .unwrap();
        let with = prepared.engage(RecordRequest::FULL).unwrap();
        assert_eq!(record_bits(&both.record), record_bits(&with.record));
        assert_eq!(alone.is_some(), followed, "{changes:?}");
        let Some(alone) = alone else { continue };
        let without = prepared
            .without_flight()
            .engage(RecordRequest::FULL)
            .unwrap();
        assert_eq!(
            record_bits(&alone),
            record_bits(&without.record),
            "{changes:?}"
        );
        assert_ne!(
            record_bits(&alone),
            record_bits(&with.record),
            "{changes:?}"
        );
    }
}

/// A bumper at another height meets the same body elsewhere: its modes are those of the first, the digits those of a run alone.
#[test]
fn a_body_struck_elsewhere_keeps_its_modes_and_gives_the_digits_of_a_run_alone() {
    let supports = Supports::new();
    for (raised, kept) in [("0 mm", 1), ("40 mm", 2), ("-60 mm", 3), ("40 mm", 3)] {
        let mut s = scenario("");
        let rise = 1e-3 * raised.trim_end_matches(" mm").parse::<f64>().unwrap();
        for band in &mut s.vehicle.front.bands {
            band.lower_m += rise;
            band.upper_m += rise;
        }
        let numbers = |supports: &Supports| bits(&numbers(&supports.prepare(&s).unwrap()).unwrap());
        assert_eq!(numbers(&supports), numbers(&Supports::new()), "{raised}");
        assert_eq!(supports.len(), kept, "{raised}");
    }
}

/// Supports and memory that were used before, by other runs, change nothing; what is not wanted is left out and the rest has
/// the same digits.
#[test]
fn shared_supports_and_memory_give_the_digits_of_a_run_alone() {
    let (supports, mut workspace) = (Supports::new(), Workspace::new());
    for section in ["", HELD, "[as_found]\nthreads = \"dry\"\n", ""] {
        let loaded = load(section, &[]);
        let (scenario, assumptions) = (&loaded.scenario, loaded.assumptions.len());
        let expected = compute_with_conditions(scenario, assumptions).unwrap();
        let wanted = Wanted::folder(scenario, assumptions);
        let computed = compute_in(scenario, &supports, &mut workspace, wanted).unwrap();
        assert_eq!(bits(&computed.summary), bits(&expected.summary));
        assert_eq!(
            format!("{:?}", computed.engagement.frames),
            format!("{:?}", expected.engagement.frames)
        );
        workspace.take_back(computed.engagement.record);
        let light = Wanted {
            histories: false,
            without_pole: false,
            conditions: false,
            ranges: false,
            assumptions,
        };
        let computed = compute_in(scenario, &supports, &mut workspace, light).unwrap();
        assert!(computed.engagement.frames.is_empty() && computed.summary.conditions.is_empty());
        // What the findings cost is told where it was compared.
        let plain = compute(scenario, assumptions).unwrap().summary;
        assert_eq!(
            bits(&Numbers::of(&computed.summary)),
            bits(&Numbers::of(&plain))
        );
        workspace.take_back(computed.engagement.record);
    }
    assert!(supports.len() <= 2, "{} solutions", supports.len());
}
