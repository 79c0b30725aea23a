"""Steadily loaded journal bearings: the short bearing in closed form, and finite lengths from published tables.

The load stands still, the journal turns in a sleeve at rest, the oil has one viscosity. ``slenderness`` is length over
diameter; the Sommerfeld number is S = (mu N / P)(r / c)^2 with N in revolutions per second and P = load / (length x
diameter). Every argument may be a number or an array; they broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.tables import rows

TABLE = "finite_journal_bearings"
COLUMNS = ("sommerfeld", "attitude_deg", "friction", "flow", "side_flow", "pressure_ratio")
SLENDERNESS_OF_TABLES = ("inf", "1", "0.5", "0.25")
UNITS = {"diameter": "m", "length": "m", "clearance": "m", "viscosity": "Pa s", "speed": "rad/s", "load": "N"}


@dataclass(frozen=True)
class ShortBearing:
    """A short bearing with a half film at one eccentricity.

    Attributes
    ----------
    load_number : (...) array [1]
        Load x clearance^2 / (viscosity x speed x radius x length^3).
    attitude : (...) array [rad]
        Angle from the load line to the line of centres, in the sense of rotation: a quarter turn at no load.
    sommerfeld : (...) array [1]
        (mu N / P)(r / c)^2.
    """

    load_number: np.ndarray
    attitude: np.ndarray
    sommerfeld: np.ndarray


@dataclass(frozen=True)
class FilmNumbers:
    """A finite journal bearing in pure numbers.

    Attributes
    ----------
    film_ratio : (...) array [1]
        Least film over radial clearance.
    attitude : (...) array [rad]
        Angle from the load line to the line of centres.
    friction : (...) array [1]
        (r/c) times the coefficient of friction.
    flow : (...) array [1]
        Flow that enters the film / (r c N length).
    side_flow : (...) array [1]
        Share of that flow that leaves at both edges.
    pressure_ratio : (...) array [1]
        Load per projected area over the largest film pressure.
    """

    film_ratio: np.ndarray
    attitude: np.ndarray
    friction: np.ndarray
    flow: np.ndarray
    side_flow: np.ndarray
    pressure_ratio: np.ndarray


@dataclass(frozen=True)
class OperatingPoint:
    """Where a finite journal bearing runs, and what it takes.

    Attributes
    ----------
    film : (...) array [m]
        Least film thickness.
    eccentricity : (...) array [1]
        Distance of the centres over the radial clearance.
    attitude : (...) array [rad]
        Angle from the load line to the line of centres.
    friction : (...) array [1]
        Coefficient of friction: friction torque / (load x radius).
    power : (...) array [W]
        Friction power.
    flow : (...) array [m3/s]
        Flow that enters the film; part of it goes round again.
    side_flow : (...) array [m3/s]
        Flow that leaves at both edges and must be supplied.
    pressure : (...) array [Pa]
        Largest film pressure.
    temperature_rise : (...) array [K]
        Warming of the side flow if it carries off all friction heat.
    """

    film: np.ndarray
    eccentricity: np.ndarray
    attitude: np.ndarray
    friction: np.ndarray
    power: np.ndarray
    flow: np.ndarray
    side_flow: np.ndarray
    pressure: np.ndarray
    temperature_rise: np.ndarray


def _within(field, value, low, high):
    """Values as an array of floats; an error names the first that is outside ``low`` to ``high``."""
    value, low, high = np.broadcast_arrays(np.asarray(value, dtype=float), low, high)
    bad = ~((value >= low * (1.0 - 1e-12)) & (value <= high * (1.0 + 1e-12)))
    if bad.any():
        first, least, most = (float(f"{side[bad][0]:.4g}") for side in (value, low, high))
        raise InputError(field, first, f"outside {least:g} to {most:g}", "", f"{most if first > most else least:g}")
    return value


def _positive(**values):
    for field, value in values.items():
        value = np.asarray(value, dtype=float)
        bad = ~((value > 0.0) & np.isfinite(value))
        if bad.any():
            raise InputError(field, float(value[bad][0]), "not a finite number above 0", UNITS.get(field, ""))


def sommerfeld_number(diameter, length, clearance, viscosity, speed, load):
    """Sommerfeld number of a journal bearing.

    Parameters
    ----------
    diameter : float or (...) array [m]
        Journal diameter.
    length : float or (...) array [m]
        Length of the bearing.
    clearance : float or (...) array [m]
        Radial clearance.
    viscosity : float or (...) array [Pa s]
        Viscosity of the oil in the film.
    speed : float or (...) array [rad/s]
        Speed of the journal.
    load : float or (...) array [N]
        Steady load.

    Returns
    -------
    (...) array [1]
        (mu N / P)(r / c)^2.

    Raises
    ------
    InputError
        If an argument is not a finite number above 0.

    Valid: definition.
    Source: A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958).
    """
    _positive(diameter=diameter, length=length, clearance=clearance, viscosity=viscosity, speed=speed, load=load)
    pressure = np.asarray(load) / (np.asarray(length) * diameter)
    return viscosity * (speed / (2.0 * np.pi)) / pressure * (diameter / (2.0 * np.asarray(clearance))) ** 2


def petroff_friction(sommerfeld, clearance_ratio):
    """Coefficient of friction of a journal that runs in the middle of its sleeve.

    Parameters
    ----------
    sommerfeld : float or (...) array [1]
        Sommerfeld number.
    clearance_ratio : float or (...) array [1]
        Radial clearance over radius.

    Returns
    -------
    (...) array [1]
        Friction torque / (load x radius).

    Raises
    ------
    InputError
        If an argument is not a finite number above 0.

    Valid: light load, eccentricity near 0.
    Source: N. P. Petroff (1883): f = 2 pi^2 (mu N / P)(r / c), as in Shigley, Mechanical Engineering Design.
    """
    _positive(sommerfeld=sommerfeld, clearance_ratio=clearance_ratio)
    return 2.0 * np.pi**2 * np.asarray(sommerfeld) * clearance_ratio


def short_bearing(eccentricity, slenderness):
    """Load, attitude and Sommerfeld number of a short bearing with a half film.

    Parameters
    ----------
    eccentricity : float or (...) array [1]
        Distance of the centres over the radial clearance, above 0 and below 1.
    slenderness : float or (...) array [1]
        Length over diameter.

    Returns
    -------
    ShortBearing [-]
        The three numbers.

    Raises
    ------
    InputError
        If the eccentricity is not between 0 and 1 or the slenderness not above 0.

    Valid: slenderness up to about 1/4; ``short_bearing_error`` says what it errs above.
    Source: G. B. DuBois and F. W. Ocvirk, NACA Report 1157 (1953).

    Examples
    --------
    >>> round(float(short_bearing(0.5, 0.25).load_number), 4)
    0.7504
    """
    _positive(eccentricity=eccentricity, slenderness=slenderness)
    e = np.asarray(eccentricity, dtype=float)
    if (e >= 1.0).any():
        raise InputError("eccentricity", float(e[e >= 1.0][0]), "not below 1, where journal and sleeve touch")
    number = _load_number(e)
    attitude = np.arctan2(np.pi * np.sqrt((1.0 - e) * (1.0 + e)), 4.0 * e)
    return ShortBearing(number, attitude, 1.0 / (4.0 * np.pi * number * np.asarray(slenderness) ** 2))


def _load_number(e):
    gap = (1.0 - e) * (1.0 + e)
    return e * np.sqrt(16.0 * e**2 + np.pi**2 * gap) / (4.0 * gap**2)


def short_eccentricity(slenderness, sommerfeld):
    """Eccentricity at which a short bearing with a half film runs.

    The least film is clearance x (1 - eccentricity). The load rises with eccentricity, so bisection finds the one
    answer.

    Parameters
    ----------
    slenderness : float or (...) array [1]
        Length over diameter.
    sommerfeld : float or (...) array [1]
        As ``sommerfeld_number`` gives it for size, oil, speed and load.

    Returns
    -------
    (...) array [1]
        Distance of the centres over the radial clearance.

    Raises
    ------
    InputError
        If an argument is not a finite number above 0.

    Valid: as ``short_bearing``.
    Source: G. B. DuBois and F. W. Ocvirk, NACA Report 1157 (1953), solved backwards.
    """
    _positive(slenderness=slenderness, sommerfeld=sommerfeld)
    number = 1.0 / (4.0 * np.pi * np.asarray(sommerfeld) * np.asarray(slenderness) ** 2)
    low, high = np.zeros(number.shape), np.ones(number.shape)
    for _ in range(52):
        middle = (low + high) / 2.0
        enough = _load_number(middle) > number
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return (low + high) / 2.0


@cache
def _tables():
    """Film ratios, rising, and (slenderness, film ratio, 6): S, (r/c) f, and S times angle, flow, side flow, P/p_max.

    All six grow as (diameter / length)^2 in a short bearing, and so suit a cubic in it better than what levels off.
    """
    parts = [[row for row in rows(TABLE) if row["length_over_diameter"] == s] for s in SLENDERNESS_OF_TABLES]
    parts = [sorted(part, key=lambda row: float(row["film_over_clearance"])) for part in parts]
    films = np.array([[float(row["film_over_clearance"]) for row in part] for part in parts])
    number, degrees, friction, flow, share, ratio = np.array(
        [[[float(row[column]) for row in part] for part in parts] for column in COLUMNS]
    )
    grown = [number * column for column in (np.radians(degrees), flow, flow * share, ratio)]
    return films[0], np.stack([number, friction, *grown], axis=-1)


def length_weights(slenderness):
    """Shares of the four tables (infinite, 1, 1/2, 1/4) in the values for another length.

    Parameters
    ----------
    slenderness : float or (...) array [1]
        Length over diameter, from 1/4 to infinity.

    Returns
    -------
    (..., 4) array [1]
        Weights, whose sum is 1.

    Raises
    ------
    InputError
        If the slenderness is below 1/4, the shortest bearing tabulated.

    Valid: length / diameter from 1/4 up.
    Source: interpolation rule of A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958), a cubic in diameter / length.
    """
    x = 1.0 / _within("slenderness", slenderness, 0.25, np.inf)
    return np.stack([
        -(x - 1.0) * (x - 2.0) * (x - 4.0) / 8.0,
        x * (x - 2.0) * (x - 4.0) / 3.0,
        -x * (x - 1.0) * (x - 4.0) / 4.0,
        x * (x - 1.0) * (x - 2.0) / 24.0,
    ], axis=-1)


def _blended(slenderness):
    """One length, (..., film ratio, 7): logarithms of film/(clearance - film), S and friction; then the other four."""
    films, tables = _tables()
    number, friction, *grown = np.moveaxis(np.tensordot(length_weights(slenderness), tables, 1), -1, 0)
    attitude, flow, side, ratio = (column / number for column in grown)
    position = np.broadcast_to(np.log(films / (1.0 - films)), number.shape)
    return np.stack([position, np.log(number), np.log(friction), attitude, flow, side / flow, ratio], axis=-1)


def _interpolate(column, value, table):
    """Row of ``table`` (..., row, column) between two of its rows, where ``column``, which rises, has ``value``."""
    key = table[..., column]
    at = np.clip((key <= value[..., None]).sum(-1) - 1, 0, key.shape[-1] - 2)[..., None, None]
    low, high = (np.take_along_axis(table, at + k, axis=-2)[..., 0, :] for k in (0, 1))
    share = (value - low[..., column]) / (high[..., column] - low[..., column])
    return low + share[..., None] * (high - low)


def film_numbers(slenderness, sommerfeld):
    """Film, friction, flow and pressure of a finite journal bearing, in pure numbers.

    Between tabulated points the logarithms of Sommerfeld number, friction and film/(clearance - film) run straight, and
    the others with them; between lengths the rule of ``length_weights`` is used at equal film ratio, so that all
    four tables cover the same range.

    Parameters
    ----------
    slenderness : float or (...) array [1]
        Length over diameter, 1/4 to 2.
    sommerfeld : float or (...) array [1]
        (mu N / P)(r / c)^2.

    Returns
    -------
    FilmNumbers [-]
        The numbers, of broadcast shape.

    Raises
    ------
    InputError
        If the slenderness or the Sommerfeld number is outside the tables.

    Valid: film ratio 0.03 to 0.9, full bearing, steady load, one viscosity, laminar film. Between the rows within 4 %
    of the tests' own solution of Reynolds' equation; flows and pressure within 5 % at slenderness 1.5, 10 % at 2.
    Source: A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958); ``data/finite_journal_bearings.csv`` says which rows are
    from memory.

    Examples
    --------
    >>> round(float(film_numbers(1.0, 0.121).film_ratio), 3)
    0.4
    """
    slenderness, sommerfeld = np.broadcast_arrays(np.asarray(slenderness, float), np.asarray(sommerfeld, float))
    table = _blended(_within("slenderness", slenderness, 0.25, 2.0))
    number = _within("sommerfeld", sommerfeld, *np.exp(np.moveaxis(table[..., [0, -1], 1], -1, 0)))
    position, _, friction, attitude, flow, side, ratio = np.moveaxis(_interpolate(1, np.log(number), table), -1, 0)
    return FilmNumbers(1.0 / (1.0 + np.exp(-position)), attitude, np.exp(friction), flow, side, ratio)


def operating_point(diameter, length, clearance, viscosity, speed, load, heat_capacity=1.7e6):
    """Where a finite journal bearing runs: film, friction, flow, pressure and warming of the oil.

    Parameters
    ----------
    diameter : float or (...) array [m]
        Journal diameter.
    length : float or (...) array [m]
        Length of the bearing.
    clearance : float or (...) array [m]
        Radial clearance.
    viscosity : float or (...) array [Pa s]
        Viscosity of the oil in the film.
    speed : float or (...) array [rad/s]
        Speed of the journal.
    load : float or (...) array [N]
        Steady load.
    heat_capacity : float or (...) array [J/(m3 K)]
        Density times specific heat of the oil; 1.5e6 to 1.9e6 for mineral oil (from memory).

    Returns
    -------
    OperatingPoint [-]
        All results, of broadcast shape.

    Raises
    ------
    InputError
        If an argument is not above 0 or the bearing is outside the tables.

    Valid: as ``film_numbers``; all friction heat leaves with the side flow (the housing takes none).
    Source: A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958).
    """
    number = sommerfeld_number(diameter, length, clearance, viscosity, speed, load)
    radius, length = np.asarray(diameter) / 2.0, np.asarray(length)
    film = film_numbers(length / diameter, number)
    friction = film.friction * clearance / radius
    power, flow = friction * load * radius * speed, film.flow * radius * clearance * speed / (2.0 * np.pi) * length
    pressure = load / (length * diameter) / film.pressure_ratio
    side = film.side_flow * flow
    return OperatingPoint(
        clearance * film.film_ratio, 1.0 - film.film_ratio, film.attitude, friction, power, flow, side, pressure,
        power / (heat_capacity * side),
    )


def short_bearing_error(eccentricity, slenderness):
    """What short-bearing theory promises: its load over that of the tables, at the same eccentricity.

    Parameters
    ----------
    eccentricity : float or (...) array [1]
        Distance of the centres over the radial clearance, 0.1 to 0.97.
    slenderness : float or (...) array [1]
        Length over diameter, 1/4 to 2.

    Returns
    -------
    (...) array [1]
        Load of the short bearing / load of the finite one: 1 where the theory is right, above 1 where it flatters.

    Raises
    ------
    InputError
        If the bearing is outside the tables.

    Valid: as ``film_numbers``.
    Source: G. B. DuBois and F. W. Ocvirk, NACA Report 1157 (1953); A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958).
    """
    films = _tables()[0]
    e = _within("eccentricity", eccentricity, 1.0 - films[-1], 1.0 - films[0])
    e, slenderness = np.broadcast_arrays(e, _within("slenderness", slenderness, 0.25, 2.0))
    found = _interpolate(0, np.log((1.0 - e) / e), _blended(slenderness))
    return np.exp(found[..., 1]) / short_bearing(e, slenderness).sommerfeld
