"""Slip joint of clamped bolts in V notches; planar motion of the upper plate (x, z, pitch).

Normal      T = clip(F_p + k_b (u - e_p), 0, Fy A_s), N = max(0, F_p - k_c u), net on the plate N - T - c du/dt.
Sliding     cases a, b, c by the angle gamma between the seat displacement s and the notch axis n.
Sticking    spring k_s (s - s_p) capped by the sliding resistance; s_p renewed after each accepted step.
"""

import math

from caseio import grip, joint_stiffness

TINY_SLIDE = 2e-4  # m; below this the notch case follows the direction of the pull, not of s


class Bolt:
    """State of one bolt."""

    def __init__(self, azimuth, radius):
        self.nx, self.ny = math.cos(azimuth), math.sin(azimuth)
        self.seat = radius * self.nx
        self.slip = 0.0
        self.stretch = 0.0
        self.released = None
        self.fate = "held"
        self.torn = None
        self.peak_tension = 0.0
        self.peak_slip = 0.0


class Joint:
    """All bolts with their common data."""

    def __init__(self, case):
        base, solver = case["base"], case["solver"]
        self.kb, self.kc = joint_stiffness(case)
        self.preload = (case.get("joint") or {}).get("preload_n") or base["preload_n"]
        self.damping = solver["joint_damping_s"]
        self.stick = solver["stick_stiffness_npm"]
        self.mu_o, self.mu_i, self.mu_w = base["friction_outer"], base["friction_inner"], base["friction_wall"]
        self.beta, self.travel = base["notch_half_angle_rad"], base["notch_travel_m"]
        bolt = base["bolt"]
        self.d = bolt["diameter_m"]
        self.yield_n = bolt["yield_pa"] * bolt["stress_area_m2"]
        self.ultimate_n = bolt["ultimate_pa"] * bolt["stress_area_m2"]
        self.rupture = bolt["elongation"] * grip(base)
        thin = min(base["upper_plate_m"], base["lower_plate_m"])
        self.bearing = 2.4 * self.d * thin * base["plate_ultimate_pa"]
        self.keeper = 0.0
        if base["keeper"]:
            k = base["keeper"]
            self.keeper = min(2.0 * k["edge_distance_m"] * k["thickness_m"] * 0.6 * k["ultimate_pa"],
                              2.4 * self.d * k["thickness_m"] * k["ultimate_pa"])
        n, first = base["bolt_count"], base["first_bolt_azimuth_rad"]
        radius = base["bolt_circle_m"] / 2.0
        self.bolts = [Bolt(first + 2.0 * math.pi * i / n, radius) for i in range(n)]
        self.plate_radius = base["plate_radius_m"]
        self.sb, self.cb = math.sin(self.beta), math.cos(self.beta)
        for bolt in self.bolts:
            bolt.kinds = {sign: self._kind(bolt, sign) for sign in (1.0, -1.0)}

    def kind(self, bolt, sign):
        """Notch case for motion along sign * x, with cos gamma and sin gamma."""
        return bolt.kinds[sign]

    def _kind(self, bolt, sign):
        cos = sign * bolt.nx
        cos = min(1.0, max(-1.0, cos))
        gamma = math.acos(cos)
        if gamma <= self.beta + 1e-12:
            return "a", cos, math.sin(gamma)
        if gamma >= math.pi - self.beta - 1e-12:
            return "b", cos, math.sin(gamma)
        return "c", cos, math.sin(gamma)

    def paths(self, bolt, s):
        """Travel of the bolt relative to the lower and to the upper notch, along the notch axes and along the walls.

        Returns (lower axial, upper axial, lower path, bolt x-shift from its lower seat).
        """
        size = abs(s)
        kind, cos, sin = self.kind(bolt, 1.0 if s >= 0.0 else -1.0)
        if kind == "a":
            return size * cos, 0.0, size, s
        if kind == "b":
            return 0.0, -size * cos, 0.0, 0.0
        sb, cb = self.sb, self.cb
        low = 0.5 * size * (sin / sb + cos / cb)
        up = 0.5 * size * (sin / sb - cos / cb)
        # Tangent on the side of s: s = |s| (cos n + sin t)  ->  t_x = (sign - cos n_x) / sin.
        tx = ((1.0 if s >= 0.0 else -1.0) - cos * bolt.nx) / sin
        return low * cb, up * cb, low, low * (cb * bolt.nx + sb * tx)

    def progress(self, bolt, s):
        """Largest axial travel minus L; zero at release."""
        low, up, _, _ = self.paths(bolt, s)
        return max(low, up) - self.travel

    def resistance(self, bolt, s, pull, tension, washer):
        """Sliding resistance along x (positive), and the shear that the bolt carries then."""
        sign = 1.0 if pull >= 0.0 else -1.0
        f = self.mu_o * tension + self.mu_i * washer
        low, up, path, _ = self.paths(bolt, s)
        half = self.d / 2.0

        def fade(axial):
            return min(1.0, max(0.0, (self.travel - axial) / half))

        if s * sign < 0.0 and abs(s) > TINY_SLIDE:
            back = f * fade(max(low, up))
            return back, back
        kind, cos, sin = self.kind(bolt, sign)
        keeper = self.keeper if bolt.torn is None else 0.0
        f_low, f_up = f * fade(low) + keeper, f * fade(up)
        if kind == "a":
            return f_low, f_low
        if kind == "b":
            return f_up, f_up
        sb, cb = self.sb, self.cb
        if math.tan(self.beta) <= self.mu_w:
            return math.inf, math.inf
        total = (f_low + f_up) * cb / (sb - self.mu_w * cb)
        differ = -(f_up - f_low) * sb / (cb + self.mu_w * sb)
        n_up = 0.5 * (total + differ)
        along_t = n_up * cb + (f_up + self.mu_w * n_up) * sb
        along_n = n_up * sb - (f_up + self.mu_w * n_up) * cb
        return along_t * sin + along_n * cos, math.hypot(along_t, along_n)

    def tension(self, bolt, u):
        """Bolt tension and washer force at opening u."""
        t = self.preload + self.kb * (u - bolt.stretch)
        return min(max(t, 0.0), self.yield_n), max(0.0, self.preload - self.kc * u)

    def shear_capacity(self, tension):
        """Least of shear with tension and notch bearing."""
        share = min(1.0, tension / self.ultimate_n)
        return min(0.62 * self.ultimate_n * math.sqrt(1.0 - share * share), self.bearing)
