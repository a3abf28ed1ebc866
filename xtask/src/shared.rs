//! The section of the shared calibration on the page of validation, from `crates/study/assets/shared.json`.

use std::fmt::Write as _;
use std::path::Path;

use giveway_study::shared::{Acts, SharedParameter, SharedPosterior, SharedRow};

use crate::validation::significant;

/// The section.
pub fn section(root: &Path) -> Result<String, String> {
    // Read now and not with the program, so that one build writes what was made after it.
    let file = root.join("crates/study/assets/shared.json");
    let problem = |e: &dyn std::fmt::Display| format!("{}: {e}", file.display());
    let text = std::fs::read_to_string(&file).map_err(|e| problem(&e))?;
    Ok(page(&serde_json::from_str(&text).map_err(|e| problem(&e))?))
}

fn page(s: &SharedPosterior) -> String {
    let mut text = String::from(HEAD);
    let _ = writeln!(
        text,
        "Rows and priors were written down on {} (`scenarios/published/evidence.toml`), before any posterior. {} runs stand behind \
         the responses, with `model_version` {}; ln of the evidence {}.\n",
        s.chosen,
        s.runs,
        s.model_version,
        significant(s.log_evidence)
    );
    text.push_str(
        "| shared number | prior: median, nine of ten | posterior: median, nine of ten | default | posterior below it | why this prior |\n\
         |---|---|---|---|---|---|\n",
    );
    for p in &s.parameters {
        // Runs have no model error by default.
        let [present, below] = match p.acts {
            Acts::ModelError => ["-".to_owned(), "-".to_owned()],
            _ => [
                significant(p.present),
                format!("{} %", significant(100.0 * p.below_present)),
            ],
        };
        let _ = writeln!(
            text,
            "| `{}` | {}, {} to {} | {}, {} to {} | {present} | {below} | {} |",
            p.name,
            significant(p.prior[0]),
            significant(p.prior_range[0]),
            significant(p.prior_range[1]),
            significant(p.quantiles[2]),
            significant(p.quantiles[0]),
            significant(p.quantiles[4]),
            p.why.replace('|', "\\|"),
        );
    }
    text.push('\n');
    for p in &s.parameters {
        let _ = writeln!(text, "- {}", told(p));
    }
    let [count, half, nine] = s.coverage;
    let _ = writeln!(
        text,
        "\n**Each case predicted from the others.** All rows of a case are left out together, the shared numbers are fitted to the rest, and \
         what would be measured is predicted with friction and clamp of a base of its own, model error and reading. Of the {count} measured \
         numbers that count {half} lie in the middle half and {nine} in nine of ten ({} and {} would be expected). The rows of one case are \
         not independent, so these counts scatter more than single ones.\n",
        significant(0.5 * count as f64),
        significant(0.9 * count as f64),
    );
    text.push_str(
        "| row | case | in print | at present | predicted: median | half | nine of ten | outcome | error of the grid | why |\n\
         |---|---|---|---|---|---|---|---|---|---|\n",
    );
    for r in &s.rows {
        let [a, b, c, d, e] = r.predicted.map(significant);
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {c} | {b} to {d} | {a} to {e} | {} | {} % | {} |",
            r.id,
            r.case,
            r.says,
            significant(r.at_present),
            outcome(r),
            significant(100.0 * r.grid_error),
            r.why.replace('|', "\\|"),
        );
    }
    text
}

/// Where a row lies in its prediction.
fn outcome(r: &SharedRow) -> String {
    let p = r.probability;
    let place = if r.measured.is_none() {
        format!("what is in print has the probability {}", significant(p))
    } else if (0.25..=0.75).contains(&p) {
        "in the middle half".to_owned()
    } else if (0.05..=0.95).contains(&p) {
        "in nine of ten".to_owned()
    } else {
        "**OUTSIDE**".to_owned()
    };
    if r.counted {
        place
    } else {
        format!("not counted ({place})")
    }
}

/// A parameter in words: what the tests say of it, and where the present value lies.
fn told(p: &SharedParameter) -> String {
    let moved = p.moved;
    let place = if moved.abs() < 0.674 {
        "its median lies in the middle half of the prior"
    } else if moved.abs() < 1.645 {
        "its median lies outside the middle half of the prior, within nine of ten"
    } else {
        "its median lies outside nine of ten of the prior"
    };
    let tail = p.below_present.min(1.0 - p.below_present);
    let present = if p.acts == Acts::ModelError {
        "runs have none by default"
    } else if tail >= 0.25 {
        "the present value lies in the middle half of the posterior"
    } else if tail >= 0.05 {
        "the present value lies within nine of ten of the posterior, outside its middle half"
    } else {
        "the present value lies outside nine of ten of the posterior"
    };
    format!(
        "`{}`: {place} ({} prior standard deviations off), {} % of the prior's width is left; {present}.",
        p.name,
        significant(moved),
        significant(100.0 * p.kept),
    )
}

const HEAD: &str = "\
## Calibrated once, together

A few numbers are shared by every run: the friction of a typical base, its spread between bases, the give of the plates, a factor on
the front of each class, and the error of the model that is left. They are fitted together to the rows in print by Bayes. No number is chosen
case by case, no row leaves because it misses; circular rows are listed and not counted. Each kind of number has a
model error of its own, whose priors were chosen on 2026-11-29 from what is known of the scatter of repeated tests, before any posterior
with them was computed; where one is wide, the rows far from their middle show why. Sliding friction (0.12), the give of the
plates (1.0) and the spread between bases of the standard distribution `friction-of-new` (0.45) are the defaults of the program: medians with `model_version` 8 and 9, and
those below within the scatter of the draws (sliding friction came out as 0.120, 0.119, 0.115 and 0.122 where the model's numbers differed by 0.3 % or less). Static over
sliding friction keeps its default, 1.5, and a front 1: their medians (1.4; near 1) are no firmer than that, as the tests leave most of their priors' width. A run's velocity
changes, impact velocities and ridedown get their ranges from these draws ([results.md](results.md)).

What is behind the wide error of a vehicle that is let go: V1 and V2 stand at a cliff. The pipe that stands in for their supports passes on some 25 kN before it
folds, their base opposes 18 kN by friction alone, 27 with wedged bolts and keeper, 34 pried; on one side of the cliff the vehicle loses half of what
is in print, on the other four times as much. Up to `model_version` 7 they lay beyond it, as bolts were wedged from the first micrometre on (theory 5.3); with the
room that bolts have they lie before it. No size of theirs was moved for that.

Made again with `cargo run -p giveway-lab --example shared -- scenarios/published` (some minutes) and `cargo xtask generate`.

";
