"""From a cold start to the hot machine: which clearances open, which close, and what becomes of the seats.

Every part has one temperature. Growth is length times coefficient times rise above assembly.
"""

from dataclasses import dataclass, replace

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.plays import fits

#: Coefficient of linear expansion by material [1/K]: W. D. Callister, Fundamentals of Materials Science and
#: Engineering, 3rd edition, table B.6 (aluminium 356, grey iron, bronze C93200); steel and the piston alloy from
#: memory (11 to 12 and 20 to 21).
EXPANSION = {"aluminium": 21.5e-6, "grey iron": 11.4e-6, "bronze": 18.0e-6, "steel": 11.5e-6, "piston alloy": 20.5e-6}


@dataclass(frozen=True)
class Heat:
    """Rise of each part above the temperature of assembly, and materials of the parts that are not steel.

    Attributes
    ----------
    block : float or (N,) array [K]
        Crankcase around carriers, ring gears and guides.
    ring : float or (N,) array [K]
        Ring gears.
    carrier : float or (N,) array [K]
        Carriers.
    crank : float or (N,) array [K]
        Crank with its pinions.
    rod : float or (N,) array [K]
        Piston rods with their big ends.
    guide : float or (N,) array [K]
        Guides.
    piston : float or (N,) array [K]
        Pistons.
    cylinder : float or (N,) array [K]
        Cylinders.
    block_material : str [-]
        One of ``EXPANSION``.
    guide_material : str [-]
        Material of the guide and its seat.
    piston_material : str [-]
        Material of the piston.
    cylinder_material : str [-]
        Material of the cylinder.
    """

    block: float = 0.0
    ring: float = 0.0
    carrier: float = 0.0
    crank: float = 0.0
    rod: float = 0.0
    guide: float = 0.0
    piston: float = 0.0
    cylinder: float = 0.0
    block_material: str = "aluminium"
    guide_material: str = "grey iron"
    piston_material: str = "piston alloy"
    cylinder_material: str = "grey iron"


#: Names of the temperatures among the attributes of ``Heat``.
RISES = ("block", "ring", "carrier", "crank", "rod", "guide", "piston", "cylinder")
#: A small air-cooled engine at full load, above 20 C at assembly. Own choice, no source: read each result with it.
AIR_COOLED = Heat(80.0, 80.0, 80.0, 80.0, 100.0, 80.0, 180.0, 130.0)


def scaled(heat, share):
    """The same pattern of temperatures, weaker or stronger.

    Parameters
    ----------
    heat : Heat [-]
        Rises of all parts.
    share : float [1]
        Factor on every rise.

    Returns
    -------
    Heat [-]
        With the same materials.

    Valid: any factor.
    Source: none needed.
    """
    return replace(heat, **{name: share * getattr(heat, name) for name in RISES})


def growth(material, length, rise):
    """Growth of a length.

    Parameters
    ----------
    material : str [-]
        One of ``EXPANSION``.
    length : float or (...) array [m]
        Length at assembly.
    rise : float or (...) array [K]
        Rise of temperature.

    Returns
    -------
    (...) array [m]
        Growth, negative when it cools.

    Raises
    ------
    InputError
        If the material is not in the table.

    Valid: mean coefficients near room temperature; at 200 K above they are a few per cent higher.
    Source: definition of the coefficient.
    """
    if material not in EXPANSION:
        raise InputError("material", material, f"not one of {', '.join(EXPANSION)}")
    return EXPANSION[material] * length * rise


def changes(design, heat, pressure_angle):
    """Change of each clearance and error from cold to hot.

    The block carries the carrier's bearing, the ring gear and the guide. All are round about O or stand on lines
    through O, so that their growth shifts none of them sideways.

    Parameters
    ----------
    design : Design [-]
        The design.
    heat : Heat [-]
        Rise of each part.
    pressure_angle : float [rad]
        Working pressure angle.

    Returns
    -------
    dict of str to float or (N,) array [m]
        By the names of ``sharing.Elastic``: radial clearances, backlash, errors of carrier and pin radius. The backlash
        is that of ring and pinion; the carrier's growth closes it again, by 2 tan(alpha) times ``carrier_error``, and
        the elastic model does that itself.

    Valid: each part at one temperature; a bearing seat that follows the block; no distortion.
    Source: radial growths of the parts; backlash from the radial gap, 2 tan(alpha) for each unit of it, as for a change
        of centre distance (any text on involute gears).
    """
    guide, crank, a = design.guide.si, design.crank.si, 0.25 * design.cylinders.si.stroke
    rod, bore, seat = guide.rod_diameter, design.cylinders.si.bore, design.carrier.si.bearing_diameter
    block = growth(heat.block_material, seat, heat.block) - growth("steel", seat, heat.carrier)
    gap = growth("steel", 2.0 * a, heat.ring) - growth("steel", a, heat.crank)
    return {
        "guide_clearance": 0.5 * (growth(heat.guide_material, rod, heat.guide) - growth("steel", rod, heat.rod)),
        "bore_clearance": 0.5 * (growth(heat.cylinder_material, bore, heat.cylinder)
                                 - growth(heat.piston_material, bore, heat.piston)),
        "bearing_clearance": 0.5 * (block + growth("steel", crank.journal_diameter, heat.carrier - heat.crank)),
        "pin_clearance": 0.5 * growth("steel", crank.pin_diameter, heat.rod - heat.crank),
        "backlash": 2.0 * np.tan(pressure_angle) * gap,
        "carrier_error": growth("steel", a, heat.carrier),
        "pin_error": growth("steel", a, heat.crank),
    }


def hot(elastic, design, heat, pressure_angle):
    """The elastic machine at its working temperatures.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine as assembled.
    design : Design [-]
        Its design.
    heat : Heat [-]
        Rise of each part.
    pressure_angle : float [rad]
        Working pressure angle.

    Returns
    -------
    Elastic [-]
        With changed clearances and errors.

    Raises
    ------
    InputError
        If a clearance is used up: the machine seizes.

    Valid: as ``changes``; stiffnesses as when cold.
    Source: ``changes``.
    """
    found = changes(design, heat, pressure_angle)
    found["pin_error"] = np.asarray(found["pin_error"])[..., None] * np.ones(design.n_cylinders)
    values = {name: getattr(elastic, name) + change for name, change in found.items()}
    for name in ("guide_clearance", "bore_clearance", "bearing_clearance", "pin_clearance", "backlash"):
        least = float(np.min(values[name]))
        if least <= 0.0:
            raise InputError(name, f"{1e6 * least:.1f}", "used up when hot: the parts seize; not above 0", "um")
    return replace(elastic, **values)


def seat_interference(size, name, hole_material, hole_rise, shaft_rise):
    """Least and greatest interference of a steel part pressed into a seat, cold and hot.

    Parameters
    ----------
    size : float [m]
        Diameter of the seat.
    name : str [-]
        Fit, for example ``H7/p6``.
    hole_material : str [-]
        Material around the part.
    hole_rise : float [K]
        Rise of the seat.
    shaft_rise : float [K]
        Rise of the part.

    Returns
    -------
    cold : tuple of two float [m]
        Least and greatest interference on the diameter.
    hot : tuple of two float [m]
        The same hot; negative is play: the part is loose.

    Valid: free growth of both parts.
    Source: ISO 286; growth of the two diameters.
    """
    least, greatest = fits.fit(size, name).play
    change = growth(hole_material, size, hole_rise) - growth("steel", size, shaft_rise)
    return (-greatest, -least), (-greatest - change, -least - change)
