"""Unbalance of both machines and bodies that cancel it, against exact loads, closed forms and random layouts."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, signal

from vmech_core import InputError, balance, load_design
from vmech_core.case import Case
from vmech_core.machine import ends, hypocycloid, slider_crank

DATA = Path(__file__).resolve().parents[2] / "data"
DESIGNS = sorted(path.stem for path in DATA.glob("*.toml"))
TURN = np.linspace(0.0, 2.0 * np.pi, 181)


@pytest.fixture(scope="module", params=DESIGNS)
def case(request):
    return Case(load_design(DATA / f"{request.param}.toml"), 181)


def v_twin(**keys):
    design = load_design(DATA / "v_twin_generator.toml")
    return Case(design.changed(keys) if keys else design, 181)


def worst(values):
    return float(np.abs(values).max())


def test_forces_are_those_of_the_exact_loads_without_gas(case):
    """Outside source: Newton and Euler of the rigid loads, themselves checked by multipliers."""
    none, speed = np.zeros((case.design.n_cylinders, TURN.size)), case.drive.speed
    for mechanism, drive, unbalance in ((hypocycloid, case.drive, balance.of_straight(case)),
                                        (slider_crank, case.ordinary, balance.of_ordinary(case))):
        frame = mechanism.rigid_loads(drive, TURN, none)["frame"]
        assert worst(unbalance.force(TURN, speed) - frame) < 1e-9 * worst(frame)


def test_couple_of_the_ordinary_crank_is_that_of_its_cylinders(case):
    """Each cylinder alone by the exact loads, its force at its own place."""
    d, own = case.ordinary, case.design.ordinary_crank
    count, speed = case.design.n_cylinders, d.speed
    place = case.design.cylinders.si.axial_position
    if own.crankpin_layout == "common":
        place = case.design.crank.si.pin_length * (np.arange(count) - 0.5 * (count - 1))
    total = np.zeros(TURN.size, dtype=complex)
    for k in range(count):
        pick = {name: getattr(d, name)[[k]] for name in slider_crank.PER_CYLINDER}
        weight = own.rotating_balance_fraction * pick["rod_mass"] * (1.0 - d.rod_cg)
        weight = weight + own.reciprocating_balance_fraction * (pick["piston_mass"] + pick["rod_mass"] * d.rod_cg)
        moment = complex((-d.crank_radius * weight * np.exp(1j * pick["crankpin_angle"]))[0])
        alone = replace(d, **pick, crank_moment=moment)
        total += place[k] * slider_crank.rigid_loads(alone, TURN, np.zeros((1, TURN.size)))["frame"]
    found = balance.of_ordinary(case).couple(TURN, speed)
    assert worst(found - total) <= 1e-9 * max(worst(total), 1e-12)


def test_bare_crank_of_pins_and_half_discs():
    """Pins, near halves of round end webs and bores of closed carriers by hand; centre of a half disc integrated."""
    case = v_twin()
    a, crank, place = 0.25 * case.drive.stroke, case.design.crank.si, case.design.cylinders.si.axial_position
    low, high, halves, _ = balance.end_webs(case)
    assert low == pytest.approx(place.max() + 0.5 * crank.pin_length) and high > low
    outer = a + 0.7 * crank.pin_diameter
    centre = integrate.quad(lambda x: 2.0 * x * np.sqrt(outer**2 - x**2), 0.0, outer)[0] / (0.5 * np.pi * outer**2)
    throw, pin = np.exp(2j * case.drive.bank_angle), 7850.0 * 0.25 * np.pi * crank.pin_diameter**2 * crank.pin_length
    side = np.sign(place)
    product = np.sum(throw * (pin * a * place + 0.5 * halves * centre * side * 0.5 * (low + high)))
    rods = balance.reciprocating(case.drive.reciprocating_mass, case.drive.bank_angle, 0.0, place, [2.0 * a])
    bare = balance.of_straight(case, bare=True)
    assert bare.only(-1).product.sum() - rods.only(-1).product.sum() == pytest.approx(product, rel=1e-7)
    bores = 2.0 * 7850.0 * 0.25 * np.pi * crank.journal_diameter**2 * case.design.carrier.si.bearing_length
    orbits = (bare.only(1).moment.sum() - rods.only(1).moment.sum()) / a
    assert orbits == pytest.approx(case.drive.crank_mass - halves - bores, rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_random_layouts_balanced_in_two_planes_on_each_rotor(seed):
    """One to eight cylinders anywhere, unequal masses; force and couple to 1e-9 of what they were."""
    rng = np.random.default_rng(seed)
    count, planes = rng.integers(1, 9), np.sort(rng.uniform(-0.3, 0.3, (2, 2)), axis=1)
    mass, bank, place = rng.uniform(0.1, 2.0, count), rng.uniform(-np.pi, np.pi, count), rng.uniform(-0.2, 0.2, count)
    radius, pins = rng.uniform(0.01, 0.1), rng.uniform(0.0, 0.3, (2, count))
    whole = balance.reciprocating(mass, bank, 0.0, place, [2.0 * radius])
    whole = whole + balance.rotating(radius * pins[0], place) + balance.rotating(
        radius * pins[1] * np.exp(2j * bank), place, -1)
    left = whole
    for order, own in zip((1, -1), planes, strict=True):
        left = left + balance.rotating(whole.in_planes(order, own), own, order)
    for name in ("force", "couple"):
        assert worst(getattr(left, name)(TURN, 300.0)) < 1e-9 * worst(getattr(whole, name)(TURN, 300.0))


@pytest.mark.parametrize("name", ["right-angled V", "star of three", "star of five"])
def test_equal_masses_evenly_spread_balance_each_other_on_the_crank(name):
    bank = {"right-angled V": [0.0, 90.0], "star of three": np.arange(3) * 120.0, "star of five": np.arange(5) * 72.0}
    rods = balance.reciprocating(0.5, np.radians(bank[name]), 0.0, 0.0, [0.04])
    assert worst(rods.only(-1).moment) < 1e-16 + 1e-12 * worst(rods.moment) and worst(rods.only(1).moment) > 0.01


def test_balance_shafts_leave_the_orders_that_they_do_not_turn_at():
    """Single cylinder, half balanced on the crank: one shaft at -1 leaves the even orders (any textbook)."""
    case = Case(load_design(DATA / "air_compressor.toml"), 181)
    whole, speed = balance.of_ordinary(case, 1.0, 0.5), case.drive.speed
    first = whole.without(1, -1).force(TURN, speed)
    one = whole.without(-1).force(TURN, speed)
    assert worst(one - first) < 1e-9 * worst(first)
    wave = np.fft.fft(first[:-1]) / 180.0
    assert abs(wave[2]) > 100.0 * abs(wave[1]) and abs(wave[4]) < 0.05 * abs(wave[2])


def test_sector_against_numerical_integration():
    """scipy integrates mass, first and second moment over the plane."""
    body = balance.Sector(0.02, 0.06, 0.9, 0.011, 7850.0)

    def over(weight):
        return 7850.0 * 0.011 * integrate.dblquad(lambda r, t: weight(r, t) * r, -0.9, 0.9, 0.02, 0.06)[0]

    assert body.mass == pytest.approx(over(lambda r, t: 1.0), rel=1e-9)
    assert body.moment == pytest.approx(over(lambda r, t: r * np.cos(t)), rel=1e-9)
    assert body.inertia == pytest.approx(over(lambda r, t: r * r), rel=1e-9)


def test_what_fits_balances_and_what_does_not_is_said():
    """The sized engine: not in steel without more length; with the length that is asked for, all of it."""
    short = v_twin(**{"counterweights.outside_mm": 0})
    found = balance.fit(short)
    assert found.cancelled[1] < 0.9 and found.cancelled[-1] < 0.9
    more = 1e3 * sum(found.outside.values())
    long = v_twin(**{"counterweights.outside_mm": more})
    whole, found = balance.of_straight(long, bare=True), balance.fit(long)
    assert found.cancelled == pytest.approx({1: 1.0, -1: 1.0}, abs=1e-12)
    for name in ("force", "couple"):
        assert worst(getattr(found.left, name)(TURN, 314.0)) < 1e-9 * worst(getattr(whole, name)(TURN, 314.0))


def test_bodies_stay_clear_of_what_turns_beside_them(case):
    """Points of every body, turned through two turns of the carriers, against circles of webs, pinions and casing."""
    a = 0.25 * case.drive.stroke
    for body in balance.fit(case).bodies:
        s, room = body.sector, body.room
        edge = np.exp(1j * np.linspace(-s.half_angle, s.half_angle, 91))
        points = np.concatenate([s.inner * edge, s.outer * edge])
        if room.rotor == 1 and room.sweep:
            assert np.abs(-points - a).min() > room.sweep - 1e-9
        assert s.thickness <= room.thickness + 1e-12 and s.outer <= room.outer
        if room.rotor == -1:
            assert a + s.outer <= max(own.outer for own in balance.rooms(case) if own.rotor == 1) + 2e-3


def test_heavier_metal_cancels_more():
    shares = [balance.fit(v_twin(**{"counterweights.material": metal, "counterweights.outside_mm": 0})).cancelled[1]
              for metal in ("steel", "tungsten alloy")]
    assert shares[1] > shares[0]


def test_drive_with_weights_has_the_frame_force_that_is_left(case):
    found = balance.fit(case)
    frame = hypocycloid.rigid_loads(found.drive, TURN, np.zeros((case.design.n_cylinders, TURN.size)))["frame"]
    scale = worst(balance.of_straight(case).force(TURN, case.drive.speed))
    assert worst(frame - found.left.force(TURN, case.drive.speed)) < 1e-9 * scale


def test_price_on_a_single_cylinder_gas_alone_is_left_on_the_teeth():
    """With the whole rod balanced on the crank, the tooth force is that of the gas without inertia."""
    case = Case(load_design(DATA / "air_compressor.toml"), 361)
    full = balance.shares(case, 1.0, 1.0)
    light = replace(case.drive, reciprocating_mass=0.0 * case.drive.reciprocating_mass, crank_moment=0.0)
    gas = ends.end_loads(case.axis, light, hypocycloid.rigid_loads(light, case.angle, case.loads["gas"]))["mesh_end"]
    batch = balance.peaks(case, balance.shares(case, np.array([0.0, 0.5, 1.0]), np.zeros(3)))
    assert batch["mesh_end"][-1] == pytest.approx(worst(gas), rel=1e-9)
    assert balance.peaks(case, full)["mesh_end"] == pytest.approx(batch["mesh_end"][-1], rel=1e-12)
    assert (np.diff(batch["crank_bearing_end"]) > 0.0).all()


def test_springs_against_a_time_integration():
    """scipy.signal marches the mass on its spring under the same force until it repeats."""
    case = v_twin()
    whole, speed, natural, damping, mass = balance.of_ordinary(case), 55.0, 50.0, 0.1, 30.0
    both = balance.on_springs(case, whole, [20.0, speed], natural, damping, mass)[0]
    assert both.shape == (2, 361)
    moved = worst(both[1])
    time = np.linspace(0.0, 3.0, 60001)
    force = whole.force(speed * time, speed)
    block = signal.StateSpace([[0.0, 1.0], [-natural**2, -2.0 * damping * natural]], [[0.0], [1.0 / mass]],
                              [[1.0, 0.0]], [[0.0]])
    x, y = (signal.lsim(block, part, time)[1] for part in (force.real, force.imag))
    assert worst((x + 1j * y)[-9000:]) == pytest.approx(moved, rel=1e-3)
    lean = balance.on_springs(case, whole, [speed], natural, damping, mass, gyration=0.12)[1]
    swapped = whole._replace(moment=whole.product)  # rocking is the same oscillator with m i^2
    assert np.allclose(lean, balance.on_springs(case, swapped, [speed], natural, damping, mass * 0.12**2)[0])
    assert np.allclose(lean, balance.on_springs(case, whole, [speed], natural, damping, mass)[1])  # 1.5 x 80 mm


def test_workshop_scatters_as_the_root_of_squares_says():
    """Closed form: variances of independent small errors add; each is a third of its limit, cut off there."""
    case = v_twin(**{"counterweights.outside_mm": 20})
    weights, limit = balance.fit(case), {key: 0.0 for key in balance.ERRORS}
    assert max(own.speed.max() for own in balance.workshop(case, weights, limit).values()) == 0.0
    found = balance.workshop(case, weights, limit | {"x": 3e-5, "y": 3e-5}, count=20000)[-1].speed
    assert np.sqrt(np.mean(found**2)) == pytest.approx(np.sqrt(2.0) * 1e-5 * case.drive.speed, rel=0.03)
    one = balance.workshop(case, weights, limit | {"weighed": 0.003}, count=20000)[1]
    parts = 0.25 * case.drive.stroke * np.append(case.drive.reciprocating_mass, weights.drive.crank_mass) * 0.001
    heavy = weights.drive.crank_mass + 2.0 * case.mass["carrier"].likely
    heavy += sum(b.sector.mass for b in weights.bodies if b.room.rotor == 1)
    force = np.sqrt(np.sum(parts**2)) * case.drive.speed / heavy  # the couple comes on top
    assert 0.97 * force < np.sqrt(np.mean(one.speed**2)) < 1.5 * force
    tilt = balance.workshop(case, weights, limit | {"place": 3e-4}, count=20000)[1].speed  # a couple alone
    own = [(b.sector.moment, abs(b.place)) for b in weights.bodies if b.room.rotor == 1]
    couple = 1e-4 * np.linalg.norm([moment for moment, _ in own]) / max(place for _, place in own)
    assert np.sqrt(np.mean(tilt**2)) == pytest.approx(couple * case.drive.speed / heavy, rel=0.03)
    assert balance.workshop(case, weights)[1].grade in balance.GRADES


def test_one_plane_is_refused():
    with pytest.raises(InputError, match="planes"):
        balance.rotating([1.0], [0.0]).in_planes(1, [0.1, 0.1])


def test_a_machine_without_any_room_for_counterweights_is_answered():
    """Only rods and crank scatter then; nothing is cancelled."""
    case = v_twin(**{"counterweights.outer_radius_mm": 1, "gear_pair.face_width_mm": 1, "counterweights.outside_mm": 0})
    found = balance.fit(case)
    bodies = [body for body in found.bodies if body.room.rotor == 1]
    assert found.cancelled[1] < 0.05 and not [b for b in bodies if b.sector.outer > 0.04]
    bare = found._replace(bodies=[])
    assert balance.workshop(case, bare)[1].speed.shape == (2000,)
