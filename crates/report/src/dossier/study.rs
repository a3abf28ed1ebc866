//! The report of a study: counts, limits and figures; never its rows.

use giveway_occupant::Blow;
use giveway_results::{Manifest, StudyFile, StudyStatus};
use giveway_study::analysis::{Analysis, Count, Least, Role, Side, Swept, Tally};

use super::figures::{Room, figure};
use super::markup::{Cell, Markup, Table};
use super::picture::of_figure;
use super::words::{cut, or_dash, quantity, upper_first};
use super::{frame, origin, validation};
use crate::ReportError;
use crate::printed::Mark;
use crate::study_figures::{Quantity, drawn};

/// A study and what was looked at in it.
#[derive(Debug, Clone)]
pub struct StudyContents {
    /// Name of the folder.
    pub folder: String,
    /// What its closing file says.
    pub file: StudyFile,
    /// The manifest, where it reads.
    pub manifest: Option<Manifest>,
    /// Counts.
    pub tally: Tally,
    /// What the figures show; none where there was nothing to draw, with the reason.
    pub analysis: Result<Analysis, String>,
    /// Names of the figures that are shown; none: all.
    pub figures: Option<Vec<String>>,
}

/// The page.
///
/// # Errors
/// A figure that cannot be painted.
pub fn page(study: &StudyContents, caution: &str) -> Result<String, ReportError> {
    let card = &study.file.card;
    let title = match card.title.as_str() {
        "" => &study.folder,
        title => title,
    };
    let assumed = "What was set or drawn in each run stands above and in the columns of the table. Everything else is as in the base scenario: \
         the folder of a study does not hold it. `giveway check` on the base lists every value that it leaves open, with the source of \
         its default; a run of it, or of one row kept with its histories, writes a folder whose report lists them.";
    let validated = validation::chapter(&[card.model_version])?;
    let of = |write: &dyn Fn(&mut Markup)| Markup::of(write);
    let mut chapters: Vec<(&str, &str, Markup)> = vec![
        ("verdict", "Verdict", of(&|m| verdict(m, study, caution))),
        ("swept", "What was swept", of(&|m| swept(m, &study.tally))),
        (
            "outputs",
            "What came out",
            of(&|m| outputs(m, &study.tally)),
        ),
        ("books", "Books and failures", of(&|m| books(m, study))),
        ("assumed", "What was assumed", of(&|m| m.paragraph(assumed))),
        ("validation", validation::TITLE, validated),
        ("provenance", origin::TITLE, of(&|m| provenance(m, study))),
    ];
    let text: usize = chapters.iter().map(|c| c.2.len()).sum();
    let mut room = Room::beside(text);
    let mut m = Markup::default();
    figures(&mut m, study, caution, &mut room)?;
    chapters.insert(3, ("figures", "Figures", m));

    let documents = match study.tally.documents.as_slice() {
        [] => "no document".to_owned(),
        documents => documents.join(", "),
    };
    let facts = vec![
        ("Runs".to_owned(), counted(study)),
        ("Model version".to_owned(), card.model_version.to_string()),
        ("Judged by".to_owned(), documents),
    ];
    Ok(frame::page(
        "Report of a study",
        title,
        &facts,
        chapters,
        frame::OPEN,
        Markup::default(),
        caution,
    ))
}

fn counted(study: &StudyContents) -> String {
    let f = &study.file;
    let missing: u64 = f.gaps.iter().map(|g| g.end - g.first).sum();
    let mut text = f.rows.to_string();
    if f.failed > 0 {
        text.push_str(&format!(", {} failed", f.failed));
    }
    if missing > 0 {
        text.push_str(&format!(", {missing} of the plan missing"));
    }
    text
}

fn runs_of(counts: &[Count], word: &str) -> u64 {
    counts.iter().find(|c| c.word == word).map_or(0, |c| c.runs)
}

fn verdict(m: &mut Markup, study: &StudyContents, caution: &str) {
    let t = &study.tally;
    judged(m, t);
    let held = runs_of(&t.endings, "held");
    if !t.endings.is_empty() {
        let wind = match t.in_wind {
            [_, 0] => String::new(),
            [stands, all] => {
                format!(" The clamped base stands in the wind in {stands} of {all} runs.")
            }
        };
        let rows = study.file.rows;
        let told = format!("The base held in {held} of {rows} runs.{wind}");
        m.classed("says", &told);
    }
    if let Some(l) = &t.least {
        least_margin(m, l);
    }
    m.raw("</div>\n");
    if study.file.status == StudyStatus::Partial {
        m.lead(
            "notice",
            "The study is partial.",
            "Runs of its plan are missing: what is said here is said of the runs that are there.",
        );
    }
    limits(m, t);
    m.lead("caution", "Caution.", caution);
}

