"""The whole sheet in one call: screens first, remedies that are tried, doubts, every stage."""

import random
import subprocess
import sys
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vmech_core import assess, load_design
from vmech_core.base.errors import InputError
from vmech_core.base.results import Margin
from vmech_core.design.design import Design
from vmech_core.plays import as_running
from vmech_core.sheet.doubts import Doubtful, doubts
from vmech_core.sheet.remedies import STEP, remedies
from vmech_core.sheet.stages import STAGES
from vmech_core.sheet.whole import state

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE, SKETCH = (load_design(DATA / f"{name}.toml") for name in ("v_twin_generator", "first_sketch"))
PUMP = load_design(DATA / "star_pump.toml")
NUMBERS = [(section, key, rule) for section, model in Design.sections().items() for key, rule in model.rules.items()
           if rule.kind == "number" and rule.listed != "must" and section in ("crank", "guide", "duty", "masses",
                                                                              "lubricant", "cylinders")]
WEAK = PUMP.changed(**{"gear_pair.face_width_mm": 16})
THIN = SKETCH.changed(**{"gear_pair.pinion_addendum": 0.6, "gear_pair.ring_addendum": 0.5})


def holding(design):
    return {margin.name for margin in assess(design).margins if margin.ok}


@pytest.mark.parametrize("design", [WEAK, SKETCH, THIN], ids=["weak pump", "sketch", "short teeth"])
def test_each_remedy_mends_its_screen_and_a_step_less_does_not(design):
    before, found = holding(design), 0
    for margin in assess(design).margins:
        for new in remedies(assess(design), margin.name) if not margin.ok else ():
            found += 1
            after = design.changed(**new)
            assert before | {margin.name} <= holding(after) and after.cylinders.stroke_mm == design.cylinders.stroke_mm
            if len(new) == 1:
                (key, value), = new.items()
                own = getattr(design.gear_pair, key.partition(".")[2])
                less = value - np.copysign(STEP[key.partition(".")[2]], value - own)
                assert not before | {margin.name} <= holding(design.changed(**{key: less}))
    assert found >= 2


def test_the_face_width_that_is_named():
    """Stress falls as one over the width: 362.1 MPa at 16 mm asks for 27.6 mm at 210 MPa; the crank adds to it."""
    stress = assess(WEAK).margins[-2]
    width = next(new for new in remedies(assess(WEAK), stress.name))["gear_pair.face_width_mm"]
    assert 0 <= width - 16 * stress.value / stress.limit < 2.5


def test_a_remedy_that_is_not_there_is_said():
    hopeless = SKETCH.changed(**{"gear_pair.pinion_bending_limit_MPa": 1, "gear_pair.ring_bending_limit_MPa": 250,
                                 "duty.speed_rpm": 20000, "masses.piston_rod_g": 40000})
    text = assess(hopeless, 145).report()
    assert "no face width, limit, tooth height, shift or module of the series mends this alone." in text


def test_the_sheet_has_every_stage_and_screens_first():
    for name in ("v_twin_generator", "desk_model"):
        a = assess(load_design(DATA / f"{name}.toml"))
        text = a.report()
        titles = [f"\n{stage.replace('_', ' ')}\n---" for stage in STAGES if stage != "screens"]
        places = [text.index(title) for title in titles]
        assert places == sorted(places) and text.startswith(f"{a.design.name}: screens\n---")
        assert "doubtful" not in text
    assert "design.machine = 'hand_model' is not one of" in text
    assert a.report("size") in text


def test_failed_screens_stand_first_with_what_mends_them():
    lines = assess(WEAK).report().splitlines()
    assert lines[2].startswith("FAILS pinion tooth bending (Lewis)") and lines[2].endswith("362.1 MPa   <= 210 MPa")
    assert lines[3] == "      mended by face_width_mm = 30 (tried in steps of 0.5)"
    assert lines[4] == "      mended by pinion_bending_limit_MPa = 518 (tried in steps of 1)"


