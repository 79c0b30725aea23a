"""One design at one speed, load and state: frozen, every result computed when first asked for and never written over.

A variant is a new case: ``dataclasses.replace(case, load=0.5)``. No physics stands here: a property calls the package
that knows it, and a package is loaded when one of its names is first used.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from numbers import Integral, Real

import numpy as np

from vmech_core import bearings, gears, machine, plays, pressure, sharing
from vmech_core.base.errors import Effort, InputError
from vmech_core.base.results import Estimate, Loads, Margin, Motion
from vmech_core.base.units import from_si

#: Fewest and most angles per cycle.
FEWEST, MOST = 13, 100_001


@dataclass(frozen=True, eq=False)
class Case:
    """One design at one speed, load and state, with all that follows from it.

    Attributes
    ----------
    design : Design [-]
        The design, at the speed of the case.
    samples : int [1]
        Angles per cycle, both ends included; 13 to 100,001.
    speed : float or None [rad/s]
        Speed; None is that of the design.
    load : float [1]
        Factor on the pressure above that in the crankcase, 0 to 2; 0 for a machine that turns without gas. A rough part
        load: true traces change their form with speed and throttle, and throttling adds gas exchange.
    trace : Trace or None [-]
        Pressure over one cycle that both machines get; None is the trace that the design names.
    state : Heat or None [-]
        Rise of each part, which changes the plays between which the side load is shared; None is as drawn.
    """

    design: object
    samples: int = 1441
    speed: float | None = None
    load: float = 1.0
    trace: object = None
    state: object = None

    def __post_init__(self):
        if not isinstance(self.samples, Integral) or not FEWEST <= self.samples <= MOST:
            near = MOST if isinstance(self.samples, Real) and self.samples > MOST else FEWEST
            raise InputError("samples", self.samples, "not a whole number from 13 to 100001", "angles", str(near))
        if not isinstance(self.load, Real) or not 0.0 <= self.load <= 2.0:
            near = ("0" if self.load < 0.0 else "2") if isinstance(self.load, Real) else None
            raise InputError("load", self.load, "outside 0 to 2", nearest=near)
        if not isinstance(self.speed, Real | None):
            raise InputError("speed", self.speed, "not a number", "rad/s")
        if self.speed is not None and self.speed != self.design.duty.si.speed:
            turned = self.design.changed(**{"duty.speed_rpm": float(from_si(self.speed, "rpm"))})
            object.__setattr__(self, "design", turned)

    @cached_property
    def angle(self) -> np.ndarray:
        """Carrier or crank angle over one full cycle, (A,) [rad]."""
        return np.linspace(0.0, 2.0 * np.pi * self.design.duty.cycle_turns, self.samples)

    @property
    def displacement(self) -> float:
        """Volume that all pistons sweep in one stroke [m3]."""
        own = self.design.cylinders.si
        return self.design.n_cylinders * 0.25 * np.pi * own.bore**2 * own.stroke

    @cached_property
    def mass(self) -> dict[str, Estimate]:
        """Masses by part, as given or as estimated [kg]."""
        return machine.masses.of_design(self.design)

    @cached_property
    def drive(self) -> machine.hypocycloid.HypocycloidDrive:
        """The straight-line drive."""
        return machine.hypocycloid.from_design(self.design, self.mass)

    @cached_property
    def ordinary(self) -> machine.slider_crank.SliderCrank:
        """The ordinary crank drive beside it."""
        return machine.slider_crank.from_design(self.design, self.mass)

    @cached_property
    def curves(self) -> list:
        """Volume curves of straight-line drive and ordinary drive."""
        pairs = ((machine.hypocycloid, self.drive), (machine.slider_crank, self.ordinary))
        return [pressure.volume_curve(self.design, *pair) for pair in pairs]

    @cached_property
    def cycle(self) -> pressure.Cycles:
        """Computed cycle on both volume curves, with the ignition that the design asks for."""
        return pressure.computed(self.design, self.curves)

    @cached_property
    def own_cycle(self) -> pressure.Cycles:
        """Computed cycle on both volume curves: same charge and heat, each with its own best ignition."""
        is_best = self.design.spark_cycle.burn_start_deg == "best" or self.design.design.machine != "engine"
        return self.cycle if is_best else pressure.computed(self.design, self.curves, "best")

    @cached_property
    def gas_trace(self) -> pressure.Trace:
        """Pressure over one cycle that both machines get: the trace given or named, or the computed one; with load."""
        found = self.trace
        if found is None and self.design.duty.pressure_from == "cycle":
            found = self.cycle.traces[0]
        if found is None:
            own = self.design.duty
            found = pressure.read_trace(self.design.trace_path, own.cycle_turns, own.si.inlet_pressure)
        back = self.design.duty.si.crankcase_pressure
        return found if self.load == 1.0 else replace(found, pressure=back + self.load * (found.pressure - back))

    @cached_property
    def motion(self) -> Motion:
        """Motion of the straight-line drive."""
        return machine.hypocycloid.motion(self.drive, self.angle)

    @cached_property
    def ordinary_motion(self) -> Motion:
        """Motion of the ordinary drive."""
        return machine.slider_crank.motion(self.ordinary, self.angle)

    @cached_property
    def ordinary_top(self) -> np.ndarray:
        """Crank angle at which each piston of the ordinary drive is farthest out, (K,) [rad]."""
        return machine.slider_crank.top_dead_centre(self.ordinary)

    @cached_property
    def loads(self) -> Loads:
        """Loads of the straight-line drive in the limit of idle guides."""
        return self._rigid(machine.hypocycloid, self.drive)

    @cached_property
    def loads_guides_alone(self) -> Loads:
        """Loads of the straight-line drive in the limit of no gear."""
        return self._rigid(machine.hypocycloid, self.drive, "alone")

    @cached_property
    def own_loads(self) -> Loads:
        """Loads of the straight-line drive, guides idle, with the computed cycle of its own."""
        return self._rigid(machine.hypocycloid, self.drive, trace=self.own_cycle.traces[0])

    @cached_property
    def ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive."""
        return self._rigid(machine.slider_crank, self.ordinary)

    @cached_property
    def own_ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive with the computed cycle of its own."""
        return self._rigid(machine.slider_crank, self.ordinary, trace=self.own_cycle.traces[1])

    @cached_property
    def crosshead(self) -> machine.slider_crank.SliderCrank:
        """An ordinary drive whose side thrust lands on a crosshead guide."""
        return machine.slider_crank.from_design(self.design, self.mass, crosshead=True)

    @cached_property
    def crosshead_loads(self) -> Loads:
        """Its loads, same trace."""
        return self._rigid(machine.slider_crank, self.crosshead, "crosshead")

    @cached_property
    def yoke_loads(self) -> Loads:
        """Loads of a scotch yoke, same trace."""
        return self._rigid(machine.scotch_yoke, machine.scotch_yoke.from_design(self.design, self.mass))

    @cached_property
    def axis(self) -> machine.ends.CrankAxis:
        """Places along the crank's axis, the driving carriers and the tie that the design names."""
        return machine.ends.from_design(self.design, self.drive)

    @cached_property
    def ends(self) -> Loads:
        """Loads of each end of the crank, guides idle."""
        return machine.ends.end_loads(self.axis, self.drive, self.loads)

    @cached_property
    def dry_elastic(self) -> sharing.Elastic:
        """Likely stiffnesses and the clearances of the design, no errors of geometry, no oil films."""
        return sharing.from_design(self.design, self.drive)

    @cached_property
    def _effort(self):
        """Steps for all films of the case; those that share the side load come first, whatever is asked for."""
        return Effort(bearings.EFFORT)

    @cached_property
    def _filmed(self):
        """The same with the oil films of bearings and guides; a refusal takes long too, and is kept."""
        try:
            few = bearings.thinned(self.loads)
            return bearings.with_films(self.dry_elastic, self.design, self.drive, few, self._effort)
        except InputError as error:
            return error

    @cached_property
    def elastic(self) -> sharing.Elastic:
        """The same with the oil films of bearings and guides, and with the plays of the state."""
        made = self._filmed
        if isinstance(made, InputError):
            raise made.with_traceback(None)
        return made if self.state is None else plays.hot(made, self.design, self.state, self.drive.pressure_angle)

    @cached_property
    def shared(self) -> Loads:
        """Loads of the straight-line drive, shared between teeth, guides and bores, both ends lumped."""
        return sharing.share(self.elastic, self.drive, self.loads)[0]

    @cached_property
    def few(self) -> Loads:
        """Shared loads with those of each end, at the angles that films and friction use."""
        return bearings.with_ends(self.design, self.drive, bearings.thinned(self.shared))

    @cached_property
    def few_ordinary(self) -> Loads:
        """Loads of the ordinary drive at the angles that films and friction use."""
        return bearings.thinned(self.ordinary_loads)

    @cached_property
    def few_crosshead(self) -> Loads:
        """Loads of the ordinary drive on a crosshead at the same angles."""
        return bearings.thinned(self.crosshead_loads)

    @cached_property
    def straight_seats(self) -> list[bearings.Seat]:
        """Bearings of the straight-line drive."""
        return bearings.straight(self.design, self.drive, self.few)

    @cached_property
    def ordinary_seats(self) -> list[bearings.Seat]:
        """Bearings of the ordinary drive."""
        return bearings.ordinary(self.design, self.ordinary, self.few_ordinary)

    @property
    def seats(self) -> list[bearings.Seat]:
        """Bearings of both machines, the straight-line drive first."""
        return self.straight_seats + self.ordinary_seats

    @cached_property
    def warm(self) -> bearings.Warm:
        """Oil films of all these bearings, each as a plain bearing, warm from their own losses."""
        return bearings.settle(self.seats, self.design, effort=self._effort)

    @cached_property
    def bending(self) -> list[Margin]:
        """Screen of bending of pinion and ring teeth, at the end that carries more."""
        mesh, own = self.ends["mesh_end"], self.design.gear_pair.si
        peak = float(np.abs(mesh).max())
        both_ways = bool(mesh.min() < -1e-6 * peak and mesh.max() > 1e-6 * peak)
        allowable = (own.pinion_bending_limit, own.ring_bending_limit)
        return list(gears.bending_margins(self.design.pair, peak, own.face_width, allowable, both_ways))

    @property
    def margins(self) -> list[Margin]:
        """Every screen of the gear pair: geometry first, then bending."""
        return [*gears.check_pair(self.design.pair), *self.bending]

    def _rigid(self, mechanism, drive, side=None, trace=None):
        """Rigid loads with a trace, that of the case unless another is given."""
        own, back = self.design.cylinders.si, self.design.duty.si.crankcase_pressure
        firing = mechanism.firing_angles(self.design, drive)
        gas = pressure.gas_force(trace or self.gas_trace, self.angle, firing, 0.25 * np.pi * own.bore**2, back)
        return mechanism.rigid_loads(drive, self.angle, gas, *(() if side is None else (side,)))
