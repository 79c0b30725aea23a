"""From stroke, force, steel and tilt to the gear pairs that fit, smallest first, and why the others do not."""

from collections import namedtuple
from dataclasses import replace
from itertools import product

import numpy as np

from vmech_core.base import record, refuse, tables
from vmech_core.gears.geometry import MODULES_FIRST, InternalPair, contact_ratio
from vmech_core.gears.rating import SAFETY, rate
from vmech_core.gears.screens import longest_ring_addendum, margins
from vmech_core.gears.strokes import _kinds

#: Pressure angles, pinion shifts, tooth heights and faces that are tried; faces in modules, from slim to broad.
ANGLES, SHIFTS, HEIGHTS = tuple(np.radians((20.0, 22.5, 25.0))), tuple(np.arange(0.0, 0.65, 0.1)), (1.0, 0.9, 0.8)
FACES = tuple(np.arange(5.0, 21.0))
#: A hardened tooth's tip; the greatest and least fillet of the ring, which takes what its flanks leave; rim: modules.
TIP, FILLET, LEAST_FILLET, RIM = 0.4, 0.38, 0.1, 3.5

#: Why no pair of these teeth fits; its fields are what ``Choice.refused`` holds.
Refused = namedtuple("Refused", "module teeth pressure_angle reason")


@record("pair face_width S_F S_H K_Hbeta contact_ratio outside")
class Fit:
    """One pair that fits, at the least face that keeps both safeties.

    Attributes
    ----------
    pair : InternalPair [-]
        The gear pair.
    face_width : float [m]
        Face width.
    S_F, S_H : (2,) array [1]
        Safety of root and flank, pinion then ring.
    K_Hbeta : float [1]
        Face-load factor.
    contact_ratio : float [1]
        Contact ratio.
    outside : float [m]
        Diameter of the ring with a rim of 3.5 modules.
    """

    @property
    def volume(self) -> float:
        """Of the ring's envelope, by which fits are ordered [m3]."""
        return 0.25 * np.pi * self.outside**2 * self.face_width


@record("fits refused")
class Choice:
    """All pairs tried for one stroke.

    Attributes
    ----------
    fits : tuple of Fit [-]
        The smallest of each module, number of teeth and pressure angle, smallest first.
    refused : tuple of Refused [-]
        The others, each with the reason of the variant that came nearest.
    """

    def __str__(self) -> str:
        """One table of both, sizes in mm."""
        lines = ["module  teeth  angle  shifts      face  ring outside  S_F pinion ring  S_H pinion ring  K_Hbeta"]
        for fit in self.fits:
            own = fit.pair
            lines.append(f"{1e3 * own.module:6.3g} {own.pinion_teeth:3d}/{own.ring_teeth:<3d}"
                         f"{np.degrees(own.pressure_angle):5.1f}  {own.pinion_shift:4.2f} {own.ring_shift:5.2f}"
                         f"{1e3 * fit.face_width:8.1f}{1e3 * fit.outside:14.1f}"
                         f"{fit.S_F[0]:12.2f}{fit.S_F[1]:5.2f}{fit.S_H[0]:12.2f}{fit.S_H[1]:5.2f}{fit.K_Hbeta:9.2f}")
        lines += [f"{1e3 * no.module:6.3g} {no.teeth:3d}/{2 * no.teeth:<3d}{np.degrees(no.pressure_angle):5.1f}  "
                  f"{no.reason}" for no in self.refused]
        return "\n".join(lines)


