"""Losses that both machines share: piston rings, valve train, shaft seals, oil pump; and published totals to compare.

What is counted where. Friction here is what a running ("fired") machine takes from the work of the gas on its pistons.
The gas exchange is not friction: the pressure trace holds it, as its inlet and outlet pressures, and a loss added here
would count it twice. ``pumping_pressure`` reads it from the trace, for published totals that include it ("motored").
Accessories: oil pump and shaft seals are counted; fan, generator, injection pump and ignition are not. Coefficients
are ``Estimate``: low, likely, high and source; every function takes numbers or arrays, so that they can be sampled.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.results import Estimate
from vmech_core.bearings import pads, surfaces

MEMORY, PRACTICE = "from memory", "common practice, no source"
#: Added so that nothing is zero; halvings of the bracket of a film.
TINY = 1e-30
HALVINGS = 24


@dataclass(frozen=True)
class Ring:
    """One kind of piston ring, its face a parabola along the sliding; each field an Estimate, a number or an array.

    Attributes
    ----------
    height, crown : Estimate or (...) array [1]
        Height of one face over bore; fall of both its ends over its height. Its radius is height / (8 crown).
    tension : Estimate or (...) array [Pa]
        Pressure of the face on the bore by the ring's own spring.
    gas, faces : Estimate or (...) array [1]
        Share of the gas pressure above the crankcase that presses it besides; number of such faces on a piston.
    """

    height: object
    crown: object
    tension: object
    gas: object
    faces: object = 1.0


_HEIGHT = Estimate(0.014, 0.019, 0.028, "1", f"1.2 mm at 63 mm bore; {PRACTICE}")
_CROWN = Estimate(2e-3, 4e-3, 8e-3, "1", f"barrel of 2 to 10 um, run in; {MEMORY}")
_TENSION = Estimate(0.8e5, 1.5e5, 2.0e5, "Pa", MEMORY)
#: Three rings. The gas behind the top ring is balanced on the upper half of its barrel, so that about half is left.
PACK = {
    "top": Ring(_HEIGHT, _CROWN, _TENSION, Estimate(0.3, 0.5, 0.8, "1", f"own reasoning, range {MEMORY}")),
    "second": Ring(_HEIGHT, _CROWN, _TENSION, Estimate(0.02, 0.08, 0.2, "1", MEMORY)),
    "oil": Ring(
        Estimate(0.005, 0.007, 0.010, "1", f"a land of 0.4 to 0.5 mm; {PRACTICE}"),
        Estimate(4e-3, 8e-3, 16e-3, "1", MEMORY),
        Estimate(4e5, 8e5, 12e5, "Pa", MEMORY),
        gas=0.0,  # vented behind
        faces=2.0,
    ),
}
#: Friction pressure of two to four overhead or pushrod valves a cylinder, at the speeds beside it [rad/s].
VALVE_SLOW = Estimate(0.06e5, 0.15e5, 0.30e5, "Pa", f"at 1,000 rpm, roller to flat follower; {MEMORY}")
VALVE_FAST = Estimate(0.04e5, 0.08e5, 0.18e5, "Pa", f"at 6,000 rpm; {MEMORY}")
VALVE_SPEEDS = (1000.0 * np.pi / 30.0, 6000.0 * np.pi / 30.0)
SEAL_LINE = Estimate(60.0, 100.0, 150.0, "N/m", f"force of an elastic lip with spring; {MEMORY}")
SEAL_FRICTION = Estimate(0.2, 0.35, 0.5, "1", f"oiled elastic lip; {MEMORY}")
PUMP_EFFICIENCY = Estimate(0.3, 0.45, 0.6, "1", f"small gear pump with drive, overall; {MEMORY}")
PUMP_MARGIN = Estimate(1.2, 2.0, 3.0, "1", f"flow over leakage of the bearings, rest over the relief valve; {PRACTICE}")
#: Constant friction coefficients of rolling bearings, on bore radius: table of a bearing maker, read at roymech.org. A
#: second maker's ranges (read): deep groove .0010-.0015, cylindrical .0008-.0012, needle with cage .0020-.0030.
ROLLING = {
    "deep groove ball": 0.0015, "angular contact": 0.002, "self-aligning ball": 0.001,
    "cylindrical roller with cage": 0.0011, "cylindrical full complement": 0.002, "spherical roller": 0.0018,
    "taper roller": 0.0018, "needle with cage": 0.003, "needle full complement": 0.005,
}  # fmt: skip


def chosen(ring, pick=lambda estimate: estimate.likely):
    """The same ring with numbers for its estimates.

    Parameters
    ----------
    ring : Ring [-]
        Ring of estimates, as in ``PACK``.
    pick : callable [-]
        Makes a number, or an array of samples, of an Estimate; the likely value unless told otherwise.

    Returns
    -------
    Ring [-]
        Ring of numbers or arrays.

    Valid: any ring.
    Source: none needed.
    """
    return Ring(*(pick(v) if isinstance(v, Estimate) else v for v in vars(ring).values()))


@cache
def _table():
    """At even steps of log s, s the crown over the least film: log of the load x s^2, and the drag of the bore.

    With x = sqrt(2 R h0) tan g all integrals over the parabola are closed forms in g; only where the film breaks is
    sought. Drag / (viscosity speed height / h0): shear and slope of the pressure before, streaks of oil behind.
    """
    s = np.geomspace(1e-3, 9e4, 500)
    end = np.arctan(np.sqrt(s))

    def inner(g):  # integrals of cos^2 and cos^4
        return np.array([0.5 * g + 0.25 * np.sin(2.0 * g), 0.375 * g + 0.25 * np.sin(2.0 * g) + np.sin(4.0 * g) / 32.0])

    low, high = np.zeros_like(s), end
    for _ in range(60):
        g = 0.5 * (low + high)
        square, fourth = inner(g) + inner(end)
        wet = square * np.cos(g) ** 2 > fourth
        low, high = np.where(wet, g, low), np.where(wet, high, g)
    behind = (inner(end) - inner(g))[0]
    drag = (4.0 * (g + end) + (behind - 3.0 * square) / np.cos(g) ** 2) / (2.0 * np.sqrt(s))
    return np.log(s), np.log(pads.crown_load(s) * s**2), drag


def _alone(load, pull, crown):
    """Film of the oil alone; pull is viscosity x speed x height^2."""
    steps, loads, _ = _table()
    return crown / np.exp(np.interp(np.log(load * crown**2 / pull), loads, steps))


def _mixed(load, pull, height, crown, roughness, asperity):
    """Film, and share of the peaks, where the oil alone would be thin enough for them to touch."""
    low, high = _alone(load, pull, crown), surfaces.REACH * roughness
    for _ in range(HALVINGS):
        film = 0.5 * (low + high)
        reach = np.maximum(surfaces.REACH - film / roughness, 1e-9)
        peaks = asperity * height * reach**surfaces.POWER * pads.strip(crown / (roughness * reach), 7)
        oil = pull * pads.crown_load(crown / film) / film**2
        thick = oil + peaks < load
        low, high = np.where(thick, low, film), np.where(thick, film, high)
    return film, np.clip(1.0 - oil / load, 0.0, 1.0)


def ring_film(height, crown, load, speed, viscosity, roughness, asperity):
    """Film under a ring whose oil and peaks carry its load together, at each instant by itself.

    Parameters
    ----------
    height, crown : float or (...) array [m]
        Height of the face along the sliding; fall of both its ends behind the middle.
    load : float or (...) array [N/m]
        Force on the bore over its circumference, above 0.
    speed, viscosity : float or (...) array [-]
        Sliding speed of either sign [m/s]; viscosity [Pa s].
    roughness : float or (...) array [m]
        Composite roughness.
    asperity : float or (...) array [Pa]
        Pressure of the peaks at a film ratio of 3, as in ``pads.Pads``.

    Returns
    -------
    film : (...) array [m]
        Least film.
    share : (...) array [1]
        Of the load, what the peaks carry: 0 full film, 1 at rest.

    Valid: flooded, stiff ring round the whole bore. No squeeze: at dead centres the film falls onto the peaks at once,
        where in truth it needs time; of the mean power that costs -2 to 4 % with the likely values, up to 12 % with the
        strongest crowns, but the least film is then too thin, of the top ring by a factor of 5. A starved ring has a
        thinner film. Films below half the roughness are no prediction.
    Source: ``pads.crown_load``, ``surfaces.asperity_pressure``.
    """
    pull = viscosity * np.abs(speed) * height**2 + TINY
    each = np.broadcast_arrays(load, pull, height, crown, roughness, asperity)
    film = np.array(_alone(each[0], each[1], each[3]))
    share, thin = np.zeros(film.shape), film < surfaces.REACH * each[4]
    film[thin], share[thin] = _mixed(*(values[thin] for values in each))
    return film, share


def ring_friction(ring, bore, gas, speed, viscosity, roughness, asperity, boundary=surfaces.BOUNDARY_FRICTION.likely):
    """Friction of the rings of one kind on one piston.

    Parameters
    ----------
    ring : Ring [-]
        With numbers, see ``chosen``.
    bore : float or (...) array [m]
        Bore.
    gas : (..., A) array [Pa]
        Pressure in the cylinder above that in the crankcase; below it the tension acts alone.
    speed : (..., A) array [m/s]
        Piston speed.
    viscosity, roughness, asperity : float or (...) array [-]
        As in ``ring_film``, in Pa s, m and Pa.
    boundary : float or (...) array [1]
        Friction coefficient of the peaks.

    Returns
    -------
    force : (..., A) array [N]
        Against the sliding, never negative.
    power : (..., A) array [W]
        Force times speed.

    Valid: as ``ring_film``; shear and slope of the pressure before the film breaks, streaks of oil behind. Guides are
        charged in ``sliding`` for shear over the whole face instead, up to a quarter less for a strong crown.
    Source: I. Newton's law of shear, Reynolds's equation; pressures as stated beside ``PACK``.
    """
    steps, _, drags = _table()
    height, speed = ring.height * bore, np.abs(speed)
    crown, load = ring.crown * height, height * (ring.tension + ring.gas * np.maximum(gas, 0.0))
    film, share = ring_film(height, crown, load, speed, viscosity, roughness, asperity)
    oil = viscosity * speed * height / film * np.interp(np.log(crown / film), steps, drags)
    force = np.pi * bore * ring.faces * (oil + boundary * share * load)
    return force, force * speed


def mean_effective_pressure(power, displacement, speed, cycle_turns):
    """Mean power over the volume that all pistons sweep in the time of one cycle.

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
        Mean effective pressure.

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
        if not np.all(np.asarray(value) > 0.0):
            raise InputError(name, float(np.min(value)), "not above 0", unit)
    return displacement * speed / (2.0 * np.pi * cycle_turns)


