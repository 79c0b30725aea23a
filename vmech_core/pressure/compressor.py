"""Single-stage piston compressor in closed form on any volume curve: clearance, polytropic changes, ideal valves.

Gas left in the clearance expands from delivery to suction pressure, the inlet opens, the charge is compressed from
suction to delivery pressure, the outlet opens. Valves open and close without loss or delay, and the gas is ideal.
Arguments broadcast: a pressure, exponent or ratio may be a number or an array (...) of a batch.
"""

import numpy as np

from vmech_core.base.errors import refuse

#: Range of the polytropic exponent: from an isothermal change to an isentropic one of a monatomic gas.
LOWEST_EXPONENT, HIGHEST_EXPONENT = 1.0, 1.67


def pressure(volume, falling, suction, delivery, exponent):
    """Cylinder pressure over a turn.

    Parameters
    ----------
    volume : (..., A) array [m3]
        Cylinder volume, clearance included, over a whole turn, with a sample at or near both dead centres.
    falling : (..., A) bool array [-]
        True where the piston moves outward and the volume falls.
    suction : float or (...) array [Pa]
        Absolute pressure before the inlet valve.
    delivery : float or (...) array [Pa]
        Absolute pressure behind the outlet valve.
    exponent : float or (...) array [1]
        Polytropic exponent of expansion and compression, 1 to 1.67.

    Returns
    -------
    (..., A) array [Pa]
        Absolute pressure, between suction and delivery.

    Raises
    ------
    InputError
        If the delivery pressure is not above suction, the exponent is out of range, or nothing would be delivered.

    Valid: steady running, ideal gas, valves without loss, delay or leakage; a turn with one rise and one fall.
    Source: p V^n constant from the dead centre on (any text on compressors); notebook 04 derives it.

    Examples
    --------
    >>> volume = np.array([0.1, 0.2, 1.1, 0.5])
    >>> (pressure(volume, np.array([True, False, True, True]), 1e5, 4e5, 1.0) / 1e5).round(3)
    array([4. , 2. , 1. , 2.2])
    """
    volume = np.asarray(volume, dtype=float)
    smallest, largest = volume.min(axis=-1), volume.max(axis=-1)
    _check(suction, delivery, exponent, smallest / (largest - smallest))
    low, high, n = (np.asarray(value, dtype=float)[..., None] for value in (suction, delivery, exponent))
    small, large = smallest[..., None], largest[..., None]
    left = np.divide(small, volume, out=np.ones(np.broadcast_shapes(small.shape, volume.shape)), where=volume > small)
    filled = large / np.maximum(volume, large * (low / high) ** (1.0 / n))
    return np.where(falling, np.minimum(low * filled**n, high), np.maximum(high * left**n, low))


def volumetric_efficiency(clearance_ratio, suction, delivery, exponent):
    """Volume taken in, at suction conditions, over the swept volume.

    Parameters
    ----------
    clearance_ratio : float or (...) array [1]
        Clearance volume over the swept volume.
    suction : float or (...) array [Pa]
        Absolute suction pressure.
    delivery : float or (...) array [Pa]
        Absolute delivery pressure.
    exponent : float or (...) array [1]
        Polytropic exponent of the clearance gas.

    Returns
    -------
    (...) array [1]
        Efficiency, 0 to 1; it knows nothing of heating, leakage or valve loss.

    Raises
    ------
    InputError
        As ``pressure``.

    Valid: as ``pressure``.
    Source: 1 + c - c (p2/p1)^(1/n), any text on compressors.

    Examples
    --------
    >>> round(float(volumetric_efficiency(0.05, 97e3, 550e3, 1.3)), 6)
    0.860043
    """
    _check(suction, delivery, exponent, clearance_ratio)
    c = np.asarray(clearance_ratio, dtype=float)
    return 1.0 - c * np.expm1(np.log(np.divide(delivery, suction)) / exponent)


def indicated_work(induced, suction, delivery, exponent):
    """Work of a cycle on the gas.

    Parameters
    ----------
    induced : float or (...) array [m3]
        Volume taken in at suction conditions: swept volume times volumetric efficiency.
    suction : float or (...) array [Pa]
        Absolute suction pressure.
    delivery : float or (...) array [Pa]
        Absolute delivery pressure.
    exponent : float or (...) array [1]
        Polytropic exponent; 1 gives the isothermal work.

    Returns
    -------
    (...) array [J]
        Work per cycle; for a volume per second, the power in watt.

    Raises
    ------
    InputError
        If the delivery pressure is not above suction, or the exponent is out of range.

    Valid: as ``pressure``; with equal exponents the clearance gas gives back what its compression took.
    Source: n/(n-1) p1 V (r^((n-1)/n) - 1), and p1 V ln r for n = 1, any text on compressors.

    Examples
    --------
    >>> float(indicated_work(1.0, 1.0, np.e, 1.0))
    1.0
    """
    _check(suction, delivery, exponent)
    growth = np.log(np.divide(delivery, suction))
    return np.asarray(induced, dtype=float) * suction * growth * _grown(growth, exponent)


def delivery_temperature(suction_temperature, suction, delivery, exponent):
    """Temperature of the gas that leaves.

    Parameters
    ----------
    suction_temperature : float or (...) array [K]
        Temperature of the charge at the start of its compression.
    suction : float or (...) array [Pa]
        Absolute suction pressure.
    delivery : float or (...) array [Pa]
        Absolute delivery pressure.
    exponent : float or (...) array [1]
        Polytropic exponent.

    Returns
    -------
    (...) array [K]
        Temperature.

    Raises
    ------
    InputError
        As ``indicated_work``.

    Valid: as ``pressure``.
    Source: T2 = T1 (p2/p1)^((n-1)/n).

    Examples
    --------
    >>> round(float(delivery_temperature(293.0, 97e3, 550e3, 1.3)), 2)
    437.29
    """
    _check(suction, delivery, exponent)
    n = np.asarray(exponent, dtype=float)
    return suction_temperature * np.divide(delivery, suction) ** ((n - 1.0) / n)


def _grown(growth, exponent):
    """(e^z - 1) / z with z = (n - 1) / n times ln(p2/p1): 1 for an isothermal change, without a jump near it."""
    z = growth * (1.0 - 1.0 / np.asarray(exponent, dtype=float))
    return np.divide(np.expm1(z), z, out=np.ones_like(z), where=z != 0.0)


def _check(suction, delivery, exponent, clearance_ratio=0.0):
    """Refuse what cannot run; of a batch, name the first value that cannot."""
    refuse(np.less_equal(suction, 0.0), "suction", suction, "not above 0", "Pa")
    words = f"not above the suction pressure of {float(np.max(suction)):.6g}"
    refuse(np.less_equal(delivery, suction), "delivery", delivery, words, "Pa")
    outside = np.less(exponent, LOWEST_EXPONENT) | np.greater(exponent, HIGHEST_EXPONENT)
    refuse(outside, "exponent", exponent, f"outside {LOWEST_EXPONENT:g} to {HIGHEST_EXPONENT:g}",
           nearest=np.clip(exponent, LOWEST_EXPONENT, HIGHEST_EXPONENT))
    refuse(np.less(clearance_ratio, 0.0), "clearance_ratio", clearance_ratio, "below 0", "", "0")
    most = 1.0 / np.expm1(np.log(np.divide(delivery, suction)) / np.asarray(exponent, dtype=float))
    words = f"so large that nothing is delivered at this pressure ratio: outside 0 to below {float(np.min(most)):.4g}"
    refuse(np.greater_equal(clearance_ratio, most), "clearance_ratio", clearance_ratio, words)
