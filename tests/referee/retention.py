"""The push of docs/theory.md, 9: a clamped base under dead load and rising wind.

    python retention.py case.json [summary.json]

The rigid upper plate has six small coordinates; each bolt is the law of section 5 with static friction. In steps of the
wind's pressure equilibrium is found by scipy.optimize.root with what has slid or yielded frozen, and renewed after each
step. Told is, per direction and in all, the multiple of the design pressure at which something happens first.

Choices where the text leaves room: steps of 2 % of the design pressure, halved to 1e-4 where something happens; T and N act at the
seat; "travelled" is the largest way of a bolt's upper seat; the notch case follows the pull below 0.2 mm, then the way.
"""

import copy
import json
import math
import sys

import caseio  # first: sets the thread count
import numpy as np
from scipy.integrate import quad
from scipy.optimize import root

from joint import TINY_SLIDE, Joint
from rigid_flight import mass_properties

EVENTS = ("gaps", "slides", "travels", "yields", "comes-apart")
STEP, SPREAD, MOST = 0.02, 36, 4.0


def drag(section, vd):
    """C_d of a tube, V d in m^2/s."""
    small, large = vd <= 5.33, vd > 10.66
    if section == "round":
        return 1.10 if small else 0.45 if large else 9.69 / vd**1.3
    if section == "twelve-sided":
        return 1.20 if small else 0.79 if large else 3.28 / vd**0.6
    if section == "sixteen-sided":
        return 1.10 if small else 0.83 if large else 1.37 - vd / 19.8
    return {"eight-sided": 1.20, "square": 2.0}[section]


class Wind:
    """Force and moment about the slip plane's centre at the design wind."""

    def __init__(self, case):
        site, support = case["site"], case["support"]
        self.speed = site["wind_speed_mps"]
        self.q = 0.613 * site["wind_gust_factor"] * self.speed**2 * site["wind_importance"]
        self.ground = site["slip_plane_height_m"]
        pole = support["pole"], np.zeros(3), np.array([0.0, 0.0, support["pole_length_m"]])
        self.members = [pole]
        self.lumps = []
        for lump in support["lumps"]:
            turn = lump.get("azimuth_rad", 0.0)
            away = lump.get("offset_m", 0.0)
            place = np.array([away * math.cos(turn), away * math.sin(turn), lump["height_m"]])
            self.lumps.append((lump.get("drag_area_m2", 0.0) * lump.get("drag_coefficient", 0.0), place))
        for arm in support["arms"]:
            out = np.array([math.cos(arm["azimuth_rad"]), math.sin(arm["azimuth_rad"]), 0.0])
            start = np.array([0.0, 0.0, arm["attachment_height_m"]])
            tip = start + arm["reach_m"] * out + np.array([0.0, 0.0, arm["rise_m"]])
            self.members.append((arm["tube"], start, tip))
            for lamp in arm["luminaires"]:
                self.lumps.append((lamp["drag_area_m2"] * lamp["drag_coefficient"], tip + lamp["lever_m"] * out))

    def height(self, z):
        """K_z at z above the slip plane."""
        return 2.01 * (max(z + self.ground, 5.0) / 274.3) ** (2.0 / 9.5)

    def action(self, azimuth):
        """(force, moment) for a wind that blows towards the azimuth."""
        way = np.array([math.cos(azimuth), math.sin(azimuth), 0.0])
        force, moment = np.zeros(3), np.zeros(3)
        for tube, start, tip in self.members:
            axis = tip - start
            length = float(np.linalg.norm(axis))
            sine = float(np.linalg.norm(np.cross(axis / length, way)))

            def load(s, tube=tube, start=start, axis=axis):
                d = tube["base_diameter_m"] + (tube["tip_diameter_m"] - tube["base_diameter_m"]) * s
                return self.q * self.height(start[2] + axis[2] * s) * drag(tube["section"], self.speed * d) * d

            first = quad(load, 0.0, 1.0, limit=400, epsrel=1e-9)[0] * length * sine
            second = quad(lambda s: s * load(s), 0.0, 1.0, limit=400, epsrel=1e-9)[0] * length * sine
            force += first * way
            moment += np.cross(start * first + axis * second, way)
        for area, place in self.lumps:
            push = self.q * self.height(place[2]) * area * way
            force += push
            moment += np.cross(place, push)
        return force, moment