def valve_train_power(displacement, speed, slow=VALVE_SLOW.likely, fast=VALVE_FAST.likely):
    """Mean power that the valve train of a four-stroke engine takes: a range, not a model.

    Parameters
    ----------
    displacement, speed : float or (...) array [-]
        Swept volume of all cylinders [m3]; speed of the crankshaft [rad/s].
    slow, fast : float or (...) array [Pa]
        Friction pressure at 1,000 and at 6,000 rpm, from ``VALVE_SLOW`` and ``VALVE_FAST``; a power law joins them.

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


def seal_power(diameter, speed, line=SEAL_LINE.likely, friction=SEAL_FRICTION.likely, count=2):
    """Power of the lip seals of a shaft.

    Parameters
    ----------
    diameter : float or (...) array [m]
        Of the lip.
    speed : float or (...) array [rad/s]
        Speed of the shaft.
    line, friction : float or (...) array [-]
        Force of the lip over its circumference [N/m], friction coefficient: ``SEAL_LINE``, ``SEAL_FRICTION``.
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


def oil_pump_power(leakage, pressure, efficiency=PUMP_EFFICIENCY.likely, margin=PUMP_MARGIN.likely):
    """Power of the oil pump.

    Parameters
    ----------
    leakage : float or (...) array [m3/s]
        Flow through all bearings.
    pressure : float or (...) array [Pa]
        Supply pressure.
    efficiency, margin : float or (...) array [1]
        Overall; flow of the pump over leakage: ``PUMP_EFFICIENCY``, ``PUMP_MARGIN``.

    Returns
    -------
    (...) array [W]
        Power.

    Valid: pump with a relief valve, which spills the rest at the same pressure.
    Source: work of displacement; coefficients from memory.
    """
    return margin * leakage * pressure / efficiency


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


