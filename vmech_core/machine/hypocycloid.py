"""The straight-line drive: the crank is the planet of a 2:1 hypocycloid (cardan) gear train.

Theta is the angle of the carrier, omega its constant speed, a = stroke / 4 the carrier radius. The crank turns at
-omega. Pin k stays on the line with bank angle alpha_k; phi_k = theta - alpha_k. Gravity and friction are left out.
Notebook 01 derives the motion, notebook 05 the loads.
"""

from functools import partial

import numpy as np

from vmech_core.base import Contact, InputError, Loads, Motion, column, record

#: A smaller sum of cos^2 phi counts as zero: guides without a gear cannot hold the crank there (rounding limit).
SINGULAR = 1e-12
PER_CYLINDER = ("bank_angle", "reciprocating_mass")


@record("stroke bank_angle reciprocating_mass speed pressure_angle", crank_mass=0.0, crank_moment=0.0,
        carrier_moment=0.0)
class HypocycloidDrive:
    """Dimensions and inertia of a straight-line drive, or of a batch of them.

    Attributes
    ----------
    stroke : float or (...) array [m]
        Stroke, four times the carrier radius.
    bank_angle : (..., K) array [rad]
        Direction of each cylinder line, outward, anticlockwise.
    reciprocating_mass : (..., K) array [kg]
        Piston with its rod, big end included.
    speed : float or (...) array [rad/s]
        Carrier speed, constant, positive anticlockwise.
    pressure_angle : float or (...) array [rad]
        Working pressure angle of the gear pair.
    crank_mass : float or (...) array [kg]
        Mass of the crank with both pinions; it orbits at the carrier radius.
    crank_moment : complex or (...) complex array [kg m]
        Own mass moment of the crank about its axis C (mass times vector from C) when theta = 0.
    carrier_moment : float or (...) array [kg m]
        Mass moment of the carriers about O, positive toward C; a counterweight is negative.
    """

def one_cylinder(stroke, speed):
    """One cylinder for motion alone: unit mass, outer dead centre at theta = 0.

    Parameters
    ----------
    stroke : float or (...) array [m]
        Stroke.
    speed : float or (...) array [rad/s]
        Carrier speed.

    Returns
    -------
    HypocycloidDrive [-]
        The drive.

    Valid: as ``motion``.
    Source: none needed.
    """
    return HypocycloidDrive(stroke, np.zeros(1), np.ones(1), speed, pressure_angle=0.35)


def from_design(design, mass):
    """Straight-line drive of a design.

    Parameters
    ----------
    design : Design [-]
        The design.
    mass : dict of str to Estimate [kg]
        Masses by part, from ``masses.of_design``.

    Returns
    -------
    HypocycloidDrive [-]
        The drive with likely masses and the counterweight that the design asks for; the carriers' own mass moment is
        left at zero until the balance of the whole machine is computed.

    Valid: a design that its own checks accept.
    Source: the design file.
    """
    cylinders = design.cylinders.si
    moving = np.full(design.n_cylinders, mass["piston"].likely + mass["piston_rod"].likely)
    share = design.crank.counterweight_fraction
    return HypocycloidDrive(
        stroke=cylinders.stroke, bank_angle=cylinders.bank_angle, reciprocating_mass=moving, speed=design.duty.si.speed,
        pressure_angle=float(design.pair.working_angle), crank_mass=mass["crank"].likely,
        crank_moment=crank_moment_for_balance(cylinders.stroke, cylinders.bank_angle, moving, share))


def firing_angles(design, drive):
    """Carrier angle at which each cylinder stands at its firing dead centre.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.

    Returns
    -------
    (K,) array [rad]
        Bank angle plus whole turns of delay.

    Valid: phase bound to bank angle.
    Source: x = (S/2) cos(theta - alpha).
    """
    return top_dead_centre(drive) + 2.0 * np.pi * np.asarray(design.duty.firing_turn)


def crank_moment_for_balance(stroke, bank_angle, reciprocating_mass, fraction):
    """Own mass moment that the crank needs to cancel a share of the rods' load on the teeth.

    Parameters
    ----------
    stroke : float or (...) array [m]
        Stroke.
    bank_angle : (..., K) array [rad]
        Cylinder lines.
    reciprocating_mass : (..., K) array [kg]
        Piston with its rod.
    fraction : float or (...) array [1]
        Share to cancel: 0 none, 1 all of the inertia in the tooth force.

    Returns
    -------
    (...) complex array [kg m]
        Mass moment about C at theta = 0.

    Valid: rigid parts, constant speed.
    Source: each reciprocating mass is two vectors, m a e^(i theta) and m a e^(i (2 alpha - theta)); this is minus the
        second, derived in notebook 05 and checked by multipliers in tests/machine/test_multibody.py.

    Examples
    --------
    >>> bool(np.isclose(crank_moment_for_balance(0.04, np.array([0.0]), np.array([0.5]), 1.0), -0.005))
    True
    """
    second = np.sum(reciprocating_mass * np.exp(2j * np.asarray(bank_angle)), axis=-1)
    return -fraction * 0.25 * stroke * second


