"""Bodies that would stand in each other's way within one turn, and a kind of machine that its cycle contradicts.

Loaded when ``checks`` has found that there are such bodies, or a journal in the bore of its pinion.
"""

from itertools import combinations

import numpy as np

from vmech_core.design.faults import Fault

#: Thickness of a pinion between its bore and its root circle, in modules. Own choice of a least one; gear standards ask
#: for more where the rim shall not matter.
THINNEST_RIM = 1.0


def collisions(design):
    """Find what cannot be built though every single key is in range.

    The bores are cylinders that begin where the piston's lower edge is at inner dead centre; two of them on lines at an
    angle meet there first, if they meet at all.

    Parameters
    ----------
    design : Design [-]
        The design, with lists of the right lengths.

    Yields
    ------
    Fault [-]
        The rod in its bore, guides and pistons against what stands beside the big ends, the first two bores that meet,
        the cycle.
    """
    own, guide, turns = design.cylinders, design.guide, design.duty.cycle_turns
    if design.design.machine in ("pump", "compressor") and turns != 1:
        yield Fault("duty.cycle_turns", turns, f'not possible with design.machine = "{design.design.machine}": it must '
                    "be 1", "turn", 1, 0, 'design.machine = "engine"')
    if guide.rod_diameter_mm >= own.bore_mm:
        most = float(np.floor(own.bore_mm - 1e-3 * guide.piston_clearance_um))
        yield Fault("guide.rod_diameter_mm", guide.rod_diameter_mm,
                    f"too thick for its bore: it must be below cylinders.bore_mm = {own.bore_mm:g}", "mm", most)
    yield from _swept(design)
    begin = guide.rod_length_mm - guide.piston_length_mm - 0.5 * own.stroke_mm
    for i, j in combinations(range(design.n_cylinders), 2):
        turn = abs(own.bank_angle_deg[i] - own.bank_angle_deg[j]) % 360.0
        turn, apart = min(turn, 360.0 - turn), abs(own.axial_position_mm[i] - own.axial_position_mm[j])
        if turn < 0.01 or begin <= 0.0 or apart >= own.bore_mm:
            continue
        least = 2.0 * np.degrees(np.arctan(0.5 * np.sqrt(own.bore_mm**2 - apart**2) / begin))
        if turn < least - 1e-9:
            gap = np.sqrt(own.bore_mm**2 - (2.0 * begin * np.tan(np.radians(0.5 * turn))) ** 2)
            yield Fault("cylinders.bank_angle_deg", list(own.bank_angle_deg),
                        f"too narrow between entries {i + 1} and {j + 1}, {turn:.4g} deg apart, whose bores would cut "
                        f"into each other: they must be apart by at least {np.ceil(100.0 * least) / 100.0:.5g}", "deg",
                        None, 0, f"cylinders.axial_position_mm apart by {np.ceil(100.0 * gap) / 100.0:g} mm")
            return


def _swept(d):
    """Guides and pistons, at inner dead centre, stay outside of what stands beside the big ends.

    Guides count as wide as their rod and as far out as the piston allows, carriers as far from the big ends as the
    pinions allow, webs as small as their journal: what is refused here has no place.
    """
    own, guide, crank, gear = d.cylinders, d.guide, d.crank, d.gear_pair
    far = max(abs(place) for place in own.axial_position_mm)
    pinion = 0.5 * (crank.mesh_span_mm - gear.face_width_mm)
    carrier = (pinion - d.carrier.bearing_length_mm if d.carrier.support == "enclosing"
               else pinion + gear.face_width_mm)
    bodies = {"webs": (far + 0.5 * crank.pin_length_mm, 0.25 * own.stroke_mm + 0.5 * crank.journal_diameter_mm),
              "carriers": (carrier, 0.5 * d.carrier.bearing_diameter_mm),
              "ring gears": (pinion, gear.module_mm * (0.5 * gear.ring_teeth + gear.ring_shift + gear.ring_dedendum))}
    parts = {"piston": (0.5 * own.bore_mm, 0.0)}
    if guide.place == "above_crank":
        parts["guide"] = 0.5 * guide.rod_diameter_mm, guide.length_mm
    found = [(radius + height, part, body) for part, (wide, height) in parts.items()
             for body, (inner, radius) in bodies.items() if far + wide > inner + 1e-9]
    clear, part, body = max(found, default=(0.0, "", ""))
    least = float(np.ceil(1e3 * (clear + guide.piston_length_mm + 0.5 * own.stroke_mm) - 1e-6) / 1e3)
    if guide.rod_length_mm < least - 1e-9:
        yield Fault("guide.rod_length_mm", guide.rod_length_mm, f"too small to keep the {part} clear of the {body}, "
                    f"which stand within its reach along the axis: it must be at least {least:g}", "mm", least)


def bored(d):
    """Check a journal in the bore of its pinion: it needs a rim around it, and a carrier that need not enclose it.

    Parameters
    ----------
    d : Design [-]
        The design.

    Yields
    ------
    Fault [-]
        Carrier, diameter of the journal.
    """
    if d.carrier.support == "enclosing":
        words = 'not possible with carrier.support = "enclosing", which puts the journals beside the pinions'
        yield Fault("crank.journal_place", "in_pinion", words, candidate="beside_pinion")
    own = d.gear_pair
    most = own.module_mm * (own.pinion_teeth + 2.0 * (own.pinion_shift - own.pinion_dedendum - THINNEST_RIM))
    if d.crank.journal_diameter_mm > most + 1e-9:
        most = float(np.floor(1e3 * most + 1e-6) / 1e3)
        words = f"too large for the bore of a pinion with a rim of {THINNEST_RIM:g} module: it must be at most"
        words += f" {most:g}"
        yield Fault("crank.journal_diameter_mm", d.crank.journal_diameter_mm, words, "mm", most)
