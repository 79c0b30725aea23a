"""Which stages an assessment has, where each picks its numbers, and what these pickers share. No physics."""

import numpy as np

from vmech_core.base import MACHINES, Quantity, rows, show

STRAIGHT, ORDINARY = MACHINES.values()
#: The two machines in keys of their own: beginning of the key, and words.
BOTH = (("", STRAIGHT), ("ordinary_", ORDINARY))
#: Stage to the file whose function of that name, with an underscore, picks its numbers; in the order of ``to_dict``.
STAGES = {row["stage"]: row["file"] for row in rows("stages")}
#: What a report of a stage rests on, by the property of the case that says it.
BASED = {row["stage"]: row["based"] for row in rows("stages") if row["based"]}


def peak(values, label, guess, unit="N"):
    """Greatest size of a load, as a result.

    Parameters
    ----------
    values : (...) array [-]
        The load, in ``unit``.
    label : str [-]
        What it is.
    guess : bool [-]
        Whether it rests on an estimate.
    unit : str [-]
        SI unit.

    Returns
    -------
    Quantity [-]
        Forces in kN at the edge.
    """
    return Quantity(float(np.abs(values).max()), unit, label, "kN" if unit == "N" else "", guess)


def rms(values, label, guess):
    """Root mean square of a force over the cycle, as a result.

    Parameters
    ----------
    values : (..., A) array [N]
        The force, both ends of the cycle included.
    label : str [-]
        What it is.
    guess : bool [-]
        Whether it rests on an estimate.

    Returns
    -------
    Quantity [-]
        In kN at the edge.
    """
    return Quantity(float(np.sqrt(np.mean(np.square(values[..., :-1])))), "N", label, "kN", guess)


def shown(quantity):
    """Write a result in its customary unit; forces below 100 N stay in newtons.

    Parameters
    ----------
    quantity : Quantity [-]
        The result.

    Returns
    -------
    str [-]
        Number and unit, four figures.
    """
    edge = quantity.edge or quantity.unit
    edge = "N" if edge == "kN" and abs(quantity.value) < 100.0 else edge
    return show(quantity.value, "" if edge == "1" else edge)