/// How many runs pass, by mark and words.
fn judged(m: &mut Markup, t: &Tally) {
    let of = |blow: Blow| runs_of(&t.outcomes, blow.key());
    let undecided = of(Blow::Undecided);
    let near = of(Blow::Marginal) + undecided;
    let judged = [of(Blow::Pass), near, of(Blow::Fail)];
    let open = of(Blow::NotEvaluated);
    let all: u64 = judged.iter().sum();
    let (mark, what) = match judged {
        [0, 0, 0] => (Mark::Open, String::new()),
        [_, 0, 0] => (Mark::Meets, "passes in all".to_owned()),
        [_, near, 0] => (Mark::Near, format!("is marginal or undecided in {near} of")),
        [.., fail] => (Mark::Fails, format!("fails in {fail} of")),
    };
    let word = match mark {
        Mark::Open => "Not judged".to_owned(),
        _ => format!("The blow {what} {all} judged runs"),
    };
    m.raw("<div class=\"verdict\">\n<p>");
    m.word(mark, &word);
    m.raw("</p>\n");
    let not_judged = match open {
        0 => String::new(),
        open => format!(", {open} could not be judged"),
    };
    let judgement = format!(
        "The blow by {}: {} pass, {} are beyond the preferred limit or undecided, {} fail{}. Dents of roof and windscreen \
             have their own columns.",
        document(t),
        judged[0],
        judged[1],
        judged[2],
        not_judged
    );
    m.classed("says", &judgement);
}

/// The least margin, and the run that has it.
fn least_margin(m: &mut Markup, l: &Least) {
    let setting: Vec<String> = l.setting.iter().map(|(c, v)| set(c, v)).collect();
    let margin = super::verdict::margin_words(l.margin_fraction);
    let mut least = format!("Least margin: {margin}, in run {}", l.run);
    if !setting.is_empty() {
        least.push_str(&format!(" ({})", setting.join(", ")));
    }
    if let Some(check) = l.check.as_deref().filter(|c| !c.is_empty()) {
        least.push_str(&format!("; decided by {}", Quantity::of(check).words));
    }
    least.push('.');
    m.classed("says", &least);
}

/// The limits, each with the runs beyond it.
fn limits(m: &mut Markup, t: &Tally) {
    let limits = (t.outputs.iter())
        .filter(|s| !s.column.ends_with("margin_fraction"))
        .filter_map(|s| Some((s, s.limit.as_ref()?, Quantity::of(&s.column))));
    m.table(&Table::of(
        "Limits of the governing document, and the runs beyond them",
        limits,
        &[
            ("Quantity", &|(.., q)| Cell::text(&upper_first(&q.words))),
            ("Limit>", &|(_, l, q)| {
                let at_least = match l.beyond {
                    Side::Above => "",
                    Side::Below => "at least ",
                };
                Cell::number(format!("{at_least}{}", shown(q, l.value)))
            }),
            ("Preferred>", &|(_, l, q)| {
                Cell::number(or_dash(l.preferred.map(|p| shown(q, p))))
            }),
            ("Runs beyond>", &|(s, ..)| {
                Cell::number(s.beyond.to_string())
            }),
            ("Of runs with a value>", &|(s, ..)| {
                Cell::number(s.runs.to_string())
            }),
            ("Share>", &|(s, ..)| {
                Cell::number(format!("{:.1} %", 100.0 * s.beyond as f64 / s.runs as f64))
            }),
            ("Source of the limit", &|(_, l, _)| Cell::text(&l.source)),
        ],
    ));
}

/// The governing document in full, where there is one; else the names of all.
fn document(t: &Tally) -> String {
    let limits = (t.outputs.iter()).filter(|s| !s.column.ends_with("margin_fraction"));
    let full = limits
        .filter_map(|s| s.limit.as_ref())
        .map(|l| l.source.clone())
        .next();
    match (t.documents.as_slice(), full) {
        ([_], Some(full)) => full,
        ([], _) => "no document".to_owned(),
        (names, _) => names.join(", "),
    }
}

/// A number of the table in the unit that people use.
fn shown(q: &Quantity, value: f64) -> String {
    quantity(q.scale * value, q.unit)
}

/// A swept quantity at a value of the table.
fn set(column: &str, value: &str) -> String {
    let q = Quantity::of(column);
    match value.parse::<f64>() {
        Ok(x) => format!("{} {}", q.words, shown(&q, x)),
        Err(_) => format!("{} {}", q.words, cut(value, 80)),
    }
}

fn swept(m: &mut Markup, t: &Tally) {
    if t.swept.is_empty() {
        m.paragraph("Nothing was swept.");
        return;
    }
    m.table(&Table::of(
        "Every listed value with every other; drawn ones at each of them",
        &t.swept,
        &[
            ("Quantity", &|s| {
                Cell::text(&upper_first(&Quantity::of(&s.column).words))
            }),
            ("How", &|s| {
                Cell::text(match s.role {
                    Role::Base => "base scenarios",
                    Role::Condition => "findings on site",
                    Role::Grid => "listed",
                    Role::Drawn => "drawn",
                })
            }),
            ("Values", &|s| Cell::text(&values(s))),
            ("Path in the scenario", &|s| {
                Cell::text(s.path.as_deref().unwrap_or("\u{2013}"))
            }),
        ],
    ));
    if let Some(s) = &t.sampling {
        let seed = s.seed.map(|n| format!(", seed {n}")).unwrap_or_default();
        m.paragraph(&format!("Drawn by the method {}{seed}.", s.method));
    }
}

