"""Sizes of what varies over a cycle that is given with both of its ends."""

import numpy as np


def peak(values):
    """Greatest size over the cycle.

    Parameters
    ----------
    values : (..., A) array [-]
        Over one cycle.

    Returns
    -------
    float or (...) array [-]
        In the unit of the values.

    Examples
    --------
    >>> float(peak(np.array([1.0, -3.0, 1.0])))
    3.0
    """
    return np.abs(values).max(axis=-1)


def rms(values):
    """Root mean square over the cycle.

    Parameters
    ----------
    values : (..., A) array [-]
        Over one cycle at equal steps, both ends included; the last is the first once more and does not count.

    Returns
    -------
    float or (...) array [-]
        In the unit of the values.

    Examples
    --------
    >>> float(rms(np.array([1.0, -7.0, 1.0])))
    5.0
    """
    return np.sqrt(np.mean(np.abs(values[..., :-1]) ** 2, axis=-1))
