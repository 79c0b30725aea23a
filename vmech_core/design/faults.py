"""One thing that is wrong with a design, as plain data; ``sentences`` words it."""

from dataclasses import dataclass, field


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
    line : int [1]
        Number of a line that is no TOML: ``value`` is its text, ``other_way`` what to write. 0 for all other faults.
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
    line: int = 0

    @property
    def name(self) -> str:
        """The key as it stands in the sentence, with the entry of its list."""
        return self.key + (f" entry {self.entry}" if self.entry else "")


class Disagreement(ValueError):
    """Carries the faults between keys, each of them in range, through the model; its argument is their list."""
