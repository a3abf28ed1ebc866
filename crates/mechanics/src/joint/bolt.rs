//! A bolt in the course of a run.

use nalgebra::Vector2;

use super::axial::Pull;
use super::hold::FaultEnergy;
use super::{Course, JointLaw, Limit, Way};

/// Speed scale of the rubbing of the plates after release, m/s.
const RUB_SCALE: f64 = 0.05;

/// How a bolt has left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Departure {
    /// Out of the lower plate's notch with the upper plate.
    LowerNotch,
    /// Left behind by the upper plate.
    UpperNotch,
    /// Squeezed out between the walls.
    Squeezed,
    /// Sheared.
    Sheared,
    /// Pulled apart.
    Ruptured,
    /// Its nut's threads stripped.
    Stripped,
}

/// Energies that a bolt has taken, J.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoltEnergy {
    /// Friction.
    pub friction: f64,
    /// Keeper.
    pub keeper: f64,
    /// Yielding in tension and shearing off.
    pub failure: f64,
    /// Damping of the stack.
    pub damping: f64,
    /// Stored: stick spring and joint diagram, change since the start.
    pub stored: f64,
    /// Stored energy set free at release.
    pub freed: f64,
    /// Rubbing of the plates after release.
    pub rub: f64,
    /// Stripping the nut's threads.
    pub strip: f64,
    /// Taken by what was found on site.
    pub faults: FaultEnergy,
}

/// A bolt in the course of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltState {
    /// Outward notch axis n in the slip plane (unit).
    pub axis: Vector2<f64>,
    /// Departure, once it has happened.
    pub departure: Option<Departure>,
    /// Bolt tension, N.
    pub tension: f64,
    /// Washer force, N.
    pub washer: f64,
    /// Force on the upper plate in the slip plane, N.
    pub force: Vector2<f64>,
    /// Vertical force on the upper plate, N.
    pub lift: f64,
    /// Energies.
    pub energy: BoltEnergy,
    /// Largest force of the findings on site against lower and upper plate while the bolt slid, N.
    pub peak_held: [f64; 2],
    keeper_torn: bool,
    /// Square of the largest force in the slip plane, and the notch case then.
    hardest: Option<(f64, Departure)>,
    slip: Vector2<f64>,
    place: Vector2<f64>,
    slid: Vector2<f64>,
    path: [f64; 2],
    opening: f64,
    /// Stretch that the bolt has kept, m.
    stretched: f64,
    /// Opening that the plates have kept, m.
    bent: f64,
    /// Speed at which the upper seat slides, as friction remembers it, m/s.
    speed: f64,
    bearing: bool,
    /// Way that is left in the notch that it leaves first, m, and how fast that shrinks, m/s.
    left: f64,
    nearing: f64,
    /// Speed at which the upper seat slid in the last step, m/s.
    slides_at: f64,
    /// Opening at which the plates touch after release, m.
    floor: Option<f64>,
}

/// How the upper plate moves at a bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Opening rate, m/s.
    pub opening_rate: f64,
    /// Horizontal velocity of the upper seat, m/s.
    pub velocity: Vector2<f64>,
    /// Slope of the upper plate along x and y.
    pub slope: Vector2<f64>,
    /// How much further than its upper seat the plate has moved under the bolt in this step, by turning, m.
    pub twist: Vector2<f64>,
    /// Whether the upper seat lies over the lower plate.
    pub over_plate: bool,
    /// One over the time of the step, 1/s; 0 for a push without time.
    pub inverse_dt: f64,
}

impl Default for Motion {
    fn default() -> Self {
        Self {
            opening_rate: 0.0,
            velocity: Vector2::zeros(),
            slope: Vector2::zeros(),
            twist: Vector2::zeros(),
            over_plate: true,
            inverse_dt: 0.0,
        }
    }
}

/// What the step did, for the event count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoltEvents {
    /// The bolt was released in this step, at this fraction of it.
    pub released: Option<f64>,
    /// The keeper tore in this step.
    pub keeper_torn: bool,
}

/// What the joint diagram gives in a step.
struct Opened {
    tension: f64,
    washer: f64,
    lift: f64,
    vertical_work: f64,
    damped: f64,
    yielded: f64,
}

