"""Sampled periodic curves: their harmonics, and how long they stay near an end.

A curve is sampled at N equal steps over one turn, the end point (which repeats the first) left out. The functions know
no mechanism.
"""

import numpy as np

from vmech_core.base.errors import refuse

#: Finer grid on which dwell is measured, by Fourier interpolation; the error then falls below 1e-5 for smooth motion.
FINER = 16


def harmonics(values, orders):
    """Fourier coefficients c_n of a sampled curve: values = Re sum c_n e^(i n angle), angle 0 at the first sample.

    The real part of c_n is the factor of cos(n angle), minus the imaginary part that of sin(n angle); c_0 is the mean.

    Parameters
    ----------
    values : (..., N) array [-]
        One period at equal steps, end point left out; any unit.
    orders : sequence of int [1]
        Orders n, from 0 to less than N/2.

    Returns
    -------
    (..., len(orders)) complex array [-]
        Coefficients in the unit of the values.

    Raises
    ------
    InputError
        If an order is negative, or too high for the number of samples.

    Valid: content above order N/2 folds back; smooth motion at N = 360 has none to speak of.
    Source: discrete Fourier transform (numpy.fft).

    Examples
    --------
    >>> angle = np.linspace(0.0, 2.0 * np.pi, 12, endpoint=False)
    >>> harmonics(2.0 + 3.0 * np.cos(angle) + 4.0 * np.sin(2.0 * angle), [0, 1, 2]).round(6) + 0.0
    array([2.+0.j, 3.+0.j, 0.-4.j])
    """
    values, orders = np.asarray(values, dtype=float), np.asarray(orders, dtype=int)
    count = values.shape[-1]
    words = f"not within 0 to {(count - 1) // 2} for {count} samples"
    refuse((orders < 0) | (orders >= 0.5 * count), "orders", orders, words, "1")
    return np.fft.rfft(values)[..., orders] * (np.where(orders == 0, 1.0, 2.0) / count)


def dwell(angle, position, share):
    """Angle for which a piston stays near each of its dead centres, in one turn.

    Parameters
    ----------
    angle : (A,) array [rad]
        One turn at equal steps, end point left out.
    position : (..., A) array [m]
        Place of the piston along its line, positive outward.
    share : float [1]
        How near: a share of the stroke, above 0 and below 1.

    Returns
    -------
    outer : (...) array [rad]
        Angle within which the piston is nearer to its outermost place than ``share`` of the stroke.
    inner : (...) array [rad]
        The same for its innermost place.

    Raises
    ------
    InputError
        If the share is out of range or the angles do not span one turn at equal steps without the end point.

    Valid: smooth motion, sampled finely enough that A/2 harmonics describe it (A = 360 is ample).
    Source: Fourier interpolation, then linear interpolation of the crossings; for a sinusoid it gives
        2 arccos(1 - 2 share).

    Examples
    --------
    >>> angle = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    >>> outer, inner = dwell(angle, np.cos(angle), 0.5)
    >>> round(float(outer), 6), round(float(inner), 6)
    (3.141593, 3.141593)
    """
    refuse(not 0.0 < share < 1.0, "share", share, "not within 0 to 1, ends left out", "1")
    angle, position = np.asarray(angle, dtype=float), np.asarray(position, dtype=float)
    even = np.allclose(np.diff(angle), 2.0 * np.pi / angle.size, rtol=1e-6, atol=0.0)
    refuse(not even, "angle", np.ptp(angle), "not one turn at equal steps, end point left out", "rad")
    fine = np.fft.irfft(np.fft.rfft(position), FINER * position.shape[-1]) * FINER  # the same curve on a finer grid
    low, high = fine.min(axis=-1, keepdims=True), fine.max(axis=-1, keepdims=True)
    reach = share * (high - low)
    return _span_above(fine - (high - reach)), _span_above((low + reach) - fine)


def _span_above(values):
    """Angle in one turn for which a periodic curve is positive, linear between its samples."""
    after = np.roll(values, -1, axis=-1)
    above = np.maximum(values, 0.0) + np.maximum(after, 0.0)
    return 2.0 * np.pi * np.mean(above / np.maximum(np.abs(values) + np.abs(after), 1e-300), axis=-1)
