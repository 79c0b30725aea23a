"""What is said about a pressure trace that cannot be used; loaded when there is one, and not before."""

from vmech_core.base.errors import InputError
from vmech_core.base.hints import others


def trace_refused(kind, name, line, table, place, wanted):
    """Word the refusal of a trace.

    Parameters
    ----------
    kind : str [-]
        What is wrong: order, radians, gap, cycle, range, open or unit.
    name : str [-]
        Name of the file.
    line : int [1]
        Line at fault.
    table : tuple of (M,) array [-]
        Angles [deg] and pressures [bar].
    place : int [1]
        Row at fault, counted from 0.
    wanted : tuple [-]
        Turns of a cycle, the lowest pressure [Pa] that the design expects, fewest rows and highest pressure [bar].

    Returns
    -------
    InputError or None [-]
        To be raised; None if the pressures do not fit the design in any unit, so that they may be what was measured.

    Valid: one table that was read by ``read_trace``.
    Source: format of this project.
    """
    (angle, pressure), (turns, lowest, fewest, highest) = table, wanted
    if kind == "unit":
        return _other_unit(name, float(pressure.min()), 1e-5 * lowest)
    cycle, start, before, now = 360.0 * turns, angle[0], angle[place - 1], pressure[place]
    step, end = cycle / fewest, start + cycle
    in_kpa = f", or {0.01 * now:g} bar if the trace is in kPa" if now > 0 else ""
    words, nearest = {
        "order": (f"not above that of the row before it, {before:g}", None),
        "radians": ("the last, and one turn has 360, so the trace seems to be in radians: it must be in", None),
        "gap": (f"too far from the {before:g} of the row before it, rows are missing: the step must be at most "
                f"{step:g}", f"{before + step:g} deg"),
        "cycle": (f"not the end of one cycle of {cycle:g} that starts at {start:g}", f"rows that end at {end:g} deg"),
        "range": (f"outside 0 to {highest:g} (absolute)", f"{min(max(now, 0.0), highest):g} bar{in_kpa}"),
        "open": (f"not the pressure at the start of the cycle, {pressure[0]:g}", f"{pressure[0]:g} bar"),
    }[kind]
    key, unit, value = ("pressure_bar", "bar", now) if kind in ("range", "open") else ("angle_deg", "deg", angle[place])
    return InputError(f"{name} {key} line {line}", float(f"{value:g}"), words, unit, nearest)


def _other_unit(name, least, lowest):
    """A trace whose lowest pressure is far from the inlet's, but near it when read in another unit."""
    for unit, _, one, _ in others("bar"):
        if 0.5 * lowest < one * least < 2.0 * lowest:
            words = f"far from duty.inlet_pressure_bar = {lowest:g}; the trace looks as if it were in {unit[1:]}, not"
            nearest = f"the same pressures times {one:g}, which begin at {one * least:.4g} bar"
            return InputError(f"{name} lowest pressure_bar", float(f"{least:g}"), words, "bar", nearest)
    return None
