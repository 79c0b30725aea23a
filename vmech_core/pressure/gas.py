"""Ideal gas with a heat capacity that depends on temperature: air, and the products of a complete burn."""

from functools import cached_property

import numpy as np

from vmech_core.base import InputError, record, row

MOLAR_GAS_CONSTANT = 8.314462618  # J/(mol K), exact in the SI of 2019
REFERENCE = 298.15  # K, where the sensible energy is zero by convention
BREAK = 1000.0  # K, where the two polynomials of each species meet


@record("constant low high name", hottest=4500.0)
class Gas:
    """A frozen mixture of ideal gases.

    Attributes
    ----------
    constant : float [J/(kg K)]
        Specific gas constant.
    low : (5,) array [-]
        Coefficients of c_v [J/(kg K)] in rising powers of T [K], below 1000 K.
    high : (5,) array [-]
        The same above 1000 K.
    name : str [-]
        What it is.
    hottest : float [K]
        Up to where the coefficients will do. From 3500 K, where they end, to 4500 K those of air and products rise by
        2 % and then bend down, which no gas does.
    """

    @cached_property
    def energy_coefficients(self):
        """Coefficients (6,) of the sensible energy in rising powers of T [K], below and above 1000 K [J/kg].

        The first of each makes the energy zero at 298.15 K and lets the two meet.
        """
        powers, value = np.arange(1.0, 6.0), np.polynomial.polynomial.polyval
        low, high = (np.concatenate([[0.0], c / powers]) for c in (self.low, self.high))
        low[0] = -value(REFERENCE, low)
        high[0] = value(BREAK, low) - value(BREAK, high)
        return low, high


def _mixture(parts, name):
    """Frozen mixture of the species of ``data/gas_species.csv``, from amounts of substance in any common scale.

    Form of the polynomials: NASA TM-4513; mixing rule of ideal gases, no dissociation.
    """
    total, own = sum(parts.values()), {key: row("gas_species", "species", key) for key in parts}
    mass = sum(amount * float(own[key]["molar_mass"]) for key, amount in parts.items()) / total
    constant = MOLAR_GAS_CONSTANT / mass
    low, high = (sum(n / total * np.array([float(own[key][f"{side}_{power}"]) for power in range(5)])
                     for key, n in parts.items()) for side in ("low", "high"))
    one = np.array([1.0, 0.0, 0.0, 0.0, 0.0])  # c_v = c_p - R
    return Gas(constant, constant * (low - one), constant * (high - one), name)


def constant_gamma(gamma, constant=287.05):
    """Ideal gas with one stated ratio of heat capacities.

    Parameters
    ----------
    gamma : float [1]
        Ratio of heat capacities.
    constant : float [J/(kg K)]
        Specific gas constant.

    Returns
    -------
    Gas [-]
        The gas.

    Raises
    ------
    InputError
        If gamma is outside 1.05 to 1.7.

    Valid: teaching, and checks against closed forms.
    Source: c_v = R / (gamma - 1).
    """
    if not 1.05 <= gamma <= 1.7:
        raise InputError("gamma", gamma, "outside 1.05 to 1.7", nearest=f"{min(max(gamma, 1.05), 1.7):g}")
    coefficients = np.array([constant / (gamma - 1.0), 0.0, 0.0, 0.0, 0.0])
    return Gas(constant, coefficients, coefficients, f"ideal gas, gamma {gamma:g}", np.inf)


def heat_capacity(gas, temperature):
    """Specific heat capacity at constant volume.

    Parameters
    ----------
    gas : Gas [-]
        The gas.
    temperature : (...) array [K]
        Temperature.

    Returns
    -------
    (...) array [J/(kg K)]
        c_v; gamma is 1 + R / c_v.

    Valid: 200 to 3500 K.
    Source: ``data/gas_species.csv``.

    Examples
    --------
    >>> round(AIR.constant, 1), round(1.0 + AIR.constant / float(heat_capacity(AIR, 300.0)), 3)
    (287.1, 1.401)
    """
    t = np.asarray(temperature, dtype=float)
    return _polynomial(t, np.where(t[..., None] < BREAK, gas.low, gas.high))


def energy(gas, temperature):
    """Sensible internal energy, counted from 298.15 K.

    Parameters
    ----------
    gas : Gas [-]
        The gas.
    temperature : (...) array [K]
        Temperature.

    Returns
    -------
    (...) array [J/kg]
        Integral of c_v.

    Valid: 200 to 3500 K.
    Source: ``data/gas_species.csv``, integrated.
    """
    t = np.asarray(temperature, dtype=float)
    return _polynomial(t, np.where(t[..., None] < BREAK, *gas.energy_coefficients))


def _polynomial(t, coefficients):
    return np.polynomial.polynomial.polyval(t, np.moveaxis(coefficients, -1, 0), tensor=False)


#: Dry air.
AIR = _mixture({"N2": 0.78084, "O2": 0.20947, "Ar": 0.00969}, "air")
#: What leaves a complete burn of C8H18 with 12.5 parts of oxygen: C8H18 + 12.5 O2 -> 8 CO2 + 9 H2O.
BURNED = _mixture({"CO2": 8.0, "H2O": 9.0, "N2": 12.5 * 0.78084 / 0.20947, "Ar": 12.5 * 0.00969 / 0.20947}, "products")
