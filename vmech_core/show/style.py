"""The one look of all figures: colours with line styles, axes with quantity, symbol and unit, alternative text."""

import base64
import html
import io
from dataclasses import replace
from functools import lru_cache

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D, ScaledTranslation
from PIL import Image

from vmech_core import bearings
from vmech_core.base import MACHINES, tables
from vmech_core.show.controls import Choice, Slider

#: Colour and line style per mechanism, the same in every figure (Okabe and Ito's palette, safe for colour-blind eyes).
STRAIGHT = {"color": "#0072B2", "linestyle": "-", "linewidth": 2.0}
ORDINARY = {"color": "#D55E00", "linestyle": "--", "linewidth": 2.0}
LIMIT = {"color": "#009E73", "linestyle": "-.", "linewidth": 1.6}
QUIET = {"color": "#767676", "linestyle": ":", "linewidth": 1.0}
#: Second of two guides or pistons, beside the first in the look of a limit.
SECOND = {"color": "#AA3377", "linestyle": (0, (7, 2)), "linewidth": 1.6}
#: The crank with its pinion, as a part, in drawings of one machine.
CRANK = "#5E4FA2"
#: What belongs to neither machine or to both, so never in their colours.
OTHERS = (LIMIT, SECOND, {"color": "black", "linestyle": "-", "linewidth": 1.4},
          {"color": "#999933", "linestyle": (0, (4, 1, 1, 1, 1, 1)), "linewidth": 1.8},
          {"color": "#56B4E9", "linestyle": ":", "linewidth": 2.2})

#: Colour and line style per kind of force, where forces are what a picture is about; no machine has these colours.
FORCES = {"gas": {"color": "#8c8c8c", "linestyle": ":", "linewidth": 1.6},
          "bore": {"color": "#b0307a", "linestyle": "--", "linewidth": 2.0},
          "mesh": {"color": "#111111", "linestyle": "-", "linewidth": 2.0},
          "guide": {"color": "#009E73", "linestyle": "-.", "linewidth": 1.8}}

#: Look of each machine by its id.
LOOKS = dict(zip(MACHINES, (STRAIGHT, ORDINARY), strict=True))
THETA = "carrier or crank angle, $\\theta$ [deg]"
AFTER = "angle after the outer dead centre, $\\varphi$ [deg]"

FONT = 9.0
DPI = 110

_SECOND_OF = {"guide": {"color": "#00452f", "linestyle": (0, (7, 2))}, "bore": {"color": "#5c1540", "linestyle": ":"}}


def force(kind, second=False):
    """Look of the curve of one kind of force.

    Parameters
    ----------
    kind : str [-]
        Key of ``FORCES``.
    second : bool [-]
        Whether it is that of the second of two cylinders.

    Returns
    -------
    dict [-]
        Colour, line style and width.
    """
    return {**FORCES[kind], **(_SECOND_OF[kind] if second else {})}


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
    axes : list of Axes [-]
        Its axes, row by row.
    """
    fig = _empty(width, height)
    axes = list(fig.subplots(rows, columns, squeeze=False, width_ratios=ratios).flat)
    dress(axes)
    return fig, axes


def mosaic(width, height, names, **ratios):
    """Make an empty figure whose axes have names and may reach over several columns or rows.

    Parameters
    ----------
    width : float [-]
        Width in inches.
    height : float [-]
        Height in inches.
    names : list of list of str [-]
        Row by row, which axes lies there.
    **ratios : list of float [1]
        ``width_ratios`` or ``height_ratios``.

    Returns
    -------
    figure : Figure [-]
        The figure, on its own canvas.
    axes : list of Axes [-]
        Its axes, in the order in which their names first appear.
    """
    fig = _empty(width, height)
    axes = fig.subplot_mosaic(names, **ratios)
    dress(axes.values())
    return fig, [axes[name] for name in dict.fromkeys(sum(names, []))]


def _empty(width, height):
    fig = Figure(figsize=(width, height), dpi=DPI, layout="constrained")
    FigureCanvasAgg(fig)
    return fig


def dress(axes):
    """Give axes the course's look.

    Parameters
    ----------
    axes : iterable of Axes [-]
        The axes.
    """
    for ax in axes:
        ax.tick_params(labelsize=FONT)
        ax.grid(True, color="#dddddd", linewidth=0.6)
        ax.set_axisbelow(True)
        ax.spines[["top", "right"]].set_visible(False)


def label(ax, horizontal, vertical, title="", **limits):
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
    **limits : tuple or str [-]
        Whatever else ``Axes.set`` takes, for example ``xlim`` or ``yscale``.
    """
    ax.set(**limits)
    ax.set_xlabel(horizontal, fontsize=FONT)
    ax.set_ylabel(vertical, fontsize=FONT)
    if title:
        ax.set_title(title, fontsize=FONT + 1, loc="left")


