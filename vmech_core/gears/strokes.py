"""From a wanted stroke to gear pairs that give it: the stroke picker, and the nearest pair if a stroke does not fit."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.results import Margin
from vmech_core.gears.geometry import MODULES_FIRST, InternalPair, contact_ratio
from vmech_core.gears.involute import STANDARD_ANGLE, shift_difference
from vmech_core.gears.screens import check_pair, longest_ring_addendum


@dataclass(frozen=True)
class StrokeOption:
    """One gear pair that gives, or nearly gives, a wanted stroke.

    Attributes
    ----------
    pair : InternalPair [-]
        The gear pair.
    stroke : float [m]
        Stroke it gives.
    shift_difference : float [1]
        Ring shift less pinion shift, in modules; 0 if the teeth alone give the stroke.
    contact_ratio : float [1]
        Contact ratio.
    margins : tuple of Margin [-]
        All screens of the pair.
    """

    pair: InternalPair
    stroke: float
    shift_difference: float
    contact_ratio: float
    margins: tuple[Margin, ...]

    @property
    def ok(self) -> bool:
        """True when the pair passes every screen."""
        return all(margin.ok for margin in self.margins)

    @property
    def reason(self) -> str:
        """Screens that fail, with value and limit; ``passes all screens`` if none does."""
        return "; ".join(_because(m) for m in self.margins if not m.ok) or "passes all screens"


def stroke_options(stroke, pressure_angle=STANDARD_ANGLE, modules=MODULES_FIRST, teeth=(10, 80), tolerance=1e-6,
                   most_shift=0.6, pinion_shift=None, ring_addendum=None, tip_thickness=0.2, radial_assembly=False,
                   **dimensions):
    """List gear pairs of the 2:1 straight-line drive for a wanted stroke, those that work first.

    Pairs whose teeth alone give the stroke need no shift difference. For the others the ring is shifted until the
    stroke is exact. Pairs that fail a screen are listed behind, with the reason.

    Parameters
    ----------
    stroke : float [m]
        Wanted stroke.
    pressure_angle : float [rad]
        Pressure angle of the basic rack.
    modules : tuple of float [m]
        Modules to try; ISO 54 series 1 by default.
    teeth : tuple of int [1]
        Least and greatest number of pinion teeth, from 5 on.
    tolerance : float [m]
        Difference up to which a stroke without shift difference counts as exact.
    most_shift : float [1]
        Greatest shift difference tried, either sign, in modules.
    pinion_shift : float or None [1]
        Profile shift of the pinion; None takes the smallest one, in steps of 0.05, that is free of undercut.
    ring_addendum : float or None [1]
        Tooth height of the ring; None takes the longest one, in steps of 0.05 up to 1, that clears the pinion's root.
    tip_thickness : float [1]
        Least tooth thickness at the tip circle in modules, as in check_pair.
    radial_assembly : bool [-]
        True to screen for trimming as well, as in check_pair.
    dimensions : float [-]
        Further fields of InternalPair, for example ``pinion_addendum=0.9``.

    Returns
    -------
    tuple of StrokeOption [-]
        Working pairs first, ordered by size of the shift difference (none first), then coarse teeth first.

    Raises
    ------
    InputError
        If the stroke is not positive.

    Valid: the screens of check_pair are geometry only; strength is a further question.
    Source: ISO 54:1996 for the modules; derived here.

    Examples
    --------
    >>> best = stroke_options(0.069)[0]
    >>> print(f"{1000 * best.pair.module:g} mm, {best.pair.pinion_teeth}/{best.pair.ring_teeth}, {best.reason}")
    1.5 mm, 23/46, passes all screens
    """
    if not stroke > 0:
        raise InputError("stroke", stroke, "not above 0", "m")
    found = []
    for module in modules:
        for number in range(max(teeth[0], 5), teeth[1] + 1):
            shift = _needed_shift(stroke, module, number, pressure_angle, tolerance)
            if abs(shift) <= most_shift:
                pair = _choose(module, number, pressure_angle, shift, pinion_shift, ring_addendum, dimensions)
                found.append(_option(pair, tip_thickness, radial_assembly))
    return tuple(sorted(found, key=lambda o: (not o.ok, abs(o.shift_difference), -o.pair.module)))


def nearest_option(pair, stroke, tip_thickness=0.2, radial_assembly=False):
    """Working pair nearest to a wanted stroke that differs from a given pair in tooth numbers only.

    Parameters
    ----------
    pair : InternalPair [-]
        Gear pair of a design; module, angle, shifts and tooth heights are kept.
    stroke : float [m]
        Stroke the design asks for.
    tip_thickness : float [1]
        Least tooth thickness at the tip circle in modules, as in check_pair.
    radial_assembly : bool [-]
        True to screen for trimming as well, as in check_pair.

    Returns
    -------
    StrokeOption or None [-]
        The pair with its stroke; None if no number of teeth from 5 to 200 passes the screens.

    Valid: 2:1 pairs.
    Source: derived here.

    Examples
    --------
    >>> near = nearest_option(InternalPair(0.0015, 23, 46, ring_addendum=0.8), 0.071)
    >>> print(f"{1000 * near.stroke:g} mm with {near.pair.pinion_teeth}/{near.pair.ring_teeth} teeth")
    72 mm with 24/48 teeth
    """
    others = [other for number in range(5, 201) if (other := _with_teeth(pair, number))]
    for other in sorted(others, key=lambda p: abs(p.stroke - stroke)):
        option = _option(other, tip_thickness, radial_assembly)
        if option.ok:
            return option
    return None


def shifted_option(pair, stroke, tip_thickness=0.2, radial_assembly=False):
    """The given pair with its ring shifted so that it gives a wanted stroke exactly.

    Parameters
    ----------
    pair : InternalPair [-]
        2:1 gear pair of a design; everything but the ring shift is kept.
    stroke : float [m]
        Stroke the design asks for.
    tip_thickness : float [1]
        Least tooth thickness at the tip circle in modules, as in check_pair.
    radial_assembly : bool [-]
        True to screen for trimming as well, as in check_pair.

    Returns
    -------
    StrokeOption [-]
        The shifted pair; its ``ok`` and ``reason`` say whether it works.

    Raises
    ------
    InputError
        If the stroke is shorter than four times the difference of the base radii.

    Valid: 2:1 pairs.
    Source: derived here.

    Examples
    --------
    >>> fitted = shifted_option(InternalPair(0.0015, 23, 46, ring_addendum=0.8), 0.0695)
    >>> print(f"{fitted.shift_difference:.4f}, {1000 * fitted.stroke:.4f} mm")
    0.0856, 69.5000 mm
    """
    shift = shift_difference(stroke / 4, pair.module, pair.pinion_teeth, pair.ring_teeth, pair.pressure_angle)
    return _option(replace(pair, ring_shift=float(pair.pinion_shift + shift)), tip_thickness, radial_assembly)


def _because(margin):
    if np.isnan(margin.value):
        return f"{margin.name}: the flanks meet before the root, so no fillet can be made"
    return f"{margin.name} {margin.value:.3f} (needs {margin.limit:g})"


def _needed_shift(stroke, module, number, angle, tolerance):
    """Shift difference that makes the stroke exact; 0 if the teeth alone do; infinite if the base circles forbid it."""
    if abs(2 * module * number - stroke) <= tolerance:
        return 0.0
    if 2 * module * number * np.cos(angle) > stroke:
        return np.inf
    return float(shift_difference(stroke / 4, module, number, 2 * number, angle))


def _choose(module, number, angle, shift, pinion_shift, ring_addendum, dimensions):
    """Fill in the pinion shift and the ring addendum that were left open, each rounded to 0.05 on the safe side."""
    pair = InternalPair(module, number, 2 * number, angle, 0.0, shift, **dimensions)
    if pinion_shift is None:
        pinion_shift = max(0.0, np.ceil(-20 * pair.pinion_form * np.sin(angle) / module - 1e-9) / 20)
    pair = replace(pair, pinion_shift=float(pinion_shift), ring_shift=float(pinion_shift + shift))
    if ring_addendum is None:
        ring_addendum = min(1.0, np.floor(20 * longest_ring_addendum(pair)) / 20)
    return replace(pair, ring_addendum=float(max(ring_addendum, 0.05)))


def _with_teeth(pair, number):
    """The pair with another number of teeth, None if such gears cannot stand at any centre distance."""
    try:
        return replace(pair, pinion_teeth=number, ring_teeth=2 * number)
    except InputError:
        return None


def _option(pair, tip_thickness, radial_assembly):
    return StrokeOption(pair, float(pair.stroke), float(pair.ring_shift - pair.pinion_shift),
                        float(contact_ratio(pair)), check_pair(pair, tip_thickness, radial_assembly))
