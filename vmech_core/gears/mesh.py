"""Stiffness of one mesh: a rule for any pair from its face width, and an approximation from its geometry."""

import numpy as np

from vmech_core.base.results import Estimate
from vmech_core.gears.geometry import contact_ratio

#: Mean stiffness of a steel spur gear mesh per face width, along the line of action [N/m2]: low, likely, high.
#: ISO 6336-1 gives about 20 N/(mm um), and 14 for a single pair of teeth, where nothing better is known (both values
#: from memory). An internal pair is somewhat stiffer, an uneven contact softer: hence the range, our own judgement.
STEEL_MESH = (10e9, 20e9, 25e9)
STEEL = 206e9  # Young's modulus for which the values of ISO 6336-1 hold [Pa], from memory


def mesh_stiffness(face_width, pinion_modulus, ring_modulus, pressure_angle=0.0):
    """Stiffness of one spur gear mesh, averaged over the mesh: the one range that the whole project uses.

    Parameters
    ----------
    face_width : float or (...) array [m]
        Face width of the mesh.
    pinion_modulus : float or (...) array [Pa]
        Young's modulus of the pinion.
    ring_modulus : float or (...) array [Pa]
        Young's modulus of the ring gear.
    pressure_angle : float or (...) array [rad]
        0 for the stiffness along the line of action; the working pressure angle for the tangential one.

    Returns
    -------
    Estimate [N/m]
        Low, likely and high.

    Valid: solid spur gears under an even and not too light load (100 N per mm of face width or more); a thin rim, an
        uneven contact or a light load makes the mesh softer. ``iso_mesh_stiffness`` checks it from a pair's geometry.
    Source: ISO 6336-1, about 20 N/(mm um) for steel, scaled with the harmonic mean of the moduli over 206 GPa (both
        from memory); the range is our own judgement.

    Examples
    --------
    >>> round(float(mesh_stiffness(0.03, 206e9, 206e9).likely))
    600000000
    """
    factor = _relative(pinion_modulus, ring_modulus) * face_width * np.cos(pressure_angle) ** 2
    basis = "face width times 10, 20, 25 N/(mm µm) of a steel spur gear mesh, scaled with Young's moduli"
    return Estimate(*(factor * per for per in STEEL_MESH), "N/m", basis)


def iso_mesh_stiffness(pair, pinion_modulus=STEEL, ring_modulus=STEEL):
    """Mean stiffness of a mesh along its line of action, per face width, from the geometry of the pair.

    The check of ``mesh_stiffness``, whose range holds it. For an internal pair the standard takes the ring as a rack,
    of infinite tooth number; its shift is left out.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    pinion_modulus : float or (...) array [Pa]
        Young's modulus of the pinion.
    ring_modulus : float or (...) array [Pa]
        Young's modulus of the ring gear.

    Returns
    -------
    float or (...) array [N/m2]
        Stiffness over face width, usually 14 to 25 N/(mm um), 14e9 to 25e9 N/m2, for steel.

    Valid: spur gears, solid discs, line load above 100 N/mm, contact ratio above 1.2; one above 2 is taken as
        2, where the approximation ends. The rim of a thin ring is softer.
    Source: ISO 6336-1, method B, single stiffness c' (flexibility in mm um/N, correction 0.8) and mesh stiffness
        c_gamma = c' (0.75 eps + 0.25); numbers from memory.
    """
    z, x = np.asarray(pair.pinion_teeth, dtype=float), pair.pinion_shift
    flexibility = 0.04723 + 0.15551 / z - 0.00635 * x - 0.11654 * x / z + 0.00529 * np.square(x)
    depth = 1.0 + 0.5 * (1.2 - pair.pinion_dedendum)
    angle = 1.0 - 0.02 * (20.0 - np.degrees(pair.pressure_angle))
    single = 0.8 * depth * angle / flexibility * 1e9
    return single * _relative(pinion_modulus, ring_modulus) * (0.75 * np.minimum(contact_ratio(pair), 2.0) + 0.25)


def _relative(pinion_modulus, ring_modulus):
    """Harmonic mean of two moduli over that of steel."""
    return 2.0 * pinion_modulus * ring_modulus / (pinion_modulus + ring_modulus) / STEEL
