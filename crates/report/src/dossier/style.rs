//! The style sheet of the one-file report, for screen, A4 and US Letter.
//!
//! # References
//! - Web Content Accessibility Guidelines 2.1: 1.4.3 contrast of text 4.5, 1.4.11 of what has to be seen 3 (recalled).

/// Text and what carries meaning.
const INK: &str = "#1f262d";
/// Secondary text.
const SOFT: &str = "#4f5a64";
/// Lines around cells and frames.
const LINE: &str = "#848e97";
const PAPER: &str = "#ffffff";
/// Ground of the verdict and of headings of tables.
const PANEL: &str = "#f3f1ec";
/// Links and the ring round what has the focus.
const LINK: &str = "#14325c";
/// Beyond a limit.
const BEYOND: &str = "#a81e1e";

/// The style sheet. It holds no `<`.
pub fn sheet() -> String {
    format!(
        "\
@page {{ margin: 14mm 13mm 16mm; @bottom-right {{ content: counter(page) ' / ' counter(pages); font: 8pt sans-serif; color: {SOFT}; }} }}
* {{ box-sizing: border-box; }}
html {{ font-size: 16px; -webkit-text-size-adjust: 100%; scroll-padding-top: 1rem; }}
body {{ margin: 0 auto; padding: 0 1.5rem 3rem; max-width: 76rem; color: {INK}; background: {PAPER};
  font-family: 'Segoe UI', 'Noto Sans', 'Liberation Sans', 'DejaVu Sans', sans-serif; line-height: 1.5; overflow-wrap: anywhere; }}
a {{ color: {LINK}; }}
:focus-visible {{ outline: 3px solid {LINK}; outline-offset: 2px; }}
.skip {{ position: absolute; left: -99rem; background: {PAPER}; padding: 0.5rem 1rem; z-index: 9; }}
.skip:focus {{ left: 1rem; top: 0.5rem; }}
header {{ border-top: 0.5rem solid {INK}; padding-top: 1rem; }}
.kind {{ margin: 0; color: {SOFT}; }}
h1 {{ font-size: 2rem; line-height: 1.2; margin: 0.1rem 0 0.8rem; }}
h2 {{ font-size: 1.45rem; line-height: 1.25; margin: 2.8rem 0 0.8rem; padding-top: 0.5rem; border-top: 1px solid {INK}; }}
h3 {{ font-size: 1.12rem; margin: 1.8rem 0 0.5rem; }}
h4 {{ font-size: 1rem; margin: 1.3rem 0 0.4rem; }}
p, ul, ol, dl {{ margin: 0 0 0.8rem; max-width: 52rem; }}
li {{ margin-bottom: 0.25rem; }}
nav ul {{ list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: 0.2rem 1.3rem; max-width: none; }}
nav {{ border-bottom: 1px solid {LINE}; padding-top: 0.3rem; }}
nav h2 {{ font-size: 1rem; margin: 0 0 0.3rem; padding: 0; border: 0; color: {SOFT}; font-weight: normal; }}
dl.facts {{ display: flex; flex-wrap: wrap; gap: 0.2rem 2rem; max-width: none; }}
dl.facts div {{ display: flex; gap: 0.5rem; }}
dl.rows {{ max-width: none; }}
dl.rows div {{ display: grid; grid-template-columns: 13rem 1fr; gap: 0.8rem; border-bottom: 1px solid {LINE}; padding: 0.2rem 0; }}
dt {{ color: {SOFT}; }}
dd {{ margin: 0; }}
dl.facts dd {{ font-weight: 600; }}
code, .hash {{ font-family: 'Liberation Mono', 'DejaVu Sans Mono', monospace; font-size: 0.87em; }}
.verdict {{ background: {PANEL}; border-left: 0.5rem solid {INK}; padding: 1rem 1.3rem 0.4rem; margin: 1.2rem 0; max-width: none; }}
.verdict > p {{ max-width: 60rem; }}
.verdict .mark {{ font-size: 1.5rem; background: {PAPER}; }}
.verdict .says {{ font-size: 1.12rem; }}
.answer {{ font-size: 1.1rem; max-width: none; }}
summary {{ cursor: pointer; }}
summary h2 {{ display: inline; border: 0; }}
details {{ border-top: 1px solid {INK}; margin-top: 1.4rem; padding-top: 0.5rem; }}
.caution {{ border: 1px solid {INK}; padding: 0.5rem 0.8rem; max-width: none; }}
.notice {{ border-left: 0.4rem double {INK}; padding-left: 0.8rem; }}
.soft {{ color: {SOFT}; }}
.mark {{ display: inline-block; padding: 0 0.45rem; white-space: nowrap; font-weight: 600; }}
.meets {{ border: 1px solid {INK}; }}
.near {{ border: 2px dashed {INK}; }}
.fails {{ border: 4px double {INK}; font-weight: 800; }}
.open {{ border: 2px dotted {INK}; font-style: italic; }}
.wide {{ overflow-x: auto; margin: 0 0 1.2rem; }}
table {{ border-collapse: collapse; font-size: 0.92rem; min-width: 60%; }}
caption {{ text-align: left; color: {SOFT}; padding-bottom: 0.25rem; }}
th, td {{ text-align: left; vertical-align: top; padding: 0.25rem 0.9rem 0.25rem 0; font-weight: normal; overflow-wrap: break-word; }}
.group th {{ font-weight: 600; padding-top: 0.6rem; }}
tbody tr {{ border-top: 1px solid {LINE}; }}
thead th {{ font-weight: 600; border-bottom: 2px solid {INK}; vertical-align: bottom; }}
.number {{ text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }}
.strip {{ width: 9.5rem; height: 1.15rem; display: block; margin-top: 0.15rem; }}
.strip .scale {{ stroke: {LINE}; fill: none; }}
.strip .bar {{ fill: {INK}; }}
.strip .over {{ fill: {PAPER}; stroke: {BEYOND}; stroke-width: 2; }}
.strip .limit {{ stroke: {BEYOND}; stroke-width: 3; fill: none; }}
.strip .preferred {{ stroke: {INK}; stroke-width: 2; stroke-dasharray: 3 2; fill: none; }}
.glance {{ max-width: 47rem; }}
figure {{ margin: 0 0 1.6rem; }}
figure svg, figure img {{ display: block; width: 100%; height: auto; border: 1px solid {LINE}; }}
.still {{ display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 26rem), 1fr)); gap: 0 1.5rem; }}
.still figure {{ min-width: 0; }}
figcaption {{ color: {SOFT}; margin: 0.3rem 0 0; max-width: 60rem; }}
footer {{ margin-top: 3rem; border-top: 0.5rem solid {INK}; padding-top: 0.8rem; }}
@media (max-width: 40rem) {{ nav ul {{ flex-wrap: nowrap; overflow-x: auto; white-space: nowrap; padding-bottom: 0.4rem; }} body {{ padding: 0 0.8rem 2rem; }} dl.rows div {{ display: block; }} h1 {{ font-size: 1.5rem; }} }}
@media print {{
  html {{ font-size: 9.6pt; }}
  body {{ padding: 0; max-width: none; }}
  nav, .skip {{ display: none; }}
  a {{ color: {INK}; text-decoration: none; }}
  .screen, .chosen details:not([open]) {{ display: none; }}
  .whole details::details-content {{ content-visibility: visible; block-size: auto; }}
  .still {{ display: block; }}
  .wide {{ overflow: visible; }}
  h1 {{ font-size: 1.7rem; }}
  h2 {{ margin-top: 1.6rem; }}
  h2, h3, h4, caption, thead {{ break-after: avoid; }}
  thead {{ display: table-header-group; }}
  tr, figure, li, .verdict, .caution, dl.rows div {{ break-inside: avoid; }}
  figure svg, figure img {{ width: auto; max-width: 100%; height: auto; max-height: 218mm; margin: 0 auto; }}
  p, li {{ orphans: 3; widows: 3; }}
  table {{ font-size: 0.86rem; }}
  th, td {{ padding: 0.12rem 0.6rem 0.12rem 0; }}
  .strip {{ width: 6.5rem; }}
  .mark {{ padding: 0 0.3rem; }}
  .verdict, .strip, .mark {{ print-color-adjust: exact; -webkit-print-color-adjust: exact; }}
}}
"
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dossier::ink::{contrast, parse};

    #[test]
    fn every_pair_of_inks_passes() {
        let ratio = |a: &str, b: &str| contrast(parse(a).unwrap(), parse(b).unwrap());
        for paper in [PAPER, PANEL] {
            for text in [INK, SOFT, LINK, BEYOND] {
                assert!(
                    ratio(text, paper) >= 4.5,
                    "{text} on {paper}: {}",
                    ratio(text, paper)
                );
            }
            assert!(ratio(LINE, paper) >= 2.9, "{}", ratio(LINE, paper));
        }
        // Lines that have to be seen.
        assert!(ratio(LINE, PAPER) >= 3.0);
        // Against the bar that they cross.
        assert!(ratio(BEYOND, PAPER) >= 3.0);
        let sheet = sheet();
        assert!(!sheet.contains('<'));
        // Every colour of the sheet is one of those.
        for (at, _) in sheet.match_indices('#') {
            let colour = &sheet[at..at + 7];
            assert!(
                [INK, SOFT, LINE, PAPER, PANEL, LINK, BEYOND].contains(&colour),
                "{colour}"
            );
        }
    }
}
