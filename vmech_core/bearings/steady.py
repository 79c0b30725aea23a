"""Steady films: journal bearings in closed form (short) and from published tables (finite); wide plane sliders.

The load of a bearing stands still and the oil has one viscosity. ``slenderness`` is length over diameter; the
Sommerfeld number is S = (mu N / P)(r / c)^2 with P = load / (length x diameter) and N the revolutions per second of the
journal in a sleeve at rest. If the sleeve turns too, what draws oil in is the sum of both absolute speeds, and N is
that of the sum; their difference rubs and draws nothing in. Arguments may be numbers or arrays; they broadcast.
"""

from collections import namedtuple
from functools import cache

import numpy as np

from vmech_core.base import InputError, refuse, rows

TABLE = "finite_journal_bearings"
COLUMNS = ("sommerfeld", "attitude_deg", "friction", "flow", "side_flow", "pressure_ratio")
SLENDERNESS_OF_TABLES = ("inf", "1", "0.5", "0.25")
UNITS = {"diameter": "m", "length": "m", "clearance": "m", "viscosity": "Pa s", "speed": "rad/s", "load": "N"}


#: A finite journal bearing in pure numbers; its fields are what ``film_numbers`` returns.
FilmNumbers = namedtuple("FilmNumbers", "film_ratio attitude friction flow side_flow pressure_ratio")

#: Where a finite journal bearing runs, and what it takes; its fields are what ``operating_point`` returns.
OperatingPoint = namedtuple("OperatingPoint", "film eccentricity attitude friction power flow side_flow pressure "
                            "temperature_rise")


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
        refuse(bad, field, value, "not a finite number above 0", UNITS.get(field, ""))


def _drawn_in(speed, sleeve_speed):
    """Sum of both absolute speeds: that of a journal in a sleeve at rest that draws in as much oil."""
    speed, sleeve = np.broadcast_arrays(np.asarray(speed, dtype=float), sleeve_speed)
    opposite = (np.abs(speed + sleeve) <= 1e-6 * np.abs(speed)) & (speed != 0.0)
    if opposite.any():
        raise InputError("sleeve_speed", float(sleeve[opposite][0]), "as fast as the journal turns the other way: no "
                         "oil is drawn in, so that no steady film lasts under a load at rest")
    _positive(speed=np.abs(speed + sleeve))
    return speed + sleeve


def _sommerfeld(diameter, length, clearance, viscosity, speed, load):
    """Sommerfeld number of a journal in a sleeve at rest."""
    radius = np.asarray(diameter) / 2.0
    return viscosity * (speed / (2.0 * np.pi)) * length * diameter / load * (radius / clearance) ** 2


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
    load_number : (...) array [1]
        Load x clearance^2 / (viscosity x speed x radius x length^3).
    attitude : (...) array [rad]
        Angle from the load line to the line of centres, in the sense of rotation: a quarter turn at no load.
    sommerfeld : (...) array [1]
        (mu N / P)(r / c)^2.

    Raises
    ------
    InputError
        If the eccentricity is not between 0 and 1 or the slenderness not above 0.

    Valid: slenderness up to about 1/4; ``short_bearing_error`` says what it errs above.
    Source: G. B. DuBois and F. W. Ocvirk, NACA Report 1157 (1953).

    Examples
    --------
    >>> round(float(short_bearing(0.5, 0.25)[0]), 4)
    0.7504
    """
    _positive(eccentricity=eccentricity, slenderness=slenderness)
    e = np.asarray(eccentricity, dtype=float)
    if (e >= 1.0).any():
        raise InputError("eccentricity", float(e[e >= 1.0][0]), "not below 1, where journal and sleeve touch")
    number = _load_number(e)
    attitude = np.arctan2(np.pi * np.sqrt((1.0 - e) * (1.0 + e)), 4.0 * e)
    return number, attitude, 1.0 / (4.0 * np.pi * number * np.asarray(slenderness) ** 2)


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
        (mu N / P)(r / c)^2, its N as stated at the head of this file.

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
    columns = [[[float(row[name]) for row in part] for part in parts] for name in COLUMNS]
    number, degrees, friction, flow, share, ratio = np.array(columns)
    grown = [number * column for column in (np.radians(degrees), flow, flow * share, ratio)]
    return films[0], np.stack([number, friction, *grown], axis=-1)


def _length_weights(slenderness):
    """Shares of the four tables (infinite, 1, 1/2, 1/4) in the values for another length, (..., 4), sum 1.

    Interpolation rule of A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958), a cubic in diameter / length.
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
    number, friction, *grown = np.moveaxis(np.tensordot(_length_weights(slenderness), tables, 1), -1, 0)
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
    the others with them; between lengths their authors' rule is used at equal film ratio, so that all
    four tables cover the same range.

    Parameters
    ----------
    slenderness : float or (...) array [1]
        Length over diameter, 1/4 to 2.
    sommerfeld : float or (...) array [1]
        (mu N / P)(r / c)^2, its N as stated at the head of this file.

    Returns
    -------
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