def over_cycle(ax, angle_deg, vertical, title="", horizontal=THETA, **limits):
    """Let the horizontal axis show one cycle, with a tick at every quarter of a turn, or every half of two turns.

    Parameters
    ----------
    ax : Axes [-]
        The axes.
    angle_deg : (A,) array [deg]
        Angles over the cycle.
    vertical, title, horizontal : str [-]
        As in ``label``.
    **limits : tuple [-]
        Whatever else ``Axes.set`` takes, for example ``ylim``.
    """
    ticks = np.arange(0, angle_deg[-1] + 1, 90 if angle_deg[-1] < 400 else 180)
    label(ax, horizontal, vertical, title, xlim=(angle_deg[0], angle_deg[-1]), xticks=ticks, **limits)


def rows(ax, names, horizontal, vertical="", title="", **limits):
    """Name the rows of a bar chart, the first on top, and its axes.

    Parameters
    ----------
    ax : Axes [-]
        The axes.
    names : list of str [-]
        Names.
    horizontal, vertical, title : str [-]
        As in ``label``.
    **limits : tuple [-]
        Whatever else ``Axes.set`` takes.
    """
    ax.set(yticks=range(len(names)), yticklabels=names, **limits)
    ax.invert_yaxis()
    label(ax, horizontal, vertical, title)


def legend(ax, beside=False, small=False, **options):
    """Explain the lines of the axes, without a frame.

    Parameters
    ----------
    ax : Axes [-]
        The axes.
    beside : bool [-]
        To the right of the axes instead of inside them.
    small : bool [-]
        Whether many words have to fit.
    **options : str or int [-]
        Whatever else ``Axes.legend`` takes, for example ``loc``.
    """
    place = {"loc": "center left", "bbox_to_anchor": (1.0, 0.5)} if beside else {}
    ax.legend(fontsize=FONT - small, frameon=False, **place, **options)


def legend_above(fig, ax, columns=2, small=False, order=1):
    """Explain the lines of one axes above the whole figure.

    Parameters
    ----------
    fig : Figure [-]
        The figure.
    ax : Axes [-]
        Axes whose lines have words.
    columns : int [1]
        Words side by side.
    small : bool [-]
        As in ``legend``.
    order : int [1]
        -1: the last line first.
    """
    handles, words = ax.get_legend_handles_labels()
    fig.legend(handles[::order], words[::order], fontsize=FONT - small, frameon=False, loc="outside upper center",
               ncols=columns)


def arrow(kind):
    """Look of the arrows of one kind of force.

    Parameters
    ----------
    kind : str [-]
        Key of ``FORCES``.

    Returns
    -------
    fill, edge : str [-]
        Colours; gas is drawn clear, as it lies on rod and piston.
    layer : int [1]
        Higher is nearer.
    """
    color = FORCES[kind]["color"]
    return color + ("66" if kind == "gas" else ""), color, 7 if kind == "gas" else 8


def named(design, sizes=False):
    """Name of a design with its status, as every figure of it says.

    Parameters
    ----------
    design : Design [-]
        The design.
    sizes : bool [-]
        With bore, stroke and speed.

    Returns
    -------
    str [-]
        For example ``V-twin generator (invented example)``.
    """
    words, own, speed = f"{design.name} ({design.design.status})", design.cylinders, design.duty.speed_rpm
    return f"{words}, bore {own.bore_mm:g} mm, stroke {own.stroke_mm:g} mm, {speed:g} rev/min" if sizes else words


