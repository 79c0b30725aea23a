"""Cylinder pressure from a table: an indicated trace, the reader's own or an invented one.

File format: CSV text with the header ``angle_deg,pressure_bar``; angle 0 at the firing dead centre (for a pump or a
compressor: at the outer dead centre that ends delivery), absolute pressure, one full cycle of 360 or 720 degrees.
"""

import csv
import io
import math
import re
from pathlib import Path

import numpy as np

from vmech_core.base import InputError, record

HEADER = ("angle_deg", "pressure_bar")
LARGEST_FILE = 10_000_000
HIGHEST_BAR = 2_500.0
#: Fewest rows of a cycle; no two may be further apart than a cycle over this number.
FEWEST = 8
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)


@record("angle pressure turns name")
class Trace:
    """Pressure over one cycle.

    Attributes
    ----------
    angle : (M,) array [rad]
        Angle after the firing dead centre, rising, first sample repeated at the end of the cycle.
    pressure : (M,) array [Pa]
        Absolute pressure.
    turns : int [1]
        Turns of the carrier or crank in one cycle: 1 or 2.
    name : str [-]
        Where it comes from.
    """

def read_trace(path, turns, lowest=None):
    """Read a pressure trace from a CSV file and check it.

    Parameters
    ----------
    path : str or Path [-]
        The file.
    turns : int [1]
        Turns in one cycle that the design expects: 1 or 2.
    lowest : float or None [Pa]
        Lowest pressure that the design expects, its inlet's, by which a trace in another unit is known; None to leave
        that out.

    Returns
    -------
    Trace [-]
        The trace in SI units.

    Raises
    ------
    InputError
        If the file is missing, too large, not text, has another header, fewer than 8 rows, a cell that is not a
        number, angles that do not rise, a gap, a span other than one cycle, a pressure outside 0 to 2500 bar or one in
        another unit; the sentence names the line.

    Valid: any sampling; values between samples are interpolated in a straight line.
    Source: format of this project; an indicated diagram against crank angle is common practice.
    """
    path = Path(path)
    rows = _rows(path)
    angle, pressure = _numbers(rows, path.name)
    for kind, wrong in _doubts(angle, pressure, turns, lowest):
        if np.any(wrong):
            from vmech_core.pressure.trace_faults import trace_refused

            place = int(np.argmax(wrong))
            wanted = turns, lowest, FEWEST, HIGHEST_BAR
            if error := trace_refused(kind, path.name, rows[place][0], (angle, pressure), place, wanted):
                raise error
    cycle = 360.0 * turns
    if angle[-1] - angle[0] < cycle - 1e-9:
        angle, pressure = np.append(angle, angle[0] + cycle), np.append(pressure, pressure[0])
    return Trace(np.radians(angle), pressure * 1e5, turns, path.name)


def pressure_at(trace, angle):
    """Pressure at any angle, by straight lines between samples, repeated every cycle.

    Parameters
    ----------
    trace : Trace [-]
        The trace.
    angle : (...) array [rad]
        Angle after the firing dead centre.

    Returns
    -------
    (...) array [Pa]
        Absolute pressure.

    Valid: any angle.
    Source: linear interpolation.
    """
    cycle = 2.0 * math.pi * trace.turns
    return np.interp(np.mod(np.asarray(angle) - trace.angle[0], cycle), trace.angle - trace.angle[0], trace.pressure)


def gas_force(trace, angle, firing_angle, area, back_pressure):
    """Gas force on every piston of a machine, positive toward the main axis.

    Parameters
    ----------
    trace : Trace [-]
        Pressure over one cycle, the same for every cylinder.
    angle : (A,) array [rad]
        Carrier or crank angle.
    firing_angle : (K,) array [rad]
        Angle at which each cylinder stands at its firing dead centre.
    area : float [m2]
        Piston area.
    back_pressure : float [Pa]
        Absolute pressure on the other side of the piston.

    Returns
    -------
    (K, A) array [N]
        Force on each piston.

    Valid: back pressure constant.
    Source: pressure difference times area.
    """
    shifted = np.asarray(angle) - np.asarray(firing_angle)[:, None]
    return area * (pressure_at(trace, shifted) - back_pressure)


def _rows(path):
    """Number and cells of each line that is not empty, without the header."""
    try:
        if not path.is_file():
            words = "not a file that can be read; put the CSV beside the design file"
            raise InputError("pressure_trace", str(path), words)
        if path.stat().st_size > LARGEST_FILE:
            raise InputError("pressure_trace", path.name, "larger than 10", "MB")
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("pressure_trace", path.name, "not a text file in UTF-8") from None
    except OSError as error:
        words = f"not a file that can be read: {error.strerror or type(error).__name__}"
        raise InputError("pressure_trace", path.name, words) from None
    lines = [(number, line.strip()) for number, line in enumerate(io.StringIO(text, newline=None), 1) if line.strip()]
    rows = [(number, _cells(number, line, path.name)) for number, line in lines]
    head = tuple(cell.strip() for cell in rows[0][1]) if rows else ()
    if head != HEADER:
        raise InputError("pressure_trace header", ",".join(head), f"not the header {','.join(HEADER)}")
    if len(rows) < FEWEST + 1:
        raise InputError("pressure_trace rows", len(rows) - 1, f"fewer than {FEWEST}; one full cycle is needed")
    return rows[1:]


def _cells(number, line, name):
    try:
        return next(csv.reader([line], strict=True))
    except csv.Error:
        raise InputError(f"{name} line {number}", line, "not CSV text: a quote is not closed or stands alone") from None


def _numbers(rows, name):
    table = np.empty((len(rows), 2))
    for place, (line, row) in enumerate(rows):
        if len(row) != 2 or not all(_NUMBER.fullmatch(cell.strip()) for cell in row):
            words = "not two numbers, angle [deg] and pressure [bar], with a decimal point and a comma between"
            raise InputError(f"{name} line {line}", ",".join(row), words)
        table[place] = [float(cell) for cell in row]
    return table[:, 0], table[:, 1]


def _doubts(angle, pressure, turns, lowest):
    """Kinds of fault, and where a table has them, (rows,) bool."""
    cycle, steps, span = 360.0 * turns, np.diff(angle), angle[-1] - angle[0]
    widest, last = cycle / FEWEST + 1e-9, np.arange(len(angle)) == len(angle) - 1
    yield "order", np.append(False, steps <= 0)
    yield "radians", last & (abs(span - 2.0 * np.pi * turns) < 0.1)
    yield "gap", np.append(False, steps > widest)
    yield "cycle", last & (span > cycle + 1e-9 or span + min(1.5 * steps.max(), widest) < cycle)
    yield "range", (pressure < 0) | (pressure > HIGHEST_BAR)
    yield "open", last & (span > cycle - 1e-9) & (abs(pressure[-1] - pressure[0]) > 0.02 * np.ptp(pressure) + 1e-9)
    if lowest is not None:
        yield "unit", not 0.2e-5 * lowest < pressure.min() < 5e-5 * lowest
