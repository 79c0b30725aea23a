"""Every wrong design file is refused with one sentence: key, value, allowed range, unit, nearest value that works."""

from __future__ import annotations

import ast
import copy
import math
import os
import pickle
import random
import re
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vmech_core.base.errors import InputError
from vmech_core.design.design import Design
from vmech_core.design.files import LARGEST_FILE, load_design
from vmech_core.design.keys import split_unit

DATA = Path(__file__).resolve().parents[2] / "data"
NAMES = ("first_sketch", "star_pump", "air_compressor", "desk_model")
DESIGNS = {name: load_design(DATA / f"{name}.toml") for name in NAMES}
#: Sections that may be left out; every key in them has a default.
OPTIONAL = ("spark_cycle", "fluid_cycle", "counterweights", "surfaces", "running_state", "making")
SINGLE = DESIGNS["air_compressor"]
#: The generator engine with every value fixed that a sentence below quotes, so that the demo may be tuned freely.
TWIN = DESIGNS["first_sketch"].changed(**{
    "cylinders.bore_mm": 63, "cylinders.stroke_mm": 69, "cylinders.bank_angle_deg": [-45, 45],
    "cylinders.axial_position_mm": [-12, 12], "duty.cycle_turns": 2, "duty.firing_turn": [0, 1],
    "gear_pair.module_mm": 1.5, "gear_pair.pinion_teeth": 23, "gear_pair.ring_teeth": 46,
    "gear_pair.pressure_angle_deg": 20, "gear_pair.pinion_shift": 0, "gear_pair.ring_shift": 0,
    "gear_pair.pinion_addendum": 1, "gear_pair.ring_addendum": 0.8, "gear_pair.pinion_dedendum": 1.25,
    "gear_pair.ring_dedendum": 1.25, "gear_pair.pinion_tool_tip_radius": 0.38, "gear_pair.ring_fillet_radius": 0.25,
    "gear_pair.face_width_mm": 26, "gear_pair.backlash_um": 60,
    "crank.mesh_span_mm": 180, "crank.pin_diameter_mm": 30, "crank.pin_length_mm": 24, "crank.journal_diameter_mm": 34,
    "carrier.support": "enclosing", "carrier.bearing_diameter_mm": 90, "guide.place": "above_crank",
    "guide.length_mm": 30, "guide.piston_length_mm": 24, "guide.rod_length_mm": 150, "ordinary_crank.rod_ratio": 3.5,
    "ordinary_crank.wrist_pin_offset_mm": 0})
relaxed = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def sentence(error):
    """The message, after the checks that every message has to pass: one sentence for each fault."""
    text, faults = str(error), getattr(error, "faults", ())
    for single in [fault.sentence() for fault in faults] or [text]:
        lines = single.split("\n")  # gears that would help stand on lines of their own
        assert len(single) < 700 and all(re.match(r"    \w+ = |or [\d.]+ mm", line) for line in lines[1:]), single
        assert single.endswith(".") or re.match(r"    \w+ = ", lines[-1]), single
    assert isinstance(error, InputError) and text.count("\n") <= 45 + 8 * len(faults)
    first = f"The design has {len(faults)} faults:\n1. {faults[0].sentence()}\n2. " if len(faults) > 1 else ""
    assert text.startswith(first)
    assert "Error" not in text and "pydantic" not in text and "tomlkit" not in text, text
    return text


def refused(**values):
    with pytest.raises(InputError) as caught:
        TWIN.changed(**values)
    return caught.value


