"""Loss of a mesh: against teeth stepped through mesh as bodies, statics of crank and carrier, and limits.

The bodies here are written from rigid-body velocities, tip circles and the line of action; they share no relation with
the closed forms. Outside sources: Newton, virtual work, and what stands beside a check.
"""

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from vmech_core import load_design
from vmech_core.gears import loss, outline
from vmech_core.gears.geometry import InternalPair, contact_ratio
from vmech_core.machine import hypocycloid, train
from vmech_core.machine.ends import CrankAxis, end_loads

DATA = Path(__file__).resolve().parents[2] / "data"
DEMO = load_design(DATA / "first_sketch.toml").pair
#: Two to one and other ratios, standard, shifted, with own addenda: parts of the contact ratio below 1, above 1 and
#: below 0 (pitch point outside the path of contact), and their sum above 2 in the last.
PAIRS = (
    DEMO,
    InternalPair(0.002, 30, 60),
    InternalPair(0.003, 16, 24, ring_shift=0.5, ring_addendum=0.9),
    InternalPair(0.002, 40, 80, np.radians(25.0), 0.3, 0.1, 0.9, 1.0),
    InternalPair(0.002, 30, 60, pinion_addendum=0.05),
    InternalPair(0.002, 40, 90, pinion_shift=-0.5, pinion_addendum=0.3),
    InternalPair(0.002, 60, 90, pinion_addendum=1.15),
)
SPEED = 314.0


def crossing(radius, centre, point, direction):
    """Where the line from a point meets a circle, as the two distances along the line."""
    offset = point - centre
    b = (offset * np.conj(direction)).real
    root = np.sqrt(b * b - abs(offset) ** 2 + radius**2)
    return -b - root, -b + root


def in_mesh(pair, speed=SPEED, steps=40001):
    """Contacts of an internal pair over one base pitch: places, velocities and shares in space, carrier angle 0.

    Ring axis at 0, crank axis at the centre distance, pitch point on the real axis.
    """
    centre, pitch = pair.centre_distance + 0j, pair.ring_working_radius + 0j
    along = 1j * np.exp(1j * pair.working_angle)  # touches both base circles farther out than both axes
    assert abs(((centre - pitch) * np.conj(1j * along)).real) == pytest.approx(pair.pinion_base_radius)
    ends = crossing(pair.ring_tip_radius, 0j, pitch, along), crossing(pair.pinion_tip_radius, centre, pitch, along)
    first, last = max(ends[0], key=lambda s: -abs(s)), max(ends[1], key=lambda s: -abs(s))
    low, high = min(first, last), max(first, last)
    base_pitch = 2 * np.pi * pair.pinion_base_radius / pair.pinion_teeth
    place = low + base_pitch * ((np.arange(steps) + 0.5)[:, None] / steps + np.arange(6))
    touching = place < high
    share = touching / touching.sum(axis=1, keepdims=True)
    point = pitch + place * along
    crank_speed = train.speeds(speed, pair.ring_teeth / pair.pinion_teeth)[0]
    slip = 1j * speed * centre + 1j * crank_speed * (point - centre)  # of the pinion against the ring, which stands
    return SimpleNamespace(share=share, point=point, slip=slip, centre=centre, pitch=pitch, along=along)


def loss_of_bodies(pair, force, coefficient, speed=SPEED):
    """Mean power, couple about the pitch point on the crank, and change of carrier torque from forces at the flanks."""
    m = in_mesh(pair, speed)
    normal = force / np.cos(pair.working_angle)
    rub = -coefficient * normal * m.share * m.slip / np.abs(m.slip)  # friction on the pinion
    power = -(rub * np.conj(m.slip)).real.sum(axis=1)
    couple = (np.conj(m.point - m.pitch) * rub).imag.sum(axis=1)
    about_crank = (np.conj(m.point - m.centre) * rub).imag.sum(axis=1)
    tooth = 1j * -about_crank / pair.pinion_working_radius  # what restores the balance of the crank, at the pitch point
    carrier = (np.conj(m.centre) * (rub.sum(axis=1) + tooth)).imag
    return power.mean(), couple.mean(), carrier.mean()


