"""Studies over many samples: random numbers in common, blocks, progress, cancel; ranking and yield. No engine here."""

import math
import zlib
from collections import namedtuple

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.results import record

#: Half the width between the limits over the standard deviation of the normal distribution.
SIGMAS = 3.0
_Z = np.linspace(-SIGMAS, SIGMAS, 2001)
_NORMAL = np.array([0.5 * (1.0 + math.erf(z / math.sqrt(2.0))) for z in _Z])
KINDS = ("normal", "uniform", "triangular")


@record("name nominal lower upper", unit="m", source="", distribution="normal")
class Dimension:
    """A number that scatters between two limits.

    Attributes
    ----------
    name : str [-]
        Name; it also selects the random numbers.
    nominal : float [-]
        Value of a perfect part, in ``unit``.
    lower : float [-]
        Lower limit.
    upper : float [-]
        Upper limit.
    unit : str [-]
        SI unit.
    source : str [-]
        Where the limits come from.
    distribution : str [-]
        ``normal``: about the middle, limits at three standard deviations, nothing beyond; ``uniform``;
        ``triangular``: most often nominal.
    """

    def __post_init__(self):
        if not self.lower <= self.nominal <= self.upper:
            span = f"outside its limits {self.lower:g} to {self.upper:g}"
            raise InputError(self.name, self.nominal, span, "" if self.unit == "1" else self.unit)
        if self.distribution not in KINDS:
            raise InputError(f"{self.name}.distribution", self.distribution, f"not one of {', '.join(KINDS)}")


class Cancelled(Exception):
    """A study was stopped before its end; no result is kept.

    Attributes
    ----------
    done : int [1]
        Samples evaluated so far.
    count : int [1]
        Samples asked for.
    """

    def __init__(self, done, count):
        self.done, self.count = done, count
        super().__init__(f"cancelled after {done} of {count} samples; no result is kept")


Worst = namedtuple("Worst", "value corner by_sign by_chance")


def sample(dimensions, count, seed):
    """Random values of each dimension.

    A dimension gets the same numbers for the same seed and name, whatever other dimensions there are, in whatever
    order; a longer run begins with the numbers of a shorter one. Two machines can so be compared sample by sample.

    Parameters
    ----------
    dimensions : sequence of Dimension [-]
        Dimensions, independent of one another.
    count : int [1]
        Number of samples.
    seed : int [1]
        Seed.

    Returns
    -------
    dict of str to (N,) array [-]
        Values by name, each in the unit of its dimension.

    Raises
    ------
    InputError
        If two dimensions have the same name, or the count is not positive.

    Examples
    --------
    >>> gap = Dimension("gap", 2.0, 1.0, 3.0, "m", "own choice", "uniform")
    >>> bool(np.all(sample([gap], 3, 1)["gap"] == sample([gap], 5, 1)["gap"][:3]))
    True
    """
    names = [d.name for d in dimensions]
    if len(set(names)) < len(names):
        raise InputError("dimensions", ", ".join(names), "not a set of different names")
    if count < 1:
        raise InputError("count", count, "below 1", nearest="1")
    shares = {name: np.random.default_rng([seed, zlib.crc32(name.encode())]).random(count) for name in names}
    return {d.name: _quantile(d, shares[d.name]) for d in dimensions}


def _quantile(d, share):
    """Value below which a share of the parts lies."""
    width = d.upper - d.lower
    if d.distribution == "uniform" or width == 0.0:
        return d.lower + width * share
    if d.distribution == "triangular":
        mode = (d.nominal - d.lower) / width
        rising, falling = np.sqrt(share * mode), 1.0 - np.sqrt((1.0 - share) * (1.0 - mode))
        return d.lower + width * np.where(share < mode, rising, falling)
    inside = _NORMAL[0] + share * (_NORMAL[-1] - _NORMAL[0])
    return d.lower + width * (0.5 + np.interp(inside, _NORMAL, _Z) / (2.0 * SIGMAS))


