"""Springs with gaps: forces and displacements of a small elastic assembly whose supports push and never pull.

The potential energy of displacements q, all of them lengths, is

    V(q) = 1/2 q.B.q - p.q + 1/2 sum k (a.q - g)+^2 + 1/2 sum K (|r| - c)+^2,    r = R.q - o

with linear springs B, loads p, one-sided supports of approach a.q, gap g and stiffness k, and round seats in which a
journal, r off the middle, meets the wall at the clearance c and presses on it along r with the stiffness K. It is
convex, so that forces do not depend on where the search starts. Newton's method with an exact search along each step
ends after a few of them. A very soft spring to the centre, ``CENTRING`` of the stiffest support, holds what floats; it
is the only thing here that no drawing shows. Nothing here knows an engine.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import InputError, record, some

#: Stiffness of the centring spring over that of the stiffest support.
CENTRING = 1e-10
#: Share of (stiffest support times largest displacement) that rounding may leave unbalanced: a few last digits.
ROUNDING = 4e-15
#: Largest unbalanced force over the largest force at which a case counts as solved.
TOLERANCE = 1e-9
MOST_STEPS = 1000
#: Slope at the end of a whole step, over the slope at its start, up to which it is taken without a search.
SLOPE = 0.3
#: Most steps of a search: as many as halving takes to the last digit.
HALVINGS = 60
#: Cases that are done leave the batch when this share or less is left; copying the rest costs time.
LEAVE = 0.8


@record("springs rows gap stiffness", planes=None, clearance=None, radial=None, offset=None)
class Supports:
    """Supports of an assembly with n displacements, M one-sided supports and R round seats.

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
    planes : (N, R, 2, n) array or None [1]
        Place of each journal in the plane of its seat per displacement; None for no seat.
    clearance : (N, R) array or None [m]
        Radial clearance of each, not negative.
    radial : (N, R) array or None [N/m]
        Radial stiffness of each.
    offset : (N, R, 2) array or None [m]
        Middle of each seat.
    """

    def __post_init__(self):
        if self.planes is None:
            vars(self).update(planes=np.zeros((1, 0, 2, self.springs.shape[-1])), clearance=np.zeros((1, 0)),
                              radial=np.zeros((1, 0)), offset=np.zeros((1, 0, 2)))


#: Where the assembly comes to rest; its fields are what ``rest`` returns.
Rest = namedtuple("Rest", "displacement push radial unbalanced solved steps")


def rest(supports, load, start=None):
    """Find the displacements of least energy for each load.

    Newton's method, each step as long as the energy falls along it; cases that are done leave the batch.

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
    radial : (N, R, 2) array [N]
        Force of each journal on its seat.
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
    Source: minimum of potential energy; Newton's method for convex functions: any text on convex optimisation.

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
        state = _state(part, now, wanted, weak)
        going = ~_balanced(part, now, wanted, state, TOLERANCE)
        if going.sum() < LEAVE * len(left):
            left, part, now, weak = left[going], some(part, going), now[going], weak[going]
            state, going = _State(*(values[going] for values in state)), going[going]
        if left.size:
            stiff = part.springs + _gram(part.rows, part.stiffness * (state.approach > 0.0)) + _wall(part, state.place)
            stiff.reshape(len(left), -1)[:, :: q.shape[1] + 1] += weak[:, None]
            way = np.linalg.solve(stiff, (going[:, None] * state.pull)[..., None])[..., 0]
            q[left] = now + _length(part, weak, state, way)[:, None] * way
            steps += 1
    state = _state(supports, q, load, soft)
    solved = _balanced(supports, q, load, state, 10.0 * TOLERANCE)
    return Rest(q, state.push, state.seat, _largest(state.pull), solved, steps)


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
    pressed = 0.5 * (supports.stiffness * approach**2).sum(axis=1)
    beyond = np.maximum(_far(_place(supports, displacement)) - supports.clearance, 0.0)
    return 0.5 * bent - (load * displacement).sum(axis=1) + pressed + 0.5 * (supports.radial * beyond**2).sum(axis=1)


#: Approaches and pushes, places of the journals and forces on their seats, and what is left of the load.
_State = namedtuple("_State", "approach push place seat pull")


def _state(s, q, load, soft):
    approach, place = _times(s.rows, q) - s.gap, _place(s, q)
    push, seat = s.stiffness * np.maximum(approach, 0.0), (s.radial * _part(s, _far(place)))[..., None] * place
    held = _times(s.springs, q) + _back(s.rows, push) + _back(_flat(s.planes), seat.reshape(len(q), 2 * seat.shape[1]))
    return _State(approach, push, place, seat, load - soft[:, None] * q - held)


