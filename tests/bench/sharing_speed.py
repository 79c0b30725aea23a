"""How fast the side load is shared: ``python tests/bench/sharing_speed.py [--samples 10000]``.

One machine over a cycle with both ends lumped (aim 20 ms for 721 angles of the V-twin), the same with a crank that
tilts, and many machines with random clearances at 181 angles, one angle at a time, each angle started from the one
before (aim 60 s for 10 000). One core; a busy machine slows everything.
"""

import argparse
import os
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"
ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

from vmech_core import assess, load_design
from vmech_core.machine import ends as axial
from vmech_core.sharing import from_design, quasi_static, springs


def median_ms(function, turns=25):
    """Median time of a call."""
    spent = []
    for _ in range(turns):
        start = time.perf_counter()
        function()
        spent.append(time.perf_counter() - start)
    return 1e3 * statistics.median(spent)


def many(design, samples, angles=181):
    """Seconds for many machines, and the share of cases that were solved."""
    a, rng = assess(design, angles), np.random.default_rng(5)
    own = from_design(design, a.drive)
    names = ("backlash", "guide_clearance", "bearing_clearance", "bore_clearance")
    elastic = replace(own, **{n: getattr(own, n) * rng.uniform(0.5, 1.5, samples) for n in names},
                      carrier_error=rng.normal(0.0, 1e-5, samples))  # fmt: skip
    start, near, solved = time.perf_counter(), None, 0
    for k in range(angles):
        supports, load = quasi_static.assembly(elastic, a.drive, a.angle[k : k + 1], a.loads["rod"][:, k : k + 1])
        found = springs.rest(supports, load, near)
        near, solved = found.displacement, solved + int(found.solved.sum())
    return time.perf_counter() - start, solved / (samples * angles)


def main():
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--samples", type=int, default=10_000)
    samples = parser.parse_args().samples
    engine = assess(load_design(ROOT / "data" / "v_twin_generator.toml"), 721)
    elastic, drive, loads = from_design(engine.design, engine.drive), engine.drive, engine.loads
    axis = axial.from_design(engine.design, drive)
    plane = median_ms(lambda: quasi_static.share(elastic, drive, loads))
    space = median_ms(lambda: quasi_static.share(elastic, drive, loads, axis))
    print(f"721 angles, both ends lumped: {plane:.1f} ms, aim 20 ms  {'met' if plane <= 20 else 'NOT MET'}")
    print(f"721 angles, crank that tilts: {space:.1f} ms")
    seconds, solved = many(engine.design, samples)
    print(f"{samples} machines x 181 angles: {seconds:.1f} s, solved {100 * solved:.4f} %")


if __name__ == "__main__":
    main()
