"""A finite-difference Reynolds solver, for tests only: journal bearings and flat pads.

The equation, of O. Reynolds (1886), is solved as a network of conductances: each node stands for a small patch, each
link carries (film cubed) x (pressure difference), and the source of a node is what the moving surfaces sweep in.
It shares no line with the core, which has closed forms and tables.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import simpson
from scipy.sparse import coo_array, diags_array
from scipy.sparse.linalg import spsolve


def _matrix(count, links):
    """Conductance matrix of a network: each link is (nodes at one end, nodes at the other, conductance)."""
    one, other, value = (np.concatenate([np.ravel(link[k]) for link in links]) for k in range(3))
    rows, columns = np.concatenate([one, other, one, other]), np.concatenate([one, other, other, one])
    values = np.concatenate([value, value, -value, -value])
    return coo_array((values, (rows, columns)), shape=(count, count)).tocsr()


def _pressures(matrix, source, free, rupture):
    """Node pressures, zero where not free; ``source`` is the fluid swept into each node."""
    inside = matrix[free][:, free].tocsc()
    source = np.where(free, source, 0.0)[free]
    pressure = spsolve(inside, source, permc_spec="MMD_AT_PLUS_A")
    if rupture == "reynolds":
        pressure = _complementary(inside, source, pressure)
    elif rupture == "half":
        pressure = np.maximum(pressure, 0.0)
    elif rupture != "full":
        raise ValueError(rupture)
    whole = np.zeros(free.size)
    whole[free] = pressure
    return whole


def _complementary(matrix, source, pressure):
    """Pressure >= 0 and, where it is 0, no need of suction: active sets, as exact as the direct solve."""
    scale = matrix.diagonal()
    wet = pressure > 0.0
    for _ in range(200):
        held = diags_array(np.where(wet, 0.0, scale))
        wetted = (diags_array(wet * 1.0) @ matrix + held).tocsc()
        before, pressure = pressure, spsolve(wetted, wet * source, permc_spec="MMD_AT_PLUS_A")
        if np.abs(pressure - before).max() <= 1e-10 * np.abs(pressure).max():
            return pressure
        wet = pressure + (source - matrix @ pressure) / scale > 0.0
    raise RuntimeError("the edge of the film was not found")


def _journal_field(eccentricity, velocity, slenderness, rupture, around, along, inlet=None):
    """Angles, axial stations of one half (0 middle, 1 edge) and pressure / (mu (R/c)^2) at the nodes."""
    angle, station = 2.0 * np.pi * np.arange(around) / around, np.linspace(0.0, 1.0, along)
    step, rise = 2.0 * np.pi / around, 1.0 / (along - 1)
    share = np.where(np.arange(along) == 0, 0.5, 1.0) * rise

    def film(where):
        return (1.0 - np.real(eccentricity * np.exp(-1j * where))) ** 3

    node = np.arange(around * along).reshape(around, along)
    links = [
        (node, np.roll(node, -1, axis=0), film(angle + step / 2)[:, None] * share / step),
        (node[:, :-1], node[:, 1:], np.repeat(film(angle)[:, None], along - 1, 1) * step / rise / slenderness**2),
    ]
    source = 12.0 * np.real(velocity * np.exp(-1j * angle))[:, None] * share * step
    free = np.ones(node.shape, bool)
    free[:, -1] = np.isinf(slenderness)
    if inlet is not None:
        free[np.argmin(np.abs(np.angle(np.exp(1j * (angle - inlet))))), :] = False
    field = _pressures(_matrix(node.size, links), source.ravel(), free.ravel(), rupture)
    return angle, station, field.reshape(node.shape)


def journal_force(eccentricity, velocity, slenderness, rupture="half", around=96, along=13):
    """Force of the film on the journal / (mu L D (R/c)^2), complex [1/s].

    ``eccentricity`` is (journal centre - sleeve centre) / clearance, complex; ``velocity`` its rate of change seen in
    axes that turn with the mean of the two surface speeds, d(eps)/dt - i wbar eps [1/s]; ``slenderness`` is L/D, with
    ``np.inf`` for the full film only. ``rupture``: "full" (negative pressures act), "half" (they are set to zero) or
    "reynolds" (pressure and its gradient vanish where the film breaks). Pressure is zero at both edges; ``along``
    nodes, an odd number, cover half the length. A steady journal has velocity = -i wbar eps.
    """
    inlet = np.angle(-eccentricity) if np.isinf(slenderness) and rupture == "full" else None
    angle, station, field = _journal_field(eccentricity, velocity, slenderness, rupture, around, along, inlet)
    return _force(angle, station, field)


def _force(angle, station, field):
    return -0.5 * np.sum(simpson(field, x=station, axis=1) * np.exp(1j * angle)) * (angle[1] - angle[0])


@dataclass(frozen=True)
class Details:
    """A steadily loaded journal bearing in the numbers of Raimondi and Boyd (N in revolutions per second).

    S = (mu N / P)(r/c)^2; angle between load line and line of centres; (r/c) f; Q/(r c N l) into the film where it
    starts; share of it that leaves at both edges; P / largest pressure, with P = W/(l d).
    """

    sommerfeld: float
    attitude_deg: float
    friction: float
    flow: float
    side_flow: float
    pressure_ratio: float


def journal_details(eccentricity, slenderness, rupture="reynolds", around=180, along=25):
    """Steady full journal bearing, its film starting at the thickest place, friction over the whole turn.

    Both are what reproduces the tables of Raimondi and Boyd: pressure is zero along the thickest line, and the ruptured
    part drags like a full film. ``around`` must be even.
    """
    angle, station, field = _journal_field(
        eccentricity, -1j * np.pi * eccentricity, slenderness, rupture, around, along, inlet=np.pi
    )
    force, film = _force(angle, station, field), 1.0 - eccentricity * np.cos(angle)
    pressure_drag = -0.5 * simpson(field, x=station, axis=1) * eccentricity * np.sin(angle)
    drag = 0.5 * np.sum(2.0 * np.pi / film + pressure_drag) * (angle[1] - angle[0])
    flow, side = _inflow(eccentricity, angle, station, field), _side_flow(film, slenderness, angle, station, field)
    return Details(
        1.0 / abs(force), np.degrees(np.angle(-1.0 / force)), drag / abs(force), flow, side / flow,
        abs(force) / field.max(),
    )


def _inflow(eccentricity, angle, station, field):
    """Flow along the film where it starts, extrapolated from the two half steps behind the thickest place."""
    half, step = angle.size // 2, angle[1] - angle[0]
    film = (1.0 - eccentricity * np.cos(angle[half : half + 2] + step / 2))[:, None]
    drop = (field[half + 1 : half + 3] - field[half : half + 2]) / step
    first, second = simpson(np.pi * film - film**3 * drop / 12.0, x=station, axis=1)
    return 1.5 * first - 0.5 * second


def _side_flow(film, slenderness, angle, station, field):
    """Flow out of both edges, by the one-sided slope of second order."""
    slope = (-1.5 * field[:, -1] + 2.0 * field[:, -2] - 0.5 * field[:, -3]) / station[1]
    return np.sum(film**3 * slope) * (angle[1] - angle[0]) / (12.0 * slenderness**2)


def slider_pressure_2d(film, length, width, speed, squeeze, viscosity, rupture="half"):
    """Pressure under a pad [Pa] at the nodes of ``film``, zero at all four sides.

    ``film`` [m]: (nx, ny) thickness at the nodes, sides included, x along the sliding; the pad stands still and the
    flat surface below moves towards +x with ``speed`` [m/s] (so a film that thins towards +x carries); ``squeeze``
    [m/s], a number or (nx, ny), is the rate of change of thickness, negative when the surfaces approach.
    """
    film = np.asarray(film, dtype=float)
    nx, ny = film.shape
    dx, dy = length / (nx - 1), width / (ny - 1)
    node = np.arange(film.size).reshape(film.shape)
    across, beside = (film[1:] + film[:-1]) / 2, (film[:, 1:] + film[:, :-1]) / 2
    links = [(node[:-1], node[1:], across**3 * dy / dx), (node[:, :-1], node[:, 1:], beside**3 * dx / dy)]
    swept = np.zeros(film.shape)
    swept[1:-1] = 6.0 * viscosity * speed * (across[:-1] - across[1:]) * dy
    swept -= 12.0 * viscosity * squeeze * dx * dy
    free = np.zeros(film.shape, bool)
    free[1:-1, 1:-1] = True
    pressure = _pressures(_matrix(film.size, links), swept.ravel(), free.ravel(), rupture)
    return pressure.reshape(film.shape)


def pad_load(film, length, width, speed, squeeze, viscosity, rupture="half"):
    """Load [N] that the film under a pad carries; arguments as in ``slider_pressure_2d``."""
    pressure = slider_pressure_2d(film, length, width, speed, squeeze, viscosity, rupture)
    nx, ny = pressure.shape
    return simpson(simpson(pressure, dx=width / (ny - 1), axis=1), dx=length / (nx - 1))
