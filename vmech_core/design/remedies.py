"""What is wrong with the gear pair of a design, and which tooth height, shift or number of teeth would help.

Loaded when a pair does not hold, and not before.
"""

from dataclasses import replace
from itertools import product

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.design.faults import Fault
from vmech_core.design.meshing import LEAST, STROKE_TOLERANCE, blocking, keeps_stroke, runs
from vmech_core.design.sections import Sections
from vmech_core.gears.geometry import MODULES_FIRST
from vmech_core.gears.screens import margins
from vmech_core.gears.strokes import stroke_options

#: Tooth height that is named when a screen fails; the others: the ring's addendum.
HEIGHT = {"ring fillet clear of pinion tip": "pinion_addendum", "pinion tip thickness": "pinion_addendum",
          "ring root clearance": "pinion_addendum"}


def gear_faults(design):
    """Say what is wrong with a gear pair that does not hold.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    list of Fault [-]
        Tooth numbers, base circles, stroke, teeth that cannot run.
    """
    own = design.gear_pair
    if own.ring_teeth != 2 * own.pinion_teeth:
        return [_tooth_ratio(design)]
    try:
        pair = design.pair
    except InputError:
        words = (f"so far below gear_pair.pinion_shift that the base circles would overlap: it must be above "
                 f"{own.pinion_shift + _least_shift(own):.4f}")
        return [Fault("gear_pair.ring_shift", own.ring_shift, words, "modules")]
    failed = [name for name, blocks in blocking(pair).items() if blocks]
    stroke = [] if keeps_stroke(design) else [_stroke(design, pair)]
    return stroke + [_interference(design, pair, name) for name in failed[:1]] + _fillet(design, own, pair)


def _fillet(design, own, pair):
    most = float(np.floor(1e3 * pair.most_ring_fillet) / 1e3)
    words = f"too large for the space that the flanks leave at the ring's root: outside 0 to {most:g}"
    return [Fault("gear_pair.ring_fillet_radius", own.ring_fillet_radius, words, "modules", most)] if (
        own.ring_fillet_radius > pair.most_ring_fillet and design.running_state.plays != "running") else []


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
    low, high = given * (1.0 - STROKE_TOLERANCE), given * (1.0 + STROKE_TOLERANCE)
    words = ("not the stroke of this gear pair, 2 x module x pinion teeth x cos(pressure angle) / "
             f"cos(working angle): outside {low:.6g} to {high:.6g}")
    return Fault("cylinders.stroke_mm", wanted, words, "mm", round(given, 4))


def gears_for(stroke_mm, own):
    """List gear pairs that give a stroke and pass every screen, the present module and heights first.

    Parameters
    ----------
    stroke_mm : float [mm]
        Wanted stroke.
    own : dict [-]
        Keys of the present ``[gear_pair]``; teeth and shifts play no part but for what counts as a change.

    Returns
    -------
    tuple of dict [-]
        For each pair the keys that have to change, with their values; empty if a key that is needed is out of range.
    """
    used = ("module_mm", "pressure_angle_deg", "pinion_shift", "pinion_addendum", "ring_addendum", "pinion_dedendum",
            "ring_dedendum", "pinion_tool_tip_radius", "ring_fillet_radius", "backlash_um")
    rules = Sections.model_fields["gear_pair"].annotation.rules
    if any(rules[key].kept(own.get(key)) is None for key in used):
        return ()
    module, angle, shift, addendum, height, *depths, tool, fillet, play = (own[key] for key in used)
    modules = {1e-3 * module, *(m for m in MODULES_FIRST if 0.4 < module / (1e3 * m) < 2.5)}
    found = {}
    for size, pinion_shift, ring_addendum in product(modules, (shift, None), (height, None)):
        teeth = int(5e-4 * stroke_mm / size)
        for option in stroke_options(
                1e-3 * stroke_mm, np.radians(angle), (size,), (max(8, teeth - 1), min(150, teeth + 2)), 0.6,
                pinion_shift, ring_addendum, pinion_addendum=addendum, pinion_dedendum=depths[0],
                ring_dedendum=depths[1], backlash=1e-6 * play, tool_tip_radius=tool, ring_fillet_radius=fillet):
            if option.ok:
                new = {key: value for key, value in option.keys.items() if value != own[key]}
                far = abs(np.log(1e3 * option.pair.module / module))
                found[tuple(new.items())] = round(far, 6), round(abs(option.shift_difference), 4), len(new)
    return tuple(dict(new) for new in sorted(found, key=found.get))


def _interference(d, pair, failed):
    name = HEIGHT.get(failed, "ring_addendum")
    least, key, given = LEAST.get(failed, 0.0), d.gear_pair.rules[name], getattr(pair, name)
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
