"""From a design to its numbers: demo designs are feasible, stages fail alone, results carry units, fair comparison."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from vmech_core import InputError, assess, load_design
from vmech_core.base.units import TO_SI
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.sheet import STAGES
from vmech_core.sheet.stages import BASED

DATA = Path(__file__).resolve().parents[2] / "data"
#: Stages that the desk model cannot have, and a word of the sentence that says so.
CYCLE_STAGES = {"cycle": "computed cycle", "own_comparison": "computed cycle", "bearings": "dry"}
DESIGNS = sorted(path.stem for path in DATA.glob("*.toml"))


@pytest.fixture(params=DESIGNS)
def design(request):
    return load_design(DATA / f"{request.param}.toml")


def test_there_are_five_invented_designs():
    assert DESIGNS == ["air_compressor", "desk_model", "first_sketch", "star_pump", "v_twin_generator"]
    assert all(load_design(DATA / f"{name}.toml").design.status == "invented example" for name in DESIGNS)


BENDING = ["pinion tooth bending (Lewis)", "ring tooth bending (Lewis)"]


def test_every_design_passes_its_screens_but_for_the_teeth_of_the_first_sketch(design):
    """The sketch's teeth fail with guides idle and its soft tie; the notebooks say so in plain words."""
    margins = assess(design).margins
    assert len(margins) >= 12
    failing = [m.name for m in margins if not m.ok]
    assert failing == (BENDING if design.source.stem == "first_sketch" else [])


def test_an_ideal_tie_would_make_the_teeth_of_the_sketch_pass():
    sketch = load_design(DATA / "first_sketch.toml")
    ideal = sketch.changed(**{"crank.tie_stiffness_Nm_per_rad": 1e9, "crank.tie_phase_error_deg": 0})
    assert all(m.ok for m in assess(ideal).margins)


def test_a_weak_design_fails_its_screens():
    """The check above can fail: half the face width breaks the pinion teeth of the pump."""
    pump = load_design(DATA / "star_pump.toml").changed(**{"gear_pair.face_width_mm": 16})
    assert [m.name for m in assess(pump).margins if not m.ok] == BENDING


def refused(design, stage):
    """Words of the sentence that stands in place of a stage: a hand model burns nothing, the sketch has no web."""
    found = CYCLE_STAGES.get(stage, "") if design.design.machine == "hand_model" else ""
    return "too narrow for a web" if (design.source.stem, stage) == ("first_sketch", "crank") else found


def test_to_dict_is_plain_and_complete(design):
    plain = json.loads(json.dumps(assess(design).to_dict(), allow_nan=False))
    assert list(plain) == list(STAGES)
    for name, stage in plain.items():
        if words := refused(design, name):
            assert list(stage) == ["error"] and words in stage["error"]
            continue
        assert "error" not in stage
        for result in stage.values():
            assert set(result) == {"value", "unit", "label", "estimated"}
            assert result["unit"] and result["label"]
            assert isinstance(result["value"], int | float) or "unbounded" in result["label"]


def test_reports_are_lines_with_units(design):
    a = assess(design)
    for stage in STAGES:
        if refused(design, stage):
            continue
        lines = a.report(stage).splitlines()
        if not a.stage(stage):
            assert stage in ("in_time", "rating", "crank")  # no march of a hand model, and no gear steel
            assert lines == [f"{stage}: nothing for this machine"]
            continue
        assert len(lines) == len(a.stage(stage)) + (stage in BASED)
        assert {one.edge for one in a.stage(stage).values()} <= {"", *TO_SI}  # an unknown one would print SI numbers
        assert stage not in BASED or (a.load_case in lines[-1] and (a.state_words in lines[-1]) == (
            stage in ("rating", "sharing", "in_time", "bearings", "crank", "making")))


def test_a_missing_trace_stops_its_own_stages_only():
    pump = load_design(DATA / "star_pump.toml")
    design = pump.changed(**{"duty.pressure_trace": "nowhere.csv", "duty.pressure_from": "trace"})
    plain = assess(design).to_dict()
    failed = [name for name, stage in plain.items() if "error" in stage]
    assert failed == ["pressure", "loads", "ordinary", "comparison", "comparators", "ends", "teeth", "rating",
                      "sharing", "in_time", "bearings", "balance", "torque", "crank", "making", "screens"]
    assert "nowhere.csv" in plain["loads"]["error"] and "not a file that can be read" in plain["loads"]["error"]


