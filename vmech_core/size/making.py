"""Whether the straight-line drive can be put together, whether its ring gears stay in a hot block, how hot its pistons
get. The oil's way stands in ``bearings.oil_supply``.

A way to build is a choice of words of the section ``making``. Its steps have an order if what has to come before what
(``data/making_steps.csv``) runs in no circle; sizes decide what cannot go through what.
"""

from collections import namedtuple
from itertools import product

import numpy as np

from vmech_core.base import InputError, show, tables
from vmech_core.bearings import films
from vmech_core.plays import running

#: Outer over inner diameter of the eye of a big end, the middle rule of ``machine.masses``; height of three rings over
#: the bore (1.2 to 1.5 mm each at 60 mm, from memory); number of dowel pins along the seam of ring gear and block, and
#: their diameter in modules (own choice). Ranges of what holds and cools: ``data/making.csv``.
EYE, RINGS, PINS, PIN = 1.55, 0.07, 4, 2.0

#: Fields of what ``ways_to_build``, ``tooth_out``, ``press_fit``, ``ring_seat`` and ``piston_heat`` return.
Way = namedtuple("Way", "choices order blocked")
ToothOut = namedtuple("ToothOut", "turn least greatest play")
Pressed = namedtuple("Pressed", "pressure outer_hoop inner_hoop shrink")
Retained = namedtuple("Retained", "interference pressure torque safety shear bearing backlash")
Heated = namedtuple("Heated", "crown belt flows")


def ways_to_build(design, **fixed):
    """Every way to build the straight-line drive, and the order of its steps, or what blocks it.

    Parameters
    ----------
    design : Design [-]
        The design.
    fixed : str [-]
        Choices that are fixed, by key of the section ``making``; ``**design.making.to_dict()`` gives one way, that of
        the file.

    Returns
    -------
    list of Way [-]
        In the order of the words.

        choices : dict of str to str [-]
            Key of ``making`` to word.
        order : tuple of str [-]
            Steps from first to last; empty if there is no order.
        blocked : tuple of str [-]
            Sentences with the sizes that block; empty if there is an order.

    Raises
    ------
    InputError
        If there is no such choice.

    Valid: a tunnel block whose end walls come off, both ends alike, cylinders part of the block; plays left out; webs
        as small as the circle around the pins or journals that they join, without counterweights; closed carriers come
        on from the ends. Whether tools reach
        a cap, a joint or a guide half, whether a rod can be swung in, and whether a crank joined in place is true, is
        not computed. A split eye or
        carrier on rollers needs a split cage and race. Guides at the big end are open and block nothing.
    Source: ``data/making_steps.csv``, our own; an order exists exactly where what comes before what has no circle.

    Examples
    --------
    >>> from vmech_core import load_design
    >>> design = load_design("data/v_twin_generator.toml")
    >>> ways_to_build(design, **design.making.to_dict())[0].order[:4]
    ('block with bores', 'guides', 'rods', 'pistons onto rods')
    """
    design = design.changed({f"making.{key}": word for key, word in fixed.items()})
    words = {key: (fixed[key],) if key in fixed else rule.words for key, rule in design.making.rules.items()}
    sizes, facts = _sizes(design), (design.guide.place, design.carrier.support)
    return [_way(facts, sizes, dict(zip(words, pick, strict=True))) for pick in product(*words.values())]


