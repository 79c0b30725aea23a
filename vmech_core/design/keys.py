"""What one key of a design file may hold: type, range, unit, meaning."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from numbers import Integral, Real

from vmech_core.design.faults import DesignError, Fault, closest

#: Unit suffixes that a key may end in, and the way the unit is written in a sentence.
SUFFIXES = {"mm": "mm", "um": "um", "deg": "deg", "rpm": "rpm", "bar": "bar", "MPa": "MPa", "GPa": "GPa", "g": "g",
            "h": "h", "C": "C", "Nm_per_rad": "N m/rad", "MJ_per_kg": "MJ/kg"}
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
    """Range and meaning of one key; made by ``number``, ``whole``, ``text``, ``choice`` and ``csv_name``.

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
    most : int [1]
        Most entries of a list; 0 for a single value.
    """

    kind: str
    meaning: str
    used: str
    low: float = 0
    high: float = 0
    words: tuple[str, ...] = ()
    most: int = 0

    def check(self, name, value):
        """Accept a value or refuse it.

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
        if not self.most:
            return self._one(name, value)
        value = value.tolist() if hasattr(value, "tolist") else value
        if not isinstance(value, (list, tuple)) or not 1 <= len(value) <= self.most:
            raise DesignError(Fault(name, value, f"not {self.expects()}", split_unit(name)[1]))
        return tuple(self._entry(name, list(value), place) for place in range(len(value)))

    def expects(self):
        """Describe what may stand here, without the unit.

        Returns
        -------
        str [-]
            For example ``a number from 5 to 500``.
        """
        if self.most:
            return f"a list of 1 to {self.most} {self.kind}s from {self.span()}"
        return {"text": f"a text of {self.span()} characters on one line",
                "file name": "the name of a .csv file beside the design file, without a folder",
                "word": f"one of {', '.join(self.words)}"}.get(
            self.kind, "".join(f'"{word}" or ' for word in self.words) + f"a {self.kind} from {self.span()}")

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

    def _one(self, name, value):
        if isinstance(value, str) and value in self.words:
            return str(value)
        if self.kind in ("number", "whole number"):
            return self._number(name, value)
        if isinstance(value, str) and self._fits(value):
            return str(value)
        raise DesignError(Fault(name, value, f"not {self.expects()}", candidate=self._nearest_text(value)))

    def _number(self, name, value):
        wanted = Integral if self.kind == "whole number" else Real
        typed = isinstance(value, wanted) and not isinstance(value, bool) and value == value
        if typed and self.low <= value <= self.high:
            return int(value) if self.kind == "whole number" else float(value)
        phrase = f"outside {self.span()}" if typed and not self.words else f"not {replace(self, most=0).expects()}"
        unit = split_unit(name)[1]
        raise DesignError(Fault(name, value, phrase, unit, self._nearest_number(value, unit)))

    def _entry(self, name, values, place):
        try:
            return self._one(name, values[place])
        except DesignError as error:
            found = error.fault.candidate
            whole = None if found is None else [*values[:place], found, *values[place + 1:]]
            raise DesignError(replace(error.fault, entry=place + 1, candidate=whole)) from None

    def _fits(self, value):
        if self.kind == "text":
            return self.low <= len(value) <= self.high and value.isprintable() and bool(value.strip())
        return self.kind == "file name" and bool(_FILE_NAME.fullmatch(value))

    def _nearest_number(self, value, unit):
        number = _as_float(value, unit)
        if number is None:
            return closest(value, self.words)
        inside = min(max(number, self.low), self.high)
        return round(inside) if self.kind == "whole number" else inside

    def _nearest_text(self, value):
        if self.kind == "word" or not isinstance(value, str):
            return closest(value, self.words)
        tries = [" ".join(value.split())[:int(self.high)]]
        if self.kind == "file name":
            last = re.split(r"[/\\:]", value)[-1]
            tries = [last, re.sub(r"[.]\w{0,4}$", "", last) + ".csv"]
        return next((text for text in tries if self._fits(text)), None)


def number(low, high, meaning, used, word=""):
    """Key that holds a number, or one word in its place.

    Parameters
    ----------
    low : float [-]
        Lowest value, in the unit that the key's name ends in.
    high : float [-]
        Highest value.
    meaning : str [-]
        What the key says about the machine.
    used : str [-]
        Notebooks that use it.
    word : str [-]
        Word that may stand in place of the number; empty if none.

    Returns
    -------
    Key [-]
        The key.
    """
    return Key("number", meaning, used, low, high, (word,) if word else ())


def whole(low, high, meaning, used):
    """Key that holds a whole number.

    Parameters
    ----------
    low : int [-]
        Lowest value.
    high : int [-]
        Highest value.
    meaning : str [-]
        What the key says about the machine.
    used : str [-]
        Notebooks that use it.

    Returns
    -------
    Key [-]
        The key.
    """
    return Key("whole number", meaning, used, low, high)


def per_cylinder(key):
    """Key that holds a list of 1 to 12 values, one for each cylinder.

    Parameters
    ----------
    key : Key [-]
        What each value must be.

    Returns
    -------
    Key [-]
        The key of the list.
    """
    return replace(key, most=12)


def text(high, meaning, used):
    """Key that holds free text on one line.

    Parameters
    ----------
    high : int [1]
        Most characters.
    meaning : str [-]
        What the key says about the machine.
    used : str [-]
        Notebooks that use it.

    Returns
    -------
    Key [-]
        The key.
    """
    return Key("text", meaning, used, 1, high)


def choice(words, meaning, used):
    """Key that holds one of a few words.

    Parameters
    ----------
    words : str [-]
        The words, separated by commas.
    meaning : str [-]
        What the key says about the machine.
    used : str [-]
        Notebooks that use it.

    Returns
    -------
    Key [-]
        The key.
    """
    return Key("word", meaning, used, words=tuple(word.strip() for word in words.split(",")))


def csv_name(meaning, used):
    """Key that holds the name of a CSV file beside the design file.

    Parameters
    ----------
    meaning : str [-]
        What the key says about the machine.
    used : str [-]
        Notebooks that use it.

    Returns
    -------
    Key [-]
        The key.
    """
    return Key("file name", meaning, used)


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
