"""How a panel looks and what it is called: widgets of the controls, their names, style sheet and script of a page.

Style and script stand in ``panel.css`` and ``panel.js``. Both reach the page in one ``style`` element, whose ``onload``
runs the script. A page that forbids scripts still has all controls, the picture and the texts; it lacks Play, the
clipboard and the names for a screen reader.
"""

import html
import json
from decimal import Decimal
from functools import cache
from pathlib import Path

import ipywidgets
from traitlets import CFloat, CInt

from vmech_core.show.controls import Slider

CSS_PIXELS_PER_INCH = 96
#: Share of the window's height that a picture may take, where the page is wide enough [%].
MOST_HEIGHT = 82
#: How fast Play turns an angle [1/s of the unit], and the shortest time for the whole range [s].
PLAY_SPEED, SHORTEST_PLAY = 60.0, 6.0


class _FloatSlider(ipywidgets.FloatSlider):
    """A slider that does not echo each message to the page: one message less between the finger and the picture."""

    value = CFloat(0.0).tag(sync=True, echo_update=False)


class _IntSlider(ipywidgets.IntSlider):
    """The same for whole numbers."""

    value = CInt(0).tag(sync=True, echo_update=False)


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
        kind, readout = (_IntSlider, "d") if control.integer else (_FloatSlider, f".{decimals(control)}f")
        return kind(min=control.minimum, max=control.maximum, step=control.step, value=control.value,
                    description=control.title, tooltip=control.title, readout_format=readout)
    kind = ipywidgets.ToggleButtons if len(control.options) <= 4 else ipywidgets.Dropdown
    return kind(options=list(control.options), value=control.value, description=control.label, tooltip=control.label)


def decimals(control) -> int:
    """Decimals that a slider shows: as many as its step has.

    Parameters
    ----------
    control : Slider [-]
        The slider.

    Returns
    -------
    int [1]
        Zero or more.
    """
    return max(0, -Decimal(str(control.step)).normalize().as_tuple().exponent)


def box(controls, widgets, actions, parts, alt):
    """Put the parts of a panel in their places.

    Parameters
    ----------
    controls : list of Slider or Choice [-]
        In the order in which they are shown.
    widgets : list of widgets [-]
        One for each control.
    actions : dict [-]
        What each button does, by the words on it.
    parts : list of widgets [-]
        Below the buttons, from top to bottom: message, picture, copied text.
    alt : str [-]
        The picture in words.

    Returns
    -------
    ipywidgets widget [-]
        The panel.
    """
    for number, made in enumerate(widgets):
        made.add_class("vm-control").add_class(f"vm-control-{number}")
    row = ipywidgets.Box([_plays(controls), *(_button(*pair) for pair in actions.items())]).add_class("vm-actions")
    words = ipywidgets.HTML(f"<p class='vm-words'>{html.escape(alt)}</p>")
    grid = ipywidgets.Box(list(widgets)).add_class("vm-controls")
    return ipywidgets.VBox([_manners(controls, alt), grid, row, *parts, words]).add_class("vm-panel")


def picture(figure):
    """Place of the picture: as wide as the page, unless it would be taller than the window.

    Parameters
    ----------
    figure : Figure [-]
        What will be shown.

    Returns
    -------
    ipywidgets widget [-]
        An empty image.
    """
    width, height = figure.get_size_inches()
    most = f"max({CSS_PIXELS_PER_INCH * width:.0f}px, {MOST_HEIGHT * width / height:.0f}vh)"
    return ipywidgets.Image(format="url", layout={"width": "100%", "max_width": f"min(100%, {most})"})


def told(sentence, role="status") -> str:
    """A line for the message's place.

    Parameters
    ----------
    sentence : str [-]
        What is said.
    role : str [-]
        ``alert`` interrupts a reader who listens, ``status`` waits.

    Returns
    -------
    str [-]
        HTML.
    """
    return f"<p role='{role}'>{html.escape(sentence)}<span class='vm-clip'></span></p>"


def copied(name, text, count) -> str:
    """A text to be taken away: on the clipboard where the page may write to it, and to be selected in any case.

    Parameters
    ----------
    name : str [-]
        What the text is.
    text : str [-]
        The text.
    count : int [1]
        Number of the copy, so that two equal ones are two.

    Returns
    -------
    str [-]
        HTML.
    """
    return (f"<details open data-copy='{count}'><summary>{html.escape(name)}</summary>"
            f"<textarea readonly rows='{min(8, text.count(chr(10)) + 1)}' aria-label='{html.escape(name)}'>"
            f"{html.escape(text)}</textarea></details>")


@cache
def _file(name):
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


def _manners(controls, alt):
    """Style sheet, script, and what the script needs to know."""
    known = {"alt": alt, "controls": [_known(control) for control in controls]}
    return ipywidgets.HTML(f'<style data-panel="{html.escape(json.dumps(known))}" '
                           f'onload="{html.escape(_file("panel.js"))}">{_file("panel.css")}</style>')


def _known(control):
    if not isinstance(control, Slider):
        return {"label": control.label, "unit": ""}
    span = control.maximum - control.minimum
    return {"label": control.label, "unit": control.unit, "minimum": control.minimum, "step": control.step,
            "span": span, "decimals": decimals(control), "seconds": max(SHORTEST_PLAY, span / PLAY_SPEED)}


def _plays(controls):
    """A button for each angle that may run; the script shows it, because the page itself keeps the time."""
    return ipywidgets.HTML("".join(
        f"<button type='button' class='jupyter-button vm-play' data-control='{number}' hidden></button>"
        for number, control in enumerate(controls) if isinstance(control, Slider) and control.cyclic))


def _button(words, act):
    button = ipywidgets.Button(description=words, tooltip=words)
    button.on_click(lambda _: act())
    return button

