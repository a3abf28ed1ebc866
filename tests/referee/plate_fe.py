"""Finite elements of a Kirchhoff plate (Morley triangles of scikit-fem) against the plate formulas of docs/theory.md, 5.2.

    python plate_fe.py

Disc        radius R, held at the wall's radius r_w (no deflection, free to turn), loads spread over the washers on the bolt
            circle: as a couple (P at one bolt, -P/2 at the two others) and as equal pulls. Deflection: mean over the washer.
            Formula: 1/k_u. Kirchhoff plates do not shear, so the shear of the formula is added to the elements' deflection.
Clamped     the same disc clamped along the wall: formula 1/k_l.
Strip       half-infinite cantilever plate, load at its free edge: 0.168 P a^2/D (Jaramillo).

Band, set before the first number was seen: 30 % for the disc, 3 % for the strip.
"""

import logging
import math

import numpy as np
from scipy.sparse.linalg import splu
from scipy.spatial import Delaunay
from skfem import Basis, BilinearForm, ElementTriMorley, ElementTriP1, MeshTri
from skfem.helpers import dd, ddot, eye, trace

from plates import POISSON, flexibility

BAND, STRIP_BAND = 0.30, 0.03
logging.getLogger("skfem").setLevel(logging.ERROR)
YOUNGS = 2.0e11


def solver(mesh, thickness, held, poisson=POISSON):
    """Morley basis and the solution operator with the degrees of freedom `held` at zero."""
    rigidity = YOUNGS * thickness**3 / (12.0 * (1.0 - poisson**2))

    @BilinearForm
    def bending(u, v, _):
        a, b = dd(u), dd(v)
        return rigidity * ((1.0 - poisson) * ddot(a, b) + poisson * trace(a) * trace(b))

    basis = Basis(mesh, ElementTriMorley())
    matrix = bending.assemble(basis)
    free = np.setdiff1d(np.arange(basis.N), held(basis))
    factor = splu(matrix[free][:, free].tocsc())

    def solve(load):
        out = np.zeros(basis.N)
        out[free] = factor.solve(load[free])
        return out

    return basis, solve


def notch_distance(x, y, seat, span, half_angle):
    """Signed distance-like function of an open notch on the axis +x: negative inside."""
    # Round at the seat, then walls at the half-angle that touch this circle.
    r = span / 2.0
    along, across = x - seat, abs(y)
    touch = -math.sin(half_angle) * r  # where the wall meets the circle
    wall = across * math.cos(half_angle) - (along - touch) * math.sin(half_angle) - r * math.cos(half_angle) ** 2
    wall = wall if np.ndim(wall) else float(wall)
    circle = np.hypot(along, across) - r
    return np.where(along > touch, np.minimum(circle, wall), circle)


def disc(radius, wall, seat, count, span=None, half_angle=math.pi / 4.0, step=0.006):
    """Triangles of the disc with a ring of nodes on the wall; with notches where `span` is given."""
    rings = [0.0]
    inner = max(2, round(wall / step))
    outer = max(2, round((radius - wall) / step))
    rings = list(np.linspace(0.0, wall, inner + 1)) + list(np.linspace(wall, radius, outer + 1)[1:])
    points = [(0.0, 0.0)]
    for r in rings[1:]:
        n = 6 * max(1, round(2.0 * math.pi * r / step / 6.0))
        angle = 2.0 * math.pi * np.arange(n) / n + (0.0 if r in (wall, radius) else math.pi / n)
        points += list(zip(r * np.cos(angle), r * np.sin(angle)))
    points = np.array(points)

    def inside_notch(p):
        out = np.full(len(p), np.inf)
        for k in range(count):
            t = 2.0 * math.pi * k / count
            x, y = p[:, 0] * math.cos(t) + p[:, 1] * math.sin(t), p[:, 1] * math.cos(t) - p[:, 0] * math.sin(t)
            out = np.minimum(out, np.where(x > 0.0, notch_distance(x, y, seat, span, half_angle), np.inf))
        return out

    if span:
        keep = inside_notch(points) > 0.35 * step
        ring = abs(np.hypot(*points.T) - wall) < 1e-9
        points = points[keep | (ring & (inside_notch(points) > 0.0))]
        r = span / 2.0
        start = math.pi / 2.0 + half_angle
        arc = np.linspace(-start, start, max(7, round(2 * start * r / step * 2)))
        edge = [(seat - r * math.cos(a - 0.0), -r * math.sin(a)) for a in np.linspace(-(math.pi - start), math.pi - start, len(arc))]
        touch = seat - math.sin(half_angle) * r, r * math.cos(half_angle)
        far = 0.0
        while math.hypot(touch[0] + (far + step / 2) * math.cos(half_angle), touch[1] + (far + step / 2) * math.sin(half_angle)) < radius - step / 4:
            far += step / 2
            edge += [(touch[0] + far * math.cos(half_angle), s * (touch[1] + far * math.sin(half_angle))) for s in (1, -1)]
        edge = np.array(edge)
        for k in range(count):
            t = 2.0 * math.pi * k / count
            points = np.vstack([points, edge @ np.array([[math.cos(t), math.sin(t)], [-math.sin(t), math.cos(t)]])])
    mesh = Delaunay(points)
    simplices = mesh.simplices
    middle = points[simplices].mean(axis=1)
    a, b, c = (points[simplices[:, i]] for i in range(3))
    area = 0.5 * abs((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))
    good = area > 1e-3 * step * step
    if span:
        good &= inside_notch(middle) > 0.0
    used = np.unique(simplices[good])
    place = np.full(len(points), -1)
    place[used] = np.arange(len(used))
    return MeshTri(points[used].T, place[simplices[good]].T)