def top_dead_centre(drive):
    """Carrier angle at which each piston is farthest out.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        The drive.

    Returns
    -------
    (..., K) array [rad]
        The bank angle itself: phase and bank angle are the same thing in this machine.

    Valid: pin radius equal to carrier radius.
    Source: x = (S/2) cos(theta - alpha).
    """
    return np.asarray(drive.bank_angle, dtype=float)


def motion(drive, angle):
    """Exact motion of the pins, and so of the pistons, along their lines.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Carrier angle.

    Returns
    -------
    Motion [-]
        Position of the pin from O, velocity and acceleration, each (..., K, A).

    Valid: pin radius equal to carrier radius, rigid parts, constant speed.
    Source: P = a e^(i theta) + a e^(i (2 alpha - theta)) = (S/2) cos(theta - alpha) e^(i alpha).
    """
    angle = np.asarray(angle, dtype=float)
    cos_phi, sin_phi = _cos_sin(drive.bank_angle, np.exp(1j * angle))
    half, speed = column(drive.stroke, 2) * 0.5, column(drive.speed, 2)
    position = half * cos_phi
    return Motion(angle, position, -half * speed * sin_phi, -(speed * speed) * position)


def rigid_loads(drive, angle, gas_force, guide="idle"):
    """Exact plane loads of rigid parts, with inertia of the rods and of the crank's own mass moment.

    The split of the side load between guides and teeth is statically indeterminate. Two limits bound it: ``idle``
    (guides do nothing, the teeth turn the crank) and ``alone`` (no gear, guides share with the least sum of squares).

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Carrier angle.
    gas_force : (..., K, A) array [N]
        Gas force on each piston, positive toward O.
    guide : str or (..., K, A) array [N]
        ``idle``, ``alone``, or the lateral force of each guide on its rod, positive along i u.

    Returns
    -------
    Loads [-]
        Channels gas, rod, pin, guide, mesh, separating, crank_bearing, main, frame, torque.

    Raises
    ------
    InputError
        If ``guide`` is a text other than ``idle`` or ``alone``.

    Valid: rigid parts, constant speed, no friction, no gravity. In ``alone`` the guide force is infinite where the sum
        of cos^2 phi vanishes (one cylinder, or lines all parallel, at mid-stroke).
    Source: Newton and Euler for each rod and for the crank, derived in notebook 05; reproduced by Lagrange multipliers
        in tests/machine/test_multibody.py.
    """
    angle = np.asarray(angle, dtype=float)
    if not isinstance(guide, str):
        return _loads(drive, angle, np.asarray(gas_force, dtype=float), np.asarray(guide, dtype=float))
    if guide not in ("idle", "alone"):
        raise InputError("guide", guide, "not one of idle, alone or an array of forces", nearest="idle")
    from vmech_core.machine.batch import in_blocks  # not needed for motion

    return in_blocks(partial(_loads, guide=guide), drive, PER_CYLINDER, angle, gas_force)


def _loads(drive, angle, gas, guide):
    spin, along = np.exp(1j * angle), np.exp(1j * np.asarray(drive.bank_angle))[..., None]
    cos_phi, sin_phi = _cos_sin(drive.bank_angle, spin)
    radius, speed2, moment = 0.25 * column(drive.stroke, 1), column(drive.speed, 1) ** 2, column(drive.crank_moment, 1)
    inertia = column(drive.reciprocating_mass, 1) * (0.5 * column(drive.stroke, 2)) * column(drive.speed, 2) ** 2
    rod = gas - inertia * cos_phi
    mesh = drive_force = (rod * sin_phi).sum(axis=-2) - speed2 * (np.conj(moment) * (spin * spin)).imag
    lateral, pin, on_walls = _guide_force(guide, cos_phi, drive_force), -rod * along, gas * along
    if lateral is not None:
        known = np.where(np.isinf(lateral), np.nan, lateral)
        mesh = drive_force - (known * cos_phi).sum(axis=-2)
        pin, on_walls = (-rod + 1j * known) * along, (gas - 1j * known) * along
    separating = np.abs(mesh) * np.tan(column(drive.pressure_angle, 1))
    tooth = (1j * mesh - separating) * spin
    own = column(drive.crank_mass, 1) * radius * speed2 * spin + moment * speed2 * spin.conj()
    crank_bearing = pin.sum(axis=-2) + tooth + own
    main = crank_bearing + column(drive.carrier_moment, 1) * speed2 * spin
    channels = {"gas": gas, "rod": rod, "pin": pin,
                "guide": np.broadcast_to(0.0, rod.shape) if lateral is None else lateral,
                "mesh": mesh, "separating": separating, "crank_bearing": crank_bearing, "main": main,
                "frame": main - tooth + on_walls.sum(axis=-2), "torque": 2.0 * radius * drive_force}
    words = "guides idle, the teeth carry all" if lateral is None else "guide forces as given, the teeth carry the rest"
    return Loads(angle, channels, f"rigid parts; {words}")


