"""How fast the picture follows the finger: our slider engine against plain ``interact``, in one run and one browser.

    python tests/bench/slider_speed.py --events 200
    python tests/bench/slider_speed.py --events 200 --scene course_scene:straight_line

Both ways draw the same content and are driven alike, by turns: keys in quick succession, keys after pauses long enough
for the sharp picture in between, and drags with about 57 moves a second; first on a server with the course's option
TCP_NODELAY, then on a stock server. A key's latency runs from the browser's time stamp of the key press until the new
picture is complete and the animation frame that shows it begins; the times of complete loading and of the end of
painting stand below the table. A loop of plain Python, timed before each turn, tells how fast the machine is at the
moment: other work on it slows everything. A drag runs through the range in two seconds, so a slider of 50 steps cannot
make more than 25 pictures a second: choose a finer one with ``--slider``. Needs an installed browser; takes five to
ten minutes.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
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
from vmech_core.teach import slider_panel
from vmech_core.teach.look import widget
scene = {factory}()"""
PANEL = "slider_panel(scene, alt='Picture of the benchmark.')"
DRAW_TOY = """from toy_scene import fresh_figure
def draw(**values):
    fresh_figure(plt, **values)"""
DRAW_SCENE = """def draw(**values):
    fresh = {factory}()
    fresh.update(**values)
    display(fresh.figure)"""
INTERACT = "_ = ipywidgets.interact(draw, **{c.name: widget(c) for c in scene.controls})"
WATCH = """() => {
    const watch = window.watch = {key: null, width: 0, latencies: [], pictures: [], last: 0, wake: () => {}};
    document.addEventListener('keydown', event => { watch.key = event.timeStamp; }, true);
    document.addEventListener('load', event => {
        const picture = event.target, loaded = performance.now();
        if (picture.tagName !== 'IMG' || !picture.closest('.jp-OutputArea') || !picture.naturalWidth) return;
        const width = picture.naturalWidth;
        requestAnimationFrame(frame => {
            const framed = performance.now(), channel = new MessageChannel();
            channel.port1.onmessage = () => {
                const painted = watch.last = performance.now();
                watch.pictures.push({frame, width});
                if (watch.key !== null && (!watch.width || width === watch.width)) {
                    watch.latencies.push([loaded, framed, painted].map(time => time - watch.key));
                    watch.key = null;
                    watch.wake();
                }
            };
            channel.port2.postMessage(0);
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
    """Moves one slider of one cell and times the pictures that answer."""

    def __init__(self, page, cell, slider=0):
        self.page = page
        self.slider = page.locator(".jp-CodeCell").nth(cell).locator(".noUi-handle").nth(slider)
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


def machine_speed():
    """Milliseconds of a fixed loop of plain Python: best of three."""

    def once():
        start = time.perf_counter()
        sum(range(1_000_000))
        return 1e3 * (time.perf_counter() - start)

    return min(once() for _ in range(3))


def measure(page, lab, options):
    """Figures of both ways on one server, measured by turns."""
    open_notebook(page, lab.url("bench.ipynb"))
    run_all_cells(page)
    page.evaluate(WATCH)
    time.sleep(2)
    results = {name: {"quick": [], "rested": [], "drag": [], "moves": [], "loop": []} for name in ("panel", "interact")}
    keys, pauses = (-(-count // options.rounds) for count in (options.events, options.pauses))
    for _ in range(options.rounds):
        for cell, (name, result) in enumerate(results.items(), start=1):
            driver = Driver(page, cell, options.slider)
            driver.ready()
            result["loop"].append(machine_speed())
            result["quick"] += driver.latencies(keys, lambda: random.uniform(0.01, 0.05))
            result["rested"] += driver.latencies(pauses, lambda: random.uniform(0.5, 0.8))
            pictures, moves = driver.drag(options.drag_seconds)
            result["drag"].append(pictures)
            result["moves"].append(moves)
            if driver.missed:
                raise RuntimeError(f"{driver.missed} key presses on {name} were not answered within 5 s.")
    return results


def percentile(values, share):
    """Value below which that share lies."""
    return statistics.quantiles(values, n=100, method="inclusive")[round(100 * share) - 1]


def summary(rows, stage):
    """Number, median and 95th percentile at one stage: 0 loaded, 1 its frame begins, 2 painted."""
    times = [row[stage] for row in rows]
    return len(times), statistics.median(times), percentile(times, 0.95)


def report(title, results):
    """Print one table, the ratios and whether the targets are met."""
    print(f"\n{title}")
    print(f"{'':10s}{'quick keys [ms]':>25s}{'keys after a rest [ms]':>27s}{'drag [1/s]':>19s}")
    heads = f"{'n':>7s}{'median':>9s}{'p95':>9s}"
    print(f"{'':10s}{heads}  {heads}{'pictures':>11s}{'moves':>8s}")
    for name, r in results.items():
        quick, rested = ("{:7d}{:9.1f}{:9.1f}".format(*summary(r[k], 1)) for k in ("quick", "rested"))
        print(f"{name:10s}{quick}  {rested}{statistics.mean(r['drag']):11.1f}{statistics.mean(r['moves']):8.1f}")
    ours, theirs = results["panel"], results["interact"]
    panel, interact = (r["quick"] + r["rested"] for r in (ours, theirs))
    for stage, name in ((0, "loaded"), (2, "painted")):
        both = ("{1:.1f} / {2:.1f}".format(*summary(rows, stage)) for rows in (panel, interact))
        print("  all keys, until {}, median / p95 [ms]: panel {}, interact {}".format(name, *both))
    loops = ours["loop"] + theirs["loop"]
    print(f"  loop of plain Python [ms]: {min(loops):.1f} to {max(loops):.1f}")
    drag = statistics.mean(ours["drag"]) / statistics.mean(theirs["drag"])
    rows = [
        ("median of all keys", summary(panel, 1)[1], "<=", MEDIAN_MS, "ms"),
        ("95th percentile of all keys", summary(panel, 1)[2], "<=", P95_MS, "ms"),
        ("keys: interact / panel, median", summary(interact, 1)[1] / summary(panel, 1)[1], ">=", KEY_RATIO, ""),
        ("drag: panel / interact, pictures", drag, ">=", DRAG_RATIO, ""),
    ]
    for label, value, sign, target, unit in rows:
        met = value <= target if sign == "<=" else value >= target
        print(f"  {label:34s}{value:7.1f} {unit:3s}target {sign} {target:3d} {unit:3s}{'met' if met else 'NOT met'}")


def parse_arguments():
    """Options of the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--events", type=int, default=200, help="quick key presses for each way")
    parser.add_argument("--pauses", type=int, default=40, help="key presses after a rest, for each way")
    parser.add_argument("--drag-seconds", type=float, default=3.0, help="length of each drag")
    parser.add_argument("--rounds", type=int, default=4, help="how often the two ways take turns")
    parser.add_argument("--server", choices=("both", "nodelay", "stock"), default="both")
    parser.add_argument("--scene", default="toy_scene:toy", help="module:factory; the factory returns a scene")
    parser.add_argument("--slider", type=int, default=0, help="which one is moved, from 0; a drag needs many steps")
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
            title = "Server with TCP_NODELAY" if server == "nodelay" else "Stock server"
            report(f"{title}, scene {options.scene}", measure(page, lab, options))


if __name__ == "__main__":
    main()