def washer_load(mesh, basis, centre, outside, inside=0.0):
    """Unit load spread evenly over the washer, on the plate that is there: nodal vector (also the mean deflection)."""
    middle = mesh.p[:, mesh.t].mean(axis=1)
    away = np.hypot(middle[0] - centre[0], middle[1] - centre[1])
    a, b, c = (mesh.p[:, mesh.t[i]] for i in range(3))
    area = 0.5 * abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    hit = np.nonzero((away < outside) & (away > inside))[0]
    load = np.zeros(basis.N)
    for corner in mesh.t[:, hit]:
        np.add.at(load, basis.nodal_dofs[0, corner], area[hit] / 3.0)
    return load / area[hit].sum()


def disc_flexibility(radius, wall, seat, thickness, washer, bolt_hole, span=None, clamped=False, step=0.006, count=3):
    """Deflection at a loaded bolt per its own load: (couple, equal pulls)."""
    mesh = disc(radius, wall, seat, count, span, step=step)

    def held(basis):
        ring = np.nonzero(abs(np.hypot(*mesh.p) - wall) < 1e-9)[0]
        dofs = list(basis.nodal_dofs[0, ring])
        if clamped:
            mid = mesh.p[:, mesh.facets].mean(axis=1)
            close = np.nonzero(np.isin(mesh.facets, ring).all(axis=0) & (abs(np.hypot(*mid) - wall) < 0.02 * wall))[0]
            dofs += list(basis.facet_dofs[0, close])
        return np.array(dofs)

    basis, solve = solver(mesh, thickness, held)
    turns = 2.0 * math.pi * np.arange(count) / count
    loads = [washer_load(mesh, basis, (seat * math.cos(t), seat * math.sin(t)), washer / 2.0, bolt_hole / 2.0) for t in turns]
    answer = solve(loads[0])
    own, other = float(loads[0] @ answer), float(loads[1] @ answer)
    return own - other, own + 2.0 * other


def rim_deflection(radius, wall, thickness, step=0.006):
    """Deflection of the rim per load spread evenly along it, ring-supported at the wall: (elements, closed form)."""
    mesh = disc(radius, wall, 0.9 * radius, 3, step=step)

    def ring(r):
        return np.nonzero(abs(np.hypot(*mesh.p) - r) < 1e-9)[0]

    basis, solve = solver(mesh, thickness, lambda basis: basis.nodal_dofs[0, ring(wall)])
    load = np.zeros(basis.N)
    load[basis.nodal_dofs[0, ring(radius)]] = 1.0 / len(ring(radius))
    # w' = C r inside; A r + B/r - P/(2 pi D) (r ln r/2 - r/4) outside (Timoshenko: (((r w')'/r)' = Q/D).
    nu, d = POISSON, YOUNGS * thickness**3 / (12.0 * (1.0 - POISSON**2))
    q = 1.0 / (2.0 * math.pi * d)

    def part(r):
        return -q * (r * math.log(r) / 2.0 - r / 4.0), -q * (math.log(r) / 2.0 + 0.25)

    p, s = part(wall)
    pe, se = part(radius)
    rows = [[wall, 1.0 / wall, -wall], [1.0 + nu, (nu - 1.0) / wall**2, -(1.0 + nu)], [1.0 + nu, (nu - 1.0) / radius**2, 0.0]]
    a, b, _ = np.linalg.solve(rows, [-p, -s - nu * p / wall, -se - nu * pe / radius])

    def w(r):
        return a * r * r / 2.0 + b * math.log(r) - q * (r * r * math.log(r) / 4.0 - r * r / 4.0)

    return float(load @ solve(load)), w(radius) - w(wall)


