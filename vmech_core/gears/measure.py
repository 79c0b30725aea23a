"""What a workshop measures on cut teeth, how backlash follows the centre distance, and what a grade allows.

Every size is that of the teeth as drawn, so the backlash allowance of the pair is in it; that of the teeth before the
allowance is found from the same pair with ``backlash=0``.
"""

import numpy as np

from vmech_core.base import Estimate, refuse
from vmech_core.gears.involute import inverse_involute, involute
from vmech_core.gears.mesh import mesh_stiffness

#: Diameter of the measuring pins in modules for pinion and ring: a gear maker's usual choice.
PINS = (1.75, 1.65)


def span(pair, teeth=None):
    """Span of the pinion over some of its teeth, between two parallel faces.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    teeth : int or None [1]
        Teeth within the span; None takes those that put the contact nearest to half the height of the flank.

    Returns
    -------
    length : float or (...) array [m]
        The span.
    teeth : int or (...) array [1]
        Teeth within it.

    Valid: where both faces meet the involute. A ring is measured between pins.
    Source: Elements of Metric Gear Technology (SDP/SI), section 10; derived again here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> length, teeth = span(InternalPair(0.003, 24, 48, pinion_shift=0.4, ring_shift=0.4), 4)
    >>> print(f"{1e3 * length:.4f} mm over {teeth} teeth")
    32.8266 mm over 4 teeth
    """
    thick, pitch = 2 * pair.pinion_base_radius * pair.pinion_half_angle, pair.base_pitch
    middle = 0.5 * (np.maximum(pair.pinion_form, 0) + pair.contact_end)
    if teeth is None:
        teeth = np.maximum(np.round((2 * middle - thick) / pitch) + 1, 2).astype(int)
    return (np.subtract(teeth, 1) * pitch + thick)[()], teeth


def over_pins(pair, pin=None, ring=False):
    """Size over two pins in opposite spaces of the pinion, or between two pins in those of the ring.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    pin : float or (...) array or None [m]
        Diameter of the pins; None takes 1.75 modules for the pinion, 1.65 for the ring.
    ring : bool [-]
        True for the ring.

    Returns
    -------
    size : float or (...) array [m]
        Over the pins, or between them; with an odd number of teeth in the spaces nearest to opposite.
    contact : float or (...) array [m]
        Radius at which the pins touch the flanks; it should lie between tip and form circle.

    Raises
    ------
    InputError
        If the pins are too thick for the ring, or so thin that they fall through to the base circle of the pinion.

    Valid: pins that touch the involutes and not the root.
    Source: Elements of Metric Gear Technology (SDP/SI), section 10; derived again here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{1e3 * over_pins(InternalPair(0.001, 20, 40), 0.0017)[0]:.4f} mm")
    22.2941 mm
    """
    pin = PINS[ring] * pair.module if pin is None else pin
    teeth, base = (pair.ring_teeth, pair.ring_base_radius) if ring else (pair.pinion_teeth, pair.pinion_base_radius)
    half = pair.ring_half_angle if ring else np.pi / teeth - pair.pinion_half_angle
    side = -1.0 if ring else 1.0
    value = side * (0.5 * np.divide(pin, base) - half)
    words = f"too {'thick' if ring else 'thin'} to touch the flanks of the teeth"
    refuse(~np.greater(value, 0), "pin", pin, words, "m")
    angle = inverse_involute(value)
    middle = base / np.cos(angle)
    across = 2 * middle * np.where(np.equal(np.mod(teeth, 2), 1), np.cos(np.pi / 2 / np.asarray(teeth)), 1.0)
    contact = np.hypot(base, base * np.tan(angle) - side * 0.5 * pin)
    return (across + side * pin)[()], contact


def chordal(pair, ring=False):
    """Thickness of a tooth along the chord of its reference circle, for a tooth calliper.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    ring : bool [-]
        True for a tooth of the ring.

    Returns
    -------
    thickness : float or (...) array [m]
        Chord.
    height : float or (...) array [m]
        From the chord to the tip, along the middle of the tooth.

    Valid: teeth that reach their reference circle.
    Source: Elements of Metric Gear Technology (SDP/SI), table 10-1; for the ring derived here.
    """
    turn = involute(pair.pressure_angle)
    half = np.pi / pair.ring_teeth - pair.ring_half_angle + turn if ring else pair.pinion_half_angle - turn
    radius, tip, side = ((pair.ring_radius, pair.ring_tip_radius, -1.0) if ring else
                         (pair.pinion_radius, pair.pinion_tip_radius, 1.0))
    return 2 * radius * np.sin(half), side * (tip - radius * np.cos(half))


