"""Frequencies and static deflection of a tapered tube without finite elements.

    python modes.py case.json

Rayleigh-Ritz with Legendre polynomials on the whole pole (spectral; about 30 terms give 8 digits of the first
five): K = int EI p'' p'' ds, M = int (mu p p + rho I p' p') ds + lumps + plate (mass, diametral inertia). Free-free needs no
constraint; the cantilever keeps w(0) = w'(0) = 0 through the null space of these two rows.

References
- Uniform tube: f = (beta L)^2 / (2 pi L^2) sqrt(EI/mu), beta L = 4.730041 (free-free), 1.875104 (cantilever).
- Tip deflection under a tip force P: int P (L - s)^2 / EI ds (unit-load theorem).
"""

import json
import math
import sys

import caseio  # first: sets the thread count
import numpy as np
from numpy.polynomial import legendre
from scipy import integrate, linalg



def plate_inertia(case):
    """Diametral inertia of the upper plate as a disc: m r^2/4 + m t^2/12."""
    m, r, t = case["support"]["plate_mass_kg"], case["base"]["plate_radius_m"], case["base"]["upper_plate_m"]
    return m * r * r / 4.0 + m * t * t / 12.0


def matrices(support, foot_inertia, terms, rotary=True):
    """Stiffness and mass over Legendre polynomials, and values and slopes at the foot."""
    tube, length = support["pole"], support["pole_length_m"]
    points, weights = legendre.leggauss(2 * terms + 20)
    values = np.array([legendre.legval(points, np.eye(terms)[k]) for k in range(terms)])
    curve = np.array([legendre.legval(points, legendre.legder(np.eye(terms)[k], 2)) for k in range(terms)])
    curve *= (2.0 / length) ** 2
    slopes = np.array([legendre.legval(points, legendre.legder(np.eye(terms)[k])) for k in range(terms)]) * 2.0 / length
    props = [caseio.section(tube, (x + 1.0) / 2.0) for x in points]
    steel = tube["material"]
    ei = np.array([steel["youngs_pa"] * p[2] for p in props]) * weights * length / 2.0
    mu = np.array([steel["density_kgpm3"] * p[1] for p in props]) * weights * length / 2.0
    k, m = (curve * ei) @ curve.T, (values * mu) @ values.T
    if rotary:
        turn = np.array([steel["density_kgpm3"] * p[2] for p in props]) * weights * length / 2.0
        m += (slopes * turn) @ slopes.T

    def at(height, order):
        x = 2.0 * height / length - 1.0
        return np.array([legendre.legval(x, legendre.legder(np.eye(terms)[j], order) if order else np.eye(terms)[j])
                         for j in range(terms)]) * (2.0 / length) ** order

    foot, slope = at(0.0, 0), at(0.0, 1)
    m += support["plate_mass_kg"] * np.outer(foot, foot) + foot_inertia * np.outer(slope, slope)
    for lump in support["lumps"]:
        row = at(lump["height_m"], 0)
        m += lump["mass_kg"] * np.outer(row, row)
    return k, m, foot, slope


def frequencies(support, foot_inertia, clamped=False, count=6, terms=24, rotary=True):
    """First bending frequencies in one plane, Hz (rigid modes left out)."""
    k, m, foot, slope = matrices(support, foot_inertia, terms, rotary)
    if clamped:
        base = linalg.null_space(np.array([foot, slope / np.linalg.norm(slope)]))
        k, m = base.T @ k @ base, base.T @ m @ base
    value = linalg.eigh(k, m, eigvals_only=True)
    skip = 0 if clamped else 2
    return [math.sqrt(v) / (2.0 * math.pi) for v in value[skip:skip + count]]


def tip_deflection(support, force=1.0):
    """Static tip deflection of the clamped pole under a horizontal tip force, m."""
    tube, length = support["pole"], support["pole_length_m"]

    def flexibility(s):
        return (length - s) ** 2 / (tube["material"]["youngs_pa"] * caseio.section(tube, s / length)[2])

    return force * integrate.quad(flexibility, 0.0, length, epsabs=0.0, epsrel=1e-12, limit=200)[0]


def report(case):
    """All numbers of this module for one case."""
    support = case["support"]
    return {"free_frequencies_hz": frequencies(support, plate_inertia(case)),
            "clamped_frequencies_hz": frequencies(support, 0.0, clamped=True),
            "tip_deflection_per_newton_m": tip_deflection(support)}


if __name__ == "__main__":
    print(json.dumps(report(caseio.load(sys.argv[1])), indent=1))
