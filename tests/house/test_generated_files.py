"""Files that the project makes of itself must be what it would make now: claims, picture, traces."""

import importlib.util
import io
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from vmech_core import assess, load_design
from vmech_core.show import side_load, style

ROOT = Path(__file__).resolve().parents[2]


def script(name):
    """A module of data/, which is no part of the package."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "data" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


claims, pictures, traces = (script(f"make_{name}") for name in ("claims", "pictures", "traces"))


def test_the_claims_in_the_readme_are_those_that_the_core_computes():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    engine = assess(load_design(ROOT / "data" / "v_twin_generator.toml"))
    assert claims.insert(text, engine) == text, "stale: python data/make_claims.py"


def test_the_claims_follow_the_design():
    """The check above can fail: another speed gives another table."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    design = load_design(ROOT / "data" / "v_twin_generator.toml")
    assert claims.insert(text, assess(design.changed(**{"duty.speed_rpm": 2000}))) != text


def test_the_picture_in_the_readme_is_what_the_core_draws(tmp_path):
    pictures.drawing(load_design(ROOT / "data" / "v_twin_generator.toml"), tmp_path / "again.svg")
    saved = ROOT / "notebooks" / "pictures" / pictures.DRAWING
    again, before = (re.sub("<dc:title>.*</dc:title>", "", path.read_text(encoding="utf-8"))  # names a version
                     for path in (tmp_path / "again.svg", saved))
    assert again == before, "stale: python data/make_pictures.py"


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
    folder, stale = ROOT / "notebooks" / "pictures", "stale: python data/make_pictures.py"
    scene.update()
    still = Image.open(io.BytesIO(style.picture(scene.figure, pictures.STILL_DPI)))
    assert different(still, Image.open(folder / pictures.STILL)) < 0.003, stale
    film = Image.open(folder / pictures.FILM)
    assert 24 <= film.n_frames == pictures.FRAMES <= 36
    every = pictures.FRAMES // 3
    for k, drawn in enumerate(pictures.frames(scene, 3)):
        film.seek(k * every)
        assert different(drawn, film) < 0.003, stale
    film.seek(1)
    assert different(pictures.frames(scene, 1)[0], film) > 0.003, "this check cannot fail"


def test_the_words_on_the_side_load_are_its_numbers(scene):
    """README and notebook 00 name three forces of the still."""
    scene.update()
    bore, none, teeth, guide = (f"{force / 1e3:.1f}" for force in scene.forces.values())
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert none == "0.0" and f"gear teeth carry {teeth} kN and a guide {guide} kN" in text
    assert f"on its bore with {scene.forces['ordinary crank, on a bore'] / 1e3:.2f} kN" in text and bore == "1.2"
    files = [ROOT / "notebooks" / "pictures" / name for name in (pictures.STILL, pictures.FILM)]
    assert all(f"pictures/{path.name})" in text for path in files)
    assert sum(path.stat().st_size for path in files) < 600_000


@pytest.mark.parametrize("name", traces.TRACES)
def test_each_trace_is_its_formula(name):
    assert (ROOT / "data" / name).read_text(encoding="utf-8") == traces.text(traces.TRACES[name])
