//! Side view of a vehicle from what the scenario gives: upper contour, bands of the faces, length.
//!
//! Points are (distance behind the foremost line, height above the ground), m. What the scenario does not give
//! (underside, windows) is drawn from common proportions and carries no meaning.

use giveway_scenario::model::Vehicle;

/// A point of the side view.
pub type Corner = (f64, f64);

/// Upper contour from front to rear, or a plain lid where the scenario gives none.
fn contour(v: &Vehicle) -> Vec<Corner> {
    if v.outline.len() >= 2 {
        return v.outline.clone();
    }
    let top = v.front.bands.iter().map(|b| b.upper_m).fold(0.5, f64::max);
    vec![(0.0, top), (v.length_m, top)]
}

/// Height of the highest point.
pub fn top(v: &Vehicle) -> f64 {
    contour(v).iter().map(|p| p.1).fold(0.0, f64::max)
}

/// Closed side view: up the front along its bands, along the contour, down the rear, back along the underside.
pub fn side_view(v: &Vehicle) -> Vec<Corner> {
    let contour = contour(v);
    let (brow, tail) = (contour[0], contour[contour.len() - 1]);
    let bands = v.front.bands.iter().chain(&v.side.bands);
    let low = bands
        .map(|b| b.lower_m)
        .fold(0.6 * brow.1, f64::min)
        .max(0.0);
    let mut out: Vec<Corner> = Vec::new();
    for b in v.front.bands.iter().filter(|b| b.lower_m < brow.1) {
        if out.is_empty() && b.lower_m > low + 0.02 {
            out.push((b.setback_m + 0.12, low));
        }
        out.push((b.setback_m, b.lower_m));
        out.push((b.setback_m, b.upper_m.min(brow.1)));
    }
    if out.is_empty() {
        out.push((brow.0, low));
    }
    out.extend(contour);
    out.push((tail.0, (0.5 * tail.1).max(low)));
    out.push((tail.0 - 0.12, low));
    out
}

/// Radius of the wheels: they have no size in the scenario and follow the height of the body.
pub fn wheel_radius(v: &Vehicle) -> f64 {
    (top(v) / 4.8).clamp(0.2, 0.5)
}

/// Windows of a car.
#[derive(Debug, Clone, PartialEq)]
pub struct Windows {
    /// Contour above the waist, closed by it.
    pub side: Vec<Corner>,
    /// Height of the waist.
    pub waist: f64,
    /// Where the glass begins and ends, behind the foremost line.
    pub glass: (f64, f64),
    /// Where the roof begins and ends.
    pub roof: (f64, f64),
}

/// Windows, where the contour looks like a car's: a roof above 1.1 m that rises well above the rest.
pub fn windows(v: &Vehicle) -> Option<Windows> {
    let (contour, top) = (contour(v), top(v));
    if v.guided || top < 1.1 {
        return None;
    }
    let waist = 0.69 * top;
    let mut side: Vec<Corner> = Vec::new();
    for (i, &b) in contour.iter().enumerate() {
        if i > 0 {
            let a = contour[i - 1];
            if (a.1 < waist) != (b.1 < waist) {
                let s = (waist - a.1) / (b.1 - a.1);
                side.push((a.0 + s * (b.0 - a.0), waist));
            }
        }
        if b.1 >= waist {
            side.push(b);
        }
    }
    let roof: Vec<f64> = contour
        .iter()
        .filter(|p| p.1 > 0.93 * top)
        .map(|p| p.0)
        .collect();
    let (&first, &last) = (roof.first()?, roof.last()?);
    let glass = (side.first()?.0, side.last()?.0);
    if side.len() < 3 || first >= last {
        return None;
    }
    // A contour that stays high to its rear end is closed by the waist below that end.
    if side[side.len() - 1].1 > waist {
        side.push((glass.1, waist));
    }
    if side[0].1 > waist {
        side.insert(0, (glass.0, waist));
    }
    Some(Windows {
        side,
        waist,
        glass,
        roof: (first, last),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use giveway_scenario::model::{Band, Face};

    fn band(lower_m: f64, upper_m: f64, setback_m: f64) -> Band {
        Band {
            name: String::new(),
            lower_m,
            upper_m,
            setback_m,
            crush_curve: vec![],
            unloading_npm: 0.0,
        }
    }

    fn car() -> Vehicle {
        let face = |bands| Face { bands };
        Vehicle {
            class: String::new(),
            guided: false,
            mass_kg: 1000.0,
            cg_height_m: 0.5,
            cg_to_front_m: 1.7,
            length_m: 4.0,
            width_m: 1.7,
            cg_to_front_axle_m: 0.9,
            wheelbase_m: 2.4,
            track_m: 1.4,
            roll_inertia_kgm2: 1.0,
            pitch_inertia_kgm2: 1.0,
            yaw_inertia_kgm2: 1.0,
            underside_m: 0.15,
            wheel_stiffness_npm: 1.0,
            wheel_damping_nspm: 1.0,
            front: face(vec![band(0.25, 0.45, 0.07), band(0.45, 0.60, 0.0)]),
            side_body: giveway_scenario::model::StruckBody {
                share: 0.0,
                stiffness_npm: 5e6,
                yield_n: 5e4,
                hardening_npm: 1e5,
            },
            side: face(vec![band(0.20, 0.6, 0.0)]),
            face_friction: 0.3,
            outline: vec![(0.0, 0.7), (1.0, 0.9), (2.0, 1.4), (3.0, 1.4), (4.0, 1.0)],
            skin: giveway_scenario::model::Skin::default(),
            head_x_m: 0.0,
            head_y_m: 0.0,
        }
    }

    #[test]
    fn the_side_view_reaches_from_the_underside_to_the_roof() {
        let view = side_view(&car());
        let low = view.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        assert_eq!(low, 0.20);
        assert_eq!(top(&car()), 1.4);
        // The bumper's face is part of it.
        assert!(view.contains(&(0.0, 0.45)) && view.contains(&(0.0, 0.60)));
        // Anticlockwise or clockwise, but without crossing: its area is that of a car.
        let area: f64 = view
            .iter()
            .zip(view.iter().cycle().skip(1))
            .map(|(a, b)| 0.5 * (a.0 * b.1 - b.0 * a.1))
            .sum::<f64>()
            .abs();
        assert!((3.0..4.5).contains(&area), "{area}");
    }

    #[test]
    fn windows_of_a_car_and_none_of_a_pendulum() {
        let w = windows(&car()).unwrap();
        assert!((w.waist - 0.966).abs() < 1e-12);
        // On the windscreen line from (1, 0.9) to (2, 1.4) the waist is met at 1.132 m.
        assert!((w.glass.0 - 1.132).abs() < 1e-9);
        assert_eq!(w.glass.1, 4.0);
        assert_eq!(w.roof, (2.0, 3.0));
        let guided = Vehicle {
            guided: true,
            ..car()
        };
        assert_eq!(windows(&guided), None);
        let bare = Vehicle {
            outline: vec![],
            ..car()
        };
        assert_eq!(windows(&bare), None);
        assert!(side_view(&bare).len() >= 4);
    }
}
