"""Scuffing: how hot two flanks get where they slide, against the temperatures at which oils have failed."""

from collections import namedtuple

import numpy as np

from vmech_core.base.results import Estimate
from vmech_core.gears import factors as f
from vmech_core.gears.geometry import contact_ratio
from vmech_core.gears.history import share

#: Root of heat conductivity, density and heat capacity of gear steel [W s^0.5 / (m2 K)]: 45 W/(m K), 7850 kg/m3,
#: 490 J/(kg K), any handbook.
STEEL_HEAT = (45.0 * 7850.0 * 490.0) ** 0.5
#: Share of the mean flash that warms the bodies of the teeth, splash oiled: 0.47 x 1.2 (ISO/TR 13989-1, from memory).
BULK_SHARE = 0.47 * 1.2
#: E* of steel on steel for which half the band is sqrt(4 F R / (pi E*)) [Pa].
REDUCED = 206e9 / (2.0 * (1.0 - 0.3**2))

Flash = namedtuple("Flash", "place flash contact sliding")


def flash_temperature(pair, face_width, force, carrier_speed, friction, oil_temperature):
    """Flash and contact temperature along the path of contact.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair (no arrays).
    face_width : float [m]
        Face width.
    force : float [N]
        Tangential force of one mesh at the working pitch circle, load factors of the flank included.
    carrier_speed : float [rad/s]
        Speed of the carrier.
    friction : float [1]
        Mean friction coefficient, from ``loss.friction`` with its range.
    oil_temperature : float [K]
        Oil.

    Returns
    -------
    Flash [-]
        place (P,) [m] on the line of action, flash rise (P,) [K], contact temperature (P,) [K] and sliding speed [m/s].

    Valid: bands that pass fast (Peclet number above 5), heat flow of solids, force held over the whole path; the bulk
        is that of a load that stays, so a peak that comes seldom warms less.
    Source: H. Blok (1937, 1963): 1.11 mu w abs(v1 - v2) / (B (sqrt v1 + sqrt v2) sqrt(2 b)), w load per width, 2 b
        width of the band after H. Hertz; mean flash times a share on top of the oil.
    """
    ratio = float(contact_ratio(pair))
    steps = np.linspace(0.0, ratio, 101)
    at = np.maximum(pair.contact_start + steps * pair.base_pitch, 1e-3 * pair.base_gap)
    line = force / np.cos(pair.working_angle) / face_width * share(steps, ratio)
    band = 2.0 * np.sqrt(4.0 / np.pi * line * f.curvature(pair, at) / REDUCED)
    turn = np.abs(carrier_speed) * pair.ring_teeth / pair.pinion_teeth
    pinion, ring = turn * at, np.abs(carrier_speed) * (at + pair.base_gap)
    rise = 1.11 * friction * line * np.abs(np.sqrt(pinion) - np.sqrt(ring)) / (STEEL_HEAT * np.sqrt(band))
    bulk = oil_temperature + BULK_SHARE * rise.mean()
    return Flash(at, rise, bulk + rise, np.abs(pinion - ring))


def scuffing_limits(viscosity):
    """Contact temperature at which mineral oils have scuffed.

    Parameters
    ----------
    viscosity : float [m2/s]
        Kinematic viscosity at 40 C.

    Returns
    -------
    Estimate [K]
        Low without additives, high with those against scuffing; likely midway, for an engine oil.

    Valid: ground carburised gears; a band of some 50 K of its own.
    Source: AGMA 925-A03, 63 + 33 ln nu and 118 + 33 ln nu, nu in mm2/s (from memory); midway is own judgement.
    """
    low = 273.15 + 63.0 + 33.0 * np.log(viscosity * 1e6)
    return Estimate(low, low + 27.5, low + 55.0, "K", "63 to 118 + 33 ln(viscosity at 40 C in mm2/s) in degrees C")
