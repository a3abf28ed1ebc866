//! The choice of tests against closed forms of a linear Gaussian problem.

use giveway_lab::next_test::{Simulated, choose};
use giveway_sampling::{normal_quantile, seed, unit};
use giveway_units::Dimension;

const DRAWS: usize = 2000;

fn normal(draw: usize, axis: u64) -> f64 {
    normal_quantile(unit(seed(11, draw as u64, axis)))
}

/// Two unknowns a, b, standard normal. Tests: a to 0.5, a to 0.9, b to 1.0, the sum to 0.7.
fn problem(question: fn(f64, f64) -> f64) -> Simulated {
    let tests: [(&str, f64, f64, f64); 4] = [
        ("a fine", 1.0, 0.0, 0.5),
        ("a coarse", 1.0, 0.0, 0.9),
        ("b", 0.0, 1.0, 1.0),
        ("sum", 1.0, 1.0, 0.7),
    ];
    let ab: Vec<[f64; 2]> = (0..DRAWS).map(|j| [normal(j, 0), normal(j, 1)]).collect();
    Simulated {
        names: tests.iter().map(|t| t.0.to_owned()).collect(),
        costs: vec![3.0, 1.0, 1.0, 2.0],
        deviations: tests.iter().map(|t| vec![t.3]).collect(),
        outcomes: tests
            .iter()
            .map(|t| {
                ab.iter()
                    .map(|[a, b]| vec![Some(t.1 * a + t.2 * b)])
                    .collect()
            })
            .collect(),
        answers: vec![ab.iter().map(|[a, b]| question(*a, *b)).collect()],
        root: 1,
    }
}

/// Rows of a design: how each test sees a and b, and its deviation.
const DESIGN: [[f64; 3]; 4] = [
    [1.0, 0.0, 0.5],
    [1.0, 0.0, 0.9],
    [0.0, 1.0, 1.0],
    [1.0, 1.0, 0.7],
];

/// Precision I + sum h h'/s^2 as (p11, p12, p22).
fn precision(list: &[usize]) -> [f64; 3] {
    list.iter().fold([1.0, 0.0, 1.0], |p, i| {
        let [u, v, s] = DESIGN[*i];
        let w = 1.0 / (s * s);
        [p[0] + w * u * u, p[1] + w * u * v, p[2] + w * v * v]
    })
}

/// Gain ln det(precision)/2.
fn gain(list: &[usize]) -> f64 {
    let [p, q, r] = precision(list);
    0.5 * libm::log(p * r - q * q)
}

/// Standard deviation of a that is left.
fn deviation_of_a(list: &[usize]) -> f64 {
    let [p, q, r] = precision(list);
    (r / (p * r - q * q)).sqrt()
}

#[test]
fn gains_and_widths_have_their_closed_forms() {
    let names = ["a".to_owned()];
    let choice = choose(
        "linear",
        &problem(|a, _| a),
        &names,
        &[(Dimension::Ratio, "")],
    );
    let place = |name: &str| {
        ["a fine", "a coarse", "b", "sum"]
            .iter()
            .position(|n| *n == name)
            .unwrap()
    };
    for worth in choice.tests.iter().chain(&choice.pairs) {
        let list: Vec<usize> = worth.tests.iter().map(|t| place(t)).collect();
        // 200 imagined outcomes: a standard error of some 0.05 nats.
        assert!(
            (worth.gain_nats - gain(&list)).abs() < 0.15,
            "{worth:?} for {}",
            gain(&list)
        );
        let left = deviation_of_a(&list);
        assert!(
            (worth.width_left[0] - left).abs() < 0.05,
            "{worth:?} for {left}"
        );
    }
    assert_eq!(choice.tests[0].tests, ["a fine"]);
    assert_eq!(choice.pairs.len(), 4);
    assert!(
        (choice.asked[0].now[2] - 1.645).abs() < 0.1,
        "{:?}",
        choice.asked
    );
}

/// By all parameters the two best single tests are "sum" and "a fine"; the best pair must be that of an exhaustive search.
#[test]
fn pairs_are_chosen_together_as_by_exhaustive_search() {
    let mut simulated = problem(|a, _| a);
    simulated.answers.clear();
    let choice = choose("linear", &simulated, &[], &[]);
    let mut best = (f64::NEG_INFINITY, [0, 0]);
    for i in 0..4 {
        for j in i + 1..4 {
            best = if gain(&[i, j]) > best.0 {
                (gain(&[i, j]), [i, j])
            } else {
                best
            };
        }
    }
    let names = ["a fine", "a coarse", "b", "sum"];
    assert_eq!(choice.pairs[0].tests, best.1.map(|i| names[i]));
    // Two looks at the same unknown are worth less than their sum, and the pair knows it.
    // Of the six pairs it is the last but one, and only as many pairs as single tests are told, four: so the two alone.
    let mut two = problem(|a, _| a);
    two.answers.clear();
    two.names.truncate(2);
    two.costs.truncate(2);
    two.deviations.truncate(2);
    two.outcomes.truncate(2);
    let alone = choose("linear", &two, &[], &[]);
    assert_eq!(alone.pairs.len(), 1);
    let twice = &alone.pairs[0];
    assert_eq!(twice.tests, ["a fine", "a coarse"]);
    // 200 imagined outcomes, as above.
    assert!(
        (twice.gain_nats - gain(&[0, 1])).abs() < 0.15,
        "{twice:?} for {}",
        gain(&[0, 1])
    );
    assert!(twice.gain_nats < gain(&[0]) + gain(&[1]) - 0.1, "{twice:?}");
    assert!(choice.words.iter().any(|w| w.starts_with("Two tests: ")));
    assert!(
        choice
            .words
            .iter()
            .any(|w| w.starts_with("Most for its cost: ")),
        "{:?}",
        choice.words
    );
}

/// A base that holds in some draws: whether it lets go is information, and no number is needed.
#[test]
fn holding_or_letting_go_is_an_outcome() {
    let holds = |j: usize| normal(j, 0) > 0.0;
    let simulated = Simulated {
        names: vec!["time of release".to_owned()],
        costs: vec![0.0],
        deviations: vec![vec![1.0]],
        outcomes: vec![
            (0..DRAWS)
                .map(|j| vec![(!holds(j)).then_some(0.0)])
                .collect(),
        ],
        answers: vec![(0..DRAWS).map(|j| normal(j, 0)).collect()],
        root: 1,
    };
    let choice = choose("", &simulated, &["a".to_owned()], &[(Dimension::Ratio, "")]);
    // One bit.
    assert!(
        (choice.tests[0].gain_nats - libm::log(2.0)).abs() < 0.05,
        "{:?}",
        choice.tests
    );
    assert!(choice.pairs.is_empty());
}
