"""Figures of the engine cycle: gas properties, burn, indicator diagrams, ignition, and the live cycle."""

from dataclasses import replace

import numpy as np

from vmech_core.base.results import MACHINES
from vmech_core.machine import hypocycloid, masses, slider_crank
from vmech_core.pressure import cycles, gas, spark, swept
from vmech_core.show import style

AFTER = "angle after the firing dead centre, $\\varphi$ [deg]"
PRESSURE, WORK = "cylinder pressure, $p$ [bar]", "closed-period work / swept volume, $W_c/V_s$ [bar]"
NAMES, LOOKS = tuple(MACHINES.values()), tuple(style.LOOKS.values())
#: Burn durations and rod ratios for which the live cycle is solved beforehand.
DURATIONS_DEG, ROD_RATIOS = (30, 40, 50, 60, 70), (3.0, 3.5, 4.0, 5.0, 6.0)
STARTS_DEG = np.arange(-50.0, 6.0, 2.0)


def gas_and_burn(wiebe_a, wiebe_m):
    """Ratio of heat capacities against temperature, and the burned share against angle.

    Parameters
    ----------
    wiebe_a : float [1]
        Completeness of the burn.
    wiebe_m : float [1]
        Form of the burn.

    Returns
    -------
    Figure [-]
        Left gamma of air and of burned gas, right the Wiebe burn with its rate.
    """
    fig, (left, right) = style.figure(9.4, 3.3, columns=2)
    temperature = np.linspace(300.0, 3000.0, 200)
    for own, look in ((gas.AIR, style.OTHERS[0]), (gas.BURNED, style.OTHERS[1])):
        gamma = 1.0 + own.constant / gas.heat_capacity(own, temperature)
        left.plot(temperature, gamma, label=own.name, **look)
    left.axhline(1.4, label="cold air, 1.4", **style.QUIET)
    style.label(left, "temperature of the gas, $T_g$ [K]", "ratio of heat capacities, $\\gamma$ [1]",
                "frozen ideal gases")
    x = np.linspace(0.0, 1.0, 301)
    right.plot(x, spark.burned_share(x, wiebe_a, wiebe_m), label="burned share, $y_b$", **style.OTHERS[2])
    right.plot(x, spark.burn_rate(x, wiebe_a, wiebe_m), label="its rate, $dy_b/d\\xi$", **style.LIMIT)
    style.label(right, "share of the burn's duration, $\\xi$ [1]", "burned share and rate, $y_b$, $dy_b/d\\xi$ [1]",
                f"Wiebe burn, a = {wiebe_a:g}, m = {wiebe_m:g}")
    for ax in (left, right):
        style.legend(ax)
    return fig


def volumes(case):
    """Cylinder volume of both mechanisms near the dead centre and over the turn.

    Parameters
    ----------
    case : Case [-]
        An assessed design.

    Returns
    -------
    Figure [-]
        Volume over swept volume against angle; the valve events of the cycle are marked.
    """
    fig, (ax,) = style.figure(8.6, 3.5)
    angle = np.linspace(-np.pi, np.pi, 361)
    cycle = spark.from_design(case.design)
    for curve, words, look in zip(case.curves, NAMES, LOOKS, strict=True):
        ax.plot(np.degrees(angle), curve(angle)[0] / swept(curve), label=words, **look)
        ends = np.array(spark.valve_angles(cycle, curve))
        ax.plot(np.degrees(ends), curve(ends)[0] / swept(curve), "o", color=look["color"], markersize=6)
    style.label(ax, AFTER, "cylinder volume / swept volume, $V/V_s$ [1]", "dots: inlet closes, exhaust opens",
                xlim=(-180, 180), xticks=range(-180, 181, 60))
    style.legend(ax)
    return _below(fig, case, "motion only: same bore, stroke and compression ratio")


def indicator(case):
    """Indicator diagrams of both mechanisms: against angle and against volume.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.

    Returns
    -------
    Figure [-]
        Pressure against angle and against volume on a logarithmic scale, each mechanism with its own cycle.
    """
    fig, (left, right) = style.figure(9.6, 3.9, columns=2)
    for trace, curve, words, look in zip(case.own_cycle.traces, case.curves, NAMES, LOOKS, strict=True):
        left.plot(np.degrees(trace.angle), trace.pressure / 1e5, label=words, **look)
        right.plot(curve(trace.angle)[0] / swept(curve), trace.pressure / 1e5, **look)
    style.label(left, AFTER, PRESSURE, xlim=(-180, 180), xticks=range(-180, 181, 60), ylim=(0, None))
    style.label(right, "cylinder volume / swept volume, $V/V_s$ [1]", PRESSURE, yscale="log",
                yticks=(1, 2, 5, 10, 20, 50), yticklabels=(1, 2, 5, 10, 20, 50))
    style.legend(left, loc="upper right")
    return _below(fig, case, cycles.SAME_CHARGE["engine"])


