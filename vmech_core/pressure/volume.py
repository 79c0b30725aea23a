"""Volume curves: cylinder volume and its rate against the angle after the firing dead centre.

A curve is a function of an angle array [rad] that returns volume [m3] and rate [m3/rad], both of the array's shape.
Pressure modules take such a function and never a mechanism.
"""

from functools import lru_cache

import numpy as np


def curve_of(travel, area, stroke, clearance_ratio):
    """Volume curve of a cylinder from the motion of its piston.

    Parameters
    ----------
    travel : callable [-]
        Function of an angle array (A,) [rad] after the outer dead centre that returns the piston's distance from the
        main axis [m] and its rate [m/rad].
    area : float [m2]
        Piston area.
    stroke : float [m]
        Stroke.
    clearance_ratio : float [1]
        Volume left at the outer dead centre over the swept volume.

    Returns
    -------
    callable [-]
        The volume curve.

    Valid: rigid parts; angle 0 at the outer dead centre.
    Source: area times distance from the dead centre, plus the clearance volume.
    """
    top = float(travel(np.zeros(1))[0][0])

    def curve(angle):
        angle = np.asarray(angle, dtype=float)
        place, rate = travel(angle.ravel())
        volume = area * (clearance_ratio * stroke + top - place)
        return volume.reshape(angle.shape), (-area * rate).reshape(angle.shape)

    return curve


@lru_cache(maxsize=256)
def swept(curve):
    """Swept volume.

    Parameters
    ----------
    curve : callable [-]
        Volume curve.

    Returns
    -------
    float [m3]
        Largest less smallest volume over one turn.

    Valid: a turn with one rise and one fall.
    Source: 3601 samples, relative error below 1e-6.
    """
    volume = curve(np.linspace(-np.pi, np.pi, 3601))[0]
    return float(volume.max() - volume.min())


@lru_cache(maxsize=256)
def crossing(curve, share, opening):
    """Angle at which the volume passes a share of the swept volume.

    Parameters
    ----------
    curve : callable [-]
        Volume curve.
    share : float [1]
        Volume above the clearance volume over the swept volume, 0 to 1.
    opening : bool [-]
        True for the stroke after the firing dead centre, False for the one before it.

    Returns
    -------
    float [rad]
        The angle, positive or negative.

    Valid: a turn with one rise and one fall.
    Source: Newton's method on the volume curve; at share 1 the sample nearest to the inner dead centre.
    """
    angle = np.linspace(0.0, 1.5 * np.pi, 271) * (1.0 if opening else -1.0)
    volume = curve(angle)[0]
    far = int(np.argmax(volume))
    top, place = _greatest(volume, far), np.arange(far + 1)
    wanted = volume[0] + share * (top - volume[0])
    found = float(np.interp(wanted, volume[place], angle[place]))
    for _ in range(8):
        now, rate = (float(v[0]) for v in curve(np.array([found])))
        if abs(rate) < 1e-9 * top:
            break
        found += (wanted - now) / rate
    return found


def _greatest(values, k):
    """Greatest value of a smooth curve near sample k, by a parabola through three samples."""
    k = min(max(k, 1), len(values) - 2)
    left, middle, right = values[k - 1 : k + 2]
    bend = left - 2.0 * middle + right
    return float(middle - 0.125 * (left - right) ** 2 / bend) if bend < 0.0 else float(values.max())


def indicated_mean_pressure(angle, pressure, curve):
    """Indicated mean effective pressure of a whole cycle.

    Parameters
    ----------
    angle : (M,) array [rad]
        Angle after the firing dead centre, one cycle, both ends included.
    pressure : (M,) array [Pa]
        Cylinder pressure.
    curve : callable [-]
        Volume curve.

    Returns
    -------
    float [Pa]
        Work of the cycle over the swept volume; negative for a machine that takes work.

    Valid: samples close enough for the trapezium rule.
    Source: integral of p dV over the swept volume.
    """
    return float(np.trapezoid(pressure * curve(angle)[1], angle)) / swept(curve)
