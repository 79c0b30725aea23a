"""A live balance of friction: both machines by contact and in all, over speed, load, oil and play, for some layouts.

One run of all contacts takes half a second, too long for a slider. So each layout is run at some points when the scene
is made, a response is fitted through them, and other runs that the fit has not seen say how far it is off.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

import numpy as np

from vmech_core.bearings import films, oils, seats
from vmech_core.friction import chances as friction_study
from vmech_core.friction import common as common_losses
from vmech_core.friction import contacts as friction
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.show import style
from vmech_core.show.controls import Choice, Slider

#: Layouts of the live scene, of ``friction_study.LAYOUTS``.
SHOWN = ("as drawn", "stub shaft, all on rollers")
#: Ends of what is fitted: speed [rpm], load [1], oil against the design [K], factors on viscosity and play.
RANGES = {"speed_rpm": (1000.0, 6000.0), "load": (0.2, 1.0), "oil_shift_K": (-20.0, 20.0),
          "viscosity": (0.8, 1.3), "clearance": (0.7, 1.5)}  # fmt: skip
#: Two coefficients of boundary friction: every loss is a straight line in it.
BOUNDARY = (0.04, 0.16)
#: Speed and load of the runs, as shares of their ranges (speed by its logarithm); points of oil and play at each.
NODES, POINTS = ((0, 0), (0, 1), (0.5, 0), (0.5, 0.6), (0.5, 1), (1, 0), (1, 1)), 5
#: Other speeds and loads, with the same number of points each, that check the fit.
CHECKS = ((0.25, 0.3), (0.8, 0.5), (0.7, 1.0))
#: Added before a logarithm is taken, for contacts that lose nothing [W].
FLOOR = 0.1
SPEEDS = np.linspace(1000.0, 6000.0, 26)

SLIDERS = (
    Slider("clearance", "play of bearings, guides", *RANGES["clearance"], step=0.05, value=1.0, unit="x"),
    Slider("speed_rpm", "speed", *RANGES["speed_rpm"], step=100.0, value=3000.0, unit="rpm"),
    Slider("load", "gas pressure", *RANGES["load"], step=0.05, value=1.0, unit="x"),
    Slider("oil_shift_K", "oil inlet, against design", *RANGES["oil_shift_K"], step=1.0, value=0.0, unit="K"),
    Slider("viscosity", "viscosity of the grade", *RANGES["viscosity"], step=0.05, value=1.0, unit="x"),
    Slider("boundary", "boundary friction", *BOUNDARY, step=0.01, value=0.12, unit="1"),
)
#: Angles of a cycle in all these runs, both ends included.
SAMPLES = 41
MACHINES = ((seats.STRAIGHT, style.STRAIGHT), (seats.ORDINARY, style.ORDINARY))


class FrictionScene:
    """Friction of both machines by contact and in all, at any speed, load, oil and play, from a fit.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.

    Parameters
    ----------
    design : Design [-]
        An engine with a pressure trace.
    layouts : sequence of str [-]
        Layouts to choose from, of ``friction_study.LAYOUTS``; each takes some seconds here.
    samples : int [1]
        Angles of a cycle in the runs, both ends included.
    """

    def __init__(self, design, layouts=SHOWN, samples=SAMPLES):
        self.controls = (*SLIDERS, Choice("layout", "layout", tuple(layouts), layouts[0]))
        made = friction_study.laid_out(design, layouts)
        self._fits = {name: _fitted(changed, samples) for name, changed in made.items()}
        self._first, volume = layouts[0], friction_study.at(design).displacement
        self._size = volume, design.duty.cycle_turns
        tallest, widest = self._extent()
        self.figure, axes = style.figure(10.4, 4.3, columns=3, ratios=[1.0, 0.9, 0.8])
        left, right, words = axes[0]
        self._bars = [left.barh(np.arange(len(self._names)) + (0.4 * k - 0.2), 0.0, 0.36, color=look["color"],
                                hatch=("", "///")[k], edgecolor="white", linewidth=0.0)
                      for k, (_, look) in enumerate(MACHINES)]  # fmt: skip
        left.set(yticks=range(len(self._names)), yticklabels=self._names, xlim=(0.0, 1.05 * widest))
        left.invert_yaxis()
        self._lines = [right.plot(SPEEDS, 0.0 * SPEEDS, label=machine, **look)[0] for machine, look in MACHINES]
        self._dots = [right.plot(SPEEDS[:1], [0.0], "o", color=look["color"], clip_on=False)[0] for _, look in MACHINES]
        right.set(xlim=(SPEEDS[0], SPEEDS[-1]), ylim=(0.0, 1.05 * tallest))
        style.label(left, "friction, mean effective pressure, $p_f$ [kPa]", "contact, $i$ [-]", "by contact")
        style.label(right, "speed, $n$ [rev/min]", "all friction, $p_f$ [kPa]", "all together")
        style.legend(right, fontsize=style.FONT - 1, loc="upper left")
        words.axis("off")
        self._text = style.Readout(words, -0.08, 1.0)
        style.freeze(style.below(self.figure, f"{style.named(design)}; a fit, not a run: its error at runs that it has "
                                 "not seen is on the right\n"
                                 f"hatched: ordinary crank; comparison: {SAME_TRACE}"))  # fmt: skip

    def update(self, speed_rpm=3000.0, load=1.0, oil_shift_K=0.0, viscosity=1.0, clearance=1.0, boundary=0.12,
               layout=None):  # fmt: skip
        """Show one case.

        Parameters
        ----------
        speed_rpm : float [rpm]
            Speed of the shaft.
        load : float [1]
            Share of the gas pressure.
        oil_shift_K : float [K]
            Oil at the inlet against the design.
        viscosity, clearance : float [1]
            Factors on the viscosity of the grade, and on the plays of plain bearings and guides.
        boundary : float [1]
            Coefficient of boundary friction.
        layout : str or None [-]
            One of the layouts of the scene; None for the first.
        """
        fit = self._fits[layout or self._first]
        speeds = np.append(SPEEDS, speed_rpm)
        powers = fit.powers(speeds, load, oil_shift_K, viscosity, clearance, boundary)
        names, values = _side_by_side(fit, self._pressure(powers[-1], speed_rpm))
        found = dict(zip(names, np.nan_to_num(values), strict=True))
        for k, bars in enumerate(self._bars):
            for bar, name in zip(bars, self._names, strict=True):
                bar.set_width(found[name][k])
        totals = fit.totals(powers)
        for line, dot, total in zip(self._lines, self._dots, self._pressure(totals[:2], speeds), strict=True):
            line.set_ydata(total[:-1])
            dot.set_data([speed_rpm], total[-1:])
        self._text.set_text(_said(totals[:, -1], self._pressure(totals[:2, -1], speed_rpm), fit.off))

    def _pressure(self, power, speed_rpm):
        """Mean effective pressure [kPa]."""
        volume, turns = self._size
        return 1e-3 * common_losses.mean_effective_pressure(power, volume, np.pi / 30.0 * speed_rpm, turns)

    def _extent(self):
        """Names of the contacts in their order, and the greatest total and bar within all ranges [kPa]."""
        ends = np.meshgrid(*RANGES.values(), BOUNDARY, indexing="ij")
        ends = dict(zip((*RANGES, "boundary"), map(np.ravel, ends), strict=True))
        most = []
        for fit in self._fits.values():
            powers = self._pressure(fit.powers(**ends).T, ends["speed_rpm"])
            most.append((fit.totals(powers.T)[:2].max(), powers.max()))
        first = self._fits[self._first]
        self._names = _side_by_side(first, first.powers(3000.0, 1.0, 0.0, 1.0, 1.0, 0.12)[0])[0]
        return np.max(most, axis=0)

    @property
    def moving(self):
        """Artists that change, back to front."""
        return [*self._bars[0], *self._bars[1], *self._lines, *self._dots, self._text]


@dataclass(frozen=True)
class _Fit:
    """Mean power of the contacts of both machines in one layout.

    ``names`` are machine (0, 1) and contact; ``weights`` (T, 2 C) belong to the terms of ``_terms`` and give logarithms
    at both coefficients of ``BOUNDARY``; ``off`` (3, N) are errors at the checks: both totals as shares of their own,
    the saving as a share of the straight-line drive's.
    """

    names: list
    weights: np.ndarray
    oil: tuple
    off: np.ndarray = None

    def powers(self, speed_rpm, load, oil_shift_K, viscosity, clearance, boundary):
        """Mean powers, (N, C) [W]."""
        logs = _terms(speed_rpm, load, _thickness(self.oil, oil_shift_K, viscosity), clearance) @ self.weights
        low, high = np.moveaxis((np.exp(logs) - FLOOR).reshape(len(logs), -1, 2), 2, 0)
        share = (np.broadcast_to(boundary, len(logs))[:, None] - BOUNDARY[0]) / np.ptp(BOUNDARY)
        return np.maximum(low + share * (high - low), 0.0)

    def totals(self, powers):
        """Totals of both machines and the saving, (3, N)."""
        own = np.array([machine == 0 for machine, _ in self.names])
        straight, ordinary = powers[:, own].sum(axis=1), powers[:, ~own].sum(axis=1)
        return np.stack([straight, ordinary, ordinary - straight])


def _thickness(oil, shift, factor):
    """Viscosity at the inlet over that of the design: temperature and grade count through it alone, nearly."""
    grade, warmth = oil
    now, then = (oils.viscosity(grade, warmth + np.atleast_1d(np.asarray(v, dtype=float))) for v in (shift, 0.0))
    return factor * now / then


def _terms(speed_rpm, load, thickness, clearance):
    """All products of up to two of the variables, (N, 15)."""
    x = np.broadcast_arrays(np.log(np.atleast_1d(speed_rpm) / 2500.0), load, np.log(thickness), np.log(clearance))
    products = [np.prod([x[k] for k in some], axis=0) for n in (1, 2)
                for some in combinations_with_replacement(range(4), n)]  # fmt: skip
    return np.stack([np.ones(len(x[0])), *products], axis=1)


def _runs(design, place, random, boundary, samples, elastic=None):
    """Run one speed and load at some points of oil and play: the settings, and powers by machine and contact."""
    low, high = np.array(list(RANGES.values())).T
    share = np.concatenate([np.tile(place, (POINTS, 1)), random.random((POINTS, 3))], axis=1)
    x = dict(zip(RANGES, (low + share * (high - low)).T, strict=True))
    x["speed_rpm"] = low[0] * (high[0] / low[0]) ** share[:, 0]
    x = {name: np.repeat(values, len(boundary) // POINTS) for name, values in x.items()} | {"boundary": boundary}
    a = friction_study.at(design, x["speed_rpm"][0], x["load"][0], samples)
    if elastic is not None:
        a.elastic = elastic  # films as springs from the design's own speed; the checks find their own
    given = {"inlet": x["oil_shift_K"], **{name: x[name] for name in ("viscosity", "clearance", "boundary")}}
    both = friction.of_both(a, given)
    names = [(k, name) for k, made in enumerate(both) for name in made.power]
    return x, names, np.stack([both[k].mean(name) for k, name in names], axis=1)


def _fitted(design, samples):
    """Fit of one layout, and how far it is off."""
    random, elastic = np.random.default_rng(1), friction_study.at(design, samples=samples).elastic
    oil = films.oil_of(design), design.lubricant.si.temperature
    runs = [_runs(design, place, random, np.tile(BOUNDARY, POINTS), samples, elastic) for place in NODES]
    x = {name: np.concatenate([settings[name][::2] for settings, *_ in runs]) for name in RANGES}
    logs = np.log(FLOOR + np.concatenate([powers for *_, powers in runs]))
    logs = np.stack([logs[::2], logs[1::2]], axis=2).reshape(len(logs) // 2, -1)
    terms = _terms(x["speed_rpm"], x["load"], _thickness(oil, x["oil_shift_K"], x["viscosity"]), x["clearance"])
    fit, off = _Fit(runs[0][1], np.linalg.lstsq(terms, logs, rcond=None)[0], oil), []
    for place in CHECKS:
        given, _, powers = _runs(design, place, random, random.uniform(*BOUNDARY, POINTS), samples)
        right = fit.totals(powers)
        off.append((fit.totals(fit.powers(**given)) - right) / right[[0, 1, 0]])
    return replace(fit, off=np.concatenate(off, axis=1))


def _side_by_side(fit, values):
    """Names of contacts and values of both machines, like with like."""
    return style.like_with_like(*({name: value for (k, name), value in zip(fit.names, values, strict=True)
                                   if k == machine} for machine in (0, 1)))  # fmt: skip


def _said(powers, pressures, off):
    """Text of the readout: totals, saving, and what the fit is worth."""
    straight, ordinary, saving = powers
    unsure = np.abs(off[2]).max() * straight
    verdict = f"it {'saves' if saving > 0.0 else 'loses'} {abs(saving):.0f} W"
    return "\n".join([
        "                straight  ordinary",
        f"power        {straight:9.0f} {ordinary:9.0f} W",
        f"pressure     {pressures[0]:9.1f} {pressures[1]:9.1f} kPa", "",
        "straight-line drive:",
        "too close for this fit" if abs(saving) < unsure else verdict,
        f"= {100.0 * abs(saving) / ordinary:.0f} % of the ordinary", "",
        f"fit against {off.shape[1]} other runs:",
        f"middle error {100.0 * np.median(np.abs(off[0])):9.1f} {100.0 * np.median(np.abs(off[1])):9.1f} %",
        f"greatest     {100.0 * np.abs(off[0]).max():9.1f} {100.0 * np.abs(off[1]).max():9.1f} %",
        f"greatest of the difference,\nhere {unsure:.0f} W",
    ])  # fmt: skip