def test_an_unknown_stage_and_samples_that_are_no_number_of_angles_are_refused(design):
    with pytest.raises(InputError, match="stage = 'weight' is not one of size, mass"):
        assess(design).stage("weight")
    for samples, words in ((3, "3"), (13.5, "13.5"), ("many", "'many'"), (None, "None")):
        with pytest.raises(InputError) as error:
            assess(design, samples)
        assert str(error.value) == (
            f"samples = {words} is not a whole number from 13 to 100001 angles; nearest value that works: 13.")


@pytest.mark.parametrize("how", [str, Path])
def test_a_design_file_can_be_assessed_by_its_name(how):
    path = DATA / "star_pump.toml"
    assert assess(how(path)).stage("size") == assess(load_design(path)).stage("size")


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (lambda: assess(None), "design = None is not a design: give what load_design returns, or the name of a design "
         "file."),
        (lambda: assess({"design": 1}), "design = {'design': 1} is not a design: give what load_design returns, or the "
         "name of a design file."),
        (lambda: assess(DATA / "nowhere.toml"), "design file = 'nowhere.toml' is not an existing file."),
        (lambda: assess(str(DATA / "star_pomp.toml")), "design file = 'star_pomp.toml' is not an existing file; "
         "nearest value that works: star_pump.toml."),
    ],
)
def test_what_is_no_design_is_refused_in_one_sentence(act, sentence):
    with pytest.raises(InputError) as error:
        act()
    assert str(error.value) == sentence


#: What may be typed after ``assess(d)`` to the whole sentence.
STAGES_LISTED = ("size, mass, pressure, cycle, motion, loads, ordinary, comparison, own_comparison, comparators, ends, "
                 "teeth, rating, sharing, in_time, contacts, bearings, balance, torque, outline, crank, making, "
                 "screens")


@pytest.mark.parametrize(("act", "sentence"), [
    (lambda d: assess(d).report("x"), f"stage = 'x' is not one of {STAGES_LISTED}."),
    (lambda d: assess(d).report("Loads"), f"stage = 'Loads' is not one of {STAGES_LISTED}; nearest value that works: "
     "loads."),
    (lambda d: assess(d).report(3), f"stage = 3 is not one of {STAGES_LISTED}."),
    (lambda d: assess(d).stage(None), f"stage = None is not one of {STAGES_LISTED}."),
    (lambda d: assess(d.source.with_name("mine.toml")).report("loads"),
     "design file = 'mine.toml' is not an existing file."),
    (lambda d: assess(str(d.source.with_name("star_pomp.toml"))).report(), "design file = 'star_pomp.toml' is not an "
     "existing file; nearest value that works: star_pump.toml."),
    (lambda d: assess(d, "many"), "samples = 'many' is not a whole number from 13 to 100001 angles; nearest value that "
     "works: 13."),
    (lambda d: assess(d, 13.5), "samples = 13.5 is not a whole number from 13 to 100001 angles; nearest value that "
     "works: 13."),
    (lambda d: assess(d, True), "samples = True is not a whole number from 13 to 100001 angles; nearest value that "
     "works: 13."),
    (lambda d: assess(d, 10**9), "samples = 1000000000 is not a whole number from 13 to 100001 angles; nearest value "
     "that works: 100001."),
    (lambda d: assess(None), "design = None is not a design: give what load_design returns, or the name of a design "
     "file."),
])
def test_what_ended_in_foreign_errors_is_one_sentence(act, sentence):
    with pytest.raises(InputError) as error:
        act(load_design(DATA / "star_pump.toml"))
    assert str(error.value) == sentence


@pytest.mark.parametrize(("name", "nearest"), [("sreens", "screens"), ("Loads", "loads"), (3, None), (["size"], None)])
def test_an_unknown_stage_is_answered_with_the_nearest(name, nearest):
    with pytest.raises(InputError) as error:
        assess(DATA / "star_pump.toml").stage(name)
    assert str(error.value).startswith(f"stage = {name!r} is not one of size, mass, ")
    assert error.value.nearest == nearest


def test_a_trace_that_may_not_be_read_stops_its_own_stages_only(monkeypatch):
    def refuse(_):
        raise PermissionError(13, "Permission denied")

    engine = assess(load_design(DATA / "v_twin_generator.toml").changed(**{"duty.pressure_from": "trace"}), 121)
    monkeypatch.setattr(Path, "read_bytes", refuse)
    plain = {name: engine._plain(name) for name in ("size", "motion", "pressure", "loads")}
    assert [name for name, stage in plain.items() if "error" in stage] == ["pressure", "loads"]
    assert plain["loads"]["error"] == ("pressure_trace = 'v_twin_generator_trace.csv' is not a file that can be read: "
                                       "Permission denied.")


