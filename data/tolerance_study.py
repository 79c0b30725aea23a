"""The study as a command:

    python data/tolerance_study.py data/v_twin_generator.toml --samples 10000 --limit tooth=6 --limit bore=0.5
"""

import argparse
import sys

from vmech_core.accuracy.scatter import QUANTITIES, monte_carlo, report
from vmech_core.base import InputError, from_si
from vmech_core.design.files import load_design


def main(arguments=None):
    """Run a study from the command line.

    Parameters
    ----------
    arguments : list of str or None [-]
        Arguments; None for those of the process.

    Returns
    -------
    int [1]
        0, or 2 after one sentence about bad input, or 130 if it was interrupted.
    """
    parser = argparse.ArgumentParser(prog="python data/tolerance_study.py", description="How accurately made?")
    parser.add_argument("design", help="design file")
    for name, value in (("samples", 10_000), ("angles", 181), ("seed", 1)):
        parser.add_argument(f"--{name}", type=int, default=value)
    parser.add_argument("--limit", action="append", default=[], metavar="NAME=VALUE",
                        help="largest peak allowed: tooth, guide, bore [kN], pin [µm]")
    parser.add_argument("--cold", action="store_true", help="at 20 C, in place of the running state of the design")
    sys.stdout.reconfigure(errors="replace")  # an old terminal that has no µ shows ? in its place
    options = parser.parse_args(arguments)
    try:
        limits = dict(_limit(text) for text in options.limit)
        print(report(monte_carlo(load_design(options.design), count=options.samples, angles=options.angles,
                                 seed=options.seed, progress=_progress,
                                 state="cold" if options.cold else "running"), limits))
    except InputError as error:
        print(error, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("\ncancelled; no result is kept", file=sys.stderr)
        return 130
    return 0


def _progress(done, count):
    """A line over the one before, on the error stream, so that a table on the output stays clean."""
    bar = "#" * round(30 * done / count)
    print(f"\r[{bar:<30}] {done} of {count}", end="\n" if done == count else "", file=sys.stderr, flush=True)


def _limit(text):
    name, _, value = text.partition("=")
    if name not in QUANTITIES:
        raise InputError("limit", name, f"not one of {', '.join(QUANTITIES)}")
    try:
        return name, float(value) / from_si(1.0, QUANTITIES[name][1])
    except ValueError:
        raise InputError("limit", text, "not of the form NAME=VALUE with a number") from None


if __name__ == "__main__":
    sys.exit(main())