def couple_flexibility(thickness, lever, wall, count):
    """1/k of the upper plate under a couple, with the disc turning as it does under a moment that runs as a cosine round the
    wall, (3 + nu) D/r_w, shared by the wall's whole circumference: what the elements say instead of (1 + nu) and b."""
    rigidity = YOUNGS * thickness**3 / (12.0 * (1.0 - POISSON**2))
    return flexibility(thickness, lever, 0.0, wall, YOUNGS)[0] + count * lever**2 / (2.0 * math.pi * rigidity * (3.0 + POISSON))


def strip_factor(lever=1.0, half_length=6.0, step=0.08, thickness=0.05):
    """w D/(P a^2) under a load at the free edge of a long cantilever plate."""
    nx, ny = round(lever / step), round(2.0 * half_length / step)
    mesh = MeshTri.init_tensor(np.linspace(0.0, lever, nx + 1), np.linspace(-half_length, half_length, 2 * (ny // 2) + 1))

    def held(basis):
        nodes = np.nonzero(mesh.p[0] < 1e-9)[0]
        mid = mesh.p[:, mesh.facets].mean(axis=1)
        return np.concatenate([basis.nodal_dofs[0, nodes], basis.facet_dofs[0, np.nonzero(mid[0] < 1e-9)[0]]])

    basis, solve = solver(mesh, thickness, held)
    node = int(np.argmin(np.hypot(mesh.p[0] - lever, mesh.p[1])))
    load = np.zeros(basis.N)
    load[basis.nodal_dofs[0, node]] = 1.0
    rigidity = YOUNGS * thickness**3 / (12.0 * (1.0 - POISSON**2))
    return float(load @ solve(load)) * rigidity / lever**2


# Name: plate radius, wall's radius, bolt circle's radius, thickness, plate washer, bolt, span of the notch, m.
GEOMETRIES = {
    "lever 90 mm": (0.222, 0.100, 0.190, 0.028, 0.06075, 0.027, 0.029),
    "lever 60 mm": (0.222, 0.130, 0.190, 0.028, 0.06075, 0.027, 0.029),
    "lever 70 mm, thicker": (0.180, 0.080, 0.150, 0.032, 0.054, 0.024, 0.026),
}


def rows(step=0.006):
    """(name, notched, loading, k by formula, k by elements)."""
    for name, (radius, wall, seat, t, washer, bolt, span) in GEOMETRIES.items():
        for notched in (False, True):
            lower, upper, b = flexibility(t, seat - wall, span if notched else 0.0, wall, YOUNGS)
            shear = 6.0 * (seat - wall) / (5.0 * YOUNGS / (2.0 * (1.0 + POISSON)) * b * t)
            args = radius, wall, seat, t, washer, bolt, span if notched else None
            couple, pulls = disc_flexibility(*args, step=step)
            clamped = disc_flexibility(*args, clamped=True, step=step)[0]
            for loading, formula, elements in (("couple", upper, couple), ("pulls", upper, pulls), ("clamped", lower, clamped)):
                yield name, notched, loading, 1.0 / formula, 1.0 / (elements + shear)


def main():
    """All numbers."""
    print("strip", strip_factor(), strip_factor(step=0.05))
    for step in (0.006, 0.004):
        for name, notched, loading, formula, elements in rows(step):
            print(f"{step:6} {name:22}{'notched' if notched else 'solid':8}{loading:8}{formula / 1e6:8.1f}{elements / 1e6:8.1f} MN/m"
                  f"{100.0 * (formula / elements - 1.0):+7.1f} %")


if __name__ == "__main__":
    main()
