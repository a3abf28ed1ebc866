//! How far two numbers may lie apart and count as the same.

/// A width: relative to the larger magnitude of the two, or in the number's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Width {
    /// |a - b| <= width max(|a|, |b|).
    Relative(f64),
    /// |a - b| <= width.
    Absolute(f64),
}

/// Tolerances: of everything, and of paths. Without any only equal numbers are the same.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tolerances {
    rules: Vec<(String, Width)>,
}

impl Tolerances {
    /// Allows a width below a path, or everywhere where the path is empty. Numbers of lists may be left out of it:
    /// `joint.bolts.peak_tension_n` stands for every bolt.
    pub fn allow(&mut self, path: &str, width: Width) {
        self.rules.push((path.to_owned(), width));
    }

    /// Whether two numbers count as the same: within the widest of the widths of the longest path that fits.
    pub fn same(&self, path: &str, a: f64, b: f64) -> bool {
        self.within(path, a, b, a.abs().max(b.abs()))
    }

    /// Whether no width was allowed at all.
    pub fn none(&self) -> bool {
        self.rules.is_empty()
    }

    fn within(&self, path: &str, a: f64, b: f64, scale: f64) -> bool {
        if a == b {
            return true;
        }
        let plain = without_numbers(path);
        let fits = |rule: &str| below(rule, path) || below(rule, &plain);
        let longest = (self.rules.iter())
            .filter(|(rule, _)| fits(rule))
            .map(|(rule, _)| rule.len())
            .max();
        let apart = (a - b).abs();
        self.rules.iter().any(|(rule, width)| {
            Some(rule.len()) == longest
                && fits(rule)
                && match width {
                    // |a - b| <= width max(|a|, |b|)
                    Width::Relative(width) => apart <= width * scale,
                    Width::Absolute(width) => apart <= *width,
                }
        })
    }

    /// The same for a value of a trace, whose relative width counts against the trace's peak.
    pub fn same_below(&self, path: &str, a: f64, b: f64, peak: f64) -> bool {
        self.within(path, a, b, peak)
    }

    /// The path of a rule that fits none of these, if there is one: a slip of the pen.
    pub fn idle<'a>(&'a self, paths: &[&str]) -> Option<&'a str> {
        let rules = self.rules.iter().map(|(rule, _)| rule.as_str());
        rules.into_iter().find(|rule| {
            !paths
                .iter()
                .any(|path| below(rule, path) || below(rule, &without_numbers(path)))
        })
    }
}

fn below(rule: &str, path: &str) -> bool {
    rule.is_empty()
        || path
            .strip_prefix(rule)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

/// `joint.bolts[1].x` as `joint.bolts.x`.
fn without_numbers(path: &str) -> String {
    let mut plain = String::with_capacity(path.len());
    let mut within = false;
    for c in path.chars() {
        match c {
            '[' => within = true,
            ']' => within = false,
            _ if within => {}
            c => plain.push(c),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_path_counts() {
        let mut t = Tolerances::default();
        assert!(t.same("a", 1.0, 1.0) && !t.same("a", 1.0, 1.0 + f64::EPSILON));
        t.allow("", Width::Relative(0.01));
        t.allow("joint.bolts.tension_n", Width::Absolute(5.0));
        t.allow("joint.bolts[1]", Width::Relative(0.0));
        assert!(t.same("a", 100.0, 100.9) && !t.same("a", 100.0, 101.2));
        assert!(t.same("a", -100.0, -100.9) && !t.same("a", 1.0, -1.0));
        assert!(t.same("joint.bolts[0].tension_n", 1.0, 5.9));
        assert!(!t.same("joint.bolts[0].tension_n", 1.0, 6.1));
        assert!(t.same("joint.bolts[1].tension_n", 1.0, 5.9));
        assert!(!t.same("joint.bolts[1].slip_m", 1.0, 1.001));
        assert!(!t.same("joint.bolts[11].slip_m", 1.0, 1.1));
        assert!(t.same("joint.bolts[11].slip_m", 1.0, 1.001));
        assert_eq!(t.idle(&["joint.bolts[1].tension_n"]), None);
        t.allow("jont", Width::Absolute(1.0));
        assert_eq!(t.idle(&["joint.bolts[1].tension_n"]), Some("jont"));
    }
}
