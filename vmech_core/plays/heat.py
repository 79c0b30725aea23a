"""What heat does to lengths: temperatures of the parts, growth, and seats that get loose.

Every part has one temperature. Growth is length times coefficient times rise above 20 C, at which drawings hold.
"""

from dataclasses import replace

from vmech_core.base import InputError, record
from vmech_core.plays import fits

#: Coefficient of linear expansion by material [1/K]: W. D. Callister, Fundamentals of Materials Science and
#: Engineering, 3rd edition, table B.6 (aluminium 356, grey iron, bronze C93200); steel and the piston alloy from
#: memory (11 to 12 and 20 to 21).
EXPANSION = {"aluminium": 21.5e-6, "grey iron": 11.4e-6, "bronze": 18.0e-6, "steel": 11.5e-6, "piston alloy": 20.5e-6}


#: Names of the temperatures among the attributes of ``Heat``.
RISES = ("block", "ring", "carrier", "crank", "rod", "guide", "piston", "cylinder")


@record("", **dict.fromkeys(RISES, 0.0), oil=None, block_material="aluminium", guide_material="grey iron",
        piston_material="piston alloy", cylinder_material="grey iron")
class Heat:
    """Rise of each part above 20 C, and materials of the parts that are not steel.

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
    oil : float or None [K]
        Oil before the bearings; None for the temperature in the design file.
    block_material : str [-]
        One of ``EXPANSION``.
    guide_material : str [-]
        Material of the guide and its seat.
    piston_material : str [-]
        Material of the piston.
    cylinder_material : str [-]
        Material of the cylinder.
    """




def scaled(heat, share):
    """The same pattern of temperatures, weaker or stronger.

    Parameters
    ----------
    heat : Heat [-]
        Rises of all parts.
    share : float [1]
        Factor on every rise, also that of the oil if it is given.

    Returns
    -------
    Heat [-]
        With the same materials.

    Valid: any factor.
    Source: none needed.
    """
    oil = None if heat.oil is None else share * heat.oil
    return replace(heat, **{name: share * getattr(heat, name) for name in RISES}, oil=oil)


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
