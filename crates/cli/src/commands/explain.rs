//! `giveway explain`: the page of a diagnostic code.

use giveway_report::codes::{all_codes, explain as page};

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

/// Every code with the first line of its page.
fn list() -> String {
    all_codes()
        .into_iter()
        .map(|code| {
            let page = page(code).unwrap_or_default();
            let title = page.lines().find(|l| !l.trim().is_empty()).unwrap_or("");
            let title = title.trim_start_matches('#').trim();
            let title = title.strip_prefix(code).unwrap_or(title);
            format!("{code}  {}\n", title.trim_start_matches([':', ' ', '-']))
        })
        .collect()
}
