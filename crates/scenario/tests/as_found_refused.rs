//! Findings on site that are refused or doubted: code, place and what is proposed.

use giveway_scenario::{Diagnostic, Loaded, Severity, read};

const FIRST: &str = include_str!("../../../scenarios/first.toml");

fn with(section: &str) -> Result<Loaded, Vec<Diagnostic>> {
    read(&format!("{FIRST}\n{section}"), "site.toml", &[])
}

/// Section, code, line after the file, path, a part of the suggestion.
type Case = (
    &'static str,
    &'static str,
    usize,
    &'static str,
    &'static str,
);

#[test]
fn what_cannot_be_a_finding_is_refused_at_its_place() {
    #[rustfmt::skip]
    let cases: &[Case] = &[
        ("[as_found.grout]\ngap = -25", "S020", 2, "as_found.grout.gap", "gap = \"-25 mm\""),
        ("[as_found.grout]\ngap = \"-25 mm2\"", "S022", 2, "as_found.grout.gap", ""),
        ("[as_found.grout]\ngap = \"nan mm\"", "S024", 2, "as_found.grout.gap", ""),
        ("[as_found.grout]\ngap = nan", "S024", 2, "as_found.grout.gap", ""),
        ("[as_found.grout]\ngap = \"-25 m\"", "S030", 2, "as_found.grout.gap", "\"-25 mm\""),
        ("[as_found.grout]\ngap = \"5 mm\"\nstrength = \"-1 MPa\"", "S030", 3, "as_found.grout.strength", ""),
        ("[as_found.grout]\nstrength = \"30 MPa\"\ncover = \"50 mm\"", "S011", 2, "as_found.grout.gap", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = [1, 4]", "S070", 3, "as_found.grout.bolts", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = [0]", "S070", 3, "as_found.grout.bolts", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = [-1]", "S070", 3, "as_found.grout.bolts", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = [2, 1, 2]", "S070", 3, "as_found.grout.bolts", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = [1.5]", "S012", 3, "as_found.grout.bolts", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = \"all\"", "S012", 3, "as_found.grout.bolts", ""),
        ("[as_found.grout]\ngap = \"5 mm\"\nbolts = [1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1]", "S032", 3, "as_found.grout.bolts", ""),
        ("[as_found.lump]\nheight = \"5 mm\"\nbolts = [9]", "S070", 3, "as_found.lump.bolts", ""),
        ("[as_found.lump]\nheight = \"-5 mm\"", "S030", 2, "as_found.lump.height", ""),
        ("[as_found.lump]\nheight = \"5 mm\"\nplate = \"uper\"", "S013", 3, "as_found.lump.plate", "plate = \"upper\""),
        ("[as_found]\ntorques = [150]", "S020", 2, "as_found.torques", "\"150 N.m\""),
        ("[as_found]\ntorques = 150", "S020", 2, "as_found.torques", "torques = \"150 N.m\""),
        ("[as_found]\ntorques = []", "S012", 2, "as_found.torques", ""),
        ("[as_found]\ntorques = [\"150 N\"]", "S022", 2, "as_found.torques", ""),
        ("[as_found]\ntorques = [[\"150 N.m\"]]", "S012", 2, "as_found.torques", ""),
        ("[as_found]\ntorques = [\"150 N.m\", \"-1 N.m\"]", "S030", 2, "as_found.torques", ""),
        ("[as_found]\ntorques = [\"150 N.m\", \"inf N.m\"]", "S024", 2, "as_found.torques", ""),
        ("[as_found]\ntorques = [\"150 N.m\", \"120 N.m\"]", "S071", 2, "as_found.torques", ""),
        ("[as_found]\ntorques = [\"150 N.m\", \"120 N.m\", \"9000 N.m\"]", "S055", 2, "as_found.torques", ""),
        ("[as_found]\nkeeper = \"missing\"\nkeeper_thickness = \"2 mm\"", "S040", 3, "as_found.keeper", ""),
        ("[as_found]\nkeeper = \"gone\"", "S013", 2, "as_found.keeper", ""),
        ("[as_found]\nkeeper = true", "S012", 2, "as_found.keeper", ""),
        ("[as_found]\nkeeper_thickness = \"0 mm\"", "S030", 2, "as_found.keeper_thickness", ""),
        ("[as_found]\nkeeper = \"missing\"\n[slip_base.keeper]\npresent = false", "S072", 4, "as_found.keeper", ""),
        ("[as_found]\nkeeper_thickness = \"1 mm\"\n[slip_base.keeper]\npresent = false", "S072", 4, "as_found.keeper_thickness", ""),
        ("[as_found]\nplate_friction = 0.4", "S011", 2, "as_found.round_washers", "round_washers = "),
        ("[as_found]\nround_washers = \"missin\"", "S013", 2, "as_found.round_washers", "round_washers = \"missing\""),
        ("[as_found]\nround_washers = \"missing\"\nplate_friction = -0.1", "S030", 3, "as_found.plate_friction", ""),
        ("[as_found]\nengaged_threads = \"3 mm\"", "S012", 2, "as_found.engaged_threads", ""),
        ("[as_found]\nengaged_threads = -1", "S030", 2, "as_found.engaged_threads", ""),
        ("[as_found]\nthreads = \"oily\"", "S013", 2, "as_found.threads", ""),
        ("[as_found]\nrust = \"ligth\"", "S013", 2, "as_found.rust", "rust = \"light\""),
        ("[as_found]\nplate_washer_thickness = \"-3 mm\"", "S030", 2, "as_found.plate_washer_thickness", ""),
        ("[as_found]\ntorque = \"150 N.m\"", "S010", 2, "as_found.torque", "did you mean `torques`?"),
        ("[as_found.grot]\ngap = \"5 mm\"", "S010", 1, "as_found.grot", "did you mean `grout`?"),
        ("[as_found.stub]\ngap = \"5 mm\"", "S012", 1, "as_found.stub", "[[as_found.stub]]"),
        ("[[as_found.stub]]\nazimuth = \"0 deg\"\nprojection = \"5 mm\"", "S011", 1, "as_found.stub[1].gap", ""),
        ("[[as_found.stub]]\nazimuth = \"0 deg\"\nprojection = \"5 mm\"\ngap = \"-1 mm\"", "S030", 4, "as_found.stub[1].gap", ""),
        ("[as_found.conduit]\nprojection = \"30 mm\"", "S011", 1, "as_found.conduit.gap", ""),
        ("[as_found.conduit]\nprojection = \"30 mm\"\ngap = \"1 mm\"\nwall = \"30 mm\"", "S050", 4, "as_found.conduit.wall", ""),
        ("[as_found.soil]\ngap = \"30 mm\"\nheight = \"100 mm\"", "S011", 1, "as_found.soil.azimuth", ""),
        ("[as_found.soil]\nazimuth = \"0 deg\"\nheight = \"100 mm\"", "S011", 2, "as_found.soil.gap", ""),
        ("[as_found.soil]\ngap = \"30 mm\"\nazimuth = \"0 deg\"\nheight = \"100 mm\"\nslope = \"40 deg\"", "S073", 5, "as_found.soil.slope", ""),
        ("[as_found.soil]\ngap = \"30 mm\"\nazimuth = \"0 deg\"\nheight = \"100 mm\"\nfriction_angle = \"-1 deg\"", "S030", 5, "as_found.soil.friction_angle", ""),
        ("[as_found.foundation]\ndiameter = \"600 mm\"", "S011", 1, "as_found.foundation.length", ""),
        ("[as_found.foundation]\ndiameter = \"-600 mm\"", "S030", 2, "as_found.foundation.diameter", ""),
        ("[[as_found]]\nrust = \"light\"", "S012", 1, "as_found", "[as_found]"),
    ];
    let before = FIRST.lines().count() + 1;
    for &(text, code, line, path, suggestion) in cases {
        // The clean file ends in a line break, so the section's first line follows a blank one.
        let Err(mut errors) = with(text) else {
            panic!("no error in\n{text}")
        };
        errors.retain(|d| d.severity == Severity::Error);
        let shown: Vec<String> = errors.iter().map(ToString::to_string).collect();
        assert_eq!(errors.len(), 1, "{text}\n{}", shown.join("\n"));
        let error = &errors[0];
        assert_eq!(
            (error.code, error.line, error.path.as_str()),
            (code, before + line, path),
            "{text}\n{error}"
        );
        let proposal = error.suggestion.as_deref().unwrap_or_default();
        assert!(proposal.contains(suggestion), "{text}\n{error}");
    }
}

