//! Invented studies, written with the store, whose surfaces, shares and sensitivities are known in closed form.

use std::f64::consts::PI;
use std::fs;
use std::path::PathBuf;
use std::time::SystemTime;

use giveway_results::{
    Cell, CellKind, Mixing, RunFacts, RunKey, Study, StudyCard, StudyColumn, StudyRow, StudyStore,
    read_study,
};
use giveway_sampling::{Crossed, Design, Distribution, Scrambling, Sobol, Trajectories};
use giveway_study::analysis::{AnalysisError, Request, analyse};

/// A folder of its own, removed at its end.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("giveway-look-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        Place(path)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Columns: what was set (name, meaning), then the outputs `ending`, `velocity_change_mps`, `document`, `peak_force_n`.
fn card(inputs: &[(&str, &str)], runs: u64) -> StudyCard {
    let column = |name: &str, meaning: &str, kind| StudyColumn {
        name: name.to_owned(),
        meaning: meaning.to_owned(),
        kind,
    };
    let mut columns: Vec<StudyColumn> = inputs
        .iter()
        .map(|(name, meaning)| {
            let kind = match *name {
                "point" => CellKind::Count,
                "condition" => CellKind::Text,
                _ => CellKind::Number,
            };
            column(name, meaning, kind)
        })
        .collect();
    columns.extend([
        column("preload_n", "", CellKind::Number),
        column("reason", "", CellKind::Text),
        column("ending", "", CellKind::Text),
        column("velocity_change_mps", "", CellKind::Number),
        column("document", "", CellKind::Text),
        column("peak_force_n", "", CellKind::Number),
    ]);
    StudyCard {
        title: "Invented".to_owned(),
        plan_hash: "00".repeat(32),
        model_version: 1,
        summary_format: 1,
        planned_rows: runs,
        first: 0,
        end: runs,
        columns,
    }
}

/// One run: what was set, and what came out: held or not, and a value; none for a failed run.
type Run = (Vec<Cell>, Option<(bool, f64)>);

fn write(place: &Place, inputs: &[(&str, &str)], runs: &[Run]) -> Study {
    let card = card(inputs, runs.len() as u64);
    let mut store = StudyStore::open(&place.0, &card, Mixing::Refuse).unwrap();
    let rows: Vec<StudyRow> = (runs.iter().enumerate())
        .map(|(index, (set, out))| {
            let mut cells = set.clone();
            cells.push(Cell::Number(out.map(|_| 50e3)));
            cells.push(Cell::Text(out.is_none().then(|| "a test".to_owned())));
            let ending = out.map(|(held, _)| if held { "held" } else { "released" });
            cells.push(Cell::Text(ending.map(str::to_owned)));
            cells.push(Cell::Number(out.map(|o| o.1)));
            cells.push(Cell::Text(out.map(|_| "aashto-1994".to_owned())));
            cells.push(Cell::Number(None));
            StudyRow {
                index: index as u64,
                key: RunKey::of(&index.to_string(), 1),
                failed: out.is_none(),
                cells,
            }
        })
        .collect();
    for shard in rows.chunks(4096) {
        store.append_shard(shard).unwrap();
    }
    let facts = RunFacts {
        started: SystemTime::now(),
        threads: 1,
        features: Vec::new(),
    };
    store.close(&facts).unwrap();
    read_study(&place.0).unwrap()
}

fn number(x: f64) -> Cell {
    Cell::Number(Some(x))
}

const TORQUE: (&str, &str) = ("slip_base_clamp_torque_nm", "Set: slip_base.clamp.torque.");
const SPEED: (&str, &str) = ("impact_speed_mps", "Set: impact.speed.");

