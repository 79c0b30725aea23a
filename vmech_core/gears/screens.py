"""Screens of an internal gear pair as signed margins: interference, undercut, tips, clearance, contact ratio."""

import numpy as np

from vmech_core.base.tables import rows
from vmech_core.gears.geometry import contact_ratio
from vmech_core.gears.involute import involute


def longest_ring_addendum(pair):
    """Longest ring tooth whose tip still meets the involute of the pinion that the rack tool leaves.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair; its own ring addendum plays no part.

    Returns
    -------
    float or (...) array [1]
        Ring addendum in modules; the involute and the pinion-fillet screens hold up to this value.

    Valid: pinion cut by a rack or hob; a pinion-type cutter leaves more involute and allows a longer ring tooth.
    Source: derived here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{longest_ring_addendum(InternalPair(0.0015, 23, 46)):.2f}")
    0.83
    """
    tip = np.hypot(pair.ring_base_radius, pair.base_gap + np.maximum(pair.pinion_form, 0))
    return (pair.ring_radius - tip) / pair.module + pair.ring_shift - 1e-9


def margins(pair):
    """Value of every screen of an internal pair.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair; its fields may be arrays.

    Returns
    -------
    dict [-]
        Name of the screen to its value, (...) array [1]: lengths in modules, positive means free; limits, sources and
        meanings stand in ``data/gear_screens.csv``.

    Valid: rigid true involutes without tip relief or deviations.
    Source: beside each row of that table.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{margins(InternalPair(0.002, 20, 40))['involute interference']:.2f}")
    -0.63
    """
    module, distance = pair.module, pair.centre_distance
    tips = (np.arccos(np.minimum(pair.pinion_base_radius / pair.pinion_tip_radius, 1)),  # 0 inside the base circle
            np.arccos(np.minimum(pair.ring_base_radius / pair.ring_tip_radius, 1)))
    pinion_tip = pair.pinion_half_angle - involute(tips[0])
    ring_tip = np.pi / pair.ring_teeth - pair.ring_half_angle + involute(tips[1])
    return {"ring tip outside base circle": (pair.ring_tip_radius - pair.ring_base_radius) / module,
            "involute interference": pair.contact_start / module,
            "trochoid interference": _trochoid(pair, tips),
            "trimming interference": _trimming(pair, tips),
            "pinion undercut": pair.pinion_form / module,
            "pinion fillet clear of ring tip": (pair.contact_start - np.maximum(pair.pinion_form, 0)) / module,
            "ring fillet clear of pinion tip": (pair.ring_form - pair.contact_end) / module,
            "pinion tip thickness": 2 * pinion_tip * pair.pinion_tip_radius / module,
            "ring tip thickness": 2 * ring_tip * pair.ring_tip_radius / module,
            "pinion root clearance": (pair.ring_tip_radius - distance - pair.pinion_root_radius) / module,
            "ring root clearance": (pair.ring_root_radius - distance - pair.pinion_tip_radius) / module,
            "contact ratio": contact_ratio(pair)}


def check_pair(pair, tip_thickness=0.2, radial_assembly=False):
    """Screen an internal pair for interference, undercut, pointed teeth, clearance and contact ratio.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    tip_thickness : float [1]
        Least tooth thickness at the tip circle in modules: 0.2, or 0.4 for case-hardened teeth.
    radial_assembly : bool [-]
        True if the pinion is put into the ring sideways; only then is trimming screened.

    Returns
    -------
    tuple of Margin [-]
        One entry per screen; a positive value of an interference screen means free.

    Valid: rigid true involutes without tip relief or deviations; pairs that pass overlap nowhere by more than
    0.0005 module when their outlines are rolled (tests/test_gear_outline_overlap.py).
    Source: beside each row of that table.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> [m.name for m in check_pair(InternalPair(0.0015, 23, 46)) if not m.ok]
    ['pinion fillet clear of ring tip']
    """
    from vmech_core.base.results import Margin  # here, so that a design loads without it

    found, values = [], margins(pair)
    for name, limit, source, note in map(dict.values, rows("gear_screens")):
        if radial_assembly or name != "trimming interference":
            limit = tip_thickness if name.endswith("tip thickness") else float(limit)
            value = float(np.round(values[name], 12))  # without rounding noise
            found.append(Margin(name, value, limit, "" if name == "contact ratio" else "modules", ">=", source, note))
    return tuple(found)


def _corner_angles(pair, tips):
    """Angle from the pitch point of a flank to its tip corner, about the own axis: pinion (back), ring (forward)."""
    return involute(tips[0]) - involute(pair.working_angle), involute(pair.working_angle) - involute(tips[1])


def _trochoid(pair, tips):
    """Gap between the pinion's tip corner and the ring's where the tip circles cross, along the ring's tip circle."""
    a, tip1, tip2 = pair.centre_distance, pair.pinion_tip_radius, pair.ring_tip_radius
    at_pinion = np.arccos(np.clip((tip2**2 - a**2 - tip1**2) / (2 * a * tip1), -1, 1))
    at_ring = np.arccos(np.clip((a**2 + tip2**2 - tip1**2) / (2 * a * tip2), -1, 1))
    back, forward = _corner_angles(pair, tips)
    turned = np.divide(pair.pinion_teeth, pair.ring_teeth) * (at_pinion + back)
    return (turned + forward - at_ring) * tip2 / pair.module


def _trimming(pair, tips):
    """Room for the pinion on its way in along the line of centres, at the tooth that comes closest."""
    square = np.square(np.cos(tips[0]) / np.cos(tips[1]))
    ratio = np.divide(pair.ring_teeth, pair.pinion_teeth)
    at_pinion = np.arcsin(np.sqrt(np.clip((1 - square) / (1 - ratio**-2.0), 0, 1)))
    at_ring = np.arcsin(np.sqrt(np.clip((1 / square - 1) / (ratio**2.0 - 1), 0, 1)))
    back, forward = _corner_angles(pair, tips)
    return (at_pinion + back - ratio * (at_ring - forward)) * pair.pinion_tip_radius / pair.module
