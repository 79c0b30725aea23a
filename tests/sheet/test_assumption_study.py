"""The ranking of assumptions against the same cases solved by themselves."""

import runpy
from pathlib import Path

import numpy as np
import pytest

from vmech_core import InputError, assess, load_design
from vmech_core.case import Case
from vmech_core.friction import ASSUMPTIONS, of_ordinary, of_straight

DATA = Path(__file__).resolve().parents[2] / "data"
_STUDY = runpy.run_path(str(DATA / "assumption_study.py"))
assumptions, assumption_lines = _STUDY["assumptions"], _STUDY["assumption_lines"]
ENGINE = load_design(DATA / "v_twin_generator.toml")


@pytest.fixture(scope="module")
def ranked():
    return assumptions(assess(ENGINE), 73)


def headlines(design, values=None):
    case = Case(design, 73)
    saving = of_ordinary(case, values).mean() - of_straight(case, values).mean()
    return float(np.ravel(saving)[0]), np.abs(case.shared["mesh"]).max(), np.abs(case.shared["guide"]).max()


def test_rows_are_the_cases_solved_alone(ranked):
    nominal, rows = ranked
    named = {row.name: row for row in rows}
    assert nominal == pytest.approx(headlines(ENGINE), rel=1e-9)
    for name in ("guide.clearance_um", "lubricant.temperature_C", "bearings.crankpin_clearance_um"):
        row, start = named[name], getattr(getattr(ENGINE, name.split(".")[0]), name.split(".")[1])
        new = row.estimate.high * start if row.estimate.unit == "1" else start + row.estimate.high
        found = row.saving[1], row.tooth[1], row.guide[1]
        assert found == pytest.approx(headlines(ENGINE.changed(**{name: new})), rel=1e-9), name
    sheared = headlines(ENGINE, {"sheared": ASSUMPTIONS["sheared"].low})[0]
    assert named["sheared"].saving[0] == pytest.approx(sheared, rel=1e-9)


def test_they_stand_in_order_and_every_estimate_is_there(ranked):
    nominal, rows = ranked
    assert [row.weight for row in rows] == sorted((row.weight for row in rows), reverse=True)
    names = {row.name for row in rows}
    assert names >= set(ASSUMPTIONS) - {"inlet"} and {"stiffness of mesh", "masses.piston_g", "gas pressure"} <= names
    lines = assumption_lines(nominal, rows, 5)
    assert len(lines) == 8 and lines[-1].startswith(f"{len(rows) - 5} more")
    heavy = {row.name for row in rows[:6]}
    assert "stiffness of guide" in heavy


def test_a_dry_machine_is_refused():
    with pytest.raises(InputError, match="dry"):
        assumptions(assess(load_design(DATA / "desk_model.toml")), 37)
