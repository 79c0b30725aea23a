"""Figures and the live scene of notebook 02: several cylinders on one crank, and when they fire."""

import numpy as np

from vmech_core.machine import firing, pin_path, pins_on_crank
from vmech_core.show import drawing, style

#: Names of the cycles that the live scene offers, with their turns.
CYCLES = {"four-stroke": 2, "two-stroke or pump": 1}
MOST = 8
#: Looks of the moving machine, back to front.
PARTS = {"lines": style.QUIET,
         "pinion": {"color": style.CRANK, "linewidth": 1.3},
         "carrier": {"color": "#CC79A7", "linewidth": 4.0},
         "rods": {"color": "#B8860B", "linewidth": 3.0},
         "pistons": {"color": "#555555", "linewidth": 1.3},
         "pins": {"color": "black", "marker": "o", "markersize": 7, "linestyle": "none"}}


def crank_ends(layouts):
    """Cylinder directions above, the end view of the crank that serves them below, for several layouts side by side.

    Parameters
    ----------
    layouts : dict of str to tuple of Fraction [1]
        Name to bank angles in turns.

    Returns
    -------
    Figure [-]
        Cylinders numbered from 1; opposite cylinders meet in one pin.
    """
    fig, axes = style.figure(9.6, 4.5, columns=len(layouts), rows=2)
    for column, (name, bank) in enumerate(layouts.items()):
        ends, above, below = 2.0 * np.exp(1j * _radians(bank)), axes[column], axes[column + len(layouts)]
        _rays(above, ends)
        _rays(below, pins_on_crank(_radians(bank)), {"color": style.CRANK, "linewidth": 3.0})
        below.plot(*drawing.xy(drawing.CIRCLE), color="#333333", linewidth=1.0)
        style.label(above, "place, $x/a$ [1]", "" if column else "cylinders, $y/a$ [1]", name)
        style.label(below, "from C, $x/a$ [1]", "" if column else "crank, $y/a$ [1]")
    return fig


def _rays(ax, ends, look=None):
    """Rays from the middle of the axes with the numbers of the cylinders at their ends, equal ends sharing a label."""
    size = np.abs(ends).max()
    ax.set(aspect="equal", xlim=(-1.75 * size, 1.75 * size), ylim=(-1.75 * size, 1.75 * size))
    together = {}
    for number, end in enumerate(ends, start=1):
        ax.plot([0, end.real], [0, end.imag], **(look or {"color": "#333333", "linewidth": 2.0}))
        if look is None:
            ax.plot([0, -end.real], [0, -end.imag], zorder=1, **style.QUIET)
        together.setdefault((round(end.real, 9), round(end.imag, 9)), []).append(str(number))
    for (x, y), numbers in together.items():
        ax.plot(x, y, "o", color="black", markersize=6)
        away = 1.3 if len(numbers) == 1 else 1.45
        ax.annotate(", ".join(numbers), (away * x, away * y), ha="center", va="center", fontsize=style.FONT)
    ax.plot(0, 0, "k+", markersize=7)


def timing(rows, cycle_turns, note):
    """Events of several layouts over one cycle, one row each, the number of the cylinder on each mark.

    Parameters
    ----------
    rows : dict of str to Firing [-]
        Name to events.
    cycle_turns : int [1]
        Turns in one cycle.
    note : str [-]
        Kind of comparison, printed above the axes.

    Returns
    -------
    Figure [-]
        Green discs for even rows, purple squares for uneven ones; cylinders that fire together share a mark.
    """
    fig, (ax,) = style.figure(9.6, 1.3 + 0.45 * len(rows))
    for row, found in enumerate(rows.values()):
        marker, color = ("o", style.LIMIT["color"]) if found.even else ("s", style.SECOND["color"])
        together = {}
        for cylinder in found.order:
            together.setdefault(360.0 * float(found.event[cylinder - 1]), []).append(str(cylinder))
        for x, numbers in together.items():
            inside = len(numbers) == 1
            ax.plot(x, row, marker, color=color, markersize=14)
            place, align, ink = (0, "center", "white") if inside else (9, "left", "black")
            ax.annotate("+".join(numbers), (x, row), xytext=(place, 0), textcoords="offset points", ha=align,
                        va="center_baseline", color=ink, fontsize=style.FONT)
    style.rows(ax, list(rows), style.THETA, "layout", f"{note}: discs even, squares uneven",
               ylim=(-0.6, len(rows) - 0.4), xlim=(-20, 360 * cycle_turns), xticks=range(0, 360 * cycle_turns + 1, 60))
    return fig


def tooth_loads(high, low):
    """Greatest tooth force, each way, that every tooth of the pinion meets over one cycle.

    Parameters
    ----------
    high, low : (pinion_teeth,) array [N]
        From ``train.by_tooth``.

    Returns
    -------
    Figure [-]
        A bar up and a bar down for each tooth.
    """
    fig, (ax,) = style.figure(9.0, 3.2)
    teeth = np.arange(len(high))
    ax.bar(teeth, np.maximum(high, 0.0) / 1e3, color="#444444", label="one flank")
    ax.bar(teeth, np.minimum(low, 0.0) / 1e3, color=style.SECOND["color"], hatch="/", label="other")
    ax.axhline(0.0, color="black", linewidth=0.8)
    ax.set(xticks=teeth[::2])
    style.label(ax, "pinion tooth, counted from the mesh at $\\theta = 0$ [1]", "tooth force, both ends, $F_t$ [kN]")
    style.legend(ax, beside=True)
    return fig


