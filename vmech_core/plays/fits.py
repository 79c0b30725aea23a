"""Limits and fits of ISO 286 for the sizes of small machines, as far as this course needs them.

Sizes in m in, deviations in m out. The tables are those of the standard up to 500 mm, in micrometres.
"""

import re
from collections import namedtuple

import numpy as np

from vmech_core.base import InputError, show

#: Upper end of each step of sizes [mm].
STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
#: Standard tolerance of each grade and step [um]: ISO 286-1, table of standard tolerances (from memory).
GRADES = {
    4: (3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20),
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155),
}
#: Deviation of the shaft nearest to the zero line [um]: upper limit of d to h, lower limit of n and p (from memory).
SHAFTS = {
    "d": (-20, -30, -40, -50, -65, -80, -100, -120, -145, -170, -190, -210, -230),
    "e": (-14, -20, -25, -32, -40, -50, -60, -72, -85, -100, -110, -125, -135),
    "f": (-6, -10, -13, -16, -20, -25, -30, -36, -43, -50, -56, -62, -68),
    "g": (-2, -4, -5, -6, -7, -9, -10, -12, -14, -15, -17, -18, -20),
    "h": (0,) * len(STEPS),
    "n": (4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40),
    "p": (6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68),
}
NAME = re.compile(r"H(\d)/([a-z])(\d)")


Fit = namedtuple("Fit", "hole shaft play")


def tolerance(size, grade):
    """Standard tolerance of a grade: the width of the zone of one size.

    Parameters
    ----------
    size : float [m]
        Nominal size.
    grade : int [1]
        Grade 4 (fine) to 9.

    Returns
    -------
    float [m]
        Width of the tolerance zone.

    Raises
    ------
    InputError
        If the size or the grade is outside the table.

    Valid: sizes above 0 and up to 500 mm.
    Source: ISO 286-1, table of standard tolerances (from memory); tests hold it against the standard's own formula.

    Examples
    --------
    >>> show(tolerance(0.040, 7), "um")
    '25 µm'
    """
    if grade not in GRADES:
        raise InputError("grade", grade, f"not one of {', '.join(map(str, GRADES))}")
    return 1e-6 * GRADES[grade][_step(size)]


def fit(size, name):
    """Limits of a fit in the system of the basic hole.

    Parameters
    ----------
    size : float [m]
        Nominal size.
    name : str [-]
        For example ``H7/f7``: hole H with a grade, shaft letter d, e, f, g, h, n or p with a grade.

    Returns
    -------
    Fit [m]
        Lower and upper deviation of ``hole`` and ``shaft``, least and greatest ``play`` on the diameter (negative is
        interference).

    Raises
    ------
    InputError
        If the name is none of these, or the size is outside the table.

    Valid: sizes above 0 and up to 500 mm.
    Source: ISO 286-1 and 286-2 (from memory); rows T12-007, T12-013, T12-016 in tests/published/test_fits.py.

    Examples
    --------
    >>> [show(1e6 * play) for play in fit(0.040, "H7/f7").play]
    ['25', '75']
    """
    found = NAME.fullmatch(name)
    if not found or found[2] not in SHAFTS:
        raise InputError("fit", name, "not of the form H7/f7 with a shaft letter d, e, f, g, h, n or p")
    hole, width = tolerance(size, int(found[1])), tolerance(size, int(found[3]))
    near = 1e-6 * SHAFTS[found[2]][_step(size)]
    low, high = (near - width, near) if found[2] <= "h" else (near, near + width)
    return Fit((0.0, hole), (low, high), (-high, hole - low))


def play_limits(size, mean, coarsest=8, share=0.5):
    """Limits of a play whose middle is given, for a hole and a shaft of one grade: the coarsest that keeps it near.

    Parameters
    ----------
    size : float [m]
        Nominal size.
    mean : float [m]
        Middle of the play on the diameter.
    coarsest : int [1]
        Coarsest grade that may be used.
    share : float [1]
        Largest departure to either side over the mean.

    Returns
    -------
    lower : float [m]
        Least play.
    upper : float [m]
        Greatest play.
    grade : int [1]
        Grade of both parts.

    Raises
    ------
    InputError
        If even grade 4 departs further: such a play cannot be made without picking matching parts.

    Valid: as ``tolerance``; the rule for the grade is our own.
    Source: ISO 286-1; the departure of a play is half the sum of both widths.
    """
    for grade in sorted((g for g in GRADES if g <= coarsest), reverse=True):
        half = tolerance(size, grade)
        if half <= share * mean * (1.0 + 1e-9):
            return mean - half, mean + half, grade
    least = show(1e6 * tolerance(size, 4) / share)
    words = f"too small to be held at {1e3 * size:g} mm by grade 4: below {least}"
    raise InputError("play", show(1e6 * mean), words, "µm", f"{least} µm")


def _step(size):
    if not 0.0 < size <= 1e-3 * STEPS[-1] * (1.0 + 1e-9):
        raise InputError("size", f"{1e3 * size:g}", f"outside 0 to {STEPS[-1]}", "mm")
    return int(np.searchsorted(STEPS, 1e3 * size - 1e-9))
