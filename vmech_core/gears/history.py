"""What each tooth of the straight-line drive carries over a cycle: the same teeth always meet, each has its own life.

The pinion meshes twice as often as it has teeth in a turn of the carrier, each ring space once. Tooth j of the pinion
is counted in the order in which the teeth meet the ring from carrier angle 0 on: it meets the ring spaces j, j + z1 and
so on, whatever the load does. Ring tooth k stands before space k. Flank 0 carries while the tooth force on the pinion
is positive (along i e^(i theta)), where the pinion drives for an anticlockwise carrier; flank 1 while it is negative.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import record, refuse
from vmech_core.gears import factors as f
from vmech_core.gears.geometry import contact_ratio
from vmech_core.gears.involute import involute
from vmech_core.gears.steels import cycles_to_failure, life_factor

#: Share of a pair of teeth where it comes into mesh, with another pair carrying the rest (common in text books).
EDGE_SHARE = 1.0 / 3.0

#: One tooth over the cycle; its fields are what ``tooth_course`` returns.
Course = namedtuple("Course", "root at")


@record("root_peak flank_peak root_least root_damage flank_damage root_equal flank_equal root_safety flank_safety "
        "life")
class ToothLives:
    """Stresses and damage of every tooth of one gear at one mesh; Z teeth, two flanks.

    Attributes
    ----------
    root_peak : (2, Z) array [Pa]
        Greatest root stress from a load on each flank, load factors included.
    flank_peak : (2, Z) array [Pa]
        Greatest pressure on each flank, anywhere on its path. Near its ends a flank may be pressed more than where the
        standard counts, as the pinion curves sharply there.
    root_least : (2, Z) array [Pa]
        Least root stress at that flank's root: pressed by the load on the other flank, so not above 0.
    root_damage, flank_damage : (2, Z) array [1]
        Share of the life of root and flank that the wanted life uses up (Miner); 1 is failure. Flanks count from the
        inner point of single-pair contact to the pitch point, where the standard looks for pitting.
    root_equal, flank_equal : (2, Z) array [Pa]
        Stress that does the same damage if it comes at every engagement.
    root_safety, flank_safety : (2, Z) array [1]
        Factor on all stresses at which the damage is 1.
    life : (Z,) array [s]
        Time to damage 1 of the worst of the four.
    """

def share(place, ratio):
    """Share of the force that one pair of teeth takes.

    Parameters
    ----------
    place : (...) array [1]
        Place on the path of contact in base pitches, from 0 to the contact ratio.
    ratio : float [1]
        Contact ratio.

    Returns
    -------
    (...) array [1]
        From a third at the ends, linearly to two thirds, and 1 where the pair is alone; from a ratio of 2 on, equal
        shares of all pairs.

    Valid: no tip relief, no deviations; the true share depends on both.
    Source: usual trapezoid of text books and of ISO/TR 13989-1 (from memory).
    """
    place = np.asarray(place, dtype=float)
    if ratio >= 2.0:
        return 1.0 / (np.floor(place) + 1.0 + np.floor(ratio - place))
    edge = np.minimum(place, ratio - place)
    ramp = EDGE_SHARE * (1.0 + edge / max(ratio - 1.0, 1e-12))
    return np.where(edge >= ratio - 1.0, 1.0, ramp)


def tooth_lives(rating, pair, face_width, angle, force, steels, duty, samples=49, along=None):
    """Follow every tooth of one mesh through a cycle.

    Parameters
    ----------
    rating : Rating [-]
        Of this pair and face at the peak: its load factors and strengths count at every force.
    pair : InternalPair [-]
        One gear pair (no arrays), 2:1.
    face_width : float [m]
        Face width.
    angle : (A,) array [rad]
        Carrier angle over whole turns, first and last point the same state.
    force : (A,) array [N]
        Tangential force on the pinion of this mesh.
    steels : tuple of ToothSteel [-]
        Pinion, then ring.
    duty : ToothDuty [-]
        How the mesh runs.
    samples : int [1]
        Points on the path of contact.
    along : Rating or None [-]
        Rating at every angle: its dynamic and face-load factors count where a tooth meets, as the same teeth always
        meet at the same lean; None for those of ``rating`` at all angles.

    Returns
    -------
    tuple of ToothLives [-]
        Pinion, then ring.

    Raises
    ------
    InputError
        If the angles do not cover whole turns.

    Valid: constant speed; a tooth meshes and is loaded as the rigid force at that angle; each engagement counts once at
        its greatest stress. Where the force changes sign within an engagement, both flanks count.
    Source: kinematics derived here; damage sum of A. Palmgren (1924) and M. A. Miner (1945) with the life curves of
        ISO 6336 (``cycles_to_failure``); strength of a root that bends both ways as ``factors.mean_stress``, tooth by
        tooth.
    """
    turns = (angle[-1] - angle[0]) / (2.0 * np.pi)
    refuse(abs(turns - round(turns)) > 1e-6 or turns < 0.5, "angle", turns, "not whole turns", "turns")
    ratio = float(contact_ratio(pair))
    place = np.linspace(0.0, ratio, samples)
    loads = [_forces(pair, round(turns), place, angle, force * scale) * share(place, ratio)  # flank, engagement, place
             for scale in _scales(rating, along)]
    at = pair.contact_start + place * np.pi * pair.module * np.cos(pair.pressure_angle)
    root, pressure = (_stresses(rating, pair, face_width, at, own)[k] for k, own in enumerate(loads))
    cycles = np.abs(duty.carrier_speed) * duty.life / (2.0 * np.pi * round(turns))
    found, counted = [], _counted(pair, at)
    for k, (steel, teeth) in enumerate(zip(steels, (pair.pinion_teeth, pair.ring_teeth), strict=True)):
        grouped = [_grouped(values, teeth, shifted=k) for values in (root[k], pressure)]
        strengths = [rating.root_strength[k] / (rating.factors["Y_NT"][k] * rating.factors["Y_M"][k]),
                     rating.flank_strength[k] / rating.factors["Z_NT"][k]]
        found.append(_lives(grouped, strengths, steel, cycles, duty.life, counted[k]))
    return tuple(found)


def tooth_course(rating, pair, face_width, angle, force, tooth, ring=False):
    """Follow one tooth angle by angle: when it is in mesh, where it touches, and what bends it.

    Parameters
    ----------
    rating, pair, face_width, angle, force : object [-]
        As in ``tooth_lives``; the rating may be that of every angle.
    tooth : int [1]
        Number of the tooth, counted from 0.
    ring : bool [-]
        True for a tooth of the ring.

    Returns
    -------
    Course [-]
        Of flank 0 and flank 1.

        root : (2, A) array [Pa]
            Root stress, load factors included; 0 out of mesh.
        at : (2, A) array [m]
            Place of the contact on the line of action; nan out of mesh.

    Valid: as ``tooth_lives``.
    Source: as ``tooth_lives``.
    """
    pitch, back, ratio = 2.0 * np.pi / pair.ring_teeth, _back(pair), float(contact_ratio(pair))
    period = pair.ring_teeth if ring else pair.pinion_teeth
    steps = np.stack([(angle + back) / pitch - tooth, tooth - ring - (angle - back) / pitch])
    place = (steps + 0.5 * period) % period - 0.5 * period + pair.path_ratios[0]
    meets, place = (place >= 0.0) & (place <= ratio), np.clip(place, 0.0, ratio)
    at = pair.contact_start + place * np.pi * pair.module * np.cos(pair.pressure_angle)
    loads = np.maximum(force * np.array([[1.0], [-1.0]]), 0.0) * share(place, ratio) * meets
    return Course(_stresses(rating, pair, face_width, at, loads)[0][int(ring)], np.where(meets, at, np.nan))


def _back(pair):
    """Turn of the carrier by which half a tooth's thickness puts off its meeting."""
    return (pair.pinion_half_angle - involute(pair.working_angle)) * pair.pinion_teeth / pair.ring_teeth


