//! Sentences that were written in SI, said in another system: every quantity in a text changes its unit, and nothing else.
//!
//! A quantity is a number, one blank and a unit; of a range (`75 to 180 mm`, `-3.1 and 4 m/s`, `5.2 +/- 0.3 kN`) every
//! number goes along. What is no such quantity stays: names of keys, sizes of bolts (`M27`), degrees, times, g.

use crate::dimension::Dimension;
use crate::number::shown;
use crate::quantity::unit_named;
use crate::system::System;
use crate::text::in_unit;

/// Units that are changed, the longest first, and what they measure.
const UNITS: [(&str, Dimension); 32] = [
    ("kg/m3", Dimension::Density),
    ("kN/m3", Dimension::UnitWeight),
    ("kN.m", Dimension::Torque),
    ("N.mm", Dimension::Torque),
    ("kN.s", Dimension::Impulse),
    ("kN/m", Dimension::Stiffness),
    ("MN/m", Dimension::Stiffness),
    ("N/mm", Dimension::Stiffness),
    ("m/s2", Dimension::Acceleration),
    ("km/h", Dimension::Speed),
    ("mm/m", Dimension::Angle),
    ("mm2", Dimension::Area),
    ("cm2", Dimension::Area),
    ("N.m", Dimension::Torque),
    ("N.s", Dimension::Impulse),
    ("m/s", Dimension::Speed),
    ("MPa", Dimension::Stress),
    ("kPa", Dimension::Stress),
    ("GPa", Dimension::Stress),
    ("m2", Dimension::Area),
    ("mm", Dimension::Length),
    ("cm", Dimension::Length),
    ("km", Dimension::Length),
    ("kN", Dimension::Force),
    ("MN", Dimension::Force),
    ("kJ", Dimension::Energy),
    ("MJ", Dimension::Energy),
    ("kg", Dimension::Mass),
    ("N", Dimension::Force),
    ("J", Dimension::Energy),
    ("t", Dimension::Mass),
    ("m", Dimension::Length),
];

/// So near before a speed the wind is named, bytes.
const NEARBY: usize = 24;

/// What may stand between the numbers of a range.
const BETWEEN: [&str; 5] = [" to ", " and ", " or ", " +/- ", " \u{b1} "];

