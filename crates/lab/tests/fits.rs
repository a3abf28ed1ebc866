//! Fits of invented tests: what is hidden is found again, the ridge is told, bits do not depend on threads.

#[path = "../../../tests/thorough.rs"]
mod thorough;

use giveway_lab::fit::{Fit, RecordTables, Refused, read_fit};
use giveway_lab::shared::Surface;
use giveway_sampling::{Cloud, normal_quantile, seed, unit};

/// Folder of the invented test.
const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/laboratory/");

fn load(name: &str) -> Result<(String, String), String> {
    let name = name.rsplit('/').next().unwrap_or(name);
    let text = std::fs::read_to_string(format!("{FOLDER}{name}")).map_err(|e| e.to_string())?;
    Ok((name.to_owned(), text))
}

fn no_records(_: &str) -> Result<RecordTables, String> {
    Err("there are no records here".to_owned())
}

fn read(text: &str) -> Result<Fit, Refused> {
    read_fit(text, "fit.toml", &[], &load, &no_records).map(|f| f.0)
}

fn said(text: &str) -> String {
    match read(text) {
        Ok(_) => String::new(),
        Err(Refused::Lab(list)) => list.to_string(),
        Err(Refused::Study(list)) => format!("{list:?}"),
    }
}

fn drawn(fit: &Fit) -> Cloud {
    let mut cloud = fit.begin().unwrap();
    while !cloud.done() {
        fit.advance(&mut cloud).unwrap();
    }
    cloud
}

/// The prior of the shipped example and data of its own: the sections up to `[error]`.
fn with_data(count: usize, root: u64, data: &str) -> String {
    let shipped = load("fit_7.toml").unwrap().1;
    let prior = shipped.split("[error]").next().unwrap();
    let prior = prior
        .replace("count = 240", &format!("count = {count}"))
        .replace("seed = 1", &format!("seed = {root}"));
    format!("{prior}{data}")
}

/// Three numbers of a run, each with its deviation.
fn three(values: [f64; 3]) -> String {
    let [change, release, preload] = values;
    format!(
        "[[data]]\nname = \"velocity_change_mps\"\nvalue = \"{change} m/s\"\ndeviation = \"0.1 m/s\"\n\
         [[data]]\nname = \"release_time_s\"\nvalue = \"{release} s\"\ndeviation = \"0.5 ms\"\n\
         [[data]]\nname = \"preload_n\"\nvalue = \"{preload} N\"\ndeviation = \"3 kN\"\n"
    )
}

const DEVIATIONS: [f64; 3] = [0.1, 5e-4, 3e3];

#[test]
fn a_preload_alone_determines_the_nut_factor_and_says_what_it_does_not_tell() {
    // F = T/(K d): 180/(0.17 x 0.027) N = 39.216 kN, before what the joint loses.
    let of_middle = read(&with_data(64, 1, &three([2.0, 0.01, 4e4]))).unwrap();
    let preload = of_middle.computed_numbers(&[0.0, 0.0, 0.0]).unwrap()[2].unwrap();
    let data = format!(
        "[[data]]\nname = \"preload_n\"\nvalue = \"{preload} N\"\ndeviation = \"0.4 kN\"\n[error]\nnumbers = \"1 %\"\n"
    );
    let fit = read(&with_data(240, 1, &data)).unwrap();
    let cloud = drawn(&fit);
    let posterior = fit.told(&cloud).unwrap();
    let nut = posterior
        .parameters
        .iter()
        .find(|p| p.column.contains("nut_factor"))
        .unwrap();
    assert!((nut.posterior[2] - 0.19).abs() < 0.004, "{nut:?}");
    assert!(nut.width_left < 0.15, "{nut:?}");
    // Of the others it says nothing: their priors are left, to the scatter of 240 draws.
    for p in posterior
        .parameters
        .iter()
        .filter(|p| p.column != nut.column)
    {
        assert!((0.8..1.2).contains(&p.width_left), "{p:?}");
        // For a normal law 0.88/sqrt(n).
        assert!((0.02..0.12).contains(&p.width_error), "{p:?}");
        assert!(p.moved.abs() < 0.3, "{p:?}");
    }
    assert_eq!(posterior.determined, [1, 3], "{:#?}", posterior.words);
    assert!(posterior.numbers[0].in_half && posterior.left_out.is_empty());
    assert!(!posterior.words.iter().any(|w| w.contains("No model error")));
}

