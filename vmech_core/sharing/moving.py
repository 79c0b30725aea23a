"""The straight-line drive as bodies that move between stops: masses, contacts and loads over one cycle, for a march.

Perturbations about the nominal motion, in axes fixed in the block: x and y of the crank's axis C (at each end, where
two ends are wanted), w, the turn of the crank times the carrier radius a, s, the turn of carrier 1 times a (two ends),
and for each rod its lateral place y at the pin and its tilt t times the rod length. The crank is rigid. A pin that
moves along its cylinder line by r.q takes the rod along, mass and all: r = (cos alpha, sin alpha, sin(theta - alpha)).
A turned crank changes the lever of the rod force, a tilted rod the moment of gas and inertia about its pin: small
against any contact, but it drives what flies free (``displaced``). Every row is a straight sum of 1, cos(theta) and
sin(theta), so that its rate is exact.
"""

import numpy as np

from vmech_core.sharing import quasi_static, stepping
from vmech_core.sharing.contacts import Contacts
from vmech_core.sharing.flanks import GYRATION

#: Own judgement, where neither drive nor ``Elastic`` says it: axial radius of gyration of the crank over the distance
#: of its bearings; turning mass of carrier 1 at the carrier radius over the crank's mass; share of the piston in the
#: moving mass of a cylinder, the rest a straight bar from the pin to the end of the rod.
AXIAL, CARRIER, PISTON = 0.4, 0.5, 0.3
#: Steps in the shortest period of vibration with all contacts closed.
PER_PERIOD = 30


