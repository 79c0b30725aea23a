"""Numbers as text, and the conversions at the edge: one formatter for every printed result."""

import math

from vmech_core.base.signs import SIGNS, sign
from vmech_core.base.tables import rows

#: Unit at the edge -> (SI unit, factor), rows of ``data/units.csv``: value in SI = factor * value at the edge.
TO_SI = {row["unit"]: (row["si"], float(row["factor"])) for row in rows("units")}
TO_SI.update({sign: TO_SI[name] for name, sign in SIGNS.items() if name in TO_SI})


def to_si(value, unit):
    """Convert a value from a customary unit to SI.

    Parameters
    ----------
    value : float or (...) array [-]
        Value in ``unit``.
    unit : str [-]
        Customary unit, one of ``TO_SI``; an SI unit passes unchanged.

    Returns
    -------
    float or (...) array [-]
        Value in SI.

    Examples
    --------
    >>> to_si(69, "mm")
    0.069
    """
    return value * TO_SI[unit][1] if unit in TO_SI else value


def from_si(value, unit):
    """Convert a value from SI to a customary unit.

    Parameters
    ----------
    value : float or (...) array [-]
        Value in SI.
    unit : str [-]
        Customary unit wanted, one of ``TO_SI``; an SI unit passes unchanged.

    Returns
    -------
    float or (...) array [-]
        Value in ``unit``.

    Examples
    --------
    >>> from_si(4.0e6, "bar")
    40.0
    """
    return value / TO_SI[unit][1] if unit in TO_SI else value


def show(value, unit="", figures=4):
    """Write an SI value in a customary unit, rounded to a few significant figures.

    Parameters
    ----------
    value : float [-]
        The number in SI.
    unit : str [-]
        Unit wanted, one of ``TO_SI`` or an SI unit; empty for a pure number.
    figures : int [1]
        Significant figures.

    Returns
    -------
    str [-]
        As ``written``.

    Examples
    --------
    >>> show(1234.5, "kN")
    '1.234 kN'
    >>> show(0.034500001, "m")
    '0.0345 m'
    """
    return written(from_si(value, unit), unit, figures)


def written(value, unit="", figures=4):
    """Write a number that is already in its unit, the unit as in ``sign``.

    Parameters
    ----------
    value : float [-]
        The number, in ``unit``.
    unit : str [-]
        Unit written behind it; empty for a pure number.
    figures : int [1]
        Significant figures.

    Returns
    -------
    str [-]
        For example ``4.321 kN``; zero and values lost in rounding noise (below 1e-12) are written ``0``.

    Examples
    --------
    >>> written(1234567.0, "N"), written(12, "um")
    ('1 235 000 N', '12 µm')
    """
    text = _rounded(float(value), figures)
    return f"{text} {sign(unit)}".strip() if math.isfinite(value) else text


def _rounded(value: float, figures: int) -> str:
    if not math.isfinite(value):
        return "unbounded" if math.isinf(value) else "not a number"
    if abs(value) < 1e-12:
        return "0"
    exponent = math.floor(math.log10(abs(value)))
    if exponent >= 9 or exponent < -4:
        return f"{value:.{figures - 1}e}"
    rounded = round(value, figures - 1 - exponent)
    if float(rounded).is_integer():
        return f"{int(rounded):,}".replace(",", " ")
    return f"{rounded:,.{max(0, figures - 1 - exponent)}f}".rstrip("0").rstrip(".").replace(",", " ")
