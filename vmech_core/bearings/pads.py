"""Sliding films: a part that slides to and fro between two faces with play, under a load that changes size and sign.

Films on both sides hold the part: by their wedge, which needs crowned ends, by squeeze while they thin, and by the
peaks of rough surfaces. A crowned strip along the sliding is solved exactly in one dimension, by quadrature; the flow
across the strips follows from one shape of pressure along each (L. V. Kantorovich). Nothing here knows an engine.
"""

from collections import namedtuple
from functools import cache

import numpy as np

from vmech_core.base import Effort, record
from vmech_core.bearings import surfaces

#: The place of the part is tanh(q); tables cover -Q_END to Q_END, so that the least film is 2.5e-4 of the clearance.
Q_END, Q_STEP = 4.5, 0.0625
#: Intervals across the half width of a face, closer together near the middle of a round and the edge of a flat.
NODES = 20
#: Largest change of q in one step of time; shortest step over one sample; most that a start may be moved.
LARGEST_MOVE, SHORTEST, LARGEST_JUMP = 0.1, 1.0 / 256.0, 1.5
MOST_STEPS = 40
#: Steps per sample (of fewer than ``FEW``, as for so many) that a motion may take, ``COST`` for each of its own, and
#: parts that may take so many together; one that is well lubricated takes 2 to 8.
EFFORT, FEW, TOGETHER = 128, 240, 64
#: A step of these films over one of a bearing, in time.
COST = 2
#: A first cycle, not counted, takes every fourth sample.
COARSE = 4
#: Places at which the rate is wanted in one step: here, a little further on for the slope, here again.
NUDGE = np.array([[0.0], [1e-4], [0.0]])
#: Added to forces [N] so that none is zero.
TINY = 1e-30


@record("length width arc clearance crown viscosity load speed period roughness asperity")
class Pads:
    """N parts that slide between two facing surfaces, and their cycle in A even samples without the repeated end.

    Attributes
    ----------
    length, width : (N,) array [m]
        Length along the sliding; width of a flat face, or diameter of a round part.
    arc : (N,) array [rad]
        Half angle of the face on each side: 0 flat, 0.7 to 1.0 a piston skirt, pi/2 or more a round rod in a bush.
    clearance, crown : (N,) array [m]
        Film on each side of the centred part; fall of both ends of the face behind its middle, a parabola.
    viscosity : (N,) array [Pa s]
        Viscosity.
    load : (N, A) array [N]
        Lateral force on the part, positive towards the positive side.
    speed : (N, A) array [m/s]
        Sliding speed.
    period : (N,) array [s]
        Duration of the cycle.
    roughness : (N,) array [m]
        Composite roughness.
    asperity : (N,) array [Pa]
        Pressure of the peaks at a film ratio of 3, ``surfaces.asperity_pressure(3.0, modulus)``.
    """

#: Motion of the parts in their play; its fields are what ``slide`` returns.
Film = namedtuple("Film", "offset rate periodic change table")


def _shape(pressure, film, resisted, integral):
    """Mean pressure over t from -1 to 1, and both Galerkin integrals for a mean of one.

    ``resisted`` is film^3 x (slope of pressure)^2.
    """
    mean = 0.5 * integral(pressure)
    return mean, integral(resisted) / mean**2, integral(film**3 * pressure**2) / mean**2


