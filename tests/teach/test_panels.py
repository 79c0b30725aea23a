"""The slider engine without a browser: what each movement sends, what it draws, what stands in a saved notebook.

The pictures are compared with those that matplotlib's own ``savefig`` makes of the same figure.
"""

import asyncio
import base64
import csv
import html
import io
import json
import logging
import re
import runpy
import sys
import types
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from vmech_core.base.errors import InputError
from vmech_core.show.controls import Choice, Slider
from vmech_core.teach import copies
from vmech_core.teach.look import widget
from vmech_core.teach.painter import Painter
from vmech_core.teach.panels import slider_panel

REPOSITORY = Path(__file__).resolve().parents[2]
DRAFT, SHARP = 50, 120
CONTROLS = (
    Slider("phase", "phase", 0.0, 360.0, step=0.5, value=90.0, unit="deg", cyclic=True),
    Slider("waves", "waves", 1, 9, step=1, value=2, integer=True),
    Choice("shape", "shape", ("sine", "square"), "sine"),
)


class Waves:
    """One moving curve; seven waves are an error."""

    controls = CONTROLS

    def __init__(self):
        self.figure = Figure(figsize=(4, 2), layout="none")
        FigureCanvasAgg(self.figure)
        axes = self.figure.add_subplot(xlim=(0, 1), ylim=(-1.2, 1.2), title="waves")
        (self.line,) = axes.plot([], [], lw=3)
        self.moving, self.updates = [self.line], 0

    def update(self, phase, waves, shape):
        self.updates += 1
        if waves == 7:
            raise InputError("waves", waves, "a number that this scene\nrefuses <always>")
        x = np.linspace(0, 1, 200)
        y = np.sin(2 * np.pi * waves * x + np.radians(phase))
        self.line.set_data(x, np.sign(y) if shape == "square" else y)


@pytest.fixture
def panel():
    """A panel and the list of pictures that it has sent since it was made."""
    panel = slider_panel(Waves(), alt="Waves & nothing else.", draft_dpi=DRAFT, sharp_dpi=SHARP, rest_s=0.05)
    panel.sent = []
    panel._picture.observe(lambda change: panel.sent.append(bytes(change["new"])), "value")
    return panel


def decoded(data):
    """Pixels of a picture sent."""
    kind, _, text = bytes(data).partition(b",")
    assert kind == b"data:image/jpeg;base64"
    return np.asarray(Image.open(io.BytesIO(base64.b64decode(text))).convert("RGB")).astype(int)


def by_savefig(figure, dpi):
    """Pixels of the same figure drawn in full by matplotlib itself."""
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=dpi)
    return np.asarray(Image.open(out).convert("RGB")).astype(int)


def button(panel, words):
    """The button of a panel with these words."""
    row = next(child for child in panel.box.children if "vm-actions" in child._dom_classes)
    return next(made for made in row.children if getattr(made, "description", None) == words)


def grey(picture):
    """How many pixels have the grey of kept curves."""
    return int((np.abs(picture - 140).max(axis=-1) < 12).sum())


def from_page(widget, value):
    """Give a widget a value the way a message of the page does."""
    widget.set_state({"value": value})


def test_a_movement_draws_what_matplotlib_draws_in_full(panel):
    panel.set(phase=200.0, waves=3)
    picture, reference = decoded(panel.sent[-1]), by_savefig(panel._scene.figure, SHARP)
    assert picture.shape == reference.shape
    assert np.abs(picture - reference).mean() < 1.5  # of 255: a JPEG is not exact
    panel.set(phase=20.0)
    assert np.abs(decoded(panel.sent[-1]) - reference).mean() > 3.0


def test_a_movement_that_is_undone_gives_the_same_bytes(panel):
    start = bytes(panel._picture.value)
    panel.set(phase=10.0, shape="square")
    assert bytes(panel._picture.value) != start
    panel.set(phase=90.0, shape="sine")
    assert bytes(panel._picture.value) == start


def test_each_message_makes_one_draft_and_a_rest_makes_one_sharp_picture(panel):
    async def drag():
        for angle in (91.0, 92.0, 93.0, 94.0):
            from_page(panel._widgets["phase"], angle)
            await asyncio.sleep(0.005)
        drafts = len(panel.sent)
        await asyncio.sleep(0.3)
        return drafts

    assert asyncio.run(drag()) == 4
    assert [decoded(p).shape[1] for p in panel.sent] == [4 * DRAFT] * 4 + [4 * SHARP]
    assert panel._scene.updates == 1 + 4