def choose(stroke, force, steels, duty, slope=0.0, safety=SAFETY, modules=MODULES_FIRST, angles=ANGLES, shifts=SHIFTS,
           heights=HEIGHTS, faces=FACES, most_shift=0.5, teeth=(8, 60), backlash=0.0):
    """Pairs of the straight-line drive that fit a stroke and stand a force.

    Parameters
    ----------
    stroke : float [m]
        Wanted stroke.
    force : (2,) array or float [N]
        Greatest tangential force of one mesh on either flank.
    steels : tuple of ToothSteel [-]
        Pinion, then ring.
    duty : ToothDuty [-]
        How the mesh runs; its misalignment counts beside the slope.
    slope : float [1]
        Of the crank in the mesh at that force: the misalignment grows with the face.
    safety : tuple of float [1]
        Wanted at root and flank.
    modules, angles, shifts, heights, faces : tuple of float [m], [rad], [1], [1], [1]
        Tried: modules, pressure angles, pinion shifts and addenda in modules, faces in modules.
    most_shift : float [1]
        Greatest difference of the shifts, either sign.
    teeth : tuple of int [1]
        Least and greatest number of teeth of the pinion.
    backlash : float [m]
        At the working pitch circles.

    Returns
    -------
    Choice [-]
        What fits and what does not.

    Raises
    ------
    InputError
        If the stroke is not above 0, or no module and number of teeth gives it.

    Valid: as ``rate`` and ``check_pair`` with tips for hardened teeth; pairs of standard modules.
    Source: ``margins``, ``rate``; faces between 5 and 20 modules, at most 1.2 pinion diameters (common practice, no
        source).
    """
    refuse(not stroke > 0, "stroke", stroke, "not above 0", "m")
    kinds = list(_kinds(stroke, modules, range(teeth[0], teeth[1] + 1), angles, most_shift))
    refuse(not kinds, "stroke", stroke, "reached by none of these modules with a number of teeth in range", "m")
    rows = [(*kind, shift, height) for kind, shift, height in product(kinds, shifts, heights)]
    pair = _pairs(*map(np.array, zip(*rows, strict=True)), backlash)
    limits = {screen["screen"]: float(screen["limit"]) for screen in tables.rows("gear_screens")}
    screens = {name: value - (TIP if "tip thickness" in name else limits[name])
               for name, value in margins(pair).items() if not name.startswith("trimming")}
    screens["ring fillet"] = pair.ring_fillet_radius - LEAST_FILLET
    room = np.array([np.nan_to_num(value, nan=-9.0) for value in screens.values()])
    good = np.flatnonzero((room >= -1e-9).all(axis=0))
    found = _faces(_taken(pair, good), force, steels, duty, slope, safety, faces)
    return _sorted(pair, kinds, len(rows) // len(kinds), good, found, list(screens), room)


def _pairs(module, number, angle, apart, shift, height, backlash):
    number = number.astype(int)
    pair = InternalPair(module, number, 2 * number, angle, shift, shift + apart, height, 0.5, backlash=backlash,
                        ring_fillet_radius=FILLET)
    longest = np.nan_to_num(np.floor(20 * longest_ring_addendum(pair)) / 20, nan=0.3)
    pair = replace(pair, ring_addendum=np.clip(longest, 0.3, height))
    fillet = np.nan_to_num(np.floor(100 * pair.ring_fillet / module) / 100, nan=0.0)
    return replace(pair, ring_fillet_radius=np.clip(fillet, 0.0, FILLET))


def _taken(pair, at):
    """Some of a batch; one pair for a single index."""
    values = {name: np.broadcast_to(value, np.shape(pair.module))[at] for name, value in vars(pair).items()
              if name in pair.__dataclass_fields__}
    return InternalPair(**{name: value.item() if np.ndim(value) == 0 else value for name, value in values.items()})


def _faces(pair, force, steels, duty, slope, safety, faces):
    """For each pair the safeties at every face that is tried, and which face is the least that holds."""
    wide = InternalPair(**{name: np.asarray(value)[:, None] for name, value in vars(pair).items()
                           if name in pair.__dataclass_fields__})
    width = np.round(np.asarray(faces) * wide.module, 4)
    rating = rate(wide, width, force, steels, replace(duty, misalignment=duty.misalignment + abs(slope) * width))
    spare = np.minimum(rating.S_F.min(-1) / safety[0], rating.S_H.min(-1) / safety[1])
    spare = np.where(width <= 2.4 * wide.pinion_radius, spare, 0.0)
    return width, rating, spare


def _sorted(pair, kinds, variants, good, found, names, room):
    (width, rating, spare), fits, refused = found, [], []
    outside = 2.0 * (pair.ring_root_radius + RIM * pair.module)
    for k, (module, number, angle, _) in enumerate(kinds):
        own = np.flatnonzero(good // variants == k)
        holds = spare[own] >= 1.0
        if holds.any():
            size = np.where(holds, width[own] * outside[good[own], None]**2, np.inf)
            i, j = np.unravel_index(size.argmin(), size.shape)
            i = own[i]
            one = _taken(pair, good[i])
            k_h = np.broadcast_to(rating.factors["K_Hbeta"], spare.shape)[i, j]
            fits.append(Fit(one, float(width[i, j]), rating.S_F[i, j], rating.S_H[i, j], float(k_h),
                            float(contact_ratio(one)), float(outside[good[i]])))
            continue
        reason = (f"too weak: {100 * spare[own].max():.0f} % of the safety wanted at its best face" if len(own)
                  else _because(room[:, k * variants : (k + 1) * variants], names))
        refused.append(Refused(module, int(number), float(angle), reason))
    return Choice(tuple(sorted(fits, key=lambda fit: fit.volume)), tuple(refused))


def _because(room, names):
    """The screen that fails in the variant that comes nearest."""
    nearest = room.min(axis=0).argmax()
    worst = room[:, nearest].argmin()
    return f"{names[worst]}, short by {-room[worst, nearest]:.2f}"
