"""What the stroke picker lists is what a design file takes."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from vmech_core import load_design
from vmech_core.base.errors import InputError
from vmech_core.gears.screens import check_pair
from vmech_core.gears.strokes import stroke_options
from vmech_core.show.stroke import ROWS, StrokePicker

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = load_design(DATA / "first_sketch.toml")
#: Sizes that leave room for every stroke below.
ROOM = {"guide.rod_length_mm": 400, "carrier.bearing_diameter_mm": 200}


def put_in(stroke_mm, keys):
    return ENGINE.changed(**ROOM, **{"cylinders.stroke_mm": stroke_mm},
                          **{f"gear_pair.{key}": value for key, value in keys.items()})


@pytest.mark.parametrize("angle", [15.0, 20.0, 25.0, 30.0])
@pytest.mark.parametrize("stroke_mm", [20.0, 52.0, 60.5, 68.0, 69.0, 97.3, 120.0])
def test_every_pair_that_is_listed_as_working_loads_and_passes(stroke_mm, angle):
    working = [option for option in stroke_options(1e-3 * stroke_mm, np.radians(angle)) if option.ok]
    assert bool(working) == ((stroke_mm, angle) != (20.0, 15.0))
    for option in working:
        design = put_in(stroke_mm, option.keys).changed(**{"gear_pair.backlash_um": 0})  # as the picker's own pairs
        failed = [margin.name for margin in check_pair(design.pair) if margin.value < margin.limit - 2e-4]
        assert not failed, (option.keys, failed)


@pytest.mark.parametrize(("stroke_mm", "angle"), [(52.0, 20.0), (68.0, 20.0), (68.0, 25.0), (97.3, 30.0)])
def test_the_lines_of_every_row_of_the_picker_are_the_lines_of_a_file(stroke_mm, angle):
    picker, seen = StrokePicker(), set()
    for row in range(1, ROWS + 1):
        picker.update(stroke_mm=stroke_mm, pressure_angle_deg=angle, row=row)
        design = put_in(stroke_mm, tomllib.loads(picker.pasted))
        seen.add((design.gear_pair.module_mm, design.gear_pair.pinion_teeth))
        assert 1e3 * float(design.pair.stroke) == pytest.approx(stroke_mm, abs=1e-3)
    assert len(seen) == ROWS


def test_a_row_beyond_a_short_list_is_its_last():
    picker = StrokePicker()
    working = sum(option.ok for option in stroke_options(0.020))
    picker.update(stroke_mm=20.0, pressure_angle_deg=20.0, row=ROWS)
    assert 0 < working < ROWS and f"row {working}, for" in picker.moving[-1].text
    picker.update(stroke_mm=20.0, pressure_angle_deg=15.0)
    assert picker.pasted == "" and "no pair" in picker.moving[-1].text


def test_thirteen_teeth_for_52_mm_need_a_shift_of_both_gears():
    """At 20 degrees a rack undercuts below 17.1 teeth; 13 teeth are free of it from a shift of 1 - 13 / 17.1 = 0.24."""
    option = next(o for o in stroke_options(0.052) if (o.pair.pinion_teeth, o.shift_difference) == (13, 0.0))
    assert option.keys["pinion_shift"] == option.keys["ring_shift"] == 0.25
    if option.ok:
        assert put_in(52.0, option.keys)
    with pytest.raises(InputError):
        put_in(52.0, {**option.keys, "pinion_shift": 0.0, "ring_shift": 0.0, "ring_addendum": 0.8})


def test_what_no_design_file_takes_is_not_called_working():
    tiny = stroke_options(0.010, np.radians(25), (0.001,), teeth=(5, 7))
    assert tiny and not any(option.ok for option in tiny)
    assert all("design file" in option.reason for option in tiny if all(m.ok for m in option.margins))
