"""What was found on site, as closed forms. Written from docs/theory.md, section 5.9; SI unless said otherwise.

Grout       P_b = 0.85 f'c A_b min(2, sqrt(A_2/A_1)), P_c(l) = 9 sqrt(f'c) (c - l)^1.5 (psi, inch, pound), the lesser holds;
            up to the lower plate f'c A_b min(3, sqrt(A_2/A_1)); in the notch 3 f'c d h more.
Bar         cap min(0.6 F_u A, 3 F_y d h), A = pi d^2/4 (stub) or pi (d - t) t (conduit).
Dish        T_y = t^2 W F_y/(1.5 b); slope that stays at the edge of the span, m(c) = (1 - e)(3/2 - 1/(2 c^2)) + e c.
Soil        P = (gamma H^2 K_p/2 + 2 c H sqrt(K_p)) b, H = h + (t - g) tan(slope), elastic-plastic over 2 % of H.
Foundation  0.5 gamma D L^3 K_p/(e + L) on a third of the pier's mass.
"""

import math

from scipy.integrate import quad
from scipy.optimize import brentq

PSI, INCH, POUND = 6894.757293168, 0.0254, 4.4482216152605  # Pa, m, N
BAR_STIFFNESS = 0.5e9  # N/m, numerical
LARGEST_DISH = math.radians(10.0)
HARDENING = 0.01
SOIL_MOBILISED = 0.02
LEAST_FRICTION = {"none": 0.0, "light": 0.35, "seized": 0.60}
NUT_FACTOR = {"as-designed": None, "waxed": 0.13, "lubricated": 0.18, "dry": 0.25, "reused": 0.35}


def rankine(phi):
    """Passive coefficient tan^2(45 deg + phi/2)."""
    return math.tan(math.pi / 4.0 + phi / 2.0) ** 2


class Grout:
    """Resistance of the grout at one bolt's head."""

    def __init__(self, grout, bolt, washer_m, washer_diameter_m, plate_m):
        embedded = max(0.0, -grout["gap_m"])
        self.cover, self.strength = grout["cover_m"], grout["strength_pa"]
        head = bolt["head_height_m"]
        area = min(embedded, head) * bolt["across_flats_m"]
        area += min(max(embedded - head, 0.0), washer_m) * washer_diameter_m
        self.bearing = 0.0
        if embedded > 0.0:
            width = area / embedded
            spread = (width + 4.0 * self.cover) / width
            self.bearing = 0.85 * self.strength * area * min(2.0, math.sqrt(spread))
        # Up to the lower plate it is confined: it bears more and does not break out.
        self.confined = embedded >= head + washer_m
        if self.confined:
            self.bearing = self.strength * area * min(3.0, math.sqrt(spread))
        # In the mouth of the lower notch, on the shank.
        gap = grout.get("notch_gap_m")
        deep = min(max(0.0, embedded - head - washer_m), plate_m) if gap is None else plate_m
        self.notch_from, self.notch = gap or 0.0, 3.0 * self.strength * bolt["diameter_m"] * deep

    def breakout(self, path):
        """P_c with the cover that is left after `path`."""
        left = max(0.0, self.cover - path) / INCH
        return 9.0 * math.sqrt(self.strength / PSI) * left**1.5 * POUND

    def force(self, path):
        """Held force, N."""
        head = self.bearing if self.confined or self.bearing == 0.0 else min(self.bearing, self.breakout(path))
        return head + (self.notch if path >= self.notch_from else 0.0)


def dish_slope(tension, thickness, width, span, yield_pa, youngs_pa):
    """Slope at the edge of the span that stays in a plate washer after `tension`, rad.

    A simple beam with the load in the middle, rectangular, hardening by HARDENING of its modulus. In units of first
    yield the moment m rises along the half span from 0 to r, and carries the curvature c(m):
    theta = theta_y ((2/r) int_0^r c dm - r), the second term being what springs back.
    """
    first = thickness**2 * width * yield_pa / (1.5 * span)
    r = tension / first
    if r <= 1.0:
        return 0.0

    def carried(c):
        return (1.0 - HARDENING) * (1.5 - 0.5 / c**2) + HARDENING * c

    most = brentq(lambda c: carried(c) - r, 1.0, 1.0 + r / HARDENING)
    # int c dm by parts: c m at the end, less the area under m(c).
    area = most * r - 0.5 - quad(carried, 1.0, most, epsabs=1e-12, epsrel=1e-12)[0]
    at_yield = first * span**2 / (16.0 * youngs_pa * width * thickness**3 / 12.0)
    return min(LARGEST_DISH, at_yield * (2.0 / r * area - r))


