"""A panel as a reader meets it: keys, mouse, Play, grey curves, copies, narrow pages, dark pages, readers who listen.

The drawing stands for no machine. An accessibility checker looks at our own markup; what JupyterLab brings is its own.
Needs an installed browser; without one the tests are skipped with that reason, and fail where CI is set.
"""

import time
from pathlib import Path

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

HERE = Path(__file__).resolve().parent
CELLS = (
    f"import sys\nsys.path[:0] = {[str(REPOSITORY), str(HERE)]!r}\n"
    "from toy_scene import choosing\nfrom vmech_core.teach import slider_panel",
    "slider_panel(choosing(), alt='Bars, curves and choices.')",
    "slider_panel(choosing(), alt='The same once more.')",
)
WATCH = """() => { window.pictures = 0; document.addEventListener('load', event => {
    if (event.target.matches?.('.vm-panel img')) window.pictures += 1; }, true); }"""
FOCUSED = """() => {
    const e = document.activeElement, label = document.querySelector(`label[for="${e.id || 'none'}"]`);
    const ours = e.closest('.vm-panel') === document.querySelector('.vm-panel');
    return ours ? e.getAttribute('aria-label') ?? label?.textContent ?? e.textContent : null;
}"""
SIDEBAR = "() => window.jupyterapp.shell.collapseLeft()"
THEME = "name => window.jupyterapp.commands.execute('apputils:change-theme', {theme: name})"
WIDE = {"width": 1440, "height": 1000}


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """A page with two panels."""
    require_browser()
    folder = tmp_path_factory.mktemp("course")
    write_notebook(folder / "manners.ipynb", CELLS)
    with Lab(folder) as lab, browser_page(**WIDE) as page:
        page.lab = lab
        page.context.grant_permissions(["clipboard-read", "clipboard-write"])
        open_notebook(page, lab.url("manners.ipynb"))
        run_all_cells(page)
        page.locator(".vm-panel img[alt]").nth(1).wait_for()
        page.evaluate(WATCH)
        yield page


@pytest.fixture
def panel(page):
    """The first panel, on a wide page, at its start values."""
    page.set_viewport_size(WIDE)
    panel = page.locator(".vm-panel").first
    panel.get_by_role("button", name="start values").click()
    panel.scroll_into_view_if_needed()
    time.sleep(0.6)
    return panel


def wait(condition, seconds=10.0):
    """Wait until a condition holds."""
    limit = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < limit, "it did not come to that"
        time.sleep(0.05)


def slider(panel, name):
    """Handle of a slider by the name that a screen reader says."""
    return panel.get_by_role("slider", name=name, exact=True)


def said(handle):
    """What a screen reader says for the value."""
    return handle.get_attribute("aria-valuetext")


