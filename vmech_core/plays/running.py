"""Plays as made, at 20 C, and plays of the running machine: the one place where one becomes the other.

A design says in ``running_state.plays`` which of the two it holds, so that nothing can be warmed twice, and whatever
reads a play of the design of a case reads the right one.
"""

from dataclasses import fields, replace

import numpy as np

from vmech_core.base import InputError, show
from vmech_core.plays.heat import RISES, Heat, growth, seat_interference

#: Temperature at which drawings hold [C]: ISO 1.
MADE = 20.0
#: Parts around and within each play, by its key. Parts without a material of their own are steel.
JOINTS = {
    "guide.clearance_um": ("guide", "rod"),
    "guide.piston_clearance_um": ("cylinder", "piston"),
    "bearings.crankpin_clearance_um": ("rod", "crank"),
    "bearings.crank_clearance_um": ("carrier", "crank"),
    "bearings.carrier_clearance_um": ("block", "carrier"),
}
BACKLASH = "gear_pair.backlash_um"
#: Fit of ring gears and bearing shells in the block; wall of a ring outside its roots, in modules, and of a shell over
#: its bore. Own choice: the design file does not draw them.
SEAT_FIT, RING_WALL, SHELL_WALL = "H7/p6", 3.0, 0.04


def heat_of(design):
    """Rises of the parts and of the oil in the running state of a design.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    Heat [-]
        Above 20 C, with the materials.

    Valid: any design.
    Source: the design file.
    """
    own = design.running_state
    rises = {part: getattr(own, f"{part}_C") - MADE for part in RISES}
    metals = {field.name: getattr(own, field.name) for field in fields(Heat) if field.name.endswith("material")}
    return Heat(**rises, **metals, oil=design.lubricant.temperature_C - MADE)


def changes(design, heat=None):
    """What each play of a design gains from 20 C to the temperatures of its parts.

    The block carries the carrier's bearing, the ring gear and the guide. All are round about O or stand on lines
    through O, so that their growth shifts none of them sideways.

    Parameters
    ----------
    design : Design [-]
        The design.
    heat : Heat or None [-]
        Rise of each part; None for the running state of the design.

    Returns
    -------
    dict of str to float or (N,) array [m]
        By the key of the play: on the diameter; backlash along the pitch circle, with the carrier's growth, which
        closes it, taken off.

    Valid: each part at one temperature; a bearing that follows the block; no distortion.
    Source: growths of the parts; backlash from the radial gap, 2 tan(alpha) for each unit of it, as for a change of
        centre distance (any text on involute gears).
    """
    heat = heat_of(design) if heat is None else heat
    crank, a = design.crank.si, 0.25 * design.cylinders.si.stroke
    sizes = (design.guide.si.rod_diameter, design.cylinders.si.bore, crank.pin_diameter, crank.journal_diameter,
             design.carrier.si.bearing_diameter)
    found = {key: _grown(heat, hole, size) - _grown(heat, shaft, size)
             for (key, (hole, shaft)), size in zip(JOINTS.items(), sizes, strict=True)}
    gap = _grown(heat, "ring", 2.0 * a) - _grown(heat, "crank", a) - _grown(heat, "carrier", a)
    return {**found, BACKLASH: 2.0 * np.tan(float(design.pair.working_angle)) * gap}


def mismatch(design, heat=None):
    """Pin radius less carrier radius in the running machine; the same for all pins.

    Parameters
    ----------
    design : Design [-]
        The design.
    heat : Heat or None [-]
        As in ``changes``.

    Returns
    -------
    float or (N,) array [m]
        Zero while crank and carriers are equally warm.

    Valid: as ``changes``; both of steel.
    Source: growths of the parts.
    """
    heat, a = heat_of(design) if heat is None else heat, 0.25 * design.cylinders.si.stroke
    return _grown(heat, "crank", a) - _grown(heat, "carrier", a)


