"""References for the crate of samples and intervals, from mpmath, SciPy, NumPy and SALib; it shares no code with the program.

`python sampling_checks.py --write` renews crates/sampling/tests/data/references.json, which the crate's tests read.
test_sampling.py compares that file with the libraries again, and gives the libraries what the program itself stored in
crates/sampling/tests/data/sampled.json.
"""

import argparse
import json
from math import inf, log1p, sqrt
from pathlib import Path

import mpmath
import numpy as np
import scipy
from mpmath import mp
from scipy import optimize, stats
from scipy.stats import qmc

mp.dps = 40
DATA = Path(__file__).resolve().parents[2] / "crates" / "sampling" / "tests" / "data"

PROBABILITIES = [
    1e-12, 1e-9, 1e-6, 1e-4, 1e-3, 0.01, 0.025, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5,
    0.6, 0.7, 0.8, 0.9, 0.95, 0.975, 0.99, 0.999, 0.9999, 1 - 1e-6, 1 - 1e-9,
]  # fmt: skip

# Constructor, its numbers, bounds of a further cut.
DISTRIBUTIONS = [
    ("uniform", [0.1, 0.4], None),
    ("uniform", [-3.0, 5.0], None),
    ("normal", [0.0, 1.0], None),
    ("normal", [1500.0, 200.0], None),
    ("normal", [1500.0, 200.0], [900.0, 2300.0]),
    ("normal", [0.2, 0.1], [0.05, inf]),
    ("normal", [0.0, 1.0], [2.0, 5.0]),
    ("normal", [10.0, 2.0], [-inf, 8.0]),
    ("normal", [1500.0, 200.0], [1499.0, 1502.0]),
    ("lognormal", [0.15, 0.3], None),
    ("lognormal", [120.0, 1.2], None),
    ("lognormal_from_mean", [90.0, 0.25], None),
    ("lognormal", [100.0, 0.4], [50.0, 200.0]),
    ("triangular", [0.1, 0.15, 0.25], None),
    ("triangular", [2.0, 2.0, 5.0], None),
    ("triangular", [0.0, 4.0, 4.0], None),
    ("triangular", [-1.0, 0.5, 2.0], None),
]


def frozen(kind, numbers, cut):
    """SciPy's distribution for a constructor of the crate; none for a cut lognormal, which it does not have."""
    if kind == "uniform":
        low, high = numbers
        return stats.uniform(low, high - low)
    if kind == "triangular":
        low, mode, high = numbers
        return stats.triang((mode - low) / (high - low), low, high - low)
    if kind == "normal":
        mean, sd = numbers
        if cut is None:
            return stats.norm(mean, sd)
        return stats.truncnorm((cut[0] - mean) / sd, (cut[1] - mean) / sd, mean, sd)
    if cut is not None:
        return None
    if kind == "lognormal":
        median, sigma = numbers
    else:
        mean, v = numbers
        median, sigma = mean / sqrt(1 + v * v), sqrt(log1p(v * v))
    return stats.lognorm(sigma, scale=median)


