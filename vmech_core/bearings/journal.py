"""Journal bearings under loads that change: film, losses, torques, oil flow, and the temperature that they settle at.

The bearings themselves and their motion stand in ``mobility``.
"""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.base import Effort, Estimate, some
from vmech_core.bearings.mobility import COARSE, TINY, orbit
from vmech_core.bearings.surfaces import JOURNAL_POWER, REACH

#: Diameter of the one feed hole / bearing length: own choice.
FEED_HOLE = 0.25
#: Film temperature [K] above which no balance is looked for: the oil burns, and its viscosity is not known.
HOTTEST = 573.0
#: Steps per sample (of fewer than ``FEW``, as for so many) that films and heat may take to settle, and bearings that
#: may take so many together. Films that carry well take 10 to 80.
EFFORT, FEW, TOGETHER = 160, 240, 64
#: Basis of every loss of a warm bearing: share of the round film that is full of oil and sheared. Where the film is
#: broken the oil goes round in streaks: the pressed half at least, all of it at most.
SHEARED = Estimate(0.5, 0.8, 1.0, "1", "share of a round film that is full of oil; pressed half to all, own judgement")


#: Bearings in balance with the heat that they make; its fields are what ``settle`` returns.
Warm = namedtuple("Warm", "journals orbit temperature outlet_rise power leakage converged")


def film_thickness(journals, orbit):
    """Least film thickness around the journal at each time.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.

    Returns
    -------
    (N, A) array [m]
        Clearance x (1 - eccentricity).

    Valid: axes parallel, surfaces round.
    Source: geometry.
    """
    return journals.clearance[:, None] * (1.0 - np.abs(orbit.eccentricity))


def film_ratio(journals, orbit):
    """Least film thickness over the roughness of both surfaces; huge where no roughness is given.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.

    Returns
    -------
    (N, A) array [1]
        Film ratio.

    Valid: as ``film_thickness``.
    Source: definition.
    """
    return film_thickness(journals, orbit) / np.maximum(journals.roughness, TINY)[:, None]


def carried_by_asperities(journals, orbit):
    """Force between touching roughnesses, along the eccentricity; the film carries the rest of the load, as vectors.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.

    Returns
    -------
    (N, A) array [N]
        Never negative.

    Valid: as ``surfaces.journal_asperity``.
    Source: ``surfaces``.
    """
    return journals.asperity[:, None] * np.maximum(REACH - film_ratio(journals, orbit), 0.0) ** JOURNAL_POWER


def power(journals, orbit, sheared=1.0):
    """Power lost in the film: shear between the surfaces, and work of the load on the squeeze.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.
    sheared : float or (N,) array [1]
        Share of the film that is full of oil, ``SHEARED``; 1 is oil all around, also where the film is broken.

    Returns
    -------
    (N, A) array [W]
        Never negative but for rounding.

    Valid: with 1 an upper limit of the shear.
    Source: energy of a film without inertia; steady case: DuBois and Ocvirk, NACA Report 1157 (1953).
    """
    drag, _, load = _shares(journals, orbit)
    pressing = journals.clearance[:, None] * (load * np.conj(_squeeze(journals, orbit))).real
    shear = drag * (journals.journal_speed - journals.sleeve_speed)
    return np.reshape(sheared, (-1, 1)) * shear + pressing


def boundary_power(journals, orbit, coefficient=0.12):
    """Power lost where roughnesses touch; not part of ``power``, and its drag does not act on the orbit.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.
    coefficient : float [1]
        Friction coefficient of oiled surfaces that touch; 0.08 to 0.15, from memory.

    Returns
    -------
    (N, A) array [W]
        Never negative.

    Valid: sliding, not rocking about zero speed.
    Source: Coulomb's law.
    """
    sliding = 0.5 * journals.diameter[:, None] * np.abs(journals.journal_speed - journals.sleeve_speed)
    return coefficient * carried_by_asperities(journals, orbit) * sliding


def torques(journals, orbit):
    """Torques, anticlockwise, that journal and sleeve must be given about their own centres to keep their speeds.

    Their sum and the couple of load and eccentricity make zero; with the load's work on d(eps)/dt they give ``power``.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.

    Returns
    -------
    journal, sleeve : (N, A) array [N m]
        Of the film; the drag of touching roughness is not in them.

    Valid: as ``power``.
    Source: moments on a film without inertia.
    """
    drag, couple, _ = _shares(journals, orbit)
    return drag - 0.5 * couple, -drag - 0.5 * couple


def leakage(journals, orbit, supply_pressure):
    """Mean oil flow out of both ends: what the motion displaces, and what the pressure pushes through one hole.

    Parameters
    ----------
    journals, orbit : Journals, Orbit [-]
        Bearings and their orbit.
    supply_pressure : float or (N,) array [Pa]
        Above that of the surroundings.

    Returns
    -------
    (N,) array [m3/s]
        Flow, to a factor of two either way.

    Valid: displaced part exact for a short bearing; steady, at L/D 0.5 to 1, 5 to 30 % above Raimondi and Boyd.
    Source: volume that a short film displaces; hole: F. A. Martin (1983), from memory.
    """
    speed = journals.clearance * np.abs(_squeeze(journals, orbit)).mean(axis=1)
    displaced = journals.diameter * journals.length * speed
    return displaced + 0.675 * (FEED_HOLE + 0.4) ** 1.75 * supply_pressure * journals.clearance**3 / journals.viscosity


