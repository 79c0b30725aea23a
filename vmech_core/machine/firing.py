"""When cylinders fire or pump, and which layouts do so evenly: exact arithmetic in whole turns and fractions of a turn.

In the straight-line drive cylinder k stands at its outer dead centre when theta = alpha_k: its place in the cycle is
its bank angle, plus a whole turn of delay in a four-stroke. An *event* is a firing, or the start of a delivery.
Everything here is geometry: it knows no mechanism, and angles are fractions of a turn, so that nothing is rounded.
Notebook 02 derives it.
"""

from collections import Counter, namedtuple
from fractions import Fraction
from functools import lru_cache
from itertools import combinations_with_replacement, product
from math import gcd, lcm

import numpy as np

from vmech_core.base import InputError, record, refuse

#: Bank angles in degrees are read as the nearest fraction with at most this denominator: 360/7 comes out exactly.
FINEST = 1000
HALF = Fraction(1, 2)


@record("cycle_turns delay event order gap")
class Firing:
    """Events of one cycle in their order.

    Attributes
    ----------
    cycle_turns : int [1]
        Turns in one cycle: 2 for a four-stroke, 1 for a two-stroke, a compressor or a single-acting pump.
    delay : tuple of int [1]
        Whole turns by which each cylinder is delayed.
    event : tuple of Fraction [1]
        Turn of the carrier at which each cylinder fires, from 0 up to the cycle.
    order : tuple of int [1]
        Cylinder numbers, from 1, in the order of their events.
    gap : tuple of Fraction [1]
        Turns from each event, in that order, to the next; they add up to the cycle.
    """

    @property
    def spread(self) -> Fraction:
        """Largest gap less the smallest, in turns; zero is even [1]."""
        return max(self.gap) - min(self.gap)

    @property
    def even(self) -> bool:
        """True when all gaps are equal."""
        return self.spread == 0


_Parts = namedtuple("_Parts", "lines pins bodies")


def as_turns(bank_angle_deg):
    """Bank angles as exact fractions of a turn.

    Parameters
    ----------
    bank_angle_deg : sequence of float [deg]
        Direction of each cylinder, anticlockwise.

    Returns
    -------
    tuple of Fraction [1]
        The same in turns, from 0 up to 1.

    Valid: angles whose fraction of a turn has a denominator up to 1000 times 360.
    Source: continued fractions.

    Examples
    --------
    >>> as_turns([45, 135, -90])
    (Fraction(1, 8), Fraction(3, 8), Fraction(3, 4))
    """
    return tuple(Fraction(angle).limit_denominator(FINEST) / 360 % 1 for angle in bank_angle_deg)


def in_degrees(turns):
    """Fractions of a turn written in degrees.

    Parameters
    ----------
    turns : sequence of Fraction [1]
        Angles or gaps in turns.

    Returns
    -------
    str [-]
        Degrees, four figures, divided by spaces.

    Valid: any angle.
    Source: 360 degrees in a turn.

    Examples
    --------
    >>> in_degrees([0, Fraction(1, 7), Fraction(5, 4)])
    '0 51.43 450'
    """
    return " ".join(f"{float(360 * turn):.4g}" for turn in turns)