def tooth_out(design):
    """What ring gears a tooth out of their marks do: the lines turn, and the pistons miss their bores.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    ToothOut [-]
        Of both ring gears; if one alone is out, the second wall does not go on at all.

        turn : float [rad]
            Angle by which all lines turn.
        least : float [m]
            How far the pin farthest off its line is off it, at the carrier angle where that is least. Beyond the play
            the walls do not go on while the pistons stand in their bores; within it they do, and the machine jams.
        greatest : float [m]
            The same at the angle where it is greatest.
        play : float [m]
            Play of a piston on its radius, as the design has it.

    Valid: rigid parts; both ends out by the same tooth.
    Source: a ring turned by one tooth turns the crank by one tooth of the pinion against the carrier, 2 pi / z_p, and
        every line by half of that; P = (S/2) cos(theta - alpha) e^(i alpha) on the turned lines.
    """
    own, turn, angle = design.cylinders.si, np.pi / design.gear_pair.pinion_teeth, np.linspace(0.0, np.pi, 3601)
    off = 0.5 * own.stroke * np.sin(turn) * np.abs(np.cos(angle - own.bank_angle[:, None])).max(axis=0)
    return ToothOut(turn, float(off.min()), float(off.max()), 0.5 * design.guide.si.piston_clearance)


def press_fit(inner, seat, outer, interference, hub, shaft):
    """Pressure and hoop stresses of a ring pressed into a hub, both elastic and thick.

    Parameters
    ----------
    inner, seat, outer : float or (...) array [m]
        Diameters: bore of the ring (0 for a solid shaft), seat, outside of the hub.
    interference : float or (...) array [m]
        On the diameter; negative is play.
    hub, shaft : tuple of float [-]
        Young's modulus [Pa] and Poisson's ratio [1] of the hub and of the ring within.

    Returns
    -------
    Pressed [-]
        Zero where there is play.

        pressure : (...) array [Pa]
            At the seat.
        outer_hoop : (...) array [Pa]
            Greatest tension, of the hub at its seat.
        inner_hoop : (...) array [Pa]
            Greatest compression, of the ring at its bore, or all over a solid one; negative.
        shrink : (...) array [m]
            By which the bore of the ring becomes smaller, on the diameter.

    Valid: long even rings, free ends, elastic.
    Source: G. Lame, thick rings, as in A. C. Ugural and S. K. Fenster, Advanced Strength and Applied Elasticity, ch. 8.
    """
    out, into = np.divide(outer, seat) ** 2, np.divide(inner, seat) ** 2
    yielding = ((out + 1.0) / (out - 1.0) + hub[1]) / hub[0] + ((1.0 + into) / (1.0 - into) - shaft[1]) / shaft[0]
    pressure = np.maximum(interference, 0.0) / (seat * yielding)
    return Pressed(pressure, pressure * (out + 1.0) / (out - 1.0), -pressure * (1.0 + (into > 0.0)) / (1.0 - into),
                   2.0 * pressure / (1.0 - into) * inner / shaft[0])


def seat_torque(pressure, seat, length, friction):
    """Torque that a press fit holds by friction; the force along the axis that it holds is twice that over the seat.

    Parameters
    ----------
    pressure : float or (...) array [Pa]
        At the seat, from ``press_fit``.
    seat, length : float [m]
        Diameter and length of the seat.
    friction : float or (...) array [1]
        Coefficient of friction.

    Returns
    -------
    float or (...) array [N m]
        Torque at which it slips.

    Valid: even pressure over the whole seat.
    Source: friction on strips summed in tests/size/test_making.py.

    Examples
    --------
    >>> round(seat_torque(40e6, 0.05, 0.06, 0.12), 1)
    1131.0
    """
    return friction * pressure * 0.5 * np.pi * seat**2 * length


