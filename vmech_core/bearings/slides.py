"""Sliders: plane, stepped and crowned ones, wide or with flow to the sides.

A crowned strip along the sliding is solved exactly in one dimension, by quadrature; ``sliding`` joins such strips.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from vmech_core.bearings import surfaces


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


def step_slider(length, step, inlet, outlet, width, speed, viscosity):
    """Load and flow of a wide slider with one step.

    Parameters
    ----------
    length : float or (...) array [m]
        Length along the sliding.
    step : float or (...) array [1]
        Place of the step from the inlet over the length, between 0 and 1.
    inlet, outlet : float or (...) array [m]
        Film before and behind the step.
    width : float or (...) array [m]
        Width.
    speed : float or (...) array [m/s]
        Sliding speed.
    viscosity : float or (...) array [Pa s]
        Viscosity.

    Returns
    -------
    load : (...) array [N]
        Load.
    flow : (...) array [m3/s]
        Flow through the film.

    Valid: as ``plane_slider``.
    Source: equal flow on both sides of the step; Lord Rayleigh (1918).
    """
    before, behind = step * length, (1.0 - step) * length
    peak = 6.0 * viscosity * speed * (inlet - outlet) / (inlet**3 / before + outlet**3 / behind)
    flow = width * (0.5 * speed * outlet + peak * outlet**3 / (12.0 * viscosity * behind))
    return 0.5 * peak * length * width, flow


def width_factors(slenderness):
    """What flow to the sides leaves of the load of a flat pad.

    Parameters
    ----------
    slenderness : float or (...) array [1]
        Width over length.

    Returns
    -------
    squeeze : (...) array [1]
        Of parallel faces that approach, viscosity length^3 width rate / film^3: 0 narrow, 1 wide, 0.4217 square.
    slider : (...) array [1]
        Of a plane slider, 1 - tanh(k) / k with k = sqrt(10) / 2 x slenderness.

    Valid: pressure zero at all sides. Slider, film ratio 1.2 to 3: slenderness 1 to 4 within 10 %, 0.5
        within 18 %, narrower pads carry more than it says.
    Source: Fourier series, as for torsion of a rectangle (S. P. Timoshenko); slider: derived, parabola along it.
    """
    ratio = np.asarray(slenderness, dtype=float)
    r, n = np.maximum(ratio, 1.0 / ratio)[..., None], np.arange(1, 40, 2)
    series = 1.0 - 192.0 / np.pi**5 * np.sum(np.tanh(0.5 * n * np.pi * r) / n**5.0 / r, axis=-1)
    k = 0.5 * np.sqrt(10.0) * ratio
    return series * np.minimum(ratio, 1.0) ** 2, 1.0 - np.tanh(k) / k


def _shape(pressure, film, resisted, integral):
    """Mean pressure over t from -1 to 1, and both Galerkin integrals for a mean of one.

    ``resisted`` is film^3 x (slope of pressure)^2.
    """
    mean = 0.5 * integral(pressure)
    return mean, integral(resisted) / mean**2, integral(film**3 * pressure**2) / mean**2


@cache
def _table():
    """Logarithms, at even steps of log(1 + s), of what a strip carries whose ends are s times the least film back.

    Columns: wedge load over s and two integrals; squeeze load and two; mean of 1 / film; peaks, s over their reach.
    """
    grid = np.linspace(0.0, np.log1p(1e5), 300)
    s = np.maximum(np.expm1(grid), 1e-4)[:, None]
    g = np.arctan(np.sqrt(s)) * np.linspace(-1.0, 1.0, 2001)  # sqrt(s) t = tan g, so that 1 / film = cos^2 g
    thin, step = np.cos(g) ** 2, (g[:, 1:2] - g[:, :1]) / np.sqrt(s)
    film, t = 1.0 / thin, np.tan(g) / np.sqrt(s)

    def running(values):
        return np.pad(np.cumsum(0.5 * (values[:, 1:] + values[:, :-1]), axis=1), ((0, 0), (1, 0))) * step

    def integral(values):
        return running(values * film)[:, -1]

    square, cube = running(thin), running(thin**2)  # of 1 / film^2 and 1 / film^3
    ends = square - cube * film  # what the pressure would be if the film broke here; it breaks where that is zero
    last = np.argmax((ends < 0.0) & (t > 0.0), axis=1)[:, None]
    before, behind = (np.take_along_axis(ends, last + k, 1) for k in (-1, 0))
    rupture = np.take_along_axis(film, last, 1) * before - np.take_along_axis(film, last - 1, 1) * behind
    rupture, wet = rupture / (before - behind), np.arange(g.shape[1]) < last
    wedge = _shape(wet * (square - rupture * cube), film, wet * (film - rupture) ** 2 / film**3, integral)
    squeeze = _shape((thin**2 - thin[:, :1] ** 2) / (4.0 * s), film, t**2 / film**3, integral)
    peaks = 0.5 * integral(np.maximum(2.0 - film, 0.0) ** surfaces.POWER)
    columns = (3.0 * wedge[0] / s[:, 0], *wedge[1:], 3.0 * squeeze[0], *squeeze[1:], 0.5 * integral(thin), peaks)
    return grid[1], np.log(np.stack(columns, axis=1))


def strip(s, column):
    """One coefficient of a strip whose ends are s times the least film back.

    Parameters
    ----------
    s : (...) array [1]
        Fall of both ends over the least film; for the peaks, over what the film lacks to clear them.
    column : int [-]
        0 wedge load over s, 1 and 2 its integrals; 3 squeeze load, 4 and 5 its integrals; 6 mean of 1 / film; 7 peaks.

    Returns
    -------
    (...) array [1]
        Loads are over those of parallel faces: ``crown_load`` for the wedge, ``width_factors`` for squeeze. Integrals
        are of film^3 slope^2 and film^3 pressure^2 along the strip, t from -1 to 1, mean pressure one.

    Valid: s up to 9e4.
    Source: as ``crown_load``; peaks: ``surfaces.asperity_pressure``.
    """
    step, table = _table()
    place = np.log1p(np.minimum(s, 9e4)) / step
    index = place.astype(int)
    low = table[index, column]
    return np.exp(low + (place - index) * (table[index + 1, column] - low))


def crown_load(crown_ratio):
    """Load of a wide crowned slider: load x film^2 / (viscosity speed length^2 width).

    The film thickens from its middle as a parabola. Pressure is zero at the inlet and vanishes with its slope where the
    film breaks, behind the middle.

    Parameters
    ----------
    crown_ratio : float or (...) array [1]
        Fall of both ends over the least film.

    Returns
    -------
    (...) array [1]
        Largest, 0.0637, at 1.2; towards 0.306 / crown_ratio for a strong crown.

    Valid: crown ratio 0 to 9e4; no flow to the sides, rigid faces, constant viscosity.
    Source: Reynolds's equation, end of the film by H. W. Swift and W. Stieber; limit: H. M. Martin's cylinder.
    """
    return crown_ratio * strip(np.asarray(crown_ratio, dtype=float), 0)
