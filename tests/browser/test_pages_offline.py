"""Pages for reading in a real browser, opened from disk without a network: usable by everybody, and by keyboard.

The checker of accessibility (axe-core) runs over every page of the course with its saved results and over a page with
one of everything. Needs an installed browser; without one the tests are skipped, and fail where CI is set.
"""

import pages
import pytest
import sample_course
from axe_playwright_python.sync_playwright import Axe
from harness import browser_page, require_browser

WIDTHS = (390, 800, 1440)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The whole course, and in a folder within it the small one."""
    require_browser()
    root = tmp_path_factory.mktemp("pages")
    assert pages.main([str(root / "out"), "--as-saved"]) == 0
    pages.make(root / "out" / "small", sample_course.write(root / "small"), as_saved=True)
    return root / "out"


@pytest.fixture(scope="module")
def page(folder):
    """A page without a network that keeps what it asked for and what went wrong."""
    with browser_page() as page:
        page.context.set_offline(True)
        page.asked, page.faults = [], []
        page.on("request", lambda request: page.asked.append(request.url))
        page.on("requestfailed", lambda request: page.faults.append(request.url))
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        yield page


def serious(page):
    """What the checker finds that shuts somebody out."""
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in found if v["impact"] in ("serious", "critical")]


def names(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*.html"))


def test_every_page_opens_from_disk_and_shuts_nobody_out(folder, page):
    for name in names(folder):
        page.faults.clear()
        page.goto((folder / name).as_uri())
        page.wait_for_load_state("load")
        assert not page.faults  # what the checker itself asks for comes after
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
        assert not serious(page), name
    assert {url.split(":")[0] for url in page.asked} <= {"file", "data"}


def test_dark_and_narrow_pages_shut_nobody_out(folder, page):
    page.emulate_media(color_scheme="dark")
    page.set_viewport_size({"width": 390, "height": 800})
    for name in names(folder):
        page.goto((folder / name).as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
        assert not serious(page), name
    page.emulate_media(color_scheme="light")


@pytest.mark.parametrize("width", WIDTHS)
def test_no_page_scrolls_sideways(folder, page, width):
    page.set_viewport_size({"width": width, "height": 900})
    for name in names(folder):
        page.goto((folder / name).as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true; })")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name


def reading(page):
    return page.locator(".player output").inner_text()


def test_a_film_plays_and_stops_and_is_moved_by_keys(folder, page):
    page.set_viewport_size({"width": 800, "height": 900})
    page.goto((folder / "small/01_everything.html").as_uri())
    page.wait_for_timeout(300)
    assert reading(page) == "crank angle 45 deg"  # nothing moves by itself
    button, slider = page.get_by_role("button", name="Play"), page.get_by_role("slider", name="crank angle [deg]")
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelector('.player output').textContent !== 'crank angle 45 deg'")
    page.get_by_role("button", name="Pause").press(" ")
    stopped = reading(page)
    page.wait_for_timeout(400)
    assert reading(page) == stopped
    slider.focus()
    page.keyboard.press("Home")
    assert reading(page) == "crank angle 0 deg"
    page.keyboard.press("ArrowRight")
    assert reading(page) == slider.get_attribute("aria-valuetext") == "crank angle 15 deg"
    page.keyboard.press("End")
    shown = page.locator(".frame:visible")
    assert shown.count() == 1 and "360 deg" in shown.locator("img").get_attribute("alt")
    page.wait_for_function("document.querySelector('.frame.now img').naturalWidth > 0")


def test_reduced_motion_and_print_show_three_stills(folder, page):
    page.goto((folder / "small/01_everything.html").as_uri())
    for asked in ({"reduced_motion": "reduce"}, {"reduced_motion": "no-preference", "media": "print"}):
        page.emulate_media(**asked)
        assert page.locator(".frame:visible").count() == 3 and not page.locator(".player").is_visible()
        assert page.locator(".frame:visible figcaption").all_inner_texts()[0] == "crank angle 45 deg"
    page.emulate_media(media="screen")


def test_print_opens_what_is_folded_and_cuts_no_line_and_no_number(folder, page):
    """At the width of the text on A4 with the margins of the style, 180 mm; a number in two lines is misread."""
    page.set_viewport_size({"width": 680, "height": 900})
    page.emulate_media(media="print")
    wide = "[...document.querySelectorAll('main pre, main table, main .formula, main img')]"
    lines = ("[...document.querySelectorAll('main td.number, main th.number')].filter(cell => { const text = "
             "document.createRange(); text.selectNodeContents(cell); return new Set([...text.getClientRects()]"
             ".map(box => Math.round(box.top))).size > 1; }).map(cell => cell.textContent)")
    for name in names(folder):
        page.goto((folder / name).as_uri())
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert page.locator("details:not([open])").count() == 0
        cut = page.evaluate(f"{wide}.filter(box => box.getBoundingClientRect().right > innerWidth + 1 || "
                            "box.scrollWidth > box.clientWidth + 1).map(box => box.outerHTML.slice(0, 200))")
        assert not cut and not page.evaluate(lines), name
        page.evaluate("dispatchEvent(new Event('afterprint'))")
        assert page.locator("details.solution[open]").count() == 0
    page.emulate_media(media="screen")


def test_the_way_from_the_contents_through_every_lesson_and_back_by_clicks(folder, page):
    page.goto((folder / "index.html").as_uri())
    page.get_by_role("navigation", name="First page").get_by_role("link").click()
    way, seen = page.get_by_role("navigation", name="Way through the course"), []
    while not seen or way.get_by_role("link", name="Next").count():
        if seen:
            way.get_by_role("link", name="Next").click()
        seen.append(page.url.rsplit("/", 1)[-1])
    assert seen == [name for name in names(folder) if "/" not in name and name != "index.html"]
    way.get_by_role("link", name="Contents").click()
    assert page.url.endswith("/index.html")
