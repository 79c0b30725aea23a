"""Outlines of the mechanism as complex points in metres: the one source for plots, panels and pictures.

An outline is a polyline; a NaN lifts the pen. O is at zero, bank angle 0 is the real axis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vmech_core.gears import outline
from vmech_core.machine.train import pin_path

UP = complex(np.nan, np.nan)
_CIRCLE = np.exp(1j * np.linspace(0.0, 2.0 * np.pi, 91))


@dataclass(frozen=True)
class Part:
    """One part of the mechanism, in place.

    Attributes
    ----------
    name : str [-]
        Part name of the notation page: ring gear, carrier, crank, pinion, piston rod, piston, guide, bore.
    outline : (P,) complex array [m]
        Its outline; NaN lifts the pen.
    fixed : bool [-]
        True if it belongs to the frame.
    """

    name: str
    outline: np.ndarray
    fixed: bool = False


def circle(centre, radius):
    """Outline of a circle.

    Parameters
    ----------
    centre : complex [m]
        Its centre.
    radius : float [m]
        Its radius.

    Returns
    -------
    (91,) complex array [m]
        Closed outline.
    """
    return centre + radius * _CIRCLE


def box(start, end, width):
    """Outline of a bar between two points.

    Parameters
    ----------
    start : complex [m]
        Middle of one end.
    end : complex [m]
        Middle of the other end.
    width : float [m]
        Width across.

    Returns
    -------
    (5,) complex array [m]
        Closed outline.
    """
    side = 0.5j * width * (end - start) / abs(end - start)
    return np.array([start + side, end + side, end - side, start - side, start + side])


def rolling_circles(angle, ring_radius, tooth_ratio, pin_radius, phase=0.0, bank_angle=0.0, marks=12):
    """The train as two rolling circles, for any tooth ratio, with the arm, the pin and marks that show the turning.

    Parameters
    ----------
    angle : float [rad]
        Carrier angle.
    ring_radius : float [m]
        Pitch radius of the ring.
    tooth_ratio : float [1]
        Ring teeth over pinion teeth.
    pin_radius : float [m]
        Distance of the pin from the crank axis.
    phase : float [rad]
        Error of the pin's angular place on the crank.
    bank_angle : float [rad]
        Cylinder line.
    marks : int [1]
        Marks on the rim of the rolling circle.

    Returns
    -------
    dict of str to complex array [m]
        Outlines ``rolling circle``, ``carrier arm``, ``crank arm``, ``pin``.
    """
    pinion = ring_radius / tooth_ratio
    arm = ring_radius - pinion
    centre = arm * np.exp(1j * angle)
    pin = pin_path(angle, arm, pin_radius, tooth_ratio, phase, bank_angle)
    turned = bank_angle + (1.0 - tooth_ratio) * (angle - bank_angle)
    turn = np.exp(1j * (turned + 2.0 * np.pi * np.arange(marks) / marks))
    ticks = np.stack([centre + 0.9 * pinion * turn, centre + pinion * turn, np.full(marks, UP)], axis=-1).ravel()
    return {
        "rolling circle": np.concatenate([circle(centre, pinion), [UP], ticks]),
        "carrier arm": np.array([0.0, centre]),
        "crank arm": np.array([centre, pin]),
        "pin": np.array([pin]),
    }


def rolling_path(ring_radius, tooth_ratio, pin_radius, phase=0.0, bank_angle=0.0, turns=1.0, samples=721):
    """Path of the pin over some turns of the carrier.

    Parameters
    ----------
    ring_radius : float [m]
        Pitch radius of the ring.
    tooth_ratio : float [1]
        Ring teeth over pinion teeth.
    pin_radius : float [m]
        Distance of the pin from the crank axis.
    phase : float [rad]
        Error of the pin's angular place on the crank.
    bank_angle : float [rad]
        Cylinder line.
    turns : float [1]
        Carrier turns.
    samples : int [1]
        Points per call.

    Returns
    -------
    (samples,) complex array [m]
        The path.
    """
    pinion = ring_radius / tooth_ratio
    angle = np.linspace(0.0, 2.0 * np.pi * turns, samples)
    return pin_path(angle, ring_radius - pinion, pin_radius, tooth_ratio, phase, bank_angle)


def machine(design, angle):
    """All parts of a straight-line drive, seen along the crank axis, at one carrier angle; a dot marks each pin's axis.

    Parameters
    ----------
    design : Design [-]
        The design.
    angle : float [rad]
        Carrier angle.

    Returns
    -------
    list of Part [-]
        Frame parts first, then moving parts from back to front.

    Valid: shapes of rods, pistons and guides are schematic; gear teeth are the true outlines.
    """
    stroke, rods = design.cylinders.si.stroke, []
    parts = [Part("ring gear", outline.ring_outline(design.pair), True),
             Part("crankcase", circle(0.0, 0.62 * stroke), True)]
    for bank in design.cylinders.si.bank_angle:
        frame, moving = _cylinder(design, bank, angle)
        parts += frame
        rods += moving
    seat = circle(0.25 * stroke * np.exp(1j * angle), 0.5 * design.crank.si.journal_diameter)
    turned = outline.place_pinion(design.pair, outline.pinion_outline(design.pair), angle)
    return [*parts, Part("carrier", circle(0.0, 0.45 * stroke)), Part("carrier", seat), Part("pinion", turned), *rods]


def _cylinder(design, bank, angle):
    """Bore and guide (frame), rod and piston (moving) of one cylinder line."""
    line, cylinder, guide, crank = np.exp(1j * bank), design.cylinders.si, design.guide.si, design.crank.si
    place = 0.5 * cylinder.stroke * np.cos(angle - bank)
    crown, height = place + guide.rod_length, guide.piston_length
    top, low = 0.5 * cylinder.stroke + guide.rod_length, -0.5 * cylinder.stroke + guide.rod_length - height
    middle = 0.5 * cylinder.stroke + 0.75 * crank.pin_diameter + 0.5 * guide.length
    slot = middle + np.array([-0.5, 0.5]) * guide.length
    frame = [Part("bore", _walls(line, np.array([low, top + 0.004]), 0.5 * cylinder.bore), True),
             Part("guide", _walls(line, slot, 0.5 * guide.rod_diameter * 1.15), True)]
    eye = place * line
    moving = [
        Part("piston rod", box(line * (place + 0.7 * crank.pin_diameter), line * (crown - height), guide.rod_diameter)),
        Part("piston rod", circle(eye, 0.75 * crank.pin_diameter)),
        Part("crankpin", circle(eye, 0.16 * crank.pin_diameter)),
        Part("piston rod", circle(eye, 0.5 * crank.pin_diameter)),
        Part("piston", box(line * (crown - height), line * crown, 0.97 * cylinder.bore)),
    ]
    return frame, moving


def _walls(line, along, beside):
    """Two walls beside a cylinder line."""
    return line * np.concatenate([along + 1j * beside, [UP], along - 1j * beside])


def anchors(design, angle):
    """Points to which part names may point, one per kind of part.

    Parameters
    ----------
    design : Design [-]
        The design.
    angle : float [rad]
        Carrier angle.

    Returns
    -------
    list of tuple [-]
        Part name and point (complex, m).
    """
    stroke, guide, crank = design.cylinders.si.stroke, design.guide.si, design.crank.si
    banks = design.cylinders.si.bank_angle
    radius, first, last = 0.25 * stroke, np.exp(1j * banks[0]), np.exp(1j * banks[-1])
    near, far = (0.5 * stroke * np.cos(angle - bank) for bank in (banks[0], banks[-1]))
    middle = 0.5 * stroke + 0.75 * crank.pin_diameter + 0.5 * guide.length
    centre = radius * np.exp(1j * angle)
    return [
        ("ring gear, fixed", 0.56 * stroke * np.exp(1j * (banks[0] - 1.9))),
        ("piston", first * (near + guide.rod_length - 0.5 * guide.piston_length)),
        ("carrier, turns at $+\\omega$", 0.38 * stroke * np.exp(1j * (angle + np.pi))),
        ("guide", first * (middle - 0.55j * guide.rod_diameter)),
        ("main axis O", 0j),
        ("pinion on the crank, turns at $-\\omega$", centre + 0.9 * radius * np.exp(1j * angle)),
        ("crankpin and big end", last * far),
        ("piston rod", first * (near + 0.5 * (guide.rod_length - guide.piston_length + 0.75 * crank.pin_diameter))),
    ]
