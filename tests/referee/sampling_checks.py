"""References for the crate of samples and intervals, from SciPy, NumPy and SALib; it shares no code with the program.

`python sampling_checks.py --write` renews crates/sampling/tests/data/references.json, which the crate's tests read.
test_sampling.py compares that file with the libraries again, and gives the libraries what the program itself stored in
crates/sampling/tests/data/sampled.json.
"""

import argparse
import json
from math import exp, inf, log, log1p, sqrt
from pathlib import Path

import numpy as np
import scipy
from scipy import optimize, stats
from scipy.stats import qmc

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


class CutLognormal:
    """The exponential of a cut normal number; moments by quadrature."""

    def __init__(self, mu, sigma, low, high):
        self.mu, self.sigma = mu, sigma
        self.inner = stats.truncnorm((log(low) - mu) / sigma, (log(high) - mu) / sigma)

    def ppf(self, u):
        return np.exp(self.mu + self.sigma * self.inner.ppf(u))

    def cdf(self, x):
        return self.inner.cdf((np.log(x) - self.mu) / self.sigma)

    def moment(self, order):
        # E x^k = exp(k mu + k^2 s^2 / 2) (Phi(b - k s) - Phi(a - k s)) / (Phi(b) - Phi(a))
        a, b, s = *self.inner.support(), self.sigma
        share = stats.norm.cdf(b - order * s) - stats.norm.cdf(a - order * s)
        return exp(order * self.mu + (order * s) ** 2 / 2) * share / (stats.norm.cdf(b) - stats.norm.cdf(a))

    def mean(self):
        return self.moment(1)

    def std(self):
        return sqrt(self.moment(2) - self.moment(1) ** 2)


def frozen(kind, numbers, cut):
    """SciPy's distribution for a constructor of the crate."""
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
    if kind == "lognormal":
        median, sigma = numbers
    else:
        mean, v = numbers
        median, sigma = mean / sqrt(1 + v * v), sqrt(log1p(v * v))
    if cut is None:
        return stats.lognorm(sigma, scale=median)
    return CutLognormal(log(median), sigma, *cut)


def distribution(kind, numbers, cut):
    law = frozen(kind, numbers, cut)
    values = [float(law.ppf(u)) for u in PROBABILITIES]
    return {
        "kind": kind,
        "numbers": numbers,
        "cut": None if cut is None else [None if abs(x) == inf else x for x in cut],
        "probabilities": PROBABILITIES,
        "quantiles": values,
        "cdf": [float(law.cdf(x)) for x in values],
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
        "source": f"tests/referee/sampling_checks.py with SciPy {scipy.__version__}, NumPy {np.__version__}",
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
