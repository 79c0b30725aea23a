"""The one kind of error that bad input raises: a sentence a reader can act on, shown without a traceback of ours.

A notebook, a terminal and a script print the sentence alone. ``full_traceback()``, or the environment variable
``VMECH_TRACEBACK``, brings the whole traceback back for those who look for a fault in the program.
"""

import os
import sys

import numpy as np

from vmech_core.base.signs import sign

_SHOWN = {"full": bool(os.environ.get("VMECH_TRACEBACK"))}


class InputError(ValueError):
    """A value given by the reader cannot be used.

    Attributes
    ----------
    field : str [-]
        Name of the key or argument, for example ``cylinders.bore_mm``.
    value : object [-]
        The value that was given.
    allowed : str [-]
        What would be accepted, as a phrase that follows the value: ``outside 5 to 500``, ``not one of ...``.
    unit : str [-]
        Unit of the value and of the range; empty for a pure number or a text.
    nearest : str or None [-]
        The nearest value that works, with its unit, where one is known.
    """

    def __init__(self, field: str, value, allowed: str, unit: str = "", nearest: str | None = None):
        self.field, self.value, self.allowed, self.unit, self.nearest = field, value, allowed, unit, nearest
        super().__init__(field, value, allowed, unit, nearest)

    def __str__(self) -> str:
        return worded(self.field, self.value, self.allowed, self.unit, self.nearest)

    @property
    def _render_traceback_(self):
        """Asked for by notebooks, which draw their own traceback where an error does not have this."""
        if _SHOWN["full"]:
            raise AttributeError("the full traceback is asked for")
        return str(self).splitlines


def worded(field, value, allowed, unit="", nearest=None):
    """Write the sentence of a refusal.

    Parameters
    ----------
    field : str [-]
        As in ``InputError``.
    value : object [-]
        As in ``InputError``.
    allowed : str [-]
        As in ``InputError``.
    unit : str [-]
        As in ``InputError``.
    nearest : str or None [-]
        As in ``InputError``.

    Returns
    -------
    str [-]
        The sentence.
    """
    shown = repr(value) if isinstance(value, str) else str(value)
    shown = " ".join((shown[:57] + "..." if len(shown) > 60 else shown).split())
    text = f"{field} = {shown} is {allowed}" + (f" {sign(unit)}" if unit else "")
    return text + (f"; nearest value that works: {nearest}." if nearest else ".")


def full_traceback(wanted=True):
    """Choose whether a refused input shows its whole traceback.

    Parameters
    ----------
    wanted : bool [-]
        True for the traceback, False for the sentence alone.
    """
    _SHOWN["full"] = bool(wanted)


class Endless(InputError):
    """A march used up its effort before it settled.

    Parameters
    ----------
    steps : int [1]
        Steps that it was given.
    rows : sequence of int [-]
        As below.

    Attributes
    ----------
    rows : (n,) int array [-]
        Which of its cases had not settled.
    """

    def __init__(self, steps, rows):
        self.rows = rows
        super().__init__("effort", steps, f"not enough to follow case {', '.join(map(str, rows[:5]))}", "steps")


class Effort:
    """Steps that a march may take in all, so that none goes on without end.

    Parameters
    ----------
    steps : int [1]
        Most steps.

    Attributes
    ----------
    rows : sequence of int [-]
        Cases that the march has not settled yet, kept by it.
    """

    def __init__(self, steps):
        self._steps = self._left = int(steps)
        self.rows = ()

    def spend(self, steps=1):
        """Take steps.

        Parameters
        ----------
        steps : int [1]
            How many.

        Raises
        ------
        Endless
            If there are not as many left; it names the cases in ``rows``, which the march keeps.
        """
        self._left -= steps
        if self._left < 0:
            raise Endless(self._steps, self.rows)


def refuse(wrong, field, value, allowed, unit="", nearest=None):
    """Refuse the first of a batch of values that cannot be.

    Parameters
    ----------
    wrong : (...) bool array [-]
        True where a value cannot be.
    field : str [-]
        Name of the argument.
    value : float or (...) array [-]
        The values, in ``unit``.
    allowed : str [-]
        As in ``InputError``.
    unit : str [-]
        Unit of the values.
    nearest : str, float, (...) array or None [-]
        Nearest value that works, the same for all or one for each.

    Raises
    ------
    InputError
        If any is wrong.
    """
    if np.any(wrong):
        place = np.argmax(np.ravel(wrong))
        first, near = (np.broadcast_to(v, np.shape(wrong)).ravel()[place] for v in (value, nearest))
        raise InputError(field, first.item(), allowed, unit, f"{near:g}" if isinstance(near, np.number) else near)


def _at_the_end_of_a_script(kind, error, trace):
    """Print an error that nobody caught: ours as its sentence, any other as ever."""
    if isinstance(error, InputError) and not _SHOWN["full"]:
        print(error, file=sys.stderr)
    else:
        sys.__excepthook__(kind, error, trace)


if sys.excepthook is sys.__excepthook__:  # whoever has put a hook of their own there keeps it
    sys.excepthook = _at_the_end_of_a_script