class BankScene(style.Scene):
    """A picture whose artists are made once: the machine along its axis on the left, the events of 720 degrees right.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axes limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.
    stroke_mm : float [mm]
        Stroke.
    """

    def __init__(self, stroke_mm=80.0):
        self.stroke_mm = stroke_mm
        self.figure, (left, right) = style.figure(9.6, 4.8, columns=2, ratios=[1.0, 1.1])
        limit = 2.35 * stroke_mm
        style.label(left, "place, $x$ [mm]", "place, $y$ [mm]", "ring black, pinion violet, carrier pink, rods brown",
                    xlim=(-limit, limit), ylim=(-limit, limit), aspect="equal")
        left.plot(*drawing.xy(0.5 * stroke_mm * drawing.CIRCLE), color="black", linewidth=1.4)
        left.plot(0, 0, "k+", markersize=9)
        self._parts = [left.plot([], [], **look)[0] for look in PARTS.values()]
        self._numbers = [left.plot([], [], marker=f"${k + 1}$", color="black", markersize=8)[0] for k in range(MOST)]
        style.label(right, "carrier angle, $\\theta$ [deg]", "cylinder, $k$ [1]", "firing, or start of delivery",
                    xlim=(-10, 730), ylim=(MOST + 5.6, 0.4), xticks=range(0, 721, 90), yticks=range(1, MOST + 1))
        (self._events,) = right.plot([], [], "o", color=style.CRANK, markersize=9)
        (self._now,) = right.plot([0, 0], [0.4, MOST + 0.6], color="#CC79A7", linewidth=2.0)
        self._text = style.Readout(right, 0.03, 0.36)
        self._ready([*self._parts, *self._numbers, self._events, self._now, self._text])

    def _change(self, cylinders, step_deg, angle_deg, cycle):
        """Move every artist to new slider values.

        Parameters
        ----------
        cylinders : int [1]
            Number of cylinders, 1 to 8.
        step_deg : float [deg]
            Angle from each cylinder to the next; with two cylinders the bank angle of the second.
        angle_deg : float [deg]
            Carrier angle.
        cycle : str [-]
            One of ``CYCLES``.
        """
        turns = CYCLES[cycle]
        bank = firing.as_turns([k * step_deg for k in range(int(cylinders))])
        found = firing.firing(bank, turns)
        self._move_machine(_radians(bank), np.radians(angle_deg))
        event = np.array(found.event, dtype=float)
        shown = np.concatenate([event + turns * k for k in range(2 // turns)])
        self._events.set_data(360.0 * shown, np.tile(np.arange(len(bank)) + 1, 2 // turns))
        self._now.set_xdata([angle_deg, angle_deg])
        self._text.set_text(_words(bank, found, step_deg, cycle))

    def _move_machine(self, bank, angle):
        stroke, radius = self.stroke_mm, 0.25 * self.stroke_mm
        centre, along = radius * np.exp(1j * angle), np.exp(1j * bank)
        pin = pin_path(angle, radius, radius, bank_angle=bank)
        crown = pin + 1.3 * stroke * along
        foot = crown - 0.3 * stroke * along
        lines = np.stack([-0.5 * stroke * along, 1.9 * stroke * along, np.full(len(bank), drawing.UP)], axis=-1).ravel()
        rods = np.stack([pin, foot, np.full(len(bank), drawing.UP)], axis=-1).ravel()
        boxes = [np.append(drawing.box(a, b, 0.55 * stroke), drawing.UP) for a, b in zip(foot, crown, strict=True)]
        outlines = (lines, centre + radius * drawing.CIRCLE, np.array([0.0, centre]), rods, np.concatenate(boxes), pin)
        self._move(self._parts, outlines)
        degrees = np.round(np.degrees(bank), 6)
        for k, number in enumerate(self._numbers):
            if k < len(bank):
                place = (2.0 + 0.19 * np.count_nonzero(degrees[:k] == degrees[k])) * stroke * along[k]
                number.set_data([place.real], [place.imag])
            number.set_visible(k < len(bank))


def _words(bank, found, step_deg, cycle):
    """The readout: order, gaps, evenness and counts."""
    count = firing.parts(bank)
    gaps = firing.in_degrees(found.gap).split()
    lines = [" ".join(gaps[:4]), "     " + " ".join(gaps[4:])] if len(gaps) > 4 else [" ".join(gaps)]
    return "\n".join([
        f"cylinders {len(bank)}, {step_deg:g}° to the next, {cycle}",
        f"order {'-'.join(map(str, found.order))}",
        f"gaps {lines[0]}" + ("" if len(lines) > 1 else " deg"),
        *[f"{line} deg" for line in lines[1:]],
        f"largest less smallest gap {float(360 * found.spread):.4g} deg: {'even' if found.even else 'uneven'}",
        f"lines {count.lines}, places of crankpins {count.pins}, moving bodies {count.bodies}",
    ])


def _radians(bank):
    return 2.0 * np.pi * np.array([float(place) for place in bank])
