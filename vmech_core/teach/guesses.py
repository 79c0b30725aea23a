"""A reader's guess before the answer: kept in the notebook's memory, and shown beside the result later."""

from vmech_core.base.units import show, written

#: Guesses of this session by name: value and unit.
_KEPT = {}


def guess(name, value=None, unit=""):
    """Keep a guess until its result is known.

    Parameters
    ----------
    name : str [-]
        What is guessed.
    value : float or None [-]
        The reader's number in ``unit``; None while there is none.
    unit : str [-]
        Unit of the number.

    Returns
    -------
    str [-]
        One sentence.

    Examples
    --------
    >>> guess("side load", None, "kN")
    'No guess yet for side load: write a number in kN in place of None, and run the cell again.'
    >>> guess("side load", 3, "kN")
    'Your guess is kept: side load 3 kN.'
    >>> compare("side load", 4.5, "kN")
    'side load: 4.5 kN. You guessed 3 kN, 0.67 times the result.'
    """
    if value is None:
        _KEPT.pop(name, None)
        number = f"a number in {unit}" if unit else "a number"
        return f"No guess yet for {name}: write {number} in place of None, and run the cell again."
    try:
        _KEPT[name] = float(value), unit
    except (TypeError, ValueError):
        return f"Please give one number for {name}{f', in {unit}' if unit else ''}."
    return f"Your guess is kept: {name} {written(float(value), unit)}."


def compare(name, result, unit=""):
    """Show a result, and the guess beside it if there is one.

    Parameters
    ----------
    name : str [-]
        The name that was given with the guess.
    result : float [-]
        Computed value in ``unit``.
    unit : str [-]
        Unit of the guess.

    Returns
    -------
    str [-]
        One line.
    """
    words = f"{name}: {written(float(result), unit)}."
    if name not in _KEPT:
        return words
    value, own = _KEPT[name]
    if own != unit:
        return f"{words} You guessed {written(value, own)}."
    factor = f", {show(value / result, '', 2)} times the result" if result and value else ""
    return f"{words} You guessed {written(value, unit)}{factor}."
