"""Will the teeth live: who carries what, sections at the roots, lean of the crank, flash, pressure, backlash."""

import numpy as np
from matplotlib.collections import PolyCollection

from vmech_core.gears import SAFETY, factors, measure
from vmech_core.gears.outline import pinion_flank, ring_flank
from vmech_core.show import drawing, style

#: Stress of a root: dark is little, yellow much; readable in grey.
SHADES = "viridis"
SIDES = ("flank 0", "flank 1")
LEVEL_LOOKS = {"light": style.OTHERS[4], "likely": style.OTHERS[2], "heavy": style.OTHERS[1]}


def teeth(pair):
    """Outline of each tooth of pinion and ring about the axis of its gear.

    Parameters
    ----------
    pair : InternalPair [-]
        One gear pair.

    Returns
    -------
    pinion, ring : (Z, P) complex array [m]
        Closed outlines in the order in which the teeth meet; ring tooth k stands before space k.
    """
    half, space = pinion_flank(pair), ring_flank(pair)[::-1]
    turn = np.exp(1j * np.pi / pair.ring_teeth)
    pinion = np.concatenate([half, half[::-1].conj()])
    side = np.concatenate([[(pair.ring_root_radius + pair.module) / turn], (space * turn).conj()])
    ring = np.concatenate([side, side[::-1].conj()]) / turn
    return [tooth * np.exp(2j * np.pi * np.arange(count) / count)[:, None]
            for tooth, count in ((pinion, pair.pinion_teeth), (ring, pair.ring_teeth))]


def who_carries(pair, lives, allowed):
    """Which teeth carry what: every tooth in the colour of its greatest root stress, and the same as bars.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.
    lives : tuple of ToothLives [-]
        Pinion, then ring.
    allowed : (2,) array [Pa]
        Root stress of pinion and ring that keeps the wanted safety.

    Returns
    -------
    Figure [-]
        The figure.
    """
    fig, (view, *bars) = style.mosaic(9.8, 5.0, [["view", "pinion"], ["view", "ring"]], width_ratios=[1.0, 1.15])
    top = max(max(own.root_peak.max() for own in lives), max(allowed)) / 1e6
    for shapes, own, centre, out in zip(teeth(pair), lives, (pair.centre_distance, 0.0), (-2.3, 2.6), strict=True):
        shapes = shapes + centre
        filled = PolyCollection(np.stack(drawing.mm(shapes), axis=-1), cmap=SHADES, edgecolor="black",
                                array=own.root_peak.max(axis=0) / 1e6, clim=(0.0, top), linewidth=0.4)
        view.add_collection(filled)
        away = shapes.mean(axis=1) - centre
        for k, at in enumerate(1e3 * (centre + away * (1.0 + out * pair.module / np.abs(away)))):
            view.text(at.real, at.imag, k, fontsize=style.FONT - 2, ha="center", va="center")
    reach = 1e3 * (pair.ring_root_radius + 3.2 * pair.module)
    view.set(xlim=(-reach, reach), ylim=(-reach, reach), aspect="equal")
    view.axis("off")
    view.set_title("carrier angle 0: both gears by the greatest\nroot stress of each tooth", fontsize=style.FONT + 1)
    fig.colorbar(filled, ax=view, orientation="horizontal", shrink=0.8, pad=0.02).set_label(
        "greatest root stress, $\\sigma_F$ [MPa]", fontsize=style.FONT)
    for ax, own, name, most in zip(bars, lives, ("pinion", "ring"), allowed, strict=True):
        for flank, sign in enumerate((1.0, -1.0)):
            ax.bar(np.arange(own.root_peak.shape[1]), sign * own.root_peak[flank] / 1e6, hatch=("", "////")[flank],
                   color=filled.cmap(own.root_peak[flank] / 1e6 / top), edgecolor="black", linewidth=0.4)
        ax.axhline(most / 1e6, label="keeps the wanted safety", **style.LIMIT)
        style.label(ax, f"number of the {name} tooth, $n$ [1]", "root stress, $\\sigma_F$ [MPa]",
                    f"{name}: load on {SIDES[0]} upward, on {SIDES[1]} downward",
                    xticks=np.arange(0, own.root_peak.shape[1], 2), ylim=(-0.45 * top, 1.12 * top))
    style.legend(bars[1], small=True, loc="upper right", bbox_to_anchor=(1.0, 0.9))
    return fig


