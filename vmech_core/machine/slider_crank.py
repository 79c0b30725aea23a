"""The ordinary engine to compare with: slider-crank with trunk piston or crosshead, exact, the rod a body of its own.

Theta is the crank angle, r the crank radius, L the rod length between centres. In the axes of cylinder k (real axis
outward along its line) the crankpin stands at r e^(i phi), phi = theta + delta_k - alpha_k, and the wrist pin at
x + i e. The rod leans by beta: sin(beta) = (r sin(phi) - e) / L. Gravity and friction are left out.
"""

from dataclasses import replace
from functools import partial

import numpy as np

from vmech_core.base import Contact, InputError, Loads, Motion, column, record

PER_CYLINDER = ("bank_angle", "crankpin_angle", "piston_mass", "rod_mass", "rod_inertia")


@record("crank_radius rod_length bank_angle crankpin_angle piston_mass rod_mass rod_cg rod_inertia speed",
        wrist_pin_offset=0.0, crank_moment=0.0)
class SliderCrank:
    """Dimensions and inertia of an ordinary crank drive, or of a batch of them.

    Attributes
    ----------
    crank_radius : float or (...) array [m]
        Distance from the main axis O to the crankpin.
    rod_length : float or (...) array [m]
        Distance between the centres of big end and wrist pin.
    bank_angle : (..., K) array [rad]
        Direction of each cylinder line, outward, anticlockwise.
    crankpin_angle : (..., K) array [rad]
        Angle of each crankpin on the crank when theta = 0.
    piston_mass : (..., K) array [kg]
        All that moves with the wrist pin along the line: trunk piston, or piston, piston rod and crosshead.
    rod_mass : (..., K) array [kg]
        Connecting rod.
    rod_cg : float or (...) array [1]
        Distance of the rod's centre of gravity from the big end, over the rod length.
    rod_inertia : (..., K) array [kg m2]
        Moment of inertia of the rod about its centre of gravity.
    speed : float or (...) array [rad/s]
        Crank speed, constant, positive anticlockwise.
    wrist_pin_offset : float or (...) array [m]
        Lateral place of the cylinder line, positive anticlockwise of the line through O.
    crank_moment : complex or (...) complex array [kg m]
        Own mass moment of the crank about O (mass times vector) when theta = 0.
    """

def from_design(design, mass, crosshead=False):
    """Ordinary crank drive with the bore, stroke, banks and speed of a design.

    Parameters
    ----------
    design : Design [-]
        The design.
    mass : dict of str to Estimate [kg]
        Masses by part, from ``masses.of_design``.
    crosshead : bool [-]
        False for a trunk piston; True for the piston and piston rod of the straight-line drive on a crosshead, which
        weighs what a trunk piston has beyond a crown piston (of a large machine it is of iron, and heavier).

    Returns
    -------
    SliderCrank [-]
        The drive with likely masses; its crank carries the counterweight that the design asks for.

    Valid: a design that its own checks accept.
    Source: the design file; two-mass split of the rod for the counterweight only.
    """
    own, cylinders, ones = design.ordinary_crank, design.cylinders.si, np.ones(design.n_cylinders)
    radius = float(crank_radius_for_stroke(cylinders.stroke, own.rod_ratio, own.si.wrist_pin_offset))
    length, rod = own.rod_ratio * radius, mass["ordinary_rod"].likely
    pins = _crankpin_angles(own.crankpin_layout, cylinders.bank_angle, design.duty.cycle_turns)
    piston = mass["ordinary_piston"].likely
    if crosshead:
        from vmech_core.machine import masses  # not needed for motion

        # skirt and wrist pin, which a skirtless piston leaves away, at the rod's foot
        shoe = masses.trunk_piston(cylinders.bore).likely - masses.crown_piston(cylinders.bore).likely
        piston = mass["piston"].likely + mass["piston_rod"].likely + shoe
    turning, reciprocating = rod * (1.0 - own.rod_cg_fraction), piston + rod * own.rod_cg_fraction
    balanced = own.rotating_balance_fraction * turning + own.reciprocating_balance_fraction * reciprocating
    return SliderCrank(
        crank_radius=radius, rod_length=length, bank_angle=cylinders.bank_angle, crankpin_angle=pins,
        piston_mass=piston * ones, rod_mass=rod * ones, rod_cg=own.rod_cg_fraction,
        rod_inertia=rod * (own.rod_gyration_fraction * length) ** 2 * ones, speed=design.duty.si.speed,
        wrist_pin_offset=own.si.wrist_pin_offset, crank_moment=-radius * (balanced * np.exp(1j * pins)).sum())


