//! The installation sheet as one printable page.

use giveway_site::sheet::{InstallationSheet, words};

use crate::ReportError;
use crate::printed::{Band, Column, Document, Fit, Part, Picture, Section, Step, drawing::Drawing};
use crate::sheet_section::{Measures, mm};
use crate::{sheet_chord, sheet_facts, sheet_plan, sheet_section};

/// The sheet as one self-contained HTML page that fits A4 and US Letter.
///
/// # Errors
/// A size in a drawing that is not a finite number.
pub fn installation_page(sheet: &InstallationSheet) -> Result<String, ReportError> {
    Ok(document(sheet)?.html())
}

/// What the crew should know before printing: that the page needs more than one sheet, or that its type is below 7 pt.
/// None where it is one page of A4 and of US Letter in legible type. Estimated from the content.
///
/// # Errors
/// A size in a drawing that is not a finite number.
pub fn installation_page_warning(sheet: &InstallationSheet) -> Result<Option<String>, ReportError> {
    Ok(warning(&document(sheet)?.fit()))
}

/// Smallest type that is read on site, pt (common practice, no source).
const LEGIBLE_PT: f64 = 7.0;

fn warning(fit: &Fit) -> Option<String> {
    if !fit.one_page {
        Some(format!(
            "the page needs more than one sheet: about {:.0} mm of height in type of {} pt",
            fit.height_mm, fit.type_pt
        ))
    } else if fit.type_pt < LEGIBLE_PT {
        Some(format!(
            "the page fits one sheet only in type of {} pt, below {LEGIBLE_PT} pt",
            fit.type_pt
        ))
    } else {
        None
    }
}

/// The page before it is written.
pub(crate) fn document(sheet: &InstallationSheet) -> Result<Document, ReportError> {
    let mut page = Document::new("Installation sheet", &sheet.title);
    page.facts = sheet_facts::block(sheet);
    page.caution.clone_from(&sheet.caution);
    if !sheet.remarks.is_empty() {
        let remarks = sheet
            .remarks
            .iter()
            .map(|text| Part::Notice("Settle first.".to_owned(), text.clone()))
            .collect();
        page.bands
            .push(Band::whole(vec![Section::new("", remarks)]));
    }
    page.bands.push(pictures(sheet)?);
    page.bands.push(numbers(sheet));
    if let Some(joints) = joints(sheet) {
        page.bands.push(Band::whole(vec![joints]));
    }
    let steps = sheet
        .steps
        .iter()
        .map(|s| Step {
            text: s.text.clone(),
            hold: s.hold.clone(),
        })
        .collect();
    page.bands.push(Band::whole(vec![Section::new(
        "Sequence",
        vec![Part::Steps(steps)],
    )]));
    // The limits themselves stand where they are needed.
    let sources = format!(
        "Sources of the limits. {}",
        sheet_facts::short_sources(sheet)
    );
    page.bands.push(Band::whole(vec![Section::new(
        "",
        vec![Part::Text(sources)],
    )]));
    page.signatures = vec!["Installed by".to_owned(), "Checked by".to_owned()];
    Ok(page)
}

pub(crate) fn measures(sheet: &InstallationSheet) -> Measures {
    let design = &sheet.design;
    Measures {
        bolt_length_m: sheet.bolts.length_m,
        thread_length_m: sheet.bolts.thread_m,
        grout_clear_m: design.grout_clear_m,
        stub_limit_m: design.stub_limit_m,
        chord_m: design.chord_m,
        slip_plane_height_m: design.slip_plane_height_m,
    }
}

fn pictures(sheet: &InstallationSheet) -> Result<Band, ReportError> {
    let design = &sheet.design;
    let base = &design.base;
    let m = measures(sheet);
    let (section, n) = sheet_section::draw(base, &m);
    let title = format!("Through one bolt, 1 : {n}. To the right the notches are open.");
    let section = finished(section, "section", &title, &section_in_words(sheet))?;
    let (plan, n) = sheet_plan::draw(base, &design.pole, &design.arms);
    let title = format!("Lower plate from above, 1 : {n}");
    let plan = finished(plan, "plan", &title, &plan_in_words(sheet))?;
    let thickness = [base.lower_plate_m, base.upper_plate_m];
    let pole = design.pole.base_diameter_m;
    let (chord, n) = sheet_chord::draw(&m, base.plate_radius_m, thickness, pole);
    let title = format!("Height of the lower plate, 1 : {n}");
    let words = format!(
        "A straight edge of {:.1} m lies on the ground across the base; the top of the lower plate is at most {} above it.",
        m.chord_m,
        mm(m.stub_limit_m)
    );
    let chord = finished(chord, "height", &title, &words)?;
    let shown = |pictures: Vec<Picture>| {
        Section::new("", pictures.into_iter().map(Part::Picture).collect())
    };
    let keep = sheet
        .clearances
        .iter()
        .map(|c| format!("{}: {}", c.requirement, c.limit))
        .collect();
    let keep = Section::new("Keep clear", vec![Part::TickGrid(2, keep)]);
    Ok(Band {
        columns: vec![
            Column {
                share: 115.0,
                sections: vec![shown(vec![section]), keep],
            },
            Column {
                share: 70.0,
                sections: vec![shown(vec![plan, chord])],
            },
        ],
    })
}

