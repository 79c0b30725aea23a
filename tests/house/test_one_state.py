"""Every number rests on one state and one load case: README, sheet and notebooks are walked.

A notebook that wants another state, or a given trace, says so in the cell's tags: ``another state``. Own rule.
"""

import json
import re
from pathlib import Path

import pytest

from vmech_core import assess, load_design

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
#: Code that leaves the running state or the own cycle, and words that outputs then hold.
LEAVES = re.compile(r"\bstate\s*=|\btrace\s*=|pressure_from|\bHeat\(|--cold")
WORDS = re.compile(r"\bcold: all parts|given trace, v_twin|other temperatures: ")
TAG = "another state"


@pytest.fixture(scope="module")
def engine():
    return assess(load_design(ROOT / "data" / "v_twin_generator.toml"))


def stray(notebook):
    """Code cells that leave the one state without their tag, by number."""
    cells = [(place, cell) for place, cell in enumerate(notebook["cells"]) if cell["cell_type"] == "code"]
    return [place for place, cell in cells if TAG not in cell["metadata"].get("tags", []) and (
            LEAVES.search("".join(cell["source"])) or WORDS.search(json.dumps(cell.get("outputs", []))))]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_leaves_the_running_state_only_where_it_says_so(path):
    assert stray(json.loads(path.read_text(encoding="utf-8"))) == []


def test_the_walk_finds_what_it_looks_for():
    def cell(source, tags=(), text=""):
        return {"cell_type": "code", "source": [source], "metadata": {"tags": list(tags)}, "outputs": [{"text": text}]}

    cells = [cell("a = assess(d)"), cell("Case(d, state='cold')"), cell("Case(d, state='cold')", [TAG]),
             cell("print(a.basis)", text="cold: all parts 20, oil 20 C"), cell("Case(d, trace=mine)"),
             cell("print(a.basis)", text="running: all parts 20, oil 20 C; own full-load cycle, 50.9 bar")]
    assert stray({"cells": cells}) == [1, 3, 4]


def test_the_readme_says_its_state_and_load_case_once(engine):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    table = text[text.index("<!-- claims"):text.index("<!-- end of claims")]
    assert f"State: {engine.state_words}. Load case: {engine.load_case}." in table
    assert engine.state == "running" and engine.load_case.startswith("own full-load cycle")
    assert not WORDS.search(text)


def test_the_whole_sheet_has_one_state_and_one_load_case(engine):
    sheet = engine.report()
    found = re.findall(r"\((?:[^;()\n]* °C; )?((?:own full|given trace)[^()\n]*)\)", sheet)
    assert len(found) == 15 and set(found) == {engine.load_case}
    assert set(re.findall(r"\(((?:running|cold|other temperatures): [^;()]*);", sheet)) == {engine.state_words}


def minutes(path):
    """Minutes that a notebook asks for."""
    return int(re.search(r"\*\*Time:\*\* about (\d+) minutes", path.read_text(encoding="utf-8"))[1])


def test_the_minutes_of_the_overview_are_those_of_the_notebooks():
    overview = (ROOT / "notebooks" / "00_start_here.ipynb").read_text(encoding="utf-8")
    rows = re.findall(r"\| (?:\[)?(\d\d_\w+)(?:\]\([^)]*\))? \| [^|]* \| (\d+) \| ready \|", overview)
    assert {name: int(asked) for name, asked in rows} == {path.stem: minutes(path) for path in NOTEBOOKS}
    asked = sorted(map(minutes, NOTEBOOKS))
    assert f"{asked[0]} to {asked[-1]} minutes each" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_plays_on_the_first_picture_are_those_of_the_warm_machine(engine):
    """The overview says so: they differ from the drawing's, and are what the drawing's become.

    By hand: size times expansion times warming, iron block on steel carrier, iron bore on an alloy piston."""
    text = (ROOT / "notebooks" / "00_start_here.ipynb").read_text(encoding="utf-8")
    assert "the plays are those that the drawing's plays become" in text
    assert "plays are those of the drawing" not in text
    drawn, runs = engine.drawing, engine.design
    made = drawn.bearings.carrier_clearance_um, drawn.guide.piston_clearance_um
    warm = runs.bearings.carrier_clearance_um, runs.guide.piston_clearance_um
    assert warm[0] - made[0] == pytest.approx(96e3 * (11.4e-6 - 11.5e-6) * 80.0, abs=0.01)
    assert made[1] - warm[1] == pytest.approx(58e3 * (20.5e-6 * 180.0 - 11.4e-6 * 130.0), abs=0.01)
