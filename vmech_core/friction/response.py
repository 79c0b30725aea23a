"""A response fitted through a few runs of all contacts, for whoever cannot wait for one: a slider.

One run of all contacts takes a third of a second. So a design is run at some speeds, loads, temperatures, grades and
plays, all films in one batch; the logarithms of the powers are fitted by products of up to two variables, and runs
that the fit has not seen, where it is at its worst, say how far it is off.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations_with_replacement

import numpy as np

from vmech_core.base.results import record
from vmech_core.bearings import oils
from vmech_core.case import Case
from vmech_core.friction.contacts import of_many
from vmech_core.friction.layouts import at

#: Ends of what is fitted: speed [rpm], load [1], oil against the design [K], factors on viscosity and play.
RANGES = {"speed_rpm": (1000.0, 6000.0), "load": (0.2, 1.0), "oil_shift_K": (-20.0, 20.0),
          "viscosity": (0.8, 1.3), "clearance": (0.7, 1.5)}
#: Two coefficients of boundary friction: every loss is a straight line in it.
BOUNDARY = (0.04, 0.16)
#: Speed and load of the runs, as shares of their ranges (speed by its logarithm).
NODES = ((0, 0), (0, 1), (0.5, 0), (0.5, 0.5), (0.5, 1), (1, 0), (1, 1))
#: At each of them oil, grade and play, as shares: cold and thick to hot and thin, with tight and wide plays.
POINTS = np.array([[1, 0, 0], [1, 0, 1], [0.5, 0.5, 0.5], [0, 1, 0], [0, 1, 1]], dtype=float)
#: Other speeds and loads that check the fit, near those where 960 runs with random settings found it worst (5.6 %, of
#: the saving 2.6 %); random settings of oil, grade, play and boundary friction at each.
CHECKS, SETTINGS = ((0.02, 0.2), (0.95, 0.5)), 18
#: Added before a logarithm is taken, for contacts that lose nothing [W].
FLOOR = 0.1
#: Angles of a cycle in all these runs, both ends included.
SAMPLES = 41


@record("names weights oil", off=None)
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
        Errors at the checks, unseen by the fit: both totals as shares of their own, the saving as a share of the
        straight-line drive's.
    """

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


def fitted(designs, samples=SAMPLES, progress=None):
    """Run designs at the nodes and fit their responses; run them at the checks; all films are marched together.

    Parameters
    ----------
    designs : sequence of Design [-]
        Engines with a pressure trace and the same grade of oil.
    samples : int [1]
        Angles of a cycle, both ends included.
    progress : callable or None [-]
        Called with the cases done and their number after each; the last one, the films, takes longest.

    Returns
    -------
    list of Response [-]
        With their errors at the checks.

    Valid: films as springs are kept from the design's own speed at the nodes; the checks find their own.
    Source: least squares on logarithms.
    """
    random, each = np.random.default_rng(1), len(NODES) + len(CHECKS)
    tell, total, jobs = progress or (lambda done, count: None), len(designs) * each + 1, []
    for design in designs:
        elastic = at(design, samples=samples).elastic
        for place in (*NODES, *CHECKS):
            own = {"boundary": BOUNDARY[0]} if place in NODES else {"boundary": random.uniform(*BOUNDARY, SETTINGS)}
            x = _settings(place, POINTS if place in NODES else random.random((SETTINGS, 3))) | own
            case = at(design, x["speed_rpm"][0], x["load"][0], samples)
            if place in NODES:
                case = _Held(case.design, samples, load=case.load, held=elastic)
            jobs.append((case, x))
            tell(len(jobs), total)
    low = of_many([(case, _assumed(x)) for case, x in jobs])
    at_nodes = [k for k in range(len(jobs)) if k % each < len(NODES)]
    high = iter(of_many([(jobs[k][0], {**_assumed(jobs[k][1]), "boundary": BOUNDARY[1]}) for k in at_nodes],
                        [low[k] for k in at_nodes]))
    tell(total, total)
    return [_fit([x for _, x in jobs[k : k + each]], low[k : k + each], [next(high) for _ in NODES], design)
            for k, design in zip(range(0, len(jobs), each), designs, strict=True)]


def _fit(settings, low, high, design):
    """Response of one design from its runs at both ends of the boundary friction, nodes first."""
    names, split = [(k, name) for k, made in enumerate(low[0]) for name in made.power], len(NODES)
    logs = np.stack([np.log(FLOOR + _powers(found, names)) for found in (low[:split], high)], axis=2)
    oil = oils.oil(design.lubricant.grade), design.lubricant.si.temperature
    x = _joined(settings[:split], RANGES)
    terms = _terms(x["speed_rpm"], x["load"], _thickness(oil, x["oil_shift_K"], x["viscosity"]), x["clearance"])
    fit = _Response(names, np.linalg.lstsq(terms, logs.reshape(len(logs), -1), rcond=None)[0], oil)
    right = fit.totals(_powers(low[split:], names))
    off = fit.totals(fit.powers(**_joined(settings[split:], (*RANGES, "boundary")))) - right
    return replace(fit, off=off / right[[0, 1, 0]])


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


def _settings(place, shares):
    """Values of all variables but boundary friction, each (N,), at one speed and load."""
    low, high = np.array(list(RANGES.values())).T
    shares = np.concatenate([np.tile(place, (len(shares), 1)), shares], axis=1)
    x = dict(zip(RANGES, (low + shares * (high - low)).T, strict=True))
    return {**x, "speed_rpm": low[0] * (high[0] / low[0]) ** shares[:, 0]}


def _joined(settings, names):
    return {name: np.concatenate([x[name] for x in settings]) for name in names}


def _assumed(x):
    return {"inlet": x["oil_shift_K"], **{name: x[name] for name in ("viscosity", "clearance", "boundary")}}


def _powers(found, names):
    """Mean powers of both machines, all settings one after the other, (N, C)."""
    return np.concatenate([np.stack([both[k].means[name] for k, name in names], axis=1) for both in found])
