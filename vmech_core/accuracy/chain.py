"""Named dimensions of the straight-line drive with their limits, and elastic machines that have them."""

from dataclasses import replace

import numpy as np

from vmech_core.base import InputError, show
from vmech_core.base.sampling import Dimension
from vmech_core.plays import fits
from vmech_core.plays.running import as_made
from vmech_core.sharing.elastic import guide_middle

#: Grade of the drawing tolerances, symmetric about the nominal (js). Own choice; common for finely machined parts.
DRAWING_GRADE = 7
#: Limits of the backlash to either side, over its nominal value. Own choice.
BACKLASH_SHARE = 1.0 / 3.0
#: Section and key of each play in a design file.
KEYS = {"guide_play": ("guide", "clearance_um"), "piston_play": ("guide", "piston_clearance_um"),
        "crankpin_play": ("bearings", "crankpin_clearance_um"), "crank_play": ("bearings", "crank_clearance_um"),
        "carrier_play": ("bearings", "carrier_clearance_um"), "backlash": ("gear_pair", "backlash_um")}
#: Play that sorted rollers leave to either side: two rollers of one lot of 2 um, hole and shaft measured to 1 um each.
_SORTED, _ROLLERS = 4e-6, "rollers of one lot of 2 µm (ISO 3096), chosen for the measured hole and shaft"
#: Bearings whose play rollers may hold.
_SEATS = {"crankpin_play": "crankpin", "crank_play": "crank_in_carrier", "carrier_play": "carrier_in_block"}
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
        Errors are zero when nominal; plays are on the diameter, those of the drawing, at 20 C.

    Valid: sizes up to 500 mm; plays wide enough for ISO 286 grade 4, or for rollers that are sorted.
    Source: ISO 286 where hole and shaft make a play; ISO 3096 for lots of rollers (secondary source); elsewhere
        drawing tolerances of our own choice, stated in each.
    """
    design = as_made(design)
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
    sizes = {"guide_play": guide.rod_diameter, "piston_play": design.cylinders.si.bore,
             "crankpin_play": crank.pin_diameter, "crank_play": crank.journal_diameter,
             "carrier_play": design.carrier.si.bearing_diameter}
    plays = design.to_dict()
    found += [_play(name, size, 1e-6 * plays[KEYS[name][0]][KEYS[name][1]], ".".join(KEYS[name]),
                    plays["bearings"].get(_SEATS.get(name)) == "rolling") for name, size in sizes.items()]
    return tuple(found)


def _drawn(name, size, lever=None):
    """A symmetric error of a length, or of an angle at a lever."""
    half = 0.5 * fits.tolerance(size, DRAWING_GRADE) / (lever or 1.0)
    source = DRAWING.format(show(size, "mm")) + (" on that radius" if lever else "")
    return Dimension(name, 0.0, -half, half, "rad" if lever else "m", source)


def _play(name, size, mean, key, rolling):
    try:
        lower, upper, grade = fits.play_limits(size, mean)
    except InputError as error:
        if rolling and mean >= 2.0 * _SORTED:
            return Dimension(name, mean, mean - _SORTED, mean + _SORTED, "m", _ROLLERS)
        raise InputError(key, show(1e6 * mean), error.allowed, error.unit, error.nearest) from error
    return Dimension(name, mean, lower, upper, "m", FIT.format(grade))


def machines(case, values):
    """Elastic machines with given dimensions, as made, at the temperatures of a case.

    The ring gear turned by an angle turns the crank by twice that; a cylinder line turned forward leaves its pin behind
    by twice the angle, so that all errors of angle act as one number for each pin.

    Parameters
    ----------
    case : Case [-]
        The machine without errors, in its state.
    values : dict of str to (N,) array [-]
        Dimensions by the names of ``dimensions_of``; one that is missing stays nominal.

    Returns
    -------
    Elastic [-]
        With arrays over the cases.

    Raises
    ------
    InputError
        If a play is used up in a machine: its parts seize.

    Valid: small errors.
    Source: notebook 12 derives the combination of angles.
    """

    own, made, warm = case.elastic, as_made(case.drawing), case.design

    def get(name):
        return np.asarray(values.get(name, 0.0), dtype=float)

    def each(name):
        parts = [get(f"{name}_{k + 1}") for k in range(warm.n_cylinders)]
        return np.stack(np.broadcast_arrays(*parts), axis=-1)

    def play(name):
        key = KEYS[name]
        drawn, runs = (1e-6 * design.to_dict()[key[0]][key[1]] for design in (made, warm))
        found = np.asarray(values.get(name, drawn), dtype=float) + runs - drawn
        least = 1e6 * (drawn - float(np.min(found)))  # that leaves nothing in the tightest machine
        if least >= 1e6 * drawn:
            words = f"used up in the tightest machine of this study when it runs: not above {least:.1f}"
            raise InputError(".".join(key), f"{1e6 * drawn:g}", words, "µm", f"{np.ceil(least + 0.1):g} µm")
        return found

    common = get("pinion_phase") + 2.0 * get("ring_phase")
    return replace(
        own,
        backlash=play("backlash"), bearing_clearance=0.5 * (play("crank_play") + play("carrier_play")),
        guide_clearance=0.5 * play("guide_play"), bore_clearance=0.5 * play("piston_play"),
        pin_clearance=0.5 * play("crankpin_play"),
        carrier_error=get("carrier_radius"), pin_error=own.pin_error + each("pin_radius"),
        phase_error=each("pin_phase") + common[..., None] - 2.0 * each("line_angle"),
        guide_offset=each("guide_offset"), bore_offset=each("bore_offset"),
    )
