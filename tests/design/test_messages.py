"""What a reader gets for what readers do: all faults at once, gears for a wanted stroke, other units, slips in TOML."""

from __future__ import annotations

import os
import stat
import time
from pathlib import Path

import pytest

from vmech_core.base import rows
from vmech_core.base.errors import InputError
from vmech_core.base.hints import looks_like, number_in
from vmech_core.design import saving
from vmech_core.design.design import Design
from vmech_core.design.files import LARGEST_FILE, load_design
from vmech_core.design.saving import save_design

DATA = Path(__file__).resolve().parents[2] / "data"
TEXT = (DATA / "first_sketch.toml").read_text(encoding="utf-8")
ENGINE = load_design(DATA / "first_sketch.toml")
LINE = {key: TEXT[:TEXT.index(f"\n{key}") + 1].count("\n") + 1
        for key in ("[cylinders]", "bore_mm", "bank_angle_deg", "clearance_volume_ratio", "speed_rpm", "pressure_trace",
                    "[gear_pair]", "module_mm", "[crank]", "support", "grade", "driving_carriers")}
STROKE = ("cylinders.stroke_mm = 52 is not the stroke of this gear pair, 2 x module x pinion teeth x cos(pressure "
    "angle) / cos(working angle): outside 68.9931 to 69.0069 mm; nearest value that works: ")


def of_file(folder, *swaps):
    """What is said about the file of the engine with some pieces of text in place of others."""
    text = TEXT
    for old, new in swaps:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_design(path)
    return str(caught.value)


def of_change(**values):
    with pytest.raises(InputError) as caught:
        ENGINE.changed(**values)
    return str(caught.value)


# ---- the first act of a builder: another bore and stroke

def test_a_wanted_stroke_is_answered_with_gears_to_paste(tmp_path):
    said = of_file(tmp_path, ("bore_mm = 63", "bore_mm = 60"), ("stroke_mm = 69 ", "stroke_mm = 52 "))
    assert said == STROKE + ("with this stroke, in [gear_pair]\n    pinion_teeth = 17\n    ring_teeth = 34\n"
                             "    pinion_shift = 0.05\n    ring_shift = 0.2282\nor 69 mm.")
    lines = [line.strip() for line in said.splitlines() if line.startswith("    ")]
    text = TEXT.replace("bore_mm = 63", "bore_mm = 60").replace("stroke_mm = 69 ", "stroke_mm = 52 ")
    text = "\n".join(next((new for new in lines if new.split("=")[0] == old.split("=")[0]), old)
                     for old in text.split("\n"))
    (tmp_path / "pasted.toml").write_text(text, encoding="utf-8")
    design = load_design(tmp_path / "pasted.toml")
    assert design.cylinders.stroke_mm == 52 and float(design.pair.stroke) == pytest.approx(0.052, rel=1e-4)


def test_in_a_notebook_the_gears_are_the_arguments_of_changed():
    gears = ('{"gear_pair.pinion_teeth": 17, "gear_pair.ring_teeth": 34, "gear_pair.pinion_shift": 0.05, '
             '"gear_pair.ring_shift": 0.2282}')
    said = of_change(**{"cylinders.bore_mm": 60, "cylinders.stroke_mm": 52})
    assert said == f"{STROKE}with this stroke {gears} or 69 mm."


def test_who_changes_the_gears_is_told_their_stroke_first():
    said = of_change(**{"gear_pair.pinion_teeth": 24, "gear_pair.ring_teeth": 48})
    assert said.startswith("cylinders.stroke_mm = 69.0 is not the stroke of this gear pair")
    assert ': outside 71.9928 to 72.0072 mm; nearest value that works: 72 mm or with this stroke {"gear_pair.' in said


def test_seven_teeth_are_answered_with_teeth_that_work():
    assert of_change(**{"gear_pair.pinion_teeth": 7}) == (
        "gear_pair.pinion_teeth = 7 is outside 8 to 150; nearest value that works: 23.")
    assert of_change(**{"gear_pair.pinion_teeth": 7, "gear_pair.ring_teeth": 14}) == (
        "The design has 2 faults:\n"
        "1. gear_pair.pinion_teeth = 7 is outside 8 to 150; nearest value that works: 23.\n"
        "2. gear_pair.ring_teeth = 14 is outside 16 to 300; nearest value that works: 46.")