def test_several_controls_at_once_make_one_draft(panel):
    async def both():
        panel.set(phase=1.0, waves=5, shape="square")

    asyncio.run(both())
    assert [decoded(p).shape[1] for p in panel.sent] == [4 * DRAFT]
    assert panel.values == {"phase": 1.0, "waves": 5, "shape": "square"}


def test_start_values_come_back_with_one_draft(panel):
    async def click():
        button(panel, "start values").click()

    panel.set(phase=1.0, waves=5, shape="square")
    panel.sent.clear()
    asyncio.run(click())
    assert panel.values == {"phase": 90.0, "waves": 2, "shape": "sine"}
    assert len(panel.sent) == 1


def test_an_error_is_one_sentence_and_the_slider_lives_on(panel):
    last = bytes(panel._picture.value)
    from_page(panel._widgets["waves"], 7)
    assert bytes(panel._picture.value) == last
    shown = panel._message.value
    assert "waves = 7 is a number that this scene refuses &lt;always&gt;." in " ".join(shown.split())
    assert "role='alert'" in shown and "vm-stale" in panel._picture._dom_classes
    button(panel, "copy the numbers").click()
    button(panel, "keep this in grey").click()
    assert panel._copied.value == "" and panel._kept is None  # nothing is taken from a picture that is out of date
    from_page(panel._widgets["waves"], 6)
    assert panel._message.value == "" and "vm-stale" not in panel._picture._dom_classes
    assert bytes(panel._picture.value) != last


def test_curves_stay_behind_in_grey_until_the_button_is_pressed_again(panel):
    keep, bare = button(panel, "keep this in grey"), bytes(panel._picture.value)
    keep.click()
    assert "Kept in grey: phase 90 deg, waves 2, shape sine." in panel._message.value
    few = grey(decoded(bare))
    panel.set(phase=270.0)
    first = grey(decoded(panel._picture.value))
    assert first > few + 100
    reference = by_savefig(panel._scene.figure, SHARP)
    assert np.abs(decoded(panel._picture.value) - reference).mean() < 1.5
    keep.click()  # the later curves replace the earlier ones
    assert "Kept in grey: phase 270 deg" in panel._message.value
    panel.set(phase=90.0)
    assert "Kept in grey: phase 270 deg" in panel._message.value
    assert grey(decoded(panel._picture.value)) > few + 100
    keep.click()
    keep.click()  # pressed without a movement between
    assert "gone" in panel._message.value and bytes(panel._picture.value) == bare
    assert not panel._scene.line.axes.artists and len(panel._scene.line.axes.lines) == 1


def test_a_kept_curve_is_not_moved_by_the_next_update(panel):
    """The scene may write into the arrays that it once gave."""
    x, y = panel._scene.line.get_data()
    button(panel, "keep this in grey").click()
    y[:] = 0.0
    twin = panel._painter._twins[0]
    assert np.abs(twin.get_ydata()).max() > 0.9 and twin.axes is panel._scene.line.axes


def test_the_numbers_are_a_table_with_names_units_and_the_setting(panel):
    panel._scene.line.set_label("place, $y_1$")
    panel._scene.line.axes.set(xlabel="share of the width [1]", ylabel="height [mm]")
    button(panel, "copy the numbers").click()
    shown = html.unescape(re.search(r"<textarea[^>]*>(.*)</textarea>", panel._copied.value, re.DOTALL)[1])
    rows = list(csv.reader(io.StringIO(shown)))
    assert rows[0] == ["# phase 90 deg, waves 2, shape sine"]
    assert rows[1] == ["share of the width [1]", "height [mm]: place, y_1"]
    x, y = panel._scene.line.get_data()
    assert np.allclose(np.array(rows[2:], dtype=float), np.column_stack([x, y]), rtol=1e-5, atol=1e-9)


def test_columns_of_unlike_length_stand_side_by_side_and_equal_abscissas_once():
    figure = Figure()
    axes = figure.add_subplot()
    lines = [axes.plot([0, 1, 2], [k, k, k], label=f"of {k}")[0] for k in (1, 2)]
    lines.append(axes.plot([5], [6])[0])
    assert copies.table(lines, "none").splitlines() == [
        "# none", "x,y: of 1,y: of 2,x,y: line 3", "0,1,2,5,6", "1,1,2,,", "2,1,2,,"]


