"""The one slider engine: sliders above a picture that follows the finger.

It knows widgets and canvases, and no physics. A scene draws its figure once and then moves a few artists. The engine
keeps the rest as a background, one for each resolution, and draws only the moving artists over it: a draft for every
message of a slider, and one sharp picture when the finger rests.
"""

from __future__ import annotations

import asyncio
import base64
import html
import io
import os
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from numbers import Real
from typing import Protocol

import ipywidgets
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from PIL import Image
from traitlets import CFloat, CInt

from vmech_core.base.errors import InputError

CSS_PIXELS_PER_INCH = 96
DRAFT_QUALITY, SHARP_QUALITY = 80, 92
LABEL = {"description_width": "16em"}
FULL_WIDTH = {"width": "100%", "max_width": "44em"}


class _FloatSlider(ipywidgets.FloatSlider):
    """A slider that does not echo each message to the page: one message less between the finger and the picture."""

    value = CFloat(0.0).tag(sync=True, echo_update=False)


class _IntSlider(ipywidgets.IntSlider):
    """The same for whole numbers."""

    value = CInt(0).tag(sync=True, echo_update=False)


class Scene(Protocol):
    """What the engine asks of a drawing.

    Attributes
    ----------
    figure : Figure [-]
        A figure made without pyplot, with fixed axis limits.
    moving : list of artists [-]
        Everything that ``update`` changes; the rest is drawn once.
    """

    figure: Figure
    moving: Sequence[Artist]

    def update(self, **values) -> None:
        """Set the data of the moving artists, and nothing else.

        Parameters
        ----------
        **values : float, int or str [-]
            One value for each control, under its name.
        """


@dataclass(frozen=True)
class Control:
    """One slider.

    Attributes
    ----------
    name : str [-]
        Keyword under which the scene receives the value.
    label : str [-]
        What stands beside the slider, without the unit.
    minimum, maximum, step, value : float [-]
        Range, step and start value, in the unit of the label.
    unit : str [-]
        Unit as shown; empty for a pure number.
    integer : bool [-]
        Whether the value is a whole number.
    """

    name: str
    label: str
    minimum: float
    maximum: float
    step: float
    value: float
    unit: str = ""
    integer: bool = False

    def __post_init__(self):
        if not self.minimum < self.maximum:
            raise InputError(f"{self.name}.maximum", self.maximum, f"not above the minimum {self.minimum:g}", self.unit)
        if not self.step > 0:
            raise InputError(f"{self.name}.step", self.step, "not above 0", self.unit)
        self.check(self.value)

    @property
    def title(self) -> str:
        """Label with its unit.

        Returns
        -------
        str [-]
            For example ``crank angle [deg]``.
        """
        return f"{self.label} [{self.unit}]" if self.unit else self.label

    def check(self, value):
        """Refuse a value that the slider cannot take.

        Parameters
        ----------
        value : float [-]
            Value in the unit of the slider.

        Raises
        ------
        InputError
            If the value is no number within the range, or not whole where the slider counts.
        """
        span, kind = f"{self.minimum:g} to {self.maximum:g}", "whole number" if self.integer else "number"
        if not isinstance(value, Real) or value != value or (self.integer and value % 1):
            raise InputError(self.name, value, f"not a {kind} from {span}", self.unit)
        if not self.minimum <= value <= self.maximum:
            nearest = self.minimum if value < self.minimum else self.maximum
            raise InputError(self.name, value, f"outside {span}", self.unit, f"{nearest:g} {self.unit}".strip())

    def describe(self) -> str:
        """One line that tells a reader without a live page what the slider does.

        Returns
        -------
        str [-]
            Label, range, step and start value.
        """
        return f"{self.title}: {self.minimum:g} to {self.maximum:g} in steps of {self.step:g}, starts at {self.value:g}"

    def widget(self):
        """Make the slider.

        Returns
        -------
        ipywidgets slider [-]
            With a readout that takes typed values.
        """
        decimals = max(0, -Decimal(str(self.step)).normalize().as_tuple().exponent)
        kind, readout = (_IntSlider, "d") if self.integer else (_FloatSlider, f".{decimals}f")
        limits = {"min": self.minimum, "max": self.maximum, "step": self.step, "value": self.value}
        return kind(**limits, description=self.title, readout_format=readout, style=LABEL, layout=FULL_WIDTH)


