//! Every diagnostic: its code, its place and what it proposes.

use giveway_scenario::{Diagnostic, Severity, all_codes, read};

/// A whole scenario, one line a key, so that a line can be replaced.
const WHOLE: &str = r#"title = "whole"
[support.pole]
length = "9 m"
base_diameter = "170 mm"
wall = "4 mm"
material = "steel-345"
[[support.arm]]
reach = "2 m"
base_diameter = "80 mm"
wall = "3 mm"
material = "steel-345"
[[support.arm.luminaire]]
mass = "10 kg"
[[support.lump]]
mass = "5 kg"
height = "3 m"
[slip_base]
bolts = 3
[slip_base.clamp]
torque = "150 N.m"
[vehicle]
class = "small-car-1100"
[impact]
speed = "30 km/h"
"#;

fn changed(from: &str, to: &str) -> String {
    assert!(WHOLE.contains(from), "{from}");
    WHOLE.replacen(from, to, 1)
}

fn errors(text: &str) -> Vec<Diagnostic> {
    match read(text, "file.toml", &[]) {
        Ok(_) => panic!("no error in\n{text}"),
        Err(errors) => errors,
    }
}

fn only_error(text: &str) -> Diagnostic {
    let mut all = errors(text);
    all.retain(|d| d.severity == Severity::Error);
    let shown: Vec<String> = all.iter().map(ToString::to_string).collect();
    assert_eq!(all.len(), 1, "{}", shown.join("\n"));
    all.into_iter().next().unwrap()
}

fn set(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    pairs
        .iter()
        .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
        .collect()
}

#[test]
fn the_whole_file_is_clean() {
    let loaded = read(WHOLE, "file.toml", &[]).unwrap();
    assert_eq!(loaded.warnings, []);
}

/// From, to, code, line, path, suggestion (a part of it).
type Case = (
    &'static str,
    &'static str,
    &'static str,
    usize,
    &'static str,
    &'static str,
);