# key, value, what the sentence must say after "key = value is ", nearest value that works
ONE_KEY = [
    ("cylinders.bore_mm", -3, "outside 5 to 500 mm", "22.1 mm"),
    ("cylinders.bore_mm", 1e9, "outside 5 to 500 mm", "184 mm"),
    ("cylinders.bore_mm", math.inf, "outside 5 to 500 mm", "184 mm"),
    ("cylinders.bore_mm", math.nan, "not a number from 5 to 500 mm", None),
    ("cylinders.bore_mm", "63", "not a number from 5 to 500 mm", "63 mm"),
    ("cylinders.bore_mm", "63 mm", "not a number from 5 to 500 mm", "63 mm"),
    ("cylinders.bore_mm", True, "not a number from 5 to 500 mm", None),
    ("cylinders.bore_mm", [63], "not a number from 5 to 500 mm", None),
    ("cylinders.bank_angle_deg", 45, "not a list of 1 to 12 numbers from -360 to 360 deg", None),
    ("cylinders.bank_angle_deg", [], "not a list of 1 to 12 numbers from -360 to 360 deg", None),
    ("cylinders.stroke_mm", 70.0, "not the stroke of this gear pair, 2 x module x pinion teeth x cos(pressure angle) / "
     "cos(working angle): outside 68.9931 to 69.0069 mm",
     'with this stroke {"gear_pair.ring_shift": 0.1754} or 69 mm'),
    ("cylinders.stroke_mm", -5, "outside 5 to 500 mm", "69 mm"),
    ("gear_pair.ring_teeth", 47, "not twice gear_pair.pinion_teeth = 23: it must be 46 teeth", "46 teeth"),
    ("gear_pair.pinion_teeth", 22, "not half of gear_pair.ring_teeth = 46: it must be 23 teeth", "23 teeth"),
    ("gear_pair.pinion_teeth", 23.0, "not a whole number from 8 to 150", "23"),
    ("gear_pair.pinion_teeth", -4, "outside 8 to 150", "23"),
    ("gear_pair.module_mm", 0, "outside 0.3 to 20 mm", "1.5 mm"),
    ("gear_pair.ring_addendum", 1.0, "not a height with which 23/46 teeth can run: pinion fillet clear of ring tip is "
     "-0.834 and must be at least 0 modules", "0.8 modules"),
    ("gear_pair.pinion_addendum", 1.4, "not a height with which 23/46 teeth can run: ring fillet clear of "
     "pinion tip is -0.293 and must be at least 0 modules", "1.2 modules"),
    ("duty.cycle_turns", 3, "outside 1 to 2", "2"),
    ("duty.pressure_trace", "../x/y.csv", "not the name of a .csv file beside the design file, without a folder",
     '"y.csv"'),
    ("duty.pressure_trace", "trace.txt", "not the name of a .csv file beside the design file", '"trace.csv"'),
    ("masses.crank_g", "estmate", 'not "estimate" or a number from 0.1 to 10000000 g', '"estimate"'),
    ("masses.crank_g", -1, 'not "estimate" or a number from 0.1 to 10000000 g', "0.1 g"),
    ("masses.crank_g", [900, 900], 'not "estimate" or a number from 0.1 to 10000000 g', None),
    ("masses.piston_g", "estmate", 'not "estimate" or a number, or a list of one for each cylinder, from 0.1 to '
     "1000000 g", '"estimate"'),
    ("masses.piston_rod_g", [], 'not "estimate" or a number, or a list of one for each cylinder, from 0.1 to 1000000 g',
     None),
    ("masses.piston_rod_g", [300.0], "not a list of 2, one for each entry of cylinders.bank_angle_deg, each from 0.1 "
     "to 1000000 g", "[300, 300] g"),
    ("masses.piston_rod_g", [300.0, 310.0, 320.0], "not a list of 2, one for each entry of cylinders.bank_angle_deg, "
     "each from 0.1 to 1000000 g", "[300, 310] g"),
    ("lubricant.grade", "sae30", "not one of dry, water, SAE 10", '"SAE 30"'),
    ("crank.driving_carriers", "Both", "not one of one, both", '"both"'),
    ("design.name", "", "not a text of 1 to 80 characters on one line", None),
    ("design.name", "two\nlines", "not a text of 1 to 80 characters on one line", '"two lines"'),
    ("cylinders.axial_position_mm", [0.0, 0.0], "too close together in entries 1 and 2, whose crankpins would overlap: "
     "they must be apart by at least 24 mm", "[-12, 12] mm"),
    ("crank.mesh_span_mm", 60.0, "too small for carriers that enclose the journals between crankpins and pinions: it "
     "must be at least 122 mm", "122 mm"),
    ("carrier.bearing_diameter_mm", 40.0, "too small to enclose the offset journal of the crank: it must be at least "
     "68.5 mm", "68.5 mm"),
    ("guide.rod_length_mm", 100.0, "too small to keep the piston clear of the crank and the guide: it must be at "
     "least 138 mm", "138 mm"),
    ("ordinary_crank.wrist_pin_offset_mm", 90.0, "too far for the rod to pass over the dead centres: outside -55.446 "
     "to 55.446 mm", "55.446 mm"),
]