class Bar:
    """A stub or conduit: elastic-plastic, in the plane."""

    def __init__(self, bar, height, yield_pa, sign, kind):
        d = bar["diameter_m"]
        area = math.pi * d * d / 4.0 if kind == "stub" else math.pi * (d - bar["wall_m"]) * bar["wall_m"]
        self.kind, self.sign, self.gap, self.height = kind, sign, bar["gap_m"], height
        self.cap = min(0.6 * bar["ultimate_pa"] * area, 3.0 * yield_pa * d * height)
        self.reach = d / 2.0
        self.plastic = 0.0
        self.gone = None
        self.met = None

    def past(self, x):
        """Way past the gap for a displacement x of the upper plate against the lower."""
        return (abs(x) if self.sign is None else self.sign * x) - self.gap

    def force(self, x, rise):
        """Force on the upper plate along x, with the plastic part frozen."""
        way = self.past(x)
        if self.gone is not None or way <= 0.0 or rise >= self.height:
            return 0.0
        size = min(max(0.0, BAR_STIFFNESS * (way - self.plastic)), self.cap)
        return -size * (math.copysign(1.0, x) if self.sign is None else self.sign)

    def renew(self, x, rise, time):
        """Advance the plastic part."""
        way = self.past(x)
        if self.gone is None and way > 0.0 and rise < self.height:
            self.met = time if self.met is None else self.met
            self.plastic = max(self.plastic, way - self.cap / BAR_STIFFNESS)


class Soil:
    """Passive wedge behind the foot, elastic-plastic over 2 % of its height; its face drags on a foot that lifts or sinks."""

    def __init__(self, soil, width):
        self.gap, self.face, self.slope = soil["gap_m"], soil["height_m"], math.tan(soil["slope_rad"])
        self.kp, self.width = rankine(soil["friction_angle_rad"]), width
        self.gamma, self.cohesion = soil["unit_weight_npm3"], soil["cohesion_pa"]
        self.rough = math.tan(2.0 * soil["friction_angle_rad"] / 3.0)
        self.sign = math.copysign(1.0, math.cos(soil["azimuth_rad"]))
        self.farthest = self.plastic = 0.0  # largest way past the gap, and what of it stays
        self.drag = self.rise = 0.0  # at the last renewal

    def height(self, way):
        """H after the way past the gap."""
        return max(0.0, self.face + way * self.slope)

    def passive(self, height):
        """P of the height H, N."""
        return (0.5 * self.gamma * height**2 * self.kp + 2.0 * self.cohesion * height * math.sqrt(self.kp)) * self.width

    def force(self, x, rise):
        """Push against the foot and drag on it (positive up), with the memory frozen, and the stiffness."""
        way = self.sign * x - self.gap
        height = self.height(max(way, self.farthest))
        if way <= self.plastic or height <= 0.0 or rise >= self.height(max(way, 0.0)):
            return 0.0, 0.0, 0.0
        full = self.passive(height)
        stiffness = full / (SOIL_MOBILISED * height)
        push = min(stiffness * (way - self.plastic), full)
        drag = self.drag - self.rough * stiffness * (rise - self.rise)
        most = self.rough * push
        return push, min(max(drag, -most), most), stiffness

    def renew(self, x, rise):
        """Advance the memory."""
        push, self.drag, stiffness = self.force(x, rise)
        self.rise = rise
        way = self.sign * x - self.gap
        self.farthest = max(self.farthest, way)
        if push > 0.0:
            self.plastic = max(self.plastic, way - push / stiffness)