def as_running(design, heat=None):
    """The design as it runs: its plays, its backlash and its oil at the temperatures of its running state.

    Parameters
    ----------
    design : Design [-]
        The design, as made or running.
    heat : Heat or None [-]
        Other temperatures; None for its own. All zero, with oil: the cold machine.

    Returns
    -------
    Design [-]
        With ``running_state.plays = "running"``; one that is so already comes back as it is.

    Raises
    ------
    InputError
        If a play is used up, or opens beyond its range.

    Valid: as ``changes``.
    Source: ``changes``.
    """
    if heat is None and design.running_state.plays == "running":
        return design
    made = as_made(design)
    heat = heat_of(made) if heat is None else heat
    keys = {f"running_state.{part}_C": MADE + float(getattr(heat, part)) for part in RISES}
    keys |= {f"running_state.{field.name}": getattr(heat, field.name) for field in fields(Heat)
             if field.name.endswith("material")}
    if heat.oil is not None:
        keys["lubricant.temperature_C"] = MADE + heat.oil
    return made.changed(**_moved(made, heat, 1.0), **keys, **{"running_state.plays": "running"})


def as_made(design):
    """The design as it is to be drawn: the plays at 20 C that give the plays of the running machine.

    Parameters
    ----------
    design : Design [-]
        The design, as made or running.

    Returns
    -------
    Design [-]
        With ``running_state.plays = "as_made"``; one that is so already comes back as it is.

    Raises
    ------
    InputError
        If there is no such play at 20 C.

    Valid: as ``changes``.
    Source: ``changes``.
    """
    if design.running_state.plays == "as_made":
        return design
    return design.changed(**_moved(design, heat_of(design), -1.0), **{"running_state.plays": "as_made"})


def lines(design):
    """Plays to draw for the plays that the machine has when it runs, as lines of a design file.

    Parameters
    ----------
    design : Design [-]
        The design, as made or running.

    Returns
    -------
    str [-]
        A line for each play under its section, to a tenth of a micrometre, with what it runs at as a comment.

    Raises
    ------
    InputError
        As ``as_made`` and ``as_running``.

    Valid: as ``changes``.
    Source: ``as_made``.
    """
    made, warm, text = as_made(design).to_dict(), as_running(design).to_dict(), []
    for key in (BACKLASH, *sorted(JOINTS)):
        section, name = key.split(".")
        text += [] if f"[{section}]" in text else [f"[{section}]"]
        text.append(f"{name} = {made[section][name]:.1f}".ljust(32) + f"# runs at {warm[section][name]:.1f} µm")
    return "\n".join(text)


def seats(design, fit=SEAT_FIT):
    """Interference of ring gears and of the carriers' bearing shells in the block, as made and running.

    Parameters
    ----------
    design : Design [-]
        The design.
    fit : str [-]
        Fit of both, for example ``H7/p6``.

    Returns
    -------
    dict of str to tuple [m]
        Part to its pair (cold, hot), as from ``seat_interference``; negative is play: it is loose.

    Raises
    ------
    InputError
        If the fit is none.

    Valid: steel rings and shells with walls by the rule at the head of this file; a shell as warm as the carrier.
    Source: ``seat_interference``.
    """
    heat, pair = heat_of(design), design.pair
    roots = pair.module * (pair.ring_teeth + 2.0 * (pair.ring_shift + pair.ring_dedendum + RING_WALL))
    shell = (1.0 + 2.0 * SHELL_WALL) * design.carrier.si.bearing_diameter
    return {words: seat_interference(size, fit, heat.block_material, heat.block, rise)
            for words, size, rise in (("ring gear", roots, heat.ring), ("bearing shell", shell, heat.carrier))}


