"""Stiffness of a spur gear mesh from the geometry of the pair, by the published approximation of ISO 6336-1."""

from __future__ import annotations

import numpy as np

from vmech_core.gears.geometry import contact_ratio

#: ISO 6336-1, method B: flexibility of a pair of teeth, mm um/N, as a sum of these; numbers from memory.
FLEXIBILITY = {"constant": 0.04723, "1/z1": 0.15551, "x1": -0.00635, "x1/z1": -0.11654, "x1^2": 0.00529}
SOLID_DISC, CORRECTION = 1.0, 0.8
STEEL = 206e9  # Young's modulus for which the approximation holds [Pa]


def mesh_stiffness_per_width(pair, pinion_modulus=STEEL, ring_modulus=STEEL):
    """Mean stiffness of a mesh along its line of action, per face width.

    For an internal pair the standard takes the ring as a rack, of infinite tooth number; its shift is left out.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    pinion_modulus : float [Pa]
        Young's modulus of the pinion.
    ring_modulus : float [Pa]
        Young's modulus of the ring gear.

    Returns
    -------
    float [N/m2]
        Stiffness over face width, usually 14 to 25 N/(mm um), 14e9 to 25e9 N/m2, for steel.

    Valid: spur gears, solid discs, line load above 100 N/mm, contact ratio above 1.2; one above 2 is taken as
        2, where the approximation ends. The rim of a thin ring is softer.
    Source: ISO 6336-1, method B, single stiffness c' and mesh stiffness c_gamma = c' (0.75 eps + 0.25); from memory.
    """
    z, x = float(pair.pinion_teeth), float(pair.pinion_shift)
    terms = {"constant": 1.0, "1/z1": 1.0 / z, "x1": x, "x1/z1": x / z, "x1^2": x * x}
    flexibility = sum(FLEXIBILITY[name] * value for name, value in terms.items())
    depth = 1.0 + 0.5 * (1.2 - float(pair.pinion_dedendum))
    angle = 1.0 - 0.02 * (20.0 - np.degrees(float(pair.pressure_angle)))
    single = CORRECTION * SOLID_DISC * (depth * angle) / flexibility * 1e9
    metal = 2.0 * pinion_modulus * ring_modulus / (pinion_modulus + ring_modulus) / STEEL
    return single * metal * (0.75 * min(float(contact_ratio(pair)), 2.0) + 0.25)