def ring_seat(case, factor=1.0, material=None, rise=None):
    """What holds a ring gear in the end wall of the warm block: its press fit, and dowel pins along the seam.

    Parameters
    ----------
    case : Case [-]
        The case, with ring gears of steel.
    factor : float [1]
        On the greatest tooth force of one end by rigid parts, guides idle, for its peak in time.
    material : str or None [-]
        Material of the block; None for that of the design.
    rise : float or None [K]
        Block and ring gear above 20 C; None for the running state of the design.

    Returns
    -------
    Retained [-]
        Least, likely and greatest hold, all causes at the same end together: (3,) arrays, but for the pins.

        interference : (3,) array [m]
            On the diameter, warm and pressed flat; negative is play.
        pressure : (3,) array [Pa]
            At the seat.
        torque : (3,) array [N m]
            That friction holds.
        safety : (3,) array [1]
            That torque over the greatest of the teeth, which is force times half the stroke.
        shear, bearing : float [Pa]
            Shear stress and pressure of the pins if they carry all.
        backlash : (3,) array [m]
            That the press fit closes along the pitch circle.

    Valid: order of size: a round wall of even thickness, no wobble of the ring under its running load.
    Source: ``plays.seat_interference``, ``press_fit``, friction mu p pi d^2 b / 2; ``data/making.csv``.
    """
    design, pair, wide = case.design, case.design.pair, case.design.gear_pair.si.face_width
    heat, torque = running.heat_of(design), factor * np.abs(case.ends["mesh_end"]).max() * pair.ring_working_radius
    material, warm = material or heat.block_material, (heat.block, heat.ring) if rise is None else (rise, rise)
    seat = 2.0 * pair.ring_root_radius + 2.0 * running.RING_WALL * pair.module
    left = np.linspace(*running.seat_interference(seat, running.SEAT_FIT, material, *warm)[1], 3) - _levels("flattened")
    metal = [(1e9 * float(row["youngs_modulus_GPa"]), float(row["poisson_ratio"])) for row in (
        tables.row("materials", "material", {"bronze": "tin bronze"}.get(name, name)) for name in (material, "steel"))]
    held = press_fit(2.0 * pair.ring_root_radius, seat, seat * (1.0 + 2.0 * _levels("wall")), left, *metal)
    friction = seat_torque(held.pressure, seat, wide, _levels("friction"))
    shear = torque / (0.5 * seat * PINS * PIN * pair.module * wide)
    return Retained(left, held.pressure, friction, friction / torque, shear, 2.0 * shear,
                    np.tan(float(pair.working_angle)) * held.shrink)


def piston_heat(case, draws=0):
    """Temperature of the crown of the skirtless piston and of the trunk piston of the ordinary crank, as bands.

    Parameters
    ----------
    case : Case [-]
        The case of an engine with a computed cycle; both pistons get the heat of the straight-line drive's.
    draws : int [1]
        Draws with every cause on its own, the same for both pistons, put after the three levels.

    Returns
    -------
    dict of str to Heated [-]
        Keys ``straight`` and ``ordinary``. Cool, likely and hot with all causes at the same end together, then the
        draws: (3 + draws,) arrays.

        crown : (3 + draws,) array [K]
            Middle of the crown.
        belt : (3 + draws,) array [K]
            Ring belt.
        flows : dict of str to (3 + draws,) array [W]
            Heat by its way out; negative is heat that comes in.

    Raises
    ------
    InputError
        If no fuel burns in the machine.

    Valid: a band, not a prediction: steady mean heat, one node at the belt, the crown as an even disc heated evenly and
        cooled at its rim alone; cylinder and oil as warm as the running state says, whatever the pistons give them;
        land and rings of the trunk piston as those of the skirtless one, its rod left out.
    Source: sums of heat flows; disc heated evenly: rise Q / (4 pi k t) in its middle; skirt: a fin of one wet side,
        sqrt(h k t) tanh(L sqrt(h / (k t))) for each unit of its width (any text on heat transfer); skirt as in
        ``bearings.films``; ``data/making.csv``.
    """
    if case.own_cycle.closed is None:
        raise InputError("design.machine", case.design.design.machine, "not one that burns fuel", nearest="engine")
    d, heat = case.design, case.own_cycle.closed.released[0, -1] * case.drive.speed / (4.0 * np.pi)
    own, bore, warm, oil = d.guide.si, d.cylinders.si.bore, d.running_state.si, d.lubricant.si.temperature
    share, ring, film, under, alloy, rod, crown, wall = (_levels(name, draws) for name in (
        "fuel", "ring", "film", "underside", "alloy", "rod", "crown", "skirt_wall"))
    heat, section, land = share * heat / d.spark_cycle.combustion_efficiency, 0.25 * np.pi * own.rod_diameter**2, (
        max(own.piston_length - RINGS * bore, 0.0))
    both = {"rings": (ring * np.pi * bore * RINGS * bore, warm.cylinder),
            "land": (film * np.pi * bore * land / (0.5 * own.piston_clearance), warm.cylinder),
            "underside": (under * (0.25 * np.pi * bore**2 - section), oil)}
    fin, plate, long = film / (films.SKIRT_CLEARANCE * bore), alloy * wall * bore, films.SKIRT_LENGTH * bore
    skirt = 2.0 * films.SKIRT_ARC * bore * np.sqrt(fin * plate) * np.tanh(long * np.sqrt(fin / plate))
    more = {"straight": {"rod": (rod * section / (own.rod_length - own.piston_length), oil)},
            "ordinary": {"skirt": (skirt, warm.cylinder)}}
    return {name: _heated(heat, heat / (4.0 * np.pi * alloy * crown * bore), both | way) for name, way in more.items()}


