"""The epicyclic train with a fixed ring: path of a pin on its planet for any tooth ratio, and speeds.

Theta is the carrier angle, O the main axis, C the axis of the planet. Notebook 01 derives all of it.
"""

import numpy as np

from vmech_core.base.errors import refuse


def pin_path(angle, carrier_radius, pin_radius, tooth_ratio=2.0, phase=0.0, bank_angle=0.0):
    """Path of a pin on the planet of an internal gear train with any tooth ratio and pin radius.

    Parameters
    ----------
    angle : float or (A,) array [rad]
        Carrier angle theta.
    carrier_radius : float [m]
        Distance from the main axis O to the crank axis C.
    pin_radius : float [m]
        Distance from C to the pin.
    tooth_ratio : float [1]
        Teeth of the ring over teeth of the pinion, above 1; 2 gives the straight line or the ellipse.
    phase : float [rad]
        Error of the pin's angular place on the crank.
    bank_angle : float [rad]
        Direction at which the pin is farthest from O, for zero phase error.

    Returns
    -------
    (A,) complex array [m]
        Place of the pin in the plane, O at zero.

    Raises
    ------
    InputError
        If the tooth ratio is not above 1.

    Valid: rolling without slip, rigid parts.
    Source: Willis equation for a fixed ring, planet speed = carrier speed * (1 - tooth ratio).

    Examples
    --------
    >>> bool(abs(pin_path(np.array([0.3]), 0.02, 0.02).imag).max() < 1e-17)
    True
    """
    words = "not above 1: the pinion rolls inside the ring"
    refuse(~np.greater(tooth_ratio, 1.0), "tooth_ratio", tooth_ratio, words, nearest="2")
    turn = (1.0 - tooth_ratio) * (np.asarray(angle) - bank_angle)
    return carrier_radius * np.exp(1j * np.asarray(angle)) + pin_radius * np.exp(1j * (bank_angle + turn + phase))


def path_ellipse(carrier_radius, pin_radius, phase=0.0):
    """Semi-axes and tilt of the ellipse that a pin of the 2:1 train follows.

    Parameters
    ----------
    carrier_radius : float or (...) array [m]
        Distance from O to C.
    pin_radius : float or (...) array [m]
        Distance from C to the pin.
    phase : float or (...) array [rad]
        Error of the pin's angular place on the crank.

    Returns
    -------
    major : (...) array [m]
        Long semi-axis, sum of the two radii.
    minor : (...) array [m]
        Short semi-axis, absolute difference of the two radii; zero is the straight line.
    tilt : (...) array [rad]
        Turn of the long axis away from the bank angle, half the phase error.

    Valid: tooth ratio 2, rolling without slip.
    Source: sum of two rotating vectors; compare MathWorld, "Tusi Couple".

    Examples
    --------
    >>> major, minor, tilt = path_ellipse(0.025, 0.010)
    >>> print(f"{major:.3f} {minor:.3f} {tilt:.3f}")
    0.035 0.015 0.000
    """
    return carrier_radius + pin_radius, np.abs(carrier_radius - pin_radius), 0.5 * phase


def speeds(carrier_speed, tooth_ratio=2.0):
    """Speed of the crank (planet), absolute and against its carrier.

    Parameters
    ----------
    carrier_speed : float or (...) array [rad/s]
        Speed of the carrier.
    tooth_ratio : float or (...) array [1]
        Teeth of the ring over teeth of the pinion.

    Returns
    -------
    absolute : (...) array [rad/s]
        Speed of the crank in space: minus the carrier speed at ratio 2.
    relative : (...) array [rad/s]
        Speed of the crank against the carrier: minus twice the carrier speed at ratio 2.

    Valid: fixed ring.
    Source: Willis equation.

    Examples
    --------
    >>> speeds(1000.0)
    (-1000.0, -2000.0)
    """
    return carrier_speed * (1.0 - tooth_ratio), -carrier_speed * tooth_ratio


def pins_on_crank(bank_angle):
    """Places of the crankpins on the crank, seen from its axis C, in carrier radii, when theta = 0.

    Parameters
    ----------
    bank_angle : (K,) array [rad]
        Bank angles.

    Returns
    -------
    (K,) complex array [1]
        Places relative to C; they all have length 1 and stand at twice the bank angle.

    Valid: tooth ratio 2, rolling without slip.
    Source: ``pin_path``.
    """
    return pin_path(0.0, 1.0, 1.0, bank_angle=np.asarray(bank_angle)) - 1.0


def jam_path(stroke, pinion_teeth, phi):
    """Path of a pin, along and across its line, of a pinion put in one tooth away from its mark.

    Parameters
    ----------
    stroke : float [m]
        Stroke.
    pinion_teeth : int [1]
        Teeth of the pinion.
    phi : (A,) array [rad]
        Carrier angle from the cylinder line.

    Returns
    -------
    (A,) complex array [m]
        Along the line real, across it imaginary: a line turned by pi over the teeth.

    Valid: tooth ratio 2, rolling without slip.
    Source: ``pin_path`` with one pitch of phase error.
    """
    return pin_path(phi, 0.25 * stroke, 0.25 * stroke, phase=2.0 * np.pi / pinion_teeth)


def by_tooth(angle, mesh, pinion_teeth):
    """Greatest tooth force, each way, that every tooth of the pinion meets over one cycle.

    Parameters
    ----------
    angle : (A,) array [rad]
        Carrier angle over whole cycles, finely enough to meet each tooth.
    mesh : (A,) array [N]
        Tangential tooth force.
    pinion_teeth : int [1]
        Teeth of the pinion, counted from the mesh at theta = 0; the ring has twice as many.

    Returns
    -------
    high, low : (pinion_teeth,) array [N]
        Greatest and least force.

    Valid: one pair of teeth at a time, that whose middle is nearest.
    Source: the mesh passes the whole pinion in half a turn of the carrier.
    """
    tooth = np.round(np.asarray(angle) / np.pi * pinion_teeth).astype(int) % pinion_teeth
    high, low = np.full(pinion_teeth, -np.inf), np.full(pinion_teeth, np.inf)
    np.maximum.at(high, tooth, mesh)
    np.minimum.at(low, tooth, mesh)
    return high, low
