"""Numbers of the drawing, of the gas and of the motion: size, mass, pressure, cycle, motion, screens."""

import numpy as np

from vmech_core import gears, pressure
from vmech_core.base.results import Quantity
from vmech_core.sheet.stages import BOTH, peak, shown

#: Units in which screens are printed.
EDGE = {"Pa": "MPa", "m": "mm", "rad": "deg", "s": "h", "N": "kN"}


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
        "highest_gas_force": peak(a.loads["gas"], "greatest gas force on a piston", False),
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


def _screens(a):
    result = {}
    for i, margin in enumerate(a.margins):
        unit, edge = margin.unit or "1", EDGE.get(margin.unit, "")
        limit = shown(Quantity(margin.limit, unit, "", edge))
        state = "holds" if margin.ok else "FAILS"
        result[f"screen_{i}"] = Quantity(margin.value, unit, f"{margin.name}, {margin.sense} {limit}: {state}", edge)
    return result
