"""A JupyterLab of its own and a headless browser, for the tests and the slider benchmark.

The server is the one of the running Python, so is the kernel; nothing reads or writes the user's own Jupyter folders.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from contextlib import contextmanager
from pathlib import Path

import nbformat

REPOSITORY = Path(__file__).resolve().parents[2]
SERVER_CONFIG = REPOSITORY / ".jupyter"
BROWSER_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
SETTINGS = {
    "apputils-extension/notification": {"fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True},
    "docmanager-extension/plugin": {"autosave": False},
    "notebook-extension/tracker": {"windowingMode": "none"},
}
CODE_CELLS = """() => [...window.jupyterapp.shell.currentWidget.content.model.cells]
    .filter(cell => cell.type === 'code' && cell.sharedModel.getSource().trim())
    .map(cell => ({count: cell.executionCount, outputs: cell.outputs.toJSON()}))"""
KERNEL_READY = """() => {
    const kernel = window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel;
    return !!kernel && kernel.connectionStatus === 'connected' && kernel.status === 'idle';
}"""


def find_browser():
    """Path of an installed browser, or None."""
    return next((path for path in map(shutil.which, BROWSER_NAMES) if path), None)


def require_browser():
    """Skip the running test where no browser is installed; fail it where CI is set."""
    import pytest

    if not find_browser():
        reason = f"no browser found (looked for {', '.join(BROWSER_NAMES)})"
        if os.environ.get("CI", "").lower() in ("", "0", "false"):
            pytest.skip(reason)
        pytest.fail(reason)


class Lab:
    """JupyterLab serving a folder on a free local port, with configuration folders of its own."""

    def __init__(self, root, nodelay=True, environment=None):
        self.root, self.home = Path(root), Path(tempfile.mkdtemp(prefix="vmech-lab-"))
        self.token = secrets.token_hex(16)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self._write_settings()
        self._write_kernel()
        self.log_file = self.home / "server.log"
        self.process = self._start({**self._environment(nodelay), **(environment or {})})
        try:
            self._wait_until_it_answers()
        except BaseException:
            self.close()
            raise

    def _write_settings(self):
        for name, values in SETTINGS.items():
            path = self.home / "settings" / "@jupyterlab" / f"{name}.jupyterlab-settings"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(json.dumps(values))

    def _write_kernel(self):
        folder = self.home / "share" / "kernels" / "python3"
        folder.mkdir(parents=True)
        command = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
        (folder / "kernel.json").write_text(
            json.dumps({"argv": command, "display_name": "Python of the tests", "language": "python"})
        )

    def _environment(self, nodelay):
        own = {
            "JUPYTER_CONFIG_DIR": "config",
            "JUPYTER_DATA_DIR": "data",
            "JUPYTER_RUNTIME_DIR": "runtime",
            "JUPYTERLAB_SETTINGS_DIR": "settings",
            "JUPYTERLAB_WORKSPACES_DIR": "workspaces",
            "IPYTHONDIR": "ipython",
            "JUPYTER_PATH": "share",
        }
        environment = dict(os.environ, **{name: str(self.home / folder) for name, folder in own.items()})
        environment.pop("JUPYTER_CONFIG_PATH", None)
        if nodelay:
            environment["JUPYTER_CONFIG_PATH"] = str(SERVER_CONFIG)
        paths = [str(REPOSITORY), os.environ.get("PYTHONPATH", "")]
        environment["PYTHONPATH"] = os.pathsep.join(path for path in paths if path)
        return environment

    def _start(self, environment):
        options = [
            "--no-browser",
            "--allow-root",
            "--ServerApp.ip=127.0.0.1",
            f"--ServerApp.port={self.port}",
            "--ServerApp.port_retries=0",
            f"--ServerApp.root_dir={self.root}",
            f"--IdentityProvider.token={self.token}",
            "--LabApp.expose_app_in_browser=True",
            "--ServerApp.terminals_enabled=False",
        ]
        with self.log_file.open("wb") as log:
            command = [sys.executable, "-m", "jupyterlab", *options]
            return subprocess.Popen(command, env=environment, stdout=log, stderr=subprocess.STDOUT, cwd=self.root)

    def request(self, path, method="GET"):
        """Body of an answer of the server's own interface."""
        url = f"http://127.0.0.1:{self.port}{path}"
        request = urllib.request.Request(url, method=method, headers={"Authorization": f"token {self.token}"})
        with urllib.request.urlopen(request, timeout=5) as answer:
            return answer.read()

    def _wait_until_it_answers(self, seconds=40):
        limit = time.monotonic() + seconds
        while time.monotonic() < limit and self.process.poll() is None:
            try:
                return self.request("/api/status")
            except OSError:
                time.sleep(0.05)
        raise RuntimeError(f"JupyterLab did not start. Its log:\n{self.log()[-3000:]}")

    def log(self):
        """What the server has logged so far."""
        return self.log_file.read_text(errors="replace")

    def url(self, notebook):
        """Address that opens one notebook alone."""
        return f"http://127.0.0.1:{self.port}/lab/tree/{notebook}?token={self.token}&reset"

    def close(self):
        """Stop the server and its kernels and remove their folders."""
        try:
            self.request("/api/shutdown", "POST")
            self.process.wait(10)
        except Exception:
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
        shutil.rmtree(self.home, ignore_errors=True)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()


@contextmanager
def browser_page(width=1280, height=1000):
    """An empty page of a headless browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        options = ["--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
        browser = playwright.chromium.launch(executable_path=find_browser(), headless=True, args=options)
        try:
            yield browser.new_page(viewport={"width": width, "height": height})
        finally:
            browser.close()


def write_notebook(path, cells):
    """Write a notebook of code cells for the kernel of the tests."""
    metadata = {"kernelspec": {"name": "python3", "display_name": "Python 3"}}
    nodes = [nbformat.v4.new_code_cell(source) for source in cells]
    nbformat.write(nbformat.v4.new_notebook(cells=nodes, metadata=metadata), path)


def open_notebook(page, url, seconds=60):
    """Open a notebook and wait until its kernel has stayed connected and idle for a moment."""
    page.goto(url, wait_until="domcontentloaded")
    page.wait_for_selector(".jp-NotebookPanel .jp-CodeCell", timeout=1000 * seconds)
    limit, quiet = time.monotonic() + seconds, 0
    while quiet < 6:
        if time.monotonic() > limit:
            raise RuntimeError("The notebook's kernel did not become idle.")
        quiet = quiet + 1 if page.evaluate(KERNEL_READY) else 0
        time.sleep(0.05)


def code_cells(page):
    """Execution count and outputs of every code cell that is not empty."""
    return page.evaluate(CODE_CELLS)


def error_outputs(page):
    """Every error that a cell shows, as one line."""
    outputs = [output for cell in code_cells(page) for output in cell["outputs"]]
    return [f"{o['ename']}: {o['evalue']}" for o in outputs if o["output_type"] == "error"]


def run_all_cells(page, seconds=120):
    """Run every cell; raise if one shows an error or does not finish."""
    page.evaluate("() => void window.jupyterapp.commands.execute('notebook:run-all-cells')")
    limit = time.monotonic() + seconds
    while not all(cell["count"] for cell in code_cells(page)):
        if errors := error_outputs(page):
            raise RuntimeError(f"A cell failed: {errors[0]}")
        if time.monotonic() > limit:
            raise RuntimeError(f"Not every cell has run within {seconds} s.")
        time.sleep(0.1)
