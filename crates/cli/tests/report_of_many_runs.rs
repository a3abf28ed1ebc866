//! The report of a study of 100 000 runs: invented rows that follow from their index, so that every count is known.

use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::time::{Instant, SystemTime};

use giveway_results::{
    Cell, CellKind, Mixing, RunFacts, RunKey, StudyCard, StudyColumn, StudyRow, StudyStore,
};

const TORQUES: u64 = 100;
const SPEEDS: u64 = 1000;
const ROWS: u64 = TORQUES * SPEEDS;

fn card() -> StudyCard {
    let column = |name: &str, meaning: &str, kind| StudyColumn {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        kind,
    };
    let mut columns = vec![
        column(
            "slip_base_clamp_torque_nm",
            "Set: slip_base.clamp.torque.",
            CellKind::Number,
        ),
        column("impact_speed_mps", "Set: impact.speed.", CellKind::Number),
        column(
            "reason",
            "Why a run failed; absent otherwise.",
            CellKind::Text,
        ),
        column("ending", "How the engagement ended.", CellKind::Text),
        column("velocity_change_mps", "Speed lost.", CellKind::Number),
        column(
            "outcome",
            "Outcome by the governing document.",
            CellKind::Text,
        ),
        column(
            "document",
            "Name of the governing document.",
            CellKind::Text,
        ),
        column(
            "closest_check",
            "The check with the least margin.",
            CellKind::Text,
        ),
        column("margin_fraction", "Its margin.", CellKind::Number),
        column(
            "stands_in_wind",
            "Whether the clamped base stands.",
            CellKind::Flag,
        ),
    ];
    columns
        .extend((0..20).map(|i| column(&format!("load{i}_n"), "One of many.", CellKind::Number)));
    StudyCard {
        title: "100 000 runs of Harrow Vale".to_owned(),
        plan_hash: "00".repeat(32),
        model_version: 3,
        summary_format: 2,
        planned_rows: ROWS,
        first: 0,
        end: ROWS,
        columns,
    }
}

/// Velocity change rises with the torque; beyond 4.8768 m/s the run fails.
fn row(index: u64) -> StudyRow {
    let torque = 50.0 + 5.0 * (index / SPEEDS) as f64;
    let speed = 8.0 + 0.02 * (index % SPEEDS) as f64;
    let change = 1.0 + 0.008 * torque + 0.01 * speed;
    let text = |t: &str| Cell::Text(Some(t.to_owned()));
    let mut cells = vec![
        Cell::Number(Some(torque)),
        Cell::Number(Some(speed)),
        Cell::Text(None),
        text("released"),
        Cell::Number(Some(change)),
        text(if fails(index) { "fail" } else { "pass" }),
        text("aashto-1994"),
        text("velocity_change_mps"),
        Cell::Number(Some(1.0 - change / 4.8768)),
        Cell::Flag(Some(torque > 100.0)),
    ];
    cells.extend((0..20).map(|i| Cell::Number(Some(1.0 / (index as f64 + f64::from(i) + 0.7)))));
    StudyRow {
        index,
        key: RunKey::of(&index.to_string(), 3),
        failed: false,
        cells,
    }
}

fn fails(index: u64) -> bool {
    let torque = 50.0 + 5.0 * (index / SPEEDS) as f64;
    let speed = 8.0 + 0.02 * (index % SPEEDS) as f64;
    1.0 + 0.008 * torque + 0.01 * speed > 4.8768
}

struct Place(PathBuf);

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn rows_are_counted_and_never_written() {
    let place = Place(std::env::temp_dir().join(format!("giveway-many-{}", std::process::id())));
    fs::create_dir_all(&place.0).unwrap();
    let folder = place.0.join("study");
    let mut store = StudyStore::open(&folder, &card(), Mixing::Refuse).unwrap();
    for shard in 0..10 {
        let rows: Vec<StudyRow> = (shard * ROWS / 10..(shard + 1) * ROWS / 10)
            .map(row)
            .collect();
        store.append_shard(&rows).unwrap();
    }
    let facts = RunFacts {
        started: SystemTime::UNIX_EPOCH,
        threads: 1,
        features: Vec::new(),
    };
    store.close(&facts).unwrap();
    let out = place.0.join("report.html");
    let started = Instant::now();
    let done = Command::new(env!("CARGO_BIN_EXE_giveway"))
        .args([
            "report",
            &folder.display().to_string(),
            "--out",
            &out.display().to_string(),
        ])
        .output()
        .unwrap();
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let page = fs::read_to_string(&out).unwrap();
    println!("{} bytes after {:.1?}", page.len(), started.elapsed());
    // What opens fast is small, and does not grow with the rows.
    assert!(page.len() < 1_500_000, "{} bytes", page.len());
    let failing = (0..ROWS).filter(|i| fails(*i)).count() as u64;
    let wanted = format!(
        "{} pass, 0 are beyond the preferred limit or undecided, {failing} fail.",
        ROWS - failing
    );
    assert!(page.contains(&wanted), "{wanted}");
    // The last row has the largest torque and speed.
    assert!(page.contains(&format!("in run {}", ROWS - 1)));
}
