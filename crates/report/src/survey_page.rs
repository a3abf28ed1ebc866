//! Many poles as one printable list, the worst first; records that could not be read before them.

use giveway_site::{Inspection, Survey};

use crate::printed::{Band, Cell, Document, Head, Mark, Part, Row, Section, Table};

/// The list as one self-contained HTML page for A4 and US Letter; long lists go over several sheets.
pub fn survey_page(survey: &Survey) -> String {
    let mut page = Document::new("List of poles", "Worst first");
    page.sheets = 1000;
    page.least_pt = 8.0;
    page.facts = [
        ("Unreadable", survey.refused),
        ("No-go", survey.no_go),
        ("Cannot tell", survey.cannot_tell),
        ("Go", survey.go),
    ]
    .map(|(name, count)| (name.to_owned(), count.to_string()))
    .to_vec();
    let unreadable = survey.unreadable.iter().map(|u| Row {
        head: u.pole.clone().unwrap_or_else(|| "unknown".to_owned()),
        cells: vec![
            Cell::verdict(Mark::Open, "unreadable"),
            Cell::text(""),
            Cell::text(""),
            Cell::text(""),
            Cell::text(&format!("{} ({}:{})", u.problem, u.file, u.line)),
            Cell::Blank,
        ],
    });
    let poles = survey.poles.iter().map(|p| {
        let position = p
            .position_deg
            .map_or(String::new(), |[latitude, longitude]| {
                format!("{latitude:.5}, {longitude:.5}")
            });
        Row {
            head: p.pole.clone(),
            cells: vec![
                Cell::verdict(p.decision.into(), p.decision.words()),
                Cell::text(&Inspection::percent(p.load_as_found)),
                Cell::text(&position),
                Cell::text(&p.place),
                Cell::text(&p.first),
                Cell::Blank,
            ],
        }
    });
    let table = Table {
        caption: "Load: largest value over its limit in both governing tests as found".to_owned(),
        columns: vec![
            Head::left("Pole", 1.3),
            Head::left("Decision", 1.5),
            Head::right("Load", 0.9),
            Head::left("Position", 1.5),
            Head::left("Place", 2.0),
            Head::left("First", 3.6),
            Head::left("Done", 0.9),
        ],
        rows: unreadable.chain(poles).collect(),
    };
    let about = vec![
        Part::Text(format!("Sorted: {}.", survey.sorted_by)),
        Part::Text(survey.rule.clone()),
    ];
    page.bands = vec![Band::whole(vec![
        Section::new("", vec![Part::Table(table)]),
        Section::new("", about),
    ])];
    page.caution.clone_from(&survey.caution);
    page.html()
}
