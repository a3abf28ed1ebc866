//! Design wind on the support: drag of tapered members, arms, luminaires and lumps, summed at the slip plane.
//!
//! Forces are horizontal, along the wind. A wind "toward azimuth a" blows in the direction (cos a, sin a) of the site
//! frame. Moments are about the pole axis at the slip plane.
//!
//! Choices, where the specification is silent or asks for more than the scenario holds:
//! - The speed V in V d is the 3 s gust at 10 m; height enters through K_z alone.
//! - 16-sided tubes are taken with sharp corners (corner radius ratio 0), the largest drag of their table.
//! - Square tubes: 2.0 on the width of a face for every wind direction (sharp corners; corner-on, a drag of about 1.5
//!   acts on 1.41 times the width, nearly the same force).
//! - An arm counts with its silhouette: element length times diameter times the sine of the angle between
//!   its axis and the wind, with the full drag coefficient of its section. Wind along a level arm therefore
//!   finds no arm, wind along a rising arm finds its rise; skin friction and the open end are left out.
//! - Luminaires and lumps show the same area to every wind; nothing shelters anything else.
//!
//! # References
//! - AASHTO Standard Specifications for Structural Supports for Highway Signs, Luminaires and Traffic Signals, 2001
//!   on: pressure, height factor, drag coefficients (recalled; verify against the current edition).

use crate::strength::{InputError, finite, not_negative, positive, within};
use crate::tube::diameter_at;
use giveway_scenario::model::{Arm, Section, Site, Support, Tube};

/// V d at which the drag of a slender section begins to fall, m^2/s.
const FALL_BEGINS: f64 = 5.33;
/// V d at which it has fallen, m^2/s.
const FALL_ENDS: f64 = 10.66;
/// Below this height above the ground the height factor stays constant, m.
const LOWEST_HEIGHT_M: f64 = 5.0;

/// Height factor K_z = 2.01 (z/274.3)^(2/9.5) with z, the height above the ground in m, at least 5 (recalled).
pub fn height_factor(height_m: f64) -> f64 {
    2.01 * libm::pow(height_m.max(LOWEST_HEIGHT_M) / 274.3, 2.0 / 9.5)
}

/// Wind pressure, Pa: P = 0.613 K_z G V^2 I_r C_d (recalled).
///
/// # Errors
/// A factor or speed that is negative or not finite.
pub fn wind_pressure(
    height_factor: f64,
    gust_factor: f64,
    speed_mps: f64,
    importance: f64,
    drag_coefficient: f64,
) -> Result<f64, InputError> {
    let kz = not_negative("height factor K_z", height_factor)?;
    let g = not_negative("gust factor G", gust_factor)?;
    let v = not_negative("wind speed V, m/s", speed_mps)?;
    let ir = not_negative("importance factor I_r", importance)?;
    let cd = not_negative("drag coefficient C_d", drag_coefficient)?;
    Ok(0.613 * kz * g * v * v * ir * cd)
}

/// Drag coefficient of a tube by section and V d in m^2/s (recalled); see the module's text for the choices.
///
/// | section | V d <= 5.33 | between | above 10.66 |
/// |---|---|---|---|
/// | round | 1.10 | 9.69/(V d)^1.3 | 0.45 |
/// | 16-sided, sharp | 1.10 | 1.37 - V d/19.8 | 0.83 |
/// | 12-sided | 1.20 | 3.28/(V d)^0.6 | 0.79 |
/// | 8-sided | 1.20 | 1.20 | 1.20 |
/// | square | 2.0 | 2.0 | 2.0 |
pub fn drag_coefficient(section: Section, speed_diameter_m2ps: f64) -> f64 {
    let vd = speed_diameter_m2ps;
    let by_branch = |low: f64, between: f64, high: f64| {
        if vd <= FALL_BEGINS {
            low
        } else if vd <= FALL_ENDS {
            between
        } else {
            high
        }
    };
    match section {
        Section::Round => by_branch(1.10, 9.69 / libm::pow(vd, 1.3), 0.45),
        Section::SixteenSided => by_branch(1.10, 1.37 - vd / 19.8, 0.83),
        Section::TwelveSided => by_branch(1.20, 3.28 / libm::pow(vd, 0.6), 0.79),
        Section::EightSided => 1.20,
        Section::Square => 2.0,
    }
}

/// What the wind does at the slip plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindAction {
    /// The way the wind blows, rad.
    pub azimuth_rad: f64,
    /// Shear, site x and y, N.
    pub shear_n: [f64; 2],
    /// Overturning moment about site x and y, N.m: the sum of r x F.
    pub moment_nm: [f64; 2],
    /// Torsion about the pole axis, anticlockwise, N.m.
    pub torsion_nm: f64,
}

