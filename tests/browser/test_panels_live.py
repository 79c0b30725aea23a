"""Notebooks in a real browser: sliders answer to keys and to the mouse, the picture follows.

Notebook 00 runs whole. Of the others the first code cell and the cell of the panel run, all in one page; nbval runs the
rest of them.
Needs an installed browser; without one the tests are skipped with that reason, and fail where CI is set.
"""

import shutil
import time

import nbformat
import pytest
from harness import (
    REPOSITORY,
    Lab,
    browser_page,
    error_outputs,
    open_notebook,
    require_browser,
    run_all_cells,
    write_notebook,
)

WHOLE = ("00_start_here",)
PANELS = ("01_straight_line", "02_any_bank_angle", "03_motion_compared", "04_cylinder_pressure",
          "05_loads_and_side_thrust", "06_who_carries_the_side_load", "07_balance", "08_gears",
          "09_bearings_and_guides", "10_friction", "11_size_and_mass", "12_tolerances", "13_torque_and_flywheel")
HANDLE = ".jp-OutputArea .noUi-handle"
PICTURE = ".widget-image, .jp-OutputArea img.jupyter-widgets"
DIGEST = """async image => { const bytes = await (await fetch(image.src)).arrayBuffer();
    return [...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))].join(' '); }"""


def panel_cells(path):
    """First code cell of a notebook, which loads the tools, and the one that makes its panel."""
    cells = [cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]
    return [cells[0], *(cell for cell in cells if "slider_panel(" in cell)]


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """A page on a JupyterLab that serves a copy of the course."""
    require_browser()
    course = tmp_path_factory.mktemp("course")
    shutil.copytree(REPOSITORY / "data", course / "data")
    (course / "notebooks").mkdir()
    for name in WHOLE:
        shutil.copy(REPOSITORY / "notebooks" / f"{name}.ipynb", course / "notebooks")
    cells = [cell for name in PANELS for cell in panel_cells(REPOSITORY / "notebooks" / f"{name}.ipynb")]
    write_notebook(course / "notebooks" / "panels.ipynb", cells)
    with Lab(course / "notebooks") as lab, browser_page() as page:
        page.lab = lab
        yield page


def digest(page, panel=0):
    """Digest of the bytes of a panel's picture as the browser holds them."""
    return page.locator(PICTURE).nth(panel).evaluate(DIGEST)


def changed(page, before, panel=0, seconds=10.0):
    """Wait for another picture than before; returns its digest."""
    limit = time.monotonic() + seconds
    while (now := digest(page, panel)) == before:
        assert time.monotonic() < limit, "the picture did not change"
        time.sleep(0.05)
    return now


def settled(page, panel=0, rest=0.6, seconds=10.0):
    """Wait until the picture has rested, so that the sharp redraw cannot be taken for an answer to the slider."""
    limit, now, since = time.monotonic() + seconds, digest(page, panel), time.monotonic()
    while time.monotonic() - since < rest:
        assert time.monotonic() < limit, "the picture never rests"
        time.sleep(0.1)
        if (latest := digest(page, panel)) != now:
            now, since = latest, time.monotonic()
    return now


def readouts(page):
    """Texts of the readouts of all sliders on the page."""
    return page.locator(".jp-OutputArea .widget-readout").all_inner_texts()


def first_handle(page, panel):
    """Handle of the first slider of a panel: the first one on the page below the picture of the panel before."""
    above = page.locator(PICTURE).nth(panel - 1).bounding_box()["y"] if panel else -1e9
    handles = page.locator(HANDLE)
    return next(handles.nth(k) for k in range(handles.count()) if handles.nth(k).bounding_box()["y"] > above)


def drive(page, panel=0):
    """Move the first slider of a panel by keys and by mouse; every movement changes its picture and its readout."""
    handle = first_handle(page, panel)
    handle.scroll_into_view_if_needed()
    image = page.locator(PICTURE).nth(panel).element_handle()
    page.wait_for_function("image => image.complete && image.naturalWidth > 300", arg=image)
    seen, shown = [settled(page, panel)], [readouts(page)]
    handle.focus()
    for key in ("ArrowRight", "PageUp"):
        page.keyboard.press(key)
        changed(page, seen[-1], panel)
        seen.append(settled(page, panel))
        shown.append(readouts(page))
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 75, y, steps=6)
    changed(page, seen[-1], panel)
    page.mouse.up()
    seen.append(settled(page, panel))
    shown.append(readouts(page))
    assert len(set(seen)) == 4, "a movement of the slider left the picture as it was"
    assert all(a != b for i, a in enumerate(shown) for b in shown[:i]), f"readouts: {shown}"
    assert error_outputs(page) == []


def all_to_both_ends(page):
    """Each slider of each panel to its last and its first value by keys; each answers by a picture or a sentence."""
    for panel in page.locator(".vm-panel").all():
        panel.scroll_into_view_if_needed()
        start = panel.get_by_role("button", name="start values")
        for handle in panel.locator(".noUi-handle").all():
            name = handle.get_attribute("aria-label")
            for key, end in (("End", "max"), ("Home", "min")):
                panel.evaluate("panel => { panel.before = panel.querySelector('img').src; }")
                handle.focus()
                page.keyboard.press(key)
                answer = ("panel => panel.before !== panel.querySelector('img').src "
                          "|| panel.querySelector('[role=alert]')")
                page.wait_for_function(answer, arg=panel.element_handle(), timeout=15_000)
                assert handle.get_attribute("aria-valuenow") == handle.get_attribute(f"aria-value{end}"), name
            start.click()
            page.wait_for_function("panel => !panel.querySelector('[role=alert]')", arg=panel.element_handle())
    assert error_outputs(page) == []


def opened(page, name):
    """Open a notebook and run all of it."""
    open_notebook(page, page.lab.url(f"{name}.ipynb"))
    run_all_cells(page)
    assert error_outputs(page) == []


def test_the_panels_of_the_other_notebooks_answer_to_keys_and_mouse(page):
    opened(page, "panels")
    for panel in range(page.locator(".vm-panel").count()):
        drive(page, panel)
    all_to_both_ends(page)


def test_the_start_page_runs_and_its_slider_moves_the_picture(page):
    opened(page, "00_start_here")
    drive(page)


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