class Push:
    """The plate on its bolts."""

    def __init__(self, case):
        self.joint = joint = Joint(case)
        radius, n = case["base"]["bolt_circle_m"] / 2.0, case["base"]["bolt_count"]
        turns = joint.found.azimuth + 2.0 * math.pi * np.arange(n) / n
        self.places = [np.array([radius * math.cos(t), radius * math.sin(t)]) for t in turns]
        body = mass_properties(case)
        weight = body["mass_kg"] * case["site"]["gravity_mps2"]
        self.dead = np.array([0.0, 0.0, -weight]), np.cross(body["centre_m"], [0.0, 0.0, -weight])
        self.slips = [np.zeros(2) for _ in joint.bolts]
        self.case = case
        pier = joint.found.bars or joint.found.soil or joint.found.pier
        if pier:
            raise ValueError("retention: bars, soil and piers are not in the push")

    def limit(self, bolt, s, pull):
        """How the motion of a bolt is named: case, unit vectors along the notch and across it towards the motion."""
        motion = s if math.hypot(*s) > TINY_SLIDE else pull
        size = math.hypot(*motion)
        n = np.array([bolt.nx, bolt.ny])
        if size < 1e-12:
            return "a", n, None
        along = float(motion @ n) / size
        gamma = math.acos(min(1.0, max(-1.0, along)))
        t = motion / size - along * n
        t = t / np.linalg.norm(t) if np.linalg.norm(t) > 1e-9 else np.array([-n[1], n[0]])
        room = self.joint.room_across
        if room > 0.0:
            size = math.hypot(*s)
            way = size * along if motion is s else math.copysign(size, along)
            gamma = math.atan2(max(0.0, (size * math.sin(gamma) if motion is s else 0.0) - room), way)
        if gamma <= self.joint.beta:
            return "a", n, t
        return ("b" if gamma >= math.pi - self.joint.beta else "c"), n, t

    def parts(self, bolt, kind, n, s, tension, washer):
        """f_L and f_U at the displacement s."""
        joint, found = self.joint, self.joint.found
        mu_o, mu_i, _ = joint.static
        along = float(s @ n)
        size = math.hypot(*s)
        across = max(0.0, math.sqrt(max(0.0, size * size - along * along)) - joint.room_across)
        if kind == "a":
            path, low, up = size, along, 0.0
        elif kind == "b":
            path, low, up = 0.0, 0.0, -along
        else:
            path = max(0.0, 0.5 * (across / joint.sb + along / joint.cb))
            low, up = path * joint.cb, max(0.0, 0.5 * (across / joint.sb - along / joint.cb)) * joint.cb
        out = []
        for axial, plate in ((low, "lower"), (up, "upper")):
            fade = min(1.0, max(0.0, (joint.travel - axial) / (joint.d / 2.0)))
            f = fade * (mu_o * tension + mu_i * washer)
            if found.mu_p is not None:
                f += (found.mu_p - mu_i * fade) * washer
            f += fade * tension * (found.dish[bolt.number] or 0.0)
            lump = found.lump[bolt.number]
            if lump and lump["plate"] == plate:
                f += 0.6 * lump["ultimate_pa"] * lump["width_m"] * max(0.0, lump["length_m"] - axial / joint.cb)
            if plate == "lower":
                f += joint.keeper * max(0.0, 1.0 - max(path, bolt.path) / joint.ligament)
                if found.grout[bolt.number]:
                    f += found.grout[bolt.number].force(path)
            out.append(f)
        return out, path, max(low, up)

    def bolt_force(self, k, x):
        """(T, N, force on the bolt in the plane, new s_p, s, U, path, axial way) at the coordinates x."""
        joint, bolt = self.joint, self.joint.bolts[k]
        place = self.places[k]
        opening = x[2] + x[3] * place[1] - x[4] * place[0]
        s = np.array([x[0] - x[5] * place[1], x[1] + x[5] * place[0]])
        tension, washer = joint.tension(bolt, opening)
        trial = joint.stick * (s - self.slips[k])
        kind, n, t = self.limit(bolt, s, trial)
        (f_low, f_up), path, axial = self.parts(bolt, kind, n, s, tension, washer)
        force = trial
        if kind != "c":
            most, size = (f_low if kind == "a" else f_up), math.hypot(*trial)
            if size > most:
                force = trial * most / size
        else:
            sb, cb, mu = joint.sb, joint.cb, joint.static[2]
            e_low, e_up, m_low, m_up = cb * n + sb * t, cb * n - sb * t, sb * n - cb * t, sb * n + cb * t
            cross = (cb * cb - sb * sb) + 2.0 * mu * sb * cb
            over_low = float(trial @ (e_low + mu * m_low)) - f_low
            over_up = -float(trial @ (e_up + mu * m_up)) - f_up
            alpha = delta = 0.0
            if math.tan(joint.beta) > mu and (over_low > 0.0 or over_up > 0.0):
                if over_low > 0.0 and over_up + cross * over_low <= 0.0:
                    alpha = over_low
                elif over_up > 0.0 and over_low + cross * over_up <= 0.0:
                    delta = over_up
                else:
                    alpha = (over_low + cross * over_up) / (1.0 - cross * cross)
                    delta = (over_up + cross * over_low) / (1.0 - cross * cross)
                force = trial - alpha * e_low + delta * e_up
        capacity = joint.shear_capacity(tension)
        size = math.hypot(*force)
        if size > capacity:
            force = force * capacity / size
        return tension, washer, force, s - force / joint.stick, s, opening, path, axial

    def residual(self, x, force, moment):
        """Unbalanced force and moment on the plate."""
        f, m = force.copy(), moment.copy()
        for k, place in enumerate(self.places):
            tension, washer, plane, *_ = self.bolt_force(k, x)
            push = np.array([-plane[0], -plane[1], washer - tension])
            f += push
            m += np.cross([place[0], place[1], 0.0], push)
        return np.concatenate([f, m])

    def solve(self, x, force, moment):
        """Coordinates in equilibrium, or None."""
        scale = np.array([1e-6, 1e-6, 1e-4, 1e-3, 1e-3, 1e-5])
        unit = np.array([1e3, 1e3, 1e3, 1e2, 1e2, 1e2])

        def g(y):
            return self.residual(y * scale, force, moment) / unit

        for method, options in (("hybr", {"xtol": 1e-12, "maxfev": 400}), ("lm", {"xtol": 1e-13, "ftol": 1e-13, "maxiter": 2000})):
            for start in (x, np.zeros(6)) if method == "lm" else (x,):
                found = root(g, start / scale, method=method, options=options)
                if np.max(abs(found.fun)) < 1e-4:
                    return found.x * scale
        return None

    def renew(self, x):
        """Keep what has slid and yielded; returns the events that have happened."""
        joint, happened = self.joint, {}
        for k, bolt in enumerate(joint.bolts):
            tension, washer, _, slip, s, opening, path, axial = self.bolt_force(k, x)
            net = joint.split(bolt, opening)[3]
            self.slips[k], bolt.path = slip, max(bolt.path, path)
            joint.settle(bolt, opening)
            for name, told in (("gaps", washer <= 0.0), ("slides", math.hypot(*slip) > 1e-6),
                               ("travels", math.hypot(*s) > 1e-3),
                               ("yields", tension >= joint.yield_n * (1 - 1e-9) or abs(net) >= joint.plate_yield * (1 - 1e-9)),
                               ("comes-apart", axial >= joint.travel)):
                if told and name not in happened:
                    happened[name] = k + 1
        return happened

    def keep(self):
        """A copy of the memory."""
        return [s.copy() for s in self.slips], [copy.copy(b) for b in self.joint.bolts]

    def restore(self, memory):
        """Back to a kept memory."""
        self.slips = [s.copy() for s in memory[0]]
        self.joint.bolts = [copy.copy(b) for b in memory[1]]


