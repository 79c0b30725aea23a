"""What must agree between the keys of a design: list lengths, teeth, stroke, gear geometry, room for the parts."""

from itertools import combinations

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.design.meshing import keeps_stroke, runs


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
    lists = lists or ([] if lengths else [*_crowded(design)])
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
    """Faults of a journal in the bore of its pinion; loaded if there is one."""
    if d.crank.journal_place == "in_pinion":
        from vmech_core.design.room import bored

        yield from bored(d)


def _crowded(d):
    """Bodies in each other's way within one turn, and a machine that its cycle contradicts; the words if there are."""
    own, guide = d.cylinders, d.guide
    begin = 2.0 * (guide.rod_length_mm - guide.piston_length_mm) - own.stroke_mm  # of the bores, twice
    meet = any((place - other) ** 2 + (begin * np.tan(np.radians(0.5 * (bank - beside)))) ** 2 < own.bore_mm**2 - 1e-6
               for (bank, place), (beside, other) in
               combinations(zip(own.bank_angle_deg, own.axial_position_mm, strict=True), 2))
    of_one_turn = d.design.machine in ("pump", "compressor")
    gear, swept = d.gear_pair, (d.carrier.bearing_diameter_mm, 0.5 * own.stroke_mm + d.crank.journal_diameter_mm)
    root = gear.module_mm * (gear.ring_teeth + 2.0 * (gear.ring_shift + gear.ring_dedendum))
    tight = begin - (2.0 * guide.length_mm if guide.place == "above_crank" else 0.0) < max(root, *swept)
    if meet or tight or guide.rod_diameter_mm >= own.bore_mm or (of_one_turn and d.duty.cycle_turns != 1):
        from vmech_core.design.room import collisions

        yield from collisions(d)


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


def _fault(key, value, allowed, unit="", candidate=None, entry=0):
    from vmech_core.design.faults import Fault  # here, so that a valid design loads without it

    return Fault(key, value, allowed, unit, candidate, entry)