def _balanced(s, q, load, state, tolerance):
    """True where little is left of the load, or no more than rounding leaves of forces that cancel."""
    scale = np.maximum(_largest(load), np.maximum(_largest(state.push), _largest(state.seat)))
    left = _largest(state.pull)
    good = left <= tolerance * np.maximum(scale, 1e-6)
    if not good.all():
        far = _largest(q) + _largest(s.gap) + _largest(s.clearance)
        good |= left <= ROUNDING * _stiffest(s) * far
    return good


def _length(s, soft, state, way):
    """Step along the way: a whole one if the energy hardly rises or falls at its end, else to where it is least."""
    linear = soft * _dot(way, way) + _dot(way, _times(s.springs, way))
    turn = _times(_flat(s.planes), way).reshape(state.place.shape)
    line = _Line(state.approach, _times(s.rows, way), s.stiffness, state.place, turn, s.radial, s.clearance, linear,
                 _dot(state.pull, way))
    step = np.ones(len(way))
    search = np.abs(line.slope(step)[0]) > SLOPE * line.fall
    if search.any():
        step[search] = some(line, search).root()
    return step


@record("approach lean stiffness place turn radial clearance linear fall")
class _Line:
    """The energy along a way: its slope begins at minus ``fall`` and rises, with a bend at each change of contact."""

    def slope(self, step):
        """Slope and its rate, (N,) each."""
        approach, hard = self.approach + step[:, None] * self.lean, self.stiffness * self.lean
        push = np.maximum(approach, 0.0) - np.maximum(self.approach, 0.0)
        slope = self.linear * step - self.fall + _dot(hard, push)
        rate = self.linear + _dot(hard, self.lean * (approach > 0.0))
        if self.place.size:
            place = self.place + step[:, None, None] * self.turn
            far, toward = _far(place), _dot(place, self.turn)
            part, before = _part(self, far), _part(self, _far(self.place)) * _dot(self.place, self.turn)
            slope += (self.radial * (part * toward - before)).sum(axis=1)
            bent = part * _dot(self.turn, self.turn) + (part > 0.0) * (1.0 - part) * (toward / far) ** 2
            rate += (self.radial * bent).sum(axis=1)
        return slope, rate

    def root(self):
        """Step where the slope is near zero, by Newton's method, or by halving where that gains too little."""
        low, high, step, last = 0.0 * self.fall, self.fall / self.linear, 0.0 * self.fall + 1.0, np.inf
        for _ in range(HALVINGS):
            slope, rate = self.slope(step)
            left = np.abs(slope)
            if (left <= SLOPE * self.fall).all():
                break
            low, high = np.where(slope < 0.0, step, low), np.where(slope < 0.0, high, step)
            nearer = step - slope / rate
            good = (nearer > low) & (nearer <= high) & (left < 0.5 * last)
            nearer = np.where(good, nearer, 0.5 * (low + high))
            step, last = np.where(left <= SLOPE * self.fall, step, nearer), left
        return step


def _flat(planes):
    """Rows of all seats, (N, 2 R, n)."""
    count, seats, _, size = planes.shape
    return planes.reshape(count, 2 * seats, size)


def _place(s, q):
    """Place of each journal from the middle of its seat, (N, R, 2)."""
    return _times(_flat(s.planes), q).reshape(len(q), *s.planes.shape[1:3]) - s.offset


def _far(place):
    """Distance of each journal from the middle, never zero, (N, R)."""
    return np.maximum(np.hypot(place[..., 0], place[..., 1]), 1e-150)


def _part(s, far):
    """Share of that distance that is beyond the clearance, (N, R)."""
    return np.maximum(1.0 - s.clearance / far, 0.0)


def _dot(one, two):
    """Sums of products over the last axis."""
    return np.einsum("...i,...i->...", one, two)


def _wall(s, place):
    """Stiffness of the seats, summed, (N, n, n): along the force the seat's own, across it what the bent wall gives."""
    far = _far(place)
    part, stiff = _part(s, far), s.radial * (far >= s.clearance)
    own = (stiff * part)[..., None, None] * np.eye(2)
    own += (stiff * (1.0 - part) / far**2)[..., None, None] * place[..., :, None] * place[..., None, :]
    if len(s.planes) > 1:
        return (np.swapaxes(s.planes, -1, -2) @ own @ s.planes).sum(axis=1)
    products = np.einsum("rai,rbj->rabij", s.planes[0], s.planes[0])
    return np.tensordot(own, products, 3)


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


def _largest(values):
    """Largest size in each case, (N,)."""
    return np.abs(values).max(axis=tuple(range(1, values.ndim)), initial=0.0)


def _stiffest(s):
    """Largest stiffness of each case, or the one of all, (N,) or (1,)."""
    return np.maximum(_largest(s.stiffness), np.maximum(_largest(s.radial), _largest(s.springs)))


def _softest(s):
    """Stiffness of the centring spring of each case; something must hold where nothing else is there."""
    stiffest = _stiffest(s)
    return CENTRING * np.where(stiffest > 0.0, stiffest, 1.0)