@dataclass(frozen=True)
class Choice:
    """One choice among a few named options.

    Attributes
    ----------
    name : str [-]
        Keyword under which the scene receives the option.
    label : str [-]
        What stands beside the buttons.
    options : sequence of str [-]
        Up to four are shown as buttons, more as a list that opens.
    value : str [-]
        Option at the start.
    """

    name: str
    label: str
    options: Sequence[str]
    value: str

    def __post_init__(self):
        self.check(self.value)

    def check(self, value):
        """Refuse what is not an option.

        Parameters
        ----------
        value : str [-]
            Option to be checked.

        Raises
        ------
        InputError
            If there is no such option.
        """
        if value not in self.options:
            raise InputError(self.name, value, f"not one of {', '.join(map(str, self.options))}")

    def describe(self) -> str:
        """One line that tells a reader without a live page what can be chosen.

        Returns
        -------
        str [-]
            Label, options and the one at the start.
        """
        return f"{self.label}: {' | '.join(map(str, self.options))}, starts at {self.value}"

    def widget(self):
        """Make the buttons or the list.

        Returns
        -------
        ipywidgets selection [-]
            Operated by keyboard or mouse.
        """
        kind = ipywidgets.ToggleButtons if len(self.options) <= 4 else ipywidgets.Dropdown
        made = kind(options=list(self.options), value=self.value, description=self.label, style=LABEL)
        if kind is ipywidgets.Dropdown:  # so that long options can be read
            made.layout.width = "max-content"
        else:
            made.style.button_width = "auto"
        return made


class Painter:
    """Draws a figure at several resolutions, the still part of it once for each.

    Attributes
    ----------
    figure : Figure [-]
        The figure drawn.
    moving : list of artists [-]
        What is drawn anew each time, back to front.
    """

    def __init__(self, figure, moving):
        self.figure, self.moving = figure, sorted(moving, key=lambda artist: artist.get_zorder())
        self._layers, self._own_dpi = {}, figure.get_dpi()
        for artist in self.moving:
            artist.set_animated(True)

    def _layer(self, dpi):
        if dpi not in self._layers:
            renderer = RendererAgg(*map(int, self.figure.bbox.size), dpi)
            self.figure.draw(renderer)
            self._layers[dpi] = renderer, renderer.copy_from_bbox(self.figure.bbox)
        return self._layers[dpi]

    def paint(self, dpi, quality) -> bytes:
        """Picture of the figure as it stands.

        Parameters
        ----------
        dpi : float [-]
            Pixels per inch.
        quality : int [1]
            Quality of the JPEG, 1 to 95; from 90 on colours keep their full resolution.

        Returns
        -------
        bytes [-]
            A JPEG as a ``data:`` address, which a browser shows sooner than one that it must fetch.
        """
        if self.figure.get_dpi() != dpi:
            self.figure.set_dpi(dpi)
        renderer, background = self._layer(dpi)
        renderer.restore_region(background)
        for artist in self.moving:
            artist.draw(renderer)
        size, out = (int(renderer.width), int(renderer.height)), io.BytesIO()
        picture = Image.frombuffer("RGBX", size, renderer.buffer_rgba(), "raw", "RGBX", 0, 1)
        picture.save(out, "JPEG", quality=quality, subsampling=0 if quality >= 90 else 2)
        return b"data:image/jpeg;base64," + base64.b64encode(out.getvalue())

    def release(self):
        """Give the figure its own resolution back, so that it can also be shown as a still picture."""
        self.figure.set_dpi(self._own_dpi)


