"""Every estimate that the verdict rests on, moved one at a time from low to high, and ranked by what it does.

    python data/assumption_study.py data/v_twin_generator.toml

Masses, stiffnesses, plays, pressure and oil go through sharing, films and friction again; the factors of friction go
through friction alone.
"""

import sys
from collections import namedtuple
from dataclasses import dataclass, field, fields, replace

import numpy as np

from vmech_core import friction, gears, sharing
from vmech_core.base import Estimate, show
from vmech_core.case import Case
from vmech_core.design import load_design
from vmech_core.sharing.elastic import SOFTER

OWN = "own judgement"
#: Factor on a play: what making and temperature leave open. Factor on the gas pressure: cycle and trace differ so.
PLAY, PRESSURE = Estimate(0.7, 1.0, 1.3, "1", OWN), Estimate(0.9, 1.0, 1.2, "1", OWN)
#: Oil against the design [K].
OIL = Estimate(-15.0, 0.0, 15.0, "K", OWN)
#: Key of a mass in the design by its name in ``Case.mass``.
MASSES = {"piston": "masses.piston_g", "piston_rod": "masses.piston_rod_g", "crank": "masses.crank_g",
          "ordinary_piston": "ordinary_crank.piston_g", "ordinary_rod": "ordinary_crank.rod_g"}
PLAYS = ("guide.clearance_um", "guide.piston_clearance_um", "gear_pair.backlash_um", "bearings.crankpin_clearance_um",
         "bearings.crank_clearance_um", "bearings.carrier_clearance_um")
#: Stiffnesses that are estimates, and the range of each over its likely value.
STIFF = {"mesh": gears.STEEL_MESH, **dict.fromkeys(("bearing", "guide", "bore", "pin"), SOFTER)}

#: Of what goes through the whole machine, that which changes the ordinary crank too.
TOUCH_BOTH = {"gas pressure", "lubricant.temperature_C", "bearings.crankpin_clearance_um", MASSES["ordinary_piston"],
              MASSES["ordinary_rod"]}

#: One assumption at its low and high value; its fields are what ``assumptions`` returns.
Moved = namedtuple("Moved", "name estimate saving tooth guide weight")


@dataclass(frozen=True, eq=False)
class _Varied(Case):
    """A case with factors on some of its stiffnesses."""

    stiffer: dict = field(default_factory=dict)

    @property
    def dry_elastic(self):
        made = sharing.from_design(self.design, self.drive)
        return replace(made, **{name: getattr(made, name) * factor for name, factor in self.stiffer.items()})


def assumptions(case, samples=181, progress=None):
    """Move each stated estimate alone to its low and its high end, and rank them.

    Parameters
    ----------
    case : Case [-]
        The case.
    samples : int [1]
        Angles over a cycle, both ends included.
    progress : callable or None [-]
        Called with the cases done and their number after each.

    Returns
    -------
    nominal : (3,) tuple of float [-]
        With all likely values: friction of the ordinary crank less that of the straight-line drive [W], peak of the
        tooth force, peak force of one guide, both shared [N].
    rows : list of Moved [-]
        The largest ``weight`` first.

        name : str [-]
            Key of the design, ``stiffness of ...``, or name in ``friction.ASSUMPTIONS``.
        estimate : Estimate [-]
            Its range, and what it rests on.
        saving : (2,) tuple of float [W]
            That difference at the low and the high end.
        tooth, guide : (2,) tuple of float [N]
            The two peaks there.
        weight : float [1]
            Largest change of the three, each over its size with likely values.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: one at a time, so what two do together is not seen; ranges are stated, mostly judged.
    Source: ``sharing``, ``bearings``, ``friction``.
    """
    base = {f.name: getattr(case, f.name) for f in fields(Case)} | {"samples": samples}
    middle, todo = _Varied(**base), list(_ranges(case))
    ordinary, total, found = float(friction.of_ordinary(middle).mean()), 2 * len(todo) + 1, []
    for name, estimate, change in todo:
        ends = []
        for value in (estimate.low, estimate.high):
            kept = None if name in TOUCH_BOTH else ordinary
            ends.append(_headlines(_Varied(**{**base, **change(value)}), kept))
            if progress is not None:
                progress(2 * len(found) + len(ends), total)
        found.append((name, estimate, *zip(*ends, strict=True)))
    nominal = _headlines(middle, ordinary)
    found += [(name, estimate, savings, (nominal[1],) * 2, (nominal[2],) * 2)
              for name, estimate, savings in _factors(middle)]
    if progress is not None:
        progress(total, total)
    rows = [Moved(*row, max(_change(ends, at) for ends, at in zip(row[2:], nominal, strict=True))) for row in found]
    return nominal, sorted(rows, key=lambda row: -row.weight)


