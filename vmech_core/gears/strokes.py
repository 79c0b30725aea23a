"""From a wanted stroke to gear pairs that give it: the stroke picker."""

from dataclasses import replace
from itertools import product

import numpy as np

from vmech_core.base import InputError, record
from vmech_core.gears.geometry import MODULES_FIRST, InternalPair, contact_ratio
from vmech_core.gears.involute import STANDARD_ANGLE, shift_difference
from vmech_core.gears.screens import check_pair, longest_ring_addendum

EXACT = 1e-6  # difference up to which a stroke without shift difference counts as exact [m]


def pair_keys(pair):
    """A pair as keys of ``[gear_pair]`` of a design file, rounded as they are written there.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair (no arrays); a ring fillet that does not fit is mended.

    Returns
    -------
    dict of str to float [-]
        Key to value, in the file's units.

    Valid: any pair.
    Source: the keys of a design file.
    """
    fillet = min(pair.ring_fillet_radius, np.floor(1e3 * pair.most_ring_fillet) / 1e3)
    return {"module_mm": round(1e3 * pair.module, 6), "pinion_teeth": pair.pinion_teeth,
            "ring_teeth": pair.ring_teeth, "pressure_angle_deg": round(float(np.degrees(pair.pressure_angle)), 6),
            "pinion_shift": round(pair.pinion_shift, 4), "ring_shift": round(pair.ring_shift, 4),
            "pinion_addendum": round(pair.pinion_addendum, 4), "ring_addendum": round(pair.ring_addendum, 4),
            "ring_fillet_radius": float(fillet)}


@record("pair stroke shift_difference contact_ratio margins")
class _StrokeOption:
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

    @property
    def ok(self) -> bool:
        """True when the pair passes every screen, and a design file takes its numbers."""
        own = self.pair
        inside = (8 <= own.pinion_teeth <= 150 and 0.3 <= own.ring_addendum <= 1.5 and -1.0 <= own.ring_shift <= 1.5
                  and own.pinion_shift <= 1.5)
        return inside and all(margin.ok for margin in self.margins)

    @property
    def keys(self) -> dict:
        """The pair as keys of ``[gear_pair]`` of a design file, rounded as they are written there."""
        return pair_keys(self.pair)

    @property
    def reason(self) -> str:
        """Screens that fail, with value and limit; ``passes all screens`` if none does."""
        failed = "; ".join(_because(m) for m in self.margins if not m.ok)
        return failed or ("passes all screens" if self.ok else "outside the ranges of a design file")


def stroke_options(stroke, pressure_angle=STANDARD_ANGLE, modules=MODULES_FIRST, teeth=(10, 80), most_shift=0.6,
                   pinion_shift=None, ring_addendum=None, tip_thickness=0.2, radial_assembly=False, **dimensions):
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
    tuple of _StrokeOption [-]
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
    numbers = range(max(teeth[0], 5), teeth[1] + 1)
    for module, number, _, shift in _kinds(stroke, modules, numbers, (pressure_angle,), most_shift):
        pair = _choose(InternalPair(module, number, 2 * number, pressure_angle, 0.0, shift, **dimensions),
                       pinion_shift, ring_addendum)
        found.append(_StrokeOption(pair, float(pair.stroke), shift, float(contact_ratio(pair)),
                                  check_pair(pair, tip_thickness, radial_assembly)))
    return tuple(sorted(found, key=lambda o: (not o.ok, abs(o.shift_difference), -o.pair.module)))


def _kinds(stroke, modules, numbers, angles, most):
    """Modules, numbers of teeth and pressure angles that give a stroke, with the difference of the shifts for it."""
    for module, number, angle in product(modules, numbers, angles):
        own, apart = 2 * module * number, 0.0
        if abs(own - stroke) > EXACT:
            if own * np.cos(angle) > stroke:  # the base circles would meet
                continue
            apart = float(shift_difference(stroke / 4, module, number, 2 * number, angle))
        if abs(apart) <= most:
            yield module, number, angle, apart


def _because(margin):
    if np.isnan(margin.value):
        return f"{margin.name}: the flanks meet before the root, so no fillet can be made"
    return f"{margin.name} {margin.value:.3f} (needs {margin.limit:g})"


def _choose(pair, pinion_shift, ring_addendum):
    """Fill in the pinion shift and the ring addendum that were left open, each rounded to 0.05 on the safe side."""
    if pinion_shift is None:
        lacking = -pair.pinion_form * np.sin(pair.pressure_angle) / pair.module
        pinion_shift = max(0.0, np.ceil(20 * lacking - 1e-9) / 20)
    pair = replace(pair, pinion_shift=float(pinion_shift), ring_shift=float(pinion_shift + pair.ring_shift))
    if ring_addendum is None:
        ring_addendum = min(1.0, np.floor(20 * longest_ring_addendum(pair)) / 20)
    return replace(pair, ring_addendum=float(max(ring_addendum, 0.05)))