fn values(s: &Swept) -> String {
    let q = Quantity::of(&s.column);
    match s.range {
        Some(range) => {
            let [low, high] = range.map(|v| shown(&q, v));
            match s.values {
                0 => format!("{low} to {high}"),
                n => format!("{n} values, {low} to {high}"),
            }
        }
        None => {
            let words: Vec<String> = s.words.iter().map(|w| cut(w, 60)).collect();
            let more = match s.values.saturating_sub(s.words.len()) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            format!("{}{more}", words.join(", "))
        }
    }
}

fn outputs(m: &mut Markup, t: &Tally) {
    let mut table = Table::new(
        "Over all runs that have a value",
        &["Quantity", "Runs>", "Least>", "Median>", "Largest>"],
    );
    for s in &t.outputs {
        let q = Quantity::of(&s.column);
        let mut cells = vec![
            Cell::text(&upper_first(&q.words)),
            Cell::number(s.runs.to_string()),
        ];
        cells.extend(s.values.iter().map(|v| Cell::number(shown(&q, *v))));
        table.row(cells);
    }
    m.table(&table);
    for (caption, counts) in [
        ("How the runs ended", &t.endings),
        ("The check with the least margin", &t.closest),
    ] {
        m.table(&counts_of(caption, "Word of the table", counts));
    }
}

fn counts_of(caption: &str, what: &str, counts: &[Count]) -> Table {
    Table::of(
        caption,
        counts,
        &[
            (what, &|c| Cell::text(&cut(&c.word, 300))),
            ("Runs>", &|c| Cell::number(c.runs.to_string())),
        ],
    )
}

fn figures(
    m: &mut Markup,
    study: &StudyContents,
    caution: &str,
    room: &mut Room,
) -> Result<(), ReportError> {
    let analysis = match &study.analysis {
        Ok(analysis) => analysis,
        Err(reason) => {
            m.paragraph(&format!("Nothing is drawn: {reason}"));
            return Ok(());
        }
    };
    let mut left_out = 0;
    let chosen = |name: &str| {
        let names = study.figures.as_ref();
        names.is_none_or(|names| names.iter().any(|n| n == name))
    };
    let all = drawn(analysis, caution)?;
    for (n, f) in all.iter().filter(|f| chosen(f.name())).enumerate() {
        let picture = of_figure(f, &format!("s{n}"))?;
        if room.take(picture.markup.len() + 400) {
            figure(m, &picture, &picture.words);
        } else {
            left_out += 1;
        }
    }
    if left_out > 0 {
        m.paragraph(&format!(
            "{left_out} more figures were left out to keep this file below 3 MB: `giveway draw` writes them into the folder."
        ));
    }
    m.points(&analysis.notes);
    Ok(())
}

fn books(m: &mut Markup, study: &StudyContents) {
    let f = &study.file;
    m.paragraph(&if f.failed == 0 {
        format!("All {} runs closed their energy and momentum books; a run that does not is a failed one and has no numbers.", f.rows)
    } else {
        format!(
            "{} of {} runs failed: they could not be computed or did not close their books. They have no numbers and are in no count, \
             figure or share.",
            f.failed, f.rows
        )
    });
    let reasons = &study.tally.reasons;
    m.table(&counts_of("Why runs failed", "Reason", reasons));
}

fn provenance(m: &mut Markup, study: &StudyContents) {
    let f = &study.file;
    let mut facts = vec![("Folder".to_owned(), study.folder.clone())];
    let hash = "Hash of the resolved plan (BLAKE3)";
    match &study.manifest {
        Some(manifest) => facts.extend(origin::shared(manifest, hash)),
        None => facts.extend([
            (hash.to_owned(), f.card.plan_hash.clone()),
            ("Model version".to_owned(), f.card.model_version.to_string()),
        ]),
    }
    let seed = match study.tally.sampling.as_ref().map(|s| s.seed) {
        None => "nothing was drawn".to_owned(),
        Some(None) => "not told by the table; it is part of the plan".to_owned(),
        Some(Some(seed)) => seed.to_string(),
    };
    facts.push(("Seed".to_owned(), seed));
    let state = match f.status {
        StudyStatus::Complete => "complete",
        StudyStatus::Partial => "partial",
    };
    let (first, end, planned) = (f.card.first, f.card.end, f.card.planned_rows);
    let state = format!("{state}: runs {first} to {end} of {planned} planned");
    facts.push(("State".to_owned(), state));
    for o in &f.mixed_with {
        let other = format!("plan {}, model version {}", o.plan_hash, o.model_version);
        facts.push(("Mixed with".to_owned(), other));
    }
    for file in &f.files {
        let told = format!("{} bytes, BLAKE3 {}", file.bytes, file.blake3);
        facts.push((file.name.clone(), told));
    }
    m.facts("rows", &facts);
    m.paragraph("The rows depend on plan, base and model version alone: any number of threads, parts and interruptions gives the same bytes.");
}
