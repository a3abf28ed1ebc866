//! Columns of a study's table: what was set, and what came out.

use giveway_impact::outcome::EnergyBook;
use giveway_occupant::Outcome;
use giveway_results::summary::Status;
use giveway_results::{Cell, CellKind, StudyColumn};
use giveway_scenario::grammar::{Kind, row_at};
use giveway_units::{Dimension, parse};
use serde::Serialize;

use crate::brief::BriefNumbers;
use crate::numbers::Numbers;

/// The name of a path's column, without its unit: small letters, digits and `_`.
pub(super) fn name_of(path: &str) -> String {
    let mut name = String::new();
    for c in path.chars() {
        match c {
            c if c.is_ascii_alphanumeric() => name.push(c.to_ascii_lowercase()),
            '*' => name.push_str("all"),
            _ if !name.ends_with('_') => name.push('_'),
            _ => {}
        }
    }
    name.trim_matches('_').to_owned()
}

/// How the SI unit of a dimension ends a column's name.
pub(crate) fn suffix(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "_m",
        Dimension::Area => "_m2",
        Dimension::Mass => "_kg",
        Dimension::Time => "_s",
        Dimension::Frequency => "_hz",
        Dimension::Speed => "_mps",
        Dimension::Acceleration => "_mps2",
        Dimension::Force => "_n",
        Dimension::Torque => "_nm",
        Dimension::Energy => "_j",
        Dimension::Impulse => "_ns",
        Dimension::Stress => "_pa",
        Dimension::Angle => "_rad",
        Dimension::AngularRate => "_radps",
        Dimension::Stiffness => "_npm",
        Dimension::Damping => "_nspm",
        Dimension::Density => "_kgpm3",
        Dimension::UnitWeight => "_npm3",
        Dimension::Inertia => "_kgm2",
        Dimension::Ratio => "",
    }
}

/// What a value of a path is in the table: kind of the column, and the dimension of a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shown {
    /// A quantity, SI.
    Quantity(Dimension),
    /// A plain number or a percentage.
    Number,
    Count,
    Flag,
    Text,
}

impl Shown {
    /// How all these values of a path can be shown.
    pub fn of<'a>(path: &str, values: impl Iterator<Item = &'a str>) -> Self {
        let shown = match row_at(path).map(|row| row.kind) {
            Some(Kind::Quantity(dimension, _)) => Self::Quantity(dimension),
            Some(Kind::LengthOrName(_)) => Self::Quantity(Dimension::Length),
            Some(Kind::Number) => Self::Number,
            Some(Kind::Count) => Self::Count,
            Some(Kind::Flag) => Self::Flag,
            _ => Self::Text,
        };
        // Named places beside lengths: all as text.
        let fits = |value: &str| !cell_is_none(&shown.cell(value));
        if values.into_iter().all(fits) {
            shown
        } else {
            Self::Text
        }
    }

    pub fn cell(self, value: &str) -> Cell {
        let value = value.trim().trim_matches('"');
        let ratio = || parse(value, Dimension::Ratio).ok().map(|q| q.si);
        match self {
            Self::Quantity(d) => Cell::Number(parse(value, d).ok().map(|q| q.si)),
            Self::Number => Cell::Number(value.parse().ok().or_else(ratio)),
            Self::Count => Cell::Count(value.parse().ok()),
            Self::Flag => Cell::Flag(value.parse().ok()),
            Self::Text => Cell::Text(Some(value.to_owned())),
        }
    }

    pub fn kind(self) -> CellKind {
        match self {
            Self::Quantity(_) | Self::Number => CellKind::Number,
            Self::Count => CellKind::Count,
            Self::Flag => CellKind::Flag,
            Self::Text => CellKind::Text,
        }
    }

    pub fn suffix(self) -> &'static str {
        match self {
            Self::Quantity(dimension) => suffix(dimension),
            _ => "",
        }
    }
}

fn cell_is_none(cell: &Cell) -> bool {
    matches!(
        cell,
        Cell::Number(None) | Cell::Count(None) | Cell::Text(None) | Cell::Flag(None)
    )
}