def run(function, samples, block=1000, progress=None, cancel=None):
    """Evaluate a function on blocks of samples.

    Parameters
    ----------
    function : callable [-]
        Takes a dict of name to (B,) array and returns one of result to (B, ...) array.
    samples : dict of str to (N,) array [-]
        Samples.
    block : int [1]
        Samples in one call.
    progress : callable or None [-]
        Called with the samples done and their number after each block.
    cancel : callable or None [-]
        Asked before each block; a true answer stops the study.

    Returns
    -------
    dict of str to (N, ...) array [-]
        Results of all samples.

    Raises
    ------
    Cancelled
        If ``cancel`` said so.
    """
    count, parts = len(next(iter(samples.values()))), []
    for first in range(0, count, block):
        if cancel is not None and cancel():
            raise Cancelled(first, count)
        parts.append(function({name: values[first : first + block] for name, values in samples.items()}))
        if progress is not None:
            progress(min(first + block, count), count)
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}


def worst_corner(function, dimensions, results, seed=1, corners=200, steps=20):
    """Look for the corner of the limits with the largest value of each result.

    There are 2^n corners. One is taken from the single sensitivities, many at random; from the best of them, single
    dimensions are moved to their other limit as long as that makes it worse. No proof that no corner is worse.

    Parameters
    ----------
    function : callable [-]
        As in ``run``.
    dimensions : sequence of Dimension [-]
        What varies.
    results : sequence of str [-]
        Names of the results, each with a worst corner of its own.
    seed : int [1]
        Seed of the random corners.
    corners : int [1]
        Number of random corners.
    steps : int [1]
        Most moves from the best corner.

    Returns
    -------
    dict of str to Worst [-]
        By result, its ``value``, the largest found at a corner; that ``corner``, value by dimension; and what the
        corner that the single sensitivities point to (``by_sign``) and the random ones (``by_chance``) gave.
    """
    names, size, own = [d.name for d in dimensions], len(dimensions), np.arange(len(results))
    limits = np.array([[d.lower, d.upper] for d in dimensions])

    def values(rows):
        found = function(dict(zip(names, rows.T, strict=True)))
        return np.stack([found[name] for name in results], axis=1)

    def at(upper):
        return np.where(upper, limits[:, 1], limits[:, 0])

    single = np.repeat([[d.nominal for d in dimensions]], 2 * size, axis=0)
    single[np.arange(2 * size), np.repeat(np.arange(size), 2)] = limits.ravel()
    sensitive = values(single)
    chance = np.random.default_rng(seed).integers(0, 2, (corners, size)).astype(bool)
    tried = np.concatenate([(sensitive[1::2] > sensitive[::2]).T, chance])
    reached = values(at(tried))
    best, value = tried[reached.argmax(axis=0)], reached.max(axis=0)
    for _ in range(steps):
        moved = best[:, None, :] ^ np.eye(size, dtype=bool)
        risen = values(at(moved.reshape(-1, size))).reshape(len(own), size, -1)[own, :, own]
        if not (risen.max(axis=1) > value).any():
            break
        best = np.where((risen.max(axis=1) > value)[:, None], moved[own, risen.argmax(axis=1)], best)
        value = np.maximum(value, risen.max(axis=1))
    return {
        name: Worst(float(value[q]), dict(zip(names, map(float, at(best[q])), strict=True)), float(reached[q, q]),
                    float(reached[len(own) :, q].max(initial=-np.inf)))
        for q, name in enumerate(results)
    }