/// How a bolt leaves that gives way itself.
fn leaves(law: &JointLaw, ruptured: bool, sheared: bool) -> Option<Departure> {
    match (ruptured, sheared) {
        (true, _) if law.strips => Some(Departure::Stripped),
        (true, _) => Some(Departure::Ruptured),
        (false, true) => Some(Departure::Sheared),
        (false, false) => None,
    }
}

impl BoltState {
    /// A bolt at rest in its notches, opening `u` and displacement `s` as given, nothing stored.
    pub fn at_rest(axis: Vector2<f64>, law: &JointLaw, s: Vector2<f64>, u: f64) -> Self {
        let mut bolt = Self {
            axis,
            departure: None,
            tension: 0.0,
            washer: 0.0,
            force: Vector2::zeros(),
            lift: 0.0,
            energy: BoltEnergy::default(),
            keeper_torn: law.keeper_tear <= 0.0,
            hardest: None,
            slip: Vector2::zeros(),
            place: Vector2::zeros(),
            slid: Vector2::zeros(),
            path: [0.0; 2],
            peak_held: [0.0; 2],
            opening: 0.0,
            stretched: 0.0,
            bent: 0.0,
            speed: 0.0,
            bearing: true,
            left: 0.0,
            nearing: 0.0,
            slides_at: 0.0,
            floor: None,
        };
        bolt.advance(law, s, u, &Motion::default());
        bolt.energy = BoltEnergy::default();
        bolt
    }

    /// Present displacement of the upper seat from the lower seat, m.
    pub fn slip(&self) -> Vector2<f64> {
        self.slip
    }

    /// Present opening, m.
    pub fn opening(&self) -> f64 {
        self.opening
    }

    /// Way that the upper seat has slid against the lower one, m; the stick spring's stretch does not count.
    pub fn slid(&self, law: &JointLaw) -> f64 {
        (self.slip + self.force / law.stick_stiffness).norm()
    }

    /// Stretch that the bolt has kept and opening that its plates have kept, m.
    pub fn kept(&self) -> [f64; 2] {
        [self.stretched, self.bent]
    }

    /// Speed of the upper seat's sliding, as friction remembers it, m/s.
    #[inline]
    pub fn sliding_speed(&self) -> f64 {
        self.speed
    }

    /// Speed at which the upper seat slid in the last step, m/s.
    #[inline]
    pub fn slides_at(&self) -> f64 {
        self.slides_at
    }

    /// Whether the bolt, sliding on as in the last step, is out of a notch within `time`, s.
    #[inline]
    pub fn leaves_within(&self, time: f64) -> bool {
        self.left < self.nearing * time
    }

    /// Which way the bolt goes when the upper seat has moved by `s`; a bolt that has gone stands for its upper seat.
    #[inline]
    pub fn way(&self, law: &JointLaw, s: &Vector2<f64>) -> Way {
        if self.departure.is_some() {
            return Way {
                shift: *s,
                ..Way::default()
            };
        }
        let course = law.course(&self.axis, s);
        Way {
            course,
            shift: law.shift_on(&course, &self.axis),
        }
    }

    /// Whether the bolt has gone and the plates can no longer meet at it: it takes no force any more.
    pub fn is_clear(&self) -> bool {
        self.departure.is_some() && !self.bearing && self.lift == 0.0
    }

    /// Gap between the plates at a bolt that has gone, m; none where they may bear on each other, infinite where they no longer can.
    #[inline]
    pub fn apart(&self) -> f64 {
        if self.is_clear() {
            return f64::INFINITY;
        }
        match self.floor {
            Some(floor) if self.lift == 0.0 => self.opening - floor,
            _ => 0.0,
        }
    }

    /// Moves the bolt to the displacement `s` of the upper seat and the opening `u` at the bolt. Updates
    /// forces and energies.
    pub fn advance(
        &mut self,
        law: &JointLaw,
        s: Vector2<f64>,
        u: f64,
        motion: &Motion,
    ) -> BoltEvents {
        let way = self.way(law, &s);
        self.advance_along(law, &way, s, u, motion)
    }

