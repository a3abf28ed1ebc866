//! The base as found on site: the design with what was found put in, bolt by bolt.

use giveway_mechanics::clamp::{ClampProperties, preload_from_torque, torque_from_preload};
use giveway_mechanics::faults::{
    conduit_force, dish_angle, engaged_load, grout_hold, lump_force, notch_offset_force, pier,
    plate_spacing, soil_law, stub_force,
};
use giveway_mechanics::joint::{BoltFaults, Friction, FrictionLaw, GroutLaw, JointLaw, LumpLaw};
use giveway_mechanics::obstacle::{BarLaw, BarPlace, PierLaw, SoilLaw};
use giveway_mechanics::strength::InputError;
use giveway_scenario::model::{Keeper, KeeperFound, Plate, RoundWashers, Scenario, SlipBase};
use nalgebra::Vector2;

/// Least cosine of the angle to the blow from which something stands where the blow drives the foot (84 degrees).
const LEAST_AHEAD: f64 = 0.1;

/// What stands in the slip plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum BarKind {
    /// A stub, by its number from 1.
    Stub(usize),
    Conduit,
    /// Ice between the plates: it adheres in every direction, and stands last.
    Ice,
}

impl BarKind {
    /// Its place in `bars` of the outcome, where it has one: the number of a stub, none for the conduit.
    pub fn listed(self) -> Option<Option<usize>> {
        match self {
            Self::Stub(number) => Some(Some(number)),
            Self::Conduit => Some(None),
            Self::Ice => None,
        }
    }
}

/// Shear strength with which ice adheres to steel some degrees below freezing, Pa: the middle of 0.3 to 0.7 MPa (H. H. G.
/// Jellinek 1959, L. E. Raraty and D. Tabor 1958; recalled).
const ICE_ADHESION_PA: f64 = 5e5;
/// Slip or lift at which it has broken, m (assumed; it is brittle, and what it takes stays small beside the friction).
const ICE_BREAK_M: f64 = 1e-3;

/// A bar in the slip plane and what it is.
#[derive(Debug, Clone)]
pub(crate) struct Bar {
    pub law: BarLaw,
    pub kind: BarKind,
    /// Whether it stands where the blow drives the foot.
    pub ahead: bool,
}

/// Everything that the base does, as laws.
#[derive(Debug, Clone)]
pub(crate) struct BaseLaw {
    /// Bolts in their order.
    pub bolts: Vec<JointLaw>,
    pub bars: Vec<Bar>,
    pub soil: Option<SoilLaw>,
    /// Whether the soil lies where the blow drives the foot.
    pub soil_ahead: bool,
    pub pier: Option<PierLaw>,
}

/// Whether bolt `number` (from 1) is meant by a list of bolt numbers.
pub(crate) fn concerns(bolts: &[usize], number: usize) -> bool {
    bolts.is_empty() || bolts.contains(&number)
}

/// The scenario with the design's values replaced by those found, where a finding is such a value: clamp, keeper, plate
/// washers, round washers, orientation, height of the slip plane. What adds a force stays in `as_found`.
///
/// # Errors
/// A clamp value without meaning.
pub fn as_found(scenario: &Scenario) -> Result<Scenario, InputError> {
    let mut s = scenario.clone();
    let found = &scenario.as_found;
    let preloads = preloads(scenario)?;
    s.base.preload_n = preloads.into_iter().fold(f64::INFINITY, f64::min);
    if let Some(k) = found.threads.nut_factor() {
        s.base.nut_factor = k;
    }
    if let Some(t) = found.plate_washer_m {
        s.base.plate_washer_m = t;
    }
    match found.keeper {
        KeeperFound::AsDesigned => {}
        KeeperFound::Missing => s.base.keeper = None,
        KeeperFound::Thickness(t) => {
            s.base.keeper = scenario.base.keeper.clone().map(|k| Keeper {
                thickness_m: t,
                ..k
            });
        }
    }
    if matches!(found.round_washers, RoundWashers::Missing { .. }) {
        s.base.round_washer_m = 0.0;
    }
    s.base.first_bolt_azimuth_rad += found.turned_rad;
    if let Some(height) = found.slip_plane_height_m {
        s.site.slip_plane_height_m = height;
    }
    Ok(s)
}

