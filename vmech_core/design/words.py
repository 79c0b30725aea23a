"""Words for a value that its key does not take: what would be accepted, and the nearest value that works.

Loaded when something is refused, and not before.
"""

from __future__ import annotations

import re
from dataclasses import replace
from difflib import get_close_matches
from numbers import Integral, Real

from vmech_core.design.faults import DesignError, Fault


def key_refused(key, name, value, unit):
    """Word the refusal of a value by its key.

    Parameters
    ----------
    key : Key [-]
        Range and meaning of the key.
    name : str [-]
        Its name.
    value : object [-]
        What the file holds.
    unit : str [-]
        Unit that the name ends in.

    Returns
    -------
    DesignError [-]
        To be raised.
    """
    if key.listed and isinstance(value, (list, tuple)) and 1 <= len(value) <= key.most:
        place = next(place for place, item in enumerate(value) if key.kept(item, entry=True) is None)
        single = replace(key, words=(), listed="")
        near = _nearest_number(single, value[place], unit)
        whole = None if near is None else [*value[:place], near, *value[place + 1:]]
        return DesignError(Fault(name, value[place], _number_words(single, value[place]), unit, whole, place + 1))
    if key.listed == "must":
        return DesignError(Fault(name, value, f"not {expected(key)}", unit))
    if "number" in key.kind:
        return DesignError(Fault(name, value, _number_words(key, value), unit, _nearest_number(key, value, unit)))
    return DesignError(Fault(name, value, f"not {expected(key)}", candidate=_nearest_text(key, value)))


def expected(key):
    """Describe what may stand under a key, without the unit.

    Parameters
    ----------
    key : Key [-]
        The key.

    Returns
    -------
    str [-]
        For example ``a number from 5 to 500``.
    """
    if key.listed == "must":
        return f"a list of 1 to {key.most} {key.kind}s from {key.span()}"
    many = ", or a list of one for each cylinder," if key.listed else ""
    return {"text": f"a text of {key.span()} characters on one line",
            "file name": "the name of a .csv file beside the design file, without a folder",
            "word": f"one of {', '.join(key.words)}"}.get(
        key.kind, "".join(f'"{word}" or ' for word in key.words) + f"a {key.kind}{many} from {key.span()}")


def closest(wrong, names):
    """Find the name that is spelt most nearly like a wrong one.

    Parameters
    ----------
    wrong : object [-]
        What was written; anything but a text has no near name.
    names : iterable of str [-]
        The names that exist.

    Returns
    -------
    str or None [-]
        The nearest name, if any is near; capital letters do not count.

    Examples
    --------
    >>> closest("Bore_nm", ["stroke_mm", "bore_mm"])
    'bore_mm'
    """
    by_lower = {name.lower(): name for name in names}
    near = get_close_matches(wrong.lower()[:80], by_lower, 1, 0.6) if isinstance(wrong, str) else []
    return by_lower[near[0]] if near else None


def _number_words(key, value):
    kind = Integral if key.kind == "whole number" else Real
    typed = isinstance(value, kind) and not isinstance(value, bool) and value == value
    return f"outside {key.span()}" if typed and not key.words else f"not {expected(key)}"


def _nearest_number(key, value, unit):
    number = _as_float(value, unit)
    if number is None:
        return closest(value, key.words)
    inside = min(max(number, key.low), key.high)
    return round(inside) if key.kind == "whole number" else inside


def _nearest_text(key, value):
    if key.kind == "word" or not isinstance(value, str):
        return closest(value, key.words)
    tries = [" ".join(value.split())[:int(key.high)]]
    if key.kind == "file name":
        last = re.split(r"[/\\:]", value)[-1]
        tries = [last, re.sub(r"[.]\w{0,4}$", "", last) + ".csv"]
    return next((text for text in tries if key.kept(text)), None)


def _as_float(value, unit):
    if isinstance(value, bool) or not isinstance(value, (Real, str)):
        return None
    try:
        found = float(value.strip().removesuffix(unit).replace(",", ".") if isinstance(value, str) else value)
    except ValueError:
        return None
    except OverflowError:
        found = float("inf") if value > 0 else -float("inf")
    return found if found == found else None
