"""Even firing and pumping: the search against analysis, against counts made another way, and against the trade.

Outside checks: Burnside's lemma for the number of sets tried (any text of combinatorics), scipy's bipartite matching
for double-ended bodies, the exact motion of both mechanisms for the instants, and well-known engines (common practice,
no source). The analysis: even events stand T/n turns apart, so the directions are k T/n modulo one turn.
"""

from fractions import Fraction as F
from itertools import combinations_with_replacement, permutations, product
from math import comb, gcd
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from vmech_core import load_design
from vmech_core.base.errors import InputError
from vmech_core.machine import firing, hypocycloid, masses, slider_crank, train
from vmech_core.machine.firing import as_turns, in_degrees
from vmech_core.machine.train import pin_path
from vmech_core.show import banks

DATA = Path(__file__).resolve().parents[2] / "data"
CYCLES = (1, 2)
ROUND = st.sampled_from(range(0, 360, 30))
BANKS = st.one_of(st.lists(ROUND, min_size=1, max_size=6), st.lists(st.integers(0, 359), min_size=1, max_size=6))


def degrees(values):
    """Exact degrees of fractions of a turn."""
    return [360 * value for value in values]


def _deviation(found):
    """Largest difference of a gap from its even share of the cycle, in turns."""
    return max(abs(gap - F(found.cycle_turns, len(found.gap))) for gap in found.gap)


# --- the search ------------------------------------------------------------------------------------------------------


