"""Internal gear pair: inverses, limits, invariances and refusals, over random pairs where that helps."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from vmech_core.base.errors import InputError
from vmech_core.gears.geometry import InternalPair, contact_ratio
from vmech_core.gears.involute import inverse_involute, involute, shift_difference
from vmech_core.gears.outline import pinion_outline, place_pinion, ring_outline
from vmech_core.gears.screens import check_pair, longest_ring_addendum, margins
from vmech_core.gears.strength import ALTERNATING_FACTOR, bending_margins, pinion_form_factor, ring_form_factor
from vmech_core.gears.strokes import stroke_options

ANGLES = st.floats(np.radians(14.5), np.radians(30))
TEETH = st.integers(10, 60)


@st.composite
def pairs(draw):
    """Pairs of any ratio, shifted or not, that can at least stand at a centre distance."""
    teeth, shift = draw(TEETH), draw(st.floats(-0.5, 0.8))
    ring = teeth + draw(st.integers(5, 60))
    try:
        return InternalPair(draw(st.floats(0.5e-3, 5e-3)), teeth, ring, draw(ANGLES), shift,
                            shift + draw(st.floats(-0.5, 1.0)), draw(st.floats(0.6, 1.1)), draw(st.floats(0.5, 1.1)),
                            draw(st.floats(1.0, 1.3)), draw(st.floats(1.0, 1.3)))
    except InputError:
        assume(False)


@given(st.floats(1e-3, 1.5))
def test_inverse_involute_undoes_the_involute(angle):
    assert inverse_involute(involute(angle)) == pytest.approx(angle, rel=0, abs=1e-13 if angle > 0.05 else 1e-11)


@given(st.floats(1e-6, 10.0))
def test_inverse_involute_against_a_bracketing_root_finder(value):
    """Outside check: scipy's brentq on tan x - x."""
    root = brentq(lambda x: np.tan(x) - x - value, 0.0, np.pi / 2 - 1e-9, xtol=1e-15)
    assert inverse_involute(value) == pytest.approx(root, abs=1e-11)


def test_inverse_involute_of_zero_and_of_arrays():
    assert inverse_involute(0.0) == 0.0
    values = involute(np.linspace(0.0, 1.4, 29)).reshape(29, 1)
    assert inverse_involute(values).shape == (29, 1)
    assert np.allclose(inverse_involute(values).ravel(), np.linspace(0.0, 1.4, 29), atol=1e-11)


@given(TEETH, st.integers(5, 60), ANGLES, st.floats(-0.2, 1.5))
def test_shift_difference_undoes_the_centre_distance_of_a_pair(teeth, more, angle, shift):
    try:
        pair = InternalPair(0.002, teeth, teeth + more, angle, ring_shift=shift)
    except InputError:
        assume(False)
    assume(pair.working_angle > 0.1)
    found = shift_difference(pair.centre_distance, 0.002, teeth, teeth + more, angle)
    assert found == pytest.approx(shift, abs=1e-9)


@given(TEETH, st.integers(5, 60), ANGLES)
def test_without_shift_difference_the_gears_work_at_their_reference_circles(teeth, more, angle):
    pair = InternalPair(0.002, teeth, teeth + more, angle, 0.3, 0.3)
    assert pair.working_angle == pytest.approx(angle, abs=1e-12)
    assert pair.pinion_working_radius == pytest.approx(pair.pinion_radius, rel=1e-12)
    assert pair.ring_working_radius - pair.pinion_working_radius == pytest.approx(pair.centre_distance, rel=1e-12)


@given(pairs())
def test_teeth_fill_the_spaces_at_the_working_pitch_circle(pair):
    """Pinion tooth and ring space are equally wide there without backlash; with it they differ by the backlash."""
    for play in (0.0, 50e-6):
        one = InternalPair(**_fields(pair, backlash=play))
        tooth = 2 * one.pinion_working_radius * (one.pinion_half_angle - involute(one.working_angle))
        space = 2 * one.ring_working_radius * (one.ring_half_angle - involute(one.working_angle))
        assert space - tooth == pytest.approx(play, abs=1e-12)