#[test]
fn unusual_findings_are_warnings() {
    #[rustfmt::skip]
    let cases = [
        ("[as_found.grout]\ngap = \"-200 mm\"", "S501", "as_found.grout.gap"),
        ("[as_found]\ntorques = [\"1600 N.m\", \"150 N.m\", \"150 N.m\"]", "S501", "as_found.torques"),
        ("[as_found]\nengaged_threads = 9", "S507", "as_found.engaged_threads"),
        ("[as_found]\nrust = \"light\"\n[slip_base]\nanchorage = \"fixed\"", "S506", "as_found"),
        ("[as_found]\nthreads = \"waxed\"\n[slip_base.clamp]\npreload = \"220 kN\"", "S503", "as_found.threads"),
    ];
    for (section, code, path) in cases {
        // Sections of the first file that a case writes itself are left out of it.
        let base: String = FIRST
            .lines()
            .filter(|l| {
                !(section.contains("[slip_base.clamp]")
                    && (l.starts_with("[slip_base.clamp]") || l.starts_with("torque")))
                    && !(section.contains("[slip_base]")
                        && (l.starts_with("[slip_base]") || l.starts_with("bolt")))
            })
            .map(|l| format!("{l}\n"))
            .collect();
        let loaded = read(&format!("{base}\n{section}\n"), "site.toml", &[])
            .unwrap_or_else(|e| panic!("{}\n{section}", e[0]));
        let found: Vec<(&str, &str)> = loaded
            .warnings
            .iter()
            .map(|w| (w.code, w.path.as_str()))
            .collect();
        assert_eq!(found, [(code, path)], "{section}");
    }
}
