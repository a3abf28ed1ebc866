"""Planar geometrically exact beam finite elements (co-rotational Euler-Bernoulli), free-free.

Node coordinates (x, z, theta) in the site frame; the reference axis stands along +z; a positive theta
(about +y) moves the top to +x. Every element carries its own frame (its chord); strains in it are small.

Element energy   U = EA (l - l0)^2 / (2 l0) + 1/2 [a1 a2] k [a1 a2]^T,  a_i = theta_i - alpha, alpha the chord angle,
                 k_ij = integral of EI B_i B_j,  B_1 = (6 xi - 4)/l0, B_2 = (6 xi - 2)/l0 (Gauss, so taper is included).
Mass             consistent (Hermite across, linear along), rotary inertia rho I of the section, Gauss; it turns with one mean angle,
                 M(theta) = R M0 R^T, momentum p = M(theta) v, dp/dt = F.

References
- Crisfield, Non-linear Finite Element Analysis of Solids and Structures, vol. 1 (1991), ch. 7: planar co-rotational beam.
- Przemieniecki, Theory of Matrix Structural Analysis (1968): consistent mass.
"""

from caseio import section  # first: sets the thread count
import numpy as np
from scipy import linalg

_GAUSS = np.polynomial.legendre.leggauss(5)


def _hermite(xi, h):
    """Shape functions of (w1, theta1, w2, theta2)."""
    return np.array([1 - 3 * xi**2 + 2 * xi**3, h * (xi - 2 * xi**2 + xi**3),
                     3 * xi**2 - 2 * xi**3, h * (xi**3 - xi**2)])


def mesh(length, elements, fixed):
    """Node positions: `elements` elements, with nodes at each of the `fixed` positions."""
    marks = [0.0] + sorted(p for p in fixed if 1e-6 < p < length - 1e-6) + [length]
    marks = [p for i, p in enumerate(marks) if i == 0 or p - marks[i - 1] > 1e-6]
    spans = np.diff(marks)
    counts = np.maximum(1, np.floor(spans / length * elements)).astype(int)
    while counts.sum() < elements:
        counts[np.argmax(spans / counts)] += 1
    parts = [np.linspace(marks[i], marks[i + 1], counts[i] + 1)[:-1] for i in range(len(spans))]
    return np.append(np.concatenate(parts), length)