/// Drag of a straight member across the wind: the force and its first moment along the member.
#[derive(Debug, Clone, Copy, PartialEq)]
struct MemberDrag {
    /// Integral of q C_d d over the length, N.
    force_n: f64,
    /// The same weighted with the fraction of the length from the base, N.
    first_n: f64,
}

/// An arm's drag and its place.
#[derive(Debug, Clone, Copy, PartialEq)]
struct ArmDrag {
    drag: MemberDrag,
    direction: [f64; 2],
    reach_m: f64,
    rise_m: f64,
    height_m: f64,
}

/// A thing of fixed drag.
#[derive(Debug, Clone, Copy, PartialEq)]
struct PointDrag {
    position_m: [f64; 3],
    force_n: f64,
}

/// Drag of a whole support, integrated once; [`WindModel::action`] turns it to any wind direction.
#[derive(Debug, Clone, PartialEq)]
pub struct WindModel {
    pole: MemberDrag,
    pole_length_m: f64,
    arms: Vec<ArmDrag>,
    points: Vec<PointDrag>,
}

impl WindModel {
    /// Integrates the drag of pole, arms, luminaires and lumps. A wind speed of 0 is allowed.
    ///
    /// # Errors
    /// A size, factor or speed of site or support that is not finite or has no meaning.
    pub fn new(site: &Site, support: &Support) -> Result<Self, InputError> {
        let pressure = Pressure::new(site)?;
        let length = positive("pole length, m", support.pole_length_m)?;
        let pole = pressure.member(&support.pole, length, 0.0, length)?;
        let mut arms = Vec::with_capacity(support.arms.len());
        let mut points = Vec::new();
        for arm in &support.arms {
            let drag = pressure.arm(arm)?;
            for luminaire in &arm.luminaires {
                let out = arm.reach_m + finite("luminaire lever, m", luminaire.lever_m)?;
                let position_m = [
                    out * drag.direction[0],
                    out * drag.direction[1],
                    arm.attachment_height_m + arm.rise_m,
                ];
                let area = luminaire.drag_area_m2;
                points.push(pressure.point(position_m, area, luminaire.drag_coefficient)?);
            }
            arms.push(drag);
        }
        for lump in &support.lumps {
            let azimuth = finite("azimuth of a lump, rad", lump.azimuth_rad)?;
            let offset = finite("offset of a lump, m", lump.offset_m)?;
            let position_m = [
                offset * libm::cos(azimuth),
                offset * libm::sin(azimuth),
                finite("height of a lump, m", lump.height_m)?,
            ];
            points.push(pressure.point(position_m, lump.drag_area_m2, lump.drag_coefficient)?);
        }
        Ok(Self {
            pole,
            pole_length_m: length,
            arms,
            points,
        })
    }

    /// Shear, overturning moment and torsion at the slip plane for a wind that blows toward `azimuth_rad`.
    pub fn action(&self, azimuth_rad: f64) -> WindAction {
        let wind = [libm::cos(azimuth_rad), libm::sin(azimuth_rad)];
        // Sums of force, force times height, and torsion x F_y - y F_x.
        let mut force = self.pole.force_n;
        let mut turning = self.pole.first_n * self.pole_length_m;
        let mut torsion = 0.0;
        for arm in &self.arms {
            let length_sq = arm.reach_m * arm.reach_m + arm.rise_m * arm.rise_m;
            let along = arm.reach_m * (arm.direction[0] * wind[0] + arm.direction[1] * wind[1]);
            // sin^2 = 1 - cos^2 of the angle between arm axis and wind
            let sine = (1.0 - along * along / length_sq).max(0.0).sqrt();
            force += arm.drag.force_n * sine;
            turning += (arm.drag.force_n * arm.height_m + arm.drag.first_n * arm.rise_m) * sine;
            let cross = arm.direction[0] * wind[1] - arm.direction[1] * wind[0];
            torsion += arm.drag.first_n * arm.reach_m * sine * cross;
        }
        for point in &self.points {
            let [x, y, z] = point.position_m;
            force += point.force_n;
            turning += point.force_n * z;
            torsion += point.force_n * (x * wind[1] - y * wind[0]);
        }
        WindAction {
            azimuth_rad,
            shear_n: [force * wind[0], force * wind[1]],
            // r x F with F horizontal: M_x = -z F_y, M_y = z F_x
            moment_nm: [-turning * wind[1], turning * wind[0]],
            torsion_nm: torsion,
        }
    }
}