    /// The same where its way is known: [`BoltState::way`] of `s`.
    pub fn advance_along(
        &mut self,
        law: &JointLaw,
        Way { course, shift }: &Way,
        s: Vector2<f64>,
        u: f64,
        motion: &Motion,
    ) -> BoltEvents {
        if self.departure.is_some() {
            self.bear(law, s, u, motion);
            return BoltEvents::default();
        }
        let mut events = BoltEvents::default();

        let Opened {
            tension,
            washer,
            lift,
            vertical_work,
            damped,
            yielded,
        } = self.open(law, u, motion.opening_rate);

        // Slip plane.
        let ds = s - self.slip;
        let slid = self.slid_by(law, &s);
        let limit = law.limit(self, course, &slid, tension, washer);
        let (force, sliding) = self.held_force(law, &limit, &s);
        let slip_work = -0.5 * (self.force + force).dot(&ds);
        let stick = |f: &Vector2<f64>| f.norm_squared() / (2.0 * law.stick_stiffness);
        let stored = stick(&force) - stick(&self.force);
        // The bolt slides along the tilted plate: that part of the plate's work is not opening.
        let climb = motion.slope.dot(&(shift - self.place - ds - motion.twist));
        let mut dissipated = slip_work - stored + 0.5 * (self.lift + lift) * climb;

        self.energy.stored += vertical_work - damped - yielded + stored;
        let (mut lift, mut force) = (lift, force);

        // Events.
        let sheared = limit.shears && sliding && limit.parts(&force);
        let out_lower = limit.travel_lower >= law.travel_lower;
        let out_upper = limit.travel_upper >= law.travel_upper;
        let ruptured = self.stretched > law.rupture_stretch;
        let mut fraction = 1.0;
        if out_lower || out_upper || (sheared && !ruptured) {
            // The force of this step acts up to the release: weight (fraction of the step - 1/2), as the force before
            // has acted on its first half.
            fraction = if out_lower || out_upper {
                self.crossing(law, course, &slid)
            } else {
                self.parting(law, &limit, &ds)
            };
            dissipated -= (1.0 - fraction) * slip_work;
            self.energy.stored -= (1.0 - fraction) * vertical_work;
            lift *= fraction - 0.5;
            force *= fraction - 0.5;
        }
        if sheared {
            self.energy.failure += dissipated;
        } else {
            self.book_slide(law, &limit, dissipated, (tension, washer));
        }
        if !self.keeper_torn && limit.path_lower >= law.keeper_way {
            self.keeper_torn = true;
            events.keeper_torn = true;
        }
        self.departure = leaves(law, ruptured, sheared)
            .or_else(|| (out_lower || out_upper).then_some(limit.kind));
        let squared = force.norm_squared();
        if self.hardest.is_none_or(|(most, _)| squared > most) {
            self.hardest = Some((squared, limit.kind));
        }
        self.tension = tension;
        self.washer = washer;
        // Sliding is what the stick spring has not taken up.
        let sprung = (force - self.force) / law.stick_stiffness;
        let speed = (ds + sprung).norm() * motion.inverse_dt;
        self.slides_at = speed;
        self.speed += (speed - self.speed) * law.friction.follows(motion.inverse_dt);
        self.force = force;
        self.lift = lift;
        self.slip = s;
        self.slid = slid;
        self.path = [
            self.path[0].max(limit.path_lower),
            self.path[1].max(limit.path_upper),
        ];
        let left =
            (law.travel_lower - limit.travel_lower).min(law.travel_upper - limit.travel_upper);
        self.nearing = (self.left - left) * motion.inverse_dt;
        self.left = left;
        self.place = *shift;
        self.opening = u;
        if self.departure.is_some() {
            events.released = Some(fraction);
            self.settle(ruptured, sheared);
        }
        events
    }

    /// The joint diagram at the opening `u`: forces, and what this step did to plates, bolt and damper, which is booked.
    #[inline]
    fn open(&mut self, law: &JointLaw, u: f64, opening_rate: f64) -> Opened {
        let pull = law.axial.pull(u, self.stretched, self.bent);
        self.stretched += pull.stretch;
        self.bent += pull.bent;
        let damp = -law.damping_time * law.axial.stiffness() * opening_rate;
        let lift = pull.lift() + damp;
        let du = u - self.opening;
        let damped = -damp * du;
        let yielded = pull.tension * pull.stretch - pull.lift() * pull.bent;
        self.energy.damping += damped;
        if law.strips {
            self.energy.strip += yielded;
        } else {
            self.energy.failure += yielded;
        }
        Opened {
            tension: pull.tension,
            washer: pull.washer,
            lift,
            vertical_work: -0.5 * (self.lift + lift) * du,
            damped,
            yielded,
        }
    }

