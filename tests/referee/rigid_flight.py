"""Mass properties of the support by quadrature, and free rigid-body flight as a quaternion ODE.

    python rigid_flight.py case.json                      mass properties
    python rigid_flight.py case.json flight.json          flight; compares with `final` when the file has it

flight.json: {"initial": {"position_m", "velocity_mps" (of the centre of mass, site axes), "rotation" (w, x, y, z,
body to site), "angular_velocity_radps" (site axes)}, "duration_s", optional "gravity_mps2", optional
"inertia_kgm2" and "mass_kg" (else from the case), optional "final" with the fields of "initial"}.
Body axes: those of the standing support, i.e. site axes before the impact.

References
- Euler's equations with a quaternion: q' = 1/2 q (0, w_body), I w' = -w x I w (Goldstein, Classical Mechanics, ch. 4, 5).
"""

import argparse
import json
import math
import sys

import caseio  # first: sets the thread count
import numpy as np
from scipy.integrate import solve_ivp

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(24)


class Sum:
    """Mass, first and second moments about the foot."""

    def __init__(self):
        self.mass, self.first, self.second = 0.0, np.zeros(3), np.zeros((3, 3))

    def point(self, mass, position, own=None):
        """A lump with an inertia tensor of its own."""
        p = np.asarray(position, float)
        self.mass += mass
        self.first += mass * p
        self.second += mass * (p @ p * np.eye(3) - np.outer(p, p))
        if own is not None:
            self.second += own

    def tube(self, tube, start, end, ring):
        """A tapered tube between two points; `ring` adds each slice's own inertia."""
        start, end = np.asarray(start, float), np.asarray(end, float)
        length = np.linalg.norm(end - start)
        axis = (end - start) / length
        along = np.outer(axis, axis)
        for x, weight in zip(_POINTS, _WEIGHTS):
            f = 0.5 * (x + 1.0)
            _, area, second = caseio.section(tube, f)
            rho = tube["material"]["density_kgpm3"] * weight * length / 2.0
            own = rho * second * (np.eye(3) + along) if ring else None
            self.point(rho * area, start + f * (end - start), own)


def mass_properties(case, ring=True):
    """Mass, centre of mass (from the foot point in the slip plane) and inertia about the centre of mass."""
    support, base = case["support"], case["base"]
    total = Sum()
    total.tube(support["pole"], [0, 0, 0], [0, 0, support["pole_length_m"]], ring)
    for arm in support["arms"]:
        out = np.array([math.cos(arm["azimuth_rad"]), math.sin(arm["azimuth_rad"]), 0.0])
        root = np.array([0.0, 0.0, arm["attachment_height_m"]])
        tip = root + arm["reach_m"] * out + np.array([0.0, 0.0, arm["rise_m"]])
        total.tube(arm["tube"], root, tip, ring)
        for lamp in arm["luminaires"]:
            total.point(lamp["mass_kg"], tip + lamp["lever_m"] * out)
    for lump in support["lumps"]:
        a = lump["azimuth_rad"]
        total.point(lump["mass_kg"], [lump["offset_m"] * math.cos(a), lump["offset_m"] * math.sin(a), lump["height_m"]])
    m, r, t = support["plate_mass_kg"], base["plate_radius_m"], base["upper_plate_m"]
    flat = m * r * r / 4.0 + m * t * t / 12.0
    total.point(m, [0, 0, 0], np.diag([flat, flat, m * r * r / 2.0]))
    c = total.first / total.mass
    inertia = total.second - total.mass * (c @ c * np.eye(3) - np.outer(c, c))
    return {"mass_kg": total.mass, "centre_m": c.tolist(), "inertia_kgm2": inertia.tolist(),
            "dead_moment_nm": total.mass * case["site"]["gravity_mps2"] * math.hypot(c[0], c[1])}


def matrix(q):
    """Rotation matrix of a unit quaternion (w, x, y, z)."""
    w, x, y, z = q
    return np.array([[1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
                     [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
                     [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)]])


def fly(inertia, initial, duration, gravity):
    """Pose after `duration` seconds of free flight; `inertia` about the centre of mass in body axes."""
    inertia = np.asarray(inertia, float)
    inverse = np.linalg.inv(inertia)
    q0 = np.asarray(initial["rotation"], float)
    q0 = q0 / np.linalg.norm(q0)
    spin0 = matrix(q0).T @ np.asarray(initial["angular_velocity_radps"], float)

    def rhs(_, y):
        q, w = y[:4], y[4:]
        qd = 0.5 * np.array([-q[1] * w[0] - q[2] * w[1] - q[3] * w[2], q[0] * w[0] + q[2] * w[2] - q[3] * w[1],
                             q[0] * w[1] + q[3] * w[0] - q[1] * w[2], q[0] * w[2] + q[1] * w[1] - q[2] * w[0]])
        return np.concatenate([qd, inverse @ -np.cross(w, inertia @ w)])

    run = solve_ivp(rhs, (0.0, duration), np.concatenate([q0, spin0]), method="DOP853", rtol=1e-12, atol=1e-13)
    q = run.y[:4, -1] / np.linalg.norm(run.y[:4, -1])
    v0, fall = np.asarray(initial["velocity_mps"], float), np.array([0.0, 0.0, -gravity])
    return {"position_m": (np.asarray(initial["position_m"]) + v0 * duration + 0.5 * fall * duration**2).tolist(),
            "velocity_mps": (v0 + fall * duration).tolist(), "rotation": q.tolist(),
            "angular_velocity_radps": (matrix(q) @ run.y[4:, -1]).tolist()}


def difference(a, b):
    """Distance of two poses: position m, velocity m/s, rotation rad, spin rad/s."""
    turn = min(1.0, abs(float(np.dot(a["rotation"], b["rotation"]))
                        / (np.linalg.norm(a["rotation"]) * np.linalg.norm(b["rotation"]))))
    gap = [float(np.linalg.norm(np.subtract(a[k], b[k])))
           for k in ("position_m", "velocity_mps", "angular_velocity_radps")]
    return {"position_m": gap[0], "velocity_mps": gap[1], "rotation_rad": 2.0 * math.acos(turn),
            "angular_velocity_radps": gap[2]}


def main():
    """Command line; exit code 1 when the poses differ by more than 1e-3 (m, m/s, rad, rad/s)."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case")
    parser.add_argument("flight", nargs="?")
    parser.add_argument("--limit", type=float, default=1e-3)
    args = parser.parse_args()
    case = caseio.load(args.case)
    out = {"with_ring_inertia": mass_properties(case), "line_masses_only": mass_properties(case, ring=False)}
    code = 0
    if args.flight:
        flight = caseio.load(args.flight)
        inertia = flight.get("inertia_kgm2") or out["with_ring_inertia"]["inertia_kgm2"]
        gravity = flight.get("gravity_mps2", case["site"]["gravity_mps2"])
        out["final"] = fly(inertia, flight["initial"], flight["duration_s"], gravity)
        if "final" in flight:
            out["difference"] = difference(out["final"], flight["final"])
            code = int(max(out["difference"].values()) > args.limit)
    print(json.dumps(out, indent=1))
    sys.exit(code)


if __name__ == "__main__":
    main()
