"""The one look of all figures: colours with line styles, axes with quantity, symbol and unit, alternative text."""

from __future__ import annotations

import io

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

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