def direction(case, wind, azimuth, most=MOST):
    """{event: (multiple, bolt)} of one direction."""
    push = Push(case)
    force, moment = wind.action(azimuth)
    x = push.solve(np.zeros(6), *push.dead)
    if x is None:
        return {"comes-apart": (0.0, None)}
    out, level, step = {}, 0.0, STEP
    out |= {name: (0.0, bolt) for name, bolt in push.renew(x).items()}
    while level < most and "comes-apart" not in out:
        memory = push.keep()
        goal = min(level + step, most)
        at = push.solve(x, push.dead[0] + goal * force, push.dead[1] + goal * moment)
        fresh = {} if at is None else {k: v for k, v in push.renew(at).items() if k not in out}
        if (at is None or fresh) and step > 1e-4:
            push.restore(memory)
            step *= 0.5
            continue
        if at is None:
            out["comes-apart"] = goal, None
            break
        out |= {name: (goal, bolt) for name, bolt in fresh.items()}
        x, level = at, goal
        step = min(STEP, 2.0 * step)
    return out


def push(case, most=MOST, spread=SPREAD):
    """{event: (multiple, bolt, azimuth)} over all directions, the least of each."""
    wind, out = Wind(case), {}
    for k in range(spread):
        azimuth = 2.0 * math.pi * k / spread
        for name, (level, bolt) in direction(case, wind, azimuth, most).items():
            if name not in out or level < out[name][0] - 1e-9:
                out[name] = level, bolt, azimuth
    return out


def grades(case, events):
    """{grade: (margin or None, by, bolt, azimuth)}: multiple over the grade's pressure, less one."""
    site = case["site"]
    design = site["wind_speed_mps"]
    asked = {"service": (site["wind_service_mps"], ("gaps", "slides")), "strength": (design, ("travels", "yields", "comes-apart")),
             "survival": (site["wind_survival_mps"], ("comes-apart",))}
    out = {}
    for grade, (speed, names) in asked.items():
        first = min(((events[name][0], name) for name in names if name in events), default=None)
        out[grade] = (None, None, None, None) if first is None else \
            (first[0] * (design / speed) ** 2 - 1.0, first[1], *events[first[1]][1:])
    return out


def main():
    """Command line."""
    case = caseio.load(sys.argv[1])
    wind = Wind(case)
    actions = [wind.action(2.0 * math.pi * k / SPREAD) for k in range(SPREAD)]
    print("shear", max(math.hypot(*f[:2]) for f, _ in actions), "moment", max(math.hypot(*m[:2]) for _, m in actions),
          "torsion", max(abs(m[2]) for _, m in actions))
    events = push(case, float(sys.argv[3]) if len(sys.argv) > 3 else MOST)
    print(json.dumps(events, indent=1))
    theirs = caseio.load(sys.argv[2])["retention"] if len(sys.argv) > 2 else {"grades": []}
    for grade, row in grades(case, events).items():
        print(grade, row, [(g["margin_fraction"], g["by"], g["bolt"], g["wind_azimuth_rad"]) for g in theirs["grades"] if g["grade"] == grade])


if __name__ == "__main__":
    main()