def star_or_doubled_star(n, cycle):
    """The analysis in words: a star of n, or for a four-stroke with even n two cylinders in each of n/2 directions."""
    rays, rows = (n // 2, 2) if cycle == 2 and n % 2 == 0 else (n, 1)
    return tuple(sorted([F(k, rays) for k in range(rays)] * rows))


@pytest.mark.parametrize("cycle", CYCLES)
@pytest.mark.parametrize("n", range(1, 9))
def test_the_search_finds_the_analysis_and_nothing_else(n, cycle):
    tried, even = firing.search(n, cycle)
    assert even == (star_or_doubled_star(n, cycle),)
    assert firing.even_layout(n, cycle) == even[0]
    assert firing.firing(even[0], cycle).even


@pytest.mark.parametrize("cycle", CYCLES)
@pytest.mark.parametrize(("n", "grid"), [(2, 360), (3, 360), (4, 60), (5, 30), (6, 18)])
def test_finer_grids_find_no_more(n, grid, cycle):
    assert firing.search(n, cycle, grid)[1] == (star_or_doubled_star(n, cycle),)


def necklaces(n, grid):
    """Sets of n directions on a grid up to rotation, by Burnside's lemma: bracelets of n beads among grid gaps."""
    common = gcd(n, grid)
    fixed = sum(comb((n + grid) // d, n // d) * sum(gcd(k, d) == 1 for k in range(1, d + 1))
                for d in range(1, common + 1) if common % d == 0)
    return F(fixed, n + grid)


@pytest.mark.parametrize(("n", "grid"), [(1, 2), (2, 4), (3, 6), (4, 8), (4, 12), (5, 10), (6, 12), (7, 14), (8, 16)])
def test_the_search_tries_every_set_once(n, grid):
    assert firing.search(n, 1, grid)[0] == necklaces(n, grid)


@pytest.mark.parametrize("cycle", CYCLES)
@pytest.mark.parametrize(("n", "grid"), [(1, 4), (2, 12), (3, 12), (4, 8), (5, 10)])
def test_brute_force_by_slots_finds_the_same(n, grid, cycle):
    """Written the other way round: every set of directions, even if its cylinders can be dealt out to n even slots."""
    slots = [F(k * cycle, n) for k in range(n)]
    even = set()
    for steps in combinations_with_replacement(range(grid), n):
        bank = [F(step, grid) for step in steps]
        if any(all((slot + bank[0] - place) % 1 == 0 for slot, place in zip(order, bank[1:]))
               for order in permutations(slots[1:])):
            even.add(min(tuple(sorted((place - start) % 1 for place in bank)) for start in bank))
    assert even == set(firing.search(n, cycle, grid)[1])


# --- gaps and delays -------------------------------------------------------------------------------------------------


@given(BANKS, st.sampled_from(CYCLES))
def test_the_best_delays_are_the_best_of_all(bank_deg, cycle):
    """All delays of all cylinders in whole degrees, gaps from a list of occupied instants."""
    found = []
    for delay in product(range(cycle), repeat=len(bank_deg)):
        times = sorted(bank + 360 * turn for bank, turn in zip(bank_deg, delay))
        gap = [(b - a) % (360 * cycle) for a, b in zip(times, times[1:] + times[:1])]
        if len(set(times)) == 1:
            gap[-1] = 360 * cycle
        share = F(360 * cycle, len(gap))
        found.append((max(gap) - min(gap), max(abs(g - share) for g in gap)))
    best = firing.firing(as_turns(bank_deg), cycle)
    assert (360 * best.spread, 360 * _deviation(best)) == min(found)


def test_equal_spreads_are_told_apart():
    """First by the deviation (found by trying all: 120 against 150 degrees), then by halves late and early."""
    found = firing.firing(as_turns([0, 60, 90, 150]), 2)
    assert (360 * found.spread, 360 * _deviation(found)) == (240, 120)
    assert sum(firing.firing(as_turns([0] * 4), 2).delay) == 2


@given(BANKS, st.sampled_from(CYCLES), st.data())
def test_gaps_add_up_to_the_cycle_and_follow_the_order(bank_deg, cycle, data):
    delay = data.draw(st.lists(st.integers(0, cycle - 1), min_size=len(bank_deg), max_size=len(bank_deg)))
    found = firing.firing(as_turns(bank_deg), cycle, delay)
    assert sum(found.gap) == cycle and min(found.gap) >= 0
    times = [found.event[k - 1] for k in found.order]
    assert times == sorted(bank + turn for bank, turn in zip(as_turns(bank_deg), delay))
    assert sorted(found.order) == list(range(1, len(bank_deg) + 1))
    assert _deviation(found) <= found.spread and found.even == (_deviation(found) == 0)


@given(BANKS, st.integers(0, 359), st.sampled_from(CYCLES))
def test_turning_or_mirroring_the_machine_changes_no_evenness(bank_deg, turn, cycle):
    whole = firing.firing(as_turns(bank_deg), cycle)
    for other in ([bank + turn for bank in bank_deg], [-bank for bank in bank_deg]):
        found = firing.firing(as_turns(other), cycle)
        assert (found.spread, _deviation(found)) == (whole.spread, _deviation(whole))
        assert firing.parts(as_turns(other)) == firing.parts(as_turns(bank_deg))


@pytest.mark.parametrize("n", range(2, 9))
def test_large_denominators_stay_exact(n):
    """Their least common multiple goes beyond 64 bits."""
    bank = [F(k, 10**6 + k) for k in range(1, n + 1)]
    found = firing.firing(bank, 2)
    assert sum(found.gap) == 2 and {event % 1 for event in found.event} == set(bank)


def test_degrees_are_read_exactly():
    assert as_turns([360 / 7, -90, 725.5]) == (F(1, 7), F(3, 4), F(11, 720))


def test_events_are_the_dead_centres_of_the_straight_line_drive():
    bank = as_turns([10, 85, 190, 301])
    drive = hypocycloid.HypocycloidDrive(0.07, np.radians(np.array(degrees(bank), float)), np.ones(4), 1.0, 0.35)
    angle = np.linspace(0.0, 2.0 * np.pi, 721)
    top = np.degrees(angle[hypocycloid.motion(drive, angle).position.argmax(axis=-1)])
    assert top == pytest.approx([float(360 * (event % 1)) for event in firing.firing(bank, 2).event])


@pytest.mark.parametrize(
    ("name", "gaps", "even"),
    [("first_sketch", [450, 270], False), ("star_pump", [120] * 3, True), ("air_compressor", [360], True),
     ("desk_model", [270, 90], False)],
)
def test_the_demo_designs(name, gaps, even):
    design = load_design(DATA / f"{name}.toml")
    bank = as_turns(design.cylinders.bank_angle_deg)
    found = firing.firing(bank, design.duty.cycle_turns, design.duty.firing_turn)
    assert degrees(found.gap) == gaps and found.even is even
    assert found.spread == firing.firing(bank, design.duty.cycle_turns).spread  # no better delays exist


# --- layouts ---------------------------------------------------------------------------------------------------------


@given(BANKS)
def test_pins_and_bodies_of_a_layout(bank_deg):
    """Pins: different points on the crank. Bodies: cylinders less the most pairs of opposite ones (scipy)."""
    found = firing.parts(as_turns(bank_deg))
    at_zero = pin_path(0.0, 1.0, 1.0, bank_angle=np.radians(np.array(bank_deg, float)))
    assert found.pins == found.lines == len({(round(pin.real, 6) + 0.0, round(pin.imag, 6) + 0.0) for pin in at_zero})
    upper, lower = [b for b in bank_deg if b < 180], [b for b in bank_deg if b >= 180]
    pairs = 0
    if upper and lower:
        opposite = csr_array([[b - a == 180 for b in lower] for a in upper])
        pairs = np.count_nonzero(maximum_bipartite_matching(opposite) >= 0)
    assert found.bodies == len(bank_deg) - pairs


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6])
def test_no_v_fires_evenly_in_a_four_stroke(n):
    """Any whole V angle, any number of cylinders in the second bank."""
    for v, second in product(range(1, 180), range(1, n)):
        assert not firing.firing(as_turns([0] * (n - second) + [v] * second), 2).even