/// Preload of each bolt, N.
fn preloads(scenario: &Scenario) -> Result<Vec<f64>, InputError> {
    let base = &scenario.base;
    let found = &scenario.as_found;
    let n = base.bolt_count;
    let d = base.bolt.diameter_m;
    let factor = found.threads.nut_factor();
    let mut preloads = if found.torques_nm.is_empty() && factor.is_none() {
        vec![base.preload_n; n]
    } else {
        let designed = match base.torque_nm {
            Some(torque) => torque,
            None => torque_from_preload(base.preload_n, base.nut_factor, d, base.relaxation)?,
        };
        let k = factor.unwrap_or(base.nut_factor);
        (0..n)
            .map(|i| {
                let torque = match found.torques_nm.as_slice() {
                    [] => designed,
                    [one] => *one,
                    each => each.get(i).copied().unwrap_or(designed),
                };
                preload_from_torque(torque, k, d, base.relaxation)
            })
            .collect::<Result<_, _>>()?
    };
    if let Some(threads) = found.engaged_threads {
        let most = engaged_load(threads, &base.bolt)?;
        for p in &mut preloads {
            *p = p.min(most);
        }
    }
    Ok(preloads)
}

/// The laws of the base. `designed` is the scenario as written, `found` the same with [`as_found`] applied.
pub(crate) fn base_law(designed: &Scenario, found: &Scenario) -> Result<BaseLaw, InputError> {
    let preloads = preloads(designed)?;
    let bolts = preloads
        .iter()
        .enumerate()
        .map(|(i, &preload_n)| bolt_law(designed, found, i + 1, preload_n))
        .collect::<Result<_, _>>()?;
    let spacing = plate_spacing(&designed.base, &designed.as_found);
    let site = &designed.as_found;
    let blow = found.impact.velocity_direction_rad;
    let blow = Vector2::new(libm::cos(blow), libm::sin(blow));
    let ahead = |direction: &Vector2<f64>| direction.dot(&blow) > LEAST_AHEAD;
    let mut bars = Vec::new();
    for (i, stub) in site.stubs.iter().enumerate() {
        let limit_n = stub_force(stub, &found.base, spacing)?;
        if limit_n > 0.0 {
            let direction = Vector2::new(libm::cos(stub.azimuth_rad), libm::sin(stub.azimuth_rad));
            bars.push(Bar {
                kind: BarKind::Stub(i + 1),
                ahead: ahead(&direction),
                law: BarLaw {
                    place: BarPlace::Outside {
                        direction,
                        plate_radius_m: found.base.plate_radius_m,
                    },
                    gap_m: stub.gap_m,
                    limit_n,
                    way_m: 0.5 * stub.diameter_m,
                    reach_m: stub.projection_m - spacing,
                },
            });
        }
    }
    if let Some(conduit) = &site.conduit {
        let limit_n = conduit_force(conduit, &found.base, spacing)?;
        if limit_n > 0.0 {
            bars.push(Bar {
                kind: BarKind::Conduit,
                ahead: true,
                law: BarLaw {
                    place: BarPlace::Opening,
                    gap_m: conduit.gap_m,
                    limit_n,
                    way_m: 0.5 * conduit.diameter_m,
                    reach_m: conduit.projection_m - spacing,
                },
            });
        }
    }
    // What is frozen must be torn off a plate; then it rubs without load, for the clamp goes through the washers.
    let (b, pole) = (&found.base, &found.support.pole);
    let bore = pole.base_diameter_m - 2.0 * pole.wall_m;
    let washers = match b.round_washer_m == 0.0 {
        true => 0,
        false => b.bolt_count,
    };
    let frozen_m2 = (site.ice).area_m2(b.plate_radius_m, bore, washers, b.round_washer_diameter_m);
    if frozen_m2 > 0.0 {
        bars.push(Bar {
            kind: BarKind::Ice,
            ahead: true,
            law: BarLaw {
                place: BarPlace::Opening,
                gap_m: 0.0,
                limit_n: ICE_ADHESION_PA * frozen_m2,
                way_m: ICE_BREAK_M,
                reach_m: ICE_BREAK_M,
            },
        });
    }
    let soil = match &site.soil {
        Some(s) if s.height_m <= 0.0 && s.slope_rad <= 0.0 => None,
        None => None,
        Some(s) => Some(soil_law(s, 2.0 * found.base.plate_radius_m)?),
    };
    let pier = match &site.foundation {
        None => None,
        Some(f) => Some(pier(f, found.site.slip_plane_height_m)?),
    };
    Ok(BaseLaw {
        bolts,
        bars,
        soil_ahead: soil.is_some_and(|soil| ahead(&soil.direction)),
        soil,
        pier,
    })
}

