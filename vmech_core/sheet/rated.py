"""Rating of the teeth of a design: each end, at every angle, with the tilt of the crank and the peaks of the march."""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core import gears, size
from vmech_core.base import Estimate, InputError, Margin, Quantity
from vmech_core.bearings import alone, oils
from vmech_core.machine.ends import mesh_tilts
from vmech_core.sharing.flanks import turning_mass
from vmech_core.sheet.crank import crank_margins
from vmech_core.sheet.in_time import end_factor

#: Bending stiffness of the crank over that of a bar as thick as its pins, and share of the radial plays that the
#: journals sink through. Webs weaken, overlap of pin and journal stiffens, oil films hold up.
STIFF = Estimate(0.4, 0.6, 1.0, "1", "own bracket, low as for sharing")
SUNK = Estimate(0.0, 0.5, 1.0, "1", "own bracket")
#: Share of the greatest force from which an angle is rated.
RATED_FROM = 0.05
LEVELS = ("light", "likely", "heavy")
#: Force on a bore up to which it counts as free [N].
BORE_FREE = 1.0

#: One mesh under one assumption; its fields are what ``rated_teeth`` returns.
Rated = namedtuple("Rated", "end level rating angle force tilt duty steels")


def steels_of(design):
    """Steels of pinion and ring by the words of the design file.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    tuple of ToothSteel [-]
        Pinion, then ring; usual grade MQ and usual hardness.

    Raises
    ------
    InputError
        If a material is no gear steel of the table.

    Valid: hardened and tempered steels.
    Source: ``gears.tooth_steel``.
    """
    own, found = design.gear_pair, []
    for key in ("pinion_material", "ring_material"):
        try:
            found.append(gears.tooth_steel(getattr(own, key)))
        except InputError as error:
            words = "no gear steel that can be rated"
            raise InputError(f"gear_pair.{key}", getattr(own, key), words) from error
    return tuple(found)


def duty_of(case, level="likely"):
    """How the mesh of a case runs, without its tilt.

    Parameters
    ----------
    case : Case [-]
        The case.
    level : str [-]
        One of ``LEVELS``: damping of the march behind the dynamic factor from high to low; or ``dry``.

    Returns
    -------
    ToothDuty [-]
        Speed, life, oil, grade, and the factor of the march over the rigid force of the end.

    Valid: as ``end_factor``; kinematic viscosity of the grade at 40 C, as the flank factors want it.
    Source: the design file; ``data/march_peaks.csv``.
    """
    own = case.design
    shared = float(np.abs(case.shared["mesh"]).max() / np.abs(case.loads["mesh"]).max())
    mass = turning_mass(case.drive, case.mass["crank"].likely).likely / (2.0 * np.cos(case.drive.pressure_angle) ** 2)
    return gears.ToothDuty(float(case.drive.speed), own.duty.si.life, oils.oil(own.lubricant.grade).nu_40,
                           own.gear_pair.accuracy_grade, mass=mass,
                           dynamic=max(1.0, shared * end_factor(own.design.machine, level)))


