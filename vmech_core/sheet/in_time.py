"""Peaks in time: quasi-statics times what the stored march of a machine of the same kind has found, with its range."""

from collections import namedtuple

import numpy as np

from vmech_core.base import InputError, tables
from vmech_core.sheet.stages import peak

#: Machine of a design to the design that was marched.
MARCHED = {"engine": "v_twin_generator", "pump": "star_pump", "compressor": "air_compressor"}
#: Words of the channels.
WORDS = {"mesh": "teeth, both ends", "guide": "one guide", "carrier": "carriers, both ends", "bore": "one bore"}
#: March over quasi-statics: least, likely, greatest [1]; bores, which quasi-statics may leave idle, over one guide.
InTime = namedtuple("InTime", "low likely high")


def stored():
    """Rows of the stored study.

    Returns
    -------
    list of dict [-]
        Keys as in its first line; numbers as numbers.

    Valid: the file that ``data/make_march.py`` wrote.
    Source: none needed.
    """
    return [{key: value if key in ("design", "channel") else float(value) for key, value in row.items()}
            for row in tables.rows("march_peaks")]


def time_factors(machine, films=True):
    """By how much the peaks of a march exceed those of quasi-statics, by kind of channel.

    Parameters
    ----------
    machine : str [-]
        ``engine``, ``pump`` or ``compressor``: a key of ``MARCHED``.
    films : bool [-]
        With oil films; False for dry gaps, which only the engine was marched with.

    Returns
    -------
    dict of str to InTime [1]
        Keys of ``WORDS``: mean peak at likely damping, and its range over the damping and over like channels. A bore
        counts over the quasi-static peak of a guide, as its own may be zero.

    Raises
    ------
    InputError
        If no march is stored.

    Valid: the demo that was marched, both ends lumped; for another design of its kind an order of size.
    Source: ``data/march_peaks.csv``.
    """
    rows = [r for r in stored() if r["design"] == MARCHED.get(machine) and r["ends"] == 1 and r["films"] == films]
    if not rows:
        raise InputError("machine", machine, f"not one with a stored march: {', '.join(MARCHED)}")
    likely, found = sorted({r["damping"] for r in rows})[1], {}
    guide = max(r["quasi_static_N"] for r in rows if r["channel"].startswith("guide"))
    for kind in WORDS:
        own = [(r["mean_N"] / (guide if kind == "bore" else r["quasi_static_N"]), r["damping"] == likely)
               for r in rows if r["channel"].startswith(kind)]
        found[kind] = InTime(min(v for v, _ in own), max(v for v, at in own if at), max(v for v, _ in own))
    return found


def end_factor(machine, level="likely"):
    """March over quasi-statics for the peak of one mesh, at the end that gains more.

    Parameters
    ----------
    machine : str [-]
        Kind of machine; 1 if no march is stored for it.
    level : str [-]
        ``light``, ``likely`` or ``heavy``: high, likely or low damping of films; ``dry``: dry gaps at likely damping.

    Returns
    -------
    float [1]
        Factor; of both meshes lumped where no march of two ends is stored.

    Valid: as ``time_factors``.
    Source: ``data/march_peaks.csv``.
    """
    rows = [r for r in stored() if r["design"] == MARCHED.get(machine) and r["channel"].startswith("mesh")
            and r["films"] == (level != "dry")]
    two = [r for r in rows if r["ends"] == 2 and r["channel"] == "mesh 2"] or rows
    steps = sorted({r["damping"] for r in two})[:3]
    if not two:
        return 1.0
    damping = steps[{"light": -1, "heavy": 0}.get(level, min(1, len(steps) - 1))]
    return max(r["mean_N"] / r["quasi_static_N"] for r in two if r["damping"] == damping)


def _in_time(a):
    """Shared peaks in time; nothing for a machine that no march is stored for."""
    if a.design.design.machine not in MARCHED:
        return {}
    still = {"mesh": a.shared["mesh"], "guide": a.shared["guide"], "carrier": np.abs(a.shared["crank_bearing"]),
             "bore": a.shared["guide"]}
    result = {}
    for kind, factor in time_factors(a.design.design.machine).items():
        for name, value in factor._asdict().items():
            words = f"{WORDS[kind]}: peak in time, {name}"
            result[f"time_{kind}_{name}"] = peak(value * still[kind], words, True)
    return result
