//! The style sheet of a printed page. Sizes are in rem, so that one number, the type size, moves everything.

use super::escape::harmless;

/// Ink of text and lines.
pub const INK: &str = "#1b2127";
/// Secondary text.
pub const SOFT: &str = "#4a545e";
/// Hairlines.
pub const HAIR: &str = "#8b949c";

/// Width that the page is laid out for, mm: A4 with margins of 10 mm at the sides.
pub const WIDTH_MM: f64 = 190.0;
/// Height that A4 and US Letter share, mm: Letter with margins of 8 mm, less a rest for rounding.
pub const HEIGHT_MM: f64 = 260.0;

/// Line height of running text, rem.
pub const LINE: f64 = 1.2;
/// Space between columns, rem.
pub const GUTTER: f64 = 1.4;

/// The style sheet for type of `size_pt`. It holds no `<` and no `&`, so it is also good XML. A page of several sheets
/// repeats its `title` at the foot of each, where the browser knows how.
pub fn sheet(size_pt: f64, several: Option<&str>) -> String {
    // On several sheets a section may go over the edge, a step may not.
    let (whole, foot) = match several {
        None => ("section, ", String::new()),
        Some(title) => (
            "",
            format!(
                "@page {{ @bottom-left {{ content: \"{}\"; {FOOT} }}\n  \
                 @bottom-right {{ content: counter(page) \" of \" counter(pages); {FOOT} }} }}\n",
                quoted(title)
            ),
        ),
    };
    format!(
        "\
@page {{ margin: 8mm 10mm; }}
{foot}\
html {{ font-size: {size_pt}pt; -webkit-text-size-adjust: 100%; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0 auto; max-width: {WIDTH_MM}mm; color: {INK}; background: #ffffff;
  font-family: Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif; line-height: {LINE}; }}
h1, h2, p, ul, ol, dl, figure, table {{ margin: 0; padding: 0; }}
header {{ border-bottom: 0.18rem solid {INK}; padding-bottom: 0.35rem; margin-bottom: 0.5rem; }}
.kind {{ font-size: 0.95rem; letter-spacing: 0.04em; color: {SOFT}; }}
h1 {{ font-size: 1.35rem; line-height: 1.2; overflow-wrap: anywhere; }}
h2 {{ font-size: 1.05rem; line-height: 1.25; border-bottom: 0.06rem solid {INK}; margin-bottom: 0.25rem; }}
section {{ margin-bottom: 0.55rem; overflow-wrap: anywhere; }}
.band {{ display: grid; column-gap: {GUTTER}rem; align-items: start; }}
.band div {{ min-width: 0; }}
.block {{ display: flex; flex-wrap: wrap; column-gap: 1.4rem; margin-top: 0.25rem; }}
.block div {{ display: flex; column-gap: 0.4rem; }}
dt {{ color: {SOFT}; }}
dd {{ margin: 0; font-weight: bold; overflow-wrap: anywhere; }}
.facts {{ display: flex; flex-wrap: wrap; column-gap: 0.6rem; }}
.facts dd {{ text-align: right; margin-left: auto; }}
section p {{ margin-bottom: 0.2rem; }}
.notice {{ border-left: 0.3rem solid {INK}; padding-left: 0.5rem; }}
ul.points {{ padding-left: 1.1rem; }}
ol.steps {{ list-style: none; }}
ol.steps li {{ display: grid; grid-template-columns: 1.4rem 1fr; margin-bottom: 0.12rem; }}
ol.steps li {{ grid-template-columns: 1.4rem 1.9rem 1fr; }}
.number {{ white-space: nowrap; font-weight: bold; text-align: right; padding-right: 0.45rem; }}
.box {{ width: 0.85rem; height: 0.85rem; margin-top: 0.18rem; border: 0.08rem solid {INK}; }}
.hold {{ display: block; border: 0.12rem solid {INK}; padding: 0.08rem 0.35rem; margin-top: 0.08rem; }}
.note {{ color: {SOFT}; }}
.blanks {{ display: flex; flex-wrap: wrap; column-gap: 1.2rem; line-height: 1.5; }}
.blanks .pen {{ min-width: 5rem; }}
.pen {{ display: inline-block; border-bottom: 0.06rem solid {INK}; min-width: 7rem; height: 1rem; }}
table {{ width: 100%; border-collapse: collapse; table-layout: fixed; }}
caption {{ text-align: left; color: {SOFT}; }}
th, td {{ text-align: left; vertical-align: top; padding: 0.1rem 0.4rem 0.1rem 0; font-weight: normal; }}
tr {{ border-bottom: 0.05rem solid {HAIR}; }}
thead th {{ font-weight: bold; border-bottom: 0.09rem solid {INK}; }}
th.right, td.right {{ text-align: right; font-variant-numeric: tabular-nums; }}
.mark {{ display: inline-block; padding: 0 0.3rem; }}
.meets {{ border: 0.06rem solid {INK}; }}
.near {{ border: 0.12rem dashed {INK}; }}
.fails {{ border: 0.24rem double {INK}; font-weight: bold; }}
.open {{ border: 0.12rem dotted {INK}; font-style: italic; }}
.verdict {{ margin-bottom: 0.5rem; }}
.verdict .mark {{ font-size: 1.2rem; font-weight: bold; margin-right: 0.5rem; }}
figure {{ margin: 0 auto; }}
figure svg {{ display: block; width: 100%; height: auto; }}
figcaption {{ color: {SOFT}; }}
.signs {{ display: grid; grid-template-columns: 1fr 1fr; column-gap: {GUTTER}rem; margin-top: 0.3rem; }}
.signs p {{ display: flex; align-items: flex-end; column-gap: 0.4rem; height: 1.9rem; }}
.signs .pen {{ flex: 1; min-width: 4rem; }}
footer {{ border-top: 0.09rem solid {INK}; padding-top: 0.3rem; margin-top: 0.3rem; }}
@media screen {{ html {{ font-size: 10.5pt; }} body {{ padding: 8mm 4mm; }} }}
@media screen and (max-width: 40rem) {{ .band, .signs {{ display: block; }} }}
@media print {{ {whole}tr, figure, li {{ break-inside: avoid; }} h2, thead {{ break-after: avoid; }} }}
"
    )
}

/// How the foot of a sheet is set: inside the margin, so that it takes no room from the page.
const FOOT: &str =
    "font: 8pt Arial, 'DejaVu Sans', sans-serif; vertical-align: top; white-space: nowrap";

/// A text inside the quotes of a style sheet: all but letters, digits and plain marks as numbers of their characters.
fn quoted(text: &str) -> String {
    text.chars()
        .map(harmless)
        .map(|c| match c {
            _ if c.is_alphanumeric() || " -_,.:;()/".contains(c) => c.to_string(),
            _ => format!("\\{:x} ", u32::from(c)),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A title at the foot of every sheet cannot end its quotes, its rule or the style sheet.
    #[test]
    fn a_title_in_the_style_sheet_stays_text() {
        let text = sheet(9.0, Some("</style>\"; } * { x\\\n\u{202e}Pole 7"));
        let wanted = r#"content: "\3c /style\3e \22 ; \7d  \2a  \7b  x\5c  \fffd Pole 7";"#;
        assert!(text.contains(wanted), "{text}");
        assert!(!text.contains('<') && !text.contains('&'));
        assert!(!sheet(9.0, None).contains("@bottom"));
    }
}