def test_whole_turns_of_a_bank_angle_change_nothing():
    """45 and 405 degrees are one direction; a delay of a turn is the business of ``delay`` alone."""
    for bank, far in (([F(0), F(1, 4)], [F(1), F(-7, 4)]), ([F(1, 8), F(3, 8), F(5, 9)], [F(9, 8), F(3, 8), F(14, 9)])):
        for cycle in (1, 2):
            assert firing.firing(bank, cycle) == firing.firing(far, cycle)


def test_opposed_cylinders_are_named_from_two_on():
    half = F(1, 2)
    assert [list(firing.families(n)) for n in (1, 2)] == [["in line"], ["in line", "opposed"]]
    assert firing.families(4)["opposed"] == (0, half, 0, half)


def test_families_by_name():
    found = firing.families(6)
    assert list(found) == ["in line", "opposed", "star of 3, 2 in each direction", "star of 6"]
    evenly = {name: [firing.firing(bank, cycle).even for cycle in (2, 1)] for name, bank in found.items()}
    assert evenly == {"in line": [False, False], "opposed": [False, False],
                      "star of 3, 2 in each direction": [True, False], "star of 6": [False, True]}


# --- ordinary engines ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bank", "gaps"),
    [([0, 90], {270, 450}), ([0, 45], {315, 405}), ([0, 0], {360}), ([0, 120, 240], {240})],
    ids=["V-twin of 90", "V-twin of 45", "parallel twin, one throw", "radial of three"],
)
def test_engines_with_all_rods_on_one_pin(bank, gaps):
    """Common practice, no source: gaps of four-strokes with a single crankpin, whose phase is the bank angle too."""
    assert set(degrees(firing.firing(as_turns(bank), 2).gap)) == gaps


@pytest.mark.parametrize(("n", "order"), [(3, "1-3-2"), (5, "1-3-5-2-4"), (7, "1-3-5-7-2-4-6")])
def test_radial_engines_fire_every_other_cylinder(n, order):
    """Common practice, no source; an even number of cylinders on one pin has no even order at all."""
    found = firing.firing([F(k, n) for k in range(n)], 2)
    assert "-".join(map(str, found.order)) == order and set(found.gap) == {F(2, n)}
    assert not firing.firing([F(k, n + 1) for k in range(n + 1)], 2).even