@pytest.mark.parametrize("key, value, phrase, nearest", ONE_KEY)
def test_sentence_names_key_value_range_unit_and_nearest(key, value, phrase, nearest):
    error = refused(**{key: value})
    shown = " ".join((repr(value) if isinstance(value, str) else str(value)).split())
    assert sentence(error).startswith(f"{key} = {shown} is {phrase}")
    assert (error.field, error.value is value or error.value == value) == (key, True)
    if nearest is None:
        assert "nearest" not in str(error)
    else:
        assert f"; nearest value that works: {nearest}" in str(error) or nearest in error.nearest


# key, list, place at fault, what follows "key entry N = value is "
ENTRIES = [
    ("cylinders.bank_angle_deg", [0, 400], 2, "outside -360 to 360 deg"),
    ("cylinders.bank_angle_deg", [0, "a"], 2, "not a number from -360 to 360 deg"),
    ("cylinders.axial_position_mm", [-9999, 12], 1, "outside -2000 to 2000 mm"),
    ("duty.firing_turn", [0, 2], 2, "outside 0 to 1"),
    ("duty.firing_turn", [0.0, 1], 1, "not a whole number from 0 to 1"),
    ("masses.piston_rod_g", [300, -1], 2, "outside 0.1 to 1000000 g; nearest value that works: 0.1 g"),
    ("masses.piston_g", ["estimate", 300], 1, "not a number from 0.1 to 1000000 g"),
]


@pytest.mark.parametrize("key, values, place, phrase", ENTRIES)
def test_sentence_counts_the_entry_of_a_list_from_one(key, values, place, phrase):
    shown = values[place - 1]
    assert f"{key} entry {place} = {shown!r} is {phrase}" in sentence(refused(**{key: values}))


def test_lists_have_one_entry_for_each_cylinder():
    text = sentence(refused(**{"cylinders.bank_angle_deg": [0, 90, 180]}))
    assert text == ("The design has 2 faults:\n"
                    "1. cylinders.axial_position_mm = [-12.0, 12.0] is not a list of 3, one for each entry of "
                    "cylinders.bank_angle_deg, each from -2000 to 2000 mm; nearest value that works: [-24, 0, 24] mm.\n"
                    "2. duty.firing_turn = [0, 1] is not a list of 3, one for each entry of cylinders.bank_angle_deg, "
                    "each from 0 to 1 turns; nearest value that works: [0, 0, 0] turns.")
    text = sentence(refused(**{"duty.firing_turn": [0]}))
    assert "duty.firing_turn = [0] is not a list of 2" in text and "[0, 0] turns" in text


def test_two_cylinders_on_one_side_need_room_for_their_bores():
    text = sentence(refused(**{"cylinders.bank_angle_deg": [0, 360], "crank.mesh_span_mm": 200.0}))
    assert "whose bores would overlap: they must be apart by at least 63 mm" in text and "[-31.5, 31.5] mm" in text


def test_opposite_cylinders_may_share_a_pin():
    assert TWIN.changed(**{"cylinders.bank_angle_deg": [0, 180], "cylinders.axial_position_mm": [0, 0]})


def test_firing_turn_stays_below_the_turns_of_a_cycle():
    text = sentence(refused(**{"duty.cycle_turns": 1}))
    assert text == ("duty.firing_turn entry 2 = 1 is not below duty.cycle_turns: outside 0 to 0 turns; nearest value "
                    "that works: 0 turns.")


@pytest.mark.parametrize("layout", ["opposed", "split"])
def test_one_cylinder_has_one_crankpin(layout):
    with pytest.raises(InputError, match="not possible with one cylinder"):
        SINGLE.changed(**{"ordinary_crank.crankpin_layout": layout})
    assert TWIN.changed(**{"ordinary_crank.crankpin_layout": layout})


# ---- journals in the planes of the meshes

IN_PINION = {"crank.journal_place": "in_pinion", "carrier.support": "stub_shaft", "crank.journal_diameter_mm": 20.0}