def rated_teeth(case, level="likely", correct=None):
    """Rate both meshes of a case at the angle that is worst for each.

    Parameters
    ----------
    case : Case [-]
        The case; guides idle, as the screens, so that the rating does not lean on guides.
    level : str [-]
        One of ``LEVELS`` (stiff crank without play to soft crank with all its play, high to low damping); ``dry``:
        likely tilt and the peak of dry gaps; ``computed``: likely, with the slopes of ``size.mesh_slopes``.
    correct : float or None [m]
        Helix correction of the end that drives; None for that of the design.

    Returns
    -------
    list of Rated [-]
        End 1, end 2.

        end : int [1]
            End.
        level : str [-]
            The level.
        rating : Rating [-]
            At that angle.
        angle : float [rad]
            Carrier angle.
        force : float [N]
            Tangential force there, without load factors.
        tilt : (A,) array [m]
            Misalignment across the face over the cycle, correction taken off where its flank carries.
        duty : ToothDuty [-]
            With the misalignment at that angle.
        steels : tuple of ToothSteel [-]
            Pinion, then ring.

    Raises
    ------
    InputError
        If the materials are no gear steels.

    Valid: as ``gears.rate`` and ``mesh_tilts``.
    Source: ``gears.rate`` at every angle of one cycle.
    """
    own, steels, found = case.design, steels_of(case.design), []
    wide, pair, duty = own.gear_pair.si.face_width, own.pair, duty_of(case, level)
    correct = own.gear_pair.si.helix_correction if correct is None else correct
    for end, (force, tilt) in enumerate(zip(case.ends["mesh_end"], _tilts(case, level), strict=True), 1):
        top = np.abs(force).argmax()
        heavy, relief = np.sign(force[top]), np.sign(tilt[top]) * (correct if end == 2 else 0.0)
        out = tilt * wide - relief * (force * heavy > 0)
        flanks = np.array([max((heavy * force).max(), 0.0), max((-heavy * force).max(), 0.0)])
        at = np.flatnonzero(np.abs(force) >= RATED_FROM * flanks[0])
        lighter = np.where(heavy * force[at] > 0, flanks[1] / flanks[0], 1.0)
        size = np.abs(force[at])
        rating = gears.rate(pair, wide, np.stack([size, size * lighter], axis=-1), steels,
                            replace(duty, misalignment=out[at]))
        i = int(rating.spare.argmin())
        there = replace(duty, misalignment=float(out[at][i]))
        one = gears.rate(pair, wide, np.array([size[i], size[i] * lighter[i]]), steels, there)
        found.append(Rated(end, level, one, float(case.angle[at][i]), float(force[at][i]), out, there, steels))
    return found


def along_cycle(case, one):
    """Rate a mesh at every angle of the cycle.

    Parameters
    ----------
    case : Case [-]
        The case.
    one : Rated [-]
        One end from ``rated_teeth``.

    Returns
    -------
    Rating [-]
        Over the angles; where the force is below a twentieth of its peak, factors are those of a twentieth.

    Valid: as ``rated_teeth``; equal flanks, so its strengths are not those of the end.
    Source: ``gears.rate``.
    """
    own, force = case.design, np.abs(case.ends["mesh_end"][one.end - 1])
    both = np.stack(2 * [np.maximum(force, RATED_FROM * force.max())], axis=-1)
    return gears.rate(own.pair, own.gear_pair.si.face_width, both, one.steels, replace(one.duty, misalignment=one.tilt))


def worst(case, level="likely"):
    """The end of a case whose teeth have the least spare safety.

    Parameters
    ----------
    case : Case [-]
        The case.
    level : str [-]
        As in ``rated_teeth``.

    Returns
    -------
    Rated [-]
        That end.

    Valid: as ``rated_teeth``.
    Source: ``rated_teeth``.
    """
    return min(rated_teeth(case, level), key=lambda one: one.rating.spare)


def rating_margins(case):
    """Safety of root and flank at the worse end, likely level, as screens.

    Parameters
    ----------
    case : Case [-]
        The case.

    Returns
    -------
    list of Margin [-]
        Root and flank of pinion and ring.

    Valid: as ``rated_teeth``.
    Source: ``rated_teeth``; wanted safeties ``gears.SAFETY``.
    """
    one = worst(case)
    return [Margin(f"{gear} {words}", float(values[k]), limit, "", ">=", source="usual for industrial gears",
                   note=f"end {one.end}")
            for k, gear in enumerate(("pinion", "ring"))
            for words, values, limit in (("root safety S_F", one.rating.S_F, gears.SAFETY[0]),
                                         ("flank safety S_H", one.rating.S_H, gears.SAFETY[1]))]


