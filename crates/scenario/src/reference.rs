//! The reference page of the scenario file, made from the grammar.

use std::fmt::Write as _;

use giveway_units::Dimension;

use crate::classes;
use crate::grammar::{self, Fallback, Kind, Row};
use crate::parts;
use crate::value::units;
use crate::walk::grammar_header;

const OPENING: &str = "# The scenario file

<!-- Generated from the grammar in `crates/scenario`; do not edit. -->

A scenario is a TOML file. It says what a person can measure or read off a drawing; everything else has a
default, and the resolved copy beside each result shows every value with where it came from.

- A quantity is a text with its unit: `\"30 km/h\"`, `\"200 N.m\"`, `\"150 lbf.ft\"`, `\"1-1/8 in\"`, `\"5 ft 6 in\"`. A bare number where a unit is needed is an error.
- A ratio is a number, or a text in percent: `0.065`, `\"6.5 %\"`.
- Unknown keys are errors. Values that are not possible are errors, unusual ones warnings.
- Directions (heading, azimuths) are anticlockwise from the direction of traffic, seen from above. `x` runs with the traffic, `y` to the left, `z` up; the origin lies on the ground at the pole axis.
- Any value can be changed from the command line: `--set slip_base.clamp.torque=\"200 N.m\"`. Elements of lists are counted from 1, `support.arm[1].reach`; bands of a face may be named, `vehicle.front.band[bumper].lower`. Setting one of two values that exclude each other replaces the other one of the file.

Marks of sources: **[seen]** read in the source or in a text that quotes it; **[recalled]** from memory; **[recalled?]** from memory, less sure;
**assumed**: chosen here, no source; **common practice, no source**: a fact of the trade without a publication.

A result is an engineering estimate. It does not replace a full-scale test or an approval; local codes and licensed practice decide.
";

/// The reference page, Markdown.
pub fn reference_markdown() -> String {
    let mut out = String::from(OPENING);
    for section in grammar::SECTIONS.iter() {
        let rows: Vec<&Row> = grammar::rows()
            .filter(|row| row.section() == section.path)
            .collect();
        let header = grammar_header(section.path);
        let title = if section.path.is_empty() {
            "Top of the file".to_owned()
        } else if section.path.ends_with("[]") {
            format!("`[[{header}]]`")
        } else {
            format!("`[{header}]`")
        };
        let _ = write!(out, "\n## {title}\n\n{}\n", section.meaning);
        if rows.is_empty() {
            continue;
        }
        out.push_str("\n| key | written as | default | usual range | possible range | meaning |\n|---|---|---|---|---|---|\n");
        for row in rows {
            let _ = writeln!(
                out,
                "| `{}` | {} | {} | {} | {} | {} |",
                row.key(),
                cell(&written(row)),
                cell(&default(row)),
                range(row, row.plausible),
                range(row, row.possible),
                cell(row.meaning),
            );
        }
    }
    tables(&mut out);
    out
}

/// Text that can stand in a table cell.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

