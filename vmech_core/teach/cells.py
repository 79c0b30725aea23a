"""Exercises: a stub that runs clean, a check that says right, wrong or wrong unit, and a hint."""

import math

from vmech_core.base.units import sign, written

#: What an answer that is off by a telling factor may mean: (factors, words).
SLIPS = (((1e3, 1e-3), "a thousand, as between units with and without kilo or milli"),
         ((1e2, 1e-2), "a hundred, as between a share and per cent"),
         ((180.0 / math.pi, math.pi / 180.0), "180 / pi, as between radians and degrees"),
         ((30.0 / math.pi, math.pi / 30.0), "30 / pi, as between rad/s and rev/min"),
         ((2.0, 0.5), "two: radius for diameter, or one side for both?"))


def check(answer, solution, unit, hint, tolerance=0.01):
    """Compare an answer with the worked solution and say what to do next.

    Parameters
    ----------
    answer : float or None [-]
        The reader's number in ``unit``; None while it is open.
    solution : callable [-]
        Gives the worked solution in ``unit``, as ``lambda: solution_1``, so that it is asked for only when there is
        an answer: the folded cell that computes it may not have been run.
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

    Notes
    -----
    An answer within ``tolerance`` is right. So is the solution rounded to two figures, unless it is a whole number,
    which is counted and not rounded.

    Examples
    --------
    >>> check(None, lambda: 69.0, "mm", "four times the carrier radius")
    'Not yet answered. Write your number in mm.'
    >>> check(0.069, lambda: 69.0, "mm", "four times the carrier radius")
    'Off by a factor of a thousand, as between units with and without kilo or milli. We ask for mm. \
Hint: four times the carrier radius'
    >>> check(69.0, lambda: 69.0, "mm", "four times the carrier radius")
    'Right: 69 mm.'
    """
    unit = sign(unit)
    asked = f"in {unit}" if unit else "which has no unit"
    if answer is None:
        return f"Not yet answered. Write your number{' ' if unit else ', '}{asked}."
    try:
        answer = float(answer)
    except (TypeError, ValueError):
        return f"Please give one number, {asked}."
    try:
        solution = float(solution())
    except NameError:
        return "Run the solution cell above first; it may stay folded. Then run this check again."
    return _said(answer, solution, unit, hint, tolerance)


def _said(answer, solution, unit, hint, tolerance):
    right = written(solution, unit)
    if _close(answer, solution, tolerance):
        return f"Right: {right}."
    if not _close(solution, round(solution), 1e-9) and _close(answer, float(f"{solution:.1e}"), 1e-9):
        return f"Right to two figures; more exactly {right}."
    if solution and _close(-answer, solution, tolerance):
        return f"The size is right, the sign is not. Look at the sign convention once more. Hint: {hint}"
    for factors, words in SLIPS:
        if solution and any(_close(answer * factor, solution, tolerance) for factor in factors):
            end, ask = "" if words.endswith("?") else ".", unit or "a number without a unit"
            return f"Off by a factor of {words}{end} We ask for {ask}. Hint: {hint}"
    return f"Not yet. Hint: {hint}"


def _close(answer, solution, tolerance):
    return abs(answer - solution) <= max(tolerance * abs(solution), 1e-9)
