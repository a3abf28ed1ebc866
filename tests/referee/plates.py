"""Plates that bend between the pole's wall and the bolts, by the formulas of docs/theory.md, 5.2; and the yield strength at
the strain rate of a blow (3.6).

    a = lever, b = max(1.98 a - span, 0.99 a), D = E t^3/(12 (1 - nu^2))
    1/k_l = a^3/(3 D b) + 6 a/(5 G b t),  1/k_u = the same + (a^2/b) r_w/(D (1 + nu)),  1/k_p = 1/k_l + 1/k_u
    X_p = (F_y t^2/4) min(pi + 2, 2 pi r_w/(n a)), the thinner plate
"""

import math

POISSON = 0.3  # of the plates: the scenario has none
BLOW = 5.0  # 1/s


def flexibility(thickness, lever, span, wall_radius, youngs_pa, poisson=POISSON):
    """1/k of the lower and of the upper plate, and the width b of the strip."""
    rigidity = youngs_pa * thickness**3 / (12.0 * (1.0 - poisson**2))
    shear = youngs_pa / (2.0 * (1.0 + poisson))
    strip = lever / (3.0 * 0.168)
    b = max(strip - span, 0.5 * strip)
    lower = lever**3 / (3.0 * rigidity * b) + 6.0 * lever / (5.0 * shear * b * thickness)
    return lower, lower + lever**2 / b * wall_radius / (rigidity * (1.0 + poisson)), b


def plate_law(case):
    """k_p and X_p of one bolt; infinite where the plates do not bend."""
    base = case["base"]
    lever = base.get("plate_lever_m", 0.0)
    given = base.get("plate_stiffness_npm")
    if lever <= 0.0:
        return given or math.inf, math.inf
    wall = case["support"]["pole"]["base_diameter_m"] / 2.0
    span, e = base["notch_span_m"], base["plate_youngs_pa"]
    length = base.get("plate_give", 1.0) * lever
    lower = flexibility(base["lower_plate_m"], length, span, wall, e)[0]
    upper = flexibility(base["upper_plate_m"], length, span, wall, e)[1]
    thin = min(base["upper_plate_m"], base["lower_plate_m"])
    most = base["plate_yield_pa"] * thin**2 / 4.0 * min(math.pi + 2.0, 2.0 * math.pi * wall / (base["bolt_count"] * lever))
    return given or 1.0 / (lower + upper), most


def rate_factor(material):
    """Cowper and Symonds at BLOW: aluminium (by its modulus), steel from 300 MPa on, mild steel."""
    if material["youngs_pa"] < 1.2e11:
        rate, q = 6500.0, 4.0
    elif material["yield_pa"] >= 300e6:
        rate, q = 3200.0, 5.0
    else:
        rate, q = 40.4, 5.0
    return 1.0 + (BLOW / rate) ** (1.0 / q)