@pytest.mark.parametrize(
    ("v_deg", "n", "split_deg"),
    [(60, 6, 60), (90, 6, 30), (120, 6, 0), (90, 8, 0), (72, 10, 0), (90, 10, 18), (60, 12, 0), (180, 4, 0),
     (90, 2, 90)],
)
def test_splits_of_known_v_engines(v_deg, n, split_deg):
    """Common practice, no source: crankpins of even four-stroke V engines (V6 of 60, 90, 120; V8; V10; V12; flat 4)."""
    assert firing.pair_split(as_turns([v_deg])[0], n) == F(split_deg, 360)


@pytest.mark.parametrize("cycle", CYCLES)
@pytest.mark.parametrize("n", [2, 4, 6])
@pytest.mark.parametrize("v", [F(1, 8), F(1, 6), F(1, 4), F(3, 11), F(1, 3), F(1, 2)])
def test_splits_against_all_firing_orders(v, n, cycle):
    """Every firing order, pins from ``pin_places``; those kept have the same split in all pairs."""
    best = F(1)
    for rest in permutations(range(2, n + 1)):
        pin = firing.pin_places([F(0), v] * (n // 2), (1, *rest), cycle)
        splits = {(pin[k + 1] - pin[k]) % 1 for k in range(0, n, 2)}
        if len(splits) == 1:
            best = min(best, *splits, 1 - max(splits))
    assert firing.pair_split(v, n, cycle) == best


@given(BANKS.filter(lambda bank: len(bank) > 1), st.sampled_from(CYCLES), st.randoms(use_true_random=False))
def test_an_ordinary_crank_with_a_pin_for_each_cylinder_is_even_in_any_order(bank_deg, cycle, random):
    """The exact dead centres of the slider-crank, with the pins that the function asks for."""
    n, bank = len(bank_deg), np.radians(np.array(bank_deg, float))
    order = random.sample(range(1, n + 1), n)
    pin = 2 * np.pi * np.array(firing.pin_places(as_turns(bank_deg), order, cycle), float)
    engine = slider_crank.SliderCrank(0.03, 0.1, bank, pin, np.ones(n), np.ones(n), 0.3, np.ones(n), 100.0)
    top = slider_crank.top_dead_centre(engine) / (2 * np.pi)
    wanted = np.empty(n)
    wanted[np.array(order) - 1] = np.arange(n) * cycle / n
    assert np.abs(np.exp(2j * np.pi * top) - np.exp(2j * np.pi * wanted)).max() < 1e-9


@pytest.mark.parametrize("name", ["first_sketch", "star_pump"])
def test_the_ordinary_crank_of_a_design_splits_its_pins_alike(name):
    design = load_design(DATA / f"{name}.toml").changed(**{"ordinary_crank.crankpin_layout": "split"})
    bank, cycle = as_turns(design.cylinders.bank_angle_deg), design.duty.cycle_turns
    split = slider_crank.from_design(design, masses.of_design(design)).crankpin_angle
    pin = 2 * np.pi * np.array(firing.pin_places(bank, range(1, len(bank) + 1), cycle), float)
    assert np.exp(1j * (pin - pin[0])) == pytest.approx(np.exp(1j * (split - split[0])))


def test_opposed_and_common_pins_of_a_design():
    """Neighbouring pins half a turn apart, and all rods on one pin."""
    design = load_design(DATA / "star_pump.toml")
    for layout, pins in (("opposed", [0.0, np.pi, 0.0]), ("common", [0.0, 0.0, 0.0])):
        changed = design.changed(**{"ordinary_crank.crankpin_layout": layout})
        assert slider_crank.from_design(changed, masses.of_design(changed)).crankpin_angle == pytest.approx(pins)


def test_four_in_line_with_two_pins_up_and_two_down():
    """Common practice, no source: order 1-3-4-2 on pins at 0, 180, 180, 0."""
    assert degrees(firing.pin_places(as_turns([0] * 4), [1, 3, 4, 2], 2)) == [0, 180, 180, 0]


# --- refusals and pictures -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: firing.firing(as_turns([0]), 3), "cycle_turns = 3 is not 1 or 2 turns."),
        (lambda: firing.firing([], 2), "bank = [] is empty: at least one cylinder is needed."),
        (lambda: firing.firing(as_turns([0, 9]), 1, [0, 1]),
         "delay = [0, 1] is not 2 whole numbers from 0 to 0 turns."),
        (lambda: firing.firing(as_turns([0, 9]), 2, [0]), "delay = [0] is not 2 whole numbers from 0 to 1 turns."),
        (lambda: firing.firing(as_turns([9]), 2, [0.5]), "delay = [0.5] is not 1 whole numbers from 0 to 1 turns."),
        (lambda: firing.search(9, 2), "cylinders = 9 is outside 1 to 8; nearest value that works: 8."),
        (lambda: firing.search(3, 0), "cycle_turns = 0 is not 1 or 2 turns."),
        (lambda: firing.search(4, 2, 6), "grid = 6 is not a multiple of 4 cylinders; nearest value that works: 8."),
        (lambda: firing.pin_places([F(0)], [2], 2), "order = [2] is not each of the cylinders 1 to 1 once."),
        (lambda: firing.pair_split(F(1, 4), 3),
         "cylinders = 3 is not an even number from 2; nearest value that works: 4."),
    ],
)
def test_input_that_does_not_fit_is_refused_in_one_sentence(call, sentence):
    with pytest.raises(InputError) as caught:
        call()
    assert str(caught.value) == sentence