@pytest.mark.parametrize(("value", "limit", "sense", "word"), [
    (1.19, 1.2, ">=", "FAILS"), (1.25, 1.2, ">=", "close"), (1.33, 1.2, ">=", "pass"), (199, 210, "<=", "close"),
    (180, 210, "<=", "pass"), (0.04, 0, ">=", "close"), (0.06, 0, ">=", "pass"), (float("nan"), 0, ">=", "FAILS")])
def test_close_is_within_a_tenth(value, limit, sense, word):
    assert state(Margin("any", value, limit, "", sense, "")) == word


@pytest.mark.parametrize(("values", "said"), [
    ({"crank.pin_diameter_mm": 70, "guide.rod_length_mm": 200},
     "crank.pin_diameter_mm = 70 encloses the whole journal at a throw of 17.25 mm: no web is left between them; below "
     "68.5 mm there is one."),
    ({"crank.pin_diameter_mm": 80, "cylinders.stroke_mm": 52, "gear_pair.pinion_teeth": 17, "gear_pair.ring_teeth": 34,
      "gear_pair.pinion_shift": 0.05, "gear_pair.ring_shift": 0.2282, "guide.rod_length_mm": 220},
     "crank.pin_diameter_mm = 80 encloses the whole journal at a throw of 13 mm: no web is left between them; below 60 "
     "mm there is one."),
    ({"crank.journal_diameter_mm": 2},
     "crank.journal_diameter_mm = 2 is thin beside crankpins of 30 mm: from 9 mm this is not asked."),
    ({"guide.clearance_um": 310},
     "guide.clearance_um = 304.8 in the running machine is not below guide.piston_clearance_um = 300.9: the piston "
     "touches its bore before the guide carries."),
    ({"guide.rod_length_mm": 140}, "guide.rod_length_mm = 140 leaves no room for the eye of the big end, about 1.55 "
     "crankpin diameters wide: from 146.25 mm it passes."),
    ({"cylinders.bank_angle_deg": [0, 180]}, "cylinders 1 and 2 are opposite: their crankpins have one axis, so that "
     "both pistons move as one body, one outward while the other moves inward."),
    ({"guide.rod_diameter_mm": 25}, "guide.rod_diameter_mm = 25 is more than the 24 mm between cylinders 1 and 2 "
     "along the axis: round rods would meet; flat ones may pass."),
    ({"masses.crank_g": 2.5}, "masses.crank_g = 2.5 is less than a twentieth of about 580 g for these dimensions: "
     "if it is in kilograms, write 2500."),
    ({"duty.crankcase_pressure_bar": 14.7}, "duty.crankcase_pressure_bar = 14.7 is far above the air of the "
     "surroundings: if it is in psi, that is 1.014 bar."),
    ({"duty.inlet_pressure_bar": 95}, "duty.inlet_pressure_bar = 95 is far above the air of the surroundings: if it is "
     "in kPa, that is 0.95 bar."),
    ({"lubricant.temperature_C": 194}, "lubricant.temperature_C = 194 is hotter than oil lasts: if it is in degrees "
     "Fahrenheit, write 90."),
], ids=lambda value: next(iter(value)) if isinstance(value, dict) else "")
def test_what_is_hardly_meant_is_said(values, said):
    assert said in doubts(as_running(SKETCH.changed(**values)))


def told(design, *again):
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        for each in (design, *again):
            assess(each, 145)
    assert all(issubclass(one.category, Doubtful) for one in caught)
    return [str(one.message) for one in caught]


def test_the_demos_are_beyond_doubt_but_for_the_web_that_the_sketch_lacks(monkeypatch):
    monkeypatch.setattr("vmech_core.sheet.doubts._TOLD", set())
    for path in sorted(DATA.glob("*.toml")):
        own, said = doubts(as_running(load_design(path))), told(load_design(path), str(path))
        assert len(own) == len(said) == (path.stem == "first_sketch") and all("without a web" in one for one in own)


