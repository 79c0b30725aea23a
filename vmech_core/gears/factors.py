"""Form, stress and load factors of an internal spur pair by the forms of ISO 6336, from the real outlines.

Where a result ends in an axis of two, it is pinion, then ring. Points on the line of action as in ``geometry``. Section
of the pinion: tangents at 30 degrees to the fillet that the rack tool leaves, ISO 6336-3:2006. Section of the ring:
tangents at 60 degrees, as that edition does for an internal tooth, at its own circular fillet (the edition takes the
trochoid of a pinion-type cutter; the edition of 1996 a virtual rack, ``virtual_rack`` beside it).
"""

from collections import namedtuple

import numpy as np

from vmech_core.base.results import column
from vmech_core.gears.geometry import contact_ratio
from vmech_core.gears.involute import involute

Root = namedtuple("Root", "Y_F Y_S thickness lever radius")
_Dynamic = namedtuple("_Dynamic", "K_v N")
#: Cv1 to Cv7 of ISO 6336-1:2006 Table 8 for contact ratios up to 2; above 2 see ``_constants``.
_CV = (0.32, 0.34, 0.23, 0.90, 0.47, 0.47)


def gears(pinion, ring):
    """Put values of the two gears side by side.

    Parameters
    ----------
    pinion, ring : float or (...) array [-]
        Any quantity.

    Returns
    -------
    (..., 2) array [-]
        In its unit.

    Valid: any.
    Source: none needed.
    """
    return np.stack(np.broadcast_arrays(pinion, ring), axis=-1)


def _outer_points(pair):
    """Outer points of single-pair contact, (..., 2): one base pitch from the mate's tip."""
    return gears(np.minimum(pair.contact_start + pair.base_pitch, pair.contact_end),
                 np.maximum(pair.contact_end - pair.base_pitch, pair.contact_start))


def root(pair, at=None):
    """Form factor and stress correction factor of both gears for a load at a point of the line of action.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    at : (..., 2) array or None [m]
        Place of the load on pinion and ring; None for the outer points of single-pair contact.

    Returns
    -------
    Root [-]
        Y_F, Y_S [1], chord of the critical section, lever of the load, fillet radius there [m], each (..., 2).

    Valid: pinion without undercut or with a slight one; notch parameter s/(2 rho) from 1 to 8 (``Y_S`` beyond it is an
        extrapolation, as with the small fillets of a ring).
    Source: ISO 6336-3:2006, method B (from memory); the ring's section derived here, see the head of the file.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> root(InternalPair(0.001, 30, 60)).Y_F.round(2)
    array([0.98, 0.86])
    """
    at = _outer_points(pair) if at is None else np.asarray(at)
    half, place, radius = (gears(*both) for both in zip(_pinion_section(pair), _ring_section(pair), strict=True))
    base, sign = gears(pair.pinion_base_radius, pair.ring_base_radius), np.array([1.0, -1.0])
    angle = np.arctan((at + gears(0.0 * pair.base_gap, pair.base_gap)) / base)
    tooth = gears(pair.pinion_half_angle, np.pi / np.asarray(pair.ring_teeth) - pair.ring_half_angle)
    slant = angle - sign * (tooth - sign * involute(angle))
    lever, chord = sign * (base / np.cos(slant) - place), 2.0 * half
    module, cosine = column(pair.module, 1), column(np.cos(pair.pressure_angle), 1)
    form = 6.0 * lever * np.cos(slant) * module / (chord**2 * cosine)
    reach = chord / lever
    stress = (1.2 + 0.13 * reach) * (chord / (2.0 * radius)) ** (1.0 / (1.21 + 2.3 / reach))
    return Root(form, stress, chord, lever, radius)


