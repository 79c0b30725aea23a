"""Whether a gear pair can run at all: the screens of its teeth, less those that a designer may fail knowingly."""

import numpy as np

from vmech_core.gears.screens import margins

#: A stroke may differ from the one that the gear pair gives by this part of it; drawings are rounded.
STROKE_TOLERANCE = 1e-4
#: Value of a screen below which a pair cannot run at all; the others: 0. Stricter limits are shown by ``assess``.
LEAST = {"contact ratio": 1.0}
#: Screens that a designer may fail knowingly, or that matter only if the pinion is put in sideways.
ACCEPTABLE = ("pinion undercut", "trimming interference")


def keeps_stroke(design):
    """Whether the gear pair of a design gives the stroke of its cylinders.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    bool [-]
        True where it does, to the rounding of a drawing.
    """
    given = 1e3 * float(design.pair.stroke)
    return abs(design.cylinders.stroke_mm - given) <= STROKE_TOLERANCE * given


def blocking(pair):
    """Screens that keep a gear pair from running at all; many pairs at once if its fields are arrays.

    Parameters
    ----------
    pair : InternalPair [-]
        The pair or pairs.

    Returns
    -------
    dict of str to (...) array of bool [-]
        Name of each screen to True where it blocks: interference, teeth that meet a fillet or root of the other gear,
        pointed teeth, contact that is lost. A value that is not a number blocks.
    """
    with np.errstate(all="ignore"):
        return {name: ~(np.round(value, 12) >= LEAST.get(name, 0.0)) for name, value in margins(pair).items()
                if name not in ACCEPTABLE}


def runs(pair):
    """Whether nothing blocks a gear pair.

    Parameters
    ----------
    pair : InternalPair [-]
        The pair or pairs.

    Returns
    -------
    (...) array of bool [-]
        True where it can run.
    """
    return ~np.any(np.broadcast_arrays(*blocking(pair).values()), axis=0)