@given(pairs())
def test_size_does_not_change_the_screens(pair):
    small, large = margins(pair), margins(InternalPair(**_fields(pair, module=7 * pair.module)))
    for name in small:
        assert large[name] == pytest.approx(small[name], rel=1e-9, abs=1e-9, nan_ok=True)


@given(pairs())
def test_a_longer_ring_tooth_meshes_longer_and_clears_less(pair):
    longer = InternalPair(**_fields(pair, ring_addendum=pair.ring_addendum + 0.05))
    assume(margins(longer)["ring tip outside base circle"] > 0)
    assert contact_ratio(longer) > contact_ratio(pair)
    for name in ("involute interference", "pinion root clearance"):
        assert margins(longer)[name] < margins(pair)[name]


def test_contact_ratio_of_very_many_teeth_tends_to_rack_against_rack():
    """Limit 4 ha / (pi sin 2 alpha): 1.9808 at 20 degrees full depth (relation from memory, in any gear textbook)."""
    assert contact_ratio(InternalPair(0.001, 200_000, 400_000)) == pytest.approx(1.9808, abs=5e-5)


def test_arrays_give_what_single_pairs_give():
    teeth, shifts = np.array([16, 20, 23]), np.array([[0.0], [0.2]])
    many = margins(InternalPair(0.002, teeth, 2 * teeth, ring_shift=shifts, ring_addendum=0.8))
    for i, number in enumerate(teeth):
        one = margins(InternalPair(0.002, int(number), 2 * int(number), ring_shift=0.2, ring_addendum=0.8))
        for name in one:
            assert np.broadcast_to(many[name], (2, 3))[1, i] == pytest.approx(one[name], rel=1e-12, nan_ok=True)


@given(pairs())
def test_longest_ring_addendum_is_where_the_screens_turn(pair):
    height = float(longest_ring_addendum(pair))
    assume(0.1 < height < 1.9)
    at, above = (margins(InternalPair(**_fields(pair, ring_addendum=h))) for h in (height, height + 1e-3))
    assert at["involute interference"] >= 0 and at["pinion fillet clear of ring tip"] >= 0
    assert above["pinion fillet clear of ring tip"] < 0


def test_undercut_limit_agrees_with_the_form_point():
    """The involute begins on the base circle at the undercut limit of any textbook, 2 (depth - shift) / sin^2 angle.

    Depth is that of the straight part of the tool below its reference line, in modules.
    """
    for shift in (0.0, 0.3):
        depth = 1.25 - 0.3 * (1 - np.sin(np.radians(25)))
        limit = 2 * (depth - shift) / np.sin(np.radians(25)) ** 2
        pair = InternalPair(0.002, limit, 60, np.radians(25), shift, shift, tool_tip_radius=0.3)
        assert pair.pinion_form == pytest.approx(0.0, abs=1e-15)


@given(pairs())
@settings(max_examples=30)
def test_outlines_reach_their_tip_and_root_circles(pair):
    try:
        pinion, ring = abs(pinion_outline(pair)), abs(ring_outline(pair))
    except InputError as refusal:
        assert "too deep" in str(refusal)
        return
    assert pinion.max() == pytest.approx(pair.pinion_tip_radius)
    assert pinion.min() == pytest.approx(pair.pinion_root_radius)
    assert ring.min() == pytest.approx(pair.ring_tip_radius)
    assert ring.max() == pytest.approx(pair.ring_root_radius)


def test_a_point_on_the_working_pitch_circle_runs_on_a_diameter_of_length_stroke():
    pair = InternalPair(0.002, 16, 32, np.radians(25), ring_shift=0.2)
    path = place_pinion(pair, np.array([pair.pinion_working_radius]), np.linspace(0, 2 * np.pi, 73))[:, 0]
    assert np.abs(path.imag).max() < 1e-15
    assert np.ptp(path.real) == pytest.approx(pair.stroke, rel=1e-12)


