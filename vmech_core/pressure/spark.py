"""Four-stroke spark-ignition cycle on any volume curve: one zone, first law, Wiebe burn, wall loss, open period.

A volume curve is a function that turns an angle after the firing dead centre [rad] into volume [m3] and its rate
[m3/rad]; which mechanism it comes from does not matter here. Between inlet closing and exhaust opening the first law
is integrated, m du = dQ_fuel - dQ_wall - p dV. Both valve events are given as volumes, so that every mechanism traps
the same charge and expands it to the same volume. Notebook 04 derives the cycle.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from vmech_core.base import InputError, record
from vmech_core.pressure import first_law, gas
from vmech_core.pressure.measured import Trace
from vmech_core.pressure.volume import crossing, swept

#: Steps of the fourth-order integration before, during and after the burn; the test halves them.
STEPS = (56, 56, 64)
#: Burn starts [rad] among which the best is looked for, before it is refined.
SEARCH = np.radians(np.linspace(-75.0, 15.0, 19))
#: A burn shorter than this burns at once [rad]: steps of it would drown in rounding.
SUDDEN = 1e-6


@record("bore speed inlet_pressure exhaust_pressure charge_temperature inlet_closing exhaust_opening heat "
        "burn_duration", wiebe_a=5.0, wiebe_m=2.0, wall_temperature=450.0, wall_loss="hohenberg", wall_factor=1.0,
        residual=0.0, blowdown=np.radians(60.0), fresh=gas.AIR, burned=gas.BURNED)
class SparkCycle:
    """Charge, burn, wall and manifolds of the cycle.

    Attributes
    ----------
    bore : float [m]
        Bore, for the wall loss.
    speed : float [rad/s]
        Shaft speed, positive.
    inlet_pressure : float [Pa]
        Absolute pressure in the inlet manifold, and of the charge when the inlet closes.
    exhaust_pressure : float [Pa]
        Absolute pressure in the exhaust.
    charge_temperature : float [K]
        Temperature of the charge when the inlet closes.
    inlet_closing : float [1]
        Volume above the clearance volume when the inlet closes, over the swept volume.
    exhaust_opening : float [1]
        The same when the exhaust opens.
    heat : float [J/kg]
        Heat set free per mass of trapped charge by a whole burn.
    burn_duration : float [rad]
        Angle from the start to the end of the burn; below ``SUDDEN`` it burns at once.
    wiebe_a : float [1]
        Completeness: the share exp(-a) is left unburned.
    wiebe_m : float [1]
        Form: 0 burns fastest at the start, larger values later.
    wall_temperature : float [K]
        Mean temperature of head, piston and liner.
    wall_loss : str [-]
        ``hohenberg``, ``woschni`` or ``none``.
    wall_factor : float [1]
        Multiplier of the correlation.
    residual : float [1]
        Share of burned gas in the trapped charge.
    blowdown : float [rad]
        Angle in which the pressure falls to that of the exhaust.
    fresh : Gas [-]
        Gas before the burn.
    burned : Gas [-]
        Gas after it.
    """

    @property
    def is_sudden(self):
        """Whether it burns at once, at constant volume [-]."""
        return self.burn_duration < SUDDEN


def from_design(design):
    """Cycle of a design.

    Parameters
    ----------
    design : Design [-]
        The design; its section spark_cycle holds the assumptions.

    Returns
    -------
    SparkCycle [-]
        The cycle. The heat per mass of charge is heating value times efficiency, divided by one part of fuel and its
        air, less the residual gas.

    Valid: lean or stoichiometric mixtures, all fuel burns.
    Source: the design file.
    """
    own, duty = design.spark_cycle.si, design.duty.si
    heat = own.heating_value * own.combustion_efficiency * (1.0 - own.residual_fraction) / (1.0 + own.air_fuel_ratio)
    return SparkCycle(
        bore=design.cylinders.si.bore, speed=duty.speed, inlet_pressure=duty.inlet_pressure,
        exhaust_pressure=duty.outlet_pressure, charge_temperature=own.charge_temperature,
        inlet_closing=own.inlet_closing_volume, exhaust_opening=own.exhaust_opening_volume, heat=heat,
        burn_duration=own.burn_duration, wiebe_a=own.wiebe_a, wiebe_m=own.wiebe_m,
        wall_temperature=own.wall_temperature, wall_loss=own.wall_loss, wall_factor=own.wall_loss_factor,
        residual=own.residual_fraction, blowdown=own.blowdown)


def burned_share(x, wiebe_a=5.0, wiebe_m=2.0):
    """Share of the charge that has burned, after Wiebe.

    Parameters
    ----------
    x : (...) array [1]
        Angle since the start of the burn over its duration; held at 0 before and at 1 after.
    wiebe_a : float [1]
        Completeness.
    wiebe_m : float [1]
        Form.

    Returns
    -------
    (...) array [1]
        1 - exp(-a x^(m+1)); it ends at 1 - exp(-a), 0.9933 for a = 5.

    Valid: a spark-ignition burn; a = 5, m = 2 are the customary values.
    Source: I. Wiebe, as in J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 9.30 (from memory).

    Examples
    --------
    >>> round(float(burned_share(0.5)), 6)
    0.464739
    """
    return -np.expm1(-wiebe_a * np.clip(x, 0.0, 1.0) ** (wiebe_m + 1.0))


def burn_rate(x, wiebe_a=5.0, wiebe_m=2.0):
    """Rate of the Wiebe burn per unit of x.

    Parameters
    ----------
    x : (...) array [1]
        Angle since the start of the burn over its duration.
    wiebe_a : float [1]
        Completeness.
    wiebe_m : float [1]
        Form.

    Returns
    -------
    (...) array [1]
        Derivative of ``burned_share``, zero outside 0 to 1.

    Valid: as ``burned_share``.
    Source: its derivative.
    """
    inside, x = (x >= 0.0) & (x <= 1.0), np.clip(x, 0.0, 1.0)
    power = x**wiebe_m
    return inside * wiebe_a * (wiebe_m + 1.0) * power * np.exp(-wiebe_a * power * x)


def valve_angles(cycle, curve):
    """Angles at which inlet closes and exhaust opens, where the volume curve passes the stated volumes.

    Parameters
    ----------
    cycle : SparkCycle [-]
        The cycle.
    curve : callable [-]
        Volume curve.

    Returns
    -------
    tuple of two float [rad]
        Inlet closing (negative) and exhaust opening, after the firing dead centre.

    Raises
    ------
    InputError
        If a volume is outside 0.3 to 1 of the swept volume.

    Valid: one rise and one fall of the volume per turn.
    Source: ``volume.crossing``.
    """
    for field in ("inlet_closing", "exhaust_opening"):
        if not 0.3 <= getattr(cycle, field) <= 1.0:
            raise InputError(field, getattr(cycle, field), "outside 0.3 to 1 of the swept volume", nearest="0.95")
    return crossing(curve, cycle.inlet_closing, False), crossing(curve, cycle.exhaust_opening, True)


def closed_period(cycle, curves, burn_start, steps=STEPS):
    """Integrate the first law from inlet closing to exhaust opening.

    Fourth-order Runge-Kutta steps, start and end of the burn on a node each, all curves and burn starts at once.

    Parameters
    ----------
    cycle : SparkCycle [-]
        The cycle.
    curves : list of callable [-]
        C volume curves.
    burn_start : (C,) or (C, J) array [rad]
        Angle after the firing dead centre at which the burn starts.
    steps : tuple of three int [1]
        Steps before, during and after the burn.

    Returns
    -------
    ClosedPeriod [-]
        Arrays (C, J, N), or (C, N) if one start per curve was given.

    Raises
    ------
    InputError
        If the burn starts before the inlet has closed or ends after the exhaust has opened.

    Valid: single zone, no leak past the rings, no dissociation, 200 to 3500 K; mass from the state at inlet closing.
    Source: first law of a closed system; notebook 04.
    """
    burn_start = np.asarray(burn_start, dtype=float)
    lanes = burn_start.reshape(len(curves), -1)
    ends = [valve_angles(cycle, curve) for curve in curves]
    with np.errstate(all="ignore"):  # a charge hotter than its gas is known ends as nan, and no such start is the best
        found = _integrate(cycle, _stretches(cycle, ends, lanes, steps), curves)
    shape = (*burn_start.shape, -1)
    return replace(found, **{n: v.reshape(shape) for n, v in vars(found).items() if n != "mass"})


def best_burn_start(cycle, curves):
    """Burn start that gives the most work in the closed period.

    Parameters
    ----------
    cycle : SparkCycle [-]
        The cycle.
    curves : list of callable [-]
        C volume curves; each gets its own start.

    Returns
    -------
    (C,) array [rad]
        Angle after the firing dead centre.

    Raises
    ------
    InputError
        If the burn is so long that no start fits between the valve events.

    Valid: a start between 75 degrees before and 15 degrees after the dead centre.
    Source: greatest value of the quartic through the best five of a row of trials 5 degrees apart.
    """
    start = np.repeat(_allowed(cycle, curves)[None], len(curves), axis=0)
    work = closed_period(cycle, curves, start, tuple(n // 3 for n in STEPS)).work[..., -1]
    return np.array([_greatest(x, np.nan_to_num(y, nan=-np.inf)) for x, y in zip(start, work, strict=True)])


def at_edge(cycle, curves, burn_start):
    """Whether a best start stands at an end of the range in which it was looked for, so that it may lie beyond.

    Parameters
    ----------
    cycle : SparkCycle [-]
        The cycle.
    curves : list of callable [-]
        C volume curves.
    burn_start : (C,) array [rad]
        Starts, as from ``best_burn_start``.

    Returns
    -------
    (C,) bool array [-]
        True at an edge.

    Raises
    ------
    InputError
        As ``best_burn_start``.

    Valid: as ``best_burn_start``.
    Source: none needed.
    """
    low, *_, high = _allowed(cycle, curves)
    return (burn_start < low + 1e-9) | (burn_start > high - 1e-9)


def solve(cycle, curves, burn_start="best", samples=1441):
    """Whole cycle on each volume curve: closed period, blow-down, exhaust and inlet stroke.

    Parameters
    ----------
    cycle : SparkCycle [-]
        The cycle.
    curves : list of callable [-]
        C volume curves.
    burn_start : float or str [rad]
        Angle after the firing dead centre, the same for all curves, or ``best`` for each curve's own best.
    samples : int [1]
        Samples of each trace, both ends included.

    Returns
    -------
    traces : list of Trace [-]
        Pressure over two turns for each curve.
    closed : ClosedPeriod [-]
        The closed periods, arrays (C, N).
    burn_start : (C,) array [rad]
        The starts that were used.

    Raises
    ------
    InputError
        If burn and valve events do not fit together.

    Valid: as ``closed_period``; while a valve is open the cylinder has the pressure of its manifold, except that it
        falls to the exhaust's along a half cosine, and changes to the inlet's within 20 degrees of the dead centre.
    Source: notebook 04; the shape of the blow-down is a stated assumption (common practice, no source).
    """
    starts = best_burn_start(cycle, curves) if burn_start == "best" else np.full(len(curves), float(burn_start))
    closed = closed_period(cycle, curves, starts)
    angle = np.linspace(-2.0 * np.pi, 2.0 * np.pi, samples)
    whole = [_whole(cycle, angle, *inner) for inner in zip(closed.angle, closed.pressure, strict=True)]
    return [Trace(angle, pressure, 2, "computed spark-ignition cycle") for pressure in whole], closed, starts


def _whole(cycle, angle, inner, pressure):
    """Pressure over two turns: the closed period by a cubic through its nodes, then the open period."""
    closed = np.full(angle.shape, pressure[0])
    for part in _parts(cycle):
        nodes, values = inner[part], pressure[part]
        slope = np.gradient(values, nodes, edge_order=2)
        closed = np.where(angle >= nodes[0], _hermite(np.minimum(angle, nodes[-1]), nodes, values, slope), closed)
    fall = 0.5 + 0.5 * np.cos(np.pi * np.clip((angle - inner[-1]) / cycle.blowdown, 0.0, 1.0))
    low, high = cycle.inlet_pressure, cycle.exhaust_pressure
    change = np.clip((np.abs(angle) - np.radians(340.0)) / np.radians(20.0), 0.0, 1.0)
    after = high + fall * (pressure[-1] - high) + 0.5 * change * (low - high)
    before = low + 0.5 * change * (high - low)
    return np.where(angle > inner[-1], after, np.where(angle < inner[0], before, closed))


def _parts(cycle):
    """Nodes before, during and after the burn: slopes may jump where they meet, and a sudden burn jumps itself."""
    a, b, _ = np.cumsum(STEPS)
    if cycle.is_sudden:
        return slice(0, a + 1), slice(a + 1, None)
    return slice(0, a + 1), slice(a, b + 1), slice(b, None)


def _hermite(x, nodes, values, slopes):
    """Cubic through values and slopes."""
    left = np.clip(np.searchsorted(nodes, x, side="right") - 1, 0, len(nodes) - 2)
    width = nodes[left + 1] - nodes[left]
    s = np.clip((x - nodes[left]) / width, 0.0, 1.0)
    slope_l, slope_r, rise = slopes[left] * width, slopes[left + 1] * width, values[left + 1] - values[left]
    return values[left] + s * rise + s * (1.0 - s) * ((1.0 - s) * (slope_l - rise) - s * (slope_r - rise))


def _integrate(cycle, stretches, curves):
    """March all lanes through the three stretches: before, during and after the burn."""
    whole = -np.expm1(-cycle.wiebe_a)
    starts, volume = stretches[1][0], _sampled(curves, stretches[0])[0]
    closing = (cycle.inlet_pressure, float(volume.flat[0]), cycle.charge_temperature)
    constant = cycle.fresh.constant + cycle.residual * (cycle.burned.constant - cycle.fresh.constant)
    mass = closing[0] * closing[1] / (constant * closing[2])
    wall = first_law.Wall(bore=cycle.bore, temperature=cycle.wall_temperature, loss=cycle.wall_loss,
                          factor=cycle.wall_factor, speed=cycle.speed, swept=swept(curves[0]), closing=closing)
    gases, kept = (cycle.fresh, cycle.burned), []
    temperature = np.full(starts.shape, cycle.charge_temperature)
    for part, angle in enumerate(stretches):
        volume, rate = _sampled(curves, angle)
        fired, change, heat = np.full_like(angle, whole * (part > 0)), None, None
        if part == 1 and not cycle.is_sudden:
            x, form = np.linspace(0.0, 1.0, len(angle))[:, None, None], (cycle.wiebe_a, cycle.wiebe_m)
            fired, change = fired * 0.0 + burned_share(x, *form), burn_rate(x, *form) / cycle.burn_duration
            heat, change = mass * cycle.heat * change, (1.0 - cycle.residual) / whole * change
        elif part == 1:
            temperature = _burn_at_once(cycle, temperature, whole)
        share = cycle.residual + (1.0 - cycle.residual) * fired / whole
        charge = first_law.Charge(gases=gases, mass=mass, wall=wall, volume=volume, rate=rate, share=share,
                                  change=change, heat=heat)
        found = charge.march(angle, temperature)
        kept.append([angle[::2], volume[::2], fired[::2], share[::2], *found])
        temperature = found[0][-1]
    return _joined(cycle, mass, kept)


def _burn_at_once(cycle, temperature, whole):
    """Temperature after a burn at constant volume: equal internal energy before and after, heat added; Newton."""
    fresh, burned = cycle.fresh, cycle.burned
    before = (1.0 - cycle.residual) * gas.energy(fresh, temperature) + cycle.residual * gas.energy(burned, temperature)
    t = temperature + 1500.0
    for _ in range(40):
        t = t - (gas.energy(burned, t) - (cycle.heat * whole + before)) / gas.heat_capacity(burned, t)
    return t


def _joined(cycle, mass, kept):
    """Put the stretches end to end; the nodes between them stand once, those of a sudden burn twice."""
    for before, after in pairwise(kept):
        for place in (5, 6):
            after[place] = after[place] + before[place][-1]
    nodes = [[v[:-1] for v in part] for part in kept[:-1]] if not cycle.is_sudden else kept[:1]
    joined = (np.moveaxis(np.concatenate(v), 0, -1) for v in zip(*nodes, kept[-1], strict=True))
    angle, volume, fired, share, temperature, wall, work = joined
    fresh, burned = cycle.fresh, cycle.burned
    own = (1.0 - share) * gas.energy(fresh, temperature) + share * gas.energy(burned, temperature)
    pressure = mass * (fresh.constant + share * (burned.constant - fresh.constant)) * temperature / volume
    return first_law.ClosedPeriod(angle=angle, volume=volume, temperature=temperature, pressure=pressure,
                                  released=mass * cycle.heat * fired, wall=wall, work=work, energy=mass * own,
                                  mass=mass)


def _sampled(curves, angle):
    """Volume and rate of every curve at its own angles, (N, C, J)."""
    found = [curve(angle[:, k]) for k, curve in enumerate(curves)]
    return tuple(np.stack(values, axis=1) for values in zip(*found, strict=True))


def _stretches(cycle, ends, starts, steps):
    """Angles of all steps and their middles, (N, C, J) for each of the three stretches."""
    closing, opening = (np.broadcast_to(np.array(end)[:, None], starts.shape) for end in zip(*ends, strict=True))
    stops, room = starts + cycle.burn_duration, 1e-12
    wrong = (starts < closing - room) | (stops > opening + room)
    if wrong.any():
        low, high = np.degrees(closing[wrong][0]), np.degrees(opening[wrong][0] - cycle.burn_duration)
        bad = np.degrees(starts[wrong][0])
        words = f"outside {low:.1f} to {high:.1f}, from inlet closing to exhaust opening less the burn"
        raise InputError("burn_start", f"{bad:.4g}", words, "deg", f"{np.clip(bad, low, high):.1f} deg")
    edges = (closing, starts, stops, opening)
    shares = [(np.arange(2 * n + 1) / (2 * n))[:, None, None] for n in steps]
    return [a + (b - a) * share for (a, b), share in zip(pairwise(edges), shares, strict=True)]


def _allowed(cycle, curves):
    ends = np.array([valve_angles(cycle, curve) for curve in curves])
    fits = (SEARCH > ends[:, 0].max()) & (SEARCH + cycle.burn_duration < ends[:, 1].min())
    if fits.sum() < 3:
        longest = np.degrees(ends[:, 1].min() + np.radians(60.0))
        raise InputError("burn_duration", np.degrees(cycle.burn_duration), f"above {longest:.0f}", "deg")
    return SEARCH[fits]


def _greatest(x, y):
    """Place of the greatest value of the quartic through the best five points."""
    k = int(np.clip(np.argmax(y), 2, len(y) - 3)) if len(y) >= 5 else len(y) // 2
    near = slice(max(k - 2, 0), k + 3)
    curve = np.polynomial.Polynomial.fit(x[near], y[near], len(x[near]) - 1)
    fine = np.linspace(x[near][0], x[near][-1], 2001)
    return fine[np.argmax(curve(fine))]
