"""Motion of a journal in its bearing under a load that changes: the orbit over one cycle. The rest is in ``journal``.

Axes keep their direction in space; the eccentricity eps is (journal centre - sleeve centre) / clearance, complex. The
film feels the surfaces by the mean wbar of their absolute angular speeds: in axes that turn with wbar only the squeeze
w = d(eps)/dt - i wbar eps is left, and the load F on the journal, direction f = F / |F|, makes it

    w = |F| (c/R)^2 / (mu L D) M f,   z = eps conj(f),   u = 1 - Re z,   s = D^2 / (pi L^2),
    M = sqrt(u) [u (A0 + (s - A1) u) - i Im z (B0 + (4 s / pi - B1) u)].

The terms in s are the short bearing of J. F. Booker (1971), from memory. Constants complete them for a finite length,
a form of D. Childs, H. Moes and H. van Leeuwen (1977) with A0 = 0.150, B0 = 0.1125, A1 = B1 = 0, from memory: against a
finite-difference solution (film breaking with zero gradient; L/D 0.2 to 1.5, eccentricity up to 0.95, all directions)
12 % off as a vector (rms), at worst 34 %. Ours, fitted to that solution: 6 %, at worst 21 %; at eccentricity 0.98 and
0.99 13 %, at worst 34 %. Left out: history of the broken film, grooves, tilt, elastic housings, inertia of the journal.
"""

import math
from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.base import record, refuse, some
from vmech_core.bearings.surfaces import JOURNAL_POWER, REACH

#: Finite-length constants A0, A1, B0, B1.
ALONG, ALONG_LESS, ACROSS, ACROSS_LESS = 0.17, 0.06, 0.19, 0.13
#: Largest (rate of settling x step) along a known path and from a cold start; largest turn of a step [rad]; the u to
#: count with where roughnesses touch, as what is left for the film may point anywhere.
STEADINESS, COLD, TURN, TOUCHING = 0.7, 2.0, 0.15, 0.5
#: A march from nothing first looks for the orbit at every so many samples.
COARSE = 4
#: Most steps per sample; cycles after which they are doubled; closest approach to the wall; (bearings x steps per
#: sample) of a batch that fits in cache.
MOST_SUBSTEPS, PATIENCE, CLOSEST, BATCH = 16, 3, 1e-6, 1024
#: Below so many bearings each is marched by itself in plain numbers, which then takes less time.
ALONE = 10
#: What a step costs where no roughness touches, as a share of what it costs where some does; measured.
SMOOTH = 0.5
TINY = 1e-150
UNITS = {"diameter": "m", "length": "m", "clearance": "m", "viscosity": "Pa s", "period": "s", "roughness": "m",
         "asperity": "N"}


@record("diameter length clearance viscosity load journal_speed sleeve_speed period", roughness=0.0, asperity=0.0)
class Journals:
    """A batch of journal bearings and one cycle of their loads; a number given once counts for all.

    Attributes
    ----------
    diameter, length, clearance : (N,) array [m]
        Bore, width, radial clearance.
    viscosity : (N,) array [Pa s]
        Dynamic viscosity of the film.
    load : (N, A) complex array [N]
        Load on the journal at A equally spaced times, without the repeated end.
    journal_speed, sleeve_speed : (N, A) or (N, 1) array [rad/s]
        Absolute angular speeds.
    period : (N,) array [s]
        Duration of the cycle.
    roughness : (N,) array [m]
        Root mean square of both surfaces together; zero if it is not to count.
    asperity : (N,) array [N]
        Load factor of touching roughness, as from ``surfaces.journal_asperity``; zero for no contact.
    """

    def __post_init__(self):
        given = {name: np.asarray(value) for name, value in vars(self).items()}
        given["load"] = load = np.atleast_2d(given["load"]).astype(complex)
        refuse(not np.isfinite(load).all(), "load", "not a number", "not a finite force", "N")
        for name, unit in UNITS.items():
            given[name] = value = np.broadcast_to(given[name].astype(float), len(load))
            wrong = ~(value > 0.0) & ((value != 0.0) | (name not in ("roughness", "asperity")))
            refuse(wrong, name, value, "not a positive number", unit)
        bare = (given["asperity"] > 0.0) & (given["roughness"] == 0.0)
        refuse(bare, "roughness", 0.0, "too small where surfaces may touch", "m")
        speeds = {name: np.atleast_2d(given[name]).astype(float) for name in ("journal_speed", "sleeve_speed")}
        vars(self).update(given | speeds)

    @property
    def mean_speed(self):
        """Mean of the two absolute speeds, all that the film feels of them [rad/s]."""
        return 0.5 * (self.journal_speed + self.sleeve_speed)

    @property
    def is_fine(self):
        """Whether a fourth of the samples would do to look for an orbit; loads as smooth as the demos' [-]."""
        samples = self.load.shape[1]
        return samples % COARSE == 0 and samples >= 60 * COARSE

    def coarse(self):
        """The same bearings at every fourth sample.

        Returns
        -------
        Journals [-]
            To look for an orbit.

        Valid: where ``is_fine``.
        Source: no physics.
        """
        speeds = {name: v[:, ::COARSE] if (v := getattr(self, name)).shape[1] > 1 else v
                  for name in ("journal_speed", "sleeve_speed")}
        return replace(self, load=self.load[:, ::COARSE], **speeds)