def settle(journals, viscosity, inlet_temperature, supply_pressure, heat_share=0.8, oil_heat=1.7e6, rounds=20,
           effort=EFFORT, sheared=SHEARED.likely):
    """Orbit, viscosity and temperature in balance: oil takes a share of the loss and warms the film.

    The film has the mean of inlet and outlet temperature. A cycle is marched per round; the first step on the
    temperature takes the loss to be proportional to the viscosity, the next are secants.

    Parameters
    ----------
    journals : Journals [-]
        The bearings; their viscosity is replaced.
    viscosity : callable [-]
        Temperatures (N,) [K] to dynamic viscosities (N,) [Pa s].
    inlet_temperature : float or (N,) array [K]
        Of the oil.
    supply_pressure : float or (N,) array [Pa]
        As in ``leakage``.
    heat_share : float or (N,) array [1]
        Share of the loss that leaves with the oil: low 0.5, likely 0.8, high 1.0, own judgement.
    oil_heat : float [J/(m3 K)]
        Density x specific heat; 1.6e6 to 1.8e6 for mineral oil, from memory.
    rounds : int [1]
        Most rounds.
    effort : float or Effort [1]
        Most steps per sample, as ``EFFORT``; or what is left of steps that are shared with other marches.
    sheared : float or (N,) array [1]
        As in ``power``: the basis of the loss.

    Returns
    -------
    journals : Journals [-]
        The bearings with the viscosity of the warm film.
    orbit : Orbit [-]
        Their last cycle.
    temperature, outlet_rise : (N,) array [K]
        Of the film; of the oil from inlet to outlet.
    power : (N,) array [W]
        Mean loss, with that of touching roughness.
    leakage : (N,) array [m3/s]
        Mean oil flow.
    converged : (N,) bool array [-]
        True where the temperature, to 0.2 K, and the orbit have settled; never above ``HOTTEST``.

    Raises
    ------
    Endless
        If the effort is used up: films so thin that they cannot be followed.

    Valid: as ``orbit`` and ``leakage``.
    Source: heat balance.
    """
    if not isinstance(effort, Effort):
        effort = Effort(effort * max(journals.load.shape[1], FEW) * max(1.0, len(journals.load) / TOGETHER))
    inlet = np.broadcast_to(np.asarray(inlet_temperature, dtype=float), len(journals.load))
    oil = [np.broadcast_to(v, len(inlet)) for v in (supply_pressure, heat_share / oil_heat, sheared)]
    film, path = inlet + 10.0, None
    for batch in [journals.coarse(), journals] if journals.is_fine else [journals]:
        if path is not None:
            path = path.repeat(COARSE, axis=1)
        film, path = _balance(batch, viscosity, film, path, inlet, oil, rounds, effort)
    journals = replace(journals, viscosity=viscosity(film))
    now = orbit(journals, 2, start=path)
    loss, flow, rise = _heat(journals, now, *oil)
    converged = (np.abs(inlet + 0.5 * rise - film) < 0.2) & now.periodic
    return Warm(journals, now, film, rise, loss, flow, converged)


def _balance(batch, viscosity, film, path, inlet, oil, rounds, effort):
    """Film temperatures at which the heat closes, and the orbits there; those that have them leave the batch."""
    film, left = film.copy(), np.arange(len(film))
    was, moved, cold = np.zeros(len(film)), np.zeros(len(film)), path is None
    path = np.zeros_like(batch.load) if cold else path
    for turn in range(rounds):
        mu, thinner = viscosity(film), viscosity(film + 1.0)
        part = replace(some(batch, left), viscosity=mu[left])
        effort.rows = left
        now = orbit(part, 1 if 0 < turn < 10 else 4, start=None if cold and not turn else path[left], effort=effort)
        path[left], rise = now.eccentricity, _heat(part, now, *(v[left] for v in oil))[2]
        error = inlet[left] + 0.5 * rise - film[left]
        going = (np.abs(error) > 0.1) | ~now.periodic
        slope = 1.0 + 0.5 * rise * np.maximum(np.log(mu / thinner)[left], 0.0)
        known = np.abs(moved[left]) > 0.1
        secant = (was[left] - error) / np.where(known, moved[left], 1.0)
        step = error / np.where(known, np.clip(secant, 0.3, 2.0 * slope), slope)
        was[left], moved[left] = error, np.where(going, np.clip(step, -30.0, 30.0), 0.0)
        film[left] = np.minimum(film[left] + moved[left], np.maximum(HOTTEST, inlet[left]))
        left = left[going]
        if not left.size:
            break
    return film, path


def _heat(j, o, supply_pressure, share, sheared):
    """Mean loss, mean flow, and rise of the oil's temperature."""
    loss = (power(j, o, sheared) + boundary_power(j, o)).mean(axis=1)
    flow = leakage(j, o, supply_pressure)
    return loss, flow, share * loss / flow


def _squeeze(j, o):
    """Rate of change seen in axes that turn with the mean speed."""
    return o.rate - 1j * j.mean_speed * o.eccentricity


def _shares(j, o):
    """Torque of shear, couple of the film's load over the eccentricity, load on the film."""
    size = np.abs(o.eccentricity)
    load = j.load - carried_by_asperities(j, o) * o.eccentricity / np.maximum(size, TINY)
    stiff = 2.0 * np.pi * j.viscosity * (0.5 * j.diameter) ** 3 * j.length / j.clearance
    drag = stiff[:, None] * (j.journal_speed - j.sleeve_speed) / np.sqrt(1.0 - size**2)
    return drag, j.clearance[:, None] * (np.conj(o.eccentricity) * load).imag, load
