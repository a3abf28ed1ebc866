//! Numbers as a person writes them: `50`, `-1.5e3`, `1/2`, `1-1/8`, `1 1/8`.

/// A number at the start of a text, and what follows it.
pub(crate) struct Scanned<'a> {
    /// The number, maybe not finite (`1e999`, `nan`).
    pub value: f64,
    /// The number as it was written.
    pub written: &'a str,
    /// Text after the number, without leading blanks.
    pub rest: &'a str,
}

/// Length in bytes of the decimal digits at the start of `text`.
fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// Length in bytes of the unsigned decimal number at the start of `text`; 0 where there is none.
fn decimal(text: &str) -> usize {
    let whole = digits(text);
    let mut end = whole;
    if text[end..].starts_with('.') {
        let fraction = digits(&text[end + 1..]);
        if whole + fraction == 0 {
            return 0;
        }
        end += 1 + fraction;
    }
    if end == 0 {
        return 0;
    }
    if text[end..].starts_with(['e', 'E']) {
        let after = &text[end + 1..];
        let sign = usize::from(after.starts_with(['+', '-']));
        let exponent = digits(&after[sign..]);
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    end
}

/// Length in bytes of `a/b` at the start of `text` and its value; none where there is no fraction.
fn fraction(text: &str) -> Option<(usize, f64)> {
    let top = digits(text);
    if top == 0 || !text[top..].starts_with('/') {
        return None;
    }
    let bottom = digits(&text[top + 1..]);
    if bottom == 0 {
        return None;
    }
    let end = top + 1 + bottom;
    let numerator: f64 = text[..top].parse().ok()?;
    let denominator: f64 = text[top + 1..end].parse().ok()?;
    Some((end, numerator / denominator))
}

/// Reads the number at the start of `text`. None where the text does not begin with a number.
pub(crate) fn scan(text: &str) -> Option<Scanned<'_>> {
    let text = text.trim();
    let signed = usize::from(text.starts_with(['+', '-']));
    let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
    let body = &text[signed..];
    for word in ["infinity", "inf", "nan"] {
        if body.len() >= word.len()
            && body.as_bytes()[..word.len()].eq_ignore_ascii_case(word.as_bytes())
        {
            let rest = &body[word.len()..];
            if rest.starts_with(|c: char| c.is_alphanumeric()) {
                continue;
            }
            let value = if word == "nan" {
                f64::NAN
            } else {
                sign * f64::INFINITY
            };
            return Some(Scanned {
                value,
                written: &text[..signed + word.len()],
                rest: rest.trim_start(),
            });
        }
    }
    let (length, magnitude) = if let Some((end, value)) = fraction(body) {
        (end, value)
    } else {
        let end = decimal(body);
        if end == 0 {
            return None;
        }
        let mut value: f64 = body[..end].parse().ok()?;
        let mut length = end;
        // A whole number may be followed by a proper fraction: `1-1/8` or `1 1/8`.
        if end == digits(body)
            && body[end..].starts_with(['-', ' '])
            && let Some((more, part)) = fraction(&body[end + 1..])
        {
            value += part;
            length = end + 1 + more;
        }
        (length, value)
    };
    Some(Scanned {
        value: sign * magnitude,
        written: &text[..signed + length],
        rest: body[length..].trim_start(),
    })
}

/// The shortest decimal text that reads back to the same f64 (Rust's own guarantee), without a needless
/// `.0`; exponents only beyond 1e16 or below 1e-5.
pub fn shortest_number(value: f64) -> String {
    let magnitude = value.abs();
    if magnitude != 0.0 && !(1e-5..1e16).contains(&magnitude) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}

/// A number with `digits` significant digits, for people: no exponent between 1e-4 and 1e7, no trailing zeros.
pub fn shown(value: f64, digits: usize) -> String {
    let digits = digits.clamp(1, 17);
    if !value.is_finite() {
        return format!("{value}");
    }
    let rounded: f64 = format!("{:.*e}", digits - 1, value)
        .parse()
        .unwrap_or(value);
    let magnitude = rounded.abs();
    if magnitude != 0.0 && !(1e-4..1e7).contains(&magnitude) {
        format!("{rounded:e}")
    } else {
        format!("{rounded}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Option<(f64, &str)> {
        scan(text).map(|s| (s.value, s.rest))
    }

    #[test]
    fn numbers_and_what_follows() {
        assert_eq!(value("50 km/h"), Some((50.0, "km/h")));
        assert_eq!(value("  -1.5e3N"), Some((-1500.0, "N")));
        assert_eq!(value("1-1/8 in"), Some((1.125, "in")));
        assert_eq!(value("1 1/8 in"), Some((1.125, "in")));
        assert_eq!(value("-1-1/8 in"), Some((-1.125, "in")));
        assert_eq!(value("7/8 in"), Some((0.875, "in")));
        assert_eq!(value(".5 m"), Some((0.5, "m")));
        assert_eq!(value("5. m"), Some((5.0, "m")));
        assert_eq!(value("30deg"), Some((30.0, "deg")));
        assert_eq!(value("1,5 m"), Some((1.0, ",5 m")));
        assert_eq!(value("2 e3"), Some((2.0, "e3")));
    }

    #[test]
    fn what_is_not_a_number() {
        for text in [
            "",
            " ",
            ".",
            "-",
            "+",
            "km/h",
            "e3",
            "-.",
            "/8",
            "\u{221e} m",
        ] {
            assert!(scan(text).is_none(), "{text:?}");
        }
    }

    #[test]
    fn not_finite_is_read_as_such() {
        assert!(scan("nan m").unwrap().value.is_nan());
        assert_eq!(scan("-inf m").unwrap().value, f64::NEG_INFINITY);
        assert_eq!(scan("1e999 m").unwrap().value, f64::INFINITY);
        assert_eq!(scan("1/0 m").unwrap().value, f64::INFINITY);
        // `in` is a unit, `inf` is not the start of it
        assert!(scan("in").is_none());
        assert!(scan("info").is_none());
    }

    #[test]
    fn shown_rounds_for_people() {
        assert_eq!(shown(0.123456, 3), "0.123");
        assert_eq!(shown(1234.5, 3), "1230");
        assert_eq!(shown(2.0, 4), "2");
        assert_eq!(shown(1.5e9, 3), "1.5e9");
        assert_eq!(shown(0.0, 3), "0");
    }
}