#[test]
fn threads_change_no_bit_and_files_are_read_back() {
    let data = three([2.3, 0.012, 4e4]);
    let fit = read(&with_data(32, 5, &data)).unwrap();
    let in_pool = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| drawn(&fit))
    };
    let one = in_pool(1);
    assert_eq!(one, in_pool(3));
    let table = fit.table(&one).unwrap();
    assert_eq!(table.len(), 4);
    assert!(table.iter().all(|c| c.2.len() == 32));
}

#[test]
fn fit_files_are_refused_with_line_and_reason() {
    let good = "[[data]]\nname = \"preload_n\"\nvalue = \"39 kN\"\ndeviation = \"1 kN\"\n";
    assert_eq!(said(&with_data(64, 1, good)), "");
    for (data, part) in [
        ("", "there are no data"),
        (
            &good.replace("preload_n", "preload"),
            "no run gives this number: velocity_change_mps",
        ),
        (&good.replace("39 kN", "39"), "no unit"),
        (&good.replace("1 kN", "0 kN"), "must be above zero"),
        (
            &good.replace("[[data]]", "[[data]]\nscenario = \"other\""),
            "`other` is no case: test_7",
        ),
        (&good.replace("[[data]]", "[[dater]]"), "dater"),
        (&good.replace("deviation", "sigma"), "unknown field `sigma`"),
        (
            &format!("{good}[grid]\nslip_base.clamp.torque = [\"90 N.m\", \"180 N.m\"]\n"),
            "a fit has no grid",
        ),
        (
            &format!("{good}[[condition]]\nname = \"clean\"\n"),
            "a fit has no levels of conditions",
        ),
        (
            "[[trace]]\nrecord = \"gone\"\ncolumn = \"velocity_change_mps\"\nuntil = \"50 ms\"\nevery = \"1 ms\"\ndeviation = \"0.1 m/s\"\n",
            "there are no records here",
        ),
        (
            "[[trace]]\nrecord = \"gone\"\ncolumn = \"velocity_change_mps\"\nuntil = \"50 ms\"\nevery = \"1 us\"\ndeviation = \"0.1 m/s\"\n",
            "instants",
        ),
        (
            &format!("{good}[[ask]]\nparameter = \"colour\"\n"),
            "this is not drawn",
        ),
        (
            &format!("{good}[[ask]]\nlimit = \"slip_base.clamp.torque\"\n"),
            "a question names",
        ),
    ] {
        let found = said(&with_data(64, 1, data));
        assert!(found.contains(part), "{part}:\n{found}");
    }
    assert!(said(&with_data(8, 1, good)).contains("at least 16 draws"));
}