class Exact:
    """The same with 40 digits by mpmath: near a cut SciPy keeps 3 to 9 digits of a small probability."""

    def __init__(self, kind, numbers, cut):
        self.kind = kind
        self.numbers = [mp.mpf(x) for x in numbers]
        if kind == "lognormal_from_mean":
            mean, v = self.numbers
            self.numbers = [mean / mp.sqrt(1 + v * v), mp.sqrt(mp.log(1 + v * v))]
        self.is_log = kind.startswith("lognormal")
        if self.is_normal:
            self.mu = mp.log(self.numbers[0]) if self.is_log else self.numbers[0]
            self.sigma = self.numbers[1]
            low, high = cut or [-inf, inf]
            low = 0.0 if self.is_log and low < 0 else low
            self.a, self.b = self.z(mp.mpf(low)), self.z(mp.mpf(high))

    @property
    def is_normal(self):
        return self.kind.startswith(("normal", "lognormal"))

    def z(self, x):
        if self.is_log:
            x = -mp.inf if x == 0 else mp.log(x)
        return (x - self.mu) / self.sigma

    def cdf(self, x):
        x = mp.mpf(x)
        if self.is_normal:
            return (mp.ncdf(self.z(x)) - mp.ncdf(self.a)) / (mp.ncdf(self.b) - mp.ncdf(self.a))
        if self.kind == "uniform":
            low, high = self.numbers
            return (x - low) / (high - low)
        low, mode, high = self.numbers
        if x <= mode and mode > low:
            return (x - low) ** 2 / ((high - low) * (mode - low))
        return 1 - (high - x) ** 2 / ((high - low) * (high - mode))

    def last_digit(self, x):
        """What the last digit of `x`, or of a normal number's mean, is worth in probability."""
        largest = max(x, float(self.numbers[0])) if self.kind == "normal" else x
        digit = mp.mpf(float(np.spacing(abs(largest)))) if largest else mp.mpf(0)
        return float((self.cdf(x + digit) - self.cdf(x - digit)) / 2)

    def ppf(self, u):
        u = mp.mpf(u)
        if self.is_normal:
            p = mp.ncdf(self.a) + u * (mp.ncdf(self.b) - mp.ncdf(self.a))
            z = mp.sqrt(2) * mp.erfinv(2 * p - 1)
            x = self.mu + self.sigma * z
            return mp.exp(x) if self.is_log else x
        if self.kind == "uniform":
            low, high = self.numbers
            return low + u * (high - low)
        low, mode, high = self.numbers
        if u * (high - low) <= mode - low:
            return low + mp.sqrt(u * (high - low) * (mode - low))
        return high - mp.sqrt((1 - u) * (high - low) * (high - mode))

    def moment(self, order):
        """E x^order."""
        if self.is_normal:
            low, high = max(self.a, -40), min(self.b, 60)
            value = (lambda z: mp.exp(order * (self.mu + self.sigma * z))) if self.is_log else (
                lambda z: (self.mu + self.sigma * z) ** order
            )
            pieces = [low + (high - low) * k / 12 for k in range(13)]
            whole = mp.quad(mp.npdf, pieces)
            return mp.quad(lambda z: value(z) * mp.npdf(z), pieces) / whole
        if self.kind == "uniform":
            low, high = self.numbers
            return (high ** (order + 1) - low ** (order + 1)) / ((order + 1) * (high - low))
        low, mode, high = self.numbers
        return (low + mode + high) / 3 if order == 1 else (
            low**2 + mode**2 + high**2 + low * mode + low * high + mode * high
        ) / 6

    def mean(self):
        return mp.chop(self.moment(1), 1e-40)

    def std(self):
        return mp.sqrt(self.moment(2) - self.moment(1) ** 2)


def distribution(kind, numbers, cut):
    """A row of references; the probabilities are those of the quantiles as rounded to a double."""
    law = Exact(kind, numbers, cut)
    values = [float(law.ppf(u)) for u in PROBABILITIES]
    return {
        "kind": kind,
        "numbers": numbers,
        "cut": None if cut is None else [None if abs(x) == inf else x for x in cut],
        "probabilities": PROBABILITIES,
        "quantiles": values,
        "cdf": [float(law.cdf(x)) for x in values],
        "rounded": [law.last_digit(x) for x in values],
        "mean": float(law.mean()),
        "standard_deviation": float(law.std()),
    }


def discrete():
    values, weights = np.array([2.5, 4.0, 1.0, 9.0]), np.array([3.0, 1.0, 2.0, 0.5])
    order = np.argsort(values)
    upto = np.cumsum(weights[order]) / weights.sum()
    us = [0.0, 0.01, 0.2, 0.3, 0.31, 0.5, 0.75, 0.77, 0.9, 0.93, 1.0]
    mean = np.average(values, weights=weights)
    return {
        "weighted": np.column_stack([values, weights]).tolist(),
        "probabilities": us,
        "quantiles": [float(values[order][np.searchsorted(upto, u)]) for u in us],
        "mean": float(mean),
        "standard_deviation": float(sqrt(np.average((values - mean) ** 2, weights=weights))),
    }


def sobol():
    """Points of the plain sequence: all dimensions at a few indices, few dimensions at a large one."""
    rows = []
    for dimensions, indices in [
        (3, list(range(16))),
        (256, [1, 2, 3, 7, 100, 1023, 4095, 65537]),
        (20, [1_000_000, 2**24 + 12345]),
    ]:
        for index in indices:
            sequence = qmc.Sobol(dimensions, scramble=False)
            sequence.fast_forward(index) if index else None
            rows.append({"dimensions": dimensions, "index": index, "point": sequence.random(1)[0].tolist()})
    return rows


def grid():
    counts = [3, 4, 2, 5]
    levels = np.stack(np.unravel_index(np.arange(np.prod(counts)), counts), axis=1)
    return {"counts": counts, "levels": levels.tolist()}