def below(fig, *words):
    """Write under a figure what it was computed for and what is compared.

    Parameters
    ----------
    fig : Figure [-]
        The figure.
    *words : str [-]
        The lines of the text; empty ones are left out.

    Returns
    -------
    Figure [-]
        The same figure.
    """
    fig.supxlabel("\n".join(filter(None, words)), fontsize=FONT - 1)
    return fig


def regimes(ax, limits, roughness=1.0):
    """Make the vertical axis one of film thickness, logarithmic, with bands of boundary, mixed and full film.

    Parameters
    ----------
    ax : Axes [-]
        The axes.
    limits : tuple of two float [-]
        Ends of the axis.
    roughness : float [-]
        Composite roughness in the unit of the axis; 1 if the axis shows the film ratio.
    """
    edges = [limits[0], bearings.BOUNDARY_BELOW * roughness, bearings.FULL_ABOVE * roughness, limits[1]]
    names = zip(("boundary", "mixed", "full film"), ("#f3d3c4", "#f8efd0", "white"), edges[:-1], edges[1:], strict=True)
    for name, shade, low, high in names:
        ax.axhspan(low, high, color=shade, zorder=0)
        ax.text(0.99, high * 0.93, name, transform=ax.get_yaxis_transform(), fontsize=FONT - 1, color="#666666",
                ha="right", va="top")
    ax.set(yscale="log", ylim=limits)


class OrbitPicture:
    """Orbit of a journal in the circle of its clearance, with its start, its direction and its thinnest film.

    Attributes
    ----------
    artists : list of Artist [-]
        Path, arrow head, start, thinnest film, back to front.

    Parameters
    ----------
    ax : Axes [-]
        Axes for it, left and up as in space.
    """

    KEY = "grey circle: clearance; dot: cylinder 1 fires; arrow: direction; triangle: thinnest film"

    def __init__(self, ax):
        turn = np.exp(1j * np.linspace(0.0, 2.0 * np.pi, 181))
        ax.fill(turn.real, turn.imag, facecolor="#f4f4f4", edgecolor=QUIET["color"])
        ax.set(xlim=(-1.12, 1.12), ylim=(-1.12, 1.12), xticks=(-1, 0, 1), yticks=(-1, 0, 1), aspect="equal")
        label(ax, "place in its play, $x_j$ [1]", "place in its play, $y_j$ [1]")
        looks = ({"linestyle": "-"}, {"linewidth": 1.6}, {"marker": "o"},
                 {"marker": "^", "markersize": 10, "markerfacecolor": "none", "color": "black"})
        self.artists = [ax.plot([], [], **look)[0] for look in looks]

    def show(self, path, begin, color):
        """Draw another orbit.

        Parameters
        ----------
        path : (A,) complex array [1]
            Eccentricity over one cycle without the repeated end; nan draws nothing.
        begin : int [1]
            Sample at which cylinder 1 fires.
        color : str [-]
            Colour of the machine.
        """
        closed, steps = np.append(path, path[0]), np.roll(path, -1) - path
        fast = int(np.argmax(np.abs(steps * (path - path[begin]))))
        head = path[fast] + 0.11 * np.exp(1j * np.angle(steps[fast])) * np.array([np.exp(2.7j), 0.0, np.exp(-2.7j)])
        at = int(np.argmax(np.abs(path)))
        for artist, line in zip(self.artists, (closed, head, path[begin : begin + 1], path[at : at + 1]), strict=True):
            artist.set_data(line.real, line.imag)
        for artist in self.artists[:3]:
            artist.set_color(color)


