"""The numbers of an assessment that a reader wants to see, stage by stage. No physics stands here."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from vmech_core import bearings, gears, machine, pressure
from vmech_core.base.results import CHANNELS, Quantity
from vmech_core.base.units import from_si, show

#: Units in which screens are printed.
EDGE = {"Pa": "MPa", "m": "mm", "rad": "deg"}


def _size(a):
    d, pair = a.design, a.design.pair
    return {
        "stroke": Quantity(d.cylinders.si.stroke, "m", "stroke", "mm"),
        "bore": Quantity(d.cylinders.si.bore, "m", "bore", "mm"),
        "carrier_radius": Quantity(0.25 * d.cylinders.si.stroke, "m", "carrier radius = crankpin radius", "mm"),
        "pinion_pitch_diameter": Quantity(0.5 * d.cylinders.si.stroke, "m", "pinion working pitch diameter", "mm"),
        "ring_pitch_diameter": Quantity(d.cylinders.si.stroke, "m", "ring gear working pitch diameter", "mm"),
        "pressure_angle": Quantity(float(pair.working_angle), "rad", "working pressure angle", "deg"),
        "contact_ratio": Quantity(float(gears.contact_ratio(pair)), "1", "contact ratio"),
        "displacement": Quantity(a.displacement, "m3", "displacement of all cylinders", "cm3"),
    }


def _mass(a):
    names = {
        "piston": "piston without skirt",
        "piston_rod": "straight piston rod",
        "crank": "planet crank, pinions on",
        "carrier": "one carrier",
        "ordinary_piston": "trunk piston with pin",
        "ordinary_rod": "connecting rod",
    }
    return {key: Quantity(a.mass[key].likely, "kg", label, "g", a.mass[key].estimated) for key, label in names.items()}


def _pressure(a):
    return {
        "highest_pressure": Quantity(float(a.gas_trace.pressure.max()), "Pa", "highest cylinder pressure", "bar"),
        "lowest_pressure": Quantity(float(a.gas_trace.pressure.min()), "Pa", "lowest cylinder pressure", "bar"),
        "highest_gas_force": Quantity(float(np.abs(a.loads["gas"]).max()), "N", "greatest gas force on a piston", "kN"),
    }


def _cycle(a):
    result, both = {}, (("", "straight-line drive"), ("ordinary_", "ordinary crank"))
    for k, (key, words) in enumerate(both):
        trace, curve = a.own_cycle.traces[k], a.curves[k]
        mean = pressure.indicated_mean_pressure(trace.angle, trace.pressure, curve)
        result[f"{key}peak_pressure"] = Quantity(float(trace.pressure.max()), "Pa", f"{words}: peak pressure", "bar")
        result[f"{key}mean_pressure"] = Quantity(mean, "Pa", f"{words}: indicated mean effective pressure", "bar")
        if a.own_cycle.closed is not None:
            result.update(_burn(a.own_cycle, k, key, words, mean * pressure.swept(curve)))
    return result


def _burn(cycle, k, key, words, work):
    heat, wall = float(cycle.closed.released[k, -1]), float(cycle.closed.wall[k, -1])
    start = float(cycle.burn_start[k])
    return {
        f"{key}burn_start": Quantity(start, "rad", f"{words}: best start of the burn, after the dead centre", "deg"),
        f"{key}wall_share": Quantity(wall / heat, "1", f"{words}: share of the heat lost to the walls"),
        f"{key}efficiency": Quantity(work / heat, "1", f"{words}: indicated efficiency, whole cycle"),
    }


def _motion(a):
    result = {}
    for key, motion, words in (
        ("", a.motion, "straight-line drive"),
        ("ordinary_", a.ordinary_motion, "ordinary crank"),
    ):
        result[f"{key}piston_speed"] = Quantity(
            float(np.abs(motion.velocity).max()), "m/s", f"{words}: top piston speed"
        )
        result[f"{key}acceleration_out"] = Quantity(
            float(-motion.acceleration.min()), "m/s2", f"{words}: acceleration at outer dead centre"
        )
        result[f"{key}acceleration_in"] = Quantity(
            float(motion.acceleration.max()), "m/s2", f"{words}: greatest acceleration near inner dead centre"
        )
    return result


def _loads(a):
    guess = any(a.mass[k].estimated for k in ("piston", "piston_rod", "crank"))
    picks = {
        **{f"teeth_{c}": (a.loads, c) for c in ("mesh", "separating", "pin", "crank_bearing", "torque")},
        "guides_guide": (a.loads_guides_alone, "guide"),
    }
    result = {}
    for key, (loads, channel) in picks.items():
        what, limit = CHANNELS[channel], "guides idle" if key.startswith("teeth") else "no gear"
        result[key] = Quantity(
            float(np.abs(loads[channel]).max()),
            what.unit,
            f"{limit}: peak {what.quantity}",
            "kN" if what.unit == "N" else "",
            guess,
        )
    return result


def _ordinary(a):
    guess = a.mass["ordinary_piston"].estimated or a.mass["ordinary_rod"].estimated
    return {
        f"ordinary_{c}": Quantity(
            float(np.abs(a.ordinary_loads[c]).max()),
            CHANNELS[c].unit,
            f"ordinary crank: peak {CHANNELS[c].quantity}",
            "kN" if CHANNELS[c].unit == "N" else "",
            guess,
        )
        for c in ("bore", "wrist", "pin", "main", "torque")
    }


def _comparison(a):
    rms = {"mesh": _rms(a.loads["mesh"]), "bore": _rms(a.ordinary_loads["bore"])}
    tooth, side = float(np.abs(a.loads["mesh"]).max()), float(np.abs(a.ordinary_loads["bore"]).max())
    guess = any(m.estimated for m in a.mass.values())
    return {
        "side_thrust": Quantity(side, "N", "ordinary crank: peak side thrust on one bore", "kN", guess),
        "tooth_force": Quantity(tooth, "N", "straight-line drive, guides idle: peak tooth force", "kN", guess),
        "tooth_over_thrust": Quantity(tooth / side if side else np.inf, "1", "the second over the first", "", guess),
        "side_thrust_rms": Quantity(rms["bore"], "N", "ordinary crank: side thrust, root mean square", "kN", guess),
        "tooth_force_rms": Quantity(
            rms["mesh"], "N", "straight-line drive: tooth force, root mean square", "kN", guess
        ),
        "mean_torque": Quantity(float(a.loads["torque"][:-1].mean()), "N m", "straight-line drive: mean torque", ""),
        "ordinary_mean_torque": Quantity(
            float(a.ordinary_loads["torque"][:-1].mean()), "N m", "ordinary crank: mean torque", ""
        ),
    }


def _own_comparison(a):
    guess = any(m.estimated for m in a.mass.values())
    peak = {"tooth": a.own_loads["mesh"], "bore": a.own_ordinary_loads["bore"]}
    means = [float(loads["torque"][:-1].mean()) for loads in (a.own_loads, a.own_ordinary_loads)]
    tooth, side = (float(np.abs(values).max()) for values in peak.values())
    return {
        "own_side_thrust": Quantity(side, "N", "ordinary crank: peak side thrust on one bore", "kN", guess),
        "own_tooth_force": Quantity(tooth, "N", "straight-line drive, guides idle: peak tooth force", "kN", guess),
        "own_mean_torque": Quantity(means[0], "N m", "straight-line drive: mean torque"),
        "own_ordinary_mean_torque": Quantity(means[1], "N m", "ordinary crank: mean torque"),
    }


def _ends(a):
    guess, mesh = a.mass["piston"].estimated or a.mass["piston_rod"].estimated, a.ends["mesh_end"]
    names = ("end 1", "end 2, which drives the load")
    return {
        f"mesh_end_{k + 1}": Quantity(
            float(np.abs(mesh[k]).max()), "N", f"guides idle: peak tooth force at {names[k]}", "kN", guess
        )
        for k in range(2)
    }


def _sharing(a):
    guess, names = True, (("mesh", "teeth, both ends"), ("guide", "one guide"), ("bore", "one piston on its bore"))
    result = {}
    for channel, words in names:
        values = a.shared[channel]
        peak = float(np.abs(values).max())
        result[f"shared_{channel}"] = Quantity(peak, "N", f"{words}: peak with stated clearances", "kN", guess)
        result[f"shared_{channel}_rms"] = Quantity(_rms(values), "N", f"{words}: root mean square", "kN", guess)
    return result


def _comparators(a):
    guess = any(m.estimated for m in a.mass.values())
    yoke = a.yoke_loads["guide_couple"] / a.design.cylinders.si.stroke
    picks = (
        ("trunk_bore", "trunk piston: side thrust on one bore", a.ordinary_loads["bore"]),
        ("crosshead_guide", "crosshead: side thrust on one guide", a.crosshead_loads["guide"]),
        ("yoke_pair", "scotch yoke: couple as two guide forces one stroke apart", yoke),
        ("teeth_alone", "straight-line drive, guides idle: tooth force, both ends", a.loads["mesh"]),
        ("guides_alone", "straight-line drive, no gear: force of one guide", a.loads_guides_alone["guide"]),
    )
    return {key: Quantity(float(np.abs(v).max()), "N", f"{words}, peak", "kN", guess) for key, words, v in picks}


def _contacts(a):
    crank, carrier = a.design.crank.si, a.design.carrier.si
    wrist = machine.masses.WRIST_PIN_OVER_BORE * a.design.cylinders.si.bore
    pairs = {
        "straight-line drive": machine.hypocycloid.contacts(
            a.drive, (crank.pin_diameter, crank.journal_diameter, carrier.bearing_diameter)
        ),
        "ordinary crank": machine.slider_crank.contacts(a.ordinary, (crank.pin_diameter, wrist, crank.journal_diameter)),
    }
    return {
        f"{words.split()[0]}_{k}": Quantity(c.speed, "m/s", f"{words}: {c.count} x {c.name}, top rubbing speed")
        for words, found in pairs.items()
        for k, c in enumerate(found)
        if c.kind != "mesh"
    }


def _bearings(a):
    film = bearings.film_thickness(a.warm.journals, a.warm.orbit).min(axis=1)
    ratio, result = bearings.film_ratio(a.warm.journals, a.warm.orbit).min(axis=1), {}
    for machine, name in dict.fromkeys((seat.machine, seat.kin) for seat in a.seats):
        own = [k for k, seat in enumerate(a.seats) if (seat.machine, seat.kin) == (machine, name)]
        key, words = f"{machine.split()[0]}_{name.replace(' ', '_')}", f"{machine}: {name}"
        result[f"{key}_film"] = Quantity(float(film[own].min()), "m", f"{words}, least film", "um", True)
        result[f"{key}_ratio"] = Quantity(float(ratio[own].min()), "1", f"{words}, least film over roughness", "", True)
        loss, count = float(a.warm.power[own].sum()), len(own)
        result[f"{key}_loss"] = Quantity(loss, "W", f"{words}, loss of {count} as plain bearings", "", True)
    return result


def _rms(values):
    return float(np.sqrt(np.mean(np.square(values[..., :-1]))))


def _screens(a):
    result = {}
    for i, margin in enumerate(a.margins):
        unit, edge = margin.unit or "1", EDGE.get(margin.unit, "")
        limit = shown(Quantity(margin.limit, unit, "", edge))
        state = "holds" if margin.ok else "FAILS"
        result[f"screen_{i}"] = Quantity(margin.value, unit, f"{margin.name}, {margin.sense} {limit}: {state}", edge)
    return result


def shown(quantity):
    """Write a result in its customary unit; forces below 100 N stay in newtons.

    Parameters
    ----------
    quantity : Quantity [-]
        The result.

    Returns
    -------
    str [-]
        Number and unit, four figures.
    """
    edge = quantity.edge or quantity.unit
    edge = "N" if edge == "kN" and abs(quantity.value) < 100.0 else edge
    return show(from_si(quantity.value, edge), "" if edge == "1" else edge)


#: Stage name to the function that picks its numbers, in the order of ``to_dict``.
STAGES: Mapping[str, object] = {
    "size": _size,
    "mass": _mass,
    "pressure": _pressure,
    "cycle": _cycle,
    "motion": _motion,
    "loads": _loads,
    "ordinary": _ordinary,
    "comparison": _comparison,
    "own_comparison": _own_comparison,
    "comparators": _comparators,
    "ends": _ends,
    "sharing": _sharing,
    "contacts": _contacts,
    "bearings": _bearings,
    "screens": _screens,
}
