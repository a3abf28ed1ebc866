"""Independent planar referee of a central impact: car, bending pole, slip joint.

    python planar.py case.json --out result.json [--elements 40] [--max-step 2e-5] [--rtol 1e-7]

State: vehicle (x, z, pitch), pole nodes (x, z, theta), their velocities, and the energy quadratures.
The time integrator is scipy.integrate.DOP853 driven step by step (the object behind solve_ivp): the memory of
crush, dent, stick springs and bolt yield is frozen within a step of at most `max_step` and renewed after it;
releases, keeper tears and shears are located on the dense output and the integration restarts there.
"""

import argparse
import json
import math
import time

import caseio  # first: sets the thread count
import numpy as np
from scipy.integrate import DOP853
from scipy.optimize import brentq

from beam import Pole
from crush import Band
from joint import Joint
from plates import rate_factor

RUB_SPEED = 0.05  # m/s, regularisation of Coulomb friction
WORKS = ("joint_normal", "joint_damping", "joint_slip", "crush", "face_rub", "bearing_normal", "plate_rub",
         "tyre", "bending_damping", "fold", "fold_side", "kink", "bars", "soil", "foundation")
EXTRA = 3  # fold angle; pier's displacement and speed


class Planar:
    """One run."""

    def __init__(self, case, elements=40, max_step=2e-5, rtol=1e-7, options=None):
        self.case, self.max_step, self.rtol = case, max_step, rtol
        self.options = {"friction_at": "body", "bending": "exact", "hold_after": 0.02, "kink": "on",
                        "damping": "series"} | (options or {})
        site, base, support, vehicle = case["site"], case["base"], case["support"], case["vehicle"]
        self._check(case)
        self.joint = Joint(case)
        self.found = self.joint.found
        self.g, self.slip_z = site["gravity_mps2"], self.found.slip_plane
        bands = vehicle["front"]["bands"]
        heights = [0.5 * (b["lower_m"] + b["upper_m"]) for b in bands]
        m, r, t = support["plate_mass_kg"], base["plate_radius_m"], base["upper_plate_m"]
        # Nodes at the band heights, foremost band first, where that leaves no very short element.
        marks, least = [0.0], 0.6 * support["pole_length_m"] / elements
        for band, height in sorted(zip(bands, heights), key=lambda p: p[0]["setback_m"]):
            if min(abs(height - self.slip_z - mark) for mark in marks) >= least:
                marks.append(height - self.slip_z)
        self.pole = Pole(support, m * r * r / 4.0 + m * t * t / 12.0, elements, marks[1:],
                         self.options["bending"] == "linear")
        tube = support["pole"]
        # docs/theory.md, 3.6: the across-flats distance in the round formula; no fold of a rigid support.
        d, t = tube["base_diameter_m"], tube["wall_m"]
        fast = tube["material"]["yield_pa"] * rate_factor(tube["material"])
        self.fold_moment = fast * (d**3 - (d - 2.0 * t) ** 3) / 6.0
        self.peak_fold = self.peak_pier = self.peak_kink = 0.0
        self.onset = None
        self.bands = [Band(b, tube["wall_m"], fast) for b in bands]
        # The kink: at the middle of the band that can carry the largest force, as the pole stands.
        strong = heights[max(range(len(bands)), key=lambda i: max(f for _, f in bands[i]["crush_curve"]))] - self.slip_z
        self.struck = int(np.argmin(abs(self.pole.s - strong))) or None
        self.kink_loss = 0.0  # strain energy that a deeper dent takes from the hinge
        if self.struck and self.options["kink"] == "on":
            self.pole.hinge = self.struck
            self.kink_d = caseio.section(tube, self.pole.s[self.struck] / self.pole.length)[0]
            self.kink_full = fast * (self.kink_d**3 - (self.kink_d - 2.0 * t) ** 3) / 6.0
            self.pole.kink_moment = self.kink_full
        # Band points in vehicle axes (ahead of and above the centre of mass).
        self.points = [(vehicle["cg_to_front_m"] - b["setback_m"], h - vehicle["cg_height_m"])
                       for b, h in zip(bands, heights)]
        self.v = vehicle
        self.guided = vehicle["guided"]
        b = vehicle["wheelbase_m"] - vehicle["cg_to_front_axle_m"]
        weight = vehicle["mass_kg"] * self.g
        self.axles = [(vehicle["cg_to_front_axle_m"], weight * b / vehicle["wheelbase_m"]),
                      (-b, weight * vehicle["cg_to_front_axle_m"] / vehicle["wheelbase_m"])]
        self.n = 3 + 3 * self.pole.count
        self.extra = 2 * self.n
        self.works = self.extra + EXTRA

    @staticmethod
    def _check(case):
        """The planar model covers central frontal impacts without arms only."""
        impact = case["impact"]
        central = abs(impact["heading_rad"]) + abs(impact["velocity_direction_rad"]) + abs(impact["offset_m"]) < 1e-12
        if not central or impact["face"] != "front" or case["support"]["arms"]:
            raise ValueError("planar referee: heading, velocity direction, offset must be 0, face front, no arms")
        if case["base"]["anchorage"] != "slip":
            raise ValueError("planar referee: anchorage must be slip")

    # ---- initial state -------------------------------------------------------------------------------------

    def initial(self):
        """Static equilibrium under gravity, front just touching, speed on the vehicle."""
        pole, joint = self.pole, self.joint
        q = pole.reference.copy()
        weight = pole.total * self.g
        foot = -weight / (len(joint.bolts) * joint.axial)
        above = np.cumsum(pole.weight_mass[::-1])[::-1][1:] * self.g
        z = foot + np.concatenate([[0.0], np.cumsum(-above / pole.ea)])
        q[1::3] += z + self.slip_z
        touch = math.inf
        for ahead, up in self.points:
            height = self.v["cg_height_m"] + up
            radius = 0.5 * caseio.section(self.case["support"]["pole"], (height - self.slip_z) / pole.length)[0]
            touch = min(touch, -radius - ahead)
        y = np.zeros(self.works + len(WORKS))
        y[0:3] = touch, self.v["cg_height_m"], 0.0
        y[3:self.n] = q
        y[self.n] = self.case["impact"]["speed_mps"]
        return y

    # ---- forces --------------------------------------------------------------------------------------------

    def contact(self, i, y, state, solve, q=None):
        """Contact of band i: (force, spot, offset geometry, slide speed, approach speed, penetration, diameter)."""
        n = self.n
        x, z, pitch = y[0], y[1], y[2]
        sin, cos = math.sin(pitch), math.cos(pitch)
        a, b = self.points[i]
        px, pz = x + a * cos + b * sin, z - a * sin + b * cos
        nx, nz = cos, -sin
        spot = self.pole.locate(y[3:n] if q is None else q, state, px, pz, nx, nz)
        if spot is None:
            return None
        e, xi, rx, rz = spot[:4]
        fraction = (self.pole.s[e] + xi * self.pole.h[e]) / self.pole.length
        tube = self.case["support"]["pole"]
        diameter = tube["base_diameter_m"] + (tube["tip_diameter_m"] - tube["base_diameter_m"]) * fraction
        gap = (px - rx) * nx + (pz - rz) * nz + 0.5 * diameter
        if gap <= 0.0 and solve:
            return None
        force = self.bands[i].solve(gap, diameter)[0] if solve else 0.0
        # Gradient of the gap at the pole: with the axis direction a and m across n, -(n - (a.n - r') m/(a.m)).
        ax, az = self.pole.tangent(spot, state)
        mx, mz = -nz, nx
        taper = 0.5 * (tube["tip_diameter_m"] - tube["base_diameter_m"]) / self.pole.length
        tilt = (ax * nx + az * nz - taper) / (ax * mx + az * mz)
        return force, spot, (rx, rz, nx - tilt * mx, nz - tilt * mz, fraction), gap, diameter

    def forces(self, y, audit=None):
        """Generalised force on the vehicle (fx, fz, my), on the pole nodes, and the powers.

        The powers' entries `fold_rate` and `pier_force` are no powers: the rate of the hinge and the force on the pier.
        """
        n, joint, pole = self.n, self.joint, self.pole
        q, qd = y[3:n], y[n + 3:2 * n]
        fi, state = pole.internal(q)
        f = -fi
        f[1::3] -= pole.weight_mass * self.g
        power = dict.fromkeys(WORKS, 0.0)
        vehicle = [0.0, -self.v["mass_kg"] * self.g, 0.0]
        x, z, pitch = y[:3].tolist()
        vx, vz, spin = y[n:n + 3].tolist()

        # Tyres: vertical spring and damper at each axle, static load at the start; braking drag on request.
        if not self.guided:
            for arm, static in self.axles:
                drop = -(z - self.v["cg_height_m"] - arm * math.sin(pitch))
                rate = -(vz - arm * math.cos(pitch) * spin)
                load = max(0.0, static + 2.0 * (self.v["wheel_stiffness_npm"] * drop + self.v["wheel_damping_nspm"] * rate))
                drag = -self.case["site"]["road_friction"] * self.case["impact"]["braking"] * load
                drag *= vx / math.sqrt(vx * vx + RUB_SPEED**2)
                vehicle[0] += drag
                vehicle[1] += load
                vehicle[2] += -arm * math.cos(pitch) * load + self.v["cg_height_m"] * -drag
                power["tyre"] -= load * -rate + drag * (vx - self.v["cg_height_m"] * spin)

        # Contact of the bands.
        total = 0.0
        for i in range(len(self.bands)):
            hit = self.contact(i, (x, z, pitch), state, True, q)
            if hit is None or hit[0] <= 0.0:
                continue
            force, spot, (rx, rz, gx, gz, fraction), _, diameter = hit
            shape = pole.shape(spot)
            e = spot[0]
            speed = (shape @ qd[3 * e:3 * e + 6]).tolist()
            # The push follows the gradient of the gap and acts on the axis; friction acts on the tube's surface, its
            # moment about the axis turns the body as a whole (docs/theory.md, 4.3) or, on request, the axis there.
            ox, oz = -0.5 * diameter * math.cos(pitch), 0.5 * diameter * math.sin(pitch)
            spin_there, moment_shape = pole.body_turn(q, qd) if self.options["friction_at"] == "body" else (speed[2], None)
            cx, cz = rx - x, rz - z
            # Velocity of the pole against the vehicle on the axis and on the surface: v + theta_dot (z, -x).
            ax, az = speed[0] - vx - spin * cz, speed[1] - vz + spin * cx
            ux, uz = ax + (spin_there - spin) * oz, az - (spin_there - spin) * ox
            size = math.hypot(gx, gz)
            mx, mz = -gz / size, gx / size
            slide = ux * mx + uz * mz
            rub = -self.v["face_friction"] * force * slide / math.sqrt(slide * slide + RUB_SPEED**2)
            fx, fz = force * gx + rub * mx, force * gz + rub * mz
            moment = rub * (oz * mx - ox * mz)
            if moment_shape is not None:
                f += moment_shape * moment
            f[3 * e:3 * e + 6] += shape.T @ np.array([fx, fz, 0.0 if moment_shape is not None else moment])
            vehicle[0] -= fx
            vehicle[1] -= fz
            vehicle[2] -= cz * fx - cx * fz + moment
            power["crush"] -= force * (ax * gx + az * gz)
            power["face_rub"] -= rub * slide
            total += force
            if audit is not None:
                audit["spots"].append((force, spot, fraction))

        # Slip joint on the foot node; the plate is turned against it by the fold, and rides over the pier.
        x0, z0, t0 = q[:3].tolist()
        z0 -= self.slip_z
        u0, w0, r0 = qd[:3].tolist()
        fold, pier_x, pier_v = y[self.extra:self.works].tolist()
        t0 += fold
        x0, u0 = x0 - pier_x, u0 - pier_v  # relative to the lower plate
        sin, cos = math.sin(t0), math.cos(t0)
        vertical, across = [], []
        for bolt in joint.bolts:
            seat = bolt.seat
            if bolt.released is None:
                s = x0 + seat * cos - seat
                shift = joint.paths(bolt, s)[3]
                a = (seat + shift - x0) / cos
                u = z0 - a * sin
                u_rate = w0 - a * cos * r0
                tension, washer = joint.tension(bolt, u)
                c = joint.damping * (joint.axial if self.options["damping"] == "series" else joint.kb + joint.kc)
                pull = joint.pull(bolt, s, tension, washer)[0]
                slip = pull[0]
                vertical.append((a, washer - tension, u_rate, c, False))
                across.append((seat, slip, None))
                if audit is not None:
                    audit["bolts"].append((tension, washer, u, math.hypot(*pull)))
            else:
                depth = bolt.floor - (z0 - seat * sin)
                if audit is not None:
                    audit["bolts"].append((0.0, 0.0, z0 - seat * sin, 0.0))
                y2 = (self.case["base"]["bolt_circle_m"] / 2.0 * bolt.ny) ** 2
                if depth > 0.0 and (x0 + seat * cos) ** 2 + y2 < joint.plate_radius**2:
                    rate = w0 - seat * cos * r0
                    stiff = joint.bearing_stiffness
                    vertical.append((seat, stiff * depth, rate, joint.damping * stiff, True))
                    across.append((seat, None, len(vertical) - 1))
        # The hinge: rigid, or turning so that the vertical forces' moment stays at M_p (the damping makes it an ODE).
        def pushes(rate):
            out = []
            for a, spring, u_rate, c, contact in vertical:
                force = spring - c * (u_rate - a * cos * rate)
                out.append(max(0.0, force) if contact else force)
            return out
        rate = 0.0
        forces = pushes(0.0)
        moment = sum(-v[0] * cos * p for v, p in zip(vertical, forces))
        if abs(moment) > self.fold_moment:
            for _ in range(3):
                damp = sum(v[3] * (v[0] * cos) ** 2 for v, p in zip(vertical, forces) if p != 0.0 or not v[4])
                rate += (moment - math.copysign(self.fold_moment, moment)) / damp
                forces = pushes(rate)
                moment = sum(-v[0] * cos * p for v, p in zip(vertical, forces))
        power["fold_rate"] = rate
        fx = fz = my = 0.0
        turn = r0 + rate
        for (a, spring, u_rate, c, contact), push in zip(vertical, forces):
            u_rate -= a * cos * rate
            fz += push
            if contact:
                power["bearing_normal"] -= push * u_rate
            else:
                power["joint_normal"] -= spring * u_rate
                power["joint_damping"] += c * u_rate * u_rate
        side = 0.0
        for seat, slip, bearing in across:
            az = -seat * sin
            speed = u0 + az * turn
            if bearing is None:
                force, name = -slip, "joint_slip"
            else:
                force = -joint.mu_rub * forces[bearing] * speed / math.sqrt(speed * speed + RUB_SPEED**2)
                name = "plate_rub"
            fx += force
            side += az * force
            power[name] -= force * speed
        my = moment + side
        power["fold"] += moment * rate
        power["fold_side"] += side * rate
        # Bars ride on the lower plate, the soil does not.
        for bar in self.found.bars:
            force = bar.force(x0, z0)
            fx += force
            power["bars"] -= force * u0
            if audit is not None:
                audit["bars"].append(abs(force))
        pier = self.found.pier
        if pier:
            spring = pier.force(pier_x)
            power["pier_force"] = spring - fx
            power["foundation"] -= spring * pier_v
        soil = self.found.soil
        if soil:
            press, drag, _ = soil.force(x0 + pier_x, z0)
            fx -= soil.sign * press
            fz += drag
            power["soil"] += soil.sign * press * (u0 + pier_v) - drag * w0
            if audit is not None:
                audit["soil"].append(press)
        f[0] += fx
        f[1] += fz
        f[2] += my
        power["kink"] = pole.kink_power(q, qd, state)
        return vehicle, f, power, total

    def rhs(self, _, y):
        """dy/dt."""
        n = self.n
        vehicle, f, power, _ = self.forces(y)
        out = np.zeros_like(y)
        out[:n] = y[n:2 * n]
        out[n] = vehicle[0] / self.v["mass_kg"]
        out[n + 1] = 0.0 if self.guided else vehicle[1] / self.v["mass_kg"]
        out[n + 2] = 0.0 if self.guided else vehicle[2] / self.v["pitch_inertia_kgm2"]
        out[n + 3:2 * n], power["bending_damping"] = self.pole.acceleration(y[3:n], y[n + 3:2 * n], f)
        if self.guided:
            power["tyre"] = 0.0
        out[self.extra] = power["fold_rate"]
        if self.found.pier:
            out[self.extra + 1] = y[self.extra + 2]
            out[self.extra + 2] = power["pier_force"] / self.found.pier.mass
        out[self.works:] = [power[name] for name in WORKS]
        return out

    # ---- events and memory ---------------------------------------------------------------------------------

    def slide(self, bolt, y):
        """Horizontal displacement of the upper seat from the lower seat."""
        return y[3] - y[self.extra + 1] + bolt.seat * (math.cos(y[5] + y[self.extra]) - 1.0)

    def opening(self, bolt, s, y):
        """Opening at the bolt's present place."""
        turn = y[5] + y[self.extra]
        a = (bolt.seat + self.joint.paths(bolt, s)[3] - (y[3] - y[self.extra + 1])) / math.cos(turn)
        return y[4] - self.slip_z - a * math.sin(turn)

    def watch(self):
        """Event functions that are live now: (bolt index, what, function of y); each crosses zero upwards."""
        joint, out = self.joint, []
        for i, bolt in enumerate(joint.bolts):
            if bolt.released is not None:
                continue
            out.append((i, "release", lambda y, b=bolt: joint.progress(b, self.slide(b, y))))
            out.append((i, "shear", lambda y, b=bolt: self.shear_excess(b, y)))
        for i, bar in enumerate(self.found.bars):
            if bar.gone is None:
                out.append((i, "bar", lambda y, b=bar: b.past(y[3] - y[self.extra + 1]) - b.reach))
        return out

    def shear_excess(self, bolt, y):
        """Positive when the bolt's force reaches the limit at which it shears."""
        s = self.slide(bolt, y)
        tension, washer = self.joint.tension(bolt, self.opening(bolt, s, y))
        return 1.0 if self.joint.pull(bolt, s, tension, washer)[2] else -1.0

    def renew(self, y, t, dt=0.0):
        """Advance all memory to the state y, dt after the last time."""
        joint = self.joint
        state = self.pole.internal(y[3:self.n])[1]
        for i, band in enumerate(self.bands):
            hit = self.contact(i, y, state, False)
            if hit is not None and hit[3] > 0.0:
                band.advance(hit[3], hit[4])
        self.renew_kink(y[3:self.n], state)
        shift = y[3] - y[self.extra + 1]
        for bar in self.found.bars:
            bar.renew(shift, y[4] - self.slip_z, t)
        if self.found.pier:
            self.found.pier.renew(y[self.extra + 1])
            self.peak_pier = max(self.peak_pier, abs(y[self.extra + 1]))
        if self.found.soil:
            self.found.soil.renew(y[3], y[4] - self.slip_z)
        self.peak_fold = max(self.peak_fold, abs(y[self.extra]))
        for bolt in joint.bolts:
            if bolt.released is not None:
                continue
            s = self.slide(bolt, y)
            u = self.opening(bolt, s, y)
            tension, washer = joint.settle(bolt, u)
            before = bolt.slip, bolt.side
            force, (bolt.slip, bolt.side), _ = joint.pull(bolt, s, tension, washer)
            joint.remember(bolt, math.hypot(bolt.slip - before[0], bolt.side - before[1]), dt)
            self.onset = t if self.onset is None and abs(s) >= 1e-3 else self.onset
            bolt.peak_tension = max(bolt.peak_tension, tension)
            bolt.peak_slip = max(bolt.peak_slip, math.hypot(*force))
            joint.book(bolt, s, tension, washer)
            if bolt.stretch > joint.rupture:
                bolt.released, bolt.fate = t, "stripped" if joint.strips else "ruptured"

    def renew_kink(self, q, state):
        """Keep the kink, and weaken its section by the deepest dent."""
        pole = self.pole
        if pole.hinge is None:
            return
        pole.kink = pole.kink_at(q, state[6], state[7])
        dent = min(max(b.dent for b in self.bands), self.kink_d / 2.0)
        a = math.acos(1.0 - 2.0 * dent / self.kink_d)
        weaker = self.kink_full * (math.cos(a / 2.0) - math.sin(a) / 2.0)
        if weaker < pole.kink_moment:
            before = pole.strain_energy(q)
            pole.kink_moment = weaker
            pole.kink = pole.kink_at(q, state[6], state[7])
            self.kink_loss += before - pole.strain_energy(q)
        self.peak_kink = max(self.peak_kink, abs(pole.kink))

    def fire(self, index, what, t, y):
        """Carry out a located event."""
        if what == "bar":
            self.found.bars[index].gone = t
            return
        bolt = self.joint.bolts[index]
        # Released plates touch where they lay, or level if the plate has lifted (docs/theory.md, 5.8).
        bolt.floor = min(0.0, float(y[4] - self.slip_z - bolt.seat * math.sin(y[5] + y[self.extra])))
        if what == "shear":
            bolt.released, bolt.fate = t, "sheared"
        else:
            kind = self.joint.kind(bolt, self.slide(bolt, y))[0]
            bolt.released = t
            bolt.fate = {"a": "left-lower-notch", "b": "left-upper-notch", "c": "squeezed-out"}[kind]

    # ---- run -----------------------------------------------------------------------------------------------

    def energy(self, y):
        """Mechanical energy held: vehicle, pole kinetic, strain, gravity."""
        n = self.n
        v = self.v
        vehicle = 0.5 * v["mass_kg"] * (y[n] ** 2 + y[n + 1] ** 2) + 0.5 * v["pitch_inertia_kgm2"] * y[n + 2] ** 2
        gravity = self.g * (v["mass_kg"] * y[1] + float(self.pole.weight_mass @ y[4:n:3]))
        return {"vehicle_kinetic": vehicle, "support_kinetic": self.pole.kinetic(y[3:n], y[n + 3:2 * n]),
                "bending_strain": self.pole.strain_energy(y[3:n]), "gravity": gravity}

    def run(self, limit=None):
        """Integrate; returns the result as a dict."""
        began = time.perf_counter()
        limit = self.case["solver"]["engagement_limit_s"] if limit is None else limit
        y, t = self.initial(), 0.0
        renewed, crossed, start_x = 0.0, None, y[0]
        start = self.energy(y)
        n, v0 = self.n, y[self.n]
        atol = np.full(len(y), 1e-10)
        atol[n:2 * n] = 1e-7
        atol[self.extra:self.works] = 1e-9, 1e-10, 1e-7
        atol[self.works:] = 1e-3
        steps = evaluations = 0
        trace, last_touch, release_v, stop = [], None, None, "time-limit"
        foot_moment = contact_moment = 0.0
        peak = (0.0, 0.0)
        touch_v, peak_soil, peak_bar = 0.0, 0.0, 0.0
        while t < limit:
            solver = DOP853(self.rhs, t, y, limit, rtol=self.rtol, atol=atol, max_step=self.max_step)
            live = self.watch()
            before = [f(y) for _, _, f in live]
            ended = False
            while solver.status == "running":
                solver.step()
                if solver.status == "failed":
                    raise RuntimeError(f"integrator failed at {solver.t} s")
                steps += 1
                after = [f(solver.y) for _, _, f in live]
                hits = [k for k in range(len(live)) if before[k] < 0.0 <= after[k]]
                if hits:
                    dense = solver.dense_output()
                    lo, hi = solver.t_old, solver.t
                    times = [brentq(lambda x, k=k: live[k][2](dense(x)), lo, hi, xtol=1e-15) for k in hits]
                    when = min(times)
                    t, y = when, dense(when)
                    for k, x in zip(hits, times):
                        if x - when < 1e-12:
                            self.fire(live[k][0], live[k][1], t, y)
                    ended = True
                else:
                    t, y = solver.t, solver.y
                    before = after
                self.renew(y, t, t - renewed)
                renewed = t
                if crossed is None and v0 * t - (y[0] - start_x) >= 0.6:
                    crossed = t, v0 - y[n]
                audit = {"spots": [], "bolts": [], "bars": [], "soil": []}
                _, _, _, force = self.forces(y, audit)
                state = self.pole.internal(y[3:n])[1]
                ratio = abs(state[0][0])
                foot_moment = max(foot_moment, ratio)
                peak_soil = max([peak_soil] + audit["soil"])
                peak_bar = max([peak_bar] + audit["bars"])
                if audit["spots"]:
                    # The contact height is that of the band which presses hardest now.
                    _, spot, fraction = max(audit["spots"], key=lambda p: p[0])
                    e, xi = spot[:2]
                    moment = abs((1 - xi) * -state[0][e] + xi * state[1][e])
                    contact_moment = max(contact_moment, moment / self.plastic(fraction))
                if force > 0.0:
                    last_touch, touch_v = t, v0 - y[n]
                if force > peak[0]:
                    peak = (force, t)
                if steps % 5 == 0 or ended:
                    trace.append([t, y[n], force, y[3], y[4] - self.slip_z, y[5], y[2],
                                  *(value for b in audit["bolts"] for value in b)])
                free = all(b.released is not None for b in self.joint.bolts)
                if free and release_v is None:
                    release_v = v0 - y[n]
                clear = y[3] > 2.0 * self.joint.plate_radius or y[4] - self.slip_z > 0.05
                if free and clear and last_touch is not None and t - last_touch > self.options["hold_after"]:
                    stop = "released"
                    limit = t
                    break
                if y[n] <= 0.0 and t - last_touch > 0.1 * self.options["hold_after"]:
                    stop, limit = "held", t
                    break
                if ended:
                    break
            evaluations += solver.nfev
        end = self.energy(y)
        works = dict(zip(WORKS, map(float, y[self.works:])))
        works["kink"] += self.kink_loss
        pier = self.found.pier
        end["pier_kinetic"] = 0.5 * pier.mass * float(y[-len(WORKS) - 1]) ** 2 if pier else 0.0
        start["pier_kinetic"] = 0.0
        residual = sum(end.values()) - sum(start.values()) + sum(works.values())
        free = [b.released for b in self.joint.bolts]
        done = all(x is not None for x in free)
        return {
            "ending": stop, "end_time_s": t,
            "release_time_s": max(free) if done else None,
            "bolt_release_times_s": free,
            "bolt_fates": [b.fate for b in self.joint.bolts],
            "contact_end_time_s": last_touch,
            "velocity_change_at_release_mps": release_v,
            "velocity_change_at_contact_end_mps": touch_v,
            # What counts: at the last touch or when the free occupant has crossed 0.6 m (docs/theory.md, 7).
            "velocity_change_counted_mps": crossed[1] if crossed and done and crossed[0] < last_touch else touch_v,
            "slip_onset_time_s": self.onset,
            "kink_end_rad": float(self.pole.kink), "kink_peak_rad": float(self.peak_kink),
            "velocity_change_at_end_mps": v0 - y[n],
            "peak_force_n": peak[0], "peak_force_time_s": peak[1],
            "peak_crush_m": max(b.peak_crush for b in self.bands),
            "permanent_crush_m": [b.permanent for b in self.bands],
            "dent_m": max(b.dent for b in self.bands),
            "foot_moment_nm": foot_moment, "foot_moment_ratio": foot_moment / self.plastic(0.0),
            "contact_moment_ratio": contact_moment,
            "tension_rise": max(b.peak_tension for b in self.joint.bolts) / self.joint.bolts[0].preload - 1.0,
            "bolt_peak_tension_n": [b.peak_tension for b in self.joint.bolts],
            "bolt_peak_slip_force_n": [b.peak_slip for b in self.joint.bolts],
            "fold_rad": self.peak_fold, "fold_end_rad": abs(float(y[self.extra])),
            "foundation_peak_m": float(self.peak_pier), "bar_gone_s": [b.gone for b in self.found.bars],
            "bar_peak_n": peak_bar, "soil_peak_n": peak_soil, "soil_travel_m": self.found.soil.farthest if self.found.soil else 0.0,
            "found_j": {k: sum(b.work[k] for b in self.joint.bolts) for k in self.joint.bolts[0].work}
            | {k: works[k] for k in ("kink", "bars", "soil", "foundation")} | {"fold": works["fold"] + works["kink"]},
            "energy_j": {"initial_kinetic": start["vehicle_kinetic"], **{k: float(end[k] - start[k]) for k in end},
                         "vehicle_kinetic_end": end["vehicle_kinetic"], **works, "residual": float(residual),
                         "residual_fraction": float(residual / start["vehicle_kinetic"])},
            "work": {"steps": steps, "evaluations": evaluations, "fold_moment_nm": self.fold_moment, "elements": self.pole.count - 1,
                     "wall_s": time.perf_counter() - began, "max_step_s": self.max_step, "rtol": self.rtol},
            "support": {"mass_kg": float(self.pole.total),
                        "free_frequencies_hz": [float(w / (2 * math.pi)) for w in self.pole.omega[3:8]]},
            "joint": {"bolt_stiffness_npm": self.joint.kb, "clamp_stiffness_npm": self.joint.kc,
                      "plate_stiffness_npm": self.joint.kp, "plate_yield_n": self.joint.plate_yield},
            "trace_columns": ["time_s", "vehicle_speed_mps", "force_n", "foot_x_m", "foot_z_m", "foot_theta_rad",
                              "vehicle_pitch_rad"] + [f"bolt{i + 1}_{c}" for i in range(len(free))
                                                      for c in ("tension_n", "washer_n", "opening_m", "slip_n")],
            "trace": [[float(x) for x in row] for row in trace],
        }

    def plastic(self, fraction):
        """Plastic moment of the tube, N.m."""
        tube = self.case["support"]["pole"]
        return tube["material"]["yield_pa"] * caseio.plastic_modulus(tube, fraction)


