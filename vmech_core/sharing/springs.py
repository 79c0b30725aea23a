"""Springs with gaps: forces and displacements of a small elastic assembly whose supports push and never pull.

The potential energy of displacements q, all of them lengths, is

    V(q) = 1/2 q.B.q - p.q + 1/2 sum k (a.q - g)+^2

with linear springs B, loads p, and one-sided supports of approach a.q, gap g and stiffness k. It is convex, so that
forces do not depend on where the search starts, and piecewise quadratic, so that Newton's method ends after a few
steps. A very soft spring to the centre, ``CENTRING`` of the stiffest support, holds what floats; it is the only thing
here that no drawing shows. A round seat is a ring of flats. Nothing here knows an engine.
"""

from collections import namedtuple
from dataclasses import dataclass

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.results import some

#: Stiffness of the centring spring over that of the stiffest support.
CENTRING = 1e-10
#: Share of (stiffest support times largest displacement) that rounding may leave unbalanced: a few last digits.
ROUNDING = 4e-15
#: Largest unbalanced force over the largest force at which a case counts as solved.
TOLERANCE = 1e-9
MOST_STEPS = 200
#: Cases that are done leave the batch when this share or less is left; copying the rest costs time.
LEAVE = 0.8


@dataclass(frozen=True)
class Supports:
    """Supports of an assembly with n displacements and M one-sided supports.

    The first axis counts cases; it has length one where all cases share the same values.

    Attributes
    ----------
    springs : (N, n, n) array [N/m]
        Linear springs, symmetric, none negative.
    rows : (N, M, n) array [1]
        Approach of each one-sided support per displacement.
    gap : (N, M) array [m]
        Gap of each; negative if pressed together at rest.
    stiffness : (N, M) array [N/m]
        Stiffness of each.
    """

    springs: np.ndarray
    rows: np.ndarray
    gap: np.ndarray
    stiffness: np.ndarray


#: Where the assembly comes to rest; its fields are what ``rest`` returns.
Rest = namedtuple("Rest", "displacement push unbalanced solved steps")


def ring(flats):
    """Directions of the flats that stand for a round seat, and the gap of each for a unit clearance.

    Parameters
    ----------
    flats : int [1]
        Number of flats, even, so that each direction has its opposite.

    Returns
    -------
    directions : (F, 2) array [1]
        Unit vectors.
    gap : float [1]
        Distance of the flats from the centre; the mean reach over all directions is that of the circle.

    Valid: the reach differs from the circle's by at most (pi / flats)^2 / 3 either way.
    Source: mean of 1 / cos over half a side.
    """
    angle = 2.0 * np.pi * np.arange(flats) / flats
    half = np.pi / flats
    mean = np.log(np.tan(half) + 1.0 / np.cos(half)) / half
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1), 1.0 / mean


def rest(supports, load, start=None):
    """Find the displacements of least energy for each load.

    Newton's method on the pieces of the energy, each step as long as the energy falls along it; cases that are done
    leave the batch.

    Parameters
    ----------
    supports : Supports [-]
        Supports, shared by the batch or one for each case.
    load : (N, n) array [N]
        Load on each displacement.
    start : (N, n) array or None [m]
        Displacements to begin with; any start leads to the same forces.

    Returns
    -------
    displacement : (N, n) array [m]
        Displacements.
    push : (N, M) array [N]
        Force of each one-sided support, never negative.
    unbalanced : (N,) array [N]
        Largest force left over.
    solved : (N,) bool array [-]
        True where that is below the tolerance.
    steps : int [1]
        Newton steps of the slowest case.

    Raises
    ------
    InputError
        If a load is not a finite number.

    Valid: small displacements, no friction, no inertia.
    Source: minimum of potential energy; convex piecewise quadratic functions: any text on convex optimisation.

    Examples
    --------
    >>> rows, gap, stiffness = np.array([[[1.0], [-1.0]]]), np.full((1, 2), 1e-5), np.full((1, 2), 1e8)
    >>> walls = Supports(np.zeros((1, 1, 1)), rows, gap, stiffness)
    >>> rest(walls, np.array([[500.0], [-500.0], [0.0]])).push.round()
    array([[500.,   0.],
           [  0., 500.],
           [  0.,   0.]])
    """
    load = np.atleast_2d(np.asarray(load, dtype=float))
    if not np.isfinite(load).all():
        raise InputError("load", "not a number", "not a finite force", "N")
    q = np.zeros(load.shape) if start is None else np.array(np.broadcast_to(start, load.shape), dtype=float)
    soft = np.broadcast_to(_softest(supports), len(load))
    left, part, steps = np.arange(len(load)), supports, 0
    while left.size and steps < MOST_STEPS:
        now, wanted, weak = q[left], load[left], soft[left]
        approach, push, pull = _state(part, now, wanted, weak)
        going = ~_balanced(part, now, wanted, push, pull, TOLERANCE)
        if going.sum() < LEAVE * len(left):
            left, part, now, wanted, weak = left[going], some(part, going), now[going], wanted[going], weak[going]
            approach, push, pull = approach[going], push[going], pull[going]
        if left.size:
            stiff = part.springs + _gram(part.rows, part.stiffness * (approach > 0.0))
            stiff.reshape(len(left), -1)[:, :: q.shape[1] + 1] += weak[:, None]
            way = np.linalg.solve(stiff, pull[..., None])[..., 0]
            q[left] = now + _length(part, weak, approach, pull, way)[:, None] * way
            steps += 1
    _, push, pull = _state(supports, q, load, soft)
    solved = _balanced(supports, q, load, push, pull, 10.0 * TOLERANCE)
    return Rest(q, push, np.abs(pull).max(axis=1, initial=0.0), solved, steps)