#[test]
fn a_plane_gives_its_values_its_limit_line_and_its_held_corner() {
    let place = Place::new("plane");
    // 9 x 7 points, the value 0.02 T + 0.1 v; held beyond 200 N.m.
    let mut runs = Vec::new();
    for i in 0..9 {
        for j in 0..7 {
            let (t, v) = (50.0 + 25.0 * f64::from(i), 5.0 + 2.0 * f64::from(j));
            let value = 0.02 * t + 0.1 * v;
            let out = (i, j) != (3, 3);
            runs.push((
                vec![number(t), number(v)],
                out.then_some((t > 200.0, value)),
            ));
        }
    }
    let study = write(&place, &[TORQUE, SPEED], &runs);
    let found = analyse(&study, &Request::default()).unwrap();
    let surface = &found.surfaces[0];
    assert_eq!(surface.x.column, TORQUE.0);
    assert_eq!((surface.x.values.len(), surface.y.values.len()), (9, 7));
    assert_eq!(surface.cells[3][3].failed, 1);
    assert_eq!(surface.cells[3][3].value, None);
    assert!((surface.cells[2][5].value.unwrap() - (0.02 * 175.0 + 0.1 * 9.0)).abs() < 1e-12);
    assert!(surface.cells[0][7].is_held() && !surface.cells[0][6].is_held());
    // 16 ft/s = 4.8768 m/s.
    let limit = surface.limit.as_ref().unwrap();
    assert_eq!(limit.value, 16.0 * 0.3048);
    let points: Vec<[f64; 2]> = surface.limit_lines.iter().flatten().copied().collect();
    assert!(points.len() > 8);
    for p in points {
        assert!((0.02 * p[0] + 0.1 * p[1] - 4.8768).abs() < 1e-12, "{p:?}");
    }
    // Curves: at most four speeds, with both ends.
    let curves = &found.curves[0];
    let speeds: Vec<f64> = (curves.curves.iter())
        .map(|c| c.of.as_ref().unwrap().value.unwrap())
        .collect();
    assert_eq!(speeds, [5.0, 9.0, 13.0, 17.0]);
    assert_eq!(curves.most_runs, 1);
    // The other way round, one value of the speed kept.
    let request = Request {
        x: Some("impact.speed".to_owned()),
        y: Some("slip_base_clamp_torque".to_owned()),
        ..Request::default()
    };
    let turned = analyse(&study, &request).unwrap();
    assert_eq!(turned.surfaces[0].x.column, SPEED.0);
    assert_eq!(turned.surfaces[0].cells[5][2], surface.cells[2][5]);
}

#[test]
fn quantiles_and_shares_are_those_of_what_was_drawn() {
    let place = Place::new("bands");
    // The value is T/100 + u with u = (k + 1/2)/200 on every torque; beyond 4.8768 is a share that is counted by hand.
    let torques = [100.0, 300.0, 420.0, 440.0, 500.0];
    let mut runs = Vec::new();
    for t in torques {
        for k in 0..200 {
            let u = (f64::from(k) + 0.5) / 200.0;
            let cells = vec![number(t), Cell::Count(Some(k.into())), number(u)];
            runs.push((cells, Some((false, t / 100.0 + u))));
        }
    }
    let point = (
        "point",
        "Number of the sample point, from 0 (sobol, seed 1).",
    );
    let drawn = ("u", "slip_base.friction.inner: uniform 0 to 1.");
    let study = write(&place, &[TORQUE, point, drawn], &runs);
    let found = analyse(&study, &Request::default()).unwrap();
    let points = &found.curves[0].curves[0].points;
    // Type 7 of 200 evenly spaced values: u_p = (1/2 + 199 p)/200.
    for (t, p) in torques.iter().zip(points) {
        for (share, q) in [0.05, 0.25, 0.5, 0.75, 0.95]
            .iter()
            .zip(p.quantiles.unwrap())
        {
            assert!((q - t / 100.0 - (0.5 + 199.0 * share) / 200.0).abs() < 1e-12);
        }
    }
    let e = &found.exceedances[0];
    let beyond: Vec<u64> = e.points.iter().map(|p| p.beyond).collect();
    // u > 0.6768 for 420: k >= 135; u > 0.4768 for 440: k >= 95.
    assert_eq!(beyond, [0, 0, 65, 105, 200]);
    // Clopper and Pearson at none of n: 1 - 0.025^(1/n).
    let upper = 1.0 - libm::pow(0.025, 1.0 / 200.0);
    assert!((e.points[0].interval[1] - upper).abs() < 1e-9);
    assert_eq!(e.points[0].interval[0], 0.0);
    assert_eq!(e.settling_at, 440.0);
    assert_eq!(e.settling.last().unwrap().runs, 200);
}

