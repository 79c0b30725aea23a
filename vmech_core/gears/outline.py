"""True outlines of pinion and ring as complex points: one source for drawings, the form factor and overlap tests.

Each gear's outline lies about its own axis; a pinion tooth and a ring space are centred on the real axis, so that the
gears are in mesh once the pinion is moved by the centre distance (``place_pinion`` at carrier angle 0).
"""

import numpy as np

from vmech_core.base.errors import InputError


def pinion_flank(pair, points=40):
    """Lower half of a pinion tooth, from the middle of the root to the tip corner.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    points : int [1]
        Points on the involute, and again on the fillet.

    Returns
    -------
    (P,) complex array [m]
        Points about the pinion's axis, tooth centred on the positive real axis; its fillet is the trochoid that the
        rounded tip of a rack tool cuts, undercut included.

    Raises
    ------
    InputError
        If the flanks of the tool meet before its tip.

    Valid: tooth not pointed; without backlash the involute starts at the tool's true form circle.
    Source: rack generation derived here; relations as in Elements of Metric Gear Technology (SDP/SI), section 4.
    """
    low, start = _trochoid(pair, points)
    rolls = np.linspace(start, pair.contact_end, points)
    flank = involute_points(pair.pinion_base_radius, pair.pinion_half_angle, rolls)
    middle = pair.pinion_root_radius * np.exp(-1j * np.pi / pair.pinion_teeth)
    return _distinct(np.concatenate([[middle], low, flank]))


def ring_flank(pair, points=40):
    """Lower half of a ring space, from the tip corner of the ring tooth to the middle of the root.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    points : int [1]
        Points on the involute.

    Returns
    -------
    (P,) complex array [m]
        Points about the ring's axis, space centred on the positive real axis. A tip inside the base circle is drawn
        with a radial line.

    Raises
    ------
    InputError
        If the flanks meet before the root.

    Valid: involute with a circular fillet tangent to flank and root; a pinion-type cutter leaves a slightly other one.
    Source: derived here.
    """
    base, tip, radius = pair.ring_base_radius, pair.ring_tip_radius, pair.ring_fillet
    if np.isnan(radius):
        raise InputError("ring_dedendum", pair.ring_dedendum, "too deep: the flanks meet before the root", "modules")
    start, gap = np.sqrt(max(tip**2 - base**2, 0.0)), pair.base_gap
    flank = involute_points(base, pair.ring_half_angle, np.linspace(start, pair.ring_form + gap, points))
    roll = pair.ring_form + gap - radius
    centre = np.hypot(base, roll) * np.exp(-1j * (pair.ring_half_angle - _roll_angle(roll, base) - radius / base))
    arc = centre + radius * np.exp(1j * np.linspace(np.angle(flank[-1] - centre), np.angle(centre), 12))
    lead = [tip * np.exp(-1j * pair.ring_half_angle)] if tip < base else []
    return _distinct(np.concatenate([lead, flank, arc[1:], [pair.ring_root_radius]]))


def pinion_outline(pair, points=40):
    """Closed outline of the pinion.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    points : int [1]
        Points on each involute, and again on each fillet.

    Returns
    -------
    (P,) complex array [m]
        Corners of the polygon, anticlockwise, first one not repeated.

    Raises
    ------
    InputError
        If the flanks of the tool meet before its tip.

    Valid: as for pinion_flank.
    Source: derived here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> pair = InternalPair(0.0015, 23, 46)
    >>> bool(np.isclose(abs(pinion_outline(pair)).max(), pair.pinion_tip_radius))
    True
    """
    half = pinion_flank(pair, points)
    arc = _arc(half[-1], np.conj(half[-1]))
    return _repeat(np.concatenate([half, arc, np.conj(half[:0:-1])]), pair.pinion_teeth)


def ring_outline(pair, points=40):
    """Closed outline of the opening in the ring gear: its toothed inner edge.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    points : int [1]
        Points on each involute.

    Returns
    -------
    (P,) complex array [m]
        Corners of the polygon, anticlockwise, first one not repeated.

    Raises
    ------
    InputError
        If the flanks meet before the root.

    Valid: as for ring_flank.
    Source: derived here.

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> pair = InternalPair(0.0015, 23, 46)
    >>> bool(np.isclose(abs(ring_outline(pair)).min(), pair.ring_tip_radius))
    True
    """
    half = ring_flank(pair, points)
    space = np.concatenate([half, np.conj(half[-2::-1])])
    arc = _arc(space[-1], space[0] * np.exp(2j * np.pi / pair.ring_teeth))
    return _repeat(np.concatenate([space, arc]), pair.ring_teeth)


