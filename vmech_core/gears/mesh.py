"""One mesh of the straight-line drive: its stiffness, the power that sliding teeth cost, and what their oil costs.

Speeds of the mesh are those against the carrier: the crank turns against it, and the fixed ring as well, so that both
pitch circles pass the pitch point at ``carrier_speed`` times the ring's working radius; at 2:1 that is 2 omega a.
Forces may be (..., 2, A), two ends and A angles; then pairs, widths and speeds have shape (...).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vmech_core.base.results import Estimate, column
from vmech_core.gears.geometry import contact_ratio

#: Mean stiffness of a steel spur gear mesh per face width, along the line of action [N/m2]: low, likely, high.
#: ISO 6336-1 gives about 20 N/(mm um), and 14 for a single pair of teeth, where nothing better is known (both values
#: from memory). An internal pair is somewhat stiffer, an uneven contact softer: hence the range, our own judgement.
STEEL_MESH = (10e9, 20e9, 25e9)
STEEL = 206e9  # Young's modulus for which the values of ISO 6336-1 hold [Pa], from memory
#: Around the published mean friction: factor for low, likely and high (our own judgement), and limits for all three
#: (usual range of oiled steel gears, from memory).
SCATTER, FRICTION_LIMITS = (0.7, 1.0, 1.4), (0.03, 0.12)
#: Ends of the published fit: least line load [N/m], greatest sum velocity [m/s] (both from memory).
LEAST_LINE_LOAD, GREATEST_SUM_SPEED = 150e3, 50.0
#: Share of the tooth spaces that oil fills: low mist, likely splash, high a gear that dips (our own judgement).
OIL_FILL = (0.002, 0.02, 0.3)


def mesh_stiffness(face_width, pinion_modulus, ring_modulus, pressure_angle=0.0):
    """Stiffness of one spur gear mesh, averaged over the mesh: the one range that the whole project uses.

    Parameters
    ----------
    face_width : float or (...) array [m]
        Face width of the mesh.
    pinion_modulus : float or (...) array [Pa]
        Young's modulus of the pinion.
    ring_modulus : float or (...) array [Pa]
        Young's modulus of the ring gear.
    pressure_angle : float or (...) array [rad]
        0 for the stiffness along the line of action; the working pressure angle for the tangential one.

    Returns
    -------
    Estimate [N/m]
        Low, likely and high.

    Valid: solid spur gears under an even and not too light load (100 N per mm of face width or more); a thin rim, an
        uneven contact or a light load makes the mesh softer. ``iso_mesh_stiffness`` checks it from a pair's geometry.
    Source: ISO 6336-1, about 20 N/(mm um) for steel, scaled with the harmonic mean of the moduli over 206 GPa (both
        from memory); the range is our own judgement.

    Examples
    --------
    >>> round(float(mesh_stiffness(0.03, 206e9, 206e9).likely))
    600000000
    """
    factor = _relative(pinion_modulus, ring_modulus) * face_width * np.cos(pressure_angle) ** 2
    basis = "face width times 10, 20, 25 N/(mm um) of a steel spur gear mesh, scaled with Young's moduli"
    return Estimate(*(factor * per for per in STEEL_MESH), "N/m", basis)


def iso_mesh_stiffness(pair, pinion_modulus=STEEL, ring_modulus=STEEL):
    """Mean stiffness of a mesh along its line of action, per face width, from the geometry of the pair.

    The check of ``mesh_stiffness``, whose range holds it. For an internal pair the standard takes the ring as a rack,
    of infinite tooth number; its shift is left out.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    pinion_modulus : float or (...) array [Pa]
        Young's modulus of the pinion.
    ring_modulus : float or (...) array [Pa]
        Young's modulus of the ring gear.

    Returns
    -------
    float or (...) array [N/m2]
        Stiffness over face width, usually 14 to 25 N/(mm um), 14e9 to 25e9 N/m2, for steel.

    Valid: spur gears, solid discs, line load above 100 N/mm, contact ratio above 1.2; one above 2 is taken as
        2, where the approximation ends. The rim of a thin ring is softer.
    Source: ISO 6336-1, method B, single stiffness c' (flexibility in mm um/N, correction 0.8) and mesh stiffness
        c_gamma = c' (0.75 eps + 0.25); numbers from memory.
    """
    z, x = np.asarray(pair.pinion_teeth, dtype=float), pair.pinion_shift
    flexibility = 0.04723 + 0.15551 / z - 0.00635 * x - 0.11654 * x / z + 0.00529 * np.square(x)
    depth = 1.0 + 0.5 * (1.2 - pair.pinion_dedendum)
    angle = 1.0 - 0.02 * (20.0 - np.degrees(pair.pressure_angle))
    single = 0.8 * depth * angle / flexibility * 1e9
    return single * _relative(pinion_modulus, ring_modulus) * (0.75 * np.minimum(contact_ratio(pair), 2.0) + 0.25)


@dataclass(frozen=True)
class MeshLoss:
    """Loss of one mesh, or of several, and the torques that stand for it; positive anticlockwise.

    The pinion rolls about the pitch point, where a force does no work. The friction of the teeth therefore counts as a
    couple between crank and ring. For given loads it changes the tangential tooth force by minus ``crank_couple`` over
    the pinion's working radius, and by that force times the centre distance the torque of the carrier.

    Attributes
    ----------
    power : (...) array [W]
        Power turned into heat, not negative, averaged over the passing of a tooth.
    crank_couple : (...) array [N m]
        Couple of the ring on the crank, against its turning; its reaction on the fixed ring does no work.
    carrier_torque : (...) array [N m]
        Change of the torque that the carrier gives, equal to minus power over carrier speed.
    """

    power: np.ndarray
    crank_couple: np.ndarray
    carrier_torque: np.ndarray


def loss_factor(pinion_teeth, wheel_teeth, approach, recess):
    """Tooth-loss factor of a spur pair for a load shared equally between all pairs of teeth in contact.

    Sliding speed is the speed of one gear against the other times the distance from the pitch point: the sum of the
    two speeds for an external pair, their difference for an internal one.

    Parameters
    ----------
    pinion_teeth : int or (...) array [1]
        Teeth of the pinion, z1.
    wheel_teeth : int or (...) array [1]
        Teeth of the wheel, z2; negative for an internal gear.
    approach : float or (...) array [1]
        Contact ratio before the pitch point; negative if all contact comes after it.
    recess : float or (...) array [1]
        Contact ratio after it.

    Returns
    -------
    float or (...) array [1]
        Loss over friction coefficient times rolling power (tangential force times pitch-line speed).

    Valid: spur gears, contact ratio of 1 or more, friction alike along the path. Real teeth give a pair near the pitch
        point a little more of the load, and tip relief takes it off the ends: the real factor is usually lower.
    Source: integral over the path of contact, derived here. With both parts below 1 and their sum 1 to 2 it is the form
        of H. Ohlendorf (G. Niemann and H. Winter, Maschinenelemente, vol. 2); with one part e above 1, as in many an
        internal pair, that form is too high by pi (1/z1 + 1/z2) (e - 1)^2.

    Examples
    --------
    >>> print(f"{loss_factor(30, -60, 1.171, 0.827):.4f}")
    0.0538
    """
    ratio = np.asarray(approach, dtype=float) + recess
    whole = np.floor(ratio)
    part = ratio - whole
    extra, all_time = 0.0, 0.0
    for k in range(int(np.max(whole)) + 1):  # pair k lies at k - approach + phase, phase from 0 to 1
        start, middle, end = (_square(k - approach + phase) for phase in (0.0, part, 1.0))
        extra = extra + np.where(k <= whole, middle - start, 0.0)
        all_time = all_time + np.where(k < whole, end - middle, 0.0)
    distance = extra / (whole + 1.0) + all_time / np.maximum(whole, 1.0)
    return (np.pi * (1.0 / np.asarray(pinion_teeth) + 1.0 / np.asarray(wheel_teeth)) * distance)[()]


def pair_factor(pair):
    """Tooth-loss factor of an internal pair from its own path of contact.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair, with its shifts and addenda.

    Returns
    -------
    float or (...) array [1]
        Loss over friction coefficient times rolling power.

    Valid: as ``loss_factor``; pair free of interference.
    Source: as ``loss_factor``.
    """
    return loss_factor(pair.pinion_teeth, -np.asarray(pair.ring_teeth), *pair.path_ratios)


def pitch_speed(pair, carrier_speed):
    """Speed of both pitch circles through the pitch point, against the carrier.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.

    Returns
    -------
    float or (...) array [m/s]
        Not negative.

    Valid: fixed ring: it turns against the carrier at minus the carrier's speed.
    Source: Willis equation; ``train.speeds``.
    """
    return np.abs(carrier_speed) * pair.ring_working_radius


def schlenk(line_load, sum_speed, radius, viscosity, roughness, lubricant=1.0):
    """Mean friction coefficient of a mesh, as published and without its limits.

    The fit is 0.048 (F/b / (v r))^0.2 eta^-0.05 Ra^0.25 X_L with F/b in N/mm, v in m/s, r in mm, eta in mPa s, Ra in
    micrometres; here all are SI.

    Parameters
    ----------
    line_load : float or (...) array [N/m]
        Tooth force along the line of action over face width.
    sum_speed : float or (...) array [m/s]
        Sum of the rolling speeds of both flanks at the pitch point.
    radius : float or (...) array [m]
        Reduced radius of curvature at the pitch point.
    viscosity : float or (...) array [Pa s]
        Dynamic viscosity of the oil at its running temperature.
    roughness : float or (...) array [m]
        Arithmetic mean of the Ra of both flanks.
    lubricant : float [1]
        Factor X_L: 1 mineral oil, 0.8 polyalphaolefin (from memory).

    Returns
    -------
    float or (...) array [1]
        Friction coefficient.

    Valid: fit to tests on external case-hardened spur gears, about 150 N/mm or more and up to 50 m/s (from memory).
    Source: Schlenk, as in G. Niemann and H. Winter, Maschinenelemente, vol. 2.

    Examples
    --------
    >>> print(f"{schlenk(1e3, 1.0, 1e-3, 1e-3, 1e-6):.3f}")
    0.048
    """
    load = (line_load / 1e3 / (sum_speed * radius * 1e3)) ** 0.2
    return 0.048 * load * (viscosity * 1e3) ** -0.05 * (roughness * 1e6) ** 0.25 * lubricant


def friction(pair, face_width, carrier_speed, tooth_force, viscosity, roughness, lubricant=1.0):
    """Mean friction coefficient of the mesh of an internal pair, with its range.

    At the pitch point both flanks roll the same way, each at pitch-line speed times sin(working angle) against the
    contact, which the carrier holds in place. Their curvatures subtract: the reduced radius is r1 r2 / (r2 - r1)
    times sin(working angle), at 2:1 the radius of the ring's flank itself.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    face_width : float or (...) array [m]
        Face width.
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.
    tooth_force : float or (..., 2, A) array [N]
        Tangential tooth force of each end.
    viscosity : float or (...) array [Pa s]
        Dynamic viscosity of the oil.
    roughness : float or (...) array [m]
        Arithmetic mean of the Ra of both flanks.
    lubricant : float or (...) array [1]
        Factor X_L of ``schlenk``.

    Returns
    -------
    Estimate [1]
        Low, likely and high, each of the shape of the force, held within 0.03 and 0.12.

    Valid: as ``schlenk``; below its least load that load counts, above its greatest speed that speed. For internal
        gears, and for a load that alternates, the fit is an extrapolation.
    Source: as ``schlenk``; velocities and curvatures derived here; the range is our own judgement.
    """
    sine, cosine = np.sin(pair.working_angle), np.cos(pair.working_angle)
    inner, outer = pair.pinion_working_radius, pair.ring_working_radius
    speed = np.clip(2.0 * pitch_speed(pair, carrier_speed) * sine, 1e-9, GREATEST_SUM_SPEED)
    load = np.maximum(np.abs(tooth_force) / column(face_width * cosine, 2), LEAST_LINE_LOAD)
    rest = (speed, inner * outer / (outer - inner) * sine, viscosity, roughness, lubricant)
    likely = schlenk(load, *(column(value, 2) for value in rest))
    words = "Schlenk's mean friction times 0.7, 1, 1.4, within 0.03 to 0.12"
    return Estimate(*(np.clip(factor * likely, *FRICTION_LIMITS) for factor in SCATTER), "1", words)


def loss(pair, carrier_speed, tooth_force, coefficient):
    """Loss of each mesh at every angle: friction times tooth-loss factor times rolling power.

    Rolling power is tooth force times pitch-line speed against the carrier, taken at each end and angle without sign.
    It is not the power of the shaft: the force changes sign within a turn, the two ends may push against each other,
    and guides that carry load relieve the teeth without any change of the shaft's power.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.
    tooth_force : float or (..., 2, A) array [N]
        Tangential tooth force of each end, not the sum of both.
    coefficient : float or (..., 2, A) array [1]
        Mean friction coefficient.

    Returns
    -------
    MeshLoss [-]
        Power, couples and carrier torque, each of the shape of the force.

    Valid: smeared over the passing of a tooth; to first order in the friction coefficient; fixed ring.
    Source: definition of the tooth-loss factor; virtual work with the pinion rolling about the pitch point.
    """
    outer = pair.ring_working_radius
    torque = coefficient * column(pair_factor(pair) * outer, 2) * np.abs(tooth_force)
    speed = column(carrier_speed, 2)
    carrier = -np.sign(speed) * torque
    crank = -carrier * column(pair.pinion_working_radius / (outer - pair.pinion_working_radius), 2)
    return MeshLoss(np.abs(speed) * torque, crank, carrier)


def oil_power(pair, face_width, carrier_speed, density, fill=OIL_FILL):
    """Estimate of the power that the oil carried into one mesh takes.

    The tooth spaces that pass the mesh, half of the ring between root and tip circle, hold some oil; each kilogram of
    it is brought from rest to pitch-line speed and then lost as spray, which costs speed squared. A share of 1, a
    drowned mesh, is no bound: oil squeezed out of the spaces may leave faster than the teeth.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    face_width : float or (...) array [m]
        Face width.
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.
    density : float or (...) array [kg/m3]
        Density of the oil.
    fill : tuple of float [1]
        Share of the spaces that oil fills: low, likely, high.

    Returns
    -------
    Estimate [W]
        Low, likely and high.

    Valid: an order of magnitude. Drag of air and oil mist on the sides of the gears is left out, as are dipping
        counterweights; we know no published formula of churning for a gear that circles inside a ring.
    Source: momentum of the oil, our own estimate; the shares are our own judgement.
    """
    speed = pitch_speed(pair, carrier_speed)
    depth = pair.pinion_tip_radius - pair.pinion_root_radius
    flow = 0.5 * depth * face_width * speed
    words = f"oil in {fill[0]:g}, {fill[1]:g}, {fill[2]:g} of the tooth spaces, brought to pitch-line speed"
    return Estimate(*(share * density * flow * speed**2 for share in fill), "W", words)


def _square(x):
    """Antiderivative of 2 |x|."""
    return x * np.abs(x)


def _relative(pinion_modulus, ring_modulus):
    """Harmonic mean of two moduli over that of steel."""
    return 2.0 * pinion_modulus * ring_modulus / (pinion_modulus + ring_modulus) / STEEL
