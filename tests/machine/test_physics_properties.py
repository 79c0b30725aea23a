"""Properties that hold for every design: virtual work with inertia, closed force polygons, limits, batches.

Outside sources: conservation of energy and momentum; hypothesis draws the designs.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vmech_core import load_design
from vmech_core.base import CHANNELS
from vmech_core.base.errors import InputError
from vmech_core.machine import hypocycloid, masses, scotch_yoke, slider_crank

DATA = Path(__file__).resolve().parents[2] / "data"
ANGLE = np.linspace(0.0, 2.0 * np.pi, 96, endpoint=False)


@st.composite
def straight(draw):
    """A random straight-line drive with its gas forces."""
    count = draw(st.integers(1, 5))
    one = st.floats(-1.0, 1.0)
    several = st.lists(one, min_size=count, max_size=count).map(np.array)
    drive = hypocycloid.HypocycloidDrive(
        0.06 + 0.04 * draw(one),
        np.pi * draw(several),
        0.5 + 0.45 * draw(several),
        220.0 + 200.0 * draw(one),
        0.35 + 0.08 * draw(one),
        2.0 + draw(one),
        0.02 * complex(draw(one), draw(one)),
        0.05 * draw(one),
    )
    return drive, gas(count, draw)


@st.composite
def ordinary(draw):
    """A random slider-crank with its gas forces."""
    count = draw(st.integers(1, 5))
    one = st.floats(-1.0, 1.0)
    several = st.lists(one, min_size=count, max_size=count).map(np.array)
    radius = 0.035 + 0.02 * draw(one)
    drive = slider_crank.SliderCrank(
        radius,
        radius * (4.0 + 1.7 * draw(one)),
        np.pi * draw(several),
        np.pi * draw(several),
        0.5 + 0.45 * draw(several),
        0.5 + 0.45 * draw(several),
        0.35 + 0.3 * draw(one),
        1e-3 * (1.0 + 0.9 * draw(several)),
        220.0 + 200.0 * draw(one),
        0.3 * radius * draw(one),
        0.02 * complex(draw(one), draw(one)),
    )
    return drive, gas(count, draw)


@st.composite
def yoke(draw):
    """A random scotch yoke with its gas forces."""
    count = draw(st.integers(1, 5))
    one = st.floats(-1.0, 1.0)
    several = st.lists(one, min_size=count, max_size=count).map(np.array)
    drive = scotch_yoke.ScotchYoke(
        0.06 + 0.04 * draw(one),
        np.pi * draw(several),
        np.pi * draw(several),
        0.5 + 0.45 * draw(several),
        220.0 + 200.0 * draw(one),
        0.02 * complex(draw(one), draw(one)),
    )
    return drive, gas(count, draw)


def gas(count, draw):
    """Smooth random gas forces, (K, A)."""
    seed = np.random.default_rng(draw(st.integers(0, 10_000)))
    waves = np.stack([np.cos(n * ANGLE) for n in range(4)] + [np.sin(n * ANGLE) for n in range(1, 4)])
    return 3e3 * seed.normal(size=(count, waves.shape[0])) @ waves


def rate(values, speed):
    """Time derivative of a periodic quantity by its Fourier series, at constant speed."""
    order = 1j * np.fft.fftfreq(ANGLE.size, 1.0 / ANGLE.size)
    slope = np.fft.ifft(order * np.fft.fft(values)) * speed
    return slope if np.iscomplexobj(values) else slope.real


@given(straight())
def test_torque_of_the_straight_line_drive_is_virtual_work(case):
    """Torque times speed equals gas power less the growth of kinetic energy, whoever carries the side load."""
    drive, force = case
    motion = hypocycloid.motion(drive, ANGLE)
    # crank: its axis C orbits at a, it turns at -omega; only the product of orbit and own moment changes with angle
    mixed = 0.25 * drive.stroke * drive.speed**2 * (np.exp(-2j * ANGLE) * drive.crank_moment).real * -1.0
    kinetic = 0.5 * (drive.reciprocating_mass[:, None] * motion.velocity**2).sum(axis=0) + mixed
    power = -(force * motion.velocity).sum(axis=0) - rate(kinetic, drive.speed)
    for guide in ("idle", "alone", 500.0 * np.cos(ANGLE) * np.ones_like(force)):
        torque = hypocycloid.rigid_loads(drive, ANGLE, force, guide)["torque"]
        assert torque * drive.speed == pytest.approx(power, abs=1e-9 * max(np.abs(power).max(), 1e3))


@given(ordinary())
def test_torque_of_the_slider_crank_is_virtual_work(case):
    """Same for the ordinary engine: piston, and rod with its swing."""
    drive, force = case
    motion = slider_crank.motion(drive, ANGLE)
    _, swing, _ = slider_crank.rod_motion(drive, ANGLE)
    loads = slider_crank.rigid_loads(drive, ANGLE, force)
    lean = slider_crank.rod_motion(drive, ANGLE)[0]
    phi = ANGLE + (drive.crankpin_angle - drive.bank_angle)[:, None]
    centre = drive.crank_radius * np.exp(1j * phi) + drive.rod_cg * drive.rod_length * np.exp(-1j * lean)
    cg_speed = np.array([rate(row, drive.speed) for row in centre])
    kinetic = 0.5 * (
        drive.piston_mass[:, None] * motion.velocity**2
        + drive.rod_mass[:, None] * np.abs(cg_speed) ** 2
        + drive.rod_inertia[:, None] * swing**2
    ).sum(axis=0)
    power = -(force * motion.velocity).sum(axis=0) - rate(kinetic, drive.speed)
    assert loads["torque"] * drive.speed == pytest.approx(power, abs=1e-6 * max(np.abs(power).max(), 1e3))
    crosshead = slider_crank.rigid_loads(drive, ANGLE, force, "crosshead")["torque"]
    assert crosshead * drive.speed == pytest.approx(power, abs=1e-6 * max(np.abs(power).max(), 1e3))


@given(yoke())
def test_torque_of_the_scotch_yoke_is_virtual_work(case):
    """Torque times speed equals gas power less the growth of kinetic energy; the guides do no work on a yoke."""
    drive, force = case
    motion = scotch_yoke.motion(drive, ANGLE)
    kinetic = 0.5 * (drive.reciprocating_mass[:, None] * motion.velocity**2).sum(axis=0)
    power = -(force * motion.velocity).sum(axis=0) - rate(kinetic, drive.speed)
    torque = scotch_yoke.rigid_loads(drive, ANGLE, force)["torque"]
    assert torque * drive.speed == pytest.approx(power, abs=1e-9 * max(np.abs(power).max(), 1e3))


@given(yoke())
def test_the_frame_of_the_scotch_yoke_feels_the_change_of_momentum_and_the_torque(case):
    """Forces on the frame add up to minus the change of momentum; the guide couples to the torque on the load.

    The second is the moment balance of the whole machine about O: cylinder lines and main bearing pass through O, the
    yokes do not turn and the crank turns evenly, so only guides and load can hold each other.
    """
    drive, force = case
    loads, motion = scotch_yoke.rigid_loads(drive, ANGLE, force), scotch_yoke.motion(drive, ANGLE)
    place = (drive.reciprocating_mass[:, None] * motion.position * np.exp(1j * drive.bank_angle)[:, None]).sum(axis=0)
    place = place + drive.crank_moment * np.exp(1j * ANGLE)
    shake = -rate(rate(place, drive.speed), drive.speed)
    assert np.abs(loads["frame"] - shake).max() < 1e-9 * max(np.abs(force).max(), np.abs(shake).max())
    peak = max(np.abs(loads["guide_couple"]).max(), 1.0)
    assert loads["guide_couple"].sum(axis=0) == pytest.approx(loads["torque"], abs=1e-9 * peak)


@given(yoke())
def test_the_scotch_yoke_moves_like_the_straight_line_drive_but_its_phase_is_free(case):
    """With all yokes on one pin it is the same motion; any other pin angle shifts the phase by that angle."""
    drive, _ = case
    twin = hypocycloid.HypocycloidDrive(drive.stroke, drive.bank_angle, drive.reciprocating_mass, drive.speed, 0.35)
    common = scotch_yoke.motion(replace(drive, crankpin_angle=0.0 * drive.crankpin_angle), ANGLE)
    straight_motion = hypocycloid.motion(twin, ANGLE)
    for name in ("position", "velocity", "acceleration"):
        peak = np.abs(getattr(straight_motion, name)).max()
        assert getattr(common, name) == pytest.approx(getattr(straight_motion, name), abs=1e-12 * peak)
    top = scotch_yoke.top_dead_centre(drive)
    highest = np.stack([scotch_yoke.motion(drive, top[k : k + 1]).position[k, 0] for k in range(len(top))])
    assert highest == pytest.approx(0.5 * drive.stroke, rel=1e-12)
    assert top + drive.crankpin_angle == pytest.approx(hypocycloid.top_dead_centre(twin), abs=1e-12)


@given(ordinary())
def test_a_crosshead_takes_the_side_thrust_off_the_bore_and_changes_nothing_else(case):
    drive, force = case
    trunk = slider_crank.rigid_loads(drive, ANGLE, force)
    crosshead = slider_crank.rigid_loads(drive, ANGLE, force, side="crosshead")
    np.testing.assert_array_equal(crosshead["guide"], trunk["bore"])
    assert not crosshead["bore"].any() and "guide" not in trunk
    for name in set(trunk.channels) - {"bore"}:
        np.testing.assert_array_equal(crosshead[name], trunk[name])
    assert "crosshead" in crosshead.model and "crosshead" not in trunk.model


def test_unknown_carrier_of_the_side_thrust_is_refused():
    drive = slider_crank.one_cylinder(0.06, 4.0, 100.0)
    with pytest.raises(InputError, match="side = 'skirt' is not one of bore, crosshead"):
        slider_crank.rigid_loads(drive, ANGLE, np.zeros((1, ANGLE.size)), "skirt")


@pytest.mark.parametrize("offset", [-0.004, 0.0, 0.006])
@pytest.mark.parametrize("ratio", [2.0, 3.5, 8.0])
def test_one_cylinder_keeps_its_stroke_and_starts_at_the_outer_dead_centre(ratio, offset):
    """Stroke and dead centre read off the path itself."""
    drive = slider_crank.one_cylinder(0.069, ratio, 100.0, offset)
    motion = slider_crank.motion(drive, np.linspace(0.0, 2.0 * np.pi, 20_000, endpoint=False))
    assert np.ptp(motion.position) == pytest.approx(0.069, rel=1e-7)
    assert motion.position.argmax() == 0 and motion.velocity[0, 0] == pytest.approx(0.0, abs=1e-12)
    assert drive.rod_length / drive.crank_radius == pytest.approx(ratio, rel=1e-12)


def test_masses_of_yoke_and_crosshead_follow_from_their_parts():
    """Recount of the yoke by areas with numpy, and sums of the parts that the docstrings name."""
    design = load_design(DATA / "first_sketch.toml")
    parts = masses.of_design(design)
    common = parts["piston"].likely + parts["piston_rod"].likely
    # 30 mm pin, 24 mm long, 69 mm stroke, wall 0.275 x 30 mm: outline 115.5 x 46.5, slot 99 x 30 (mm)
    yoke_mass = 7850 * 0.024 * (0.1155 * 0.0465 - 0.099 * 0.030)
    moving = scotch_yoke.from_design(design, parts).reciprocating_mass
    assert moving - common == pytest.approx(np.full(2, yoke_mass), rel=1e-12)
    crosshead = slider_crank.from_design(design, parts, crosshead=True)
    assert crosshead.piston_mass == pytest.approx(common + 0.063**3 * (850 - 450), rel=1e-12)
    trunk = slider_crank.from_design(design, parts)
    assert trunk.piston_mass == pytest.approx(parts["ordinary_piston"].likely)


def test_contacts_of_the_new_comparators():
    """Speeds by numerical differentiation of the motion; parts and channels say what rubs."""
    yoke_drive = scotch_yoke.ScotchYoke(0.06, np.zeros(2), np.zeros(2), np.ones(2), 100.0)
    found = {c.part: c for c in scotch_yoke.contacts(yoke_drive, {"slot": 0.02, "main_bearing": 0.03})}
    fine = np.linspace(0.0, 2.0 * np.pi, 10_001)
    across = np.gradient(0.03 * np.sin(fine), fine) * 100.0 + 0.01 * 100.0
    assert found["slot"].speed == pytest.approx(np.abs(across).max(), rel=1e-6)
    along = np.gradient(scotch_yoke.motion(yoke_drive, fine).position[0], fine) * 100.0
    assert found["guide"].speed == pytest.approx(np.abs(along).max(), rel=1e-6)
    assert found["guide"].channel in CHANNELS and found["guide"].count == 4
    ordinary_drive = slider_crank.one_cylinder(0.06, 4.0, 100.0)
    diameters = {"crankpin": 0.02, "wrist_pin": 0.02, "main_bearing": 0.03}
    for side, part, label in (("bore", "bore", "piston skirt in bore"), ("crosshead", "guide", "crosshead in guide")):
        sliding = [c for c in slider_crank.contacts(ordinary_drive, diameters, side) if c.kind == "sliding"]
        assert [(c.part, c.label, c.channel) for c in sliding] == [(part, label, part)]


def test_bodies_of_the_yoke_turn_as_its_main_bearing_rubs():
    drive = scotch_yoke.ScotchYoke(0.06, np.zeros(2), np.zeros(2), np.ones(2), 100.0)
    turning = scotch_yoke.body_speeds(drive, np.zeros(3))
    contacts = scotch_yoke.contacts(drive, {"slot": 0.02, "main_bearing": 0.03})
    (main,) = (contact for contact in contacts if contact.kind == "journal")
    journal, sleeve = (turning[body] for body in main.bodies)
    assert main.part == "main_bearing" and main.speed == pytest.approx(0.015 * np.abs(journal - sleeve))


@given(straight())
def test_frame_force_of_the_straight_line_drive_is_minus_the_change_of_momentum(case):
    """All forces on the frame together equal minus the rate of change of the momentum of all moving parts."""
    drive, force = case
    motion = hypocycloid.motion(drive, ANGLE)
    place = (drive.reciprocating_mass[:, None] * motion.position * np.exp(1j * drive.bank_angle)[:, None]).sum(axis=0)
    place = place + (drive.crank_mass * 0.25 * drive.stroke + drive.carrier_moment) * np.exp(1j * ANGLE)
    place = place + drive.crank_moment * np.exp(-1j * ANGLE)
    shake = -rate(rate(place, drive.speed), drive.speed)
    for guide in ("idle", 500.0 * np.sin(ANGLE) * np.ones_like(force)):
        frame = hypocycloid.rigid_loads(drive, ANGLE, force, guide)["frame"]
        assert np.abs(frame - shake).max() < 1e-9 * max(np.abs(force).max(), np.abs(shake).max())


@given(ordinary())
def test_frame_force_of_the_slider_crank_is_minus_the_change_of_momentum(case):
    drive, force = case
    motion = slider_crank.motion(drive, ANGLE)
    lean = slider_crank.rod_motion(drive, ANGLE)[0]
    phi = ANGLE + (drive.crankpin_angle - drive.bank_angle)[:, None]
    centre = drive.crank_radius * np.exp(1j * phi) + drive.rod_cg * drive.rod_length * np.exp(-1j * lean)
    along = np.exp(1j * drive.bank_angle)[:, None]
    place = ((drive.piston_mass[:, None] * motion.position + drive.rod_mass[:, None] * centre) * along).sum(axis=0)
    place = place + drive.crank_moment * np.exp(1j * ANGLE)
    shake = -rate(rate(place, drive.speed), drive.speed)
    frame = slider_crank.rigid_loads(drive, ANGLE, force)["frame"]
    assert np.abs(frame - shake).max() < 1e-6 * max(np.abs(force).max(), np.abs(shake).max())


@given(straight())
def test_without_a_gear_the_teeth_feel_nothing_and_the_guides_share_least_squares(case):
    """The share is numpy's minimum-norm solution of the one moment equation (numpy.linalg.lstsq)."""
    drive, force = case
    loads = hypocycloid.rigid_loads(drive, ANGLE, force, "alone")
    idle = hypocycloid.rigid_loads(drive, ANGLE, force)
    cosine = np.cos(ANGLE - drive.bank_angle[:, None])
    for j in range(0, ANGLE.size, 13):
        if (cosine[:, j] ** 2).sum() > 1e-6:
            share = np.linalg.lstsq(cosine[None, :, j], idle["mesh"][j : j + 1], rcond=None)[0]
            assert loads["guide"][:, j] == pytest.approx(share, rel=1e-6, abs=1e-6 * np.abs(idle["mesh"]).max())
            assert abs(loads["mesh"][j]) < 1e-6 * max(np.abs(idle["mesh"]).max(), 1.0)