def firing(bank, cycle_turns, delay=None):
    """Order of the events and the gaps between them.

    Parameters
    ----------
    bank : sequence of Fraction [1]
        Bank angle of each cylinder, in turns.
    cycle_turns : int [1]
        1 or 2.
    delay : sequence of int or None [1]
        Whole turns of delay of each cylinder; None picks the choice with the most even gaps.

    Returns
    -------
    Firing [-]
        Cylinders that fire at the same instant stand in the order of their numbers, with a gap of 0.

    Raises
    ------
    InputError
        If the cycle is neither 1 nor 2 turns, if there is no cylinder, or if a delay does not fit.

    Valid: phase bound to bank angle (straight-line drive, or any crank with all rods on one pin).
    Source: x = (S/2) cos(theta - alpha); notebook 02.

    Examples
    --------
    >>> in_degrees(firing(as_turns([45, 135]), 2, [0, 1]).gap)
    '450 270'
    """
    bank = _checked(bank, cycle_turns)
    delay = _best_delays(bank, cycle_turns) if delay is None else tuple(delay)
    if len(delay) != len(bank) or not all(turn in range(cycle_turns) for turn in delay):
        raise InputError("delay", list(delay), f"not {len(bank)} whole numbers from 0 to {cycle_turns - 1}", "turns")
    event = [place + turn for place, turn in zip(bank, delay)]
    order = sorted(range(len(event)), key=lambda k: (event[k], k))
    times = [event[k] for k in order]
    gap = tuple(b - a for a, b in zip(times, [*times[1:], times[0] + cycle_turns]))
    return Firing(cycle_turns, delay, tuple(event), tuple(k + 1 for k in order), gap)


@lru_cache(maxsize=4096)
def _best_delays(bank, cycle_turns):
    """Choice of delays that makes the gaps most even, out of all 2^(K - 1) of a four-stroke.

    Smallest spread, then smallest deviation, then as many cylinders in one turn as in the other; the first cylinder is
    never delayed.
    """
    unit, delays = lcm(*(place.denominator for place in bank)), _delays(len(bank), cycle_turns)
    kind = np.int64 if unit * cycle_turns * len(bank) < 2**62 else object
    steps = np.array([int(place * unit) for place in bank], dtype=kind)
    gap = _gaps(steps + unit * delays.astype(kind), unit * cycle_turns)
    deviation = np.abs(gap * len(bank) - unit * cycle_turns).max(axis=-1)
    halves = np.abs(2 * delays.sum(axis=-1) - len(bank))
    best = np.lexsort((halves, deviation, gap.max(axis=-1) - gap.min(axis=-1)))[0]
    return tuple(int(turn) for turn in delays[best])


def _delays(cylinders, cycle_turns):
    """Every choice of delays, (D, K), the first cylinder never delayed."""
    return np.array(list(product((0,), *[range(cycle_turns)] * (cylinders - 1))), dtype=np.int64)


def _gaps(event, cycle):
    """Gaps between whole-numbered events along the last axis, in their order."""
    event = np.sort(event, axis=-1)
    return np.diff(event, axis=-1, append=event[..., :1] + cycle)


def _checked(bank, cycle_turns):
    refuse(cycle_turns not in (1, 2), "cycle_turns", cycle_turns, "not 1 or 2", "turns")
    bank = tuple(Fraction(place) % 1 for place in bank)
    if not bank:
        raise InputError("bank", list(bank), "empty: at least one cylinder is needed")
    return bank


def parts(bank):
    """Directions, lines, crankpins and rigid bodies of a layout of the straight-line drive.

    Parameters
    ----------
    bank : sequence of Fraction [1]
        Bank angle of each cylinder, in turns.

    Returns
    -------
    lines : int [1]
        Different straight lines through O; two opposite directions share one.
    pins : int [1]
        Different places of crankpins on the crank, at twice the bank angle.
    bodies : int [1]
        Fewest rigid moving bodies: opposite cylinders, two by two, make one double-ended body.

    Valid: straight-line drive.
    Source: counted here; the places of the pins are derived in notebook 01.

    Examples
    --------
    >>> lines, pins, bodies = parts(as_turns([0, 90, 180, 270]))
    >>> lines, pins, bodies
    (2, 2, 2)
    """
    count = Counter(Fraction(place) % 1 for place in bank)
    lines = {place % HALF for place in count}
    pins = {2 * place % 1 for place in count}
    return _Parts(len(lines), len(pins), sum(max(count[line], count[line + HALF]) for line in lines))


