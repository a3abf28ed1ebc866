//! Many poles as one printable list, the worst first; records that could not be read before them.

use giveway_site::{Inspection, Survey};

use crate::printed::{Band, Cell, Document, Mark, Part, Row, Section, Table};

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
    let unreadable = survey.unreadable.iter().map(|u| {
        let cells = vec![
            Cell::verdict(Mark::Open, "unreadable"),
            Cell::text(""),
            Cell::text(""),
            Cell::text(""),
            Cell::text(&format!("{} ({}:{})", u.problem, u.file, u.line)),
            Cell::Blank,
        ];
        Row::new(u.pole.as_deref().unwrap_or("unknown"), cells)
    });
    let poles = survey.poles.iter().map(|p| {
        let place = |[north, east]: [f64; 2]| format!("{north:.5}, {east:.5}");
        let cells = vec![
            Cell::verdict(p.decision.into(), p.decision.words()),
            Cell::text(&Inspection::percent(p.load_as_found)),
            Cell::text(&p.position_deg.map(place).unwrap_or_default()),
            Cell::text(&p.place),
            Cell::text(&p.first),
            Cell::Blank,
        ];
        Row::new(&p.pole, cells)
    });
    let columns = [
        ("Pole", 1.3),
        ("Decision", 1.5),
        ("Load>", 0.9),
        ("Position", 1.5),
        ("Place", 2.0),
        ("First", 3.6),
        ("Done", 0.9),
    ];
    let caption = "Load: largest value over its limit in both governing tests as found";
    let table = Table::new(caption, &columns, unreadable.chain(poles).collect());
    let about = vec![
        Part::Text(format!("Sorted: {}.", survey.sorted_by)),
        Part::Text(survey.rule.clone()),
    ];
    page.bands = vec![Band::whole(vec![
        Section::one("", Part::Table(table)),
        Section::new("", about),
    ])];
    page.caution.clone_from(&survey.caution);
    page.html()
}
