"""Free-body diagrams of the straight-line drive: rod, crank and carrier, each with every force that acts on it."""

import numpy as np

from vmech_core.show import drawing, style

#: Colour by kind of force: along the line, lateral, tooth, bearing.
LINE, SIDE, TOOTH, BEARING = "#6b6b6b", "#009E73", "#111111", "#7a3b69"
ALPHA = 0.5 * np.pi  # bank angle of the drawings
#: Where the names of the sides of a polygon stand, as in ``_sized``, so that none lies on another.
POLYGON = {"pin 1": 0.45, "pin 2": 0.0, "$F_t$": 1.0, "$-F_c$": 0.35}
#: The same beside the arrows of the crank.
CRANK = {"$F_s$": -0.2, "inertia": -0.5}


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
    fig, axes = _bodies(4.6, [1.0, 1.25, 1.25], ("piston and rod", "crank with pinion", "carrier"), y=0.95)
    for ax, draw in zip(axes, (_rod, _crank, _carrier), strict=True):
        draw(ax, ALPHA + np.radians(phi_deg))
    return fig


def _bodies(height, ratios, titles, **place):
    """Three bare axes side by side with their titles."""
    fig, axes = style.figure(10.4, height, columns=3, ratios=ratios)
    for ax, words in zip(axes, titles, strict=True):
        ax.set(aspect="equal")
        ax.axis("off")
        ax.set_title(words, fontsize=style.FONT + 1, **place)
    return fig, axes


def rod_forces(drive, loads, angle_deg, cylinder=0):
    """Every force on one piston rod at one angle, inertia as a force among them.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Its plane loads, rigid or shared.
    angle_deg : float [deg]
        Carrier angle; the nearest that was computed counts.
    cylinder : int [1]
        From 0.

    Returns
    -------
    dict of str to tuple of complex [-]
        Symbol to the place at which the force acts [m] and the force [N]. The lateral force of guide and bore stands at
        the pin, where those of a rod that does not tilt add up.
    """
    j, line = _index(loads, angle_deg), np.exp(1j * drive.bank_angle[cylinder])
    phi, half = loads.angle[j] - drive.bank_angle[cylinder], 0.5 * float(drive.stroke)
    pin = half * np.cos(phi) * line
    inertia = drive.reciprocating_mass[cylinder] * half * float(drive.speed) ** 2 * np.cos(phi) * line
    found = {"G": (pin + 1.6 * half * line, -loads["gas"][cylinder, j] * line),
             "$-m\\ddot x$": (pin + 0.8 * half * line, inertia), "pin": (pin, -loads["pin"][cylinder, j])}
    lateral = sum(loads[name][cylinder, j] for name in ("guide", "bore") if name in loads)
    return found | ({"N": (pin + 0.4 * half * line, 1j * lateral * line)} if lateral else {})


def crank_forces(drive, loads, angle_deg):
    """Every force on the crank at one angle, inertia as a force among them.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Its plane loads, rigid or shared.
    angle_deg : float [deg]
        Carrier angle; the nearest that was computed counts.

    Returns
    -------
    dict of str to tuple of complex [-]
        Symbol to the place at which the force acts [m] and the force [N].
    """
    j, a, speed2 = _index(loads, angle_deg), 0.25 * float(drive.stroke), float(drive.speed) ** 2
    turn = np.exp(1j * loads.angle[j])
    centre, contact, own = a * turn, 2.0 * a * turn, complex(drive.crank_moment)
    found = {f"pin {k + 1}": (a * turn + a * np.exp(2j * bank) / turn, loads["pin"][k, j])
             for k, bank in enumerate(drive.bank_angle)}
    found |= {"$F_t$": (contact, 1j * loads["mesh"][j] * turn), "$F_s$": (contact, -loads["separating"][j] * turn),
              "$-F_c$": (centre, -loads["crank_bearing"][j]),
              "inertia": (centre, drive.crank_mass * a * speed2 * turn + own * speed2 / turn)}
    if own:  # the mass of the crank then lies beside C, and its inertia acts there
        found["inertia"] = (centre + own / turn / drive.crank_mass, found["inertia"][1])
    return found