def test_a_key_and_its_value_can_be_given_without_a_dict():
    assert ENGINE.changed("cylinders.bore_mm", 60).cylinders.bore_mm == 60
    both = ENGINE.changed({"cylinders.bore_mm": 60, "duty.life_h": 500})
    assert (both.cylinders.bore_mm, both.duty.life_h) == (60, 500)
    assert ENGINE.changed() == ENGINE


#: Arguments of ``changed``, the whole sentence.
ARGUMENTS = [
    (("cylinders.bore_mm",), "changed = 'cylinders.bore_mm' is not a key and its new value, as in "
     'changed("cylinders.bore_mm", 70).'),
    ((60,), 'changed = 60 is not a key and its new value, as in changed("cylinders.bore_mm", 70).'),
    ((60, "cylinders.bore_mm"), "changed = (60, 'cylinders.bore_mm') is not a key and its new value, as in "
     'changed("cylinders.bore_mm", 70).'),
    (({1: 2},), 'changed = {1: 2} is not a key and its new value, as in changed("cylinders.bore_mm", 70).'),
    (("a", 1, "b"), "changed = ('a', 1, 'b') is not a key and its new value, as in "
     'changed("cylinders.bore_mm", 70).'),
    (("cylinders.bore_mm", -1), "cylinders.bore_mm = -1 is outside 5 to 500 mm; nearest value that works: 22.1 mm."),
    (("bore_mm", 60), "bore_mm = 60 is not a known section, one of design, cylinders, duty, gear_pair, crank, carrier, "
     "bearings, guide, masses, lubricant, ordinary_crank, spark_cycle, fluid_cycle, counterweights, surfaces, "
     "running_state, making; nearest value that works: bore_mm in section [cylinders]."),
    (("cylinders", 60), "cylinders = 60 is not a section [cylinders] with keys and values."),
    (({"cylinders": 60, "cylinders.bore_mm": 3},), None),
]


@pytest.mark.parametrize(("given", "said"), ARGUMENTS)
def test_what_changed_cannot_read_is_refused_in_one_sentence(given, said):
    with pytest.raises(InputError) as caught:
        ENGINE.changed(*given)
    assert said is None or str(caught.value) == said


# ---- all at once

def test_six_faults_are_six_sentences():
    data = ENGINE.to_dict()
    data["cylinders"]["bor_mm"] = data["cylinders"].pop("bore_mm")
    data["cylinders"]["stroke_mm"], data["gear_pair"]["module_mm"] = 52, "1,5"
    data["duty"]["speed_rpm"], data["lubricant"]["grade"] = 30000, "10W-40"
    del data["masses"]["crank_g"]
    with pytest.raises(InputError) as caught:
        Design.from_dict(data)
    said = str(caught.value).splitlines()
    assert said[:3] == [
        "The design has 6 faults:",
        '1. cylinders.bor_mm = 63.0 is not a known key of [cylinders]; nearest value that works: "bore_mm".',
        f"2. {STROKE}with this stroke, in [gear_pair]"]
    assert said[7:] == [
        "or 69 mm.",
        "3. duty.speed_rpm = 30000 is outside 1 to 20000 rev/min; nearest value that works: 20000 rev/min.",
        "4. gear_pair.module_mm = '1,5' is not a number from 0.3 to 20 mm; nearest value that works: 1.5 mm.",
        '5. masses.crank_g = (missing) is required: "estimate" or a number from 0.1 to 10000000 g.',
        "6. lubricant.grade = '10W-40' is not one of dry, water, SAE 10, SAE 20, SAE 30, SAE 40, SAE 50, ISO VG 32, "
        'ISO VG 46, ISO VG 68, ISO VG 100, ISO VG 150, ISO VG 220; nearest value that works: "SAE 40".']
    assert len(caught.value.faults) == 6 and caught.value.more == 5


def test_the_values_that_are_named_make_a_design_together():
    data = ENGINE.to_dict()
    data["cylinders"]["bore_mm"], data["duty"]["speed_rpm"], data["guide"]["length_mm"] = "2.4 in", 50000, -1
    data["crank"]["driving_carriers"], data["bearings"]["crankpin"] = "twin", "roller"
    with pytest.raises(InputError) as caught:
        Design.from_dict(data)
    assert len(caught.value.faults) == 5
    for fault in caught.value.faults:
        section, key = fault.key.split(".")
        data[section][key] = fault.candidate
    assert Design.from_dict(data).cylinders.bore_mm == 60.96


