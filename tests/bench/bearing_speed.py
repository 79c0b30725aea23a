"""Time of bearing orbits: all bearings of both V-twins in one call, and 1,000 samples of them. One core.

    python tests/bench/bearing_speed.py
"""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from vmech_core import assess, load_design
from vmech_core.bearings import films, mobility, seats

DATA = Path(__file__).resolve().parents[2] / "data"


def spent(work):
    """Processor seconds of one call, and what it returned."""
    begun = time.process_time()
    found = work()
    return time.process_time() - begun, found


def many(batch, count, rng):
    """The batch repeated, with loads, clearances and viscosities scattered by a fifth."""
    rows = np.tile(np.arange(len(batch.load)), count)
    scatter = 1.0 + 0.2 * rng.uniform(-1.0, 1.0, (3, len(rows)))
    speeds = {name: np.broadcast_to(getattr(batch, name), batch.load.shape)[rows]
              for name in ("journal_speed", "sleeve_speed")}  # fmt: skip
    fields = {name: np.broadcast_to(getattr(batch, name), len(batch.load))[rows]
              for name in ("diameter", "length", "period", "roughness", "asperity")}  # fmt: skip
    return replace(batch, load=batch.load[rows] * scatter[0][:, None], clearance=batch.clearance[rows] * scatter[1],
                   viscosity=batch.viscosity[rows] * scatter[2], **speeds, **fields)  # fmt: skip


def batch_of(design, angles):
    """All bearings of both machines at a number of angles."""
    a = assess(design, angles + 1)
    found = seats.straight(design, a.drive, films.with_ends(design, a.drive, a.shared))
    return films.journals(found + seats.ordinary(design, a.ordinary, a.ordinary_loads), design)


if __name__ == "__main__":
    design = load_design(DATA / "v_twin_generator.toml")
    fine, coarse = batch_of(design, 720), batch_of(design, 240)
    times = [spent(lambda: mobility.orbit(fine))[0] for _ in range(5)]
    found = mobility.orbit(fine)
    print(f"{len(fine.load)} bearings, 720 samples: {min(times):.3f} s at best, median {np.median(times):.3f} s; "
          f"periodic {found.periodic.sum()} in {found.cycles} cycles")  # fmt: skip
    batch = many(coarse, 1000, np.random.default_rng(1))
    seconds, found = spent(lambda: mobility.orbit(batch))
    print(f"{len(batch.load)} bearings, 240 samples: {seconds:.1f} s; periodic {found.periodic.mean():.4f}")
