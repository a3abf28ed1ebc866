//! Records and lists as people write them: every fault is named with its place, and nothing is read that was not meant.

mod fixture;

use giveway_site::{Record, inspect, latest, read_list};

/// Code, line and column of every finding.
fn faults(text: &str) -> Vec<(&'static str, usize, usize)> {
    match Record::read(text, "r.toml") {
        Ok(_) => Vec::new(),
        Err(list) => list.iter().map(|d| (d.code, d.line, d.column)).collect(),
    }
}

const HEAD: &str = "pole = \"HV-1\"\ndate = 2025-09-12\ntype = \"lane.toml\"\n";

fn with(lines: &str) -> String {
    format!("{HEAD}[measured]\n{lines}")
}

#[test]
fn a_record_is_read() {
    let text = format!(
        "{HEAD}inspector = \"crew\"\n[place]\nroad = \"Mill Lane\"\n[measured]\ngrout_gap = \"not measured\"\nrust = \"light\"\n"
    );
    let r = Record::read(&text, "r.toml").unwrap();
    assert_eq!(
        (r.pole.as_str(), r.date.to_string().as_str()),
        ("HV-1", "2025-09-12")
    );
    assert_eq!(r.inspector.as_deref(), Some("crew"));
    assert_eq!(r.place, [("road".to_owned(), "Mill Lane".to_owned())]);
    assert_eq!(r.measured.len(), 1);
    // A date in quotes is a date too; a byte order mark and CRLF are no faults.
    let text = format!(
        "\u{feff}{}",
        text.replace('\n', "\r\n")
            .replace("2025-09-12", "\"2025-09-12\"")
    );
    let again = Record::read(&text, "r.toml").unwrap();
    assert_eq!(again.date, r.date);
    assert_eq!(again.measured[0].at.line, r.measured[0].at.line);
}

#[test]
fn every_fault_at_once_in_the_order_of_the_file() {
    let text = with(
        "grout_gap = 20\nrust = \"ligt\"\ngrout_gab = \"20 mm\"\ntorque = \"180 mm\"\nzinc = true\n",
    );
    assert_eq!(
        faults(&text),
        [
            ("R020", 5, 1),
            ("R013", 6, 1),
            ("R010", 7, 1),
            ("R022", 8, 1),
            ("R012", 9, 1)
        ]
    );
    let list = Record::read(&text, "r.toml").err().unwrap();
    assert_eq!(list[0].suggestion.as_deref(), Some("grout_gap = \"20 mm\""));
    assert_eq!(list[2].suggestion.as_deref(), Some("grout_gap"));
    assert!(list.iter().all(|d| d.file == "r.toml"));
}

#[test]
fn empty_broken_and_incomplete_files() {
    assert_eq!(faults(""), [("R002", 1, 1)]);
    assert_eq!(faults("\u{feff}\r\n# nothing\r\n"), [("R002", 1, 1)]);
    assert_eq!(faults("pole = HV-1\n")[0].0, "R001");
    assert_eq!(faults("pole = \"a\"\npole = \"b\"\n")[0].0, "R003");
    assert_eq!(
        faults("inspector = \"x\"\n"),
        [("R011", 1, 1), ("R011", 1, 1), ("R011", 1, 1)]
    );
    // An unquoted day that does not exist is no TOML, and one error.
    let list = Record::read(
        &HEAD.replace("2025-09-12", "2025-02-30  # a slip"),
        "r.toml",
    )
    .err()
    .unwrap();
    assert_eq!(list.len(), 1, "{list:#?}");
    assert_eq!(
        (list[0].code, list[0].line, list[0].path.as_str()),
        ("R014", 2, "date")
    );
    assert_eq!(list[0].found.as_deref(), Some("2025-02-30"));
    assert_eq!(
        faults(&HEAD.replace("2025-09-12", "\"2025-02-30\"")),
        [("R014", 2, 1)]
    );
    assert_eq!(faults(&with("last_check = 2025-02-30\n")), [("R014", 5, 1)]);
    assert_eq!(
        faults(&HEAD.replace("2025-09-12", "\"12.9.2025\"")),
        [("R014", 2, 1)]
    );
    assert_eq!(
        faults(&HEAD.replace("2025-09-12", "20250912")),
        [("R014", 2, 1)]
    );
    assert_eq!(faults(&format!("{HEAD}measured = 3\n")), [("R012", 4, 1)]);
    assert_eq!(
        faults(&format!("{HEAD}rust = \"none\"\n")),
        [("R010", 4, 1)]
    );
    assert_eq!(faults(&HEAD.replace("\"HV-1\"", "17")), [("R012", 1, 1)]);
    assert_eq!(faults(&HEAD.replace("\"HV-1\"", "\" \"")), [("R012", 1, 1)]);
}

