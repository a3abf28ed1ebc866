//! An inspection as one printable page.

use giveway_site::requirements::{Origin, Verdict as Judged, Weight};
use giveway_site::{Decision, Inspection, ItemResult, Note, TestNumbers, TestResult};

use crate::inspection_text::{at_speed, own_facts, run_in_words, speed_in_words};
use crate::printed::{Band, Cell, Document, Mark, Part, Row, Section, Step, Table, Verdict};

/// The inspection as one self-contained HTML page that fits A4 and US Letter.
pub fn inspection_page(inspection: &Inspection) -> String {
    document(inspection).html()
}

/// How much stands on the page.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Extent {
    /// Everything.
    Full,
    /// Without the table of single conditions.
    Short,
    /// The items that meet their requirement in one line, too, and the steps without effect in one paragraph.
    Folded,
    /// No flag words and no meanings of words, too.
    Shortest,
}

/// Smallest type that is read from a clip board in the field, pt (common practice, no source).
const LEGIBLE_PT: f64 = 9.0;
/// Sheets of paper that the page may take, front and back of one leaf.
const SHEETS: usize = 2;

/// The page before it is written: one sheet where what a crew needs fits there in legible type, else front and back. The
/// page never goes to smaller type: what is left out stands in the text and in the data.
pub(crate) fn document(i: &Inspection) -> Document {
    let mut last = Document::default();
    for sheets in 1..=SHEETS {
        for extent in [
            Extent::Full,
            Extent::Short,
            Extent::Folded,
            Extent::Shortest,
        ] {
            last = page(i, extent);
            last.sheets = sheets;
            last.least_pt = LEGIBLE_PT;
            if last.fit().one_page {
                return last;
            }
        }
    }
    last
}

fn page(i: &Inspection, extent: Extent) -> Document {
    let mut page = Document::new("Inspection", &format!("Pole {}", i.pole));
    page.facts = facts(i);
    let mut why = reasons(i);
    if i.decision == Decision::Go {
        why.insert_str(
            0,
            "Every governing test passes, and every essential requirement that was measured is met. ",
        );
    }
    page.verdict = Some(Verdict::new(i.decision.into(), i.decision.words(), &why));
    let mut sections = Vec::new();
    let mut add = |heading: &str, parts| sections.push(Section::new(heading, parts));
    add("Governing tests", vec![Part::Table(tests(i, extent))]);
    if !i.order.is_empty() {
        let heading = "Put right, in this order (velocity change in the low-speed and the high-speed test after each step)";
        add(heading, steps(i, extent));
    }
    if i.conditions.len() > 1 && extent == Extent::Full {
        add("Each condition by itself", vec![Part::Table(conditions(i))]);
    }
    // On a folded page what is met stands in one line, and what was not measured only in its own section.
    let open = |item: &&ItemResult| matches!(item.verdict, Judged::Meets | Judged::NotMeasured);
    let (folded, listed): (Vec<&ItemResult>, Vec<&ItemResult>) = i
        .items
        .iter()
        .partition(|item| extent >= Extent::Folded && open(item));
    let met = |item: &&ItemResult| item.verdict == Judged::Meets;
    let named: Vec<&ItemResult> = folded.into_iter().filter(met).collect();
    let sources = sources(&listed);
    let mut parts = Vec::new();
    if !listed.is_empty() {
        parts.push(Part::Table(items(&listed, &sources)));
    }
    if !named.is_empty() {
        let names: Vec<&str> = named.iter().map(|n| n.requirement.as_str()).collect();
        parts.push(Part::Text(format!("Met: {}.", names.join("; "))));
    }
    add("Items against their requirements", parts);
    if let Some(open) = not_measured(i) {
        add("Not measured", vec![open]);
    }
    if extent != Extent::Shortest && !i.words.is_empty() {
        let word = |n: &Note| format!("{}: {}", n.name, n.text);
        let words = i.words.iter().map(word).collect();
        add("Words", vec![Part::List(words)]);
    }
    add("Sources and rule", vec![Part::Text(legend(i, &sources))]);
    page.bands = vec![Band::whole(sections)];
    page.signatures = vec!["Inspected by".into(), "Put right and checked by".into()];
    page.caution.clone_from(&i.caution);
    page
}

