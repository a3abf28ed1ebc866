//! Designs against SciPy and NumPy, and what their definitions say.

use giveway_sampling::{
    Crossed, Design, Grid, LatinHypercube, MOST_DIMENSIONS, MonteCarlo, Placement, SamplingError,
    Scrambling, Sobol, Trajectories, part, seed, unit,
};

use crate::{Differences, references};

fn points(design: &dyn Design) -> Vec<Vec<f64>> {
    (0..design.size())
        .map(|index| design.point(index).expect("a point"))
        .collect()
}

/// Centred L2 discrepancy squared (Hickernell 1998), as `scipy.stats.qmc.discrepancy` gives it.
fn discrepancy(points: &[Vec<f64>]) -> f64 {
    let (n, d) = (points.len() as f64, points[0].len() as f64);
    let off = |x: f64| (x - 0.5).abs();
    let single: f64 = (points.iter())
        .map(|p| {
            p.iter()
                .map(|&x| 1.0 + 0.5 * off(x) - 0.5 * off(x) * off(x))
                .product::<f64>()
        })
        .sum();
    let mut double = 0.0;
    for p in points {
        for q in points {
            let pair = p.iter().zip(q);
            double += pair
                .map(|(&x, &y)| 1.0 + 0.5 * (off(x) + off(y) - (x - y).abs()))
                .product::<f64>();
        }
    }
    // (13/12)^d - 2/n sum prod(...) + 1/n^2 sum sum prod(...)
    libm::pow(13.0 / 12.0, d) - 2.0 / n * single + double / (n * n)
}

#[test]
fn plain_sobol_points_are_those_of_scipy() {
    let rows = references().sobol;
    assert!(rows.iter().map(|row| row.point.len()).sum::<usize>() > 2000);
    for row in &rows {
        let design =
            Sobol::new(row.dimensions, row.index + 1, Scrambling::Plain).expect("a design");
        assert_eq!(
            design.point(row.index).expect("a point"),
            row.point,
            "point {}",
            row.index
        );
        let later = Sobol::new(row.dimensions, 1, Scrambling::Plain)
            .and_then(|design| design.starting_at(row.index))
            .expect("a design");
        assert_eq!(later.point(0).expect("a point"), row.point);
    }
}

/// Any 2^m points from a multiple of 2^m on have one point in each slice of 2^-m of each axis, plain or scrambled; and in
/// two dimensions one in each box of the elementary intervals (a net with t = 0 for the first two axes).
#[test]
fn sobol_points_are_balanced() {
    for scrambling in [Scrambling::Plain, Scrambling::Owen(3), Scrambling::Owen(4)] {
        for first in [0, 64, 640] {
            let design = Sobol::new(12, 64, scrambling)
                .and_then(|design| design.starting_at(first))
                .expect("a design");
            let points = points(&design);
            for axis in 0..12 {
                let mut slices: Vec<u64> = points.iter().map(|p| (p[axis] * 64.0) as u64).collect();
                slices.sort_unstable();
                assert_eq!(
                    slices,
                    (0..64).collect::<Vec<_>>(),
                    "axis {axis} from {first}"
                );
            }
            for (across, up) in [(64, 1), (32, 2), (16, 4), (8, 8), (4, 16), (2, 32), (1, 64)] {
                let mut boxes: Vec<u64> = (points.iter())
                    .map(|p| (p[0] * across as f64) as u64 * up + (p[1] * up as f64) as u64)
                    .collect();
                boxes.sort_unstable();
                assert_eq!(boxes, (0..64).collect::<Vec<_>>(), "boxes {across} by {up}");
            }
        }
    }
}