#[test]
fn one_slip_gives_one_finding_at_its_place() {
    #[rustfmt::skip]
    let cases: &[Case] = &[
        ("torque = \"150 N.m\"", "torqe = \"150 N.m\"\npreload = \"20 kN\"", "S010", 20, "slip_base.clamp.torqe", "did you mean `torque`?"),
        ("[vehicle]", "[vehicle]\ntorque = \"1 N.m\"", "S010", 22, "vehicle.torque", "`torque` belongs to [slip_base.clamp]"),
        ("[impact]", "[impct]", "S010", 23, "impct", "did you mean `impact`?"),
        ("speed = \"30 km/h\"", "", "S011", 23, "impact.speed", "speed = "),
        ("class = \"small-car-1100\"", "", "S011", 21, "vehicle.class", "class = "),
        ("torque = \"150 N.m\"", "", "S011", 19, "slip_base.clamp.preload", "torque = \"150 N.m\""),
        ("bolts = 3", "bolts = \"3\"", "S012", 18, "slip_base.bolts", "bolts = 3"),
        ("bolts = 3", "bolts = 3.5", "S012", 18, "slip_base.bolts", ""),
        ("bolts = 3", "bolts = [3]", "S012", 18, "slip_base.bolts", ""),
        ("length = \"9 m\"", "length = true", "S012", 3, "support.pole.length", ""),
        ("material = \"steel-345\"", "material = \"steel345\"", "S013", 6, "support.pole.material", "material = \"steel-345\""),
        ("class = \"small-car-1100\"", "class = \"small-car-1000\"", "S013", 22, "vehicle.class", "class = \"small-car-1100\""),
        ("torque = \"150 N.m\"", "torque = 150", "S020", 20, "slip_base.clamp.torque", "torque = \"150 N.m\""),
        ("torque = \"150 N.m\"", "torque = \"150\"", "S020", 20, "slip_base.clamp.torque", "torque = \"150 N.m\""),
        ("speed = \"30 km/h\"", "speed = 30.5", "S020", 24, "impact.speed", "speed = \"30.5 km/h\""),
        ("speed = \"30 km/h\"", "speed = \"30 kmm/h\"", "S021", 24, "impact.speed", "speed = \"30 km/h\""),
        ("mass = \"5 kg\"", "mass = \"5 lbf\"", "S022", 15, "support.lump[1].mass", "mass = \"5 lb\""),
        ("speed = \"30 km/h\"", "speed = \"30 kN\"", "S022", 24, "impact.speed", ""),
        ("wall = \"4 mm\"", "wall = \"4,5 mm\"", "S023", 5, "support.pole.wall", "wall = \"4.5 mm\""),
        ("speed = \"30 km/h\"", "speed = \"fast\"", "S023", 24, "impact.speed", ""),
        ("speed = \"30 km/h\"", "speed = \"nan km/h\"", "S024", 24, "impact.speed", ""),
        ("speed = \"30 km/h\"", "speed = inf", "S024", 24, "impact.speed", ""),
        ("[impact]", "[site]\nroad_friction = nan\n[impact]", "S024", 24, "site.road_friction", ""),
        ("speed = \"30 km/h\"", "speed = \"50 km/s\"", "S030", 24, "impact.speed", "did you mean km/h? write speed = \"50 km/h\""),
        ("speed = \"30 km/h\"", "speed = \"-30 km/h\"", "S030", 24, "impact.speed", ""),
        ("mass = \"10 kg\"", "mass = \"0 kg\"", "S030", 13, "support.arm[1].luminaire[1].mass", ""),
        ("mass = \"5 kg\"", "mass = \"-5 kg\"", "S030", 15, "support.lump[1].mass", ""),
        ("[impact]", "mass = \"-1 kg\"\n[impact]", "S030", 23, "vehicle.mass", ""),
        ("bolts = 3", "bolts = 5", "S032", 18, "slip_base.bolts", ""),
        ("bolts = 3", "bolts = -3", "S032", 18, "slip_base.bolts", ""),
        ("[impact]", "[solver]\nelastic_modes = 61\n[impact]", "S032", 24, "solver.elastic_modes", ""),
        ("[impact]", "[solver]\npole_elements = 19\n[impact]", "S032", 24, "solver.pole_elements", ""),
        ("[impact]", "[solver]\npole_elements = 61\n[impact]", "S032", 24, "solver.pole_elements", ""),
        ("torque = \"150 N.m\"", "torque = \"150 N.m\"\npreload = \"20 kN\"", "S040", 21, "slip_base.clamp.preload", ""),
        ("wall = \"4 mm\"", "wall = \"90 mm\"", "S050", 5, "support.pole.wall", ""),
        ("wall = \"3 mm\"", "wall = \"3 mm\"\ntip_diameter = \"40 mm\"\nattachment_height = \"12 m\"", "S051", 12, "support.arm[1].attachment_height", "attachment_height = \"9 m\""),
        ("height = \"3 m\"", "height = \"9.5 m\"", "S052", 16, "support.lump[1].height", "height = \"9 m\""),
        ("bolts = 3", "bolts = 3\nbolt_circle = \"150 mm\"", "S053", 19, "slip_base.bolt_circle", ""),
        ("torque = \"150 N.m\"", "torque = \"150 N.m\"\n[slip_base.plates]\nradius = \"180 mm\"", "S053", 22, "slip_base.bolt_circle", ""),
        ("torque = \"150 N.m\"", "torque = \"150 N.m\"\n[slip_base.notch]\ntravel = \"10 mm\"", "S054", 22, "slip_base.notch.travel", ""),
        ("torque = \"150 N.m\"", "torque = \"150 N.m\"\n[slip_base.notch]\nincluded_angle = \"2 deg\"", "S030", 22, "slip_base.notch.included_angle", ""),
        ("torque = \"150 N.m\"", "torque = \"150 N.m\"\n[slip_base.notch]\nincluded_angle = \"180 deg\"", "S030", 22, "slip_base.notch.included_angle", ""),
        ("torque = \"150 N.m\"", "torque = \"9000 N.m\"", "S055", 20, "slip_base.clamp.torque", ""),
        ("torque = \"150 N.m\"", "torque = \"150 N.m\"\n[slip_base.washers]\nround_diameter = \"20 mm\"", "S056", 22, "slip_base.washers.round_diameter", ""),
        ("[impact]", "[[vehicle.front.band]]\nname = \"bumper\"\ncrush = [[\"10 mm\", \"0 kN\"], [\"20 mm\", \"5 kN\"]]\n[impact]", "S060", 25, "vehicle.front.band[bumper].crush", ""),
        ("[impact]", "[[vehicle.front.band]]\nname = \"bumper\"\ncrush = [[\"0 mm\", \"0 kN\"], [\"20 mm\", \"5 kN\"], [\"20 mm\", \"9 kN\"]]\n[impact]", "S060", 25, "vehicle.front.band[bumper].crush", ""),
        ("[impact]", "[[vehicle.front.band]]\nname = \"bumper\"\ncrush = []\n[impact]", "S060", 25, "vehicle.front.band[bumper].crush", ""),
        ("[impact]", "[[vehicle.front.band]]\nname = \"bumper\"\nunloading = \"10 kN/m\"\n[impact]", "S061", 25, "vehicle.front.band[bumper].unloading", "leave"),
        ("[impact]", "[[vehicle.front.band]]\nname = \"bumper\"\nupper = \"0.3 m\"\n[impact]", "S062", 25, "vehicle.front.band[bumper].lower", ""),
        ("[impact]", "[vehicle.front]\nclass_bands = false\n[impact]", "S062", 24, "vehicle.front", ""),
        ("[impact]", "[[vehicle.front.band]]\nlower = \"0.3 m\"\n[impact]", "S011", 23, "vehicle.front.band[1].name", ""),
        ("[impact]", "[[vehicle.front.band]]\nname = \"bumper\"\n[[vehicle.front.band]]\nname = \"bumper\"\n[impact]", "S014", 25, "vehicle.front.band", ""),
        ("[impact]", "cg_to_front_axle = \"2.6 m\"\n[impact]", "S063", 23, "vehicle.cg_to_front_axle", ""),
        ("[impact]", "outline = [[\"1 m\", \"1 m\"], [\"0 m\", \"1 m\"]]\n[impact]", "S064", 23, "vehicle.outline", ""),
        ("speed = \"30 km/h\"", "speed = \"30 km/h\"\nheading = \"0 deg\"\nvelocity_direction = \"90 deg\"", "S065", 26, "impact.velocity_direction", ""),
        ("speed = \"30 km/h\"", "speed = \"30 km/h\"\nface = \"left-side\"\nheading = \"0 deg\"\nvelocity_direction = \"-90 deg\"", "S065", 27, "impact.velocity_direction", ""),
        ("[impact]", "[as_found.grout]\ngap = \"-20 mm\"\nbolts = [2, 4]\n[impact]", "S070", 25, "as_found.grout.bolts", ""),
        ("[impact]", "[as_found]\ntorques = [\"150 N.m\", \"90 N.m\"]\n[impact]", "S071", 24, "as_found.torques", ""),
        ("[impact]", "[slip_base.keeper]\npresent = false\n[as_found]\nkeeper = \"missing\"\n[impact]", "S072", 26, "as_found.keeper", ""),
        ("[impact]", "[as_found.soil]\ngap = \"20 mm\"\nazimuth = \"0 deg\"\nheight = \"200 mm\"\nslope = \"33 deg\"\n[impact]", "S073", 27, "as_found.soil.slope", ""),
        ("speed = \"30 km/h\"", "speed = \"30 km/h\"\noffset = \"quarter-rear\"", "S066", 25, "impact.offset", ""),
        ("speed = \"30 km/h\"", "speed = \"30 km/h\"\noffset = \"quarter-lft\"", "S013", 25, "impact.offset", "offset = \"quarter-left\""),
        ("wall = \"4 mm\"", "wall = \"4 mm\"\nyield_strength = \"500 MPa\"", "S067", 6, "support.pole.yield_strength", ""),
        ("[impact]", "[solver]\nengagement_limit = \"3 s\"\n[impact]", "S068", 24, "solver.record_limit", ""),
        ("[impact]", "[[site.strip]]\nname = \"near lane\"\nuse = \"lane\"\nright = \"5 m\"\nleft = \"1.5 m\"\n[impact]", "S069", 27, "site.strip[1].right", ""),
        ("[[support.lump]]", "[support.lumps]", "S010", 14, "support.lumps", "did you mean `lump`?"),
        ("[[support.lump]]", "[support.lump]", "S012", 14, "support.lump", "[[support.lump]]"),
        ("[[support.arm.luminaire]]", "[support.arm.luminaire]", "S012", 12, "support.arm[1].luminaire", "[[support.arm.luminaire]]"),
        ("[impact]", "[criteria]\nsets = [\"mash-2017\"]\n[impact]", "S013", 24, "criteria.sets", "\"mash-2016\""),
        ("[impact]", "[criteria]\nsets = \"mash-2016\"\n[impact]", "S012", 24, "criteria.sets", "sets = [\"mash-2016\"]"),
        ("[impact]", "[criteria.limit.asi]\nsource = \"x\"\n[impact]", "S011", 24, "criteria.limit.asi.value", ""),
        ("material = \"steel-345\"\n[[", "material = \"other\"\ndensity = \"7000 kg/m3\"\nyoungs_modulus = \"100 GPa\"\npoisson = 0.3\nyield_strength = \"100 MPa\"\n[[", "S011", 2, "support.pole.tensile_strength", ""),
    ];
    let mut seen = std::collections::BTreeSet::new();
    for &(from, to, code, line, path, suggestion) in cases {
        let text = changed(from, to);
        let error = only_error(&text);
        assert_eq!(error.code, code, "{error}\n{text}");
        assert_eq!(
            (error.line, error.path.as_str()),
            (line, path),
            "{error}\n{text}"
        );
        assert!(error.line == 1 || error.column >= 1);
        assert!(
            error
                .suggestion
                .as_deref()
                .unwrap_or_default()
                .contains(suggestion),
            "{error}"
        );
        assert_eq!(error.severity, Severity::Error);
        seen.insert(code);
    }
    // The others are the file's own troubles and overrides, tested below.
    seen.extend(["S001", "S002", "S003", "S041", "S074"]);
    let never: Vec<_> = all_codes()
        .into_iter()
        .filter(|c| *c < "S500" && !seen.contains(c))
        .collect();
    assert_eq!(never, Vec::<&str>::new());
}

