"""From a design to its numbers: named stages, each computed when first asked for, each able to fail alone.

No physics stands here. A stage calls the modules that know it and picks the numbers a reader wants to see.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

import numpy as np

from vmech_core import masses
from vmech_core.errors import InputError
from vmech_core.gears import geometry, lewis, screens
from vmech_core.mechanisms import hypocycloid, slider_crank
from vmech_core.pressure import measured
from vmech_core.results import CHANNELS, Estimate, Loads, Margin, Motion, Quantity
from vmech_core.units import from_si, show

#: Units in which screens are printed.
EDGE = {"Pa": "MPa", "m": "mm", "rad": "deg"}
#: What every comparison of this version rests on; printed on each comparison figure and table.
SAME_TRACE = "same pressure trace against crank angle for both mechanisms"


class Assessment:
    """All computed numbers of one design, computed stage by stage on demand.

    Attributes
    ----------
    design : Design [-]
        The design that is assessed.
    samples : int [1]
        Angles per cycle, both ends included.
    """

    def __init__(self, design, samples=1441):
        self.design, self.samples = design, samples
        self._stages: dict[str, dict[str, Quantity] | str] = {}

    @cached_property
    def angle(self) -> np.ndarray:
        """Carrier or crank angle over one full cycle, (A,) [rad]."""
        return np.linspace(0.0, 2.0 * np.pi * self.design.duty.cycle_turns, self.samples)

    @cached_property
    def mass(self) -> dict[str, Estimate]:
        """Masses by part, as given or as estimated [kg]."""
        return masses.of_design(self.design)

    @cached_property
    def drive(self) -> hypocycloid.HypocycloidDrive:
        """The straight-line drive."""
        return hypocycloid.from_design(self.design, self.mass)

    @cached_property
    def ordinary(self) -> slider_crank.SliderCrank:
        """The ordinary crank drive beside it."""
        return slider_crank.from_design(self.design, self.mass)

    @cached_property
    def trace(self) -> measured.Trace:
        """Pressure over one cycle, from the file that the design names."""
        return measured.read_trace(self.design.trace_path, self.design.duty.cycle_turns)

    @cached_property
    def motion(self) -> Motion:
        """Motion of the straight-line drive."""
        return hypocycloid.motion(self.drive, self.angle)

    @cached_property
    def ordinary_motion(self) -> Motion:
        """Motion of the ordinary drive."""
        return slider_crank.motion(self.ordinary, self.angle)

    @cached_property
    def ordinary_top(self) -> np.ndarray:
        """Crank angle at which each piston of the ordinary drive is farthest out, (K,) [rad]."""
        return slider_crank.top_dead_centre(self.ordinary)

    @cached_property
    def loads(self) -> Loads:
        """Loads of the straight-line drive in the limit of idle guides."""
        return hypocycloid.rigid_loads(self.drive, self.angle, self._gas(hypocycloid, self.drive))

    @cached_property
    def loads_guides_alone(self) -> Loads:
        """Loads of the straight-line drive in the limit of no gear."""
        return hypocycloid.rigid_loads(self.drive, self.angle, self._gas(hypocycloid, self.drive), "alone")

    @cached_property
    def ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive."""
        return slider_crank.rigid_loads(self.ordinary, self.angle, self._gas(slider_crank, self.ordinary))

    @cached_property
    def margins(self) -> list[Margin]:
        """Every screen of the gear pair: geometry first, then bending of pinion and ring teeth."""
        mesh, gears = self.loads["mesh"], self.design.gear_pair.si
        peak = hypocycloid.end_share(self.design.crank.driving_carriers) * float(np.abs(mesh).max())
        both_ways = bool(mesh.min() < -1e-6 * peak and mesh.max() > 1e-6 * peak)
        allowable = (gears.pinion_bending_limit, gears.ring_bending_limit)
        bending = lewis.bending_margins(self.design.pair, peak, gears.face_width, allowable, both_ways)
        return [*screens.check_pair(self.design.pair), *bending]

    def stage(self, name: str) -> dict[str, Quantity]:
        """Numbers of one stage.

        Parameters
        ----------
        name : str [-]
            One of ``STAGES``.

        Returns
        -------
        dict of str to Quantity [-]
            Results by key.

        Raises
        ------
        InputError
            If there is no such stage, or if its input cannot be used; other stages still work.
        """
        if name not in STAGES:
            raise InputError("stage", name, f"not one of {', '.join(STAGES)}")
        if name not in self._stages:
            self._stages[name] = STAGES[name](self)
        return self._stages[name]

    def to_dict(self) -> dict:
        """Every stage as plain data: value, SI unit, label and whether it rests on an estimate.

        Returns
        -------
        dict [-]
            Stage name to results; a stage that failed holds one sentence under the key ``error``,
            and a value without bound is None.
        """
        return {name: self._plain(name) for name in STAGES}

    def report(self, name: str) -> str:
        """One stage as aligned text for a notebook.

        Parameters
        ----------
        name : str [-]
            One of ``STAGES``.

        Returns
        -------
        str [-]
            A line per result, in customary units, four figures; estimated ones are marked.
        """
        rows = [(q.label, _shown(q), "  estimated" if q.estimated else "") for q in self.stage(name).values()]
        wide, right = max(len(r[0]) for r in rows), max(len(r[1]) for r in rows)
        return "\n".join(f"{label:<{wide}}  {number:>{right}}{mark}" for label, number, mark in rows)

    def _plain(self, name):
        try:
            return {key: _plain_quantity(q) for key, q in self.stage(name).items()}
        except InputError as error:
            return {"error": str(error)}

    def _gas(self, mechanism, drive):
        cylinders, back = self.design.cylinders.si, self.design.duty.si.crankcase_pressure
        firing = mechanism.firing_angles(self.design, drive)
        return measured.gas_force(self.trace, self.angle, firing, 0.25 * np.pi * cylinders.bore**2, back)


