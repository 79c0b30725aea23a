"""What all tests share: settings that must stand before numpy and matplotlib load, fixed seeds, the order of files."""

import importlib.util
import os
import shutil
import tempfile
from pathlib import Path

import core_size
import hypothesis
import pytest

from vmech_core.start import ONE_THREAD

REPOSITORY = Path(__file__).resolve().parents[1]
#: Started first, so that the two workers end together; the rest follows in the order of collection.
SLOWEST_FIRST = (
    "tests/browser",
    "tests/machine/test_multibody",
    "notebooks",
    "tests/design/test_design_refusals",
    "tests/machine/test_physics",
)

for _name in ONE_THREAD:
    os.environ.setdefault(_name, "1")
# The file chooses a backend without windows. MPLBACKEND would outrank it and would reach the notebooks' kernels,
# which must choose their own inline backend; so it is taken away.
os.environ.pop("MPLBACKEND", None)
os.environ["MATPLOTLIBRC"] = str(REPOSITORY / "tests" / ".matplotlibrc")

# Kernels of the notebooks record which modules of the core they load; made once, workers of the test run inherit it.
if "VMECH_RECORDS" not in os.environ:
    os.environ["IPYTHONDIR"] = tempfile.mkdtemp(prefix="vmech_ipython_")
    os.environ["VMECH_RECORDS"] = str(core_size.prepare(os.environ["IPYTHONDIR"]))
    MADE_HERE = True
else:
    MADE_HERE = False

hypothesis.settings.register_profile("course", derandomize=True, deadline=None, database=None, print_blob=True)
hypothesis.settings.load_profile("course")


def pytest_configure(config):
    """Tests make designs that are hardly meant; those of the warnings themselves ask for them."""
    config.addinivalue_line("filterwarnings", "ignore::vmech_core.sheet.doubts.Doubtful")


@pytest.hookimpl(wrapper=True)
def pytest_collect_file():
    """Examples in docstrings are looked for in the core only: this hook acts on files below tests."""
    found = yield
    return [collector for collector in found if type(collector).__name__ != "DoctestModule"]


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items):
    """Slow files first, and of two alike the one with more in it."""
    count = {}
    for item in items:
        count[item.path] = count.get(item.path, 0) + 1

    def rank(item):
        name = item.path.relative_to(REPOSITORY).as_posix() if item.path.is_relative_to(REPOSITORY) else ""
        place = next((k for k, start in enumerate(SLOWEST_FIRST) if name.startswith(start)), len(SLOWEST_FIRST))
        return place, -count[item.path] if place < len(SLOWEST_FIRST) else 0

    items.sort(key=rank)


@pytest.fixture
def rng():
    """A random generator with a fixed seed."""
    import numpy as np

    return np.random.default_rng(20_240)


def pytest_sessionfinish(session):
    """A notebook that loads more of the core than it may fails the run."""
    if MADE_HERE and core_size.faults(core_size.reach(os.environ["VMECH_RECORDS"])) and not session.exitstatus:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter):
    """Print the size of the core, and which rows of the table of published values are used or why they are not."""
    if not MADE_HERE:  # a worker: its summary is not printed
        return
    loaded = core_size.reach(os.environ["VMECH_RECORDS"])
    terminalreporter.section("size of the core")
    for line in [*core_size.table(loaded), *core_size.faults(loaded)]:
        terminalreporter.write_line(line)
    shutil.rmtree(os.environ["IPYTHONDIR"], ignore_errors=True)
    path = REPOSITORY / "tests" / "published" / "test_rows.py"
    spec = importlib.util.spec_from_file_location("published_rows", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    terminalreporter.section("published values")
    for line in module.report():
        terminalreporter.write_line(line)
