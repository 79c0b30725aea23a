"""Designs whose parts would stand in each other's way: refused, with what to write instead. Geometry in the tests is
worked out apart from the core, on bodies sampled as points."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core.base.errors import InputError
from vmech_core.design.files import load_design

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = load_design(DATA / "first_sketch.toml")
BANK, PLACE, SPAN = "cylinders.bank_angle_deg", "cylinders.axial_position_mm", "crank.mesh_span_mm"


def said(**values):
    with pytest.raises(InputError) as caught:
        ENGINE.changed(**values)
    return str(caught.value)


def overlap(turn, apart, bore=63.0, begin=91.5):
    """Whether a point on the edge of one bore's mouth lies inside the other bore: 150 - 24 - 69 / 2 = 91.5 mm."""
    around = np.linspace(0.0, 2.0 * np.pi, 20001)
    half = np.radians(0.5 * turn)
    across, along = 0.5 * bore * np.cos(around), 0.5 * bore * np.sin(around)  # in the plane of the V, along the axis
    x, y = begin * np.cos(half) + across * np.sin(half), begin * np.sin(half) - across * np.cos(half)
    out, side = x * np.cos(half) - y * np.sin(half), x * np.sin(half) + y * np.cos(half)
    return bool(np.any((out > begin) & (side**2 + (along - apart) ** 2 < 0.25 * bore**2 - 1e-6)))


def test_the_bores_of_a_narrow_v_are_kept_apart():
    assert said(**{BANK: [89, 91]}) == (
        "cylinders.bank_angle_deg = [89.0, 91.0] is too narrow between entries 1 and 2, 2 deg apart, whose bores would "
        "cut into each other: they must be apart by at least 35.32 deg; nearest value that works: "
        "cylinders.axial_position_mm apart by 62.92 mm.")
    assert ENGINE.changed(**{BANK: [90 - 17.67, 90 + 17.67]})
    assert ENGINE.changed(**{BANK: [89, 91], PLACE: [-31.46, 31.46], SPAN: 170})


@pytest.mark.parametrize(("turn", "apart"), [(35.0, 24.0), (35.7, 24.0), (10.0, 60.5), (10.0, 61.0), (80.0, 24.0)])
def test_the_limit_of_a_narrow_v_is_where_the_bores_meet(turn, apart):
    values = {BANK: [0, turn], PLACE: [-0.5 * apart, 0.5 * apart], SPAN: 170}
    if overlap(turn, apart):
        assert "cut into each other" in said(**values)
    else:
        assert ENGINE.changed(**values)


def test_a_rod_goes_into_its_bore():
    assert said(**{"guide.rod_diameter_mm": 80}) == (
        "guide.rod_diameter_mm = 80 is too thick for its bore: it must be below cylinders.bore_mm = 63 mm; nearest "
        "value that works: 62 mm.")
    assert ENGINE.changed(**{"guide.rod_diameter_mm": 62})


@pytest.mark.parametrize("machine", ["pump", "compressor"])
def test_a_pump_runs_through_its_cycle_in_one_turn(machine):
    assert said(**{"design.machine": machine}) == (
        f'duty.cycle_turns = 2 is not possible with design.machine = "{machine}": it must be 1 turn; nearest value '
        'that works: design.machine = "engine".')
    one = {"design.machine": machine, "duty.cycle_turns": 1, "duty.firing_turn": [0, 0]}
    assert ENGINE.changed(**one).design.machine == machine


@pytest.mark.parametrize(("places", "fits"), [([0, 0], True), ([-12, 12], True), ([-6, 6], False), ([0, 1], False)])
def test_opposite_cylinders_share_one_rod_or_stand_side_by_side(places, fits):
    """Their crankpins have one axis: either one rod with two pistons, or two big ends of 24 mm beside each other."""
    values = {BANK: [0, 180], PLACE: places}
    if fits:
        assert ENGINE.changed(**values)
    else:
        assert "crankpins would overlap: they must be apart by at least 24 mm" in said(**values)


def test_a_boxer_whose_crankpins_meet_is_refused_by_numbers():
    assert said(**{BANK: [0, 180], PLACE: [-6, 6]}) == (
        "cylinders.axial_position_mm = [-6.0, 6.0] is too close together in entries 1 and 2, whose crankpins would "
        "overlap: they must be apart by at least 24 mm; nearest value that works: [-12, 12] mm.")


def test_a_rod_of_80_in_a_bore_of_60():
    assert said(**{"guide.rod_diameter_mm": 80, "cylinders.bore_mm": 60}) == (
        "guide.rod_diameter_mm = 80 is too thick for its bore: it must be below cylinders.bore_mm = 60 mm; nearest "
        "value that works: 59 mm.")


def test_the_nearest_bore_lets_the_rod_in_and_keeps_the_bores_apart():
    assert "nearest value that works: 22.1 mm" in said(**{"cylinders.bore_mm": -1})
    assert ENGINE.changed(**{"cylinders.bore_mm": 22.1})
    assert "nearest value that works: 184 mm" in said(**{"cylinders.bore_mm": 1000})
    assert ENGINE.changed(**{"cylinders.bore_mm": 184})