# --- tooth-loss factor -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pair", PAIRS)
def test_loss_power_and_torques_against_bodies(pair):
    """Equal shares, friction at every flank; rel 2e-5, what the stepping leaves."""
    power, couple, carrier = loss_of_bodies(pair, 1500.0, 0.06)
    lost = loss.loss(pair, SPEED, -1500.0, 0.06)
    assert lost.power == pytest.approx(power, rel=2e-5)
    assert lost.crank_couple == pytest.approx(couple, rel=2e-5)
    assert lost.carrier_torque == pytest.approx(carrier, rel=2e-5)


def test_backwards_the_torques_turn_and_the_power_stays():
    power, couple, carrier = loss_of_bodies(DEMO, 900.0, 0.05, -SPEED)
    lost = loss.loss(DEMO, -SPEED, 900.0, 0.05)
    assert lost.power == pytest.approx(power, rel=2e-5) and power > 0
    assert (lost.crank_couple, lost.carrier_torque) == pytest.approx((couple, carrier), rel=2e-5)
    assert couple < 0 < carrier


@pytest.mark.parametrize("pair", PAIRS)
def test_virtual_work_closes(pair):
    """Each torque times the speed of its body: crank and ring alone, and the carrier alone, give the same loss."""
    lost = loss.loss(pair, SPEED, 1500.0, 0.06)
    absolute, _ = train.speeds(SPEED, pair.ring_teeth / pair.pinion_teeth)
    assert lost.crank_couple * absolute == pytest.approx(-lost.power)
    assert lost.carrier_torque * SPEED == pytest.approx(-lost.power)


def test_path_ratios_add_up_and_the_examples_cover_every_case():
    sides = np.array([pair.path_ratios for pair in PAIRS])
    assert sides.sum(axis=1) == pytest.approx([contact_ratio(pair) for pair in PAIRS])
    assert all(pair.contact_start > 0 for pair in PAIRS)
    assert np.any(sides > 1) and np.any(sides < 0) and np.any(sides.sum(axis=1) > 2) and np.all(sides.sum(axis=1) > 1)


def test_each_tip_moves_its_own_side():
    plain, ring, pinion = (InternalPair(0.002, 30, 60, **changes).path_ratios for changes in
                           ({}, {"ring_addendum": 0.9}, {"pinion_addendum": 0.9}))
    assert ring[0] < plain[0] and ring[1] == plain[1]
    assert pinion[0] == plain[0] and pinion[1] < plain[1]


@pytest.mark.parametrize(("approach", "recess"), [(0.75, 0.8), (1.0, 0.9), (1.2, 0.7), (0.3, 1.4), (1.1, 0.0)])
def test_how_the_published_form_differs(approach, recess):
    """Equal inside its limits; above them by pi (1/z1 + 1/z2) (e - 1)^2, which the docstring states."""
    excess = np.pi * (1 / 23 - 1 / 46) * max(approach - 1, recess - 1, 0) ** 2
    exact = loss.loss_factor(23, -46, approach, recess)
    published = np.pi * (1 / 23 - 1 / 46) * (1 - approach - recess + approach**2 + recess**2)
    assert published - exact == pytest.approx(excess, abs=1e-15)


def test_long_contact_ratio_tends_to_the_mean_distance():
    """Very many pairs in contact: all share, mean distance from the middle is a quarter of the path."""
    assert loss.loss_factor(20, 40, 20.0, 20.0) == pytest.approx(2 * np.pi * (1 / 20 + 1 / 40) * 40 / 4, rel=1e-3)


def test_limits_of_the_factor():
    teeth = np.array([23, 30, 40, 60])
    many = InternalPair(0.002, teeth, 2 * teeth)
    factor = loss.pair_factor(many)
    assert factor.shape == (4,) and np.all(np.diff(factor) < 0)
    assert factor == pytest.approx([loss.pair_factor(InternalPair(0.002, int(z), int(2 * z))) for z in teeth])
    assert loss.loss_factor(30, -60, 0.9, 0.9) == pytest.approx(loss.loss_factor(30, 60, 0.9, 0.9) / 3)
    assert loss.loss_factor(30, -30, 0.9, 0.9) == 0.0  # a coupling: both turn alike, nothing slides


def test_shorter_teeth_slide_less():
    assert loss.pair_factor(InternalPair(0.002, 30, 60, pinion_addendum=0.8, ring_addendum=0.8)) < (
        loss.pair_factor(InternalPair(0.002, 30, 60))
    )


# --- friction coefficient --------------------------------------------------------------------------------------------


