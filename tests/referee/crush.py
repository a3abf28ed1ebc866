"""Band of crush and tube dent in series, both with memory.

Crush    F = min(envelope(c), k_u (c - c_p)), c_p the permanent crush; reload on the unloading line.
Dent     P = 15 m_p sqrt(D/t) sqrt(2 X / D), m_p = Fy t^2 / 4; X never falls (Furnes and Amdahl 1980, as quoted)
         and ends at D / 2 (the tube is flat; an assumption taken over from docs/theory.md).
Series   c + X = total penetration, same force.

Within one integrator step the memory (c_p, X) is frozen; `advance` renews it after the step. The force is
continuous across the renewal.
"""

import math


class Band:
    """One band of the struck face against the pole wall."""

    def __init__(self, band, wall_m, yield_pa):
        self.name = band["name"]
        self.curve = [tuple(p) for p in band["crush_curve"]]
        self.unloading = band["unloading_npm"]
        self.permanent = 0.0
        self.dent = 0.0
        self.peak_crush = 0.0
        self.wall, self.plastic = wall_m, yield_pa * wall_m**2 / 4.0

    def envelope(self, crush):
        """Loading force and slope at `crush`."""
        curve = self.curve
        for (d0, f0), (d1, f1) in zip(curve, curve[1:]):
            if crush <= d1 or d1 == curve[-1][0]:
                slope = (f1 - f0) / (d1 - d0)
                return f0 + slope * (crush - d0), slope
        raise ValueError("a crush curve needs two points")

    def crush_force(self, crush):
        """Force and slope with the present memory."""
        on_line = self.unloading * (crush - self.permanent)
        if on_line <= 0.0:
            return 0.0, 0.0
        force, slope = self.envelope(crush)
        if on_line <= force:
            return on_line, self.unloading
        return max(force, 0.0), slope

    def dent_of(self, force, diameter):
        """Fresh dent depth under `force` and d(depth)/d(force)."""
        root = force / (15.0 * self.plastic * math.sqrt(diameter / self.wall))
        if root >= 1.0:
            return 0.5 * diameter, 0.0  # flattened: solid from here on
        return 0.5 * diameter * root * root, diameter * root * root / force if force > 0.0 else 0.0

    def solve(self, penetration, diameter):
        """Force, crush and dent for a total penetration (positive = overlap)."""
        if penetration <= self.permanent + self.dent:
            return 0.0, self.permanent, self.dent
        low, high = self.permanent, penetration - self.dent
        # g(c) = c + max(X, X_dent(F(c))) - penetration rises with c: Newton inside a bracket.
        crush = high
        for _ in range(80):
            force, slope = self.crush_force(crush)
            depth, rate = self.dent_of(force, diameter)
            if depth <= self.dent:
                depth, rate = self.dent, 0.0
            g = crush + depth - penetration
            if abs(g) < 1e-14:
                break
            if g > 0.0:
                high = crush
            else:
                low = crush
            gain = 1.0 + rate * slope
            trial = crush - g / gain if gain > 0.1 else 0.5 * (low + high)
            crush = trial if low < trial < high else 0.5 * (low + high)
            if high - low < 1e-15:
                break
        force = self.crush_force(crush)[0]
        return force, crush, max(self.dent, self.dent_of(force, diameter)[0])

    def advance(self, penetration, diameter):
        """Renew the memory after an accepted step."""
        force, crush, dent = self.solve(penetration, diameter)
        if force > 0.0:
            self.permanent = max(self.permanent, crush - force / self.unloading)
            self.dent = max(self.dent, dent)
            self.peak_crush = max(self.peak_crush, crush)
        return force, crush, dent

    def absorbed(self):
        """Work on the envelope up to the largest crush, J (the recoverable part included)."""
        total, reached = 0.0, self.peak_crush
        for i, ((d0, f0), (d1, _)) in enumerate(zip(self.curve, self.curve[1:])):
            last = i == len(self.curve) - 2
            end = reached if last or reached < d1 else d1
            if end > d0:
                total += 0.5 * (f0 + self.envelope(end)[0]) * (end - d0)
        return total
