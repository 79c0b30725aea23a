"""Free-body diagrams of the straight-line drive: rod, crank and carrier, each with every force that acts on it."""

import numpy as np

from vmech_core.show import drawing, style

#: Colour by kind of force: along the line, lateral, tooth, bearing.
LINE, SIDE, TOOTH, BEARING = "#6b6b6b", "#009E73", "#111111", "#7a3b69"
ALPHA = 0.5 * np.pi  # bank angle of the drawings


def free_bodies(phi_deg=50.0):
    """Draw rod with piston, crank with pinion, and carrier, cut free of one another.

    Lengths are in units of the carrier radius; arrows show positive directions, not sizes.

    Parameters
    ----------
    phi_deg : float [deg]
        Carrier angle counted from the cylinder line.

    Returns
    -------
    Figure [-]
        Three drawings side by side.
    """
    fig, axes = style.figure(10.4, 4.6, columns=3, ratios=[1.0, 1.25, 1.25])
    theta = ALPHA + np.radians(phi_deg)
    bodies = ((_rod, "piston and rod"), (_crank, "crank with pinion"), (_carrier, "carrier"))
    for ax, (draw, words) in zip(axes, bodies, strict=True):
        ax.set(aspect="equal")
        ax.axis("off")
        ax.set_title(words, fontsize=style.FONT + 1, y=0.95)
        draw(ax, theta)
    return fig


def _rod(ax, theta):
    pin = 2.0 * np.cos(theta - ALPHA) * 1j
    top = pin + 4.2j
    for shape in (drawing.box(pin, top, 0.35), drawing.box(top - 0.3j, top + 0.4j, 2.2)):
        ax.fill(shape.real, shape.imag, facecolor="#fbe3c0", edgecolor="#B8860B", linewidth=1.2)
    _dot(ax, pin, "P")
    _arrow(ax, top + 1.9j, top + 0.45j, "$G$ from the gas", LINE, "right", at_tail=True)
    _arrow(ax, pin - 1.5j, pin - 0.15j, "$Q$ from the pin", LINE, "right", at_tail=True)
    _arrow(ax, pin + 0.9 + 1.9j, pin + 0.2 + 1.9j, "$N$ from the guide", SIDE, "right", at_tail=True)
    _arrow(ax, pin - 1.1, pin - 0.15, "$N$ from the pin", SIDE, "left", at_tail=True)
    ax.plot([0, 0], [-2.0, top.imag + 2.2], **style.QUIET)
    ax.set(xlim=(-3.6, 3.9), ylim=(-2.2, 9.4))


def _crank(ax, theta):
    centre, pin, contact = np.exp(1j * theta), 2.0 * np.cos(theta - ALPHA) * 1j, 2.0 * np.exp(1j * theta)
    _frame(ax)
    wheel = centre + drawing.CIRCLE
    ax.fill(wheel.real, wheel.imag, facecolor=f"{style.CRANK}22", edgecolor=style.CRANK, linewidth=1.4)
    for point, name, shift in ((centre, "C", (-9, -6)), (pin, "P", (8, -10)), (contact, "I", (12, -9))):
        _dot(ax, point, name, shift)
    out, across = np.exp(1j * theta), 1j * np.exp(1j * theta)
    _arrow(ax, pin + 1.15j, pin + 0.1j, "$Q$", LINE, "right", at_tail=True)
    _arrow(ax, pin + 1.0, pin + 0.1, "$N$", SIDE, "right", at_tail=True)
    _arrow(ax, contact, contact + 1.1 * across, "$F_t$", TOOTH, "left")
    _arrow(ax, contact + 1.0 * out, contact + 0.08 * out, "$F_s$", TOOTH, "left", at_tail=True)
    _arrow(ax, centre, centre + 0.5 * np.exp(0.15j), "$F_c$", BEARING, "below")


def _carrier(ax, theta):
    centre = np.exp(1j * theta)
    _frame(ax)
    arm = drawing.box(0.0, centre, 0.5)
    ax.fill(arm.real, arm.imag, facecolor="#f7e6f0", edgecolor="#CC79A7", linewidth=1.4)
    _dot(ax, centre, "C")
    _arrow(ax, centre, centre - 0.8 * np.exp(0.15j), "$F_c$ from\nthe crank", BEARING, "above", at_tail=True)
    _arrow(ax, 0.0, 0.8 + 0.15j, "$F_m$ from\nthe block", BEARING, "right")
    turn = 0.7 * np.exp(1j * np.linspace(0.2, -2.4, 40))
    ax.plot(turn.real, turn.imag, color=LINE, linewidth=2.0)
    ax.annotate("", (turn[-1].real, turn[-1].imag), (turn[-4].real, turn[-4].imag),
                arrowprops={"arrowstyle": "-|>", "color": LINE, "linewidth": 2.0})
    ax.text(0.0, -1.05, "$T$ from the load", color=LINE, fontsize=style.FONT, ha="center")


def _frame(ax):
    rim = 2.0 * drawing.CIRCLE
    ax.plot(rim.real, rim.imag, **style.QUIET)
    ax.plot([0, 0], [-2.4, 2.7], **style.QUIET)
    _dot(ax, 0.0, "O")
    ax.set(xlim=(-3.0, 2.7), ylim=(-2.5, 3.2))


def _dot(ax, point, name, shift=(8, -8)):
    ax.plot(np.real(point), np.imag(point), "ko", markersize=4, zorder=8)
    ax.annotate(name, (np.real(point), np.imag(point)), textcoords="offset points", xytext=shift, ha="center",
                va="center", fontsize=style.FONT, zorder=9)


def _arrow(ax, tail, tip, words, color, side, at_tail=False):
    """Arrow with its name beside tip or tail."""
    look = {"arrowstyle": "-|>", "color": color, "linewidth": 2.0, "shrinkA": 0, "shrinkB": 0}
    ax.annotate("", (np.real(tip), np.imag(tip)), (np.real(tail), np.imag(tail)), zorder=7, arrowprops=look)
    place = tail if at_tail else tip
    shift, align = {"right": ((6, 0), "left"), "left": ((-6, 0), "right"), "below": ((0, -12), "center"),
                    "above": ((0, 21), "center")}[side]
    ax.annotate(words, (np.real(place), np.imag(place)), textcoords="offset points", xytext=shift, ha=align,
                va="center", color=color, fontsize=style.FONT, zorder=9)
