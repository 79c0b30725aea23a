"""Friction of both machines in other cases: bearing layouts, speeds and loads, rod ratios, crosshead.

Saving is the friction of the ordinary crank less that of the straight-line drive, under the same pressure trace; where
it is negative the straight-line drive loses. All assumptions are likely here; ``chances`` varies them.
"""

from collections import namedtuple
from dataclasses import replace
from functools import cache

import numpy as np

from vmech_core.base import Estimate, InputError, sampling
from vmech_core.bearings import alone, journal, oils, seats
from vmech_core.case import Case
from vmech_core.friction import contacts
from vmech_core.friction.accessories import friction_pressure
from vmech_core.friction.assumptions import ASSUMPTIONS, GAP, MISSING
from vmech_core.plays.running import as_running, on_stub_shafts

#: Key of its play by bearing.
PLAYS = {"crankpin": "crankpin_clearance_um", "crank_in_carrier": "crank_clearance_um",
         "carrier_in_block": "carrier_clearance_um"}
_STUB = {"support": "stub_shaft"}
_KINDS = {"all plain": dict.fromkeys(PLAYS, "journal"), "carriers on rollers": {"carrier_in_block": "rolling"},
          "all on rollers": dict.fromkeys(PLAYS, "rolling")}
#: Layouts by name: what differs from the design file. Both machines get the same kinds of bearings: mains of the
#: ordinary crank are of the kind of the carriers, big ends of that of the crankpins; only the other has a stub shaft.
LAYOUTS = {"as drawn": {}, **_KINDS, "stub shaft": _STUB,
           **{f"stub shaft, {name}": {**_STUB, **kinds} for name, kinds in _KINDS.items()}}
#: Contacts of the straight-line drive and of the ordinary crank, by the words that stand for both.
ALIKE = {
    "shaft in block": ("carrier in block", "main journal in block"),
    "guides or skirts": ("guides", "skirts"),
    "big ends on crankpins": ("rod big end on crankpin",) * 2,
}
#: Play of rollers over their diameter, where a layout puts them in place of a plain bearing. Common practice, no
#: source.
ROLLER_PLAY = 0.5e-3
#: Wrist-pin offsets that are tried, over the stroke. Own choice.
OFFSETS = (-0.05, 0.0, 0.05, 0.1)
#: Balance shaft in two plain bearings: diameter over that of the crank journal; length and play over its own diameter;
#: factor for a journal that runs off its middle. Own choice, for an order of size only.
SHAFT, SHAFT_LENGTH, OFF_MIDDLE = (0.5, 0.6, 0.8), 0.6, (1.0, 1.1, 1.3)


#: Friction of both machines in one layout; its fields are what ``compare`` returns.
Row = namedtuple("Row", "layout straight ordinary saving straight_pressure ordinary_pressure")


def at(design, speed_rpm=None, load=1.0, samples=361, **changes):
    """Assessment at another speed and load.

    Parameters
    ----------
    design : Design [-]
        The design.
    speed_rpm : float or None [rpm]
        Speed; None for that of the design.
    load : float [1]
        Factor on the pressure of the trace above that in the crankcase; 0 for a machine that turns without gas.
    samples : int [1]
        Angles over a cycle, both ends included.
    changes : object [-]
        Other keys, as in ``Design.changed``.

    Returns
    -------
    Case [-]
        With that trace for both machines.

    Raises
    ------
    InputError
        If the load is outside 0 to 2, or the design refuses.

    Valid: a rough part load: true traces change their form with speed and throttle, and throttling adds gas exchange.
    Source: common practice, no source.
    """
    speed = {} if speed_rpm is None else {"duty.speed_rpm": float(speed_rpm)}
    return Case(design.changed(**speed, **changes) if speed or changes else design, samples, load=load)


def laid_out(design, names=None):
    """The design in other layouts; bearings of another kind or size get the play of their kind and size.

    Parameters
    ----------
    design : Design [-]
        The design.
    names : sequence of str or None [-]
        Some of ``LAYOUTS``; None for all.

    Returns
    -------
    dict of str to Design [-]
        By name.

    Raises
    ------
    InputError
        If there is no such layout.

    Valid: a stub shaft as thick as the crank journal; whether it is stiff enough is not looked at here. Rollers on a
        crankpin need a crank built up of parts, in both machines.
    Source: rules at the head of this file.
    """
    design = as_running(design)  # the rules below are for plays of the running machine
    return {name: _laid_out(design, name) for name in (LAYOUTS if names is None else names)}