def one_cylinder(stroke, rod_ratio, speed, wrist_pin_offset=0.0):
    """One cylinder for motion alone: unit piston mass, weightless rod, outer dead centre at theta = 0.

    Parameters
    ----------
    stroke : float or (...) array [m]
        Stroke, kept whatever the offset.
    rod_ratio : float or (...) array [1]
        Rod length over crank radius.
    speed : float or (...) array [rad/s]
        Crank speed.
    wrist_pin_offset : float or (...) array [m]
        Lateral place of the cylinder line.

    Returns
    -------
    SliderCrank [-]
        The drive, or a batch along the axes of what was given as arrays.

    Valid: the rod must pass over the dead centres, as in ``crank_radius_for_stroke``.
    Source: sin(phi) = e / (L + r) at the outer dead centre.

    Examples
    --------
    >>> drive = one_cylinder(0.069, np.array([3.0, 3.5]), 314.16)
    >>> motion(drive, np.zeros(1)).velocity.shape
    (2, 1, 1)
    """
    radius, one = crank_radius_for_stroke(stroke, rod_ratio, wrist_pin_offset), np.ones(1)
    pin = np.asarray(np.arcsin(wrist_pin_offset / ((rod_ratio + 1.0) * radius)))[..., None]
    return SliderCrank(crank_radius=radius, rod_length=rod_ratio * radius, bank_angle=0.0 * one, crankpin_angle=pin,
                       piston_mass=one, rod_mass=0.0 * one, rod_cg=0.3, rod_inertia=0.0 * one, speed=speed,
                       wrist_pin_offset=wrist_pin_offset)


def firing_angles(design, drive):
    """Crank angle at which each cylinder stands at its firing dead centre.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : SliderCrank [-]
        Its ordinary drive.

    Returns
    -------
    (K,) array [rad]
        Top dead centre plus whole turns of delay; a split crank fires evenly in file order by its pins alone.

    Valid: drives of ``from_design``.
    Source: exact dead centres.
    """
    own_turns = design.ordinary_crank.crankpin_layout == "split"
    turns = np.zeros(design.n_cylinders) if own_turns else np.asarray(design.duty.firing_turn)
    return top_dead_centre(drive) + 2.0 * np.pi * turns


def _crankpin_angles(layout, bank, cycle_turns):
    """Angles of the crankpins, (K,) [rad], for the three usual layouts.

    ``common``: all rods on one pin; ``opposed``: neighbouring pins half a turn apart; ``split``: pins turned so that
    the cylinders reach top dead centre, in order, evenly spaced over the cycle.
    """
    order = np.arange(len(bank))
    if layout == "split":
        return bank - bank[0] - 2.0 * np.pi * cycle_turns * order / len(bank)
    return np.pi * (order % 2) if layout == "opposed" else np.zeros(len(bank))


def crank_radius_for_stroke(stroke, rod_ratio, wrist_pin_offset=0.0):
    """Crank radius that gives a wanted stroke at a given rod ratio and wrist-pin offset.

    Parameters
    ----------
    stroke : float or (...) array [m]
        Wanted stroke.
    rod_ratio : float or (...) array [1]
        Rod length over crank radius.
    wrist_pin_offset : float or (...) array [m]
        Lateral place of the cylinder line.

    Returns
    -------
    (...) array [m]
        Crank radius; half the stroke when the offset is zero.

    Valid: the rod must pass over the dead centres, rod length - crank radius > offset.
    Source: S = sqrt((L + r)^2 - e^2) - sqrt((L - r)^2 - e^2), solved for r with L = rod_ratio r.

    Examples
    --------
    >>> float(crank_radius_for_stroke(0.069, 3.5))
    0.0345
    """
    n2, relative = np.square(rod_ratio), np.square(2.0 * np.divide(wrist_pin_offset, stroke))
    root = np.sqrt((n2 + 1.0) ** 2 - 4.0 * n2 * (1.0 + relative))
    return stroke * np.sqrt((n2 + 1.0 + root) / (8.0 * n2))


def top_dead_centre(drive):
    """Crank angle at which each piston is farthest out.

    Parameters
    ----------
    drive : SliderCrank [-]
        The drive.

    Returns
    -------
    (..., K) array [rad]
        Bank angle less pin angle, plus the small turn that a wrist-pin offset brings.

    Valid: any offset that lets the crank turn.
    Source: rod and crank in one line, sin(phi) = e / (L + r).
    """
    turn = np.arcsin(drive.wrist_pin_offset / (np.asarray(drive.rod_length) + drive.crank_radius))
    return np.asarray(drive.bank_angle, dtype=float) - drive.crankpin_angle + np.asarray(turn)[..., None]


def motion(drive, angle):
    """Exact motion of the pistons along their lines.

    Parameters
    ----------
    drive : SliderCrank [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    Motion [-]
        Position of the wrist pin from O along the line, velocity and acceleration, each (..., K, A).

    Valid: rigid parts, constant speed, rod longer than crank radius plus offset.
    Source: loop closure r e^(i phi) + L e^(-i beta) = x + i e, differentiated twice.
    """
    angle = np.asarray(angle, dtype=float)
    return Motion(angle, *_kinematics(drive, angle)[:3])


