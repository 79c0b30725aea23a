"""Values that are right in another unit: metres for millimetres, psi for bar, a compression ratio for a clearance.

A table and a rule: a conversion is offered where the converted value lies well inside the range of the key. Loaded when
a value is refused, and not before.
"""

import math
import re

from vmech_core.base.tables import rows

#: Ways in which the own unit of a key is written after a number, beside its name.
OWN = {"°C": "c degc", "deg": "° degrees", "rev/min": "1/min r/min rpm", "h": "hours", "N m/rad": "nm/rad",
       "µm": "um μm"}
#: Pure numbers that readers know in another form: ending of the key, words, and the way from that form.
FORMS = (("clearance_volume_ratio", "a compression ratio", lambda ratio: 1 / (ratio - 1)),
         ("rod_ratio", "crank radius over rod length", lambda ratio: 1 / ratio),
         ("fraction", "percent", lambda value: value / 100), ("efficiency", "percent", lambda value: value / 100),
         ("volume", "percent", lambda value: value / 100))
_NUMBER = re.compile(r"\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(.{0,12}?)\s*", re.ASCII)
#: Part of a range with a unit, about its middle, in which a converted value is believed.
PLAUSIBLE = 0.8


def others(unit):
    """Other units that readers write in place of that of a key, the rows of ``data/other_units.csv``.

    Parameters
    ----------
    unit : str [-]
        Unit of the key.

    Returns
    -------
    list of tuple [-]
        Words (with a star if it is offered for a bare number too), ways to write it, value of one of it and of its
        zero in the unit of the key.
    """
    return [(row["words"], row["written"], float(row["factor"]), float(row["zero"]))
            for row in rows("other_units") if row["unit"] == unit]


def looks_like(name, unit, value, low, high):
    """Find the other unit or form in which a number makes sense.

    Parameters
    ----------
    name : str [-]
        Name of the key.
    unit : str [-]
        Its unit.
    value : float [-]
        The number that was given.
    low : float [-]
        Lowest value of the key.
    high : float [-]
        Highest value.

    Returns
    -------
    tuple of float and str or None [-]
        Converted value and the words for what was given; None where nothing makes sense.

    Examples
    --------
    >>> looks_like("bore_mm", "mm", 2.5, 5, 500)
    (63.5, 'inches')
    """
    ways = [(words[1:], value * one + zero) for words, _, one, zero in others(unit) if words[0] == "*"]
    ways += [(words, way(value)) for end, words, way in FORMS if not unit and name.endswith(end) and value > high]
    ways += [(words, way(value)) for end, words, way in FORMS[1:2] if name == end and 0 < value < low]
    found = [(_off_middle(number, low, high), words, number) for words, number in ways]
    best = min((item for item in found if item[0] <= (PLAUSIBLE if unit else 1)), default=None)
    return best and (float(f"{best[2]:.{4 if float(f'{value:.4g}') == value else 6}g}"), best[1])


def number_in(text, unit):
    """Read a number with a decimal comma or with a unit behind it, as a reader may write it.

    Parameters
    ----------
    text : str [-]
        What was written.
    unit : str [-]
        Unit of the key.

    Returns
    -------
    tuple of float and str or None [-]
        The number in the unit of the key, and the words for the other unit (empty for its own); None if it is none.

    Examples
    --------
    >>> number_in("60,5 mm", "mm"), number_in("2.5 in", "mm")
    ((60.5, ''), (63.5, 'inches'))
    """
    found = _NUMBER.fullmatch(text)
    if not found:
        return None
    number, written = float(found[1].replace(",", ".")), found[2].lower()
    if not written or written in (unit.lower(), *OWN.get(unit, "").split()):
        return number, ""
    for words, ways, one, zero in others(unit):
        if written in ways.split():
            return float(f"{number * one + zero:.6g}"), words.lstrip("*")
    return None


def _off_middle(number, low, high):
    """Distance from the middle of a range over half its width: by ratios where the range is above 0; inf outside."""
    if not low <= number <= high:
        return math.inf
    if low > 0:
        number, low, high = math.log(number), math.log(low), math.log(high)
    return abs(2 * number - low - high) / (high - low)
