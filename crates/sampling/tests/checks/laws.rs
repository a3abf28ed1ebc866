//! Properties that every distribution has, for arbitrary numbers.

use giveway_sampling::Distribution;
use proptest::prelude::*;

fn any_law() -> impl Strategy<Value = Distribution> {
    let uniform =
        (-1e3..1e3, 1e-3..1e3).prop_map(|(low, width)| Distribution::uniform(low, low + width));
    let normal = (-1e3..1e3, 1e-2..1e3).prop_map(|(mean, sd)| Distribution::normal(mean, sd));
    let cut = (-1e3..1e3, 1e-2..1e3, -4.0..3.9, 0.05..6.0).prop_map(|(mean, sd, from, width)| {
        Distribution::truncated_normal(mean, sd, mean + sd * from, mean + sd * (from + width))
    });
    let lognormal =
        (1e-3..1e3, 0.01..2.0).prop_map(|(median, sd)| Distribution::lognormal(median, sd));
    let from_mean =
        (1e-3..1e3, 0.01..2.0).prop_map(|(mean, cov)| Distribution::lognormal_from_mean(mean, cov));
    let triangular = (-1e3..1e3, 1e-3..1e3, 0.0..=1.0).prop_map(|(low, width, mode)| {
        Distribution::triangular(low, low + mode * width, low + width)
    });
    prop_oneof![uniform, normal, cut, lognormal, from_mean, triangular]
        .prop_map(|law| law.expect("numbers within their limits"))
}

proptest! {
    #[test]
    fn the_quantile_of_the_probability_is_the_value(law in any_law(), u in 1e-9..0.999_999) {
        let x = law.quantile(u).expect("a value");
        let (p, sd) = (law.cdf(x), law.standard_deviation());
        prop_assert!((p - u).abs() < 1e-9, "{u} became {p}");
        let back = law.quantile(p).expect("a value");
        // A probability near 1 has no more digits than it has; they are worth this much of the value.
        let worth = sd * 1e-9 + 1e-9 * x.abs();
        prop_assert!((back - x).abs() <= worth, "{x} became {back}");
    }

    #[test]
    fn quantiles_keep_their_order_and_bounds(law in any_law(), a in 1e-12..1.0_f64, b in 1e-12..1.0_f64) {
        let (a, b) = (a.min(b), a.max(b));
        let (x, y) = (law.quantile(a).expect("a value"), law.quantile(b).expect("a value"));
        let (low, high) = law.bounds();
        prop_assert!(low <= x && x <= y && y <= high, "{low} {x} {y} {high}");
        let (p, q) = (law.cdf(x), law.cdf(y));
        prop_assert!(0.0 <= p && p <= q + 1e-15 && q <= 1.0, "{p} {q}");
    }

    #[test]
    fn moments_lie_within_the_bounds(law in any_law()) {
        let (low, high) = law.bounds();
        let (mean, sd) = (law.mean(), law.standard_deviation());
        prop_assert!(low < mean && mean < high && sd > 0.0);
        // Popoviciu: a bounded number scatters by no more than half its range.
        prop_assert!(sd <= 0.5 * (high - low) * (1.0 + 1e-12));
    }

    #[test]
    fn listed_values_answer_for_their_probability(
        weights in prop::collection::vec(0.0..1.0_f64, 1..12),
        u in 0.0..=1.0_f64,
    ) {
        prop_assume!(weights.iter().any(|w| *w > 0.0));
        let list: Vec<(f64, f64)> = (0..).map(f64::from).zip(weights).collect();
        let law = Distribution::discrete(&list).expect("a list");
        let x = law.quantile(u).expect("a value");
        // The least value whose probability together with all below reaches u, and never one without weight.
        prop_assert!(list[x as usize].1 > 0.0);
        prop_assert!(law.cdf(x) >= u);
        let below = law.cdf(x - 0.5);
        prop_assert!(below < u || below == 0.0);
    }
}