def test_the_pinion_carries_its_teeth_into_spaces_all_round():
    """Every carrier angle that is a ring pitch finds a tooth centred in a space (no tooth out)."""
    pair = InternalPair(0.002, 16, 32)
    for k in range(32):
        angle = 2 * np.pi * k / 32
        tooth = (place_pinion(pair, np.array([0.0, 1.0]), angle) @ [-1, 1]) * np.exp(-1j * angle)
        assert (np.angle(tooth) * 16 / (2 * np.pi)) % 1 == pytest.approx(0, abs=1e-9) or (
            (np.angle(tooth) * 16 / (2 * np.pi)) % 1 == pytest.approx(1, abs=1e-9))


@pytest.mark.parametrize("stroke", [0.069, 0.064, 0.0605, 0.0723])
def test_stroke_options_give_the_stroke_and_sort_what_works_first(stroke):
    options = stroke_options(stroke, np.radians(20))
    assert options and options[0].ok
    states = [option.ok for option in options]
    assert states == sorted(states, reverse=True)
    for option in options:
        assert option.stroke == pytest.approx(stroke, abs=1e-9)
        assert option.stroke == 4 * option.pair.centre_distance
        assert option.ok == (option.reason == "passes all screens")
        assert option.margins[-1].name == "contact ratio"
        assert option.margins[-1].value == pytest.approx(option.contact_ratio)


def test_stroke_that_the_teeth_give_needs_no_shift():
    best = stroke_options(0.069)[0]
    assert (best.shift_difference, best.pair.module, best.pair.pinion_teeth) == (0.0, 0.0015, 23)
    assert stroke_options(0.0605)[0].shift_difference != 0.0


def test_open_shift_and_ring_height_are_chosen_as_far_as_needed_and_no_farther():
    option = next(o for o in stroke_options(0.060) if o.pair.pinion_teeth == 12)
    less = InternalPair(**_fields(option.pair, pinion_shift=option.pair.pinion_shift - 0.05))
    assert margins(option.pair)["pinion undercut"] >= 0 > margins(less)["pinion undercut"]
    higher = InternalPair(**_fields(option.pair, ring_addendum=option.pair.ring_addendum + 0.05))
    screen = "pinion fillet clear of ring tip"
    assert margins(option.pair)[screen] >= 0 > margins(higher)[screen]


def test_stroke_options_keep_what_the_reader_fixes():
    for option in stroke_options(0.069, pinion_shift=0.1, ring_addendum=0.7, pinion_addendum=0.9):
        assert (option.pair.pinion_shift, option.pair.ring_addendum, option.pair.pinion_addendum) == (0.1, 0.7, 0.9)


def test_full_depth_pairs_are_refused_with_the_reason():
    option = next(o for o in stroke_options(0.060, ring_addendum=1.0) if o.pair.pinion_teeth == 20)
    assert not option.ok and "involute interference -0.629 (needs 0)" in option.reason


def test_trimming_is_screened_only_where_it_matters():
    pair = InternalPair(0.003, 12, 24, pinion_shift=0.3, ring_shift=0.3, ring_addendum=0.8)
    assert all(margin.ok for margin in check_pair(pair))
    assert [m.name for m in check_pair(pair, radial_assembly=True) if not m.ok] == ["trimming interference"]


def test_tip_thickness_limit_is_the_reader_s():
    pair = InternalPair(0.003, 12, 24, np.radians(30), ring_addendum=0.8, ring_dedendum=1.1)
    assert margins(pair)["pinion tip thickness"] == pytest.approx(0.29, abs=0.1)
    assert all(m.ok for m in check_pair(pair, tip_thickness=0.2))
    assert not all(m.ok for m in check_pair(pair, tip_thickness=0.4))