fn bolt_law(
    designed: &Scenario,
    found: &Scenario,
    number: usize,
    preload_n: f64,
) -> Result<JointLaw, InputError> {
    let b = SlipBase {
        preload_n,
        ..found.base.clone()
    };
    let c = ClampProperties::from_base(&b)?;
    let site = &designed.as_found;
    let faults = faults(designed, &b, number, c.preload_n)?;
    // Threads that are only partly engaged strip before the bolt yields, over half a pitch.
    let mut yield_load = c.yield_load_n;
    let mut rupture_stretch = c.rupture_stretch_m;
    let mut strips = false;
    if let Some(threads) = site.engaged_threads {
        let most = engaged_load(threads, &b.bolt)?;
        if most < yield_load {
            strips = true;
            yield_load = most;
            rupture_stretch = rupture_stretch.min(0.5 * b.bolt.pitch_m);
        }
    }
    let clean = JointLaw::clean(
        &Scenario {
            base: b,
            ..found.clone()
        },
        &c,
    );
    let offset = site.notch_offset_m.abs();
    Ok(JointLaw {
        axial: c.axial_law(c.preload_n, yield_load),
        rupture_stretch,
        friction: FrictionLaw {
            wall: larger(clean.friction.wall, rusted(designed)),
            ..clean.friction
        },
        travel_upper: clean.travel_upper - offset,
        // Notches that do not match leave less room on the side on which the plates then meet the bolt.
        room: (clean.room - offset).max(0.0),
        strips,
        faults,
        ..clean
    })
}

/// Sliding over static friction of plates on plates and of rusted faces (as the default of clean ones).
const SLIDING_PART: f64 = 2.0 / 3.0;

/// Least friction of every face that is rusted as found.
fn rusted(designed: &Scenario) -> Friction {
    let at_rest = designed.as_found.rust.least_friction();
    Friction {
        at_rest,
        sliding: at_rest * SLIDING_PART,
    }
}

fn larger(a: Friction, b: Friction) -> Friction {
    Friction {
        at_rest: a.at_rest.max(b.at_rest),
        sliding: a.sliding.max(b.sliding),
    }
}

/// What `a` has more than `b`.
fn above(a: Friction, b: Friction) -> Friction {
    Friction {
        at_rest: (a.at_rest - b.at_rest).max(0.0),
        sliding: (a.sliding - b.sliding).max(0.0),
    }
}

/// What holds one bolt; none where nothing does.
fn faults(
    designed: &Scenario,
    b: &SlipBase,
    number: usize,
    preload_n: f64,
) -> Result<Option<BoltFaults>, InputError> {
    let site = &designed.as_found;
    let mut f = BoltFaults::default();
    if let Some(grout) = &site.grout {
        let hold = grout_hold(grout, b)?;
        if concerns(&grout.bolts, number) && hold.force_n + hold.shank_n > 0.0 {
            let c = grout.cover_m;
            f.grout = Some(GroutLaw {
                bearing_n: hold.bearing_n,
                breakout_npm15: hold.breakout_n / (c * c.sqrt()),
                cover_m: c,
                shank_n: hold.shank_n,
                shank_gap_m: hold.shank_gap_m,
            });
        }
    }
    if let Some(lump) = &site.lump {
        let force = lump_force(lump, b)?;
        if concerns(&lump.bolts, number) && force > 0.0 {
            let law = LumpLaw {
                strength_npm: force / lump.length_m,
                length_m: lump.length_m,
            };
            match lump.plate {
                Plate::Lower => f.lump_lower = Some(law),
                Plate::Upper => f.lump_upper = Some(law),
            }
        }
    }
    let rusted = rusted(designed);
    if site.notch_offset_m != 0.0 {
        let wall = notch_offset_force(site.notch_offset_m.abs(), b)?;
        f.wall_friction_n = b.sliding_wall.max(rusted.sliding) * wall;
    }
    // Dishing is judged for the washers as found; the design's own washers may dish too.
    f.dish_slope = libm::tan(dish_angle(preload_n, b, b.plate_washer_m)?);
    let outer = Friction {
        at_rest: b.friction_outer,
        sliding: b.sliding_outer,
    };
    let inner = Friction {
        at_rest: b.friction_inner,
        sliding: b.sliding_inner,
    };
    f.rust[0] = above(rusted, outer);
    if let RoundWashers::Missing { plate_friction } = site.round_washers {
        let plates = Friction {
            at_rest: plate_friction,
            sliding: plate_friction * SLIDING_PART,
        };
        f.plate_friction = Some([larger(plates, rusted), inner]);
    } else {
        f.rust[1] = above(rusted, inner);
    }
    Ok((f != BoltFaults::default()).then_some(f))
}
