"""The one sentence a reader gets when something is wrong with a design, and the nearest value that works.

Loaded when something is refused, and not before.
"""

import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from numbers import Integral, Real

from vmech_core.base.errors import InputError


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with a design.

    Attributes
    ----------
    key : str [-]
        Key, with its section: ``cylinders.bore_mm``.
    value : object [-]
        Value that was given.
    allowed : str [-]
        Phrase that follows "is", with the allowed range at its end.
    unit : str [-]
        Unit of the range.
    candidate : object [-]
        Value to try instead, in the type of the key; None where none is known.
    entry : int [1]
        Place in a list, counted from 1; 0 when the whole value is at fault.
    other_way : str [-]
        A second way out, in words; empty if there is none.
    structural : bool [-]
        True if the name of the key or section is wrong, so that no value helps.
    between : bool [-]
        True if two keys do not agree, each of which is in range.
    """

    key: str
    value: object
    allowed: str
    unit: str = ""
    candidate: object = None
    entry: int = 0
    other_way: str = ""
    structural: bool = False
    between: bool = False

    @property
    def nearest(self) -> str | None:
        """The value to try instead, with its unit, as it stands in the sentence."""
        ways = []
        if self.candidate is not None:
            shown = self.candidate[self.entry - 1] if self.entry else self.candidate
            ways.append(_written(shown) + (f" {self.unit}" if self.unit and not isinstance(shown, str) else ""))
        return " or ".join(ways + ([self.other_way] if self.other_way else [])) or None


class DesignError(InputError):
    """The first fault of a design, as one sentence, with the number of further faults at its end.

    Attributes
    ----------
    fault : Fault [-]
        The fault.
    more : int [1]
        How many other faults the same design has.
    """

    def __init__(self, fault: Fault, more: int = 0):
        self.fault, self.more = fault, more
        field = fault.key + (f" entry {fault.entry}" if fault.entry else "")
        super().__init__(field, _printable(fault.value), fault.allowed, fault.unit, fault.nearest)

    def __reduce__(self):
        return type(self), (self.fault, self.more)

    def _sentence(self) -> str:
        text = super()._sentence()
        return f"{text[:-1]} (and {self.more} more fault{'s' * (self.more > 1)})." if self.more else text


class Disagreement(ValueError):
    """Carries the faults between keys, each of them in range, through the model; its argument is their list."""


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


def _written(value):
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_written(item) for item in value)}]"
    return f"{value:.10g}"


def _printable(value):
    try:
        str(value)
    except (ValueError, RecursionError):
        return "a number too long to print"
    return value


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
