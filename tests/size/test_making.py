"""Order of assembly against all permutations and the standard library's sorter; press fits and warm pistons against
elements and volumes that know no closed form, and against limits."""

import csv
from graphlib import CycleError, TopologicalSorter
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from vmech_core import InputError, assess, bearings, load_design, size
from vmech_core.size import making

DATA = Path(__file__).resolve().parents[2] / "data"
DESIGNS = {path.stem: load_design(path) for path in DATA.glob("*.toml")}
ENGINE = DESIGNS["v_twin_generator"]


# --- order ----------------------------------------------------------------------------------------------------------


def links_of(design, choices):
    """What comes before what, read from the table by other means than the core's."""
    sizes = making._sizes(design)
    holds = [f"{key}={word}" for key, word in choices.items()] + [design.guide.place, design.carrier.support]
    with (DATA / "making_steps.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            if all(word in holds for word in row["when"].split()):
                if not row["body"] or sizes[row["body"]] > sizes[row["hole"]]:
                    yield row["first"], row["then"]


@pytest.mark.parametrize("name", sorted(DESIGNS))
def test_an_order_is_found_where_the_standard_sorter_finds_one_and_keeps_every_link(name):
    found = 0
    for way in size.ways_to_build(DESIGNS[name]):
        links, sorter = list(links_of(DESIGNS[name], way.choices)), TopologicalSorter()
        for first, then in links:
            sorter.add(then, first)
        try:
            steps = set(sorter.static_order())
        except CycleError:
            assert not way.order and way.blocked
            continue
        assert not way.blocked and set(way.order) == steps and len(way.order) == len(steps)
        assert all(way.order.index(first) < way.order.index(then) for first, then in links)
        found += 1
    assert 0 < found < 96


def all_orders(links):
    """Number of permutations that keep every link, by trying all of them."""
    steps = sorted({step for link in links for step in link})
    places = np.array(list(permutations(range(len(steps)))), dtype=np.int8)
    keep = np.ones(len(places), dtype=bool)
    for first, then in links:
        keep &= places[:, steps.index(first)] < places[:, steps.index(then)]
    return int(keep.sum())


@pytest.mark.parametrize("choices", [
    {}, {"crank": "built_up", "rod_eye": "whole", "pistons": "from_below"}, {"rod_eye": "whole"},
    {"rod_eye": "whole", "pistons": "from_above"}, {"pinions": "integral", "pistons": "from_above"},
])
def test_an_order_is_found_exactly_where_one_of_all_permutations_works(choices):
    """The compressor has no guide to put in: eight steps, 40,320 orders."""
    design = DESIGNS["air_compressor"]
    way = size.ways_to_build(design, **{**design.making.to_dict(), **choices})[0]
    assert bool(way.order) == (all_orders(list(links_of(design, way.choices))) > 0)


def own_way(design, **choices):
    return size.ways_to_build(design, **{**design.making.to_dict(), **choices})[0]


def test_a_closed_eye_goes_onto_a_crank_in_pieces_or_over_an_eccentric_but_over_no_web():
    assert "web of 55 mm does not go through a closed eye of 36 mm" in own_way(ENGINE, rod_eye="whole").blocked[0]
    assert own_way(ENGINE, rod_eye="whole", crank="built_up").order
    for pin, goes in ((62, False), (62.5, True)):  # 32 + 2 x 15.125 = 62.25 mm: a pin with the journal in its circle
        eccentric = DESIGNS["air_compressor"].changed({"crank.pin_diameter_mm": pin})
        assert bool(own_way(eccentric, rod_eye="whole").order) == goes


def test_closed_carriers_come_before_pinions_that_do_not_go_through_them_and_behind_them_on_stub_shafts():
    order = own_way(ENGINE).order
    assert order.index("carriers onto journals") < order.index("pinions onto crank")
    order = own_way(DESIGNS["air_compressor"]).order
    assert order.index("pinions onto crank") < order.index("carriers onto journals")
    assert own_way(ENGINE, pinions="integral").blocked and own_way(ENGINE, pinions="integral", carriers="split").order
    thick = ENGINE.changed({"crank.journal_diameter_mm": 47, "crank.pin_diameter_mm": 40})
    assert own_way(thick, pinions="integral").order


def test_a_piston_of_one_piece_with_its_rod_needs_a_guide_in_halves():
    for pistons in ("from_above", "from_below"):
        assert "guide of 22 mm" in own_way(ENGINE, pistons=pistons).blocked[0]
        assert own_way(ENGINE, pistons=pistons, guides="split").order
    pump = DESIGNS["star_pump"]
    assert "bore of 28 mm" in own_way(pump, pistons="from_above", guides="split").blocked[0]


def test_pinions_of_the_desk_model_go_in_last_as_the_wall_does_not_come_over_them():
    desk = DESIGNS["desk_model"]
    assert own_way(desk).order[-1] == "pinions onto crank"
    assert not any(way.order for way in size.ways_to_build(desk, pinions="integral"))


def test_choices_that_are_not_there_are_refused():
    for choices in ({"rod_eye": "open"}, {"cranks": "one_piece"}):
        with pytest.raises(InputError):
            size.ways_to_build(ENGINE, **choices)


def test_a_tooth_out_turns_the_line_by_the_train_and_not_by_a_formula():
    """Both radii and the turned crank added as vectors: a crank one pinion tooth on, lines one half of it."""
    out, a = size.tooth_out(ENGINE), 0.02
    theta, bank = np.linspace(0.0, 2.0 * np.pi, 2000), np.radians([45.0, 135.0])[:, None]
    pin = a * np.exp(1j * theta) + a * np.exp(1j * (2.0 * bank + 2.0 * np.pi / 16 - theta))
    off = np.abs((pin * np.exp(-1j * bank)).imag).max(axis=0)
    assert (out.least, out.greatest) == pytest.approx((off.min(), off.max()), rel=1e-4)
    assert out.least > out.play
    single = size.tooth_out(DESIGNS["air_compressor"])
    assert single.least < single.play < single.greatest


# --- press fit ------------------------------------------------------------------------------------------------------


def radial_springs(inner, outer, young, poisson, at):
    """Radial displacement of a thick ring under unit pressure at radius ``at`` (its inner or outer face), by a general
    solver of the equilibrium r u'' + u' - u / r = 0 in plane stress."""
    factor = young / (1.0 - poisson**2)

    def stress(r, u, slope):
        return factor * (slope + poisson * u / r)

    def ends(low, high):
        return np.array([stress(inner, *low) + (at == inner), stress(outer, *high) + (at == outer)])

    r = np.linspace(inner, outer, 41)
    made = solve_bvp(lambda r, y: np.array([y[1], y[0] / r**2 - y[1] / r]), ends, r, np.zeros((2, 41)), tol=1e-8)
    return made.sol(at)[0], made.sol(inner)[0]


def test_a_ring_of_steel_in_aluminium_agrees_with_a_general_solver():
    """Two metals, as the published example has one: unit pressures by a boundary-value solver, then one equation. The
    unknown is scaled (lengths in cm, stresses in 100 GPa) so that the solver's tolerance means something."""
    steel, aluminium = (2.06, 0.3), (0.72, 0.33)
    push_out, _ = radial_springs(5.3, 7.4, *aluminium, 5.3)
    push_in, bore = radial_springs(4.55, 5.3, *steel, 5.3)
    pressure = 0.5 * 40e-4 / (push_out - push_in)
    fit = size.press_fit(0.091, 0.106, 0.148, 40e-6, (72e9, 0.33), (206e9, 0.3))
    assert fit.pressure / 1e11 == pytest.approx(pressure, rel=1e-5)
    assert fit.shrink == pytest.approx(-2.0 * bore * pressure / 100.0, rel=1e-5)
    assert size.press_fit(0.091, 0.106, 0.148, -1e-6, (72e9, 0.33), (206e9, 0.3)).pressure == 0.0


@pytest.fixture(scope="module")
def engine():
    return assess(ENGINE)


def test_the_torque_that_a_fit_holds_is_the_sum_over_small_faces(engine):
    """Friction on 360 strips of the seat; the peak torque by the power of the tooth force at the pitch circle."""
    held = size.ring_seat(engine)
    seat, wide, friction = 1e-3 * (2.5 * (32 + 2 * (0.3 + 1.25)) + 2 * 3 * 2.5), 0.030, np.array([0.07, 0.11, 0.16])
    strip = 2.0 * np.pi / 360 * 0.5 * seat * wide
    assert held.torque == pytest.approx(sum(friction * held.pressure * strip * 0.5 * seat for _ in range(360)))
    torque = np.abs(engine.ends["mesh_end"]).max() * 0.040
    assert held.safety * torque == pytest.approx(held.torque)
    inner = 2.5e-3 * (32 + 2 * (0.3 + 1.25))  # G. Lame: a ring pressed from outside; both flanks of a gap move
    bore = held.pressure * inner / (206e9 * (1.0 - (inner / seat) ** 2))
    assert held.backlash == pytest.approx(2.0 * bore * np.tan(np.radians(25.0)), rel=1e-6)
    assert held.shear * 4 * 0.005 * wide * 0.5 * seat == pytest.approx(torque)


def test_a_hot_block_of_aluminium_lets_its_ring_go_and_iron_keeps_what_it_had(engine):
    """Growth by hand: 102.75 mm, 80 K, 21.5 - 11.5 in 1e-6: 82 um more than the ring, and H7/p6 has 59 at most."""
    cold, iron, light = (size.ring_seat(engine, 1.0, metal, rise) for metal, rise in (
        ("aluminium", 0.0), ("grey iron", 80.0), ("aluminium", 80.0)))
    assert 1e6 * (cold.interference - light.interference) == pytest.approx([82.2] * 3, abs=0.1)
    assert light.safety.max() == 0.0 and iron.safety[1] > cold.safety[1] > 0.0 and cold.safety[0] == 0.0
    assert np.all(np.diff(iron.safety) > 0.0) and np.all(size.ring_seat(engine, 2.0).safety <= iron.safety)


# --- warm pistons ---------------------------------------------------------------------------------------------------


def volumes(case, skirted, level):
    """Crown, skirt and rod cut into small volumes, all balances solved at once: crown in the middle, belt [K]."""
    value = {name: making._levels(name)[level] for name in
             ("fuel", "ring", "film", "underside", "alloy", "rod", "crown", "skirt_wall")}
    d, closed = case.design, case.own_cycle.closed
    bore, rod, cells = 0.058, 0.022, 400
    heat = value["fuel"] * closed.released[0, -1] / 0.96 * 25.0  # a cycle takes two turns of a fiftieth of a second
    wall, oil = 423.15, 363.15
    n = 2 * cells + 1
    matrix, right, belt = np.zeros((n, n)), np.zeros(n), n - 1

    def joined(i, j, conductance):
        matrix[i, i] += conductance
        matrix[j, j] += conductance
        matrix[i, j] -= conductance
        matrix[j, i] -= conductance

    def held(i, conductance, sink):
        matrix[i, i] += conductance
        right[i] += conductance * sink

    faces, thick = np.linspace(0.0, 0.5 * bore, cells + 1), value["crown"] * bore
    middles = 0.5 * (faces[1:] + faces[:-1])
    right[:cells] += heat * np.diff(faces**2) / (0.5 * bore) ** 2
    for i in range(cells):
        other, gap = (i + 1, middles[i + 1] - middles[i]) if i + 1 < cells else (belt, faces[-1] - middles[-1])
        joined(i, other, value["alloy"] * thick * 2.0 * np.pi * faces[i + 1] / gap)
    length, wide, section = ((0.5 * bore, 1.6 * bore, value["alloy"] * value["skirt_wall"] * bore * 1.6 * bore)
                             if skirted else (0.156, 0.0, value["rod"] * 0.25 * np.pi * rod**2))
    step = length / cells
    for i in range(cells):
        joined(cells + i, cells + i - 1 if i else belt, section / (step if i else 0.5 * step))
        held(cells + i, value["film"] / (0.4e-3 * bore) * wide * step, wall)
    if not skirted:
        held(n - 2, section / (0.5 * step), oil)
    held(belt, value["ring"] * np.pi * bore * 0.07 * bore, wall)
    gap = 0.5e-6 * d.guide.piston_clearance_um
    held(belt, value["film"] * np.pi * bore * (0.024 - 0.07 * bore) / gap, wall)
    held(belt, value["underside"] * 0.25 * np.pi * (bore**2 - rod**2), oil)
    found = np.linalg.solve(matrix, right)
    return found[0], found[belt]


@pytest.mark.parametrize("level", [0, 1, 2])
@pytest.mark.parametrize("name", ["straight", "ordinary"])
def test_crown_and_belt_agree_with_a_piston_cut_into_volumes(engine, name, level):
    heated = size.piston_heat(engine)[name]
    crown, belt = volumes(engine, name == "ordinary", level)
    assert heated.belt[level] == pytest.approx(belt, abs=0.2)
    assert heated.crown[level] == pytest.approx(crown, abs=0.5)


def test_heat_that_comes_in_leaves_by_the_named_ways(engine):
    both = size.piston_heat(engine, 50)
    sums = [sum(heated.flows.values()) for heated in both.values()]
    assert sums[0] == pytest.approx(sums[1], rel=1e-12) and len(sums[0]) == 53
    fuel = engine.own_cycle.closed.released[0, -1] / 0.96 * 25.0
    assert sums[0][:3] == pytest.approx(fuel * np.array([0.03, 0.05, 0.08]))
    for heated in both.values():
        assert heated.crown[0] < heated.crown[3:].min() and heated.crown[3:].max() < heated.crown[2]


def test_limits_of_a_crown_that_conducts_perfectly_and_of_a_gap_that_closes(engine, monkeypatch):
    own = making._levels
    monkeypatch.setattr(making, "_levels", lambda name, draws=0: own(name, draws) * (1e9 if name == "alloy" else 1.0))
    heated = size.piston_heat(engine)["straight"]
    assert heated.crown == pytest.approx(heated.belt, abs=1e-5)
    monkeypatch.setattr(making, "_levels", lambda name, draws=0: own(name, draws) * (1e9 if name == "film" else 1.0))
    assert size.piston_heat(engine)["straight"].belt == pytest.approx([423.15] * 3, abs=1e-3)


def test_only_an_engine_has_a_crown_that_fuel_heats():
    with pytest.raises(InputError, match="design.machine = 'compressor' is not one that burns fuel"):
        size.piston_heat(assess(DESIGNS["air_compressor"]))


# --- the sheet ------------------------------------------------------------------------------------------------------


def test_the_sheet_says_the_order_or_what_blocks_it(engine):
    made = engine.stage("making")
    assert made["ways"].value == 36 and made["step_1"].label == "step: block with bores"
    assert made["oil_broken"].value == sum(bool(f.broken) for f in bearings.oil_supply(engine.design, engine.drive))
    blocked = assess(ENGINE.changed({"making.rod_eye": "whole"})).report("making")
    assert "the way of the file is blocked: a web of 55 mm does not go through a closed eye of 36 mm" in blocked
    assert "ring_pins" not in assess(DESIGNS["desk_model"]).stage("making")