def curvature(flank, radius):
    """Radius of the circle through three points of a flank about a working radius."""
    k = int(np.argmin(np.abs(np.abs(flank) - radius)))
    a, b, c = flank[k - 1 : k + 2]
    return abs((a - b) * (b - c) * (c - a)) / (2 * abs((np.conj(b - a) * (c - a)).imag))


@pytest.mark.parametrize("pair", PAIRS[:4])
def test_speeds_and_curvatures_at_the_pitch_point(pair):
    """From true outlines and from bodies seen from the carrier: sum of rolling speeds and reduced radius."""
    inner = curvature(outline.pinion_flank(pair, 4000), pair.pinion_working_radius)
    outer = curvature(outline.ring_flank(pair, 4000), pair.ring_working_radius)
    reduced = 1 / (1 / inner - 1 / outer)
    m = in_mesh(pair)
    against = train.speeds(SPEED, pair.ring_teeth / pair.pinion_teeth)[1]
    pinion, ring = 1j * against * (m.pitch - m.centre), 1j * -SPEED * m.pitch
    assert pinion == pytest.approx(ring)
    assert abs(ring) == pytest.approx(loss.pitch_speed(pair, SPEED)) == loss.pitch_speed(pair, -SPEED)
    rolling = abs(((pinion + ring) * np.conj(1j * m.along)).real)
    load = 6000.0 / np.cos(pair.working_angle) / 0.02
    expected = loss.schlenk(load, rolling, reduced, 0.02, 0.8e-6)
    got = loss.friction(pair, 0.02, SPEED, -6000.0, 0.02, 0.8e-6)
    assert 0.03 < expected < 0.12
    assert got.likely == pytest.approx(expected, rel=2e-3)


def test_two_to_one_speed_is_twice_that_of_the_crank_axis():
    assert loss.pitch_speed(DEMO, SPEED) == pytest.approx(2 * SPEED * DEMO.centre_distance)


def test_trends_and_limits_of_friction():
    """More load, more rough: more; more speed, thicker oil: less. Order: 0.03 to 0.12 for oiled gears (from memory)."""

    def likely(**changes):
        given = {"face_width": 0.02, "carrier_speed": 300.0, "tooth_force": 6e3, "viscosity": 0.02, "roughness": 0.6e-6}
        return loss.friction(DEMO, **{**given, **changes}).likely

    assert likely(tooth_force=9e3) > likely() > likely(carrier_speed=400.0)
    assert likely(roughness=0.8e-6) > likely() > likely(viscosity=0.03)
    assert likely(lubricant=0.9) == pytest.approx(0.9 * likely())
    least = 150e3 * 0.02 * np.cos(DEMO.working_angle)
    assert likely(tooth_force=0.0) == likely(tooth_force=0.999 * least) < likely(tooth_force=1.01 * least)
    assert likely(carrier_speed=0.0, roughness=3e-6) == 0.12
    top = 50.0 / (2 * DEMO.ring_working_radius * np.sin(DEMO.working_angle))
    rough = 3e-6
    assert likely(carrier_speed=2 * top, roughness=rough) == likely(carrier_speed=1.001 * top, roughness=rough)
    assert likely(carrier_speed=0.99 * top, roughness=rough) > likely(carrier_speed=top, roughness=rough)


def test_range_of_friction():
    force = np.linspace(0.0, 3e4, 30)
    got = loss.friction(DEMO, 0.02, 300.0, force, 0.02, 0.6e-6)
    for value in (got.low, got.likely, got.high):
        assert value.shape == force.shape and value.min() >= 0.03 and value.max() <= 0.12
    assert np.all(got.low <= got.likely) and np.all(got.likely <= got.high)
    assert got.high[0] == pytest.approx(1.4 * got.likely[0]) and got.low[-1] == pytest.approx(0.7 * got.likely[-1])


# --- loss against angle ----------------------------------------------------------------------------------------------


def demo_ends(driving, guide="idle"):
    """One cylinder in the middle, constant gas force over a turn: drive, plane loads, loads of the ends."""
    pair = InternalPair(0.002, 30, 60)
    drive = hypocycloid.HypocycloidDrive(pair.stroke, np.zeros(1), np.zeros(1), SPEED, pair.working_angle)
    angle = 2 * np.pi * np.arange(72) / 72
    loads = hypocycloid.rigid_loads(drive, angle, np.full((1, angle.size), 1e3), guide)
    return pair, loads, end_loads(CrankAxis(np.zeros(1), 0.12, 0.12, driving, 4e8), drive, loads)