def rod_motion(drive, angle):
    """Lean of the connecting rod against its cylinder line, with its speed and acceleration.

    Parameters
    ----------
    drive : SliderCrank [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    lean : (..., K, A) array [rad]
        Lean beta, positive when the big end stands anticlockwise of the wrist pin.
    speed : (..., K, A) array [rad/s]
        Rate of change of the lean.
    acceleration : (..., K, A) array [rad/s2]
        Its rate of change.

    Valid: as ``motion``.
    Source: sin(beta) = (r sin(phi) - e) / L, differentiated twice.
    """
    _, _, _, sin_l, cos_l, rate, rate2, *_ = _kinematics(drive, np.asarray(angle, dtype=float))
    return np.arctan2(sin_l, cos_l), rate, rate2


def rigid_loads(drive, angle, gas_force, side="bore"):
    """Exact plane loads of rigid parts; the rod has its own mass, centre of gravity and inertia.

    Parameters
    ----------
    drive : SliderCrank [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Crank angle.
    gas_force : (..., K, A) array [N]
        Gas force on each piston, positive toward O.
    side : str [-]
        What carries the side thrust: ``bore`` (trunk piston) or ``crosshead`` (a guide in line with the wrist pin).

    Returns
    -------
    Loads [-]
        Channels gas, rod, pin, wrist, bore, main, frame, torque; ``bore`` is the side thrust of the trunk piston. With
        a crosshead the side thrust stands in ``guide``, with the same sign, and ``bore`` is zero.

    Raises
    ------
    InputError
        If ``side`` is neither of the two.

    Valid: rigid parts, constant speed, no friction, no gravity.
    Source: Newton and Euler for piston and rod; reproduced by Lagrange multipliers in tests/machine/test_multibody.py.
    """
    if side not in ("bore", "crosshead"):
        raise InputError("side", side, "not one of bore, crosshead", nearest="bore")
    angle = np.asarray(angle, dtype=float)
    from vmech_core.machine.batch import in_blocks  # not needed for motion

    return in_blocks(partial(_loads, side=side), drive, PER_CYLINDER, angle, gas_force)


def _loads(drive, angle, gas, side):
    _, _, acceleration, sin_l, cos_l, _, rate2, cos_p, sin_p, cg_x, cg_y = _kinematics(drive, angle)
    length, rod_mass, cg = column(drive.rod_length, 2), column(drive.rod_mass, 1), column(drive.rod_cg, 2)
    wrist_x = gas + column(drive.piston_mass, 1) * acceleration
    rod_x, rod_y = rod_mass * cg_x, rod_mass * cg_y
    euler = (column(drive.rod_inertia, 1) / length) * rate2 - cg * (cos_l * rod_y + sin_l * rod_x)
    wrist_y = (euler - sin_l * wrist_x) / cos_l
    pin_x, pin_y = -(wrist_x + rod_x), -(wrist_y + rod_y)
    turning = np.sum(cos_p * pin_y - sin_p * pin_x, axis=-2)
    along = np.exp(1j * np.asarray(drive.bank_angle))[..., None]  # from the axes of a cylinder to those of the plane
    on_pin = (pin_x + 1j * pin_y) * along
    own = column(drive.crank_moment, 1) * column(drive.speed, 1) ** 2 * np.exp(1j * angle)
    main = on_pin.sum(axis=-2) + own
    frame = main + np.sum((gas + 1j * wrist_y) * along, axis=-2)
    channels = {"gas": gas, "rod": -pin_x, "pin": on_pin, "wrist": wrist_x + 1j * wrist_y, "bore": -wrist_y,
                "main": main, "frame": frame, "torque": column(drive.crank_radius, 1) * turning}
    if side == "bore":
        return Loads(angle, channels, "rigid parts; the bore carries the side thrust")
    channels |= {"bore": np.broadcast_to(0.0, wrist_y.shape), "guide": -wrist_y}
    return Loads(angle, channels, "rigid parts; the guide of the crosshead carries the side thrust, the bore none")