#[test]
fn warnings_do_not_stop_a_run() {
    #[rustfmt::skip]
    let cases: &[(&str, &str, &str, &str)] = &[
        ("wall = \"4 mm\"", "wall = \"1.5 mm\"", "S501", "support.pole.wall"),
        ("speed = \"30 km/h\"", "speed = \"300 km/h\"", "S501", "impact.speed"),
        ("[vehicle]", "[slip_base.notch]\nincluded_angle = \"60 deg\"\n[slip_base.friction]\nwall = 0.6\n[vehicle]", "S502", "slip_base.notch.included_angle"),
        ("torque = \"150 N.m\"", "preload = \"320 kN\"", "S503", "slip_base.clamp.preload"),
        ("speed = \"30 km/h\"", "speed = \"30 km/h\"\noffset = \"2 m\"", "S504", "impact.offset"),
        ("speed = \"30 km/h\"", "speed = \"30 km/h\"\nheading = \"0 deg\"\nvelocity_direction = \"70 deg\"", "S505", "impact.velocity_direction"),
    ];
    for &(from, to, code, path) in cases {
        let loaded = read(&changed(from, to), "file.toml", &[]).unwrap();
        let found: Vec<(&str, &str)> = loaded
            .warnings
            .iter()
            .map(|w| (w.code, w.path.as_str()))
            .collect();
        assert_eq!(found, [(code, path)]);
        assert_eq!(loaded.warnings[0].severity, Severity::Warning);
    }
    let miss = changed(
        "speed = \"30 km/h\"",
        "speed = \"30 km/h\"\noffset = \"miss\"",
    );
    assert_eq!(read(&miss, "f", &[]).unwrap().warnings, []);
}