def place_pinion(pair, outline, carrier_angle):
    """Move points of the pinion into mesh with the fixed ring.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    outline : (P,) complex array [m]
        Points about the pinion's axis.
    carrier_angle : float or (...) array [rad]
        Angle of the carrier, anticlockwise.

    Returns
    -------
    (..., P) complex array [m]
        The points in the frame of the ring; teeth centred in the spaces, so backlash is shared by both flanks.

    Valid: exact rolling without slip of the working pitch circles.
    Source: derived here (at 2:1 the pinion turns by minus the carrier angle).

    Examples
    --------
    >>> from vmech_core.gears.geometry import InternalPair
    >>> pair = InternalPair(0.0015, 23, 46)
    >>> pin = place_pinion(pair, np.array([pair.centre_distance]), np.radians(60))
    >>> print(f"{1000 * pin[0].real:.3f} mm, {abs(1000 * pin[0].imag):.3f} mm")
    17.250 mm, 0.000 mm
    """
    angle = np.asarray(carrier_angle)[..., None]
    turn = angle * (pair.ring_teeth - pair.pinion_teeth) / pair.pinion_teeth
    return pair.centre_distance * np.exp(1j * angle) + np.asarray(outline) * np.exp(-1j * turn)


def _roll_angle(roll, base):
    """Polar angle from the start of the involute to the point that has the given length of tangent."""
    return roll / base - np.arctan(roll / base)


def involute_points(base, half_angle, rolls):
    """Points of an involute below the middle line of its tooth or space.

    Parameters
    ----------
    base : float [m]
        Base radius.
    half_angle : float [rad]
        Half of the tooth or space at the base circle.
    rolls : (P,) array [m]
        Length of the tangent to the base circle at each point.

    Returns
    -------
    (P,) complex array [m]
        Points about the axis of the gear.

    Valid: any involute.
    Source: definition of the involute.
    """
    return np.hypot(base, rolls) * np.exp(-1j * (half_angle - _roll_angle(rolls, base)))


def _arc(first, last):
    """Points between two corners along the circle about the axis, ends left out."""
    turn = np.angle(last / first)
    return first * np.exp(1j * turn * np.linspace(0, 1, 7)[1:-1])


def _distinct(points):
    """Leave out points that coincide with the one before, as where a fillet fills the root."""
    return points[np.concatenate([[True], np.abs(np.diff(points)) > 1e-9 * np.abs(points[1:])])]


def _repeat(tooth, teeth):
    return (np.exp(2j * np.pi * np.arange(teeth) / teeth)[:, None] * tooth).ravel()


def _trochoid(pair, points):
    """Root curve cut by the rounded rack tip, and the involute point (length of tangent) where it ends."""
    radius = pair.rack_radius
    if np.isnan(radius):
        words = "too deep: the tool's flanks meet before its tip"
        raise InputError("pinion_dedendum", pair.pinion_dedendum, words, "modules")
    reference, angle = pair.pinion_radius, pair.pressure_angle
    depth = reference - pair.pinion_root_radius - radius          # of the rounding's centre below the rolling line
    widening = pair.backlash / 4 * reference / pair.pinion_working_radius  # of the tool, for the backlash
    straight = pair.module * pair.pinion_dedendum - radius
    aside = np.pi * pair.module / 4 + widening - straight * np.tan(angle) - radius / np.cos(angle)
    slide = np.linspace(0, depth / np.tan(angle), max(points, 2) if pair.pinion_form >= 0 else 2000)
    centre = -depth + 1j * slide
    away = np.exp(1j * np.linspace(np.pi, np.pi / 2 + angle, len(slide))) if abs(depth) < 1e-12 * reference else (
        np.sign(depth) * centre / np.abs(centre))
    turn = (slide - aside) / reference + np.pi / pair.pinion_teeth
    curve = (reference + centre + radius * away) * np.exp(-1j * turn)
    if pair.pinion_form >= 0:
        return curve[:-1], pair.pinion_form
    return _cut_at_involute(pair, curve, points)


def _cut_at_involute(pair, curve, points):
    """Undercut: follow the root curve up to where it crosses the involute."""
    base = pair.pinion_base_radius
    rolls = np.sqrt(np.maximum(np.abs(curve) ** 2 - base**2, 0))
    carved = -np.angle(curve) < pair.pinion_half_angle - _roll_angle(rolls, base)
    inside = np.flatnonzero(carved & (rolls > 0))
    last = inside[-1] if len(inside) else np.flatnonzero(rolls == 0)[-1]
    keep = np.unique(np.linspace(0, last, points).astype(int))
    return curve[keep], rolls[last]