# ---- along the axis, and what stands beside the big ends

def inside(rim, far, height, inner, outer, radius):
    """Whether a point on the lower rim of a round part lies inside a round body about the main axis."""
    around = np.linspace(0.0, 2.0 * np.pi, 20001)
    across, along = rim * np.cos(around), far + rim * np.sin(around)
    return bool(np.any((along > inner) & (along < outer) & (np.hypot(height, across) < radius - 1e-6)))


def test_a_carrier_that_encloses_its_journal_stands_between_big_end_and_pinion():
    """Big ends reach to 12 + 12 = 24 mm, pinions begin at 75 - 15 = 60 mm."""
    assert said(**{"carrier.bearing_length_mm": 37}) == (
        "crank.mesh_span_mm = 150.0 is too small for carriers that enclose the journals between crankpins and pinions: "
        "it must be at least 152 mm; nearest value that works: 152 mm.")
    assert ENGINE.changed("carrier.bearing_length_mm", 36)
    assert ENGINE.changed({"carrier.bearing_length_mm": 37, SPAN: 152})
    assert ENGINE.changed({"carrier.bearing_length_mm": 37, "carrier.support": "stub_shaft"})


def test_the_sentence_of_a_guide_against_the_carriers():
    assert said(**{"guide.rod_diameter_mm": 50, "carrier.bearing_diameter_mm": 125}) == (
        "guide.rod_length_mm = 150.0 is too small to keep the guide clear of the carriers, which stand within its "
        "reach along the axis: it must be at least 151 mm; nearest value that works: 151 mm.")


def test_the_sentence_of_a_guide_against_the_webs():
    """A stub shaft lets journals and their webs be large: 17.25 + 50 mm reach over 24 mm."""
    values = {"guide.rod_diameter_mm": 26, "carrier.support": "stub_shaft", "crank.journal_diameter_mm": 100}
    assert said(**values) == (
        "guide.rod_length_mm = 150.0 is too small to keep the guide clear of the webs, which stand within its reach "
        "along the axis: it must be at least 155.75 mm; nearest value that works: 155.75 mm.")
    assert ENGINE.changed({**values, "guide.rod_diameter_mm": 24})


def test_the_sentences_of_a_piston_against_ring_gears_and_carriers():
    """One cylinder: root circle 34.5 + 1.875 mm, and a piston of 130 mm that reaches over 60 mm."""
    one = {BANK: [0], PLACE: [0], "duty.firing_turn": [0], "cylinders.bore_mm": 130, "guide.place": "big_end",
           "guide.piston_length_mm": 34, "carrier.support": "stub_shaft", "guide.rod_length_mm": 120}
    assert ENGINE.changed(one)
    tight = "which stand within its reach along the axis: it must be at least"
    deep = {"gear_pair.ring_dedendum": 1.6, "gear_pair.ring_fillet_radius": 0.15, "crank.pin_diameter_mm": 1}
    assert said(**{**one, **deep, "guide.rod_length_mm": 104}) == (
        "guide.rod_length_mm = 104 is too small to keep the piston clear of the ring gears, "
        f"{tight} 105.4 mm; nearest value that works: 105.4 mm.")
    assert said(**{**one, "carrier.support": "enclosing", "carrier.bearing_diameter_mm": 110}) == (
        "guide.rod_length_mm = 120 is too small to keep the piston clear of the carriers, "
        f"{tight} 123.5 mm; nearest value that works: 123.5 mm.")


@pytest.mark.parametrize("bearing", [100, 122, 123.2, 130, 180])
@pytest.mark.parametrize("rod", [40, 50])
def test_the_limit_of_a_guide_is_where_a_point_of_it_meets_the_carrier(bearing, rod):
    """Guide from 150 - 24 - 34.5 - 30 = 61.5 mm on; carrier from 60 - 24 = 36 to 60 mm; line at 12 mm."""
    values = {"carrier.bearing_diameter_mm": bearing, "guide.rod_diameter_mm": rod}
    if inside(0.5 * rod, 12.0, 61.5, 36.0, 60.0, 0.5 * bearing):
        assert "keep the guide clear of the carriers" in said(**values)
    else:
        assert ENGINE.changed(**values)


def test_a_big_end_against_its_neighbour():
    assert said(**{PLACE: [-10, 10]}) == (
        "cylinders.axial_position_mm = [-10.0, 10.0] is too close together in entries 1 and 2, whose crankpins would "
        "overlap: they must be apart by at least 24 mm; nearest value that works: [-12, 12] mm.")


def test_a_crankpin_too_thick_for_the_throw_asks_for_a_longer_rod():
    """69 + 40 + 30 + 24 mm; with that rod it is doubtful, as an eccentric could be meant: tests/sheet/test_whole.py."""
    assert said(**{"crank.pin_diameter_mm": 80}) == (
        "guide.rod_length_mm = 150.0 is too small to keep the piston clear of the crank and the guide: it must be at "
        "least 163 mm; nearest value that works: 163 mm.")