class Scene:
    """A picture that is drawn and laid out once; then a few artists move, and the axes never shift.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.
    """

    _values = _turn = None

    def __init_subclass__(cls):
        cls.controls = tuple(_control(**row) for row in tables.rows("panels") if cls.__name__ in row["scenes"].split())

    def update(self, **values):
        """Draw another state: ``_change`` the machine if it is another, then ``_turn`` it to its angle, if it can.

        Parameters
        ----------
        **values : float, int or str [-]
            Values of some controls, by name; the others stand where they start.
        """
        values = {own.name: own.value for own in self.controls} | values
        angle = {"angle_deg": values.pop("angle_deg")} if self._turn else {}
        if values != self._values:
            self._values = values
            self._change(**values)
        if angle:
            self._turn(**angle)

    def _set(self, **changes):
        """Give some controls what this design says: by name, a start value or a dict of fields."""
        fields = {name: change if isinstance(change, dict) else {"value": change} for name, change in changes.items()}
        self.controls = tuple(replace(own, **fields.get(own.name, {})) for own in self.controls)

    def _ready(self, moving, words=""):
        """Keep the layout that all axes, labels and legends have now; words stand below the figure."""
        self.moving = moving
        below(self.figure, words).canvas.draw()
        self.figure.set_layout_engine("none")

    @staticmethod
    def _move(lines, values):
        """Give each line its new heights, or points where these are complex."""
        for line, own in zip(lines, values, strict=True):
            line.set(**({"data": (own.real, own.imag)} if np.iscomplexobj(own) else {"ydata": own}))

    @staticmethod
    def _curves(ax, x, looks):
        """Lines on zero that an update will move, by words for the legend and look of each."""
        return [ax.plot(x, 0.0 * x, label=words, **look)[0] for words, look in looks]


def _control(name, label, minimum, maximum, step, value, unit, kind, **_):
    """The slider or choice of a row of ``data/panels.csv``."""
    if not step:
        return Choice(name, label, tuple(kind.split(" | ")), value)
    low, high, step, start = map(int if kind == "integer" else float, (minimum, maximum, step, value))
    return Slider(name, label, low, high, step=step, value=start, unit=unit, **({kind: True} if kind else {}))


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
    middle : bool [-]
        Whether x is the middle of each line instead.
    **look : str or float [-]
        Whatever else a patch takes, for example ``facecolor``.

    Attributes
    ----------
    text : str [-]
        What it shows; lines are divided by a line feed.
    """

    def __init__(self, ax, x, y, size=8.0, middle=False, **look):
        points = Affine2D().scale(size / 72.0) + ax.figure.dpi_scale_trans + ScaledTranslation(x, y, ax.transAxes)
        nothing, look = Path(np.empty((0, 2))), {"facecolor": "black", "linewidth": 0.0, **look}
        super().__init__(nothing, **look, transform=points, clip_on=False, zorder=9)
        self.text, self._middle = "", middle
        ax.add_artist(self)

    def set_text(self, text):
        """Show another text.

        Parameters
        ----------
        text : str [-]
            The new text.
        """
        self.text, lines = text, enumerate(text.split("\n"))
        found = [(_glyph(letter), (0.602 * (column - 0.5 * len(line) * self._middle), -1.0 - 1.35 * row))
                 for row, line in lines for column, letter in enumerate(line) if letter != " "]
        if found:
            points = np.concatenate([path.vertices + place for path, place in found])
            self.set_path(Path(points, np.concatenate([path.codes for path, _ in found])))


@lru_cache(maxsize=256)
def _glyph(letter):
    """Outline of a letter of the fixed-width font that comes with matplotlib, one em high."""
    return TextPath((0.0, 0.0), letter, size=1.0, prop=FontProperties(family="DejaVu Sans Mono"))


def picture(fig, dpi=DPI):
    """PNG of a figure, in at most 256 colours.

    Parameters
    ----------
    fig : Figure [-]
        The figure.
    dpi : float [-]
        Pixels per inch.

    Returns
    -------
    bytes [-]
        The file; it names no version of a library.
    """
    drawn, saved = io.BytesIO(), io.BytesIO()
    fig.savefig(drawn, format="png", dpi=dpi)
    Image.open(drawn).convert("RGB").quantize(256, dither=Image.Dither.NONE).save(saved, "PNG", optimize=True)
    return saved.getvalue()


def show(fig, alt):
    """Show a figure in a notebook with a description in words, which travels with the picture as alternative text.

    Only HTML is given: a viewer that prefers a bare PNG would show that, and leave the words behind.

    Parameters
    ----------
    fig : Figure or str [-]
        The figure, or the text of an SVG.
    alt : str [-]
        What the picture shows, for a reader who cannot see it.
    """
    from IPython.display import display

    kind, drawn = ("svg+xml", fig.encode()) if isinstance(fig, str) else ("png", picture(fig))
    image = f'<img alt="{html.escape(alt)}" src="data:image/{kind};base64,{base64.b64encode(drawn).decode()}">'
    display({"text/html": image, "text/plain": f"Figure: {alt}"}, raw=True)