def test_a_journal_in_its_pinion_needs_a_carrier_beside_it():
    """The stub shaft holds a pin in the pinion's bore; an enclosing carrier would stand where the ring gear is."""
    assert TWIN.changed(**IN_PINION).journals_outward == 0.0 and TWIN.journals_outward == -1.0
    text = sentence(refused(**{**IN_PINION, "carrier.support": "enclosing"}))
    assert text == ('crank.journal_place = \'in_pinion\' is not possible with carrier.support = "enclosing", which '
                    'puts the journals beside the pinions; nearest value that works: "beside_pinion".')


def test_a_journal_in_its_pinion_leaves_a_rim():
    """By hand: 23 teeth of 1.5 mm are 34.5 mm, less two dedenda of 1.875 mm and two rims of 1.5 mm: 27.75 mm."""
    assert TWIN.changed(**{**IN_PINION, "crank.journal_diameter_mm": 27.75})
    text = sentence(refused(**{**IN_PINION, "crank.journal_diameter_mm": 27.76}))
    assert text == ("crank.journal_diameter_mm = 27.76 is too large for the bore of a pinion with a rim of 1 module: "
                    "it must be at most 27.75 mm; nearest value that works: 27.75 mm.")


def test_a_journal_longer_than_its_pinion_is_wide_leaves_room_for_the_crankpins():
    """By hand: pins reach 24 mm to either side, the journals of 30 mm half their length from the middle of a mesh."""
    long = {**IN_PINION, "crank.journal_length_mm": 30.0}
    assert TWIN.changed(**{**long, "crank.mesh_span_mm": 78.0})
    assert "at least 78 mm" in sentence(refused(**{**long, "crank.mesh_span_mm": 77.9}))
    assert TWIN.changed(**{**long, "crank.journal_length_mm": 20.0, "crank.mesh_span_mm": 74.0})


# ---- gear pairs

@pytest.mark.parametrize("teeth", [12, 17, 20, 22])
def test_full_depth_20_degree_pairs_below_23_teeth_interfere(teeth):
    """Handbook knowledge, from memory; a hob leaves a fillet that asks for more than this."""
    values = {"gear_pair.pinion_teeth": teeth, "gear_pair.ring_teeth": 2 * teeth, "gear_pair.ring_addendum": 1.0,
              "cylinders.stroke_mm": 3.0 * teeth, "gear_pair.pinion_tool_tip_radius": 0}
    assert re.search(r"(involute interference|ring tip outside base circle) is -\d", sentence(refused(**values)))


def test_a_pair_that_interferes_is_refused_and_the_sentence_says_what_works():
    values = {"gear_pair.pinion_teeth": 17, "gear_pair.ring_teeth": 34, "gear_pair.ring_addendum": 0.9,
              "cylinders.stroke_mm": 51}
    error = refused(**values)
    assert error.field == "gear_pair.ring_addendum" and "interference" in sentence(error)
    teeth = re.search(r"or (\d+)/(\d+) teeth with a stroke of ([\d.]+) mm", str(error))
    height = error.fault.candidate
    assert TWIN.changed(**{**values, "gear_pair.ring_addendum": height})
    assert TWIN.changed(**{**values, "gear_pair.pinion_teeth": int(teeth[1]), "gear_pair.ring_teeth": int(teeth[2]),
                           "cylinders.stroke_mm": float(teeth[3]), "guide.rod_length_mm": 500.0,
                           "carrier.bearing_diameter_mm": 300.0})
    fewer = int(teeth[1]) - 1
    worse = refused(**{**values, "gear_pair.pinion_teeth": fewer, "gear_pair.ring_teeth": 2 * fewer,
                       "cylinders.stroke_mm": 3.0 * fewer, "guide.rod_length_mm": 500.0,
                       "carrier.bearing_diameter_mm": 300.0})
    assert worse.field == "gear_pair.ring_addendum"  # one tooth fewer does not work: the number named is the smallest
    assert f"or {teeth[1]}/{teeth[2]} teeth with" in sentence(worse)


