//! Printed pages: well-formed, escaped, with named parts, and honest about the room they take.

mod markup;

use giveway_report::printed::*;
use markup::well_formed;

/// A page with every kind of part, and hostile text in all of them.
fn page(rows: usize) -> Document {
    let evil = "<script>alert(\"1\") & 'x'</script>";
    let table = Table {
        caption: format!("Items {evil}"),
        columns: vec![
            Head::left("Item", 3.0),
            Head::left("Requirement, with its source", 4.0),
            Head::right("Measured", 1.5),
            Head::left("Verdict", 2.0),
        ],
        rows: (0..rows)
            .map(|i| Row {
                head: format!("item {i} {evil}"),
                cells: vec![
                    Cell::text("at least 13 mm clear; common practice, no source"),
                    Cell::text("-22 mm"),
                    match i % 5 {
                        0 => Cell::verdict(Mark::Meets, "meets"),
                        1 => Cell::verdict(Mark::Near, "marginal"),
                        2 => Cell::verdict(Mark::Fails, "does not meet"),
                        3 => Cell::verdict(Mark::Open, "not measured"),
                        _ => Cell::Blank,
                    },
                ],
            })
            .collect(),
    };
    let mut page = Document::new("Inspection report", &format!("Pole HV-017 {evil}"));
    page.facts = vec![("Date".into(), evil.into()), ("By".into(), "N. N.".into())];
    page.verdict = Some(Verdict::new(Mark::Fails, "NO GO", evil));
    page.bands = vec![
        Band::whole(vec![Section::new("Items", vec![Part::Table(table)])]),
        Band {
            columns: vec![
                Column {
                    share: 1.0,
                    sections: vec![Section::new(
                        evil,
                        vec![
                            Part::Text(evil.into()),
                            Part::Notice("Mind.".into(), evil.into()),
                            Part::List(vec![evil.into()]),
                            Part::Facts(vec![(evil.into(), "1.0 kN".into())]),
                        ],
                    )],
                },
                Column {
                    share: 1.5,
                    sections: vec![Section::new(
                        "Steps",
                        vec![
                            Part::Steps(vec![Step {
                                text: evil.into(),
                                hold: Some(evil.into()),
                                ..Step::default()
                            }]),
                            Part::Picture(Picture {
                                title: evil.into(),
                                description: evil.into(),
                                width: 100.0,
                                height: 20.0,
                                body: "<path d=\"M0 0L100 20\" stroke=\"#000\"/>".into(),
                                width_mm: 60.0,
                            }),
                        ],
                    )],
                },
            ],
        },
    ];
    page.signatures = vec!["Inspector".into(), evil.into()];
    page.caution = evil.into();
    page
}

#[test]
fn a_page_is_well_formed_and_hostile_text_stays_text() {
    let html = page(12).html();
    let elements = well_formed(&html).expect("well-formed");
    assert!(elements > 100, "{elements}");
    assert!(!html.contains("<script"), "markup got through");
    assert!(html.contains("&lt;script&gt;alert(&quot;1&quot;) &amp; &#39;x&#39;&lt;/script&gt;"));
    assert!(html.contains("<html lang=\"en\">"));
    // Nothing from outside.
    assert!(!html.contains("src=") && !html.contains("href=") && !html.contains("url("));
    // "http" alone would also find the `http-equiv` of the policy in the head.
    assert!(html.contains("<meta http-equiv=\"Content-Security-Policy\""));
    let addresses: Vec<&str> = html.split("://").skip(1).collect();
    assert_eq!(addresses.len(), 1, "{addresses:?}");
    assert!(
        addresses[0].starts_with("www.w3.org/2000/svg"),
        "only the name space of SVG"
    );
}

#[test]
fn tables_and_pictures_name_their_parts() {
    let html = page(3).html();
    assert_eq!(html.matches("scope=\"col\"").count(), 4);
    assert_eq!(html.matches("scope=\"row\"").count(), 3);
    assert!(html.contains("<caption>Items"));
    assert!(html.contains("role=\"img\" aria-labelledby=\"picture1-title picture1-text\""));
    assert!(html.contains("<title id=\"picture1-title\">"));
    assert!(html.contains("<desc id=\"picture1-text\">"));
    assert_eq!(html.matches("<h1>").count(), 1);
}

#[test]
fn more_rows_make_smaller_type_until_the_page_is_full() {
    let fits = [1, 10, 20, 100].map(|n| page(n).fit());
    assert!(
        fits.windows(2).all(|w| w[1].type_pt <= w[0].type_pt),
        "{fits:?}"
    );
    assert!(fits[0].one_page && !fits[3].one_page, "{fits:?}");
}

#[test]
fn an_endless_title_is_cut() {
    let html = Document::new("Sheet", &"long ".repeat(1000)).html();
    assert!(html.len() < 8000, "{}", html.len());
    assert!(html.contains('\u{2026}'));
}