def _laid_out(design, name):
    if name not in LAYOUTS:
        raise InputError("layout", name, f"not one of {', '.join(LAYOUTS)}")
    wanted, keys = dict(LAYOUTS[name]), {}
    if "support" in wanted:
        design = on_stub_shafts(design)
    crank, now = design.crank, design.bearings
    size = {"crankpin": crank.pin_diameter_mm, "crank_in_carrier": crank.journal_diameter_mm,
            "carrier_in_block": design.carrier.bearing_diameter_mm}
    for part, key in PLAYS.items():
        kind, old = wanted.get(part, getattr(now, part)), getattr(now, part)
        play = 1e3 * size[part] * (seats.PLAY if kind == "journal" else ROLLER_PLAY)
        keys |= {f"bearings.{part}": kind, f"bearings.{key}": float(getattr(now, key) if kind == old else play)}
    return design.changed(**keys)


def pair(design, layout="as drawn", **options):
    """Assessments that each machine is taken from.

    Parameters
    ----------
    design : Design [-]
        The design.
    layout : str or (2,) tuple of str [-]
        One of ``LAYOUTS`` for both machines, or one for each.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    (2,) tuple of Case [-]
        For the straight-line drive and for the ordinary crank; the same one if the layouts are.

    Valid: as ``laid_out``.
    Source: ``laid_out``.
    """
    names = (layout,) if isinstance(layout, str) else tuple(layout)
    made = {name: at(d, **options) for name, d in laid_out(design, names).items()}
    return made[names[0]], made[names[-1]]


def means(cases, values=None):
    """Mean powers of both machines by contact.

    Parameters
    ----------
    cases : (2,) tuple of Case [-]
        From ``pair``.
    values : dict of str to (S,) array or None [-]
        Assumptions, as in ``of_straight``.

    Returns
    -------
    (2,) list of dict of str to (S,) array [W]
        By contact, and ``total``: straight-line drive, ordinary crank. Where a value of ``GAP`` is given, also
        ``MISSING``: what the ordinary crank, all plain, with likely values lacks of the published total, below zero
        where it has more, and that times ``missing_share`` for the straight-line drive.

    Valid: as ``of_straight``; published totals are those of small four-stroke engines at 2,000 to 4,000 rpm, and
        nothing is missing for other machines.
    Source: ``friction``.
    """
    found = [contacts.of_straight(cases[0], values).means, contacts.of_ordinary(cases[1], values).means]
    if not set(GAP) & set(values or ()) or cases[1].design.design.machine != "engine":
        return found
    published, share = (np.asarray(values.get(name, ASSUMPTIONS[name].likely)) for name in GAP)
    missing = published * _per_pressure(cases[1]) - _likely(cases[1])
    for own, part in zip(found, (share * missing, missing), strict=True):
        own["total"], own[MISSING] = own["total"] + part, part + 0.0 * own["total"]
    return found


def savings(cases, rows):
    """Friction of the ordinary crank less that of the straight-line drive, with some assumptions elsewhere.

    Parameters
    ----------
    cases : (2,) sequence of Case [-]
        As in ``means``.
    rows : sequence of dict of str to float [-]
        For each sample, the assumptions that are not likely and their values.

    Returns
    -------
    (S,) array [W]
        Mean power saved.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: as ``means``.
    Source: ``means``.
    """
    each = {name: np.array([row.get(name, own.likely) for row in rows]) for name, own in ASSUMPTIONS.items()}
    straight, ordinary = means(cases, each)
    return ordinary["total"] - straight["total"]


@cache
def _likely(case):
    """Friction of the ordinary crank with likely values [W], all plain as in the engines that were measured."""
    return contacts.of_ordinary(replace(case, drawing=_laid_out(case.design, "all plain"))).mean()


def _per_pressure(case):
    """Power over mean effective pressure [W/Pa]."""
    return 1.0 / friction_pressure(1.0, case.displacement, float(case.drive.speed), case.design.duty.cycle_turns)


def _totals(cases):
    return [float(own["total"][0]) for own in means(cases)]


