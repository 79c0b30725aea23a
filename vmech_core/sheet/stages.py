"""The numbers of an assessment that a reader wants to see, stage by stage. No physics stands here."""

from collections.abc import Mapping

import numpy as np

from vmech_core import bearings, gears, machine, pressure
from vmech_core.base.results import CHANNELS, MACHINES, Quantity
from vmech_core.base.units import show

#: Units in which screens are printed.
EDGE = {"Pa": "MPa", "m": "mm", "rad": "deg"}
#: Beginning of the keys of each machine; in them, the names of bearings.
BEGIN = {"straight": "straight-line", "ordinary": "ordinary"}
BEARING = {"crankpin": "rod_big_end_on_crankpin", "wrist_pin": "wrist_pin", "crank_in_carrier": "crank_in_carrier",
           "carrier_in_block": "carrier_in_block", "main_bearing": "main_journal_in_block"}
STRAIGHT, ORDINARY = MACHINES.values()
#: The two machines in keys of their own: beginning of the key, and words.
BOTH = (("", STRAIGHT), ("ordinary_", ORDINARY))


def _size(a):
    own, pair = a.design.cylinders.si, a.design.pair
    return {
        "stroke": Quantity(own.stroke, "m", "stroke", "mm"),
        "bore": Quantity(own.bore, "m", "bore", "mm"),
        "carrier_radius": Quantity(0.25 * own.stroke, "m", "carrier radius = crankpin radius", "mm"),
        "pinion_pitch_diameter": Quantity(0.5 * own.stroke, "m", "pinion working pitch diameter", "mm"),
        "ring_pitch_diameter": Quantity(own.stroke, "m", "ring gear working pitch diameter", "mm"),
        "pressure_angle": Quantity(float(pair.working_angle), "rad", "working pressure angle", "deg"),
        "contact_ratio": Quantity(float(gears.contact_ratio(pair)), "1", "contact ratio"),
        "displacement": Quantity(a.displacement, "m3", "displacement of all cylinders", "cm3"),
    }


def _mass(a):
    names = {"piston": "piston without skirt", "piston_rod": "straight piston rod", "crank": "planet crank, pinions on",
             "carrier": "one carrier", "ordinary_piston": "trunk piston with pin", "ordinary_rod": "connecting rod"}
    mean = {key: ", mean of the cylinders" * np.ndim(a.mass[key].likely) for key in names}
    return {key: Quantity(float(np.mean(a.mass[key].likely)), "kg", label + mean[key], "g", a.mass[key].estimated)
            for key, label in names.items()}


def _pressure(a):
    found = a.gas_trace.pressure
    return {
        "highest_pressure": Quantity(float(found.max()), "Pa", "highest cylinder pressure", "bar"),
        "lowest_pressure": Quantity(float(found.min()), "Pa", "lowest cylinder pressure", "bar"),
        "highest_gas_force": _peak(a.loads["gas"], "greatest gas force on a piston", False),
    }


def _cycle(a):
    result = {}
    for k, (key, words) in enumerate(BOTH):
        trace, curve = a.own_cycle.traces[k], a.curves[k]
        mean = pressure.indicated_mean_pressure(trace.angle, trace.pressure, curve)
        result[f"{key}peak_pressure"] = Quantity(float(trace.pressure.max()), "Pa", f"{words}: peak pressure", "bar")
        result[f"{key}mean_pressure"] = Quantity(mean, "Pa", f"{words}: indicated mean effective pressure", "bar")
        if a.own_cycle.closed is not None:
            result |= _burn(a.own_cycle, k, key, words, mean * pressure.swept(curve))
    return result


def _burn(cycle, k, key, words, work):
    heat, wall = float(cycle.closed.released[k, -1]), float(cycle.closed.wall[k, -1])
    start, edge = float(cycle.burn_start[k]), ", at the edge of the range searched" * bool(cycle.at_edge[k])
    return {
        f"{key}burn_start": Quantity(start, "rad", f"{words}: best start of the burn, after the dead centre{edge}",
                                     "deg"),
        f"{key}wall_share": Quantity(wall / heat, "1", f"{words}: share of the heat lost to the walls"),
        f"{key}efficiency": Quantity(work / heat, "1", f"{words}: indicated efficiency, whole cycle"),
    }


