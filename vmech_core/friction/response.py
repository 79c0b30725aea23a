"""A response fitted through a few runs of all contacts, for whoever cannot wait for one: a slider.

One run of all contacts takes half a second. So a design is run at some speeds, loads, temperatures, grades and plays,
the logarithms of the powers are fitted by products of up to two variables, and other runs that the fit has not seen say
how far it is off.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations_with_replacement

import numpy as np

from vmech_core.bearings import oils
from vmech_core.case import Case
from vmech_core.friction.contacts import of_both
from vmech_core.friction.layouts import at

#: Ends of what is fitted: speed [rpm], load [1], oil against the design [K], factors on viscosity and play.
RANGES = {"speed_rpm": (1000.0, 6000.0), "load": (0.2, 1.0), "oil_shift_K": (-20.0, 20.0),
          "viscosity": (0.8, 1.3), "clearance": (0.7, 1.5)}
#: Two coefficients of boundary friction: every loss is a straight line in it.
BOUNDARY = (0.04, 0.16)
#: Speed and load of the runs, as shares of their ranges (speed by its logarithm); points of oil and play at each.
NODES, POINTS = ((0, 0), (0, 1), (0.5, 0), (0.5, 0.6), (0.5, 1), (1, 0), (1, 1)), 5
#: Other speeds and loads, with the same number of points each, that check the fit.
CHECKS = ((0.25, 0.3), (0.8, 0.5), (0.7, 1.0))
#: Added before a logarithm is taken, for contacts that lose nothing [W].
FLOOR = 0.1
#: Angles of a cycle in all these runs, both ends included.
SAMPLES = 41


@dataclass(frozen=True)
class _Response:
    """Mean power of the contacts of both machines of one design, anywhere in ``RANGES`` and ``BOUNDARY``.

    Attributes
    ----------
    names : list of tuple [-]
        Machine (0 straight-line drive, 1 ordinary crank) and contact.
    weights : (15, 2 C) array [-]
        Of each product of variables, in the logarithm of each power at both coefficients of ``BOUNDARY``.
    oil : tuple [-]
        Oil and its temperature [K] in the design.
    off : (3, N) array or None [1]
        Errors at the checks: both totals as shares of their own, the saving as a share of the straight-line drive's.
    """

    names: list
    weights: np.ndarray
    oil: tuple
    off: np.ndarray | None = None

    def powers(self, speed_rpm, load, oil_shift_K, viscosity, clearance, boundary):
        """Mean power of each contact.

        Parameters
        ----------
        speed_rpm : float or (N,) array [rpm]
            Speed.
        load : float or (N,) array [1]
            Share of the gas pressure.
        oil_shift_K : float or (N,) array [K]
            Oil at the inlet against the design.
        viscosity, clearance : float or (N,) array [1]
            Factors on the viscosity of the grade, and on the plays of plain bearings and guides.
        boundary : float or (N,) array [1]
            Coefficient of boundary friction.

        Returns
        -------
        (N, C) array [W]
            In the order of ``names``.

        Valid: within ``RANGES`` and ``BOUNDARY``; errors in ``off``.
        Source: fitted.
        """
        logs = _terms(speed_rpm, load, _thickness(self.oil, oil_shift_K, viscosity), clearance) @ self.weights
        low, high = np.moveaxis((np.exp(logs) - FLOOR).reshape(len(logs), -1, 2), 2, 0)
        share = (np.broadcast_to(boundary, len(logs))[:, None] - BOUNDARY[0]) / np.ptp(BOUNDARY)
        return np.maximum(low + share * (high - low), 0.0)

    def totals(self, powers):
        """Totals of both machines and the saving.

        Parameters
        ----------
        powers : (N, C) array [W]
            From ``powers``.

        Returns
        -------
        (3, N) array [W]
            Straight-line drive, ordinary crank, second less first.

        Valid: as ``powers``.
        Source: sums.
        """
        own = np.array([machine == 0 for machine, _ in self.names])
        straight, ordinary = powers[:, own].sum(axis=1), powers[:, ~own].sum(axis=1)
        return np.stack([straight, ordinary, ordinary - straight])

    def by_machine(self, values):
        """Values of the contacts as one mapping for each machine.

        Parameters
        ----------
        values : (C, ...) array [-]
            In the order of ``names``.

        Returns
        -------
        (2,) list of dict of str to array [-]
            By contact.

        Valid: always.
        Source: none needed.
        """
        pairs = list(zip(self.names, values, strict=True))
        return [{name: value for (k, name), value in pairs if k == machine} for machine in (0, 1)]


@dataclass(frozen=True, eq=False)
class _Held(Case):
    """A case whose films, as springs for the sharing, are those of another."""

    held: object = None

    @cached_property
    def elastic(self):
        return self.held


def fitted(design, samples=SAMPLES):
    """Run a design at the nodes and fit its response; then run it at the checks.

    Parameters
    ----------
    design : Design [-]
        An engine with a pressure trace.
    samples : int [1]
        Angles of a cycle, both ends included.

    Returns
    -------
    Response [-]
        With its errors at the checks.

    Valid: films as springs are kept from the design's own speed at the nodes; the checks find their own.
    Source: least squares on logarithms.
    """
    random, elastic = np.random.default_rng(1), at(design, samples=samples).elastic
    oil = oils.oil(design.lubricant.grade), design.lubricant.si.temperature
    runs = [_runs(design, place, random, np.tile(BOUNDARY, POINTS), samples, elastic) for place in NODES]
    x = {name: np.concatenate([settings[name][::2] for settings, *_ in runs]) for name in RANGES}
    logs = np.log(FLOOR + np.concatenate([powers for *_, powers in runs]))
    logs = np.stack([logs[::2], logs[1::2]], axis=2).reshape(len(logs) // 2, -1)
    terms = _terms(x["speed_rpm"], x["load"], _thickness(oil, x["oil_shift_K"], x["viscosity"]), x["clearance"])
    fit, off = _Response(runs[0][1], np.linalg.lstsq(terms, logs, rcond=None)[0], oil), []
    for place in CHECKS:
        given, _, powers = _runs(design, place, random, random.uniform(*BOUNDARY, POINTS), samples)
        right = fit.totals(powers)
        off.append((fit.totals(fit.powers(**given)) - right) / right[[0, 1, 0]])
    return replace(fit, off=np.concatenate(off, axis=1))


def _thickness(oil, shift, factor):
    """Viscosity at the inlet over that of the design: temperature and grade count through it alone, nearly."""
    grade, warmth = oil
    now, then = (oils.viscosity(grade, warmth + np.atleast_1d(np.asarray(v, dtype=float))) for v in (shift, 0.0))
    return factor * now / then


def _terms(speed_rpm, load, thickness, clearance):
    """All products of up to two of the variables, (N, 15)."""
    x = np.broadcast_arrays(np.log(np.atleast_1d(speed_rpm) / 2500.0), load, np.log(thickness), np.log(clearance))
    products = [np.prod([x[k] for k in some], axis=0) for n in (1, 2)
                for some in combinations_with_replacement(range(4), n)]
    return np.stack([np.ones(len(x[0])), *products], axis=1)


def _runs(design, place, random, boundary, samples, elastic=None):
    """Run one speed and load at some points of oil and play: the settings, and powers by machine and contact."""
    low, high = np.array(list(RANGES.values())).T
    share = np.concatenate([np.tile(place, (POINTS, 1)), random.random((POINTS, 3))], axis=1)
    x = dict(zip(RANGES, (low + share * (high - low)).T, strict=True))
    x["speed_rpm"] = low[0] * (high[0] / low[0]) ** share[:, 0]
    x = {name: np.repeat(values, len(boundary) // POINTS) for name, values in x.items()} | {"boundary": boundary}
    a = at(design, x["speed_rpm"][0], x["load"][0], samples)
    if elastic is not None:
        a = _Held(a.design, samples, load=a.load, held=elastic)
    given = {"inlet": x["oil_shift_K"], **{name: x[name] for name in ("viscosity", "clearance", "boundary")}}
    both = of_both(a, given)
    names = [(k, name) for k, made in enumerate(both) for name in made.power]
    return x, names, np.stack([both[k].means[name] for k, name in names], axis=1)