def running_margins(case):
    """Screens that need the running machine: teeth, life of the crank's rollers, pistons off their bores, the crank.

    Parameters
    ----------
    case : Case [-]
        The case.

    Returns
    -------
    list of Margin [-]
        Those that apply: no rating for gears of no gear steel, no life without rollers.

    Valid: teeth as ``rating_margins``; bores by quasi-statics with films.
    Source: the case.
    """
    try:
        found = rating_margins(case)
    except InputError:
        found = []
    lives = [alone.on_rollers(seat, 1e-5, float(case.drive.speed)).life for seat in case.straight_seats
             if seat.part == "crank_in_carrier" and seat.kind == "rolling"]
    if lives:
        found.append(Margin("life of the crank's rollers", float(min(lives)), case.design.duty.si.life, "s", ">=",
                            source="life wanted by the design"))
    bore = float(np.abs(case.shared["bore"]).max())
    found.append(Margin("force of a piston on its bore", bore, BORE_FREE, "N", "<=", source="own: nothing but noise"))
    return found + crank_margins(case)


def rating_remedies(case):
    """What would make failed teeth stand their load: the nearest helix correction, and the smallest pair of the stroke.

    Parameters
    ----------
    case : Case [-]
        The case.

    Returns
    -------
    list of dict [-]
        Keys of ``[gear_pair]`` to new values; the pair keeps slope of the crank, force and steels.

    Valid: as ``rated_teeth`` and ``gears.choose``.
    Source: tried on the case itself, corrections in steps of 2 um.
    """
    found, one = [], worst(case)
    face, force = case.design.gear_pair.si.face_width, np.asarray(case.ends["mesh_end"][one.end - 1])
    for correct in np.arange(2e-6, 81e-6, 2e-6):
        if all(own.rating.spare >= 1.0 for own in rated_teeth(case, correct=correct)):
            found.append({"helix_correction_um": round(1e6 * float(correct))})
            break
    flanks = np.array([max(force.max(), 0.0), max(-force.min(), 0.0)])
    made = gears.choose(float(case.design.pair.stroke), flanks, one.steels, duty_of(case),
                        abs(one.duty.misalignment) / face, backlash=case.design.gear_pair.si.backlash)
    for fit in made.fits[:1]:
        found.append({**gears.pair_keys(fit.pair), "face_width_mm": round(1e3 * fit.face_width, 3)})
    return found


def _tilts(case, level):
    """Slopes of the crank: as a bar of bracketed stiffness, or ``computed`` from its shape; leaning in its plays."""
    place = LEVELS.index(level) if level in LEVELS else 1
    stiff, sunk = ((STIFF.high, STIFF.likely, STIFF.low)[place], (SUNK.low, SUNK.likely, SUNK.high)[place])
    own, elastic = case.design, case.dry_elastic
    bending = stiff * own.gear_pair.si.pinion_youngs_modulus * np.pi * own.crank.si.pin_diameter**4 / 64.0
    own = size.mesh_slopes(case, case.loads) if level == "computed" else 0.0
    return own + mesh_tilts(case.axis, case.drive, case.loads, case.ends, np.inf if level == "computed" else bending,
                            sunk * elastic.bearing_clearance, elastic.bearing)


def _rating(a):
    """Safeties at three levels and dry, the worse end; nothing for parts that are no gear steel."""
    try:
        steels_of(a.design)
    except InputError:
        return {}
    found = {level: worst(a, level) for level in (*LEVELS, "dry")}
    guess, result = any(mass.estimated for mass in a.mass.values()), {}
    for level, one in found.items():
        for symbol, values in (("S_F", one.rating.S_F), ("S_H", one.rating.S_H)):
            for k, gear in enumerate(("pinion", "ring")):
                words = f"{gear} {'root' if symbol == 'S_F' else 'flank'} safety {symbol}, {level}, end {one.end}"
                result[f"{gear}_{symbol}_{level}"] = Quantity(float(values[k]), "1", words, "", guess)
        result[f"K_Hbeta_{level}"] = Quantity(float(one.rating.factors["K_Hbeta"]), "1",
                                              f"face-load factor K_Hbeta, {level}", "", guess)
    return result