def _heated(heat, over, ways):
    """One node: what comes in leaves by all ways to their sinks."""
    belt = (heat + sum(g * sink for g, sink in ways.values())) / sum(g for g, _ in ways.values())
    return Heated(belt + over, belt, {name: g * (belt - sink) for name, (g, sink) in ways.items()})


def _levels(name, draws=0):
    """First, likely and last value of a row, then draws that fall on both sides of the likely one as often, evenly."""
    three = [float(tables.row("making", "name", name)[key]) for key in ("first", "likely", "last")]
    places = np.random.default_rng(list(name.encode())).uniform(-1.0, 1.0, draws)
    return np.append(three, np.interp(places, (-1.0, 0.0, 1.0), three))


def _way(facts, sizes, choices):
    """One way: the rows of the table that count, closed by Warshall's algorithm."""
    facts = {*facts, *map("=".join, choices.items())}
    links = [row for row in tables.rows("making_steps") if facts.issuperset(row["when"].split()) and (
        not row["body"] or sizes[row["body"]] > sizes[row["hole"]])]
    steps = list(dict.fromkeys(row[end] for row in tables.rows("making_steps") for end in ("first", "then")))
    first, then = ([steps.index(row[end]) for row in links] for end in ("first", "then"))
    before = np.zeros((len(steps), len(steps)), dtype=bool)
    before[first, then] = True
    for k in range(len(steps)):
        before |= np.outer(before[:, k], before[k])
    blocked = ["{body} of {} does not go through {hole} of {}".format(
        *(show(sizes[row[key]], "mm", 3) for key in ("body", "hole")), **row)
        for row, i, j in zip(links, first, then, strict=True) if row["body"] and before[j, i]]
    order = sorted({*first, *then}, key=lambda step: (before[:, step].sum(), step))
    return Way(choices, () if blocked else tuple(steps[step] for step in order), tuple(blocked))


def _sizes(design):
    """Bodies and holes [m]; the web is the circle that an eye has to pass on its best way to the worst pin."""
    crank, own, tip = design.crank.si, design.cylinders.si, 2.0 * design.pair.pinion_tip_radius
    pin, journal, a = crank.pin_diameter, crank.journal_diameter, 0.25 * own.stroke
    turn = np.exp(2j * own.bank_angle[np.argsort(own.axial_position, kind="stable")])
    end = max(pin, journal, 0.5 * (pin + journal) + a)
    circles = np.array([end, *(pin + a * np.abs(np.diff(turn))), end])
    one, other = np.maximum.accumulate(circles)[:-1], np.maximum.accumulate(circles[::-1])[-2::-1]
    rod, wall = design.guide.si.rod_diameter, design.carrier.si.bearing_diameter
    return {"a web": np.minimum(one, other).max(), "a pinion": tip, "the sweep of a pinion": 2.0 * a + tip,
            "a big end": EYE * pin, "a piston": own.bore, "a bore": own.bore, "a guide": rod, "a closed eye": pin,
            "a closed carrier": journal, "a bearing in the wall": wall}
