"""Values that are right in another unit: metres for millimetres, psi for bar, a compression ratio for a clearance.

A table and a rule: a conversion is offered where the converted value lies well inside the range of the key. Loaded when
a value is refused, and not before.
"""

import math
import re

#: Unit of a key: other unit in words, how it is written after a number, value of one of it, and of its zero, in the
#: unit of the key; a star: offered for a bare number too.
OTHER = {
    "mm": (("*metres", "m", 1e3, 0), ("*inches", "in inch inches", 25.4, 0), ("centimetres", "cm", 10, 0),
           ("micrometres", "um µm", 1e-3, 0)),
    "µm": (("millimetres", "mm", 1e3, 0), ("*metres", "m", 1e6, 0)),
    "deg": (("*radians", "rad", 180 / math.pi, 0),),
    "bar": (("*kPa", "kpa", 0.01, 0), ("*MPa", "mpa n/mm2", 10, 0), ("*psi", "psi psia", 0.0689476, 0),
            ("*Pa", "pa", 1e-5, 0), ("*mbar", "mbar hpa", 1e-3, 0)),
    "MPa": (("*Pa", "pa", 1e-6, 0), ("*psi", "psi", 6.89476e-3, 0), ("*GPa", "gpa", 1e3, 0), ("bar", "bar", 0.1, 0)),
    "GPa": (("*MPa", "mpa n/mm2", 1e-3, 0), ("*Pa", "pa", 1e-9, 0), ("*psi", "psi", 6.89476e-6, 0)),
    "°C": (("*degrees Fahrenheit", "f °f", 1 / 1.8, -160 / 9), ("*kelvins", "k", 1, -273.15)),
    "g": (("*kilograms", "kg", 1e3, 0), ("pounds", "lb lbs", 453.592, 0)),
    "rev/min": (("*turns a second", "hz 1/s", 60, 0), ("*radians a second", "rad/s", 30 / math.pi, 0)),
    "h": (("*seconds", "s", 1 / 3600, 0), ("minutes", "min", 1 / 60, 0)),
    "MJ/kg": (("*kJ/kg", "kj/kg", 1e-3, 0), ("*J/kg", "j/kg", 1e-6, 0)),
    "N m/rad": (("N mm/rad", "nmm/rad", 1e-3, 0),),
}
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
    ways = [(words[1:], value * one + zero) for words, _, one, zero in OTHER.get(unit, ()) if words[0] == "*"]
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
    for words, ways, one, zero in OTHER.get(unit, ()):
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