/// The reasons; the essential requirements that fail stand in the table, so their number is enough.
fn reasons(i: &Inspection) -> String {
    let essential = |text: &&String| text.starts_with("Essential requirement fails");
    let (items, others): (Vec<&String>, Vec<&String>) = i.reasons.iter().partition(essential);
    let mut list: Vec<String> = others.into_iter().cloned().collect();
    match items.len() {
        0 => {}
        1 => list.push(items[0].clone()),
        n => list.push(format!("{n} essential requirements fail (*, below).")),
    }
    list.join(" ")
}

fn facts(i: &Inspection) -> Vec<(String, String)> {
    let mut list = vec![("Date".to_owned(), i.date.clone())];
    if let Some(inspector) = &i.inspector {
        list.push(("Inspector".to_owned(), inspector.clone()));
    }
    list.push(("Type".to_owned(), i.type_title.clone()));
    list.push(("Limits".to_owned(), i.profile.clone()));
    for (name, text) in own_facts(i) {
        list.push((name.to_owned(), text));
    }
    for note in &i.place {
        list.push((note.name.clone(), note.text.clone()));
    }
    list
}

fn tests(i: &Inspection, extent: Extent) -> Table {
    let flags = extent != Extent::Shortest;
    let row = |test: &TestResult| {
        let blow = test.as_found.blow;
        // A number and its unit stay on one line.
        let at = at_speed(test, i.system()).replace(' ', "\u{a0}");
        let at = at.replace("\u{a0}at\u{a0}", " at ");
        let words = |run| Cell::text(&run_in_words(run, flags, i.system()));
        let cells = vec![
            Cell::verdict(blow.outcome().into(), blow.words()),
            words(&test.as_found),
            words(&test.as_designed),
        ];
        Row::new(format!("{}, {at}", test.name), cells)
    };
    let document = i.tests.first().map_or("", |t| t.document.as_str());
    let columns = [
        ("Test", 3.6),
        ("As found", 1.2),
        ("", 3.4),
        ("As designed", 3.4),
    ];
    let caption = format!("Velocity change, computed; {document}");
    Table::new(&caption, &columns, i.tests.iter().map(row).collect())
}

/// One line a condition: both velocity changes with it put right, and with it alone.
fn conditions(i: &Inspection) -> Table {
    let speeds = |pair: &[TestNumbers; 2]| {
        let parts = pair.each_ref().map(|run| speed_in_words(run, i.system()));
        Cell::text(&parts.join(" and "))
    };
    let rows = (i.conditions.iter())
        .map(|c| Row::new(&c.title, vec![speeds(&c.put_right), speeds(&c.alone)]))
        .collect();
    let columns = [
        ("Condition", 3.0),
        ("Put right, others as found", 3.0),
        ("Present alone", 3.0),
    ];
    let caption = "Velocity change in the low-speed and the high-speed test";
    Table::new(caption, &columns, rows)
}

/// The steps; on a folded page those without effect on the impact stand in one paragraph.
fn steps(i: &Inspection, extent: Extent) -> Vec<Part> {
    let apart =
        |step: &&giveway_site::Step| extent < Extent::Folded || step.weight != Weight::Minor;
    let (steps, others): (Vec<_>, Vec<_>) = i.order.iter().partition(apart);
    let steps: Vec<Step> = (steps.into_iter())
        .map(|step| Step {
            text: format!("{} {}", step.put_right, step.sentence),
            ..Step::default()
        })
        .collect();
    let mut parts = vec![Part::Steps(steps)];
    if !others.is_empty() {
        let others: Vec<&str> = others.iter().map(|s| s.put_right.as_str()).collect();
        parts.push(Part::Text(format!(
            "Without effect on the impact: {}",
            others.join(" ")
        )));
    }
    parts
}

/// The distinct published or derived sources of the items in their order, each with its mark; the table names them by
/// number.
fn sources(items: &[&ItemResult]) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for item in items {
        let marked = item.origin.marked(&item.source);
        if item.origin != Origin::CommonPractice && !list.contains(&marked) {
            list.push(marked);
        }
    }
    list
}

