"""Slip joint of clamped bolts in V notches; planar motion of the upper plate (x, z, pitch).

Normal      U = u + X/k_p + e_k, X = T - N, |X| <= X_p: the plates in series with the clamped joint, where
            T = clip(F_p + k_b' (u - e_p), 0, Fy A_s), N = max(0, F_p - k_c' u); on the plate N - T - c dU/dt.
            The plates bend towards each other by the room between them at most.
Friction    mu = mu_d + (mu_s - mu_d)/(1 + (v/v_t)^2) per bolt, v the speed of s_p behind a lag of MEMORY.
Sliding     cases a, b, c by the angle gamma' between s' and the notch axis n; s' is the seat displacement s less the room
            b - d of a bolt in its notches, taken off the part across (docs/theory.md, 5.3).
Sticking    spring k_s (s - s_p) in the slip plane; cases a, b: capped by the resistance; case c: returned to the
            parallelogram of 5.4 along the lower wall, the upper wall or both. s_p renewed after each accepted step.
Found       what was found on site (findings.py) replaces values and adds forces to f on the plate concerned.
"""

import math

from caseio import grip, joint_stiffness
from findings import Found
from plates import plate_law

MEMORY = 0.5e-3  # s, lag of the friction behind the sliding speed (docs/theory.md, 5.10)
TINY_SLIDE = 2e-4  # m; below this the notch case follows the direction of the pull, not of s


class Bolt:
    """State of one bolt."""

    def __init__(self, azimuth, radius):
        self.nx, self.ny = math.cos(azimuth), math.sin(azimuth)
        self.seat = radius * self.nx
        self.slip = self.side = 0.0  # s_p along x and y
        self.stretch = self.bent = 0.0  # e_p of the bolt, e_k of the plates
        self.speed = 0.0  # v of the friction law
        self.released = None
        self.fate = "held"
        self.peak_tension = 0.0
        self.peak_slip = 0.0
        self.preload = 0.0
        self.number = 0
        self.floor = 0.0
        self.path = self.upper = 0.0
        self.work = dict.fromkeys(("grout", "lump", "dish", "mating", "rust"), 0.0)