def _pinion_section(pair):
    """Half chord, place along the tooth and fillet radius where the tangent to the trochoid leans by 30 degrees."""
    z, m, tip, angle = np.asarray(pair.pinion_teeth), pair.module, pair.rack_radius / pair.module, pair.pressure_angle
    deep = tip - (pair.pinion_radius - pair.pinion_root_radius) / m
    aside = (np.pi / 4 + pair.backlash / (4 * m) * pair.pinion_radius / pair.pinion_working_radius
             - np.multiply(pair.pinion_dedendum, np.tan(angle)) - (1 - np.sin(angle)) * tip / np.cos(angle))
    turn = 2.0 / z * (np.pi / 2 - aside) - np.pi / 3
    theta = np.full(np.shape(turn), np.pi / 4)
    for _ in range(8):
        theta = theta - (theta - 2 * deep / z * np.tan(theta) + turn) / (1 - 2 * deep / z / np.cos(theta) ** 2)
    back, cosine = deep / np.cos(theta) - tip, np.cos(theta)
    half = 0.5 * m * (z * np.sin(np.pi / 3 - theta) + np.sqrt(3) * back)
    place = 0.5 * m * (z * np.cos(np.pi / 3 - theta) + back)
    return half, place, m * (tip + 2 * deep**2 / (cosine * (z * cosine**2 - 2 * deep)))


def _ring_section(pair):
    """The same where the tangent to the ring's circular fillet leans by 60 degrees; a sharp corner counts as a fillet
    of a thousandth of the module (own choice)."""
    base, radius = pair.ring_base_radius, np.maximum(pair.ring_fillet, 1e-3 * np.asarray(pair.module))
    roll = pair.ring_form + pair.base_gap - radius
    aside = pair.ring_half_angle - roll / base + np.arctan(roll / base) - radius / base
    centre = np.hypot(base, roll) * np.exp(1j * (np.pi / np.asarray(pair.ring_teeth) - aside))
    point = centre + radius * np.exp(-1j * np.pi / 6)
    return point.imag, point.real, radius


def virtual_rack(dedendum, addendum, tip_radius, fillet_radius, pressure_angle):
    """Y_F and Y_S of a ring as a rack loaded at its tip: what the edition of 1996 takes for an internal tooth.

    Parameters
    ----------
    dedendum, addendum : float or (...) array [1]
        Heights of the rack in modules.
    tip_radius : float or (...) array [1]
        Radius of the tool's tip in modules, for the place of the section.
    fillet_radius : float or (...) array [1]
        Radius of the fillet in modules, for the notch.
    pressure_angle : float or (...) array [rad]
        Of the rack.

    Returns
    -------
    tuple of (...) array [1]
        Form factor and stress correction factor.

    Valid: to be set beside ``root``, not in its place.
    Source: ISO 6336-3:1996, DIN 3990-3 (from memory); tangents at 30 degrees, as to any rack.
    """
    tangent, depth = np.tan(pressure_angle), dedendum + addendum
    half = np.pi / 4 + (dedendum - tip_radius) * tangent + tip_radius * (1 / np.cos(pressure_angle) - np.cos(np.pi / 6))
    lever = depth - (np.pi / 4 - addendum * tangent) * tangent - tip_radius / 2
    reach = 2 * half / lever
    return 6 * lever / (2 * half) ** 2, (1.2 + 0.13 * reach) * (half / fillet_radius) ** (1 / (1.21 + 2.3 / reach))


def rim(pair, pinion_rim, ring_rim):
    """Rim thickness factor Y_B of both gears.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    pinion_rim, ring_rim : float or (...) array [m]
        Material below the roots; infinite for a solid pinion or a ring held all round.

    Returns
    -------
    (..., 2) array [1]
        1 for a thick rim; nan for one thinner than the standard allows.

    Valid: pinion rim from half a tooth height, ring rim from 1.75 modules.
    Source: ISO 6336-3:2006 (from memory); the branch of the ring starts 0.4 % below 1 and is held at 1.
    """
    height = pair.pinion_tip_radius - pair.pinion_root_radius
    back, behind = np.asarray(pinion_rim) / height, np.asarray(ring_rim) / pair.module
    solid = np.where(back < 0.5, np.nan, np.maximum(1.6 * np.log(2.242 / np.minimum(back, 1.2)), 1.0))
    held = np.where(behind < 1.75, np.nan, np.maximum(1.15 * np.log(8.324 / np.minimum(behind, 3.5)), 1.0))
    return gears(np.where(back >= 1.2, 1.0, solid), np.where(behind >= 3.5, 1.0, held))


def deep_tooth(ratio, grade):
    """Deep tooth factor Y_DT.

    Parameters
    ----------
    ratio : float or (...) array [1]
        Contact ratio.
    grade : int [1]
        Flank grade of ISO 1328.

    Returns
    -------
    (...) array [1]
        1 up to 2.05 and for grades coarser than 4.

    Valid: spur teeth.
    Source: ISO 6336-3:2006 (from memory).
    """
    deep = np.clip(2.366 - 0.666 * np.asarray(ratio), 0.7, 1.0)
    return np.where((np.asarray(ratio) > 2.05) & (np.asarray(grade) <= 4), deep, 1.0)