/// One number of a run.
pub(super) struct Output {
    pub name: &'static str,
    pub meaning: &'static str,
    /// Plain words for a figure, in small letters; empty for a text.
    pub words: &'static str,
    pub kind: CellKind,
    pub cell: Made,
}

/// What a cell is made from.
#[derive(Clone, Copy)]
pub(super) enum Made {
    /// The engagement alone.
    Engaged(fn(&BriefNumbers) -> Cell),
    /// The fewest numbers of a run, with the vehicle's record.
    Brief(fn(&BriefNumbers) -> Cell),
    /// All of them.
    Full(fn(&Numbers) -> Cell),
}

use Made::{Brief, Engaged, Full};

/// How much of a run the columns of a study ask for. What comes after the engagement is computed only where one of them
/// rests on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Needs {
    /// The engagement alone: the pole is not followed.
    Engagement,
    /// The accelerations of the vehicle over the whole record.
    Record,
    /// Everything that a summary holds.
    Everything,
}

const fn number(name: &'static str, cell: Made, meaning: &'static str) -> Output {
    Output {
        name,
        meaning,
        words: "",
        kind: CellKind::Number,
        cell,
    }
}

const fn text(name: &'static str, cell: Made, meaning: &'static str) -> Output {
    Output {
        name,
        meaning,
        words: "",
        kind: CellKind::Text,
        cell,
    }
}

fn finite(value: impl Into<Option<f64>>) -> Cell {
    Cell::Number(value.into().filter(|x| x.is_finite()))
}

/// A word as it stands in the summary.
fn word(value: impl Serialize) -> Cell {
    let text = serde_json::to_value(value).ok();
    Cell::Text(text.and_then(|v| v.as_str().map(str::to_owned)))
}

/// Share of the vehicle's lost energy that the base took; none where it lost nothing. What soil and foundation took is not
/// the base's.
fn base_share(e: &EnergyBook) -> Option<f64> {
    let lost = e.initial_kinetic_j - e.vehicle_kinetic_j;
    let clamp = e.friction_j + e.keeper_j + e.bolt_failure_j + e.stripping_j + e.plate_rub_j;
    let plates = e.mating_j + e.dishing_j + e.forcing_j + e.rust_j;
    let found = e.grout_j + e.bars_j + e.lumps_j;
    (lost > 0.0).then(|| (clamp + plates + found) / lost)
}

/// Verdict of the roof's dent (0) or the windscreen's (1).
fn dent(n: &Numbers, which: usize) -> Option<Outcome> {
    n.verdicts.first().and_then(|v| v.dents[which])
}