def compare(design, names=None, progress=None, **options):
    """Friction of both machines in each layout, all assumptions likely.

    Parameters
    ----------
    design : Design [-]
        The design.
    names : sequence of str or None [-]
        Some of ``LAYOUTS``; None for all.
    progress : callable or None [-]
        Called with the layouts done and their number after each.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    list of Row [-]
        In that order.

        layout : str [-]
            Its name.
        straight, ordinary, saving : float [W]
            Mean power of the straight-line drive and of the ordinary crank; second less first.
        straight_pressure, ordinary_pressure : float [Pa]
            The powers as mean effective pressures.

    Valid: as ``of_straight``.
    Source: ``friction``.
    """
    rows, names = [], list(LAYOUTS if names is None else names)
    for name in names:
        cases = pair(design, name, **options)
        a, totals = cases[0], _totals(cases)
        size = a.displacement, float(a.drive.speed), a.design.duty.cycle_turns
        pressures = (friction_pressure(total, *size) for total in totals)
        rows.append(Row(name, *totals, totals[1] - totals[0], *pressures))
        if progress is not None:
            progress(len(rows), len(names))
    return rows


#: One layout with what its friction costs elsewhere; its fields are what ``side_by_side`` returns.
Side = namedtuple("Side", "layout straight ordinary bending life film ordinary_film guide bore thrust case")


def side_by_side(design, names=None, progress=None, **options):
    """For every layout: friction, and beside it tooth stress, life of rollers, films and lateral forces.

    Parameters
    ----------
    design, names, progress, options : object [-]
        As in ``compare``.

    Returns
    -------
    list of Side [-]
        In that order.

        layout : str [-]
            Its name.
        straight, ordinary : float [W]
            Mean friction power of both machines, all assumptions likely.
        bending : float [Pa]
            Largest stress of the bending screen of the teeth, at the end that carries more.
        life : float or None [s]
            Least rating life of a roller bearing of the straight-line drive; None if all are plain.
        film, ordinary_film : float or None [m]
            Least film of the plain bearings of each machine; None without any.
        guide, bore, thrust : float [N]
            Greatest force on a guide, of a piston of the straight-line drive on its bore, and of an ordinary piston.
        case : Case [-]
            The straight-line drive in that layout, for what else is asked of it.

    Valid: as ``of_straight``; stress as ``Case.bending``, forces as ``Case.shared``.
    Source: the case's own results.
    """
    rows, names = [], list(LAYOUTS if names is None else names)
    for name in names:
        case = pair(design, name, **options)[0]
        both = contacts.of_both(case)
        lives = [alone.on_rollers(seat, 1e-5, float(case.drive.speed)).life for seat in case.straight_seats
                 if seat.kind == "rolling"]
        films = [None if own.warm is None else float(journal.film_thickness(own.warm.journals, own.warm.orbit).min())
                 for own in both]
        peaks = (np.abs(force).max() for force in (case.shared["guide"], case.shared["bore"],
                                                   case.ordinary_loads["bore"]))
        rows.append(Side(name, *(own.mean() for own in both), max(margin.value for margin in case.bending),
                         float(min(lives)) if lives else None, *films, *map(float, peaks), case))
        if progress is not None:
            progress(len(rows), len(names))
    return rows


def machines(design, layout="as drawn", **options):
    """Mean friction of four machines of one design by contact: straight-line, ordinary, crosshead, scotch yoke.

    Parameters
    ----------
    design : Design [-]
        The design: engine, pump or compressor.
    layout : str [-]
        One of ``LAYOUTS``.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    dict of str to dict of str to float [W]
        By machine, then by contact, and ``total``; likely values.

    Valid: as ``of_straight``, ``of_crosshead`` and ``of_yoke``.
    Source: ``friction``.
    """
    case = pair(design, layout, **options)[0]
    made = (contacts.of_straight, contacts.of_ordinary, contacts.of_crosshead, contacts.of_yoke)
    each = [one(case) for one in made]
    return {own.machine: {name: float(power[0]) for name, power in own.means.items()} for own in each}