class Panel:
    """Sliders above a picture that follows them; shown live as the last value of a cell, or with ``display``.

    Parameters
    ----------
    scene : Scene [-]
        The drawing.
    controls : sequence of Control or Choice [-]
        In the order in which they are shown.
    alt : str [-]
        The picture in words; it stands under the picture.
    draft_dpi : float [-]
        Pixels per inch while a slider moves.
    sharp_dpi : float [-]
        Pixels per inch when the finger rests.
    rest_s : float [s]
        How long the finger rests before the sharp picture is drawn.

    Attributes
    ----------
    box : ipywidgets.VBox [-]
        What a live page shows.
    """

    def __init__(self, scene, controls, alt, draft_dpi=72, sharp_dpi=192, rest_s=0.25):
        self._scene, self._controls, self._alt = scene, {c.name: c for c in controls}, alt
        self._draft_dpi, self._sharp_dpi, self._rest_s = draft_dpi, sharp_dpi, rest_s
        self._timer, self._setting = None, False
        self._painter = Painter(scene.figure, scene.moving)
        self._widgets = {name: control.widget() for name, control in self._controls.items()}
        scene.update(**self.values)
        self._painter.paint(draft_dpi, DRAFT_QUALITY)  # draws the still part now, and not under the finger
        width = f"{CSS_PIXELS_PER_INCH * scene.figure.get_figwidth():.0f}px"
        self._picture = ipywidgets.Image(format="url", layout={"width": width, "max_width": "100%"})
        self._draw_sharp()
        self._message = ipywidgets.HTML()
        self.box = self._assemble()
        for widget in self._widgets.values():
            widget.observe(self._changed, "value")

    def _assemble(self):
        reset = ipywidgets.Button(description="start values")
        reset.on_click(lambda _: self.set(**{name: c.value for name, c in self._controls.items()}))
        words = ipywidgets.HTML(f"<p>{html.escape(self._alt)}</p>")
        return ipywidgets.VBox([*self._widgets.values(), reset, self._message, self._picture, words])

    @property
    def values(self) -> dict:
        """Present values.

        Returns
        -------
        dict [-]
            One value for each control, by name, in the unit of its label.
        """
        return {name: widget.value for name, widget in self._widgets.items()}

    def set(self, **values):
        """Move several controls at once; they make one picture.

        Parameters
        ----------
        **values : float, int or str [-]
            New values by name of the control.

        Raises
        ------
        InputError
            If there is no such control, or a value lies outside its range.
        """
        for name, value in values.items():
            if name not in self._controls:
                raise InputError("control", name, f"not one of {', '.join(self._controls)}")
            self._controls[name].check(value)
        self._setting = True
        try:
            for name, value in values.items():
                self._widgets[name].value = value
        finally:
            self._setting = False
        self._changed()

    def _changed(self, _=None):
        if self._setting:
            return
        if self._timer:
            self._timer.cancel()
        try:
            self._scene.update(**self.values)
            self._picture.value = self._painter.paint(self._draft_dpi, DRAFT_QUALITY)
        except Exception as error:
            self._message.value = f"<p role='alert'>No picture for these values: {html.escape(_sentence(error))}</p>"
            return
        self._message.value = ""
        self._draw_sharp_later()

    def _draw_sharp_later(self):
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._draw_sharp()
        else:
            self._timer = loop.call_later(self._rest_s, self._draw_sharp)

    def _draw_sharp(self):
        self._picture.value = self._painter.paint(self._sharp_dpi, SHARP_QUALITY)
        self._painter.release()

    def __repr__(self):
        lines = [control.describe() for control in self._controls.values()]
        return "\n  ".join(["Panel (run this cell to move it)", *lines, f"picture: {self._alt}"])

    def _repr_mimebundle_(self, include=None, exclude=None):
        bundle = {**self.box._repr_mimebundle_(), "text/plain": repr(self)}
        if os.environ.get("VMECH_FILM"):  # set while pages for reading are made: nothing is live there
            from vmech_core.teach.film import film

            bundle["text/html"] = film(self._scene, list(self._controls.values()), self._alt)
        return bundle


def _sentence(error):
    if isinstance(error, InputError):
        return str(error)
    return f"{type(error).__name__}: {' '.join(str(error).split())}"


#: The name under which notebooks make a panel.
slider_panel = Panel
