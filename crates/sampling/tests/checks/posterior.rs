//! Draws of posteriors against closed forms.

use giveway_sampling::{Cloud, effective};

/// ln of the normal density.
fn log_normal(residual: f64, deviation: f64) -> f64 {
    let z = residual / deviation;
    -0.5 * z * z - libm::log(deviation) - 0.5 * libm::log(2.0 * std::f64::consts::PI)
}

fn run<L: Fn(&[f64]) -> f64 + Sync>(dimensions: usize, count: usize, root: u64, log: &L) -> Cloud {
    let mut cloud = Cloud::of_prior(dimensions, count, root, log).unwrap();
    while !cloud.done() {
        cloud.advance(log).unwrap();
    }
    cloud
}

fn mean_and_covariance(draws: &[Vec<f64>]) -> ([f64; 2], [f64; 3]) {
    let n = draws.len() as f64;
    let mean = [0, 1].map(|i| draws.iter().map(|z| z[i]).sum::<f64>() / n);
    let product = |i: usize, j: usize| {
        let each = draws.iter().map(|z| (z[i] - mean[i]) * (z[j] - mean[j]));
        each.sum::<f64>() / n
    };
    (mean, [product(0, 0), product(0, 1), product(1, 1)])
}

/// y = z1 + z2 + e, e ~ N(0, s^2), z ~ N(0, I): posterior mean y/(2 + s^2) each, covariance I - 11'/(2 + s^2), evidence
/// N(y; 0, 2 + s^2). A ridge: the sum is known, the difference is not.
#[test]
fn the_ridge_of_a_linear_problem_has_its_closed_form() {
    let (y, s) = (1.2, 0.05);
    let log = |z: &[f64]| log_normal(y - z[0] - z[1], s);
    let cloud = run(2, 2000, 7, &log);
    let width = 2.0 + s * s;
    let (mean, covariance) = mean_and_covariance(&cloud.draws);
    // Four standard errors of 2000 draws of standard deviation 0.71, taken as if half were independent.
    let band = 4.0 * 0.71 / 1000.0_f64.sqrt();
    for m in mean {
        assert!((m - y / width).abs() < band, "{m} for {}", y / width);
    }
    let expected = [1.0 - 1.0 / width, -1.0 / width, 1.0 - 1.0 / width];
    for (c, e) in covariance.iter().zip(expected) {
        assert!((c - e).abs() < 0.08, "{c} for {e}");
    }
    let sum: f64 = cloud
        .draws
        .iter()
        .map(|z| libm::pow(z[0] + z[1] - 1.2, 2.0))
        .sum();
    let known = (sum / 2000.0).sqrt();
    assert!((known - s).abs() < 0.15 * s, "{known}");
    let evidence = log_normal(y, width.sqrt());
    assert!(
        (cloud.log_evidence - evidence).abs() < 0.15,
        "{} for {evidence}",
        cloud.log_evidence
    );
}

#[test]
fn threads_and_interruptions_change_no_bit() {
    let log = |z: &[f64]| log_normal(0.4 - z[0] * z[1], 0.1);
    let in_pool = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| run(2, 64, 3, &log))
    };
    let whole = in_pool(1);
    assert_eq!(whole, in_pool(3));
    // Stopped after the first stage and gone on from a copy.
    let mut begun = Cloud::of_prior(2, 64, 3, &log).unwrap();
    begun.advance(&log).unwrap();
    let mut again = begun.clone();
    drop(begun);
    while !again.done() {
        again.advance(&log).unwrap();
    }
    assert_eq!(whole, again);
    assert_ne!(whole.draws, run(2, 64, 4, &log).draws);
}

#[test]
fn what_is_not_possible_is_left_out_and_nothing_at_all_is_an_error() {
    // Half of the prior is impossible, and says so by what is no number.
    let half = |z: &[f64]| if z[0] > 0.0 { 0.0 } else { f64::NAN };
    let cloud = run(1, 400, 1, &half);
    assert!(cloud.draws.iter().all(|z| z[0] > 0.0));
    let mean = cloud.draws.iter().map(|z| z[0]).sum::<f64>() / 400.0;
    assert!((mean - 0.798).abs() < 0.13, "{mean}");
    assert!((cloud.log_evidence - libm::log(0.5_f64)).abs() < 0.25);
    let never = |_: &[f64]| f64::NEG_INFINITY;
    assert!(
        Cloud::of_prior(1, 16, 1, &never)
            .unwrap()
            .advance(&never)
            .is_err()
    );
    assert!(Cloud::of_prior(0, 16, 1, &never).is_err());
    assert!(Cloud::of_prior(8, 16, 1, &never).is_err());
    assert!(Cloud::of_prior(1, 17, 1, &never).is_err());
    assert_eq!(effective(&[1.0, 1.0, 0.0]), 2.0);
    assert_eq!(effective(&[0.0]), 0.0);
}
