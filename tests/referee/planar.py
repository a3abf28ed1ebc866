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

RUB_SPEED = 0.05  # m/s, regularisation of Coulomb friction
WORKS = ("joint_normal", "joint_damping", "joint_slip", "crush", "face_rub", "bearing_normal", "plate_rub",
         "tyre", "bending_damping")


class Planar:
    """One run."""

    def __init__(self, case, elements=40, max_step=2e-5, rtol=1e-7, options=None):
        self.case, self.max_step, self.rtol = case, max_step, rtol
        self.options = {"friction_at": "surface", "damping": "full", "hold_after": 0.02} | (options or {})
        site, base, support, vehicle = case["site"], case["base"], case["support"], case["vehicle"]
        self._check(case)
        self.g, self.slip_z = site["gravity_mps2"], site["slip_plane_height_m"]
        bands = vehicle["front"]["bands"]
        heights = [0.5 * (b["lower_m"] + b["upper_m"]) for b in bands]
        m, r, t = support["plate_mass_kg"], base["plate_radius_m"], base["upper_plate_m"]
        # Nodes at the band heights, foremost band first, where that leaves no very short element.
        marks, least = [0.0], 0.6 * support["pole_length_m"] / elements
        for band, height in sorted(zip(bands, heights), key=lambda p: p[0]["setback_m"]):
            if min(abs(height - self.slip_z - mark) for mark in marks) >= least:
                marks.append(height - self.slip_z)
        self.pole = Pole(support, m * r * r / 4.0 + m * t * t / 12.0, elements, marks[1:])
        self.joint = Joint(case)
        tube = support["pole"]
        self.bands = [Band(b, tube["wall_m"], tube["material"]["yield_pa"]) for b in bands]
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
        self.solved = {}

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
        foot = -weight / (len(joint.bolts) * (joint.kb + joint.kc))
        above = np.cumsum(pole.weight_mass[::-1])[::-1][1:] * self.g
        z = foot + np.concatenate([[0.0], np.cumsum(-above / pole.ea)])
        q[1::3] += z + self.slip_z
        touch = math.inf
        for ahead, up in self.points:
            height = self.v["cg_height_m"] + up
            radius = 0.5 * caseio.section(self.case["support"]["pole"], (height - self.slip_z) / pole.length)[0]
            touch = min(touch, -radius - ahead)
        y = np.zeros(2 * self.n + len(WORKS))
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
        return force, spot, (rx, rz, nx, nz, fraction), gap, diameter

    def forces(self, y, audit=None):
        """Generalised force on the vehicle (fx, fz, my), on the pole nodes, and the powers."""
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
            force, spot, (rx, rz, nx, nz, fraction), _, diameter = hit
            shape = pole.shape(spot)
            e = spot[0]
            speed = (shape @ qd[3 * e:3 * e + 6]).tolist()
            lever = -0.5 * diameter
            ox, oz = (lever * nx, lever * nz) if self.options["friction_at"] == "surface" else (0.0, 0.0)
            # Velocities of both bodies at the contact point: v + theta_dot x offset, (x, z) -> (z, -x).
            ux, uz = speed[0] + speed[2] * oz, speed[1] - speed[2] * ox
            cx, cz = rx + ox - x, rz + oz - z
            wx, wz = vx + spin * cz, vz - spin * cx
            mx, mz = -nz, nx
            slide = (ux - wx) * mx + (uz - wz) * mz
            approach = -((ux - wx) * nx + (uz - wz) * nz)
            rub = -self.v["face_friction"] * force * slide / math.sqrt(slide * slide + RUB_SPEED**2)
            fx, fz = force * nx + rub * mx, force * nz + rub * mz
            f[3 * e:3 * e + 6] += shape.T @ np.array([fx, fz, oz * fx - ox * fz])
            vehicle[0] -= fx
            vehicle[1] -= fz
            vehicle[2] -= cz * fx - cx * fz
            power["crush"] += force * approach
            power["face_rub"] -= rub * slide
            total += force * math.hypot(nx, nz)
            if audit is not None:
                audit["spots"].append((force, spot, fraction))

        # Slip joint on the foot node.
        x0, z0, t0 = q[:3].tolist()
        z0 -= self.slip_z
        u0, w0, r0 = qd[:3].tolist()
        sin, cos = math.sin(t0), math.cos(t0)
        fx = fz = my = 0.0
        for bolt in joint.bolts:
            seat = bolt.seat
            if bolt.released is None:
                s = x0 + seat * cos - seat
                s_rate = u0 - seat * sin * r0
                shift = joint.paths(bolt, s)[3]
                a = (seat + shift - x0) / cos
                u = z0 - a * sin
                u_rate = w0 - a * cos * r0
                tension, washer = joint.tension(bolt, u)
                c = joint.damping * (joint.kb + joint.kc)
                if self.options["damping"] == "tangent":
                    c = joint.damping * (joint.kb + (joint.kc if washer > 0.0 else 0.0))
                normal = washer - tension - c * u_rate
                trial = joint.stick * (s - bolt.slip)
                limit = self.limit(bolt, s, trial, tension, washer)[0]
                slip = min(max(trial, -limit), limit)
                ax, az = a * cos, -a * sin
                fx -= slip
                fz += normal
                my += az * -slip - ax * normal
                power["joint_normal"] -= (washer - tension) * u_rate
                power["joint_damping"] += c * u_rate * u_rate
                power["joint_slip"] += slip * (u0 + az * r0)
                if audit is not None:
                    audit["bolts"].append((tension, washer, u, slip))
            else:
                ax, az = seat * cos, -seat * sin
                px, depth = x0 + ax, -(z0 + az)
                if audit is not None:
                    audit["bolts"].append((0.0, 0.0, -depth, 0.0))
                y2 = (self.case["base"]["bolt_circle_m"] / 2.0 * bolt.ny) ** 2
                if depth > 0.0 and px * px + y2 < joint.plate_radius**2:
                    rate = -(w0 - ax * r0)
                    press = max(0.0, joint.kb * depth + joint.damping * joint.kb * rate)
                    across = u0 + az * r0
                    rub = -joint.mu_i * press * across / math.sqrt(across * across + RUB_SPEED**2)
                    fx += rub
                    fz += press
                    my += az * rub - ax * press
                    power["bearing_normal"] += press * rate
                    power["plate_rub"] -= rub * across
        f[0] += fx
        f[1] += fz
        f[2] += my
        return vehicle, f, power, total

    def limit(self, bolt, s, trial, tension, washer):
        """Largest slip-plane force along x, and whether the bolt shears there."""
        resistance, carried = self.joint.resistance(bolt, s, trial, tension, washer)
        capacity = self.joint.shear_capacity(tension)
        if math.isinf(carried):
            return capacity, True
        if carried > capacity:
            return resistance * capacity / carried, True
        return resistance, False

    def rhs(self, _, y):
        """dy/dt."""
        n = self.n
        vehicle, f, power, _ = self.forces(y)
        out = np.empty_like(y)
        out[:n] = y[n:2 * n]
        out[n] = vehicle[0] / self.v["mass_kg"]
        out[n + 1] = 0.0 if self.guided else vehicle[1] / self.v["mass_kg"]
        out[n + 2] = 0.0 if self.guided else vehicle[2] / self.v["pitch_inertia_kgm2"]
        out[n + 3:2 * n], power["bending_damping"] = self.pole.acceleration(y[3:n], y[n + 3:2 * n], f)
        if self.guided:
            power["tyre"] = 0.0
        out[2 * n:] = [power[name] for name in WORKS]
        return out

    # ---- events and memory ---------------------------------------------------------------------------------

    def slide(self, bolt, y):
        """Horizontal displacement of the upper seat from the lower seat."""
        return y[3] + bolt.seat * (math.cos(y[5]) - 1.0)

    def watch(self):
        """Event functions that are live now: (bolt index, what, function of y); each crosses zero upwards."""
        joint, out = self.joint, []
        for i, bolt in enumerate(joint.bolts):
            if bolt.released is not None:
                continue
            out.append((i, "release", lambda y, b=bolt: joint.progress(b, self.slide(b, y))))
            if bolt.torn is None and joint.keeper > 0.0:
                out.append((i, "tear", lambda y, b=bolt: joint.paths(b, self.slide(b, y))[2] - joint.d))
            out.append((i, "shear", lambda y, b=bolt: self.shear_excess(b, y)))
        return out

    def shear_excess(self, bolt, y):
        """Positive when the stick spring reaches a limit at which the bolt shears."""
        s = self.slide(bolt, y)
        trial = self.joint.stick * (s - bolt.slip)
        tension, washer = self.joint.tension(bolt, y[4] - self.slip_z - bolt.seat * math.sin(y[5]))
        limit, shears = self.limit(bolt, s, trial, tension, washer)
        return abs(trial) / limit - 1.0 if shears and limit > 0.0 else -1.0

    def renew(self, y, t):
        """Advance all memory to the state y."""
        joint = self.joint
        state = self.pole.internal(y[3:self.n])[1]
        for i, band in enumerate(self.bands):
            hit = self.contact(i, y, state, False)
            if hit is not None and hit[3] > 0.0:
                band.advance(hit[3], hit[4])
        sin, cos = math.sin(y[5]), math.cos(y[5])
        for bolt in joint.bolts:
            if bolt.released is not None:
                continue
            s = self.slide(bolt, y)
            a = (bolt.seat + joint.paths(bolt, s)[3] - y[3]) / cos
            u = y[4] - self.slip_z - a * sin
            bolt.stretch = max(bolt.stretch, u - (joint.yield_n - joint.preload) / joint.kb)
            tension, washer = joint.tension(bolt, u)
            trial = joint.stick * (s - bolt.slip)
            limit, _ = self.limit(bolt, s, trial, tension, washer)
            slip = min(max(trial, -limit), limit)
            bolt.slip = s - slip / joint.stick
            bolt.peak_tension = max(bolt.peak_tension, tension)
            bolt.peak_slip = max(bolt.peak_slip, abs(slip))
            if bolt.stretch > joint.rupture:
                bolt.released, bolt.fate = t, "ruptured"

    def fire(self, index, what, t, y):
        """Carry out a located event."""
        bolt = self.joint.bolts[index]
        if what == "tear":
            bolt.torn = t
        elif what == "shear":
            bolt.released, bolt.fate = t, "sheared"
        else:
            kind = self.joint.kind(bolt, math.copysign(1.0, self.slide(bolt, y)))[0]
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
        start = self.energy(y)
        n, v0 = self.n, y[self.n]
        atol = np.full(len(y), 1e-10)
        atol[n:2 * n] = 1e-7
        atol[2 * n:] = 1e-3
        steps = evaluations = 0
        trace, last_touch, release_v, stop = [], None, None, "time-limit"
        foot_moment = contact_moment = 0.0
        peak = (0.0, 0.0)
        touch_v = 0.0
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
                self.renew(y, t)
                audit = {"spots": [], "bolts": []}
                _, _, _, force = self.forces(y, audit)
                state = self.pole.internal(y[3:n])[1]
                ratio = abs(state[0][0])
                foot_moment = max(foot_moment, ratio)
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
                clear = y[3] > 2.0 * self.joint.plate_radius
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
        works = dict(zip(WORKS, map(float, y[2 * n:])))
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
            "velocity_change_at_end_mps": v0 - y[n],
            "peak_force_n": peak[0], "peak_force_time_s": peak[1],
            "peak_crush_m": max(b.peak_crush for b in self.bands),
            "permanent_crush_m": [b.permanent for b in self.bands],
            "dent_m": max(b.dent for b in self.bands),
            "foot_moment_nm": foot_moment, "foot_moment_ratio": foot_moment / self.plastic(0.0),
            "contact_moment_ratio": contact_moment,
            "tension_rise": max(b.peak_tension for b in self.joint.bolts) / self.joint.preload - 1.0,
            "bolt_peak_tension_n": [b.peak_tension for b in self.joint.bolts],
            "bolt_peak_slip_force_n": [b.peak_slip for b in self.joint.bolts],
            "energy_j": {"initial_kinetic": start["vehicle_kinetic"], **{k: float(end[k] - start[k]) for k in end},
                         "vehicle_kinetic_end": end["vehicle_kinetic"], **works, "residual": float(residual),
                         "residual_fraction": float(residual / start["vehicle_kinetic"])},
            "work": {"steps": steps, "evaluations": evaluations, "elements": self.pole.count - 1,
                     "wall_s": time.perf_counter() - began, "max_step_s": self.max_step, "rtol": self.rtol},
            "support": {"mass_kg": float(self.pole.total),
                        "free_frequencies_hz": [float(w / (2 * math.pi)) for w in self.pole.omega[3:8]]},
            "joint": {"bolt_stiffness_npm": self.joint.kb, "clamp_stiffness_npm": self.joint.kc},
            "trace_columns": ["time_s", "vehicle_speed_mps", "force_n", "foot_x_m", "foot_z_m", "foot_theta_rad",
                              "vehicle_pitch_rad"] + [f"bolt{i + 1}_{c}" for i in range(len(free))
                                                      for c in ("tension_n", "washer_n", "opening_m", "slip_n")],
            "trace": [[float(x) for x in row] for row in trace],
        }

    def plastic(self, fraction):
        """Plastic moment of the tube, N.m."""
        tube = self.case["support"]["pole"]
        return tube["material"]["yield_pa"] * caseio.plastic_modulus(tube, fraction)


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case")
    parser.add_argument("--out", default=None)
    parser.add_argument("--elements", type=int, default=40)
    parser.add_argument("--max-step", type=float, default=2e-5)
    parser.add_argument("--rtol", type=float, default=1e-7)
    parser.add_argument("--limit", type=float, default=None)
    args = parser.parse_args()
    result = Planar(caseio.load(args.case), args.elements, args.max_step, args.rtol).run(args.limit)
    if args.out:
        with open(args.out, "w", encoding="utf-8") as stream:
            json.dump(result, stream, indent=1)
    print(json.dumps({k: v for k, v in result.items() if not k.startswith("trace")}, indent=1))


if __name__ == "__main__":
    main()