def _size(a):
    d, pair = a.design, a.design.pair
    return {
        "stroke": Quantity(d.cylinders.si.stroke, "m", "stroke", "mm"),
        "bore": Quantity(d.cylinders.si.bore, "m", "bore", "mm"),
        "carrier_radius": Quantity(0.25 * d.cylinders.si.stroke, "m", "carrier radius = crankpin radius", "mm"),
        "pinion_pitch_diameter": Quantity(0.5 * d.cylinders.si.stroke, "m", "pinion working pitch diameter", "mm"),
        "ring_pitch_diameter": Quantity(d.cylinders.si.stroke, "m", "ring gear working pitch diameter", "mm"),
        "pressure_angle": Quantity(float(pair.working_angle), "rad", "working pressure angle", "deg"),
        "contact_ratio": Quantity(float(geometry.contact_ratio(pair)), "1", "contact ratio"),
        "displacement": Quantity(
            d.n_cylinders * 0.25 * np.pi * d.cylinders.si.bore**2 * d.cylinders.si.stroke,
            "m3",
            "displacement of all cylinders",
            "cm3",
        ),
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
        "highest_pressure": Quantity(float(a.trace.pressure.max()), "Pa", "highest cylinder pressure", "bar"),
        "lowest_pressure": Quantity(float(a.trace.pressure.min()), "Pa", "lowest cylinder pressure", "bar"),
        "highest_gas_force": Quantity(float(np.abs(a.loads["gas"]).max()), "N", "greatest gas force on a piston", "kN"),
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


def _contacts(a):
    crank, carrier = a.design.crank.si, a.design.carrier.si
    wrist = masses.WRIST_PIN_OVER_BORE * a.design.cylinders.si.bore
    pairs = {
        "straight-line drive": hypocycloid.contacts(
            a.drive, (crank.pin_diameter, crank.journal_diameter, carrier.bearing_diameter)
        ),
        "ordinary crank": slider_crank.contacts(a.ordinary, (crank.pin_diameter, wrist, crank.journal_diameter)),
    }
    return {
        f"{words.split()[0]}_{k}": Quantity(c.speed, "m/s", f"{words}: {c.count} x {c.name}, top rubbing speed")
        for words, found in pairs.items()
        for k, c in enumerate(found)
        if c.kind != "mesh"
    }


def _rms(values):
    return float(np.sqrt(np.mean(np.square(values[..., :-1]))))


def _screens(a):
    result = {}
    for i, margin in enumerate(a.margins):
        unit, edge = margin.unit or "1", EDGE.get(margin.unit, "")
        limit = _shown(Quantity(margin.limit, unit, "", edge))
        state = "holds" if margin.ok else "FAILS"
        result[f"screen_{i}"] = Quantity(margin.value, unit, f"{margin.name}, {margin.sense} {limit}: {state}", edge)
    return result


def _plain_quantity(quantity):
    """A result as plain data; a value without bound is None, and its label says so."""
    bounded = bool(np.isfinite(quantity.value))
    return {
        "value": quantity.value if bounded else None,
        "unit": quantity.unit,
        "label": quantity.label + ("" if bounded else " (unbounded)"),
        "estimated": quantity.estimated,
    }


def _shown(quantity):
    """A result in its customary unit; forces below 100 N stay in newtons."""
    edge = quantity.edge or quantity.unit
    edge = "N" if edge == "kN" and abs(quantity.value) < 100.0 else edge
    return show(from_si(quantity.value, edge), "" if edge == "1" else edge)


#: Stage name to the function that picks its numbers, in the order of ``to_dict``.
STAGES: Mapping[str, object] = {
    "size": _size,
    "mass": _mass,
    "pressure": _pressure,
    "motion": _motion,
    "loads": _loads,
    "ordinary": _ordinary,
    "comparison": _comparison,
    "contacts": _contacts,
    "screens": _screens,
}


def assess(design, samples=1441):
    """Assess a design; nothing is computed until a stage is asked for.

    Parameters
    ----------
    design : Design [-]
        The design, from ``load_design``.
    samples : int [1]
        Angles per cycle, both ends included; at least 13.

    Returns
    -------
    Assessment [-]
        Its stages, results and ``to_dict()``.

    Raises
    ------
    InputError
        If there are too few samples.
    """
    if samples < 13:
        raise InputError("samples", samples, "below 13", "angles", "13")
    return Assessment(design, samples)