fn finished(
    drawing: Drawing,
    name: &str,
    title: &str,
    words: &str,
) -> Result<Picture, ReportError> {
    if drawing.is_finite() {
        Ok(drawing.picture(title, words))
    } else {
        Err(ReportError::NotFinite {
            figure: name.to_owned(),
            what: "a size".to_owned(),
        })
    }
}

fn section_in_words(sheet: &InstallationSheet) -> String {
    let base = &sheet.design.base;
    let keeper = base
        .keeper
        .as_ref()
        .map_or(String::new(), |k| format!("keeper {}, ", mm(k.thickness_m)));
    format!(
        "From below: grout or foundation at least {} under the bolt head; bolt head down; plate washer {}; lower plate {}; \
         round washer {}; {keeper}upper plate {}; plate washer {}; nut; {} of thread beyond the nut. The bolt is {} long \
         under its head. The top of the lower plate is {} above the ground as designed and at most {} over a chord of {:.1} m.",
        mm(sheet.design.grout_clear_m),
        mm(base.plate_washer_m),
        mm(base.lower_plate_m),
        mm(base.round_washer_m),
        mm(base.upper_plate_m),
        mm(base.plate_washer_m),
        mm(sheet.bolts.protrusion_m),
        mm(sheet.bolts.length_m),
        mm(sheet.design.slip_plane_height_m),
        mm(sheet.design.stub_limit_m),
        sheet.design.chord_m,
    )
}

fn plan_in_words(sheet: &InstallationSheet) -> String {
    let base = &sheet.design.base;
    let arms: Vec<String> = sheet
        .design
        .arms
        .iter()
        .map(|a| words::direction(a.azimuth_rad))
        .collect();
    let arms = if arms.is_empty() {
        "There is no arm.".to_owned()
    } else {
        format!("The arm points {}.", words::listed(&arms))
    };
    format!(
        "{} bolts on a circle of {}, numbered anticlockwise, bolt 1 {}. Each sits in a notch of {:.0} degrees that opens \
         outwards, with {} of free travel. Traffic goes to the right. {arms}",
        base.bolt_count,
        mm(base.bolt_circle_m),
        words::direction(base.first_bolt_azimuth_rad),
        2.0 * base.notch_half_angle_rad.to_degrees(),
        mm(base.notch_travel_m),
    )
}

fn numbers(sheet: &InstallationSheet) -> Band {
    let one = |heading: &str, facts| Section::new(heading, vec![Part::Facts(facts)]);
    let column = |sections| Column {
        share: 1.0,
        sections,
    };
    Band {
        columns: vec![
            column(vec![one("Slip bolts", sheet_facts::bolts(sheet))]),
            column(vec![one("Torque and clamp", sheet_facts::clamp(sheet))]),
            column(vec![one("Sling, lines, lean", sheet_facts::lift(sheet))]),
        ],
    }
}

/// The arms' joints; none where there is no arm.
fn joints(sheet: &InstallationSheet) -> Option<Section> {
    let joints: Vec<Part> = sheet
        .arms
        .iter()
        .filter_map(|arm| sheet_facts::arm(sheet, arm).map(|facts| (arm.number, facts)))
        .map(|(number, facts)| {
            let facts: Vec<String> = facts
                .iter()
                .map(|(name, value)| format!("{name} {value}"))
                .collect();
            Part::Notice(
                format!("Joint of arm {number}."),
                format!("{}.", facts.join("; ")),
            )
        })
        .collect();
    (!joints.is_empty()).then(|| Section::new("", joints))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_that_is_too_full_or_too_small_is_told() {
        let fit = |type_pt, height_mm, one_page| Fit {
            type_pt,
            height_mm,
            one_page,
        };
        assert_eq!(warning(&fit(7.0, 250.0, true)), None);
        assert_eq!(
            warning(&fit(6.75, 250.0, true)).as_deref(),
            Some("the page fits one sheet only in type of 6.75 pt, below 7 pt")
        );
        assert_eq!(
            warning(&fit(6.5, 301.4, false)).as_deref(),
            Some("the page needs more than one sheet: about 301 mm of height in type of 6.5 pt")
        );
    }
}
