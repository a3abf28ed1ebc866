//! The numbers in tables.

use giveway_occupant::flail::{RidedownStatus, VelocityBasis};
use giveway_occupant::means::Extreme;
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
        let clamp = to(1e-3 * r.clamp_n, 1, "kN");
        let left = to(r.smallest_gap_margin_fraction, 2, "");
        let moment = |nm: f64| to(1e-3 * nm, 2, "kN.m");
        t.pair("Stands", if r.holds { "yes" } else { "no" });
        t.pair("Clamp that was counted on, of the loosest bolt", clamp);
        for g in &r.grades {
            t.pair(&upper_first(grade_name(g.grade)), g.words());
        }
        t.pair("Least clamp left in the design gust, share", left);
        let shear = to(1e-3 * r.wind_shear_n, 2, "kN");
        t.pair("Wind shear at the slip plane", shear);
        t.pair("Wind moment there", moment(r.wind_moment_nm));
        t.pair("Dead-load moment there", moment(r.dead_moment_nm));
        t.pair("Torsion there", moment(r.torsion_nm));
        m.table(&t);
    }
    m.subheading(level, "Support and contact");
    let (support, contact) = (&s.support, &s.contact);
    let mut t = Table::new("Mass, frequencies, contact", &["Quantity", "Value>"]);
    t.pair("Mass of what flies", to(support.mass_kg, 1, "kg"));
    let height = to(support.centre_m[2], 2, "m");
    t.pair("Its centre above the slip plane", height);
    let frequencies = support.free_frequencies_hz.iter().take(4);
    let frequencies: Vec<String> = frequencies.map(|f| format!("{f:.1}")).collect();
    let frequencies = format!("{} Hz", frequencies.join(", "));
    t.pair("First free-free frequencies", frequencies);
    let impulse = to(contact.impulse_ns, 0, "N.s");
    t.pair("Impulse of the contact along the travel", impulse);
    for (place, ratio) in [
        ("at the foot", contact.foot_moment_ratio),
        ("where it is struck", contact.contact_moment_ratio),
    ] {
        let name = format!("Bending over plastic moment {place}");
        t.pair(&name, to(ratio, 2, ""));
    }
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
    let speed = |v: f64| quantity(v, "m/s");
    let along = speed(f.oiv_longitudinal_mps);
    row("Occupant impact velocity, along", along, basis);
    let across = speed(f.oiv_lateral_mps);
    row("Occupant impact velocity, across", across, "");
    let ridedown = match f.ridedown_status {
        RidedownStatus::Evaluated => "largest 10 ms mean after contact",
        RidedownStatus::NoContact => "no contact inside",
        _ => "record too short",
    };
    let g = |e: &Option<Extreme>| maybe(e.as_ref().map(|e| e.value_g), 2, "g");
    row("Ridedown, along", g(&f.ridedown_longitudinal), ridedown);
    row("Ridedown, across", g(&f.ridedown_lateral), "");
    let thiv = maybe(o.head.thiv_kmph, 1, "km/h");
    row("Theoretical head impact velocity", thiv, "");
    let asi = maybe(o.asi_50ms_mean.as_ref().map(|a| a.asi), 2, "");
    let asi = asi.trim_end().to_owned();
    row("Severity index of 50 ms means", asi, "");
    let angle = |a: Option<f64>| or_dash(a.map(|a| quantity(a, "rad")));
    row("Largest roll", angle(o.largest_roll_rad), "");
    row("Largest pitch", angle(o.largest_pitch_rad), "");
    row("Length of the record", to(o.record_length_s, 2, "s"), "");
    t
}
