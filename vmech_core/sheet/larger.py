"""What doubling every length does, computed by the whole core on the scaled design and put beside the original."""

from collections import namedtuple

import numpy as np

from vmech_core import bearings, friction, gears
from vmech_core.base.errors import InputError
from vmech_core.case import Case
from vmech_core.design.scaling import scaled

#: One quantity of the machine as it is and scaled in two ways; its fields are what ``scaling`` returns.
Scaled = namedtuple("Scaled", "quantity unit original same_piston_speed same_speed")


def scaling(case, factor=2.0):
    """Headline numbers of a design, and of the same with every length multiplied.

    Parameters
    ----------
    case : Case [-]
        The case; all three machines get its pressure trace.
    factor : float [1]
        New length over old.

    Returns
    -------
    list of Scaled [-]
        ``original`` in ``unit``; the two others are over it: at the same mean piston speed, at the same revolutions.

    Raises
    ------
    InputError
        If a scaled key leaves its range.

    Valid: same oil at the same inlet temperature, same roughness, same pressure over the angle, though a larger
        cylinder loses less heat; guides shared, end loads and teeth with guides idle.
    Source: ``design.scaled``; compared with dimension analysis in tests/sheet/test_scaling.py.
    """
    designs = [case.design] + [scaled(case.design, factor, same) for same in ("piston speed", "speed")]
    rows = [_numbers(Case(design, case.samples, load=1.0, trace=case.gas_trace)) for design in designs]
    return [Scaled(*key, first, *(row[key] / first for row in rows[1:])) for key, first in rows[0].items() if first]


def _numbers(case):
    own, ends = case.design.gear_pair.si, np.abs(case.ends["mesh_end"]).max()
    moduli = own.pinion_youngs_modulus, own.ring_youngs_modulus
    found = {
        ("peak gas force", "N"): np.abs(case.loads["gas"]).max(),
        ("greatest inertia force of a rod", "N"): np.abs(case.loads["rod"] - case.loads["gas"]).max(),
        ("peak tooth force of one end, guides idle", "N"): ends,
        ("pinion tooth bending (Lewis)", "Pa"): case.bending[0].value,
        ("pressure between flanks (Hertz)", "Pa"):
            gears.contact_stress(case.design.pair, ends, own.face_width, *moduli),
        ("peak force of one guide", "N"): np.abs(case.shared["guide"]).max(),
        ("indicated power", "W"): case.loads["torque"][:-1].mean() * case.drive.speed,
        ("crank with rods and pistons", "kg"): case.drive.crank_mass + np.sum(case.drive.reciprocating_mass),
    }
    try:
        film = bearings.film_thickness(case.warm.journals, case.warm.orbit).min(axis=1)
        least = min(film[k] for k, seat in enumerate(case.seats) if seat.machine == bearings.STRAIGHT and
                    seat.part == "crankpin")
        size = case.displacement, float(case.drive.speed), case.design.duty.cycle_turns
        powers = friction.of_straight(case).mean(), friction.of_ordinary(case).mean()
    except InputError:  # runs dry
        return {key: float(value) for key, value in found.items()}
    found[("least film of the crankpins", "m")] = least
    for words, power in zip(("straight-line drive", "ordinary crank"), powers, strict=True):
        found[(f"{words}: friction mean effective pressure", "Pa")] = friction.friction_pressure(power, *size)
    return {key: float(value) for key, value in found.items()}