def ignition(case, losses=("hohenberg", "none")):
    """Work of the closed period against the start of the burn, for both mechanisms.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.
    losses : sequence of str [-]
        Wall losses, one axis each.

    Returns
    -------
    Figure [-]
        Mean effective pressure of the closed period against the start of the burn; the best start is marked.
    """
    fig, axes = style.figure(9.6, 3.7, columns=len(losses))
    starts = np.radians(np.linspace(-45.0, 5.0, 26))
    for ax, loss in zip(axes, losses, strict=True):
        cycle = replace(spark.from_design(case.design), wall_loss=loss)
        work = spark.closed_period(cycle, case.curves, np.array([starts, starts])).work[..., -1]
        best = spark.best_burn_start(cycle, case.curves)
        top = spark.closed_period(cycle, case.curves, best).work[:, -1]
        for k, (words, look) in enumerate(zip(NAMES, LOOKS, strict=True)):
            scale = swept(case.curves[k]) * 1e5
            ax.plot(np.degrees(starts), work[k] / scale, label=words, **look)
            ax.plot(np.degrees(best[k]), top[k] / scale, "o", color=look["color"], markersize=6)
        style.label(ax, "start of the burn after the dead centre, $\\varphi_b$ [deg]", WORK,
                    f"wall loss: {loss.replace('hohenberg', 'Hohenberg')}")
    style.legend(axes[0])
    return _below(fig, case, "same charge and heat; dots: each mechanism's own best ignition")


class CycleScene(style.Scene):
    """Live pressure of both mechanisms; every cycle that the sliders can ask for is solved when the scene is made.

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
        An engine.
    """

    def __init__(self, design):
        straight = hypocycloid.from_design(design, masses.of_design(design))
        others = [design.changed(**{"ordinary_crank.rod_ratio": ratio}) for ratio in ROD_RATIOS]
        curves = [cycles.volume_curve(design, hypocycloid, straight), *(cycles.volume_curve(
            own, slider_crank, slider_crank.from_design(own, masses.of_design(own))) for own in others)]
        starts, own = np.tile(np.radians(STARTS_DEG), (len(curves), 1)), spark.from_design(design)
        self._found = {
            degrees: spark.closed_period(replace(own, burn_duration=np.radians(degrees)), curves, starts, (40, 32, 48))
            for degrees in DURATIONS_DEG}
        self._swept = [swept(curve) for curve in curves]
        self.figure, (left, right) = style.figure(9.6, 4.2, columns=2, ratios=[1.5, 1.0])
        style.label(left, AFTER, PRESSURE, style.named(design), ylim=(0, 110), xlim=(-100, 140),
                    xticks=range(-90, 121, 30))
        style.label(right, "start of the burn, $\\varphi_b$ [deg]", WORK, xlim=STARTS_DEG[[0, -1]], ylim=(6.5, 10.5))
        self._lines = self._curves(left, STARTS_DEG, zip(NAMES, LOOKS, strict=True))
        self._works = self._curves(right, STARTS_DEG, zip(NAMES, LOOKS, strict=True))
        self._now = [right.plot([], [], "o", color=look["color"], markersize=7)[0] for look in LOOKS]
        style.legend(left, loc="upper right")
        self._text = style.Readout(left, 0.02, 0.99)
        self._ready([*self._lines, *self._works, *self._now, self._text],
                    "comparison: same charge and heat, both mechanisms with the ignition of the slider")

    def _change(self, rod_ratio, burn_duration_deg, burn_start_deg):
        """Show the solved cycles for one choice.

        Parameters
        ----------
        rod_ratio : float or str [1]
            Rod ratio of the ordinary crank, one of ``ROD_RATIOS``.
        burn_duration_deg : int or str [deg]
            Duration of the burn, one of ``DURATIONS_DEG``.
        burn_start_deg : float [deg]
            Start of the burn, on the grid of ``STARTS_DEG``.
        """
        rod_ratio, found = float(rod_ratio), self._found[int(burn_duration_deg)]
        lane = int(np.argmin(np.abs(STARTS_DEG - burn_start_deg)))
        rows, words = (0, 1 + ROD_RATIOS.index(rod_ratio)), []
        for k, (short, row) in enumerate(zip(MACHINES, rows, strict=True)):
            work = found.work[row, :, -1] / self._swept[row] / 1e5
            self._lines[k].set_data(np.degrees(found.angle[row, lane]), found.pressure[row, lane] / 1e5)
            self._works[k].set_ydata(work)
            self._now[k].set_data([STARTS_DEG[lane]], [work[lane]])
            wall = found.wall[row, lane, -1] / found.released[row, lane, -1]
            words.append(f"{short:<9}peak {found.pressure[row, lane].max() / 1e5:.1f} bar, walls {100 * wall:.1f} %,\n"
                         f"         Wc/Vs {work[lane]:.2f} bar, at best {work.max():.2f} bar")
        self._text.set_text(f"burn {burn_duration_deg} deg from {STARTS_DEG[lane]:.0f} deg\nordinary: rod ratio "
                            f"{rod_ratio:g}\n" + "\n".join(words))


def _below(fig, case, kind):
    name, ratio = style.named(case.design, sizes=True), case.design.ordinary_crank.rod_ratio
    return style.below(fig, f"{name}, ordinary rod ratio {ratio:g}\ncomparison: {kind}")