def test_nothing_is_computed_before_it_is_asked_for(design):
    assessment = assess(design)
    inputs = set(vars(assessment))
    assert inputs == {"drawing", "design", "samples", "speed", "load", "trace", "state"}
    assessment.stage("size")
    assert set(vars(assessment)) - inputs == {"_stages"}


#: Files of the core that a stage needs beyond those of a design and of the assessment itself, at most.
NEEDED = {
    "size": {},
    "motion": {"machine"},
    "loads": {"machine", "pressure"},
    "comparison": {"machine", "pressure"},
    "screens": {"machine", "pressure", "gears"},
    "own_comparison": {"machine", "pressure"},
    "sharing": {"machine", "pressure", "sharing", "bearings", "gears"},
}
LOADED = """
import json, sys
from vmech_core import assess, load_design
design = load_design(sys.argv[1])
before = set(sys.modules)
assess(design).stage(sys.argv[2])
print(json.dumps(sorted(name for name in set(sys.modules) - before if name.startswith("vmech_core"))))
"""


@pytest.mark.parametrize("stage", NEEDED)
def test_a_stage_loads_what_it_needs_and_no_more(stage):
    line = [sys.executable, "-c", LOADED, str(DATA / "v_twin_generator.toml"), stage]
    answer = subprocess.run(line, capture_output=True, text=True, cwd=DATA.parent, check=True)
    files = [name.split(".")[1:] for name in json.loads(answer.stdout)]
    assert {name[0] for name in files if len(name) > 1} <= {*NEEDED[stage], "base", "sheet", "plays"}


def test_both_mechanisms_have_the_same_stroke_and_firing_dead_centres(design):
    """Fair comparison, common practice: same stroke; same firing angles where the layout is the same."""
    a = assess(design, 1441)
    ordinary = slider_crank.motion(a.ordinary, np.linspace(0.0, 2.0 * np.pi, 7201)).position
    assert np.ptp(ordinary, axis=1) == pytest.approx(design.cylinders.si.stroke, rel=1e-6)
    if design.ordinary_crank.crankpin_layout == "common" and not design.ordinary_crank.wrist_pin_offset_mm:
        assert slider_crank.firing_angles(design, a.ordinary) == pytest.approx(
            hypocycloid.firing_angles(design, a.drive)
        )


def test_mean_torque_is_the_work_of_the_cycle(design):
    """Work per cycle over the angle of the cycle; the work is the loop integral of gas force over piston travel."""
    a = assess(design, 2881)
    for loads, motion in ((a.loads, a.motion), (a.ordinary_loads, a.ordinary_motion)):
        work = -np.trapezoid(loads["gas"], motion.position, axis=1).sum()
        assert loads["torque"][:-1].mean() * a.angle[-1] == pytest.approx(work, rel=2e-3, abs=1e-6)


def test_offset_wrist_pin_keeps_the_stroke():
    for offset in (0.0, 0.002, 0.004):
        radius = slider_crank.crank_radius_for_stroke(0.069, 3.5, offset)
        drive = slider_crank.SliderCrank(
            radius, 3.5 * radius, np.zeros(1), np.zeros(1), np.ones(1), np.zeros(1), 0.3, np.zeros(1), 1.0, offset
        )
        place = slider_crank.motion(drive, np.linspace(0.0, 2.0 * np.pi, 36_001)).position
        assert np.ptp(place) == pytest.approx(0.069, rel=1e-7)
        top = slider_crank.top_dead_centre(drive)
        assert slider_crank.motion(drive, top).velocity[0, 0] == pytest.approx(0.0, abs=1e-12)


def test_a_split_crank_fires_evenly():
    """Common practice, no source: two cylinders of a four-stroke on split pins fire one turn apart."""
    engine = load_design(DATA / "v_twin_generator.toml").changed(
        **{"ordinary_crank.crankpin_layout": "split", "duty.firing_turn": [0, 0]}
    )
    firing = slider_crank.firing_angles(engine, assess(engine).ordinary)
    assert np.diff(firing) == pytest.approx(2.0 * np.pi)


def test_estimated_masses_are_flagged_and_given_ones_are_not():
    engine = load_design(DATA / "v_twin_generator.toml")
    assert all(q.estimated for q in assess(engine).stage("mass").values())
    weighed = engine.changed(**{"masses.piston_g": 130, "masses.piston_rod_g": 400, "masses.crank_g": 1500})
    mass = assess(weighed).stage("mass")
    assert mass["piston"].value == pytest.approx(0.130) and not mass["piston"].estimated
    assert not any(q.estimated for q in assess(weighed).stage("loads").values())
    for estimate in assess(engine).mass.values():
        assert 0 < estimate.low < estimate.likely < estimate.high