/// Everything that can be asked for, in the order of the table.
pub(super) const OUTPUTS: &[Output] = &[
    text(
        "ending",
        Engaged(|n| word(n.ending)),
        "How the engagement ended.",
    ),
    number(
        "velocity_change_mps",
        Engaged(|n| finite(n.velocity_change_mps())),
        "Speed lost along the initial direction of travel until vehicle and support have parted (or the occupant has met the interior before that), or at the end of the engagement.",
    )
    .shown("velocity change"),
    text(
        "outcome",
        Full(|n| word(n.blow())),
        "Verdict of the blow by the governing document; dents of roof and windscreen have their own.",
    ),
    text(
        "document",
        Full(|n| Cell::Text(n.verdicts.first().map(|v| v.set.clone()))),
        "Name of the governing document in the scenario file.",
    ),
    text(
        "closest_check",
        Full(|n| Cell::Text(n.verdicts.first().and_then(|v| v.closest_check.clone()))),
        "The check of the blow by that document with the least margin.",
    ),
    number(
        "margin_fraction",
        Full(|n| finite(n.verdicts.first().and_then(|v| v.margin_fraction))),
        "Its margin: 1 - |value| / maximum.",
    )
    .shown("least margin to a limit"),
    number(
        "motion_margin_fraction",
        Full(|n| finite(n.verdicts.first().and_then(|v| v.motion_margin_fraction))),
        "Least margin of the checks of what happens to vehicle and occupant.",
    )
    .shown("least margin of vehicle and occupant"),
    Output {
        name: "stands_in_wind",
        meaning: "Whether the clamped base stands in the wind (service and strength); absent for a fixed obstacle.",
        words: "stands in the wind (1: yes)",
        kind: CellKind::Flag,
        cell: Full(|n| Cell::Flag(n.stands_in_wind)),
    },
    number(
        "service_margin_fraction",
        Full(|n| finite(n.wind_margins[0])),
        "Wind pressure borne in service (no bolt gaps or slides) over that of the yearly wind, less one.",
    )
    .shown("margin in the yearly wind"),
    number(
        "strength_margin_fraction",
        Full(|n| finite(n.wind_margins[1])),
        "The same by strength (no slip beyond a small travel, nothing yields) over that of the design gust.",
    )
    .shown("margin in the design gust"),
    number(
        "survival_margin_fraction",
        Full(|n| finite(n.wind_margins[2])),
        "The same until the base comes apart over that of the 700-year wind.",
    )
    .shown("margin in the 700-year wind"),
    number(
        "peak_force_n",
        Engaged(|n| finite(n.peak_force_n)),
        "Largest contact force.",
    )
    .shown("peak force on the pole"),
    number(
        "peak_crush_m",
        Engaged(|n| finite(n.peak_crush_m)),
        "Largest crush over all bands.",
    )
    .shown("largest crush of the vehicle"),
    number(
        "slip_onset_s",
        Engaged(|n| finite(n.slip_onset_s)),
        "When the plates had begun to slide, by 1 mm at a bolt; absent where they did not.",
    )
    .shown("time of the first slip"),
    number(
        "crush_at_slip_onset_m",
        Engaged(|n| finite(n.crush_at_slip_onset_m)),
        "Largest crush until then.",
    )
    .shown("crush at the first slip"),
    number(
        "release_time_s",
        Engaged(|n| finite(n.release_time_s)),
        "Release of the last bolt; absent where the base holds.",
    )
    .shown("time of release"),
    number(
        "crush_at_release_m",
        Engaged(|n| finite(n.crush_at_release_m)),
        "Largest crush until then.",
    )
    .shown("crush at the release"),
    number(
        "kink_rad",
        Engaged(|n| finite(n.kink_rad)),
        "Angle of the shaft's hinge at the struck height.",
    )
    .shown("kink at the struck height"),
    number(
        "contact_end_time_s",
        Engaged(|n| finite(n.contact_end_time_s)),
        "Until when the velocity change is counted: vehicle and support have parted, or the occupant has met the interior.",
    )
    .shown("time of the last touch"),
    number(
        "end_time_s",
        Engaged(|n| finite(n.end_time_s)),
        "End of the engagement.",
    )
    .shown("end of the engagement"),
    number(
        "oiv_longitudinal_mps",
        Brief(|n| finite(n.occupant_impact_velocity_mps[0])),
        "Occupant impact velocity along.",
    )
    .shown("longitudinal occupant impact velocity"),
    number(
        "oiv_lateral_mps",
        Brief(|n| finite(n.occupant_impact_velocity_mps[1])),
        "Occupant impact velocity across.",
    )
    .shown("lateral occupant impact velocity"),
    number(
        "ridedown_longitudinal_g",
        Brief(|n| finite(n.ridedown_g[0])),
        "Ridedown along; absent without contact of the occupant.",
    )
    .shown("longitudinal ridedown"),
    number(
        "ridedown_lateral_g",
        Brief(|n| finite(n.ridedown_g[1])),
        "Ridedown across.",
    )
    .shown("lateral ridedown"),
    number(
        "thiv_kmph",
        Full(|n| finite(n.thiv_kmph)),
        "Theoretical head impact velocity.",
    )
    .shown("theoretical head impact velocity"),
    number(
        "asi",
        Full(|n| finite(n.asi)),
        "Severity index of 50 ms means.",
    )
    .shown("severity index ASI"),
    number(
        "roof_dent_m",
        Full(|n| finite(n.dents_m.map(|d| d[0]))),
        "What is estimated to stay of the roof's dent; absent where the pole is not followed.",
    )
    .shown("remaining dent of the roof"),
    number(
        "windscreen_dent_m",
        Full(|n| finite(n.dents_m.map(|d| d[1]))),
        "The same of the windscreen's.",
    )
    .shown("remaining dent of the windscreen"),
    text(
        "roof_outcome",
        Full(|n| word(dent(n, 0))),
        "Verdict of the roof's dent; absent where it was not judged.",
    ),
    text(
        "windscreen_outcome",
        Full(|n| word(dent(n, 1))),
        "The same of the windscreen's.",
    ),
    number(
        "exit_speed_mps",
        Full(|n| finite(n.exit_speed_mps)),
        "Speed of the vehicle 12 m behind the point of impact.",
    )
    .shown("speed 12 m behind the pole"),
    text(
        "flags",
        Full(|n| {
            let words: Vec<&str> = n.flags.iter().map(|f| f.word.as_str()).collect();
            Cell::Text(Some(words.join(" ")))
        }),
        "Words of the findings that a person must see, defined on the page of results.",
    ),
    number(
        "base_energy_fraction",
        Engaged(|n| finite(base_share(&n.energy))),
        "Share of the kinetic energy lost by the vehicle that the base took: bolts, keeper, plates, and what was found on site. Where it is small, crush and the pole's mass decide, and another torque changes little.",
    )
    .shown("energy taken by the base, share"),
    number(
        "energy_residual_fraction",
        Engaged(|n| finite(n.books.energy_residual_fraction)),
        "Residual of the energy book over the initial kinetic energy.",
    )
    .shown("residual of the energy book"),
    Output {
        name: "steps",
        meaning: "Time steps of the engagement.",
        words: "steps",
        kind: CellKind::Count,
        cell: Engaged(|n| Cell::Count(i64::try_from(n.steps).ok())),
    },
];