class Joint:
    """All bolts with their common data."""

    def __init__(self, case):
        base, solver = case["base"], case["solver"]
        self.found = found = Found(case)
        self.kb, self.kc = joint_stiffness(case) if found.k_b is None else (found.k_b, found.k_c)
        # Load introduction: n of the stack's compliance is relieved, 1 - n goes with the bolt.
        share = base.get("load_introduction", 1.0)
        self.kb, self.kc = 1.0 / (1.0 / self.kb + (1.0 - share) / self.kc), self.kc / share
        self.kp, self.plate_yield = plate_law(case)
        self.axial = 1.0 / (1.0 / (self.kb + self.kc) + 1.0 / self.kp)  # dX/dU of the preloaded joint
        # Two plates that rest on each other at a bolt's place, without the bolt (docs/theory.md, 5.8).
        self.bearing_stiffness = 1.0 / (1.0 / self.kc + 1.0 / self.kp)
        self.room = found.spacing  # by which the plates can bend towards each other
        self.damping = solver["joint_damping_s"]
        self.stick = solver["stick_stiffness_npm"]
        self.static, self.sliding = found.static, found.sliding
        self.design_static, self.design_sliding = found.design_static, found.design_sliding
        self.transition = base.get("friction_transition_mps", math.inf)
        # Between the plates after a release: sliding friction; where they touch it is their own.
        self.mu_rub = found.sliding[1] if found.mu_p is None else 2.0 / 3.0 * found.mu_p
        self.beta, self.travel = base["notch_half_angle_rad"], base["notch_travel_m"]
        bolt = base["bolt"]
        self.d = bolt["diameter_m"]
        self.room_across = max(0.0, base.get("notch_span_m", self.d) - self.d)
        self.yield_n = bolt["yield_pa"] * bolt["stress_area_m2"]
        self.strips = found.strip is not None and found.strip < self.yield_n
        if self.strips:
            self.yield_n = found.strip
        self.ultimate_n = bolt["ultimate_pa"] * bolt["stress_area_m2"]
        self.rupture = bolt["elongation"] * (grip(base) if found.k_b is None else found.grip)
        if self.strips:
            self.rupture = 0.5 * bolt["pitch_m"]
        thin = min(base["upper_plate_m"], base["lower_plate_m"])
        self.bearing = 2.4 * self.d * thin * base["plate_ultimate_pa"]
        self.keeper, self.ligament = 0.0, math.inf
        if found.keeper:
            k = found.keeper
            self.ligament = max(0.0, k["edge_distance_m"] - self.d / 2.0)
            self.keeper = min(1.2 * self.ligament, 2.4 * self.d) * k["thickness_m"] * k["ultimate_pa"]
        n, first = base["bolt_count"], found.azimuth
        radius = base["bolt_circle_m"] / 2.0
        self.bolts = [Bolt(first + 2.0 * math.pi * i / n, radius) for i in range(n)]
        for i, bolt in enumerate(self.bolts):
            bolt.number, bolt.preload = i, found.preloads[i]
        self.plate_radius = base["plate_radius_m"]
        self.sb, self.cb = math.sin(self.beta), math.cos(self.beta)

    def mu(self, bolt, design=False):
        """Friction (outer, inner, wall) at the bolt's present sliding speed; `design`: without rust."""
        static, sliding = (self.design_static, self.design_sliding) if design else (self.static, self.sliding)
        left = 1.0 / (1.0 + (bolt.speed / self.transition) ** 2)
        return tuple(d + (m - d) * left for m, d in zip(static, sliding))

    def pressed(self, size, sin):
        """What of the way across the notch presses the bolt against walls."""
        return max(0.0, size * sin - self.room_across)

    def kind(self, bolt, s):
        """Notch case of the slide s along x, with cos gamma and sin gamma of its direction."""
        cos = min(1.0, max(-1.0, math.copysign(1.0, s) * bolt.nx))
        sin = math.sqrt(1.0 - cos * cos)
        size = abs(s)
        if self.room_across == 0.0:
            size = 1.0  # the direction alone counts
        bent = math.atan2(self.pressed(size, sin), size * cos) if size > 0.0 else (0.0 if cos >= 0.0 else math.pi)
        if bent <= self.beta + 1e-12:
            return "a", cos, sin
        if bent >= math.pi - self.beta - 1e-12:
            return "b", cos, sin
        return "c", cos, sin

    def paths(self, bolt, s):
        """Travel of the bolt relative to the lower and to the upper notch, along the notch axes and along the walls.

        Returns (lower axial, upper axial, lower path, bolt x-shift from its lower seat).
        """
        size = abs(s)
        kind, cos, sin = self.kind(bolt, s)
        pressed = self.pressed(size, sin)
        # Tangent on the side of s: s = |s| (cos n + sin t)  ->  t_x = (sign - cos n_x) / sin.
        tx = (math.copysign(1.0, s) - cos * bolt.nx) / sin if sin > 1e-12 else 0.0
        if kind == "a":
            return size * cos, 0.0, size, size * cos * bolt.nx + pressed * tx
        if kind == "b":
            return 0.0, -size * cos, 0.0, 0.0
        sb, cb = self.sb, self.cb
        low = 0.5 * (pressed / sb + size * cos / cb)
        up = 0.5 * (pressed / sb - size * cos / cb)
        return low * cb, up * cb, low, low * (cb * bolt.nx + sb * tx)

    def upper_path(self, bolt, s):
        """Way of the bolt along the upper plate: |s| in case b, delta in case c."""
        kind = self.kind(bolt, s)[0]
        return abs(s) if kind == "b" else self.paths(bolt, s)[1] / self.cb

    def book(self, bolt, s, tension, washer):
        """Add the work of each finding's force since the last call, and note the largest held forces."""
        low, up = self.parts(bolt, s, tension, washer)
        path, upper = self.paths(bolt, s)[2], self.upper_path(bolt, s)
        share = [0.0, 0.0]
        mu, design = self.mu(bolt), self.mu(bolt, True)
        if mu != design:
            extra = (mu[0] - design[0]) * tension + (mu[1] - design[1]) * washer
            share = [part["friction"] * extra / max(1e-9, mu[0] * tension + mu[1] * washer) for part in (low, up)]
        for part, way, last, rust in ((low, path, bolt.path, share[0]), (up, upper, bolt.upper, share[1])):
            if way > last:
                for name in ("grout", "lump", "dish", "mating"):
                    bolt.work[name] += part.get(name, 0.0) * (way - last)
                bolt.work["rust"] += rust * (way - last)
        bolt.path, bolt.upper = max(bolt.path, path), max(bolt.upper, upper)

    def progress(self, bolt, s):
        """Largest axial travel minus L; zero at release."""
        low, up, _, _ = self.paths(bolt, s)
        return max(low, up) - self.travel

    def resistance(self, bolt, s, pull, tension, washer):
        """Sliding resistance along x (positive), and the shear that the bolt carries then."""
        sign = 1.0 if pull >= 0.0 else -1.0
        f_low, f_up = (sum(part.values()) for part in self.parts(bolt, s, tension, washer))
        if s * sign < 0.0 and abs(s) > TINY_SLIDE:
            low, up = self.parts(bolt, s, tension, washer)
            back = low["friction"] if self.paths(bolt, s)[0] >= self.paths(bolt, s)[1] else up["friction"]
            return back, back
        kind, cos, sin = self.kind(bolt, math.copysign(s, sign))
        if kind == "a":
            return f_low, f_low
        if kind == "b":
            return f_up, f_up
        sb, cb, mu_w = self.sb, self.cb, self.mu(bolt)[2]
        if math.tan(self.beta) <= mu_w:
            return math.inf, math.inf
        total = (f_low + f_up) * cb / (sb - mu_w * cb)
        differ = -(f_up - f_low) * sb / (cb + mu_w * sb)
        n_up = 0.5 * (total + differ)
        along_t = n_up * cb + (f_up + mu_w * n_up) * sb
        along_n = n_up * sb - (f_up + mu_w * n_up) * cb
        return along_t * sin + along_n * cos, math.hypot(along_t, along_n)

    def parts(self, bolt, s, tension, washer):
        """What f_L and f_U consist of at the slide s: two dicts."""
        found = self.found
        low, up, path, _ = self.paths(bolt, s)
        half = self.d / 2.0
        mu_o, mu_i, _ = self.mu(bolt)
        out = []
        for axial, along, plate in ((low, path, "lower"), (up, self.upper_path(bolt, s), "upper")):
            fade = min(1.0, max(0.0, (self.travel - axial) / half))
            f = {"friction": fade * (mu_o * tension + mu_i * washer)}
            if found.mu_p is not None:
                # The text gives mu_p one value; it falls with the speed as the defaults of mu_i do.
                left = 1.0 / (1.0 + (bolt.speed / self.transition) ** 2)
                f["mating"] = (found.mu_p * (2.0 + left) / 3.0 - mu_i * fade) * washer
            if found.dish[bolt.number]:
                f["dish"] = fade * tension * found.dish[bolt.number]
            lump = found.lump[bolt.number]
            if lump and lump["plate"] == plate:
                f["lump"] = 0.6 * lump["ultimate_pa"] * lump["width_m"] * max(0.0, lump["length_m"] - along)
            if plate == "lower":
                if self.keeper:
                    f["keeper"] = self.keeper * max(0.0, 1.0 - max(path, bolt.path) / self.ligament)
                if found.grout[bolt.number]:
                    f["grout"] = found.grout[bolt.number].force(path)
            out.append(f)
        return out

    def pull(self, bolt, s, tension, washer):
        """Force that the plate puts on the bolt at the slide s (along x): ((x, y), new s_p (x, y), shears).

        Case c. With the walls' directions e and normals m (into the notch) the bolt slides along the lower wall when
        F.(e_L + mu_w m_L) reaches f_L, along the upper one when -F.(e_U + mu_w m_U) reaches f_U; s_p moves by
        alpha e_L - delta e_U. The corner of both is the squeezed force of 5.3.
        """
        k = self.stick
        trial = (k * (s - bolt.slip), -k * bolt.side)
        capacity = self.shear_capacity(tension)
        sign = 1.0 if trial[0] >= 0.0 else -1.0
        kind, cos, sin = self.kind(bolt, math.copysign(s, sign))
        back = s * sign < 0.0 and abs(s) > TINY_SLIDE
        if kind != "c" or back:
            limit, carried = self.resistance(bolt, s, trial[0], tension, washer)
            limit, shears = (capacity, True) if carried > capacity else (limit, False)
            force = min(max(trial[0], -limit), limit)
            return (force, 0.0), (s - force / k, 0.0), shears and abs(trial[0]) >= limit
        f_low, f_up = (sum(part.values()) for part in self.parts(bolt, s, tension, washer))
        n = (bolt.nx, bolt.ny)
        t = ((sign - cos * n[0]) / sin, -cos * n[1] / sin)
        sb, cb, mu = self.sb, self.cb, self.mu(bolt)[2]
        e_low, e_up = ((cb * n[i] + sb * t[i] for i in (0, 1)), (cb * n[i] - sb * t[i] for i in (0, 1)))
        m_low, m_up = ((sb * n[i] - cb * t[i] for i in (0, 1)), (sb * n[i] + cb * t[i] for i in (0, 1)))
        e_low, e_up, m_low, m_up = tuple(e_low), tuple(e_up), tuple(m_low), tuple(m_up)
        cross = (cb * cb - sb * sb) + 2.0 * mu * sb * cb
        alpha = delta = 0.0
        if math.tan(self.beta) > mu:
            over_low = sum(trial[i] * (e_low[i] + mu * m_low[i]) for i in (0, 1)) - f_low
            over_up = -sum(trial[i] * (e_up[i] + mu * m_up[i]) for i in (0, 1)) - f_up
            if over_low > 0.0 or over_up > 0.0:
                if over_low > 0.0 and over_up + cross * over_low <= 0.0:
                    alpha = over_low / k
                elif over_up > 0.0 and over_low + cross * over_up <= 0.0:
                    delta = over_up / k
                else:
                    alpha = (over_low + cross * over_up) / (k * (1.0 - cross * cross))
                    delta = (over_up + cross * over_low) / (k * (1.0 - cross * cross))
        moved = tuple(alpha * e_low[i] - delta * e_up[i] for i in (0, 1))
        force = tuple(trial[i] - k * moved[i] for i in (0, 1))
        size = math.hypot(*force)
        if size >= capacity:
            force = tuple(x * capacity / size for x in force)
            return force, (s - force[0] / k, -force[1] / k), True
        return force, (bolt.slip + moved[0], bolt.side + moved[1]), False

    def tension(self, bolt, opening):
        """Bolt tension and washer force at the opening U of the plates there."""
        return self.split(bolt, opening)[:2]

    def split(self, bolt, opening):
        """(T, N, u of the joint itself, X) at the opening U, with e_p and e_k frozen."""
        give, most = 1.0 / self.kp, self.yield_n
        low = bolt.stretch - bolt.preload / self.kb  # T = 0
        high = low + most / self.kb  # T = T_y

        def pair(u):
            tension = min(max(bolt.preload + self.kb * (u - bolt.stretch), 0.0), most)
            return tension, max(0.0, bolt.preload - self.kc * u)

        marks = sorted((low, bolt.preload / self.kc, high))

        def reach(goal, weight, stiff):
            """u with weight u + stiff X(u) = goal; piecewise linear and rising."""
            def g(u):
                tension, washer = pair(u)
                return weight * u + stiff * (tension - washer) - goal
            values = [g(u) for u in marks]
            if values[0] > 0.0:
                a, b = marks[0] - 1e-3, marks[0]
            elif values[-1] <= 0.0:
                a, b = marks[-1], marks[-1] + 1e-3
            else:
                k = 1 if values[1] > 0.0 else 2
                a, b = marks[k - 1], marks[k]
            ga, gb = g(a), g(b)
            return a - ga * (b - a) / (gb - ga)

        u = reach(opening - bolt.bent, 1.0, give)
        tension, washer = pair(u)
        net = tension - washer
        if abs(net) > self.plate_yield:
            net = math.copysign(self.plate_yield, net)
            u = reach(net, 0.0, 1.0)
            if opening - u - net * give < -self.room:  # no room left: they carry the rest as they are
                u = reach(opening + self.room, 1.0, give)
            tension, washer = pair(u)
        return tension, washer, u, tension - washer

    def settle(self, bolt, opening):
        """Renew e_p and e_k at the opening U; returns (T, N)."""
        tension, washer, u, net = self.split(bolt, opening)
        bolt.stretch = max(bolt.stretch, u - (self.yield_n - bolt.preload) / self.kb)
        if abs(net) >= self.plate_yield * (1.0 - 1e-12):
            bolt.bent = max(opening - u - net / self.kp, -self.room)
        return tension, washer

    def remember(self, bolt, moved, dt):
        """Renew v after the seat has slid by `moved` in dt."""
        if dt > 0.0:
            bolt.speed += (moved / dt - bolt.speed) * (1.0 - math.exp(-dt / MEMORY))

    def shear_capacity(self, tension):
        """Least of shear with tension and notch bearing."""
        share = min(1.0, tension / self.ultimate_n)
        return min(0.62 * self.ultimate_n * math.sqrt(1.0 - share * share), self.bearing)
