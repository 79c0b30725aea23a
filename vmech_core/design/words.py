"""Words for a value that its key does not take: what would be accepted, and the nearest value that works.

Loaded when something is refused, and not before.
"""

import re
from dataclasses import replace
from difflib import get_close_matches
from numbers import Integral, Real

from vmech_core.base.hints import looks_like, number_in
from vmech_core.design.faults import Fault
from vmech_core.design.sentences import DesignError, printable

#: Word of a design file to other words for the same thing.
ALIKE = {
    "engine": "motor, ice, combustion engine, generator, petrol engine, gas engine",
    "pump": "hydraulic pump, water pump, hydraulic", "compressor": "air compressor, air pump",
    "hand_model": "hand model, desk model, model, toy", "rolling": "roller, ball, needle, rollers, balls, needles",
    "journal": "plain, bush, bushing, sleeve, slide, sliding, plain bearing", "dry": "none, no, unlubricated, no oil",
    "both": "2, two, twin", "one": "1, single", "common": "shared, same, 1, single",
    "estimate": "auto, guess, estimated, unknown, default", "best": "auto, optimum, optimal, estimate",
    "enclosing": "around, ring, eccentric", "stub_shaft": "stub, shaft, overhung", "trace": "file, csv, measured",
    "cycle": "computed, model, simulated", "SAE 30": "oil, engine oil", "none": "no, off, 0, adiabatic",
    "big_end": "crankpin, below", "above_crank": "above, block",
}


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
        return DesignError(*_entries_refused(replace(key, words=(), listed=""), name, value, unit))
    if key.listed == "must":
        return DesignError(Fault(name, value, f"not {expected(key)}", unit))
    if "number" in key.kind:
        near, meant, hint = _nearest_number(key, name, value, unit)
        return DesignError(Fault(name, value, _number_words(key, value), unit, near, meant=meant, hint=hint))
    return DesignError(Fault(name, value, f"not {expected(key)}", candidate=_nearest_text(key, value)))


def _entries_refused(key, name, value, unit):
    """One fault for each entry of a list that is wrong, all with the same list to try instead."""
    bad = [place for place, item in enumerate(value) if key.kept(item, entry=True) is None]
    near = {place: _nearest_number(key, name, value[place], unit) for place in bad}
    whole = [near[place][0] if place in near else item for place, item in enumerate(value)]
    whole = None if None in whole else whole
    for place in bad:
        yield Fault(name, value[place], _number_words(key, value[place]), unit, whole, place + 1,
                    meant=all(meant for _, meant, _ in near.values()), hint=near[place][2])


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


def _nearest_number(key, name, value, unit):
    """A number that the key takes; whether it is the one that was meant; and what the value looks like."""
    number, other = _as_float(value, unit)
    if number is None:
        return _nearest_word(key.words, value), False, ""
    whole = key.kind == "whole number"
    if not other and not whole and not key.low <= number <= key.high and (found := looks_like(
            name, unit, number, key.low, key.high)):
        number, other = found
    inside = min(max(number, key.low), key.high)
    meant = inside == number and (bool(other) or isinstance(value, str) or whole and number.is_integer())
    hint = f"{value:.10g} looks like {other}" if other and meant and not isinstance(value, str) else ""
    return round(inside) if whole else inside, meant, hint


def _nearest_text(key, value):
    if key.kind == "word" or not isinstance(value, str):
        return _nearest_word(key.words, value)
    tries = [" ".join(value.split())[:int(key.high)]]
    if key.kind == "file name":
        last = re.split(r"[/\\:]", value)[-1]
        tries = [last, re.sub(r"[.]\w{0,4}$", "", last) + ".csv"]
    return next((text for text in tries if key.kept(text)), None)


def _nearest_word(words, value):
    """The word that is spelt most nearly alike, means the same, or has the nearest number in it."""
    if isinstance(value, bool) or not isinstance(value, (str, Real)) or not words:
        return None
    said = printable(value) if isinstance(value, str) else f"{value:g}" if abs(value) < 1e6 else ""
    meant = {alike for alike, ways in ALIKE.items() if " ".join(re.findall(r"\w+", said.lower())) in ways.split(", ")}
    return next((word for word in words if word in meant), None) or _same_grade(words, said) or closest(said, words)


def _same_grade(words, said):
    """Viscosity grade of the same series with the nearest number; of a multigrade oil, the number when hot counts."""
    number = re.search(r"(\d{1,4})\D*$", said, re.ASCII)
    series = "ISO" if re.search("iso|vg", said.lower()) else "SAE"
    grades = [word for word in words if word.startswith(series)]
    if not number or not grades:
        return None
    return min(grades, key=lambda word: abs(int(word.split()[-1]) - int(number[1])))


def _as_float(value, unit):
    """A value as a number in the unit of its key, and the unit that it was given in if that is another; or None."""
    if isinstance(value, bool) or not isinstance(value, (Real, str)):
        return None, ""
    if isinstance(value, str):
        return number_in(value, unit) or (None, "")
    try:
        found = float(value)
    except OverflowError:
        found = float("inf") if value > 0 else -float("inf")
    return (found if found == found else None), ""