fn items(list: &[&ItemResult], sources: &[String]) -> Table {
    let rows = (list.iter())
        .map(|item| {
            let source = sources
                .iter()
                .position(|s| *s == item.origin.marked(&item.source))
                .map_or_else(|| "c".to_owned(), |n| (n + 1).to_string());
            let mark = match item.verdict {
                Judged::Meets => Mark::Meets,
                Judged::Close => Mark::Near,
                Judged::Fails => Mark::Fails,
                Judged::NotMeasured | Judged::NotJudged => Mark::Open,
            };
            let essential = item.weight == Weight::Essential;
            let star = if essential { "*" } else { "" };
            let cells = vec![
                Cell::text(&item.limit),
                Cell::text(&format!("[{source}]")),
                Cell::text(&item.measured),
                Cell::verdict(mark, item.verdict.words()),
            ];
            Row::new(format!("{}{star}", item.requirement), cells)
        })
        .collect();
    let columns = [
        ("Requirement", 4.0),
        ("Limit", 2.5),
        ("Source", 1.0),
        ("Found", 2.2),
        ("Verdict", 1.4),
    ];
    let caption = "* essential; [1] and so on: source, below; [c] common practice, no source";
    Table::new(caption, &columns, rows)
}

fn not_measured(i: &Inspection) -> Option<Part> {
    if i.not_measured.is_empty() {
        return None;
    }
    // What cannot do harm is named in one line, so that the page stays one page.
    let (grave, harmless): (Vec<_>, Vec<_>) = i
        .not_measured
        .iter()
        .partition(|o| o.would_fail || (o.weight == Weight::Essential && o.tests.is_none()));
    // Those of which the same is said stand together.
    let mut said: Vec<(String, Vec<&str>)> = Vec::new();
    for o in &grave {
        let reason = o.reason.as_deref();
        let reason = reason.map_or(String::new(), |r| format!(" ({r})"));
        let sentence = format!("{}{reason}", o.sentence);
        match said.iter_mut().find(|(s, _)| *s == sentence) {
            Some((_, names)) => names.push(&o.requirement),
            None => said.push((sentence, vec![&o.requirement])),
        }
    }
    let mut list: Vec<String> = (said.iter())
        .map(|(sentence, names)| format!("{}: {sentence}", names.join("; ")))
        .collect();
    if !harmless.is_empty() {
        let names: Vec<&str> = harmless.iter().map(|o| o.requirement.as_str()).collect();
        list.push(format!(
            "Each of these alone, at its worst, fails no governing test: {}.",
            names.join("; ")
        ));
    }
    Some(Part::List(list))
}

fn legend(i: &Inspection, sources: &[String]) -> String {
    let mut text: Vec<String> = (sources.iter())
        .enumerate()
        .map(|(n, source)| format!("[{}] {source}.", n + 1))
        .collect();
    text.push(i.rule.clone());
    text.join(" ")
}

#[cfg(test)]
mod tests {
    use giveway_occupant::Blow;
    use giveway_results::summary::Finding;
    use giveway_scenario::model::Scenario;
    use giveway_site::{PoleType, Record};

    use super::*;

    const TYPE: &str = include_str!("../../../scenarios/site/types/ring_road_12m.toml");
    const SEVERAL: &str = include_str!("../../../scenarios/site/records/HV-0106.toml");
    const GOOD: &str = include_str!("../../../scenarios/site/records/HV-0101.toml");
    const OPEN: &str = include_str!("../../../scenarios/site/records/HV-0107.toml");

    /// Long words: every run holds the base and raises many flags.
    fn held(s: &Scenario) -> TestNumbers {
        let clean = s.as_found.present().is_empty();
        TestNumbers {
            ending: None,
            velocity_change_mps: Some(if clean { 1.94 } else { -0.02 }),
            occupant_impact_velocity_mps: None,
            load: Some(if clean { 0.4 } else { 1.94 }),
            blow: if clean { Blow::Pass } else { Blow::Fail },
            sentence: "The blow fails: oiv_longitudinal_mps, stub_height_m.".into(),
            dents: Vec::new(),
            stands_in_wind: Some(true),
            flags: WORDS
                .iter()
                .filter(|_| !clean)
                .map(|word| Finding {
                    word: (*word).to_owned(),
                    sentence: "A sentence.".into(),
                    consequence: None,
                })
                .collect(),
            error: None,
        }
    }

