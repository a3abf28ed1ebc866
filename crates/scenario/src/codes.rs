//! One page for every code of a diagnostic.

/// Makes the pages of a list of codes: `explain(code)`, its page in Markdown, and `all_codes()`, in the list's order.
/// Codes below 500 are errors, the others warnings.
#[macro_export]
macro_rules! code_pages {
    ($($code:literal: $title:literal, $text:literal, $wrong:literal, $right:literal;)*) => {
        /// Codes and their pages.
        const PAGES: &[(&str, &str)] = &[$((
            $code,
            concat!("# ", $code, ": ", $title, "\n\n", $text, "\n\nWrong:\n\n```toml\n", $wrong, "\n```\n\nRight:\n\n```toml\n", $right, "\n```\n"),
        )),*];

        /// The page of a code, Markdown; none for an unknown code.
        pub fn explain(code: &str) -> Option<&'static str> {
            PAGES.iter().find(|p| p.0 == code).map(|p| p.1)
        }

        /// Every code, in order. Codes below 500 are errors, the others warnings.
        pub fn all_codes() -> Vec<&'static str> {
            PAGES.iter().map(|p| p.0).collect()
        }

        #[cfg(test)]
        #[test]
        fn codes_are_sorted_unique_and_explained() {
            let codes = all_codes();
            assert!(codes.windows(2).all(|c| c[0] < c[1]), "{codes:?}");
            for code in codes {
                assert!(explain(code).unwrap().starts_with(&format!("# {code}: ")));
            }
        }
    };
}

