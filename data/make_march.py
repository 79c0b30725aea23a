"""The stored study of the march: ``python data/make_march.py`` writes ``data/march_peaks.csv`` again.

Each design as it runs, at its own load case; the V-twin also dry and with two ends. Seed, cycles and starts stand in
the file, so that a reader can repeat a row. With the word ``starts`` it writes ``data/march_starts.csv`` alone: peaks
of the dry first sketch from four starts, 101 cycles each, the first still settling.
"""

import csv
import sys

import numpy as np

from vmech_core.base import tables
from vmech_core.case import Case
from vmech_core.design import load_design
from vmech_core.sharing.march import DAMPING, FILM_DAMPING, march, quasi_static_channels

#: Damping of dry contacts and of films, low with low.
BOTH = tuple(zip(*((d.low, d.likely, d.high) for d in (DAMPING, FILM_DAMPING)), strict=True))
#: Design, oil films, two ends, and the pairs of damping.
ROWS = (("v_twin_generator", True, False, BOTH), ("v_twin_generator", False, False, (*BOTH, (0.6, 0.6))),
        ("v_twin_generator", True, True, BOTH), ("v_twin_generator", False, True, BOTH[1:2]),
        ("first_sketch", True, False, BOTH), ("first_sketch", False, False, BOTH[1:2]),
        ("star_pump", True, False, BOTH), ("air_compressor", True, False, BOTH))
CYCLES, STARTS, SEED = 6, 20, 1
FIELDS = ("design", "films", "ends", "damping", "film_damping", "cycles", "starts", "seed", "channel", "quasi_static_N",
          "mean_N", "scatter_N", "low_N", "median_N", "high_N", "error_N", "rms_quasi_static_N", "rms_N")


def machine(design, films=True, two_ends=False):
    """What the study marches: elastic machine, drive, loads and places along the axis.

    Parameters
    ----------
    design : str [-]
        Name of a design in ``data``.
    films : bool [-]
        With oil films.
    two_ends : bool [-]
        Both ends of the crank.

    Returns
    -------
    elastic : Elastic [-]
        Elastic machine.
    drive : HypocycloidDrive [-]
        Drive.
    loads : Loads [-]
        At the load case of every page.
    axis : CrankAxis or None [-]
        Places along the axis.

    Valid: designs of the course.
    Source: the design file.
    """
    case = Case(load_design(tables.FOLDER / f"{design}.toml"))
    return (case.elastic if films else case.dry_elastic, case.drive, case.loads, case.axis if two_ends else None)


def study(row, damping, cycles=CYCLES, starts=STARTS, seed=SEED, progress=None):
    """One row of the study, channel by channel.

    Parameters
    ----------
    row : tuple [-]
        Of ``ROWS``.
    damping : tuple of two float [1]
        Of dry contacts and of films.
    cycles, starts, seed : int [1]
        As in ``march``.
    progress : callable or None [-]
        As in ``march``.

    Returns
    -------
    list of dict [-]
        Keys ``FIELDS``.

    Valid: as ``march``.
    Source: ``march``.
    """
    design, films, two_ends, _ = row
    elastic, drive, loads, axis = machine(design, films, two_ends)
    still = quasi_static_channels(elastic, drive, loads, axis)
    found = march(elastic, drive, loads, cycles=cycles, damping=damping[0], film_damping=damping[1], starts=starts,
                  seed=seed, axis=axis, progress=progress)
    peaks, squares = found.summary(), found.summary("mean_square")
    settings = (design, int(films), 2 if two_ends else 1, *damping, cycles, starts, seed)
    return [dict(zip(FIELDS, (*settings, name, *(f"{value:.5g}" for value in (
        np.abs(still[name]).max(), *peaks[name], np.sqrt((still[name][:-1] ** 2).mean()), squares[name].mean))),
        strict=True)) for name in found.names]


def one_by_one(cycles=101, starts=4, seed=SEED, progress=None):
    """Peaks of the dry first sketch, by cycle and start, so that others can ask them for their statistics.

    Parameters
    ----------
    cycles, starts, seed : int [1]
        As in ``march``.
    progress : callable or None [-]
        As in ``march``.

    Returns
    -------
    list of dict [-]
        Start, cycle and the peak of each channel [N].

    Valid: as ``march``, at likely damping.
    Source: ``march``.
    """
    found = march(*machine("first_sketch", films=False)[:3], cycles=cycles, starts=starts, seed=seed,
                  progress=progress)
    return [{"start": i, "cycle": c, **dict(zip(found.names, map(float, found.peak[c, i]), strict=True))}
            for i in range(starts) for c in range(cycles)]


def _tell(done, count):
    print(f"\r{done}/{count}", end="", file=sys.stderr)


def _write(name, rows):
    with (tables.FOLDER / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0], lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def main(only=None):
    """Run the whole study and write it.

    Parameters
    ----------
    only : str or None [-]
        Name of one design to print, without writing; ``starts`` writes ``data/march_starts.csv`` alone.
    """
    if only == "starts":
        _write("march_starts", [{**row, **{name: f"{row[name]:.6g}" for name in list(row)[2:]}}
                                for row in one_by_one(progress=_tell)])
        return
    rows = []
    for row in ROWS:
        for damping in row[3]:
            if only in (None, row[0]):
                rows += study(row, damping, progress=_tell)
                print(*(list(r.values()) for r in rows[-12:] if r["damping"] == damping[0]), sep="\n", flush=True)
    if only is None:
        _write("march_peaks", rows)


if __name__ == "__main__":
    main(*sys.argv[1:])
