//! The tables of the page.

use std::fmt::Write as _;

use giveway_results::Summary;
use giveway_site::requirements::REQUIREMENTS;
use giveway_study::Computed;
use rayon::prelude::*;

use super::cases::{CORRECT, Case, Cases};
use super::words::{
    base, bolts, clamp, dents, dents_at_length, flags, kmph, kn, loss, lost_mps, mm, verdict, wind,
};

/// A run beside the same with everything put right.
pub fn outcome(case: &Case) -> Result<String, String> {
    let found = &case.found.summary;
    let right = &case.right.summary;
    let sound = case.scenario.as_found.present().is_empty();
    let mut text = if sound {
        "| | |\n|---|---|\n".to_owned()
    } else {
        "| | as found | put right |\n|---|---|---|\n".to_owned()
    };
    let force = |s: &Summary| kn(s.contact.peak_force_n);
    let crush = |s: &Summary| mm(s.contact.peak_crush_m);
    let rows = [
        ("car loses", loss(found)?, loss(right)?),
        ("base", base(found), base(right)),
        ("force", force(found), force(right)),
        ("crush", crush(found), crush(right)),
        ("bolts", bolts(found), bolts(right)),
        ("verdict", verdict(found), verdict(right)),
        (
            "roof, glass",
            dents_at_length(found),
            dents_at_length(right),
        ),
        ("wind", wind(found).into(), wind(right).into()),
    ];
    for (name, a, b) in rows {
        let _ = if sound {
            writeln!(text, "| {name} | {a} |")
        } else {
            writeln!(text, "| {name} | {a} | {b} |")
        };
    }
    Ok(text)
}

/// What was found and what the program says to it.
pub fn finding(case: &Case) -> String {
    let mut text = format!(
        "**What was found here.** {} ({}):\n\n```toml\n{}\n```\n\n**What the program says.**\n\n",
        upper_first(case.finding()),
        case.link(),
        case.excerpt()
    );
    for flag in &case.found.summary.flags {
        let _ = writeln!(text, "- `{}`: {}", flag.word, flag.sentence);
    }
    text
}

/// Requirement and remedy of every finding of a case.
pub fn put_right(case: &Case) -> String {
    let mut text = String::new();
    for kind in case.scenario.as_found.present() {
        let rows: Vec<_> = REQUIREMENTS
            .iter()
            .filter(|r| r.condition == Some(kind))
            .collect();
        for row in &rows {
            let _ = writeln!(
                text,
                "**What is required.** {} ({}).\n",
                upper_first(row.title),
                row.source
            );
            let _ = writeln!(
                text,
                "**What the installer must do.** {}",
                row.put_right_for(&case.scenario)
            );
        }
        if rows.is_empty() {
            let _ = writeln!(text, "**What the installer must do.** {}", kind.put_right());
        }
    }
    text
}

/// One value of a case changed step by step. `with_clamp` adds the clamp of the bolts.
pub fn ladder(
    case: &Case,
    (heading, path): (&str, &str),
    values: &[&str],
    with_clamp: bool,
) -> Result<String, String> {
    let mut text = format!("| {heading} |");
    let columns = ["car loses", "base", "verdict", "wind", "words"];
    let clamp_column = with_clamp.then_some("clamp of a bolt");
    for name in clamp_column.into_iter().chain(columns) {
        let _ = write!(text, " {name} |");
    }
    text.push_str("\n|---|");
    text.push_str(&"---|".repeat(columns.len() + usize::from(with_clamp)));
    text.push('\n');
    // Every value is a run of its own; the order of the rows is that of the values.
    let runs: Vec<Result<Computed, String>> = values
        .par_iter()
        .map(|value| case.changed(path, value))
        .collect();
    for (value, run) in values.iter().zip(runs) {
        let s = run?.summary;
        let _ = write!(text, "| {value} |");
        if with_clamp {
            let _ = write!(text, " {} |", clamp(&s));
        }
        let _ = writeln!(
            text,
            " {} | {} | {} | {} | {} |",
            loss(&s)?,
            base(&s),
            verdict(&s),
            wind(&s),
            flags(&s)
        );
    }
    Ok(text)
}

