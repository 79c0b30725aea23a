"""The one kind of error that bad input raises: a single sentence a reader can act on."""

from __future__ import annotations

import numpy as np


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
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        shown = repr(self.value) if isinstance(self.value, str) else str(self.value)
        if len(shown) > 60:
            shown = shown[:57] + "..."
        shown = " ".join(shown.split())
        text = f"{self.field} = {shown} is {self.allowed}" + (f" {self.unit}" if self.unit else "")
        return text + (f"; nearest value that works: {self.nearest}." if self.nearest else ".")


class Endless(InputError):
    """A march used up its effort before it settled.

    Attributes
    ----------
    steps : int [1]
        Steps that it had.
    rows : (n,) int array [-]
        Which of its cases had not settled.
    """

    def __init__(self, steps, rows):
        self.steps, self.rows = steps, rows
        super().__init__("effort", steps, f"not enough to follow case {', '.join(map(str, rows[:5]))}", "steps")


class Effort:
    """Steps that a march may take in all, so that none goes on without end.

    Attributes
    ----------
    steps : int [1]
        Most steps.
    rows : (n,) int array [-]
        Cases that are being marched, which the march keeps up to date.
    """

    def __init__(self, steps, rows=()):
        self.steps = self._left = int(steps)
        self.rows = rows

    def spend(self, steps=1):
        """Take steps.

        Parameters
        ----------
        steps : int [1]
            How many.

        Raises
        ------
        Endless
            If there are not as many left; it names the cases in ``rows``.
        """
        self._left -= steps
        if self._left < 0:
            raise Endless(self.steps, self.rows)


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
    nearest : str or None [-]
        Nearest value that works.

    Raises
    ------
    InputError
        If any is wrong.
    """
    if np.any(wrong):
        first = np.broadcast_to(value, np.shape(wrong)).ravel()[np.argmax(np.ravel(wrong))]
        raise InputError(field, first.item(), allowed, unit, nearest)
