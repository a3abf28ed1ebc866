//! Quantiles and moments of draws, equal or weighted.

/// Value at the part `p` of values in order: straight between neighbours (R-7 of Hyndman and Fan).
pub(crate) fn quantile(values: &[f64], p: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let Some(last) = sorted.len().checked_sub(1) else {
        return f64::NAN;
    };
    let place = p * last as f64;
    let low = place as usize;
    let high = (low + 1).min(last);
    sorted[low] + (place - low as f64) * (sorted[high] - sorted[low])
}

/// The same of values with weights: the least value with at least the part `p` of the weight up to it.
pub(crate) fn weighted_quantiles<const N: usize>(
    order: &[usize],
    values: &[f64],
    weights: &[f64],
    parts: [f64; N],
) -> [f64; N] {
    let total: f64 = order.iter().map(|i| weights[*i]).sum();
    let mut out = [f64::NAN; N];
    let mut reached = 0.0;
    let mut next = 0;
    for &i in order {
        reached += weights[i];
        while next < N && reached >= parts[next] * total {
            out[next] = values[i];
            next += 1;
        }
    }
    out
}

/// Places of the values in rising order.
pub(crate) fn rising(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    order
}

pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

pub(crate) fn deviation(values: &[f64]) -> f64 {
    let m = mean(values);
    let squares: f64 = values.iter().map(|v| (v - m) * (v - m)).sum();
    (squares / values.len() as f64).sqrt()
}

/// Standard error of the distance between the quantiles at two parts of independent values. The number of values below a quantile at p
/// scatters by sqrt(n p (1 - p)): half of what that moves it is its error; both ends as if they moved for themselves.
pub(crate) fn interval_error(values: &[f64], parts: [f64; 2]) -> f64 {
    let squares = parts.map(|p| {
        let d = (p * (1.0 - p) / values.len() as f64).sqrt();
        let [low, high] = [p - d, p + d].map(|p| quantile(values, p.clamp(0.0, 1.0)));
        0.25 * (high - low) * (high - low)
    });
    (squares[0] + squares[1]).sqrt()
}

/// Coefficient of correlation; 0 where one does not vary.
pub(crate) fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let (ma, mb) = (mean(a), mean(b));
    let product: f64 = a.iter().zip(b).map(|(x, y)| (x - ma) * (y - mb)).sum();
    let size = deviation(a) * deviation(b) * a.len() as f64;
    if size > 0.0 { product / size } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_and_correlation() {
        let v = [3.0, 1.0, 2.0, 5.0, 4.0];
        assert_eq!(quantile(&v, 0.5), 3.0);
        assert_eq!(quantile(&v, 0.125), 1.5);
        assert!(quantile(&[], 0.5).is_nan());
        let order = rising(&v);
        let w = [0.0, 1.0, 1.0, 0.0, 2.0];
        assert_eq!(
            weighted_quantiles(&order, &v, &w, [0.25, 0.5, 0.9]),
            [1.0, 2.0, 4.0]
        );
        assert_eq!(correlation(&[1.0, 2.0, 3.0], &[2.0, 4.0, 6.0]), 1.0);
        assert_eq!(correlation(&[1.0, 2.0], &[7.0, 7.0]), 0.0);
        assert_eq!(deviation(&[1.0, 3.0]), 1.0);
        // 0, 0.01 ... 1: a part moves by itself, so 0.05 by sqrt(0.05 0.95/101) at either end.
        let even: Vec<f64> = (0..=100).map(|i| 0.01 * f64::from(i)).collect();
        let error = (2.0_f64 * 0.05 * 0.95 / 101.0).sqrt();
        assert!((interval_error(&even, [0.05, 0.95]) - error).abs() < 1e-12);
    }
}
