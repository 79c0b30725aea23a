"""The scotch yoke to compare with: a pin on an ordinary crank slides in a slot across the piston rod.

Theta is the crank angle, r = stroke / 2 the crank radius. In the axes of cylinder k (real axis outward along its line)
the pin stands at r e^(i phi), phi = theta + delta_k - alpha_k; the yoke takes its part along the line and lets it slide
across. Unlike in the straight-line drive, delta_k is free. Gravity and friction are left out.
"""


import numpy as np

from vmech_core.base.results import Contact, Loads, column, record
from vmech_core.machine import hypocycloid

PER_CYLINDER = ("bank_angle", "crankpin_angle", "reciprocating_mass")
#: Wall of the yoke around its slot, over the pin diameter; common practice, no source (0.2 to 0.375).
YOKE_WALL = 0.275


@record("stroke bank_angle crankpin_angle reciprocating_mass speed", crank_moment=0.0)
class ScotchYoke:
    """Dimensions and inertia of a scotch-yoke drive, or of a batch of them.

    Attributes
    ----------
    stroke : float or (...) array [m]
        Stroke, twice the crank radius.
    bank_angle : (..., K) array [rad]
        Direction of each cylinder line, outward, anticlockwise.
    crankpin_angle : (..., K) array [rad]
        Angle of each crankpin on the crank when theta = 0; free.
    reciprocating_mass : (..., K) array [kg]
        Piston with its rod and yoke, one rigid body.
    speed : float or (...) array [rad/s]
        Crank speed, constant, positive anticlockwise.
    crank_moment : complex or (...) complex array [kg m]
        Own mass moment of the crank about O (mass times vector) when theta = 0.
    """

def from_design(design, mass):
    """Scotch yoke with the bore, stroke, banks and speed of a design, all yokes on one common crankpin.

    Parameters
    ----------
    design : Design [-]
        The design.
    mass : dict of str to Estimate [kg]
        Masses by part, from ``masses.of_design``.

    Returns
    -------
    ScotchYoke [-]
        The drive with likely masses: piston and piston rod of the straight-line drive, with a steel yoke besides, whose
        walls around the slot are 0.275 pin diameters (the rod's eye is left in and stands for the boss). No
        counterweight. Other pins: ``dataclasses.replace``.

    Valid: a design that its own checks accept.
    Source: the design file; the same piston and rod are our assumption; walls common practice, no source.
    """
    moving = mass["piston"].likely + mass["piston_rod"].likely + _yoke_mass(design)
    ones, cylinders = np.ones(design.n_cylinders), design.cylinders.si
    return ScotchYoke(cylinders.stroke, cylinders.bank_angle, 0.0 * ones, moving * ones, design.duty.si.speed)


def _yoke_mass(design):
    """Likely mass of a yoke: a closed steel frame around a slot as long as stroke and pin diameter together.

    The pin is that of the planet crank and runs in the slot without a sliding block.
    """
    from vmech_core.machine import masses  # not needed for motion

    pin, width = design.crank.si.pin_diameter, design.crank.si.pin_length
    slot = design.cylinders.si.stroke + pin
    return ((slot + 2.0 * YOKE_WALL * pin) * (1.0 + 2.0 * YOKE_WALL) * pin - slot * pin) * width * masses.STEEL


def firing_angles(design, drive):
    """Crank angle at which each cylinder stands at its firing dead centre.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : ScotchYoke [-]
        Its drive.

    Returns
    -------
    (K,) array [rad]
        Top dead centre plus the whole turns of delay that the design file states.

    Valid: all yokes on one pin, as ``from_design`` makes them; for other pins the delays have to be chosen anew.
    Source: x = (S/2) cos(theta + delta - alpha).
    """
    return top_dead_centre(drive) + 2.0 * np.pi * np.asarray(design.duty.firing_turn)


def top_dead_centre(drive):
    """Crank angle at which each piston is farthest out.

    Parameters
    ----------
    drive : ScotchYoke [-]
        The drive.

    Returns
    -------
    (..., K) array [rad]
        Bank angle less pin angle.

    Valid: a straight slot at right angles to the cylinder line through O.
    Source: x = (S/2) cos(theta + delta - alpha).
    """
    return np.asarray(drive.bank_angle, dtype=float) - drive.crankpin_angle


def motion(drive, angle):
    """Exact motion of the yokes, and so of the pistons, along their lines.

    Parameters
    ----------
    drive : ScotchYoke [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    Motion [-]
        Position of the middle of the slot from O, velocity and acceleration, each (..., K, A).

    Valid: rigid parts, constant speed, a straight slot at right angles to the cylinder line through O.
    Source: x = (S/2) cos(theta + delta - alpha), the pin's place along the line.
    """
    turned, mass = top_dead_centre(drive), drive.reciprocating_mass
    return hypocycloid.motion(hypocycloid.HypocycloidDrive(drive.stroke, turned, mass, drive.speed, 0.0), angle)