def closing(forces, about):
    """Sum of forces, and of their moments, which are zero for a body in equilibrium.

    Parameters
    ----------
    forces : dict of str to tuple of complex [-]
        From ``rod_forces`` or ``crank_forces``.
    about : complex [m]
        Point about which moments are taken.

    Returns
    -------
    force : complex [N]
        What is left of the forces.
    moment : float [N m]
        What is left of the moments.
    """
    return (sum(force for _, force in forces.values()),
            float(sum((np.conj(place - about) * force).imag for place, force in forces.values())))


def numbered(drive, loads, angle_deg, cylinder=0):
    """Free-body diagrams of one rod and of the crank with numbers at one angle, and the closed polygon of the crank.

    Parameters
    ----------
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Its plane loads, rigid or shared.
    angle_deg : float [deg]
        Carrier angle; the nearest that was computed counts.
    cylinder : int [1]
        From 0: whose rod is drawn.

    Returns
    -------
    Figure [-]
        Arrows to one scale, with sizes in kN; what the sums leave stands below.
    """
    fig, axes = _bodies(5.0, [0.7, 1.2, 1.2],
                        (f"rod {cylinder + 1}, its line upright", "crank", "forces on the crank, end to end"))
    a, turn = 0.25 * float(drive.stroke), np.exp(1j * loads.angle[_index(loads, angle_deg)])
    rod, crank = rod_forces(drive, loads, angle_deg, cylinder), crank_forces(drive, loads, angle_deg)
    scale = 2.2 * a / max(abs(force) for _, force in [*rod.values(), *crank.values()])
    _upright(axes[0], rod, 1j / np.exp(1j * drive.bank_angle[cylinder]), a, scale)
    for circle, look in ((2.0 * a * drawing.CIRCLE, style.QUIET), (a * turn + a * drawing.CIRCLE, {"color": LINE})):
        axes[1].plot(*drawing.xy(circle), **look)
    _dot(axes[1], a * turn, "C", (-9, -9))
    at = 0.0 + 0.0j
    for name, (place, force) in crank.items():
        _sized(axes[1], name, place, place + scale * force, force, CRANK.get(name, 1.0))
        _sized(axes[2], name, at, at + scale * force, force, POLYGON.get(name, 0.6))
        at = at + scale * force
    sums = closing(rod, 0.0)[0], *closing(crank, a * turn)
    return style.below(fig, f"at {np.degrees(np.angle(turn)) % 360.0:.0f} deg; {loads.model}\nleft over: rod "
                f"{abs(sums[0]):.1f} N, crank {abs(sums[1]):.1f} N and {abs(sums[2]):.2f} N m about C")


def _upright(ax, forces, turned, a, scale):
    """Rod and piston with its forces, turned so that the cylinder line points up; pushes end where they act."""
    pin, crown = forces["pin"][0] * turned, forces["G"][0] * turned
    for shape in (drawing.box(pin, crown, 0.3 * a), drawing.box(crown - 0.3j * a, crown, 1.4 * a)):
        ax.fill(*drawing.xy(shape), facecolor="#fbe3c0", edgecolor="#B8860B")
    for name, (place, force) in forces.items():
        place, arrow = place * turned, scale * force * turned
        beside = {"$-m\\ddot x$": a}.get(name, 0.0)
        tip = place + beside if name in ("G", "pin", "N") else place + beside + arrow
        _sized(ax, name, tip - arrow, tip, force, float(name == "$-m\\ddot x$"))
    _dot(ax, pin, "P", (-12, 6))


def _index(loads, angle_deg):
    return int(np.argmin(np.abs(loads.angle - np.radians(angle_deg))))


