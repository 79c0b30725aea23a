"""The one look of all figures: colours with line styles, axes with quantity, symbol and unit, alternative text."""

from __future__ import annotations

import io
from functools import lru_cache

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D, ScaledTranslation

#: Colour and line style per mechanism, the same in every figure (Okabe and Ito's palette, safe for colour-blind eyes).
STRAIGHT = {"color": "#0072B2", "linestyle": "-", "linewidth": 2.0}
ORDINARY = {"color": "#D55E00", "linestyle": "--", "linewidth": 2.0}
LIMIT = {"color": "#009E73", "linestyle": "-.", "linewidth": 1.6}
QUIET = {"color": "#767676", "linestyle": ":", "linewidth": 1.0}

FONT = 9.0
DPI = 110


def figure(width=9.0, height=4.0, columns=1, rows=1, ratios=None):
    """Make an empty figure with its axes in the course's style, outside any global plotting state.

    Parameters
    ----------
    width : float [-]
        Width in inches.
    height : float [-]
        Height in inches.
    columns : int [1]
        Number of axes side by side.
    rows : int [1]
        Number of axes above one another.
    ratios : list of float or None [1]
        Widths of the columns against one another.

    Returns
    -------
    figure : Figure [-]
        The figure, on its own canvas.
    axes : array of Axes [-]
        Its axes, (rows, columns).
    """
    fig = Figure(figsize=(width, height), dpi=DPI, layout="constrained")
    FigureCanvasAgg(fig)
    axes = fig.subplots(rows, columns, squeeze=False, width_ratios=ratios)
    for ax in axes.flat:
        ax.tick_params(labelsize=FONT)
        ax.grid(True, color="#dddddd", linewidth=0.6)
        ax.set_axisbelow(True)
        for side in ("top", "right"):
            ax.spines[side].set_visible(False)
    return fig, axes


def label(ax, horizontal, vertical, title=""):
    """Write the axis labels, each as quantity, symbol [unit].

    Parameters
    ----------
    ax : Axes [-]
        The axes.
    horizontal : str [-]
        For example ``carrier angle, $\\theta$ [deg]``.
    vertical : str [-]
        The same for the other axis.
    title : str [-]
        Text above the axes.
    """
    ax.set_xlabel(horizontal, fontsize=FONT)
    ax.set_ylabel(vertical, fontsize=FONT)
    if title:
        ax.set_title(title, fontsize=FONT + 1, loc="left")


class Readout(PathPatch):
    """Text that changes while a slider moves, drawn from cached glyph outlines.

    Matplotlib lays a changed text out anew, which takes longer than all curves of a scene together; this takes the
    outlines of a fixed-width font, each looked up once, and fills them in one stroke.

    Parameters
    ----------
    ax : Axes [-]
        Axes it belongs to.
    x : float [1]
        Place of the left edge, 0 left to 1 right of the axes.
    y : float [1]
        Place of the top of the first line, 0 bottom to 1 top of the axes.
    size : float [-]
        Font size in points.

    Attributes
    ----------
    text : str [-]
        What it shows; lines are divided by a line feed.
    """

    def __init__(self, ax, x, y, size=8.0):
        points = Affine2D().scale(size / 72.0) + ax.figure.dpi_scale_trans + ScaledTranslation(x, y, ax.transAxes)
        super().__init__(
            Path(np.empty((0, 2))), facecolor="black", linewidth=0.0, transform=points, clip_on=False, zorder=9
        )
        self.text = ""
        ax.add_artist(self)

    def set_text(self, text):
        """Show another text.

        Parameters
        ----------
        text : str [-]
            The new text.
        """
        self.text = text
        places = [
            (letter, (0.602 * column, -1.0 - 1.35 * row))
            for row, line in enumerate(text.split("\n"))
            for column, letter in enumerate(line)
            if letter != " "
        ]
        glyphs = [_glyph(letter) for letter, _ in places]
        if glyphs:
            points = np.concatenate([path.vertices + place for path, (_, place) in zip(glyphs, places, strict=True)])
            self.set_path(Path(points, np.concatenate([path.codes for path in glyphs])))


@lru_cache(maxsize=256)
def _glyph(letter):
    """Outline of a letter of the fixed-width font that comes with matplotlib, one em high."""
    return TextPath((0.0, 0.0), letter, size=1.0, prop=FontProperties(family="DejaVu Sans Mono"))


def picture(fig, dpi=DPI):
    """Draw a figure as PNG.

    Parameters
    ----------
    fig : Figure [-]
        The figure.
    dpi : float [-]
        Dots per inch.

    Returns
    -------
    bytes [-]
        PNG file content.
    """
    buffer = io.BytesIO()
    fig.savefig(buffer, format="png", dpi=dpi, metadata={"Software": None})
    return buffer.getvalue()


def show(fig, alt):
    """Show a figure in a notebook with a description in words, which travels with the picture as alternative text.

    Parameters
    ----------
    fig : Figure [-]
        The figure.
    alt : str [-]
        What the picture shows, for a reader who cannot see it.
    """
    from IPython.display import display

    display({"image/png": picture(fig), "text/plain": f"Figure: {alt}"}, raw=True, metadata={"image/png": {"alt": alt}})
