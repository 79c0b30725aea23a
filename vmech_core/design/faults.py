"""The one sentence a reader gets when something is wrong with a design."""

from __future__ import annotations

from dataclasses import dataclass

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