def sections(pair):
    """Critical section and lever of the load on the outline of both teeth, load at the outer single-pair point.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.

    Returns
    -------
    Figure [-]
        Left pinion, right ring, to the same scale.
    """
    fig, axes = style.figure(9.0, 4.2, columns=2)
    found, turn = factors.root(pair), np.exp(1j * np.pi / pair.ring_teeth)
    halves = pinion_flank(pair, 400).conj(), ring_flank(pair, 400) * turn
    reach = np.hypot((pair.pinion_base_radius, pair.ring_base_radius),
                     factors._outer_points(pair) + (0.0, pair.base_gap))
    for k, (ax, half, name) in enumerate(zip(axes, halves, ("pinion tooth", "ring tooth"), strict=True)):
        low = half[:200] if k == 0 else half[200:]
        section = low[np.abs(np.abs(low.imag) - 0.5 * found.thickness[k]).argmin()]
        touch = half[np.abs(np.abs(half) - reach[k]).argmin()]
        cross = section.real + (1.0, -1.0)[k] * found.lever[k]
        both = np.concatenate([half, half[::-1].conj()] if k == 0 else [half[::-1], half.conj()])
        ax.fill(*drawing.mm(both), facecolor="#eeeeee", edgecolor="black", linewidth=1.0)
        for points, words, look in (([section.conj(), section], "critical section", style.SECOND),
                                    ([section.real, cross], "lever", style.OTHERS[2]),
                                    ([touch, cross], "line of the force", style.QUIET)):
            ax.plot(*drawing.mm(np.array(points)), label=words, **look)
        ax.annotate("", drawing.mm(touch), drawing.mm(touch + (touch - cross) * 0.9),
                    arrowprops={"arrowstyle": "-|>", "linewidth": 1.8})
        middle, size = 1e3 * 0.5 * (half[0].real + half[-1].real), 1e3 * 1.9 * pair.module
        style.label(ax, "from the axis of the gear, $r$ [mm]", "across the tooth, $y$ [mm]",
                    f"{name}: $Y_F$ = {found.Y_F[k]:.2f}, $Y_S$ = {found.Y_S[k]:.2f}",
                    xlim=(middle - size, middle + size), ylim=(-size, size), aspect="equal")
    style.legend(axes[0], small=True, loc="lower right")
    return fig


def lean(angle, force, tilts, wide, variants):
    """How far the crank leans across the face over a cycle, and what a wider face buys.

    Parameters
    ----------
    angle : (A,) array [rad]
        Carrier angle.
    force : (A,) array [N]
        Tangential force of the mesh.
    tilts : dict of str to (A,) array [m]
        Level to misalignment across the face, without correction.
    wide : (B,) array [m]
        Face widths.
    variants : dict of str to tuple of (B,) array [N/m], [1]
        Words to load per width where it is greatest, and least root safety over the one wanted.

    Returns
    -------
    Figure [-]
        The figure.
    """
    fig, (lean_ax, line, load, safe) = style.mosaic(9.8, 5.2, [["a", "c"], ["b", "d"]], height_ratios=[1.2, 1.0])
    degrees, carries = np.degrees(angle), np.abs(force) > 0.05 * np.abs(force).max()
    for level, out in tilts.items():
        lean_ax.plot(degrees, 1e6 * np.where(carries, out, np.nan), label=level, **LEVEL_LOOKS[level])
    style.over_cycle(lean_ax, degrees, "lean across the face, $F_\\beta$ [µm]", "no correction; gaps: hardly any load")
    style.legend(lean_ax, small=True, loc="lower left", ncols=3)
    load.plot(degrees, force / 1e3, **style.FORCES["mesh"])
    style.over_cycle(load, degrees, "tooth force, $F_t$ [kN]", "the force at that end")
    for (words, (most, spare)), look in zip(variants.items(), style.OTHERS, strict=False):
        line.plot(1e3 * wide, most / 1e3, label=words, **look)
        safe.plot(1e3 * wide, spare, label=words, **look)
    safe.axhline(1.0, **style.QUIET)
    wide = "face width, $b$ [mm]"
    style.label(line, wide, "greatest load, $w_m$ [N/mm]", "one angle, its force and its lean", ylim=(0.0, None))
    style.label(safe, wide, "root safety over 1.4, $S_F / 1.4$ [1]")
    style.legend(line, small=True)
    return fig


