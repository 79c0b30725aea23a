"""What must agree between the keys of a design: list lengths, teeth, stroke, gear geometry, room for the parts."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.design.faults import Fault
from vmech_core.gears.involute import shift_difference
from vmech_core.gears.screens import margins

#: A stroke may differ from the one that the gear pair gives by this part of it; drawings are rounded.
STROKE_TOLERANCE = 1e-4
#: Value of a screen below which a pair cannot run at all; the others: 0. Stricter limits are shown by ``assess``.
LEAST = {"contact ratio": 1.0}
#: Screens that a designer may fail knowingly, or that matter only if the pinion is put in sideways.
ACCEPTABLE = ("pinion undercut", "trimming interference")
#: Tooth height that is named when a screen fails; the others: the ring's addendum.
HEIGHT = {"ring fillet clear of pinion tip": "pinion_addendum", "pinion tip thickness": "pinion_addendum",
          "ring root clearance": "pinion_addendum"}


def cross_faults(design):
    """List everything that does not agree in a design whose single keys are all in range.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    list of Fault [-]
        Empty if the design holds together.
    """
    lengths = list(_lengths(design))
    lists = [] if lengths else [*_firing(design), *_overlaps(design), *_mesh_span(design)]
    return [*lengths, *_gears(design), *lists, *_room(design), *_ordinary(design)]


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


def _lengths(d):
    n = d.n_cylinders
    spread = _spread(n, d.crank.pin_length_mm)
    for key, value, low, high, unit, fill in (
            ("cylinders.axial_position_mm", d.cylinders.axial_position_mm, -2000, 2000, "mm", spread),
            ("duty.firing_turn", d.duty.firing_turn, 0, d.duty.cycle_turns - 1, "turns", [0] * n)):
        if len(value) != n:
            words = f"not a list of {n}, one for each entry of cylinders.bank_angle_deg, each from {low} to {high}"
            yield Fault(key, list(value), words, unit, fill)


def _firing(d):
    turns, most = d.duty.firing_turn, d.duty.cycle_turns - 1
    late = [place for place, turn in enumerate(turns, 1) if turn > most]
    if late:
        yield Fault("duty.firing_turn", turns[late[0] - 1], f"not below duty.cycle_turns: outside 0 to {most}", "turns",
                    [min(turn, most) for turn in turns], late[0])


def _overlaps(d):
    banks, places = d.cylinders.bank_angle_deg, d.cylinders.axial_position_mm
    for i, j in combinations(range(d.n_cylinders), 2):
        turn = abs(banks[i] - banks[j]) % 360.0
        same_line, same_side = min(turn % 180.0, -turn % 180.0) < 0.01, min(turn, 360.0 - turn) < 0.01
        least = d.cylinders.bore_mm if same_side else 0.0 if same_line else d.crank.pin_length_mm
        if abs(places[i] - places[j]) < least - 1e-9:
            words = (f"too close together in entries {i + 1} and {j + 1}, whose {'bores' if same_side else 'crankpins'}"
                     f" would overlap: they must be apart by at least {least:g}")
            yield Fault("cylinders.axial_position_mm", list(places), words, "mm",
                        _spread(d.n_cylinders, max(least, d.crank.pin_length_mm)))
            return


def _mesh_span(d):
    reach = max(abs(place) for place in d.cylinders.axial_position_mm) + 0.5 * d.crank.pin_length_mm
    yield from _too_small("crank.mesh_span_mm", d.crank.mesh_span_mm, 2.0 * reach + d.gear_pair.face_width_mm,
                          "for the crankpins between the meshes")


def _room(d):
    stroke = d.cylinders.stroke_mm
    guide = d.guide.length_mm if d.guide.place == "above_crank" else 0.0
    if d.carrier.support == "enclosing":
        yield from _too_small("carrier.bearing_diameter_mm", d.carrier.bearing_diameter_mm,
                              0.5 * stroke + d.crank.journal_diameter_mm, "to enclose the offset journal of the crank")
    below = stroke + 0.5 * d.crank.pin_diameter_mm + guide
    yield from _too_small("guide.rod_length_mm", d.guide.rod_length_mm, below + d.guide.piston_length_mm,
                          "to keep the piston clear of the crank" + (" and the guide" if guide else ""))


def _ordinary(d):
    own, stroke = d.ordinary_crank, d.cylinders.stroke_mm
    if d.n_cylinders == 1 and own.crankpin_layout != "common":
        yield Fault("ordinary_crank.crankpin_layout", own.crankpin_layout,
                    "not possible with one cylinder, for which only common is", candidate="common")
    most = np.floor(1e3 * stroke * (own.rod_ratio**2 - 1.0) / (4.0 * own.rod_ratio)) / 1e3
    if abs(own.wrist_pin_offset_mm) > most:
        words = f"too far for the rod to pass over the dead centres: outside {-most:g} to {most:g}"
        yield Fault("ordinary_crank.wrist_pin_offset_mm", own.wrist_pin_offset_mm, words, "mm",
                    float(np.copysign(most, own.wrist_pin_offset_mm)))


def _gears(d):
    own = d.gear_pair
    if own.ring_teeth != 2 * own.pinion_teeth:
        yield _tooth_ratio(d)
        return
    try:
        pair = d.pair
    except InputError:
        words = (f"so far below gear_pair.pinion_shift that the base circles would overlap: it must be above "
                 f"{own.pinion_shift + _least_shift(own):.4f}")
        yield Fault("gear_pair.ring_shift", own.ring_shift, words, "modules")
        return
    yield from _stroke(d, pair)
    failed = [name for name, blocks in blocking(pair).items() if blocks]
    if failed:
        yield _interference(d, pair, failed[0])


def _tooth_ratio(d):
    """Which of the two tooth numbers is wrong, judged by the stroke; the ring's if that does not decide."""
    own, pinion, ring = d.gear_pair, d.gear_pair.pinion_teeth, d.gear_pair.ring_teeth
    miss, miss_if_half = (abs(2.0 * own.module_mm * teeth - d.cylinders.stroke_mm) for teeth in (pinion, ring // 2))
    if ring % 2 == 0 and miss_if_half < miss:
        words = f"not half of gear_pair.ring_teeth = {ring}: it must be {ring // 2}"
        return Fault("gear_pair.pinion_teeth", pinion, words, "teeth", ring // 2)
    words = f"not twice gear_pair.pinion_teeth = {pinion}: it must be {2 * pinion}"
    return Fault("gear_pair.ring_teeth", ring, words, "teeth", 2 * pinion)


def _least_shift(own):
    angle = np.radians(own.pressure_angle_deg)
    return -own.pinion_teeth * (np.tan(angle) - angle) / (2.0 * np.tan(angle))


def _stroke(d, pair):
    wanted, given = d.cylinders.stroke_mm, 1e3 * float(pair.stroke)
    if abs(wanted - given) > STROKE_TOLERANCE * given:
        low, high = given * (1.0 - STROKE_TOLERANCE), given * (1.0 + STROKE_TOLERANCE)
        words = ("not the stroke of this gear pair, 2 x module x pinion teeth x cos(pressure angle) / "
                 f"cos(working angle): outside {low:.6g} to {high:.6g}")
        yield Fault("cylinders.stroke_mm", wanted, words, "mm", round(given, 4),
                    other_way=_shift_instead(d, pair, 1e-3 * wanted))


def _shift_instead(d, pair, stroke):
    """Words for the ring shift that would keep the wanted stroke; empty if no such teeth can run."""
    try:
        difference = float(shift_difference(0.25 * stroke, pair.module, pair.pinion_teeth, pair.ring_teeth,
                                            pair.pressure_angle))
        shift = round(pair.pinion_shift + difference, 4)
        key = d.gear_pair.keys()["ring_shift"]
        if not key.low <= shift <= key.high or not runs(replace(pair, ring_shift=shift)):
            return ""
    except InputError:
        return ""
    return f"gear_pair.ring_shift = {shift:g}, a shift difference of {difference:.4f}, which keeps the stroke"


def _interference(d, pair, failed):
    name = HEIGHT.get(failed, "ring_addendum")
    least, key, given = LEAST.get(failed, 0.0), d.gear_pair.keys()[name], getattr(pair, name)
    with np.errstate(all="ignore"):
        value = float(margins(pair)[failed])
    heights = np.round(np.arange(key.low, key.high + 1e-9, 0.05), 2)
    near = heights[runs(replace(pair, **{name: heights}))]
    words = (f"not a height with which {pair.pinion_teeth}/{pair.ring_teeth} teeth can run: {failed} is {value:.3f} "
             f"and must be at least {least:g}")
    return Fault(f"gear_pair.{name}", given, words, "" if failed == "contact ratio" else "modules",
                 float(near[np.argmin(abs(near - given))]) if near.size else None, other_way=_more_teeth(pair))


def _more_teeth(pair):
    """Words for the smallest larger number of teeth that can run with the same shifts and heights; empty if none."""
    teeth = np.arange(pair.pinion_teeth + 1, 151)
    larger = replace(pair, pinion_teeth=teeth, ring_teeth=2 * teeth) if teeth.size else pair
    good = np.flatnonzero(runs(larger)) if teeth.size else ()
    if not len(good):
        return ""
    first = good[0]
    return f"{teeth[first]}/{2 * teeth[first]} teeth with a stroke of {1e3 * larger.stroke[first]:.6g} mm"


def _too_small(key, value, least, why):
    if value < least - 1e-9:
        least = float(np.ceil(1e3 * least - 1e-6) / 1e3)
        yield Fault(key, value, f"too small {why}: it must be at least {least:g}", "mm", least)


def _spread(n, step):
    return [round((k - 0.5 * (n - 1)) * step, 6) for k in range(n)]
