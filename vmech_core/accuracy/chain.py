"""How accurately must it be made: named dimensions with limits, worst case, Monte Carlo, ranking and yield.

Every sample is a whole elastic machine, solved at all angles of a cycle. As a command:

    python -m vmech_core.accuracy.chain data/v_twin_generator.toml --samples 10000 --limit tooth=6 --limit bore=0.5
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, replace

import numpy as np

from vmech_core.base import sampling as study
from vmech_core.base.errors import InputError
from vmech_core.base.results import Loads
from vmech_core.base.sampling import Dimension
from vmech_core.base.units import from_si, show
from vmech_core.case import Case
from vmech_core.design.files import load_design
from vmech_core.plays import fits
from vmech_core.plays import heat as thermal
from vmech_core.sharing import flanks
from vmech_core.sharing import quasi_static as sharing
from vmech_core.sharing import springs as unilateral
from vmech_core.sharing.elastic import guide_middle

#: What is recorded of each machine: words, unit, unit at the edge.
QUANTITIES = {
    "tooth": ("tooth force, both ends", "N", "kN"),
    "guide": ("force of one guide", "N", "kN"),
    "bore": ("force of one piston on its bore", "N", "kN"),
    "pin": ("crankpin beside its line", "m", "um"),
}
#: Grade of the drawing tolerances, symmetric about the nominal (js). Own choice; common for finely machined parts.
DRAWING_GRADE = 7
#: Limits of the backlash to either side, over its nominal value. Own choice.
BACKLASH_SHARE = 1.0 / 3.0
FIT, DRAWING = "ISO 286-1, hole and shaft of grade {} about the play in the file", "drawing, own choice: js7 of {}"


@dataclass(frozen=True)
class Scatter:
    """Results of a Monte Carlo study.

    Attributes
    ----------
    dimensions : tuple of Dimension [-]
        What was varied.
    samples : dict of str to (N,) array [-]
        Values of each dimension in its unit.
    values : dict of str to (N,) array [-]
        Results by name, for example ``tooth_peak`` [N], ``pin_rms`` [m].
    nominal : dict of str to float [-]
        The same for the machine without errors.
    angles : int [1]
        Angles over a cycle.
    unsolved : int [1]
        Samples whose equilibrium was not found at one angle or more; their values stand as they are.
    """

    dimensions: tuple
    samples: dict
    values: dict
    nominal: dict
    angles: int
    unsolved: int


def dimensions_of(design):
    """Dimensions of the straight-line drive that scatter, with their limits and where these come from.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    tuple of Dimension [-]
        Errors are zero when nominal; plays are on the diameter, as in the design file.

    Valid: sizes up to 500 mm; plays wide enough for ISO 286 grade 4.
    Source: ISO 286 where hole and shaft make a play; elsewhere drawing tolerances of our own choice, stated in each.
    """
    a, guide, crank = 0.25 * design.cylinders.si.stroke, design.guide.si, design.crank.si
    places = {"guide": guide_middle(design), "bore": guide.rod_length}
    each = range(1, design.n_cylinders + 1)
    found = [_drawn("carrier_radius", a), *(_drawn(f"pin_radius_{k}", a) for k in each)]
    found += [_drawn("pinion_phase", a, a), _drawn("ring_phase", 2.0 * a, 2.0 * a)]
    found += [_drawn(f"pin_phase_{k}", a, a) for k in each]
    found += [_drawn(f"line_angle_{k}", places["bore"], places["bore"]) for k in each]
    found += [_drawn(f"{name}_offset_{k}", abs(place) or a) for name, place in places.items() for k in each]
    backlash = design.gear_pair.si.backlash
    found.append(Dimension("backlash", backlash, *((1 + s * BACKLASH_SHARE) * backlash for s in (-1, 1)),
                           source="drawing, own choice: a third to either side"))  # fmt: skip
    bearings = design.bearings.si
    found += [_play(name, size, mean, key) for name, size, mean, key in (
        ("guide_play", guide.rod_diameter, guide.clearance, "guide.clearance_um"),
        ("piston_play", design.cylinders.si.bore, guide.piston_clearance, "guide.piston_clearance_um"),
        ("crankpin_play", crank.pin_diameter, bearings.crankpin_clearance, "bearings.crankpin_clearance_um"),
        ("crank_play", crank.journal_diameter, bearings.crank_clearance, "bearings.crank_clearance_um"),
        ("carrier_play", design.carrier.si.bearing_diameter, bearings.carrier_clearance,
         "bearings.carrier_clearance_um"),
    )]  # fmt: skip
    return tuple(found)


def _drawn(name, size, lever=None):
    """A symmetric error of a length, or of an angle at a lever."""
    half = 0.5 * fits.tolerance(size, DRAWING_GRADE) / (lever or 1.0)
    source = DRAWING.format(show(1e3 * size, "mm")) + (" on that radius" if lever else "")
    return Dimension(name, 0.0, -half, half, "rad" if lever else "m", source)


def _play(name, size, mean, key):
    try:
        lower, upper, grade = fits.play_limits(size, mean)
    except InputError as error:
        raise InputError(key, show(1e6 * mean), error.allowed, error.unit, error.nearest) from error
    return Dimension(name, mean, lower, upper, "m", FIT.format(grade))


def machines(own, values, cylinders):
    """Elastic machines with given dimensions.

    The ring gear turned by an angle turns the crank by twice that; a cylinder line turned forward leaves its pin behind
    by twice the angle, so that all errors of angle act as one number for each pin.

    Parameters
    ----------
    own : Elastic [-]
        The machine without errors.
    values : dict of str to (N,) array [-]
        Dimensions by the names of ``dimensions_of``; one that is missing stays nominal.
    cylinders : int [1]
        Number of cylinders.

    Returns
    -------
    Elastic [-]
        With arrays over the cases.

    Raises
    ------
    InputError
        If only one of ``crank_play`` and ``carrier_play`` is there.

    Valid: small errors.
    Source: notebook 12 derives the combination of angles.
    """

    def get(name, nominal=0.0):
        return np.asarray(values.get(name, nominal), dtype=float)

    def each(name):
        return np.stack(np.broadcast_arrays(*(get(f"{name}_{k + 1}") for k in range(cylinders))), axis=-1)

    common = get("pinion_phase") + 2.0 * get("ring_phase")
    seats = (get("crank_play", np.nan), get("carrier_play", np.nan))
    if np.isnan(seats[0]).any() != np.isnan(seats[1]).any():
        raise InputError("dimensions", "crank_play or carrier_play", "not both there: they add up to one clearance")
    return replace(
        own,
        backlash=get("backlash", own.backlash),
        bearing_clearance=own.bearing_clearance if np.isnan(seats[0]).any() else 0.5 * (seats[0] + seats[1]),
        guide_clearance=0.5 * get("guide_play", 2.0 * own.guide_clearance),
        bore_clearance=0.5 * get("piston_play", 2.0 * own.bore_clearance),
        pin_clearance=0.5 * get("crankpin_play", 2.0 * own.pin_clearance),
        carrier_error=get("carrier_radius"),
        pin_error=each("pin_radius"),
        phase_error=each("pin_phase") + common[..., None] - 2.0 * each("line_angle"),
        guide_offset=each("guide_offset"),
        bore_offset=each("bore_offset"),
    )


def evaluate(case, elastic, count):
    """Solve many machines over a cycle, all of them at one angle after the other, each from where it stood before.

    Parameters
    ----------
    case : Case [-]
        An assessed design; its angles and rod forces are used.
    elastic : Elastic [-]
        Machines, numbers of shape (N,) or (N, K) or shared.
    count : int [1]
        Number of machines N.

    Returns
    -------
    dict of str to (N,) array [-]
        ``tooth_peak``, ``tooth_rms`` [N] and so on: the peak over the cycle and the cylinders, the root mean square
        over both; ``solved`` is one where every equilibrium was found.

    Valid: quasi-static, plane, both ends lumped; peaks between the angles are missed (1 % at 181 angles in the demo).
    Source: ``sharing``.
    """
    drive, steps = case.drive, len(case.angle) - 1
    peak, square = ({name: np.zeros(count) for name in QUANTITIES} for _ in range(2))
    solved, start, before = np.ones(count, dtype=bool), None, None
    for j in range(steps):
        loads = Loads(case.angle[j : j + 1], {"rod": case.loads["rod"][:, j : j + 1]}, "")
        supports, load = sharing.assembly(elastic, drive, loads.angle, loads["rod"])
        found = unilateral.rest(supports, np.broadcast_to(load, (count, load.shape[1])), start)
        now, solved = found.displacement, solved & found.solved
        start, before = (now if before is None else 2.0 * now - before), now
        for name, values in _now(elastic, drive, loads, found).items():
            peak[name] = np.maximum(peak[name], np.abs(values).max(axis=0))
            square[name] += np.mean(values * values, axis=0) / steps
    rms = {f"{name}_rms": np.sqrt(values) for name, values in square.items()}
    return {**{f"{name}_peak": values for name, values in peak.items()}, **rms, "solved": solved.astype(float)}


def _now(elastic, drive, loads, found):
    """Values of all machines at one angle, each (K, N) or (1, N)."""
    shared = sharing.forces(elastic, drive, loads, found)
    pin = flanks.pin_place(elastic, drive, loads.angle, found)
    return {"tooth": shared["mesh"][None], "guide": shared["guide"], "bore": shared["bore"], "pin": pin}


def monte_carlo(
    design, dimensions=None, count=10_000, angles=181, seed=1, progress=None, cancel=None, heat=None, block=1000
):
    """Make many machines within their limits and solve each of them over a cycle.

    Parameters
    ----------
    design : Design [-]
        The design.
    dimensions : sequence of Dimension or None [-]
        What scatters; None for ``dimensions_of``.
    count : int [1]
        Number of machines.
    angles : int [1]
        Angles over a cycle, both ends included.
    seed : int [1]
        Seed.
    progress : callable or None [-]
        As in ``study.run``.
    cancel : callable or None [-]
        As in ``study.run``.
    heat : Heat or None [-]
        Temperatures of the parts; None for those of assembly.
    block : int [1]
        Machines solved together.

    Returns
    -------
    Scatter [-]
        Samples and results.

    Valid: independent dimensions; as ``evaluate``.
    Source: ``study``, ``sharing``.
    """
    found, a = tuple(dimensions_of(design) if dimensions is None else dimensions), Case(design, angles)
    samples = study.sample(found, count, seed)
    values = study.run(lambda some: _solve(a, some, heat), samples, block, progress, cancel)
    nominal = _solve(a, {d.name: np.array([d.nominal]) for d in found}, heat)
    unsolved = int(np.sum(values.pop("solved") < 1.0))
    return Scatter(found, samples, values, {name: float(nominal[name][0]) for name in values}, angles, unsolved)


def _solve(a, values, heat=None):
    count, elastic = len(next(iter(values.values()))), machines(a.elastic, values, a.design.n_cylinders)
    if heat is not None:
        elastic = thermal.hot(elastic, a.design, heat, a.drive.pressure_angle)
    return evaluate(a, elastic, count)


def sweep(design, name, points=21, angles=181):
    """Move one dimension from limit to limit, all others nominal.

    Parameters
    ----------
    design : Design [-]
        The design.
    name : str [-]
        Name of the dimension.
    points : int [1]
        Number of values, odd, so that the middle is among them.
    angles : int [1]
        Angles over a cycle, both ends included.

    Returns
    -------
    values : (P,) array [-]
        Values of the dimension.
    results : dict of str to (P,) array [-]
        As ``evaluate``.

    Raises
    ------
    InputError
        If there is no such dimension.

    Valid: as ``evaluate``.
    Source: ``evaluate``.
    """
    nominal = {d.name: np.full(points, d.nominal) for d in dimensions_of(design)}
    one = next((d for d in dimensions_of(design) if d.name == name), None)
    if one is None:
        raise InputError("dimension", name, f"not one of {', '.join(nominal)}")
    values = np.linspace(one.lower, one.upper, points)
    return values, _solve(Case(design, angles), {**nominal, name: values})


def worst_case(design, dimensions=None, angles=91, seed=1, corners=200):
    """Look for the corner of the limits with the largest peak of each quantity.

    Parameters
    ----------
    design : Design [-]
        The design.
    dimensions : sequence of Dimension or None [-]
        What varies; None for ``dimensions_of``.
    angles : int [1]
        Angles over a cycle, both ends included.
    seed : int [1]
        Seed of the random corners.
    corners : int [1]
        Number of random corners.

    Returns
    -------
    dict of str to Worst [-]
        By name of the result, for example ``tooth_peak``.

    Valid: as ``evaluate``; a search, so that a worse corner may exist.
    Source: ``study.worst_corner``.
    """
    found, a = tuple(dimensions_of(design) if dimensions is None else dimensions), Case(design, angles)
    return study.worst_corner(lambda some: _solve(a, some), found, [f"{q}_peak" for q in QUANTITIES], seed, corners)


def report(scatter, limits=None, first=3):
    """Table of a Monte Carlo study as text.

    Parameters
    ----------
    scatter : Scatter [-]
        The study.
    limits : dict of str to float or None [-]
        Largest peak allowed by quantity, in SI.
    first : int [1]
        How many dimensions to name.

    Returns
    -------
    str [-]
        Two lines per quantity: values of nominal and scattered machines, and what counts; then the yield.
    """
    count = len(scatter.values["tooth_peak"])
    lines = [f"{count} machines, {scatter.angles} angles, {scatter.unsolved} unsolved",
             f"{'':37}{'nominal':>9}{'median':>9}{'95 %':>9}{'largest':>9}"]  # fmt: skip
    for name, (words, _, edge) in QUANTITIES.items():
        for kind in ("peak", "rms"):
            values, nominal = scatter.values[f"{name}_{kind}"], scatter.nominal[f"{name}_{kind}"]
            numbers = (nominal, *np.quantile(values, (0.5, 0.95)), values.max())
            row = "".join(f"{show(from_si(float(v), edge), '', 3):>9}" for v in numbers)
            lines.append(f"{words if kind == 'peak' else '':<32}{kind:<5}{row} {edge}")
        ranked = study.by_kind(study.contributions(scatter.samples, scatter.values[f"{name}_peak"]))
        shares = [f"{key} {100 * share:.0f} %" for key, share in ranked.items() if key != "together"][:first]
        lines.append(f"  counts most for the peak: {', '.join(shares)}; together {100 * ranked['together']:.0f} %")
    return "\n".join([*lines, *yield_lines(scatter, limits or {})])


def yield_lines(scatter, limits):
    """Share of machines that keep each limit, and all of them.

    Parameters
    ----------
    scatter : Scatter [-]
        The study.
    limits : dict of str to float [-]
        Largest peak allowed by quantity, in SI.

    Returns
    -------
    list of str [-]
        One line for each limit, and one for all.

    Raises
    ------
    InputError
        If a limit names no quantity.
    """
    lines, kept = [], True
    for name, limit in limits.items():
        if name not in QUANTITIES:
            raise InputError("limit", name, f"not one of {', '.join(QUANTITIES)}")
        words, _, edge = QUANTITIES[name]
        values = scatter.values[f"{name}_peak"]
        kept = kept & (values <= limit)
        share, error = study.share_within(values, limit)
        lines.append(f"{words} at most {show(from_si(limit, edge), edge)}: {100 * share:.1f} % +- {100 * error:.1f} %")
    if lines:
        share, error = study.share_within(np.where(kept, 0.0, 1.0), 0.5)
        lines.append(f"all of them: {100 * share:.1f} % +- {100 * error:.1f} %")
    return lines


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
    parser = argparse.ArgumentParser(prog="python -m vmech_core.accuracy.chain", description="How accurately made?")
    parser.add_argument("design", help="design file")
    parser.add_argument("--samples", type=int, default=10_000)
    parser.add_argument("--angles", type=int, default=181)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--limit", action="append", default=[], metavar="NAME=VALUE",
                        help="largest peak allowed: tooth, guide, bore [kN], pin [um]")  # fmt: skip
    parser.add_argument("--hot", action="store_true", help="at the temperatures of thermal.AIR_COOLED")
    options = parser.parse_args(arguments)
    try:
        limits = dict(_limit(text) for text in options.limit)
        scatter = monte_carlo(load_design(options.design), count=options.samples, angles=options.angles,
                              seed=options.seed, progress=study.text_progress,
                              heat=thermal.AIR_COOLED if options.hot else None)  # fmt: skip
        print(report(scatter, limits))
    except InputError as error:
        print(error, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("\ncancelled; no result is kept", file=sys.stderr)
        return 130
    return 0


def _limit(text):
    name, _, value = text.partition("=")
    if name not in QUANTITIES:
        raise InputError("limit", name, f"not one of {', '.join(QUANTITIES)}")
    try:
        return name, float(value) / from_si(1.0, QUANTITIES[name][2])
    except ValueError:
        raise InputError("limit", text, "not of the form NAME=VALUE with a number") from None


if __name__ == "__main__":
    sys.exit(main())
