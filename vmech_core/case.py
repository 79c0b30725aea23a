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
from vmech_core.base import Estimate, Loads, Margin, Motion, from_si, show
from vmech_core.base.errors import Effort, InputError

#: Fewest and most angles per cycle.
FEWEST, MOST = 13, 100_001


@dataclass(frozen=True, eq=False)
class Case:
    """One design at one speed, load and state, with all that follows from it.

    Attributes
    ----------
    drawing : Design [-]
        The design as it is given, with plays as made or running.
    samples : int [1]
        Angles per cycle, both ends included; 13 to 100,001.
    speed : float or None [rad/s]
        Speed; None is that of the design.
    load : float [1]
        Factor on the pressure above that in the crankcase, 0 to 2; 0 for a machine that turns without gas. A rough part
        load: true traces change their form with speed and throttle, and throttling adds gas exchange.
    trace : Trace or None [-]
        Pressure over one cycle that both machines get; None is that of ``duty.pressure_from``, by itself the machine's
        own full-load cycle.
    state : str or Heat [-]
        ``running`` for the temperatures of the design, ``cold`` for 20 C of all parts and of the oil, or other rises.
    """

    drawing: object
    samples: int = 1441
    speed: float | None = None
    load: float = 1.0
    trace: object = None
    state: object = "running"

    def __post_init__(self):
        if not isinstance(self.samples, Integral) or not FEWEST <= self.samples <= MOST:
            near = MOST if isinstance(self.samples, Real) and self.samples > MOST else FEWEST
            raise InputError("samples", self.samples, "not a whole number from 13 to 100001", "angles", str(near))
        if not isinstance(self.load, Real) or not 0.0 <= self.load <= 2.0:
            near = ("0" if self.load < 0.0 else "2") if isinstance(self.load, Real) else None
            raise InputError("load", self.load, "outside 0 to 2", nearest=near)
        if not isinstance(self.speed, Real | None):
            raise InputError("speed", self.speed, "not a number", "rad/s")
        if not (isinstance(self.state, plays.Heat) or self.state in ("running", "cold")):
            raise InputError("state", self.state, "not running, cold or a plays.Heat", nearest="running")
        _ = self.design  # refused here, if a play is used up

    @cached_property
    def design(self):
        """The design as it runs: at the speed of the case, with the plays and the oil of its state [-]."""
        found, heat = self.drawing, None
        if self.speed is not None and self.speed != found.duty.si.speed:
            found = found.changed(**{"duty.speed_rpm": float(from_si(self.speed, "rpm"))})
        if self.state != "running":
            heat = plays.scaled(plays.heat_of(found), 0.0) if isinstance(self.state, str) else self.state
        return plays.as_running(found, heat)

    @cached_property
    def state_words(self) -> str:
        """In which state the machine is, for figures and reports."""
        kind = self.state if isinstance(self.state, str) else "other temperatures"
        return f"{kind}: {plays.state_words(self.design)}"

    @cached_property
    def load_case(self) -> str:
        """Which pressure acts, for figures and reports."""
        if self.trace is not None or not self.has_own:
            words = f"given trace, {self.gas_trace.name}"
        else:
            words = "own full-load cycle" if self.design.design.machine == "engine" else "own cycle"
        scaled = f", pressure times {self.load:g}" if self.load != 1.0 else ""
        return f"{words}, {show(float(self.gas_trace.pressure.max()), 'bar', 3)}{scaled}"

    @property
    def basis(self) -> str:
        """State and load case in one line."""
        return f"{self.state_words}; {self.load_case}"

    @property
    def has_own(self) -> bool:
        """Whether the design takes its pressure from a computed cycle."""
        own = self.design.duty
        may = self.design.design.machine in ("pump", "compressor") or (
            self.design.design.machine == "engine" and own.cycle_turns == 2)
        return own.pressure_from == "cycle" or (own.pressure_from == "own" and may)

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
        """Pressure over one cycle that both machines get, of the load case."""
        found, own = self.trace, self.design.duty
        if found is None:
            found = self.cycle.traces[0] if self.has_own else pressure.read_trace(
                self.design.trace_path, own.cycle_turns, own.si.inlet_pressure)
        return self._loaded(found)

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
        return self.rigid(machine.hypocycloid, self.drive)

    @cached_property
    def loads_guides_alone(self) -> Loads:
        """Loads of the straight-line drive in the limit of no gear."""
        return self.rigid(machine.hypocycloid, self.drive, "alone")

    @cached_property
    def ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive."""
        return self.rigid(machine.slider_crank, self.ordinary)

    @cached_property
    def own_ordinary_loads(self) -> Loads:
        """Loads of the ordinary drive with the computed cycle of its own."""
        return self.rigid(machine.slider_crank, self.ordinary, trace=self._loaded(self.own_cycle.traces[1]))

    @cached_property
    def crosshead(self) -> machine.slider_crank.SliderCrank:
        """An ordinary drive whose side thrust lands on a crosshead guide."""
        return machine.slider_crank.from_design(self.design, self.mass, crosshead=True)

    @cached_property
    def crosshead_loads(self) -> Loads:
        """Its loads, same trace."""
        return self.rigid(machine.slider_crank, self.crosshead, "crosshead")

    @cached_property
    def yoke_loads(self) -> Loads:
        """Loads of a scotch yoke, same trace."""
        return self.rigid(machine.scotch_yoke, machine.scotch_yoke.from_design(self.design, self.mass))

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
        """Likely stiffnesses, the clearances of the running design, no errors of making, no oil films."""
        made = sharing.from_design(self.design, self.drive)
        return replace(made, pin_error=plays.mismatch(self.design))

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
        """The same with the oil films of bearings and guides."""
        made = self._filmed
        if isinstance(made, InputError):
            raise made.with_traceback(None)
        return made

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

    def _loaded(self, trace):
        back = self.design.duty.si.crankcase_pressure
        return trace if self.load == 1.0 else replace(trace, pressure=back + self.load * (trace.pressure - back))

    def rigid(self, mechanism, drive, side=None, trace=None):
        """Rigid loads of a drive at the angles of the case.

        Parameters
        ----------
        mechanism : module [-]
            File of ``machine`` to which the drive belongs.
        drive : HypocycloidDrive, SliderCrank or ScotchYoke [-]
            The machine; it may differ from that of the case.
        side : str or (K, A) array or None [N]
            What the mechanism takes for its guides or its side thrust; None for its own usual one.
        trace : Trace or None [-]
            Pressure; None for that of the case.

        Returns
        -------
        Loads [-]
            All channels over the cycle.
        """
        own, back = self.design.cylinders.si, self.design.duty.si.crankcase_pressure
        firing = mechanism.firing_angles(self.design, drive)
        gas = pressure.gas_force(trace or self.gas_trace, self.angle, firing, 0.25 * np.pi * own.bore**2, back)
        return mechanism.rigid_loads(drive, self.angle, gas, *(() if side is None else (side,)))