#[test]
fn all_problems_in_one_pass_in_the_order_of_the_file() {
    let text = WHOLE
        .replace("length = \"9 m\"", "lenght = \"9 m\"")
        .replace("torque = \"150 N.m\"", "torque = 150")
        .replace("class = \"small-car-1100\"", "class = \"tank\"")
        .replace("speed = \"30 km/h\"", "speed = \"50 km/s\"");
    let found: Vec<(&str, usize)> = errors(&text).iter().map(|e| (e.code, e.line)).collect();
    assert_eq!(
        found,
        [("S010", 3), ("S020", 20), ("S013", 22), ("S030", 24)]
    );
}

#[test]
fn syntax_errors_have_places_and_do_not_drown_the_rest() {
    let text = WHOLE
        .replace("torque = \"150 N.m\"", "torque = 150 N.m")
        .replace("speed = \"30 km/h\"", "speed = \"30 km/h")
        .replace("wall = \"4 mm\"", "wall = 4");
    let all = errors(&text);
    let found: Vec<(&str, usize)> = all.iter().map(|e| (e.code, e.line)).collect();
    assert_eq!(found, [("S020", 5), ("S001", 20), ("S001", 24)], "{all:?}");
}

#[test]
fn empty_files() {
    for text in [
        "",
        "\n\n",
        "# only a comment\n",
        "\u{feff}",
        "\u{feff}# x\n",
    ] {
        let all = errors(text);
        assert_eq!(all[0].code, "S002", "{text:?} {all:?}");
        assert_eq!((all[0].line, all[0].column), (1, 1));
    }
}

