"""Cylinder pressure from a table: an indicated trace, the reader's own or an invented one.

File format: CSV text with the header ``angle_deg,pressure_bar``; angle 0 at the firing dead centre (for a pump or a
compressor: at the outer dead centre that ends delivery), absolute pressure, one full cycle of 360 or 720 degrees.
"""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from vmech_core.base.errors import InputError

HEADER = ("angle_deg", "pressure_bar")
LARGEST_FILE = 10_000_000
HIGHEST_BAR = 2_500.0
#: Fewest rows of a cycle; no two may be further apart than a cycle over this number.
FEWEST = 8
#: Other units of pressure in bar, for a trace that is not in bar.
OTHER_UNITS = {"kPa": 0.01, "MPa": 10.0, "psi": 0.0689476, "Pa": 1e-5, "mbar": 1e-3}
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)


@dataclass(frozen=True)
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

    angle: np.ndarray
    pressure: np.ndarray
    turns: int
    name: str


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
    _check_angles(angle, [line for line, _ in rows], turns, path.name)
    _check_pressures(angle, pressure, [line for line, _ in rows], turns, path.name)
    if lowest is not None:
        _check_unit(pressure, 1e-5 * lowest, path.name)
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


def _refusal(name, line, value, words, unit="", nearest=None):
    return InputError(f"{name} line {line}", float(f"{value:g}"), words, unit, nearest)


def _check_angles(angle, lines, turns, name):
    cycle, steps, span = 360.0 * turns, np.diff(angle), angle[-1] - angle[0]
    widest = cycle / FEWEST
    if (steps <= 0).any():
        place = int(np.argmax(steps <= 0)) + 1
        words = f"not above that of the row before it, {angle[place - 1]:g}"
        raise _refusal(f"{name} angle_deg", lines[place], angle[place], words, "deg")
    if abs(span - 2.0 * np.pi * turns) < 0.1:
        raise _refusal(f"{name} angle_deg", lines[-1], angle[-1], "not in degrees but, it seems, in radians")
    if (steps > widest + 1e-9).any():
        place = int(np.argmax(steps > widest + 1e-9)) + 1
        words = (f"too far from the {angle[place - 1]:g} of the row before it, rows are missing: the step must be at "
                 f"most {widest:g}")
        nearest = f"{angle[place - 1] + widest:g} deg"
        raise _refusal(f"{name} angle_deg", lines[place], angle[place], words, "deg", nearest)
    if span > cycle + 1e-9 or span + min(1.5 * steps.max(), widest + 1e-9) < cycle:
        words = f"not the end of one cycle of {cycle:g} that starts at {angle[0]:g}"
        nearest = f"rows that end at {angle[0] + cycle:g} deg"
        raise _refusal(f"{name} angle_deg", lines[-1], angle[-1], words, "deg", nearest)


def _check_pressures(angle, pressure, lines, turns, name):
    bad = (pressure < 0) | (pressure > HIGHEST_BAR)
    if bad.any():
        place = int(np.argmax(bad))
        nearest = f"{np.clip(pressure[place], 0, HIGHEST_BAR):g} bar"
        if pressure[place] > 0:
            nearest += f", or {0.01 * pressure[place]:g} bar if the trace is in kPa"
        words = f"outside 0 to {HIGHEST_BAR:g} (absolute)"
        raise _refusal(f"{name} pressure_bar", lines[place], pressure[place], words, "bar", nearest)
    closed = angle[-1] - angle[0] > 360.0 * turns - 1e-9
    if closed and abs(pressure[-1] - pressure[0]) > 0.02 * np.ptp(pressure) + 1e-9:
        words = f"not the pressure at the start of the cycle, {pressure[0]:g}"
        raise _refusal(f"{name} pressure_bar", lines[-1], pressure[-1], words, "bar", f"{pressure[0]:g} bar")


def _check_unit(pressure, lowest, name):
    """Refuse a trace whose lowest pressure is far from the inlet's, but near it when read in another unit."""
    least = float(pressure.min())
    for unit, one in OTHER_UNITS.items() if not 0.2 * lowest < least < 5.0 * lowest else ():
        if 0.5 * lowest < one * least < 2.0 * lowest:
            words = f"far from duty.inlet_pressure_bar = {lowest:g}; the trace looks as if it were in {unit}, not"
            nearest = f"the same pressures times {one:g}, which begin at {one * least:.4g} bar"
            raise InputError(f"{name} lowest pressure_bar", float(f"{least:g}"), words, "bar", nearest)