def test_only_lines_that_show_numbers_are_kept_and_copied():
    figure = Figure()
    left, right = figure.subplots(1, 2)
    right.axis("off")
    (curve,), (outline,) = left.plot([0, 1], [0, 1]), right.plot([0, 1], [0, 1])
    (hidden,) = left.plot([0, 1], [0, 1], visible=False)
    moving = [curve, outline, hidden, left.axvline(0.5), left.text(0, 0, "x")]
    assert Painter(figure, moving).curves() == [curve]


def test_a_scene_without_curves_offers_only_its_setting():
    scene = Waves()
    scene.moving = [scene.line.axes.text(0, 0, "x")]
    assert list(slider_panel(scene, "Words.")._actions()) == ["start values", "copy this setting"]


def test_the_setting_is_a_line_of_python_that_brings_it_back(panel):
    panel.set(phase=15.000000000000002, waves=4, shape="square")
    assert panel.values["phase"] == 15.0
    button(panel, "copy this setting").click()
    line = html.unescape(re.search(r"<textarea[^>]*>(.*)</textarea>", panel._copied.value, re.DOTALL)[1])
    assert line == "scene.update(phase=15.0, waves=4, shape='square')"
    before, y = panel._copied.value, panel._scene.line.get_ydata().copy()
    panel.set(phase=90.0)
    exec(line, {"scene": panel._scene})
    assert np.array_equal(panel._scene.line.get_ydata(), y)
    panel.set(phase=15.0)
    button(panel, "copy this setting").click()
    assert panel._copied.value != before  # so that the page copies again


def test_what_the_page_does_by_itself_knows_every_control(panel):
    style = panel.box.children[0].value
    known = json.loads(html.unescape(re.search(r'data-panel="([^"]*)"', style)[1]))
    assert known["alt"] == "Waves & nothing else."
    assert [(c["label"], c["unit"]) for c in known["controls"]] == [("phase", "deg"), ("waves", ""), ("shape", "")]
    assert known["controls"][0] == {"label": "phase", "unit": "deg", "minimum": 0.0, "step": 0.5, "span": 360.0,
                                    "decimals": 1, "seconds": 6.0}
    row = next(child for child in panel.box.children if "vm-actions" in child._dom_classes)
    assert row.children[0].value.count("<button") == 1 and "data-control='0'" in row.children[0].value
    script = html.unescape(re.search(r'onload="([^"]*)"', style)[1])
    assert script == (REPOSITORY / "vmech_core" / "teach" / "panel.js").read_text()


def test_the_page_is_not_told_what_it_has_said(panel):
    """No echo: a message less for each movement."""
    slider, said = panel._widgets["phase"], []
    slider._send = lambda message, buffers=None: said.append(message["method"])
    from_page(slider, 123.0)
    assert said == []
    panel.set(phase=5.0)
    assert said == ["update"]


def test_a_still_picture_of_the_figure_keeps_its_resolution_and_shows_everything(panel):
    scene = panel._scene
    assert scene.figure.get_dpi() == Waves().figure.get_dpi()
    with_curve = by_savefig(scene.figure, 100)
    scene.line.set_data([], [])
    assert (with_curve != by_savefig(scene.figure, 100)).any()


def test_artists_are_drawn_back_to_front():
    scene = Waves()
    (above,) = scene.line.axes.plot([0, 1], [0, 0], zorder=9)
    below = scene.line.axes.axhline(0, zorder=0)
    assert Painter(scene.figure, [above, scene.line, below]).moving == [below, scene.line, above]


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"phase": 361}, "phase = 361 is outside 0 to 360 deg; nearest value that works: 360 deg."),
        ({"phase": -1.0}, "phase = -1.0 is outside 0 to 360 deg; nearest value that works: 0 deg."),
        ({"phase": float("nan")}, "phase = nan is not a number from 0 to 360 deg."),
        ({"phase": "wide"}, "phase = 'wide' is not a number from 0 to 360 deg."),
        ({"waves": 2.5}, "waves = 2.5 is not a whole number from 1 to 9."),
        ({"shape": "saw"}, "shape = 'saw' is not one of sine, square."),
        ({"colour": 1}, "control = 'colour' is not one of phase, waves, shape."),
    ],
)
def test_values_that_do_not_fit_are_refused_by_name_and_move_nothing(panel, values, sentence):
    with pytest.raises(InputError) as caught:
        panel.set(**{"waves": 3, **values})
    assert str(caught.value) == sentence
    assert panel.values == {"phase": 90.0, "waves": 2, "shape": "sine"}
    assert panel.sent == []