/// Pressure without drag coefficient, by height above the slip plane.
struct Pressure {
    /// 0.613 G V^2 I_r, Pa.
    base_pa: f64,
    speed_mps: f64,
    slip_plane_m: f64,
}

impl Pressure {
    fn new(site: &Site) -> Result<Self, InputError> {
        Ok(Self {
            base_pa: wind_pressure(
                1.0,
                site.wind_gust_factor,
                site.wind_speed_mps,
                site.wind_importance,
                1.0,
            )?,
            speed_mps: site.wind_speed_mps,
            slip_plane_m: finite("slip plane height, m", site.slip_plane_height_m)?,
        })
    }

    fn at(&self, height_m: f64) -> f64 {
        self.base_pa * height_factor(self.slip_plane_m + height_m)
    }

    fn point(&self, position_m: [f64; 3], area_m2: f64, cd: f64) -> Result<PointDrag, InputError> {
        let area = not_negative("area exposed to wind, m^2", area_m2)?;
        let cd = not_negative("drag coefficient", cd)?;
        Ok(PointDrag {
            position_m,
            force_n: self.at(position_m[2]) * area * cd,
        })
    }

    fn arm(&self, arm: &Arm) -> Result<ArmDrag, InputError> {
        let reach = not_negative("reach of an arm, m", arm.reach_m)?;
        let rise = finite("rise of an arm, m", arm.rise_m)?;
        let height = not_negative("attachment height of an arm, m", arm.attachment_height_m)?;
        let azimuth = finite("azimuth of an arm, rad", arm.azimuth_rad)?;
        let length = positive("length of an arm, m", (reach * reach + rise * rise).sqrt())?;
        Ok(ArmDrag {
            drag: self.member(&arm.tube, length, height, rise)?,
            direction: [libm::cos(azimuth), libm::sin(azimuth)],
            reach_m: reach,
            rise_m: rise,
            height_m: height,
        })
    }

    /// Integral of q(z) C_d(V d) d ds over a straight tapered member whose base stands at `height_m` above the slip
    /// plane and whose tip is `rise_m` higher. Three-point Gauss on 16 panels between the kinks of K_z and C_d.
    fn member(
        &self,
        tube: &Tube,
        length_m: f64,
        height_m: f64,
        rise_m: f64,
    ) -> Result<MemberDrag, InputError> {
        let base = positive("base diameter of a tube, m", tube.base_diameter_m)?;
        let tip = positive("tip diameter of a tube, m", tube.tip_diameter_m)?;
        let mut cuts = vec![0.0, 1.0];
        cuts.extend(crossing(
            self.slip_plane_m + height_m,
            rise_m,
            LOWEST_HEIGHT_M,
        ));
        for limit in [FALL_BEGINS, FALL_ENDS] {
            cuts.extend(crossing(
                self.speed_mps * base,
                self.speed_mps * (tip - base),
                limit,
            ));
        }
        cuts.sort_by(f64::total_cmp);
        let line = |s: f64| {
            let d = diameter_at(tube, s);
            let cd = drag_coefficient(tube.section, self.speed_mps * d);
            self.at(height_m + rise_m * s) * cd * d * length_m
        };
        let mut sum = MemberDrag {
            force_n: 0.0,
            first_n: 0.0,
        };
        for piece in cuts.windows(2) {
            let panel = (piece[1] - piece[0]) / PANELS as f64;
            for i in 0..PANELS {
                let middle = piece[0] + (i as f64 + 0.5) * panel;
                for (place, weight) in GAUSS {
                    let s = middle + 0.5 * panel * place;
                    let share = 0.5 * panel * weight * line(s);
                    sum.force_n += share;
                    sum.first_n += share * s;
                }
            }
        }
        Ok(MemberDrag {
            force_n: within(
                "wind force on a member, N",
                sum.force_n,
                sum.force_n >= 0.0,
                "zero or more",
            )?,
            first_n: finite("wind moment of a member, N", sum.first_n)?,
        })
    }
}

/// Panels between two kinks.
const PANELS: usize = 16;
/// Places and weights of three-point Gauss quadrature on -1 to 1.
const GAUSS: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 5.0 / 9.0),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 5.0 / 9.0),
];

/// Where `start + slope s` crosses `level` inside 0 < s < 1.
fn crossing(start: f64, slope: f64, level: f64) -> Option<f64> {
    let s = (level - start) / slope;
    (s > 0.0 && s < 1.0).then_some(s)
}