    const WORDS: [&str; 9] = [
        "broken",
        "binds",
        "dishes",
        "seized",
        "overtight",
        "proud",
        "blocked",
        "folds",
        "kinks",
    ];

    /// Every requirement fails.
    fn everything() -> String {
        let measured = [
            ("round_washers", "missing"),
            ("grout_gap", "-20 mm"),
            ("grout_notch_gap", "0 mm"),
            ("stub_projection", "40 mm; 30 mm"),
            ("conduit_projection", "50 mm"),
            ("soil_gap", "50 mm"),
            ("rust", "seized"),
            ("torque", "300 N.m; 280 N.m; 90 N.m"),
            ("bolt_threads", "reused"),
            ("engaged_threads", "4"),
            ("plate_washer_thickness", "4 mm"),
            ("keeper_thickness", "missing"),
            ("notch_lump", "4 mm"),
            ("notch_offset", "5 mm"),
            ("plate_height", "140 mm"),
            ("pattern_turned", "30 deg"),
            ("foundation", "moves"),
            ("plate_level", "2 deg"),
            ("pole_plumb", "3 deg"),
            ("zinc", "gone"),
            ("tightening_record", "none"),
            ("last_check", "never"),
        ];
        let lines: Vec<String> = (measured.iter())
            .map(|(k, v)| format!("{k} = \"{v}\"\n"))
            .collect();
        format!(
            "pole = \"HV-0999\"\ndate = 2025-09-12\ntype = \"t\"\n[measured]\n{}",
            lines.concat()
        )
    }

    fn inspected(record: &str) -> Inspection {
        let pole_type = PoleType::read(TYPE, "type.toml").expect("a type");
        let record = Record::read(record, "record.toml").expect("a record");
        giveway_site::inspect(&record, &pole_type, &held)
            .expect("an inspection")
            .0
    }

    /// A crew reads the page on a clip board, so it is never set in type below 9 pt: a pole on which little is wrong has one
    /// page; where all that is wrong does not fit there, it has two, front and back of one leaf, rather than type of 6.5 pt.
    #[test]
    fn the_fullest_records_fit_one_leaf_in_legible_type() {
        for (record, sheets) in [(SEVERAL, 2), (OPEN, 1), (&everything(), 2)] {
            let i = inspected(record);
            let page = document(&i);
            let fit = page.fit();
            assert!(fit.one_page && fit.type_pt >= 9.0, "{}: {fit:?}", i.pole);
            assert_eq!(page.sheets, sheets, "{}: {fit:?}", i.pole);
        }
    }

    /// A pole without a fault had a table with a head and no row.
    #[test]
    fn no_table_is_empty() {
        for record in [SEVERAL, GOOD] {
            let html = inspection_page(&inspected(record));
            assert!(!html.contains("<tbody>\n</tbody>"), "{html}");
        }
    }

    #[test]
    fn page_and_text_say_the_same_and_nothing_is_taken_for_markup() {
        let record = SEVERAL.replace("maintenance crew 2", "<b>A & \\\"B\\\"</b>");
        let i = inspected(&record);
        let html = inspection_page(&i);
        assert!(html.contains("&lt;b&gt;A &amp; "), "{html}");
        assert!(!html.contains("<b>A"));
        let text = crate::inspection_text(&i);
        assert!(text.lines().all(|l| l.chars().count() <= 100));
        // The one place that is not wrapped: words and numbers.
        for part in [
            "no-go",
            "290 N.m",
            "common practice, no source",
            "0.0 m/s",
            "194 %",
        ] {
            assert!(
                html.to_lowercase().contains(&part.to_lowercase()),
                "page: {part}"
            );
            assert!(
                text.to_lowercase().contains(&part.to_lowercase()),
                "text: {part}"
            );
        }
        assert!(html.contains("no substitute for a full-scale"));
        assert!(
            text.replace("\n  ", " ")
                .contains("no substitute for a full-scale")
        );
    }
}
