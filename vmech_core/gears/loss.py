"""What sliding teeth cost in one mesh of the straight-line drive, and what their oil costs.

Speeds of the mesh are those against the carrier: the crank turns against it, and the fixed ring as well, so that both
pitch circles pass the pitch point at ``carrier_speed`` times the ring's working radius; at 2:1 that is 2 omega a.
Forces may be (..., 2, A), two ends and A angles; then pairs, widths and speeds have shape (...).
"""

from collections import namedtuple

import numpy as np

from vmech_core.base.results import Estimate, column

#: Around the published mean friction: factor for low, likely and high (our own judgement), and limits for all three
#: (usual range of oiled steel gears, from memory).
SCATTER, FRICTION_LIMITS = (0.7, 1.0, 1.4), (0.03, 0.12)
#: Ends of the published fit: least line load [N/m], greatest sum velocity [m/s] (both from memory).
LEAST_LINE_LOAD, GREATEST_SUM_SPEED = 150e3, 50.0
#: Share of the tooth spaces that oil fills: low mist, likely splash, high a gear that dips (our own judgement).
OIL_FILL = (0.002, 0.02, 0.3)

_MeshLoss = namedtuple("_MeshLoss", "power crank_couple carrier_torque")


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

    The pinion rolls about the pitch point, where a force does no work. The friction of the teeth therefore counts as a
    couple between crank and ring. For given loads it changes the tangential tooth force by minus ``crank_couple`` over
    the pinion's working radius, and by that force times the centre distance the torque of the carrier.

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
    power : (...) array [W]
        Power turned into heat, not negative, averaged over the passing of a tooth; each result has the force's shape.
    crank_couple : (...) array [N m]
        Couple of the ring on the crank, against its turning; its reaction on the fixed ring does no work.
    carrier_torque : (...) array [N m]
        Change of the torque that the carrier gives, equal to minus power over carrier speed.

    Valid: smeared over the passing of a tooth; to first order in the friction coefficient; fixed ring.
    Source: definition of the tooth-loss factor; virtual work with the pinion rolling about the pitch point.
    """
    outer = pair.ring_working_radius
    torque = coefficient * column(pair_factor(pair) * outer, 2) * np.abs(tooth_force)
    speed = column(carrier_speed, 2)
    carrier = -np.sign(speed) * torque
    crank = -carrier * column(pair.pinion_working_radius / (outer - pair.pinion_working_radius), 2)
    return _MeshLoss(np.abs(speed) * torque, crank, carrier)


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