def flash(found, limits):
    """Contact temperature along the path of contact against the range in which oils have failed.

    Parameters
    ----------
    found : dict of str to (Flash, float) [-], [m]
        Words to flash temperatures and the place of the pitch point.
    limits : Estimate [K]
        From ``gears.scuffing_limits``.

    Returns
    -------
    Figure [-]
        The figure.
    """
    fig, (ax,) = style.figure(8.0, 3.6)
    ax.axhspan(limits.low - 273.15, limits.high - 273.15, color="#f3d3c4", label="range in which oils have failed")
    for (words, (one, pitch)), look in zip(found.items(), style.OTHERS, strict=False):
        ax.plot(1e3 * (one.place - pitch), one.contact - 273.15, label=words, **look)
    style.label(ax, "from the pitch point along the path of contact, $s$ [mm]", "contact temperature, $T_c$ [°C]")
    style.legend(ax, beside=True, small=True)
    return fig


def pressure_map(bore, stroke, pressure, marks):
    """Map of the cylinder pressure that the teeth allow.

    Parameters
    ----------
    bore, stroke : (B,), (S,) array [m]
        Bores and strokes.
    pressure : (B, S) array [Pa]
        Allowable pressure above that of the crankcase.
    marks : dict of str to (float, float) [m]
        Words to bore and stroke of machines.

    Returns
    -------
    Figure [-]
        The figure.
    """
    fig, (ax,) = style.figure(8.0, 4.4)
    lines = ax.contour(1e3 * stroke, 1e3 * bore, pressure / 1e5, levels=(5, 10, 20, 30, 50, 70, 100, 150, 200),
                       colors="black", linewidths=1.2)
    ax.clabel(lines, fmt="%g bar", fontsize=style.FONT - 1)
    for (words, (own_bore, own_stroke)), sign in zip(marks.items(), "os^", strict=False):
        ax.plot(1e3 * own_stroke, 1e3 * own_bore, sign, color="black", label=words)
    style.label(ax, "stroke, $S$ [mm]", "bore, $B$ [mm]", "allowable cylinder pressure, this kind of teeth")
    style.legend(ax, small=True, loc="upper left")
    return fig


def backlash(moved, pairs, growth):
    """Backlash against the centre distance, cold and with a ring that has grown more than its pinion.

    Parameters
    ----------
    moved : (D,) array [m]
        Change of the centre distance.
    pairs : dict of str to InternalPair [-]
        Words to pairs.
    growth : dict of str to float [1]
        Words to growth of the ring over that of the pinion.

    Returns
    -------
    Figure [-]
        The figure.
    """
    fig, (ax,) = style.figure(7.6, 3.8)
    for (name, pair), look in zip(pairs.items(), style.OTHERS, strict=False):
        for (words, more), width in zip(growth.items(), (1.0, 2.4), strict=False):
            ax.plot(1e6 * moved, 1e6 * measure.backlash_at(pair, moved, more), label=f"{name}, {words}",
                    **{**look, "linewidth": width})
    ax.axhspan(-30.0, 0.0, color="#f3d3c4")
    ax.text(1e6 * moved[0], -3.0, " jams", fontsize=style.FONT, va="top")
    style.label(ax, "change of the centre distance, $\\Delta a$ [µm]", "backlash, $j$ [µm]", ylim=(-30.0, None))
    style.legend(ax, beside=True, small=True)
    return fig


def steps(found):
    """Safety of root and flank after each step of a design, over the lean of the crank.

    Parameters
    ----------
    found : dict of str to (3, 2) array [1]
        Step to least root and flank safety at the levels light, likely, heavy.

    Returns
    -------
    Figure [-]
        Left roots, right flanks; the lines stand at the safety wanted.
    """
    fig, axes = style.figure(9.6, 3.6, columns=2)
    for k, (ax, words) in enumerate(zip(axes, ("root safety, $S_F$ [1]", "flank safety, $S_H$ [1]"), strict=True)):
        for row, own in enumerate(found.values()):
            ends = own[:, k].min(), own[:, k].max()
            ax.plot(ends, [row, row], color="#999999", linewidth=5.0, solid_capstyle="butt")
            ax.plot(own[1, k], row, "o", color="black")
        ax.axvline(SAFETY[k], **style.LIMIT)
        style.rows(ax, list(found) if k == 0 else len(found) * [""], words, xlim=(0.0, None))
    axes[0].set_title("dot: likely lean; bar: light, likely, heavy; line: wanted", fontsize=style.FONT + 1, loc="left")
    return fig
