"""One bearing by itself, fast enough to follow a slider: its oil film and its heat in balance, or rollers in its place.

``journal.settle`` marches many bearings through their cycle from end to end. Here one is marched in windows of the
cycle side by side: small arrays cost as much as single numbers, and so a sweep takes a fraction of a march.
"""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.bearings import films, journal, mobility, oils, rollers

#: Windows that are marched side by side, and samples that each of them runs in.
WINDOWS, RUN_IN = 12, 9
#: Most sweeps of one balance; change of a film, as a share of it, and of the temperature [K] that count as settled.
SWEEPS, CHANGE, BALANCE = 40, 0.02, 0.3


def one_of_each(found):
    """Pick one of each kind of bearing: of cylinder 1, or of the end that drives.

    Parameters
    ----------
    found : list of Seat [-]
        Bearings of one machine or of both.

    Returns
    -------
    dict of tuple to int [1]
        Machine and part of the bearing, to its place in the list.

    Valid: seats as made by ``seats``.
    Source: none needed.
    """
    chosen = {}
    for k, seat in enumerate(found):
        if seat.place != "far" and seat.index == (1 if seat.of_end else 0):
            chosen[seat.machine, seat.part] = k
    return chosen


#: Film and heat of one plain bearing; its fields are what ``balance`` returns.
Balance = namedtuple("Balance", "path temperature film film_ratio loss settled")

#: A caged roller bearing of ordinary proportions in the place of a plain one; fields as
#: ``on_rollers`` returns them.
Rolling = namedtuple("Rolling", "kind count life loss cage_force speed_factor")


def balance(seat, design, oil, inlet, period, start=None):
    """Oil film of one bearing with the temperature that its own loss gives it, as ``journal.settle``.

    Parameters
    ----------
    seat : Seat [-]
        The bearing, with at least 36 samples, a multiple of ``WINDOWS``.
    design : Design [-]
        Its design: surfaces and supply pressure.
    oil : Oil [-]
        The oil.
    inlet : float [K]
        Its temperature before the bearing.
    period : float [s]
        Of one cycle.
    start : Balance or None [-]
        An earlier result to begin with, of a bearing much like this one; None begins in the middle of the play.

    Returns
    -------
    path : (A,) complex array [1]
        Eccentricity over one cycle.
    temperature : float [K]
        Of the film.
    film, film_ratio : float [-]
        Least film [m], and over the composite roughness [1].
    loss : float [W]
        Mean power, touching roughness included.
    settled : bool [-]
        False if the sweeps ended before film and heat were in balance: not to be trusted.

    Raises
    ------
    InputError
        If the samples cannot be cut into windows.

    Valid: as ``journal.settle``, against which a test holds it.
    Source: heat balance; sweeps settle as films forget where they began.
    """
    samples = len(seat.load)
    if samples % WINDOWS or samples < 3 * WINDOWS:
        raise InputError("samples", samples, f"not a multiple of {WINDOWS} from {3 * WINDOWS}")
    path, warmth = (np.zeros(samples, dtype=complex), inlet + 10.0) if start is None else start[:2]
    batch = replace(films.journals([seat], design), period=np.full(1, period))
    supply = design.lubricant.si.supply_pressure
    for _ in range(SWEEPS):
        batch = replace(batch, viscosity=oils.viscosity(oil, np.array([warmth])))
        orbit, change = _sweep(batch, path)
        path = orbit.eccentricity[0]
        loss = (journal.power(batch, orbit, journal.SHEARED.likely) + journal.boundary_power(batch, orbit)).mean()
        warmth, error = _warmer(warmth, inlet, loss, journal.leakage(batch, orbit, supply)[0], oil)
        settled = change < CHANGE and abs(error) < BALANCE and not orbit.clipped[0]
        if settled:
            break
    film, ratio = journal.film_thickness(batch, orbit).min(), journal.film_ratio(batch, orbit).min()
    return Balance(path, warmth, film, ratio, loss, settled)


def _sweep(batch, path):
    """March one bearing through its cycle, windows side by side; orbit, and its change as a share of the film.

    Each window runs in from where the last sweep was: when sweeps have settled, the path is that of one long march.
    """
    samples = len(path)
    width = samples // WINDOWS
    at = (width * np.arange(WINDOWS)[:, None] + np.arange(-RUN_IN, width)) % samples
    given = {name: value[0][at] for name, value in vars(batch).items() if value.shape[-1] == samples}
    once = {name: value.repeat(WINDOWS) for name, value in vars(batch).items() if name not in given}
    once["period"] = once["period"] * (at.shape[1] / samples)
    found = mobility.orbit(mobility.Journals(**given, **once), 1, start=path[at])
    new, rate = (value[:, RUN_IN:].reshape(1, -1) for value in (found.eccentricity, found.rate))
    change = float((np.abs(new[0] - path) / (1.0 - np.abs(new[0]))).max())
    held = np.array([found.clipped.sum()])
    return mobility.Orbit(new, rate, np.array([change]), np.array([change < CHANGE]), 1, held), change


def _warmer(film, inlet, loss, flow, oil, heat_share=0.8, oil_heat=1.7e6):
    """Next temperature of the film by Newton's step, and by how much this one is off, as ``journal.settle``."""
    rise = heat_share * loss / (oil_heat * flow)
    now, next_ = oils.viscosity(oil, np.array([film, film + 1.0]))
    error = inlet + 0.5 * rise - film
    return film + np.clip(error / (1.0 + 0.5 * rise * np.log(now / next_)), -30.0, 30.0), error


def on_rollers(seat, viscosity, speed):
    """What a roller bearing of ordinary proportions in the same place would do.

    Parameters
    ----------
    seat : Seat [-]
        The bearing, whose diameter, length and motion are kept.
    viscosity : float [m2/s]
        Kinematic, of the oil.
    speed : float [rad/s]
        Of the shaft.

    Returns
    -------
    kind : str [-]
        ``needle`` or ``cylindrical``.
    count : int [1]
        Rollers.
    life : float [s]
        Rating life.
    loss : float [W]
        Mean power.
    cage_force : float [N]
        On the cage from the orbit of the bearing.
    speed_factor : float [-]
        Pitch diameter times relative speed, in mm rev/min; compare ``rollers.SPEED_FACTOR``.

    Valid: as ``rollers``; one that rocks turns, for its cage, at its mean pace.
    Source: ``rollers``.
    """
    bearing = rollers.estimate(seat.diameter, seat.length)
    load, turn = np.abs(seat.load), np.abs(seat.journal_speed - seat.sleeve_speed)
    kind = rollers.kind_of(bearing)
    equal = rollers.equivalent_load(load, turn)
    _, life = rollers.rating_life(bearing.dynamic_rating, equal, turn.mean())
    _, loss = rollers.friction(bearing, load, turn, viscosity, *(c.likely for c in rollers.FRICTION[kind]))
    outer, against = seat.sleeve_speed.mean(), (seat.journal_speed - seat.sleeve_speed).mean()
    body = rollers.orbiting(bearing, outer + np.copysign(turn.mean(), against), outer, equal, seat.orbit, speed)
    return Rolling(kind, int(bearing.count), life, loss.mean(), body.cage_force, body.speed_factor)
