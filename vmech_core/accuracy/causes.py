"""Which play counts when a machine warms up: each moved alone from as made to as it runs, then all together."""

import numpy as np

from vmech_core.case import Case
from vmech_core.plays import as_made, as_running

#: What is moved alone, in words: keys of the design file.
CAUSES = {"piston play": ("guide.piston_clearance_um",),
          "bearing play": ("bearings.carrier_clearance_um", "bearings.crank_clearance_um"),
          "guide play": ("guide.clearance_um",), "crankpin play": ("bearings.crankpin_clearance_um",),
          "backlash": ("gear_pair.backlash_um",)}


def one_at_a_time(design, samples=361):
    """Peaks of the perfect machine with plays as made, with each play alone as it runs, with all, and a block of iron.

    The oil is that of the running machine in all of them, so that nothing but plays differs; films are found anew.

    Parameters
    ----------
    design : Design [-]
        The design, with a running state.
    samples : int [1]
        Angles over a cycle, both ends included.

    Returns
    -------
    dict of str to dict of str to float [N]
        Words to peaks of ``mesh``, ``guide`` and ``bore``: ``as made``, each of ``CAUSES`` alone, ``all``, and
        ``all, block of iron``.

    Raises
    ------
    InputError
        If a play is used up.

    Source: ``plays``, ``sharing``.
    """
    warm, made = as_running(design), as_made(design)
    plays = {key: (_value(made, key), _value(warm, key)) for keys in CAUSES.values() for key in keys}
    cases = {words: warm.changed(**{key: pair[key in keys] for key, pair in plays.items()})
             for words, keys in {"as made": (), **CAUSES, "all": tuple(plays)}.items()}
    cases["all, block of iron"] = made.changed(**{"running_state.block_material": "grey iron"})
    return {words: _peaks(Case(one, samples).shared) for words, one in cases.items()}


def _value(design, key):
    section, name = key.split(".")
    return getattr(getattr(design, section), name)


def _peaks(shared):
    return {name: float(np.abs(shared[name]).max()) for name in ("mesh", "guide", "bore")}