/// Means of x_1 x_2 x_3 over 256 points scatter far less than independent points do: sd of the latter
/// sqrt((1/27 - 1/64)/256) = 0.0092.
#[test]
fn scrambled_points_are_unbiased_and_scatter_little() {
    let mut means = Vec::new();
    for root in 0..200 {
        let design = Sobol::new(3, 256, Scrambling::Owen(root)).expect("a design");
        let all = points(&design);
        assert!(all.iter().flatten().all(|&u| u > 0.0 && u < 1.0));
        means.push(all.iter().map(|p| p[0] * p[1] * p[2]).sum::<f64>() / 256.0);
    }
    let mean = means.iter().sum::<f64>() / 200.0;
    let sd = (means.iter().map(|m| (m - mean) * (m - mean)).sum::<f64>() / 199.0).sqrt();
    assert!(sd < 0.0092 / 10.0, "{sd}");
    // Within 4 standard errors of 1/8.
    assert!((mean - 0.125).abs() < 4.0 * sd / 200.0_f64.sqrt(), "{mean}");
}

#[test]
fn grid_levels_are_those_of_numpy() {
    let row = references().grid;
    let grid = Grid::new(&row.counts).expect("a grid");
    assert_eq!(grid.size() as usize, row.levels.len());
    for (index, levels) in (0..).zip(&row.levels) {
        assert_eq!(&grid.levels(index).expect("levels"), levels);
        assert_eq!(grid.index(levels), Some(index));
        let point = grid.point(index).expect("a point");
        for ((u, &level), &of) in point.iter().zip(levels).zip(&row.counts) {
            assert_eq!((u * of as f64) as u64, level);
        }
    }
    assert_eq!(grid.index(&[3, 0, 0, 0]), None);
    assert!(Grid::new(&[4, 0]).is_err());
    assert!(Grid::new(&[1 << 40, 1 << 40]).is_err());
}

#[test]
fn a_latin_hypercube_has_one_point_in_each_slice() {
    for size in [1, 2, 3, 7, 64, 1000] {
        for placement in [Placement::Random, Placement::Centred] {
            let design = LatinHypercube::new(5, size, placement, 99).expect("a design");
            let points = points(&design);
            for axis in 0..5 {
                let mut slices: Vec<u64> = (points.iter())
                    .map(|point| (point[axis] * size as f64).floor() as u64)
                    .collect();
                slices.sort_unstable();
                assert_eq!(slices, (0..size).collect::<Vec<_>>());
            }
        }
    }
}

/// Nothing is listed, so a point of a very large design is there at once; and it stays within its slice.
#[test]
fn a_point_of_a_billion_comes_alone() {
    let size = 1 << 30;
    let design = LatinHypercube::new(3, size, Placement::Random, 5).expect("a design");
    for index in [0, 1, size / 3, size - 1] {
        assert!(
            design
                .point(index)
                .expect("a point")
                .iter()
                .all(|&u| u > 0.0 && u < 1.0)
        );
    }
    assert!(LatinHypercube::new(3, size + 1, Placement::Random, 5).is_err());
}

/// The discrepancy formula against SciPy; and ours within the range of SciPy's own Latin hypercubes, with a mean that is
/// theirs (0.2 of the way to that of independent points is allowed).
#[test]
fn latin_hypercubes_are_as_even_as_those_of_scipy() {
    let row = references().discrepancy;
    let mut differences = Differences::default();
    let value = discrepancy(&row.some_points);
    differences.compare(|| "discrepancy".to_owned(), value, row.some_value, 1e-12);
    differences.none();
    let values: Vec<f64> = (0..200)
        .map(|root| {
            let design = LatinHypercube::new(row.dimensions, row.points, Placement::Random, root);
            discrepancy(&points(&design.expect("a design")))
        })
        .collect();
    let [low, high] = row.latin_range;
    let inside = values.iter().filter(|v| (low..=high).contains(v)).count();
    assert!(inside >= 198, "{inside} of 200 within {low} to {high}");
    let mean = values.iter().sum::<f64>() / 200.0;
    let allowed = 0.2 * (row.independent_mean - row.latin_mean);
    assert!(
        (mean - row.latin_mean).abs() < allowed,
        "{mean} {}",
        row.latin_mean
    );
}

