"""Bodies that meet at gaps, stepped in time: a batch of starts at once, every touch and parting located.

Displacements q are small, and all that depends on the angle comes from tables over one period:

    q'' = linear in q, q' and 1  -  sum over contacts of force times direction
    approach g = rows.q + offset,   depth = |g| - gap,   force = law(depth, rate, stiffness, damping), along g

A contact has two walls, |g| = gap; two rows can be joined to a round one, |g| their root sum of squares. It pushes from
the touch (depth 0) until its force falls to zero, which a damper reaches while the bodies still overlap: a contact
never pulls. Between such events the motion is smooth and classical Runge-Kutta steps of fourth order follow it; a step
in which a contact changes is cut there. ``always`` marks springs that push and pull. Nothing here knows an engine.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base.results import record

#: A contact with one wall has the other this far away [m].
FAR = 0.1
#: Rounds of the search for an event, most events of one step before the rest of it is taken as it is, and the depth
#: that counts as none where a search begins [m].
ROUNDS, MOST, TOUCH = 6, 60, 1e-9
#: Least stiffness [N/m]; a spring that fades to nothing keeps it.
LEAST = 1e-6

#: Tables at one time, or at one for each case.
At = namedtuple("At", "big back stiffness damping gap gap_rate mass mass_rate stiffness_rate")
#: What acts in one state; ``work`` and ``lost`` are powers, only with an account.
State = namedtuple("State", "slope push signed depth rate active work lost")


def linear(depth, rate, stiffness, damping):
    """Force of a spring and a damper side by side.

    Parameters
    ----------
    depth : (N, m) array [m]
        How far the bodies overlap.
    rate : (N, m) array [m/s]
        Its rate.
    stiffness : (m,) array [N/m]
        Stiffness.
    damping : (m,) array [N s/m]
        Damping.

    Returns
    -------
    (N, m) array [N]
        Negative values are clipped by whoever calls.

    Valid: small overlap.
    Source: Kelvin and Voigt.
    """
    return stiffness * depth + damping * rate


@record("rows row_rates offset offset_rate gap stiffness damping mass mass_rate by_place by_speed load step", round=(),
        always=None, law=linear)
class Tables:
    """All that depends on the angle, at the ends and middles of the steps of one period.

    Attributes
    ----------
    rows, row_rates : (T, m, n) array [1], [1/s]
        Approach of each contact per displacement and its rate; T is twice the number of steps of the period.
    offset, offset_rate : (T, m) array [m], [m/s]
        Approach at rest.
    gap : (T, m) array [m]
        Half of the way between both walls.
    stiffness, damping : (T, m) array [N/m], [N s/m]
        Of each contact.
    mass, mass_rate : (T, n, n) array [kg], [kg/s]
        Mass matrix.
    by_place, by_speed : (T, n, n) array [N/m], [N s/m]
        Forces linear in displacement and speed that resist, beside the contacts.
    load : (T, n) array [N]
        Loads.
    step : float [s]
        Length of a step.
    round : tuple of (int, int) [-]
        Rows joined to a round contact.
    always : (m,) bool array [-]
        Springs that push and pull.
    law : callable [-]
        As ``linear``.
    """

    def __post_init__(self):
        count, m, n = self.rows.shape
        stiffness, join = np.maximum(self.stiffness, LEAST), np.eye(m)
        for pair in self.round:
            join[np.ix_(pair, pair)] = 1.0
        freely = np.linalg.solve(self.mass, np.concatenate(
            [-self.by_place, -self.by_speed, self.load[..., None]], axis=2)).swapaxes(1, 2)
        turn = self.rows.swapaxes(1, 2)
        big = np.concatenate([
            np.concatenate([turn, 0.0 * turn, self.offset[:, None]], axis=1),
            np.concatenate([self.row_rates.swapaxes(1, 2), turn, self.offset_rate[:, None]], axis=1), freely], axis=2)
        back = np.linalg.solve(self.mass, turn).swapaxes(1, 2)
        parts = At(big, back, stiffness, self.damping, self.gap, _rate(self.gap, self.step),
                   self.mass, self.mass_rate, _rate(stiffness, self.step))
        shapes = [part.shape[1:] for part in parts]
        vars(self).update(
            size=n, contacts=m, stiffness=stiffness, join=join, shapes=shapes,
            always=np.zeros(m, dtype=bool) if self.always is None else self.always,
            first=~np.isin(np.arange(m), [pair[1] for pair in self.round]),
            cuts=np.cumsum([0, *(int(np.prod(shape)) for shape in shapes)]),
            flat=np.concatenate([part.reshape(count, -1) for part in parts], axis=1),
            nodes=[At(*(part[i] for part in parts)) for i in range(count)])

    def at(self, half):
        """Tables at a node.

        Parameters
        ----------
        half : int [1]
            Half steps from the start of the period.

        Returns
        -------
        At [-]
            Tables.

        Valid: any.
        Source: none needed.
        """
        return self.nodes[half % len(self.nodes)]

    def between(self, step, share):
        """Tables inside a step, by a parabola through its three nodes.

        Parameters
        ----------
        step : int [1]
            Step of the period.
        share : (N,) array [1]
            Share of the step that each case has done.

        Returns
        -------
        At [-]
            One for each case.

        Valid: tables smooth over a step.
        Source: Lagrange's interpolation.
        """
        nodes = self.flat[np.arange(2 * step, 2 * step + 3) % len(self.flat)]
        weight = np.stack([(1 - share) * (1 - 2 * share), 4 * share * (1 - share), share * (2 * share - 1)], axis=1)
        mixed = weight @ nodes
        return At(*(mixed[:, a:b].reshape(-1, *shape)
                    for a, b, shape in zip(self.cuts[:-1], self.cuts[1:], self.shapes, strict=True)))

    def state(self, at, z, on, account=False):
        """All that acts at one time.

        Parameters
        ----------
        at : At [-]
            Tables, shared or one for each case.
        z : (N, 2 n) or (N, 2 n + 2) array [m], [m/s]
            Displacements and speeds; with an account also work and loss so far [J].
        on : (N, m) bool array [-]
            Contacts that push.
        account : bool [-]
            True to follow work and loss.

        Returns
        -------
        State [-]
            Rates of z, force of each contact along its depth and along each row, depth, its rate, activity as a
            depth (positive where a contact should push), and with an account the powers.

        Valid: head of this module.
        Source: head of this module.
        """
        n, m = self.size, self.contacts
        if at.big.ndim == 2:
            full = z[:, : 2 * n] @ at.big[:-1] + at.big[-1]
        else:
            full = (z[:, None, : 2 * n] @ at.big[:, :-1])[:, 0] + at.big[:, -1]
        g, g_rate, freely = full[:, :m], full[:, m : 2 * m], full[:, 2 * m :]
        size = np.sqrt((g * g) @ self.join)
        np.maximum(size, 1e-30, out=size)
        depth, rate = size - at.gap, ((g * g_rate) @ self.join) / size - at.gap_rate
        wanted = self.law(np.where(on, depth, np.maximum(depth, 0.0)), rate, at.stiffness, at.damping)
        push, soft = np.where(on, wanted, 0.0), wanted / at.stiffness
        signed = push / size * g
        pull = signed @ at.back if at.back.ndim == 2 else (signed[:, None] @ at.back)[:, 0]
        speed = z[:, n : 2 * n]
        slope, work, lost = [speed, freely - pull], None, None
        if account:
            work, lost = self._powers(at, z, on, (g_rate, freely, depth, rate, push, signed))
            slope += [work[:, None], lost[:, None]]
        active = np.where(on, soft, np.minimum(depth, soft))
        return State(np.concatenate(slope, axis=1), push, signed, depth, rate, active, work, lost)

    def _powers(self, at, z, on, acting):
        """Power of all that is prescribed (loads and nominal motion), and the power lost in the contacts."""
        g_rate, freely, depth, rate, push, signed = acting
        n, m = self.size, self.contacts
        v, inside = z[:, n : 2 * n], np.where(on, depth, 0.0)
        rows = at.big[..., n : 2 * n, m : 2 * m]
        moved = g_rate - (v @ rows if rows.ndim == 2 else (v[:, None] @ rows)[:, 0])
        heavy = ((at.mass @ freely[..., None])[..., 0] + 0.5 * (at.mass_rate @ v[..., None])[..., 0])
        work = (v * heavy).sum(1) + (signed * moved).sum(1)
        work += (self.first * (0.5 * at.stiffness_rate * inside**2 - push * at.gap_rate)).sum(1)
        return work, (self.first * (push - at.stiffness * inside) * rate).sum(1)

    def stored(self, at, z):
        """Kinetic and elastic energy.

        Parameters
        ----------
        at : At [-]
            Tables.
        z : (N, 2 n ...) array [m], [m/s]
            State.

        Returns
        -------
        (N,) array [J]
            Sum of both.

        Valid: ``linear`` contacts.
        Source: definition.
        """
        n, m = self.size, self.contacts
        found = self.state(at, z, np.zeros((len(z), m), dtype=bool))
        inside = np.where((found.active > 0.0) | self.always, found.depth, 0.0)
        v = z[:, n : 2 * n]
        moving = (v * (at.mass @ v[..., None])[..., 0]).sum(1)
        return 0.5 * (moving + (self.first * at.stiffness * inside**2).sum(1))

    def whole(self, half, z, on, found, account=False):
        """One whole step from a node, contacts held as they are.

        Parameters
        ----------
        half : int [1]
            Half steps so far.
        z : (N, ...) array [m], [m/s]
            State.
        on : (N, m) bool array [-]
            Contacts that push.
        found : State [-]
            What acts at the start.
        account : bool [-]
            As in ``state``.

        Returns
        -------
        (N, ...) array [m], [m/s]
            State after the step.

        Valid: no contact changes.
        Source: classical Runge-Kutta of fourth order.
        """
        return self._kutta(z, on, found.slope, self.step, self.at(half + 1), self.at(half + 2), account)

    def _kutta(self, z, on, first, length, middle, end, account):
        second = self.state(middle, z + 0.5 * length * first, on, account).slope
        third = self.state(middle, z + 0.5 * length * second, on, account).slope
        last = self.state(end, z + length * third, on, account).slope
        return z + length / 6.0 * (first + 2.0 * (second + third) + last)

    def part(self, step, share, z, on, length, account=False):
        """Part of a step: to the first event, or to its end.

        Parameters
        ----------
        step : int [1]
            Step of the period.
        share : (N,) array [1]
            Share of the step that each case has done.
        z : (N, ...) array [m], [m/s]
            State.
        on : (N, m) bool array [-]
            Contacts that push.
        length : float or (N,) array [1]
            Share of the step to go.
        account : bool [-]
            As in ``state``.

        Returns
        -------
        z : (N, ...) array [m], [m/s]
            State reached.
        on : (N, m) bool array [-]
            Contacts, with the one changed that met its event.
        done : (N,) array [1]
            Share of the step gone since.
        changed : (N, m) bool array [-]
            That contact.
        first : State [-]
            What acted at the start.

        Valid: head of this module.
        Source: cubic Hermite interpolation for the search, then a step of the length found.
        """
        length = np.broadcast_to(np.asarray(length, dtype=float), share.shape)

        def go(over):
            first = self.state(self.between(step, share), z, on, account)
            ends = self.between(step, share + over)
            middle = self.between(step, share + 0.5 * over)
            return first, ends, self._kutta(z, on, first.slope, (over * self.step)[:, None], middle, ends, account)

        first, ends, reached = go(length)
        last = self.state(ends, reached, on, account)
        wrong = ((last.active > 0.0) != on) & ~self.always
        hit = wrong.any(axis=1)
        if not hit.any():
            return reached, on, length, wrong, first
        side = np.where(wrong, np.where(on, -1.0, 1.0), 0.0)
        over, ends = length.copy(), (z[hit], first.slope[hit], reached[hit], last.slope[hit])
        over[hit] = self._search(step, share[hit], length[hit], ends, on[hit], side[hit])
        _, ends, again = go(over)
        reached = np.where(hit[:, None], again, reached)
        late = np.where(wrong, side * self.state(ends, reached, on).active, -np.inf)
        changed = hit[:, None] & (np.arange(self.contacts) == np.argmax(late, axis=1)[:, None])
        for one, two in self.round:
            changed[:, one] = changed[:, two] = changed[:, one] | changed[:, two]
        return reached, on ^ changed, over, changed, first

    def _search(self, step, share, length, ends, on, side):
        """Share of the step at which the first of the contacts that change does so."""
        z, leaving, reached, arriving = ends
        span = (length * self.step)[:, None]

        def late(part):
            s = part[:, None]
            h = s * s * (3.0 - 2.0 * s)
            place = (1.0 - h) * z + h * reached + s * (1.0 - s) * span * ((1.0 - s) * leaving - s * arriving)
            at = self.between(step, share + part * length)
            return np.where(side != 0.0, side * self.state(at, place, on).active, -np.inf).max(axis=1)

        low, high = np.zeros(len(z)), np.ones(len(z))
        below, high_weight = late(low), late(high)
        low_weight = np.minimum(below, -TOUCH)
        for _ in range(ROUNDS):
            fall = np.where(high_weight == low_weight, 1.0, high_weight - low_weight)
            middle = low - low_weight * (high - low) / fall
            middle = np.clip(middle, low, high)
            value = late(middle)
            up = value > 0.0
            low_weight, high_weight = (np.where(up, 0.5 * low_weight, value), np.where(up, value, 0.5 * high_weight))
            low, high = np.where(up, low, middle), np.where(up, middle, high)
        return np.where(below > TOUCH, 0.0, middle) * length


def _rate(values, step):
    """Rate of a table at half steps."""
    return np.gradient(values, 0.5 * step, axis=0) if len(values) > 2 else np.zeros_like(values)


def run(tables, z, steps, start=0, watch=None, account=False):
    """Step a batch of starts, every change of a contact located.

    Parameters
    ----------
    tables : Tables [-]
        The system.
    z : (N, 2 n) array [m], [m/s]
        Displacements and speeds at the start.
    steps : int [1]
        Steps.
    start : int [1]
        Step of the period at which to begin.
    watch : object or None [-]
        Gets ``step(number, found)`` before each step, ``hit(step, share, cases, found, changed)`` just after each
        event, both with what then acts.
    account : bool [-]
        True to follow work and loss.

    Returns
    -------
    (N, 2 n) or (N, 2 n + 2) array [m], [m/s], [J]
        State after the last step; with an account work and loss too.

    Valid: steps short against the period of the stiffest contact.
    Source: head of this module.
    """
    z = np.concatenate([z, np.zeros((len(z), 2))], axis=1) if account else np.array(z, dtype=float)
    on = np.broadcast_to(tables.always, (len(z), tables.contacts))
    on = (tables.state(tables.at(2 * start), z, on).active > 0.0) | tables.always
    found = tables.state(tables.at(2 * start), z, on, account)
    for step in range(start, start + steps):
        if watch is not None:
            watch.step(step, found)
        reached = tables.whole(2 * step, z, on, found, account)
        found = tables.state(tables.at(2 * step + 2), reached, on, account)
        cut = np.flatnonzero((((found.active > 0.0) != on) & ~tables.always).any(axis=1))
        if cut.size:
            reached[cut], on[cut] = _cut(tables, step, (cut, z[cut], on[cut]), watch, account)
            found = tables.state(tables.at(2 * step + 2), reached, on, account)
        z = reached
    return z


def _cut(tables, step, start, watch, account):
    """The same step for those cases in which a contact changes, from event to event."""
    cases, z, on = start
    share, left, changed = np.zeros(len(z)), np.arange(len(z)), None
    for _ in range(MOST):
        pushes = on[left]
        to_go = 1.0 - share[left]
        z[left], on[left], over, now, first = tables.part(step, share[left], z[left], pushes, to_go, account)
        if changed is not None and watch is not None:
            watch.hit(step, share[left], cases[left], first, changed)
        if changed is not None and account:  # a contact that parts while it still overlaps loses what it stored
            kept = 0.5 * tables.between(step, share[left]).stiffness * first.depth**2
            z[left, -1] += (tables.first * changed * np.where(pushes, -kept, kept)).sum(1)
        share[left] += over
        going = (share[left] < 1.0 - 1e-12) | now.any(axis=1)
        left, changed = left[going], now[going]
        if not left.size:
            break
    else:
        z[left] = tables.part(step, share[left], z[left], on[left], 1.0 - share[left], account)[0]
    return z, on
