//! The film's clock: slow until the base has done its work, then faster.

/// Speeds and pictures a second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Speed in the engagement, as a fraction of the true one.
    pub slow: f64,
    /// Speed afterwards, as a fraction of the true one.
    pub after: f64,
    /// Pictures a second.
    pub pictures_per_second: f64,
}

/// Most pictures of a film.
const MOST: usize = 20_000;
/// The last picture stands for so long, s of the film.
const LAST_STANDS_S: f64 = 1.5;

/// Times of the pictures.
#[derive(Debug, Clone)]
pub struct Clock {
    times: Vec<f64>,
    slow_until_s: f64,
    end_s: f64,
    pace: Pace,
}

impl Clock {
    /// `spans` are, for each run, until when it is slow and when it ends, s.
    pub fn new(spans: &[(f64, f64)], pace: Pace) -> Result<Self, String> {
        let good = |x: f64, most: f64| x.is_finite() && x > 0.0 && x <= most;
        if !good(pace.slow, 100.0) || !good(pace.after, 100.0) {
            return Err("a speed must be above 0 and at most 100 times the true one".to_owned());
        }
        if !good(pace.pictures_per_second, 240.0) {
            return Err("pictures a second must be above 0 and at most 240".to_owned());
        }
        let slow_until_s = spans.iter().map(|s| s.0).fold(0.0, f64::max);
        let end_s = spans.iter().map(|s| s.1).fold(slow_until_s, f64::max);
        let step = |speed: f64| speed / pace.pictures_per_second;
        let most = slow_until_s / step(pace.slow) + (end_s - slow_until_s) / step(pace.after);
        if most.is_nan() || most >= MOST as f64 {
            return Err(format!(
                "that is {most:.0} pictures, more than {MOST}; choose a higher speed or fewer pictures a second"
            ));
        }
        let mut times = Vec::with_capacity(most as usize + 64);
        let mut time = 0.0;
        while time < end_s - 1e-9 {
            times.push(time);
            let slow = time < slow_until_s;
            time += step(if slow { pace.slow } else { pace.after });
        }
        times.push(end_s);
        let still = (LAST_STANDS_S * pace.pictures_per_second).round() as usize;
        times.extend(std::iter::repeat_n(end_s, still));
        Ok(Self {
            times,
            slow_until_s,
            end_s,
            pace,
        })
    }

    /// Times, s after first touch.
    pub fn times(&self) -> &[f64] {
        &self.times
    }

    /// The last instant, s.
    pub fn last(&self) -> f64 {
        self.end_s
    }

    /// Speed at a time, as a fraction of the true one.
    pub fn speed_at(&self, time_s: f64) -> f64 {
        if time_s < self.slow_until_s {
            self.pace.slow
        } else {
            self.pace.after
        }
    }

    /// Part of the film that has gone by at a time, 0 to 1.
    pub fn part(&self, time_s: f64) -> f64 {
        let p = self.pace;
        let film =
            |t: f64| t.min(self.slow_until_s) / p.slow + (t - self.slow_until_s).max(0.0) / p.after;
        (film(time_s) / film(self.end_s).max(1e-12)).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PACE: Pace = Pace {
        slow: 0.02,
        after: 0.5,
        pictures_per_second: 20.0,
    };

    #[test]
    fn as_many_pictures_as_length_and_speed_say() {
        // 0.1 s at 1/50 and 1 s at 1/2: 100 and 40 pictures, the end, and 1.5 s of standing still.
        let clock = Clock::new(&[(0.1, 1.1), (0.05, 0.3)], PACE).unwrap();
        assert_eq!(clock.times().len(), 100 + 40 + 1 + 30);
        assert!((clock.times()[50] - 0.05).abs() < 1e-9);
        assert_eq!(clock.times().last(), Some(&1.1));
        assert_eq!(clock.part(1.1), 1.0);
        assert!((clock.part(0.1) - 5.0 / 7.0).abs() < 1e-12);
        assert_eq!((clock.speed_at(0.05), clock.speed_at(0.2)), (0.02, 0.5));
    }

    #[test]
    fn speeds_without_meaning_are_refused() {
        for slow in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
            assert!(Clock::new(&[(0.1, 1.0)], Pace { slow, ..PACE }).is_err());
        }
        let pace = Pace {
            pictures_per_second: f64::NAN,
            ..PACE
        };
        assert!(Clock::new(&[(0.1, 1.0)], pace).is_err());
    }
}
