//! What a flight reports: contacts, dents, places.

use std::collections::BTreeMap;

use giveway_scenario::model::{self, Vehicle};
use nalgebra::Vector3;

use super::ground::Lowest;
use super::outcome::{Contact, Dent, DentVerdict, Part, Zone};
use super::piece::Piece;
use super::skin::{Carrier, Hit};

/// A blow is over after this time without touch, s.
const BLOW_S: f64 = 0.02;

/// Limit and its source.
pub(crate) const ROOF: (f64, &str) = (0.102, "MASH 2016: roof 102 mm [recalled]");
pub(crate) const WINDSCREEN: (f64, &str) = (0.076, "MASH 2016: windscreen 76 mm [recalled]");

/// Contacts by what touches what.
#[derive(Debug, Clone, Default)]
pub(crate) struct Log {
    contacts: BTreeMap<(Zone, Part), Contact>,
    /// Fastest closing speed so far, m/s.
    pub hardest: f64,
}

impl Log {
    /// A contact with skin or face.
    pub fn of_vehicle(&mut self, v: &Vehicle, hit: &Hit, time: f64, dt: f64) {
        let on = [
            v.cg_to_front_m - hit.on_vehicle.x,
            hit.on_vehicle.y,
            hit.on_vehicle.z + v.cg_height_m,
        ];
        let at = (hit.place.into(), Some(on));
        self.add(
            (hit.zone, hit.part),
            time,
            at,
            hit.closing,
            hit.force.norm() * dt,
            hit.energy,
        );
    }

    /// A contact with ground or stub.
    pub fn of_ground(
        &mut self,
        zone: Zone,
        low: &Lowest,
        closing: f64,
        impulse: f64,
        energy: f64,
        time: f64,
    ) {
        self.add(
            (zone, low.part),
            time,
            (low.place.into(), None),
            closing,
            impulse,
            energy,
        );
    }

    fn add(
        &mut self,
        key: (Zone, Part),
        time: f64,
        at: ([f64; 3], Option<[f64; 3]>),
        closing: f64,
        impulse: f64,
        energy: f64,
    ) {
        let contact = self.contacts.entry(key).or_insert_with(|| {
            if closing > self.hardest {
                self.hardest = closing;
            }
            Contact {
                part: key.1,
                zone: key.0,
                time_s: time,
                place_m: at.0,
                on_vehicle_m: at.1,
                closing_mps: closing,
                blow_ns: 0.0,
                blow_j: 0.0,
                impulse_ns: 0.0,
                energy_j: 0.0,
                last_s: time,
            }
        });
        // The first blow lasts as long as no gap has come.
        if contact.blow_ns == contact.impulse_ns && time - contact.last_s < BLOW_S {
            contact.blow_ns += impulse;
            contact.blow_j += energy;
        }
        contact.impulse_ns += impulse;
        contact.energy_j += energy;
        contact.last_s = time;
    }

    /// Whether no panel of the skin was touched.
    pub fn clear_of_skin(&self) -> bool {
        !self
            .contacts
            .keys()
            .any(|(zone, _)| !matches!(zone, Zone::Face | Zone::Ground | Zone::Stub))
    }

    /// In the order of their first touch.
    pub fn contacts(self) -> Vec<Contact> {
        let mut list: Vec<Contact> = self.contacts.into_values().collect();
        list.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        list
    }
}

/// What the course of the flight adds to a dent's range, as a factor: the place of the touch, and with it the dent, moves with
/// the step by up to a tenth about its middle (seen: 91 to 108 mm at 2 to 0.5 ms in `heavy_15m_slow_car`).
const COURSE: f64 = 1.1;

/// A dent, largest and remaining, with its range. The same energy on a skin that is L times as stiff dents it
/// 1/sqrt(L) as deep: E = k D^2/2 \[derived\]; the course of the flight adds a tenth.
pub(crate) fn dent(skin: &model::Skin, depth: (f64, f64), limit: (f64, &str)) -> Dent {
    let factor = COURSE * skin.spread.sqrt();
    let (low_m, high_m) = (depth.1 / factor, depth.1 * factor);
    Dent {
        largest_m: depth.0,
        remaining_m: depth.1,
        low_m,
        high_m,
        limit_m: limit.0,
        source: limit.1.to_owned(),
        verdict: if depth.0 <= 0.0 {
            DentVerdict::Untouched
        } else if high_m <= limit.0 {
            DentVerdict::Below
        } else if low_m > limit.0 {
            DentVerdict::Above
        } else {
            DentVerdict::Marginal
        },
    }
}

/// Foot and tip of the pole, site frame.
pub(crate) fn ends(pole: &Piece) -> [[f64; 3]; 2] {
    pole.rods
        .iter()
        .find(|rod| rod.part == Part::Pole)
        .map_or([[0.0; 3]; 2], |rod| rod.ends.map(Into::into))
}

/// Places of all parts of a kind, site frame.
pub(crate) fn places(pieces: &[Piece], part: Part) -> Vec<[f64; 3]> {
    pieces
        .iter()
        .flat_map(|piece| {
            piece
                .rods
                .iter()
                .filter(|rod| rod.part == part)
                .map(|rod| rod.ends[1].into())
        })
        .collect()
}

/// Whether the vehicle stands over a part of a piece that lies near the ground (`low`). Its front is crushed back to `front`, vehicle
/// axes.
pub(crate) fn over<'a>(
    v: &Vehicle,
    front: f64,
    car: &Carrier,
    mut low: impl Iterator<Item = &'a Piece>,
) -> bool {
    let underside = v.underside_m - v.cg_height_m;
    low.any(|piece| {
        piece.rods.iter().any(|rod| {
            let [a, b] = rod.ends;
            (0..=12).any(|i| {
                let at = car
                    .rotation
                    .tr_mul(&(a + (b - a) * (f64::from(i) / 12.0) - car.x));
                at.x < front
                    && at.x > v.cg_to_front_m - v.length_m
                    && at.y.abs() < 0.5 * v.width_m
                    && at.z < underside + rod.radius_from
            })
        })
    })
}

/// Clearance between the vehicle's underside and what stands `height` m high at the pole's place, m; none where the
/// vehicle is not over it.
pub(crate) fn over_stub(v: &Vehicle, car: &Carrier, height: f64) -> Option<f64> {
    let at = car
        .rotation
        .tr_mul(&(Vector3::new(0.0, 0.0, height) - car.x));
    let inside = at.x < v.cg_to_front_m
        && at.x > v.cg_to_front_m - v.length_m
        && at.y.abs() < 0.5 * v.width_m;
    inside.then(|| v.underside_m - v.cg_height_m - at.z)
}