def backlash_at(pair, moved=0.0, growth=0.0):
    """Backlash of a pair whose axes have moved or whose gears have grown.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair as drawn.
    moved : float or (...) array [m]
        Change of the centre distance; bearing play moves it either way.
    growth : float or (...) array [1]
        Relative growth of the ring less that of the pinion, from their temperatures.

    Returns
    -------
    float or (...) array [m]
        Along the working pitch circle of the drawing; negative: the teeth would overlap.

    Raises
    ------
    InputError
        If the axes are so near to each other that the base circles overlap.

    Valid: true involutes; a growth that is small against 1 (the ring's size changes by it, the pinion's does not).
    Source: involutes at another centre distance keep their base circles; derived here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> print(f"{1e6 * backlash_at(InternalPair(0.0015, 23, 46, backlash=60e-6), 10e-6):.2f} um")
    52.70 um
    """
    inner, outer = pair.pinion_base_radius, pair.ring_base_radius * (1.0 + np.asarray(growth))
    distance = pair.centre_distance + np.asarray(moved)
    cosine = (outer - inner) / distance
    refuse(~np.less_equal(cosine, 1), "centre distance", distance, "so short that the base circles overlap", "m")
    gap = outer * pair.ring_half_angle - inner * pair.pinion_half_angle - (outer - inner) * involute(np.arccos(cosine))
    return 2 * gap / np.cos(pair.working_angle)


def deviations(module, diameter, face_width, grade):
    """Deviations of the flanks that a grade allows.

    Parameters
    ----------
    module : float or (...) array [m]
        Module.
    diameter : float or (...) array [m]
        Reference diameter.
    face_width : float or (...) array [m]
        Face width.
    grade : int or (...) array [1]
        Grade of ISO 1328; the standard ends at 11, a 12 goes on by the same factor.

    Returns
    -------
    dict of str to float or (...) array [m]
        ``single pitch``, ``total pitch``, ``profile``, ``helix`` and the parts of the last two by slope and form.

    Valid: module 0.5 to 70 mm, diameter 5 mm to 15 m, face 4 mm to 1.2 m, 5 to 1000 teeth; not rounded.
    Source: ISO 1328-1:2013, formulas of grade 5 times the root of 2 for each grade (from memory); the edition of 1995
        allows up to 12 % less for profile and helix.
    """
    m, d, b = (1e3 * np.asarray(value, dtype=float) for value in (module, diameter, face_width))
    step = 1e-6 * np.sqrt(2.0) ** (np.asarray(grade) - 5.0)
    found = {"single pitch": 0.001 * d + 0.4 * m + 5.0,
             "total pitch": 0.002 * d + 0.55 * np.sqrt(d) + 0.7 * m + 12.0,
             "profile slope": 0.4 * m + 0.001 * d + 4.0, "profile form": 0.55 * m + 5.0,
             "helix slope": 0.05 * np.sqrt(d) + 0.35 * np.sqrt(b) + 4.0,
             "helix form": 0.07 * np.sqrt(d) + 0.45 * np.sqrt(b) + 4.0}
    for name in ("profile", "helix"):
        found[name] = np.hypot(found[f"{name} slope"], found[f"{name} form"])
    return {name: (step * value)[()] for name, value in found.items()}


def tip_relief(force, face_width, pitch_error, moduli=(206e9, 206e9)):
    """Tip relief that a mesh asks for at its peak load, so that the next pair does not meet with its edge.

    Parameters
    ----------
    force : float or (...) array [N]
        Greatest force of the mesh along the line of action.
    face_width : float or (...) array [m]
        Face width that carries.
    pitch_error : float or (...) array [m]
        Single pitch deviation that the grade allows.
    moduli : tuple of float [Pa]
        Young's moduli of pinion and ring.

    Returns
    -------
    Estimate [m]
        Deflection of the mesh plus that deviation; where the deflection is below the deviation alone, relief is for
        the errors of cutting, not for the load.

    Valid: relief at the tips of both gears, shared by half; even contact along the face.
    Source: H. Walker, Gear tooth deflection and profile modification, The Engineer (1938): relief equals deflection
        under load plus error of pitch (from memory); deflection by the range of ``mesh_stiffness``.
    """
    stiff = mesh_stiffness(face_width, *moduli)
    parts = (force / np.asarray(way) + pitch_error for way in (stiff.high, stiff.likely, stiff.low))
    return Estimate(*parts, "m", "deflection at peak load plus single pitch deviation (Walker 1938, from memory)")
