//! The installation sheet as one printable page.

use giveway_draw::DrawError;
use giveway_site::sheet::words::Say;
use giveway_site::sheet::{InstallationSheet, words};

use crate::ReportError;
use crate::printed::WIDTH_MM;
use crate::printed::drawing::ENLARGED;
use crate::printed::{Band, Column, Document, Fit, Part, Picture, Section, Step, drawing::Drawing};
use crate::sheet_section::Measures;
use crate::{sheet_chord, sheet_facts, sheet_plan, sheet_section};

/// The sheet as one self-contained HTML page that fits A4 and US Letter.
///
/// # Errors
/// A size in a drawing that is not a finite number.
pub fn installation_page(sheet: &InstallationSheet) -> Result<String, ReportError> {
    Ok(document(sheet)?.html())
}

/// Sheets of paper that the page may take, front and back of one leaf.
const SHEETS: usize = 2;
/// Smallest type that is read on a board at arm's length, pt (common practice, no source).
const LEGIBLE_PT: f64 = 10.0;

/// What the crew should know before printing: that the page needs more than two sheets in type of 10 pt. None where it is at
/// most two of A4 and of US Letter. Estimated from the content.
///
/// # Errors
/// A size in a drawing that is not a finite number.
pub fn installation_page_warning(sheet: &InstallationSheet) -> Result<Option<String>, ReportError> {
    Ok(warning(&document(sheet)?.fit()))
}

fn warning(fit: &Fit) -> Option<String> {
    (!fit.one_page).then(|| {
        format!(
            "the page needs more than two sheets: about {:.0} mm of height in type of {} pt",
            fit.height_mm, fit.type_pt
        )
    })
}

/// The page before it is written.
pub(crate) fn document(sheet: &InstallationSheet) -> Result<Document, ReportError> {
    let mut page = Document::new("Installation sheet", &sheet.title);
    page.sheets = SHEETS;
    page.least_pt = LEGIBLE_PT;
    page.facts = sheet_facts::block(sheet);
    page.caution.clone_from(&sheet.caution);
    if !sheet.remarks.is_empty() {
        let first = |text: &String| Part::Notice("Settle first.".to_owned(), text.clone());
        let remarks = sheet.remarks.iter().map(first).collect();
        page.bands
            .push(Band::whole(vec![Section::new("", remarks)]));
    }
    page.bands.extend(pictures(sheet)?);
    let steps = (sheet.steps.iter())
        .map(|s| Step {
            text: s.text.clone(),
            notes: vec![
                ("Why".to_owned(), format!("{}.", s.why)),
                ("If not".to_owned(), format!("{}.", s.otherwise)),
            ],
            blanks: s.blanks.clone(),
            hold: s.hold.clone(),
        })
        .collect();
    let sequence = Section::one("Sequence", Part::Steps(steps));
    page.bands.push(Band::whole(vec![sequence]));
    let service: Vec<String> = sheet_facts::service(sheet, false)
        .iter()
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    let service = format!("Years of service. {}.", service.join("; "));
    let service = Section::one("", Part::Text(service));
    page.bands.push(Band::whole(vec![service]));
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
        say: Say(sheet.system()),
    }
}

fn pictures(sheet: &InstallationSheet) -> Result<[Band; 2], ReportError> {
    let say = Say(sheet.system());
    let design = &sheet.design;
    let base = &design.base;
    let m = measures(sheet);
    let (section, n) = sheet_section::draw(base, &m);
    let title = format!("Through one bolt, 1 : {n}. To the right the notches are open.");
    let section = finished(section, "section", &title, &section_in_words(sheet))?;
    let (plan, n) = sheet_plan::draw(base, &design.pole, &design.arms, say);
    let title = format!("Lower plate from above, 1 : {n}");
    let plan = finished(plan, "plan", &title, &plan_in_words(sheet))?;
    let thickness = [base.lower_plate_m, base.upper_plate_m];
    let pole = design.pole.base_diameter_m;
    let (chord, n) = sheet_chord::draw(&m, base.plate_radius_m, thickness, pole);
    let title = format!("Height of the lower plate, 1 : {n}");
    let words = format!(
        "A straight edge of {} lies on the ground across the base; the top of the lower plate is at most {} above it.",
        say.long(m.chord_m),
        say.fine(m.stub_limit_m)
    );
    let chord = finished(chord, "height", &title, &words)?;
    let shown = |pictures: Vec<Picture>| {
        Section::new("", pictures.into_iter().map(Part::Picture).collect())
    };
    let one = |heading: &str, facts| Section::new(heading, vec![Part::Facts(facts)]);
    let parts = one("Parts", sheet_facts::bolts(sheet));
    let tight = one("Torque", sheet_facts::clamp(sheet));
    Ok([
        Band::whole(vec![shown(vec![section])]),
        Band {
            columns: vec![
                Column {
                    share: ENLARGED * sheet_plan::WIDTH,
                    sections: vec![shown(vec![plan])],
                },
                Column {
                    share: WIDTH_MM - ENLARGED * sheet_plan::WIDTH - 5.0,
                    sections: vec![shown(vec![chord]), parts, tight],
                },
            ],
        },
    ])
}

fn finished(
    drawing: Drawing,
    name: &str,
    title: &str,
    words: &str,
) -> Result<Picture, ReportError> {
    if drawing.is_finite() {
        return Ok(drawing.picture(title, words));
    }
    let (figure, what) = (name.to_owned(), "a size".to_owned());
    Err(DrawError::NotFinite { figure, what }.into())
}

fn section_in_words(sheet: &InstallationSheet) -> String {
    let say = Say(sheet.system());
    let base = &sheet.design.base;
    let keeper = base.keeper.as_ref();
    let keeper = keeper.map(|k| format!("keeper {}, ", say.fine(k.thickness_m)));
    let keeper = keeper.unwrap_or_default();
    format!(
        "From below: grout or foundation at least {} under the bolt head; bolt head down; plate washer {}; lower plate {}; \
         round washer {}; {keeper}upper plate {}; plate washer {}; nut; {} of thread beyond the nut. The bolt is {} long \
         under its head. The top of the lower plate is {} above the ground as designed and at most {} over a chord of {}.",
        say.fine(sheet.design.grout_clear_m),
        say.fine(base.plate_washer_m),
        say.fine(base.lower_plate_m),
        say.fine(base.round_washer_m),
        say.fine(base.upper_plate_m),
        say.fine(base.plate_washer_m),
        say.length(sheet.bolts.protrusion_m),
        say.length(sheet.bolts.length_m),
        say.length(sheet.design.slip_plane_height_m),
        say.fine(sheet.design.stub_limit_m),
        say.long(sheet.design.chord_m),
    )
}

fn plan_in_words(sheet: &InstallationSheet) -> String {
    let say = Say(sheet.system());
    let base = &sheet.design.base;
    let arms: Vec<String> = (sheet.design.arms.iter())
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
        say.length(base.bolt_circle_m),
        words::direction(base.first_bolt_azimuth_rad),
        2.0 * base.notch_half_angle_rad.to_degrees(),
        say.fine(base.notch_travel_m),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_that_is_too_full_is_told() {
        let fit = |type_pt, height_mm, one_page| Fit {
            type_pt,
            height_mm,
            one_page,
        };
        assert_eq!(warning(&fit(10.0, 500.0, true)), None);
        assert_eq!(
            warning(&fit(10.0, 601.4, false)).as_deref(),
            Some("the page needs more than two sheets: about 601 mm of height in type of 10 pt")
        );
    }
}
