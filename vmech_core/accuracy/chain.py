"""Named dimensions of the straight-line drive with their limits, and elastic machines that have them."""

from dataclasses import replace

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.sampling import Dimension
from vmech_core.base.units import show
from vmech_core.plays import fits
from vmech_core.sharing.elastic import guide_middle

#: Grade of the drawing tolerances, symmetric about the nominal (js). Own choice; common for finely machined parts.
DRAWING_GRADE = 7
#: Limits of the backlash to either side, over its nominal value. Own choice.
BACKLASH_SHARE = 1.0 / 3.0
FIT, DRAWING = "ISO 286-1, hole and shaft of grade {} about the play in the file", "drawing, own choice: js7 of {}"


def dimensions_of(design):
    """Dimensions of the straight-line drive that scatter, with their limits and where these come from.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    tuple of Dimension [-]
        Errors are zero when nominal; plays are on the diameter, as in the design file.

    Valid: sizes up to 500 mm; plays wide enough for ISO 286 grade 4.
    Source: ISO 286 where hole and shaft make a play; elsewhere drawing tolerances of our own choice, stated in each.
    """
    a, guide, crank = 0.25 * design.cylinders.si.stroke, design.guide.si, design.crank.si
    places = {"guide": guide_middle(design), "bore": guide.rod_length}
    each = range(1, design.n_cylinders + 1)
    found = [_drawn("carrier_radius", a), *(_drawn(f"pin_radius_{k}", a) for k in each)]
    found += [_drawn("pinion_phase", a, a), _drawn("ring_phase", 2.0 * a, 2.0 * a)]
    levers = {"pin_phase": a, "line_angle": places["bore"]}
    found += [_drawn(f"{name}_{k}", lever, lever) for name, lever in levers.items() for k in each]
    found += [_drawn(f"{name}_offset_{k}", abs(place) or a) for name, place in places.items() for k in each]
    backlash = design.gear_pair.si.backlash
    found.append(Dimension("backlash", backlash, (1.0 - BACKLASH_SHARE) * backlash, (1.0 + BACKLASH_SHARE) * backlash,
                           source="drawing, own choice: a third to either side"))
    seats = design.bearings.si
    found += [_play(name, size, mean, key) for name, size, mean, key in (
        ("guide_play", guide.rod_diameter, guide.clearance, "guide.clearance_um"),
        ("piston_play", design.cylinders.si.bore, guide.piston_clearance, "guide.piston_clearance_um"),
        ("crankpin_play", crank.pin_diameter, seats.crankpin_clearance, "bearings.crankpin_clearance_um"),
        ("crank_play", crank.journal_diameter, seats.crank_clearance, "bearings.crank_clearance_um"),
        ("carrier_play", design.carrier.si.bearing_diameter, seats.carrier_clearance, "bearings.carrier_clearance_um"),
    )]
    return tuple(found)


def _drawn(name, size, lever=None):
    """A symmetric error of a length, or of an angle at a lever."""
    half = 0.5 * fits.tolerance(size, DRAWING_GRADE) / (lever or 1.0)
    source = DRAWING.format(show(size, "mm")) + (" on that radius" if lever else "")
    return Dimension(name, 0.0, -half, half, "rad" if lever else "m", source)


def _play(name, size, mean, key):
    try:
        lower, upper, grade = fits.play_limits(size, mean)
    except InputError as error:
        raise InputError(key, show(1e6 * mean), error.allowed, error.unit, error.nearest) from error
    return Dimension(name, mean, lower, upper, "m", FIT.format(grade))


def machines(own, values, cylinders):
    """Elastic machines with given dimensions.

    The ring gear turned by an angle turns the crank by twice that; a cylinder line turned forward leaves its pin behind
    by twice the angle, so that all errors of angle act as one number for each pin.

    Parameters
    ----------
    own : Elastic [-]
        The machine without errors.
    values : dict of str to (N,) array [-]
        Dimensions by the names of ``dimensions_of``; one that is missing stays nominal.
    cylinders : int [1]
        Number of cylinders.

    Returns
    -------
    Elastic [-]
        With arrays over the cases.

    Raises
    ------
    InputError
        If only one of ``crank_play`` and ``carrier_play`` is there.

    Valid: small errors.
    Source: notebook 12 derives the combination of angles.
    """

    def get(name, nominal=0.0):
        return np.asarray(values.get(name, nominal), dtype=float)

    def each(name):
        return np.stack(np.broadcast_arrays(*(get(f"{name}_{k + 1}") for k in range(cylinders))), axis=-1)

    common = get("pinion_phase") + 2.0 * get("ring_phase")
    seats = [get(name) for name in ("crank_play", "carrier_play") if name in values]
    if len(seats) == 1:
        raise InputError("dimensions", "crank_play or carrier_play", "not both there: they add up to one clearance")
    return replace(
        own,
        backlash=get("backlash", own.backlash),
        bearing_clearance=0.5 * (seats[0] + seats[1]) if seats else own.bearing_clearance,
        guide_clearance=0.5 * get("guide_play", 2.0 * own.guide_clearance),
        bore_clearance=0.5 * get("piston_play", 2.0 * own.bore_clearance),
        pin_clearance=0.5 * get("crankpin_play", 2.0 * own.pin_clearance),
        carrier_error=get("carrier_radius"), pin_error=each("pin_radius"),
        phase_error=each("pin_phase") + common[..., None] - 2.0 * each("line_angle"),
        guide_offset=each("guide_offset"), bore_offset=each("bore_offset"),
    )
