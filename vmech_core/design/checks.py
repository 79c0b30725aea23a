"""What must agree between the keys of a design: list lengths, teeth, stroke, gear geometry, room for the parts."""

from itertools import combinations

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.design.meshing import keeps_stroke, runs

#: Thickness of a pinion between its bore and its root circle, in modules. Own choice of a least one; gear standards ask
#: for more where the rim shall not matter.
THINNEST_RIM = 1.0


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
    lists = [] if lengths else [*_firing(design), *_overlaps(design), *_mesh_span(design)] or [*_crowded(design)]
    return [*lengths, *_gears(design), *lists, *_bores(design), *_room(design), *_ordinary(design), *_fluid(design)]


def _lengths(d):
    n, own, last = d.n_cylinders, d.masses, d.duty.cycle_turns - 1
    spread = _spread(n, d.crank.pin_length_mm)
    lists = [("cylinders.axial_position_mm", d.cylinders.axial_position_mm, "-2000 to 2000", "mm", spread),
             ("duty.firing_turn", d.duty.firing_turn, f"0 to {last}", "turns", [0] * n)]
    lists += [(f"masses.{key}", value, own.rules[key].span(), "g", [*value, *[value[-1]] * n][:n])
              for key in ("piston_g", "piston_rod_g") if isinstance(value := getattr(own, key), tuple)]
    for key, value, span, unit, fill in lists:
        if len(value) != n:
            words = f"not a list of {n}, one for each entry of cylinders.bank_angle_deg, each from {span}"
            yield _fault(key, list(value), words, unit, fill)


def _firing(d):
    turns, most = d.duty.firing_turn, d.duty.cycle_turns - 1
    late = [place for place, turn in enumerate(turns, 1) if turn > most]
    if late:
        words = f"not below duty.cycle_turns: outside 0 to {most}"
        yield _fault("duty.firing_turn", turns[late[0] - 1], words, "turns", [min(turn, most) for turn in turns],
                     late[0])


def _overlaps(d):
    banks, places = d.cylinders.bank_angle_deg, d.cylinders.axial_position_mm
    for i, j in combinations(range(d.n_cylinders), 2):
        turn = abs(banks[i] - banks[j]) % 360.0
        same_line, same_side = min(turn % 180.0, -turn % 180.0) < 0.01, min(turn, 360.0 - turn) < 0.01
        web = 0.0 if same_line else d.crank.web_mm
        apart, least = abs(places[i] - places[j]), d.cylinders.bore_mm if same_side else d.crank.pin_length_mm + web
        one_rod = same_line and not same_side and apart < 1e-9  # a rod with a piston at each end
        if apart < least - 1e-9 and not one_rod:
            web = f" and the web of {web:g} mm between them" if web else ""
            bodies = "bores" if same_side else f"crankpins{web}"
            words = (f"too close together in entries {i + 1} and {j + 1}, whose {bodies} "
                     f"would overlap: they must be apart by at least {least:g}")
            yield _fault("cylinders.axial_position_mm", list(places), words, "mm",
                         _spread(d.n_cylinders, max(least, d.crank.pin_length_mm)))
            return


def _mesh_span(d):
    reach = max(abs(place) for place in d.cylinders.axial_position_mm) + 0.5 * d.crank.pin_length_mm
    face, journal = d.gear_pair.face_width_mm, d.crank.journal_length_mm
    ends = max(face, journal if d.crank.journal_place == "in_pinion" else 0.0)
    why = "for the crankpins between the meshes"
    if d.journals_outward < 0.0:
        why = "for carriers that enclose the journals between crankpins and pinions"
        ends = face + 2.0 * max(journal, d.carrier.bearing_length_mm)
    yield from _too_small("crank.mesh_span_mm", d.crank.mesh_span_mm, 2.0 * reach + ends, why)


def _fluid(d):
    """A computed cycle that there is, and pressures between which a pump or a compressor delivers something."""
    if d.duty.pressure_from == "cycle" and d.design.machine == "hand_model":
        words = 'not possible with design.machine = "hand_model", which has no computed cycle'
        yield _fault("duty.pressure_from", "cycle", words, candidate="trace")
    if d.duty.pressure_from == "cycle" and d.design.machine == "engine" and d.duty.cycle_turns != 2:
        words = f"not possible with duty.cycle_turns = {d.duty.cycle_turns}: the computed cycle of an engine takes 2"
        yield _fault("duty.pressure_from", "cycle", words, candidate="trace")
    low, high, dead = d.duty.inlet_pressure_bar, d.duty.outlet_pressure_bar, d.cylinders.clearance_volume_ratio
    is_pump = d.design.machine == "pump"
    if d.design.machine not in ("pump", "compressor"):
        return
    if high < low or (high == low and not is_pump):
        words = f"{'below' if is_pump else 'not above'} duty.inlet_pressure_bar = {low:g}"
        nearest = low if is_pump else round(1.1 * low, 4)
        yield _fault("duty.outlet_pressure_bar", high, words, "bar", nearest if nearest <= 2000.0 else None)
        return
    if is_pump and d.fluid_cycle.bulk_modulus_GPa == "water":  # so stiff that no dead volume in range takes it all
        warm = d.fluid_cycle.inlet_temperature_C
        if not 0.0 <= warm <= 100.0:
            words = 'outside 0 to 100, as fluid_cycle.bulk_modulus_GPa = "water" needs'
            yield _fault("fluid_cycle.inlet_temperature_C", warm, words, "C", 0.0 if warm < 0.0 else 100.0)
        return
    strain = 1e-4 * (high - low) / d.fluid_cycle.bulk_modulus_GPa if is_pump else 0.0  # bar over GPa
    most = np.inf if high == low else 1.0 / np.expm1(
        strain if is_pump else np.log(high / low) / d.fluid_cycle.polytropic_exponent)
    if dead >= most * (1.0 - 1e-6):
        words = f"so large that nothing is delivered at these pressures: it must be below {most:.4g}"
        nearest = float(np.floor(950.0 * most) / 1e3)
        yield _fault("cylinders.clearance_volume_ratio", dead, words, "", nearest if nearest >= 0.001 else None)


