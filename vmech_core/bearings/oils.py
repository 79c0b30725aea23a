"""Viscosity and density of lubricants by grade and temperature; typical values of ``data/oils.csv``."""

from collections import namedtuple
from math import log

import numpy as np

from vmech_core.base import InputError, row, rows

#: Fall of the density of mineral oil [kg/(m3 K)]: 0.62 to 0.66 (from memory; the tables of ASTM D1250 come to 0.63).
DENSITY_FALL = 0.64
T_15, T_40, T_100 = 288.15, 313.15, 373.15
#: Viscosity of water at 0.1 MPa, in 1e-6 Pa s, as a sum of a (T / 300 K)^b: IAPWS supplementary release SR6-08 (from
#: memory; 3e-5 off CoolProp from 1 to 99 C).
WATER = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
#: Below this a temperature was hardly meant in kelvin.
COLDEST = 200.0


Oil = namedtuple("Oil", "grade nu_40 nu_100 density source status")


def oil(grade):
    """Lubricant of a viscosity grade.

    Parameters
    ----------
    grade : str [-]
        One of those of ``lubricant.grade`` in the design file.

    Returns
    -------
    Oil [-]
        Typical values: ``grade``; ``nu_40`` and ``nu_100``, kinematic viscosity at 40 and 100 degrees Celsius [m2/s];
        ``density`` at 15 degrees [kg/m3]; ``source`` and ``status`` of the row.

    Raises
    ------
    InputError
        If there is no such grade, or no fluid at all.

    Valid: single-grade mineral oils of viscosity index 95 to 100; a multigrade oil is thicker when hot.
    Source: each row of ``data/oils.csv`` states its own.

    Examples
    --------
    >>> oil("SAE 30").nu_100
    1.09e-05
    """
    if grade == "dry":
        fluids = ", ".join(entry["grade"] for entry in rows("oils"))
        raise InputError("lubricant.grade", grade, f"without a fluid, so there is no film to compute; choose {fluids}")
    found = row("oils", "grade", grade)
    nu_40, nu_100 = (1e-6 * float(found[name]) for name in ("nu_40_mm2_s", "nu_100_mm2_s"))
    return Oil(grade, nu_40, nu_100, float(found["density_15_kg_m3"]), found["source"], found["status"])


def walther(nu_40, nu_100):
    """Constants A and B of log10 log10 (nu + 0.7) = A - B log10 T, with nu in mm2/s and T in K.

    Parameters
    ----------
    nu_40 : float or (...) array [m2/s]
        Kinematic viscosity at 40 C.
    nu_100 : float or (...) array [m2/s]
        Kinematic viscosity at 100 C.

    Returns
    -------
    A : float or (...) array [1]
        Height of the line.
    B : float or (...) array [1]
        Its slope.

    Valid: mineral oils above 2 mm2/s.
    Source: ASTM D341, equation of Walther.
    """
    first, second = (np.log10(np.log10(1e6 * nu + 0.7)) for nu in (nu_40, nu_100))
    slope = (first - second) / (np.log10(T_100) - np.log10(T_40))
    return first + slope * np.log10(T_40), slope


def density(oil, temperature):
    """Density at a temperature.

    Parameters
    ----------
    oil : Oil [-]
        The lubricant.
    temperature : float or (...) array [K]
        Temperature.

    Returns
    -------
    (...) array [kg/m3]
        Density at ordinary pressure.

    Valid: oil -20 to 150 C, 0.1 % off the tables of ASTM D1250; water 0 to 100 C, 0.03 % off CoolProp.
    Source: oil: linear fall, ``DENSITY_FALL``; water: McCutcheon, Martin and Barnes, 1993 (both from memory).
    """
    temperature = np.asarray(temperature, dtype=float)
    if oil.grade != "water":
        return oil.density - DENSITY_FALL * (temperature - T_15)
    t = temperature - 273.15
    return 1000.0 * (1.0 - (t + 288.9414) * (t - 3.9863) ** 2 / (508929.2 * (t + 68.12963)))


def kinematic_viscosity(oil, temperature):
    """Kinematic viscosity at a temperature.

    Parameters
    ----------
    oil : Oil [-]
        The lubricant.
    temperature : float or (...) array [K]
        Temperature.

    Returns
    -------
    (...) array [m2/s]
        Kinematic viscosity at ordinary pressure.

    Raises
    ------
    InputError
        If the temperature is too low to be meant in kelvin.

    Valid: oil above its pour point (about -15 C, from memory) and above 2 mm2/s; water 0 to 100 C.
    Source: ASTM D341 through the viscosities at 40 and 100 C; water: IAPWS SR6-08.

    Examples
    --------
    >>> (1e6 * kinematic_viscosity(oil("ISO VG 100"), np.array([313.15, 353.15]))).round(2)
    array([100.  ,  19.59])
    """
    if oil.grade == "water":
        return viscosity(oil, temperature) / density(oil, temperature)
    return _at(oil, temperature)


def viscosity(oil, temperature):
    """Dynamic viscosity at a temperature.

    Parameters
    ----------
    oil : Oil [-]
        The lubricant.
    temperature : float or (...) array [K]
        Temperature.

    Returns
    -------
    (...) array [Pa s]
        Viscosity at ordinary pressure and low shear.

    Raises
    ------
    InputError
        If the temperature is too low to be meant in kelvin.

    Valid: as ``kinematic_viscosity``; pressure thickens oil by about 2 % for each MPa (1.5 to 2.5, from memory).
    Source: ``kinematic_viscosity`` times ``density``; water: IAPWS SR6-08.
    """
    if oil.grade == "water":
        ratio = _kelvin(temperature) / 300.0
        return 1e-6 * sum(a * ratio**b for a, b in WATER)
    return density(oil, temperature) * _at(oil, temperature)


def _at(oil, temperature):
    """Walther's line, as log(nu + 0.7) = log(nu_40 + 0.7) * (T_40 / T)^B."""
    thick, thin = (log(1e6 * nu + 0.7) for nu in (oil.nu_40, oil.nu_100))
    slope = log(thick / thin) / log(T_100 / T_40)
    return 1e-6 * (np.exp(thick * np.exp(-slope * np.log(_kelvin(temperature) / T_40))) - 0.7)


def _kelvin(temperature):
    temperature = np.asarray(temperature, dtype=float)
    if temperature.size and temperature.min() < COLDEST:
        hint = f"below {COLDEST:g} K and so hardly in kelvin; add 273.15 to degrees Celsius"
        raise InputError("temperature", float(temperature.min()), hint)
    return temperature
