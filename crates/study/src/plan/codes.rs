//! One page for every code of a study file's diagnostic.

giveway_scenario::code_pages! {
    "T001": "not TOML", "The study file breaks the rules of TOML at this place: a quote is missing, a bracket is not closed, a line is not `key = value`. A path with a bracket stands in quotes.", "[grid]\nsupport.arm[1].reach = [\"2 m\"]", "[grid]\n\"support.arm[1].reach\" = [\"2 m\"]";
    "T002": "empty study", "The file holds no key at all. A study names at least its base scenario.", "# nothing here", "base = \"../first.toml\"\n[grid]\nslip_base.clamp.torque = [\"90 N.m\", \"180 N.m\"]";
    "T003": "given twice", "A key or a section is given twice; which one counts would be a guess.", "seed = 1\nseed = 2", "seed = 2";
    "T010": "unknown key", "This is no key of a study file at this place. The message lists the keys and the nearest one.", "bse = \"../first.toml\"", "base = \"../first.toml\"";
    "T011": "missing key", "The study cannot be run without this key.", "[sample]\ncount = 64", "[sample]\ncount = 64\nstandard = [\"nut-factor\"]";
    "T012": "wrong kind of value", "The value is of another kind than wanted: a text where a list is wanted, and so on.", "[grid]\nslip_base.clamp.torque = \"150 N.m\"", "[grid]\nslip_base.clamp.torque = [\"90 N.m\", \"150 N.m\"]";
    "T013": "not one of the choices", "The value must be one of the names that the message lists.", "[sample]\nmethod = \"sobel\"", "[sample]\nmethod = \"sobol\"";
    "T014": "character that cannot be seen", "A title stands in headings and on terminals, where a control character, or one that turns the direction of the writing, could make it read as something else.", "title = \"Torque\\u001b[1m\"", "title = \"Torque\"";
    "T020": "range", "A range runs upward from `from` to `to` in `steps` values, two or more; both ends count. With `spacing = \"ratio\"` each value is the same multiple of the one before, and both ends are above zero.", "slip_base.clamp.torque = { from = \"400 N.m\", to = \"50 N.m\", steps = 8 }", "slip_base.clamp.torque = { from = \"50 N.m\", to = \"400 N.m\", steps = 8 }";
    "T021": "distribution", "The parameters of a distribution are quantities with their units, finite and in order, and the values that it can give are possible for the path.", "slip_base.clamp.nut_factor = { uniform = { low = 0.3, high = 0.1 } }", "slip_base.clamp.nut_factor = { uniform = { low = 0.1, high = 0.3 } }";
    "T022": "cannot be drawn", "Only numbers can be drawn from uniform, normal, lognormal and triangular distributions; words, flags, whole numbers and lists from `discrete`. A factor or a shift acts on a value that the scenario has: a number, or the forces of a crush law.", "vehicle.class = { uniform = { low = 0, high = 1 } }", "vehicle.class = { discrete = { values = [\"small-car-820\", \"small-car-1100\"] } }";
    "T023": "number of samples", "A sample has at least one point, and at most as many as its method takes.", "[sample]\ncount = 0", "[sample]\ncount = 256";
    "T030": "base cannot be read", "The base scenario is named by a path from the study file's folder. There is no such file, or it cannot be read.", "base = \"nowhere.toml\"", "base = \"../first.toml\"";
    "T031": "base is no scenario", "The base scenario has errors of its own; `giveway check` shows them with their lines.", "base = \"broken.toml\"", "base = \"../first.toml\"";
    "T032": "base holds findings", "The levels of `[[condition]]` say what is found on site; a base scenario that says so too would mix the two. Take its `[as_found]` out, or make it a level.", "# base with [as_found]", "# base without [as_found]";
    "T040": "no effect", "Changing this path leaves the resolved scenario as it is: the path is only an ingredient of values that the file gives, or another value takes its place, or it is a title. A study that sweeps it would compute the same run again and again.", "# base with a preload\n[grid]\nslip_base.clamp.nut_factor = [0.15, 0.20]", "# base with a torque\n[grid]\nslip_base.clamp.nut_factor = [0.15, 0.20]";
    "T041": "the same twice", "Two values of a list, two levels or two files give the very same scenario.", "slip_base.clamp.torque = [\"150 N.m\", \"0.15 kN.m\"]", "slip_base.clamp.torque = [\"150 N.m\", \"180 N.m\"]";
    "T042": "path set in two places", "A path (or a section and a key in it) is set in two places of the study; the later one would hide the other.", "[set]\nimpact.speed = \"50 km/h\"\n[grid]\nimpact.speed = [\"30 km/h\", \"60 km/h\"]", "[grid]\nimpact.speed = [\"30 km/h\", \"60 km/h\"]";
    "T050": "too many runs", "Files, conditions, grid and sample multiply. The message shows by how much; a sample covers many dimensions with far fewer runs than a grid.", "slip_base.clamp.torque = { from = \"50 N.m\", to = \"400 N.m\", steps = 100000 }", "slip_base.clamp.torque = { from = \"50 N.m\", to = \"400 N.m\", steps = 36 }";
    "T051": "another plan", "The plan was asked for by its hash, so that its values need not be tried again, and this plan has another one: the study file, a base scenario, a change of the command line, or the program is not the one that the hash was made with.", "giveway study study.toml --plan-hash 00ff", "giveway study study.toml --plan-json";
    "T060": "unknown column", "The output has no column of this name. The page on studies lists them.", "[output]\ncolumns = [\"velocity_change\"]", "[output]\ncolumns = [\"velocity_change_mps\"]";
    "T501": "unusual value", "The value is possible but lies outside the usual range of its path.", "slip_base.clamp.torque = [\"2000 N.m\"]", "slip_base.clamp.torque = [\"200 N.m\"]";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_sorted_unique_and_explained() {
        let codes = all_codes();
        assert!(codes.windows(2).all(|c| c[0] < c[1]), "{codes:?}");
        for code in codes {
            assert!(explain(code).unwrap().starts_with(&format!("# {code}: ")));
        }
    }
}
