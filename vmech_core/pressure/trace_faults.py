"""What is said about a pressure trace that cannot be used; loaded when there is one, and not before."""

from vmech_core.base.errors import InputError


def trace_refused(kind, where, table, place, wanted):
    """Word the refusal of a trace.

    Parameters
    ----------
    kind : str [-]
        What is wrong: order, radians, gap, cycle, range or open.
    where : str [-]
        File and line at fault, with braces in the place of the column.
    table : tuple of (M,) array [-]
        Angles [deg] and pressures [bar].
    place : int [1]
        Row at fault, counted from 0.
    wanted : tuple [-]
        Turns of a cycle, fewest rows and highest pressure [bar].

    Returns
    -------
    InputError [-]
        To be raised.

    Valid: one table that was read by ``read_trace``.
    Source: format of this project.
    """
    (angle, pressure), (turns, fewest, highest) = table, wanted
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
    return InputError(where.format(key), float(f"{value:g}"), words, unit, nearest)