def assumption_lines(nominal, rows, count=12):
    """Write the ranking as aligned text.

    Parameters
    ----------
    nominal : (3,) tuple of float [-]
        From ``assumptions``.
    rows : list of Moved [-]
        From ``assumptions``.
    count : int [1]
        Most lines; the rest is summed up in one.

    Returns
    -------
    list of str [-]
        Lines: changes from low to high of the friction difference and of both peaks.
    """
    lines = [f"{'all likely':<34}{show(nominal[0], 'W', 3):>20}{show(nominal[1], 'kN', 3):>20}"
             f"{show(nominal[2], 'kN', 3):>20}",
             f"{'changes at low and high end':<34}{'friction difference':>20}{'teeth, peak':>20}"
             f"{'one guide, peak':>20}"]
    for row in rows[:count]:
        cells = [" ".join(f"{(value - at) * scale:+.{places}f}" for value in ends) + f" {unit}"
                 for ends, at, scale, places, unit in zip((row.saving, row.tooth, row.guide), nominal,
                                                          (1.0, 1e-3, 1e-3), (0, 2, 2), ("W", "kN", "kN"),
                                                          strict=True)]
        lines.append(f"{row.name:<34}" + "".join(f"{cell:>20}" for cell in cells))
    if rows[count:]:
        lines.append(f"{len(rows) - count} more, each less than {rows[count].weight:.1%} of any of the three")
    return lines


def _change(ends, at):
    return max(abs(value - at) for value in ends) / abs(at) if at else 0.0


def _headlines(case, ordinary=None):
    """The three numbers; friction of the ordinary crank may be known."""
    saving = (friction.of_ordinary(case).mean() if ordinary is None else ordinary) - friction.of_straight(case).mean()
    return float(saving), *(float(np.abs(case.shared[name]).max()) for name in ("mesh", "guide"))


def _ranges(case):
    """Name, range and what it changes of a case, of all that goes through the whole machine."""
    design = case.drawing

    def key(name, scale=1.0, start=0.0):
        return lambda value: {"drawing": design.changed(**{name: start + scale * value})}

    for part, name in MASSES.items():
        if case.mass[part].estimated:
            yield name, case.mass[part], key(name, 1e3)
    for name in PLAYS:
        section, _, own = name.partition(".")
        yield name, PLAY, key(name, getattr(getattr(design, section), own))
    for name, (low, likely, high) in STIFF.items():
        estimate = Estimate(low / likely, 1.0, high / likely, "1", "range of the rule")
        yield f"stiffness of {name}", estimate, lambda value, name=name: {"stiffer": {name: value}}
    yield "gas pressure", PRESSURE, lambda value: {"load": case.load * value}
    yield "lubricant.temperature_C", OIL, key("lubricant.temperature_C", start=design.lubricant.temperature_C)


def _factors(case):
    """Saving with each factor of friction at both ends, all of them in one run."""
    known = {name: own for name, own in friction.ASSUMPTIONS.items() if name != "inlet"}  # the oil has its own row
    each = {name: np.full(2 * len(known), own.likely) for name, own in known.items()}
    for k, (name, own) in enumerate(known.items()):
        each[name][2 * k : 2 * k + 2] = own.low, own.high
    totals = [of(case, each).means["total"] for of in (friction.of_straight, friction.of_ordinary)]
    pairs = (totals[1] - totals[0]).reshape(-1, 2)
    return [(name, own, tuple(pair.tolist())) for (name, own), pair in zip(known.items(), pairs, strict=True)]


if __name__ == "__main__":
    print("\n".join(assumption_lines(*assumptions(Case(load_design(sys.argv[1]))))))
