"""Cylinder pressure from a table: an indicated trace, the reader's own or an invented one.

File format: CSV text with the header ``angle_deg,pressure_bar``; angle 0 at the firing dead centre (for a pump or a
compressor: at the outer dead centre that ends delivery), absolute pressure, one full cycle of 360 or 720 degrees.
"""

import csv
import io
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from vmech_core.base.errors import InputError

HEADER = ("angle_deg", "pressure_bar")
LARGEST_FILE = 10_000_000
HIGHEST_BAR = 10_000.0


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


def read_trace(path, turns):
    """Read a pressure trace from a CSV file and check it.

    Parameters
    ----------
    path : str or Path [-]
        The file.
    turns : int [1]
        Turns in one cycle that the design expects: 1 or 2.

    Returns
    -------
    Trace [-]
        The trace in SI units.

    Raises
    ------
    InputError
        If the file is missing, too large, not text, has another header, fewer than 8 rows, a cell that is not a
        number, angles that do not rise, a span other than one cycle, or a pressure outside 0 to 10 000 bar.

    Valid: any sampling; values between samples are interpolated in a straight line.
    Source: format of this project; an indicated diagram against crank angle is common practice.
    """
    path = Path(path)
    rows = _rows(path)
    angle, pressure = _numbers(rows, path.name)
    _check(angle, pressure, turns, path.name)
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
    if not path.is_file():
        raise InputError("pressure_trace", str(path), "not a file that can be read; put the CSV beside the design file")
    if path.stat().st_size > LARGEST_FILE:
        raise InputError("pressure_trace", path.name, "larger than 10", "MB")
    try:
        text = path.read_bytes().decode("utf-8-sig")
        rows = [(number, row) for number, row in enumerate(csv.reader(io.StringIO(text)), 1) if any(row)]
    except UnicodeDecodeError:
        raise InputError("pressure_trace", path.name, "not a text file in UTF-8") from None
    except csv.Error as error:
        raise InputError("pressure_trace", path.name, f"not CSV text ({error})") from None
    head = tuple(cell.strip() for cell in rows[0][1]) if rows else ()
    if head != HEADER:
        raise InputError("pressure_trace header", ",".join(head), f"not the header {','.join(HEADER)}")
    if len(rows) < 9:
        raise InputError("pressure_trace rows", len(rows) - 1, "fewer than 8; one full cycle is needed")
    return rows[1:]


def _numbers(rows, name):
    table = np.empty((len(rows), 2))
    for place, (line, row) in enumerate(rows):
        try:
            table[place] = [float(cell) for cell in row]
        except ValueError:
            words = "not two numbers, angle [deg] and pressure [bar]"
            raise InputError(f"{name} line {line}", ",".join(row), words) from None
    return table[:, 0], table[:, 1]


def _check(angle, pressure, turns, name):
    cycle = 360.0 * turns
    if not (np.isfinite(angle).all() and np.isfinite(pressure).all()):
        raise InputError(f"{name} values", "nan or inf", "not finite numbers")
    if not (np.diff(angle) > 0).all():
        raise InputError(f"{name} angle_deg", angle[1:][np.diff(angle) <= 0][0], "not above the angle before it", "deg")
    span, step = angle[-1] - angle[0], np.diff(angle).max()
    if span > cycle + 1e-9 or span + 1.5 * step < cycle:
        nearest = f"rows that end at {angle[0] + cycle:g} deg"
        raise InputError(f"{name} angle span", f"{span:g}", f"not one cycle of {cycle:g}", "deg", nearest)
    bad = (pressure < 0) | (pressure > HIGHEST_BAR)
    if bad.any():
        nearest = f"{np.clip(pressure[bad][0], 0, HIGHEST_BAR):g} bar"
        raise InputError(f"{name} pressure_bar", pressure[bad][0], "outside 0 to 10 000 (absolute)", "bar", nearest)
    if span > cycle - 1e-9 and abs(pressure[-1] - pressure[0]) > 0.02 * np.ptp(pressure) + 1e-9:
        words = "not the pressure at the start of the cycle"
        raise InputError(f"{name} last pressure_bar", pressure[-1], words, "bar", f"{pressure[0]:g} bar")