#[test]
fn details_need_their_finding_and_its_number() {
    assert_eq!(
        faults(&with("grout_strength = \"30 MPa\"\n")),
        [("R032", 5, 1)]
    );
    assert_eq!(
        faults(&with(
            "stub_projection = \"3 mm; 4 mm; 5 mm\"\nstub_gap = \"1 mm; 2 mm\"\n"
        )),
        [("R031", 6, 1)]
    );
    assert_eq!(faults(&with("grout_gap = \"1 mm; 2 mm\"\n"))[0].0, "R021");
    assert_eq!(faults(&with("last_check = 2025-09-13\n")), [("R014", 5, 1)]);
    assert_eq!(faults(&with("last_check = 2025-09-12\n")), []);
}

/// What the scenario itself refuses is told at the record's place, in the record's words.
#[test]
fn the_scenario_refuses_with_the_place_in_the_record() {
    let pole_type = fixture::pole_type();
    for (key, value, code) in [
        ("plate_height", "75 m", "R030"),
        ("torque", "150 N.m; 150 N.m", "R031"),
        ("torque", "9000 N.m", "R030"),
        ("grout_gap", "-2 m", "R030"),
    ] {
        let record = fixture::record("HV-1", &[(key, value)]);
        let list = inspect(&record, &pole_type, &fixture::by_hand)
            .err()
            .unwrap();
        assert_eq!(list.len(), 1, "{list:#?}");
        let d = &list[0];
        assert_eq!(
            (d.code, d.path.as_str(), d.file.as_str()),
            (code, key, "HV-1.toml")
        );
        assert!(d.line > 4 && !d.message.contains("as_found"), "{d:#?}");
    }
    let record = fixture::record("HV-1", &[("grout_gap", "-5 mm"), ("grout_bolts", "2 4")]);
    let list = inspect(&record, &pole_type, &fixture::by_hand)
        .err()
        .unwrap();
    assert_eq!(
        (list[0].code, list[0].path.as_str()),
        ("R030", "grout_bolts")
    );
    // Unusual is a warning.
    let record = fixture::record("HV-1", &[("plate_height", "450 mm")]);
    let (_, warnings) = inspect(&record, &pole_type, &fixture::by_hand).unwrap();
    assert_eq!(
        (warnings[0].code, warnings[0].path.as_str()),
        ("R502", "plate_height")
    );
}

#[test]
fn types_that_are_none() {
    let refused = |text: &str| {
        let list = giveway_site::PoleType::read(text, "t.toml").err().unwrap();
        list[0].code
    };
    assert_eq!(refused("title = \"x\"\n"), "S011");
    assert_eq!(refused(""), "S002");
    assert_eq!(
        refused(&format!("{}[as_found]\nrust = \"light\"\n", fixture::TYPE)),
        "R042"
    );
    let fixed = fixture::TYPE.replace(
        "[slip_base.clamp]",
        "[slip_base]\nanchorage = \"fixed\"\n[slip_base.clamp]",
    );
    assert_eq!(refused(&fixed), "R042");
    assert_eq!(
        refused(&fixture::TYPE.replace("[\"mash-2016\"]", "[]")),
        "S012"
    );
}

