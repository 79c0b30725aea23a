"""Limits and fits of ISO 286 for the sizes of small machines, as far as this course needs them.

Sizes in m in, deviations in m out. The table is that of the standard up to 500 mm, ``data/fits.csv``.
"""

import re
from collections import namedtuple

from vmech_core.base import InputError, row, show

GRADES = range(4, 10)
#: Shaft letters: those up to h leave play.
SHAFTS = "defghnp"
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
    return 1e-6 * _entry(str(grade), size)


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
    near = 1e-6 * _entry(found[2], size)
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
    for grade in reversed([g for g in GRADES if g <= coarsest]):
        half = tolerance(size, grade)
        if half <= share * mean * (1.0 + 1e-9):
            return mean - half, mean + half, grade
    least = show(1e6 * tolerance(size, 4) / share)
    words = f"too small to be held at {1e3 * size:g} mm by grade 4: below {least}"
    raise InputError("play", show(1e6 * mean), words, "µm", f"{least} µm")


def _entry(name, size):
    """Value of a grade or a shaft letter for a size [um]."""
    _, *values = row("fits", "name", name).items()
    last = values[-1][0]
    if not 0.0 < size <= 1e-3 * int(last) * (1.0 + 1e-9):
        raise InputError("size", f"{1e3 * size:g}", f"outside 0 to {last}", "mm")
    return next(int(value) for step, value in values if 1e3 * size <= int(step) + 1e-9 * int(last))
