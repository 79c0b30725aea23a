"""Files that the project makes of itself must be what it would make now: claims, picture, traces."""

import importlib.util
import io
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from vmech_core import assess, load_design
from vmech_core.claims import CLAIMS, OPEN, insert
from vmech_core.show import side_load, style

ROOT = Path(__file__).resolve().parents[2]


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
    command = [sys.executable, "-m", "vmech_core.show.machine", str(tmp_path / "again.svg")]
    subprocess.run(command, check=True, cwd=ROOT)
    saved = ROOT / "notebooks" / "pictures" / "machine.svg"
    again, before = (re.sub("<dc:title>.*</dc:title>", "", path.read_text(encoding="utf-8"))  # names a version
                     for path in (tmp_path / "again.svg", saved))
    assert again == before, "stale: python -m vmech_core.show.machine " + str(saved)


@pytest.fixture(scope="module")
def scene():
    return side_load.SideLoadScene(load_design(ROOT / "data" / "v_twin_generator.toml"))


def different(one, other):
    """Share of pixels whose colour differs by more than a quarter of the scale."""
    one, other = (np.asarray(image.convert("RGB"), dtype=int) for image in (one, other))
    assert one.shape == other.shape
    return float((np.abs(one - other).max(axis=-1) > 64).mean())


def test_still_and_animation_of_the_side_load_are_what_the_core_draws(scene):
    """Pixels, not bytes: another version of a font library moves the edge of a letter, and nothing else."""
    folder, stale = ROOT / "notebooks" / "pictures", "stale: python -m vmech_core.show.side_load notebooks/pictures"
    scene.update()
    still = Image.open(io.BytesIO(style.picture(scene.figure, side_load.STILL_DPI)))
    assert different(still, Image.open(folder / side_load.STILL)) < 0.003, stale
    film = Image.open(folder / side_load.FILM)
    assert 24 <= film.n_frames == side_load.FRAMES <= 36
    every = side_load.FRAMES // 3
    for k, drawn in enumerate(side_load.frames(scene, 3)):
        film.seek(k * every)
        assert different(drawn, film) < 0.003, stale
    film.seek(1)
    assert different(side_load.frames(scene, 1)[0], film) > 0.003, "this check cannot fail"


def test_the_words_on_the_side_load_are_its_numbers(scene):
    """README and notebook 00 name three forces of the still."""
    scene.update()
    bore, none, teeth, guide = (f"{force / 1e3:.1f}" for force in scene.forces.values())
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert none == "0.0" and f"gear teeth carry {teeth} kN and a guide {guide} kN" in text
    assert f"on its bore with {scene.forces['ordinary crank, on a bore'] / 1e3:.2f} kN" in text and bore == "1.5"
    pictures = [ROOT / "notebooks" / "pictures" / name for name in (side_load.STILL, side_load.FILM)]
    assert all(f"pictures/{path.name})" in text for path in pictures)
    assert sum(path.stat().st_size for path in pictures) < 600_000


@pytest.mark.parametrize("name", traces().TRACES)
def test_each_trace_is_its_formula(name):
    module = traces()
    assert (ROOT / "data" / name).read_text(encoding="utf-8") == module.text(module.TRACES[name])
