"""Files that the project makes of itself must be what it would make now: claims, picture, traces."""

import importlib.util
import re
from pathlib import Path

import pytest

from vmech_core import assess, load_design
from vmech_core.claims import CLAIMS, OPEN, insert
from vmech_core.show import machine

ROOT = Path(__file__).resolve().parents[2]
#: What a picture says of the version that drew it: all that differs between versions.
VERSION = re.compile(r"<dc:title>Matplotlib v[^<]*</dc:title>")


def traces():
    """The module data/make_traces.py, which is no part of the package."""
    spec = importlib.util.spec_from_file_location("make_traces", ROOT / "data" / "make_traces.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_claims_in_the_readme_are_those_that_the_core_computes():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    engine = assess(load_design(ROOT / "data" / "v_twin_generator.toml"))
    assert insert(text, engine) == text, "stale: python -m vmech_core.claims README.md"
    assert all((claim.number is None) == (claim.holds == OPEN) for claim in CLAIMS)


def test_the_claims_follow_the_design():
    """The check above can fail: another speed gives another table."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    design = load_design(ROOT / "data" / "v_twin_generator.toml")
    assert insert(text, assess(design.changed(**{"duty.speed_rpm": 2000}))) != text


def test_the_picture_in_the_readme_is_what_the_core_draws(tmp_path):
    machine.main(tmp_path / "again.svg")
    saved = ROOT / "notebooks" / "pictures" / "machine.svg"
    again, kept = (VERSION.sub("", path.read_text(encoding="utf-8")) for path in (tmp_path / "again.svg", saved))
    assert again == kept, "stale: python -m vmech_core.show.machine " + str(saved)


@pytest.mark.parametrize("name", traces().TRACES)
def test_each_trace_is_its_formula(name):
    module = traces()
    assert (ROOT / "data" / name).read_text(encoding="utf-8") == module.text(module.TRACES[name])