class Pier:
    """The moving foundation: a mass on an elastic-plastic spring."""

    def __init__(self, pier, arm):
        d, length = pier["diameter_m"], pier["length_m"]
        self.mass = pier["density_kgpm3"] * math.pi * d * d / 4.0 * length / 3.0
        self.capacity = (0.5 * pier["unit_weight_npm3"] * d * length**3 * rankine(pier["friction_angle_rad"])
                         / (arm + length))
        self.stiffness = self.capacity / pier["movement_m"]
        self.plastic = 0.0

    def force(self, x):
        """Spring force on the pier along x."""
        return -min(max(self.stiffness * (x - self.plastic), -self.capacity), self.capacity)

    def renew(self, x):
        """Advance the plastic part."""
        reach = self.capacity / self.stiffness
        self.plastic = min(max(self.plastic, x - reach), x + reach)


def bolts_of(part, count):
    """Indices of the bolts concerned; an empty list means all."""
    return set(range(count)) if not part["bolts"] else {i - 1 for i in part["bolts"]}


def cone(height, start, d, youngs_pa):
    """Pressure cone of 30 degrees (theory, 5.2)."""
    t = math.tan(math.pi / 6.0)
    top = (2.0 * height * t + start - d) * (start + d)
    return math.pi * youngs_pa * d * t / math.log(top / ((2.0 * height * t + start + d) * (start - d)))


def stack(base, washer_m, round_m):
    """k_c from the stack as found: per plate an outer cone from the head and an inner one from the round washer.

    Without round washers only the outer cone remains, and runs through the whole plate.
    """
    d, e = base["bolt"]["diameter_m"], base["plate_youngs_pa"]
    t = math.tan(math.pi / 6.0)
    notch = 1.0 - base["notch_half_angle_rad"] / math.pi
    give = 2.0 / cone(washer_m, 1.5 * d, d, e) if washer_m > 0.0 else 0.0
    wide = 1.5 * d + 2.0 * washer_m * t
    for plate in (base["upper_plate_m"], base["lower_plate_m"]):
        if round_m > 0.0:
            meet = 0.5 * (plate + (base["round_washer_diameter_m"] - wide) / (2.0 * t))
            meet = min(max(meet, 0.0), plate)
            pieces = [(meet, wide), (plate - meet, base["round_washer_diameter_m"])]
        else:
            pieces = [(plate, wide)]
        give += sum(1.0 / (notch * cone(h, start, d, e)) for h, start in pieces if h > 0.0)
    if round_m > 0.0:
        give += round_m / (e * math.pi / 4.0 * (base["round_washer_diameter_m"] ** 2 - d * d))
    return 1.0 / give