/// The outputs of these names, in the table's order; all of them where none is named.
pub(super) fn outputs(names: &[String]) -> Vec<&'static Output> {
    OUTPUTS
        .iter()
        .filter(|o| names.is_empty() || names.iter().any(|n| n == o.name))
        .collect()
}

/// Why a run whose books do not close has no numbers.
pub(super) fn open_books(numbers: &BriefNumbers) -> Option<String> {
    (numbers.status == Status::Failed).then(|| {
        format!(
            "the books do not close: energy {:e}, momentum {:e} of the initial values",
            numbers.books.energy_residual_fraction, numbers.books.momentum_residual_fraction
        )
    })
}

/// Columns that every study has before its outputs and after what was set.
pub(super) fn fixed_columns() -> [StudyColumn; 2] {
    [
        StudyColumn {
            name: "preload_n".into(),
            meaning: "Preload of each bolt of the design at the time of the impact.".into(),
            kind: CellKind::Number,
        },
        StudyColumn {
            name: "reason".into(),
            meaning: "Why a run failed; absent otherwise.".into(),
            kind: CellKind::Text,
        },
    ]
}

/// Plain words for a column that comes out of a run, for a figure; none for a column that was set, and for a text.
pub fn output_words(column: &str) -> Option<&'static str> {
    let output = OUTPUTS.iter().find(|o| o.name == column)?;
    (!output.words.is_empty()).then_some(output.words)
}

impl Output {
    /// Names it in a figure.
    const fn shown(mut self, words: &'static str) -> Self {
        self.words = words;
        self
    }

    /// The cell of a run; none where it takes numbers that a brief run does not have.
    pub fn cell(&self, brief: &BriefNumbers, full: Option<&Numbers>) -> Option<Cell> {
        match self.cell {
            Engaged(cell) | Brief(cell) => Some(cell(brief)),
            Full(cell) => full.map(cell),
        }
    }

    /// How much of a run it takes.
    pub fn needs(&self) -> Needs {
        match self.cell {
            Engaged(_) => Needs::Engagement,
            Brief(_) => Needs::Record,
            Full(_) => Needs::Everything,
        }
    }

    pub fn column(&self) -> StudyColumn {
        StudyColumn {
            name: self.name.into(),
            meaning: self.meaning.into(),
            kind: self.kind,
        }
    }
}

/// The cell of a column in which nothing exists.
pub(super) fn absent(kind: CellKind) -> Cell {
    match kind {
        CellKind::Number => Cell::Number(None),
        CellKind::Count => Cell::Count(None),
        CellKind::Text => Cell::Text(None),
        CellKind::Flag => Cell::Flag(None),
    }
}
