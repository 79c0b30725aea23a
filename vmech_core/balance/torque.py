"""How evenly a machine turns: torque over the cycle, energy that a flywheel must hold, speed, and what the teeth feel.

Theta is the angle of carrier or crank, T the torque that the machine delivers, T_L that of the load. With the moment of
inertia I of all that turns, d(I omega^2 / 2) / d theta = T - T_L. Friction that is constant over the turn belongs to
the load: it lowers what is left for it and leaves the fluctuation as it is. Notebook 13 derives all of this.
"""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.machine import hypocycloid, masses, slider_crank

#: Thickness of a rim: inner over outer diameter [1] (own choice).
INNER = 0.8
#: Part of the mean speed below which a machine counts as standing still (own choice).
STANDS = 1e-2

Fluctuation = namedtuple("Fluctuation", "mean excess work energy coefficient")
Speeds = namedtuple("Speeds", "speed acceleration coefficient linear swing")
Flywheel = namedtuple("Flywheel", "width mass rim_speed rim_stress")
Turning = namedtuple("Turning", "speeds torque mesh")


def fluctuation(angle, torque, load=None):
    """Energy that goes into and out of the turning parts over one cycle.

    Parameters
    ----------
    angle : (A,) array [rad]
        Angles over one cycle, both ends included, not falling; a jump of the torque is one angle given twice.
    torque : (..., A) array [N m]
        Torque that the machine delivers; negative for one that is driven.
    load : (..., A) array or None [N m]
        Torque of the load with the same mean; None for a constant one.

    Returns
    -------
    Fluctuation [-]
        ``mean`` torque [N m], (...); ``excess``, torque less load [N m], and ``work``, its integral from the first
        angle [J], both (..., A); ``energy``, the largest rise of that integral over the cycle, and so its fall too [J];
        ``coefficient``, this energy over the size of the work of one cycle [1]. Some textbooks divide by the work of
        one turn instead, which for a four-stroke is half as much.

    Raises
    ------
    InputError
        If the mean of the load is more than one percent of the peak torque off that of the torque: the machine would
        get faster from cycle to cycle. A smaller difference, of rounded numbers, is spread evenly.

    Valid: any machine that repeats itself; integrals by the trapezoidal rule.
    Source: T. Bevan, The Theory of Machines, ch. 12; worked examples in tests/published/test_flywheel.py.

    Examples
    --------
    >>> angle = np.linspace(0.0, 2.0 * np.pi, 3601)
    >>> round(float(fluctuation(angle, 50.0 + 10.0 * np.sin(2.0 * angle)).energy), 3)
    10.0

    Areas between torque and mean line, as a book's diagram gives them, are steps of those areas [J] over equal parts:

    >>> area = np.array([30.0, -50.0, 40.0, -20.0])
    >>> edge = np.repeat(np.arange(5.0), 2)[1:-1]
    >>> float(fluctuation(edge, np.repeat(area, 2)).energy)
    50.0
    """
    angle, torque = np.asarray(angle, dtype=float), np.asarray(torque, dtype=float)
    span = angle[-1] - angle[0]
    mean = _integral(angle, torque)[..., -1] / span
    load = np.broadcast_to(mean[..., None] if load is None else load, torque.shape)
    asked = _integral(angle, load)[..., -1] / span
    if np.any(np.abs(asked - mean) > 0.01 * np.abs(torque).max(axis=-1)):
        words = f"off the mean torque, so that no cycle would repeat itself: not {np.ravel(mean)[0]:.4g}"
        raise InputError("load", round(float(np.ravel(asked)[0]), 6), words, "N m")
    excess = torque - load + (asked - mean)[..., None]
    work = _integral(angle, excess)
    energy = np.ptp(work, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return Fluctuation(mean, excess, work, energy, energy / np.abs(mean * span))


def inertia_needed(energy, speed, coefficient):
    """Moment of inertia of all that turns, for a wanted evenness.

    Parameters
    ----------
    energy : float or (...) array [J]
        From ``fluctuation``.
    speed : float or (...) array [rad/s]
        Mean speed.
    coefficient : float or (...) array [1]
        Wanted coefficient of speed fluctuation, greatest less least speed over the mean.

    Returns
    -------
    float or (...) array [kg m2]
        Moment of inertia.

    Valid: exact if the mean is that of greatest and least speed and the inertia does not change with the angle.
    Source: E = I (w1^2 - w2^2) / 2 = I w^2 C, any text on the theory of machines.

    Examples
    --------
    >>> inertia_needed(400.0, 100.0, 0.01)
    4.0
    """
    return energy / (coefficient * speed**2)


def speed_over_cycle(angle, torque, inertia, mean_speed, load=None):
    """Speed over the cycle, exact by energy.

    Parameters
    ----------
    angle : (A,) array [rad]
        As in ``fluctuation``.
    torque : (..., A) array [N m]
        As in ``fluctuation``. If ``inertia`` varies with the angle, without the inertia torque of these parts.
    inertia : float, (..., 1) or (..., A) array [kg m2]
        Moment of inertia of all that turns.
    mean_speed : float [rad/s]
        Angle of the cycle over its time.
    load : (..., A) array or None [N m]
        As in ``fluctuation``.

    Returns
    -------
    Speeds [-]
        ``speed`` [rad/s] and ``acceleration`` [rad/s2], (..., A); ``coefficient``, greatest less least speed over the
        mean [1]; ``linear``, the same from the energy at constant speed over mean inertia and squared speed [1];
        ``swing``, half of what the angle runs before and behind a uniform turn [rad].

    Raises
    ------
    InputError
        If the inertia is not above zero, or so small that the machine would stand still within its cycle.

    Valid: rigid shaft, torques that depend on the angle alone.
    Source: I omega^2 / 2 = E + integral of (T - T_L), with E such that the mean speed is as given; checked by a general
        integrator of the equation of motion in tests/balance/test_torque.py.

    Examples
    --------
    >>> angle = np.linspace(0.0, 2.0 * np.pi, 721)
    >>> found = speed_over_cycle(angle, 50.0 + 10.0 * np.sin(2.0 * angle), 0.1, 100.0)
    >>> round(float(found.coefficient), 5), round(float(found.linear), 5)
    (0.01, 0.01)
    """
    found, span, given = fluctuation(angle, torque, load), angle[-1] - angle[0], np.asarray(inertia, dtype=float)
    mass = np.broadcast_to(given, np.broadcast_shapes(given.shape, found.work.shape))
    above = found.work - found.work.min(axis=-1, keepdims=True)
    energy = 0.5 * mass.min(axis=-1, keepdims=True) * (STANDS * mean_speed) ** 2
    for step in range(60):  # Newton's method from below: mean of 1 / omega falls with the energy, ever slower
        slowness = np.sqrt(mass / (2.0 * np.where(mass > 0.0, energy + above, np.nan)))
        late = _integral(angle, slowness)[..., -1:] / span - 1.0 / mean_speed
        if step == 0 and not np.all(late > 0.0):
            words = "so small that the machine would stand still within its cycle, or below 0: give more"
            raise InputError("inertia", float(given.min()), words, "kg m2")
        if np.all(np.abs(late) * mean_speed < 1e-14):
            break
        energy = energy + late * span / _integral(angle, slowness**3 / mass)[..., -1:]
    change = np.gradient(mass, angle, axis=-1, edge_order=2) if given.shape[-1:] == angle.shape else 0.0
    speed, even = 1.0 / slowness, mass[..., :-1].mean(axis=-1)
    return Speeds(speed, (found.excess - 0.5 * change * speed**2) / mass, np.ptp(speed, axis=-1) / mean_speed,
                  np.ptp(found.work / mean_speed**2 - 0.5 * mass, axis=-1) / even,
                  0.5 * np.ptp(mean_speed * _integral(angle, slowness) - angle, axis=-1))


def flywheel(inertia, diameter, speed, inner=INNER, density=masses.STEEL):
    """Disc or rim that has a wanted moment of inertia; a size to begin with, no proof of strength.

    Parameters
    ----------
    inertia : float or (...) array [kg m2]
        Wanted moment of inertia; hub and arms are left out.
    diameter : float [m]
        Outer diameter.
    speed : float [rad/s]
        Greatest speed.
    inner : float [1]
        Inner over outer diameter: 0 for a solid disc, below 1.
    density : float [kg/m3]
        Of the material.

    Returns
    -------
    Flywheel [-]
        ``width`` [m], ``mass`` [kg], ``rim_speed`` [m/s] and ``rim_stress`` [Pa]: density times squared rim speed, the
        hoop stress of a thin free ring. Arms, holes, keyways and the bore of a disc raise it, up to several times.

    Valid: a screen. A flywheel that bursts kills: have its strength, its overspeed and its guard checked.
    Source: moment of inertia of a hollow cylinder; hoop stress of a thin ring, any text on strength of materials.

    Examples
    --------
    >>> made = flywheel(0.05, 0.2, 300.0, inner=0.0)
    >>> round(made.mass, 6), round(made.rim_speed, 6)
    (10.0, 30.0)
    """
    radius, rim = 0.5 * diameter, 0.5 * diameter * speed
    mass = 2.0 * inertia / (radius**2 * (1.0 + inner**2))
    return Flywheel(mass / (density * np.pi * radius**2 * (1.0 - inner**2)), mass, rim, density * rim**2)


def with_flywheel(drive, loads, inertia, crank_inertia=0.0):
    """A machine with a flywheel against a constant load: its speed, its torque, its tooth force.

    The crank turns at minus the carrier's speed, so while the carrier gets faster the meshes must turn the crank's own
    inertia the other way, and the rods lag behind on their pins.

    Parameters
    ----------
    drive : HypocycloidDrive or SliderCrank [-]
        One drive; its speed is the mean.
    loads : Loads [-]
        Its rigid loads at that speed, guides idle.
    inertia : float or (..., 1) array [kg m2]
        Flywheel, load and all that turns with carrier or crank, without the parts of ``effective_inertia``.
    crank_inertia : float [kg m2]
        Of the planet crank about its own axis, from ``machine.masses.crank_inertia``.

    Returns
    -------
    Turning [-]
        ``speeds``, a ``Speeds``; ``torque`` of the machine on the flywheel at that speed [N m], (..., A); ``mesh``,
        tooth force of both ends [N], (..., A), or None for an ordinary crank.

    Valid: rigid parts, guides idle, constant load torque, gas that depends on the angle alone.
    Source: moment about C with the crank's angular acceleration -d omega / dt and the rods' S/2 (omega^2 cos phi +
        d omega / dt sin phi) toward O; checked by Lagrange multipliers in tests/balance/test_torque.py.
    """
    straight = isinstance(drive, hypocycloid.HypocycloidDrive)
    machine, own = (hypocycloid, (crank_inertia,)) if straight else (slider_crank, ())
    still = machine.rigid_loads(replace(drive, speed=0.0), loads.angle, loads["gas"])
    moving = machine.effective_inertia(drive, loads.angle, *own)
    speeds = speed_over_cycle(loads.angle, still["torque"], inertia + moving, drive.speed)
    share = (speeds.speed / drive.speed) ** 2
    torque, mesh = still["torque"] + share * (loads["torque"] - still["torque"]) - moving * speeds.acceleration, None
    if straight:
        radius = 0.25 * drive.stroke
        felt = (moving - drive.crank_mass * radius**2 + crank_inertia) / (2.0 * radius)
        mesh = still["mesh"] + share * (loads["mesh"] - still["mesh"]) - felt * speeds.acceleration
    return Turning(speeds, torque, mesh)


def reversals(force, rest=1e-6):
    """How often a force changes its sign over one cycle.

    Parameters
    ----------
    force : (..., A) array [N]
        Over one cycle, both ends included.
    rest : float [N]
        A force up to this size counts as none.

    Returns
    -------
    (...) int array [1]
        Changes; for a tooth force, changes of flank.

    Valid: steps fine enough to see each change.
    Source: none needed.

    Examples
    --------
    >>> int(reversals(np.array([1.0, -1.0, -2.0, 3.0, 1.0])))
    2
    """
    return np.count_nonzero(np.diff(np.asarray(force) > rest, axis=-1), axis=-1)


def intervals(start, cycle):
    """Angles from one firing, or delivery, to the next.

    Parameters
    ----------
    start : (K,) array [rad]
        Angle at which each cylinder begins.
    cycle : float [rad]
        Angle of one cycle.

    Returns
    -------
    (K,) array [rad]
        In the order in which they come; their sum is the cycle.

    Valid: any machine.
    Source: none needed.

    Examples
    --------
    >>> intervals(np.array([0.0, 1.25]), 2.0)
    array([1.25, 0.75])
    """
    order = np.sort(np.mod(start, cycle))
    return np.diff(order, append=order[0] + cycle)


def _integral(angle, values):
    """Integral from the first angle, zero there."""
    steps = 0.5 * np.diff(angle) * (values[..., 1:] + values[..., :-1])
    return np.concatenate([np.zeros((*steps.shape[:-1], 1)), np.cumsum(steps, axis=-1)], axis=-1)