fn written(row: &Row) -> String {
    let fixed = |names: Vec<&str>| {
        names
            .iter()
            .map(|n| format!("`\"{n}\"`"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    match row.kind {
        Kind::Quantity(dimension, unit) => {
            format!("{}, e.g. in {unit}", dimension.noun())
        }
        Kind::Number => "a number".to_owned(),
        Kind::Count => "a whole number".to_owned(),
        Kind::Flag => "`true` or `false`".to_owned(),
        Kind::Text => "a text".to_owned(),
        Kind::Choice(grammar::Options::Fixed(names)) => fixed(names.to_vec()),
        Kind::Choice(_) => "a name, see the tables below".to_owned(),
        Kind::Choices(options) => format!("a list out of {}", fixed(options.names())),
        Kind::Pairs((a, _), (b, _)) => format!("a list of pairs: {}, {}", a.noun(), b.noun()),
        Kind::LengthOrName(names) => format!("a length, or {}", fixed(names.to_vec())),
        Kind::Quantities(dimension, unit) => {
            format!("{} or a list of them, e.g. in {unit}", dimension.noun())
        }
        Kind::Numbers => "a whole number or a list of them".to_owned(),
    }
}

fn default(row: &Row) -> String {
    let text = match row.fallback {
        Fallback::Required => "**required**".to_owned(),
        Fallback::Absent => "none".to_owned(),
        Fallback::Class => "from the class".to_owned(),
        Fallback::Value(literal, source) => format!("`{}`: {source}", quoted(row, literal)),
        Fallback::Computed(how, _) => format!("computed: {how}"),
    };
    let text = match row.with {
        Some(key) if matches!(row.fallback, Fallback::Required) => {
            format!("**required** with `{key}`")
        }
        Some(key) => format!("{text}; only with `{key}`"),
        None => text,
    };
    match row.excludes {
        Some(other) => format!("{text}; not together with `{}`", grammar_header(other)),
        None => text,
    }
}

/// The default as it would be written in a file.
fn quoted(row: &Row, literal: &str) -> String {
    match row.kind {
        Kind::Number
        | Kind::Count
        | Kind::Flag
        | Kind::Pairs(..)
        | Kind::Choices(_)
        | Kind::Quantities(..)
        | Kind::Numbers => literal.to_owned(),
        _ => format!("\"{literal}\""),
    }
}

fn range(row: &Row, range: (f64, f64)) -> String {
    if matches!(
        row.kind,
        Kind::Quantity(..)
            | Kind::Quantities(..)
            | Kind::Number
            | Kind::Count
            | Kind::LengthOrName(_)
    ) && (range.0.is_finite() || range.1.is_finite())
    {
        row.range_text(range)
    } else {
        String::new()
    }
}

fn tables(out: &mut String) {
    out.push_str("\n## Units\n\n| quantity | units |\n|---|---|\n");
    for &dimension in Dimension::ALL {
        let _ = writeln!(out, "| {} | {} |", dimension.noun(), units(dimension));
    }
    out.push_str("\nFactors are exact: the inch is 0.0254 m, the pound 0.45359237 kg, standard gravity 9.80665 m/s2 (NIST SP 811, 2008; international yard and pound, 1959).\n");

    out.push_str("\n## Bolt sizes\n\nStress area (pi/4)(d - 0.9382 P)^2 for ISO threads, (pi/4)(d - 0.9743/n)^2 for inch threads. Heads and nuts: ISO 4014 and 4032, heavy hexagon of ASME B18.2.6 for inch sizes [recalled].\n\n| size | diameter, mm | pitch, mm | stress area, mm2 | head, mm | across flats, mm | nut, mm |\n|---|---|---|---|---|---|---|\n");
    for size in parts::BOLT_SIZES {
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {} | {} | {} |",
            size.name,
            giveway_units::shown(size.diameter_m * 1e3, 5),
            giveway_units::shown(size.pitch_m * 1e3, 4),
            giveway_units::shown(size.stress_area_m2() * 1e6, 4),
            giveway_units::shown(size.head_height_m * 1e3, 4),
            giveway_units::shown(size.across_flats_m * 1e3, 4),
            giveway_units::shown(size.nut_height_m * 1e3, 4),
        );
    }
    out.push_str("\n## Bolt grades\n\n| grade | yield, MPa | strength, MPa | elongation | source |\n|---|---|---|---|---|\n");
    for grade in parts::BOLT_GRADES {
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {} |",
            grade.name,
            giveway_units::shown(grade.yield_pa / 1e6, 4),
            giveway_units::shown(grade.ultimate_pa / 1e6, 4),
            grade.elongation,
            cell(grade.source),
        );
    }
    out.push_str("\n## Materials\n\n| material | density, kg/m3 | E, GPa | Poisson | yield, MPa | strength, MPa | source |\n|---|---|---|---|---|---|---|\n");
    for m in parts::MATERIALS {
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {} | {} | {} |",
            m.name,
            m.density_kgpm3,
            giveway_units::shown(m.youngs_pa / 1e9, 4),
            m.poisson,
            giveway_units::shown(m.yield_pa / 1e6, 4),
            giveway_units::shown(m.ultimate_pa / 1e6, 4),
            cell(m.source),
        );
    }
    out.push_str("| other | | | | | | all five values must be given |\n");
    class_tables(out);
}

fn class_tables(out: &mut String) {
    out.push_str("\n## Vehicle classes\n\nMasses and sizes are those of the test documents as recalled. Fronts are not in print: each unknown value was chosen once from the published range, before any comparison, and is the same for every scenario of the class.\n");
    for class in classes::CLASSES.iter() {
        let _ = write!(
            out,
            "\n### {}\n\n{}.\n\n| key | value | source |\n|---|---|---|\n",
            class.name, class.meaning
        );
        for value in &class.values {
            let _ = writeln!(
                out,
                "| `{}` | {} | {} |",
                value.path.strip_prefix("vehicle.").unwrap_or(&value.path),
                cell(&value.literal.replace('"', "")),
                cell(&value.source)
            );
        }
        out.push_str("\n| face | band | heights | set-back | force over crush | source |\n|---|---|---|---|---|---|\n");
        for (face, bands) in [("front", &class.front), ("side", &class.side)] {
            for band in bands {
                let _ = writeln!(
                    out,
                    "| {face} | {} | {} to {} | {} | {} | {} |",
                    band.name,
                    band.lower,
                    band.upper,
                    band.setback,
                    cell(&band.crush.replace('"', "")),
                    cell(&band.source)
                );
            }
        }
    }
}