#: Path of the journal centre over the last cycle that was marched; ``orbit`` says what each part is.
Orbit = namedtuple("Orbit", "eccentricity rate change periodic cycles clipped")


def mobility(eccentricity, direction, slenderness, finite=True):
    """Squeeze of the film by a load, along the load (real) and 90 degrees anticlockwise of it (imaginary).

    Parameters
    ----------
    eccentricity, direction : (...) complex array [1]
        Journal centre, and unit vector of the load.
    slenderness : (...) array [1]
        Length / diameter.
    finite : bool [-]
        False for the limit of the short bearing.

    Returns
    -------
    (...) complex array [1]
        Squeeze rate x mu L D / (|F| (c/R)^2).

    Valid: see head of the module; short limit within 5 to 6 % of the half-filled short bearing up to 0.8.
    Source: head of the module.
    """
    z = eccentricity * np.conj(direction)
    u = np.maximum(1.0 - z.real, 0.0)
    a0, a1, b0, b1 = _constants(slenderness, finite)
    return np.sqrt(u) * (u * (a0 + a1 * u) - 1j * z.imag * (b0 + b1 * u))


def orbit(journals, cycles=8, tolerance=1e-3, start=None, finite=True, effort=None):
    """March the journals until their orbits repeat; those that do leave the batch.

    Parameters
    ----------
    journals : Journals [-]
        The bearings.
    cycles : int [1]
        Most cycles to march.
    tolerance : float [1]
        Distance between beginning and end, as a share of the thinnest film, at which an orbit counts as periodic.
    start : (N, A) or (N, 1) complex array or None [1]
        Eccentricity of an earlier cycle to go on from; None looks for one with fewer samples, from the middle.
    finite : bool [-]
        False for the limit of the short bearing.
    effort : Effort or None [-]
        Steps that may be taken, of groups of bearings that are marched together; None does not count them.

    Returns
    -------
    Orbit [-]
        Path of the journal centre over the last cycle that was marched:
        ``eccentricity``, (N, A) complex array [1]: Of the journal; the first value is the end of the cycle, where a
            march goes on.
        ``rate``, (N, A) complex array [1/s]: Its rate of change.
        ``change``, (N,) array [1]: Distance between beginning and end of the last cycle, as a share of its thinnest
            film.
        ``periodic``, (N,) bool array [-]: True where that is within the tolerance; a journal that sinks for ever is
            not periodic.
        ``cycles``, int [1]: Cycles marched.
        ``clipped``, (N,) int array [1]: Steps of the last cycle that had to be held back from the wall; above zero
            the orbit is not to be trusted.

    Raises
    ------
    Endless
        If the effort is used up.

    Valid: as ``mobility``; load straight between samples; Runge-Kutta steps of fourth order, finer for a stiff film.
    Source: J. F. Booker (1965), method of mobilities, from memory.
    """
    if start is None and cycles > 1 and journals.is_fine:
        coarse = orbit(journals.coarse(), cycles, 10.0 * tolerance, 0.0, finite, effort)
        start = coarse.eccentricity.repeat(COARSE, axis=1)
    path = np.array(np.broadcast_to(0.0 if start is None else start, journals.load.shape), dtype=complex)
    rate, change = np.zeros_like(path), np.full(len(path), np.inf)
    begin, shift, held = path[:, 0].copy(), np.zeros(len(path), dtype=complex), np.zeros(len(path), dtype=int)
    left, done = np.arange(len(path)), 0
    while left.size and done < cycles:
        for rows, substeps in _batches(some(journals, left), path[left], finite, done):
            rows = left[rows]
            if effort:
                rough = _touching(some(journals, rows), path[rows]).any(axis=0).mean()
                effort.spend((SMOOTH + (1.0 - SMOOTH) * rough) * substeps * path.shape[1] * min(1.0, len(rows) / ALONE))
            with np.errstate(all="ignore"):  # a step too long for its film may overflow: it is held back and counted
                path[rows], rate[rows], held[rows] = _cycle(some(journals, rows), begin[rows], substeps, finite)
            moved = path[rows, 0] - begin[rows]
            change[rows] = np.abs(moved) / (1.0 - np.abs(path[rows])).min(axis=1)
            begin[rows] = _ahead(path[rows, 0], moved, shift[rows])
            shift[rows] = np.where(begin[rows] == path[rows, 0], moved, 0.0)
        left, done = left[(change[left] > tolerance) | (held[left] > 0)], done + 1
    return Orbit(path, rate, change, (change <= tolerance) & (held == 0), done, held)


