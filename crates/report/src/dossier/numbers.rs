//! The numbers in tables.

use giveway_occupant::flail::{RidedownStatus, VelocityBasis};
use giveway_results::Summary;
use giveway_results::grades::grade_name;

use super::markup::{Cell, Markup, Table};
use super::words::{maybe, or_dash, quantity, to, upper_first};
use crate::joint::fate_in_words;

/// Bolts, occupant, wind, support.
pub fn chapter(m: &mut Markup, s: &Summary, level: u8) {
    let j = &s.joint;
    if !j.bolts.is_empty() {
        m.subheading(level, "Slip joint");
        let force = |n: f64| Cell::number(to(1e-3 * n, 1, "kN"));
        m.table(&Table::of(
            "Bolts, numbered anticlockwise",
            &j.bolts,
            &[
                ("Bolt", &|b| Cell::text(&b.number.to_string())),
                ("At>", &|b| {
                    Cell::number(format!("{:.0}\u{b0}", b.azimuth_rad.to_degrees()))
                }),
                ("What became of it", &|b| Cell::text(fate_in_words(b.fate))),
                ("Released>", &|b| {
                    Cell::number(maybe(b.release_time_s.map(|t| 1e3 * t), 1, "ms"))
                }),
                ("Preload>", &|b| force(b.preload_n)),
                ("Largest tension>", &|b| force(b.peak_tension_n)),
                ("Across the slip plane>", &|b| force(b.peak_slip_force_n)),
                ("Friction took>", &|b| {
                    Cell::number(to(b.friction_j, 0, "J"))
                }),
                ("Findings took>", &|b| Cell::number(to(b.held_j, 0, "J"))),
            ],
        ));
    }
    m.subheading(level, "Occupant");
    m.table(&occupant(s));
    if let Some(r) = &s.retention {
        m.subheading(level, "Clamped base in the wind");
        let mut t = Table::new(
            "Slow push by dead load and wind; a grade bears so many times the pressure of its wind",
            &["Quantity", "Value>"],
        );
        t.pair("Stands", if r.holds { "yes" } else { "no" });
        t.pair(
            "Clamp that was counted on, of the loosest bolt",
            to(1e-3 * r.clamp_n, 1, "kN"),
        );
        for g in &r.grades {
            t.pair(&upper_first(grade_name(g.grade)), g.words());
        }
        t.pair(
            "Least clamp left in the design gust, share",
            to(r.smallest_gap_margin_fraction, 2, ""),
        );
        t.pair(
            "Wind shear at the slip plane",
            to(1e-3 * r.wind_shear_n, 2, "kN"),
        );
        t.pair("Wind moment there", to(1e-3 * r.wind_moment_nm, 2, "kN.m"));
        t.pair(
            "Dead-load moment there",
            to(1e-3 * r.dead_moment_nm, 2, "kN.m"),
        );
        t.pair("Torsion there", to(1e-3 * r.torsion_nm, 2, "kN.m"));
        m.table(&t);
    }
    m.subheading(level, "Support and contact");
    let mut t = Table::new("Mass, frequencies, contact", &["Quantity", "Value>"]);
    t.pair("Mass of what flies", to(s.support.mass_kg, 1, "kg"));
    t.pair(
        "Its centre above the slip plane",
        to(s.support.centre_m[2], 2, "m"),
    );
    let frequencies: Vec<String> = s
        .support
        .free_frequencies_hz
        .iter()
        .take(4)
        .map(|f| format!("{f:.1}"))
        .collect();
    t.pair(
        "First free-free frequencies",
        format!("{} Hz", frequencies.join(", ")),
    );
    t.pair(
        "Impulse of the contact along the travel",
        to(s.contact.impulse_ns, 0, "N.s"),
    );
    t.pair(
        "Bending over plastic moment at the foot",
        to(s.contact.foot_moment_ratio, 2, ""),
    );
    t.pair(
        "Bending over plastic moment where it is struck",
        to(s.contact.contact_moment_ratio, 2, ""),
    );
    m.table(&t);
}

fn occupant(s: &Summary) -> Table {
    let o = &s.occupant;
    let f = &o.flail;
    let mut t = Table::new(
        "From the vehicle's record alone",
        &["Quantity", "Value>", "Remark"],
    );
    let mut row = |name: &str, value: String, remark: &str| {
        t.row(vec![
            Cell::text(name),
            Cell::number(value),
            Cell::text(remark),
        ]);
    };
    let basis = match f.basis {
        VelocityBasis::FlailSpace => "at contact with the interior",
        VelocityBasis::ContactVelocityChange => {
            "no contact inside: the vehicle's velocity change stands in"
        }
    };
    row(
        "Occupant impact velocity, along",
        quantity(f.oiv_longitudinal_mps, "m/s"),
        basis,
    );
    row(
        "Occupant impact velocity, across",
        quantity(f.oiv_lateral_mps, "m/s"),
        "",
    );
    let ridedown = match f.ridedown_status {
        RidedownStatus::Evaluated => "largest 10 ms mean after contact",
        RidedownStatus::NoContact => "no contact inside",
        _ => "record too short",
    };
    let g =
        |e: &Option<giveway_occupant::means::Extreme>| maybe(e.as_ref().map(|e| e.value_g), 2, "g");
    row("Ridedown, along", g(&f.ridedown_longitudinal), ridedown);
    row("Ridedown, across", g(&f.ridedown_lateral), "");
    row(
        "Theoretical head impact velocity",
        maybe(o.head.thiv_kmph, 1, "km/h"),
        "",
    );
    row(
        "Severity index of 50 ms means",
        maybe(o.asi_50ms_mean.as_ref().map(|a| a.asi), 2, "")
            .trim_end()
            .to_owned(),
        "",
    );
    let angle = |a: Option<f64>| or_dash(a.map(|a| quantity(a, "rad")));
    row("Largest roll", angle(o.largest_roll_rad), "");
    row("Largest pitch", angle(o.largest_pitch_rad), "");
    row("Length of the record", to(o.record_length_s, 2, "s"), "");
    t
}