/// Ishigami's function with a = 7, b = 0.1; indices in closed form as in Saltelli et al., Global Sensitivity Analysis
/// (2008) [recalled].
fn ishigami(x: [f64; 3]) -> f64 {
    let s = libm::sin(x[1]);
    libm::sin(x[0]) + 7.0 * s * s + 0.1 * libm::pow(x[2], 4.0) * libm::sin(x[0])
}

const DRAWN: [(&str, &str); 3] = [("x1", "a: b."), ("x2", "a: b."), ("x3", "a: b.")];

fn designed(design: &dyn Design, lost: &[u64], f: impl Fn([f64; 3]) -> f64) -> Vec<Run> {
    let law = Distribution::uniform(-PI, PI).unwrap();
    (0..design.size())
        .map(|i| {
            let u = design.point(i).unwrap();
            let x: Vec<f64> = u.iter().map(|u| law.quantile(*u).unwrap()).collect();
            let mut cells = vec![Cell::Count(Some(i as i64))];
            cells.extend(x.iter().map(|x| number(*x)));
            let out = (false, f([x[0], x[1], x[2]]));
            (cells, (!lost.contains(&i)).then_some(out))
        })
        .collect()
}

#[test]
fn indices_of_ishigami_come_out_through_the_whole_path() {
    let place = Place::new("ishigami");
    let base = Sobol::new(6, 4096, Scrambling::Owen(5)).unwrap();
    let design = Crossed::new(base, 4096).unwrap();
    let point = (
        "point",
        "Number of the sample point, from 0 (crossed, seed 5).",
    );
    let inputs = [point, DRAWN[0], DRAWN[1], DRAWN[2]];
    let study = write(&place, &inputs, &designed(&design, &[17], ishigami));
    let found = analyse(&study, &Request::default()).unwrap();
    let indices = &found.indices[0];
    assert_eq!(
        indices.complete,
        "4095 of 4096 rows; 1 left out, since 1 run has no result"
    );
    // V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = 8 b^2 pi^8/225.
    let (a, b) = (7.0, 0.1);
    let pi4 = PI * PI * PI * PI;
    let v1 = 0.5 * (1.0 + b * pi4 / 5.0) * (1.0 + b * pi4 / 5.0);
    let (v2, v13) = (a * a / 8.0, 8.0 * b * b * pi4 * pi4 / 225.0);
    let v = v1 + v2 + v13;
    let expected = [
        ("x1", v1 / v, (v1 + v13) / v),
        ("x2", v2 / v, v2 / v),
        ("x3", 0.0, v13 / v),
    ];
    assert!((indices.variance - v).abs() < 0.02 * v);
    for (name, first, total) in expected {
        let f = indices.factors.iter().find(|f| f.column == name).unwrap();
        assert!(
            (f.first - first).abs() < 0.015,
            "{name}: {} {first}",
            f.first
        );
        assert!(
            (f.total - total).abs() < 0.015,
            "{name}: {} {total}",
            f.total
        );
        assert!(f.first_interval[0] <= first && first <= f.first_interval[1]);
        assert!(f.total_interval[0] <= total && total <= f.total_interval[1]);
    }
    assert_eq!(indices.factors[0].column, "x1");
}

