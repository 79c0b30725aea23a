"""Design files: the four of this project, SI access, saving with comments kept, the page of every key."""

from __future__ import annotations

import math
import os
import pickle
import re
import runpy
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from vmech_core.base.errors import InputError
from vmech_core.base.units import to_si
from vmech_core.design import saving
from vmech_core.design.design import Design
from vmech_core.design.files import load_design
from vmech_core.design.keys import split_unit
from vmech_core.design.meshing import runs
from vmech_core.design.saving import design_text, save_design
from vmech_core.gears.screens import check_pair
from vmech_core.machine.slider_crank import crank_radius_for_stroke

DATA = Path(__file__).resolve().parents[2] / "data"
NAMES = ("first_sketch", "star_pump", "air_compressor", "desk_model")
DESIGNS = {name: load_design(DATA / f"{name}.toml") for name in NAMES}
relaxed = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def comments(text):
    return re.findall(r"#.*", text)


# ---- the four designs

@pytest.mark.parametrize("name", NAMES)
def test_every_design_passes_every_screen_of_its_gear_pair(name):
    assert [m.name for m in check_pair(DESIGNS[name].pair) if not m.ok] == []


@pytest.mark.parametrize("name", ("first_sketch", "star_pump", "desk_model"))
def test_unshifted_stroke_is_the_pitch_diameter_of_the_ring(name):
    """Common practice, no source: ring pitch diameter = stroke, pinion pitch diameter = half of it."""
    design = DESIGNS[name]
    assert design.cylinders.stroke_mm == pytest.approx(design.gear_pair.module_mm * design.gear_pair.ring_teeth)