def _guide_force(guide, cos_phi, drive_force):
    if not isinstance(guide, str):
        return guide
    if guide == "idle":
        return None
    total = np.broadcast_to(np.sum(cos_phi**2, axis=-2), drive_force.shape)
    holds = total > SINGULAR
    share = np.divide(drive_force, total, out=np.full(drive_force.shape, np.inf), where=holds)
    return np.where(holds[..., None, :], cos_phi * np.where(holds, share, 0.0)[..., None, :], np.inf)


def effective_inertia(drive, angle, crank_inertia=0.0):
    """Moment of inertia of crank, rods and pistons as the carrier feels it; it changes with the angle.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    angle : (A,) array [rad]
        Carrier angle.
    crank_inertia : float [kg m2]
        Of the crank about its own axis C, from ``masses.crank_inertia``.

    Returns
    -------
    (A,) array [kg m2]
        Twice the kinetic energy over the squared carrier speed; carriers and flywheel come on top.

    Valid: rigid parts.
    Source: kinetic energy: crank at the carrier radius a, turning at -omega, and pistons at (S/2) omega sin(phi).

    Examples
    --------
    >>> one = HypocycloidDrive(0.08, np.zeros(1), np.ones(1), 1.0, 0.35)
    >>> bool(np.allclose(effective_inertia(one, np.array([0.0, np.pi / 2])), [0.0, 0.0016]))
    True
    """
    spin, radius = np.exp(1j * np.asarray(angle, dtype=float)), 0.25 * drive.stroke
    rods = column(drive.reciprocating_mass, 1) * (2.0 * radius * _cos_sin(drive.bank_angle, spin)[1]) ** 2
    own = drive.crank_mass * radius**2 + crank_inertia
    return own - 2.0 * radius * (np.conj(drive.crank_moment) * spin**2).real + rods.sum(axis=-2)


def body_speeds(drive, angle):
    """Absolute speeds at which the bodies of the drive turn.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    angle : (A,) array [rad]
        Angle of the carrier.

    Returns
    -------
    dict of str to (A,) or (K, A) array [rad/s]
        Bodies ``crank``, ``carrier``, ``block``, ``rod``; a rod in its guide keeps its direction.

    Valid: rigid parts, constant speed.
    Source: the crank turns against the carrier, as fast (Willis equation).
    """
    turning, rest = np.full(np.shape(angle), float(drive.speed)), np.zeros(np.shape(angle))
    return {"crank": -turning, "carrier": turning, "block": rest, "rod": rest}


def contacts(drive, diameters):
    """Rubbing pairs of the drive, with their greatest rubbing speeds.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    diameters : dict of str to float [m]
        Of ``crankpin``, ``crank_in_carrier`` and ``carrier_in_block``.

    Returns
    -------
    list of Contact [-]
        Crankpins, crank in carriers, carriers in the block, guides, piston rings, gear meshes.

    Valid: rigid parts, constant speed.
    Source: relative speeds from the Willis equation; the crank turns at -2 omega against the carrier.
    """
    speed, cylinders = abs(float(drive.speed)), len(drive.bank_angle)
    slide = 0.5 * float(drive.stroke) * speed
    mixed = "surfaces turn at +omega and -omega: their mean speed is zero"
    return [Contact("crankpin", "rod big end on crankpin", "journal", "pin", cylinders,
                    0.5 * diameters["crankpin"] * speed, note="the rod does not swing", bodies=("crank", "rod")),
            Contact("crank_in_carrier", "crank in carrier", "journal", "crank_bearing", 2,
                    diameters["crank_in_carrier"] * speed, note=mixed, bodies=("crank", "carrier")),
            Contact("carrier_in_block", "carrier in block", "journal", "main", 2,
                    0.5 * diameters["carrier_in_block"] * speed, bodies=("carrier", "block")),
            Contact("guide", "rod in guide", "sliding", "guide", cylinders, slide),
            Contact("rings", "piston rings in bore", "rings", "gas", cylinders, slide),
            Contact("mesh", "pinion in ring gear", "mesh", "mesh", 2, 0.0,
                    note="rolls and slides along the tooth; see notebook 08")]


def _cos_sin(start, spin):
    """Cosine and sine of theta - alpha, (..., K, A), by products of two short tables."""
    bank = np.asarray(start, dtype=float)[..., None]
    cos_b, sin_b, cos_t, sin_t = np.cos(bank), np.sin(bank), spin.real, spin.imag
    return cos_t * cos_b + sin_t * sin_b, sin_t * cos_b - cos_t * sin_b