def run_beside(case, summary, options=None, until=None, elements=16, max_step=4e-5):
    """The referee's run for a comparison with the program's summary: just past the program's end of contact, or `until`.

    16 elements and 40 us instead of 40 and 20 us move velocity change, force, crush and times by less than 0.1 %
    (README.md, "Numbers").
    """
    times = summary["times"]
    ends = [t for t in (times["contact_end_s"], times["release_s"]) if t is not None]
    limit = min(until or 1.05 * max(ends) + 1e-3, case["solver"]["engagement_limit_s"])
    return Planar(case, elements, max_step, options={"hold_after": 0.1} | (options or {})).run(limit)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case")
    parser.add_argument("--out", default=None)
    parser.add_argument("--elements", type=int, default=40)
    parser.add_argument("--max-step", type=float, default=2e-5)
    parser.add_argument("--rtol", type=float, default=1e-7)
    parser.add_argument("--limit", type=float, default=None)
    parser.add_argument("--option", action="append", default=[], help="NAME=VALUE, for example friction_at=body")
    args = parser.parse_args()
    result = Planar(caseio.load(args.case), args.elements, args.max_step, args.rtol,
                    dict(pair.split("=") for pair in args.option)).run(args.limit)
    if args.out:
        with open(args.out, "w", encoding="utf-8") as stream:
            json.dump(result, stream, indent=1)
    print(json.dumps({k: v for k, v in result.items() if not k.startswith("trace")}, indent=1))


if __name__ == "__main__":
    main()