@cache
def _table():
    """Logarithms, at even steps of log(1 + s), of what a strip carries whose ends are s times the least film back.

    Columns: wedge load over s and two integrals; squeeze load and two; mean of 1 / film; peaks, s over their reach.
    """
    grid = np.linspace(0.0, np.log1p(1e5), 300)
    s = np.maximum(np.expm1(grid), 1e-4)[:, None]
    g = np.arctan(np.sqrt(s)) * np.linspace(-1.0, 1.0, 2001)  # sqrt(s) t = tan g, so that 1 / film = cos^2 g
    thin, step = np.cos(g) ** 2, (g[:, 1:2] - g[:, :1]) / np.sqrt(s)
    film, t = 1.0 / thin, np.tan(g) / np.sqrt(s)

    def running(values):
        return np.pad(np.cumsum(0.5 * (values[:, 1:] + values[:, :-1]), axis=1), ((0, 0), (1, 0))) * step

    def integral(values):
        return running(values * film)[:, -1]

    square, cube = running(thin), running(thin**2)  # of 1 / film^2 and 1 / film^3
    ends = square - cube * film  # what the pressure would be if the film broke here; it breaks where that is zero
    last = np.argmax((ends < 0.0) & (t > 0.0), axis=1)[:, None]
    before, behind = (np.take_along_axis(ends, last + k, 1) for k in (-1, 0))
    rupture = np.take_along_axis(film, last, 1) * before - np.take_along_axis(film, last - 1, 1) * behind
    rupture, wet = rupture / (before - behind), np.arange(g.shape[1]) < last
    wedge = _shape(wet * (square - rupture * cube), film, wet * (film - rupture) ** 2 / film**3, integral)
    squeeze = _shape((thin**2 - thin[:, :1] ** 2) / (4.0 * s), film, t**2 / film**3, integral)
    peaks = 0.5 * integral(np.maximum(2.0 - film, 0.0) ** surfaces.POWER)
    columns = (3.0 * wedge[0] / s[:, 0], *wedge[1:], 3.0 * squeeze[0], *squeeze[1:], 0.5 * integral(thin), peaks)
    return grid[1], np.log(np.stack(columns, axis=1))


def strip(s, column):
    """One coefficient of a strip whose ends are s times the least film back.

    Parameters
    ----------
    s : (...) array [1]
        Fall of both ends over the least film; for the peaks, over what the film lacks to clear them.
    column : int [-]
        0 wedge load over s, 1 and 2 its integrals; 3 squeeze load, 4 and 5 its integrals; 6 mean of 1 / film; 7 peaks.

    Returns
    -------
    (...) array [1]
        Loads are over those of parallel faces: ``crown_load`` for the wedge, viscosity length^3 width
        rate / film^3 for squeeze. Integrals
        are of film^3 slope^2 and film^3 pressure^2 along the strip, t from -1 to 1, mean pressure one.

    Valid: s up to 9e4.
    Source: as ``crown_load``; peaks: ``surfaces.asperity_pressure``.
    """
    step, table = _table()
    place = np.log1p(np.minimum(s, 9e4)) / step
    index = place.astype(int)
    low = table[index, column]
    return np.exp(low + (place - index) * (table[index + 1, column] - low))


def crown_load(crown_ratio):
    """Load of a wide crowned slider: load x film^2 / (viscosity speed length^2 width).

    The film thickens from its middle as a parabola. Pressure is zero at the inlet and vanishes with its slope where the
    film breaks, behind the middle.

    Parameters
    ----------
    crown_ratio : float or (...) array [1]
        Fall of both ends over the least film.

    Returns
    -------
    (...) array [1]
        Largest, 0.0637, at 1.2; towards 0.306 / crown_ratio for a strong crown.

    Valid: crown ratio 0 to 9e4; no flow to the sides, rigid faces, constant viscosity.
    Source: Reynolds's equation, end of the film by H. W. Swift and W. Stieber; limit: H. M. Martin's cylinder.
    """
    return crown_ratio * strip(np.asarray(crown_ratio, dtype=float), 0)


def _across(own, link, source):
    """Solve own p - d(link dp) = source on the nodes of a half width: symmetric at node 0, zero behind the last."""
    upper, value, before = 0.0, 0.0, 0.0
    uppers, values = [], []
    for j in range(own.shape[-1]):
        pivot = own[..., j] + link[..., j] + before * (1.0 - upper)
        value, upper = (source[..., j] + before * value) / pivot, link[..., j] / pivot
        before = link[..., j]
        values.append(value)
        uppers.append(upper)
    for j in range(own.shape[-1] - 2, -1, -1):
        values[j] = values[j] + uppers[j] * values[j + 1]
    return np.stack(values, axis=-1)