def test_what_is_doubtful_is_told_once(monkeypatch):
    """Also where a slider goes on changing the value; another doubt or another design is told again."""
    monkeypatch.setattr("vmech_core.sheet.doubts._TOLD", set())
    light = ENGINE.changed("masses.crank_g", 2.5)
    first = ("V-twin generator engine: masses.crank_g = 2.5 is less than a twentieth of about 660 g for these "
             "dimensions: if it is in kilograms, write 2500.")
    assert told(light, light, light.changed("masses.crank_g", 2.6)) == [first]
    hot = "is hotter than oil lasts: if it is in degrees Fahrenheit, write 90."
    assert told(light.changed("lubricant.temperature_C", 194)) == [
        f"V-twin generator engine: lubricant.temperature_C = 194 {hot}"]
    assert told(light.changed("design.name", "mine"))[0] == first.replace("V-twin generator engine", "mine")


def test_a_doubt_is_shown_as_its_sentence_and_other_warnings_as_ever():
    code = ("import warnings; from vmech_core import assess, load_design; "
            "engine = load_design('data/v_twin_generator.toml'); assess(engine); "
            "assess(engine.changed('lubricant.temperature_C', 194)); warnings.warn('other')")
    done = subprocess.run([sys.executable, "-c", code], cwd=DATA.parent, capture_output=True, text=True, check=True)
    lines = done.stderr.splitlines()
    assert lines[0] == ("V-twin generator engine: lubricant.temperature_C = 194 is hotter than oil lasts: if it is in "
                        "degrees Fahrenheit, write 90.")
    assert "UserWarning: other" in lines[1]


@given(st.integers(0, 10**6))
@settings(max_examples=60, deadline=None)
def test_doubts_are_sentences_whatever_the_numbers(seed):
    """One to three keys of a demo anywhere in their ranges, half of them at an end."""
    dice = random.Random(seed)
    data = load_design(DATA / f"{dice.choice(['v_twin_generator', 'star_pump', 'desk_model'])}.toml").to_dict()
    for section, key, rule in dice.sample(NUMBERS, dice.randint(1, 3)):
        data[section][key] = dice.choice([rule.low, rule.high, dice.uniform(rule.low, rule.high)])
    try:
        design = Design.from_dict(data)
    except InputError:
        return
    assert all(said.endswith(".") and "nan" not in said for said in doubts(design))


FAR = ("v_twin_generator_trace.csv lowest pressure_bar = {} is far from duty.inlet_pressure_bar = 0.95; the trace "
       "looks as if it were in {}, not bar; nearest value that works: the same pressures times {}, which begin at "
       "0.95 bar.")


@pytest.mark.parametrize(("factor", "said"), [
    (100, "v_twin_generator_trace.csv pressure_bar line 2 = 2745.83 is outside 0 to 2500 (absolute) bar; nearest value "
     "that works: 2500 bar, or 27.4583 bar if the trace is in kPa."),
    (0.1, FAR.format("0.095", "MPa", "10")), (14.5038, FAR.format("13.7786", "psi", "0.0689476"))])
def test_a_trace_in_another_unit_is_known_by_its_pressures(tmp_path, factor, said):
    rows = (DATA / ENGINE.duty.pressure_trace).read_text().splitlines()
    first = next(n for n, row in enumerate(rows) if row[:1].isdigit())
    parts = [row.split(",") for row in rows[first:]]
    text = "\n".join([*rows[:first], *(f"{angle},{float(value) * factor:.6g}" for angle, value in parts)])
    (tmp_path / ENGINE.duty.pressure_trace).write_text(text + "\n")
    (tmp_path / "mine.toml").write_text(ENGINE.text.replace('life_h =', 'pressure_from = "trace"\nlife_h ='))
    with pytest.raises(InputError) as error:
        assess(load_design(tmp_path / "mine.toml"), 145).stage("pressure")
    assert str(error.value) == said
