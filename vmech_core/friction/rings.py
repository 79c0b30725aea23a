"""Piston rings: film of oil and touching peaks under each face, and what the pack of one piston rubs.

Coefficients are ``Estimate``: low, likely, high and source; every function takes numbers or arrays.
"""

from functools import cache

import numpy as np

from vmech_core.base import Estimate, estimates, record
from vmech_core.bearings import pads, surfaces

#: Added so that nothing is zero; halvings of the bracket of a film.
TINY = 1e-30
HALVINGS = 24


@record("height crown tension gas", faces=1.0)
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

    def numbers(self, pick=lambda estimate: estimate.likely):
        """The same ring with numbers for its estimates.

        Parameters
        ----------
        pick : callable [-]
            Makes a number, or an array of samples, of an Estimate; the likely value unless told otherwise.

        Returns
        -------
        Ring [-]
            Ring of numbers or arrays.

        Valid: any ring.
        Source: none needed.
        """
        return Ring(**{name: pick(v) if isinstance(v, Estimate) else v for name, v in vars(self).items()})


#: Three rings, of rows of ``data/estimates.csv``. The gas behind the top ring is balanced on the upper half of its
#: barrel, so that about half is left; the oil ring has two lands and is vented behind.
PACK = {kind: Ring(**estimates(f"{kind} ring"), **rest)
        for kind, rest in {"top": {}, "second": {}, "oil": {"gas": 0.0, "faces": 2.0}}.items()}


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
        With numbers, see ``Ring.numbers``.
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
