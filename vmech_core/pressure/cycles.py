"""Computed pressure of a design: which cycle its machine runs, on the volume curve of either mechanism. No physics."""

from collections import namedtuple

import numpy as np

from vmech_core.base.errors import InputError
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


Cycles = namedtuple("Cycles", "traces closed burn_start at_edge", defaults=(None, None, None))


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
        ``traces``, pressure over one cycle for each curve; for an engine also ``closed``, the closed periods, arrays
        (C, N), ``burn_start``, (C,) [rad], and ``at_edge``, (C,), True where the best start stands at an end of the
        range in which it was looked for and may lie beyond; None for the others.

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
    if machine == "pump":
        from vmech_core.pressure.pump import pressure as rule
    else:
        from vmech_core.pressure.compressor import pressure as rule
    last = _yields(fluid) if machine == "pump" else fluid.polytropic_exponent
    pressures = [rule(volume, rate < 0.0, low, high, last) for volume, rate in (curve(angle) for curve in curves)]
    return Cycles([Trace(angle, pressure, 1, f"computed {machine} cycle") for pressure in pressures])


def _yields(fluid):
    """Bulk modulus of a pump's liquid, or water at its temperature."""
    from vmech_core.pressure.liquid import Water

    return Water(fluid.inlet_temperature) if fluid.bulk_modulus == "water" else fluid.bulk_modulus


def _engine(design, curves, start):
    """Cycle of an engine; one whose charge gets hotter than the gas is known is refused."""
    from vmech_core.pressure import spark  # loaded for the machine that needs it, as those in ``computed``

    cycle = spark.from_design(design)
    try:
        traces, closed, starts = spark.solve(cycle, curves, start)
    except InputError as error:
        field = f"spark_cycle.{error.field}_deg"
        raise InputError(field, error.value, error.allowed, error.unit, error.nearest) from None
    if not closed.temperature.max() <= cycle.burned.hottest:
        own = design.spark_cycle
        words = (f"too much for a charge with spark_cycle.air_fuel_ratio = {own.air_fuel_ratio:g}, which would get "
                 f"hotter than {cycle.burned.hottest:g} K, where the properties of the gas end")
        raise InputError("spark_cycle.heating_value_MJ_per_kg", own.heating_value_MJ_per_kg, words)
    edge = spark.at_edge(cycle, curves, starts) if start == "best" else np.zeros(len(curves), dtype=bool)
    return Cycles(traces, closed, starts, edge)
