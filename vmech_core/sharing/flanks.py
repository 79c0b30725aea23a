"""What a shared load does besides: places of pins and pistons, torque in the displaced machine, flanks that change.

Load sharing is quasi-static: where a mesh changes its flank, equilibrium jumps across the gap. The crank takes a time
to cross it, which is estimated here with one degree of freedom.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base.results import Estimate
from vmech_core.sharing import springs
from vmech_core.sharing.quasi_static import assembly

#: Radius of gyration of the crank about its own axis over the carrier radius: low, likely, high. Own judgement.
GYRATION = (0.7, 0.9, 1.2)


#: One change of flank; its fields are what ``crossings`` returns.
Reversal = namedtuple("Reversal", "angle time turn speed force")


def turning_mass(drive, crank_mass):
    """Mass on the pitch circle of the pinion that stands for crank and rods when the crank turns in its backlash.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    crank_mass : float [kg]
        Crank with pinions.

    Returns
    -------
    Estimate [kg]
        Crank by its radius of gyration, and half of each rod's mass, the mean of sin^2 over a turn.

    Valid: rigid crank.
    Source: kinetic energy; gyration: own judgement.
    """
    rods = 0.5 * float(np.sum(drive.reciprocating_mass))
    return Estimate(*(crank_mass * g * g + rods for g in GYRATION), "kg", "guessed radius of gyration")


def natural_frequency(mass, stiffness):
    """Natural frequency of the crank that turns on its two meshes.

    Parameters
    ----------
    mass : float [kg]
        From ``turning_mass``.
    stiffness : float [N/m]
        Stiffness of both meshes along the pitch circle.

    Returns
    -------
    float [Hz]
        Frequency while the teeth touch; to be compared with the meshing frequency, ring teeth times turns per second.

    Valid: carriers held, guides idle, rigid crank.
    Source: mass on a spring.

    Examples
    --------
    >>> round(natural_frequency(1.0, 1e9))
    5033
    """
    return float(np.sqrt(stiffness / mass) / (2.0 * np.pi))


def blow(force, speed, mass, stiffness, slope=0.0):
    """Greatest force in a spring that a mass meets at speed while a force drives it on.

    Parameters
    ----------
    force : float [N]
        Driving force when the spring is met.
    speed : float [m/s]
        Speed then.
    mass : float [kg]
        Mass.
    stiffness : float [N/m]
        Of the spring.
    slope : float [N/s]
        Rate at which the driving force grows.

    Returns
    -------
    float [N]
        Peak; without damping, so no such mass meets with more.

    Valid: one degree of freedom, first contact, driving force linear in time.
    Source: Newton's law in closed form; with a constant force across a gap j from rest it is
        F (1 + sqrt(1 + 2 k j / F)), the factor of a suddenly applied load of any text on strength of materials.

    Examples
    --------
    >>> round(blow(100.0, (2.0 * 100.0 * 50e-6 / 1.0) ** 0.5, 1.0, 1e8), 3)
    1104.988
    """
    turn = np.sqrt(stiffness / mass)
    swing = speed * turn * mass - slope / turn
    size = np.hypot(swing, force)
    share = min(slope / (turn * size), 1.0)
    return float(force + slope / turn * (np.arctan2(force, swing) + np.arccos(-share)) + size * np.sqrt(1.0 - share**2))


def pin_place(elastic, drive, angle, found):
    """Place of each pin beside its line.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine, one case.
    drive : HypocycloidDrive [-]
        One drive.
    angle : (A,) array [rad]
        Carrier angle.
    found : Rest [-]
        Rest position from ``share`` with both ends lumped.

    Returns
    -------
    (K, A) array [m]
        Along i u, errors of geometry included.

    Valid: both ends lumped in the middle.
    Source: u sin(phi) + (v + w) cos(phi) plus the error of the pin.
    """
    phi = angle - np.asarray(drive.bank_angle)[:, None]
    u, v, w = found.displacement[:, :3].T
    radius = 0.25 * float(drive.stroke)
    error = np.stack([elastic.pin_offset(p, radius, k) for k, p in enumerate(phi)])
    return u * np.sin(phi) + (v + w) * np.cos(phi) + error


def piston_place(elastic, found, cylinders):
    """Place of both edges of each piston beside the line, and the tilt of its rod.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    found : Rest [-]
        Rest position.
    cylinders : int [1]
        Number of cylinders.

    Returns
    -------
    edges : (K, 2, A) array [m]
        Lower and upper edge.
    tilt : (K, A) array [rad]
        Tilt of the rod, anticlockwise.

    Valid: rigid rod beyond its overhang.
    Source: place at the pin plus tilt times distance.
    """
    own = found.displacement[:, -2 * cylinders :].reshape(-1, cylinders, 2)
    tilt = own[..., 1] / elastic.bore_span[1]
    edges = np.stack([own[..., 0] + tilt * edge for edge in elastic.bore_span], axis=-1)
    return np.moveaxis(edges, 0, -1), tilt.T


def torque_correction(elastic, drive, loads, found, axis=None, step=1e-4):
    """What the displaced geometry adds to the torque of the rigid machine.

    At fixed forces the torque is minus the rate of the total potential. The rigid part gives the linear torque; the
    rest is the rate of the elastic potential at fixed displacements.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads.
    found : Rest [-]
        Rest position.
    axis : CrankAxis or None [-]
        As in ``share``.
    step : float [rad]
        Step of the numeric rate.

    Returns
    -------
    (A,) array [N m]
        To be added to the channel ``torque``.

    Valid: small displacements, rod forces held while the angle is varied.
    Source: envelope theorem on the potential energy.
    """
    values = []
    for side in (-1.0, 1.0):
        supports, load = assembly(elastic, drive, loads.angle + side * step, loads["rod"], axis)
        values.append(springs.energy(supports, load, found.displacement))
    return (values[0] - values[1]) / (2.0 * step)


def idle_clearance(elastic, drive, loads, found):
    """Radial guide clearance from which the guides stay idle, by the closed condition of notebook 06.

    With idle guides the teeth hold the crank: its rim is off by half the backlash and the tooth deflection, and its
    axis by u. A rod that keeps its direction touches nothing if the clearance is larger than the pin's distance from
    the line.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads with idle guides.
    found : Rest [-]
        Rest position with the guides moved away, which gives u.

    Returns
    -------
    float [m]
        Largest over cylinders and angles.

    Valid: both ends lumped; upper bound, as a rod that tilts may touch later.
    Source: notebook 06.
    """
    phi = loads.angle - np.asarray(drive.bank_angle)[:, None]
    sine, cosine, alpha = np.sin(phi), np.cos(phi), drive.pressure_angle
    u = found.displacement[:, 0]
    rim = 0.5 * elastic.backlash + np.abs(loads["mesh"]) / (2.0 * elastic.mesh * np.cos(alpha) ** 2) - u * np.tan(alpha)
    return float(np.abs(u * sine - np.sign(loads["mesh"]) * rim * cosine).max())


def crossings(elastic, drive, loads, mass=None):
    """Changes of flank over a cycle of a shared load, with the free flight across the backlash.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine; its backlash is along the pitch circle.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Shared loads.
    mass : float or None [kg]
        On the pitch circle; None for the likely one of ``turning_mass``.

    Returns
    -------
    list of Reversal [-]
        In the order of the angle; empty if the flank never changes.

        angle : float [rad]
            Carrier angle at which the tooth force passes zero.
        time : float [s]
            Free flight across the gap.
        turn : float [rad]
            Carrier turn meanwhile; equilibrium is not followed there.
        speed : float [m/s]
            Speed along the pitch circle with which the other flank is met.
        force : float [N]
            Peak of the blow, both meshes together, the force that drives the crank on included.

    Valid: guides that do not hold the crank meanwhile; a guide that touches makes the flight shorter. No damping, so
        the blow is an upper bound for the mass it is computed with.
    Source: Newton's law with a force linear in time, in flight and in the blow.
    """
    stiffness = 2.0 * elastic.mesh * np.cos(drive.pressure_angle) ** 2
    mass = turning_mass(drive, drive.crank_mass).likely if mass is None else mass
    force, angle, change = loads["mesh"], loads.angle, []
    rest = 1e-6 * np.abs(force).max()
    for k in np.flatnonzero((force[:-1] > rest) != (force[1:] > rest)):
        slope = (force[k + 1] - force[k]) / (angle[k + 1] - angle[k]) * abs(drive.speed)
        if slope == 0.0:
            continue
        at = angle[k] - force[k] * (angle[k + 1] - angle[k]) / (force[k + 1] - force[k])
        time = (6.0 * mass * elastic.backlash / abs(slope)) ** (1.0 / 3.0)
        speed = 0.5 * abs(slope) * time**2 / mass
        change.append(Reversal(float(at), time, time * abs(drive.speed), speed,
                               blow(abs(slope) * time, speed, mass, stiffness, abs(slope))))
    return change