def _sized(ax, name, tail, tip, force, at=1.0):
    """Arrow of a force with its size at tail (0), tip (1) or right of a share of its length, left of it if negative."""
    ax.plot(*drawing.xy([tail, tip]), linestyle="none")  # so that the axes hold it
    if abs(force) < 1.0:
        return
    color = {"G": LINE, "N": SIDE, "$F_t$": TOOTH, "$F_s$": TOOTH}.get(name, BEARING)
    _head(ax, tail, tip, color)
    way = (tip - tail) / abs(tip - tail)
    place, way = tail + abs(at) * (tip - tail), {0.0: -way, 1.0: way}.get(at, -1j * np.sign(at) * way)
    ax.annotate(f"{name} {abs(force) / 1e3:.2f} kN", drawing.xy(place), color=color, fontsize=style.FONT,
                textcoords="offset points", xytext=(7.0 * way.real, 9.0 * way.imag), zorder=9, va="center",
                ha="center" if abs(way.real) < 0.3 else "left" if way.real > 0.0 else "right",
                bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 0.5})


def _rod(ax, theta):
    pin = 2.0 * np.cos(theta - ALPHA) * 1j
    top = pin + 4.2j
    for shape in (drawing.box(pin, top, 0.35), drawing.box(top - 0.3j, top + 0.4j, 2.2)):
        ax.fill(*drawing.xy(shape), facecolor="#fbe3c0", edgecolor="#B8860B", linewidth=1.2)
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
    ax.fill(*drawing.xy(centre + drawing.CIRCLE), facecolor=f"{style.CRANK}22", edgecolor=style.CRANK, linewidth=1.4)
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
    ax.fill(*drawing.xy(drawing.box(0.0, centre, 0.5)), facecolor="#f7e6f0", edgecolor="#CC79A7", linewidth=1.4)
    _dot(ax, centre, "C")
    _arrow(ax, centre, centre - 0.8 * np.exp(0.15j), "$F_c$ from\nthe crank", BEARING, "above", at_tail=True)
    _arrow(ax, 0.0, 0.8 + 0.15j, "$F_m$ from\nthe block", BEARING, "right")
    turn = 0.7 * np.exp(1j * np.linspace(0.2, -2.4, 40))
    ax.plot(*drawing.xy(turn), color=LINE, linewidth=2.0)
    _head(ax, turn[-4], turn[-1], LINE)
    ax.text(0.0, -1.05, "$T$ from the load", color=LINE, fontsize=style.FONT, ha="center")


def _frame(ax):
    ax.plot(*drawing.xy(2.0 * drawing.CIRCLE), **style.QUIET)
    ax.plot([0, 0], [-2.4, 2.7], **style.QUIET)
    _dot(ax, 0.0, "O")
    ax.set(xlim=(-3.0, 2.7), ylim=(-2.5, 3.2))


def _dot(ax, point, name, shift=(8, -8)):
    ax.plot(*drawing.xy(point), "ko", markersize=4, zorder=8)
    ax.annotate(name, drawing.xy(point), textcoords="offset points", xytext=shift, ha="center",
                va="center", fontsize=style.FONT, zorder=9)


def _arrow(ax, tail, tip, words, color, side, at_tail=False):
    """Arrow with its name beside tip or tail."""
    _head(ax, tail, tip, color)
    shift, align = {"right": ((6, 0), "left"), "left": ((-6, 0), "right"), "below": ((0, -12), "center"),
                    "above": ((0, 21), "center")}[side]
    ax.annotate(words, drawing.xy(tail if at_tail else tip), textcoords="offset points", xytext=shift, ha=align,
                va="center", color=color, fontsize=style.FONT, zorder=9)


def _head(ax, tail, tip, color):
    look = {"arrowstyle": "-|>", "color": color, "linewidth": 2.0, "shrinkA": 0, "shrinkB": 0}
    ax.annotate("", drawing.xy(tip), drawing.xy(tail), zorder=7, arrowprops=look)