def operating_point(diameter, length, clearance, viscosity, speed, load, heat_capacity=1.7e6, sleeve_speed=0.0):
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
        Absolute speed of the journal; not that against its sleeve.
    load : float or (...) array [N]
        Steady load, which stands still.
    heat_capacity : float or (...) array [J/(m3 K)]
        Density times specific heat of the oil; 1.5e6 to 1.9e6 for mineral oil (from memory).
    sleeve_speed : float or (...) array [rad/s]
        Absolute speed of the sleeve.

    Returns
    -------
    film : (...) array [m]
        Least film thickness.
    eccentricity : (...) array [1]
        Distance of the centres over the radial clearance.
    attitude : (...) array [rad]
        Angle from the load line to the line of centres.
    friction : (...) array [1]
        Torque of friction on the journal / (load x radius), against the sense in which oil is drawn in.
    power : (...) array [W]
        Friction power of both surfaces.
    flow : (...) array [m3/s]
        Flow that enters the film; part of it goes round again.
    side_flow : (...) array [m3/s]
        Flow that leaves at both edges and must be supplied.
    pressure : (...) array [Pa]
        Largest film pressure.
    temperature_rise : (...) array [K]
        Warming of the side flow if it carries off all friction heat.

    Raises
    ------
    InputError
        If an argument is not above 0, if the bearing is outside the tables, or if both surfaces turn oppositely at one
        speed, which draws no oil in: no steady film.

    Valid: as ``film_numbers``; all friction heat leaves with the side flow (the housing takes none). With a sleeve that
        turns, drag goes with the difference of the speeds and the couple of the load with their sum.
    Source: A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958); moments on a film without inertia.
    """
    _positive(diameter=diameter, length=length, clearance=clearance, viscosity=viscosity, load=load)
    drawn = _drawn_in(speed, sleeve_speed)
    turn, against = np.abs(drawn), (speed - np.asarray(sleeve_speed)) / drawn
    radius, length = np.asarray(diameter) / 2.0, np.asarray(length)
    film = film_numbers(length / diameter, _sommerfeld(diameter, length, clearance, viscosity, turn, load))
    eccentricity, torque = 1.0 - film.film_ratio, film.friction * clearance * load
    couple = 0.5 * load * clearance * eccentricity * np.sin(film.attitude)
    shear, flow = torque - couple, film.flow * radius * clearance * turn / (2.0 * np.pi) * length
    power, side = turn * (shear * against**2 + couple), film.side_flow * flow
    return OperatingPoint(
        film=clearance * film.film_ratio, eccentricity=eccentricity, attitude=film.attitude,
        friction=(shear * against + couple) / (load * radius), power=power, flow=flow, side_flow=side,
        pressure=load / (length * diameter) / film.pressure_ratio, temperature_rise=power / (heat_capacity * side),
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
    return np.exp(found[..., 1]) / short_bearing(e, slenderness)[2]


def plane_slider(ratio):
    """Wide plane slider: load, drag of the moving flat face, and centre of pressure.

    Parameters
    ----------
    ratio : float or (...) array [1]
        Film at the inlet over film at the outlet, a = h1 / h2.

    Returns
    -------
    load : (...) array [1]
        Load x h2^2 / (viscosity speed length^2 width) = 6 [ln a - 2 (a - 1) / (a + 1)] / (a - 1)^2.
    drag : (...) array [1]
        Drag x h2 / (viscosity speed length width) = 4 ln a / (a - 1) - 6 / (a + 1).
    centre : (...) array [1]
        From the inlet, over the length.

    Valid: full film, no flow to the sides, constant viscosity; ratio 0.05 to 20, below 1 only if the film cannot break.
    Source: O. Reynolds (1886), Lord Rayleigh (1918); series near a = 1, centre by Gauss's rule.

    Examples
    --------
    >>> [round(float(x), 5) for x in plane_slider(2.0)]
    [0.15888, 0.77259, 0.56869]
    """
    a = np.asarray(ratio, dtype=float)
    d = (a - 1.0) / (a + 1.0)  # ln a = 2 artanh d
    far = np.where(np.abs(d) < 0.03, 0.5, d)
    near = 1.0 / 3.0 + d**2 / 5.0 + d**4 / 7.0 + d**6 / 9.0
    third = np.where(np.abs(d) < 0.03, near, (np.arctanh(far) - far) / far**3)
    x, weight = np.polynomial.legendre.leggauss(48)
    x = 0.5 + 0.5 * x
    pressure = weight * x * (1.0 - x) / (a[..., None] * (1.0 - x) + x) ** 2
    centre = np.sum(x * pressure, axis=-1) / np.sum(pressure, axis=-1)
    return 3.0 * (1.0 - d) ** 2 * d * third, (1.0 - d) * (1.0 + 4.0 * d**2 * third), centre