def _bores(d):
    """A journal in the bore of its pinion needs a rim around it, and a carrier that need not enclose it."""
    if d.crank.journal_place != "in_pinion":
        return
    if d.carrier.support == "enclosing":
        words = 'not possible with carrier.support = "enclosing", which puts the journals beside the pinions'
        yield _fault("crank.journal_place", "in_pinion", words, candidate="beside_pinion")
    own = d.gear_pair
    most = own.module_mm * (own.pinion_teeth + 2.0 * (own.pinion_shift - own.pinion_dedendum - THINNEST_RIM))
    if d.crank.journal_diameter_mm > most + 1e-9:
        most = float(np.floor(1e3 * most + 1e-6) / 1e3)
        words = f"too large for the bore of a pinion with a rim of {THINNEST_RIM:g} module: it must be at most {most:g}"
        yield _fault("crank.journal_diameter_mm", d.crank.journal_diameter_mm, words, "mm", most)


def _crowded(d):
    """Bodies in each other's way within one turn, and a machine that its cycle contradicts.

    The bores are cylinders that begin where the piston's lower edge is at inner dead centre; two of them on lines at an
    angle meet there first, if they meet at all.
    """
    own, guide, turns = d.cylinders, d.guide, d.duty.cycle_turns
    if d.design.machine in ("pump", "compressor") and turns != 1:
        words = f'not possible with design.machine = "{d.design.machine}": it must be 1'
        yield _fault("duty.cycle_turns", turns, words, "turn", 1, other_way='design.machine = "engine"')
    if guide.rod_diameter_mm >= own.bore_mm:
        most = float(np.floor(own.bore_mm - 1e-3 * guide.piston_clearance_um))
        words = f"too thick for its bore: it must be below cylinders.bore_mm = {own.bore_mm:g}"
        yield _fault("guide.rod_diameter_mm", guide.rod_diameter_mm, words, "mm", most)
    yield from _swept(d)
    begin = guide.rod_length_mm - guide.piston_length_mm - 0.5 * own.stroke_mm
    for i, j in combinations(range(d.n_cylinders), 2):
        turn = abs(own.bank_angle_deg[i] - own.bank_angle_deg[j]) % 360.0
        turn, apart = min(turn, 360.0 - turn), abs(own.axial_position_mm[i] - own.axial_position_mm[j])
        if turn < 0.01 or begin <= 0.0 or apart >= own.bore_mm:
            continue
        least = 2.0 * np.degrees(np.arctan(0.5 * np.sqrt(own.bore_mm**2 - apart**2) / begin))
        if turn < least - 1e-9:
            gap = np.sqrt(own.bore_mm**2 - (2.0 * begin * np.tan(np.radians(0.5 * turn))) ** 2)
            words = (f"too narrow between entries {i + 1} and {j + 1}, {turn:.4g} deg apart, whose bores would cut "
                     f"into each other: they must be apart by at least {np.ceil(100.0 * least) / 100.0:.5g}")
            yield _fault("cylinders.bank_angle_deg", list(own.bank_angle_deg), words, "deg",
                         other_way=f"cylinders.axial_position_mm apart by {np.ceil(100.0 * gap) / 100.0:g} mm")
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
        yield _fault("guide.rod_length_mm", guide.rod_length_mm, f"too small to keep the {part} clear of the {body}, "
                     f"which stand within its reach along the axis: it must be at least {least:g}", "mm", least)


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
        yield _fault("ordinary_crank.crankpin_layout", own.crankpin_layout,
                     "not possible with one cylinder, for which only common is", candidate="common")
    most = np.floor(1e3 * stroke * (own.rod_ratio**2 - 1.0) / (4.0 * own.rod_ratio)) / 1e3
    if abs(own.wrist_pin_offset_mm) > most:
        words = f"too far for the rod to pass over the dead centres: outside {-most:g} to {most:g}"
        yield _fault("ordinary_crank.wrist_pin_offset_mm", own.wrist_pin_offset_mm, words, "mm",
                     float(np.copysign(most, own.wrist_pin_offset_mm)))


def _gears(d):
    """Faults of the gear pair; the words, and what would help, are loaded if it does not hold."""
    try:
        holds = (d.gear_pair.ring_teeth == 2 * d.gear_pair.pinion_teeth and keeps_stroke(d) and runs(d.pair)
                 and (d.running_state.plays == "running"  # what is cut is the drawing
                      or d.gear_pair.ring_fillet_radius <= d.pair.most_ring_fillet))
    except InputError:
        holds = False
    if not holds:
        from vmech_core.design.remedies import gear_faults

        yield from gear_faults(d)


def _too_small(key, value, least, why):
    if value < least - 1e-9:
        least = float(np.ceil(1e3 * least - 1e-6) / 1e3)
        yield _fault(key, value, f"too small {why}: it must be at least {least:g}", "mm", least)


def _spread(n, step):
    return [round((k - 0.5 * (n - 1)) * step, 6) for k in range(n)]


def _fault(*of, **more):
    from vmech_core.design.faults import Fault  # here, so that a valid design loads without it

    return Fault(*of, **more)
