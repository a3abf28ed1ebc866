//! `giveway explain`: the page of a diagnostic code.

use crate::arguments::Explain;
use crate::exit::Exit;
use crate::terminal::{complain, print};

/// Prints one page, or the list of codes.
pub fn explain(arguments: &Explain) -> Exit {
    let Some(code) = &arguments.code else {
        print(&list());
        return Exit::Done;
    };
    match page(&code.trim().to_uppercase()) {
        Some(page) => {
            print(&format!("{}\n", page.trim_end()));
            Exit::Done
        }
        None => {
            complain(&format!(
                "error: there is no diagnostic code {code:?}; the codes are\n{}",
                list()
            ));
            Exit::Usage
        }
    }
}

/// The page of a code of a scenario, of a site record, of a study, of a file of the laboratory or of a lesson.
fn page(code: &str) -> Option<&'static str> {
    giveway_scenario::explain(code)
        .or_else(|| giveway_site::explain(code))
        .or_else(|| giveway_study::plan::codes::explain(code))
        .or_else(|| giveway_lab::explain(code))
        .or_else(|| giveway_report::lesson_codes::explain(code))
}

/// Every code with the first line of its page.
fn list() -> String {
    giveway_scenario::all_codes()
        .into_iter()
        .chain(giveway_site::all_codes())
        .chain(giveway_study::plan::codes::all_codes())
        .chain(giveway_lab::all_codes())
        .chain(giveway_report::lesson_codes::all_codes())
        .map(|code| {
            let page = page(code).unwrap_or_default();
            let title = page.lines().find(|l| !l.trim().is_empty()).unwrap_or("");
            let title = title.trim_start_matches('#').trim();
            let title = title.strip_prefix(code).unwrap_or(title);
            format!("{code}  {}\n", title.trim_start_matches([':', ' ', '-']))
        })
        .collect()
}
