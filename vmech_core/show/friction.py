"""Does it save friction: figures of the losses of both machines, of what decides them, and of how sure that is."""

import numpy as np

from vmech_core import friction
from vmech_core.base import MACHINES, rows
from vmech_core.friction.layouts import like_with_like
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.show import style

POWER, SAVING = "mean friction power, $P$ [W]", "saving, ordinary less straight-line, $\\Delta P$ [W]"
LOOKS = (style.LIMIT, {**style.SECOND, "linestyle": "--"}, {"color": "black", "linestyle": ":", "linewidth": 1.6},
         {"color": "#56B4E9", "linestyle": "-", "linewidth": 1.6},
         {"color": "#E69F00", "linestyle": "--", "linewidth": 1.6})
#: Most rows of a chart of assumptions; share of the published value within which the ordinary crank should lie.
MOST, BAND = 12, 0.35


def contacts(case):
    """Where the friction is: mean power of each contact of both machines, with likely values.

    Parameters
    ----------
    case : Case [-]
        An assessed design.

    Returns
    -------
    Figure [-]
        Pairs of bars, like with like; totals in the legend.
    """
    both = friction.of_both(case)
    names, values = like_with_like(*({name: f.mean(name) for name in f.power} for f in both))
    fig = _pairs(names, values, [f"{MACHINES[f.machine]}: {f.mean():.0f} W" for f in both])
    return style.below(fig, f"{style.named(case.design, sizes=True)}\nlikely values; comparison: {SAME_TRACE}\n"
                            f"{case.basis}")


def over_cycle(case):
    """Friction power over the cycle, and what friction takes from the torque.

    Parameters
    ----------
    case : Case [-]
        An assessed design.

    Returns
    -------
    Figure [-]
        Left power of all contacts; right torque from gas and masses alone, and what is left at the shaft.
    """
    fig, (left, right) = style.figure(9.8, 4.0, columns=2)
    for made, few in zip(friction.of_both(case), (case.few, case.few_ordinary), strict=True):
        look, words, degrees = style.LOOKS[made.machine], MACHINES[made.machine], np.degrees(few.angle)
        power, brake = sum(made.power.values())[0], friction.brake_torque(case, made)
        left.plot(degrees, np.append(power, power[0]), label=f"{words}, mean {power.mean():.0f} W", **look)
        right.plot(degrees, few["torque"], **{**look, "linewidth": 0.9},
                   label=f"{words}, no friction: mean {few['torque'][:-1].mean():.2f} N m")
        right.plot(degrees, np.append(brake, brake[0]), label=f"at the shaft: mean {brake.mean():.2f} N m", **look)
    for ax, words, title, room in ((left, "friction power, $P$ [W]", "all contacts together", 1.25),
                                   (right, "torque, $T$ [N m]", "torque: thin without friction, thick with", 1.6)):
        ax.margins(y=0.05)
        style.over_cycle(ax, degrees, words, title, ylim=(min(0.0, ax.get_ylim()[0]), room * ax.get_ylim()[1]))
        style.legend(ax, small=True, loc="upper right")
    return style.below(fig, f"{style.named(case.design, sizes=True)}; comparison: {SAME_TRACE}\n{case.basis}")


def layouts(rows, basis=""):
    """Total friction of both machines in each layout, with likely values.

    Parameters
    ----------
    rows : list of Row [-]
        From ``friction.compare`` or ``friction.side_by_side``.
    basis : str [-]
        State and load case of the runs, ``Case.basis``, for the line below the picture.

    Returns
    -------
    Figure [-]
        Pairs of bars.
    """
    values = np.array([[row.straight, row.ordinary] for row in rows])
    fig = _pairs([row.layout for row in rows], values, MACHINES.values())
    words = "likely values; both machines with the same kinds of bearings"
    return style.below(fig, words, f"comparison: {SAME_TRACE}", basis)


