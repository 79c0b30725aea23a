"""Lewis bending screen: form factors from the true tooth outlines, load at the tip of the tooth.

A screen, not a rating: one tooth carries the whole force at its tip; stress concentration, load sharing, the radial
part of the force, dynamic and face-load factors are left out.
"""

import numpy as np

from vmech_core.base.results import Margin
from vmech_core.gears.outline import pinion_flank, ring_flank

#: Factor on the allowable stress of a tooth that bends both ways, as idlers and planets do
#: (ISO 6336-5:2016 and AGMA 2001-D04, both from memory).
ALTERNATING_FACTOR = 0.7
POISSON = 0.3


def pinion_form_factor(pair, points=400):
    """Lewis form factor Y of the pinion, from the parabola inscribed in its outline.

    The vertex lies where the normal force at the tip corner crosses the middle line of the tooth.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    points : int [1]
        Points on involute and fillet.

    Returns
    -------
    float [1]
        Form factor; stress = force / (face width x module x Y).

    Valid: any pressure angle and shift; the force on the tooth is taken as perpendicular to its middle line.
    Source: W. Lewis (1893), as told in Shigley, Mechanical Engineering Design, ch. 14 (from memory); derived here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{pinion_form_factor(InternalPair(0.002, 20, 40)):.2f}")
    0.31
    """
    base, half = pair.pinion_base_radius, pinion_flank(pair, points)
    load_angle = np.arccos(base / pair.pinion_tip_radius) - abs(np.angle(half[-1]))
    return _inscribed(base / np.cos(load_angle) - half.real, half.imag, pair.module)


def ring_form_factor(pair, points=400):
    """Lewis form factor Y of a ring tooth, from the parabola inscribed in its own outline.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    points : int [1]
        Points on the involute.

    Returns
    -------
    float [1]
        Form factor; stress = force / (face width x module x Y).

    Valid: ring rim stiff against the tooth; a thin rim is weaker than this says. Ring tip outside the base circle.
    Source: as for pinion_form_factor; derived here for the internal tooth.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{ring_form_factor(InternalPair(0.002, 23, 46)):.2f}")
    0.46
    """
    base = pair.ring_base_radius
    half = ring_flank(pair, points) * np.exp(1j * np.pi / pair.ring_teeth)
    load_angle = np.arccos(min(base / pair.ring_tip_radius, 1.0)) + np.angle(half[0])
    return _inscribed(half.real - base / np.cos(load_angle), half.imag, pair.module)


def bending_margins(pair, tangential_force, face_width, allowable, alternating=True):
    """Lewis stress of pinion and ring, force / (face width x module x form factor), against the allowable stress.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    tangential_force : float [N]
        Greatest tangential force of one mesh at the working pitch circle, either sign.
    face_width : float [m]
        Width of tooth that carries.
    allowable : float or (2,) array [Pa]
        Allowable bending stress for load in one direction, one for both gears or pinion then ring.
    alternating : bool [-]
        True if the teeth bend both ways, which lowers the allowable stress by ``ALTERNATING_FACTOR``.

    Returns
    -------
    tuple of Margin [-]
        Pinion, then ring.

    Valid: a screen for a first design; a rating (ISO 6336-3) needs its own factors.
    Source: Lewis equation, as for pinion_form_factor; alternating factor ISO 6336-5 and AGMA 2001 (from memory).

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> [m.ok for m in bending_margins(InternalPair(0.002, 23, 46), 2000.0, 0.03, 200e6)]
    [True, True]
    """
    limits = np.broadcast_to(allowable, 2) * (ALTERNATING_FACTOR if alternating else 1.0)
    note = "alternating bending" if alternating else "bending in one direction"
    source = "allowable stress of the design"
    source += ", times 0.7 (ISO 6336-5, AGMA 2001, from memory)" if alternating else ""
    load, forms = abs(tangential_force) / (face_width * pair.module), (pinion_form_factor(pair), ring_form_factor(pair))
    return tuple(Margin(f"{gear} tooth bending (Lewis)", float(load / form), float(limit), "Pa", "<=", source=source,
                        note=note)
                 for gear, form, limit in zip(("pinion", "ring"), forms, limits, strict=True))


def contact_stress(pair, tangential_force, face_width, pinion_modulus, ring_modulus):
    """Pressure between two flanks that touch at the pitch point, one pair of teeth carrying all.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    tangential_force : float or (...) array [N]
        Tangential force of one mesh at the working pitch circle, either sign.
    face_width : float [m]
        Width of tooth that carries.
    pinion_modulus, ring_modulus : float [Pa]
        Young's moduli; Poisson's ratio 0.3.

    Returns
    -------
    (...) array [Pa]
        Greatest pressure.

    Valid: smooth dry flanks, an even load; a rating has factors for the worst point, load sharing, oil and hardness.
    Source: H. Hertz (1881), line contact of a convex flank in a concave one, radii r sin(alpha_w) at the pitch point.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{contact_stress(InternalPair(0.002, 23, 46), 2000.0, 0.03, 206e9, 206e9) / 1e6:.0f}")
    403
    """
    angle = pair.working_angle
    curved = 1.0 / (pair.stroke / 4.0 * np.sin(angle)) - 1.0 / (pair.stroke / 2.0 * np.sin(angle))
    modulus = 1.0 / ((1.0 - POISSON**2) * (1.0 / pinion_modulus + 1.0 / ring_modulus))
    return np.sqrt(np.abs(tangential_force) / (np.cos(angle) * face_width) * modulus * curved / np.pi)


def load_at_limit(without, with_load, limit):
    """Factor on a load at which a force that grows with it linearly reaches a limit.

    Parameters
    ----------
    without, with_load : (..., A) array [N]
        Force at the factors 0 and 1.
    limit : float [N]
        Its greatest size allowed.

    Returns
    -------
    (...) array [1]
        Least factor, over the angles; 0 if the limit is passed without load, infinite if no load reaches it.

    Valid: forces linear in the load.
    Source: F = F0 + s (F1 - F0), solved for s at either sign of the limit.
    """
    rise = np.subtract(with_load, without)
    room = np.maximum(limit - np.sign(rise) * without, 0.0)
    found = np.divide(room, np.abs(rise), out=np.full(np.shape(rise), np.inf), where=rise != 0.0)
    return np.where(np.abs(without).max(axis=-1) > limit, 0.0, found.min(axis=-1))


def _inscribed(below, half_thickness, module):
    """Form factor of the slimmest parabola with its vertex at the load that touches the outline."""
    under = below > 0
    return float(2 * np.min(half_thickness[under] ** 2 / below[under]) / (3 * module))