@pytest.mark.parametrize(
    ("change", "field"),
    [({"maximum": -1}, "a.maximum"), ({"step": 0}, "a.step"), ({"value": 2}, "a"), ({"value": None}, "a")],
)
def test_a_control_that_cannot_work_is_refused(change, field):
    good = {"name": "a", "label": "a", "minimum": 0, "maximum": 1, "step": 0.1, "value": 0.5}
    Slider(**good)
    with pytest.raises(InputError) as caught:
        Slider(**{**good, **change})
    assert caught.value.field == field


def test_a_reader_may_give_a_scene_controls_of_his_own():
    """Fewer, with another start; the scene's own stay as they are."""
    scene = Waves()
    scene.update = lambda phase: Waves.update(scene, phase, 2, "sine")
    own = slider_panel(scene, "Waves.", controls=[Slider("phase", "turn", 0.0, 90.0, step=1.0, value=45.0)])
    assert own.values == {"phase": 45.0} and scene.controls is CONTROLS
    assert repr(own).splitlines()[1] == "  turn: 0 to 90 in steps of 1, starts at 45"


@pytest.mark.parametrize(("options", "kind"), [(4, "ToggleButtons"), (5, "Dropdown")])
def test_up_to_four_options_are_buttons_and_more_are_a_list(options, kind):
    made = widget(Choice("a", "a", tuple("abcde"[:options]), "b"))
    assert type(made).__name__ == kind and made.value == "b"


@pytest.mark.parametrize(("step", "form"), [(0.5, ".1f"), (0.25, ".2f"), (10, ".0f"), (1e-3, ".3f")])
def test_a_readout_shows_as_many_decimals_as_the_step_has(step, form):
    assert widget(Slider("a", "a", 0, 100, step=step, value=0)).readout_format == form


def test_a_saved_panel_is_plain_words(panel):
    """A reader of a static page sees these; no picture bytes and no identities, so that two runs compare equal."""
    other = slider_panel(Waves(), alt="Waves & nothing else.")
    words = panel._repr_mimebundle_()["text/plain"]
    assert words == other._repr_mimebundle_()["text/plain"]
    assert panel.box.model_id not in words
    assert words.splitlines()[1:] == [
        "  phase [deg]: 0 to 360 in steps of 0.5, starts at 90",
        "  waves: 1 to 9 in steps of 1, starts at 2",
        "  shape: sine | square, starts at sine",
        "  picture: Waves & nothing else.",
    ]


def test_the_server_option_wraps_the_handler_once_and_survives_its_absence(monkeypatch, caplog):
    """A later server without that handler loses the speed-up only, and says so."""
    config = str(REPOSITORY / ".jupyter" / "jupyter_server_config.py")
    name = "jupyter_server.services.kernels.websocket"

    class Handler:
        async def open(self, kernel):
            return f"opened {kernel}"

        def set_nodelay(self, value):
            self.nodelay = value

    monkeypatch.setitem(sys.modules, name, types.SimpleNamespace(KernelWebsocketHandler=Handler))
    settings = types.SimpleNamespace(LabApp=types.SimpleNamespace())
    given = {"get_config": lambda: settings}  # by the server that reads the file
    runpy.run_path(config, given)
    wrapped = Handler.open
    runpy.run_path(config, given)
    assert settings.LabApp.default_url.endswith("notebooks/00_start_here.ipynb")
    assert Handler.open is wrapped
    handler = Handler()
    assert asyncio.run(handler.open("k")) == "opened k"
    assert handler.nodelay is True
    for broken in (types.SimpleNamespace(), types.SimpleNamespace(KernelWebsocketHandler=object), None):
        monkeypatch.setitem(sys.modules, name, broken)
        caplog.clear()
        with caplog.at_level(logging.WARNING, "ServerApp"):
            runpy.run_path(config, given)
        assert "TCP_NODELAY not available" in caplog.text
    Handler.set_nodelay = None
    with caplog.at_level(logging.WARNING, "ServerApp"):
        assert asyncio.run(Handler().open("k")) == "opened k"
    assert "TCP_NODELAY not set" in caplog.text


def test_while_pages_are_made_a_panel_is_a_film_as_well(panel, monkeypatch):
    assert "text/html" not in panel._repr_mimebundle_()
    monkeypatch.setenv("VMECH_FILM", str(REPOSITORY / "notebooks" / "as_pages" / "film.py"))
    before = panel.values
    film = panel._repr_mimebundle_()["text/html"]
    assert film.count("<img") == 25 and 'data-control="phase [deg]"' in film
    assert "Waves &amp; nothing else." in film and panel.values == before