/// The tests replace vehicle and impact of the type, and keep its road's direction and its document.
#[test]
fn the_tests_are_those_of_the_document_whatever_the_type_runs() {
    let text = fixture::TYPE
        .replace("small-car-1100", "pickup-2270")
        .replace("speed = \"30 km/h\"", "speed = \"50 km/h\"\nface = \"left-side\"\nvelocity_direction = \"40 deg\"\noffset = \"0.3 m\"");
    let pole_type =
        giveway_site::PoleType::read(&text, "t.toml").unwrap_or_else(|e| panic!("{e:#?}"));
    let seen = std::sync::Mutex::new(Vec::new());
    let solver = |s: &giveway_scenario::model::Scenario| {
        seen.lock().unwrap().push(s.clone());
        fixture::by_hand(s)
    };
    inspect(&fixture::record("HV-1", &[]), &pole_type, &solver).unwrap();
    let seen = seen.into_inner().unwrap();
    assert_eq!(seen.len(), 2, "as found is as designed: two runs");
    for (s, kmph, offset_m) in [
        (&seen[0], 30.0, 0.0),
        (&seen[1], 100.0, 0.25 * seen[1].vehicle.width_m),
    ] {
        assert_eq!(s.vehicle.mass_kg, 1100.0);
        assert!((s.impact.speed_mps * 3.6 - kmph).abs() < 1e-9);
        assert_eq!(s.impact.face, giveway_scenario::model::StruckFace::Front);
        assert!((s.impact.velocity_direction_rad.to_degrees() - 40.0).abs() < 1e-9);
        assert_eq!(s.impact.heading_rad, s.impact.velocity_direction_rad);
        assert_eq!(s.impact.offset_m, offset_m);
        assert_eq!(
            s.criteria.sets,
            [giveway_scenario::model::CriteriaSet::Mash2016]
        );
    }
}

const LIST: &str = "pole,type,date,inspector,place,grout_gap,rust\n\
    HV-1,lane.toml,2025-09-12,,,20 mm,none\n\
    HV-2,lane.toml,2025-09-12,crew,\"Mill Lane, north\",,light\n";

fn codes(entry: &giveway_site::Entry) -> Vec<(&'static str, usize, usize)> {
    match entry {
        Ok(_) => Vec::new(),
        Err(list) => list.iter().map(|d| (d.code, d.line, d.column)).collect(),
    }
}

#[test]
fn a_list_is_read_and_a_bad_row_does_not_stop_the_others() {
    let list = read_list(LIST, "l.csv").unwrap();
    assert!(list.iter().all(Result::is_ok));
    let second = list[1].as_ref().ok().unwrap();
    assert_eq!(
        second.place,
        [("place".to_owned(), "Mill Lane, north".to_owned())]
    );
    assert_eq!(second.measured.len(), 1);
    assert_eq!(second.at.line, 3);
    let text = format!(
        "\u{feff}{LIST}HV-3,lane.toml,2025-09-12,,,20,none\nHV-4,lane.toml\n,lane.toml,2025-09-12,,,,\n\
         HV-6,lane.toml,2025-09-31,,,\"20 mm,none\nHV-7,lane.toml,2025-09-12,,,20 mm,\n"
    )
    .replace('\n', "\r\n");
    let list = read_list(&text, "l.csv").unwrap();
    let found: Vec<_> = list.iter().map(codes).collect();
    assert_eq!(
        found,
        [
            vec![],
            vec![],
            vec![("R020", 4, 29)],
            vec![("R061", 5, 1)],
            vec![("R011", 6, 1)],
            vec![("R062", 7, 29)],
            vec![]
        ]
    );
}

#[test]
fn a_list_without_poles_or_with_unknown_columns_is_refused_whole() {
    let refused = |text: &str| {
        let list = read_list(text, "l.csv").err().unwrap();
        list.iter().map(|d| (d.code, d.column)).collect::<Vec<_>>()
    };
    assert_eq!(refused(""), [("R002", 1)]);
    assert_eq!(refused("pole,type,date\n"), [("R002", 1)]);
    assert_eq!(
        refused("pole,type,date,rus\nHV-1,t,2025-01-01,none\n"),
        [("R060", 16)]
    );
    assert_eq!(
        refused("pole,date,rust,rust\n"),
        [("R011", 1), ("R003", 16)]
    );
    // A list with semicolons is told once, with the row that would do.
    for text in ["pole;type;date\nHV-1;t;2025-01-01\n", "pole\ttype\tdate\n"] {
        assert_eq!(refused(text), [("R060", 1)]);
        let list = read_list(text, "l.csv").err().unwrap();
        assert_eq!(list[0].suggestion.as_deref(), Some("pole,type,date"));
        assert!(list[0].allowed.as_deref().unwrap().contains("commas"));
    }
}