def warmed(elastic, design, heat):
    """An elastic machine of a design at other temperatures, several at once if wanted.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine in the running state of the design.
    design : Design [-]
        The design.
    heat : Heat [-]
        Rise of each part, numbers or arrays (N,).

    Returns
    -------
    Elastic [-]
        With other clearances; films as springs follow their clearances, in the same oil.

    Raises
    ------
    InputError
        If a play is used up: the parts seize.

    Valid: as ``changes``; stiffnesses as before.
    Source: ``changes``.
    """
    now, then = changes(design), changes(design, heat)
    gain = {key: then[key] - now[key] for key in now}
    slip = mismatch(design, heat) - mismatch(design)
    made = replace(
        elastic, backlash=elastic.backlash + gain[BACKLASH],
        guide_clearance=elastic.guide_clearance + 0.5 * gain["guide.clearance_um"],
        bore_clearance=elastic.bore_clearance + 0.5 * gain["guide.piston_clearance_um"],
        pin_clearance=elastic.pin_clearance + 0.5 * gain["bearings.crankpin_clearance_um"],
        bearing_clearance=elastic.bearing_clearance + 0.5 * (
            gain["bearings.crank_clearance_um"] + gain["bearings.carrier_clearance_um"]),
        pin_error=np.asarray(elastic.pin_error) + np.asarray(slip)[..., None] * np.ones(design.n_cylinders))
    for name in ("guide_clearance", "bore_clearance", "bearing_clearance", "pin_clearance", "backlash"):
        least = float(np.min(getattr(made, name)))
        if least <= 0.0:
            raise InputError(name, f"{1e6 * least:.1f}", "used up when warm: the parts seize; not above 0", "µm")
    return made


def state_words(design):
    """Say in which state a design is: temperatures of the parts and of the oil.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    str [-]
        For example ``piston 200, cylinder 150, rod 120, other parts 100, oil 90 °C``.
    """
    own = {part: getattr(design.running_state, f"{part}_C") for part in RISES}
    usual = max(own.values(), key=list(own.values()).count)
    warm = sorted((-value, part) for part, value in own.items() if value != usual)
    parts = [f"{part} {-value:g}" for value, part in warm] + [f"{'other' if warm else 'all'} parts {usual:g}"]
    oil = [] if design.lubricant.grade == "dry" else [f"oil {design.lubricant.temperature_C:g}"]
    return ", ".join(parts + oil) + " °C"


def _grown(heat, part, size):
    return growth(getattr(heat, f"{part}_material", "steel"), size, getattr(heat, part))


def _moved(design, heat, sign):
    """Plays by key, in um, after their gain has been put on or taken off; those outside their range are refused."""
    values = {}
    for key, gain in changes(design, heat).items():
        section, name = key.split(".")
        rule, gain = getattr(design, section).rules[name], sign * 1e6 * float(gain)
        now = getattr(getattr(design, section), name)
        values[key] = round(now + gain, 9)
        if not rule.low <= values[key] <= rule.high:
            low, high = max(rule.low, rule.low - gain), min(rule.high, rule.high - gain)
            near = np.ceil(10.0 * low - 1e-6) / 10.0 if values[key] < rule.low else np.floor(10.0 * high) / 10.0
            parts = ", ".join(f"running_state.{part}_C = {MADE + getattr(heat, part):g}"
                              for part in JOINTS.get(key, ("ring", "crank", "carrier")))
            state = ("used up when it runs" if sign > 0.0 else "too small to be drawn") if values[key] < rule.low else (
                "opened beyond its range")
            words = f"{state}, {values[key]:.1f} µm at {parts if sign > 0.0 else '20 °C, with ' + parts}: outside"
            raise InputError(key, f"{now:g}", f"{words} {show(low, '')} to {show(high, '')}", "µm", f"{near:g} µm")
    return values


def on_stub_shafts(design):
    """The running machine with its carriers on stub shafts as thick as the crank journal: the one rule for their play.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    Design [-]
        With running plays; the carriers' in proportion to the diameter.

    Valid: plain bearings; whether the shaft is stiff enough is not looked at.
    Source: common practice, play over diameter kept.
    """
    design, thick = as_running(design), design.crank.journal_diameter_mm
    if design.carrier.support == "stub_shaft":
        return design
    play = design.bearings.carrier_clearance_um * thick / design.carrier.bearing_diameter_mm
    return design.changed(**{"carrier.support": "stub_shaft", "carrier.bearing_diameter_mm": thick,
                             "bearings.carrier_clearance_um": float(play)})
