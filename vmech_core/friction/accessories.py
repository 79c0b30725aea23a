"""Losses that both machines share: valve train, shaft seals, oil pump; and a published total to compare with.

What is counted where. Friction here is what a running ("fired") machine takes from the work of the gas on its pistons.
The gas exchange is not friction: the pressure trace holds it, as its inlet and outlet pressures, and a loss added here
would count it twice. ``pumping_pressure`` reads it from the trace, for published totals that include it ("motored").
Oil pump and shaft seals are counted; fan, generator, injection pump and ignition are not.
"""

import numpy as np

from vmech_core.base import estimates, refuse

#: Coefficients. Valves: friction pressure of two to four overhead or pushrod valves a cylinder, at the speeds below
#: [rad/s].
OWN = estimates("accessories")
VALVE_SPEEDS = (1000.0 * np.pi / 30.0, 6000.0 * np.pi / 30.0)


def friction_pressure(power, displacement, speed, cycle_turns):
    """Friction mean effective pressure: mean power over the volume that all pistons sweep in the time of one cycle.

    Parameters
    ----------
    power : float or (...) array [W]
        Mean over the cycle.
    displacement : float or (...) array [m3]
        Swept volume of all cylinders.
    speed : float or (...) array [rad/s]
        Speed of the shaft.
    cycle_turns : int [1]
        2 for a four-stroke, otherwise 1.

    Returns
    -------
    (...) array [Pa]
        The pressure.

    Raises
    ------
    InputError
        If displacement or speed is not above 0.

    Valid: any machine; cylinders that all work once in a cycle.
    Source: definition.
    """
    return power / _volume_rate(displacement, speed, cycle_turns)


def _volume_rate(displacement, speed, cycle_turns):
    for name, value, unit in (("displacement", displacement, "m3"), ("speed", speed, "rad/s")):
        refuse(~(np.asarray(value) > 0.0), name, value, "not above 0", unit)
    return displacement * speed / (2.0 * np.pi * cycle_turns)


def valve_train_power(displacement, speed, slow=OWN["valve_slow"].likely, fast=OWN["valve_fast"].likely):
    """Mean power that the valve train of a four-stroke engine takes: a range, not a model.

    Parameters
    ----------
    displacement, speed : float or (...) array [-]
        Swept volume of all cylinders [m3]; speed of the crankshaft [rad/s].
    slow, fast : float or (...) array [Pa]
        Friction pressure at 1,000 and at 6,000 rpm, ``valve_slow`` and ``valve_fast``; a power law joins them.

    Returns
    -------
    (...) array [W]
        Power.

    Raises
    ------
    InputError
        If displacement or speed is not above 0.

    Valid: four-stroke engines, 600 to 7,000 rpm; machines with ports or self-acting valves have none.
    Source: order of published ranges, from memory; falls with speed as cams rub in mixed film.
    """
    rate, (start, end) = _volume_rate(displacement, speed, 2), VALVE_SPEEDS
    return rate * slow * (speed / start) ** (np.log(fast / slow) / np.log(end / start))


def pumping_pressure(volume, pressure):
    """Mean effective pressure of the gas exchange, for comparison with published totals only: it is not friction.

    Parameters
    ----------
    volume : (..., A) array [m3]
        Volume of one cylinder over its gas exchange: from the bottom dead centre after the expansion to the next one.
    pressure : (..., A) array [Pa]
        Pressure in it.

    Returns
    -------
    (...) array [Pa]
        Work that the piston spends on the gas over the swept volume; negative where the supply drives the piston.

    Valid: four-stroke engines; loop from dead centre to dead centre, lost work of valves that open early is left out.
    Source: definition.
    """
    swept = np.max(volume, axis=-1) - np.min(volume, axis=-1)
    return -np.trapezoid(pressure, volume, axis=-1) / swept


def seal_power(diameter, speed, line=OWN["seal_line"].likely, friction=OWN["seal_friction"].likely, count=2):
    """Power of the lip seals of a shaft.

    Parameters
    ----------
    diameter : float or (...) array [m]
        Of the lip.
    speed : float or (...) array [rad/s]
        Speed of the shaft.
    line, friction : float or (...) array [-]
        Force of the lip over its circumference [N/m], friction coefficient: as in ``OWN``.
    count : int [1]
        Number of seals.

    Returns
    -------
    (...) array [W]
        Power: torque friction x line x pi diameter^2 / 2, times speed.

    Valid: rubbing speed 1 to 15 m/s, no pressure across the seal.
    Source: force on the lip times its radius; coefficients from memory.
    """
    return count * friction * line * 0.5 * np.pi * diameter**2 * np.abs(speed)


def oil_pump_power(leakage, pressure, efficiency=OWN["pump_efficiency"].likely, margin=OWN["pump_margin"].likely,
                   other=0.0):
    """Power of the oil pump.

    Parameters
    ----------
    leakage : float or (...) array [m3/s]
        Flow through all bearings.
    pressure : float or (...) array [Pa]
        Supply pressure.
    efficiency, margin : float or (...) array [1]
        Overall; flow of the pump over leakage: as in ``OWN``.
    other : float or (...) array [m3/s]
        Flow for all else: ``oil_flow`` times swept volume times turns in a second.

    Returns
    -------
    (...) array [W]
        Power.

    Valid: pump with a relief valve, which spills the rest at the same pressure.
    Source: work of displacement; coefficients from memory.
    """
    return (margin * leakage + other) * pressure / efficiency


def barnes_moss(speed):
    """Published friction pressure of whole spark-ignition engines, 0.97 + 0.15 n + 0.05 n^2 bar, n in 1,000 rpm.

    Boundary: motored, so without the load of combustion on rings and bearings and with cooler oil; at wide-open
    throttle; includes the pumping work of the gas exchange, valve train, water and oil pump.

    Parameters
    ----------
    speed : float or (...) array [rad/s]
        Speed of the crankshaft.

    Returns
    -------
    (...) array [Pa]
        Mean effective pressure of a four-stroke.

    Valid: four cylinders of 0.8 to 2.0 l in all, engines of about 1970, 1,000 to 6,000 rpm; newer ones lie below.
    Source: D. Barnes-Moss (1975) as in J. B. Heywood (1988), chapter 13 (from memory; accessories from memory too).
    """
    n = np.asarray(speed, dtype=float) * 30e-3 / np.pi
    return 1e5 * (0.97 + 0.15 * n + 0.05 * n**2)