@given(st.floats(50.0, 1e4))
def test_slider_crank_tends_to_the_sinusoid_as_the_rod_grows(ratio):
    """Position and acceleration tend to the straight-line drive's; the difference falls as one over the rod ratio."""
    one = np.ones(1)
    long_rod = slider_crank.SliderCrank(0.03, 0.03 * ratio, 0 * one, 0 * one, one, 0 * one, 0.3, 0 * one, 100.0)
    exact = hypocycloid.motion(hypocycloid.HypocycloidDrive(0.06, 0 * one, one, 100.0, 0.35), ANGLE)
    near = slider_crank.motion(long_rod, ANGLE)
    assert near.position - 0.03 * ratio == pytest.approx(exact.position, abs=0.51 * 0.03 / ratio)
    assert near.acceleration == pytest.approx(exact.acceleration, abs=1.01 * 0.03 * 1e4 / ratio)
    side = slider_crank.rigid_loads(long_rod, ANGLE, np.full((1, ANGLE.size), 1e3))["bore"]
    assert np.abs(side).max() < 1.05 * (1e3 + 300.0) / ratio


@pytest.mark.parametrize(
    ("banks", "low", "high"),
    [
        ([0.0, 90.0], 1.0, 1.0),
        ([0.0, 120.0], 0.5, 1.5),
        ([0.0, 120.0, 240.0], 1.5, 1.5),
        ([0.0, 72.0, 144.0, 216.0, 288.0], 2.5, 2.5),
        ([0.0, 180.0], 0.0, 2.0),
        ([10.0], 0.0, 1.0),
    ],
)
def test_where_guides_alone_can_hold_the_crank(banks, low, high):
    """Sum of cos^2 phi: one for a right-angled V, 0.5 to 1.5 at 120 deg, n/2 for a star; zero is singular."""
    bank = np.radians(banks)
    angle = np.radians(np.arange(0.0, 360.0, 0.5))
    total = (np.cos(angle - bank[:, None]) ** 2).sum(axis=0)
    assert (total.min(), total.max()) == pytest.approx((low, high), abs=1e-12)
    drive = hypocycloid.HypocycloidDrive(0.06, bank, np.full(bank.shape, 0.3), 100.0, 0.35)
    guide = hypocycloid.rigid_loads(drive, angle, np.full((bank.size, angle.size), 1e3), "alone")["guide"]
    assert np.isinf(guide).any() == (low < 1e-12)