def test_ring_whose_flanks_meet_before_the_root_never_passes():
    pair = InternalPair(0.003, 12, 24, np.radians(30), ring_dedendum=1.3)
    assert any(np.isnan(m.value) and not m.ok for m in check_pair(pair))
    with pytest.raises(InputError, match="ring_dedendum = 1.3 is too deep"):
        ring_outline(pair)


@pytest.mark.parametrize(("fields", "words"), [
    ({"module": -0.001}, "module = -0.001 is not above 0 m."),
    ({"module": float("nan")}, "module = nan is not above 0 m."),
    ({"ring_teeth": 20}, "ring_teeth = 20 is not above the pinion's 23 teeth."),
    ({"pinion_teeth": 3}, "pinion_teeth = 3 is below 5 teeth; nearest value that works: 5 teeth."),
    ({"pressure_angle": 20}, "pressure_angle = 20 is outside 0.1 to 0.8 rad."),
    ({"ring_addendum": 0}, "ring_addendum = 0 is outside 0.05 to 2 modules."),
    ({"backlash": -1e-5}, "backlash = -1e-05 is below 0 m; nearest value that works: 0 m."),
    ({"pinion_shift": 1.9, "ring_shift": -1.9}, "shift_difference = -3.8 is below"),
])
def test_impossible_pairs_are_refused_in_one_sentence(fields, words):
    with pytest.raises(InputError) as refusal:
        InternalPair(**{"module": 0.0015, "pinion_teeth": 23, "ring_teeth": 46, **fields})
    assert words in str(refusal.value)


def test_form_factor_of_a_rack_from_its_straight_flanks():
    """Tangent from the load point to a straight flank, done by hand: 0.4634 at 20 degrees, full depth.

    Half thickness at the tip 0.4215 m; the load meets the middle line 0.1534 m below the tip; the flanks meet 1.158 m
    above the tip; the parabola touches as far below its vertex as the flanks' meeting point lies above it.
    """
    many = InternalPair(0.001, 200_000, 400_000)
    assert pinion_form_factor(many) == pytest.approx(0.4634, abs=1e-3)
    assert ring_form_factor(many) == pytest.approx(0.4634, abs=1e-3)


def test_form_factor_grows_with_shift_and_with_teeth():
    factors = [pinion_form_factor(InternalPair(0.002, z, 2 * z, pinion_shift=x, ring_shift=x))
               for z, x in ((14, 0.0), (14, 0.3), (20, 0.3), (40, 0.3))]
    assert factors == sorted(factors)
    shorter = [ring_form_factor(InternalPair(0.002, 23, 46, ring_addendum=h)) for h in (1.0, 0.8, 0.6)]
    assert shorter == sorted(shorter)


def test_bending_screen_scales_and_halts_at_the_alternating_limit():
    pair = InternalPair(0.002, 23, 46)
    pinion, ring = bending_margins(pair, 1000.0, 0.02, 200e6)
    assert pinion.value == pytest.approx(1000.0 / (0.02 * 0.002 * pinion_form_factor(pair)))
    assert ring.value == pytest.approx(1000.0 / (0.02 * 0.002 * ring_form_factor(pair)))
    for same in (bending_margins(pair, -1000.0, 0.02, 200e6), bending_margins(pair, 2000.0, 0.04, 200e6)):
        assert [m.value for m in same] == pytest.approx([pinion.value, ring.value])
    assert pinion.limit == pytest.approx(0.7 * 200e6) and ALTERNATING_FACTOR == 0.7
    assert pinion.value > ring.value and pinion.ok
    assert not bending_margins(pair, 1000.0, 0.02, 0.99 * pinion.value, alternating=False)[0].ok


def _fields(pair, **changed):
    names = InternalPair.__dataclass_fields__
    return {**{name: getattr(pair, name) for name in names}, **changed}