def mean_stress(lighter, sensitivity):
    """Factor Y_M on the strength of a root that bends both ways: 1 where only one flank is loaded.

    Parameters
    ----------
    lighter : float or (...) array [1]
        Load of the lighter flank over that of the heavier one.
    sensitivity : float or (...) array [1]
        M of the material: 0 if a mean stress does not matter, near 1 if it does fully.

    Returns
    -------
    (...) array [1]
        About 0.6 to 0.7 for equal loads.

    Valid: stress ratio R = -1.2 times the ratio of loads, as pressed roots have a fifth more stress.
    Source: ISO 6336-3:2006, Annex B (from memory); 0.7 is its short rule for equal loads.
    """
    return 1.0 / (1.0 + 1.2 * np.asarray(lighter) * (1.0 - sensitivity) / (1.0 + sensitivity))


def contact(pair, pinion_modulus=206e9, ring_modulus=206e9, poisson=0.3):
    """Zone, elasticity, contact ratio and single-pair factors of the flanks.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    pinion_modulus, ring_modulus : float [Pa]
        Young's moduli.
    poisson : float [1]
        Poisson's ratio of both.

    Returns
    -------
    dict [-]
        Z_H, Z_eps, Z_B, Z_D [1] and Z_E [sqrt(Pa)], each (...) array.

    Valid: spur; contact ratio up to 2 for Z_eps, which stays there.
    Source: ISO 6336-2 (from memory); Z_B and Z_D from the reduced radius at the inner points, derived here.
    """
    middle = pair.pinion_working_radius * np.sin(pair.working_angle)
    at = {"Z_B": pair.contact_end - pair.base_pitch, "Z_D": pair.contact_start + pair.base_pitch}
    ends = {name: np.sqrt(np.maximum(curvature(pair, middle) / curvature(pair, np.maximum(at[name], 1e-9)), 1.0))
            for name in at}
    return {"Z_H": _zone(pair.pressure_angle, pair.working_angle),
            "Z_E": _elasticity(pinion_modulus, ring_modulus, poisson),
            "Z_eps": np.sqrt((4.0 - np.clip(contact_ratio(pair), 1.0, 2.0)) / 3.0), **ends}


def curvature(pair, at):
    """Reduced radius of curvature of both flanks: the pinion's convex, the ring's concave.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    at : (...) array [m]
        Place on the line of action.

    Returns
    -------
    (...) array [m]
        Positive.

    Valid: on the involutes.
    Source: derived here: 1/rho = 1/l - 1/(l + g) with the gap g between the base circles' tangent points.
    """
    return at * (at + pair.base_gap) / pair.base_gap


def _zone(angle, working, base_helix=0.0):
    """Zone factor Z_H of ISO 6336-2 in the transverse plane (T08-015, G-08)."""
    return np.sqrt(2.0 * np.cos(base_helix) * np.cos(working) / (np.cos(angle) ** 2 * np.sin(working)))


def _elasticity(pinion_modulus, ring_modulus, poisson=0.3):
    """Elasticity factor Z_E of ISO 6336-2 [sqrt(Pa)]: H. Hertz (1881)."""
    return 1.0 / np.sqrt(np.pi * (1.0 - poisson**2) * (1.0 / pinion_modulus + 1.0 / ring_modulus))


def tolerances(module, diameter, face_width, grade):
    """Single pitch, profile form and helix slope deviations of a grade.

    Parameters
    ----------
    module, diameter, face_width : float or (...) array [m]
        Of the gear.
    grade : float [1]
        ISO 1328: a factor of sqrt 2 from one to the next.

    Returns
    -------
    dict of (...) array [m]
        f_pt, f_falpha, F_beta.

    Valid: formulas of grade 5, not the rounded tables.
    Source: ISO 1328-1:1995 (from memory).
    """
    m, d, b = (np.asarray(value) * 1e3 for value in (module, diameter, face_width))
    step = np.sqrt(2.0) ** (grade - 5.0) * 1e-6
    return {"f_pt": step * (0.3 * (m + 0.4 * np.sqrt(d)) + 4.0),
            "f_falpha": step * (2.5 * np.sqrt(m) + 0.17 * np.sqrt(d) + 0.5),
            "F_beta": step * (0.1 * np.sqrt(d) + 0.63 * np.sqrt(b) + 4.2)}