def _ahead(end, moved, before):
    """Where a sequence of ends of cycles tends to (Aitken); the last end where that cannot be told."""
    ratio = np.divide(moved, before, out=np.zeros_like(moved), where=np.abs(before) > TINY)
    sure = (np.abs(ratio) > 0.05) & (np.abs(ratio) < 0.8)
    jump = np.where(sure, moved * ratio / np.where(sure, 1.0 - ratio, 1.0), 0.0)
    return np.where(np.abs(end + jump) < 0.5 * (1.0 + np.abs(end)), end + jump, end)


def _constants(slenderness, finite):
    """Coefficients of 1 and of u, along the load and across it."""
    s = 1.0 / (np.pi * np.square(slenderness))
    if not finite:
        return 0.0, s, 0.0, 4.0 / np.pi * s
    return ALONG, s - ALONG_LESS, ACROSS, 4.0 / np.pi * s - ACROSS_LESS


def _ease(j):
    """Squeeze rate per load and mobility [1/(N s)]."""
    return (2.0 * j.clearance / j.diameter) ** 2 / (j.viscosity * j.length * j.diameter)


def _substeps(j, path, finite):
    """Steps per sample: from how fast the film settles along this path or from the middle, and from the turning."""
    size, (a0, a1, _, _) = np.abs(j.load), _constants((j.length / j.diameter)[:, None], finite)
    u = np.maximum(1.0 - (path * np.conj(j.load)).real / np.maximum(size, TINY), 0.0)
    u = np.maximum(u, TOUCHING * _touching(j, path))
    settling = _ease(j)[:, None] * size * np.sqrt(u) * (1.5 * a0 + 2.5 * a1 * u)
    steadiness = np.where(path.any(axis=1), STEADINESS, COLD)[:, None]
    wanted = np.maximum(settling / steadiness, np.abs(j.mean_speed) / TURN).max(axis=1) * j.period / j.load.shape[1]
    return np.minimum(2 ** np.ceil(np.log2(np.maximum(wanted, 1.0))).astype(int), MOST_SUBSTEPS)


def _touching(j, path):
    """Where on a path roughnesses touch."""
    return (j.asperity > 0.0)[:, None] & (np.abs(path) > (1.0 - REACH * j.roughness / j.clearance)[:, None])