class Pole:
    """Finite elements of one straight tapered tube with rigid lumps.

    `linear` takes the strain from the displacements in the turning frame by the linear stiffness, as a floating frame
    with small bending does, instead of element by element: a measure of what that simplification costs.
    """

    def __init__(self, support, plate_inertia, elements, fixed, linear=False):
        tube, length = support["pole"], support["pole_length_m"]
        self.tube, self.length = tube, length
        lumps = [(0.0, support["plate_mass_kg"], plate_inertia)]
        lumps += [(lump["height_m"], lump["mass_kg"], 0.0) for lump in support["lumps"]]
        self.s = mesh(length, elements, list(fixed) + [p for p, _, _ in lumps])
        self.h = np.diff(self.s)
        self.count = len(self.s)
        size = 3 * self.count
        mass = np.zeros((size, size))
        self.weight_mass = np.zeros(self.count)
        steel = tube["material"]
        points, weights = (_GAUSS[0] + 1.0) / 2.0, _GAUSS[1] / 2.0
        self.k11, self.k12, self.k22, self.ea = (np.zeros(self.count - 1) for _ in range(4))
        for e, h in enumerate(self.h):
            across = np.array([3 * e, 3 * e + 2, 3 * e + 3, 3 * e + 5])
            along = np.array([3 * e + 1, 3 * e + 4])
            for xi, weight in zip(points, weights):
                _, area, second = section(tube, (self.s[e] + xi * h) / length)
                line, ei = steel["density_kgpm3"] * area, steel["youngs_pa"] * second
                n, a = _hermite(xi, h), np.array([1 - xi, xi])
                turn = np.array([(6 * xi * xi - 6 * xi) / h, 1 - 4 * xi + 3 * xi * xi,
                                 (6 * xi - 6 * xi * xi) / h, 3 * xi * xi - 2 * xi])
                mass[np.ix_(across, across)] += line * weight * h * np.outer(n, n)
                mass[np.ix_(across, across)] += steel["density_kgpm3"] * second * weight * h * np.outer(turn, turn)
                mass[np.ix_(along, along)] += line * weight * h * np.outer(a, a)
                self.weight_mass[e:e + 2] += line * weight * h * a
                b1, b2 = (6 * xi - 4) / h, (6 * xi - 2) / h
                self.k11[e] += ei * b1 * b1 * weight * h
                self.k12[e] += ei * b1 * b2 * weight * h
                self.k22[e] += ei * b2 * b2 * weight * h
                self.ea[e] += steel["youngs_pa"] * area * weight / h
        for height, lump, inertia in lumps:
            node = int(np.argmin(abs(self.s - height)))
            mass[3 * node, 3 * node] += lump
            mass[3 * node + 1, 3 * node + 1] += lump
            mass[3 * node + 2, 3 * node + 2] += inertia
            self.weight_mass[node] += lump
        self.mass = mass
        self.total = self.weight_mass.sum()
        self.reference = np.zeros(size)
        self.reference[1::3] = self.s
        self.linear = self.stiffness() if linear else None
        # Kink: hinge at the foot end of this element, its turn so far, and the moment that it bears.
        self.hinge, self.kink, self.kink_moment = None, 0.0, np.inf
        self._modes(support["damping_ratio"])
        # Rigid turn about the centre of mass, local axes: momentum it takes and its inertia.
        centre = float(self.weight_mass @ self.s) / self.total
        turn = np.zeros(size)
        turn[0::3], turn[2::3] = self.s - centre, 1.0
        self.turn_momentum = mass @ turn
        self.turn_inertia = float(turn @ self.turn_momentum)

    def stiffness(self):
        """Linear stiffness at the straight reference state."""
        size = 3 * self.count
        k = np.zeros((size, size))
        for e, h in enumerate(self.h):
            dofs = [3 * e, 3 * e + 2, 3 * e + 3, 3 * e + 5]
            a1 = np.array([1 / h, 1, -1 / h, 0])
            a2 = np.array([1 / h, 0, -1 / h, 1])
            k[np.ix_(dofs, dofs)] += (self.k11[e] * np.outer(a1, a1) + self.k22[e] * np.outer(a2, a2)
                                      + self.k12[e] * (np.outer(a1, a2) + np.outer(a2, a1)))
            along = [3 * e + 1, 3 * e + 4]
            k[np.ix_(along, along)] += self.ea[e] * np.array([[1, -1], [-1, 1]])
        return k

    def _modes(self, ratio):
        """Free-free modes, and the damping matrix C = sum 2 zeta w (M phi)(M phi)^T over all elastic modes."""
        value, vector = linalg.eigh(self.stiffness(), self.mass)
        self.omega = np.sqrt(np.maximum(value, 0.0))
        self.shapes = vector
        elastic = np.arange(3, len(value))
        mp = self.mass @ vector[:, elastic]
        self.damping = (mp * (2.0 * ratio * self.omega[elastic])) @ mp.T
        self.inverse = linalg.inv(self.mass)
        turn = np.zeros_like(self.mass)
        for i in range(self.count):
            turn[3 * i, 3 * i + 1], turn[3 * i + 1, 3 * i] = 1.0, -1.0
        # v_site = R v_local with dR/dtheta = R J; J maps (x, z) to (z, -x).
        self.swirl = turn @ self.mass - self.mass @ turn

    def internal(self, q):
        """Internal nodal forces (gradient of the strain energy) and the element end moments m1, m2.

        The kink is turned so far that the moment at the hinge is the plastic one at most; where the axis lies it does not
        show (`a1` of the state is without it).
        """
        x, z, theta = q[0::3], q[1::3], q[2::3]
        dx, dz = x[1:] - x[:-1], z[1:] - z[:-1]
        l = np.sqrt(dx * dx + dz * dz)
        alpha = np.arctan2(dx, dz)
        sin, cos = dx / l, dz / l
        a1, a2 = theta[:-1] - alpha, theta[1:] - alpha
        tension = self.ea * (l - self.h)
        kink = self.kink_at(q, a1, a2)
        bent = a1
        if kink:
            bent = a1.copy()
            bent[self.hinge] -= kink
        m1 = self.k11 * bent + self.k12 * a2
        m2 = self.k12 * bent + self.k22 * a2
        shear = (m1 + m2) / l
        fx = tension * sin - shear * cos
        fz = tension * cos + shear * sin
        f = np.zeros(len(q))
        f[3::3] += fx
        f[:-3:3] -= fx
        f[4::3] += fz
        f[1:-3:3] -= fz
        f[2:-3:3] += m1
        f[5::3] += m2
        if self.linear is not None:
            f = self._linear_force(q, kink)
        return f, (m1, m2, l, alpha, sin, cos, a1, a2)

    def _turned(self, q):
        """Coordinates from the foot in the frame of the line foot-tip, and that line's direction and length squared."""
        dx, dz = q[-3] - q[0], q[-2] - q[1]
        angle, square = np.arctan2(dx, dz), dx * dx + dz * dz
        sin, cos = np.sin(angle), np.cos(angle)
        local = q - np.tile([q[0], q[1], angle], self.count)
        return self.rotate(local, -sin, cos), sin, cos, (dx, dz, square)

    def hinge_row(self):
        """Moment at the hinge per local displacement (x1, theta1, x2, theta2 of its element) and those places."""
        e, h = self.hinge, self.h[self.hinge]
        first, second = np.array([1 / h, 1, -1 / h, 0]), np.array([1 / h, 0, -1 / h, 1])
        return self.k11[e] * first + self.k12[e] * second, [3 * e, 3 * e + 2, 3 * e + 3, 3 * e + 5]

    def trial_moment(self, q, a1, a2):
        """Moment at the hinge with no kink at all."""
        e = self.hinge
        if self.linear is None:
            return float(self.k11[e] * a1[e] + self.k12[e] * a2[e])
        row, places = self.hinge_row()
        return float(row @ (self._turned(q)[0] - self.reference)[places])

    def kink_at(self, q, a1, a2):
        """The kink after the return to the plastic moment."""
        if self.hinge is None:
            return 0.0
        stiffness = self.k11[self.hinge]
        moment = self.trial_moment(q, a1, a2) - stiffness * self.kink
        if abs(moment) <= self.kink_moment:
            return self.kink
        return self.kink + (moment - np.copysign(self.kink_moment, moment)) / stiffness

    def kink_power(self, q, v, state):
        """Moment at the hinge times the rate of the kink, zero while it does not turn."""
        if self.hinge is None:
            return 0.0
        _, _, l, _, sin, cos, a1, a2 = state
        e = self.hinge
        now = self.kink_at(q, a1, a2)
        if now == self.kink:
            return 0.0
        if self.linear is None:
            turn = ((v[3 * e + 3] - v[3 * e]) * cos[e] - (v[3 * e + 4] - v[3 * e + 1]) * sin[e]) / l[e]
            rate = (self.k11[e] * (v[3 * e + 2] - turn) + self.k12[e] * (v[3 * e + 5] - turn)) / self.k11[e]
        else:
            local, sin, cos, (dx, dz, square) = self._turned(q)
            spin = self.mean_angle(q, v)[1]
            drift = self.rotate(v - np.tile([v[0], v[1], spin], self.count), -sin, cos)
            drift[0::3] -= spin * local[1::3]
            drift[1::3] += spin * local[0::3]
            row, places = self.hinge_row()
            rate = float(row @ drift[places]) / self.k11[e]
        return float(np.copysign(self.kink_moment, now - self.kink) * rate)

    def _linear_force(self, q, kink=0.0):
        """Gradient of d K d / 2 with d the displacements in the turning frame, which q turns too."""
        local, sin, cos, (dx, dz, square) = self._turned(q)
        force = self.linear @ (local - self.reference)
        if kink:
            row, places = self.hinge_row()
            force[places] -= kink * row
        # dU/d(angle): the local coordinates turn by -1.
        turn = float(force[1::3] @ local[0::3] - force[0::3] @ local[1::3] - force[2::3].sum())
        f = self.rotate(force, sin, cos)
        f[-3] += turn * dz / square
        f[0] -= turn * dz / square
        f[-2] -= turn * dx / square
        f[1] += turn * dx / square
        return f

    def strain_energy(self, q):
        """Bending and axial strain energy, J."""
        if self.linear is not None:
            shift = self._turned(q)[0] - self.reference
            energy = 0.5 * float(shift @ self.linear @ shift)
            if self.hinge is not None:
                kink, (row, places) = self.kink_at(q, None, None), self.hinge_row()
                energy += 0.5 * self.k11[self.hinge] * kink**2 - kink * float(row @ shift[places])
            return energy
        _, (m1, m2, l, _, _, _, a1, a2) = self.internal(q)
        energy = 0.5 * float(np.sum(m1 * a1 + m2 * a2 + self.ea * (l - self.h) ** 2))
        if self.hinge is not None:
            energy -= 0.5 * float(m1[self.hinge]) * self.kink_at(q, a1, a2)
        return energy

    def mean_angle(self, q, v):
        """Angle of the line foot to tip and its rate."""
        dx, dz = q[-3] - q[0], q[-2] - q[1]
        ux, uz = v[-3] - v[0], v[-2] - v[1]
        return np.arctan2(dx, dz), (ux * dz - uz * dx) / (dx * dx + dz * dz)

    @staticmethod
    def rotate(vector, sin, cos):
        """Local (x, z, theta) components to site components; pass -sin for the inverse."""
        out = vector.copy()
        out[0::3] = vector[0::3] * cos + vector[1::3] * sin
        out[1::3] = vector[1::3] * cos - vector[0::3] * sin
        return out

    def acceleration(self, q, v, force):
        """dv/dt from nodal forces (internal and damping forces included by the caller and here)."""
        angle, rate = self.mean_angle(q, v)
        sin, cos = np.sin(angle), np.cos(angle)
        local_v = self.rotate(v, -sin, cos)
        damp = self.damping @ local_v
        rhs = self.rotate(force, -sin, cos) - damp - rate * (self.swirl @ local_v)
        return self.rotate(self.inverse @ rhs, sin, cos), float(damp @ local_v)

    def body_turn(self, q, v):
        """Spin of the body as a whole, and the nodal forces of a unit moment that turns it without bending it."""
        angle, _ = self.mean_angle(q, v)
        sin, cos = np.sin(angle), np.cos(angle)
        return (float(self.turn_momentum @ self.rotate(v, -sin, cos)) / self.turn_inertia,
                self.rotate(self.turn_momentum, sin, cos) / self.turn_inertia)

    def kinetic(self, q, v):
        """Kinetic energy, J."""
        angle, _ = self.mean_angle(q, v)
        local = self.rotate(v, -np.sin(angle), np.cos(angle))
        return 0.5 * float(local @ self.mass @ local)

    def locate(self, q, state, px, pz, nx, nz):
        """Axis point on the line through (px, pz) along the unit vector (nx, nz).

        Returns element, xi, position, slope-free element frame, or None when the line misses the pole.
        """
        _, _, l, _, sin, cos, a1, a2 = state
        mx, mz = -nz, nx
        side = (q[0::3] - px) * mx + (q[1::3] - pz) * mz
        above = np.nonzero(side > 0.0)[0]
        if len(above) == 0 or above[0] == 0:
            return None
        e = int(above[0]) - 1
        x1, z1 = q[3 * e:3 * e + 2].tolist()
        le, s, c, b1, b2 = float(l[e]), float(sin[e]), float(cos[e]), float(a1[e]), float(a2[e])
        xi = float(side[e] / (side[e] - side[e + 1]))
        for _ in range(30):
            w = le * (xi * (1 - xi) ** 2 * b1 - xi * xi * (1 - xi) * b2)
            dw = le * ((1 - 4 * xi + 3 * xi * xi) * b1 - (2 * xi - 3 * xi * xi) * b2)
            rx, rz = x1 + s * le * xi + c * w, z1 + c * le * xi - s * w
            g = (rx - px) * mx + (rz - pz) * mz
            dg = (s * le + c * dw) * mx + (c * le - s * dw) * mz
            step = g / dg
            xi -= step
            if abs(step) < 1e-14:
                break
        w = le * (xi * (1 - xi) ** 2 * b1 - xi * xi * (1 - xi) * b2)
        return e, xi, x1 + s * le * xi + c * w, z1 + c * le * xi - s * w, le, s, c

    @staticmethod
    def tangent(spot, state):
        """Direction of the axis at the spot, not a unit vector."""
        e, xi, _, _, _, s, c = spot
        slope = (1 - 4 * xi + 3 * xi * xi) * state[6][e] - (2 * xi - 3 * xi * xi) * state[7][e]
        return float(s + c * slope), float(c - s * slope)

    def shape(self, spot):
        """Rows that map the element's six nodal coordinates to (x, z, theta) of the point, in site axes."""
        _, xi, _, _, h, s, c = spot
        n = (1 - 3 * xi**2 + 2 * xi**3, h * (xi - 2 * xi**2 + xi**3), 3 * xi**2 - 2 * xi**3, h * (xi**3 - xi**2))
        d = ((6 * xi * xi - 6 * xi) / h, 1 - 4 * xi + 3 * xi * xi, (6 * xi - 6 * xi * xi) / h, 3 * xi * xi - 2 * xi)
        a = (1 - xi, xi)
        # Across direction (c, -s), along direction (s, c).
        row_x = np.array([n[0] * c * c + a[0] * s * s, (a[0] - n[0]) * s * c, n[1] * c,
                          n[2] * c * c + a[1] * s * s, (a[1] - n[2]) * s * c, n[3] * c])
        row_z = np.array([(a[0] - n[0]) * s * c, n[0] * s * s + a[0] * c * c, -n[1] * s,
                          (a[1] - n[2]) * s * c, n[2] * s * s + a[1] * c * c, -n[3] * s])
        row_t = np.array([d[0] * c, -d[0] * s, d[1], d[2] * c, -d[2] * s, d[3]])
        return np.array([row_x, row_z, row_t])