def rigid_loads(drive, angle, gas_force):
    """Exact plane loads of rigid parts.

    The slot takes force along the cylinder line only, so no net side force acts on a yoke. But the pin presses beside
    the line, at r sin(phi), and would turn the yoke clockwise; the guides hold it by a couple Q r sin(phi).

    Parameters
    ----------
    drive : ScotchYoke [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Crank angle.
    gas_force : (..., K, A) array [N]
        Gas force on each piston, positive toward O.

    Returns
    -------
    Loads [-]
        Channels gas, rod, pin, guide_couple, main, frame, torque.

    Valid: rigid parts, constant speed, no friction, no gravity.
    Source: Newton and Euler for yoke and crank; reproduced by Lagrange multipliers in tests/machine/test_multibody.py.
    """
    from vmech_core.machine.batch import in_blocks  # not needed for motion

    return in_blocks(_loads, drive, PER_CYLINDER, np.asarray(angle, dtype=float), gas_force)


def _loads(drive, angle, gas):
    spin = np.exp(1j * angle)
    cos_phi, sin_phi = hypocycloid._cos_sin(top_dead_centre(drive), spin)
    half, speed2 = 0.5 * column(drive.stroke, 2), column(drive.speed, 2) ** 2
    rod = gas - (column(drive.reciprocating_mass, 1) * half * speed2) * cos_phi
    couple = (half * rod) * sin_phi
    along = np.exp(1j * np.asarray(drive.bank_angle))[..., None]
    own = column(drive.crank_moment, 1) * column(drive.speed, 1) ** 2 * spin
    main = own - (rod * along).sum(axis=-2)
    channels = {"gas": gas, "rod": rod, "pin": -rod * along, "guide_couple": couple, "main": main,
                "frame": main + (gas * along).sum(axis=-2), "torque": couple.sum(axis=-2)}
    return Loads(angle, channels, "rigid parts; no net side force, the guides hold each yoke by a couple")


def body_speeds(drive, angle):
    """Absolute speeds at which the bodies of the drive turn.

    Parameters
    ----------
    drive : ScotchYoke [-]
        One drive.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    dict of str to (A,) or (K, A) array [rad/s]
        Bodies ``crank`` and ``block``; no other body turns.

    Valid: rigid parts, constant speed.
    Source: the yokes slide.
    """
    return {"crank": np.full(np.shape(angle), float(drive.speed)), "block": np.zeros(np.shape(angle))}


def contacts(drive, diameters):
    """Rubbing pairs of the drive, with their greatest rubbing speeds.

    Parameters
    ----------
    drive : ScotchYoke [-]
        One drive.
    diameters : dict of str to float [m]
        Of the pin in its ``slot`` and of ``main_bearing``.

    Returns
    -------
    list of Contact [-]
        Pins in slots, guides (two bearings to each yoke), main bearings, piston rings.

    Valid: rigid parts, constant speed; the pin runs in the slot without a sliding block. Its surface moves against the
        slot by its travel across the line, r omega cos(phi), and by its own turning, d omega / 2.
    Source: relative speeds by differentiation.
    """
    speed, cylinders = abs(float(drive.speed)), len(drive.bank_angle)
    slide, turns = 0.5 * float(drive.stroke) * speed, 0.5 * speed
    note = "travel across the line and turning of the pin added; a block or roller divides them"
    return [Contact("slot", "crankpin in slot", "sliding", "pin", cylinders, slide + diameters["slot"] * turns, note),
            Contact("guide", "yoke in guide", "sliding", "guide_couple", 2 * cylinders, slide,
                    note="pressed by couple over guide span"),
            Contact("main_bearing", "main journal in block", "journal", "main", 2,
                    diameters["main_bearing"] * turns, bodies=("crank", "block")),
            Contact("rings", "piston rings in bore", "rings", "gas", cylinders, slide)]


def across(drive, angle):
    """Speed at which each pin, or the block on it, slides along its slot.

    Parameters
    ----------
    drive : ScotchYoke [-]
        The drive, or a batch.
    angle : (A,) array [rad]
        Crank angle.

    Returns
    -------
    (..., K, A) array [m/s]
        r omega cos(phi).

    Valid: rigid parts, constant speed.
    Source: derivative of r sin(phi), the pin's place across the line.
    """
    return column(drive.speed, 2) * motion(drive, angle).position
