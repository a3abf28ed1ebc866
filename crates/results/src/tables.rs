//! The two tables of a run: history of the engagement and record of the vehicle.

use giveway_impact::outcome::{Engagement, Trace, VehicleRecord};

use crate::ResultsError;

/// One column: name with unit, meaning, and how to read its values.
pub struct TableColumn<'a> {
    /// Name with unit.
    pub name: String,
    /// One line.
    pub meaning: &'a str,
    /// Value in a row.
    pub value: Box<dyn Fn(usize) -> f64 + 'a>,
}

/// A table without a copy of its values.
pub struct Table<'a> {
    /// File stem.
    pub name: &'static str,
    /// Number of rows.
    pub rows: usize,
    /// Columns in file order.
    pub columns: Vec<TableColumn<'a>>,
}

impl Table<'_> {
    /// An error for the first value that is not finite.
    pub fn check_finite(&self) -> Result<(), ResultsError> {
        for c in &self.columns {
            if let Some(row) = (0..self.rows).find(|&i| !(c.value)(i).is_finite()) {
                return Err(ResultsError::NotFinite {
                    place: format!("{}, column {}, row {}", self.name, c.name, row + 1),
                });
            }
        }
        Ok(())
    }
}

fn same_length(
    table: &'static str,
    column: &str,
    found: usize,
    expected: usize,
) -> Result<(), ResultsError> {
    if found == expected {
        return Ok(());
    }
    Err(ResultsError::Length {
        table,
        column: column.to_owned(),
        found,
        expected,
    })
}

const TIME: &str = "time since first touch";

/// The engagement's history.
pub fn history(trace: &Trace) -> Result<Table<'_>, ResultsError> {
    let rows = trace.time_s.len();
    let mut columns = vec![TableColumn {
        name: "time_s".to_owned(),
        meaning: TIME,
        value: Box::new(|i| trace.time_s[i]),
    }];
    for c in &trace.columns {
        same_length("history", &c.name, c.values.len(), rows)?;
        columns.push(TableColumn {
            name: c.name.clone(),
            meaning: c.meaning,
            value: Box::new(|i| c.values[i]),
        });
    }
    Ok(Table {
        name: "history",
        rows,
        columns,
    })
}

type Reader = fn(&VehicleRecord, usize) -> f64;

const RECORD: [(&str, &str, Reader); 14] = [
    (
        "time_s",
        "end of the interval, time since first touch",
        |r, i| (i + 1) as f64 * r.interval_s,
    ),
    ("acceleration_x_mps2", MEAN_X, |r, i| {
        r.acceleration_mps2[i][0]
    }),
    ("acceleration_y_mps2", MEAN_Y, |r, i| {
        r.acceleration_mps2[i][1]
    }),
    ("acceleration_z_mps2", MEAN_Z, |r, i| {
        r.acceleration_mps2[i][2]
    }),
    (
        "yaw_rate_radps",
        "yaw rate at the interval's middle",
        |r, i| r.yaw_rate_radps[i],
    ),
    ("x_m", PLACE, |r, i| r.position_m[i][0]),
    ("y_m", PLACE, |r, i| r.position_m[i][1]),
    ("z_m", PLACE, |r, i| r.position_m[i][2]),
    ("vx_mps", SPEED, |r, i| r.end_velocity_mps[i][0]),
    ("vy_mps", SPEED, |r, i| r.end_velocity_mps[i][1]),
    ("vz_mps", SPEED, |r, i| r.end_velocity_mps[i][2]),
    ("roll_rad", TURN, |r, i| r.attitude_rad[i][0]),
    ("pitch_rad", TURN, |r, i| r.attitude_rad[i][1]),
    ("yaw_rad", TURN, |r, i| r.attitude_rad[i][2]),
];
const MEAN_X: &str =
    "mean acceleration of the centre of mass over the interval, forward (vehicle axes)";
const MEAN_Y: &str =
    "mean acceleration of the centre of mass over the interval, to the left (vehicle axes)";
const MEAN_Z: &str =
    "mean acceleration of the centre of mass over the interval, upward (vehicle axes)";
const PLACE: &str = "centre of mass at the interval's end, site frame";
const SPEED: &str = "velocity of the centre of mass at the interval's end, site frame";
const TURN: &str = "attitude at the interval's end";

/// The vehicle's whole record.
pub fn record(r: &VehicleRecord) -> Result<Table<'_>, ResultsError> {
    let rows = r.acceleration_mps2.len();
    for (column, found) in [
        ("yaw_rate_radps", r.yaw_rate_radps.len()),
        ("x_m", r.position_m.len()),
        ("vx_mps", r.end_velocity_mps.len()),
        ("roll_rad", r.attitude_rad.len()),
    ] {
        same_length("vehicle_record", column, found, rows)?;
    }
    Ok(Table {
        name: "vehicle_record",
        rows,
        columns: RECORD
            .iter()
            .map(|(name, meaning, read)| TableColumn {
                name: (*name).to_owned(),
                meaning,
                value: Box::new(move |i| read(r, i)),
            })
            .collect(),
    })
}

