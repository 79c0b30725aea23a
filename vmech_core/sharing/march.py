"""The shared side load in time: crank and rods marched over many cycles between their stops, and what comes of it.

Near a change of flank equilibrium is not followed. Dry gaps with the damping of metal on metal do not repeat from one
cycle to the next, so that a result is a distribution over cycles and starts, never one cycle. ``march_factors`` sets it
beside quasi-statics, channel by channel.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import Estimate, InputError, Loads, record
from vmech_core.sharing import quasi_static, stepping
from vmech_core.sharing.contacts import Contacts
from vmech_core.sharing.moving import PER_PERIOD, Machine, _bar

#: Damping over the critical one of each contact: dry metal, own judgement (gear dynamics commonly uses 0.03 to 0.17).
DAMPING = Estimate(0.02, 0.05, 0.15, "1", "own judgement")
#: The same where a film fills the gap: own judgement, on the safe side. A full squeezed film of the demo's guide would
#: damp several times critically.
FILM_DAMPING = Estimate(0.3, 0.6, 1.0, "1", "own judgement")

#: Mean, standard deviation, percentiles 5, 50 and 95, standard error of the mean.
Spread = namedtuple("Spread", "mean scatter low median high error")
#: Blows at changes of flank, one entry each: start, cycle, carrier angle from the start of the cycle [rad], speed of
#: approach along the line of action [m/s], first peak of the force on the flank [N], row of the flank.
Blows = namedtuple("Blows", "start cycle angle speed force flank")
#: March over quasi-statics in one channel, peak and root mean square: mean and percentiles 5 and 95 at likely damping,
#: least and greatest mean over the damping, quasi-static value [N].
Factor = namedtuple("Factor", "mean low high least greatest quasi_static")


@record("names peak mean_square blows angle trace energy place settle acceleration")
class March:
    """Result of a march.

    Attributes
    ----------
    names : tuple of str [-]
        Channels, as in ``moving.Machine``.
    peak : (cycles, N, C) array [N]
        Largest size of each channel, cycle by cycle and start by start.
    mean_square : (cycles, N, C) array [N]
        Root mean square.
    blows : Blows [-]
        Blows at changes of flank.
    angle : (P,) array [rad]
        Carrier angle of the trace.
    trace : (P, N, C) array [N]
        Channels over the last cycle (or window).
    energy : (4, N) array or None [J]
        Stored before, work of all that is prescribed, lost, stored after; None without an account.
    place : (N, 2 n) array [m], [m/s]
        State at the end.
    settle : int [1]
        Cycles at the beginning that statistics leave out.
    acceleration : (P, N, n) array [m/s2]
        Of the displacements, with the trace.
    """

    def summary(self, what="peak"):
        """Statistics over cycles and starts, channel by channel.

        Parameters
        ----------
        what : str [-]
            ``peak`` or ``mean_square``.

        Returns
        -------
        dict of str to Spread [N]
            The first cycles left out.

        Valid: cycles independent of one another, which dry gaps make true.
        Source: definitions.
        """
        kept = getattr(self, what)[self.settle :].reshape(-1, len(self.names))
        rows = zip(kept.mean(0), kept.std(0), *np.percentile(kept, [5.0, 50.0, 95.0], axis=0),
                   kept.std(0, ddof=1) / np.sqrt(len(kept)) if len(kept) > 1 else np.full(len(self.names), np.nan),
                   strict=True)
        return {name: Spread(*map(float, row)) for name, row in zip(self.names, rows, strict=True)}

    def loads(self, elastic, drive, plane, axis=None, start=0):
        """The last cycle of one start as plane loads, for all that takes those: ``size.straight_crank``, say.

        Parameters
        ----------
        elastic : Elastic [-]
            The machine that was marched.
        drive : HypocycloidDrive [-]
            Its drive.
        plane : Loads [-]
            Its plane loads.
        axis : CrankAxis or None [-]
            As it was marched.
        start : int [1]
            Start.

        Returns
        -------
        Loads [-]
            Channels rod, guide, bore, mesh, pin and crank_spin; with two ends also mesh_end, separating_end and
            crank_shake. The pins feel the inertia of the shaking rods.

        Valid: as ``march``.
        Source: the trace; balance of each rod with the masses of ``march``; closed in tests/size/test_crank.py.
        """
        trace, shake = self.trace[:, start].T.astype(float), self.acceleration[:, start].astype(float)
        own, period = Contacts(elastic, drive, axis), np.ptp(plane.angle)
        found = {kind: trace[[name.split()[0] == kind for name in self.names]] for kind in ("mesh", "guide", "bore")}
        found["rod"] = np.stack([np.interp(self.angle, plane.angle, one, period=period) for one in plane["rod"]])
        if axis is not None:
            found |= {"mesh_end": found["mesh"], "crank_shake": shake[:, 0:4:2].T + 1j * shake[:, 1:4:2].T,
                      "separating_end": np.abs(found["mesh"]) * np.tan(drive.pressure_angle)}
        side, middle, pins = found["guide"] + found["bore"], _bar(elastic.bore_span)[0], []
        for k, (m, bank) in enumerate(zip(drive.reciprocating_mass, drive.bank_angle, strict=True)):
            line = own.row(*own.at(k, np.cos(bank), np.sin(bank)), (own.w, np.sin(self.angle - bank)))
            lean = own.row((own.first + 2 * k, 1.0), (own.first + 2 * k + 1, middle))
            shook = ((line + 1j * lean) * shake).sum(axis=1)
            pins.append((-found["rod"][k] + 1j * side[k] - m * shook) * np.exp(1j * bank))
        found |= {"pin": np.stack(pins), "mesh": found["mesh"].sum(axis=0), "crank_spin": shake[:, own.w] / own.radius}
        return Loads(self.angle, found, "marched in time")


def march(elastic, drive, loads, cycles=6, damping=DAMPING.likely, starts=20, axis=None, progress=None, seed=1,
          settle=1, film_damping=FILM_DAMPING.likely, begin=0.0, places=None, account=False, per_period=PER_PERIOD,
          displaced=True):
    """March the crank and the rods in time between their stops.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine, in any state, films included.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads over one cycle, both ends included; their channel ``rod`` loads the pins.
    cycles : float [1]
        Cycles; below 1 a window.
    damping : float [1]
        Of each dry contact over its critical one.
    starts : int [1]
        Starts, all marched at once.
    axis : CrankAxis or None [-]
        Places along the axis, for two ends and a crank that tilts; None lumps both ends in the middle.
    progress : callable or None [-]
        Gets steps done and steps in all.
    seed : int [1]
        Seed of the places at which the starts begin, anywhere between the stops.
    settle : int [1]
        Cycles at the beginning that statistics leave out.
    film_damping : float [1]
        Of guides and carriers that have a film.
    begin : float [rad]
        Carrier angle at which to begin.
    places : (N, n) array or None [m]
        Displacements to begin with, at rest; None for random ones.
    account : bool [-]
        True to follow the energy, which takes a third longer.
    per_period : float [1]
        Steps in the shortest period of vibration.
    displaced : bool [-]
        False leaves the rod forces in the geometry at rest, as quasi-statics does.

    Returns
    -------
    March [-]
        Peaks, mean squares, blows, trace, energy.

    Raises
    ------
    InputError
        If the damping is negative or ``cycles`` leaves none to count.

    Valid: plane motion, rigid bodies on their contacts, constant speed, no friction; displacements so small that their
        squares count as none (below 0.1 um in the demo: dry, that grows from blow to blow to 6 % of a late peak within
        100 degrees; with films it stays below 1 %); a rod follows its pin along the cylinder line, with the pendulum
        spring of the nominal rod force across it.
    Source: Lagrange's equations about the nominal motion, notebook 06; ``stepping``.
    """
    if damping < 0.0:
        raise InputError("damping", damping, "below 0", nearest="0")
    window = cycles < 1
    settle = 0 if window else settle
    if not window and cycles != int(cycles) or cycles <= settle:
        words = f"not a whole number above {settle}, nor a window below 1"
        raise InputError("cycles", cycles, words, nearest=str(settle + 1))
    turn = 2.0 * np.pi * cycles * round(np.ptp(loads.angle) / (2.0 * np.pi)) if window else None
    machine = Machine(elastic, drive, loads, damping, film_damping, axis, begin=begin, per_period=per_period,
                      displaced=displaced, turn=turn)
    if places is None:
        places = np.random.default_rng(seed).uniform(-1.0, 1.0, (starts, machine.size)) * machine.room
    tables, z = machine.tables, np.concatenate([places, 0.0 * places], axis=1)
    steps = round(cycles * machine.steps)
    watch = _Watch(machine, len(z), steps, progress)
    before = tables.stored(tables.at(0), z) if account else None
    z = stepping.run(tables, z, steps, watch=watch, account=account)
    energy = np.stack([before, z[:, -2], z[:, -1], tables.stored(tables.at(2 * steps), z)]) if account else None
    return watch.result(machine, z[:, : 2 * machine.size], energy, settle)


class _Watch:
    """Collects peaks, squares, blows and the last cycle while a march runs."""

    def __init__(self, machine, starts, steps, progress):
        self.machine, self.steps, self.progress = machine, steps, progress
        self.length, channels = min(machine.steps, steps), len(machine.names)
        shape = (-(-steps // self.length), starts, channels)
        self.peak, self.square = np.zeros(shape), np.zeros(shape)
        self.trace = np.zeros((self.length, *shape[1:]), dtype=np.float32)
        self.shake = np.zeros((self.length, starts, machine.size), dtype=np.float32)
        self.old, self.cut = np.zeros((2, starts, channels)), np.ones((2, starts), dtype=bool)
        flanks = len(machine.flanks)
        self.last, self.open = np.full((starts, flanks // 2), -1), np.full((starts, flanks), -1)
        self.blows = []

    def step(self, number, found):
        """Take what acts at the beginning of a step."""
        cycle, force = number // self.length, self.machine.forces(found)
        size, (first, middle) = np.abs(force), self.old
        # between two steps a smooth force peaks as its parabola does
        bend = 2.0 * middle - first - size
        top = (middle >= first) & (middle >= size) & (bend > 0.0) & ~self.cut.any(axis=0)[:, None]
        over = np.where(top, middle + 0.125 * (size - first) ** 2 / np.where(top, bend, 1.0), size)
        np.maximum(self.peak[cycle], over, out=self.peak[cycle])
        self.square[cycle] += size**2
        self.trace[number % self.length] = force
        self.shake[number % self.length] = found.slope[:, self.machine.size : 2 * self.machine.size]
        self.old, self.cut = np.stack([middle, size]), np.stack([self.cut[1], np.zeros(len(size), dtype=bool)])
        live = np.argwhere(self.open >= 0) if (self.open >= 0).any() else ()
        for case, flank in live:
            blow, push = self.blows[self.open[case, flank]], found.push[case, flank]
            if push < blow[4]:
                self.open[case, flank] = -1
            blow[4] = max(blow[4], push)
        now = number + 1
        if self.progress is not None and (now % max(self.length // 20, 1) == 0 or now == self.steps):
            self.progress(now, self.steps)

    def hit(self, step, share, cases, found, changed):
        """Take what acts after an event."""
        self.cut[1, cases] = True
        cycle, force = step // self.length, np.abs(self.machine.forces(found))
        self.peak[cycle, cases] = np.maximum(self.peak[cycle, cases], force)
        for i, flank in np.argwhere(changed[:, self.machine.flanks]):
            if found.rate[i, flank] > 0.0 and found.push[i, flank] >= 0.0 and abs(found.depth[i, flank]) < 1e-8:
                case, mesh = cases[i], flank // 2
                if self.last[case, mesh] == (flank ^ 1):
                    self.open[case, flank] = len(self.blows)
                    place = (step + share[i]) % self.length
                    self.blows.append([case, cycle, place, found.rate[i, flank], found.push[i, flank], flank])
                self.last[case, mesh] = flank

    def result(self, machine, place, energy, settle):
        """The march."""
        turn = machine.begin + 2.0 * np.pi * machine.turns / machine.steps * np.arange(self.length)
        columns = np.array(self.blows, dtype=float).reshape(-1, 6).T
        columns[2] = machine.begin + columns[2] * 2.0 * np.pi * machine.turns / machine.steps
        blows = Blows(*(columns[i].astype(int) if i in (0, 1, 5) else columns[i] for i in range(6)))
        return March(names=machine.names, peak=self.peak, mean_square=np.sqrt(self.square / self.length), blows=blows,
                     angle=turn, trace=self.trace, energy=energy, place=place, settle=settle,
                     acceleration=self.shake)


def quasi_static_channels(elastic, drive, loads, axis=None):
    """The channels of a march by quasi-statics.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads.
    axis : CrankAxis or None [-]
        As in ``march``.

    Returns
    -------
    dict of str to (A,) array [N]
        By channel.

    Valid: as ``share``.
    Source: ``share``.
    """
    shared, _ = quasi_static.share(elastic, drive, loads, axis)
    ends, part = (1, "") if axis is None else (2, "_end")
    rows = shared[f"mesh{part}"], shared["guide"], shared["bore"], np.abs(shared[f"crank_bearing{part}"])
    return dict(zip(quasi_static.channel_names(len(shared["guide"]), ends), np.vstack(rows), strict=True))


def march_factors(elastic, drive, loads, damping=DAMPING, film_damping=FILM_DAMPING, axis=None, progress=None,
                  **options):
    """Peaks and root mean squares of the march over those of quasi-statics, with their range over the damping.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads.
    damping : Estimate [1]
        Of dry contacts.
    film_damping : Estimate [1]
        Of contacts with a film; low goes with low.
    axis : CrankAxis or None [-]
        As in ``march``.
    progress : callable or None [-]
        Gets steps done and steps in all, of one march after the other.
    options : object [-]
        Passed on to ``march``.

    Returns
    -------
    peaks, mean_squares : dict of str to Factor [1]
        By channel.
    likely : March [-]
        At likely damping.

    Valid: as ``march``.
    Source: ``march``, ``share``.
    """
    still = quasi_static_channels(elastic, drive, loads, axis)
    marches = [march(elastic, drive, loads, damping=getattr(damping, name), film_damping=getattr(film_damping, name),
                     axis=axis, progress=progress, **options) for name in ("low", "likely", "high")]
    found = []
    for what, size in (("peak", lambda f: np.abs(f).max()), ("mean_square", lambda f: np.sqrt((f[:-1] ** 2).mean()))):
        spreads = [one.summary(what) for one in marches]
        found.append({name: _factor([spread[name] for spread in spreads], float(size(still[name]))) for name in still})
    return found[0], found[1], marches[1]


def _factor(spreads, still):
    means, unit = [spread.mean for spread in spreads], max(still, 1e-9)
    likely = spreads[1]
    own = (likely.mean, likely.low, likely.high, min(means), max(means))
    return Factor(*(value / unit for value in own), still)
