"""Exercises: a stub that runs clean, a check that says right, wrong or wrong unit, and a hint."""

import math

from vmech_core.base.units import written

#: What to say when an answer is off by a telling factor: (factors, sentence).
SLIPS = (
    ((1e3, 1e-3), "The number is right, the unit is not: off by a thousand. We ask for {unit}."),
    ((180.0 / math.pi, math.pi / 180.0),
     "The number is right, the unit is not: radians and degrees. We ask for {unit}."),
    ((30.0 / math.pi, math.pi / 30.0), "The number is right, the unit is not: rad/s and rev/min. We ask for {unit}."),
    ((2.0, 0.5), "Off by a factor of two: radius for diameter, or one side for both?"),
)


def check(answer, solution, unit, hint, tolerance=0.01):
    """Compare an answer with the worked solution and say what to do next.

    Parameters
    ----------
    answer : float or None [-]
        The reader's number in ``unit``; None while it is open.
    solution : float [-]
        The worked solution, computed in the cell before, in ``unit``.
    unit : str [-]
        Unit asked for.
    hint : str [-]
        A pointer to the step that is usually missed.
    tolerance : float [1]
        Relative tolerance.

    Returns
    -------
    str [-]
        One sentence.

    Examples
    --------
    >>> check(None, 69.0, "mm", "four times the carrier radius")
    'Not yet answered. Write your number in mm.'
    >>> check(0.069, 69.0, "mm", "four times the carrier radius")
    'The number is right, the unit is not: off by a thousand. We ask for mm.'
    >>> check(69.0, 69.0, "mm", "four times the carrier radius")
    'Right: 69 mm.'
    """
    if answer is None:
        return f"Not yet answered. Write your number{f' in {unit}' if unit else ', which has no unit'}."
    try:
        answer = float(answer)
    except (TypeError, ValueError):
        return f"Please give one number{f', in {unit}' if unit else ''}."
    if _close(answer, solution, tolerance):
        return f"Right: {written(solution, unit)}."
    if solution and _close(-answer, solution, tolerance):
        return "The size is right, the sign is not. Look at the sign convention once more."
    for factors, sentence in SLIPS:
        if solution and any(_close(answer * factor, solution, tolerance) for factor in factors):
            return sentence.format(unit=unit)
    return f"Not yet. Hint: {hint}"


def _close(answer, solution, tolerance):
    return abs(answer - solution) <= max(tolerance * abs(solution), 1e-9)