def chen_flynn(peak_pressure, piston_speed, constant=0.137e5, share=0.005, per_speed=0.162e5):
    """Published friction pressure of a whole engine: constant + share x peak pressure + per_speed x piston speed.

    Boundary: as its user fits it. Constants vary widely between users, who treat them as calibration; these three come
    from one fired single-cylinder compression-ignition engine, whose boundary we have not read.

    Parameters
    ----------
    peak_pressure, piston_speed : float or (...) array [-]
        Greatest pressure in the cylinder [Pa]; mean piston speed, 2 stroke x turns per second [m/s].
    constant, share, per_speed : float [-]
        In Pa, 1 and Pa / (m/s).

    Returns
    -------
    (...) array [Pa]
        Mean effective pressure.

    Valid: comparison only.
    Source: S. K. Chen and P. Flynn, SAE 650733 (from memory).
    """
    return constant + share * peak_pressure + per_speed * piston_speed


def trumpler(diameter):
    """Limits for a plain bearing that lasts, after P. R. Trumpler.

    Parameters
    ----------
    diameter : float or (...) array [m]
        Journal diameter.

    Returns
    -------
    film : (...) array [m]
        Least film.
    temperature, start_pressure, factor : float [-]
        Hottest film [K]; load over diameter and length to start with [Pa]; factor on the load that all this allows.

    Valid: steady load; engines run with films down to a tenth of this, on smoother and cleaner surfaces (from memory).
    Source: Shigley's Mechanical Engineering Design, section 12-14 (read in an openly licensed library).
    """
    return 5e-6 + 4e-5 * np.asarray(diameter, dtype=float), 121.0 + 273.15, 2.07e6, 2.0


def rolling_power(kind, load, bore, speed):
    """Power of a rolling bearing by a constant friction coefficient on its bore radius.

    Parameters
    ----------
    kind : str [-]
        One of ``ROLLING``.
    load, bore, speed : float or (...) array [-]
        Load [N], bore diameter [m], speed of one ring against the other [rad/s].

    Returns
    -------
    (...) array [W]
        Power.

    Raises
    ------
    InputError
        If there is no such kind.

    Valid: load of about a tenth of the rating, no seals; coarser than ``rolling.friction``, but for more kinds.
    Source: beside ``ROLLING``.
    """
    if kind not in ROLLING:
        raise InputError("kind", kind, f"not one of {', '.join(ROLLING)}")
    return ROLLING[kind] * np.abs(load) * 0.5 * bore * np.abs(speed)