def _forces(pair, turns, place, angle, force):
    """Force on either flank while each engagement passes the places, (2, E, P)."""
    count, pitch, back = pair.ring_teeth * turns, 2.0 * np.pi / pair.ring_teeth, _back(pair)
    steps = np.arange(count)[:, None]
    along = place - pair.path_ratios[0]
    at = np.stack([(steps + along) * pitch - back, (steps - along) * pitch + back])
    at = angle[0] + (at - angle[0]) % (angle[-1] - angle[0])
    return np.maximum(np.interp(at, angle, force) * np.array([1.0, -1.0])[:, None, None], 0.0)


def _scales(rating, along):
    """Load factors of root and of flank at every angle over those of the rating."""
    if along is None:
        return 1.0, 1.0
    return [along.factors["K_v"] * along.factors[key] / (rating.factors["K_v"] * rating.factors[key])
            for key in ("K_Fbeta", "K_Hbeta")]


def _stresses(rating, pair, face_width, at, loads):
    """Root stress of both gears, (2 gears, 2, E, P), and pressure of the flanks, (2, E, P)."""
    own, cosine = rating.factors, np.cos(pair.working_angle)
    form = f.root(pair, at[..., None])
    on_root = own["K_A"] * own["K_v"] * own["K_Fbeta"] * own["K_Falpha"] * own["Y_DT"]
    line = loads * np.cos(pair.pressure_angle) / cosine * on_root / (face_width * pair.module)
    root = [line * form.Y_F[..., k] * form.Y_S[..., k] * own["Y_B"][k] for k in range(2)]
    on_flank = own["K_A"] * own["K_v"] * own["K_Hbeta"] * own["K_Halpha"] * own["Z_eps"] ** 2
    curved = f.curvature(pair, np.maximum(at, 1e-6 * pair.base_gap))
    return root, own["Z_E"] * np.sqrt(loads * on_flank / (cosine * face_width * curved))