/// The text in a system of units.
pub fn spoken(text: &str, system: System) -> String {
    if system == System::Si {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    let mut before = ' ';
    while let Some(c) = rest.chars().next() {
        let begins = c.is_ascii_digit() || (c == '-' && !is_word(before) && before != ')');
        if begins
            && !is_word(before)
            && !matches!(before, '.' | '/' | '^' | '-')
            && let Some((said, length)) = quantity(rest, system, of_wind(&out))
        {
            out.push_str(&said);
            before = 'x';
            rest = &rest[length..];
            continue;
        }
        // A number or word without a unit goes over whole.
        let length = if c.is_ascii_digit() {
            number(rest).map_or(1, str::len)
        } else {
            c.len_utf8()
        };
        out.push_str(&rest[..length]);
        before = rest[..length].chars().next_back().unwrap_or(' ');
        rest = &rest[length..];
    }
    out
}

/// Whether what was said last is the wind: its speed is told in miles per hour, as on weather maps, a vehicle's change of
/// velocity in feet per second.
fn of_wind(before: &str) -> bool {
    let start = before.len() - before.len().min(NEARBY);
    let near = (start..=before.len()).find_map(|i| before.get(i..));
    let near = near.unwrap_or_default().to_lowercase();
    let named = ["wind", "gust"].iter().filter_map(|w| near.rfind(w)).max();
    named.is_some_and(|i| !near[i..].contains(|c: char| c.is_ascii_digit() || ".;".contains(c)))
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// The decimal number at the start of a text.
fn number(text: &str) -> Option<&str> {
    let bytes = text.as_bytes();
    let digits = |from: usize| {
        bytes[from..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count()
    };
    let sign = usize::from(text.starts_with('-'));
    let whole = digits(sign);
    if whole == 0 {
        return None;
    }
    let mut end = sign + whole;
    if bytes.get(end) == Some(&b'.') && digits(end + 1) > 0 {
        end += 1 + digits(end + 1);
    }
    Some(&text[..end])
}

/// The quantity or range at the start of a text, said in the system, and its length.
fn quantity(text: &str, system: System, of_wind: bool) -> Option<(String, usize)> {
    let mut numbers: Vec<(&str, &str)> = Vec::new();
    let mut end = 0;
    let mut between = "";
    loop {
        let written = number(&text[end..])?;
        end += written.len();
        numbers.push((between, written));
        let after = &text[end..];
        let blank = if after.starts_with('\u{a0}') { 2 } else { 1 };
        if after.starts_with([' ', '\u{a0}'])
            && let Some((unit, dimension)) = UNITS
                .iter()
                .find(|(unit, _)| ends_at(&after[blank..], unit))
        {
            end += blank + unit.len();
            let usual = match *unit {
                "m/s" if of_wind => "km/h",
                // Nobody says a tenth of a foot.
                "m" if numbers.iter().all(|(_, n)| n.parse().is_ok_and(below_one)) => "mm",
                unit => unit,
            };
            let to = system.unit(*dimension, usual);
            return said(&numbers, unit, *dimension, to).map(|said| (said, end));
        }
        between = BETWEEN.iter().find(|b| after.starts_with(**b))?;
        end += between.len();
        if numbers.len() > 4 {
            return None;
        }
    }
}

fn below_one(value: f64) -> bool {
    value.abs() < 1.0
}

/// Whether a text begins with a unit that ends there.
fn ends_at(text: &str, unit: &str) -> bool {
    text.strip_prefix(unit).is_some_and(|after| {
        let mut next = after.chars();
        match next.next() {
            Some('.') => !next.next().is_some_and(is_word),
            Some(c) => {
                !is_word(c) && !matches!(c, '/' | '^' | '\u{b2}' | '\u{b3}' | '\u{b7}' | '-')
            }
            None => true,
        }
    })
}

fn said(numbers: &[(&str, &str)], unit: &str, dimension: Dimension, to: &str) -> Option<String> {
    let from = unit_named(unit, dimension)?;
    let mut out = String::new();
    for (between, written) in numbers {
        let value: f64 = written.parse().ok()?;
        let digits = written
            .trim_start_matches(['-', '0', '.'])
            .bytes()
            .filter(u8::is_ascii_digit)
            .count()
            .clamp(3, 5);
        out.push_str(between);
        out.push_str(&shown(in_unit(from.to_si(value), dimension, to), digits));
    }
    Some(format!("{out} {to}"))
}

/// The title of an axis in a system of units (`Contact force, kN` becomes `Contact force, kip`), and what a number along the
/// axis has to be multiplied with. A title without such a unit stays, with the factor 1.
pub fn spoken_title(title: &str, system: System) -> (String, f64) {
    let told = || {
        let (i, _) = title.rmatch_indices(", ").find(|(i, _)| {
            let after = &title[i + 2..];
            UNITS.iter().any(|(unit, _)| ends_at(after, unit))
        })?;
        let after = &title[i + 2..];
        let (unit, dimension) = UNITS.iter().find(|(unit, _)| ends_at(after, unit))?;
        let from = unit_named(unit, *dimension)?;
        let to = system.unit(*dimension, unit);
        let factor = in_unit(from.to_si(1.0), *dimension, to);
        let said = format!("{}, {to}{}", &title[..i], &after[unit.len()..]);
        Some((said, factor))
    };
    match system {
        System::Si => (title.to_owned(), 1.0),
        System::Us => told().unwrap_or_else(|| (title.to_owned(), 1.0)),
    }
}

/// A page of HTML in a system of units: only what a person reads changes, no attribute, style, script, data or picture, which
/// comes in its own units.
pub fn spoken_page(page: &str, system: System) -> String {
    if system == System::Si {
        return page.to_owned();
    }
    let mut out = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(tag) = rest.find('<') {
        out.push_str(&spoken(&rest[..tag], system));
        rest = &rest[tag..];
        let closing = ["<script", "<style", "<svg", "<!--"]
            .iter()
            .zip(["</script>", "</style>", "</svg>", "-->"])
            .find(|(open, _)| rest.starts_with(**open))
            .map_or(">", |(_, close)| close);
        let end = rest.find(closing).map_or(rest.len(), |i| i + closing.len());
        out.push_str(&rest[..end]);
        rest = &rest[end..];
    }
    out.push_str(&spoken(rest, system));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn us(text: &str) -> String {
        spoken(text, System::Us)
    }

    #[test]
    fn quantities_change_and_nothing_else_does() {
        for (si, said) in [
            ("loses 1.91 m/s in all", "loses 6.27 ft/s in all"),
            (
                "estimated at 116 mm, 75 to 180 mm with",
                "estimated at 4.57 in, 2.95 to 7.09 in with",
            ),
            (
                "Three M27 bolts of 180 N.m.",
                "Three M27 bolts of 133 lbf.ft.",
            ),
            ("820 kg, 100 km/h", "1810 lb, 62.1 mph"),
            (
                "34 ms, 5 g, 20 deg, 12 items",
                "34 ms, 5 g, 20 deg, 12 items",
            ),
            ("AASHTO 1994 m-method", "AASHTO 1994 m-method"),
            (
                "oiv_longitudinal_mps = 3 m",
                "oiv_longitudinal_mps = 9.84 ft",
            ),
            ("-22 mm", "-0.866 in"),
            ("3-61 m", "3-61 m"),
            ("by NCHRP 350, 30 km/h", "by NCHRP 350, 18.6 mph"),
            ("a 1.5 m chord", "a 4.92 ft chord"),
            ("0 m/s", "0 ft/s"),
            (
                "design gust of 33 m/s: holds; loses 1.91 m/s",
                "design gust of 73.8 mph: holds; loses 6.27 ft/s",
            ),
            ("winds from 30 to 40 m/s", "winds from 67.1 to 89.5 mph"),
            (
                "stands in the wind. It loses 2 m/s",
                "stands in the wind. It loses 6.56 ft/s",
            ),
            (
                "stub of 0.075 m, 0 to 0.1 m",
                "stub of 2.95 in, 0 to 3.94 in",
            ),
            ("between 0.5 and 2 m", "between 1.64 and 6.56 ft"),
            ("5 mm2 of 3 mm^2", "0.00775 in2 of 3 mm^2"),
            ("5 \u{b1} 0.3 kN", "1.12 \u{b1} 0.0674 kip"),
            ("", ""),
            ("1e5 N", "1e5 N"),
        ] {
            assert_eq!(us(si), said, "{si}");
            assert_eq!(spoken(si, System::Si), si);
        }
    }

    #[test]
    fn titles_of_axes_change_with_their_numbers() {
        for (si, us, factor) in [
            ("Contact force, kN", "Contact force, kip", 0.224_808_943),
            (
                "crush of the struck face, mm",
                "crush of the struck face, in",
                1.0 / 25.4,
            ),
            (
                "time since first touch, ms",
                "time since first touch, ms",
                1.0,
            ),
            (
                "Speed, of all, m/s (CFC 60)",
                "Speed, of all, ft/s (CFC 60)",
                3.280_839_895,
            ),
            ("severity index ASI", "severity index ASI", 1.0),
            ("", "", 1.0),
        ] {
            let (title, by) = spoken_title(si, System::Us);
            assert_eq!(title, us);
            assert!((by - factor).abs() < 1e-8 * factor, "{si}: {by}");
            assert_eq!(spoken_title(si, System::Si), (si.to_owned(), 1.0));
        }
    }

    #[test]
    fn a_page_keeps_its_tags_styles_and_scripts() {
        let page = "<p title=\"5 mm\">5 mm</p><style>a{top:5 mm}</style><script>5 mm</script><svg><text>5 mm</text></svg><!-- 5 mm --><b>5 mm</b> 5 mm";
        assert_eq!(
            spoken_page(page, System::Us),
            "<p title=\"5 mm\">0.197 in</p><style>a{top:5 mm}</style><script>5 mm</script><svg><text>5 mm</text></svg><!-- 5 mm --><b>0.197 in</b> 0.197 in"
        );
        assert_eq!(spoken_page("a < b 5 mm", System::Us), "a < b 5 mm");
    }
}