/// Both tables of a run.
pub fn of_run(engagement: &Engagement) -> Result<[Table<'_>; 2], ResultsError> {
    let tables = [history(&engagement.trace)?, record(&engagement.record)?];
    for t in &tables {
        t.check_finite()?;
    }
    Ok(tables)
}

/// Names and meanings of the columns of `vehicle_record`, in file order.
pub fn record_columns() -> Vec<(&'static str, &'static str)> {
    RECORD.iter().map(|c| (c.0, c.1)).collect()
}

/// Names and meanings of the columns of `history`, in file order. `{i}` stands for the number of a bolt.
pub fn history_columns() -> Vec<(&'static str, &'static str)> {
    let mut columns = vec![("time_s", TIME)];
    columns.extend_from_slice(HISTORY);
    columns
}

const CENTRE: &str = "vehicle's centre of mass, site frame";
const CENTRE_SPEED: &str = "velocity of the vehicle's centre of mass, site frame";
const ATTITUDE: &str = "attitude of the vehicle";
const ACCELERATION: &str = "acceleration of the vehicle's centre of mass, vehicle axes";
const FOOT: &str = "centre of the upper plate's underside, site frame";
const TIP: &str = "tip of the pole, site frame";

const HISTORY: &[(&str, &str)] = &[
    ("vehicle_x_m", CENTRE),
    ("vehicle_y_m", CENTRE),
    ("vehicle_z_m", CENTRE),
    ("vehicle_vx_mps", CENTRE_SPEED),
    ("vehicle_vy_mps", CENTRE_SPEED),
    ("vehicle_vz_mps", CENTRE_SPEED),
    ("vehicle_roll_rad", ATTITUDE),
    ("vehicle_pitch_rad", ATTITUDE),
    ("vehicle_yaw_rad", ATTITUDE),
    ("vehicle_ax_mps2", ACCELERATION),
    ("vehicle_ay_mps2", ACCELERATION),
    ("vehicle_az_mps2", ACCELERATION),
    (
        "velocity_change_mps",
        "speed lost along the initial direction of travel",
    ),
    (
        "contact_force_n",
        "normal force of the struck face on the pole, all bands",
    ),
    (
        "contact_friction_n",
        "friction of the struck face on the pole, all bands",
    ),
    ("crush_m", "largest crush over all bands"),
    ("dent_m", "deepest dent in the tube wall"),
    ("foot_x_m", FOOT),
    ("foot_y_m", FOOT),
    ("foot_z_m", FOOT),
    ("tip_x_m", TIP),
    ("tip_y_m", TIP),
    ("tip_z_m", TIP),
    ("foot_moment_nm", "bending moment of the pole at its foot"),
    (
        "contact_moment_nm",
        "bending moment of the pole at the contact height",
    ),
    ("fold_rad", "turn of the shaft's plastic hinge at its foot"),
    (
        "bolt{i}_tension_n",
        "tension of the bolt; 0 after its release",
    ),
    (
        "bolt{i}_washer_n",
        "force between plate, washer and plate at the bolt; 0 after its release",
    ),
    (
        "bolt{i}_slip_m",
        "horizontal slip of the upper seat from the lower seat at the bolt; 0 after its release",
    ),
    (
        "bolt{i}_slip_force_n",
        "force that the bolt carries across the slip plane; 0 after its release",
    ),
    (
        "bolt{i}_opening_m",
        "opening of the plates at the bolt from the preloaded state; 0 after its release",
    ),
    ("energy_vehicle_kinetic_j", "kinetic energy of the vehicle"),
    (
        "energy_support_kinetic_j",
        "kinetic energy of the support, rigid and elastic",
    ),
    (
        "energy_bending_j",
        "change of strain energy of the support's bending",
    ),
    ("energy_crush_j", "taken by crushing the vehicle"),
    ("energy_dent_j", "taken by denting the tube wall"),
    ("energy_friction_j", "taken by bolt friction"),
    ("energy_keeper_j", "taken by tearing the keeper"),
    ("energy_fold_j", "taken by the shaft's plastic hinges"),
    (
        "energy_found_j",
        "taken by what was found on site (grout, bars, lumps, soil, ...)",
    ),
    (
        "energy_other_j",
        "everything else: gravity, joint strain, bolt failure, rubbing, tyres, damping, releases",
    ),
    ("energy_residual_j", "what does not add up"),
];