def test_both_wrong_entries_of_a_list_are_named():
    said = of_change(**{"cylinders.bank_angle_deg": ["45", 400]})
    assert said == ("The design has 2 faults:\n"
                    "1. cylinders.bank_angle_deg entry 1 = '45' is not a number from -360 to 360 deg; nearest value "
                    "that works: 45 deg.\n"
                    "2. cylinders.bank_angle_deg entry 2 = 400 is outside -360 to 360 deg; nearest value that works: "
                    "360 deg.")


def test_a_long_list_of_faults_is_cut_and_counted():
    data = {**ENGINE.to_dict(), **{f"part_{k}": {} for k in range(60)}}
    with pytest.raises(InputError) as caught:
        Design.from_dict(data)
    lines = str(caught.value).splitlines()
    assert lines[0] == "The design has 60 faults:" and lines[-1] == "and 20 more." and len(lines) == 42


# ---- right in another unit

#: Key, value, what follows "nearest value that works: ".
UNITS = [
    ("cylinders.bore_mm", 0.063, "63 mm (0.063 looks like metres)"),
    ("cylinders.bore_mm", 2.5, "63.5 mm (2.5 looks like inches)"),
    ("duty.crankcase_pressure_bar", 101.3, "1.013 bar (101.3 looks like kPa)"),
    ("duty.crankcase_pressure_bar", 101325, "1.01325 bar (101325 looks like Pa)"),
    ("duty.crankcase_pressure_bar", 1013, "1.013 bar (1013 looks like mbar)"),
    ("lubricant.temperature_C", 212, "100 °C (212 looks like degrees Fahrenheit)"),
    ("lubricant.temperature_C", 363.15, "90 °C (363.15 looks like kelvins)"),
    ("masses.crank_g", 0.05, "50 g (0.05 looks like kilograms)"),
    ("duty.speed_rpm", 0.5, "30 rev/min (0.5 looks like turns a second)"),
    ("duty.life_h", 7.2e6, "2000 h (7200000 looks like seconds)"),
    ("gear_pair.pinion_bending_limit_MPa", 3e8, "300 MPa (300000000 looks like Pa)"),
    ("gear_pair.pinion_bending_limit_MPa", 43511, "299.998 MPa (43511 looks like psi)"),
    ("gear_pair.pinion_youngs_modulus_GPa", 206000, "206 GPa (206000 looks like MPa)"),
    ("gear_pair.pressure_angle_deg", 0.349, "20 deg (0.349 looks like radians)"),
    ("spark_cycle.heating_value_MJ_per_kg", 44000, "44 MJ/kg (44000 looks like kJ/kg)"),
    ("cylinders.clearance_volume_ratio", 9, "0.125 (9 looks like a compression ratio)"),
    ("spark_cycle.combustion_efficiency", 96, "0.96 (96 looks like percent)"),
    ("crank.counterweight_fraction", 50, "0.5 (50 looks like percent)"),
    ("ordinary_crank.rod_ratio", 0.29, "3.448 (0.29 looks like crank radius over rod length)"),
    ("cylinders.bore_mm", "60mm", "60 mm"), ("cylinders.bore_mm", "60,5", "60.5 mm"),
    ("cylinders.bore_mm", "2.5 in", "63.5 mm"), ("lubricant.temperature_C", "194 F", "90 °C"),
    ("duty.inlet_pressure_bar", "14.7 psi", "1.01353 bar"), ("duty.crankcase_pressure_bar", "0.1 MPa", "1 bar"),
    ("masses.crank_g", "1.2 kg", "1200 g"), ("lubricant.temperature_C", "90 °C", "90 °C"),
    ("cylinders.bore_mm", "63 rpm", None), ("cylinders.bore_mm", 1e9, "184 mm"), ("cylinders.bore_mm", -2.5, "22.1 mm"),
]


@pytest.mark.parametrize(("key", "value", "nearest"), UNITS)
def test_a_value_in_another_unit_is_known_by_its_size(key, value, nearest):
    with pytest.raises(InputError) as caught:
        ENGINE.changed(**{key: value})
    assert caught.value.nearest == nearest and (nearest or "nearest") in str(caught.value) + "nearest"
    if caught.value.fault.candidate is not None:
        assert ENGINE.changed(**{key: caught.value.fault.candidate})


