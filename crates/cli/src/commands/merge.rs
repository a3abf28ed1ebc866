//! `giveway merge`: the parts of a study as one, and what is missing of it.

use std::time::SystemTime;

use giveway_results::{
    MergeReport, Mixing, RunFacts, StudyStatus, TableForm, merge_as, merge_by_part,
};

use super::study::{counts, refusal};
use crate::arguments::Merge;
use crate::exit::Exit;
use crate::terminal::{complain, print};

/// Most gaps that are listed.
const MOST_LISTED: usize = 20;

/// Joins the parts.
pub fn merge(arguments: &Merge) -> Exit {
    let facts = RunFacts {
        started: SystemTime::now(),
        threads: 1,
        features: Vec::new(),
    };
    let mixing = if arguments.mix {
        Mixing::Allow
    } else {
        Mixing::Refuse
    };
    let out = &arguments.out;
    let report = if arguments.by_part {
        merge_by_part(&arguments.parts, out, &facts).map(|study| MergeReport {
            study,
            duplicates: 0,
            conflicting: Vec::new(),
        })
    } else {
        let form = TableForm::of(!arguments.no_csv);
        merge_as(&arguments.parts, out, mixing, &facts, form)
    };
    let report = match report {
        Ok(report) => report,
        Err(problem) => {
            let refusal = refusal(out, &problem);
            complain(&refusal.text);
            return refusal.exit;
        }
    };
    let file = &report.study;
    if !arguments.quiet {
        print(&format!("{}: {}\n", file.card.title, counts(file)));
        if report.duplicates > 0 {
            let twice = report.duplicates;
            print(&format!("  {twice} rows stood in several parts, alike\n"));
        }
    }
    if !report.conflicting.is_empty() {
        complain(&format!(
            "  {} runs stood in several parts with different content; the part given first counts\n",
            report.conflicting.len()
        ));
    }
    for gap in file.gaps.iter().take(MOST_LISTED) {
        complain(&format!(
            "  missing: runs {} to {}\n",
            gap.first,
            gap.end - 1
        ));
    }
    if file.gaps.len() > MOST_LISTED {
        let more = file.gaps.len() - MOST_LISTED;
        complain(&format!("  and {more} more gaps; study.json lists them\n"));
    }
    if !arguments.quiet {
        print(&format!("  results: {}\n", out.display()));
    }
    match file.status {
        StudyStatus::Partial => Exit::Partial,
        StudyStatus::Complete if file.failed > 0 => Exit::Compute,
        StudyStatus::Complete => Exit::Done,
    }
}