#[test]
fn a_byte_order_mark_does_not_shift_columns_or_lines() {
    let text = format!(
        "\u{feff}{}",
        changed("torque = \"150 N.m\"", "torque = 150")
    );
    let error = only_error(&text);
    assert_eq!((error.code, error.line, error.column), ("S020", 20, 1));
}

#[test]
fn duplicates() {
    let text = changed("length = \"9 m\"", "length = \"9 m\"\nlength = \"10 m\"");
    let all = errors(&text);
    assert_eq!((all[0].code, all[0].line), ("S003", 4), "{all:?}");
    let text = format!("{WHOLE}\n[impact]\nspeed = \"1 km/h\"\n");
    let all = errors(&text);
    assert!(all.iter().all(|e| e.code == "S003"), "{all:?}");
}

/// A title that could read as something else on a terminal, also as a verdict, is refused at its place.
#[test]
fn characters_that_cannot_be_seen_are_refused() {
    for title in ["Pole \u{1b}[1m", "Pole \u{202e}evif", "bell \u{7}"] {
        let set = [("title".to_owned(), title.to_owned())];
        let errors = read(WHOLE, "file.toml", &set).expect_err("refused");
        assert_eq!(errors[0].code, "S074", "{title:?}");
    }
}

#[test]
fn overrides_change_add_and_replace() {
    let get = |pairs: &[(&str, &str)]| {
        read(WHOLE, "file.toml", &set(pairs))
            .unwrap_or_else(|e| panic!("{pairs:?}: {}", e[0]))
            .scenario
    };
    // With and without quotes, as shells leave them.
    assert_eq!(
        get(&[("slip_base.clamp.torque", "200 N.m")]).base.torque_nm,
        Some(200.0)
    );
    assert_eq!(
        get(&[("slip_base.clamp.torque", "\"200 N.m\"")])
            .base
            .torque_nm,
        Some(200.0)
    );
    assert_eq!(get(&[("slip_base.bolts", "4")]).base.bolt_count, 4);
    assert_eq!(
        get(&[("slip_base.bolt.grade", "10.9")]).base.bolt.grade,
        "10.9"
    );
    assert_eq!(
        get(&[("slip_base.bolt.size", "1-1/8 in")])
            .base
            .bolt
            .diameter_m,
        0.028_575
    );
    assert_eq!(
        get(&[("support.arm[1].reach", "3 m")]).support.arms[0].reach_m,
        3.0
    );
    assert_eq!(
        get(&[("support.arm[1].luminaire[2].mass", "4 kg")])
            .support
            .arms[0]
            .luminaires[1]
            .mass_kg,
        4.0
    );
    assert_eq!(
        get(&[("site.wind.speed", "30 m/s")]).site.wind_speed_mps,
        30.0
    );
    assert!(!get(&[("output.figures", "false")]).output.figures);
    assert!(
        get(&[("slip_base.keeper.present", "false")])
            .base
            .keeper
            .is_none()
    );
    let bumper = get(&[("vehicle.front.band[bumper].lower", "0.5 m")])
        .vehicle
        .front;
    assert_eq!(bumper.bands[1].name, "bumper");
    assert_eq!(bumper.bands[1].lower_m, 0.5);
    assert_eq!(bumper.bands[1].upper_m, 0.55);
    // A preload replaces the file's torque, and the torque then is none.
    let base = get(&[("slip_base.clamp.preload", "30 kN")]).base;
    assert_eq!((base.torque_nm, base.preload_n), (None, 30_000.0));
    // The later of two wins.
    let twice = [("impact.speed", "40 km/h"), ("impact.speed", "50 km/h")];
    assert_eq!(get(&twice).impact.speed_mps, 50.0 / 3.6);
}