def like_with_like(straight, ordinary):
    """Put the losses of both machines side by side, like with like.

    Parameters
    ----------
    straight, ordinary : dict of str to float or array [-]
        Value of each contact.

    Returns
    -------
    names : list of str [-]
        Contacts, largest first.
    values : (N, 2, ...) array [-]
        Of both machines; nan where a machine has no such contact.

    Valid: contacts named as in ``contacts.Friction``.
    Source: none needed.
    """
    taken = {name for pair in ALIKE.values() for name in pair}
    pairs = {**ALIKE, **{name: (name, name) for name in {**straight, **ordinary} if name not in taken}}
    none = np.nan * np.asarray(next(iter(straight.values())))
    found = {words: np.stack([straight.get(own, none), ordinary.get(other, none)])
             for words, (own, other) in pairs.items()}
    names = sorted(found, key=lambda words: -np.nanmax(found[words]))
    return names, np.stack([found[name] for name in names])


def rod_ratio(design, ratios, offsets=OFFSETS, layout="as drawn", **options):
    """Friction of the ordinary crank against its rod ratio, each with the best of some wrist-pin offsets.

    Parameters
    ----------
    design : Design [-]
        The design.
    ratios : (R,) array [1]
        Rod length over crank radius.
    offsets : sequence of float [1]
        Offsets over the stroke.
    layout : str [-]
        One of ``LAYOUTS``.
    options : object [-]
        Passed on to ``at``.

    Returns
    -------
    power : (R,) array [W]
        Of all its friction, the least among those offsets.
    skirts : (R,) array [W]
        Of the skirts, at that offset.
    offset : (R,) array [m]
        The offset.

    Valid: as ``of_straight``; the same mass of the rod at all ratios if the file gives it.
    Source: ``friction``.
    """
    case, stroke = pair(design, layout, **options)[1], design.cylinders.si.stroke
    found = [min(_with_rod(case, ratio, share * stroke) for share in offsets) for ratio in ratios]
    return tuple(np.array(found).T)


def _with_rod(case, ratio, offset):
    """Total, skirts and offset of another ordinary crank."""
    keys = {"ordinary_crank.rod_ratio": float(ratio), "ordinary_crank.wrist_pin_offset_mm": 1e3 * offset}
    made = contacts.of_ordinary(replace(case, drawing=case.design.changed(**keys)))
    return made.mean(), made.mean("skirts"), offset


def balance_shaft_power(design):
    """Friction of one balance shaft at the speed of the crank, in two plain bearings: an order of size.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    Estimate [W]
        Low, likely and high.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: full films; its drive not included. A shaft at twice the speed takes four times as much.
    Source: N. Petroff: viscosity x speed^2 x pi diameter^3 length / (4 x radial play) for each bearing; sizes by the
        rule at the head of this file.
    """
    lubricant, speed = design.lubricant.si, design.duty.si.speed
    viscosity = float(oils.viscosity(oils.oil(design.lubricant.grade), lubricant.temperature))
    each = []
    for share, factor in zip(SHAFT, OFF_MIDDLE, strict=True):
        diameter = share * design.crank.si.journal_diameter
        size = np.pi * diameter**3 * SHAFT_LENGTH * diameter / (2.0 * seats.PLAY * diameter)
        each.append(2.0 * factor * viscosity * speed**2 * size)
    return Estimate(*each, "W", "two plain bearings, 0.5 to 0.8 of the crank journal; own choice")


def speed_load_map(design, speeds_rpm, loads, layout="as drawn", progress=None, cancel=None, samples=241):
    """Friction of both machines over speed and load.

    Parameters
    ----------
    design : Design [-]
        The design.
    speeds_rpm : (N,) array [rpm]
        Speeds.
    loads : (M,) array [1]
        Loads, as in ``at``.
    layout : str or (2,) tuple of str [-]
        As in ``pair``.
    progress, cancel : callable or None [-]
        As in ``sampling.run``.
    samples : int [1]
        Angles over a cycle, both ends included.

    Returns
    -------
    straight, ordinary : (N, M) array [W]
        Mean powers.

    Raises
    ------
    Cancelled
        If ``cancel`` said so.

    Valid: as ``at``.
    Source: ``friction``.
    """
    speed, load = (v.ravel() for v in np.meshgrid(speeds_rpm, loads, indexing="ij"))

    def one(point):
        own = {"speed_rpm": float(point["speed"][0]), "load": float(point["load"][0]), "samples": samples}
        return {"both": np.array([_totals(pair(design, layout, **own))])}

    both = sampling.run(one, {"speed": speed, "load": load}, 1, progress, cancel)["both"]
    return tuple(both.T.reshape(2, len(speeds_rpm), len(loads)))