def effective_inertia(drive, angle):
    """Moment of inertia of rods and pistons as the crank feels it; it changes with the angle.

    Parameters
    ----------
    drive : SliderCrank [-]
        One drive.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    (A,) array [kg m2]
        Twice the kinetic energy over the squared crank speed; the crank itself and a flywheel come on top.

    Valid: rigid parts.
    Source: kinetic energy; a rod is two masses at its ends and an inertia I - m c (1 - c) L^2 (c: place of its centre
        of gravity), which is exact.

    Examples
    --------
    >>> one = one_cylinder(0.08, 1e6, 1.0)
    >>> bool(np.allclose(effective_inertia(one, np.array([0.0, np.pi / 2])), [0.0, 0.0016]))
    True
    """
    unit = replace(drive, speed=1.0)
    cg, rod, per = drive.rod_cg, column(drive.rod_mass, 1), (column(drive.piston_mass, 1), column(drive.rod_inertia, 1))
    leaning = per[1] - rod * cg * (1.0 - cg) * drive.rod_length**2
    along = (per[0] + cg * rod) * motion(unit, angle).velocity ** 2
    return (along + (1.0 - cg) * rod * drive.crank_radius**2 + leaning * rod_motion(unit, angle)[1] ** 2).sum(axis=-2)


def body_speeds(drive, angle):
    """Absolute speeds at which the bodies of the drive turn.

    Parameters
    ----------
    drive : SliderCrank [-]
        One drive.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    dict of str to (A,) or (K, A) array [rad/s]
        Bodies ``crank``, ``block``, ``piston`` (A,); ``rod`` (K, A), which swings.

    Valid: rigid parts, constant speed.
    Source: ``rod_motion``.
    """
    rest, turning = np.zeros(np.shape(angle)), np.full(np.shape(angle), float(drive.speed))
    return {"crank": turning, "block": rest, "piston": rest, "rod": -rod_motion(drive, angle)[1]}


def contacts(drive, diameters, side="bore"):
    """Rubbing pairs of the drive, with their greatest rubbing speeds.

    Parameters
    ----------
    drive : SliderCrank [-]
        One drive.
    diameters : dict of str to float [m]
        Of ``crankpin``, ``wrist_pin`` and ``main_bearing``.
    side : str [-]
        ``bore`` or ``crosshead``, as in ``rigid_loads``.

    Returns
    -------
    list of Contact [-]
        Crankpins, wrist pins, main bearings, skirts or crossheads, piston rings.

    Valid: rigid parts, constant speed.
    Source: relative speeds by differentiation over one turn.
    """
    rubs = ("bore", "piston skirt in bore") if side == "bore" else ("guide", "crosshead in guide")
    angle = np.linspace(0.0, 2.0 * np.pi, 721)
    swing = np.abs(rod_motion(drive, angle)[1]).max()
    slide = np.abs(motion(drive, angle).velocity).max()
    speed, cylinders = abs(float(drive.speed)), len(drive.bank_angle)
    return [Contact("crankpin", "rod big end on crankpin", "journal", "pin", cylinders,
                    0.5 * diameters["crankpin"] * (speed + swing), note="the rod swings", bodies=("crank", "rod")),
            Contact("wrist_pin", "wrist pin", "journal", "wrist", cylinders, 0.5 * diameters["wrist_pin"] * swing,
                    note="it swings, it never turns over", bodies=("piston", "rod")),
            Contact("main_bearing", "main journal in block", "journal", "main", 2,
                    0.5 * diameters["main_bearing"] * speed, bodies=("crank", "block")),
            Contact(*rubs, kind="sliding", channel=rubs[0], count=cylinders, speed=slide),
            Contact("rings", "piston rings in bore", "rings", "gas", cylinders, slide)]


def _kinematics(drive, angle):
    """Position, velocity, acceleration, lean (sine, cosine, rate, rate of rate), pin direction, rod cg acceleration."""
    turn = np.asarray(drive.crankpin_angle, dtype=float) - drive.bank_angle
    cos_d, sin_d, cos_t, sin_t = np.cos(turn)[..., None], np.sin(turn)[..., None], np.cos(angle), np.sin(angle)
    cos_p, sin_p = cos_t * cos_d - sin_t * sin_d, sin_t * cos_d + cos_t * sin_d
    radius, length, speed = (column(v, 2) for v in (drive.crank_radius, drive.rod_length, drive.speed))
    sin_l = (radius / length) * sin_p - column(drive.wrist_pin_offset, 2) / length
    cos_l = np.sqrt(1.0 - sin_l * sin_l)
    rate = (radius * speed / length) * cos_p / cos_l
    pull = radius * speed * speed
    rate2 = (sin_l * rate * rate - (pull / length) * sin_p) / cos_l
    lean_x, lean_y = cos_l * rate * rate + sin_l * rate2, cos_l * rate2 - sin_l * rate * rate
    position = radius * cos_p + length * cos_l
    velocity = -(radius * speed) * sin_p - length * sin_l * rate
    acceleration = -pull * cos_p - length * lean_x
    cg = column(drive.rod_cg, 2) * length
    cg_x, cg_y = -pull * cos_p - cg * lean_x, -pull * sin_p - cg * lean_y
    return position, velocity, acceleration, sin_l, cos_l, rate, rate2, cos_p, sin_p, cg_x, cg_y
