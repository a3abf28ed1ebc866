//! Sections and lists of the grammar.

/// A section of the file.
pub struct Section {
    /// Path; empty for the top of the file.
    pub path: &'static str,
    /// What it holds.
    pub meaning: &'static str,
}

/// A list of tables, `[[...]]`.
pub struct List {
    /// Path without brackets at its end.
    pub path: &'static str,
    /// Most elements.
    pub most: usize,
    /// Whether elements are told apart by their `name`.
    pub by_name: bool,
}

const fn s(path: &'static str, meaning: &'static str) -> Section {
    Section { path, meaning }
}

/// Sections in the order of the file.
pub const SECTIONS: &[Section] = &[
    s("", "Keys at the top of the file, before the first section."),
    s("site", "Ground and gravity at the pole."),
    s("site.wind", "Design wind for the retention check."),
    s(
        "site.ground",
        "The ground across the road: friction, and a slope beside the road.",
    ),
    s(
        "site.strip[]",
        "A strip along the road: a lane, a footway. Repeat `[[site.strip]]` for each; the report says how far the pole reaches into it.",
    ),
    s("support", "Everything above the slip plane."),
    s(
        "support.pole",
        "The pole: a tapered tube that stands on the upper slip plate.",
    ),
    s(
        "support.arm[]",
        "A mast arm. Repeat `[[support.arm]]` for each.",
    ),
    s(
        "support.arm[].luminaire[]",
        "A luminaire on the arm above it in the file.",
    ),
    s(
        "support.arm[].joint",
        "The flange joint of the arm above it in the file: cap screws on a circle, in tapped holes.",
    ),
    s(
        "support.lump[]",
        "A point mass on the pole: a sign, a camera, a post-top lantern.",
    ),
    s(
        "support.slip_plate",
        "The upper slip plate, which flies with the pole.",
    ),
    s(
        "slip_base",
        "The slip joint. Bolts are numbered from 1 anticlockwise, seen from above.",
    ),
    s(
        "slip_base.bolt",
        "The slip bolts. Size and grade give all numbers; each can be overridden.",
    ),
    s(
        "slip_base.clamp",
        "How tight the bolts are: a torque or a preload, not both.",
    ),
    s(
        "slip_base.notch",
        "The V notches of both plates, opening radially outward.",
    ),
    s("slip_base.plates", "The slip plates."),
    s(
        "slip_base.washers",
        "Plate washers under head and nut, round washers between the plates.",
    ),
    s(
        "slip_base.keeper",
        "The keeper sheet that stops the bolts from walking.",
    ),
    s(
        "slip_base.friction",
        "Coulomb friction coefficients: static, which hold the pole in the wind; sliding, which rub in an impact, below.",
    ),
    s(
        "slip_base.friction.sliding",
        "Friction coefficients of faces that slide fast.",
    ),
    s(
        "slip_base.stiffness",
        "Axial stiffnesses of the joint, where they are known better than from its geometry.",
    ),
    s(
        "as_found",
        "What was found on site where it differs from the design. Whatever is left out here is as designed; bolts are numbered as in `[slip_base]`.",
    ),
    s(
        "as_found.grout",
        "Grout at the bolt heads under the lower plate. Bolts that must leave the lower notch have to crush it or break out of it.",
    ),
    s(
        "as_found.stub[]",
        "The end of an anchor bar that stands above the lower plate's top, outside the upper plate. Repeat `[[as_found.stub]]` for each.",
    ),
    s(
        "as_found.conduit",
        "A conduit that stands above the lower plate's top inside the upper plate's opening.",
    ),
    s(
        "as_found.lump",
        "A zinc lump or burr on a notch wall, in a bolt's way.",
    ),
    s(
        "as_found.soil",
        "Soil, a kerb or a pocket wall behind the foot.",
    ),
    s(
        "as_found.foundation",
        "A round concrete pier in sand that can move under the load.",
    ),
    s(
        "vehicle",
        "The striking vehicle. The class gives every value; each can be overridden one by one.",
    ),
    s(
        "vehicle.suspension",
        "Vertical springs and dampers of the four wheels.",
    ),
    s(
        "vehicle.skin",
        "How the upper side of the body answers a pole that falls on it.",
    ),
    s("vehicle.front", "The front face."),
    s(
        "vehicle.front.band[]",
        "A horizontal band of the front. A band with the name of a band of the class changes only the values given; a new name adds a band.",
    ),
    s("vehicle.side", "The side face, both sides alike."),
    s(
        "vehicle.side_body",
        "The part of the body behind a struck side, which a pole stops before the rest: a second mass.",
    ),
    s(
        "vehicle.side.band[]",
        "A horizontal band of the side, as for the front.",
    ),
    s("impact", "How the vehicle meets the pole."),
    s("flight", "How the pole is followed after its release."),
    s("criteria", "Which documents judge the run."),
    s(
        "criteria.limit.oiv_longitudinal",
        "Overrides the limit of the longitudinal occupant impact velocity.",
    ),
    s(
        "criteria.limit.oiv_lateral",
        "Overrides the limit of the lateral occupant impact velocity.",
    ),
    s(
        "criteria.limit.ridedown",
        "Overrides the limit of the ridedown acceleration.",
    ),
    s(
        "criteria.limit.velocity_change",
        "Overrides the limit of the vehicle's velocity change.",
    ),
    s(
        "criteria.limit.asi",
        "Overrides the limit of the acceleration severity index.",
    ),
    s(
        "criteria.limit.thiv",
        "Overrides the limit of the theoretical head impact velocity.",
    ),
    s(
        "criteria.limit.stub_height",
        "Overrides the limit of the height of what stays in the ground.",
    ),
    s(
        "criteria.limit.support_mass",
        "Overrides the limit of the support's mass.",
    ),
    s(
        "criteria.limit.support_height",
        "Overrides the limit of the support's height.",
    ),
    s(
        "criteria.limit.roll_pitch",
        "Overrides the limit of roll and pitch.",
    ),
    s(
        "solver",
        "Numerical settings; the defaults suit all shipped scenarios.",
    ),
    s("output", "What is recorded."),
];

/// Lists of tables.
pub const LISTS: &[List] = &[
    List {
        path: "site.strip",
        most: 12,
        by_name: false,
    },
    List {
        path: "support.arm",
        most: 6,
        by_name: false,
    },
    List {
        path: "support.arm[].luminaire",
        most: 6,
        by_name: false,
    },
    List {
        path: "support.lump",
        most: 24,
        by_name: false,
    },
    List {
        path: "as_found.stub",
        most: 12,
        by_name: false,
    },
    List {
        path: "vehicle.front.band",
        most: 12,
        by_name: true,
    },
    List {
        path: "vehicle.side.band",
        most: 12,
        by_name: true,
    },
];