@pytest.mark.parametrize("stroke", [52, 60, 68, 70, 80, 91.5])
def test_the_gears_that_are_named_give_the_stroke(stroke):
    """Whatever else that stroke asks for is put in with them; nothing else may be wrong."""
    error = refused(**{"cylinders.stroke_mm": stroke})
    assert error.field == "cylinders.stroke_mm" and sentence(error)
    gears = ast.literal_eval(re.search(r"with this stroke (\{.*\})", str(error))[1])
    others = {fault.key: fault.candidate for fault in error.faults[1:]}
    assert TWIN.changed(**{"cylinders.stroke_mm": stroke, **gears, **others}).cylinders.stroke_mm == stroke


def test_base_circles_that_would_overlap():
    text = sentence(refused(**{"gear_pair.ring_shift": -1}))
    least = float(re.search(r"it must be above (-[\d.]+) modules", text)[1])
    assert refused(**{"gear_pair.ring_shift": least + 1e-3}).field != "gear_pair.ring_shift"
    assert refused(**{"gear_pair.ring_shift": least - 1e-3}).field == "gear_pair.ring_shift"


def test_stroke_may_be_rounded_to_a_ten_thousandth():
    assert TWIN.changed(**{"cylinders.stroke_mm": 69.0068})
    refused(**{"cylinders.stroke_mm": 69.0071})


# ---- names

NAMES_WRONG = [
    ({"cylinders.bor_mm": 63}, "cylinders.bor_mm = 63 is not a known key of [cylinders]; nearest value that works: "
     '"bore_mm".'),
    ({"gear_pair.bore_mm": 63}, "gear_pair.bore_mm = 63 is not a known key of [gear_pair]; nearest value that works: "
     "bore_mm in section [cylinders]."),
    ({"masses.zzz": 1}, "masses.zzz = 1 is not a known key of [masses]."),
    ({"cylinders": 4}, "cylinders = 4 is not a section [cylinders] with keys and values."),
]


@pytest.mark.parametrize("values, text", NAMES_WRONG)
def test_unknown_names(values, text):
    assert sentence(refused(**values)) == text


def test_mistyped_key_counts_once():
    data = TWIN.to_dict()
    data["cylinders"]["Bore_mn"] = data["cylinders"].pop("bore_mm")
    with pytest.raises(InputError) as caught:
        Design.from_dict(data)
    assert sentence(caught.value) == ("cylinders.Bore_mn = 63.0 is not a known key of [cylinders]; nearest value that "
                                      'works: "bore_mm".')


def test_mistyped_section_counts_once():
    data = TWIN.to_dict()
    data["lubricnt"] = data.pop("lubricant")
    with pytest.raises(InputError, match=r'^lubricnt = .* not a known section.*works: "lubricant"\.$'):
        Design.from_dict(data)


def test_key_in_the_wrong_section_counts_once():
    data = TWIN.to_dict()
    data["guide"]["bore_mm"] = data["cylinders"].pop("bore_mm")
    with pytest.raises(InputError, match=r"^guide\.bore_mm.*bore_mm in section \[cylinders\]\.$"):
        Design.from_dict(data)


def test_several_faults_are_all_named_in_the_order_of_the_file():
    data = TWIN.to_dict()
    del data["cylinders"]["bore_mm"], data["guide"]
    data["masses"]["piston_g"], data["duty"]["sped_rpm"] = -4, data["duty"].pop("speed_rpm")
    with pytest.raises(InputError) as caught:
        Design.from_dict(data)
    assert sentence(caught.value) == (
        "The design has 4 faults:\n"
        "1. cylinders.bore_mm = (missing) is required: a number from 5 to 500 mm.\n"
        '2. duty.sped_rpm = 3000.0 is not a known key of [duty]; nearest value that works: "speed_rpm".\n'
        "3. guide = (missing) is required: a section [guide] with its keys.\n"
        '4. masses.piston_g = -4 is not "estimate" or a number, or a list of one for each cylinder, from 0.1 to '
        "1000000 g; nearest value that works: 0.1 g.")


def test_things_that_are_no_design():
    for data in (3, None, [], "text"):
        with pytest.raises(InputError, match="not a set of sections"):
            Design.from_dict(data)
    with pytest.raises(InputError, match=r"^The design has 11 faults:\n1\. design = \(missing\) is required"):
        Design.from_dict({})


