"""The crate of samples and intervals: its stored references against the libraries, its own numbers against SALib and SciPy."""

import numpy as np
import pytest
from SALib.analyze import morris as morris_analyze
from SALib.analyze import sobol as sobol_analyze
from SALib.sample import sobol as sobol_sample
from scipy import stats
from scipy.stats import qmc

import sampling_checks


@pytest.fixture(scope="module")
def references():
    return sampling_checks.stored("references.json")


@pytest.fixture(scope="module")
def sampled():
    return sampling_checks.stored("sampled.json")


def ishigami(u):
    x = np.pi * (2 * u - 1)
    return np.sin(x[:, 0]) * (1 + 0.1 * x[:, 2] ** 4) + 7 * np.sin(x[:, 1]) ** 2


def problem(factors):
    return {"num_vars": factors, "names": [f"x{i}" for i in range(factors)], "bounds": [[0, 1]] * factors}


def alike(ours, theirs, tolerance):
    assert type(ours) is type(theirs) or {type(ours), type(theirs)} <= {int, float}
    if isinstance(ours, dict):
        assert ours.keys() == theirs.keys()
        for key in ours:
            alike(ours[key], theirs[key], tolerance)
    elif isinstance(ours, list):
        assert len(ours) == len(theirs)
        for one, other in zip(ours, theirs):
            alike(one, other, tolerance)
    elif isinstance(ours, float) or isinstance(theirs, float):
        assert ours == pytest.approx(theirs, rel=tolerance, abs=1e-300)
    else:
        assert ours == theirs


def test_stored_references_are_what_the_libraries_give(references):
    now = sampling_checks.references()
    # Random hypercubes are the same only with the same version; the values are compared, the source is not.
    for block in now.keys() - {"source"}:
        alike(references[block], now[block], 1e-11)


def test_scipy_agrees_with_the_exact_distributions(references):
    """Quantiles to 1e-9, probabilities to 1e-6 relative or 1e-14 absolute: what SciPy keeps near a cut."""
    compared = 0
    for row in references["distributions"]:
        cut = row["cut"] and [x if x is not None else s * np.inf for x, s in zip(row["cut"], (-1, 1))]
        law = sampling_checks.frozen(row["kind"], row["numbers"], cut)
        if law is None:
            continue
        np.testing.assert_allclose(law.ppf(row["probabilities"]), row["quantiles"], rtol=1e-9)
        np.testing.assert_allclose(law.cdf(row["quantiles"]), row["cdf"], rtol=1e-6, atol=1e-14)
        assert law.mean() == pytest.approx(row["mean"], rel=1e-9, abs=1e-12)
        assert law.std() == pytest.approx(row["standard_deviation"], rel=1e-9)
        compared += len(row["quantiles"])
    assert compared > 350


def test_crossed_points_are_those_of_salib(sampled):
    block = sampled["crossed"]
    theirs = sobol_sample.sample(problem(3), 64, calc_second_order=False, scramble=False, skip_values=0)
    np.testing.assert_array_equal(block["points"], theirs)


def test_indices_are_those_of_salib(sampled):
    block = sampled["crossed"]
    results = np.array(block["results"])
    np.testing.assert_allclose(results, ishigami(np.array(block["points"])), rtol=1e-12, atol=1e-12)
    theirs = sobol_analyze.analyze(problem(3), results, calc_second_order=False, num_resamples=4000, seed=1)
    np.testing.assert_allclose(block["first"], theirs["S1"], rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(block["total"], theirs["ST"], rtol=1e-9, atol=1e-12)
    # Theirs is 1.96 standard deviations of the resamples, ours from percentile to percentile.
    low, high = np.array(block["first_interval"]).T
    np.testing.assert_allclose((high - low) / 2, theirs["S1_conf"], rtol=0.15)


def test_effects_are_those_of_salib(sampled):
    block = sampled["screening"]
    points, results = np.array(block["points"]), np.array(block["results"])
    theirs = morris_analyze.analyze(problem(5), points, results, num_levels=block["levels"], seed=1)
    np.testing.assert_allclose(block["mean"], theirs["mu"], rtol=1e-10, atol=1e-12)
    np.testing.assert_allclose(block["mean_absolute"], theirs["mu_star"], rtol=1e-10, atol=1e-12)
    np.testing.assert_allclose(block["standard_deviation"], theirs["sigma"], rtol=1e-10, atol=1e-12)


def test_latin_hypercube_is_one_and_as_even_as_scipy_makes_them(sampled, references):
    points = np.array(sampled["latin"])
    slices = np.sort(np.floor(points * len(points)).astype(int), axis=0)
    assert (slices == np.arange(len(points))[:, None]).all()
    low, high = references["discrepancy"]["latin_range"]
    assert low <= qmc.discrepancy(points) <= high


def test_scrambled_sequence_is_more_even_than_latin_hypercubes(sampled, references):
    points = np.array(sampled["owen"])
    slices = np.sort(np.floor(points * len(points)).astype(int), axis=0)
    assert (slices == np.arange(len(points))[:, None]).all()
    assert qmc.discrepancy(points) < references["discrepancy"]["latin_mean"]


def test_independent_points_are_even(sampled):
    """Kolmogorov and Smirnov on each axis, Kendall between them."""
    points = np.array(sampled["independent"])
    for axis in points.T:
        assert stats.kstest(axis, "uniform").pvalue > 0.001
    assert stats.kendalltau(*points.T).pvalue > 0.001