def _motion(a):
    result = {}
    for (key, words), motion in zip(BOTH, (a.motion, a.ordinary_motion), strict=True):
        speed, ends = float(np.abs(motion.velocity).max()), motion.acceleration
        outer, inner = float(-ends.min()), float(ends.max())
        result |= {
            f"{key}piston_speed": Quantity(speed, "m/s", f"{words}: top piston speed"),
            f"{key}acceleration_out": Quantity(outer, "m/s2", f"{words}: acceleration at outer dead centre"),
            f"{key}acceleration_in": Quantity(inner, "m/s2", f"{words}: greatest acceleration near inner dead centre"),
        }
    return result


def _loads(a):
    guess = _is_guess(a, "piston", "piston_rod", "crank")
    teeth = ("mesh", "separating", "pin", "crank_bearing", "torque")
    return {**{f"teeth_{name}": _of_channel(a.loads, name, "guides idle", guess) for name in teeth},
            "guides_guide": _of_channel(a.loads_guides_alone, "guide", "no gear", guess)}


def _ordinary(a):
    guess = _is_guess(a, "ordinary_piston", "ordinary_rod")
    return {f"ordinary_{name}": _of_channel(a.ordinary_loads, name, ORDINARY, guess)
            for name in ("bore", "wrist", "pin", "main", "torque")}


def _comparison(a):
    guess, mesh, bore = _is_guess(a), a.loads["mesh"], a.ordinary_loads["bore"]
    side, tooth = _thrust_and_tooth(a.loads, a.ordinary_loads, guess)
    over = tooth.value / side.value if side.value else np.inf
    means = _mean_torques(a.loads, a.ordinary_loads)
    return {
        "side_thrust": side,
        "tooth_force": tooth,
        "tooth_over_thrust": Quantity(over, "1", "the second over the first", "", guess),
        "side_thrust_rms": _rms(bore, f"{ORDINARY}: side thrust, root mean square", guess),
        "tooth_force_rms": _rms(mesh, f"{STRAIGHT}: tooth force, root mean square", guess),
        "mean_torque": means[0],
        "ordinary_mean_torque": means[1],
    }


def _own_comparison(a):
    loads = a.own_loads, a.own_ordinary_loads
    names = ("own_side_thrust", "own_tooth_force", "own_mean_torque", "own_ordinary_mean_torque")
    return dict(zip(names, (*_thrust_and_tooth(*loads, _is_guess(a)), *_mean_torques(*loads)), strict=True))


def _thrust_and_tooth(straight, ordinary, guess):
    return (_peak(ordinary["bore"], f"{ORDINARY}: peak side thrust on one bore", guess),
            _peak(straight["mesh"], f"{STRAIGHT}, guides idle: peak tooth force", guess))


def _mean_torques(straight, ordinary):
    return [Quantity(float(loads["torque"][:-1].mean()), "N m", f"{words}: mean torque")
            for words, loads in ((STRAIGHT, straight), (ORDINARY, ordinary))]


def _ends(a):
    guess, names = _is_guess(a, "piston", "piston_rod"), ("end 1", "end 2, which drives the load")
    return {f"mesh_end_{k + 1}": _peak(a.ends["mesh_end"][k], f"guides idle: peak tooth force at {name}", guess)
            for k, name in enumerate(names)}


def _sharing(a):
    result = {}
    for name, words in {"mesh": "teeth, both ends", "guide": "one guide", "bore": "one piston on its bore"}.items():
        result[f"shared_{name}"] = _peak(a.shared[name], f"{words}: peak with stated clearances", True)
        result[f"shared_{name}_rms"] = _rms(a.shared[name], f"{words}: root mean square", True)
    return result


