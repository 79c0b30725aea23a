"""From a design to its numbers: named stages, each computed when first asked for, each able to fail alone.

No physics stands here. A stage calls the packages that know it and picks the numbers a reader wants to see.
"""

from functools import cached_property
from importlib import import_module
from os import PathLike

import numpy as np

from vmech_core.base import InputError, Quantity
from vmech_core.case import Case
from vmech_core.sheet.doubts import warn
from vmech_core.sheet.stages import BASED, STAGES, shown


class Assessment(Case):
    """A case with its numbers in stages, for a reader: as text, or as plain data."""

    @cached_property
    def _stages(self) -> dict:
        return {}

    def stage(self, name: str) -> dict[str, Quantity]:
        """Numbers of one stage.

        Parameters
        ----------
        name : str [-]
            One of ``STAGES``.

        Returns
        -------
        dict of str to Quantity [-]
            Results by key.

        Raises
        ------
        InputError
            If there is no such stage, or if its input cannot be used; other stages still work.
        """
        if not isinstance(name, str) or name not in STAGES:
            from vmech_core.design.faults import closest

            raise InputError("stage", name, f"not one of {', '.join(STAGES)}", nearest=closest(name, STAGES))
        if name not in self._stages:
            picked = import_module(f"vmech_core.sheet.{STAGES[name]}")  # only the file of that stage is loaded
            self._stages[name] = getattr(picked, f"_{name}")(self)
        return self._stages[name]

    def to_dict(self) -> dict:
        """Every stage as plain data: value, SI unit, label and whether it rests on an estimate.

        Returns
        -------
        dict [-]
            Stage name to results; a stage that failed holds one sentence under the key ``error``,
            and a value without bound is None.
        """
        return {name: self._plain(name) for name in STAGES}

    def report(self, name: str = "") -> str:
        """One stage as aligned text for a notebook, or the whole sheet.

        Parameters
        ----------
        name : str [-]
            One of ``STAGES``; empty for all of them, behind the screens with what would mend those that fail.

        Returns
        -------
        str [-]
            A line per result, in customary units, four figures; estimated ones are marked. Where loads or plays count,
            a last line says which load case and state.

        Raises
        ------
        InputError
            If there is no such stage, or if its input cannot be used; the whole sheet has that sentence in its place.
        """
        if not name:
            from vmech_core.sheet.whole import whole  # loads what a single stage does without

            return whole(self)
        rows = [(q.label, shown(q), "  estimated" if q.estimated else "") for q in self.stage(name).values()]
        if not rows:
            return f"{name}: nothing for this machine"
        wide, right = max(len(r[0]) for r in rows), max(len(r[1]) for r in rows)
        lines = [f"{label:<{wide}}  {number:>{right}}{mark}" for label, number, mark in rows]
        return "\n".join(lines + ([f"({getattr(self, BASED[name])})"] if name in BASED else []))

    def _plain(self, name):
        try:
            return {key: _plain_quantity(q) for key, q in self.stage(name).items()}
        except InputError as error:
            return {"error": str(error)}


def _plain_quantity(quantity):
    """A result as plain data; a value without bound is None, and its label says so."""
    bounded = bool(np.isfinite(quantity.value))
    return {"value": quantity.value if bounded else None, "unit": quantity.unit,
            "label": quantity.label + ("" if bounded else " (unbounded)"), "estimated": quantity.estimated}


def assess(design, samples=1441):
    """Assess a design; nothing is computed until a stage is asked for.

    Parameters
    ----------
    design : Design, str or Path [-]
        The design, from ``load_design``, or the name of its file.
    samples : int [1]
        Angles per cycle, both ends included; 13 to 100,001.

    Returns
    -------
    Assessment [-]
        Its stages, results and ``to_dict()``. What is doubtful about the design is told once, by a warning.

    Raises
    ------
    InputError
        If the samples are no whole number, too few or too many; if the file is refused, or if it is no design.
    """
    from vmech_core.design import Design, load_design

    if isinstance(design, (str, PathLike)):
        design = load_design(design)
    if not isinstance(design, Design):
        words = "not a design: give what load_design returns, or the name of a design file"
        raise InputError("design", design, words)
    made = Assessment(design, samples)
    warn(made.design)
    return made