def even_layout(cylinders, cycle_turns):
    """The one set of directions that fires evenly, by analysis.

    Even events stand cycle / n apart, so a direction is k times cycle / n with whole turns dropped. Whole turns of
    delay then put each cylinder into its own place.

    Parameters
    ----------
    cylinders : int [1]
        Number of cylinders, n.
    cycle_turns : int [1]
        1 or 2.

    Returns
    -------
    tuple of Fraction [1]
        Bank angles in turns, ascending: a star of n for a cycle of one turn or for odd n, and n/2 directions with two
        cylinders each for a four-stroke with even n.

    Valid: phase bound to bank angle.
    Source: derived in notebook 02; ``search`` finds the same without it.

    Examples
    --------
    >>> in_degrees(even_layout(6, 2)), in_degrees(even_layout(3, 2))
    ('0 0 120 120 240 240', '0 120 240')
    """
    return tuple(sorted(Fraction(k * cycle_turns, cylinders) % 1 for k in range(cylinders)))


def families(cylinders):
    """Layouts with a name that a designer would think of first.

    Parameters
    ----------
    cylinders : int [1]
        Number of cylinders.

    Returns
    -------
    dict of str to tuple of Fraction [1]
        Name to bank angles in turns: in line, opposed, stars with one or several cylinders in each direction.

    Valid: any number of cylinders.
    Source: common practice, no source.

    Examples
    --------
    >>> list(families(4))
    ['in line', 'opposed', 'star of 4']
    """
    found = {"in line": (Fraction(0),) * cylinders}
    if cylinders >= 2:
        found["opposed"] = tuple(HALF * (k % 2) for k in range(cylinders))
    for rays in range(3, cylinders + 1):
        if cylinders % rays == 0:
            rows = cylinders // rays
            name = f"star of {rays}" + (f", {rows} in each direction" if rows > 1 else "")
            found[name] = tuple(Fraction(k % rays, rays) for k in range(cylinders))
    return found


def search(cylinders, cycle_turns, grid=None):
    """Try every set of directions on a grid, with every choice of delays, and keep those that fire evenly.

    In an even layout all directions differ by multiples of 1/n of a turn (see ``even_layout``), so a grid that holds
    these misses none; the finer grid that is taken unless another is given shows that nothing stands between.

    Parameters
    ----------
    cylinders : int [1]
        Number of cylinders, n, 1 to 8.
    cycle_turns : int [1]
        1 or 2.
    grid : int or None [1]
        Steps in one turn, a multiple of n; None is 2 n.

    Returns
    -------
    tried : int [1]
        Sets tried, each with every choice of delays; sets that differ by a turn of the whole machine count once.
    even : tuple of tuple of Fraction [1]
        Bank angles, in turns, of those that fire evenly, the first at 0.

    Raises
    ------
    InputError
        If there are not 1 to 8 cylinders, the cycle is neither 1 nor 2 turns, or the grid does not hold the star of n.

    Valid: phase bound to bank angle.
    Source: every choice tried; ``even_layout`` finds the same by analysis.

    Examples
    --------
    >>> tried, even = search(4, 2)
    >>> tried, [in_degrees(bank) for bank in even]
    (43, ['0 0 180 180'])
    """
    if cylinders not in range(1, 9):
        raise InputError("cylinders", cylinders, "outside 1 to 8", nearest="8" if cylinders > 8 else "1")
    _checked((0,), cycle_turns)
    grid = 2 * cylinders if grid is None else grid
    if grid < 1 or grid % cylinders:
        raise InputError("grid", grid, f"not a multiple of {cylinders} cylinders", nearest=f"{2 * cylinders}")
    layouts = _up_to_rotation(cylinders, grid)
    even = layouts[_can_be_even(layouts, grid, cycle_turns)]
    return len(layouts), tuple(tuple(Fraction(int(step), grid) for step in row) for row in even)


