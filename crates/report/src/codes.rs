//! The page of every diagnostic code, whatever document it is of: a scenario, a site record, a study, a file of the laboratory or a
//! lesson.

use crate::lesson::codes as lesson;
use giveway_study::plan::codes as study;

/// The page of a code, Markdown; none for an unknown code.
pub fn explain(code: &str) -> Option<&'static str> {
    giveway_scenario::explain(code)
        .or_else(|| giveway_site::explain(code))
        .or_else(|| study::explain(code))
        .or_else(|| giveway_lab::explain(code))
        .or_else(|| lesson::explain(code))
}

/// Every code, document by document.
pub fn all_codes() -> Vec<&'static str> {
    let mut list = giveway_scenario::all_codes();
    list.extend(giveway_site::all_codes());
    list.extend(study::all_codes());
    list.extend(giveway_lab::all_codes());
    list.extend(lesson::all_codes());
    list
}
