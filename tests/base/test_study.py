"""Studies over samples: distributions against scipy, random numbers in common, cancel, ranking, worst corner."""

from itertools import product

import numpy as np
import pytest
from scipy import stats

from vmech_core.base import sampling as study
from vmech_core.base.errors import InputError
from vmech_core.base.sampling import Dimension


def scattered(kind, nominal=2.0, count=40_000):
    d = Dimension("length", nominal, 1.0, 4.0, "m", "test", kind)
    return study.sample([d], count, 5)["length"]


@pytest.mark.parametrize(
    ("kind", "law"),
    [
        ("normal", stats.truncnorm(-3, 3, loc=2.5, scale=0.5)),
        ("uniform", stats.uniform(1.0, 3.0)),
        ("triangular", stats.triang(1.0 / 3.0, loc=1.0, scale=3.0)),
    ],
)
def test_samples_follow_the_law_of_their_name(kind, law):
    """scipy.stats: Kolmogorov's distance of 40 000 samples stays below the bound that chance exceeds once in 1000."""
    values = scattered(kind)
    assert stats.kstest(values, law.cdf).statistic < 1.95 / np.sqrt(values.size)
    assert values.min() >= 1.0 and values.max() <= 4.0
    assert values.mean() == pytest.approx(law.mean(), abs=4 * law.std() / np.sqrt(values.size))


def test_numbers_are_common_whatever_the_order_the_company_and_the_count():
    a, b, c = (Dimension(name, 0.0, -1.0, 1.0) for name in "abc")
    one, two = study.sample([a, b, c], 50, 7), study.sample([c, a], 80, 7)
    assert np.array_equal(one["a"], two["a"][:50]) and np.array_equal(one["c"], two["c"][:50])
    assert abs(np.corrcoef(one["a"], one["b"])[0, 1]) < 0.5
    assert not np.array_equal(one["a"], study.sample([a], 50, 8)["a"])


def test_wider_limits_stretch_the_same_numbers():
    narrow, wide = (study.sample([Dimension("a", 0.0, -w, w)], 30, 1)["a"] for w in (1.0, 3.0))
    assert wide == pytest.approx(3.0 * narrow)


@pytest.mark.parametrize("block", [1, 7, 100, 1000])
def test_blocks_change_nothing(block):
    samples = study.sample([Dimension("a", 0.0, -1.0, 1.0)], 100, 1)
    told = []
    found = study.run(lambda s: {"square": s["a"] ** 2}, samples, block, lambda *n: told.append(n))
    assert np.array_equal(found["square"], samples["a"] ** 2)
    assert told[-1] == (100, 100) and len(told) == -(-100 // block)


def test_cancel_leaves_nothing():
    calls = []

    def function(s):
        calls.append(len(s["a"]))
        return {"a": s["a"]}

    samples = study.sample([Dimension("a", 0.0, -1.0, 1.0)], 100, 1)
    with pytest.raises(study.Cancelled, match="cancelled after 20 of 100 samples; no result is kept"):
        study.run(function, samples, 10, cancel=lambda: len(calls) == 2)
    assert calls == [10, 10]


def test_shares_of_a_linear_function_are_those_of_its_variances():
    """Closed form: var = sum of (slope x deviation)^2."""
    slopes = {"a": 3.0, "b": 2.0, "c": 1.0}
    samples = study.sample([Dimension(name, 0.0, -1.0, 1.0) for name in slopes], 20_000, 2)
    shares = study.contributions(samples, sum(k * samples[name] for name, k in slopes.items()))
    assert [shares[name] for name in slopes] == pytest.approx([9 / 14, 4 / 14, 1 / 14], abs=0.01)
    assert list(shares)[0] == "a" and list(shares)[-1] == "together" and shares["together"] < 0.01


def test_a_dimension_that_hurts_both_ways_is_seen():
    """y = x^2 has rank correlation zero and all of the variance; a product belongs to both together."""
    samples = study.sample([Dimension(name, 0.0, -1.0, 1.0) for name in "ab"], 5000, 2)
    assert study.contributions(samples, samples["a"] ** 2)["a"] == pytest.approx(1.0, abs=1e-9)
    assert abs(study.rank_correlation(samples["a"], samples["a"] ** 2)) < 0.05
    assert study.contributions(samples, samples["a"] * samples["b"])["together"] > 0.98


def test_kinds_are_sums_over_cylinders():
    shares = {"pin_2": 0.4, "gap": 0.3, "pin_1": 0.2, "together": 0.1}
    assert study.by_kind(shares) == pytest.approx({"pin": 0.6, "gap": 0.3, "together": 0.1})


def test_rank_correlation_is_spearmans():
    """scipy.stats.spearmanr."""
    rng = np.random.default_rng(3)
    x = rng.normal(size=200)
    y = np.exp(x) + rng.normal(size=200)
    assert study.rank_correlation(x, y) == pytest.approx(stats.spearmanr(x, y).statistic, abs=1e-12)


def test_yield_has_the_error_of_the_binomial_law():
    """scipy.stats.binom; shares of 0 and 1 keep an error of one sample."""
    values = np.arange(400.0)
    share, error = study.share_within(values, 99.0)
    assert (share, error) == pytest.approx((0.25, stats.binom(400, 0.25).std() / 400))
    assert study.share_within(values, 1e9) == (1.0, 1 / 400)


def test_the_worst_corner_against_all_corners():
    """All 256 corners of 20 random functions with products: never above the truth, the truth itself in at least 18 (19
    here); a search that moves one dimension at a time can end at a lesser top."""
    dimensions = [Dimension(f"x{k}", 0.0, -1.0, 1.0 + 0.1 * k) for k in range(8)]
    limits = [(d.lower, d.upper) for d in dimensions]
    every = np.array(list(product(*limits))).T
    rng, shares = np.random.default_rng(0), []
    for _ in range(20):
        slope, cross = rng.normal(size=8), 0.3 * rng.normal(size=(8, 8))

        def function(s, slope=slope, cross=cross):
            x = np.stack(list(s.values()))
            return {"y": slope @ x + np.einsum("in,ij,jn->n", x, cross, x)}

        truth = function(dict(enumerate(every)))["y"].max()
        found = study.worst_corner(function, dimensions, ["y"])["y"]
        shares.append(found.value / truth)
        assert function({k: np.array([v]) for k, v in found.corner.items()})["y"][0] == pytest.approx(found.value)
        assert found.value >= max(found.by_sign, found.by_chance)
    assert max(shares) <= 1.0 + 1e-12 and min(shares) > 0.85
    assert sum(share > 1.0 - 1e-9 for share in shares) >= 18


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (lambda: Dimension("gap", 5.0, 1.0, 3.0, "m"), "gap = 5.0 is outside its limits 1 to 3 m."),
        (lambda: Dimension("gap", 2.0, 1.0, 3.0, "m", "", "flat"), "not one of normal, uniform, triangular"),
        (lambda: study.sample([Dimension("a", 0, 0, 0)] * 2, 3, 1), "dimensions = 'a, a' is not a set"),
        (lambda: study.sample([], 0, 1), "count = 0 is below 1; nearest value that works: 1."),
        (lambda: study.contributions({"a": np.ones(5)}, np.ones(5)), "samples = 5 is below 10, too few to rank"),
    ],
)
def test_bad_input_gets_one_sentence(act, sentence):
    with pytest.raises(InputError) as error:
        act()
    assert sentence in str(error.value)
