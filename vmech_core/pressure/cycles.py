"""Computed pressure of a design: which cycle its machine runs, on the volume curve of either mechanism. No physics."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.pressure import compressor, pump, spark
from vmech_core.pressure.first_law import ClosedPeriod
from vmech_core.pressure.measured import Trace
from vmech_core.pressure.volume import curve_of

#: What a comparison rests on, by kind of machine; printed on every comparison figure and table.
SAME_TRACE = "same pressure trace against crank angle for both mechanisms"
SAME_CHARGE = {
    "engine": "same charge and heat, each mechanism on its own volume curve with its own best ignition",
    "compressor": "same suction and delivery states, each mechanism on its own volume curve",
    "pump": "same suction and delivery pressures, each mechanism on its own volume curve",
}
#: Samples of one turn of a compressor or a pump.
SAMPLES = 1441
SUCTION = 1e5  # of the pumps whose ripple is compared [Pa]
#: Bulk modulus [Pa] of water near 20 degrees Celsius and 1 bar; the design file has the same.
WATER = 2.18e9


@dataclass(frozen=True)
class Cycles:
    """Computed pressure on one or more volume curves.

    Attributes
    ----------
    traces : list of Trace [-]
        Pressure over one cycle for each curve.
    closed : ClosedPeriod or None [-]
        Closed periods of an engine, arrays (C, N).
    burn_start : (C,) array or None [rad]
        Start of the burn for each curve.
    at_edge : (C,) bool array or None [-]
        True where the best start stands at an end of the range in which it was looked for: it may lie beyond.
    """

    traces: list[Trace]
    closed: ClosedPeriod | None = None
    burn_start: np.ndarray | None = None
    at_edge: np.ndarray | None = None


def volume_curve(design, mechanism, drive):
    """Volume curve of the first cylinder; the others are the same, later.

    Parameters
    ----------
    design : Design [-]
        The design.
    mechanism : module [-]
        ``hypocycloid``, ``slider_crank`` or ``scotch_yoke``.
    drive : HypocycloidDrive, SliderCrank or ScotchYoke [-]
        Its drive.

    Returns
    -------
    callable [-]
        Volume [m3] and rate [m3/rad] against the angle after the outer dead centre.

    Valid: equal cylinders.
    Source: ``volume.curve_of``, exact motion of the mechanism.
    """
    cylinders, first = design.cylinders.si, mechanism.top_dead_centre(drive)[0]

    def travel(angle):
        found = mechanism.motion(drive, first + angle)
        return found.position[0], found.velocity[0] / drive.speed

    return curve_of(travel, 0.25 * np.pi * cylinders.bore**2, cylinders.stroke, cylinders.clearance_volume_ratio)


def computed(design, curves, burn_start=None):
    """Cycle of the machine on each volume curve.

    Parameters
    ----------
    design : Design [-]
        The design.
    curves : list of callable [-]
        Volume curves.
    burn_start : float or str or None [rad]
        For an engine, in place of the design's own: an angle, or ``best`` for each curve's own best.

    Returns
    -------
    Cycles [-]
        Pressure traces, and for an engine what lies behind them.

    Raises
    ------
    InputError
        If the machine has no computed cycle, or if its assumptions do not fit together.

    Valid: as ``spark.solve``, ``compressor.pressure`` and ``pump.pressure``.
    Source: those functions; the design file.
    """
    machine, duty = design.design.machine, design.duty.si
    if machine == "engine":
        if duty.cycle_turns != 2:
            raise InputError("duty.cycle_turns", duty.cycle_turns, "not 2, as a four-stroke needs", "turns", "2")
        start = design.spark_cycle.si.burn_start if burn_start is None else burn_start
        return _engine(design, curves, start)
    if machine == "hand_model":
        raise InputError("design.machine", machine, "not one of engine, compressor, pump, which have a computed cycle")
    angle, fluid = np.linspace(0.0, 2.0 * np.pi, SAMPLES), design.fluid_cycle.si
    low, high = duty.inlet_pressure, duty.outlet_pressure
    rule, last = compressor.pressure, fluid.polytropic_exponent
    if machine == "pump":
        rule, last = pump.pressure, fluid.bulk_modulus
    pressures = [rule(volume, rate < 0.0, low, high, last) for volume, rate in (curve(angle) for curve in curves)]
    return Cycles([Trace(angle, pressure, 1, f"computed {machine} cycle") for pressure in pressures])


def _engine(design, curves, start):
    """Cycle of an engine; one whose charge gets hotter than the gas is known is refused."""
    cycle = spark.from_design(design)
    try:
        traces, closed, starts = spark.solve(cycle, curves, start)
    except InputError as error:
        key = f"spark_cycle.{error.field}_deg"
        raise InputError(key, error.value, error.allowed, error.unit, error.nearest) from None
    if not closed.temperature.max() <= cycle.burned.hottest:
        own = design.spark_cycle
        words = (f"too much for a charge with spark_cycle.air_fuel_ratio = {own.air_fuel_ratio:g}, which would get "
                 f"hotter than {cycle.burned.hottest:g} K, where the properties of the gas end")
        raise InputError("spark_cycle.heating_value_MJ_per_kg", own.heating_value_MJ_per_kg, words)
    edge = spark.at_edge(cycle, curves, starts) if start == "best" else np.zeros(len(curves), dtype=bool)
    return Cycles(traces, closed, starts, edge)


def _turn_of(rod_ratio=None):
    """Volume and rate, (A,), over one turn at equal steps of a cylinder with unit swept volume and no dead volume.

    From the outer dead centre, end point left out; a rod ratio of None is the straight-line drive.
    """
    angle = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    if rod_ratio is None:
        found = hypocycloid.motion(hypocycloid.one_cylinder(1.0, 1.0), angle)
    else:
        found = slider_crank.motion(slider_crank.one_cylinder(1.0, rod_ratio, 1.0), angle)
    return found.position[0, 0] - found.position[0], -found.velocity[0]


def total_ripple(rod_ratios, cylinders, delivery, dead_volume_ratio, bulk_modulus=WATER):
    """Total flow variation of the straight-line drive and of ordinary cranks.

    Parameters
    ----------
    rod_ratios : sequence of float [1]
        Rod ratios of the ordinary cranks.
    cylinders : int [1]
        Evenly phased cylinders.
    delivery : (P,) array [Pa]
        Absolute delivery pressure.
    dead_volume_ratio : float [1]
        Dead volume over the swept volume.
    bulk_modulus : float [Pa]
        Bulk modulus of the liquid.

    Returns
    -------
    (1 + rod ratios, P) array [1]
        Highest less lowest flow over the mean; the straight-line drive first.

    Valid: as ``pump.flow_ripple``, from 1 bar suction; ordinary cranks without offset.
    Source: ``pump.flow_ripple``, exact motion of both mechanisms.
    """
    volume, rate = (np.stack(rows)[:, None] for rows in zip(_turn_of(), *map(_turn_of, rod_ratios), strict=True))
    return pump.flow_ripple(volume, rate, cylinders, suction=SUCTION, delivery=delivery, bulk_modulus=bulk_modulus,
                            dead_volume_ratio=dead_volume_ratio).total


def reversals(delivery, straight, ordinary):
    """Pressures at which the order of two ripples reverses.

    Parameters
    ----------
    delivery : (P,) array [Pa]
        Absolute delivery pressure, ascending.
    straight : (P,) array [1]
        Total ripple of the straight-line drive.
    ordinary : (P,) array [1]
        Total ripple of an ordinary crank.

    Returns
    -------
    (R,) array [Pa]
        Pressures between two samples of opposite order, by linear interpolation; empty if the order stays.

    Valid: samples so fine that the order changes at most once between two of them.
    Source: linear interpolation.

    Examples
    --------
    >>> reversals(np.array([1.0, 2.0, 3.0]), np.array([1.0, 2.0, 3.0]), np.array([1.5, 1.5, 1.5]))
    array([1.5])
    """
    gap = np.asarray(straight) - ordinary
    at = np.flatnonzero((gap[:-1] < 0.0) != (gap[1:] < 0.0))
    return delivery[at] + (delivery[at + 1] - delivery[at]) * gap[at] / (gap[at] - gap[at + 1])
