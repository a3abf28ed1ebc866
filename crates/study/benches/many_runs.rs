//! Cost of many runs: a grid of clamp, vehicle mass and speed on one support, a light run, a comparison of conditions.
//!
//! `cargo bench -p giveway-study --bench many_runs` measures everything; with `-- grid` only the grid, with `-- growth`
//! only how the cost grows with coordinates, bolts and histories, with `-- calls` only single calls. What came out on which machine stands in
//! `docs/performance.md`.

use std::hint::black_box;
use std::time::Instant;

use criterion::Criterion;
use giveway_impact::{RecordRequest, Workspace};
use giveway_scenario::model::Scenario;
use giveway_study::{
    BriefWorkspace, Supports, brief_numbers, compare_conditions, numbers, numbers_in,
};
use rayon::prelude::*;

/// Findings on site, as sections of a scenario file.
const FOUND: &str = "[as_found]\nrust = \"light\"\nkeeper = \"missing\"\n";
/// Repetitions of a grid; the fastest counts, for other work on the machine only slows it down.
const REPEATS: usize = 7;

fn scenario(stem: &str, found: &str) -> Scenario {
    let path = format!("{}/../../scenarios/{stem}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("scenario file");
    giveway_scenario::read(&format!("{text}\n{found}"), &path, &[])
        .unwrap_or_else(|e| panic!("{path}: {e:?}"))
        .scenario
}

/// 8 clamp forces, 5 masses, 5 speeds on one support.
fn grid() -> Vec<Scenario> {
    let first = scenario("first", "");
    let mut points = Vec::new();
    for clamp in 0..8 {
        for mass in 0..5 {
            for speed in 0..5 {
                let mut s = first.clone();
                s.base.preload_n *= 0.5 + 0.15 * f64::from(clamp);
                s.vehicle.mass_kg *= 0.8 + 0.15 * f64::from(mass);
                s.impact.speed_mps *= 0.8 + 0.4 * f64::from(speed);
                points.push(s);
            }
        }
    }
    points
}

/// What is computed at one point; returns the number of steps.
type Point = fn(&Supports, &Scenario, &mut BriefWorkspace) -> usize;

fn engagement_only(supports: &Supports, s: &Scenario, _: &mut BriefWorkspace) -> usize {
    let prepared = supports.prepare(s).expect("a sound scenario");
    prepared
        .engage(RecordRequest::NUMBERS)
        .expect("a run")
        .work
        .steps
}

fn with_study_numbers(supports: &Supports, s: &Scenario, memory: &mut BriefWorkspace) -> usize {
    let prepared = supports.prepare(s).expect("a sound scenario");
    brief_numbers(&prepared, memory).expect("a run").steps
}

/// Processor time of all threads so far, s; none where the system does not tell.
fn processor_time() -> Option<f64> {
    let mut sum = 0.0;
    for task in std::fs::read_dir("/proc/self/task").ok()? {
        let text = std::fs::read_to_string(task.ok()?.path().join("schedstat")).ok()?;
        sum += text.split_whitespace().next()?.parse::<f64>().ok()?;
    }
    Some(1e-9 * sum)
}

/// Cost of a whole grid on so many threads: least time and least processor time of the repetitions, s, and the steps of
/// all runs. On a machine with other work only the processor time tells what a run costs.
struct GridCost {
    time: f64,
    processor: f64,
    steps: usize,
}

fn grid_cost(points: &[Scenario], threads: usize, point: Point) -> GridCost {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads");
    let supports = Supports::new();
    supports.prepare(&points[0]).expect("a sound scenario");
    let mut cost = GridCost {
        time: f64::INFINITY,
        processor: f64::INFINITY,
        steps: 0,
    };
    for _ in 0..REPEATS {
        let (start, before) = (Instant::now(), processor_time());
        cost.steps = pool.install(|| {
            points
                .par_iter()
                .map_init(BriefWorkspace::default, |memory, s| {
                    point(&supports, s, memory)
                })
                .sum()
        });
        cost.time = cost.time.min(start.elapsed().as_secs_f64());
        if let (Some(before), Some(after)) = (before, processor_time()) {
            cost.processor = cost.processor.min(after - before);
        }
    }
    cost
}

/// Runs per second on one and two threads, preparation included, and the parallel efficiency.
fn grid_rates() {
    let points = grid();
    let kinds: [(&str, Point); 2] = [
        ("engagement only", engagement_only),
        ("with study numbers", with_study_numbers),
    ];
    for (name, point) in kinds {
        let one = grid_cost(&points, 1, point);
        let two = grid_cost(&points, 2, point);
        assert_eq!(
            one.steps, two.steps,
            "the number of threads must not matter"
        );
        let n = points.len() as f64;
        println!(
            "grid of {n} runs, {name}, {:.0} steps a run",
            one.steps as f64 / n
        );
        for (threads, cost) in [(1, &one), (2, &two)] {
            println!(
                "  {threads} threads: {:.0} runs/s, {:.3} ms of processor time a run, 100000 runs in {:.0} s",
                n / cost.time,
                1e3 * cost.processor / n,
                1e5 * cost.time / n
            );
        }
        println!(
            "  efficiency: {:.0} % by time, {:.0} % by processor time",
            50.0 * one.time / two.time,
            100.0 * one.processor / two.processor
        );
    }
}

/// Least time of 200 calls, ms.
fn least_ms(mut call: impl FnMut()) -> f64 {
    (0..200).fold(f64::INFINITY, |least, _| {
        let start = Instant::now();
        call();
        least.min(1e3 * start.elapsed().as_secs_f64())
    })
}

/// How the cost of an engagement grows.
fn growth() {
    let run = |s: &Scenario, request: RecordRequest, what: &str| {
        let prepared = Supports::new().prepare(s).expect("a sound scenario");
        let work = prepared.engage(request).expect("a run").work;
        let ms = least_ms(|| {
            black_box(prepared.engage(request).expect("a run"));
        });
        println!(
            "growth, {what}: {ms:.3} ms, {} steps, {:.0} ns a step",
            work.steps,
            1e6 * ms / work.steps as f64
        );
    };
    for modes in [0, 4, 8, 12, 16, 24, 32] {
        let mut s = scenario("first", "");
        s.solver.elastic_modes = modes;
        run(&s, RecordRequest::NUMBERS, &format!("{modes} modes"));
    }
    for stem in ["first", "four_bolt_square"] {
        let s = scenario(stem, "");
        let bolts = s.base.bolt_count;
        run(&s, RecordRequest::NUMBERS, &format!("{bolts} bolts"));
    }
    let s = scenario("first", "");
    let record = RecordRequest {
        trace: false,
        rollout: true,
    };
    run(&s, RecordRequest::NUMBERS, "numbers only");
    run(&s, record, "with the vehicle's record of 2 s");
    run(&s, RecordRequest::FULL, "with histories and record");
}

/// One light run and its parts.
fn light(c: &mut Criterion) {
    let s = scenario("first", "");
    let supports = Supports::new();
    let prepared = supports.prepare(&s).expect("a sound scenario");
    c.bench_function("made ready on a kept support", |b| {
        b.iter(|| supports.prepare(black_box(&s)).expect("a sound scenario"))
    });
    c.bench_function("engagement and roll-out", |b| {
        let request = RecordRequest {
            trace: false,
            rollout: true,
        };
        let mut memory = Workspace::new();
        b.iter(|| {
            let run = black_box(&prepared).engage_in(request, &mut memory);
            memory.take_back(run.expect("a run").record);
        })
    });
    c.bench_function("brief run", |b| {
        let mut memory = BriefWorkspace::default();
        b.iter(|| brief_numbers(black_box(&prepared), &mut memory).expect("a run"))
    });
    c.bench_function("light run", |b| {
        b.iter(|| numbers(black_box(&prepared)).expect("a run"))
    });
    c.bench_function("light run in kept memory", |b| {
        let mut memory = Workspace::new();
        b.iter(|| numbers_in(black_box(&prepared), &mut memory).expect("a run"))
    });
}

/// Four runs: as found, put right, and each of two conditions alone.
fn comparison(c: &mut Criterion) {
    let s = scenario("first", FOUND);
    let supports = Supports::new();
    assert_eq!(compare_conditions(&s, &supports).runs, 4);
    c.bench_function("two conditions compared", |b| {
        b.iter(|| compare_conditions(black_box(&s), &supports))
    });
}

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .collect();
    let asked = |name: &str| wanted.is_empty() || wanted.iter().any(|w| w == name);
    if asked("grid") {
        grid_rates();
    }
    if asked("growth") {
        growth();
    }
    if asked("calls") {
        let mut c = Criterion::default().sample_size(50);
        light(&mut c);
        comparison(&mut c);
        c.final_summary();
    }
}