def faults(page, where=".vm-panel"):
    """Serious and critical findings of the accessibility checker."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, context=where).response["violations"]
    return [(f["id"], f["nodes"][0]["html"][:160]) for f in found if f["impact"] in ("serious", "critical")]


def test_every_control_has_a_name_and_one_stop_of_the_tab_key(page, panel):
    slider(panel, "crank angle").focus()
    stops = []
    while (name := page.evaluate(FOCUSED)) is not None:
        stops.append(name)
        page.keyboard.press("Tab")
    assert stops == ["crank angle", "pin radius", "teeth", "cold", "kind of bearing", "\u25b6 play: crank angle",
                     "start values", "keep this in grey", "copy the numbers", "copy this setting"]
    assert panel.get_by_role("group", name="state of the block").count() == 1
    assert panel.get_by_role("img", name="Bars, curves and choices.").count() == 1
    assert panel.locator("[title=null]").count() == 0


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("crank angle", "0 deg", "720 deg"), ("pin radius", "0.20 m", "1.00 m"), ("teeth", "1", "9")],
)
def test_sliders_reach_both_ends_by_key_and_by_mouse(page, panel, name, low, high):
    handle, image = slider(panel, name), panel.locator("img")
    track = handle.locator("xpath=ancestor::*[contains(@class, 'noUi-target')]").bounding_box()
    y = track["y"] + track["height"] / 2
    for key, end, x in (("End", high, track["x"] + track["width"] + 30), ("Home", low, track["x"] - 30)):
        before = image.get_attribute("src")
        handle.focus()
        page.keyboard.press(key)
        wait(lambda end=end: said(handle) == end)
        wait(lambda before=before: image.get_attribute("src") != before or panel.get_by_role("alert").count())
        page.keyboard.press("ArrowLeft" if key == "End" else "ArrowRight")
        wait(lambda end=end: said(handle) != end)
        box = handle.bounding_box()
        page.mouse.move(box["x"] + box["width"] / 2, y)
        page.mouse.down()
        page.mouse.move(x, y, steps=5)
        page.mouse.up()
        wait(lambda end=end: said(handle) == end)


def test_choices_answer_to_key_and_mouse(page, panel):
    buttons, image = panel.locator(".widget-toggle-button"), panel.locator("img")
    pressed = lambda: [b.inner_text() for b in buttons.all() if b.get_attribute("aria-pressed") == "true"]  # noqa: E731
    buttons.first.focus()
    for key, text in (("End", "hot"), ("ArrowRight", "cold"), ("ArrowRight", "warm"), ("Home", "cold")):
        page.keyboard.press(key)
        wait(lambda text=text: pressed() == [text])
        assert page.evaluate("document.activeElement.textContent") == text
    before = image.get_attribute("src")
    buttons.last.click()
    wait(lambda: pressed() == ["hot"] and image.get_attribute("src") != before)
    chosen = panel.get_by_role("combobox", name="kind of bearing")
    for option in ("six", "one"):
        before = image.get_attribute("src")
        chosen.select_option(option)
        wait(lambda before=before: image.get_attribute("src") != before)
    chosen.focus()
    page.keyboard.press("End")
    wait(lambda: chosen.evaluate("e => e.selectedOptions[0].textContent") == "six")


def test_a_value_is_typed_by_keys_alone_and_also_taken_when_left(page, panel):
    handle, readout = slider(panel, "crank angle"), panel.locator(".widget-readout").first
    handle.focus()
    for text, leave in (("123", "Enter"), ("321", "Tab")):
        page.keyboard.press("Enter")
        page.keyboard.type(text)
        page.keyboard.press(leave)
        wait(lambda text=text: said(handle) == f"{text} deg")
        assert readout.inner_text() == text
        assert (leave == "Tab") or handle.evaluate("e => e === document.activeElement")
        handle.focus()


def test_stray_keys_do_not_touch_the_cells(page, panel):
    before = page.locator(".jp-Cell").count()
    for name in ("crank angle", "teeth"):
        slider(panel, name).focus()
        for key in ("d", "d", "m", "x", "a", "z"):
            page.keyboard.press(key)
    panel.get_by_role("button", name="start values").focus()
    page.keyboard.press("d")
    page.keyboard.press("d")
    time.sleep(0.5)
    assert page.locator(".jp-Cell").count() == before and page.locator(".vm-panel").count() == 2
    page.keyboard.press("Control+S")  # those of the program still work
    wait(lambda: page.evaluate("() => !window.jupyterapp.shell.currentWidget.context.model.dirty"))


def test_play_runs_beside_other_controls_and_stops_at_once(page, panel):
    play, handle = panel.locator(".vm-play"), slider(panel, "crank angle")
    play.click()
    rates = []
    for _ in range(3):
        before, start = page.evaluate("pictures"), time.monotonic()
        time.sleep(1.5)
        rates.append((page.evaluate("pictures") - before) / (time.monotonic() - start))
    print(f"Play: {', '.join(f'{rate:.0f}' for rate in rates)} pictures a second")
    assert max(rates) >= 15
    slider(panel, "pin radius").focus()
    page.keyboard.press("End")
    wait(lambda: said(slider(panel, "pin radius")) == "1.00 m")
    before = said(handle)
    wait(lambda: said(handle) != before)
    slider(panel, "teeth").focus()
    page.keyboard.press("End")  # nine are refused; Play goes on, and the picture comes back with the next value
    panel.get_by_role("alert").wait_for()
    page.keyboard.press("ArrowLeft")
    wait(lambda: panel.get_by_role("alert").count() == 0)
    assert play.inner_text().endswith("pause: crank angle")
    play.click()
    time.sleep(0.5)
    at, pictures = said(handle), page.evaluate("pictures")
    time.sleep(1.0)
    assert (said(handle), page.evaluate("pictures")) == (at, pictures)
    assert play.inner_text().endswith("play: crank angle")


def test_play_begins_anew_at_the_end_of_the_turn(page, panel):
    play, handle = panel.locator(".vm-play"), slider(panel, "crank angle")
    handle.focus()
    page.keyboard.press("End")
    play.click()
    wait(lambda: 0 < float(said(handle).split()[0]) < 300)
    play.click()


def test_grey_curves_stay_and_go(page, panel):
    image, say = panel.locator("img"), panel.locator(".vm-say")
    bare = image.get_attribute("src")
    keep = panel.get_by_role("button", name="keep this in grey")
    keep.click()
    wait(lambda: "Kept in grey: crank angle 30 deg" in say.inner_text())
    keep.click()
    wait(lambda: "gone" in say.inner_text() and image.get_attribute("src") == bare)


def test_numbers_and_setting_reach_the_clipboard(page, panel):
    clipboard = lambda: page.evaluate("navigator.clipboard.readText()")  # noqa: E731
    below = panel.locator("img").bounding_box()
    panel.get_by_role("button", name="copy this setting").click()
    panel.get_by_text("It is on the clipboard.").wait_for()
    assert clipboard() == "scene.update(angle=30.0, size=0.5, teeth=2, mode='cold', kind='two')"
    panel.get_by_role("button", name="copy the numbers").click()
    wait(lambda: clipboard().startswith('"# crank angle 30 deg, pin radius 0.5 m'))
    assert panel.locator("textarea").input_value().rstrip() == clipboard().rstrip()
    assert len(clipboard().splitlines()) == 2 + 721
    assert panel.locator("img").bounding_box() == below
    page.evaluate("() => { document.execCommand = () => false; "
                  "Object.defineProperty(navigator, 'clipboard', {value: undefined, configurable: true}); }")
    panel.get_by_role("button", name="copy this setting").click()
    panel.get_by_text("Select it there to copy it.").wait_for()
    page.evaluate("() => { delete document.execCommand; delete navigator.clipboard; }")


def test_a_refused_value_greys_the_picture_and_moves_nothing(page, panel):
    image, teeth = panel.locator("img"), slider(panel, "teeth")
    before = image.bounding_box()
    readout = panel.locator(".widget-readout").nth(2)
    teeth.focus()
    page.keyboard.press("Enter")
    page.keyboard.type("9")
    page.keyboard.press("Enter")
    panel.get_by_role("alert").wait_for()
    assert readout.inner_text() == "9"
    assert "opacity: 0.4" in image.evaluate("e => `opacity: ${getComputedStyle(e).opacity}`")
    assert image.bounding_box() == before
    assert faults(page) == []
    page.keyboard.press("ArrowLeft")
    wait(lambda: panel.get_by_role("alert").count() == 0)
    assert image.evaluate("e => getComputedStyle(e).opacity") == "1"


def test_the_page_is_used_to_its_right_edge(page, panel):
    box, controls, image = panel.bounding_box(), panel.locator(".vm-controls").bounding_box(), panel.locator("img")
    assert image.bounding_box()["width"] >= 0.97 * box["width"]
    columns = {round(b.bounding_box()["x"]) for b in panel.locator(".vm-control").all()}
    assert len(columns) == 2 and controls["height"] <= 500


@pytest.mark.parametrize(("width", "height"), [(390, 844), (720, 500), (800, 1000)], ids=["phone", "200 %", "800"])
def test_a_narrow_page_has_one_column_of_sliders_that_can_be_used(page, panel, tmp_path, width, height):
    """720 pixels are what a page of 1440 has at 200 %."""
    page.evaluate(SIDEBAR)
    page.set_viewport_size({"width": width, "height": height})
    time.sleep(1.0)
    for control in panel.locator(".vm-control").all():
        label = control.locator(".widget-label").first
        assert label.evaluate("e => e.scrollWidth <= e.clientWidth + 1"), "a label is cut"
    assert len({round(b.bounding_box()["x"]) for b in panel.locator(".vm-control").all()}) == 1
    tracks = [track.bounding_box()["width"] for track in panel.locator(".noUi-target").all()]
    assert min(tracks) >= 150, tracks
    assert panel.locator(".vm-controls").bounding_box()["height"] <= 500
    box, image = panel.bounding_box(), panel.locator("img").bounding_box()
    assert image["width"] >= 0.95 * box["width"] and box["width"] >= 0.7 * width
    assert panel.evaluate("e => [e, ...e.querySelectorAll('*')].every(b => b.scrollWidth <= b.clientWidth + 1 || "
                          "getComputedStyle(b).overflowX === 'visible')")
    assert faults(page) == []
    page.screenshot(path=tmp_path / f"{width}.png")


def test_checker_finds_nothing_serious_in_light_and_dark(page, panel):
    for theme in ("JupyterLab Dark", "JupyterLab Light"):
        page.evaluate(THEME, theme)
        time.sleep(1.5)
        assert faults(page) == []


def test_focus_shows(page, panel):
    for element in (slider(panel, "crank angle"), panel.get_by_role("button", name="start values")):
        page.keyboard.press("Tab")
        element.focus()
        assert element.evaluate("e => parseFloat(getComputedStyle(e).outlineWidth)") >= 3


def test_play_ends_with_the_cell_and_with_the_kernel(page, panel):
    """Run again, the cell has a new panel at rest; without a kernel the slider stops by itself."""
    panel.locator(".vm-play").click()
    time.sleep(0.5)
    page.evaluate("() => void window.jupyterapp.commands.execute('notebook:run-all-cells')")
    time.sleep(3.0)
    panel.locator(".vm-play").wait_for()
    before = page.evaluate("pictures")
    time.sleep(1.0)
    assert page.evaluate("pictures") == before
    panel.locator(".vm-play").click()
    time.sleep(0.5)
    page.evaluate("() => void window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.shutdown()")
    wait(lambda: "play:" in panel.locator(".vm-play").inner_text(), seconds=15)
    assert error_outputs(page) == []


@pytest.mark.parametrize(("width", "stays"), [(390, False), (690, False), (1000, True)])
def test_a_narrow_window_closes_the_file_browser_and_a_wide_one_does_not(page, width, stays):
    """Its tab is pressed by the script of the page, as soon as there is a panel."""
    page.set_viewport_size({"width": width, "height": 900})
    open_notebook(page, page.lab.url("manners.ipynb"))
    files = page.locator("#jp-left-stack")
    files.wait_for()
    run_all_cells(page)
    page.locator(".vm-panel img[alt]").nth(1).wait_for()
    time.sleep(0.5)
    assert files.is_visible() is stays
