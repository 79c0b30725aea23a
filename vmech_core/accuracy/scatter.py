"""Many machines within their limits, each solved over a cycle: Monte Carlo, one dimension at a time, worst case.

What a study says is written as lines of text here too: values, what counts for them, and the yield.
"""

from collections import namedtuple

import numpy as np

from vmech_core.accuracy.chain import dimensions_of, machines
from vmech_core.base import InputError, Loads, from_si, sampling, show, sign
from vmech_core.case import Case
from vmech_core.sharing import flanks, quasi_static, springs

#: What is recorded of each machine: words, unit at the edge.
QUANTITIES = {"tooth": ("tooth force, both ends", "kN"), "guide": ("force of one guide", "kN"),
              "bore": ("force of one piston on its bore", "kN"), "pin": ("crankpin beside its line", "um")}


#: Results of a Monte Carlo study; its fields are what ``monte_carlo`` returns.
Scatter = namedtuple("Scatter", "dimensions samples values nominal angles unsolved basis")


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
    drive, history = case.drive, {name: [] for name in QUANTITIES}
    solved, start, before = np.ones(count, dtype=bool), None, None
    for j in range(len(case.angle) - 1):
        loads = Loads(case.angle[j : j + 1], {"rod": case.loads["rod"][:, j : j + 1]}, "")
        supports, load = quasi_static.assembly(elastic, drive, loads.angle, loads["rod"])
        found = springs.rest(supports, np.broadcast_to(load, (count, load.shape[1])), start)
        now, solved = found.displacement, solved & found.solved
        start, before = (now if before is None else 2.0 * now - before), now
        shared = quasi_static.forces(elastic, drive, loads, found)
        pin = flanks.pin_place(elastic, drive, loads.angle, found)
        for name, values in zip(QUANTITIES, (shared["mesh"][None], shared["guide"], shared["bore"], pin), strict=True):
            history[name].append(np.abs(values))
    each = {name: np.stack(values) for name, values in history.items()}
    peaks = {f"{name}_peak": values.max(axis=(0, 1)) for name, values in each.items()}
    rms = {f"{name}_rms": np.sqrt(np.mean(values**2, axis=(0, 1))) for name, values in each.items()}
    return {**peaks, **rms, "solved": solved.astype(float)}


def monte_carlo(design, dimensions=None, count=10_000, angles=181, seed=1, progress=None, cancel=None,
                state="running", block=1000):
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
        As in ``sampling.run``.
    cancel : callable or None [-]
        As in ``sampling.run``.
    state : str or Heat [-]
        As in ``Case``.
    block : int [1]
        Machines solved together.

    Returns
    -------
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
    basis : str [-]
        State and load case, in words.

    Valid: independent dimensions; as ``evaluate``.
    Source: ``sampling``, ``sharing``.
    """
    found, case = tuple(dimensions or dimensions_of(design)), Case(design, angles, state=state)
    samples = sampling.sample(found, count, seed)
    values = sampling.run(lambda some: _solve(case, some), samples, block, progress, cancel)
    nominal = _solve(case, {d.name: np.array([d.nominal]) for d in found})
    unsolved = int(np.sum(values.pop("solved") < 1.0))
    return Scatter(found, samples, values, {name: float(nominal[name][0]) for name in values}, angles, unsolved,
                   case.basis)


def _solve(case, values):
    return evaluate(case, machines(case, values), len(next(iter(values.values()))))


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
    found = {d.name: d for d in dimensions_of(design)}
    if name not in found:
        raise InputError("dimension", name, f"not one of {', '.join(found)}")
    values = np.linspace(found[name].lower, found[name].upper, points)
    nominal = {d.name: np.full(points, d.nominal) for d in found.values()}
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
    Source: ``sampling.worst_corner``.
    """
    found, case = tuple(dimensions or dimensions_of(design)), Case(design, angles)
    peaks = [f"{name}_peak" for name in QUANTITIES]
    return sampling.worst_corner(lambda some: _solve(case, some), found, peaks, seed, corners)


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
    lines = [f"{len(scatter.values['tooth_peak'])} machines, {scatter.angles} angles, {scatter.unsolved} unsolved",
             scatter.basis,
             f"{'':37}{'nominal':>9}{'median':>9}{'95 %':>9}{'largest':>9}"]
    for name, (words, edge) in QUANTITIES.items():
        for kind in ("peak", "rms"):
            values, nominal = scatter.values[f"{name}_{kind}"], scatter.nominal[f"{name}_{kind}"]
            numbers = (nominal, *np.quantile(values, (0.5, 0.95)), values.max())
            row = "".join(f"{show(from_si(float(v), edge), '', 3):>9}" for v in numbers)
            lines.append(f"{words if kind == 'peak' else '':<32}{kind:<5}{row} {sign(edge)}")
        ranked = sampling.by_kind(sampling.contributions(scatter.samples, scatter.values[f"{name}_peak"]))
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
        words, edge = QUANTITIES[name]
        values = scatter.values[f"{name}_peak"]
        kept = kept & (values <= limit)
        share, error = sampling.share_within(values, limit)
        lines.append(f"{words} at most {show(limit, edge)}: {100 * share:.1f} % +- {100 * error:.1f} %")
    if lines:
        share, error = sampling.share_within(np.where(kept, 0.0, 1.0), 0.5)
        lines.append(f"all of them: {100 * share:.1f} % +- {100 * error:.1f} %")
    return lines
