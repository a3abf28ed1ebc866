//! One page for every code of a site record's diagnostic.

giveway_scenario::code_pages! {
    "R001": "not TOML", "The record breaks the rules of TOML at this place: a quote is missing, a bracket is not closed, a line is not `key = value`.", "grout_gap = 20 mm", "grout_gap = \"20 mm\"";
    "R002": "empty record", "The file holds no key at all (or the list holds no pole). A record needs at least the pole, the date and the type.", "# nothing here", "pole = \"HV-0101\"\ndate = 2025-09-12\ntype = \"types/verge.toml\"";
    "R003": "given twice", "A key, a section or a column is given twice; which one counts would be a guess.", "rust = \"none\"\nrust = \"light\"", "rust = \"light\"";
    "R010": "unknown item", "This is no item that can be measured, or no key of a record. The message names the nearest one; the requirements list them all.", "[measured]\ngrout_gab = \"20 mm\"", "[measured]\ngrout_gap = \"20 mm\"";
    "R011": "missing key", "A record says which pole it is about, when it was looked at, and where the scenario of its type lies.", "pole = \"HV-0101\"", "pole = \"HV-0101\"\ndate = 2025-09-12\ntype = \"types/verge.toml\"";
    "R012": "wrong kind of value", "Measured items are texts in quotes: a quantity with its unit, a word, or \"not measured\".", "[measured]\nrust = true", "[measured]\nrust = \"light\"";
    "R013": "not one of the words", "The item takes the words that the message lists.", "[measured]\nrust = \"a little\"", "[measured]\nrust = \"light\"";
    "R014": "no such date", "A date is year, month and day of the calendar, and lies not after the inspection.", "date = \"12.9.2025\"", "date = 2025-09-12";
    "R020": "missing unit", "A measured quantity is a text with its unit. A bare number is never read, because millimetres and inches look alike.", "[measured]\ngrout_gap = 20", "[measured]\ngrout_gap = \"20 mm\"";
    "R021": "unknown unit", "The unit is not known. The message names the likely one.", "[measured]\ntorque = \"180 Nn\"", "[measured]\ntorque = \"180 N.m\"";
    "R022": "wrong dimension", "The unit is known but measures something else.", "[measured]\ntorque = \"180 mm\"", "[measured]\ntorque = \"180 N.m\"";
    "R023": "not a number", "A quantity begins with a finite number: `30`, `1.5`, `1-1/8`. The decimal sign is a point.", "[measured]\nplate_washer_thickness = \"7,5 mm\"", "[measured]\nplate_washer_thickness = \"7.5 mm\"";
    "R030": "not possible", "The value lies outside what is physically possible or what the program takes, or contradicts the pole's type.", "[measured]\nplate_height = \"75 m\"", "[measured]\nplate_height = \"75 mm\"";
    "R031": "too many or too few values", "Several values divided by `;` are taken where a thing may be there several times (bars) or each bolt has its own (torque: one value, or one for each bolt). Details of bars stand in the same order as the bars.", "[measured]\ngrout_gap = \"20 mm; 15 mm\"", "[measured]\ngrout_gap = \"15 mm\"";
    "R032": "detail without its finding", "A detail says more about a finding. Without the finding it says nothing.", "[measured]\ngrout_strength = \"30 MPa\"", "[measured]\ngrout_gap = \"-10 mm\"\ngrout_strength = \"30 MPa\"";
    "R040": "the type cannot be read", "The scenario of the pole's type is named by a path from the record's folder. There is no such file, or it cannot be read.", "type = \"types/nowhere.toml\"", "type = \"types/verge.toml\"";
    "R041": "the type is no scenario", "The scenario of the pole's type has errors of its own; `giveway check` shows them.", "type = \"record.toml\"", "type = \"types/verge.toml\"";
    "R042": "the type is no design of a slip base", "A type describes a slip base as designed: its anchorage is `slip`, and it holds no `[as_found]` of its own, because the record says what was found.", "[slip_base]\nanchorage = \"fixed\"", "[slip_base]\nanchorage = \"slip\"";
    "R060": "unknown column", "The first row of a list of poles names its columns: `pole`, `type`, `date`, then if wanted `inspector`, `place` and measured items. A column that is not known would lose its values without a word, so nothing of the list is read.", "pole,type,date,torqe", "pole,type,date,torque";
    "R061": "row of another length", "A row has as many cells as the first row; a cell that holds a comma stands in quotes.", "HV-0101,types/verge.toml,2025-09-12,20 mm,", "HV-0101,types/verge.toml,2025-09-12,20 mm";
    "R062": "quotes", "A cell in quotes ends with a quote; a quote inside it is doubled.", "HV-0101,\"types/verge.toml,2025-09-12", "HV-0101,\"types/verge.toml\",2025-09-12";
    "R063": "not UTF-8", "Records and lists are UTF-8 text. A list saved by a spreadsheet as \"Unicode text\" or in an older encoding must be saved again as \"CSV UTF-8\".", "# (another encoding)", "# (UTF-8)";
    "R070": "two records of one pole on one day", "Which of the two counts would be a guess. The first one is kept.", "HV-0101,types/verge.toml,2025-09-12\nHV-0101,types/verge.toml,2025-09-12", "HV-0101,types/verge.toml,2025-09-12\nHV-0102,types/verge.toml,2025-09-12";
    "R080": "not a profile", "An agency's profile is TOML with a name, a revision and what it sets: limits, torques by size of pole, documents, units. docs/profile.md lists the keys.", "revision = \"2026-03\"", "name = \"Harrow Vale road works\"\nrevision = \"2026-03\"";
    "R081": "unknown key of a profile", "A key that is not known would be without effect and without a word; the message names the likely one.", "[limits]\ngrout_gab = \"1/2 in\"", "[limits]\ngrout_gap = \"1/2 in\"";
    "R082": "value of a profile", "Limits are quantities with their unit, one for both systems or two divided by `;`. They are not below zero.", "[limits]\ngrout_gap = 13", "[limits]\ngrout_gap = \"13 mm; 1/2 in\"";
    "R501": "superseded", "There is a younger record of the same pole; this one is left out.", "HV-0101,types/verge.toml,2024-09-12\nHV-0101,types/verge.toml,2025-09-12", "HV-0101,types/verge.toml,2025-09-12";
    "R502": "unusual value", "The value is possible but lies outside the usual range.", "[measured]\ntorque = \"1100 N.m\"", "[measured]\ntorque = \"180 N.m\"";
    "R503": "unlikely date", "The inspection is dated before 1950 or after 2100: a slip of the pen, most likely. The program has no clock and cannot tell whether a day is still to come.", "date = 2205-09-12", "date = 2025-09-12";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_other_code_has_a_page() {
        assert!(explain("R999").is_none() && explain("S001").is_none());
    }
}
