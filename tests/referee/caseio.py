"""Reading a resolved scenario (JSON) and the section properties of tapered tubes.

All values SI. Nothing here knows the Rust program; only the field names are shared.

References
- Annulus and regular polygon: textbook mensuration (area, second moment of an n-gon of apothem a:
  A = n tan(pi/n) a^2, I = A a^2 (3 + tan^2(pi/n)) / 12).
"""

import json
import math
import os

# One thread: the matrices are small, and waiting threads cost more than they give. Before NumPy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np  # noqa: E402

SIDES = {"round": None, "square": 4, "eight-sided": 8, "twelve-sided": 12, "sixteen-sided": 16}


def load(path):
    """The scenario as nested dicts."""
    with open(path, encoding="utf-8") as stream:
        return json.load(stream)


def _solid(section, diameter):
    """Area and second moment of the solid section; diameter is across flats for polygons."""
    sides = SIDES[section]
    if sides is None:
        return math.pi * diameter**2 / 4.0, math.pi * diameter**4 / 64.0
    a = diameter / 2.0
    tan = math.tan(math.pi / sides)
    area = sides * tan * a * a
    return area, area * a * a * (3.0 + tan * tan) / 12.0


def section(tube, fraction):
    """Outside diameter, area, second moment of area at `fraction` (0 base, 1 tip): outer minus inner."""
    diameter = tube["base_diameter_m"] + (tube["tip_diameter_m"] - tube["base_diameter_m"]) * fraction
    outer = _solid(tube["section"], diameter)
    inner = _solid(tube["section"], diameter - 2.0 * tube["wall_m"])
    return diameter, outer[0] - inner[0], outer[1] - inner[1]


def plastic_modulus(tube, fraction):
    """Z of the section: round exact, Z = (D^3 - (D-2t)^3)/6; polygons as 4 * integral over one quadrant of y dA."""
    diameter = section(tube, fraction)[0]
    inner = diameter - 2.0 * tube["wall_m"]
    if SIDES[tube["section"]] is None:
        return (diameter**3 - inner**3) / 6.0
    return _polygon_modulus(SIDES[tube["section"]], diameter) - _polygon_modulus(SIDES[tube["section"]], inner)


def _polygon_modulus(sides, flats):
    """Integral of |z| dA over a solid regular polygon with a flat at the top."""
    apothem = flats / 2.0
    radius = apothem / math.cos(math.pi / sides)
    angle = math.pi / sides + 2.0 * math.pi * np.arange(sides) / sides + math.pi / 2.0
    x, z = radius * np.cos(angle), radius * np.sin(angle)
    total = 0.0
    for i in range(sides):
        j = (i + 1) % sides
        # Triangle (0, i, j): integral of z over it = area * (z_i + z_j) / 3, sides do not cross z = 0
        # except at z = 0 itself for these orientations up to a symmetric pair, which is split.
        if z[i] * z[j] < -1e-15:
            x0 = x[i] + (x[j] - x[i]) * z[i] / (z[i] - z[j])
            total += abs(0.5 * (x[i] * 0.0 - x0 * z[i])) * abs(z[i]) / 3.0
            total += abs(0.5 * (x0 * z[j] - 0.0)) * abs(z[j]) / 3.0
        else:
            total += abs(0.5 * (x[i] * z[j] - x[j] * z[i])) * abs(z[i] + z[j]) / 3.0
    return total


def grip(base):
    """Clamped length, m: two plates, two plate washers, round washer, keeper."""
    keeper = base["keeper"]["thickness_m"] if base["keeper"] else 0.0
    return (base["upper_plate_m"] + base["lower_plate_m"] + 2.0 * base["plate_washer_m"]
            + base["round_washer_m"] + keeper)


def joint_stiffness(case):
    """Axial stiffness of one bolt and of its clamped stack, N/m.

    Order of preference: scenario, `joint` block, geometry. Geometry:
    k_b = A_s E / (grip + d); k_c = springs in series, a 30 degree frustum in each plate that starts from the
    plate washer (k = 0.5774 pi E d / ln(...), Shigley eq. 8-20, recalled) and the round-washer annulus E A / t.
    """
    base, extra = case["base"], case.get("joint") or {}
    bolt = base["bolt"]
    k_b = base.get("bolt_stiffness_npm") or extra.get("bolt_stiffness_npm")
    k_c = base.get("clamp_stiffness_npm") or extra.get("clamp_stiffness_npm")
    d = bolt["diameter_m"]
    if k_b is None:
        k_b = bolt["stress_area_m2"] * bolt["youngs_pa"] / (grip(base) + d)
    if k_c is None:
        e = base["plate_youngs_pa"]
        start = base["plate_washer_diameter_m"]

        def cone(t):
            a = (1.155 * t + start - d) * (start + d)
            b = (1.155 * t + start + d) * (start - d)
            return 0.5774 * math.pi * e * d / math.log(a / b)

        annulus = math.pi / 4.0 * (base["round_washer_diameter_m"] ** 2 - d * d)
        washer = e * annulus / base["round_washer_m"] if base["round_washer_m"] > 0.0 else math.inf
        k_c = 1.0 / (1.0 / cone(base["upper_plate_m"]) + 1.0 / cone(base["lower_plate_m"]) + 1.0 / washer)
    return k_b, k_c