#[test]
fn bad_overrides_point_to_the_option() {
    let cases: &[(&str, &str, &str)] = &[
        ("impact.speeed", "40 km/h", "S010"),
        ("impact.speed", "40", "S020"),
        ("impact.speed", "40 kN", "S022"),
        ("support.arm[3].reach", "4 m", "S041"),
        ("support.arm[0].reach", "4 m", "S041"),
        ("impact[1].speed", "4 m/s", "S041"),
        ("", "4 m", "S041"),
        ("a..b", "4 m", "S041"),
        ("support.arm[", "4 m", "S041"),
        ("impact", "4 m", "S012"),
        ("support.arm", "4 m", "S012"),
    ];
    for &(path, value, code) in cases {
        let all = read(WHOLE, "file.toml", &set(&[(path, value)])).unwrap_err();
        assert_eq!(all[0].code, code, "{path}: {:?}", all);
        assert_eq!((all[0].file.as_str(), all[0].line), ("--set", 0), "{path}");
        assert!(
            all[0].message.contains(&format!("{path}={value}")),
            "{}",
            all[0]
        );
    }
    let both = set(&[
        ("slip_base.clamp.preload", "30 kN"),
        ("slip_base.clamp.torque", "100 N.m"),
    ]);
    assert_eq!(read(WHOLE, "f", &both).unwrap_err()[0].code, "S040");
}

#[test]
fn a_finding_reads_as_a_person_would_write_it() {
    let error = only_error(&changed("torque = \"150 N.m\"", "torque = 150"));
    assert_eq!(
        error.to_string(),
        "file.toml:20:1: error S020: slip_base.clamp.torque: `150` has no unit; a torque needs one\n  \
         found: 150\n  \
         allowed: a torque in N.m, kN.m, N.mm, lbf.ft, lbf.in, kip.ft, kip.in\n  \
         try: torque = \"150 N.m\""
    );
}

#[test]
fn worst_inputs_do_not_panic() {
    let long = "x".repeat(200_000);
    let deep = format!("a = {}{}", "[".repeat(5000), "]".repeat(5000));
    let deep_tables = format!("[{}]", vec!["a"; 2000].join("."));
    let many_arms = format!("{WHOLE}{}", "[[support.arm]]\n".repeat(5000));
    let many_points = changed(
        "[impact]",
        &format!(
            "outline = [{}]\n[impact]",
            "[\"1 m\", \"1 m\"], ".repeat(5000)
        ),
    );
    let texts = [
        long.clone(),
        format!("{long} = 1"),
        format!("title = \"{long}\""),
        deep,
        deep_tables,
        many_arms,
        many_points,
        "\0".to_owned(),
        "= = =".to_owned(),
        "[[[[".to_owned(),
        "\"".to_owned(),
        "a = 1e999999".to_owned(),
        "[support]\npole = 3\narm = 3\n[impact]\nspeed = []".to_owned(),
        "support = []\nvehicle = \"x\"\nimpact = 1979-05-27".to_owned(),
        "title = \"\\u0000\\u202e\"\n".to_owned(),
        "[solver]\nelastic_modes = 99999999999999999999999999999999999999999".to_owned(),
    ];
    for text in texts {
        let all = read(&text, "worst.toml", &[]).unwrap_err();
        assert!(!all.is_empty());
        for error in all {
            let shown = error.to_string();
            assert!(shown.len() < 20_000, "{}", shown.len());
        }
    }
}