def _side(pads, rows):
    """Of the positive side: wedge per speed, squeeze per rate of q, peaks, drag per speed; list of (n, G)."""
    length, width, arc, play, crown, viscosity, rough, asperity = (
        np.asarray(getattr(pads, name), dtype=float)[rows, None, None]
        for name in ("length", "width", "arc", "clearance", "crown", "viscosity", "roughness", "asperity")
    )
    even, angle = np.arange(NODES + 1) / NODES, np.minimum(arc, 0.5 * np.pi)
    node = np.where(angle > 0.0, even**1.6, 1.0 - (1.0 - even) ** 1.6)
    offset = np.tanh(np.arange(-Q_END, Q_END + 0.5 * Q_STEP, Q_STEP))[:, None]
    half, cosine = 0.5 * width * np.where(angle > 0.0, angle, 1.0), np.cos(angle * node)
    middle = np.pad(0.5 * (node[..., 1:] + node[..., :-1]), ((0, 0), (0, 0), (1, 1)), constant_values=(0.0, 1.0))
    share = np.diff(middle) * half
    film, closing = play * (1.0 - offset * cosine), play * (1.0 - offset**2) * cosine
    k = [strip(crown / film, column) for column in range(7)]
    forces = []
    for carried, resist, spread in ((k[0] * crown / film**3, *k[1:3]), (k[3] * length / film**3 * closing, *k[4:6])):
        own, spread = film**3 * resist * share, film**3 * spread
        link = 0.125 * length**2 * (spread[..., 1:] + spread[..., :-1]) / (np.diff(node) * half)
        pressure = viscosity * length * _across(own[..., :-1], link, (own * carried)[..., :-1])
        forces.append(pressure * cosine[..., :-1] * share[..., :-1])
    reach = np.maximum(surfaces.REACH - film / rough, 1e-9)
    peaks = asperity * reach**surfaces.POWER * strip(crown / (rough * reach), 7)
    forces += [peaks * cosine * share, viscosity * k[6] / film * share]
    return [2.0 * length[..., 0] * force.sum(axis=-1) for force in forces]


def _tables(pads, at_once=64):
    """Logarithms of the coefficients of both sides, the negative one being the mirror image; (N, G, 8)."""
    parts = [np.stack(_side(pads, slice(k, k + at_once)), axis=-1) for k in range(0, len(pads.length), at_once)]
    one = np.log(np.maximum(np.concatenate(parts), TINY))
    both = np.stack([one, one[:, ::-1]])
    return np.concatenate([*both[..., :3], *both[..., 3:]], axis=-1)


def _look(flat, rows, q):
    """Coefficients at q, two axes, on a new first axis."""
    count = round(2.0 * Q_END / Q_STEP) + 1
    place = np.minimum(np.maximum((q + Q_END) / Q_STEP, 0.0), count - 1.001)
    index = place.astype(int)
    low = flat.take(index + rows * count, axis=0)
    high = flat.take(index + (rows * count + 1), axis=0)
    return np.exp(low + (place - index)[..., None] * (high - low)).transpose(2, 0, 1)


def _carried(push, squeeze):
    """Load of wedge and squeeze together, and the third power of the wetted length over that of the wedge alone.

    Of a slight crown the film wets (1 + 27/256 squeeze/push) times the length of the wedge alone, up to all of the face
    from 4/3 on, and carries as its fourth power; the whole face carries as squeeze alone. Opening, it never pulls.
    """
    wet = np.minimum(np.maximum(1.0 + squeeze * (27.0 / 256.0) / push, 0.0), 4.0 / 3.0)
    cube = wet * wet * wet
    return push * cube * wet + np.maximum(squeeze - (256.0 / 81.0) * push, 0.0), cube


def _balance(values, load, speed, rate, exact):
    """Rate of q that balances the load, by Newton's method from a first guess up to a last correction ``exact``."""
    push, squeeze, peaks = values[0:6:3] * speed + TINY, values[1:6:3], values[2:6:3]
    squeeze[1] *= -1.0
    free = load - peaks[0] + peaks[1]
    for _ in range(MOST_STEPS):
        (near, far), cube = _carried(push, squeeze * rate)
        slope = (27.0 / 64.0) * (squeeze[0] * cube[0] - squeeze[1] * cube[1])
        step = (near - far - free) / slope
        rate = rate - step
        if not (np.abs(step) > exact).any():
            break
    return rate