def _batches(j, path, finite, done):
    """Rows that are marched together, and their steps per sample; where an orbit does not repeat, finer ones."""
    substeps = _substeps(j, path, finite) * (1 if done < PATIENCE else 2)
    for m in np.unique(substeps):
        group = np.flatnonzero(substeps == m)
        yield from ((rows, m) for rows in np.array_split(group, -(-len(group) * m // BATCH)))


def _half_steps(values, substeps):
    """Values at all half steps of one cycle, straight between samples, time first, with the repeated end."""
    share = np.arange(2 * substeps)[:, None] / (2.0 * substeps)
    now = values.T[:, None]
    fine = (now + share * (np.roll(now, -1, axis=0) - now)).reshape(-1, len(values))
    return np.concatenate([fine, fine[:1]])


def _cycle(j, e, substeps, finite):
    """One cycle by steps of Runge and Kutta: path and rate (n, A) that begin with the end, steps held back."""
    pull = _half_steps(j.load * _ease(j)[:, None], substeps)
    way = np.conj(pull) / np.maximum(np.abs(pull), TINY)
    turn = _half_steps(np.broadcast_to(1j * j.mean_speed, j.load.shape), substeps)
    step = j.period / (j.load.shape[1] * substeps)
    if len(e) < ALONE:
        rows = [_march(_slope_of_one(*row[5:]), row[0], row[1], zip(*(v.tolist() for v in row[2:5])), substeps)
                for row in zip(e.tolist(), step.tolist(), pull.T, way.T, turn.T, *_numbers(j, step, finite))]
        path, held = np.array([row[0] for row in rows]), np.array([row[1] for row in rows])
        slope = _slope(j, step, finite)
        return path, slope(path.T, *(v[: -1: 2 * substeps] for v in (pull, way, turn))).T, held
    drive, slope = list(zip(pull, way, turn)), _slope(j, step, finite)
    step, half, third, sixth = (step.astype(complex) / part for part in (1.0, 2.0, 3.0, 6.0))
    path, held, wall = np.empty(j.load.T.shape, dtype=complex), np.zeros(len(e), dtype=int), 1.0 - CLOSEST
    for sample in range(1, len(path) + 1):
        for k in range(2 * substeps * (sample - 1), 2 * substeps * sample, 2):
            k1 = slope(e, *drive[k])
            k2 = slope(e + half * k1, *drive[k + 1])
            k3 = slope(e + half * k2, *drive[k + 1])
            k1 += slope(e + step * k3, *drive[k + 2])
            k2 += k3
            before, e = e, e + sixth * k1 + third * k2
            fine = (size := np.abs(e)) <= wall
            if np.count_nonzero(fine) < len(fine):
                held += ~fine
                e = np.where(np.isfinite(size), e * (wall / np.maximum(size, wall)), before)
        path[sample % len(path)] = e
    rate = slope(path, *(v[: -1 : 2 * substeps] for v in (pull, way, turn)))
    return path.T.copy(), rate.T, held


def _slope(j, step, finite):
    """Function of eccentricity, pull, its direction (conjugate) and turning that gives d(eps)/dt.

    The same as ``mobility``, written for speed; beyond the wall it pushes back. Touching roughness is stiff, as a
    broken film gives way: the radial rate is slowed so that contact follows the load half a step late, at rest exactly.
    """
    a0, a1, b0, b1, hard, film, stiff = _numbers(j, step, finite)
    one, zero, tiny = (np.full(len(j.load), v) for v in (1.0, 0.0, TINY))
    whole = one.astype(complex)
    reach = (1.0 - REACH / film)[hard > 0.0].min(initial=np.inf)

    def slope(e, pull, way, turn):
        touching = reach < np.inf and np.count_nonzero((size := np.abs(e)) > reach)
        if touching:
            out = e / np.maximum(size, tiny)
            deep = np.maximum(REACH - film * (one - np.minimum(size, one)), zero)
            bite = deep ** (JOURNAL_POWER - 1.0)
            pull = pull - hard * deep * bite * out
            way = np.conj(pull) / np.maximum(np.abs(pull), tiny)
        v = whole - e * way
        u = np.fabs(v.real)
        root, rate = np.sqrt(u), np.empty_like(v)
        rate.real, rate.imag = v.real * (a0 + a1 * u) * root, v.imag * (b0 + b1 * u) * root
        if touching:
            lag = stiff * bite * np.abs(rate)
        rate *= pull
        if touching:
            rate -= (rate * np.conj(out)).real * lag / (one + lag) * out
        rate += turn * e
        return rate

    return slope


def _numbers(j, step, finite):
    """What a slope is made of, (N,) each: four constants, hardness and height of touching roughness, its stiffness."""
    four = (np.broadcast_to(v, len(j.load)).copy() for v in _constants(j.length / j.diameter, finite))
    hard, film = _ease(j) * j.asperity, j.clearance / np.maximum(j.roughness, TINY)
    return *four, hard, film, 0.5 * step * JOURNAL_POWER * hard * film


def _slope_of_one(*numbers):
    """The function of ``_slope`` for one bearing, in plain numbers."""
    a0, a1, b0, b1, hard, film, stiff = map(float, numbers)
    reach = 1.0 - REACH / film if hard > 0.0 else math.inf

    def slope(e, pull, way, turn):
        size = abs(e)
        touching = size > reach
        if touching:
            out = e / max(size, TINY)
            deep = max(REACH - film * (1.0 - min(size, 1.0)), 0.0)
            bite = deep ** (JOURNAL_POWER - 1.0)
            pull = pull - hard * deep * bite * out
            way = pull.conjugate() / max(abs(pull), TINY)
        v = 1.0 - e * way
        u = abs(v.real)
        root = math.sqrt(u)
        rate = complex(v.real * (a0 + a1 * u) * root, v.imag * (b0 + b1 * u) * root)
        if touching:
            lag = stiff * bite * abs(rate)
            rate *= pull
            rate -= (rate * out.conjugate()).real * lag / (1.0 + lag) * out
        else:
            rate *= pull
        return rate + turn * e

    return slope


def _march(slope, e, step, drive, substeps):
    """As ``_cycle`` for one bearing: path, and steps that were held back."""
    drive, path, held = list(drive), [], 0
    half, third, sixth, wall = step / 2.0, step / 3.0, step / 6.0, 1.0 - CLOSEST
    for k in range(0, len(drive) - 1, 2):
        before, middle = e, drive[k + 1]
        try:
            k1 = slope(e, *drive[k])
            k2 = slope(e + half * k1, *middle)
            k3 = slope(e + half * k2, *middle)
            k4 = slope(e + step * k3, *drive[k + 2])
            e = e + sixth * (k1 + k4) + third * (k2 + k3)
            size = abs(e)
        except (OverflowError, ValueError):
            size = math.inf
        if not size <= wall:
            held += 1
            e = e * (wall / size) if math.isfinite(size) else before
        if (k + 2) % (2 * substeps) == 0:
            path.append(e)
    return path[-1:] + path[:-1], held
