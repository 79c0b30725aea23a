"""A live balance of friction: both machines by contact and in all, over speed, load, oil and play, for some layouts.

Each layout is run at some points when the scene is made; the sliders move a response fitted through them.
"""

import numpy as np

from vmech_core import friction
from vmech_core.base.results import MACHINES
from vmech_core.friction.layouts import like_with_like
from vmech_core.friction.response import BOUNDARY, RANGES, SAMPLES, fitted
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.show import style

#: Layouts of the live scene, of ``friction.LAYOUTS``.
SHOWN = ("as drawn", "stub shaft, all on rollers")
SPEEDS = np.linspace(1000.0, 6000.0, 26)
SCALE_BAR = np.array([0.0, 0.05, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0])


class FrictionScene(style.Scene):
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
        Layouts to choose from, of ``friction.LAYOUTS``; each takes some seconds here.
    samples : int [1]
        Angles of a cycle in the runs, both ends included.
    progress : callable or None [-]
        Called with the runs done and their number after each.
    """

    def __init__(self, design, layouts=SHOWN, samples=SAMPLES, progress=None):
        self._set(layout={"options": tuple(layouts), "value": layouts[0]})
        made = friction.laid_out(design, layouts)
        self._fits = dict(zip(made, fitted(list(made.values()), samples, progress), strict=True))
        case = friction.at(design)
        self._size = case.displacement, design.duty.cycle_turns
        tallest, widest = self._extent(self._fits[layouts[0]])
        self.figure, (left, right, words) = style.figure(10.4, 4.3, columns=3, ratios=[1.0, 0.9, 0.8])
        self._bars = [left.barh(np.arange(len(self._names)) + (0.4 * k - 0.2), 0.0, 0.36, color=look["color"],
                                hatch=("", "///")[k], edgecolor="white", linewidth=0.0)
                      for k, look in enumerate(style.LOOKS.values())]
        style.rows(left, self._names, "friction, mean effective pressure, $p_f$ [bar]", "",
                   "by contact, scale of square roots")
        left.set_xscale("function", functions=(lambda x: np.sqrt(np.maximum(x, 0.0)), np.square))
        left.set(xlim=(0.0, 1.05 * widest))
        left.set_xticks(ticks := SCALE_BAR[SCALE_BAR < widest], [f"{tick:g}" for tick in ticks])
        self._lines = self._curves(right, SPEEDS, ((MACHINES[machine], look) for machine, look in style.LOOKS.items()))
        self._dots = [right.plot(SPEEDS[:1], [0.0], "o", color=look["color"], clip_on=False)[0]
                      for look in style.LOOKS.values()]
        right.set(xlim=(SPEEDS[0], SPEEDS[-1]), ylim=(0.0, 1.05 * tallest))
        style.label(right, "speed, $n_s$ [rev/min]", "all friction, $p_f$ [bar]", "all together")
        style.legend(right, small=True, loc="upper left")
        words.axis("off")
        self._text = style.Readout(words, -0.08, 1.0)
        self._ready([*self._bars[0], *self._bars[1], *self._lines, *self._dots, self._text],
                    f"{style.named(design)}; a fit, not a run: its error at runs that it has not seen is on the right\n"
                    f"hatched: ordinary crank; comparison: {SAME_TRACE}\n{case.basis}")

    def _change(self, speed_rpm, load, oil_shift_K, viscosity, clearance, boundary, layout):
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
        fit = self._fits[layout]
        speeds = np.append(SPEEDS, speed_rpm)
        powers = fit.powers(speeds, load, oil_shift_K=oil_shift_K, viscosity=viscosity, clearance=clearance,
                            boundary=boundary)
        names, values = like_with_like(*fit.by_machine(self._pressure(powers[-1], speed_rpm)))
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
        """Mean effective pressure [bar]."""
        volume, turns = self._size
        return 1e-5 * friction.friction_pressure(power, volume, np.pi / 30.0 * speed_rpm, turns)

    def _extent(self, first):
        """Names of the contacts in their order, and the greatest total and bar within all ranges [bar]."""
        ends = np.meshgrid(*RANGES.values(), BOUNDARY, indexing="ij")
        ends = dict(zip((*RANGES, "boundary"), map(np.ravel, ends), strict=True))
        most = []
        for fit in self._fits.values():
            powers = self._pressure(fit.powers(**ends).T, ends["speed_rpm"])
            most.append((fit.totals(powers.T)[:2].max(), powers.max()))
        likely = first.powers(**{slider.name: slider.value for slider in self.controls[:-1]})
        self._names = like_with_like(*first.by_machine(likely[0]))[0]
        return np.max(most, axis=0)


def _said(powers, pressures, off):
    """Text of the readout: totals, saving, and what the fit is worth."""
    straight, ordinary, saving = powers
    off = np.abs(off)
    unsure, (middle, most) = off[2].max() * straight, (100.0 * pick(off, axis=1) for pick in (np.median, np.max))
    verdict = f"it {'saves' if saving > 0.0 else 'loses'} {abs(saving):.0f} W"
    return "\n".join(["                straight  ordinary", f"power        {straight:9.0f} {ordinary:9.0f} W",
                      f"pressure     {pressures[0]:9.2f} {pressures[1]:9.2f} bar", "",
                      "straight-line drive:", "too close for this fit" if abs(saving) < unsure else verdict,
                      f"= {100.0 * abs(saving) / ordinary:.0f} % of the ordinary", "",
                      f"fit against {off.shape[1]} other runs:", f"middle error {middle[0]:9.1f} {middle[1]:9.1f} %",
                      f"greatest     {most[0]:9.1f} {most[1]:9.1f} %",
                      f"greatest of the difference,\nhere {unsure:.0f} W"])
