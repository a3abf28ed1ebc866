//! Axes: ranges that are always finite and never of zero width, and round tick marks.

use giveway_units::{System, spoken_title};

use crate::DrawError;

/// A guarded range of values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Axis {
    /// From end to end.
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// The range of the values, widened by `margin` (fraction) at either end where that end is not zero.
    ///
    /// A value that is not finite is an error that names `what`; a range of zero width is opened.
    pub fn covering<'a>(
        values: impl IntoIterator<Item = &'a f64>,
        margin: f64,
        figure: &str,
        what: &str,
    ) -> Result<Self, DrawError> {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for &v in values {
            // Beyond 1e100 the width of a range could overflow; nothing physical is there.
            if !v.is_finite() || v.abs() >= 1.0e100 {
                return Err(DrawError::NotFinite {
                    figure: figure.to_owned(),
                    what: what.to_owned(),
                });
            }
            low = low.min(v);
            high = high.max(v);
        }
        if low > high {
            return Ok(Axis::new(0.0, 1.0));
        }
        let width = high - low;
        if width <= 1.0e-9 * low.abs().max(high.abs()).max(1.0e-9) {
            let half = (0.1 * low.abs()).max(0.5e-3);
            return Ok(Axis::new(low - half, high + half));
        }
        let grow = |end: f64, by: f64| if end == 0.0 { end } else { end + by };
        Ok(Axis::new(
            grow(low, -margin * width),
            grow(high, margin * width),
        ))
    }

    /// Position of a value along the axis, 0 at the lower end, 1 at the upper.
    pub fn fraction(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }

    /// Ticks in a system of units, each at its place on this axis with its number, and the title with its unit.
    pub fn said(&self, title: &str, wanted: usize, system: System) -> (Vec<(f64, String)>, String) {
        let (title, factor) = spoken_title(title, system);
        let shown = Axis::new(self.low * factor, self.high * factor);
        let (ticks, decimals) = shown.ticks(wanted);
        let ticks = ticks.into_iter();
        let ticks = ticks.map(|t| (t / factor, tick_text(t, decimals)));
        (ticks.collect(), title)
    }

    /// Round values inside the range, about `wanted` of them, and the decimals that they need.
    pub fn ticks(&self, wanted: usize) -> (Vec<f64>, usize) {
        let raw = (self.high - self.low) / wanted.max(1) as f64;
        let power = libm::floor(libm::log10(raw));
        let unit = libm::pow(10.0, power);
        let step = [1.0, 2.0, 5.0, 10.0]
            .iter()
            .map(|m| m * unit)
            .find(|s| *s >= raw * 0.999)
            .unwrap_or(10.0 * unit);
        let decimals = (-libm::floor(libm::log10(step) + 1.0e-9)).clamp(0.0, 9.0) as usize;
        let first = libm::ceil(self.low / step - 1.0e-9) as i64;
        let last = libm::floor(self.high / step + 1.0e-9) as i64;
        let ticks = (first..=last.min(first + 50))
            .map(|i| i as f64 * step)
            .collect();
        (ticks, decimals)
    }
}

/// A tick's number with those decimals and a true minus sign.
pub fn tick_text(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_guarded() {
        let a = Axis::covering(&[3.0, 3.0], 0.05, "f", "x").unwrap();
        assert!(a.low < 3.0 && a.high > 3.0);
        let a = Axis::covering(&[], 0.05, "f", "x").unwrap();
        assert_eq!((a.low, a.high), (0.0, 1.0));
        let a = Axis::covering(&[0.0, 0.0], 0.05, "f", "x").unwrap();
        assert!(a.high > a.low);
        let a = Axis::covering(&[0.0, 10.0], 0.05, "f", "x").unwrap();
        assert_eq!((a.low, a.high), (0.0, 10.5));
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1.0e300] {
            let e = Axis::covering(&[0.0, bad], 0.05, "motion", "speed").unwrap_err();
            assert!(e.to_string().contains("speed"), "{e}");
        }
    }

    #[test]
    fn ticks_are_round_and_inside() {
        let (t, d) = Axis::new(0.0, 0.163).ticks(6);
        assert_eq!(d, 2);
        assert_eq!(t.len(), 4); // 0, 0.05, 0.10, 0.15
        assert_eq!(tick_text(t[3], d), "0.15");
        let (t, d) = Axis::new(-3.2, 7.9).ticks(6);
        assert_eq!((t, d), (vec![-2.0, 0.0, 2.0, 4.0, 6.0], 0));
    }

    #[test]
    fn minus_zero_has_no_sign() {
        assert_eq!(tick_text(-0.0001, 1), "0.0");
        assert_eq!(tick_text(-1.5, 1), "\u{2212}1.5");
    }
}