def test_the_error_travels_between_processes():
    error = refused(**{"cylinders.bore_mm": -3})
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


# ---- every key of every design

WRONG = {"negative": -1e7, "huge": 1e12, "very long": 16**9000, "nan": math.nan, "inf": math.inf, "text": "qqqq\n",
         "flag": True, "list": [[1]], "table": {"a": 1}, "empty list": [], "none": None}


@pytest.mark.parametrize("name", NAMES)
def test_every_wrong_value_of_every_key_is_refused_by_name(name):
    """And whenever a value is offered instead, the design with that value is accepted."""
    good = DESIGNS[name].to_dict()
    for section, model in Design.sections().items():
        for key, rule in model.rules.items():
            for kind, wrong in WRONG.items():
                data = copy.deepcopy(good)
                data[section][key] = wrong
                with pytest.raises(InputError) as caught:
                    Design.from_dict(data)
                error, text = caught.value, sentence(caught.value)
                assert error.fault.key == f"{section}.{key}" and error.more == 0, (kind, text)
                assert split_unit(key)[1] in text and ("number" not in rule.kind or rule.span() in text), text
                if error.fault.candidate is not None:
                    data[section][key] = error.fault.candidate
                    Design.from_dict(data)


@pytest.mark.parametrize("name", NAMES)
def test_every_missing_key_and_section_is_named(name):
    good = DESIGNS[name].to_dict()
    for section, model in Design.sections().items():
        if section in OPTIONAL:
            continue
        with pytest.raises(InputError, match=rf"^{section} = \(missing\) is required"):
            Design.from_dict({other: keys for other, keys in good.items() if other != section})
        for key in model.rules:
            if not model.model_fields[key].is_required():
                continue
            less = {other: value for other, value in good[section].items() if other != key}
            with pytest.raises(InputError, match=rf"^{section}\.{key} = \(missing\) is required: .*\.$"):
                Design.from_dict({**good, section: less})


@pytest.mark.parametrize("name", NAMES)
def test_every_mistyped_key_is_named_with_the_right_one(name):
    good, dice = DESIGNS[name].to_dict(), random.Random(1)
    for section, model in Design.sections().items():
        for key in model.rules:
            place = dice.randrange(len(key))
            typo = key[:place] + key[place + 1:] if len(key) > 4 else key + "s"
            keys = {typo if other == key else other: value for other, value in good[section].items()}
            with pytest.raises(InputError) as caught:
                Design.from_dict({**good, section: keys})
            error = caught.value
            assert error.fault.key == f"{section}.{typo}" and key in str(error), sentence(error)


NUMBERS = [(section, key, rule) for section, model in Design.sections().items() for key, rule in model.rules.items()
           if rule.kind in ("number", "whole number") and not rule.listed]


@settings(relaxed, max_examples=120)
@given(dice=st.randoms(use_true_random=False), few=st.integers(1, 3), gears=st.booleans())
def test_any_values_in_range_make_a_design_or_one_sentence(dice, few, gears):
    """And whenever a value is offered for the one thing that is wrong, the design with that value is accepted."""
    data = TWIN.to_dict()
    for section, key, rule in dice.sample([item for item in NUMBERS if item[0] == "gear_pair" or not gears], few):
        draw = dice.randint if "whole" in rule.kind else dice.uniform
        data[section][key] = draw(rule.low, rule.high)
    try:
        Design.from_dict(data)
    except InputError as error:
        sentence(error)
        section, key = error.fault.key.split(".")
        given_value = data[section][key][error.fault.entry - 1] if error.fault.entry else data[section][key]
        assert error.fault.between and error.fault.value == given_value
        if error.fault.candidate is not None and not error.more:
            Design.from_dict({**data, section: {**data[section], key: error.fault.candidate}})
        if error.fault.gears and not error.more:
            Design.from_dict({**data, "gear_pair": {**data["gear_pair"], **error.fault.gears[0]}})


# ---- files

def load(folder, raw):
    path = folder / "wrong.toml"
    path.write_bytes(raw)
    with pytest.raises(InputError) as caught:
        load_design(path)
    assert str(folder) not in sentence(caught.value)
    return str(caught.value)