def discrepancies(points=64, dimensions=4, tries=400):
    """Centred discrepancy of SciPy's own Latin hypercubes and of independent points."""
    rng = np.random.default_rng(20240607)
    latin = [
        qmc.discrepancy(qmc.LatinHypercube(dimensions, rng=rng).random(points)) for _ in range(tries)
    ]
    plain = [qmc.discrepancy(rng.random((points, dimensions))) for _ in range(tries)]
    some = rng.random((10, 3))
    return {
        "points": points,
        "dimensions": dimensions,
        "latin_range": [min(latin), max(latin)],
        "latin_mean": float(np.mean(latin)),
        "independent_mean": float(np.mean(plain)),
        "some_points": some.tolist(),
        "some_value": qmc.discrepancy(some),
    }


def proportions():
    rows = []
    for k, n, level in [
        (0, 10, 0.95), (10, 10, 0.95), (1, 10, 0.95), (3, 20, 0.9), (7, 13, 0.99), (50, 100, 0.95),
        (1, 1000, 0.95), (123, 4096, 0.95), (4095, 4096, 0.999), (500_000, 1_000_000, 0.95), (1, 1, 0.95),
        (3, 1_000_000, 0.99),
    ]:  # fmt: skip
        test = stats.binomtest(k, n)
        exact, wilson = (test.proportion_ci(level, method) for method in ("exact", "wilson"))
        upper = stats.binomtest(k, n, alternative="less").proportion_ci(level, "exact").high
        rows.append(
            {
                "successes": k,
                "trials": n,
                "level": level,
                "exact": [float(exact.low), float(exact.high)],
                "wilson": [float(wilson.low), float(wilson.high)],
                "upper": float(upper),
            }
        )
    return rows


def quantiles():
    rng = np.random.default_rng(7)
    rows = []
    for n, p, level in [(5, 0.5, 0.9), (12, 0.5, 0.95), (40, 0.9, 0.95), (200, 0.95, 0.99), (200, 0.05, 0.9), (60, 0.99, 0.95)]:
        data = np.sort(rng.normal(size=n)).round(6)
        bounds = stats.quantile_test(data, p=p).confidence_interval(level)
        rows.append(
            {
                "data": data.tolist(),
                "p": p,
                "level": level,
                "value": float(np.quantile(data, p)),
                "bounds": [None if np.isnan(b) or np.isinf(b) else float(b) for b in bounds],
            }
        )
    return rows


def means():
    rng = np.random.default_rng(11)
    rows = []
    for n, level in [(2, 0.95), (3, 0.9), (10, 0.99), (500, 0.95)]:
        data = rng.gamma(2.0, 3.0, size=n).round(6)
        bounds = stats.ttest_1samp(data, 0.0).confidence_interval(level)
        rows.append(
            {
                "data": data.tolist(),
                "level": level,
                "mean": float(np.mean(data)),
                "standard_deviation": float(np.std(data, ddof=1)),
                "bounds": [float(bounds.low), float(bounds.high)],
            }
        )
    return rows


def monotone():
    rng = np.random.default_rng(5)
    values = (np.linspace(0, 1, 25) + rng.normal(scale=0.3, size=25)).round(4)
    weights = rng.integers(1, 9, size=25).astype(float)
    fit = {
        name: optimize.isotonic_regression(values, weights=weights, increasing=up).x.tolist()
        for name, up in [("rising", True), ("falling", False)]
    }
    return {"values": values.tolist(), "weights": weights.tolist(), **fit}


def references():
    return {
        "source": f"tests/referee/sampling_checks.py with mpmath {mpmath.__version__}, SciPy {scipy.__version__} and "
        f"NumPy {np.__version__}",
        "distributions": [distribution(*row) for row in DISTRIBUTIONS],
        "discrete": discrete(),
        "sobol": sobol(),
        "grid": grid(),
        "discrepancy": discrepancies(),
        "proportions": proportions(),
        "quantiles": quantiles(),
        "means": means(),
        "isotonic": monotone(),
    }


def stored(name):
    return json.loads((DATA / name).read_text())


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true", required=True)
    parser.parse_args()
    blocks = [f" {json.dumps(key)}: {json.dumps(value)}" for key, value in references().items()]
    (DATA / "references.json").write_text("{\n" + ",\n".join(blocks) + "\n}\n")


if __name__ == "__main__":
    main()