def energy(supports, load, displacement):
    """Potential energy of the assembly.

    Parameters
    ----------
    supports : Supports [-]
        Supports.
    load : (N, n) array [N]
        Loads.
    displacement : (N, n) array [m]
        Displacements.

    Returns
    -------
    (N,) array [J]
        Energy, without the centring spring.

    Valid: as ``rest``.
    Source: head of this module.
    """
    approach = np.maximum(_times(supports.rows, displacement) - supports.gap, 0.0)
    bent = (displacement * _times(supports.springs, displacement)).sum(axis=1)
    return 0.5 * bent - (load * displacement).sum(axis=1) + 0.5 * (supports.stiffness * approach**2).sum(axis=1)


def _state(s, q, load, soft):
    """Approaches, pushes, and what is left of the load."""
    approach = _times(s.rows, q) - s.gap
    push = s.stiffness * np.maximum(approach, 0.0)
    return approach, push, load - soft[:, None] * q - _times(s.springs, q) - _back(s.rows, push)


def _balanced(s, q, load, push, pull, tolerance):
    """True where little is left of the load, or no more than rounding leaves of forces that cancel."""
    scale = np.maximum(np.abs(load).max(axis=1, initial=0.0), push.max(axis=1, initial=0.0))
    left = np.abs(pull).max(axis=1, initial=0.0)
    good = left <= tolerance * np.maximum(scale, 1e-6)
    if not good.all():
        far = np.abs(q).max(axis=1, initial=0.0) + np.abs(s.gap).max(axis=1, initial=0.0)
        good |= left <= ROUNDING * _stiffest(s) * far
    return good


def _length(s, soft, approach, pull, way):
    """Step along the way at which the energy stops falling: one where nothing opens or closes, else exact."""
    lean = _times(s.rows, way)
    changes = ((approach > 0.0) != (approach + lean > 0.0)).any(axis=1)
    step = np.ones(len(way))
    if changes.any():
        part, w = some(s, changes), way[changes]
        linear = soft[changes] * (w * w).sum(axis=1) + (w * _times(part.springs, w)).sum(axis=1)
        step[changes] = _root(approach[changes], lean[changes], part.stiffness, linear, (pull[changes] * w).sum(axis=1))
    return step


def _root(approach, lean, stiffness, linear, fall):
    """Root of the slope of the energy along a way: it rises, piecewise straight, with a bend at each change."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        bend, farthest = -approach / lean, fall / linear
        bend = np.where((bend > 0.0) & (bend < farthest[:, None]), bend, np.inf)
    pressed = (approach > 0.0) | ((approach == 0.0) & (lean > 0.0))
    gain = stiffness * lean * lean
    order = np.argsort(bend, axis=1)
    bend = np.take_along_axis(bend, order, axis=1)
    gain_after = np.take_along_axis(np.where(lean > 0.0, gain, -gain), order, axis=1)
    start = (linear + (gain * pressed).sum(axis=1))[:, None]
    steep = np.concatenate([start, start + np.cumsum(gain_after, axis=1)], axis=1)
    ends = np.concatenate([np.zeros((len(bend), 1)), bend], axis=1)
    width = np.diff(np.where(np.isfinite(ends), ends, np.nan), axis=1)
    slope = np.cumsum(np.concatenate([-fall[:, None], steep[:, :-1] * np.nan_to_num(width)], axis=1), axis=1)
    past = (slope >= 0.0) | ~np.isfinite(ends)
    past[:, 0] = False
    last = np.argmax(past, axis=1)
    last = np.where(last == 0, len(bend[0]) + 1, last) - 1
    row = np.arange(len(bend))
    return ends[row, last] - slope[row, last] / np.maximum(steep[row, last], linear)


def _times(rows, q):
    """Rows times displacements, (N, rows)."""
    return q @ rows[0].T if len(rows) == 1 else (rows @ q[..., None])[..., 0]


def _back(rows, force):
    """Forces along rows, summed on each displacement, (N, n)."""
    return force @ rows[0] if len(rows) == 1 else (force[:, None, :] @ rows)[:, 0]


def _gram(rows, stiffness):
    """Sum of stiffness times row times row, (N, n, n)."""
    if len(rows) > 1:
        return np.swapaxes(rows, -1, -2) @ (stiffness[..., None] * rows)
    size = rows.shape[-1]
    products = (rows[0][:, :, None] * rows[0][:, None, :]).reshape(-1, size * size)
    return (stiffness @ products).reshape(-1, size, size)


def _stiffest(s):
    """Largest stiffness of each case, or the one of all, (N,) or (1,)."""
    return np.maximum(s.stiffness.max(axis=1, initial=0.0), np.abs(s.springs).max(axis=(1, 2), initial=0.0))


def _softest(s):
    """Stiffness of the centring spring of each case; something must hold where nothing else is there."""
    stiffest = _stiffest(s)
    return CENTRING * np.where(stiffest > 0.0, stiffest, 1.0)