def test_files_that_are_not_there(tmp_path):
    (tmp_path / "generator.toml").write_text("")
    for path, words in ((tmp_path / "genrator.toml", "not an existing file; nearest value that works: generator.toml."),
                        (tmp_path / "other", "not an existing file."), (tmp_path, "a folder, not a TOML file."),
                        ("a\0b", "not an existing file."), (3, "not a file name."), ("x" * 5000, "")):
        with pytest.raises(InputError) as caught:
            load_design(path)
        assert words in sentence(caught.value)


def test_files_that_are_not_toml(tmp_path):
    good = (DATA / "star_pump.toml").read_bytes()
    cut = good.replace(b"bore_mm = 28", b"bore_mm : 28")
    line = cut[:cut.index(b"bore_mm :")].count(b"\n") + 1
    assert load(tmp_path, cut) == (f"line {line}, cylinders.bore_mm: `bore_mm : 28` has no = between key and value; "
                                   "write: bore_mm = 28.")
    assert "1. line 1: `[design` is not a section's name in square brackets; write: [design]." in load(
        tmp_path, b"[design")
    assert "binary, not TOML text: byte 3 is zero" in load(tmp_path, b"ab\0c")
    assert "not TOML text in UTF-8: line 2 holds other bytes" in load(tmp_path, b"# a\n# \xff\xfe caf\xe9")
    assert "not TOML text" in load(tmp_path, "# Motor größer".encode("latin-1"))
    assert "binary" in load(tmp_path, "[design]".encode("utf-16"))
    for empty in (b"", b" \n\t\n"):
        assert "wrong.toml' is empty; it needs the sections design, cylinders" in load(tmp_path, empty)
    assert "design = (missing) is required" in load(tmp_path, b"# a comment alone\n")
    assert load(tmp_path, b"\na = " + b"[" * 20000) == (
        "design file = 'wrong.toml' is nested more than 8 deep in line 2: a section holds keys, and a key one value or "
        "one list.")
    assert "nested more than 8 deep in line 1" in load(tmp_path, b"x = {" + b"a." * 20000 + b"a = 1}")
    quoted = b"# ......... [[[[[[[[[\na = \"[[[[[[[[[[\"\n"
    assert "nested more than 8 deep in line 3" in load(tmp_path, quoted + b"b." * 9)
    assert "not TOML" in load(tmp_path, b"a = " + b"9" * 6000)
    twice = load(tmp_path, good.replace(b"bore_mm = 28", b"bore_mm = 28\nbore_mm = 29"))
    assert twice == (f"line {line + 1}, cylinders.bore_mm: `bore_mm = 29` stands a second time, after line {line}; "
        f"keep "
                     "one of the two.")
    assert "cylinders.bore_mm = nan is not a number" in load(tmp_path, good.replace(b"bore_mm = 28", b"bore_mm = nan"))


def test_huge_file_is_refused_without_reading_it(tmp_path):
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(10**8)  # sparse: holds no blocks on disk
    tracemalloc.start()
    with pytest.raises(InputError, match=f"too large for a design: outside 1 to {LARGEST_FILE} bytes"):
        load_design(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 10**7


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes of POSIX")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(InputError, match="not an existing file"):
        load_design(tmp_path / "pipe.toml")


@relaxed
@given(raw=st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_random_bytes_and_text_are_refused(raw, tmp_path):
    load(tmp_path, raw)


pieces = st.sampled_from([
    "[", "]", "{", "}", '"', "'", '"""', "=", ".", ",", "#", "\n", "\r", "\\", "-", "1e999", "inf", "0x", "true",
    "1979-05-27", "[[a]]", "[design]\n", "a.b = 1\n", "é", "\u2028", "\x7f", " ", "\t", "[]"])


@settings(relaxed, max_examples=120)
@given(dice=st.randoms(use_true_random=False), bits=st.lists(st.tuples(pieces, st.integers(0, 6)), max_size=4))
def test_damaged_design_files_load_or_are_refused(dice, bits, tmp_path):
    text = TWIN.text
    for piece, cut in bits:
        place = dice.randrange(len(text) + 1)
        text = text[:place] + piece + text[place + cut:]
    path = tmp_path / "damaged.toml"
    path.write_bytes(text.encode())
    try:
        load_design(path)
    except InputError as error:
        sentence(error)