class Machine(Contacts):
    """Tables of one machine over its cycle, and what its rows mean.

    Attributes
    ----------
    tables : Tables [-]
        For ``stepping.run``.
    names : tuple of str [-]
        Channels: ``mesh`` or ``mesh 1``, ``mesh 2``; ``guide 1`` and ``bore 1`` for each cylinder; ``carriers`` or
        ``carrier 1``, ``carrier 2``.
    flanks : tuple of int [-]
        Rows of the tooth flanks.
    e, drive, loads, axis : object [-]
        What it was made of.
    count, ends, turns, steps, size, w, first : int [1]
        Cylinders, ends, turns and steps of a cycle, displacements, places of w and of the first rod among them.
    radius : float [m]
        Carrier radius.
    speed : float [rad/s]
        Carrier speed.
    begin : float [rad]
        Carrier angle of the first table.
    ratios : tuple of float [1]
        Damping of dry contacts and of films over the critical one.
    displaced : bool [-]
        As in ``march``.
    kinds : list of tuple [-]
        Kind and owner of each row.
    rounds : list of tuple [-]
        Pairs of rows of the round seats.
    seats : list of int [-]
        First row of each.
    light : (m,) array [kg]
        Mass that each contact feels, from its mean mobility.
    sum : (m, C) array [1]
        Which rows add up to which channel.
    elastic : Elastic [-]
        Argument: the machine.
    damping, film_damping, per_period : float [1]
        Arguments, as in ``march``.
    turn : float or None [rad]
        Argument: carrier turn that the tables have to reach; None for the cycle.
    room : (n,) array [m]
        Half of the way that each displacement has, about, for starts anywhere between the stops.
    """

    def __init__(self, elastic, drive, loads, damping, film_damping, axis=None, turn=None, begin=0.0,
                 per_period=PER_PERIOD, displaced=True):
        super().__init__(elastic, drive, axis)
        self.loads, self.speed = loads, float(drive.speed)
        self.turns = round(float(loads.angle[-1] - loads.angle[0]) / (2.0 * np.pi))
        self.kinds, self.rounds = [(kind, k) for kind, k, *_ in self.contacts(np.zeros(1))], []
        self.begin, self.ratios, self.displaced = begin, (damping, film_damping), displaced
        few = self._tables(24, 24)
        stiff = few.rows.swapaxes(1, 2) @ (few.stiffness[..., None] * few.rows)
        fastest = np.sqrt(np.linalg.eigvals(np.linalg.solve(few.mass, stiff)).real.max())
        self.steps = int(np.ceil(per_period * fastest * self.turns / abs(self.speed)))
        whole = 2 * self.steps
        share = 1.0 if turn is None else turn / (2.0 * np.pi * self.turns)
        part = min(2 * int(np.ceil(share * self.steps)) + 2, whole)
        self.tables = self._tables(whole, part)
        self._channels()

    def _rows(self, angle):
        """Rows and offsets at some angles, (A, m, n) and (A, m)."""
        rows, offsets = [], []
        for kind, _, row, offset in self.contacts(angle):
            rows.append(np.broadcast_to(row, (len(angle), self.size)))
            offsets.append(np.broadcast_to(stepping.FAR if kind == "flank" else -offset, angle.shape))
        rows, turn = np.stack(rows, axis=1), np.exp(1j * angle)[:, None, None]
        fixed = (rows[..., 0 : self.w : 2] + 1j * rows[..., 1 : self.w : 2]) * turn
        rows[..., 0 : self.w : 2], rows[..., 1 : self.w : 2] = fixed.real, fixed.imag
        return rows, np.stack(offsets, axis=1)

    def _line(self, angle, k):
        """How far pin k moves along its line per displacement, (A, n)."""
        alpha = self.drive.bank_angle[k]
        return self.row(*self.at(k, np.cos(alpha), np.sin(alpha)), (self.w, np.sin(angle - alpha)))

    def _turned(self, function, angle):
        """Rate of what is a straight sum of 1, cos and sin of the angle."""
        ahead, behind = (function(angle + side * 0.5 * np.pi) for side in (1.0, -1.0))
        return [0.5 * self.speed * (f - b) for f, b in zip(ahead, behind, strict=True)]

    def _tables(self, count, part):
        """All tables at the first ``part`` of ``count`` angles of the cycle."""
        angle = self.begin + 2.0 * np.pi * self.turns * np.arange(part) / count
        ahead = (self.begin - self.loads.angle[0]) / (2.0 * np.pi * self.turns)
        rod, gas = (np.stack([_smooth(values, count, ahead)[:part] for values in self.loads[name]])
                    for name in ("rod", "gas"))
        rows, offset = self._rows(angle)
        row_rate, offset_rate = self._turned(self._rows, angle)
        mass, mass_rate, by_place, by_speed, load = self._masses(angle, rod, gas)
        gap, stiffness = self._laws(angle, rod)
        kinds = np.array([kind for kind, _ in self.kinds])
        filmed = [kind in ("guide", "bearing") and getattr(self.e, f"{kind}_film") is not None for kind in kinds]
        ratio, bearing = np.where(filmed, self.ratios[1], self.ratios[0]), np.flatnonzero(kinds == "bearing")
        if count == part == 24:
            easy = np.einsum("amn,anm->am", rows, np.linalg.solve(mass, rows.swapaxes(1, 2))).mean(axis=0)
            easy[bearing] = np.repeat(easy[bearing].reshape(-1, 2).mean(axis=1), 2)
            self.light = 1.0 / easy  # mass that each contact feels, from its mean mobility
        self.rounds = [tuple(int(i) for i in pair) for pair in bearing.reshape(-1, 2)]
        always = (kinds == "pin") | (kinds == "tie") | ((kinds == "guide") & np.all(gap == 0.0, axis=0))
        return stepping.Tables(
            rows=rows, row_rates=row_rate, offset=offset, offset_rate=offset_rate, gap=gap, stiffness=stiffness,
            damping=2.0 * ratio * np.sqrt(stiffness * self.light), mass=mass, mass_rate=mass_rate, by_place=by_place,
            by_speed=by_speed, load=load, step=2.0 * np.pi * self.turns / abs(self.speed) / (count // 2),
            round=tuple(self.rounds), always=always)

    def _laws(self, angle, rod):
        """Gap and stiffness of each row, (A, m)."""
        law = self.laws(angle, rod)
        pairs = [law(*own) for own in self.kinds]
        gap, stiffness = (np.stack([np.broadcast_to(own, angle.shape) for own in part], axis=1)
                          for part in zip(*pairs, strict=True))
        gap[:, : 2 * self.ends] += stepping.FAR
        return gap, stiffness

    def _masses(self, angle, rod, gas):
        """Mass matrix and its rate, forces by place and speed, loads."""
        d, a, speed, w, n = self.drive, self.radius, self.speed, self.w, self.size
        mass, mass_rate, by_place, by_speed = (np.zeros((len(angle), n, n)) for _ in range(4))
        load, spin = np.zeros((len(angle), n)), np.exp(1j * angle)
        own = self.row(*self.at(None, 1.0, 1.0))[0, 0:w:2]
        tilt = AXIAL * np.array([-1.0, 1.0]) if self.ends == 2 else np.zeros(1)
        for axis in (0, 1):
            which = np.arange(axis, w, 2)
            mass[:, which[:, None], which] = d.crank_mass * (np.outer(own, own) + np.outer(tilt, tilt))
        mass[:, w, w] = d.crank_mass * GYRATION[1] ** 2
        if self.ends == 2:
            mass[:, w + 1, w + 1] = CARRIER * d.crank_mass
        eccentric = d.crank_moment * spin.conj() / a
        central = (d.crank_mass * spin + eccentric) * a * speed**2
        for part, axis in ((np.real, 0), (np.imag, 1)):
            which = np.arange(axis, w, 2)
            load[:, which] = part(central)[:, None] * own
            for table, value in ((mass, 1j * eccentric), (mass_rate, speed * eccentric)):
                table[:, which, w] = table[:, w, which] = part(value)[:, None] * own
            by_speed[:, which, w] = part(2.0 * speed * eccentric)[:, None] * own
            by_place[:, which, w] = part(-1j * speed**2 * eccentric)[:, None] * own
        turning = np.conj(eccentric) * spin * speed**2
        load[:, w] += a * np.imag(turning)
        by_place[:, w, w] += np.real(turning)
        middle, spread = _bar(self.e.bore_span)
        for k, m in enumerate(d.reciprocating_mass):
            row, row_rate = self._line(angle, k), self._turned(lambda at, k=k: [self._line(at, k)], angle)[0]
            bent = np.zeros_like(row)
            bent[:, w] = -(speed**2) * np.sin(angle - d.bank_angle[k])
            load -= rod[k][:, None] * row
            mass += m * row[:, :, None] * row[:, None, :]
            mass_rate += m * (row_rate[:, :, None] * row[:, None, :] + row[:, :, None] * row_rate[:, None, :])
            by_speed += 2.0 * m * row[:, :, None] * row_rate[:, None, :]
            by_place += m * row[:, :, None] * bent[:, None, :]
            i = self.first + 2 * k
            mass[:, i : i + 2, i : i + 2] = m * np.array([[1.0, middle], [middle, spread]])
            if self.displaced:
                by_place[:, w, w] -= rod[k] * np.cos(angle - d.bank_angle[k]) / a
                by_place[:, i + 1, i + 1] -= (gas[k] + (rod[k] - gas[k]) * middle) / self.e.bore_span[1]
        return mass, mass_rate, by_place, by_speed, load

    def _channels(self):
        """Which rows make which channel: straight sums, and for round seats the depth force itself."""
        kinds, cosine = self.kinds, np.cos(self.drive.pressure_angle)
        self.names = names = quasi_static.channel_names(self.count, self.ends)
        self.flanks, self.sum = tuple(range(2 * self.ends)), np.zeros((len(kinds), len(names) - self.ends))
        for end in range(self.ends):
            self.sum[2 * end : 2 * end + 2, end] = cosine, -cosine
        for i, (kind, k) in enumerate(kinds):
            if kind in ("guide", "bore"):
                self.sum[i, names.index(f"{kind} {k + 1}")] = -1.0
        self.seats = [pair[0] for pair in self.rounds]
        e, room = self.e, np.zeros(self.size)
        room[: self.w] = e.bearing_clearance
        room[self.w] = 0.5 * e.backlash
        room[self.first :: 2], room[self.first + 1 :: 2] = e.guide_clearance, e.bore_clearance
        self.room = room

    def forces(self, found):
        """Channels of a state.

        Parameters
        ----------
        found : State [-]
            State.

        Returns
        -------
        (N, C) array [N]
            In the order of ``names``.

        Valid: as ``march``.
        Source: sums.
        """
        return np.concatenate([found.signed @ self.sum, found.push[:, self.seats]], axis=1)


def _bar(bore_span):
    """Mass moments of piston and rod over the rod length: first, and second about the pin."""
    middle, length = 0.5 * sum(bore_span), bore_span[1]
    return (PISTON * middle / length + (1.0 - PISTON) * 0.5,
            PISTON * (middle / length) ** 2 + (1.0 - PISTON) / 3.0)


def _smooth(values, count, ahead):
    """One cycle, both ends included, at other angles, through its waves; ``ahead`` is a share of the cycle."""
    waves = np.fft.rfft(values[:-1])
    waves = waves * np.exp(2j * np.pi * ahead * np.arange(len(waves)))
    return np.fft.irfft(waves[: count // 2 + 1], count) * (count / (len(values) - 1))