def _up_to_rotation(cylinders, grid):
    """Every multiset of directions, (M, n) steps of the grid, one for each class of machines turned as a whole.

    A set is its cyclic word of gaps. Of its n beginnings the one whose word is the greatest number is kept.
    """
    rest = combinations_with_replacement(range(grid), cylinders - 1)
    layouts = np.array([(0, *steps) for steps in rest], dtype=np.int64)
    gap = _gaps(layouts, grid)
    weight = (grid + 1) ** np.arange(cylinders, dtype=np.int64)
    words = np.stack([np.roll(gap, shift, axis=1) @ weight for shift in range(cylinders)])
    return layouts[words[0] == words.max(axis=0)]


def _can_be_even(layouts, grid, cycle_turns, block=4096):
    """Whether some choice of delays makes all gaps equal, (M,), for layouts (M, n) in steps of the grid."""
    shift = (grid * _delays(layouts.shape[1], cycle_turns)).astype(np.int16)
    found = []
    for start in range(0, len(layouts), block):
        gap = _gaps(layouts[start : start + block, None, :].astype(np.int16) + shift, np.int16(grid * cycle_turns))
        found.append((gap == gap[..., :1]).all(axis=-1).any(axis=-1))
    return np.concatenate(found)


def pin_places(bank, order, cycle_turns):
    """Where an ordinary crank must carry its pins to fire evenly in a given order, with one pin for each cylinder.

    Parameters
    ----------
    bank : sequence of Fraction [1]
        Bank angle of each cylinder, in turns: any.
    order : sequence of int [1]
        Cylinder numbers, from 1, in firing order: any.
    cycle_turns : int [1]
        1 or 2.

    Returns
    -------
    tuple of Fraction [1]
        Angle of each pin on the crank, in turns from 0 up to 1, when theta = 0.

    Raises
    ------
    InputError
        If the order does not name each cylinder once.

    Valid: ordinary crank without wrist-pin offset; its piston is at top dead centre when the pin points along the bank.
    Source: pin angle = bank angle - event.

    Examples
    --------
    >>> in_degrees(pin_places(as_turns([0, 90]), [1, 2], 2))
    '0 90'
    """
    if sorted(order) != list(range(1, len(bank) + 1)):
        raise InputError("order", list(order), f"not each of the cylinders 1 to {len(bank)} once")
    place = {cylinder: Fraction(step * cycle_turns, len(bank)) for step, cylinder in enumerate(order)}
    return tuple((Fraction(angle) - place[k]) % 1 for k, angle in enumerate(bank, start=1))


def pair_split(v_angle, cylinders, cycle_turns=2):
    """Smallest angle between the two crankpins of each pair with which an ordinary V engine fires evenly.

    The throws of the pairs are free. In each pair the second cylinder fires j places of the order after the first,
    the same j in all pairs; the pairs fill the n places only if n / gcd(n, j) is even.

    Parameters
    ----------
    v_angle : Fraction [1]
        Angle between the banks, in turns.
    cylinders : int [1]
        Number of cylinders, even.
    cycle_turns : int [1]
        1 or 2.

    Returns
    -------
    Fraction [1]
        Angle in turns, 0 to 1/2; 0 means that a common pin will do.

    Raises
    ------
    InputError
        If the number of cylinders is odd.

    Valid: ordinary crank without wrist-pin offset; the same angle in all pairs.
    Source: pin angle = bank angle - event, notebook 02; known cases in tests/machine/test_firing.py.

    Examples
    --------
    >>> in_degrees([pair_split(v, n) for v, n in ((Fraction(1, 6), 6), (Fraction(1, 4), 6), (Fraction(1, 4), 8))])
    '60 30 0'
    """
    if cylinders < 2 or cylinders % 2:
        raise InputError("cylinders", cylinders, "not an even number from 2", nearest=str(max(2, cylinders + 1)))
    steps = [j for j in range(1, cylinders) if cylinders // gcd(cylinders, j) % 2 == 0]
    offset = [(v_angle - Fraction(j * cycle_turns, cylinders)) % 1 for j in steps]
    return min(min(angle, 1 - angle) for angle in offset)
