"""Does it save friction, and how sure: a distribution over the stated ranges, what decides it, and its break-even.

Saving is the friction of the ordinary crank less that of the straight-line drive, under the same pressure trace; where
it is negative the straight-line drive loses. Every answer holds for the ranges of ``friction.ASSUMPTIONS``. Layouts,
speeds, loads and other single cases stand in ``friction_cases`` and can be reached from here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from vmech_core.base import sampling as study
from vmech_core.base.errors import InputError
from vmech_core.base.units import show
from vmech_core.bearings import seats
from vmech_core.friction import contacts as friction
from vmech_core.friction.layouts import (
    LAYOUTS,
    Row,
    at,
    balance_shaft_power,
    best,
    compare,
    crosshead,
    laid_out,
    means,
    pair,
    rod_ratio,
    speed_load_map,
)

__all__ = ["LAYOUTS", "BreakEven", "Ceiling", "Need", "Outcome", "Row", "at", "balance_shaft_power", "best",
           "break_even", "ceiling", "compare", "crosshead", "guide_share", "laid_out", "monte_carlo", "needed",
           "ranking", "rod_ratio", "speed_load_map"]  # fmt: skip


@dataclass(frozen=True)
class Outcome:
    """Friction of both machines over the samples of a study.

    Attributes
    ----------
    layout : str or (2,) tuple of str [-]
        Layout of both machines, or of each.
    samples : dict of str to (S,) array [-]
        Values of the assumptions that varied.
    straight, ordinary : dict of str to (S,) array [W]
        Mean power by contact, and ``total``.
    """

    layout: object
    samples: dict
    straight: dict
    ordinary: dict

    @property
    def saving(self) -> np.ndarray:
        """Saving of each sample, (S,) [W]."""
        return self.ordinary["total"] - self.straight["total"]

    @property
    def share(self) -> tuple:
        """Share of samples in which it saves, with its standard error from the number of samples alone [1]."""
        return study.share_within(-self.saving, 0.0)

    def quantiles(self, levels=(0.05, 0.5, 0.95)):
        """Saving below which given shares of the samples lie.

        Parameters
        ----------
        levels : sequence of float [1]
            Shares.

        Returns
        -------
        (Q,) array [W]
            Saving.

        Valid: conditional on the stated ranges.
        Source: order statistics.
        """
        return np.quantile(self.saving, levels)


class BreakEven(NamedTuple):
    """What one assumption does to the saving, all others likely.

    Attributes
    ----------
    name : str [-]
        The assumption.
    values : (3,) tuple of float [-]
        Its low, likely and high value, in its unit.
    saving : (3,) tuple of float [W]
        Saving at these.
    value : float or None [-]
        Its value nearest to the likely one at which the saving is zero; None if its range holds none.
    words : str [-]
        The same in a sentence.
    """

    name: str
    values: tuple
    saving: tuple
    value: float | None
    words: str


class Need(NamedTuple):
    """By what factor one loss would have to change for the saving to be zero, all others as they are.

    Attributes
    ----------
    machine, contact : str [-]
        Which loss.
    power : float [W]
        What it is with likely values.
    factor : float or None [1]
        The factor; None if it would have to be negative.
    """

    machine: str
    contact: str
    power: float
    factor: float | None


class Ceiling(NamedTuple):
    """What friction leaves of the fuel's heat, now and at best; indicated power and efficiency the same for all.

    Attributes
    ----------
    speed_rpm : float [rpm]
        Speed.
    load, indicated_efficiency : float [1]
        Load as in ``at``; work of the gas over the heat of the fuel.
    indicated : float [W]
        Power of the gas.
    straight, ordinary, limit : float [1]
        Brake efficiency of the straight-line drive, of the ordinary crank, and of the latter without any friction of
        skirts and wrist pins: no more than that is promised by the absence of side thrust alone.
    fuel_percent, fuel_limit_percent : float [1]
        Fuel that the straight-line drive, and that limit, save against the ordinary crank at the same brake power;
        not a number if one of the two cannot turn its own friction.
    """

    speed_rpm: float
    load: float
    indicated_efficiency: float
    indicated: float
    straight: float
    ordinary: float
    limit: float
    fuel_percent: float
    fuel_limit_percent: float


def monte_carlo(
    design, count=200, seed=1, layout="as drawn", progress=None, cancel=None, block=100, vary=None, **options
):
    """Friction of both machines for random values of the assumptions, the same ones for both.

    Parameters
    ----------
    design : Design [-]
        The design.
    count, seed : int [1]
        Samples; seed.
    layout : str or (2,) tuple of str [-]
        One of ``LAYOUTS``, or one for each machine.
    progress, cancel : callable or None [-]
        As in ``study.run``.
    block : int [1]
        Samples in one batch.
    vary : sequence of str or None [-]
        Assumptions that vary, the others likely; None for all.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    Outcome [-]
        Samples and powers.

    Raises
    ------
    InputError
        If there is no such layout or assumption.

    Valid: independent assumptions, triangular between their limits; loads are shared with likely clearances.
    Source: ``study``, ``friction.ASSUMPTIONS``.
    """
    samples = study.sample([_dimension(name) for name in (friction.ASSUMPTIONS if vary is None else vary)], count, seed)
    cases = pair(design, layout, **options)

    def flat(values):
        return {(k, name): power for k, own in enumerate(means(cases, values)) for name, power in own.items()}

    found = study.run(flat, samples, block, progress, cancel)
    return Outcome(layout, samples, *({name: v for (k, name), v in found.items() if k == m} for m in (0, 1)))


def _dimension(name):
    if name not in friction.ASSUMPTIONS:
        raise InputError("assumption", name, f"not one of {', '.join(friction.ASSUMPTIONS)}")
    e = friction.ASSUMPTIONS[name]
    return study.Dimension(name, e.likely, e.low, e.high, e.unit, e.basis, "triangular")


def ranking(outcome):
    """What decides: share of each assumption in the variance of the saving.

    Parameters
    ----------
    outcome : Outcome [-]
        From ``monte_carlo``.

    Returns
    -------
    dict of str to float [1]
        Largest first; ``together`` last is what single assumptions do not explain.

    Raises
    ------
    InputError
        If there are too few samples.

    Valid: as ``study.contributions``.
    Source: ``study.contributions``.
    """
    return study.contributions(outcome.samples, outcome.saving)


def break_even(design, layout="as drawn", rounds=6, vary=None, **options):
    """One assumption at a time: what it does to the saving, and where the saving would be zero.

    Parameters
    ----------
    design : Design [-]
        The design.
    layout : str or (2,) tuple of str [-]
        As in ``monte_carlo``.
    rounds : int [1]
        Steps toward each zero.
    vary : sequence of str or None [-]
        Assumptions to look at; None for all.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    list of BreakEven [-]
        The one that moves the saving most stands first.

    Raises
    ------
    InputError
        If there is no such layout or assumption.

    Valid: seven values over each range; two zeros between neighbours are missed.
    Source: false position (Illinois) within a change of sign.
    """
    cases, names = pair(design, layout, **options), list(friction.ASSUMPTIONS if vary is None else vary)
    ends = [(d.lower, d.nominal, d.upper) for d in map(_dimension, names)]
    grid = np.array([np.interp(np.arange(7), (0, 3, 6), three) for three in ends])
    found = _savings(cases, np.repeat(names, 7), grid.ravel()).reshape(grid.shape)
    roots = _roots(cases, names, grid, found, rounds)
    rows = [_even(name, tuple(map(float, x)), tuple(map(float, y)), roots.get(name))
            for name, x, y in zip(names, grid[:, ::3], found[:, ::3], strict=True)]  # fmt: skip
    return sorted(rows, key=lambda row: -np.ptp(row.saving))


def _savings(cases, names, values):
    """Saving with one assumption at another value, case by case."""
    each = {name: np.where(np.asarray(names) == name, values, likely) for name, likely in friction.likely().items()}
    straight, ordinary = means(cases, each)
    return ordinary["total"] - straight["total"]


def _roots(cases, names, grid, found, rounds):
    signs = np.diff(np.sign(found), axis=1) != 0
    has = np.flatnonzero(signs.any(axis=1))
    if not len(has):
        return {}
    near = np.where(signs[has], np.abs(np.arange(6) - 2.5), np.inf).argmin(axis=1)
    x, y = (np.stack([values[has, near], values[has, near + 1]]) for values in (grid, found))
    own = np.asarray(names)[has]
    for _ in range(rounds):
        new = (x[0] * y[1] - x[1] * y[0]) / (y[1] - y[0])
        value = _savings(cases, own, new)
        crossed = np.sign(value) != np.sign(y[1])
        x, y = np.stack([np.where(crossed, x[1], x[0]), new]), np.stack([np.where(crossed, y[1], 0.5 * y[0]), value])
    return dict(zip(own.tolist(), new.tolist(), strict=True))


def _even(name, values, saving, root):
    unit = friction.ASSUMPTIONS[name].unit
    low, high = (show(v, "" if unit == "1" else unit, 3) for v in (values[0], values[2]))
    words = f"no value from {low} to {high} does it: the saving is {show(max(saving), 'W', 3)} at best"
    if root is not None:
        words = f"zero at {show(root, '' if unit == '1' else unit, 3)}, within {low} to {high}"
    elif min(saving) > 0.0:
        words = f"no value from {low} to {high} does it: the saving is {show(min(saving), 'W', 3)} at least"
    return BreakEven(name, values, saving, root, words)


def needed(design, layout="as drawn", **options):
    """By what factor each loss would have to change, alone, for the saving to be zero.

    Parameters
    ----------
    design : Design [-]
        The design.
    layout : str or (2,) tuple of str [-]
        As in ``monte_carlo``.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    list of Need [-]
        Contacts of the straight-line drive, then of the ordinary crank, each largest first.

    Valid: likely values.
    Source: difference of the two totals.
    """
    both = means(pair(design, layout, **options), None)
    gap, rows = float(both[0]["total"][0] - both[1]["total"][0]), []
    for machine, own, short in zip((seats.STRAIGHT, seats.ORDINARY), both, (gap, -gap), strict=True):
        powers = {name: float(power[0]) for name, power in own.items() if name != "total" and power[0] > 0.0}
        for name, power in sorted(powers.items(), key=lambda item: -item[1]):
            rows.append(Need(machine, name, power, 1.0 - short / power if short <= power else None))
    return rows


def guide_share(design, plays_um, layout="as drawn", **options):
    """Friction of the straight-line drive against the play of its guides, and what share of the couple they then take.

    Parameters
    ----------
    design : Design [-]
        The design.
    plays_um : (N,) array [um]
        Plays of the guides, on the diameter.
    layout : str [-]
        As in ``pair``.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    share : (N,) array [1]
        1 less the tooth force over that with idle guides, both root mean squares: what guides and bores take.
    power : (N,) array [W]
        All friction of the drive.

    Valid: as ``sharing.share``.
    Source: ``sharing``, ``friction``.
    """
    found = []
    for play in plays_um:
        a = pair(design, layout, **options, **{"guide.clearance_um": float(play)})[0]
        teeth = [np.sqrt(np.mean(np.square(loads["mesh"][:-1]))) for loads in (a.shared, a.loads)]
        found.append((1.0 - teeth[0] / teeth[1], float(means((a, a))[0]["total"][0])))
    return tuple(np.array(found).T)


def ceiling(design, speed_rpm=None, load=1.0, layout="as drawn", **options):
    """Brake efficiency of both machines, and the most that freedom from side thrust could bring.

    Parameters
    ----------
    design : Design [-]
        An engine.
    speed_rpm : float or None [rpm]
        As in ``at``.
    load : float [1]
        As in ``at``.
    layout : str or (2,) tuple of str [-]
        As in ``pair``.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    Ceiling [-]
        Efficiencies and fuel.

    Raises
    ------
    InputError
        If the machine is no engine.

    Valid: indicated efficiency of the ordinary crank's computed cycle at full load, kept at part load, where a
        throttled engine has less; the heat is what makes the indicated power at that efficiency.
    Source: brake power = indicated power less friction; ``cycles``.
    """
    if design.design.machine != "engine":
        raise InputError("design.machine", design.design.machine, "not engine: it has no fuel")
    cases = pair(design, layout, speed_rpm=speed_rpm, load=load, **options)
    a, (straight, ordinary) = cases[1], means(cases)
    turned = float(a.ordinary_loads["torque"][:-1].mean()) * a.ordinary.speed
    whole = a.design.spark_cycle.combustion_efficiency * a.stage("cycle")["ordinary_efficiency"].value
    lost = [straight["total"][0], ordinary["total"][0], ordinary["total"][0] - _side(ordinary)]
    brake = [whole * (1.0 - float(power) / turned) for power in lost]
    saved = [100.0 * (1.0 - brake[1] / e) if min(e, brake[1]) > 0.0 else np.nan for e in (brake[0], brake[2])]
    return Ceiling(float(a.design.duty.speed_rpm), load, whole, turned, *brake, *saved)


def _side(powers):
    """Friction that side thrust and the rod's swing cause."""
    return powers["skirts"][0] + powers["wrist pin"][0]