/// The findings that stand alone, struck alike, by what they cost.
pub fn ranking(cases: &Cases) -> Result<String, String> {
    let correct = cases.get(CORRECT)?;
    let sound_mps = lost_mps(&correct.found.summary)?;
    let mut rows = Vec::new();
    for case in cases.all() {
        let alike = case.scenario.impact == correct.scenario.impact
            && case.scenario.vehicle == correct.scenario.vehicle;
        if alike && case.scenario.as_found.present().len() == 1 {
            rows.push((lost_mps(&case.found.summary)? - sound_mps, case));
        }
    }
    rows.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.stem.cmp(&b.1.stem)));
    let mut text = String::from(
        "| place | finding | car loses | against the sound base | base | verdict | roof, glass | wind | file |\n\
         |---|---|---|---|---|---|---|---|---|\n",
    );
    let mut place = 0;
    let mut sound_shown = false;
    for (more_mps, case) in rows {
        if more_mps < 0.0 && !sound_shown {
            sound_shown = true;
            ranking_row(&mut text, "", "**base as it should be**", "", correct)?;
        }
        place += 1;
        // One more decimal would promise more than the model can hold.
        let difference = format!(
            "{}{}",
            if more_mps > 0.0 { "+" } else { "" },
            kmph(more_mps)
        );
        ranking_row(
            &mut text,
            &place.to_string(),
            case.finding(),
            &difference,
            case,
        )?;
    }
    Ok(text)
}

fn ranking_row(
    text: &mut String,
    place: &str,
    finding: &str,
    difference: &str,
    case: &Case,
) -> Result<(), String> {
    let s = &case.found.summary;
    let lost = lost_mps(s)?;
    let lost = if lost > s.impact.speed_mps {
        format!("{}: thrown back", kmph(lost))
    } else {
        kmph(lost)
    };
    let file = format!("[{}](../{}/{0}.toml)", case.stem, super::cases::FOLDER);
    let _ = writeln!(
        text,
        "| {place} | {finding} | {lost} | {difference} | {} | {} | {} | {} | {file} |",
        base(s),
        verdict(s),
        dents(s),
        wind(s),
    );
    Ok(())
}

/// Every flag word with its definition and the files that raise it.
pub fn flag_words(cases: &Cases, definitions: &str) -> Result<String, String> {
    let (_, chapter) = definitions
        .split_once("### Flags")
        .ok_or("docs/results.md has no chapter of flags")?;
    let chapter = chapter.split("\n### ").next().unwrap_or_default();
    let mut text = String::from("| word | meaning | raised by |\n|---|---|---|\n");
    let mut defined = Vec::new();
    for line in chapter.lines() {
        let Some((word, meaning)) = line
            .strip_prefix("| `")
            .and_then(|rest| rest.trim_end().strip_suffix(" |"))
            .and_then(|rest| rest.split_once("` | "))
        else {
            continue;
        };
        defined.push(word);
        let files: Vec<&str> = cases
            .all()
            .iter()
            .filter(|c| c.found.summary.flags.iter().any(|f| f.word == word))
            .map(|c| c.stem.as_str())
            .collect();
        let files = if files.is_empty() {
            "none of these files".to_owned()
        } else {
            files.join(", ")
        };
        let _ = writeln!(text, "| `{word}` | {meaning} | {files} |");
    }
    let raised = cases
        .all()
        .iter()
        .flat_map(|c| &c.found.summary.flags)
        .find(|f| !defined.contains(&f.word.as_str()));
    match raised {
        Some(flag) => Err(format!("docs/results.md does not define `{}`", flag.word)),
        None => Ok(text),
    }
}

/// What each of several findings does: put right by itself, and alone.
pub fn shares(case: &Case) -> Result<String, String> {
    let mut text = String::from(
        "| place | finding | car loses if put right | car loses with it alone | what it means |\n|---|---|---|---|---|\n",
    );
    for f in &case.found.summary.conditions {
        let speed = |c: &giveway_results::ConditionCase| {
            c.reliable_velocity_change_mps()
                .map(kmph)
                .ok_or_else(|| format!("{}: {} has no velocity change", case.stem, f.title))
        };
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} |",
            f.rank,
            f.title,
            speed(&f.if_put_right)?,
            speed(&f.alone)?,
            f.sentence
        );
    }
    Ok(text)
}

fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