def test_a_wrong_unit_does_not_hide_what_else_is_wrong():
    lines = of_change(**{"cylinders.stroke_mm": 0.052}).splitlines()
    assert lines[:2] == ["The design has 2 faults:", "1. cylinders.stroke_mm = 0.052 is outside 5 to 500 mm; nearest "
        "value that works: 52 mm (0.052 looks like metres)."]
    assert lines[2].startswith("2. cylinders.stroke_mm = 52.0 is not the stroke of this gear pair")


def test_factors_of_the_table():
    """SI Brochure, 9th edition (2019); inch and pound: exact since 1959; 1 psi = 6894.757 Pa."""
    assert number_in("1 in", "mm") == (25.4, "inches") and number_in("1 lb", "g") == (453.592, "pounds")
    assert number_in("100 psi", "MPa") == (0.689476, "psi")
    assert number_in("32 F", "°C") == (0.0, "degrees Fahrenheit")
    assert number_in("50 Hz", "rev/min") == (3000.0, "turns a second")
    assert number_in("0 K", "°C") == (-273.15, "kelvins")
    assert number_in("60 mm", "bar") is None and number_in("a 60", "mm") is None
    assert looks_like("bore_mm", "mm", 1e7, 5, 500) is None
    units = {row["unit"] for row in rows("other_units")}
    assert units <= {rule.unit(name) for model in Design.sections().values() for name, rule in model.rules.items()}


# ---- words

WORDS = [
    ("lubricant.grade", "10W-40", "SAE 40"), ("lubricant.grade", "5W30", "SAE 30"), ("lubricant.grade", "VG46", "ISO "
     "VG 46"),
    ("lubricant.grade", "ISO VG 50", "ISO VG 46"), ("lubricant.grade", "SAE 60", "SAE 50"),
    ("lubricant.grade", "sae30", "SAE 30"), ("lubricant.grade", "none", "dry"), ("lubricant.grade", 30, "SAE 30"),
    ("design.machine", "motor", "engine"),  # compressor and pump: below
    ("design.machine", "hand-model", "hand_model"), ("crank.driving_carriers", 2, "both"),
    ("bearings.crankpin", "needle", "rolling"), ("bearings.crankpin", "plain", "journal"),
    ("masses.crank_g", "auto", "estimate"), ("spark_cycle.burn_start_deg", "optimum", "best"),
    ("ordinary_crank.crankpin_layout", "shared", "common"), ("design.machine", "zzz", None),
]


@pytest.mark.parametrize(("key", "value", "nearest"), WORDS)
def test_the_nearest_word_is_one_that_means_the_same(key, value, nearest):
    with pytest.raises(InputError) as caught:
        ENGINE.changed(**{key: value})
    assert str(caught.value).startswith(f"{key} = {value!r} is not ")
    assert caught.value.nearest == (nearest and f'"{nearest}"')


def test_a_word_that_means_another_machine_is_offered_where_its_cycle_fits():
    """The engine's cycle has two turns, so that no other machine can be offered for it."""
    with pytest.raises(InputError) as caught:
        ENGINE.changed(**{"design.machine": "Air compressor"})
    assert caught.value.nearest is None
    with pytest.raises(InputError) as caught:
        load_design(DATA / "air_compressor.toml").changed(**{"design.machine": "Air compressor"})
    assert caught.value.nearest == '"compressor"'


# ---- slips in TOML