def _counted(pair, at):
    """Where the standard looks for pitting on pinion and ring: from the inner single-pair point to the pitch point."""
    middle = pair.pinion_working_radius * np.sin(pair.working_angle)
    near = np.abs(at - middle) <= np.diff(at).max()
    return ((at >= pair.contact_end - pair.base_pitch) & (at <= middle)) | near, (
        (at <= pair.contact_start + pair.base_pitch) & (at >= middle)) | near


def _grouped(values, teeth, shifted):
    """Engagements of each tooth, (2, teeth, times, P); flank 1 of a ring tooth works in the space before it."""
    flanks = [values[0], np.roll(values[1], 1, axis=0) if shifted else values[1]]
    times = len(values[0]) // teeth
    return np.stack([flank.reshape(times, teeth, -1).swapaxes(0, 1) for flank in flanks])


def _lives(grouped, strengths, steel, cycles, wanted, counted):
    peaks = [values.max(axis=(2, 3)) for values in grouped]
    lighter = np.minimum(peaks[0][::-1] / np.maximum(peaks[0], 1e-9), 1.0)
    strong = strengths[0] * f.mean_stress(lighter, steel.kind["mean_stress_likely"])
    ratios = [grouped[0].max(axis=3) / strong[:, :, None], np.moveaxis(grouped[1][..., counted], 3, 2) / strengths[1]]
    damage, equal, safety = [], [], []
    for part, ratio, strength in zip(("root", "flank"), ratios, (strong, strengths[1]), strict=True):
        sums = _damage(steel, part, ratio, cycles)
        damage.append(sums)
        engaged = cycles * ratio.shape[-1]
        equal.append(life_factor(steel, part, engaged / np.maximum(sums, 1e-99)) * strength)
        safety.append(_until_one(steel, part, ratio, cycles))
    worst = np.maximum(*damage).max(axis=0)
    return ToothLives(*peaks, -1.2 * peaks[0][::-1], *damage, *equal, *safety, wanted / np.maximum(worst, 1e-300))


def _damage(steel, part, ratio, cycles):
    """Miner sum over engagements, at the worst place of a flank."""
    sums = (cycles / cycles_to_failure(steel, part, ratio)).sum(axis=-1)
    return sums if part == "root" else sums.max(axis=-1)


def _until_one(steel, part, ratio, cycles):
    """Factor on all stresses that brings the damage to 1, by halving."""
    shape = ratio.shape[:2]
    low, high = np.full(shape, -7.0), np.full(shape, 7.0)
    for _ in range(30):
        middle = 0.5 * (low + high)
        factor = np.exp(middle).reshape(shape + (1,) * (ratio.ndim - 2))
        holds = _damage(steel, part, ratio * factor, cycles) < 1.0
        low, high = np.where(holds, middle, low), np.where(holds, high, middle)
    return np.exp(low)
