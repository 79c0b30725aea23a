"""The one slider engine: controls above a picture that follows the finger.

It knows scenes and messages, and no physics. A scene draws its figure once and then moves a few artists. The engine
draws a draft for every message of a slider, and one sharp picture when the finger rests. ``painter`` makes the
pictures, ``look`` the widgets and what the page does by itself, ``copies`` the texts that a reader takes away.
"""

import asyncio
import os
import runpy
from collections.abc import Sequence
from typing import Protocol

import ipywidgets
from matplotlib.artist import Artist
from matplotlib.figure import Figure

from vmech_core.base.errors import InputError
from vmech_core.show.controls import Choice, Slider
from vmech_core.teach import copies, look
from vmech_core.teach.painter import Painter

DRAFT_QUALITY, SHARP_QUALITY = 80, 92


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
        self._timer, self._setting, self._kept, self._copies = None, False, None, 0
        self._painter = Painter(scene.figure, scene.moving)
        self._widgets = {name: look.widget(control) for name, control in self._controls.items()}
        scene.update(**self.values)
        self._painter.paint(self._draft_dpi, DRAFT_QUALITY)  # draws the still part now, and not under the finger
        self._picture = look.picture(scene.figure)
        self._draw_sharp()
        self._message, self._copied = ipywidgets.HTML().add_class("vm-say"), ipywidgets.HTML()
        parts = [self._message, ipywidgets.Box([self._picture]).add_class("vm-view"), self._copied]
        self.box = look.box(list(self._controls.values()), list(self._widgets.values()), self._actions(), parts, alt)
        for made in self._widgets.values():
            made.observe(self._changed, "value")

    def _actions(self):
        """What each button under the controls does, by the words on it."""
        curves = bool(self._painter.curves())
        return {"start values": lambda: self.set(**{name: c.value for name, c in self._controls.items()}),
                **({"keep this in grey": self._keep, "copy the numbers": self._copy_numbers} if curves else {}),
                "copy this setting": lambda: self._copy("this setting as a line of Python",
                                                        copies.setting_line(self.values))}

    @property
    def values(self):
        """Present values by name of the control, in the unit of its label, without the noise of their last bits."""
        return {name: float(f"{made.value:.12g}") if isinstance(made.value, float) else made.value
                for name, made in self._widgets.items()}

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
            self._message.value = look.told(f"No picture for these values: {_sentence(error)}", role="alert")
            self._picture.add_class("vm-stale")
            return
        if self._stale:
            self._picture.remove_class("vm-stale")
        self._message.value = look.told(self._kept_words()) if self._kept else ""
        self._draw_sharp_later()

    @property
    def _stale(self):
        return "vm-stale" in self._picture._dom_classes

    def _keep(self):
        """Keep the present curves; pressed again without a movement between, let them go."""
        if self._stale:
            return
        if self._kept == self.values:
            self._kept = None
            self._painter.forget()
        else:
            self._kept = self.values
            self._painter.keep()
        self._message.value = look.told(self._kept_words() if self._kept else "The grey curves are gone.")
        self._draw_sharp()

    def _kept_words(self):
        return f"Kept in grey: {self._shown(self._kept)}. Press again without a movement to take it away."

    def _shown(self, values):
        """Setting in words, with units."""
        return ", ".join(self._controls[name].shown(value) for name, value in values.items())

    def _copy_numbers(self):
        if not self._stale:
            self._copy("numbers of the curves", copies.table(self._painter.curves(), self._shown(self.values)))

    def _copy(self, name, text):
        self._copies += 1
        self._message.value = look.told(f"Under the picture: {name}.")
        self._copied.value = look.copied(name, text, self._copies)

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
        if drawn_by := os.environ.get("VMECH_FILM"):  # set while pages for reading are made: nothing is live there
            film = runpy.run_path(drawn_by)["film"]
            bundle["text/html"] = film(self._scene, list(self._controls.values()), self._alt)
        return bundle


def _sentence(error):
    if isinstance(error, InputError):
        return str(error)
    return f"{type(error).__name__}: {' '.join(str(error).split())}"