def break_even(rows, basis=""):
    """What each assumption does to the saving alone, all others likely.

    Parameters
    ----------
    rows : list of BreakEven [-]
        From ``friction.break_even``.
    basis : str [-]
        State and load case of the runs, ``Case.basis``, for the line below the picture.

    Returns
    -------
    Figure [-]
        A bar for each of the strongest from its low to its high value; a line at zero, where both machines lose alike.
    """
    fig, (ax,) = style.figure(9.4, 1.6 + 0.28 * min(len(rows), MOST))
    shown = rows[:MOST]
    low, likely, high = np.array([row.saving for row in shown]).T
    for end, words, look, hatch in ((low, "low value", LOOKS[0], ""), (high, "high value", LOOKS[1], "///")):
        ax.barh(range(len(shown)), end - likely, 0.55, likely, color=look["color"], label=words, hatch=hatch,
                edgecolor="white", linewidth=0.0)
    _zero(ax, np.array([low, high]))
    ax.axvline(likely[0], **style.QUIET)
    even = [k for k, row in enumerate(shown) if row.value is not None]
    ax.plot(np.zeros(len(even)), even, "o", color="black", markersize=5, zorder=5)
    ticks = [f"{_name(row.name)}, {row.values[0]:.3g} to {row.values[2]:.3g}{_unit(row.name)}" for row in shown]
    style.rows(ax, ticks, SAVING, title="each assumption over its range, one at a time")
    style.legend(ax, beside=True)
    return style.below(fig, f"dotted: all likely, {likely[0]:.0f} W; black line: both lose alike; dot: its range "
                       f"holds a break-even\nranges and sources: the table of assumptions; comparison: {SAME_TRACE}",
                       basis)


def distribution(results, basis=""):
    """How sure the answer is: cumulative share of the samples against the saving.

    Parameters
    ----------
    results : dict of str to Outcome [-]
        Results of ``friction.monte_carlo`` by the words of the legend.
    basis : str [-]
        State and load case of the runs, ``Case.basis``, for the line below the picture.

    Returns
    -------
    Figure [-]
        One curve for each; right of the line at zero the straight-line drive saves.
    """
    fig, (ax,) = style.figure(9.4, 4.0)
    for (words, result), look in zip(results.items(), LOOKS, strict=False):
        saving = np.sort(result.saving)
        label = f"{words}:\nmiddle {np.median(saving):.0f} W, saves in {100.0 * np.mean(saving > 0.0):.0f} %"
        ax.step(saving, np.arange(1, len(saving) + 1) / len(saving), where="post", label=label, **look)
    _zero(ax, np.concatenate([result.saving for result in results.values()]))
    style.label(ax, SAVING, "share of samples at or below, $F_c$ [1]",
                "not a forecast: conditional on the stated ranges", ylim=(0.0, 1.0))
    style.legend(ax, beside=True, small=True)
    counts = ", ".join(sorted({f"{len(result.saving)}" for result in results.values()}))
    return style.below(fig, f"{counts} samples, the same for both machines; comparison: {SAME_TRACE}", basis)


def ranking(shares, basis=""):
    """What decides: share of each assumption in the scatter of the saving.

    Parameters
    ----------
    shares : dict of str to float [1]
        From ``Outcome.ranking``.
    basis : str [-]
        State and load case of the runs, ``Case.basis``, for the line below the picture.

    Returns
    -------
    Figure [-]
        Bars, largest first.
    """
    shown = list(shares.items())[:MOST]
    if "together" in shares and "together" not in dict(shown):
        shown[-1] = ("together", shares["together"])
    fig, (ax,) = style.figure(8.4, 1.4 + 0.26 * len(shown))
    bars = ax.barh(range(len(shown)), [100.0 * share for _, share in shown], 0.6, color=style.LIMIT["color"])
    ax.bar_label(bars, fmt="%.0f", padding=3, fontsize=style.FONT)
    style.rows(ax, [_name(name) for name, _ in shown], "share of the variance of the saving, $s_v$ [%]", "",
               "what decides")
    ax.margins(x=0.1)
    return style.below(fig, f"for the ranges in the table of assumptions; comparison: {SAME_TRACE}", basis)