#[test]
fn a_screening_of_a_linear_function_gives_its_slopes_without_scatter() {
    let place = Place::new("screening");
    let design = Trajectories::new(3, 10, 4, 9)
        .unwrap()
        .with_edge(0.01)
        .unwrap();
    let point = (
        "point",
        "Number of the sample point, from 0 (trajectories, seed 9).",
    );
    let inputs = [point, DRAWN[0], DRAWN[1], DRAWN[2]];
    let linear = |x: [f64; 3]| 2.0 * x[0] - 5.0 * x[1] + 0.5 * x[2];
    let study = write(&place, &inputs, &designed(&design, &[0], linear));
    let found = analyse(&study, &Request::default()).unwrap();
    let screening = &found.screenings[0];
    // Per run through the distribution: slope times 2 pi.
    for (name, slope) in [("x1", 2.0), ("x2", -5.0), ("x3", 0.5)] {
        let f = screening.factors.iter().find(|f| f.column == name).unwrap();
        assert!((f.mean - slope * 2.0 * PI).abs() < 1e-9, "{name}");
        assert!((f.mean_absolute - f.mean.abs()).abs() < 1e-12);
        assert!(f.deviation < 1e-9);
    }
    assert_eq!(screening.factors[0].column, "x2");
    assert_eq!(screening.trajectories, 10);
    assert!(
        screening.complete.starts_with("29 of 30 effects"),
        "{}",
        screening.complete
    );
}

#[test]
fn what_cannot_be_looked_at_is_said_clearly() {
    let problem = |name: &str, runs: &[Run], request: &Request| -> String {
        let place = Place::new(name);
        let study = write(&place, &[TORQUE, SPEED], runs);
        analyse(&study, request).map_or_else(|e| e.to_string(), |a| a.notes.join(" "))
    };
    let run = |t: f64, v: f64, out| (vec![number(t), number(v)], out);
    let default = Request::default();
    assert!(problem("empty", &[], &default).contains("the study has no run"));
    let failed = [run(1.0, 1.0, None), run(2.0, 1.0, None)];
    let said = problem("failed", &failed, &default);
    assert!(
        said.contains("no run has a value of `velocity_change_mps` (2 of 2 runs failed)"),
        "{said}"
    );
    let one = [
        run(1.0, 1.0, Some((false, 1.0))),
        run(1.0, 1.0, Some((false, 1.0))),
    ];
    assert!(problem("one", &one, &default).contains("nothing is swept"));
    let two = [
        run(1.0, 1.0, Some((false, 1.0))),
        run(2.0, 1.0, Some((false, 1.0))),
    ];
    let with = |x: Option<&str>, value: Option<&str>| Request {
        x: x.map(str::to_owned),
        values: value.map(str::to_owned).into_iter().collect(),
        ..Request::default()
    };
    let said = problem("point", &two, &with(Some("impact.speed"), None));
    assert!(said.contains("`impact_speed_mps` has one value"), "{said}");
    let said = problem("column", &two, &with(None, Some("velocity_chang_mps")));
    assert!(
        said.contains("did you mean `velocity_change_mps`?"),
        "{said}"
    );
    let said = problem("axis", &two, &with(Some("slip_base.clamp.torqe"), None));
    assert!(
        said.contains("did you mean `slip_base.clamp.torque`?"),
        "{said}"
    );
    let said = problem("nothing", &two, &with(None, Some("peak_force_n")));
    assert!(
        said.contains("no run has a value of `peak_force_n`"),
        "{said}"
    );
}

#[test]
fn a_constant_output_has_no_variance_to_share() {
    let place = Place::new("constant");
    let base = Sobol::new(6, 16, Scrambling::Owen(5)).unwrap();
    let design = Crossed::new(base, 16).unwrap();
    let point = (
        "point",
        "Number of the sample point, from 0 (crossed, seed 5).",
    );
    let inputs = [point, DRAWN[0], DRAWN[1], DRAWN[2]];
    let study = write(&place, &inputs, &designed(&design, &[], |_| 3.0));
    match analyse(&study, &Request::default()) {
        Err(AnalysisError::NothingSwept) => panic!("the reason is lost"),
        Err(e) => assert!(e.to_string().contains("shares of the variance"), "{e}"),
        Ok(a) => assert!(
            a.notes.join(" ").contains("shares of the variance"),
            "{:?}",
            a.notes
        ),
    }
}
