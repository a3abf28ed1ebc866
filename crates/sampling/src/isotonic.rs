//! The closest curve that only rises or only falls.

use crate::error::SamplingError;
use crate::interval::all_finite;

/// Which way a curve may go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trend {
    /// Never down.
    Rising,
    /// Never up.
    Falling,
}

/// The monotone values that are closest to the given ones by weighted least squares: neighbours out of order are pooled
/// to their mean (Barlow et al. 1972). For proportions weighted by trials it is also the most likely monotone curve.
///
/// # Errors
/// Lists of different lengths, values that are not finite, weights not above zero.
pub fn isotonic(values: &[f64], weights: &[f64], trend: Trend) -> Result<Vec<f64>, SamplingError> {
    if values.len() != weights.len() {
        return Err(SamplingError::Lengths {
            values: values.len(),
            weights: weights.len(),
        });
    }
    all_finite(values)?;
    if let Some(index) = weights.iter().position(|w| !(*w > 0.0 && w.is_finite())) {
        return Err(SamplingError::Weight {
            index,
            value: weights[index],
        });
    }
    let sign = match trend {
        Trend::Rising => 1.0,
        Trend::Falling => -1.0,
    };
    // Blocks of a mean, a weight and a length; a new value joins the blocks before it that are not below it.
    let mut blocks: Vec<(f64, f64, usize)> = Vec::new();
    for (value, &weight) in values.iter().zip(weights) {
        let mut block = (sign * value, weight, 1);
        while let Some(&before) = blocks.last() {
            if before.0 < block.0 {
                break;
            }
            blocks.pop();
            // m = (w1 m1 + w2 m2)/(w1 + w2)
            let both = before.1 + block.1;
            block = (
                before.0 + (block.0 - before.0) * (block.1 / both),
                both,
                before.2 + block.2,
            );
        }
        blocks.push(block);
    }
    Ok(blocks
        .into_iter()
        .flat_map(|(mean, _, length)| std::iter::repeat_n(sign * mean, length))
        .collect())
}
