"""A drawing to exercise the slider engine with: ten moving bars and circles and two moving curves of 721 points.

It stands for no machine; `fresh_figure` draws the same picture the way a notebook usually does, from nothing each time.
"""

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from vmech_core.show.controls import Choice, Slider

SIZE = (9.0, 4.2)
TURN = np.linspace(0, 4 * np.pi, 721)
ROUND = np.linspace(0, 2 * np.pi, 73)
CONTROLS = (
    Slider("angle", "crank angle", 0, 720, step=1, value=30, unit="deg", cyclic=True),
    Slider("size", "pin radius", 0.2, 1.0, step=0.01, value=0.5, unit="m"),
    Slider("teeth", "teeth", 1, 9, step=1, value=2, integer=True),
)


def outlines(angle, size, teeth):
    """Ten polylines."""
    phi = np.radians(angle)
    centre = 0.5 * np.exp(1j * phi)
    circles = [centre + size * np.exp(1j * ROUND), 0.06 * np.exp(1j * ROUND), centre + 0.06 * np.exp(1j * ROUND)]
    spokes = [centre + np.array([0, size]) * np.exp(1j * (2 * np.pi * k / 5 - teeth * phi)) for k in range(5)]
    return [*circles, *spokes, np.array([0, centre]), np.array([centre, centre + size * np.exp(-1j * teeth * phi)])]


def curves(angle, size, teeth):
    """Two curves over two turns."""
    phi = np.radians(angle)
    return [size * np.cos(TURN - phi), size * np.cos(TURN - phi) + 0.2 * np.cos(teeth * TURN)]


def _prepare(figure):
    left, right = figure.subplots(1, 2)
    left.set(xlim=(-1.6, 1.6), ylim=(-1.6, 1.6), aspect="equal", xlabel="x [m]", ylabel="y [m]", title="Bars")
    right.set(xlim=(0, 720), ylim=(-1.4, 1.4), xlabel="angle [deg]", ylabel="travel [m]", title="Curves")
    right.grid(True)
    return left, right


class ToyScene:
    """The drawing as the engine wants it."""

    controls = CONTROLS

    def __init__(self):
        self.figure = Figure(figsize=SIZE)
        FigureCanvasAgg(self.figure)
        left, right = _prepare(self.figure)
        self._bars = [left.plot([], [], lw=2)[0] for _ in range(10)]
        self._curves = [right.plot(np.degrees(TURN), 0 * TURN, style)[0] for style in ("-", "--")]
        self.moving = [*self._bars, *self._curves]

    def update(self, **values):
        """Set the data of the lines."""
        for line, points in zip(self._bars, outlines(**values), strict=True):
            line.set_data(points.real, points.imag)
        for line, heights in zip(self._curves, curves(**values), strict=True):
            line.set_ydata(heights)


def toy():
    """The scene."""
    return ToyScene()


class ChoosingScene(ToyScene):
    """The same with choices; nine teeth are refused."""

    controls = (*CONTROLS, Choice("mode", "state of the block", ("cold", "warm", "hot"), "cold"),
                Choice("kind", "kind of bearing", ("one", "two", "three", "four", "five", "six"), "two"))

    def update(self, mode, kind, **values):
        """Set the data of the lines, wider when warm, of another size for each kind."""
        if values["teeth"] == 9:
            raise ValueError("nine is too many")
        grown = {"cold": 1.0, "warm": 1.05, "hot": 1.1}[mode] - 0.01 * len(kind)
        super().update(**{**values, "size": values["size"] * grown})


def choosing():
    """The scene with choices."""
    return ChoosingScene()


def fresh_figure(plt, **values):
    """The same picture, drawn anew with pyplot."""
    figure = plt.figure(figsize=SIZE)
    left, right = _prepare(figure)
    for points in outlines(**values):
        left.plot(points.real, points.imag, lw=2)
    for heights, style in zip(curves(**values), ("-", "--"), strict=True):
        right.plot(np.degrees(TURN), heights, style)
    plt.show()