def speed_map(design, speeds_rpm=(1000.0, 2000.0, 3000.0, 4500.0, 6000.0), loads=(0.1, 0.4, 0.7, 1.0),
              layout="as drawn", both=None):
    """Where in speed and load it saves: difference of both machines, with likely values.

    Parameters
    ----------
    design : Design [-]
        The design.
    speeds_rpm : sequence of float [rpm]
        Speeds.
    loads : sequence of float [1]
        Loads, as in ``friction.at``.
    layout : str or (2,) tuple of str [-]
        As in ``friction.compare``.
    both : (2,) tuple of (N, M) array or None [W]
        From ``friction.speed_load_map`` at these speeds and loads; None to compute it.

    Returns
    -------
    Figure [-]
        Left the saving, right the friction of the straight-line drive over that of the ordinary crank; a thick line
        where both lose alike, if there is one.
    """
    if both is None:
        both = friction.speed_load_map(design, np.array(speeds_rpm), np.array(loads), layout)
    straight, ordinary = both
    fig, axes = style.figure(9.8, 4.0, columns=2)
    parts = ((ordinary - straight, 0.0, "saving, $\\Delta P$ [W]", "%.0f"),
             (straight / ordinary, 1.0, "straight-line over ordinary, $P/P_o$ [1]", "%.2f"))
    for k, (ax, (values, alike, title, form)) in enumerate(zip(axes, parts, strict=True)):
        far = max(np.abs(values - alike).max(), 1e-9)
        pale = np.linspace(alike - 2.0 * far, alike + 2.0 * far, 43)  # half of the colours: numbers stay legible
        ax.contourf(speeds_rpm, loads, values.T, pale, cmap=("PuOr", "PuOr_r")[k])
        lines = ax.contour(speeds_rpm, loads, values.T, 7, colors="black", linewidths=0.7, linestyles="solid")
        for number in ax.clabel(lines, lines.levels[2:-1], fmt=form, fontsize=style.FONT - 1):
            number.set_rotation(0.0)
        if values.min() < alike < values.max():
            ax.contour(speeds_rpm, loads, values.T, [alike], colors="black", linewidths=2.5)
        style.label(ax, "speed, $n_s$ [rev/min]", "load, share of gas pressure, $q_g$ [1]", title)
    words = layout if isinstance(layout, str) else " against ".join(layout)
    loses, saves = (words * int(np.any(seen)) for words, seen in (
        ("; orange: loses", straight > ordinary), ("; violet: saves", straight < ordinary)))
    return style.below(fig, f"{style.named(design)}, layout: {words}; comparison: {SAME_TRACE}",
                       f"lines through {straight.size} runs{loses}{saves}", f"{friction.at(design).basis}, times load")


def correlation(speeds_rpm, ours, published, basis=""):
    """Friction of the ordinary crank against a published correlation of whole engines.

    Parameters
    ----------
    speeds_rpm : (N,) array [rpm]
        Speeds.
    ours : (N,) array [Pa]
        Mean effective pressure of our ordinary crank.
    published : (N,) array [Pa]
        The same by the correlation.
    basis : str [-]
        State and load case of ours, ``Case.basis``, for the line below the picture.

    Returns
    -------
    Figure [-]
        Both curves, and the band of 35 % about the published one.
    """
    ours, published = (1e-5 * np.asarray(values, dtype=float) for values in (ours, published))
    within = np.abs(ours / published - 1.0) <= BAND
    fig, (ax,) = style.figure(8.4, 4.0)
    ax.fill_between(speeds_rpm, (1.0 - BAND) * published, (1.0 + BAND) * published, color="#dfeee8",
                    label=f"published, {100 * BAND:.0f} % up and down")
    ax.plot(speeds_rpm, published, label="published, whole engines", **style.LIMIT)
    ax.plot(speeds_rpm, ours, marker="o", markersize=4, label=MACHINES["ordinary"], **style.ORDINARY)
    style.label(ax, "speed, $n_s$ [rev/min]", "friction, mean effective pressure, $p_f$ [bar]",
                f"within the band at {within.sum()} of {within.size} speeds", ylim=(0.0, None))
    style.legend(ax, beside=True)
    return style.below(fig, "one machine against measured engines, no comparison of the two mechanisms", basis)


def _pairs(names, values, words):
    """Pairs of horizontal bars, the straight-line drive above."""
    fig, (ax,) = style.figure(9.4, 1.5 + 0.36 * len(names))
    for k, (label, look) in enumerate(zip(words, style.LOOKS.values(), strict=True)):
        place = np.arange(len(names)) + (0.4 * k - 0.2)
        bars = ax.barh(place, values[:, k], 0.36, color=look["color"], label=label, hatch=("", "///")[k],
                       edgecolor="white", linewidth=0.0)
        shown = ["" if np.isnan(value) else f"{value:.{0 if value >= 9.95 else 1}f}" for value in values[:, k]]
        ax.bar_label(bars, shown, padding=3, fontsize=style.FONT - 1)
    style.rows(ax, names, POWER)
    ax.margins(x=0.1, y=0.02)
    style.legend(ax, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2)
    return fig


def _zero(ax, saving):
    """Horizontal axis that holds all savings and zero, which is marked; right of it the straight-line drive saves."""
    low, high = min(0.0, saving.min()), max(0.0, saving.max())
    spare = 0.08 * (high - low)
    ax.axvline(0.0, color="black", linewidth=1.2)
    ax.axvspan(0.0, high + 2.0 * spare, color="#eaf3f8", zorder=0)
    ax.text(0.0, 1.01, "saves $\\rightarrow$", transform=ax.get_xaxis_transform(), fontsize=style.FONT - 1)
    ax.set(xlim=(low - spare, high + 2.0 * spare))


def _name(name):
    words = {row["name"]: row["words"] for row in rows("friction_assumptions")} | {"together": "several together"}
    return words.get(name) or name.replace("_", " ")


def _unit(name):
    return f" {friction.ASSUMPTIONS[name].unit}".removesuffix(" 1")