def test_rolling_power_is_not_the_power_of_the_shaft():
    """Idle guides: the signed sum is the shaft's power. Its mean is zero here, and the loss is not; ends that fight
    (shares -0.5 and 1.5) double it; guides that carry take it away, and the shaft's power stays."""
    pair, loads, ends = demo_ends("one")
    speed = loss.pitch_speed(pair, SPEED)
    assert ends["mesh_end"].sum(axis=0) * speed == pytest.approx(loads["torque"] * SPEED, abs=1e-9)
    assert loads["torque"].mean() == pytest.approx(0, abs=1e-9)
    alone = loss.loss(pair, SPEED, loads["mesh"], 0.06).power
    both = loss.loss(pair, SPEED, ends["mesh_end"], 0.06).power
    assert alone.mean() > 1.0
    assert both.shape == (2, 72) and both.sum(axis=0) == pytest.approx(2 * alone)
    phi = loads.angle
    turn = (np.abs(np.cos(phi)) > 1e-6) & (np.abs(np.sin(phi)) > 1e-6)
    carrying = np.where(turn, loads["rod"][0] * np.sin(phi) / np.where(turn, np.cos(phi), 1.0), 0.0)
    _, guided, _ = demo_ends("one", carrying[None])
    assert guided["torque"] == pytest.approx(loads["torque"])
    assert loss.loss(pair, SPEED, guided["mesh"][turn], 0.06).power == pytest.approx(0, abs=1e-9)


def test_no_friction_no_force_no_speed():
    assert loss.loss(DEMO, SPEED, 1e3, 0.0).power == 0.0
    assert loss.loss(DEMO, SPEED, 0.0, 0.06).power == 0.0
    still = loss.loss(DEMO, 0.0, 1e3, 0.06)
    assert (still.power, still.crank_couple, still.carrier_torque) == (0.0, 0.0, 0.0)


def test_batches_agree_with_single_pairs():
    teeth, width, speed = np.array([23, 30, 40]), np.array([0.02, 0.03, 0.04]), np.array([100.0, -200.0, 300.0])
    force = 5e3 * np.random.default_rng(7).normal(size=(3, 2, 5))
    many = InternalPair(0.002, teeth, 2 * teeth)
    viscosity, rough = np.array([0.01, 0.02, 0.03]), np.array([0.4e-6, 0.6e-6, 0.8e-6])
    coefficient = loss.friction(many, width, speed, force, viscosity, rough)
    lost = loss.loss(many, speed, force, coefficient.likely)
    oil = loss.oil_power(many, width, speed, 850.0)
    for k in range(3):
        one = InternalPair(0.002, int(teeth[k]), int(2 * teeth[k]))
        mu = loss.friction(one, width[k], speed[k], force[k], viscosity[k], rough[k])
        assert coefficient.high[k] == pytest.approx(mu.high)
        single = loss.loss(one, speed[k], force[k], mu.likely)
        for name in ("power", "crank_couple", "carrier_torque"):
            assert getattr(lost, name)[k] == pytest.approx(getattr(single, name))
        assert oil.high[k] == pytest.approx(loss.oil_power(one, width[k], speed[k], 850.0).high)


# --- oil -------------------------------------------------------------------------------------------------------------


def area(points):
    """Area inside a closed outline."""
    return 0.5 * np.sum((np.conj(points) * np.roll(points, -1)).imag)


@pytest.mark.parametrize("pair", PAIRS[:2])
def test_oil_against_the_volume_of_the_true_tooth_spaces(pair):
    """All spaces of the pinion, emptied once per turn against the carrier: mass flow times speed squared; 20 %."""
    spaces = np.pi * pair.pinion_tip_radius**2 - abs(area(outline.pinion_outline(pair)))
    turns = abs(train.speeds(SPEED)[1]) / (2 * np.pi)
    full = 850.0 * spaces * 0.03 * turns * loss.pitch_speed(pair, SPEED) ** 2
    got = loss.oil_power(pair, 0.03, SPEED, 850.0, (0.25, 0.5, 1.0))
    assert got.high == pytest.approx(full, rel=0.2)
    assert (got.low, got.likely) == pytest.approx((got.high / 4, got.high / 2))


def test_oil_grows_with_the_cube_of_speed():
    slow, fast = (loss.oil_power(DEMO, 0.03, speed, 850.0) for speed in (-100.0, 200.0))
    assert fast.likely == pytest.approx(8 * slow.likely) and 0 < slow.low < slow.likely < slow.high