@settings(max_examples=20)
@given(st.integers(0, 1000))
def test_a_batch_gives_what_single_designs_give(seed):
    """Blocks, broadcasting and leading axes change nothing; the whole batch is larger than one block."""
    rng = np.random.default_rng(seed)
    count, bank = 700, np.array([0.3, 1.9])
    force = 1e3 * rng.normal(size=(2, ANGLE.size))
    stroke, moment = rng.uniform(0.05, 0.09, count), rng.normal(size=count) * 0.01 * (1 + 1j)
    mass = rng.uniform(0.2, 0.5, (count, 2))
    batch = hypocycloid.rigid_loads(
        hypocycloid.HypocycloidDrive(stroke, bank, mass, 200.0, 0.35, 1.0, moment), ANGLE, force
    )
    ordinary = slider_crank.rigid_loads(
        slider_crank.SliderCrank(stroke / 2, 2 * stroke, bank, np.zeros(2), mass, mass, 0.3, 1e-3 * mass, 200.0, 0.001),
        ANGLE,
        force,
    )
    phase = rng.uniform(-3.0, 3.0, (count, 2))
    yokes = scotch_yoke.rigid_loads(
        scotch_yoke.ScotchYoke(stroke, bank, phase, mass, 200.0, moment), ANGLE, force
    )
    for k in (0, 259, 260, 519, 520, 699):  # both sides of each block's edge
        one = hypocycloid.rigid_loads(
            hypocycloid.HypocycloidDrive(stroke[k], bank, mass[k], 200.0, 0.35, 1.0, moment[k]), ANGLE, force
        )
        other = slider_crank.rigid_loads(
            slider_crank.SliderCrank(
                stroke[k] / 2, 2 * stroke[k], bank, np.zeros(2), mass[k], mass[k], 0.3, 1e-3 * mass[k], 200.0, 0.001
            ),
            ANGLE,
            force,
        )
        third = scotch_yoke.rigid_loads(
            scotch_yoke.ScotchYoke(stroke[k], bank, phase[k], mass[k], 200.0, moment[k]), ANGLE, force
        )
        for single, many in ((one, batch), (other, ordinary), (third, yokes)):
            for name, values in single.channels.items():
                np.testing.assert_allclose(many[name][k], values, rtol=1e-12, atol=1e-9)


@given(straight(), st.floats(0.0, 1.5))
def test_crank_counterweight_takes_its_share_of_the_inertia_out_of_the_teeth(case, share):
    """Without gas the tooth force is inertia alone: it falls to 1 - share of what it is without a counterweight."""
    drive, force = case
    moments = [
        hypocycloid.crank_moment_for_balance(drive.stroke, drive.bank_angle, drive.reciprocating_mass, f)
        for f in (0.0, share)
    ]
    bare, balanced = (
        hypocycloid.rigid_loads(replace(drive, crank_moment=m), ANGLE, 0.0 * force)["mesh"] for m in moments
    )
    assert balanced == pytest.approx((1.0 - share) * bare, abs=1e-9 * max(np.abs(bare).max(), 1.0))


def test_unknown_guide_rule_is_refused_by_name():
    drive = hypocycloid.HypocycloidDrive(0.06, np.zeros(1), np.ones(1), 100.0, 0.35)
    with pytest.raises(InputError, match="guide = 'both' is not one of idle, alone"):
        hypocycloid.rigid_loads(drive, ANGLE, np.zeros((1, ANGLE.size)), "both")