def _advance(flat, rows, q, load, speed, span, guess, effort, share=1.0):
    """One step by the exponential Rosenbrock method of second order; a part that moves far takes two halves instead.

    Load and speed are (3, n), at the start twice and at the end; the guess is of the rate. Returns the next q, the
    logarithm of how a small change of it grows, and the rate.
    """
    effort.spend(COST)
    first, beside, then = _balance(_look(flat, rows, q + NUDGE), load, speed, guess, 1e-4 / span)
    growth = np.minimum((beside - first) / NUDGE[1] * span, 20.0)
    x = np.where(np.abs(growth) < 1e-4, 1e-4, growth)
    phi = np.expm1(x) / x
    move = span * (phi * first + (phi - 1.0) / x * (then - first))
    move = np.minimum(np.maximum(q + move, -Q_END), Q_END) - q  # one that is pressed to the wall stays there
    far = np.abs(move) > LARGEST_MOVE
    if share > SHORTEST and far.any():
        (a, b), (c, d) = ((v[[0, 0, 1]][:, far], v[[1, 1, 2]][:, far]) for v in (_halved(load), _halved(speed)))
        half = 0.5 * span[far]
        middle, grown, rate = _advance(flat, rows[far], q[far], a, c, half, first[far], effort, 0.5 * share)
        end, more, rate = _advance(flat, rows[far], middle, b, d, half, rate, effort, 0.5 * share)
        move[far], growth[far], then[far] = end - q[far], grown + more, rate
    return q + move, growth, then


def _halved(ends):
    """Values at the start, in the middle and at the end of a step."""
    return np.stack([ends[0], 0.5 * (ends[0] + ends[2]), ends[2]])


def _resting(table, load, speed):
    """Where the mean load would come to rest at the mean speed: q of a place in the table."""
    push, _, peaks, back, _, far = np.moveaxis(np.exp(table[..., :6]), -1, 0)
    missing = load[:, None] - ((push - back) * speed[:, None] + peaks - far)
    small = 1e-6 * np.abs(missing).max(axis=1, keepdims=True)
    below, up_to = np.sum(missing > small, axis=1), np.sum(missing >= -small, axis=1)
    return 0.5 * (below + up_to - 1) * Q_STEP - Q_END


def enough(count, samples):
    """Steps that a march may take.

    Parameters
    ----------
    count : int [1]
        Parts.
    samples : int [1]
        Samples of a cycle.

    Returns
    -------
    Effort [-]
        To be spent.

    Valid: any march.
    Source: rule at the head of this file.
    """
    return Effort(EFFORT * max(samples, FEW) * max(1.0, count / TOGETHER))


