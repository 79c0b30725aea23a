"""The machine seen along its crank axis: a figure for notebooks and the picture on the front page."""

import numpy as np

from vmech_core.gears import outline
from vmech_core.show import drawing, style

#: Fill, edge and layer per part; fixed parts grey, moving parts in colour, rods clear so that the gears stay visible.
LOOK = {"crankcase": ("none", "#9a9a9a", 1),
        "ring gear": ("none", "#333333", 4),
        "bore": ("none", "#444444", 2),
        "guide": ("none", "#009E73", 5),
        "carrier": ("#f7e6f0", "#CC79A7", 2),
        "pinion": (f"{style.CRANK}33", style.CRANK, 8),
        "piston rod": ("#fbe3c055", "#B8860B", 6),
        "crankpin": (style.CRANK, "#2d2654", 7),
        "piston": ("#cfcfcf", "#333333", 6)}
DISC = {"fontsize": style.FONT, "ha": "center", "va": "center", "zorder": 10,
        "bbox": {"boxstyle": "circle,pad=0.18", "facecolor": "white", "edgecolor": "black", "linewidth": 0.8}}


def machine(design, angle_deg=35.0, names=True):
    """Draw a straight-line drive with true gear teeth.

    Parameters
    ----------
    design : Design [-]
        The design.
    angle_deg : float [deg]
        Carrier angle.
    names : bool [-]
        Number the parts and name them beside the drawing.

    Returns
    -------
    Figure [-]
        View along the crank axis, equal scales.
    """
    drawn = parts(design, np.radians(angle_deg))
    every = np.concatenate([points[np.isfinite(points)] for _, points in drawn])
    fig, (ax,) = style.figure(9.6, 0.5 + np.clip(6.0 * np.ptp(every.imag) / np.ptp(every.real), 2.5, 5.5))
    for name, points in drawn:
        fill, edge, layer = LOOK[name]
        x, y = drawing.mm(points)
        if fill == "none":
            ax.plot(x, y, color=edge, linewidth=1.3, zorder=layer)
        else:
            ax.fill(x, y, facecolor=fill, edgecolor=edge, linewidth=1.1, zorder=layer)
    ax.plot(0, 0, "k+", markersize=11, zorder=9)
    ax.set(aspect="equal")
    ax.axis("off")
    if names:
        _names(ax, _anchors(design, np.radians(angle_deg)))
    title = f"{style.named(design)}, stroke {design.cylinders.stroke_mm:g} mm, carrier angle {angle_deg:g}°"
    ax.set_title(title, fontsize=style.FONT + 1)
    return fig


def _names(ax, anchors):
    """Numbered discs on the parts and a key beside the drawing, so that no line crosses it."""
    for number, (_, point) in enumerate(anchors, 1):
        ax.text(point.real * 1e3, point.imag * 1e3, str(number), **DISC)
    key = "\n".join(f"{number}  {name}" for number, (name, _) in enumerate(anchors, 1))
    ax.text(1.02, 0.5, key, transform=ax.transAxes, fontsize=style.FONT + 2, va="center", linespacing=1.7)


def parts(design, angle):
    """All parts of a straight-line drive, seen along the crank axis, at one carrier angle; a dot marks each pin's axis.

    Parameters
    ----------
    design : Design [-]
        The design.
    angle : float [rad]
        Carrier angle.

    Returns
    -------
    list of tuple [-]
        Name of the notation page and outline (P,) [m] of each part: frame first, then moving parts from back to front.

    Valid: shapes of rods, pistons and guides are schematic; gear teeth are the true outlines.
    """
    stroke, rods = design.cylinders.si.stroke, []
    found = [("ring gear", outline.ring_outline(design.pair)), ("crankcase", 0.62 * stroke * drawing.CIRCLE)]
    for bank in design.cylinders.si.bank_angle:
        frame, moving = cylinder(design, bank, angle)
        found += frame
        rods += moving
    seat = 0.25 * stroke * np.exp(1j * angle) + 0.5 * design.crank.si.journal_diameter * drawing.CIRCLE
    turned = outline.place_pinion(design.pair, outline.pinion_outline(design.pair), angle)
    return [*found, ("carrier", 0.45 * stroke * drawing.CIRCLE), ("carrier", seat), ("pinion", turned), *rods]