#: What stands in the file, what was written, key of the line, what is said after the line, what to write.
SLIPS = [
    ("bore_mm = 63", "bore_mm = 60mm", "cylinders.bore_mm", "has its unit behind the number, which the name of the key "
     "states already (mm)", "bore_mm = 60"),
    ("bore_mm = 63", "bore_mm = 60,5", "cylinders.bore_mm", "has a decimal comma, where TOML wants a point",
     "bore_mm = 60.5"),
    ("bore_mm = 63", "bore_mm = 2.5 in", "cylinders.bore_mm", "is given in inches, where the unit of the key is mm",
     "bore_mm = 63.5"),
    ("bore_mm = 63", "bore_mm 60", "cylinders.bore_mm", "has no = between key and value", "bore_mm = 60"),
    ("bore_mm = 63", "bore_mm: 60", "cylinders.bore_mm", "has no = between key and value", "bore_mm = 60"),
    ("bore_mm = 63", "bore_mm: 60,5", "cylinders.bore_mm", "has no = between key and value, and has a decimal comma, "
     "where TOML wants a point", "bore_mm = 60.5"),
    ("bore_mm = 63", "bore_mm =", "cylinders.bore_mm", "has no value that can be read: it must be a number from 5 to "
     "500 mm", ""),
    ("bore_mm = 63", "bore_mm = 63 // bore", "cylinders.bore_mm", "has a remark after //, where TOML wants #",
     "bore_mm = 63"),
    ("bore_mm = 63", "bore_mm = .5e2", "cylinders.bore_mm", "is a number that TOML writes in another way",
     "bore_mm = 50"),
    ("bore_mm = 63", "bore_mm =\u00a063", "cylinders.bore_mm", "holds a quote, minus or blank of a word processor, "
     "which TOML does not know", "bore_mm = 63"),
    ("speed_rpm = 3000", "speed_rpm = 3 000", "duty.speed_rpm", "has a blank or a mark inside a number",
     "speed_rpm = 3000"),
    ("clearance_volume_ratio = 0.125", "clearance_volume_ratio = 1/8", "cylinders.clearance_volume_ratio", "is a "
     "fraction, where TOML wants a decimal number", "clearance_volume_ratio = 0.125"),
    ('grade = "SAE 30"', 'grade = "SAE 30', "lubricant.grade", "is a text that does not stand between two double "
     "quotes",
     'grade = "SAE 30"'),
    ('grade = "SAE 30"', "grade = SAE 30", "lubricant.grade", "is a text that does not stand between two double quotes",
     'grade = "SAE 30"'),
    ('grade = "SAE 30"', "grade = 'SAE 30\"", "lubricant.grade", "is a text that does not stand between two double "
     "quotes",
     'grade = "SAE 30"'),
    ('grade = "SAE 30"', "grade = 10W-40", "lubricant.grade", "is a text that does not stand between two double quotes",
     'grade = "SAE 40"'),
    ('grade = "SAE 30"', "grade = \u201cSAE 30\u201d", "lubricant.grade", "holds a quote, minus or blank of a word "
     "processor, which TOML does not know", 'grade = "SAE 30"'),
    ('support = "enclosing"', 'support = "enclosing', "carrier.support", "is a text that does not stand between two "
     "double quotes", 'support = "enclosing"'),
    *[("bank_angle_deg = [45, 135]", f"bank_angle_deg = {written}", "cylinders.bank_angle_deg", "is a list, which "
        "stands in square brackets with commas between its numbers", "bank_angle_deg = [45, 135]")
      for written in ("[45 135]", "[45, 135", "[45; 135]", "45, 135", "(45, 135)")],
    ('pressure_trace = "v_twin_generator_trace.csv"', 'pressure_trace = "C:\\data\\mine.csv"', "duty.pressure_trace",
     "holds a backslash, which TOML reads as the start of a special character", 'pressure_trace = "mine.csv"'),
    ("[cylinders]", "[cylinders", "", "is not a section's name in square brackets", "[cylinders]"),
    ("[cylinders]", "cylinders", "", "is not a section's name in square brackets", "[cylinders]"),
]


@pytest.mark.parametrize(("good", "bad", "key", "words", "write"), SLIPS, ids=[slip[1] for slip in SLIPS])
def test_a_slip_is_told_with_its_line_its_key_and_what_to_write(good, bad, key, words, write, tmp_path):
    line = LINE[good.split(" =")[0]]
    place = f"line {line}" + (f", {key}" if key else "")
    after = f"; write: {write}." if write else "."
    assert of_file(tmp_path, (good, bad)) == f"{place}: `{bad}` {words}{after}"
    if write:
        fixed = TEXT.replace(good, write, 1)
        (tmp_path / "mine.toml").write_text(fixed, encoding="utf-8")
        assert load_design(tmp_path / "mine.toml")


def test_a_key_and_a_section_that_stand_twice(tmp_path):
    line, head, second = LINE["bore_mm"], LINE["[cylinders]"], LINE["[crank]"]
    assert of_file(tmp_path, ("bore_mm = 63", "bore_mm = 63\nbore_mm = 64")) == (
        f"line {line + 1}, cylinders.bore_mm: `bore_mm = 64` stands a second time, after line {line}; keep one of the "
        f"two.")
    assert of_file(tmp_path, ("[crank]", "[cylinders]")) == (
        f"line {second}: `[cylinders]` opens a section that stands already in line {head}; put its keys there.")