/// Simulation-based calibration: truths from the prior, data from the model, and the rank of each truth among the draws of
/// its posterior. Talts, Betancourt, Simpson, Vehtari, Gelman, Validating Bayesian inference algorithms with
/// simulation-based calibration (2018) [recalled]: the ranks are uniform.
///
/// The model is a table of 729 runs of the shipped example over its three parameters, in straight lines between them, so that
/// truth and fit have the same model and 400 fits take seconds; prior, sampler and likelihood are those of a fit. Bases that hold have no
/// time of release and are no part of it. `ranks_of_whole_fits` does the same with the engine itself.
///
/// `GIVEWAY_REGENERATE=1 cargo test --workspace --test fits ranks_on_a_table` writes `tests/data/ranks.toml`.
#[test]
fn ranks_on_a_table_of_runs() {
    let regenerates = std::env::var_os("GIVEWAY_REGENERATE").is_some();
    let repeats = if regenerates {
        400
    } else {
        thorough::of(400).max(200) as usize
    };
    let (draws, pace) = (108, 3);
    let of_model = read(&with_data(64, 1, &three([2.0, 0.01, 4e4]))).unwrap();
    let names: Vec<String> = of_model.axes().iter().map(|a| a.column.clone()).collect();
    assert_eq!(names.len(), 3);
    let level: Vec<f64> = (-4..=4).map(|i| 0.75 * f64::from(i)).collect();
    let levels = [level.clone(), level.clone(), level, vec![0.0], vec![0.0]];
    let tables = [0, 1, 2].map(|k| {
        Surface::of(levels.clone(), &|x| {
            let numbers = of_model.computed_numbers(&x[..3]).unwrap();
            numbers[k].map_or((0.0, 1.0), |n| (n, 0.0))
        })
    });
    let model = |z: &[f64]| {
        let all = [0, 1, 2].map(|k| tables[k].at([z[0], z[1], z[2], 0.0, 0.0]));
        all.iter().all(|n| n.1 == 0.0).then(|| all.map(|n| n.0))
    };
    let mut ranks: Vec<Vec<usize>> = vec![Vec::new(); names.len()];
    let (mut repeat, mut held) = (0, 0);
    while ranks[0].len() < repeats {
        repeat += 1;
        let z: Vec<f64> = (0..names.len() as u64)
            .map(|axis| normal_quantile(unit(seed(77, repeat, axis))))
            .collect();
        let Some(truth) = model(&z) else {
            held += 1;
            continue;
        };
        let noise = |k: usize| normal_quantile(unit(seed(78, repeat, k as u64))) * DEVIATIONS[k];
        let data = [0, 1, 2].map(|k| truth[k] + noise(k));
        let log = |z: &[f64]| match model(z) {
            None => f64::NEG_INFINITY,
            Some(n) => {
                let square = |k: usize| {
                    let off = (data[k] - n[k]) / DEVIATIONS[k];
                    off * off
                };
                -0.5 * (0..3).map(square).sum::<f64>()
            }
        };
        let mut cloud = Cloud::of_prior(3, draws, repeat, &log).unwrap();
        while !cloud.done() {
            cloud.advance(&log).unwrap();
        }
        for (axis, ranks) in ranks.iter_mut().enumerate() {
            let thinned = cloud.draws.iter().step_by(pace);
            ranks.push(thinned.filter(|d| d[axis] < z[axis]).count());
        }
    }
    let mut text = format!(
        "# Written by the test `ranks_on_a_table_of_runs` (GIVEWAY_REGENERATE=1 cargo test --workspace --test fits ranks_on_a_table):\n\
         # the rank of each hidden value among the draws of its posterior.\n\
         model_version = {}\ndraws = {}\nrepeats = {repeats}\nheld = {held}\n",
        giveway_mechanics::MODEL_VERSION,
        draws / pace
    );
    for (name, ranks) in names.iter().zip(&ranks) {
        text.push_str(&format!(
            "\n[[parameter]]\ncolumn = \"{name}\"\nranks = {ranks:?}\n"
        ));
    }
    if regenerates {
        std::fs::create_dir_all(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data")).unwrap();
        std::fs::write(RANKS, &text).unwrap();
    }
    flat(&text);
}

const RANKS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/ranks.toml");

/// As above with the engine in every fit.
#[test]
#[ignore = "200 fits: five minutes"]
fn ranks_of_whole_fits() {
    let (repeats, draws) = (200, 36);
    let of_model = read(&with_data(64, 1, &three([2.0, 0.01, 4e4]))).unwrap();
    let names: Vec<String> = of_model.axes().iter().map(|a| a.column.clone()).collect();
    let mut ranks: Vec<Vec<usize>> = vec![Vec::new(); names.len()];
    let (mut repeat, mut skipped) = (0, 0);
    while ranks[0].len() < repeats {
        repeat += 1;
        let z: Vec<f64> = (0..names.len() as u64)
            .map(|axis| normal_quantile(unit(seed(77, repeat, axis))))
            .collect();
        // A base that holds has no time of release, and the fit is of bases that let go: such truths are no part of it.
        let Some([Some(change), Some(release), Some(preload)]) = of_model
            .computed_numbers(&z)
            .as_deref()
            .and_then(|v| <[Option<f64>; 3]>::try_from(v).ok())
        else {
            skipped += 1;
            continue;
        };
        let noise = |k: u64| normal_quantile(unit(seed(78, repeat, k))) * DEVIATIONS[k as usize];
        let data = three([change + noise(0), release + noise(1), preload + noise(2)]);
        let fit = read(&with_data(draws, repeat, &data)).unwrap();
        let cloud = drawn(&fit);
        for (axis, ranks) in ranks.iter_mut().enumerate() {
            ranks.push(cloud.draws.iter().filter(|d| d[axis] < z[axis]).count());
        }
    }
    let mut text = format!(
        "# The rank of each hidden value among {draws} draws of its posterior.\n\
         draws = {draws}\nrepeats = {repeats}\nheld = {skipped}\n"
    );
    for (name, ranks) in names.iter().zip(&ranks) {
        text.push_str(&format!(
            "\n[[parameter]]\ncolumn = \"{name}\"\nranks = {ranks:?}\n"
        ));
    }
    flat(&text);
}

/// The stored ranks are flat: chi-squared over nine bins stays below its 99.9 % quantile of eight degrees of freedom.
fn flat(text: &str) -> Vec<f64> {
    #[derive(serde::Deserialize)]
    struct Stored {
        draws: usize,
        repeats: usize,
        parameter: Vec<Ranks>,
    }
    #[derive(serde::Deserialize)]
    struct Ranks {
        column: String,
        ranks: Vec<usize>,
    }
    let stored: Stored = toml::from_str(text).unwrap();
    assert!(stored.repeats >= 200 && stored.parameter.len() >= 2);
    let of = |p: &Ranks| {
        assert_eq!(p.ranks.len(), stored.repeats);
        let mut bins = [0.0_f64; 9];
        for rank in &p.ranks {
            // 0 to `draws` are draws + 1 ranks.
            bins[(rank * bins.len() / (stored.draws + 1)).min(8)] += 1.0;
        }
        // Expected by the exact share of ranks in each bin.
        let share = |i: usize| {
            (0..=stored.draws)
                .filter(|r| (r * 9 / (stored.draws + 1)).min(8) == i)
                .count() as f64
                / (stored.draws + 1) as f64
        };
        let chi: f64 = bins
            .iter()
            .enumerate()
            .map(|(i, b)| {
                let expected = share(i) * stored.repeats as f64;
                (b - expected) * (b - expected) / expected
            })
            .sum();
        println!("{}: chi-squared {chi:.1}, bins {bins:?}", p.column);
        assert!(
            chi < 26.12,
            "{}: chi-squared {chi:.1}, bins {bins:?}",
            p.column
        );
        chi
    };
    stored.parameter.iter().map(of).collect()
}

/// What is stored is flat, and the page tells it.
#[test]
fn the_stored_ranks_are_flat() {
    let told = flat(&std::fs::read_to_string(RANKS).expect("the stored ranks"));
    let page = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/laboratory.md");
    let page = std::fs::read_to_string(page).expect("the page");
    let told: Vec<String> = told.iter().map(|chi| format!("{chi:.1}")).collect();
    assert!(
        page.contains(&format!("chi-squared {}", told.join(", "))),
        "{told:?}"
    );
}
