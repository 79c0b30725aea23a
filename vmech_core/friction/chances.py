"""Does it save friction, and how sure: a distribution over the stated ranges, what decides it, and its break-even.

Saving is the friction of the ordinary crank less that of the straight-line drive, under the same pressure trace; where
it is negative the straight-line drive loses. Every answer holds for the ranges of ``ASSUMPTIONS``.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import InputError, record, sampling, show
from vmech_core.friction.assumptions import ASSUMPTIONS, MISSING
from vmech_core.friction.layouts import means, pair, savings
from vmech_core.pressure.volume import indicated_mean_pressure, swept


@record("layout samples straight ordinary")
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

    @property
    def saving(self) -> np.ndarray:
        """Saving of each sample, (S,) [W]."""
        return self.ordinary["total"] - self.straight["total"]

    @property
    def share(self) -> tuple:
        """Share of samples in which it saves, with its standard error from the number of samples alone [1]."""
        return sampling.share_within(-self.saving, 0.0)

    @property
    def ranking(self) -> dict:
        """What decides: share of each assumption in the variance of the saving, largest first [1].

        ``together`` stands last: what single assumptions do not explain.
        """
        return sampling.contributions(self.samples, self.saving)

    @property
    def missing(self) -> np.ndarray:
        """What our ordinary crank lacks of the published total, in each sample, (S,) [W]; zero if it did not vary."""
        return self.ordinary.get(MISSING, 0.0 * self.saving)

    def saving_with(self, share):
        """Saving if what is not modelled sat elsewhere.

        Parameters
        ----------
        share : float or str [1]
            How much of it the straight-line drive has too: 0 none, it is the ordinary crank's alone; 1 as many watts;
            ``in proportion``: as the parts that are modelled.

        Returns
        -------
        (S,) array [W]
            Saving.

        Valid: samples in which it varied.
        Source: definition.
        """
        straight = self.straight["total"] - self.straight.get(MISSING, 0.0)
        ordinary = self.ordinary["total"] - self.missing
        share = straight / ordinary if share == "in proportion" else share
        return ordinary - straight + (1.0 - share) * self.missing

    @property
    def sentence(self) -> str:
        """Low, likely and high of the saving, what decides, and under which condition, for readers."""
        low, middle, high = self.quantiles()
        size = {name: abs(sampling.rank_correlation(x, self.saving)) for name, x in self.samples.items()}
        decides = [name.replace("_", " ") for name in sorted(size, key=size.get)[:-4:-1]]
        wins, of = int(np.sum(self.saving > 0.0)), len(self.saving)
        return (f"saving {show(middle, 'W', 2)}, from {show(low, 'W', 2)} to {show(high, 'W', 2)} in nine of ten "
                f"samples; {', '.join(decides)} decide; {wins} of {of} samples save, if models and stated ranges hold")

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


#: What one assumption does to the saving, all others likely; its fields are what ``break_even`` returns.
BreakEven = namedtuple("BreakEven", "name values saving value words")


def monte_carlo(design, count=200, seed=1, layout="as drawn", progress=None, cancel=None, block=100, vary=None,
                **options):
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
        As in ``sampling.run``.
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
    Source: ``sampling``, ``ASSUMPTIONS``.
    """
    samples = sampling.sample([_dimension(name) for name in (ASSUMPTIONS if vary is None else vary)], count, seed)
    cases = pair(design, layout, **options)

    def flat(values):
        return {(k, name): power for k, own in enumerate(means(cases, values)) for name, power in own.items()}

    found = sampling.run(flat, samples, block, progress, cancel)
    return Outcome(layout, samples, *({name: v for (k, name), v in found.items() if k == m} for m in (0, 1)))


