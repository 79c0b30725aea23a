"""From a design to its numbers: named stages, each computed when first asked for, each able to fail alone.

No physics stands here. A stage calls the modules that know it and picks the numbers a reader wants to see.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from vmech_core import bearings, cycles, films, masses, seats, sharing
from vmech_core.errors import InputError
from vmech_core.gears import lewis, screens
from vmech_core.mechanisms import axial, hypocycloid, scotch_yoke, slider_crank
from vmech_core.pressure import measured
from vmech_core.results import Estimate, Loads, Margin, Motion, Quantity
from vmech_core.stages import STAGES, shown


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
        """Pressure over one cycle that both mechanisms get: from the file, or computed for the straight-line drive."""
        if self.design.duty.pressure_from == "cycle":
            return self.cycle.traces[0]
        return measured.read_trace(self.design.trace_path, self.design.duty.cycle_turns)

    @cached_property
    def curves(self) -> list:
        """Volume curves of straight-line drive and ordinary drive."""
        pairs = ((hypocycloid, self.drive), (slider_crank, self.ordinary))
        return [cycles.volume_curve(self.design, *pair) for pair in pairs]

    @cached_property
    def cycle(self) -> cycles.Cycles:
        """Computed cycle on both volume curves, with the ignition that the design asks for."""
        return cycles.computed(self.design, self.curves)

    @cached_property
    def own_cycle(self) -> cycles.Cycles:
        """Computed cycle on both volume curves: same charge and heat, each with its own best ignition."""
        is_best = self.design.spark_cycle.burn_start_deg == "best" or self.design.design.machine != "engine"
        return self.cycle if is_best else cycles.computed(self.design, self.curves, "best")

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
    def own_loads(self) -> Loads:
        """The same with the computed cycle of its own."""
        gas = self._gas(hypocycloid, self.drive, self.own_cycle.traces[0])
        return hypocycloid.rigid_loads(self.drive, self.angle, gas)

    @cached_property
    def own_ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive with the computed cycle of its own."""
        gas = self._gas(slider_crank, self.ordinary, self.own_cycle.traces[1])
        return slider_crank.rigid_loads(self.ordinary, self.angle, gas)

    @cached_property
    def crosshead_loads(self) -> Loads:
        """Loads of an ordinary drive whose side thrust lands on a crosshead guide, same trace."""
        drive = slider_crank.from_design(self.design, self.mass, crosshead=True)
        return slider_crank.rigid_loads(drive, self.angle, self._gas(slider_crank, drive), side="crosshead")

    @cached_property
    def yoke_loads(self) -> Loads:
        """Loads of a scotch yoke, same trace."""
        drive = scotch_yoke.from_design(self.design, self.mass)
        return scotch_yoke.rigid_loads(drive, self.angle, self._gas(scotch_yoke, drive))

    @cached_property
    def ends(self) -> Loads:
        """Loads of each end of the crank, guides idle, with the driving carriers and the tie that the design names."""
        return axial.end_loads(axial.from_design(self.design, self.drive), self.drive, self.loads)

    @cached_property
    def loads_guides_alone(self) -> Loads:
        """Loads of the straight-line drive in the limit of no gear."""
        return hypocycloid.rigid_loads(self.drive, self.angle, self._gas(hypocycloid, self.drive), "alone")

    @cached_property
    def ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive."""
        return slider_crank.rigid_loads(self.ordinary, self.angle, self._gas(slider_crank, self.ordinary))

    @cached_property
    def dry_elastic(self) -> sharing.Elastic:
        """Likely stiffnesses and the clearances of the design, no errors of geometry, no oil films."""
        return sharing.from_design(self.design, self.drive)

    @cached_property
    def elastic(self) -> sharing.Elastic:
        """The same with the oil films of bearings and guides."""
        return films.with_films(self.dry_elastic, self.design, self.drive, self.loads)

    @cached_property
    def shared(self) -> Loads:
        """Loads of the straight-line drive, shared between teeth, guides and bores, both ends lumped."""
        return sharing.share(self.elastic, self.drive, self.loads)[0]

    @cached_property
    def seats(self) -> list[seats.Seat]:
        """Bearings of both machines under the shared loads, at up to ``films.ANGLES`` angles or a little more."""
        own, other = (films.thinned(loads, films.ANGLES) for loads in (self.shared, self.ordinary_loads))
        straight = seats.straight(self.design, self.drive, films.with_ends(self.design, self.drive, own))
        return straight + seats.ordinary(self.design, self.ordinary, other)

    @cached_property
    def warm(self) -> bearings.Warm:
        """Oil films of all these bearings, each as a plain bearing, warm from their own losses."""
        return films.settle(self.seats, self.design)

    @cached_property
    def margins(self) -> list[Margin]:
        """Every screen of the gear pair: geometry first, then bending of pinion and ring teeth."""
        mesh, gears = self.ends["mesh_end"], self.design.gear_pair.si
        peak = float(np.abs(mesh).max())
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
        rows = [(q.label, shown(q), "  estimated" if q.estimated else "") for q in self.stage(name).values()]
        wide, right = max(len(r[0]) for r in rows), max(len(r[1]) for r in rows)
        return "\n".join(f"{label:<{wide}}  {number:>{right}}{mark}" for label, number, mark in rows)

    def _plain(self, name):
        try:
            return {key: _plain_quantity(q) for key, q in self.stage(name).items()}
        except InputError as error:
            return {"error": str(error)}

    def _gas(self, mechanism, drive, trace=None):
        cylinders, back = self.design.cylinders.si, self.design.duty.si.crankcase_pressure
        firing, trace = mechanism.firing_angles(self.design, drive), trace or self.trace
        return measured.gas_force(trace, self.angle, firing, 0.25 * np.pi * cylinders.bore**2, back)


def _plain_quantity(quantity):
    """A result as plain data; a value without bound is None, and its label says so."""
    bounded = bool(np.isfinite(quantity.value))
    return {
        "value": quantity.value if bounded else None,
        "unit": quantity.unit,
        "label": quantity.label + ("" if bounded else " (unbounded)"),
        "estimated": quantity.estimated,
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
