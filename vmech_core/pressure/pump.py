"""Plunger pump in closed form on any volume curve: a liquid that yields, dead volume, ideal valves.

The liquid has a constant bulk modulus, or it is ``liquid.Water``. With both valves shut it follows dp = -K dV / V:
after the outer dead centre the dead volume expands from delivery to suction pressure, after the inner dead centre the
whole filling is compressed back. A valve opens when the pressures on both sides are equal and
shuts at the dead centre. Arguments broadcast, as in ``compressor``. The pressures in both lines are constant: what an
uneven flow does to them is not computed here.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base.errors import InputError, refuse
from vmech_core.pressure import liquid

#: Samples in each of the two smooth parts of the summed flow, between which a parabola finds the highest and lowest.
SAMPLES = 129


#: How uneven a flow is; its fields are what ``flow_ripple`` returns.
Ripple = namedtuple("Ripple", "above below mean total")


def pressure(volume, falling, suction, delivery, bulk_modulus):
    """Cylinder pressure over a turn.

    Parameters
    ----------
    volume : (..., A) array [m3]
        Cylinder volume, dead volume included, over a whole turn, with a sample at or near both dead centres.
    falling : (..., A) bool array [-]
        True where the piston moves outward and the volume falls.
    suction : float or (...) array [Pa]
        Absolute pressure before the inlet valve.
    delivery : float or (...) array [Pa]
        Absolute pressure behind the outlet valve.
    bulk_modulus : float or (...) array or Water [Pa]
        Bulk modulus, or the liquid.

    Returns
    -------
    (..., A) array [Pa]
        Absolute pressure, between suction and delivery.

    Raises
    ------
    InputError
        If a pressure or the bulk modulus is impossible, or the dead volume so large that nothing would be delivered.

    Valid: steady running, no vapour or air, valves without loss, delay or leakage; one rise and one fall in a turn.
    Source: dp = -K dV / V, for a constant K p = p0 + K ln(V0 / V); notebook 04 derives it.

    Examples
    --------
    >>> volume, falling = np.array([0.25, 0.252, 1.25, 1.245]), np.array([True, False, True, True])
    >>> (pressure(volume, falling, 1e5, 100e5, 2.18e9) / 1e5).round(1)
    array([100. ,   1. ,   1. ,  88.4])
    """
    volume = np.asarray(volume, dtype=float)
    smallest, largest = volume.min(axis=-1), volume.max(axis=-1)
    _check(suction, delivery, bulk_modulus, smallest / (largest - smallest))
    low, high = (np.asarray(value, dtype=float)[..., None] for value in (suction, delivery))
    fluid = _liquid(bulk_modulus)._axis()
    volume = np.maximum(volume, np.finfo(float).tiny)
    small = np.maximum(smallest, np.finfo(float).tiny)[..., None]
    filled = fluid.pressure(low, volume / largest[..., None])
    left = fluid.pressure(high, volume / small)
    return np.where(falling, np.clip(filled, low, high), np.clip(left, low, high))


def volumetric_efficiency(dead_volume_ratio, suction, delivery, bulk_modulus):
    """Volume taken in, at suction conditions, over the swept volume.

    Parameters
    ----------
    dead_volume_ratio : float or (...) array [1]
        Dead volume over the swept volume.
    suction : float or (...) array [Pa]
        Absolute suction pressure.
    delivery : float or (...) array [Pa]
        Absolute delivery pressure.
    bulk_modulus : float or (...) array or Water [Pa]
        Bulk modulus, or the liquid.

    Returns
    -------
    (...) array [1]
        Efficiency, 0 to 1; times the share to which the filling shrinks it is the volume delivered, at delivery
        conditions. It knows nothing of leakage: see ``slip``.

    Raises
    ------
    InputError
        As ``pressure``.

    Valid: as ``pressure``.
    Source: 1 - c (V1 / V2 - 1), with V1 / V2 = exp((p2 - p1) / K) for a constant modulus.

    Examples
    --------
    >>> round(float(volumetric_efficiency(0.25, 0.8e5, 100e5, 2.18e9)), 5)
    0.99886
    """
    _check(suction, delivery, bulk_modulus, dead_volume_ratio)
    return 1.0 - np.asarray(dead_volume_ratio, dtype=float) * _growth(suction, delivery, bulk_modulus)


def indicated_work(induced, suction, delivery, bulk_modulus):
    """Work of a cycle on the liquid.

    Parameters
    ----------
    induced : float or (...) array [m3]
        Volume taken in at suction conditions: swept volume times volumetric efficiency.
    suction : float or (...) array [Pa]
        Absolute suction pressure.
    delivery : float or (...) array [Pa]
        Absolute delivery pressure.
    bulk_modulus : float or (...) array or Water [Pa]
        Bulk modulus, or the liquid.

    Returns
    -------
    (...) array [J]
        Work per cycle; for a volume per second, the power in watt. For a stiff liquid, volume times pressure rise.

    Raises
    ------
    InputError
        If a pressure or the bulk modulus is impossible.

    Valid: as ``pressure``; what the dead volume takes it gives back.
    Source: closed integral of p dV; for a constant modulus K (1 - exp(-(p2 - p1) / K)) V.
    """
    _check(suction, delivery, bulk_modulus)
    return np.asarray(induced, dtype=float) * _liquid(bulk_modulus).work(suction, delivery)


def flow_ripple(volume, rate, cylinders, suction, delivery, bulk_modulus, dead_volume_ratio=None):
    """Unevenness of the flow of n evenly phased equal cylinders, from the volume curve of one.

    The summed flow repeats n times in a turn. In each period it has two places where it is not smooth: one cylinder's
    outlet opens, another's shuts. Both are found exactly, and values on either side of a jump count.

    Parameters
    ----------
    volume : (..., A) array [m3]
        Cylinder volume over one turn at equal steps, end point left out, from any angle; only its shape counts.
    rate : (..., A) array [m3/rad]
        Its rate against the shaft angle.
    cylinders : int [1]
        Number of cylinders, n.
    suction : float or (...) array [Pa]
        Absolute suction pressure.
    delivery : float or (...) array [Pa]
        Absolute delivery pressure; equal to suction it gives the ripple of the bare displacement.
    bulk_modulus : float or (...) array or Water [Pa]
        Bulk modulus, or the liquid.
    dead_volume_ratio : float or (...) array or None [1]
        Dead volume over the swept volume; None keeps the dead volume of the curve.

    Returns
    -------
    above : float or (...) array [1]
        Highest flow less the mean, over the mean.
    below : float or (...) array [1]
        Mean less the lowest flow, over the mean.
    mean : float or (...) array [-]
        Mean flow, in the unit of the flow.

    Raises
    ------
    InputError
        As ``pressure``, or if the number of cylinders is not a whole number from 1.

    Valid: as ``pressure``; smooth motion. With 360 samples the error is below 1e-8 of the mean.
    Source: cubic interpolation between samples, bisection for the opening; the mean is a closed form.

    Examples
    --------
    >>> angle = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    >>> found = flow_ripple(0.5 - 0.5 * np.cos(angle), 0.5 * np.sin(angle), 3, 1e5, 1e5, 2.18e9, 0.25)
    >>> round(100.0 * float(found.total), 2)
    14.03
    """
    if cylinders != int(cylinders) or cylinders < 1:
        raise InputError("cylinders", cylinders, "not a whole number from 1", nearest=f"{max(1, round(cylinders))}")
    turn, growth = _Turn(np.asarray(volume, float), np.asarray(rate, float)), _growth(suction, delivery, bulk_modulus)
    swept = turn.largest - turn.smallest
    dead = np.asarray(turn.smallest / swept if dead_volume_ratio is None else dead_volume_ratio, dtype=float)
    _check(suction, delivery, bulk_modulus, dead)
    delivered = ((1.0 + dead) / (1.0 + growth) - dead) * swept
    high, low = _extremes(turn, turn.opening(turn.smallest + delivered), turn.shutting, int(cylinders))
    mean = cylinders * delivered / (2.0 * np.pi)
    above, below = high / mean - 1.0, 1.0 - low / mean
    return Ripple(above, below, mean, above + below)


def slip(theoretical, actual):
    """Share of the displacement that does not arrive.

    Parameters
    ----------
    theoretical : float or (...) array [m3/s]
        Swept volume times speed in turns per second, all cylinders.
    actual : float or (...) array [m3/s]
        Measured delivery.

    Returns
    -------
    (...) array [1]
        Slip: leakage, late valves, air and the yield of the liquid together.

    Valid: steady running.
    Source: definition; properly packed pumps usually have 3 to 5 % (Pump Handbook, in a reprint).
    """
    return 1.0 - np.divide(actual, theoretical)


def acceleration_head(pipe_length, area_ratio, acceleration, gravity=9.80665):
    """Head that speeds up the liquid in a pipe when one plunger alone moves it.

    Parameters
    ----------
    pipe_length : float or (...) array [m]
        Length of the pipe.
    area_ratio : float or (...) array [1]
        Plunger area over pipe area.
    acceleration : float or (...) array [m/s2]
        Acceleration of the plunger.
    gravity : float [m/s2]
        Standard gravity, unless another is stated.

    Returns
    -------
    (...) array [m]
        Head.

    Valid: a rigid column of liquid, no air vessel.
    Source: Newton's second law for the column, h = (l / g) (A / a) x''.
    """
    return np.divide(pipe_length, gravity) * area_ratio * np.asarray(acceleration, dtype=float)


class _Turn:
    """One turn of a volume curve, read between its samples. Places are counted in samples from the first."""

    def __init__(self, volume, rate):
        self.count, self.volume, self.rate = volume.shape[-1], volume, rate
        self._rate = rate * (2.0 * np.pi / self.count)
        self.inner, self.largest = self._dead_centre(volume.argmax(axis=-1), 1.0)
        outer, self.smallest = self._dead_centre(volume.argmin(axis=-1), -1.0)
        self.shutting = self.inner + (outer - self.inner) % self.count

    def flow_at(self, place):
        """Fall of the volume per radian at places (..., M), by a cubic through four samples."""
        cell = np.floor(place).astype(int)
        values = [_pick(self._rate, cell + step) for step in (-1, 0, 1, 2)]
        return _cubic_through(*values, place - cell) * (-self.count / (2.0 * np.pi))

    def opening(self, wanted):
        """Places (...) between inner and outer dead centre at which the volume has fallen to ``wanted``."""
        wanted, inner = np.broadcast_arrays(wanted, self.inner)
        places = np.ceil(self.inner).astype(int)[..., None] + np.arange(self.count)
        falling = np.where(places < self.shutting[..., None], _pick(self.volume, places), -np.inf)
        cell = np.ceil(inner).astype(int) - 1 + (falling > wanted[..., None]).sum(axis=-1)
        curve, last = self._volume_in(cell), np.minimum(self.shutting - cell, 1.0)
        return cell + _halved(np.maximum(inner - cell, 0.0), last, lambda t: curve(t) > wanted)

    def _dead_centre(self, sample, sign):
        """Place of the dead centre next to a sample, and its volume; sign is 1 for the largest."""
        cell = sample - (sign * _pick(self._rate, sample[..., None])[..., 0] <= 0.0)
        values = [_pick(self._rate, cell[..., None] + step)[..., 0] for step in (-1, 0, 1, 2)]
        t = _halved(np.zeros(cell.shape), np.ones(cell.shape), lambda t: sign * _cubic_through(*values, t) > 0.0)
        return cell + t, self._volume_in(cell)(t)

    def _volume_in(self, cell):
        """Volume between the samples ``cell`` and the next as a function: the cubic with their volumes and rates."""
        (v0, v1), (r0, r1) = ([_pick(values, cell[..., None] + step)[..., 0] for step in (0, 1)]
                              for values in (self.volume, self._rate))
        return lambda t: v0 + t * (r0 + t * (3 * (v1 - v0) - 2 * r0 - r1 + t * (2 * (v0 - v1) + r0 + r1)))


def _cubic_through(a, b, c, d, t):
    """Value at t of the cubic through a, b, c, d at -1, 0, 1, 2."""
    return b + t * (c - a / 3 - b / 2 - d / 6 + t * (0.5 * (a + c) - b + t * ((d - a) / 6 + 0.5 * (b - c))))


def _pick(values, index):
    """Samples of a periodic curve (..., A) at whole places (..., M)."""
    shape = np.broadcast_shapes(values.shape[:-1], index.shape[:-1])
    index = np.broadcast_to(index, (*shape, index.shape[-1])) % values.shape[-1]
    return np.take_along_axis(np.broadcast_to(values, (*shape, values.shape[-1])), index, axis=-1)


def _halved(low, high, before):
    """Bisection to rounding, within one sample."""
    for _ in range(48):
        middle = 0.5 * (low + high)
        further = before(middle)
        low, high = np.where(further, middle, low), np.where(further, high, middle)
    return 0.5 * (low + high)


def _extremes(turn, opening, shutting, cylinders):
    """Highest and lowest summed flow: the period's two smooth parts, one-sided at their ends."""
    period = turn.count / cylinders
    first, second = np.sort(np.stack(np.broadcast_arrays(opening % period, shutting % period)), axis=0)
    high, low = [], []
    for start, end in ((first, second), (second, first + period)):
        place = start[..., None] + (end - start)[..., None] * np.linspace(0.0, 1.0, SAMPLES)
        total = np.zeros(place.shape)
        for k in range(cylinders):
            middle = (0.5 * (start + end) + k * period - opening) % turn.count
            total += np.where((middle < shutting - opening)[..., None], turn.flow_at(place + k * period), 0.0)
        high.append(_peak(total))
        low.append(-_peak(-total))
    return np.maximum(*high), np.minimum(*low)