code_pages! {
    "S001": "not TOML", "The file breaks the rules of TOML at this place: a quote is missing, a bracket is not closed, a line is not `key = value`. All such places are shown at once; keys that are missing are only looked for when the file can be read as a whole.", "speed = 30 km/h", "speed = \"30 km/h\"";
    "S002": "empty file", "The file holds no key at all. A scenario needs at least the pole, the clamp, the vehicle's class and the speed.", "# nothing here", "title = \"first\"\n[impact]\nspeed = \"30 km/h\"";
    "S003": "given twice", "A key or a section is given twice; which one counts would be a guess. Several arms, luminaires, lumps or bands are lists with two brackets.", "[support.arm]\n[support.arm]", "[[support.arm]]\n[[support.arm]]";
    "S010": "unknown key", "This key is not part of the grammar at this place. The message lists the keys of the section and the nearest one.", "[slip_base.clamp]\ntorqe = \"150 N.m\"", "[slip_base.clamp]\ntorque = \"150 N.m\"";
    "S011": "missing value", "A value is needed for which there is no default: every default would hide a decision that changes the answer.", "[support.pole]\nlength = \"9 m\"", "[support.pole]\nlength = \"9 m\"\nbase_diameter = \"170 mm\"\nwall = \"4 mm\"\nmaterial = \"steel-345\"";
    "S012": "wrong type", "The value is a text where a number is wanted, a table where a list is wanted, and so on.", "[slip_base]\nbolts = \"3\"", "[slip_base]\nbolts = 3";
    "S013": "not one of the choices", "The value must be one of the names that the message lists.", "[support.pole]\nmaterial = \"steel345\"", "[support.pole]\nmaterial = \"steel-345\"";
    "S014": "name given twice", "Two bands of one face have the same name; bands are told apart by it.", "[[vehicle.front.band]]\nname = \"bumper\"\n[[vehicle.front.band]]\nname = \"bumper\"", "[[vehicle.front.band]]\nname = \"bumper\"\n[[vehicle.front.band]]\nname = \"grille\"";
    "S020": "missing unit", "A quantity is a text with its unit. A bare number is never read, because newton metres and foot pounds-force look alike.", "[slip_base.clamp]\ntorque = 150", "[slip_base.clamp]\ntorque = \"150 N.m\"";
    "S021": "unknown unit", "The unit is not known. The message lists the units of the quantity.", "[impact]\nspeed = \"30 kmm/h\"", "[impact]\nspeed = \"30 km/h\"";
    "S022": "wrong dimension", "The unit is known but measures something else: `lb` is a mass, `lbf` a force.", "[slip_base.clamp]\npreload = \"8000 lb\"", "[slip_base.clamp]\npreload = \"8000 lbf\"";
    "S023": "not a number", "A quantity begins with a number: `30`, `1.5`, `1e3`, `1-1/8`. The decimal sign is a point.", "[support.pole]\nwall = \"4,5 mm\"", "[support.pole]\nwall = \"4.5 mm\"";
    "S024": "not finite", "Infinity and not-a-number are no measurements.", "[impact]\nspeed = \"inf km/h\"", "[impact]\nspeed = \"100 km/h\"";
    "S030": "not possible", "The value lies outside the range that is physically possible, or beyond what the program takes. If the same number in another unit would be usual, the message says so.", "[impact]\nspeed = \"50 km/s\"", "[impact]\nspeed = \"50 km/h\"";
    "S032": "number out of range", "There are more (or fewer) of these than the program takes.", "[solver]\nelastic_modes = 500", "[solver]\nelastic_modes = 14";
    "S040": "two values that exclude each other", "Both values are given, but only one of them can stand: each follows from the other, or they contradict each other. Give the one that was measured.", "[slip_base.clamp]\ntorque = \"150 N.m\"\npreload = \"26 kN\"", "[slip_base.clamp]\ntorque = \"150 N.m\"";
    "S041": "override that does not fit", "The path of a `--set` is keys joined by dots. Elements of lists are counted from 1, bands may be named: `vehicle.front.band[bumper].lower`.", "# --set support.arm.reach=6m", "# --set support.arm[1].reach=\"6 m\"";
    "S050": "wall thicker than the radius", "The wall of a tube must be less than its radius at both ends.", "[support.pole]\nbase_diameter = \"170 mm\"\nwall = \"90 mm\"", "[support.pole]\nbase_diameter = \"170 mm\"\nwall = \"4 mm\"";
    "S051": "arm higher than the pole", "The arm is fixed at a height that the pole does not reach. Heights are measured from the pole foot.", "[[support.arm]]\nattachment_height = \"12 m\"  # on a pole of 9 m", "[[support.arm]]\nattachment_height = \"9 m\"";
    "S052": "lump higher than the pole", "The lump is fixed at a height that the pole does not reach. A post-top lantern sits at the pole's length.", "[[support.lump]]\nheight = \"12 m\"  # on a pole of 9 m", "[[support.lump]]\nheight = \"9 m\"";
    "S053": "bolts do not fit their circle", "On this circle the washers overlap, the bolts stand inside the pole (the cap screws inside the arm), or they stand over the plate's edge.", "[slip_base]\nbolt_circle = \"150 mm\"", "[slip_base]\nbolt_circle = \"360 mm\"";
    "S054": "the notch cannot hold the bolt", "A notch that is less than half a bolt diameter deep does not hold its bolt; one that is longer than the plate has no walls; one that is narrower than the bolt cannot be put over it.", "[slip_base.notch]\ntravel = \"5 mm\"", "[slip_base.notch]\ntravel = \"32 mm\"";
    "S055": "the bolt breaks while it is tightened", "The preload is above the tensile strength times the stress area. For a torque or a state of the threads as found, a bolt that broke cannot be in place.", "[slip_base.clamp]\ntorque = \"9000 N.m\"", "[slip_base.clamp]\ntorque = \"150 N.m\"";
    "S056": "washer or keeper smaller than the bolt", "A washer must be wider than its bolt, and a keeper's hole must lie within the sheet.", "[slip_base.washers]\nplate_diameter = \"20 mm\"  # on M27", "[slip_base.washers]\nplate_diameter = \"60 mm\"";
    "S060": "crush law", "The force-crush polyline starts at no crush and no force; crush rises from point to point; forces are not negative; the last slope, which continues, does not fall.", "crush = [[\"10 mm\", \"0 kN\"], [\"5 mm\", \"30 kN\"]]", "crush = [[\"0 mm\", \"0 kN\"], [\"75 mm\", \"30 kN\"]]";
    "S061": "unloading slope too low", "A face that unloads less steeply than it loads would give back more energy than it took.", "unloading = \"10 kN/m\"", "unloading = \"20 MN/m\"";
    "S062": "bands of a face", "Each face needs at least one band, and the lower edge of a band lies below its upper edge.", "lower = \"0.6 m\"\nupper = \"0.5 m\"", "lower = \"0.5 m\"\nupper = \"0.6 m\"";
    "S063": "measures of the vehicle contradict each other", "The centre of mass must lie between the axles and within the length, and the track within the width.", "[vehicle]\nwheelbase = \"2.4 m\"\ncg_to_front_axle = \"2.6 m\"", "[vehicle]\nwheelbase = \"2.4 m\"\ncg_to_front_axle = \"1.0 m\"";
    "S064": "outline", "The outline runs from front to rear: two points or more, distances rising from 0 on, heights not negative.", "outline = [[\"2 m\", \"1 m\"], [\"1 m\", \"1 m\"]]", "outline = [[\"0 m\", \"0.7 m\"], [\"4 m\", \"1 m\"]]";
    "S065": "the struck face moves away", "The velocity must carry the struck face towards the pole: less than 88 degrees between the velocity and the outward normal of the face.", "[impact]\nface = \"left-side\"\nheading = \"0 deg\"\nvelocity_direction = \"-90 deg\"", "[impact]\nface = \"left-side\"\nheading = \"0 deg\"\nvelocity_direction = \"90 deg\"";
    "S066": "place on the other face", "`quarter-left` and the like are places on the front, `quarter-front` and `quarter-rear` on a side.", "[impact]\nface = \"front\"\noffset = \"quarter-rear\"", "[impact]\nface = \"front\"\noffset = \"quarter-left\"";
    "S067": "yield above tensile strength", "No material yields above the stress at which it breaks. One of the two was given and the other follows from the material or grade: give both.", "[support.pole]\nmaterial = \"steel-250\"\nyield_strength = \"500 MPa\"", "[support.pole]\nmaterial = \"steel-250\"\nyield_strength = \"300 MPa\"";
    "S068": "record shorter than the engagement", "The record holds the engagement and the roll-out after it.", "[solver]\nengagement_limit = \"3 s\"\nrecord_limit = \"2 s\"", "[solver]\nengagement_limit = \"0.4 s\"\nrecord_limit = \"2 s\"";
    "S069": "edges of a strip", "Seen in the direction of traffic, the right edge of a strip lies to the right of its left edge; lateral positions are positive to the left of the pole.", "[[site.strip]]\nname = \"near lane\"\nuse = \"lane\"\nright = \"5 m\"\nleft = \"1.5 m\"", "[[site.strip]]\nname = \"near lane\"\nuse = \"lane\"\nright = \"1.5 m\"\nleft = \"5 m\"";
    "S070": "no such bolt", "Bolts are numbered from 1 anticlockwise, starting at the first bolt; a list names each bolt once. A list that is left out means every bolt.", "[slip_base]\nbolts = 3\n[as_found.grout]\ngap = \"-20 mm\"\nbolts = [2, 4]", "[slip_base]\nbolts = 3\n[as_found.grout]\ngap = \"-20 mm\"\nbolts = [2, 3]";
    "S071": "torques and bolts do not match", "Torques as found are one value for every bolt, or one for each bolt, in the order of their numbers.", "[as_found]\ntorques = [\"150 N.m\", \"90 N.m\"]  # three bolts", "[as_found]\ntorques = [\"150 N.m\", \"90 N.m\", \"140 N.m\"]";
    "S072": "finding about a keeper that was not designed", "The keeper sheet cannot be missing, or of another thickness, where the design has none.", "[slip_base.keeper]\npresent = false\n[as_found]\nkeeper = \"missing\"", "[slip_base.keeper]\npresent = true\n[as_found]\nkeeper = \"missing\"";
    "S073": "slope steeper than the soil can stand", "Soil without cohesion does not stand steeper than its angle of friction: one of the two was measured or read wrongly, or the soil has a cohesion (a wall has a great one).", "[as_found.soil]\ngap = \"20 mm\"\nazimuth = \"0 deg\"\nheight = \"200 mm\"\nslope = \"40 deg\"\nfriction_angle = \"30 deg\"", "[as_found.soil]\ngap = \"20 mm\"\nazimuth = \"0 deg\"\nheight = \"200 mm\"\nslope = \"25 deg\"\nfriction_angle = \"30 deg\"";
    "S074": "character that cannot be seen", "A title or a name stands in headings, tables and on terminals. A control character, or one that turns the direction of the writing, could make it read as something else there, even as a verdict. Notes may have several lines.", "title = \"Pole 1\\u001b[1m\"", "title = \"Pole 1\"";
    "S501": "unusual value", "The value is possible but lies outside the usual range. The run goes on. If the same number in another unit would be usual, the message says so.", "[support.pole]\nwall = \"0.2 in\"  # usual", "[support.pole]\nwall = \"5 mm\"";
    "S502": "the notch locks", "Where tan(beta) does not exceed the wall friction, a bolt squeezed between one wall of each notch cannot move and must be sheared. beta is half of the included angle.", "[slip_base.notch]\nincluded_angle = \"60 deg\"\n[slip_base.friction]\nwall = 0.6", "[slip_base.notch]\nincluded_angle = \"90 deg\"";
    "S503": "preload above the yield", "The bolt yields while it is tightened; its tension is capped.", "[slip_base.clamp]\ntorque = \"2500 N.m\"", "[slip_base.clamp]\ntorque = \"150 N.m\"";
    "S504": "the vehicle passes the pole", "The pole's axis lies off the struck face. Where a miss is meant, write `offset = \"miss\"`.", "[impact]\noffset = \"2 m\"", "[impact]\noffset = \"quarter-left\"";
    "S505": "grazing impact", "More than 60 degrees between the velocity and the outward normal of the struck face: the contact law, which acts along the normal, says little then.", "[impact]\nheading = \"0 deg\"\nvelocity_direction = \"75 deg\"", "[impact]\nheading = \"0 deg\"\nvelocity_direction = \"20 deg\"";
    "S506": "findings that are not used", "The support is a fixed obstacle: there is no joint that grout, stubs or a torque could change. The run goes on without them, so that one file can be run with and without a slip base.", "[slip_base]\nanchorage = \"fixed\"\n[as_found.grout]\ngap = \"-20 mm\"", "[slip_base]\nanchorage = \"slip\"\n[as_found.grout]\ngap = \"-20 mm\"";
    "S507": "more threads engaged than the nut has", "A nut has its height divided by the pitch in threads. More cannot be engaged; all of them count.", "[as_found]\nengaged_threads = 12  # M27: 7.9", "[as_found]\nengaged_threads = 5";
    "S508": "much room in the notch", "What the notch is wider than the bolt is the bolt's room: so far it can move before a wall bears on it, and a blow between two bolts is free so long. Here that is more than half a bolt diameter, where two millimetres are usual and the washers have little left to lie on. The run goes on with it.", "[slip_base.notch]\nspan = \"60 mm\"  # on M27", "[slip_base.notch]\nspan = \"29 mm\"";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_other_code_has_a_page() {
        assert!(explain("S999").is_none());
        assert!(explain("").is_none());
    }
}
