//! Every limit and rule of the trade that the sheet states, with its source. A number that only follows from the
//! scenario (a mass, a grip, a clamp) is no limit.

use giveway_mechanics::erection::{PROOF_SHARE, WRENCH_SCATTER};

use super::facts::{CLEARANCES, InstallationSheet, LEVEL_M, SheetLimit, requirement};
use super::words::{Say, percent};
use crate::profile::{Basis, Bound};
use crate::requirements::{Origin, limit_words};

/// Included angle of notches that bound in tests, degrees (FHWA letter SS-61, 1996, seen: 60 degrees bound, 90 did not).
pub(super) const BOUND_DEG: f64 = 60.0;
/// The angle that did not.
pub(super) const FREE_DEG: f64 = 90.0;
/// Sources of the sheet's own limits, with their marks: of the washers' gap, of the angle, of mass and heights.
pub(super) const APART: &str = "a highway agency's handbook [seen]";
pub(super) const BOUND: &str = "FHWA letter SS-61, 1996 [seen]";
pub(super) const AASHTO: &str = "AASHTO support specifications [seen]";
/// What is said of a limit without a publication.
pub const PRACTICE: &str = "common practice, no source";

/// Requirements besides the clearances whose limit is on the sheet.
const OTHERS: [&str; 3] = ["torque", "plate_washer_thickness", "plate_level"];
/// Limits that only a remark tells.
const IN_REMARKS: [&str; 3] = ["washer gap", "notch angle", "mass"];
/// Short names of the requirements' limits.
const NAMES: [(&str, &str); 9] = [
    ("grout_gap", "grout at the heads"),
    ("grout_notch_gap", "at the notches"),
    ("stub_projection", "bars"),
    ("conduit_projection", "conduit"),
    ("plate_height", "plate height"),
    ("soil_gap", "room behind"),
    ("torque", "torque"),
    ("plate_washer_thickness", "plate washers"),
    ("plate_level", "level"),
];

/// Every limit of the sheet.
pub(super) fn limits(basis: Basis<'_>, sheet: &InstallationSheet) -> Vec<SheetLimit> {
    let system = sheet.system();
    let profile = basis.profile;
    let say = Say(system);
    let set = |bound: Bound, otherwise: &str| {
        profile
            .source(bound)
            .unwrap_or_else(|| otherwise.to_owned())
    };
    let mut out: Vec<SheetLimit> = CLEARANCES
        .iter()
        .chain(&OTHERS)
        .filter_map(|key| Some((key, requirement(key)?)))
        .map(|(key, row)| SheetLimit {
            name: NAMES
                .iter()
                .find(|(of, _)| of == key)
                .map_or(row.title, |(_, name)| name)
                .to_owned(),
            what: row.title.to_owned(),
            limit: limit_words(row, basis, system),
            in_remarks_only: false,
            source: {
                let (source, origin) = row.origin_in(basis);
                marked(origin, &source)
            },
        })
        .collect();
    let mut add = |name: &str, what: &str, limit: String, source: &str| {
        out.push(SheetLimit {
            name: name.to_owned(),
            what: what.to_owned(),
            limit,
            in_remarks_only: IN_REMARKS.contains(&name),
            source: source.to_owned(),
        });
    };
    add(
        "washer gap",
        "Gap that round washers keep between the plates",
        format!(
            "{} to {}",
            say.fine(profile.limit(Bound::RoundWasherLeast).of(system)),
            say.fine(profile.limit(Bound::RoundWasherMost).of(system))
        ),
        &set(Bound::RoundWasherLeast, APART),
    );
    add(
        "notch angle",
        "Included angle of the notches",
        format!("{BOUND_DEG:.0}\u{b0} bound in tests, {FREE_DEG:.0}\u{b0} did not"),
        BOUND,
    );
    add(
        "mass",
        "Mass of the support",
        format!(
            "at most {}",
            say.mass(profile.limit(Bound::SupportMass).of(system))
        ),
        &set(Bound::SupportMass, AASHTO),
    );
    add(
        "straight edge",
        "Straight edge for the height of the lower plate",
        say.long(sheet.design.chord_m),
        &set(Bound::Chord, AASHTO),
    );
    add(
        "thread beyond the nut",
        "Thread beyond the full nut",
        "three threads as good practice; a full nut is the rule".to_owned(),
        PRACTICE,
    );
    add(
        "threads engaged",
        "Threads engaged in the nut",
        format!(
            "a full nut ({:.1}); {:.1} carry the bolt",
            sheet.bolts.engaged_threads, sheet.bolts.threads_needed
        ),
        "from the bolt's tensile load [derived]",
    );
    add(
        "lengths as sold",
        "Lengths of bolts and of their threads",
        "as sold".to_owned(),
        "ISO 888, ISO 4014, ISO 7412, ASME B18.2 [recalled]",
    );
    let stages: Vec<String> = sheet
        .tightening
        .stages
        .iter()
        .map(|s| percent(s.share))
        .collect();
    add(
        "stages",
        "Stages of the torque, going round crosswise",
        stages.join(", "),
        PRACTICE,
    );
    add(
        "wrench scatter",
        "Scatter of the clamp of a torque wrench",
        format!("\u{b1} {}", percent(WRENCH_SCATTER)),
        "Bickford [recalled]",
    );
    add(
        "proof load",
        "Clamp at the upper end of the scatter",
        format!(
            "at most the proof load, {} of the yield load",
            percent(PROOF_SHARE)
        ),
        "ISO 898-1 [recalled]",
    );
    add(
        "sling",
        "Sling",
        "round the arm at the balance point; what hangs further out of plumb is held".to_owned(),
        PRACTICE,
    );
    add(
        "plumbed height",
        "Height of shaft that is plumbed",
        say.long(LEVEL_M),
        PRACTICE,
    );
    if !sheet.arms.is_empty() {
        add(
            "cap-screw turn",
            "Turn of the cap screws from snug",
            say.angle(sheet.cap_screw_turn_rad),
            &set(Bound::CapScrewTurn, PRACTICE),
        );
        add(
            "cap-screw length",
            "Engagement of the cap screws",
            "at least one diameter".to_owned(),
            "steel in steel [recalled]",
        );
    }
    out
}

/// A source with its mark. The words that only repeat the limit are left out: all of them where there is no source, those
/// after the document's name, those before what is derived.
fn marked(origin: Origin, source: &str) -> String {
    if source.ends_with(PRACTICE) {
        return PRACTICE.to_owned();
    }
    origin.marked(match origin {
        Origin::Derived => source.rsplit("; ").next().unwrap_or(source),
        _ => source.split(": ").next().unwrap_or(source),
    })
}