/// Pearson's chi^2 of 20 000 points in 10 x 10 boxes: 148.2 with 99 degrees of freedom is passed with the probability 0.001.
#[test]
fn independent_points_are_even_and_unpaired() {
    for (root, axes) in [(1, [0, 1]), (2, [3, 7]), (3, [1, 0])] {
        let design = MonteCarlo::new(8, 20_000, root).expect("a design");
        let mut boxes = [0.0_f64; 100];
        for point in points(&design) {
            boxes[(point[axes[0]] * 10.0) as usize * 10 + (point[axes[1]] * 10.0) as usize] += 1.0;
        }
        let chi: f64 = boxes
            .iter()
            .map(|b| (b - 200.0) * (b - 200.0) / 200.0)
            .sum();
        assert!(chi < 148.2, "{chi}");
    }
    let design = MonteCarlo::new(3, 10, 7).expect("a design");
    assert_eq!(design.point(4).expect("a point")[2], unit(seed(7, 4, 2)));
}

/// The hash is told in the docs, so that anyone can compute a seed: BLAKE3 over the label and the numbers.
#[test]
fn a_seed_is_the_hash_that_the_docs_tell() {
    let mut text = b"giveway-sampling 1\n\0".to_vec();
    for number in [42_u64, 17, 3] {
        text.extend(number.to_le_bytes());
    }
    let hash = blake3::hash(&text);
    let first: [u8; 8] = hash.as_bytes()[..8].try_into().expect("eight bytes");
    assert_eq!(seed(42, 17, 3), u64::from_le_bytes(first));
}

#[test]
fn parts_of_a_study_have_the_points_of_the_whole() {
    for (size, of) in [(10, 3), (7, 7), (3, 5), (1_000_001, 16)] {
        let mut next = 0;
        for number in 1..=of {
            let range = part(size, number, of).expect("a part");
            assert_eq!(range.start, next);
            assert!(range.end - range.start <= size / of + 1);
            next = range.end;
        }
        assert_eq!(next, size);
    }
    assert!(part(10, 0, 3).is_err() && part(10, 4, 3).is_err() && part(10, 1, 0).is_err());

    let base = Sobol::new(6, 64, Scrambling::Owen(1)).expect("a design");
    let designs: Vec<Box<dyn Design>> = vec![
        Box::new(MonteCarlo::new(4, 50, 8).expect("a design")),
        Box::new(LatinHypercube::new(4, 50, Placement::Random, 8).expect("a design")),
        Box::new(base.clone()),
        Box::new(Trajectories::new(4, 10, 4, 8).expect("a design")),
        Box::new(Crossed::new(base, 10).expect("a design")),
    ];
    for design in &designs {
        let whole = points(design.as_ref());
        // Backwards, in other threads: a point depends on its index alone.
        let alone: Vec<Vec<f64>> = std::thread::scope(|scope| {
            let threads: Vec<_> = (0..design.size())
                .rev()
                .map(|index| scope.spawn(move || design.point(index).expect("a point")))
                .collect();
            threads
                .into_iter()
                .rev()
                .map(|t| t.join().expect("a thread"))
                .collect()
        });
        assert_eq!(whole, alone);
        let size = design.size();
        assert_eq!(
            design.point(size),
            Err(SamplingError::NoSuchPoint { index: size, size })
        );
        assert!(matches!(
            design.fill(0, &mut [0.0]),
            Err(SamplingError::Length { .. })
        ));
    }
}

#[test]
fn counts_beyond_their_limits_are_refused() {
    assert!(MonteCarlo::new(0, 10, 1).is_err());
    assert!(MonteCarlo::new(MOST_DIMENSIONS + 1, 10, 1).is_err());
    assert!(MonteCarlo::new(2, 0, 1).is_err());
    assert!(Sobol::new(2, (1 << 52) + 1, Scrambling::Plain).is_err());
    assert!(
        Sobol::new(2, 10, Scrambling::Plain)
            .and_then(|design| design.starting_at((1 << 52) - 9))
            .is_err()
    );
    assert!(LatinHypercube::new(2, 0, Placement::Centred, 1).is_err());
}