def test_shifted_stroke_of_the_compressor_fits_its_pair():
    design = DESIGNS["air_compressor"]
    assert design.gear_pair.ring_shift != design.gear_pair.pinion_shift
    assert float(design.pair.stroke) == pytest.approx(design.cylinders.si.stroke, rel=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_design_says_that_it_is_invented_and_names_a_trace_beside_it(name):
    design = DESIGNS[name]
    assert design.design.status == "invented example"
    trace = {"first_sketch": "v_twin_generator"}.get(name, name)  # the sketch shares the trace of what came of it
    assert design.trace_path == DATA / f"{trace}_trace.csv"
    assert len(comments(design.text)) > 12  # commented like a teacher would


def test_trace_that_is_not_there_does_not_keep_a_design_from_loading(tmp_path):
    alone = tmp_path / "alone.toml"
    alone.write_bytes((DATA / "star_pump.toml").read_bytes())
    assert not load_design(alone).trace_path.exists()


# ---- values in SI

def test_si_values_against_the_si_brochure():
    """Millimetre, degree, hour, bar: SI Brochure, 9th edition (2019), tables 5 and 8; 0 degC = 273.15 K."""
    design = DESIGNS["first_sketch"].changed(**{
        "cylinders.bore_mm": 63, "duty.speed_rpm": 3000, "cylinders.bank_angle_deg": [-45, 45], "duty.life_h": 2000,
        "duty.crankcase_pressure_bar": 1.013, "lubricant.temperature_C": 90, "gear_pair.backlash_um": 60,
        "gear_pair.pinion_youngs_modulus_GPa": 206, "gear_pair.pinion_bending_limit_MPa": 300, "masses.piston_g": 120,
        "crank.tie_stiffness_Nm_per_rad": 20000, "masses.crank_g": "estimate"})
    assert design.cylinders.si.bore == pytest.approx(0.063)
    assert design.duty.si.speed == pytest.approx(100 * math.pi)  # 3000 rpm = 50 turns a second
    assert design.cylinders.si.bank_angle == pytest.approx([-math.pi / 4, math.pi / 4])
    assert design.duty.si.crankcase_pressure == pytest.approx(101300)
    assert design.lubricant.si.temperature == pytest.approx(363.15)
    assert design.duty.si.life == pytest.approx(7.2e6)
    assert design.gear_pair.si.backlash == pytest.approx(60e-6)
    assert design.gear_pair.si.pinion_youngs_modulus == pytest.approx(206e9)
    assert design.gear_pair.si.pinion_bending_limit == pytest.approx(300e6)
    assert design.masses.si.piston == pytest.approx(0.12) and design.masses.si.crank == "estimate"
    assert design.crank.si.tie_stiffness == 20000
    assert design.gear_pair.si.pinion_teeth == 23 and isinstance(design.gear_pair.si.pinion_teeth, int)


def test_si_is_computed_once_and_cannot_be_changed():
    cylinders = DESIGNS["star_pump"].cylinders
    assert cylinders.si is cylinders.si
    with pytest.raises(ValueError):
        cylinders.si.bank_angle[0] = 1.0
    with pytest.raises(AttributeError):
        cylinders.si.bore = 1.0


def test_a_pickled_design_keeps_its_values_in_si():
    """A study sends designs to other processes, with the values that were asked for before."""
    design = DESIGNS["first_sketch"]
    before = design.cylinders.si
    after = pickle.loads(pickle.dumps(design))
    assert after == design and after.text == design.text and after.source == design.source
    for section in Design.sections():
        one, two = vars(getattr(design, section).si), vars(getattr(after, section).si)
        assert one.keys() == two.keys() and all(np.array_equal(one[name], two[name]) for name in one)
    assert design.cylinders.si is before
    with pytest.raises(AttributeError, match="read-only"):
        after.cylinders.si.bore = 1.0


#: What loading a valid design may import of the core: no words of refusals, nothing that saves, no page.
LOADED = ("base", "base.errors", "base.lazy", "base.results", "base.signs", "base.tables", "base.units", "design",
          "design.checks", "design.design", "design.files", "design.keys", "design.meshing", "design.sections", "gears",
          "gears.geometry", "gears.involute", "gears.screens")


@pytest.mark.parametrize("name", NAMES)
def test_loading_a_valid_design_imports_little(name):
    code = (f"import sys; from vmech_core import load_design; load_design({str(DATA / name)!r} + '.toml')\n"
            "print(*sorted(m[11:] for m in sys.modules if m.startswith('vmech_core.')))")
    done = subprocess.run([sys.executable, "-c", code], cwd=DATA.parent, capture_output=True, text=True, check=True)
    assert done.stdout.split() == list(LOADED)


def test_the_help_of_a_section_names_every_key_with_its_unit_and_meaning():
    for name, model in Design.sections().items():
        assert model.rules and model.__doc__.splitlines()[0].endswith("."), name
        for key, rule in model.rules.items():
            assert re.search(rf"\n    {key} : [^\n]+ \[{re.escape(rule.unit(key))}\]\n +{re.escape(rule.meaning)}\n",
                             model.__doc__), key


def test_every_unit_of_a_key_has_a_conversion():
    for section, model in Design.sections().items():
        for name in model.rules:
            stem, unit = split_unit(name)
            assert hasattr(getattr(DESIGNS["star_pump"], section).si, stem)
            assert unit in ("", "°C", "N m/rad") or to_si(1.0, unit) != 1.0, name


def test_no_two_keys_of_a_section_share_a_stem():
    for model in Design.sections().values():
        stems = [split_unit(name)[0] for name in model.rules]
        assert len(stems) == len(set(stems))


# ---- the object

def test_design_is_frozen():
    with pytest.raises(ValidationError):
        DESIGNS["star_pump"].cylinders.bore_mm = 30.0
    with pytest.raises(ValidationError):
        DESIGNS["star_pump"].cylinders = DESIGNS["desk_model"].cylinders


def test_equality_and_hash_look_at_the_keys_alone():
    design = DESIGNS["star_pump"]
    _ = design.cylinders.si, design.pair  # cached values must not count
    same = Design.from_dict(design.to_dict())
    assert same == design and hash(same) == hash(design)
    assert same.source is None and design.source == DATA / "star_pump.toml"
    assert same != design.changed(**{"duty.speed_rpm": 601}) and same != 3
    assert pickle.loads(pickle.dumps(design)) == design
    assert same.trace_path == Path("star_pump_trace.csv")


def test_changed_checks_again_and_leaves_the_old_design_alone():
    design = DESIGNS["first_sketch"]
    bore = design.cylinders.bore_mm
    new = design.changed(**{"cylinders.bore_mm": 70, "cylinders.bank_angle_deg": np.array([-30, 30])})
    assert new.cylinders.bore_mm == 70 != bore == design.cylinders.bore_mm
    assert new.cylinders.bank_angle_deg == (-30.0, 30.0) and new.source == design.source
    assert design.changed(**{"gear_pair.module_mm": np.float64(design.gear_pair.module_mm),
                             "gear_pair.pinion_teeth": np.int64(design.gear_pair.pinion_teeth)}) == design
    with pytest.raises(InputError, match=r"cylinders\.bore_mm = -3 is outside 5 to 500 mm; nearest .* 22\.1 mm\."):
        design.changed(**{"cylinders.bore_mm": -3})
    with pytest.raises(InputError, match=r"not a known section.*bore_mm in section \[cylinders\]"):
        design.changed(bore_mm=70)


def test_limit_of_the_wrist_pin_offset_is_where_the_ordinary_stroke_ceases_to_exist():
    """S (n^2 - 1) / (4 n): derived from S = sqrt((L + r)^2 - e^2) - sqrt((L - r)^2 - e^2); the core must agree."""
    design = DESIGNS["first_sketch"]
    with pytest.raises(InputError) as caught:
        design.changed(**{"ordinary_crank.wrist_pin_offset_mm": 99.0})
    limit, stroke = caught.value.fault.candidate * 1e-3, design.cylinders.si.stroke
    assert np.isfinite(crank_radius_for_stroke(stroke, design.ordinary_crank.rod_ratio, limit))
    with np.errstate(invalid="ignore"):
        assert np.isnan(crank_radius_for_stroke(stroke, design.ordinary_crank.rod_ratio, limit + 2e-6))


# ---- saving

@pytest.mark.parametrize("name", NAMES)
def test_unchanged_design_is_saved_byte_for_byte(name, tmp_path):
    target = save_design(DESIGNS[name], tmp_path / "copy.toml")
    assert target.read_bytes() == (DATA / f"{name}.toml").read_bytes()
    assert load_design(target) == DESIGNS[name]


changes = st.fixed_dictionaries({}, optional={
    "cylinders.bore_mm": st.floats(5, 500), "duty.speed_rpm": st.floats(1, 20000) | st.integers(1, 20000),
    "duty.crankcase_pressure_bar": st.floats(0.01, 50), "gear_pair.backlash_um": st.floats(0, 150),
    "crank.counterweight_fraction": st.floats(0, 1.5), "masses.piston_g": st.just("estimate") | st.floats(0.1, 1e6),
    "lubricant.grade": st.sampled_from(["dry", "water", "SAE 50"]), "lubricant.temperature_C": st.floats(-40, 200),
    "design.name": st.text(min_size=1, max_size=80).filter(lambda s: s.isprintable() and s.strip()),
    "cylinders.bank_angle_deg": st.lists(st.floats(-360, 360), min_size=2, max_size=2),
    "gear_pair.accuracy_grade": st.integers(1, 12), "crank.driving_carriers": st.sampled_from(["one", "both"])})


@relaxed
@given(values=changes, name=st.sampled_from(["first_sketch", "desk_model"]))
def test_load_save_load_keeps_values_and_comments(values, name, tmp_path):
    try:
        design = DESIGNS[name].changed(**values)
    except InputError as error:  # two banks drawn onto one line; or more play than the teeth are thick
        assert error.fault.between
        return
    target = save_design(design, tmp_path / "design.toml")
    assert load_design(target) == design
    assert comments(target.read_text(encoding="utf-8")) == comments(DESIGNS[name].text)


def odd_text():
    """The desk model with an inline table, dotted keys and a list over several lines."""
    text = DESIGNS["desk_model"].text
    head, _, dotted = text.partition("[ordinary_crank]")
    head = re.sub(r"\[lubricant\]\n.*\n.*\n", "", head)
    head = re.sub(r"bank_angle_deg = .*", "bank_angle_deg = [\n  -45.00,  # left\n  45,  # right\n]", head)
    dotted = re.sub(r"^(\w+ =)", r"ordinary_crank.\1", dotted, flags=re.M)
    return f'# first\nlubricant = {{grade = "dry", temperature_C = 20}}   # inline\n{dotted}\n{head}'


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_odd_layouts_are_kept(tmp_path, ending):
    path = tmp_path / "odd.toml"
    path.write_bytes(odd_text().replace("\n", ending).encode())
    design = load_design(path)
    assert design.ordinary_crank == DESIGNS["desk_model"].ordinary_crank
    new = design.changed(**{"cylinders.bank_angle_deg": [-45, 30], "lubricant.temperature_C": 25,
                            "ordinary_crank.rod_ratio": 4.5, "masses.crank_g": "estimate"})
    save_design(new, path)
    saved = path.read_bytes().decode()
    assert load_design(path) == new
    assert comments(saved) == comments(design.text)
    assert saved.count("\r\n") == (saved.count("\n") if ending == "\r\n" else 0)
    assert f"  -45.00,  # left{ending}  30,  # right{ending}" in saved and "temperature_C = 25}" in saved


@pytest.mark.parametrize("before", ["estimate", 250, [250, 260]])
def test_masses_for_each_cylinder_are_kept_in_si_and_in_the_file(before, tmp_path):
    path = save_design(DESIGNS["first_sketch"].changed(**{"masses.piston_rod_g": before}), tmp_path / "a.toml")
    design = load_design(path).changed(**{"masses.piston_rod_g": [410, 520.5], "masses.piston_g": np.array([3e2, 4e2])})
    assert design.masses.piston_rod_g == (410.0, 520.5) and design.masses.piston_g == (300.0, 400.0)
    np.testing.assert_allclose(design.masses.si.piston_rod, [0.41, 0.5205], rtol=1e-15)
    assert load_design(save_design(design, path)) == design
    assert "piston_rod_g = [410, 520.5]" in path.read_text(encoding="utf-8")
    assert comments(path.read_text(encoding="utf-8")) == comments(DESIGNS["first_sketch"].text)


def test_byte_order_mark_and_new_list_length(tmp_path):
    path = tmp_path / "mark.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (DATA / "star_pump.toml").read_bytes())
    design = load_design(path)
    four = design.changed(**{"cylinders.bank_angle_deg": [0, 120, 240, 300], "duty.firing_turn": [0] * 4,
                             "cylinders.axial_position_mm": [-54, -18, 18, 54], "crank.mesh_span_mm": 220})
    save_design(four, path)
    assert load_design(path) == four and comments(four.text) == comments(path.read_text(encoding="utf-8"))


def test_design_made_without_a_file_gets_a_text_with_meanings(tmp_path):
    design = Design.from_dict(DESIGNS["star_pump"].to_dict())
    target = save_design(design, tmp_path / "fresh.toml")
    assert load_design(target) == design
    assert f"bore_mm = {design.cylinders.bore_mm:g} # Bore of every cylinder." in target.read_text(encoding="utf-8")


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_failure_in_the_middle_leaves_the_old_file(tmp_path, monkeypatch, step):
    target = tmp_path / "design.toml"
    save_design(DESIGNS["star_pump"], target)
    before = target.read_bytes()

    def fail(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving.os, step, fail)
    with pytest.raises(InputError, match=r"design\.toml' is not written: No space left on device; the old file is as"):
        save_design(DESIGNS["desk_model"], target)
    assert target.read_bytes() == before
    assert [item.name for item in tmp_path.iterdir()] == ["design.toml"]


def test_places_that_cannot_be_written_are_refused_in_one_sentence(tmp_path):
    for target in (tmp_path, tmp_path / "no_such_folder" / "x.toml", "a\0b.toml", 3, tmp_path / ("x" * 300)):
        with pytest.raises(InputError) as caught:
            save_design(DESIGNS["star_pump"], target)
        assert "\n" not in str(caught.value) and str(tmp_path) not in str(caught.value)


@pytest.mark.skipif(os.name == "nt", reason="file modes and links of POSIX")
def test_mode_and_link_of_an_existing_file_are_kept(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    save_design(DESIGNS["star_pump"], real)
    real.chmod(0o640)
    link.symlink_to(real)
    save_design(DESIGNS["desk_model"], link)
    assert link.is_symlink() and load_design(real) == DESIGNS["desk_model"] and real.stat().st_mode & 0o777 == 0o640


# ---- the page of every key

def test_page_of_keys_is_up_to_date():
    page = (DATA / "design_keys.md").read_text(encoding="utf-8")
    assert page == runpy.run_path(str(DATA / "make_keys.py"))["keys_page"](), "run: python data/make_keys.py"


def test_page_is_written_by_a_command(tmp_path):
    done = subprocess.run([sys.executable, "data/make_keys.py", str(tmp_path / "page.md")],
                          cwd=DATA.parent, capture_output=True, text=True, check=True)
    assert done.stdout == "wrote page.md\n"
    assert (tmp_path / "page.md").read_bytes() == (DATA / "design_keys.md").read_bytes()


def test_every_key_has_a_meaning_a_range_and_a_notebook():
    for section, model in Design.sections().items():
        for name, key in model.rules.items():
            assert key.meaning.endswith(".") and len(key.meaning) > 12, (section, name)
            assert key.used == "all" or re.fullmatch(r"\d\d( \d\d)*", key.used), (section, name)
            assert key.low < key.high or key.kind in ("word", "file name"), (section, name)
            assert f"{name} : " in model.__doc__


def test_design_text_is_toml_of_the_same_design():
    text = design_text(DESIGNS["air_compressor"].changed(**{"duty.life_h": 4000}))
    assert "life_h = 4000\n" in text and runs(DESIGNS["air_compressor"].pair)


# ---- sections that may be left out

def test_optional_sections_have_defaults_and_are_not_written_without_need(tmp_path):
    text = (DATA / "first_sketch.toml").read_text(encoding="utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(text[:text.index("[spark_cycle]")], encoding="utf-8")
    design = load_design(bare)
    assert design.spark_cycle.burn_start_deg == "best" and design.fluid_cycle.bulk_modulus_GPa == "water"
    assert design.duty.pressure_from == "own" and design.running_state.piston_C == 20.0
    assert "spark_cycle" not in design_text(design) and "pressure_from" not in design_text(design)


def test_a_changed_optional_key_is_written_and_read_again(tmp_path):
    text = (DATA / "first_sketch.toml").read_text(encoding="utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(text[:text.index("[spark_cycle]")], encoding="utf-8")
    changed = load_design(bare).changed(**{"spark_cycle.wiebe_m": 1.5, "spark_cycle.burn_start_deg": -12,
                                           "duty.pressure_from": "cycle"})
    again = load_design(save_design(changed, tmp_path / "changed.toml"))
    assert again == changed and again.spark_cycle.wiebe_m == 1.5 and again.spark_cycle.burn_start_deg == -12
    assert again.text.startswith(bare.read_text(encoding="utf-8")[:200])


def test_optional_keys_are_checked_like_all_others():
    with pytest.raises(InputError, match=r"^spark_cycle\.wiebe_m = 9 is outside 0 to 5; nearest .* works: 5\.$"):
        DESIGNS["first_sketch"].changed(**{"spark_cycle.wiebe_m": 9})
    with pytest.raises(InputError, match=r'^spark_cycle\.burn_start_deg = .* "best" or a number from -120 to 60 deg'):
        DESIGNS["first_sketch"].changed(**{"spark_cycle.burn_start_deg": "early"})
