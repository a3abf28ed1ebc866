//! The page around the chapters: head, skip link, contents, foot.

use super::markup::Markup;
use super::style;
use super::words::cut;
use crate::printed::{escaped, policy};

/// Which chapters stand open, and what of the others is printed.
#[derive(Clone, Copy)]
pub struct Folding {
    /// The first so many stand open, the others unfold.
    pub open: usize,
    /// Whether the others are printed too, whether they are unfolded or not.
    pub printed: bool,
}

/// All chapters stand open.
pub const OPEN: Folding = Folding {
    open: usize::MAX,
    printed: true,
};

/// Stands where the number of the page's scripts goes.
pub const NUMBER_MARK: &str = "@number@";

/// Unfolds a chapter that a link leads to, and all for the printer where they belong on paper.
const UNFOLD: &str = "(() => {
  const to = () => document.getElementById(location.hash.slice(1))?.closest('details')?.setAttribute('open', '');
  addEventListener('hashchange', to);
  to();
  const folded = () => [...document.querySelectorAll('body.whole details:not([open])')];
  let opened = [];
  addEventListener('beforeprint', () => { opened = folded(); for (const d of opened) d.open = true; });
  addEventListener('afterprint', () => { for (const d of opened) d.open = false; });
})();";

/// The page of these chapters (identifier, title, content); `foot` stands at its end.
pub fn page(
    kind: &str,
    title: &str,
    facts: &[(String, String)],
    chapters: Vec<(&str, &str, Markup)>,
    folding: Folding,
    foot: Markup,
    caution: &str,
) -> String {
    let title = cut(title, 200);
    let open = folding.open;
    let folds = chapters.len() > open;
    let mut body = Markup::default();
    body.raw("<a class=\"skip\" href=\"#main\">To the verdict</a>\n<header>\n");
    body.classed("kind", kind);
    body.heading(1, "title", &title);
    body.facts("facts", facts);
    body.raw(
        "</header>\n<nav aria-labelledby=\"contents\">\n<h2 id=\"contents\">Contents</h2>\n<ul>\n",
    );
    for (id, name, _) in &chapters {
        let name = escaped(name);
        body.raw(&format!("<li><a href=\"#{id}\">{name}</a></li>\n"));
    }
    body.raw("</ul>\n</nav>\n<main id=\"main\">\n");
    for (n, (id, name, content)) in chapters.into_iter().enumerate() {
        body.raw(&format!("<section aria-labelledby=\"{id}\">\n"));
        if n == open {
            let printed = if folding.printed {
                "On paper they stand whole."
            } else {
                "Those that are open are printed too."
            };
            let told = format!("The chapters below unfold. {printed}");
            body.classed("soft screen", &told);
        }
        if n >= open {
            body.raw("<details>\n<summary>");
        }
        body.heading(2, id, name);
        if n >= open {
            body.raw("</summary>\n");
        }
        body.raw(&content.finish());
        body.raw(if n >= open {
            "</details>\n</section>\n"
        } else {
            "</section>\n"
        });
    }
    body.raw("</main>\n<footer>\n");
    body.lead("", "Caution.", caution);
    body.raw("</footer>\n");
    let mut body = body.finish();
    let mut foot = foot.finish();
    if folds {
        let script = format!("<script nonce=\"{NUMBER_MARK}\">{UNFOLD}</script>\n");
        foot.push_str(&script);
    }
    let class = if folding.printed { "whole" } else { "chosen" };
    // Scripts that the page itself brings carry a number that follows from its whole content; others do not run.
    let number = giveway_results::hash_text(&format!("{body}{foot}"));
    body.push_str(&foot.replace(NUMBER_MARK, &number[..32]));
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         {}\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}: {}</title>\n<style>\n{}</style>\n</head>\n<body class=\"{class}\">\n{body}</body>\n</html>\n",
        policy(Some(&number[..32])),
        escaped(kind),
        escaped(&title),
        style::sheet()
    )
}
