"""Outlines as complex points: polylines in which a NaN lifts the pen."""

import numpy as np

#: Lifts the pen.
UP = complex(np.nan, np.nan)
#: Closed outline of a circle of radius 1 about the origin.
CIRCLE = np.exp(1j * np.linspace(0.0, 2.0 * np.pi, 91))


def box(start, end, width):
    """Outline of a bar between two points.

    Parameters
    ----------
    start : complex [m]
        Middle of one end.
    end : complex [m]
        Middle of the other end.
    width : float [m]
        Width across.

    Returns
    -------
    (5,) complex array [m]
        Closed outline.
    """
    side = 0.5j * width * (end - start) / abs(end - start)
    return np.array([start + side, end + side, end - side, start - side, start + side])


def xy(points):
    """Coordinates as they are.

    Parameters
    ----------
    points : complex or (P,) complex array [-]
        Points, in the unit of the axes.

    Returns
    -------
    x, y : float or (P,) array [-]
        To the right and upward.
    """
    return np.real(points), np.imag(points)


def mm(points):
    """Coordinates for an axis in mm.

    Parameters
    ----------
    points : (P,) complex array [m]
        Points.

    Returns
    -------
    x_mm, y_mm : (P,) array [mm]
        To the right and upward.
    """
    return 1e3 * points.real, 1e3 * points.imag