    /// Books a bolt that has left: what it stored is set free; a sheared one keeps it as failure energy.
    fn settle(&mut self, ruptured: bool, sheared: bool) {
        if ruptured || sheared {
            // The bolt parts now: what it stored goes, sheared bolts keep it as failure energy.
            if sheared && !ruptured {
                self.energy.failure += self.energy.stored;
            } else {
                self.energy.freed += self.energy.stored;
                self.force = Vector2::zeros();
                self.lift = 0.0;
            }
        } else {
            self.energy.freed += self.energy.stored;
        }
        self.energy.stored = 0.0;
        self.tension = 0.0;
        self.washer = 0.0;
    }

    /// The bolt is levered out of its notches by a plate that stands on edge, and the plates no longer meet at it: it takes no
    /// force any more, what it stored is set free. Whether it was still in.
    pub fn lever_out(&mut self) -> bool {
        let was_in = self.departure.is_none();
        if was_in {
            self.departure = Some(Departure::Ruptured);
        }
        self.bearing = false;
        self.energy.freed += self.energy.stored;
        self.energy.stored = 0.0;
        self.force = Vector2::zeros();
        (self.lift, self.tension, self.washer) = (0.0, 0.0, 0.0);
        was_in
    }

    /// Divides the energy of a slide: the keeper and the findings on site take their force along the bolt's paths on
    /// the two plates, friction takes the rest.
    #[inline]
    fn book_slide(
        &mut self,
        law: &JointLaw,
        limit: &Limit,
        dissipated: f64,
        (tension, washer): (f64, f64),
    ) {
        let lower = (limit.path_lower - self.path[0]).max(0.0);
        let upper = (limit.path_upper - self.path[1]).max(0.0);
        let most = dissipated.max(0.0);
        let keeper = (limit.keeper * lower).clamp(0.0, most);
        let mut rest = dissipated - keeper;
        if let Some(held) = &law.found_in(limit, tension, washer) {
            let work = held.work(lower, upper);
            if work > 0.0 {
                let factor = (most - keeper).min(work) / work;
                self.energy.faults.add(held, lower, upper, factor);
                rest -= factor * work;
                // A bolt that only strains its stick spring has not reached what could hold it.
                for plate in 0..2 {
                    let reached = factor * held.sum(plate);
                    self.peak_held[plate] = self.peak_held[plate].max(reached);
                }
            }
        }
        self.energy.keeper += keeper;
        self.energy.friction += rest;
    }

    /// Whether the blow asked the bolt to leave its lower notch: by the way it went, or, for a bolt that did not go,
    /// by the notch case at its largest force.
    pub fn must_leave_lower(&self) -> bool {
        match self.departure {
            Some(Departure::UpperNotch) => false,
            Some(Departure::LowerNotch | Departure::Squeezed) => true,
            _ => self
                .hardest
                .is_some_and(|(_, kind)| kind != Departure::UpperNotch),
        }
    }

    /// Whether the keeper at this bolt is torn.
    pub fn keeper_torn(&self) -> bool {
        self.keeper_torn
    }

    /// Vertical force on the upper plate if the opening were `u` after a step of `1/inverse_dt`, N. Nothing is changed; it falls
    /// as u grows.
    pub fn lift_at(&self, law: &JointLaw, u: f64, inverse_dt: f64) -> f64 {
        let rate = (u - self.opening) * inverse_dt;
        if self.departure.is_some() {
            return self.borne(law, u, rate);
        }
        damped_lift(law, &law.axial.pull(u, self.stretched, self.bent), rate)
    }

    /// Force on the upper plate, in the slip plane and vertical, N, if its seat stood at `s` and the opening were `u` after a
    /// step of `1/inverse_dt`. Nothing is changed.
    pub fn force_at(
        &self,
        law: &JointLaw,
        s: &Vector2<f64>,
        u: f64,
        inverse_dt: f64,
    ) -> (Vector2<f64>, f64) {
        let rate = (u - self.opening) * inverse_dt;
        if self.departure.is_some() {
            let lift = self.borne(law, u, rate);
            return (rubbed(law, lift, &((s - self.slip) * inverse_dt)), lift);
        }
        let pull = law.axial.pull(u, self.stretched, self.bent);
        let (course, slid) = (law.course(&self.axis, s), self.slid_by(law, s));
        let limit = law.limit(self, &course, &slid, pull.tension, pull.washer);
        let (force, _) = self.held_force(law, &limit, s);
        (force, damped_lift(law, &pull, rate))
    }

