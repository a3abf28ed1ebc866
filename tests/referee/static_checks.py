"""Reference values of the static checks: wind on a support, stack stiffness, washer forces, slip, plastic modulus.

Prints `id value` for the rows of crates/mechanics/tests/data whose source is SciPy or NumPy. Written from the
formulas alone; it shares no code with the program. Run: python static_checks.py
"""

from math import cos, hypot, pi, radians, sin, sqrt, tan

import numpy as np
from scipy.integrate import quad
from scipy.optimize import linprog


def kz(z):
    return 2.01 * (max(z, 5.0) / 274.3) ** (2 / 9.5)


def cd_round(x):
    return 1.10 if x <= 5.33 else (9.69 / x**1.3 if x <= 10.66 else 0.45)


def cd_twelve(x):
    return 1.20 if x <= 5.33 else (3.28 / x**0.6 if x <= 10.66 else 0.79)


def member(cd, speed, base, tip, length, height, rise):
    """Force and its first moment (by fraction of the length) of a tapered member, G 1.14, I_r 1."""
    q = 0.613 * 1.14 * speed**2

    def load(s):
        d = base + (tip - base) * s
        return q * kz(height + rise * s) * cd(speed * d) * d * length

    kinks = [(v / speed - base) / (tip - base) for v in (5.33, 10.66)] + [(5.0 - height) / rise]
    kinks = sorted(k for k in kinks if 0 < k < 1) or None
    options = {"points": kinks, "epsabs": 1e-10, "epsrel": 1e-12, "limit": 400}
    return quad(load, 0, 1, **options)[0], quad(lambda s: s * load(s), 0, 1, **options)[0]


SPEED, REACH, RISE, ROOT, LEVER = 40.0, 2.5, 0.4, 10.6, 0.35
ARM = hypot(REACH, RISE)
POLE = member(cd_twelve, SPEED, 0.24, 0.11, 11.0, 0.075, 11.0)
TUBE = member(cd_round, SPEED, 0.09, 0.06, ARM, 0.075 + ROOT, RISE)
LAMP = 0.613 * 1.14 * SPEED**2 * kz(ROOT + RISE + 0.075) * 0.12 * 1.2


def action(a):
    """Shear, overturning moment and torsion for wind toward azimuth a; the arm stands toward +y."""
    sine = sqrt(1.0 - (REACH / ARM * sin(a)) ** 2)
    shear = POLE[0] + TUBE[0] * sine + LAMP
    turning = POLE[1] * 11.0 + (TUBE[0] * ROOT + TUBE[1] * RISE) * sine + LAMP * (ROOT + RISE)
    torsion = -(TUBE[1] * REACH * sine + LAMP * (REACH + LEVER)) * cos(a)
    return (shear * cos(a), shear * sin(a)), (-turning * sin(a), turning * cos(a)), torsion


def washers(preload, kb, kc, weight, moment, places):
    """Washer forces of a rigid plate on equal springs: 3 x 3 stiffness matrix, solved."""
    rows = [np.array([1.0, y, -x]) for x, y in places]
    stiffness = sum((kb + kc) * np.outer(g, g) for g in rows)
    motion = np.linalg.solve(stiffness, [-weight, *moment])
    return np.array([preload - kc * g @ motion for g in rows])


def lower_bound(n, places, mu, shear, torsion):
    """Load factor with shares in proportion to the washer forces."""
    n = np.maximum(n, 0.0)
    centre = n @ places / n.sum()
    polar = n @ ((places - centre) ** 2).sum(1)
    twist = (torsion - (centre[0] * shear[1] - centre[1] * shear[0])) / polar
    return min(
        mu / hypot(shear[0] / n.sum() - twist * (y - centre[1]), shear[1] / n.sum() + twist * (x - centre[0]))
        for force, (x, y) in zip(n, places)
        if force > 0
    )


