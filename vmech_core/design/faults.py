"""What is wrong with a design: a sentence for each fault, all of them at once, and the nearest value that works.

Loaded when something is refused, and not before.
"""

import re
from dataclasses import field, replace
from difflib import get_close_matches
from numbers import Integral, Real

from vmech_core.base import InputError, record, rows
from vmech_core.base.hints import looks_like, number_in

#: Faults that are listed; the others are counted.
MOST_LISTED = 40


@record("key value allowed", unit="", candidate=None, entry=0, other_way="", structural=False, between=False,
        meant=False, hint="", gears=field(default=(), repr=False), gears_first=True, as_lines=True, line=0)
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
    meant : bool [-]
        True if the candidate is what was given, read in another way: a name with a slip, a number with its unit.
    hint : str [-]
        What the value looks like, behind the candidate; empty if that needs no word.
    gears : tuple of dict [-]
        Gear pairs that would help, the nearest first, each a dict of keys of ``[gear_pair]``.
    gears_first : bool [-]
        True if the gears are named before the candidate.
    as_lines : bool [-]
        True to write the gears as lines of a file, False as the arguments of ``changed``.
    line : int [1]
        Number of a line that is no TOML: ``value`` is its text, ``other_way`` what to write. 0 for all other faults.
    """

    @property
    def name(self) -> str:
        """The key as it stands in the sentence, with the entry of its list."""
        return self.key + (f" entry {self.entry}" if self.entry else "")

    @property
    def nearest(self) -> str | None:
        """The values to try instead, with their unit, as they stand in the sentence."""
        ways = [self.other_way] if self.other_way else []
        if self.candidate is not None:
            shown = self.candidate[self.entry - 1] if self.entry else self.candidate
            unit = f" {self.unit}" if self.unit and not isinstance(shown, str) else ""
            ways.insert(0, _written(shown) + unit + (f" ({self.hint})" if self.hint else ""))
        if self.gears:
            ways.insert(0 if self.gears_first else len(ways), _gears_written(self.gears[0], self.as_lines))
        return " or ".join(ways).replace("\n or ", "\nor ") or None

    def sentence(self) -> str:
        """Write what is wrong.

        Returns
        -------
        str [-]
            One sentence; gears that would help stand in it on lines of their own.
        """
        if self.line:
            shown = self.value if len(self.value) <= 80 else self.value[:77] + "..."
            where = f"line {self.line}" + (f", {self.key}" if self.key else "")
            return f"{where}: `{shown}` {self.allowed}" + (f"; write: {self.other_way}." if self.other_way else ".")
        error = InputError(self.name, _printable(self.value), self.allowed, self.unit, self.nearest)
        return str(error).replace("\n.", "")


class DesignError(InputError):
    """Everything that is wrong with a design: one sentence, or a numbered line for each fault.

    Attributes
    ----------
    faults : tuple of Fault [-]
        The faults, in the order of the file.
    args : tuple of Fault [-]
        The same.
    fault : Fault [-]
        The first.
    more : int [1]
        How many others there are.
    """

    def __init__(self, *faults):
        self.faults, self.fault, self.more = faults, faults[0], len(faults) - 1
        first = self.fault
        super().__init__(first.name, _printable(first.value), first.allowed, first.unit, first.nearest)
        self.args = faults  # what a copy in another process is made of

    def __str__(self) -> str:
        if not self.more:
            return self.fault.sentence()
        lines = [f"{place}. {fault.sentence()}" for place, fault in enumerate(self.faults[:MOST_LISTED], 1)]
        left = [f"and {len(self.faults) - MOST_LISTED} more."] if len(self.faults) > MOST_LISTED else []
        return "\n".join([f"The design has {len(self.faults)} faults:", *lines, *left])


class Disagreement(ValueError):
    """Carries the faults between keys, each of them in range, through the model; its argument is their list."""


def as_pairs(given):
    """Read what ``changed`` is given without names: a key and its value, or one dict of such.

    Parameters
    ----------
    given : tuple [-]
        The arguments.

    Returns
    -------
    dict of str to object [-]
        New value by key.

    Raises
    ------
    InputError
        If it is anything else.
    """
    values = {given[0]: given[1]} if len(given) == 2 and isinstance(given[0], str) else given[0]
    if len(given) > 2 or not isinstance(values, dict) or not all(isinstance(key, str) for key in values):
        shown = given[0] if len(given) == 1 else given
        raise InputError("changed", shown, 'not a key and its new value, as in changed("cylinders.bore_mm", 70)')
    return values


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
    said = _printable(value) if isinstance(value, str) else f"{value:g}" if abs(value) < 1e6 else ""
    plain = " ".join(re.findall(r"\w+", said.lower()))
    meant = {row["word"] for row in rows("same_words") if plain in row["others"].split(", ")}
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


def _printable(value):
    try:
        str(value)
    except (ValueError, RecursionError):
        return "a number too long to print"
    return value


def _written(value):
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_written(item) for item in value)}]"
    return f"{value:.10g}"


def _gears_written(gears, as_lines):
    if as_lines:
        lines = "".join(f"    {key} = {_written(value)}\n" for key, value in gears.items())
        return f"with this stroke, in [gear_pair]\n{lines}"
    pairs = ", ".join(f'"gear_pair.{key}": {_written(value)}' for key, value in gears.items())
    return f"with this stroke {{{pairs}}}"
