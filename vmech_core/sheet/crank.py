"""Numbers of both cranks: safety and its place, by several criteria; overlap, bending, slope at the meshes, seat."""

import numpy as np

from vmech_core import size
from vmech_core.base import InputError, Margin, Quantity
from vmech_core.sheet.in_time import MARCHED, time_factors
from vmech_core.sheet.stages import BOTH

#: Wanted safety against fatigue: common practice, no source.
WANTED = 1.5


def crank_margins(case):
    """Safety of the planet crank against fatigue as a screen.

    Parameters
    ----------
    case : Case [-]
        The case.

    Returns
    -------
    list of Margin [-]
        One; none for a machine that no march is stored for. A crank without webs has safety 0.

    Valid: as ``size.safeties``; quasi-static loads times what the march adds to the carriers. With the loads of a
        march itself, two ends and films, the demo has a little more at likely damping and 4 % less at low damping.
    Source: ``size.safeties``; beside the march in tests/size/test_crank.py.
    """
    if case.design.design.machine not in MARCHED:
        return []
    try:
        worst = min(size.safeties(case.design, _straight(case)), key=lambda one: one.criteria.goodman)
        value, note = worst.criteria.goodman, worst.name
    except InputError as error:
        value, note = 0.0, str(error)
    return [Margin("crank against fatigue (Goodman)", value, WANTED, "", ">=", "common practice, no source", note)]


def _straight(a):
    return size.straight_crank(a, factor=time_factors(a.design.design.machine)["carrier"].likely)


def _crank(a):
    """Peaks in time in the planet crank; the ordinary one, which no march is stored for, as it is."""
    result, marched = {}, a.design.design.machine in MARCHED
    for (key, words), chain in zip(BOTH, (_straight(a), size.ordinary_crank(a)) if marched else (), strict=False):
        found, moved = size.safeties(a.design, chain), chain.bent()[0][:, :2]
        worst, webs = min(found, key=lambda one: one.criteria.goodman), [one for one in found if one.model == "web"]
        rule = min(webs, key=lambda one: one.rule)
        overlap = min(one.overlap for one in webs if "journal" in one.name or "pinion" in one.name)
        result |= {f"{key}{name}": Quantity(float(value), unit, f"{words}: {label}", edge, True)
                   for name, value, unit, label, edge in (
            ("fatigue_goodman", worst.criteria.goodman, "1", f"least fatigue safety, Goodman: {worst.name}", ""),
            ("fatigue_gerber", min(one.criteria.gerber for one in found), "1", "the same, Gerber", ""),
            ("fatigue_rule", rule.rule, "1", f"the same, marine rule (wants 1.15): {rule.name}", ""),
            ("overlap", overlap, "m", "overlap of pin and journal (negative: gap)", "mm"),
            ("crank_bends", np.hypot(moved[:, 0], moved[:, 1]).max(), "m", "greatest deflection of the crank", "um"))}
    for k, slope in enumerate(np.abs(size.mesh_slopes(a)).max(axis=-1) if marched else (), 1):
        result[f"mesh_slope_{k}"] = Quantity(float(slope), "rad", f"slope of the crank at mesh {k}", "mrad", True)
    return result