def _comparators(a):
    guess, yoke = _is_guess(a), a.yoke_loads["guide_couple"] / a.design.cylinders.si.stroke
    picks = {
        "trunk_bore": ("trunk piston: side thrust on one bore", a.ordinary_loads["bore"]),
        "crosshead_guide": ("crosshead: side thrust on one guide", a.crosshead_loads["guide"]),
        "yoke_pair": ("scotch yoke: couple as two guide forces one stroke apart", yoke),
        "teeth_alone": (f"{STRAIGHT}, guides idle: tooth force, both ends", a.loads["mesh"]),
        "guides_alone": (f"{STRAIGHT}, no gear: force of one guide", a.loads_guides_alone["guide"]),
    }
    return {key: _peak(values, f"{words}, peak", guess) for key, (words, values) in picks.items()}


def _contacts(a):
    crank, carrier = a.design.crank.si, a.design.carrier.si
    own = {"crankpin": crank.pin_diameter, "crank_in_carrier": crank.journal_diameter,
           "carrier_in_block": carrier.bearing_diameter}
    other = {"crankpin": crank.pin_diameter, "main_bearing": crank.journal_diameter,
             "wrist_pin": machine.masses.WRIST_PIN_OVER_BORE * a.design.cylinders.si.bore}
    pairs = {"straight": machine.hypocycloid.contacts(a.drive, own),
             "ordinary": machine.slider_crank.contacts(a.ordinary, other)}
    return {f"{BEGIN[id_]}_{k}": Quantity(c.speed, "m/s", f"{MACHINES[id_]}: {c.count} x {c.label}, top rubbing speed")
            for id_, found in pairs.items() for k, c in enumerate(found) if c.kind != "mesh"}


def _bearings(a):
    film = bearings.film_thickness(a.warm.journals, a.warm.orbit).min(axis=1)
    ratio, result = bearings.film_ratio(a.warm.journals, a.warm.orbit).min(axis=1), {}
    for id_, part in dict.fromkeys((seat.machine, seat.part) for seat in a.seats):
        own = [k for k, seat in enumerate(a.seats) if (seat.machine, seat.part) == (id_, part)]
        key, words = f"{BEGIN[id_]}_{BEARING[part]}", f"{MACHINES[id_]}: {a.seats[own[0]].kin}"
        words += "" if a.warm.converged[own].all() else " (not settled: do not trust)"
        loss = float(a.warm.power[own].sum())
        result |= {
            f"{key}_film": Quantity(float(film[own].min()), "m", f"{words}, least film", "um", True),
            f"{key}_ratio": Quantity(float(ratio[own].min()), "1", f"{words}, least film over roughness", "", True),
            f"{key}_loss": Quantity(loss, "W", f"{words}, loss of {len(own)} as plain bearings", "", True),
        }
    return result


def _screens(a):
    result = {}
    for i, margin in enumerate(a.margins):
        unit, edge = margin.unit or "1", EDGE.get(margin.unit, "")
        limit = shown(Quantity(margin.limit, unit, "", edge))
        state = "holds" if margin.ok else "FAILS"
        result[f"screen_{i}"] = Quantity(margin.value, unit, f"{margin.name}, {margin.sense} {limit}: {state}", edge)
    return result


def _is_guess(a, *parts):
    """Whether a mass of these parts, or of any, is an estimate."""
    return any(a.mass[part].estimated for part in parts or a.mass)


def _of_channel(loads, name, words, guess):
    return _peak(loads[name], f"{words}: peak {CHANNELS[name].quantity}", guess, CHANNELS[name].unit)


def _peak(values, label, guess, unit="N"):
    return Quantity(float(np.abs(values).max()), unit, label, "kN" if unit == "N" else "", guess)


def _rms(values, label, guess):
    return Quantity(float(np.sqrt(np.mean(np.square(values[..., :-1])))), "N", label, "kN", guess)


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
    return show(quantity.value, "" if edge == "1" else edge)


#: Stage name to the function that picks its numbers, in the order of ``to_dict``.
STAGES: Mapping[str, object] = {
    "size": _size, "mass": _mass, "pressure": _pressure, "cycle": _cycle, "motion": _motion, "loads": _loads,
    "ordinary": _ordinary, "comparison": _comparison, "own_comparison": _own_comparison, "comparators": _comparators,
    "ends": _ends, "sharing": _sharing, "contacts": _contacts, "bearings": _bearings, "screens": _screens,
}