def _dimension(name):
    if name not in ASSUMPTIONS:
        raise InputError("assumption", name, f"not one of {', '.join(ASSUMPTIONS)}")
    e = ASSUMPTIONS[name]
    return sampling.Dimension(name, e.likely, e.low, e.high, e.unit, e.basis, "triangular")


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

    Raises
    ------
    InputError
        If there is no such layout or assumption.

    Valid: seven values over each range; two zeros between neighbours are missed.
    Source: false position (Illinois) within a change of sign.
    """
    cases, names = pair(design, layout, **options), list(ASSUMPTIONS if vary is None else vary)
    ends = [(d.lower, d.nominal, d.upper) for d in map(_dimension, names)]
    grid = np.array([np.interp(np.arange(7), (0, 3, 6), three) for three in ends])
    found = savings(cases, [{n: v} for n, own in zip(names, grid, strict=True) for v in own]).reshape(grid.shape)
    roots = _roots(cases, names, grid, found, rounds)
    rows = [_even(name, tuple(map(float, x)), tuple(map(float, y)), roots.get(name))
            for name, x, y in zip(names, grid[:, ::3], found[:, ::3], strict=True)]
    return sorted(rows, key=lambda row: -np.ptp(row.saving))


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
        value = savings(cases, [{n: v} for n, v in zip(own, new, strict=True)])
        crossed = np.sign(value) != np.sign(y[1])
        x, y = np.stack([np.where(crossed, x[1], x[0]), new]), np.stack([np.where(crossed, y[1], 0.5 * y[0]), value])
    return dict(zip(own.tolist(), new.tolist(), strict=True))


def _even(name, values, saving, root):
    unit = ASSUMPTIONS[name].unit
    low, high = (show(v, "" if unit == "1" else unit, 3) for v in (values[0], values[2]))
    words = f"no value from {low} to {high} does it: the saving is {show(max(saving), 'W', 3)} at best"
    if root is not None:
        words = f"zero at {show(root, '' if unit == '1' else unit, 3)}, within {low} to {high}"
    elif min(saving) > 0.0:
        words = f"no value from {low} to {high} does it: the saving is {show(min(saving), 'W', 3)} at least"
    return BreakEven(name, values, saving, root, words)


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
    dict of str to float [-]
        ``indicated``: power of the gas [W]; ``indicated_efficiency``: its work over the heat of the fuel. ``straight``,
        ``ordinary``, ``limit``: brake efficiency of the straight-line drive, of the ordinary crank, and of the latter
        without any friction of skirts and wrist pins: no more than that is promised by the absence of side thrust
        alone. ``fuel_percent``, ``fuel_limit_percent``: fuel that the straight-line drive, and that limit, save against
        the ordinary crank at the same brake power; not a number if one of the two cannot turn its own friction.

    Raises
    ------
    InputError
        If the machine is no engine.

    Valid: indicated efficiency of the ordinary crank's computed cycle at full load, kept at part load, where a
        throttled engine has less; the heat is what makes the indicated power at that efficiency.
    Source: brake power = indicated power less friction; ``pressure``.
    """
    if design.design.machine != "engine":
        raise InputError("design.machine", design.design.machine, "not engine: it has no fuel")
    cases = pair(design, layout, speed_rpm=speed_rpm, load=load, **options)
    case, (straight, ordinary) = cases[1], means(cases)
    indicated = float(case.ordinary_loads["torque"][:-1].mean()) * case.ordinary.speed
    efficiency = design.spark_cycle.combustion_efficiency * _indicated_efficiency(case)
    side = ordinary["skirts"] + ordinary["wrist pin"]
    lost = {"straight": straight["total"], "ordinary": ordinary["total"], "limit": ordinary["total"] - side}
    brake = {name: efficiency * (1.0 - float(power[0]) / indicated) for name, power in lost.items()}
    fuel, limit = (100.0 * (1.0 - brake["ordinary"] / e) if min(e, brake["ordinary"]) > 0.0 else np.nan
                   for e in (brake["straight"], brake["limit"]))
    return {"indicated": indicated, "indicated_efficiency": efficiency, **brake, "fuel_percent": fuel,
            "fuel_limit_percent": limit}


def _indicated_efficiency(case):
    """Work over heat that is set free, of the ordinary crank with its own computed cycle."""
    cycle, curve = case.own_cycle, case.curves[1]
    mean = indicated_mean_pressure(cycle.traces[1].angle, cycle.traces[1].pressure, curve)
    return mean * swept(curve) / float(cycle.closed.released[1, -1])
