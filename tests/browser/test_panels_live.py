"""Notebooks in a real browser: every cell runs, sliders answer to keys and to the mouse, the picture follows.

Needs an installed browser; without one the tests are skipped with that reason, and fail where CI is set.
"""

import time
from pathlib import Path

import pytest
from harness import Lab, browser_page, error_outputs, open_notebook, require_browser, run_all_cells

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"
HANDLE = ".jp-OutputArea .noUi-handle"
PICTURE = ".widget-image, .jp-OutputArea img.jupyter-widgets"
DIGEST = """async image => { const bytes = await (await fetch(image.src)).arrayBuffer();
    return [...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))].join(' '); }"""


@pytest.fixture(scope="module")
def page():
    """A page on a JupyterLab that serves the course."""
    require_browser()
    with Lab(NOTEBOOKS) as lab, browser_page() as page:
        page.lab = lab
        yield page


def digest(page):
    """Digest of the bytes of the panel's picture as the browser holds them."""
    return page.locator(PICTURE).first.evaluate(DIGEST)


def changed(page, before, seconds=10.0):
    """Wait for another picture than before; returns its digest."""
    limit = time.monotonic() + seconds
    while (now := digest(page)) == before:
        assert time.monotonic() < limit, "the picture did not change"
        time.sleep(0.05)
    return now


def settled(page, rest=0.8, seconds=10.0):
    """Wait until the picture has rested, so that the sharp redraw cannot be taken for an answer to the slider."""
    limit, now, since = time.monotonic() + seconds, digest(page), time.monotonic()
    while time.monotonic() - since < rest:
        assert time.monotonic() < limit, "the picture never rests"
        time.sleep(0.1)
        if (latest := digest(page)) != now:
            now, since = latest, time.monotonic()
    return now


def readout(page, row=0):
    """Text of a slider's readout."""
    return page.locator(".jp-OutputArea .widget-readout").nth(row).inner_text()


def drive(page, name):
    """Run a notebook, then move its first slider by keys and by mouse."""
    open_notebook(page, page.lab.url(name))
    run_all_cells(page)
    assert error_outputs(page) == []
    handle = page.locator(HANDLE).first
    handle.scroll_into_view_if_needed()
    image = page.locator(PICTURE).first.element_handle()
    page.wait_for_function("image => image.complete && image.naturalWidth > 300", arg=image)
    seen = [settled(page)]
    shown = [readout(page)]
    handle.focus()
    for key in ("ArrowRight", "PageUp"):
        page.keyboard.press(key)
        changed(page, seen[-1])
        seen.append(settled(page))
        shown.append(readout(page))
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y, steps=6)
    changed(page, seen[-1])
    page.mouse.up()
    seen.append(settled(page))
    shown.append(readout(page))
    assert len(set(seen)) == 4, "a movement of the slider left the picture as it was"
    assert len(set(shown)) == 4, f"readouts: {shown}"
    assert error_outputs(page) == []


def test_the_straight_line_notebook_runs_and_its_slider_moves_the_picture(page):
    drive(page, "01_straight_line.ipynb")


@pytest.mark.parametrize("name", ["02_any_bank_angle", "03_motion_compared", "04_cylinder_pressure",
                                  "05_loads_and_side_thrust"])  # fmt: skip
def test_the_notebook_runs_and_its_first_slider_moves_the_picture(page, name):
    drive(page, f"{name}.ipynb")


def test_the_start_page_runs_and_its_slider_moves_the_picture(page):
    drive(page, "00_start_here.ipynb")


def test_start_values_bring_the_first_picture_back(page):
    """The button undoes all movements: the sharp picture is the same, byte for byte."""
    first = settled(page)
    handle = page.locator(HANDLE).first
    handle.focus()
    page.get_by_role("button", name="start values").first.click()
    start = settled(page)
    assert start != first
    page.keyboard.press("Tab")
    handle.focus()
    page.keyboard.press("ArrowRight")
    changed(page, start)
    settled(page)
    page.get_by_role("button", name="start values").first.click()
    assert settled(page) == start