def test_pins_are_drawn_at_twice_the_bank_angle():
    assert train.pins_on_crank(np.radians([0, 60, 90, 200])) == pytest.approx(np.exp(2j * np.radians([0, 60, 90, 200])))


def test_the_scene_shows_what_the_core_computes():
    scene = banks.BankScene(stroke_mm=80.0)
    scene.update(cylinders=5, step_deg=72.0, angle_deg=100.0, cycle="four-stroke")
    found = firing.firing(as_turns([0, 72, 144, 216, 288]), 2)
    assert scene._events.get_xdata() == pytest.approx([float(360 * event) for event in found.event])
    assert "order 1-3-5-2-4" in scene._text.text and "0 deg: even" in scene._text.text
    pins = scene._parts[-1]
    along = 40.0 * np.cos(np.radians(100.0 - 72.0 * np.arange(5)))
    assert pins.get_xdata() == pytest.approx(along * np.cos(np.radians(72.0 * np.arange(5))))
    scene.update(cylinders=2, step_deg=180.0, angle_deg=0.0, cycle="two-stroke or pump")
    assert len(scene._events.get_xdata()) == 4
    assert "gaps 180 180 deg" in scene._text.text and "moving bodies 1" in scene._text.text


def test_tooth_loads_go_to_the_tooth_at_the_mesh():
    """A force that peaks each time at theta = 90 deg falls on the tooth half way round the pinion of 24 teeth."""
    angle = np.linspace(0.0, 4.0 * np.pi, 1441)
    high, low = train.by_tooth(angle, 100.0 * np.sin(angle) - 1.0, 24)
    assert high.argmax() == 12 and high.max() == pytest.approx(99.0)
    assert low.argmin() == 12 and low.min() == pytest.approx(-101.0)
    assert in_degrees([F(90, 360)]) == "90"


def test_a_ratio_that_cannot_roll_is_refused():
    with pytest.raises(InputError, match="tooth_ratio = 1.0 is not above 1"):
        pin_path(0.0, 1.0, 1.0, 1.0)