def slide(pads, cycles=6, tolerance=1e-4, start=None, effort=None):
    """March the parts through their play until the motion repeats.

    On each side wedge and squeeze carry together, and the peaks besides; a film that opens thins its wetted part and
    never pulls. After each cycle the start is moved to where a linear estimate expects the periodic motion.

    Parameters
    ----------
    pads : Pads [-]
        Parts with load and speed.
    cycles : int [1]
        Most cycles to march.
    tolerance : float [1]
        Largest ``Film.change`` that counts as periodic.
    start : (N,) array or None [1]
        Offset at the first sample; if not given, where the mean load would rest.
    effort : Effort or None [-]
        Steps that may be taken, shared with other marches; None gives this one ``enough``.

    Returns
    -------
    offset : (N, A) array [1]
        Place over clearance, -1 to 1.
    rate : (N, A) array [1/s]
        Its rate.
    periodic : (N,) bool array [-]
        True where the motion repeats within the tolerance and the film is thick enough for the tables.
    change : (N,) array [1]
        Estimated distance from the periodic motion, about half the relative error of a thin film.
    table : (N, G, 8) array [-]
        Logarithms of wedge, squeeze and peaks of the positive side, of the negative, and drag of both, over the place.

    Raises
    ------
    Endless
        If the effort is used up: a film so thin that it cannot be followed.

    Valid: rigid, flooded parts that stay parallel to the faces; laminar film of constant viscosity; film above 2.5e-4
        of the clearance. Errors of the loads against two-dimensional solutions are stated in the tests.
    Source: Reynolds's equation, one shape of pressure along each strip (Kantorovich); peaks as in ``surfaces``.
    """
    table, (count, samples) = _tables(pads), np.shape(pads.load)
    flat = np.ascontiguousarray(table[..., :6]).reshape(-1, 6)
    load, speed = (np.asarray(v, dtype=float).T for v in (pads.load, np.abs(pads.speed)))
    span = np.asarray(pads.period, dtype=float) / samples
    begin = _resting(table, load.mean(axis=0), speed.mean(axis=0)) if start is None else np.arctanh(start)
    begin = np.clip(begin, -Q_END, Q_END)
    effort = effort or enough(count, samples)
    change, rows, path = np.full(count, np.inf), np.arange(count), np.empty((samples, count))
    for stride in (1 if samples % COARSE else COARSE, *[1] * cycles):
        effort.rows = rows
        q, growth, rate, step = begin[rows], 0.0, np.zeros(len(rows)), stride * span[rows]
        ends = (v[:, rows] for v in (load, speed))
        ends = (np.stack([v, v, np.roll(v, -stride, axis=0)], axis=1)[::stride] for v in ends)
        for k, (force, fast) in enumerate(zip(*ends)):
            path[k * stride, rows] = q
            q, more, rate = _advance(flat, rows, q, force, fast, step, rate, effort)
            growth = growth + more
        jump = (begin[rows] - q) / np.expm1(np.minimum(growth, -1e-6))
        begin[rows] = np.clip(begin[rows] + np.clip(jump, -LARGEST_JUMP, LARGEST_JUMP), -Q_END, Q_END)
        if stride == 1:
            change[rows] = np.abs(jump)
            rows = rows[np.abs(jump) > tolerance]
        if not rows.size:
            break
    periodic = (change <= tolerance) & (np.abs(path).max(axis=0) < Q_END - Q_STEP)
    rate = _balance(_look(flat, np.arange(count), path), load, speed, 0.0 * path, 1e-7 / span).T
    return Film(np.tanh(path).T, rate / np.cosh(path.T) ** 2, periodic, change, table)


def film_thickness(pads, film):
    """Least film.

    Parameters
    ----------
    pads : Pads [-]
        Parts.
    film : Film [-]
        Their motion.

    Returns
    -------
    (N, A) array [m]
        On the side that is nearer, in the middle of the face.

    Valid: as ``slide``.
    Source: geometry.
    """
    return np.asarray(pads.clearance)[:, None] * (1.0 - np.abs(film.offset))


def _now(pads, film):
    """Peaks of both sides, loads of both films, what squeeze adds to each, and shear per speed."""
    rows, speed = np.arange(len(film.offset))[:, None], np.abs(pads.speed)
    values = _look(film.table.reshape(-1, 8), rows, np.arctanh(film.offset))
    push, rate = values[0:6:3] * speed + TINY, film.rate / (1.0 - film.offset**2)
    loads, _ = _carried(push, values[1:6:3] * np.stack([rate, -rate]))
    return values[2] + values[5], loads, loads - push, values[6] + values[7]


def friction(pads, film, boundary=surfaces.BOUNDARY_FRICTION.likely):
    """Drag on the part and the power that it takes.

    Parameters
    ----------
    pads : Pads [-]
        Parts.
    film : Film [-]
        Their motion.
    boundary : float or (N, 1) array [1]
        Friction coefficient of the peaks.

    Returns
    -------
    force : (N, A) array [N]
        Against the sliding, never negative: shear of both films, and of the peaks.
    power : (N, A) array [W]
        Force times speed, and the work of what squeeze adds to the load of each film.

    Valid: as ``slide``. The whole face shears oil, also behind the place where the film breaks (upper bound); the slope
        of the pressure is left out, which adds to the shear of the near film 2, 7, 17 % at crown ratios 0.5, 1.2, 3.
    Source: I. Newton's law of shear in each strip; boundary friction as in ``surfaces``.
    """
    peaks, _, (near, far), shear = _now(pads, film)
    force = shear * np.abs(pads.speed) + boundary * peaks
    return force, force * np.abs(pads.speed) + (near - far) * film.rate * np.asarray(pads.clearance)[:, None]
