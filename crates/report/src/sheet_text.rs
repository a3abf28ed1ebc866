//! The installation sheet for a terminal.

use giveway_site::sheet::InstallationSheet;

use crate::lines::Lines;
use crate::sheet_facts;

/// Widest line, characters.
const COLUMNS: usize = 96;
/// Width of names before their values, characters.
const NAMES: usize = 32;

/// The sheet as plain text of at most 96 columns. The drawings are on the page only.
pub fn installation_text(sheet: &InstallationSheet) -> String {
    let mut out = Lines::new(COLUMNS);
    out.text("", "  ", &format!("INSTALLATION SHEET: {}", sheet.title));
    for (name, value) in sheet_facts::block(sheet) {
        fact(&mut out, &name, &value);
    }
    for remark in &sheet.remarks {
        out.text("  ! Settle first: ", "    ", remark);
    }
    section(&mut out, "Slip bolts", &sheet_facts::bolts(sheet));
    section(&mut out, "Torque", &sheet_facts::clamp(sheet));
    section(&mut out, "Sling and lean", &sheet_facts::lift(sheet));
    for arm in &sheet.arms {
        if let Some(facts) = sheet_facts::arm(sheet, arm) {
            section(&mut out, &format!("Joint of arm {}", arm.number), &facts);
        }
    }
    let service = sheet_facts::service(sheet, true);
    section(&mut out, "Years of service", &service);
    out.heading("Keep clear");
    for c in &sheet.clearances {
        out.hanging("  [ ] ", &format!("{}: {}", c.requirement, c.limit));
    }
    out.heading("Sequence");
    for step in &sheet.steps {
        let indent = "          ";
        out.hanging(&format!("  [ ] {:>2}. ", step.number), &step.text);
        out.text("          Why: ", indent, &format!("{}.", step.why));
        out.text(
            "          If not: ",
            indent,
            &format!("{}.", step.otherwise),
        );
        if !step.blanks.is_empty() {
            let blanks: Vec<String> = (step.blanks.iter())
                .map(|b| format!("{b} ________"))
                .collect();
            out.text("          Read: ", indent, &blanks.join("  "));
        }
        if let Some(hold) = &step.hold {
            let text = format!("{hold} Signed: ____________");
            out.text("       >> HOLD POINT. ", indent, &text);
        }
    }
    out.heading("Limits and where they come from");
    for (source, limits) in sheet_facts::sources(sheet) {
        out.item(&format!("{source}: {limits}."));
    }
    out.blank();
    out.text("Caution: ", "  ", &sheet.caution);
    out.finish()
}

fn section(out: &mut Lines, name: &str, facts: &[(String, String)]) {
    out.heading(name);
    for (name, value) in facts {
        fact(out, name, value);
    }
}

fn fact(out: &mut Lines, name: &str, value: &str) {
    out.text(&format!("  {name:<NAMES$}"), &" ".repeat(NAMES + 2), value);
}
