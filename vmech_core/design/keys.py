"""What one key of a design file may hold: type, range, unit, meaning."""

import re
from dataclasses import dataclass
from numbers import Integral, Real
from typing import ClassVar

#: Unit suffixes that a key may end in, and the way the unit is written in a sentence.
SUFFIXES = {"mm": "mm", "um": "µm", "deg": "deg", "rpm": "rev/min", "bar": "bar", "MPa": "MPa", "GPa": "GPa", "g": "g",
            "h": "h", "C": "°C", "Nm_per_rad": "N m/rad", "MJ_per_kg": "MJ/kg"}
_SUFFIX = re.compile(f"_({'|'.join(SUFFIXES)})$")
_FILE_NAME = re.compile(r"[^\W_][\w .()+-]{0,79}\.csv")


def split_unit(name):
    """Split the name of a key into its stem and the unit that its ending names.

    Parameters
    ----------
    name : str [-]
        Key without its section.

    Returns
    -------
    tuple of str [-]
        Stem and unit; the unit is empty for a text or a pure number.

    Examples
    --------
    >>> split_unit("bore_mm"), split_unit("pinion_teeth")
    (('bore', 'mm'), ('pinion_teeth', ''))
    """
    found = _SUFFIX.search(name)
    return (name[:found.start()], SUFFIXES[found[1]]) if found else (name, "")


@dataclass(frozen=True)
class Key:
    """Range and meaning of one key: a row of ``data/design_keys.csv``.

    Attributes
    ----------
    kind : str [-]
        ``number``, ``whole number``, ``text``, ``word`` or ``file name``.
    meaning : str [-]
        What the key says about the machine.
    used : str [-]
        Notebooks that use it.
    low : float [-]
        Lowest value, in the unit that the key's name ends in; for a text the fewest characters.
    high : float [-]
        Highest value, or the most characters.
    words : tuple of str [-]
        The words that may stand here.
    listed : str [-]
        ``must`` for a list of numbers, one for each cylinder; ``may`` if such a list may stand in place of a value.
    """

    kind: str
    meaning: str
    used: str
    low: float = 0
    high: float = 0
    words: tuple[str, ...] = ()
    listed: str = ""
    most: ClassVar[int] = 12  # entries of a list

    def check(self, name, value):
        """Accept a value or refuse it; the words of a refusal are loaded when there is one.

        Parameters
        ----------
        name : str [-]
            Name of the key, for the sentence.
        value : object [-]
            What the file holds.

        Returns
        -------
        object [-]
            The value in the type of the key; a list becomes a tuple.

        Raises
        ------
        DesignError
            If the type, the range or the number of entries is wrong.
        """
        value = value.tolist() if hasattr(value, "tolist") else value
        if self.listed and isinstance(value, (list, tuple)):
            entries = tuple(self.kept(item, entry=True) for item in value)
            kept = entries if 1 <= len(entries) <= self.most and None not in entries else None
        else:
            kept = None if self.listed == "must" else self.kept(value)
        if kept is None:
            from vmech_core.design.faults import key_refused

            raise key_refused(self, name, value, split_unit(name)[1])
        return kept

    def kept(self, value, entry=False):
        """Give a single value in the type of the key.

        Parameters
        ----------
        value : object [-]
            What the file holds.
        entry : bool [-]
            True for an entry of a list, which is a number.

        Returns
        -------
        float, int, str or None [-]
            None where it may not stand.
        """
        if isinstance(value, str) and not entry:
            return str(value) if value in self.words or self._fits(value) else None
        wanted = {"number": Real, "whole number": Integral}.get(self.kind, ())
        if isinstance(value, bool) or not isinstance(value, wanted) or not self.low <= value <= self.high:
            return None
        return int(value) if self.kind == "whole number" else float(value)

    def span(self):
        """Write the range.

        Returns
        -------
        str [-]
            For example ``5 to 500``.
        """
        return f"{self.low:.10g} to {self.high:.10g}"

    def unit(self, name):
        """Write the unit for a table: that of the key's name, 1 for a pure number, - for a text.

        Parameters
        ----------
        name : str [-]
            Name of the key.

        Returns
        -------
        str [-]
            The unit.
        """
        return split_unit(name)[1] or ("1" if "number" in self.kind else "-")

    def _fits(self, text):
        if self.kind == "text":
            return self.low <= len(text) <= self.high and text.isprintable() and bool(text.strip())
        return self.kind == "file name" and bool(_FILE_NAME.fullmatch(text))
