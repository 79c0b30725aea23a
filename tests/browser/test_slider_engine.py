"""The slider engine in a real browser, with a drawing that stands for no machine: drafts, rest, typing, errors, server.

Needs an installed browser; without one the tests are skipped with that reason, and fail where CI is set.
"""

import sys
import time
from pathlib import Path

import pytest
from harness import (
    REPOSITORY,
    Lab,
    browser_page,
    code_cells,
    open_notebook,
    require_browser,
    run_all_cells,
    write_notebook,
)

HERE = Path(__file__).resolve().parent
CELLS = (
    f"import sys\nsys.path[:0] = {[str(REPOSITORY), str(HERE)]!r}\nsys.executable",
    "from toy_scene import toy\nfrom vmech_core.teach import slider_panel\n"
    "scene = toy()\nupdate = scene.update\n"
    "def picky(**values):\n    if values['teeth'] == 9:\n        raise ValueError('nine is too many')\n"
    "    update(**values)\nscene.update = picky",
    "slider_panel(scene, alt='Bars and curves.')",
)
#: What a reader's own configuration might hold; it also logs what the system says about the socket.
OWN_CONFIG = """
import logging, socket
from tornado.websocket import WebSocketHandler
_original = WebSocketHandler.set_nodelay
def _set_nodelay(self, value):
    _original(self, value)
    option = self.ws_connection.stream.socket.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
    logging.getLogger("ServerApp").warning("socket option TCP_NODELAY is %s", bool(option))
WebSocketHandler.set_nodelay = _set_nodelay
logging.getLogger("ServerApp").warning("own configuration was read")
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """A page with the panel, on a server whose user has a configuration of his own."""
    require_browser()
    folder, own = tmp_path_factory.mktemp("course"), tmp_path_factory.mktemp("own")
    write_notebook(folder / "engine.ipynb", CELLS)
    (own / "jupyter_server_config.py").write_text(OWN_CONFIG)
    with Lab(folder, environment={"JUPYTER_CONFIG_DIR": str(own)}) as lab, browser_page() as page:
        page.lab = lab
        open_notebook(page, lab.url("engine.ipynb"))
        run_all_cells(page)
        page.wait_for_selector(".noUi-handle")
        page.wait_for_selector("img.widget-image")
        yield page


def width(page):
    """Pixels across in the picture as sent; a sharp one has more. One that changes meanwhile is read again."""
    read = "async image => { await image.decode().catch(() => image.decode()); return image.naturalWidth; }"
    return page.locator("img.widget-image").evaluate(read)


def wait(page, condition, seconds=10.0):
    """Wait until a condition holds."""
    limit = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < limit, "it did not come to that"
        time.sleep(0.05)


def test_the_kernel_is_the_python_of_the_tests(page):
    assert code_cells(page)[0]["outputs"][0]["data"]["text/plain"] == repr(sys.executable)


def test_the_option_of_the_course_and_the_readers_own_configuration_both_hold(page):
    log = page.lab.log()
    assert "own configuration was read" in log
    assert "socket option TCP_NODELAY is True" in log


def test_a_key_makes_a_draft_and_a_rest_makes_it_sharp_without_moving_the_page(page):
    handle, image = page.locator(".noUi-handle").first, page.locator("img.widget-image")
    wait(page, lambda: width(page) == 1728)
    before = image.bounding_box()
    handle.focus()
    page.keyboard.press("ArrowRight")
    wait(page, lambda: width(page) == 648)
    wait(page, lambda: width(page) == 1728)
    after = image.bounding_box()
    assert (after["x"], after["y"], after["width"]) == (before["x"], before["y"], before["width"])
    assert page.locator("img.widget-image").count() == 1


def test_a_typed_value_moves_the_slider_and_the_picture(page):
    handle, image = page.locator(".noUi-handle").nth(1), page.locator("img.widget-image")
    source = image.get_attribute("src")
    readout = page.locator(".widget-readout").nth(1)
    readout.click()
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("0.83")
    page.keyboard.press("Enter")
    wait(page, lambda: handle.get_attribute("aria-valuetext").startswith("0.83"))
    assert readout.inner_text() == "0.83"
    wait(page, lambda: image.get_attribute("src") != source)


def test_an_error_is_told_in_a_sentence_and_the_picture_stays(page):
    handle, image = page.locator(".noUi-handle").nth(2), page.locator("img.widget-image")
    wait(page, lambda: width(page) == 1728)
    source = image.get_attribute("src")
    handle.focus()
    page.keyboard.press("End")
    page.get_by_role("alert").get_by_text("nine is too many").wait_for(timeout=10_000)
    assert image.get_attribute("src") == source
    page.keyboard.press("ArrowLeft")
    wait(page, lambda: image.get_attribute("src") != source)
    wait(page, lambda: page.get_by_role("alert").get_by_text("nine is too many").count() == 0)


def test_the_description_stands_under_the_picture(page):
    picture = page.locator("img.widget-image").bounding_box()
    words = page.get_by_text("Bars and curves.").last.bounding_box()
    assert words["y"] >= picture["y"] + picture["height"] - 1
