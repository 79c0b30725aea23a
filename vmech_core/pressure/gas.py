"""Ideal gas with a heat capacity that depends on temperature: air, and the products of a complete burn."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from vmech_core.base.errors import InputError

MOLAR_GAS_CONSTANT = 8.314462618  # J/(mol K), exact in the SI of 2019
REFERENCE = 298.15  # K, where the sensible energy is zero by convention
BREAK = 1000.0  # K, where the two polynomials of each species meet

#: Molar mass [kg/mol], then c_p / R = a0 + a1 T + ... + a4 T^4 below and above 1000 K, for 200 to 3500 K.
#: NASA polynomials in the form of McBride, Gordon and Reno, NASA TM-4513 (1993); values as in the open GRI-Mech 3.0
#: thermodynamic file, read; tests compare them with a chemical-kinetics library.
SPECIES = {
    "N2": (0.0280134, (3.298677, 1.4082404e-3, -3.963222e-6, 5.641515e-9, -2.444854e-12),
           (2.92664, 1.4879768e-3, -5.68476e-7, 1.0097038e-10, -6.753351e-15)),
    "O2": (0.0319988, (3.78245636, -2.99673416e-3, 9.84730201e-6, -9.68129509e-9, 3.24372837e-12),
           (3.28253784, 1.48308754e-3, -7.57966669e-7, 2.09470555e-10, -2.16717794e-14)),
    "Ar": (0.039948, (2.5, 0.0, 0.0, 0.0, 0.0), (2.5, 0.0, 0.0, 0.0, 0.0)),
    "CO2": (0.0440095, (2.35677352, 8.98459677e-3, -7.12356269e-6, 2.45919022e-9, -1.43699548e-13),
            (3.85746029, 4.41437026e-3, -2.21481404e-6, 5.23490188e-10, -4.72084164e-14)),
    "H2O": (0.01801528, (4.19864056, -2.0364341e-3, 6.52040211e-6, -5.48797062e-9, 1.77197817e-12),
            (3.03399249, 2.17691804e-3, -1.64072518e-7, -9.7041987e-11, 1.68200992e-14)),
}


@dataclass(frozen=True)
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

    constant: float
    low: np.ndarray
    high: np.ndarray
    name: str
    hottest: float = 4500.0

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
    """Frozen mixture of the species of ``SPECIES``, from amounts of substance in any common scale.

    Form of the polynomials: NASA TM-4513; mixing rule of ideal gases, no dissociation.
    """
    total = sum(parts.values())
    mass = sum(amount * SPECIES[key][0] for key, amount in parts.items()) / total
    constant = MOLAR_GAS_CONSTANT / mass
    low, high = (sum(n / total * np.array(SPECIES[key][place]) for key, n in parts.items()) for place in (1, 2))
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
    Source: ``SPECIES``.

    Examples
    --------
    >>> round(AIR.constant, 1), round(1.0 + AIR.constant / float(heat_capacity(AIR, 300.0)), 3)
    (287.1, 1.401)
    """
    t = np.asarray(temperature, dtype=float)[..., None]
    c = np.where(t < BREAK, gas.low, gas.high)
    t = t[..., 0]
    return c[..., 0] + t * (c[..., 1] + t * (c[..., 2] + t * (c[..., 3] + t * c[..., 4])))


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
    Source: ``SPECIES``, integrated.
    """
    t = np.asarray(temperature, dtype=float)
    c = np.where(t[..., None] < BREAK, *gas.energy_coefficients)
    return c[..., 0] + t * (c[..., 1] + t * (c[..., 2] + t * (c[..., 3] + t * (c[..., 4] + t * c[..., 5]))))


#: Dry air.
AIR = _mixture({"N2": 0.78084, "O2": 0.20947, "Ar": 0.00969}, "air")
#: What leaves a complete burn of C8H18 with 12.5 parts of oxygen: C8H18 + 12.5 O2 -> 8 CO2 + 9 H2O.
BURNED = _mixture({"CO2": 8.0, "H2O": 9.0, "N2": 12.5 * 0.78084 / 0.20947, "Ar": 12.5 * 0.00969 / 0.20947}, "products")
