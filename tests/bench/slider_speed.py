"""How fast the picture follows the finger: our slider engine against plain ``interact``, in one run and one browser.

    python tests/bench/slider_speed.py --events 200

A key's latency runs from the browser's time stamp of the key press until the frame that shows the finished picture has
been painted. Both ways draw the same content and are driven alike: keys in quick succession, keys after pauses long
enough for the sharp picture in between, and a drag with about 57 moves a second; first on a server with the course's
option TCP_NODELAY, then on a stock server. Needs an installed browser; takes about five minutes.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BROWSER_TESTS = ROOT / "tests" / "browser"
sys.path[:0] = [str(ROOT), str(BROWSER_TESTS)]

from harness import Lab, browser_page, find_browser, open_notebook, run_all_cells, write_notebook  # noqa: E402

MEDIAN_MS, P95_MS, KEY_RATIO, DRAG_RATIO = 33, 60, 4, 4
MOVES_PER_S = 57
SETUP = """import sys
sys.path[:0] = {paths!r}
import ipywidgets
import matplotlib.pyplot as plt
from IPython.display import display
from {module} import {factory}
from vmech_core.panels import slider_panel
scene, controls = {factory}()"""
PANEL = "slider_panel(scene, controls, alt='Picture of the benchmark.')"
DRAW_TOY = """from toy_scene import fresh_figure
def draw(**values):
    fresh_figure(plt, **values)"""
DRAW_SCENE = """def draw(**values):
    fresh = {factory}()[0]
    fresh.update(**values)
    display(fresh.figure)"""
INTERACT = "_ = ipywidgets.interact(draw, **{c.name: c.widget() for c in controls})"
WATCH = """() => {
    const watch = window.watch = {key: null, width: 0, latencies: [], pictures: [], last: 0, wake: () => {}};
    document.addEventListener('keydown', event => { watch.key = event.timeStamp; }, true);
    document.addEventListener('load', event => {
        const picture = event.target;
        if (picture.tagName !== 'IMG' || !picture.closest('.jp-OutputArea') || !picture.naturalWidth) return;
        const width = picture.naturalWidth;
        requestAnimationFrame(frame => {
            const painted = new MessageChannel();
            painted.port1.onmessage = () => {
                watch.last = performance.now();
                watch.pictures.push({frame, width});
                if (watch.key !== null && (!watch.width || width === watch.width)) {
                    watch.latencies.push(performance.now() - watch.key);
                    watch.key = null;
                    watch.wake();
                }
            };
            painted.port2.postMessage(0);
        });
    }, true);
}"""
ANSWERED = """milliseconds => watch.key === null ? true : new Promise(done => {
    const late = setTimeout(() => done(false), milliseconds);
    watch.wake = () => { clearTimeout(late); watch.wake = () => {}; done(true); };
})"""
SETTLED = """quiet => new Promise(done => {
    const start = performance.now();
    const check = () => performance.now() - Math.max(watch.last, start) > quiet ? done() : setTimeout(check, 20);
    check();
})"""


class Driver:
    """Moves the first slider of one cell and times the pictures that answer."""

    def __init__(self, page, cell):
        self.page = page
        self.slider = page.locator(".jp-CodeCell").nth(cell).locator(".noUi-handle").first
        self.slider.scroll_into_view_if_needed()
        self.low, self.high = (float(self.slider.get_attribute(f"aria-value{end}")) for end in ("min", "max"))
        self.direction, self.width = "ArrowRight", 0
        self.missed = 0

    def settle(self, seconds=0.9):
        """Wait until no picture has come for a while."""
        self.page.evaluate(SETTLED, 1000 * seconds)

    def _turn_round_at_the_end(self):
        value = float(self.slider.get_attribute("aria-valuenow"))
        if value >= self.high or value <= self.low:
            self.direction = "ArrowLeft" if value >= self.high else "ArrowRight"

    def key(self):
        """Press an arrow key and wait for its picture."""
        self._turn_round_at_the_end()
        self.page.keyboard.press(self.direction)
        if not self.page.evaluate(ANSWERED, 5000):
            self.missed += 1
            self.page.evaluate("() => { watch.key = null; }")

    def ready(self):
        """Focus the slider and learn how wide a draft is: the first picture after a rest is one."""
        self.slider.focus()
        self.settle()
        self.page.evaluate("() => { watch.width = 0; watch.pictures = []; }")
        self.key()
        self.page.evaluate("() => { watch.width = watch.pictures[0].width; }")
        self.settle()

    def latencies(self, count, pause):
        """Times in milliseconds of that many key presses, each after a pause drawn by ``pause``."""
        self.page.evaluate("() => { watch.latencies = []; }")
        for _ in range(count):
            time.sleep(pause())
            self.key()
        return self.page.evaluate("() => watch.latencies")

    def drag(self, seconds):
        """Frames a second that showed a new draft, and moves a second, while the mouse drags to and fro."""
        send = self.page.context.new_cdp_session(self.page).send  # the page's own mouse waits longer for each move
        box = self.slider.locator("xpath=ancestor::*[contains(@class, 'noUi-target')]").bounding_box()
        y, left, span = box["y"] + box["height"] / 2, box["x"] + 0.1 * box["width"], 0.8 * box["width"]
        handle, mouse = self.slider.bounding_box(), self.page.mouse
        mouse.move(handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2)
        mouse.down()
        self.page.evaluate("() => { watch.key = null; watch.pictures = []; }")
        start, moves = time.perf_counter(), 0
        while (now := time.perf_counter() - start) < seconds:
            there = abs((now / 2) % 2 - 1)
            where = {"x": left + span * there, "y": y, "button": "left", "buttons": 1}
            send("Input.dispatchMouseEvent", {"type": "mouseMoved", **where})
            moves += 1
            time.sleep(max(0.0, start + moves / MOVES_PER_S - time.perf_counter()))
        elapsed = time.perf_counter() - start
        pictures = self.page.evaluate("() => watch.pictures.filter(p => p.width === watch.width).map(p => p.frame)")
        mouse.up()
        self.settle()
        return len(set(pictures)) / elapsed, moves / elapsed


def benchmark_cells(scene):
    """Code of three cells, the panel in its second cell and ``interact`` in its third."""
    module, factory = scene.split(":")
    names = {"module": module, "factory": factory, "paths": [str(ROOT), str(BROWSER_TESTS)]}
    draw = DRAW_TOY if scene == "toy_scene:toy" else DRAW_SCENE.format(**names)
    cells = [SETUP.format(**names), PANEL, f"{draw}\n{INTERACT}"]
    return cells


def measure(page, lab, options):
    """Figures of both ways on one server: quick keys, keys after a rest, pictures and moves a second."""
    open_notebook(page, lab.url("bench.ipynb"))
    run_all_cells(page)
    page.evaluate(WATCH)
    time.sleep(2)
    results = {name: {"quick": [], "rested": [], "drag": [], "moves": []} for name in ("panel", "interact")}
    for _ in range(options.rounds):
        for cell, name in ((1, "panel"), (2, "interact")):
            driver, result = Driver(page, cell), results[name]
            driver.ready()
            result["quick"] += driver.latencies(-(-options.events // options.rounds), lambda: random.uniform(0.01, 0.05))
            result["rested"] += driver.latencies(-(-options.pauses // options.rounds), lambda: random.uniform(0.5, 0.8))
            pictures, moves = driver.drag(options.drag_seconds)
            result["drag"].append(pictures)
            result["moves"].append(moves)
            if driver.missed:
                raise RuntimeError(f"{driver.missed} key presses on {name} were not answered within 5 s.")
    return results


def percentile(values, share):
    """Value below which that share lies."""
    return statistics.quantiles(values, n=100, method="inclusive")[round(100 * share) - 1]


def report(title, results):
    """Print one table, the ratios and whether the targets are met."""
    print(f"\n{title}\n{'':10s} {'quick keys [ms]':>24s} {'keys after a rest [ms]':>26s} {'drag [1/s]':>18s}")
    print(f"{'':10s} {'n':>6s}{'median':>9s}{'p95':>9s} {'n':>8s}{'median':>9s}{'p95':>9s} {'pictures':>10s}{'moves':>8s}")
    for name, r in results.items():
        keys = [(len(r[k]), statistics.median(r[k]), percentile(r[k], 0.95)) for k in ("quick", "rested")]
        quick, rested = ("{:6d}{:9.1f}{:9.1f}".format(*row) for row in keys)
        print(f"{name:10s} {quick}   {rested} {statistics.mean(r['drag']):10.1f}{statistics.mean(r['moves']):8.1f}")
    ours, theirs = results["panel"], results["interact"]
    both = {name: r["quick"] + r["rested"] for name, r in results.items()}
    rows = [
        ("median of all keys", statistics.median(both["panel"]), "<=", MEDIAN_MS, "ms"),
        ("95th percentile of all keys", percentile(both["panel"], 0.95), "<=", P95_MS, "ms"),
        ("interact / panel, median", statistics.median(both["interact"]) / statistics.median(both["panel"]), ">=", KEY_RATIO, ""),
        ("panel / interact, pictures", statistics.mean(ours["drag"]) / statistics.mean(theirs["drag"]), ">=", DRAG_RATIO, ""),
    ]
    for label, value, sign, target, unit in rows:
        met = value <= target if sign == "<=" else value >= target
        print(f"  {label:30s} {value:7.1f} {unit:3s} target {sign} {target:3d} {unit:3s} {'met' if met else 'NOT met'}")


def parse_arguments():
    """Options of the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--events", type=int, default=200, help="quick key presses for each way")
    parser.add_argument("--pauses", type=int, default=40, help="key presses after a rest, for each way")
    parser.add_argument("--drag-seconds", type=float, default=4.0, help="length of each drag")
    parser.add_argument("--rounds", type=int, default=2, help="how often the two ways take turns")
    parser.add_argument("--server", choices=("both", "nodelay", "stock"), default="both")
    parser.add_argument("--scene", default="toy_scene:toy", help="module:factory; the factory returns scene, controls")
    return parser.parse_args()


def main():
    """Measure and report; the exit code says only whether measuring worked."""
    options = parse_arguments()
    if not find_browser():
        sys.exit("No browser found, so nothing was measured.")
    module, factory = options.scene.split(":")
    getattr(importlib.import_module(module), factory)
    for server in ("nodelay", "stock") if options.server == "both" else (options.server,):
        with contextlib.ExitStack() as stack:
            folder = stack.enter_context(tempfile.TemporaryDirectory())
            write_notebook(Path(folder) / "bench.ipynb", benchmark_cells(options.scene))
            lab = stack.enter_context(Lab(folder, nodelay=server == "nodelay"))
            page = stack.enter_context(browser_page())
            load = getattr(os, "getloadavg", lambda: (float("nan"),))
            before = load()[0]
            results = measure(page, lab, options)
            title = "server with TCP_NODELAY" if server == "nodelay" else "stock server"
            report(f"{title}; load of the machine {before:.1f} before, {load()[0]:.1f} after", results)


if __name__ == "__main__":
    main()