#[test]
fn an_unlikely_day_is_a_warning_beside_the_inspection() {
    for (day, warned) in [
        ("2205-09-12", true),
        ("1925-09-12", true),
        ("2025-09-12", false),
    ] {
        // Without the other days of the record, which would lie after this one.
        let blank = [("last_check", ""), ("wrench_calibration", "")];
        let text = fixture::record_text("HV-1", &blank).replace("2025-09-12", day);
        let record = Record::read(&text, "r.toml").unwrap_or_else(|e| panic!("{e:#?}"));
        let (inspection, warnings) =
            inspect(&record, &fixture::pole_type(), &fixture::by_hand).expect("inspected");
        assert_eq!(inspection.date, day);
        let codes: Vec<&str> = warnings.iter().map(|d| d.code).collect();
        let wanted: &[&str] = if warned { &["R503"] } else { &[] };
        assert_eq!(codes, wanted, "{day}");
    }
}

#[test]
fn of_several_records_of_a_pole_the_youngest_counts() {
    let on = |pole: &str, date: &str, file: &str| {
        let blank = [("last_check", ""), ("wrench_calibration", "")];
        let text = fixture::record_text(pole, &blank).replace("2025-09-12", date);
        Record::read(&text, file).unwrap_or_else(|e| panic!("{e:#?}"))
    };
    let (kept, said) = latest(vec![
        on("A", "2024-01-01", "1"),
        on("B", "2024-01-01", "2"),
        on("A", "2025-01-01", "3"),
        on("A", "2025-01-01", "4"),
        on("B", "2023-01-01", "5"),
    ]);
    let kept: Vec<&str> = kept.iter().map(|r| r.file.as_str()).collect();
    assert_eq!(kept, ["2", "3"]);
    let said: Vec<(&str, &str)> = said.iter().map(|d| (d.code, d.file.as_str())).collect();
    assert_eq!(said, [("R501", "1"), ("R070", "4"), ("R501", "5")]);
}

/// Two records that were refused, one of a pole whose name could be read.
fn unreadable() -> Vec<giveway_site::Unreadable> {
    let text = "pole = \"HV-7\"\ndate = 2025-09-12\ntype = \"t\"\n[measured]\ngrout_gap = \"20\"\n";
    let problems = Record::read(text, "r.toml")
        .map(|r| r.pole)
        .expect_err("no unit");
    [giveway_site::pole_named(text), None]
        .into_iter()
        .filter_map(|pole| giveway_site::Unreadable::new(pole, &problems))
        .collect()
}

#[test]
fn the_worst_pole_comes_first() {
    let pole_type = fixture::pole_type();
    let poles: Vec<_> = [
        ("G", vec![]),
        ("F", vec![("rust", "light")]),
        ("E", vec![("grout_gap", "")]),
        ("D", vec![("plate_height", "140 mm")]),
        ("C", vec![("rust", "seized"), ("round_washers", "missing")]),
        ("B", vec![("grout_gap", "-5 mm"), ("rust", "seized")]),
        ("A", vec![]),
    ]
    .into_iter()
    .map(|(pole, changes)| (fixture::record(pole, &changes), &pole_type))
    .collect();
    let done: Vec<_> = giveway_site::inspect_all(&poles, &fixture::by_hand, None)
        .into_iter()
        .map(|r| r.unwrap_or_else(|e| panic!("{e:#?}")))
        .collect();
    let survey = giveway_site::survey(&done, unreadable());
    let order: Vec<(usize, &str)> = survey
        .poles
        .iter()
        .map(|p| (p.rank, p.pole.as_str()))
        .collect();
    assert_eq!(
        order,
        [
            (1, "B"),
            (2, "C"),
            (3, "D"),
            (4, "E"),
            (5, "F"),
            (6, "A"),
            (7, "G")
        ]
    );
    assert_eq!(
        (survey.no_go, survey.cannot_tell, survey.go, survey.refused),
        (3, 1, 3, 2)
    );
    assert_eq!(survey.poles[0].load_as_found, Some(1.7));
    assert_eq!(
        survey.poles[3].first,
        "Measure: grout clear of the bolt heads."
    );
    let csv = survey.table().csv().unwrap();
    assert_eq!(csv.lines().count(), 10);
    // Nobody knows how the pole of an unreadable record stands: it comes before the worst that is known.
    assert!(
        csv.lines().nth(1).unwrap().starts_with("0,HV-7,") && csv.contains(",unreadable,"),
        "{csv}"
    );
    assert!(
        csv.lines()
            .nth(3)
            .unwrap()
            .starts_with("1,B,2025-09-12,,,,,Lane light,no-go,1.7,0.4,"),
        "{csv}"
    );
}
