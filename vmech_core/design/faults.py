"""What a reader gets when something is wrong with a design: a sentence for each fault, all of them at once."""

from __future__ import annotations

from dataclasses import dataclass, field

from vmech_core.base.errors import InputError, worded

#: Faults that are listed; the others are counted.
MOST_LISTED = 40


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
    meant: bool = False
    hint: str = ""
    gears: tuple = field(default=(), repr=False)
    gears_first: bool = True
    as_lines: bool = True

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
        return worded(self.name, printable(self.value), self.allowed, self.unit, self.nearest).replace("\n.", "")


class DesignError(InputError):
    """Everything that is wrong with a design: one sentence, or a numbered line for each fault.

    Attributes
    ----------
    faults : tuple of Fault [-]
        The faults, in the order of the file.
    fault : Fault [-]
        The first.
    more : int [1]
        How many others there are.
    """

    def __init__(self, *faults: Fault):
        self.faults, self.fault, self.more = faults, faults[0], len(faults) - 1
        first = self.fault
        super().__init__(first.name, printable(first.value), first.allowed, first.unit, first.nearest)
        self.args = faults

    def __str__(self) -> str:
        if not self.more:
            return self.fault.sentence()
        lines = [f"{place}. {fault.sentence()}" for place, fault in enumerate(self.faults[:MOST_LISTED], 1)]
        left = [f"and {len(self.faults) - MOST_LISTED} more."] if len(self.faults) > MOST_LISTED else []
        return "\n".join([f"The design has {len(self.faults)} faults:", *lines, *left])


class Disagreement(ValueError):
    """Carries the faults between keys, each of them in range, through the model; its argument is their list."""


def printable(value):
    """Give a value that can be written, whatever was given.

    Parameters
    ----------
    value : object [-]
        What was given.

    Returns
    -------
    object [-]
        The value itself, or words where it cannot be written.
    """
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
