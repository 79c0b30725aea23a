"""The machine seen along its crank axis: a figure for notebooks and the picture on the front page.

``python -m vmech_core.show.machine notebooks/pictures/machine.svg`` draws the picture again.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from vmech_core.show import drawing, style

#: Fill, edge and layer per part; fixed parts grey, moving parts in colour, rods clear so that the gears stay visible.
LOOK = {
    "crankcase": ("none", "#9a9a9a", 1),
    "ring gear": ("none", "#333333", 4),
    "bore": ("none", "#444444", 2),
    "guide": ("none", "#009E73", 5),
    "carrier": ("#f7e6f0", "#CC79A7", 2),
    "pinion": ("#0072B233", "#0072B2", 8),
    "piston rod": ("#fbe3c055", "#B8860B", 6),
    "crankpin": ("#0072B2", "#0b3c5d", 7),
    "piston": ("#cfcfcf", "#333333", 6),
}
LEADER = {"arrowstyle": "-", "color": "#333333", "linewidth": 0.7, "shrinkB": 0}


def machine(design, angle_deg=35.0, names=True):
    """Draw a straight-line drive with true gear teeth.

    Parameters
    ----------
    design : Design [-]
        The design.
    angle_deg : float [deg]
        Carrier angle.
    names : bool [-]
        Write the part names beside the parts.

    Returns
    -------
    Figure [-]
        View along the crank axis, equal scales.
    """
    fig, (ax,) = style.figure(9.6, 4.2)
    for part in drawing.machine(design, np.radians(angle_deg)):
        fill, edge, layer = LOOK[part.name]
        x, y = part.outline.real * 1e3, part.outline.imag * 1e3
        if fill == "none":
            ax.plot(x, y, color=edge, linewidth=1.3, zorder=layer)
        else:
            ax.fill(x, y, facecolor=fill, edgecolor=edge, linewidth=1.1, zorder=layer)
    ax.plot(0, 0, "k+", markersize=11, zorder=9)
    ax.set(aspect="equal")
    ax.axis("off")
    if names:
        _names(ax, drawing.anchors(design, np.radians(angle_deg)))
    title = f"{style.named(design)}, stroke {design.cylinders.stroke_mm:g} mm, carrier angle {angle_deg:g}°"
    ax.set_title(title, fontsize=style.FONT + 1)
    return fig


def _names(ax, anchors):
    """Part names in two columns beside the drawing, each in the order of height of the part that it names."""
    left, right = ax.get_xlim()
    low, high = ax.get_ylim()
    by_side = sorted(anchors, key=lambda item: item[1].real)
    half = len(by_side) // 2
    for group, edge, align in ((by_side[:half], left, "right"), (by_side[half:], right, "left")):
        group = sorted(group, key=lambda item: item[1].imag)
        for (name, point), height in zip(group, np.linspace(low, high, len(group) + 2)[1:-1], strict=True):
            ax.annotate(name, (point.real * 1e3, point.imag * 1e3), xytext=(edge, height), fontsize=style.FONT + 1,
                        ha=align, va="center", zorder=10, arrowprops=LEADER)
    ax.set_xlim(left - 0.45 * (right - left), right + 0.45 * (right - left))


def main(path):
    """Write the front-page picture as SVG, the same bytes every time.

    Parameters
    ----------
    path : str or Path [-]
        SVG file to write.
    """
    from matplotlib import rc_context

    from vmech_core.design.files import load_design

    design = load_design(Path(__file__).parents[2] / "data" / "v_twin_generator.toml")
    with rc_context({"svg.hashsalt": "vmech", "svg.fonttype": "path"}):
        machine(design).savefig(path, format="svg", metadata={"Date": None})


if __name__ == "__main__":
    main(sys.argv[1])