def cylinder(design, bank, angle):
    """Outlines of one cylinder line of a straight-line drive.

    Parameters
    ----------
    design : Design [-]
        The design.
    bank : float [rad]
        Bank angle of the line.
    angle : float [rad]
        Carrier angle.

    Returns
    -------
    frame : list of tuple [-]
        Name and outline (P,) [m] of bore and guide.
    moving : list of tuple [-]
        The same of rod, crankpin and piston.

    Valid: schematic shapes.
    """
    line, own, guide, crank = np.exp(1j * bank), design.cylinders.si, design.guide.si, design.crank.si
    place = 0.5 * own.stroke * np.cos(angle - bank)
    crown, height = place + guide.rod_length, guide.piston_length
    top, low = 0.5 * own.stroke + guide.rod_length, -0.5 * own.stroke + guide.rod_length - height
    slot = guide_middle(design) + np.array([-0.5, 0.5]) * guide.length
    frame = [("bore", walls(line, np.array([low, top + 0.004]), 0.5 * own.bore)),
             ("guide", walls(line, slot, 0.5 * guide.rod_diameter * 1.15))]
    eye, foot = place * line, line * (crown - height)
    moving = [("piston rod", drawing.box(line * (place + 0.7 * crank.pin_diameter), foot, guide.rod_diameter)),
              ("piston rod", eye + 0.75 * crank.pin_diameter * drawing.CIRCLE),
              ("crankpin", eye + 0.16 * crank.pin_diameter * drawing.CIRCLE),
              ("piston rod", eye + 0.5 * crank.pin_diameter * drawing.CIRCLE),
              ("piston", drawing.box(foot, line * crown, 0.97 * own.bore))]
    return frame, moving


def guide_middle(design):
    """Middle of the drawn guide.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    float [m]
        Distance from O along the cylinder line.
    """
    return 0.5 * design.cylinders.si.stroke + 0.75 * design.crank.si.pin_diameter + 0.5 * design.guide.si.length


def walls(line, along, beside):
    """Two walls beside a cylinder line.

    Parameters
    ----------
    line : complex [1]
        Direction of the line.
    along : (2,) array [m]
        Ends of the walls, from O.
    beside : float [m]
        Distance of each wall from the line.

    Returns
    -------
    (P,) complex array [m]
        Both walls, the pen lifted between them.
    """
    return line * np.concatenate([along + 1j * beside, [drawing.UP], along - 1j * beside])


def _anchors(design, angle):
    """Points to which part names may point, one per kind of part: name and point [m]."""
    stroke, guide, crank = design.cylinders.si.stroke, design.guide.si, design.crank.si
    banks = design.cylinders.si.bank_angle
    radius, first, last = 0.25 * stroke, np.exp(1j * banks[0]), np.exp(1j * banks[-1])
    near, far = (0.5 * stroke * np.cos(angle - bank) for bank in (banks[0], banks[-1]))
    centre = radius * np.exp(1j * angle)
    return [("ring gear, fixed", 0.56 * stroke * np.exp(1j * (banks[0] - 1.9))),
            ("piston", first * (near + guide.rod_length - 0.5 * guide.piston_length)),
            ("carrier, turns at $+\\omega$", 0.38 * stroke * np.exp(1j * (angle + np.pi))),
            ("guide", first * (guide_middle(design) - 0.55j * guide.rod_diameter)), ("main axis O", 0j),
            ("pinion on the crank,\n    turns at $-\\omega$", centre + 0.9 * radius * np.exp(1j * angle)),
            ("crankpin and big end", last * far),
            ("piston rod", first * (near + 0.5 * (guide.rod_length - guide.piston_length + 0.75 * crank.pin_diameter)))]