def test_slips_and_faults_of_the_design_are_told_together(tmp_path):
    said = of_file(tmp_path, ("bore_mm = 63", "bore_mm = 60mm"), ("[45, 135]", "[45; 135]"), ("module_mm = 1.5",
        "module_mm = 1,5"), ("speed_rpm = 3000", "speed_rpm = 3 kHz"), ("stroke_mm = 69 ", "stroke_mm = 52 "), (
                       'grade = "SAE 30"', "grade = 10W-40")).splitlines()
    assert said[:7] == [
        "The design has 6 faults:",
        f"1. line {LINE['bore_mm']}, cylinders.bore_mm: `bore_mm = 60mm` has its unit behind the number, which the "
        f"name of "
        "the key states already (mm); write: bore_mm = 60.",
        f"2. line {LINE['bank_angle_deg']}, cylinders.bank_angle_deg: `bank_angle_deg = [45; 135]` is a list, which "
        f"stands "
        "in square brackets with commas between its numbers; write: bank_angle_deg = [45, 135].",
        f"3. line {LINE['speed_rpm']}, duty.speed_rpm: `speed_rpm = 3 kHz` has no value that can be read: it must be a "
        "number from 1 to 20000 rev/min.",
        f"4. line {LINE['module_mm']}, gear_pair.module_mm: `module_mm = 1,5` has a decimal comma, where TOML wants a "
        "point; write: module_mm = 1.5.",
        f"5. line {LINE['grade']}, lubricant.grade: `grade = 10W-40` is a text that does not stand between two double "
        'quotes; write: grade = "SAE 40".',
        f"6. {STROKE}with this stroke, in [gear_pair]"]


def test_tabs_and_a_byte_order_mark_are_no_slip(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("bore_mm = 63", "\tbore_mm\t=\t63\t").encode())
    assert load_design(path) == ENGINE


@pytest.mark.parametrize("text", ["a" * 49000, "k" + " " * 48000 + "x", "bore mm\n" * 5000, "a = 1 " * 8000,
    "#\"'" * 16000
                                  + "\na b", "[a]\n" * 10000, "a=1\n" * 12000, "a = [" + "1," * 22000 + "1]",
                                      '"' * 40000])
def test_a_file_of_nonsense_is_refused_at_once(text, tmp_path):
    """Two seconds of processor time at most; a tenth is common."""
    path, start = tmp_path / "mine.toml", time.process_time()
    path.write_text(text)
    with pytest.raises(InputError):
        load_design(path)
    assert time.process_time() - start < 2.0 and len(text) < LARGEST_FILE


# ---- saving

@pytest.mark.skipif(os.name == "nt", reason="file modes of POSIX")
def test_a_file_that_is_protected_is_not_replaced(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text("mine")
    path.chmod(0o444)
    with pytest.raises(InputError) as caught:
        save_design(ENGINE, path)
    assert str(caught.value) == ("design file = 'mine.toml' is protected against writing and was left as it was: give "
        "it another name, or allow writing.")
    assert path.read_text() == "mine" and stat.S_IMODE(path.stat().st_mode) == 0o444
    assert [item.name for item in tmp_path.iterdir()] == ["mine.toml"]


def test_what_a_killed_program_left_behind_is_taken_away_later(tmp_path):
    """Not what another program writes at this moment, and no file of another kind."""
    old, young, other = (tmp_path / name for name in (".design-0a.part", ".design-0b.part", "own.part"))
    for path in (old, young, other):
        path.write_text("half")
        age = 0 if path == young else 2 * saving.LEFT_BEHIND
        os.utime(path, (path.stat().st_atime - age, path.stat().st_mtime - age))
    save_design(ENGINE, tmp_path / "mine.toml")
    assert sorted(item.name for item in tmp_path.iterdir()) == [".design-0b.part", "mine.toml", "own.part"]


def test_long_file_names_work_or_are_refused_in_a_sentence(tmp_path):
    assert load_design(save_design(ENGINE, tmp_path / ("x" * 240 + ".toml"))) == ENGINE
    with pytest.raises(InputError, match=r"is not written: File name too long; the old file is as it was\.$"):
        save_design(ENGINE, tmp_path / ("x" * 260 + ".toml"))