class Found:
    """The base as it stands: replaced values and added forces."""

    def __init__(self, case):
        base, found = case["base"], case.get("as_found") or {}
        bolt, count = base["bolt"], base["bolt_count"]
        self.given = found
        d = bolt["diameter_m"]
        least = LEAST_FRICTION[found.get("rust", "none")]
        names = ("outer", "inner", "wall")
        self.design_static = tuple(base[f"friction_{k}"] for k in names)
        self.design_sliding = tuple(base.get(f"sliding_{k}", base[f"friction_{k}"]) for k in names)
        self.static = tuple(max(mu, least) for mu in self.design_static)
        self.sliding = tuple(max(mu, 2.0 * least / 3.0) for mu in self.design_sliding)
        missing = found.get("round_washers", "between")
        self.mu_p = None
        if isinstance(missing, dict):
            self.mu_p = max(missing["missing"]["plate_friction"], least)
        self.round = base["round_washer_m"] if self.mu_p is None else 0.0
        keeper, state = base["keeper"], found.get("keeper", "as-designed")
        if state == "missing":
            keeper = None
        elif isinstance(state, dict):
            keeper = dict(keeper or {}, thickness_m=state["thickness"])
        self.keeper = keeper
        self.washer = base["plate_washer_m"] if found.get("plate_washer_m") is None else found["plate_washer_m"]
        self.azimuth = base["first_bolt_azimuth_rad"] + found.get("turned_rad", 0.0)
        self.slip_plane = found.get("slip_plane_height_m")
        if self.slip_plane is None:
            self.slip_plane = case["site"]["slip_plane_height_m"]
        sheet = keeper["thickness_m"] if keeper else 0.0
        self.spacing = self.round + sheet
        self.grip = base["upper_plate_m"] + base["lower_plate_m"] + 2.0 * self.washer + self.spacing
        self.preloads = self._clamp(base, found, count)
        self.k_b, self.k_c = self._stiffness(case, base, bolt)
        width = base["plate_washer_diameter_m"] - d
        self.dish = [math.tan(dish_slope(p, self.washer, width, base["notch_span_m"], base["plate_washer_yield_pa"],
                                         base["plate_youngs_pa"])) if "notch_span_m" in base else 0.0
                     for p in self.preloads]
        grout = found.get("grout")
        self.grout = [None] * count
        if grout:
            for i in bolts_of(grout, count):
                self.grout[i] = Grout(grout, bolt, self.washer, base["plate_washer_diameter_m"], base["lower_plate_m"])
        self.lump = [None] * count
        if found.get("lump"):
            lump = found["lump"]
            for i in bolts_of(lump, count):
                # Clearance: what the notch is wider than the bolt (theory does not define it).
                if lump["height_m"] > base["notch_span_m"] - d:
                    self.lump[i] = lump
        self.bars = []
        for stub in found.get("stubs", []):
            height = stub["projection_m"] - self.spacing
            if abs(math.sin(stub["azimuth_rad"])) > 1e-9:
                raise ValueError("planar referee: a stub must stand straight ahead or behind")
            if height > 0.0:
                self.bars.append(Bar(stub, height, base["plate_yield_pa"], round(math.cos(stub["azimuth_rad"])), "stub"))
        if found.get("conduit"):
            height = found["conduit"]["projection_m"] - self.spacing
            if height > 0.0:
                self.bars.append(Bar(found["conduit"], height, base["plate_yield_pa"], None, "conduit"))
        self.soil = Soil(found["soil"], 2.0 * base["plate_radius_m"]) if found.get("soil") else None
        self.pier = Pier(found["foundation"], self.slip_plane) if found.get("foundation") else None
        self.strip = None
        if found.get("engaged_threads") is not None:
            minor = d - 1.0825 * bolt["pitch_m"]
            self.strip = 0.6 * bolt["ultimate_pa"] * 0.75 * math.pi * minor * bolt["pitch_m"] * found["engaged_threads"]
        if found.get("notch_offset_m"):
            raise ValueError("planar referee: a turned plate is not planar")

    @staticmethod
    def _clamp(base, found, count):
        """Preload of each bolt: (1 - r) T/(K d) where torque or threads were found, else the design's."""
        torques = found.get("torques_nm") or []
        factor = NUT_FACTOR[found.get("threads", "as-designed")]
        if not torques and factor is None:
            return [base["preload_n"]] * count
        d, loss, design = base["bolt"]["diameter_m"], 1.0 - base["relaxation"], base["torque_nm"]
        if design is None:
            design = base["preload_n"] * base["nut_factor"] * d / loss
        torques = (list(torques) or [design])
        torques = torques * count if len(torques) == 1 else torques
        return [loss * t / ((factor or base["nut_factor"]) * d) for t in torques]

    def _stiffness(self, case, base, bolt):
        """k_b and k_c: the exported ones (of the design), scaled by geometry where a finding changes the stack."""
        joint = case.get("joint") or {}
        design_grip = (base["upper_plate_m"] + base["lower_plate_m"] + 2.0 * base["plate_washer_m"]
                       + base["round_washer_m"] + (base["keeper"]["thickness_m"] if base["keeper"] else 0.0))
        k_b, k_c = joint.get("bolt_stiffness_npm"), joint.get("clamp_stiffness_npm")
        if k_b is None or k_c is None:
            return None, None
        if base["bolt_stiffness_npm"] is None:
            k_b *= (design_grip + bolt["diameter_m"]) / (self.grip + bolt["diameter_m"])
        same = self.washer == base["plate_washer_m"] and self.round == base["round_washer_m"]
        if base["clamp_stiffness_npm"] is None and not same:
            k_c *= stack(base, self.washer, self.round) / stack(base, base["plate_washer_m"], base["round_washer_m"])
        return k_b, k_c
