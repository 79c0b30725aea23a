"""What would settle it: readings that would turn the verdict, and the least moves of assumptions that would."""

from collections import namedtuple

import numpy as np

from vmech_core.friction.assumptions import ASSUMPTIONS
from vmech_core.friction.layouts import pair, savings

_SIDE, _TURNING = ("skirts", "wrist pin"), ("crank in carrier", "carrier in block")
#: Quantities of a motored strip-down: contacts of the ordinary crank, and of the straight-line drive, to be taken off.
READINGS = {
    "skirts and wrist pins, ordinary": (_SIDE, ()),
    "all, ordinary": (("total",), ()),
    "less all, straight-line": ((), ("total",)),
    "less bearings of crank and carriers, straight-line": ((), _TURNING),
    "skirts and wrist pins less these bearings": (_SIDE, _TURNING),
}
#: Share of the standard deviation by which a reading's own error may widen what is left open.
WIDER = 0.1

#: What one reading says of the saving; its fields are what ``thresholds`` returns.
Reading = namedtuple("Reading", "name range even sure error explained")
#: Least moves of assumptions that turn the verdict; its fields are what ``smallest_moves`` returns.
Moves = namedtuple("Moves", "together values order saving")


def thresholds(outcome):
    """For each part that can be measured by itself: from which reading on the straight-line drive saves.

    Parameters
    ----------
    outcome : Outcome [-]
        From ``monte_carlo``.

    Returns
    -------
    list of Reading [-]
        That which says most stands first.

        name : str [-]
            What is measured.
        range : (3,) array [W]
            5, 50 and 95 % of the samples: what is expected; what is taken off counts below zero.
        even : float [W]
            Reading at which both machines are expected to lose alike.
        sure : float [W]
            Reading from which 19 in 20 would say that it saves.
        error : float [W]
            Standard error of a reading that widens the rest of the doubt by a tenth.
        explained : float [1]
            Share of the variance of the saving that the reading takes away.

    Valid: conditional on the stated ranges; a straight line through the samples with even scatter, so a reading outside
        of the range is an extrapolation. Motored parts lack the load of combustion.
    Source: linear regression of the saving on each part.
    """
    rows = []
    for name, (add, take) in READINGS.items():
        x = sum(outcome.ordinary[part] for part in add) - sum(outcome.straight[part] for part in take)
        slope, start = np.polyfit(x, outcome.saving, 1)
        rest = np.std(outcome.saving - start - slope * x)
        error = rest * np.sqrt((1.0 + WIDER) ** 2 - 1.0) / abs(slope)
        rows.append(Reading(name, np.quantile(x, (0.05, 0.5, 0.95)), -start / slope, (1.645 * rest - start) / slope,
                            error, 1.0 - rest**2 / np.var(outcome.saving)))
    return sorted(rows, key=lambda row: -row.explained)


def smallest_moves(design, layout="as drawn", vary=None, steps=20, **options):
    """Least moves of the assumptions away from their likely values that make the straight-line drive save.

    Parameters
    ----------
    design : Design [-]
        The design.
    layout : str or (2,) tuple of str [-]
        As in ``monte_carlo``.
    vary : sequence of str or None [-]
        Assumptions that may move; None for all.
    steps : int [1]
        Steps on the way from likely to the ends.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    together : float or None [1]
        Part of the way to their favourable ends that all of them have to go at once; None if the ends do not do.
    values : dict of str to float [-]
        The favourable end of each, that which helps most first.
    order : list of str [-]
        Those that do it if each goes all the way, one after the other; all of them if they do not do.
    saving : (N + 1,) array [W]
        Saving with none, one, two and so on of ``values`` at its favourable end.

    Valid: the favourable end of each is found with the others likely; inside the ranges of ``ASSUMPTIONS`` only.
    Source: search along one line, and along the edges of the ranges.
    """
    cases, names = pair(design, layout, **options), list(ASSUMPTIONS if vary is None else vary)
    ends = [(name, end) for name in names for end in (ASSUMPTIONS[name].low, ASSUMPTIONS[name].high)]
    alone = savings(cases, [{name: end} for name, end in ends]).reshape(-1, 2)
    order = np.argsort(-alone.max(axis=1))
    values = {names[k]: ends[2 * k + alone[k].argmax()][1] for k in order}
    one_by_one = savings(cases, [dict(list(values.items())[:n]) for n in range(len(names) + 1)])
    way = np.linspace(0.0, 1.0, steps + 1)
    gone = {name: (ASSUMPTIONS[name].likely, end - ASSUMPTIONS[name].likely) for name, end in values.items()}
    along = savings(cases, [{n: start + share * move for n, (start, move) in gone.items()} for share in way])
    first = int(np.argmax(along > 0.0))
    together = None
    if along[first] > 0.0:
        together = float(np.interp(0.0, along[first - 1:first + 1], way[first - 1:first + 1])) if first else 0.0
    enough = int(np.argmax(one_by_one > 0.0)) if (one_by_one > 0.0).any() else len(names)
    return Moves(together, values, list(values)[:enough], one_by_one)