def plastic_limit(n, places, mu, shear, torsion, sides=360):
    """Exact plastic slip load factor by a linear programme over friction polygons."""
    count = len(n)
    turns = 2 * pi * np.arange(sides) / sides
    upper = np.zeros((count * sides, 2 * count + 1))
    equal = np.zeros((3, 2 * count + 1))
    for i, (x, y) in enumerate(places):
        upper[i * sides : (i + 1) * sides, 2 * i] = np.cos(turns)
        upper[i * sides : (i + 1) * sides, 2 * i + 1] = np.sin(turns)
        equal[0, 2 * i], equal[1, 2 * i + 1], equal[2, 2 * i : 2 * i + 2] = 1, 1, (-y, x)
    equal[:, -1] = (-shear[0], -shear[1], -torsion)
    cost = np.zeros(2 * count + 1)
    cost[-1] = -1
    bounds = [(None, None)] * (2 * count) + [(0, None)]
    return linprog(cost, upper, np.repeat(mu * np.asarray(n), sides), equal, np.zeros(3), bounds).x[-1]


def stack():
    """k_c of the test base by quadrature of dz/(E A)."""
    d, steel, plate, slope = 0.024, 2.05e11, 2.0e11, tan(pi / 6)
    area = lambda wide: pi / 4 * (wide**2 - d**2)
    outer = 1.5 * d + 2 * 0.008 * slope
    soft = 2 * quad(lambda z: 1 / (steel * area(1.5 * d + 2 * z * slope)), 0, 0.008, epsrel=1e-12)[0]
    soft += (0.004 + 0.00053) / (steel * area(0.050))
    for t in (0.028, 0.030):
        wide = lambda z: min(outer + 2 * z * slope, 0.050 + 2 * (t - z) * slope)
        meet = t / 2 + (0.050 - outer) / (4 * slope)
        soft += quad(lambda z: 1 / (0.75 * plate * area(wide(z))), 0, t, points=[meet], epsrel=1e-12)[0]
    return 1 / soft


def polygon_modulus(sides, across, turn):
    """Integral of |y| dA over a regular polygon turned by `turn`."""
    r = across / 2 / cos(pi / sides)
    corners = [(r * cos(turn + 2 * pi * k / sides), r * sin(turn + 2 * pi * k / sides)) for k in range(sides)]

    def width(y):
        cuts = []
        for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1]):
            if (y1 - y) * (y2 - y) <= 0 and y1 != y2:
                cuts.append(x1 + (x2 - x1) * (y - y1) / (y2 - y1))
        return max(cuts) - min(cuts) if cuts else 0.0

    marks = sorted({y for _, y in corners} | {0.0})
    return sum(
        quad(lambda y: abs(y) * width(y), low, high, epsrel=1e-11)[0]
        for low, high in zip(marks, marks[1:])
        if high - low > 1e-12
    )


def circle(first, count, radius=0.19):
    turns = [radians(first + 360 / count * i) for i in range(count)]
    return np.array([(radius * cos(t), radius * sin(t)) for t in turns])


def main():
    force, first = member(cd_round, 90 * 0.44704, 0.20, 0.10, 10.0, 0.0, 10.0)
    print("wind-pole-shear-quad", force, "\nwind-pole-moment-quad", first * 10.0)
    for degrees in (0, 30, 90):
        shear, moment, torsion = action(radians(degrees))
        print(f"wind-support-shear-{degrees}", hypot(*shear))
        print(f"wind-support-moment-{degrees}", hypot(*moment))
        print(f"wind-support-torsion-{degrees}", torsion)
    print("clamp-stack", stack() * 1e-6)
    turns = [k * 2 * pi / 12 / 24 + 1e-9 for k in range(24)]
    print("plastic-12-sided", min(polygon_modulus(12, 240, t) - polygon_modulus(12, 228, t) for t in turns) / 1e3)
    three, four = circle(10, 3), circle(20, 4)
    print("retention-three-bolts", washers(24e3, 6.2e8, 7.1e9, 2600, (900, -4100), three))
    print("retention-four-bolts", washers(24e3, 6.2e8, 7.1e9, 2600, (900, -4100), four))
    case = ([30e3, 18e3, 24e3], three, 0.2, (1500.0, 900.0), 260.0)
    print("retention-slip-unequal", lower_bound(*case), "plastic limit", plastic_limit(*case))
    lowest, margin = np.full(3, np.inf), np.inf
    for k in range(36000):
        shear, moment, torsion = action(radians(k / 100))
        n = washers(60e3, 6.2e8, 7.1e9, 2600, (moment[0] - 1100, moment[1]), three)
        lowest = np.minimum(lowest, n)
        margin = min(margin, lower_bound(n, three, 0.2, shear, torsion) - 1)
    print("retention-scan-bolt", lowest, "\nretention-scan-slip", margin)


if __name__ == "__main__":
    main()