def contributions(samples, values):
    """Share of each dimension in the variance of a result.

    A straight line and a parabola are fitted in each dimension, all at once by least squares; the share is the variance
    of that part. What is left belongs to kinks and to dimensions that act together.

    Parameters
    ----------
    samples : dict of str to (N,) array [-]
        Independent samples; one without scatter gets zero.
    values : (N,) array [-]
        Result.

    Returns
    -------
    dict of str to float [1]
        Shares, largest first; the last key, ``together``, is what is left.

    Raises
    ------
    InputError
        If there are fewer than five samples for each unknown of the fit.

    Valid: independent dimensions; with N samples a share is uncertain by about 2 / N from the fit alone.
    Source: least squares; variances of independent parts add.
    """
    count = len(values)
    if count < 10 * len(samples):
        raise InputError("samples", count, f"below {10 * len(samples)}, too few to rank {len(samples)} dimensions")
    total, parts = float(np.var(values)), {}
    columns = {name: _columns(x) for name, x in samples.items()}
    fitted = np.linalg.lstsq(np.concatenate(list(columns.values()), axis=1), values - np.mean(values), rcond=None)[0]
    for name, column, slope in zip(columns, columns.values(), fitted.reshape(-1, 2), strict=True):
        parts[name] = float(np.var(column @ slope)) / total if total else 0.0
    ranked = dict(sorted(parts.items(), key=lambda item: -item[1]))
    return {**ranked, "together": max(0.0, 1.0 - sum(ranked.values())) if total else 0.0}


def _columns(x):
    spread = np.std(x)
    unit = (x - np.mean(x)) / spread if spread > 0.0 else np.zeros(len(x))
    return np.stack([unit, unit * unit - np.mean(unit * unit)], axis=1)


def by_kind(shares):
    """Shares of a ranking with numbered dimensions of the same kind taken together.

    Parameters
    ----------
    shares : dict of str to float [1]
        From ``contributions``.

    Returns
    -------
    dict of str to float [1]
        Largest first, ``together`` last; ``pin_radius_1`` and ``pin_radius_2`` are one entry.

    Examples
    --------
    >>> by_kind({"pin_radius_2": 0.5, "backlash": 0.25, "pin_radius_1": 0.125, "together": 0.125})
    {'pin_radius': 0.625, 'backlash': 0.25, 'together': 0.125}
    """
    kinds = {}
    for name, share in shares.items():
        kind = name.rstrip("0123456789").rstrip("_")
        kinds[kind] = kinds.get(kind, 0.0) + share
    rest = kinds.pop("together", 0.0)
    return {**dict(sorted(kinds.items(), key=lambda item: -item[1])), "together": rest}


def rank_correlation(x, y):
    """Spearman's rank correlation: 1 if y always rises with x, -1 if it always falls.

    Parameters
    ----------
    x : (N,) array [-]
        Samples of one dimension, without equal values.
    y : (N,) array [-]
        Result.

    Returns
    -------
    float [1]
        Correlation of the ranks; it does not see a result that rises to both sides.

    Valid: equal values are ranked in the order in which they stand.
    Source: C. Spearman; tests against scipy.

    Examples
    --------
    >>> round(rank_correlation(np.array([1.0, 2.0, 3.0]), np.array([1.0, 8.0, 27.0])), 12)
    1.0
    """
    ranks = [np.argsort(np.argsort(v, kind="stable"), kind="stable") for v in (x, y)]
    return float(np.corrcoef(*ranks)[0, 1])


def share_within(values, limit):
    """Yield: share of samples that keep a limit, with its standard error from the number of samples.

    Parameters
    ----------
    values : (N,) array [-]
        Result.
    limit : float [-]
        Largest value allowed.

    Returns
    -------
    share : float [1]
        Share of samples at or below the limit.
    error : float [1]
        Standard error, from the number of samples alone.

    Valid: independent samples; for a share of 0 or 1 one sample more or less is the error.
    Source: binomial distribution.

    Examples
    --------
    >>> share_within(np.array([1.0, 2.0, 3.0, 4.0]), 3.0)[0]
    0.75
    """
    count, share = len(values), float(np.mean(values <= limit))
    return share, max(math.sqrt(share * (1.0 - share) / count), 1.0 / count)