    /// Vertical force of plates that bear on each other where the bolt is gone, N.
    fn borne(&self, law: &JointLaw, u: f64, rate: f64) -> f64 {
        match self.floor {
            Some(floor) if self.bearing && u < floor => {
                (law.axial.bearing() * (floor - u - law.damping_time * rate)).max(0.0)
            }
            _ => 0.0,
        }
    }

    /// What of the displacement `s` of the upper seat has been slid: what the spring does not hold. The spring's stretch is
    /// that of the last step, which keeps the law explicit; in sliding it hardly changes.
    #[inline(always)]
    fn slid_by(&self, law: &JointLaw, s: &Vector2<f64>) -> Vector2<f64> {
        s + self.force / law.stick_stiffness
    }

    /// Force on the upper plate in the slip plane within that limit, N, when the upper seat stands at `s`, and whether the
    /// bolt slides.
    #[inline(always)]
    fn held_force(&self, law: &JointLaw, limit: &Limit, s: &Vector2<f64>) -> (Vector2<f64>, bool) {
        let trial = self.force - (s - self.slip) * law.stick_stiffness;
        let (held, sliding) = limit.surface.hold(-trial);
        (-held, sliding)
    }

    /// Fraction of the slide `ds` of this step at which the bolt's shear was reached.
    fn parting(&self, law: &JointLaw, limit: &Limit, ds: &Vector2<f64>) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..30 {
            let middle = 0.5 * (low + high);
            let trial = self.force - ds * (law.stick_stiffness * middle);
            if limit.parts(&limit.surface.hold(-trial).0) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }

    /// Fraction of the step at which the travel reached L, by linear interpolation.
    #[cold]
    fn crossing(&self, law: &JointLaw, course: &Course, slid: &Vector2<f64>) -> f64 {
        let travel = |slid: &Vector2<f64>| {
            let l = law.limit(self, course, slid, 0.0, 0.0);
            // How far beyond its release.
            (l.travel_lower - law.travel_lower).max(l.travel_upper - law.travel_upper)
        };
        let (a, b) = (travel(&self.slid), travel(slid));
        if b > a {
            (-a / (b - a)).clamp(0.0, 1.0)
        } else {
            1.0
        }
    }

    /// After release the plates only bear: compression over the lower plate, with the friction between them as found.
    fn bear(&mut self, law: &JointLaw, s: Vector2<f64>, u: f64, motion: &Motion) {
        let floor = match self.floor {
            // They have not passed through each other: where they lie now is where they touch.
            None => {
                self.slip = s;
                self.opening = u;
                self.force = Vector2::zeros();
                self.lift = 0.0;
                u.min(0.0)
            }
            // A plate that has lifted touches where it is level, not lower.
            Some(floor) => floor.max(u.min(0.0)),
        };
        self.bearing &= motion.over_plate;
        let (mut lift, mut damp) = (0.0, 0.0);
        let had_floor = self.floor.replace(floor).is_some();
        if self.bearing && had_floor && u < floor {
            let rate = motion.opening_rate;
            let bearing = law.axial.bearing();
            let press = bearing * (floor - u);
            lift = (press - law.damping_time * bearing * rate).max(0.0);
            damp = lift - press;
        }
        let force = rubbed(law, lift, &motion.velocity);
        let ds = s - self.slip;
        let du = u - self.opening;
        self.energy.rub -= 0.5 * (self.force + force).dot(&ds);
        self.energy.stored -= 0.5 * (self.lift + lift) * du - damp * du;
        self.energy.damping -= damp * du;
        if !self.bearing {
            self.energy.freed += self.energy.stored;
            self.energy.stored = 0.0;
        }
        self.force = force;
        self.lift = lift;
        self.slip = s;
        self.opening = u;
    }
}

/// Vertical force of a clamped bolt whose joint opens at `rate`, N.
fn damped_lift(law: &JointLaw, pull: &Pull, rate: f64) -> f64 {
    pull.lift() - law.damping_time * law.axial.stiffness() * rate
}

/// Friction on an upper plate that bears with the force `lift` and moves at `velocity`, N.
fn rubbed(law: &JointLaw, lift: f64, velocity: &Vector2<f64>) -> Vector2<f64> {
    if lift <= 0.0 {
        return Vector2::zeros();
    }
    let speed = (velocity.norm_squared() + RUB_SCALE * RUB_SCALE).sqrt();
    velocity * (-law.friction_between() * lift / speed)
}
