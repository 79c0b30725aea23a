"""The one slider engine: sliders above a picture that follows the finger.

It knows widgets and canvases, and no physics. A scene draws its figure once and then moves a few artists. The engine
keeps the rest as a background, one for each resolution, and draws only the moving artists over it: a draft for every
message of a slider, and one sharp picture when the finger rests.
"""

import asyncio
import base64
import html
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Protocol

import ipywidgets
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from PIL import Image
from traitlets import CFloat, CInt

from vmech_core.base.errors import InputError
from vmech_core.show.controls import Choice, Slider

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
    controls : sequence of Slider or Choice [-]
        What the reader may change, in the order in which it is shown.
    """

    figure: Figure
    moving: Sequence[Artist]
    controls: Sequence[Slider | Choice]

    def update(self, **values) -> None:
        """Set the data of the moving artists, and nothing else.

        Parameters
        ----------
        **values : float, int or str [-]
            One value for each control, under its name.
        """


def widget(control):
    """Make the slider, the buttons or the list of a control.

    Parameters
    ----------
    control : Slider or Choice [-]
        Up to four options are shown as buttons, more as a list that opens.

    Returns
    -------
    ipywidgets widget [-]
        Operated by keyboard or mouse; a slider has a readout that takes typed values.
    """
    if isinstance(control, Slider):
        decimals = max(0, -Decimal(str(control.step)).normalize().as_tuple().exponent)
        kind, readout = (_IntSlider, "d") if control.integer else (_FloatSlider, f".{decimals}f")
        return kind(min=control.minimum, max=control.maximum, step=control.step, value=control.value,
                    description=control.title, readout_format=readout, style=LABEL, layout=FULL_WIDTH)
    kind = ipywidgets.ToggleButtons if len(control.options) <= 4 else ipywidgets.Dropdown
    made = kind(options=list(control.options), value=control.value, description=control.label, style=LABEL)
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


def slider_panel(scene, alt, controls=None, draft_dpi=72, sharp_dpi=192, rest_s=0.25):
    """Put sliders above a picture that follows them; shown live as the last value of a cell, or with ``display``.

    Parameters
    ----------
    scene : Scene [-]
        The drawing.
    alt : str [-]
        The picture in words; it stands under the picture.
    controls : sequence of Slider or Choice or None [-]
        In the order in which they are shown; None for those of the scene.
    draft_dpi : float [-]
        Pixels per inch while a slider moves.
    sharp_dpi : float [-]
        Pixels per inch when the finger rests.
    rest_s : float [s]
        How long the finger rests before the sharp picture is drawn.

    Returns
    -------
    object [-]
        The panel: ``values`` reads all controls, ``set`` moves some of them, ``box`` is what a live page shows.
    """
    return _Panel(scene, scene.controls if controls is None else controls, alt, (draft_dpi, sharp_dpi, rest_s))


class _Panel:
    """A scene with its widgets and the words for a reader without a live page."""

    def __init__(self, scene, controls, alt, pace):
        self._scene, self._controls, self._alt = scene, {c.name: c for c in controls}, alt
        self._draft_dpi, self._sharp_dpi, self._rest_s = pace
        self._timer, self._setting = None, False
        self._painter = Painter(scene.figure, scene.moving)
        self._widgets = {name: widget(control) for name, control in self._controls.items()}
        scene.update(**self.values)
        self._painter.paint(self._draft_dpi, DRAFT_QUALITY)  # draws the still part now, and not under the finger
        width = f"{CSS_PIXELS_PER_INCH * scene.figure.get_figwidth():.0f}px"
        self._picture = ipywidgets.Image(format="url", layout={"width": width, "max_width": "100%"})
        self._draw_sharp()
        self._message = ipywidgets.HTML()
        self.box = self._assemble()
        for made in self._widgets.values():
            made.observe(self._changed, "value")

    def _assemble(self):
        buttons = [ipywidgets.Button(description=words) for words in self._actions()]
        for button, act in zip(buttons, self._actions().values(), strict=True):
            button.on_click(lambda _, act=act: act())
        words = ipywidgets.HTML(f"<p>{html.escape(self._alt)}</p>")
        return ipywidgets.VBox([*self._widgets.values(), *buttons, self._message, self._picture, words])

    def _actions(self):
        """What each button under the controls does, by the words on it."""
        return {"start values": lambda: self.set(**{name: c.value for name, c in self._controls.items()})}

    @property
    def values(self):
        """Present values by name of the control, in the unit of its label."""
        return {name: made.value for name, made in self._widgets.items()}

    def set(self, **values):
        """Move several controls at once; they make one picture. A value that does not fit moves nothing."""
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
        return {**self.box._repr_mimebundle_(), "text/plain": repr(self)}


def _sentence(error):
    if isinstance(error, InputError):
        return str(error)
    return f"{type(error).__name__}: {' '.join(str(error).split())}"
