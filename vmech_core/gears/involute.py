"""The involute function and what follows from it for a pair: working angle, and the shift for a centre distance.

Sign of a profile shift, for both gears: positive moves the tool outward from the axis. Every relation works for any
tooth numbers; the straight-line drive uses ring_teeth = 2 pinion_teeth.
"""

import numpy as np

from vmech_core.base.errors import refuse

#: Common pressure angle (ISO 53:1998), rad.
STANDARD_ANGLE = np.pi / 9


def involute(angle):
    """Involute function of an angle.

    Parameters
    ----------
    angle : float or (...) array [rad]
        Pressure angle at a point of the flank.

    Returns
    -------
    float or (...) array [rad]
        Polar angle of that point, measured from the start of the involute on the base circle.

    Valid: 0 <= angle < pi/2; cancellation limits the relative accuracy to about 1e-15 / angle^2.
    Source: definition, ISO 21771:2007 (from memory).

    Examples
    --------
    >>> print(f"{involute(np.radians(20)):.6f}")
    0.014904
    """
    return np.tan(angle) - angle


def inverse_involute(value):
    """Angle whose involute function has the given value.

    Newton's method on t - arctan(t) = value with t = tan(angle), from a start above the root; the function is convex,
    so every step comes closer from one side.

    Parameters
    ----------
    value : float or (...) array [rad]
        Value of the involute function, not negative.

    Returns
    -------
    float or (...) array [rad]
        Pressure angle.

    Raises
    ------
    InputError
        If a value is negative or not a number.

    Valid: angles from 0 to 1.5 rad; round-trip error below 1e-13 rad from 0.05 rad on, below 1e-11 rad from 0.001 rad.
    Source: derived here.

    Examples
    --------
    >>> print(f"{np.degrees(inverse_involute(0.014904)):.3f}")
    20.000
    """
    v = np.asarray(value, dtype=float)
    refuse(~(v >= 0), "involute", value, "outside 0 to infinity")
    t = np.cbrt(3 * v) + v
    for _ in range(12):
        square = np.where(t > 0, t * t, 1.0)
        t = t - (t - np.arctan(t) - v) * (1 + square) / square
    return np.arctan(np.maximum(t, 0.0))[()]


def working_pressure_angle(pinion_teeth, ring_teeth, pressure_angle=STANDARD_ANGLE, shift_difference=0.0):
    """Pressure angle at the working pitch circles of an internal pair.

    Parameters
    ----------
    pinion_teeth : int or (...) array [1]
        Teeth of the pinion.
    ring_teeth : int or (...) array [1]
        Teeth of the ring gear, more than the pinion has.
    pressure_angle : float or (...) array [rad]
        Pressure angle of the basic rack.
    shift_difference : float or (...) array [1]
        Ring shift less pinion shift, in modules.

    Returns
    -------
    float or (...) array [rad]
        Working pressure angle.

    Raises
    ------
    InputError
        If the shift difference is so negative that the base circles would have to overlap.

    Valid: involute internal pair whose teeth fill the spaces at the centre distance before backlash is taken off.
    Source: Elements of Metric Gear Technology (SDP/SI), section 5; derived again here.

    Examples
    --------
    >>> print(f"{np.degrees(working_pressure_angle(16, 24, shift_difference=0.5)):.4f}")
    31.0936
    """
    slope = 2 * np.tan(pressure_angle) / (np.asarray(ring_teeth) - pinion_teeth)
    value = involute(pressure_angle) + slope * shift_difference
    least = np.max(-involute(pressure_angle) / slope)
    words = f"below {least:.4f}, where the base circles would meet"
    refuse(~(value >= 0), "shift_difference", shift_difference, words, nearest=f"{least:.4f}")
    return inverse_involute(value)


def shift_difference(distance, module, pinion_teeth, ring_teeth, pressure_angle=STANDARD_ANGLE):
    """Shift difference that gives a wanted centre distance, a quarter of the stroke.

    Parameters
    ----------
    distance : float or (...) array [m]
        Working centre distance; for the straight-line drive a quarter of the stroke.
    module : float or (...) array [m]
        Reference module.
    pinion_teeth : int or (...) array [1]
        Teeth of the pinion.
    ring_teeth : int or (...) array [1]
        Teeth of the ring gear.
    pressure_angle : float or (...) array [rad]
        Pressure angle of the basic rack.

    Returns
    -------
    float or (...) array [1]
        Ring shift less pinion shift, in modules; positive lengthens the distance.

    Raises
    ------
    InputError
        If the distance is shorter than the difference of the base radii.

    Valid: any distance the base circles allow; whether teeth of such a shift work is for check_pair to say.
    Source: Elements of Metric Gear Technology (SDP/SI), section 5; derived again here.

    Examples
    --------
    >>> print(f"{shift_difference(0.0131683, 0.003, 16, 24):.4f}")
    0.5000
    """
    difference = np.subtract(ring_teeth, pinion_teeth)
    cosine = np.multiply(module, difference) * np.cos(pressure_angle) / 2 / distance
    least = f"{np.max(cosine * distance):.6f} m"
    refuse(~(cosine <= 1), "centre distance", distance, f"shorter than the {least} its base circles need", "", least)
    return difference * (involute(np.arccos(cosine)) - involute(pressure_angle)) / (2 * np.tan(pressure_angle))