def dynamic(pair, face_width, force, stiffness, single, mass, carrier_speed, deviations):
    """Dynamic factor by method B, with the resonance ratio.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, or a batch.
    face_width : float or (...) array [m]
        Face width.
    force : float or (...) array [N]
        Tangential force at the reference circle.
    stiffness, single : float or (...) array [N/m2]
        Mesh stiffness and that of a single pair of teeth, over face width.
    mass : float or (...) array [kg]
        Mass that moves along the line of action at this mesh.
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.
    deviations : tuple of (...) array [m]
        Effective base pitch and profile deviation, after running in.

    Returns
    -------
    _Dynamic [-]
        K_v and N [1].

    Valid: spur, no tip relief (its term is 1); one mesh as one mass on one spring.
    Source: ISO 6336-1:2006, 6.5 and Table 8 (G-61); the ratio of frequencies derived here: teeth pass a mesh at ring
        teeth times carrier speed.
    """
    natural = np.sqrt(stiffness * face_width / mass)
    ratio = np.asarray(pair.ring_teeth) * np.abs(carrier_speed) / natural
    line = force / face_width
    least = np.where(line < 1e5, 0.5 + 0.35 * np.sqrt(line / 1e5), 0.85)
    pitch, form = (single * np.asarray(value) / line for value in deviations)
    c = _constants(contact_ratio(pair))
    below = 1.0 + ratio * (c[0] * pitch + c[1] * form + c[2])
    near = 1.0 + c[0] * pitch + c[1] * form + c[3]
    above = c[4] * pitch + c[5] * form + c[6]
    between = above + (near - above) * (1.5 - ratio) / 0.35
    return _Dynamic(np.select([ratio <= least, ratio <= 1.15, ratio < 1.5], [below, near, between], above), ratio)


def _constants(ratio):
    """Constants C_v1 to C_v7 of ISO 6336-1:2006 Table 8 (G-61), up to a contact ratio of 2 and above."""
    e = np.asarray(ratio, dtype=float)
    high = np.maximum(e, 2.0)
    more = (0.32 + 0.0 * e, 0.57 / (high - 0.3), 0.096 / (high - 1.56), (0.57 - 0.05 * high) / (high - 1.44),
            0.47 + 0.0 * e, 0.12 / (high - 1.74))
    last = np.select([e <= 1.5, e <= 2.5], [0.75 + 0.0 * e, 0.125 * np.sin(np.pi * (e - 2.0)) + 0.875], 1.0)
    return [*(np.where(e <= 2.0, few, many) for few, many in zip(_CV, more, strict=True)), last]


def face_load(misalignment, stiffness, line_load):
    """Face-load factor K_Hbeta of a straight misalignment.

    Parameters
    ----------
    misalignment : float or (...) array [m]
        Effective equivalent misalignment F_betay over the face width.
    stiffness : float or (...) array [N/m2]
        Mesh stiffness c_gammabeta over face width.
    line_load : float or (...) array [N/m]
        Mean load over face width, dynamic part included.

    Returns
    -------
    (...) array [1]
        1 when aligned; above 2 only a part of the face carries.

    Valid: load falls off linearly across the face.
    Source: ISO 6336-1:2006, 7.5 (from memory); both branches follow from a triangle of load.
    """
    lean = 0.5 * np.abs(misalignment) * stiffness / line_load
    return np.where(lean < 1.0, 1.0 + lean, 2.0 * np.sqrt(np.maximum(lean, 1.0)))


def face_exponent(face_width, height):
    """Exponent N_F that makes K_Fbeta of K_Hbeta.

    Parameters
    ----------
    face_width, height : float or (...) array [m]
        Face width and tooth height.

    Returns
    -------
    (...) array [1]
        Below 1; a face under three heights counts as three.

    Valid: any.
    Source: ISO 6336-1:2006, 7.6 (from memory; G-09 agrees within 3e-4).
    """
    slim = np.minimum(np.divide(height, face_width), 1.0 / 3.0)
    return 1.0 / (1.0 + slim + slim**2)