def _peak(values):
    """Highest value of a smooth curve (..., M): that of the parabola through the highest inner sample, or an end."""
    ends = np.maximum(values[..., 0], values[..., -1])
    middle = values[..., 1:-1].argmax(axis=-1)[..., None] + 1
    before, here, after = (np.take_along_axis(values, middle + step, axis=-1)[..., 0] for step in (-1, 0, 1))
    bend, slope = 2.0 * here - before - after, 0.5 * (after - before)
    inside = (bend > 0.0) & (np.abs(slope) < bend)
    rise = np.divide(slope**2, 2.0 * bend, out=np.zeros_like(here), where=inside)
    return np.maximum(ends, here + rise)


def _liquid(bulk_modulus):
    return bulk_modulus if isinstance(bulk_modulus, liquid.Water) else liquid.Constant(bulk_modulus)


def _growth(suction, delivery, bulk_modulus):
    """By what share of itself the dead volume grows when it expands to suction pressure."""
    return 1.0 / _liquid(bulk_modulus).shrunk(suction, delivery) - 1.0


def _check(suction, delivery, bulk_modulus, dead_volume_ratio=0.0):
    """Refuse what cannot run; of a batch, name the first value that cannot."""
    refuse(np.less_equal(suction, 0.0), "suction", suction, "not above 0", "Pa")
    low = float(np.max(suction))
    refuse(np.less(delivery, suction), "delivery", delivery, f"below the suction pressure of {low:.6g}", "Pa")
    refuse(np.less(dead_volume_ratio, 0.0), "dead_volume_ratio", dead_volume_ratio, "below 0", "", "0")
    none_left = np.asarray(dead_volume_ratio) * _growth(suction, delivery, bulk_modulus) >= 1.0
    words = "so large that the trapped liquid takes up the whole stroke and nothing is delivered at this pressure"
    refuse(none_left, "dead_volume_ratio", dead_volume_ratio, words)
