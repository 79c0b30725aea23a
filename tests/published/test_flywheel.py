"""Topic 10, flywheels: published worked examples, each with the torque that the book states, against the core.

Triangles and half sines are given as curves and integrated; where a book rounds, the tolerance says so.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, balance, load_design
from vmech_core.machine import slider_crank

DATA = Path(__file__).resolve().parents[2] / "data"
FOOT_POUND, SLUG_FOOT2, POUND, FOOT = 1.3558179483, 1.3558179483, 0.45359237, 0.3048
TURN = 2.0 * np.pi


def rate(rpm):
    """Speed [rad/s]."""
    return rpm * np.pi / 30.0


def strokes(shape, *work):
    """Torque of strokes of half a turn with these works [J], each of the same shape with the area 1 over [0, pi]."""
    step = np.linspace(0.0, np.pi, 2001)
    return np.linspace(0.0, np.pi * len(work), 2000 * len(work) + 1), np.concatenate(
        [[0.0], *(each * shape(step)[1:] for each in work)])


def triangle(step):
    return (2.0 / np.pi) * np.interp(step, [0.0, 0.5 * np.pi, np.pi], [0.0, 1.0, 0.0])


def half_sine(step):
    return 0.5 * np.sin(step)


@pytest.mark.row("T10-001")
def test_speed_limits_from_energy():
    """Khurmi and Gupta, Theory of Machines, Example 16.1: 121 and 119 rev/min (rounded); rel 1e-3 on the difference."""
    angle = np.linspace(0.0, TURN, 3601)
    found = balance.speed_over_cycle(angle, 1e5 + 28e3 * np.sin(angle), 6500.0 * 1.8**2, rate(120.0))
    assert balance.fluctuation(angle, 1e5 + 28e3 * np.sin(angle)).energy == pytest.approx(56e3, rel=1e-5)
    assert found.coefficient * 120.0 == pytest.approx(2.0207, rel=1e-3)
    assert found.speed.max() / rate(1.0) == pytest.approx(121.0, abs=0.02)
    assert found.speed.min() / rate(1.0) == pytest.approx(119.0, abs=0.02)


@pytest.mark.row("T10-002")
def test_mass_of_a_flywheel():
    """The same, Example 16.3: 5628 kg on a radius of gyration of 2 m, energy 0.1 of the work of one turn; rel 1e-3."""
    energy = 0.1 * 300e3 * 60.0 / 90.0
    assert balance.inertia_needed(energy, rate(90.0), 0.01) == pytest.approx(5628.0 * 2.0**2, rel=1e-3)
    ring = balance.flywheel(5628.0 * 4.0, 4.0, rate(90.0), inner=1.0 - 1e-9)  # a thin ring of that radius
    assert ring.mass == pytest.approx(5628.0, rel=1e-6)


@pytest.mark.row("T10-003")
def test_single_cylinder_four_stroke_with_triangles():
    """The same, Example 16.9: 20 kW at 300 rev/min, expansion 3 times compression, +-2 %: 255.4 kg m2; rel 1e-3."""
    net = 20e3 * 60.0 / 150.0
    angle, torque = strokes(triangle, 0.0, -0.5 * net, 1.5 * net, 0.0)
    found = balance.fluctuation(angle, torque)
    assert found.mean == pytest.approx(net / (4.0 * np.pi), rel=1e-6)
    assert balance.inertia_needed(found.energy, rate(300.0), 0.04) == pytest.approx(255.4, rel=1e-3)


@pytest.mark.row("T10-005")
def test_torque_of_two_harmonics():
    """The same, Example 16.11: 377 kW, 11078 J, 3121 kg m2 for 1 % in all; rel 2e-3."""
    angle = np.linspace(0.0, TURN, 3601)
    found = balance.fluctuation(angle, 20e3 + 9500.0 * np.sin(2.0 * angle) - 5700.0 * np.cos(2.0 * angle))
    assert found.mean * rate(180.0) == pytest.approx(377e3, rel=2e-3)
    assert found.energy == pytest.approx(11078.0, rel=2e-3)
    assert balance.inertia_needed(found.energy, rate(180.0), 0.01) == pytest.approx(3121.0, rel=2e-3)


@pytest.mark.row("T10-006")
def test_load_that_is_not_constant():
    """The same, Example 16.12: 1204 J and 6.1 % with 500 kg at 0.4 m; rel 2e-3 and the last printed digit."""
    angle = np.linspace(0.0, TURN, 3601)
    torque, load = 5000.0 + 600.0 * np.sin(2.0 * angle), 5000.0 + 500.0 * np.sin(angle)
    assert balance.fluctuation(angle, torque, load).energy == pytest.approx(1204.0, rel=2e-3)
    speeds = balance.speed_over_cycle(angle, torque, 500.0 * 0.4**2, rate(150.0), load)
    assert speeds.linear == pytest.approx(0.061, abs=5e-4)
    assert speeds.coefficient == pytest.approx(0.061, abs=1e-3)  # over the mean in time; the book's over that of limits


@pytest.mark.row("T10-010")
@pytest.mark.row("T10-011")
def test_gas_engine_with_one_cylinder():
    """Bevan, Example 9: 3.4 % (+-0.05) with the tabulated 1.93 of the work of one turn.

    Our own spark engine as one ordinary cylinder at low speed has 2.13, a tenth above the table's (another cycle). For
    4 and 6 cylinders the table has 0.066 and 0.031, from memory, ours a higher value as its charge is pressed more: not
    asserted.
    """
    work = 35.8 * 33000.0 / 270.0 * FOOT_POUND  # of one turn
    inertia = 2000.0 * POUND * (2.25 * FOOT) ** 2
    assert 100.0 * 1.93 * work / (inertia * rate(270.0) ** 2) == pytest.approx(3.4, abs=0.05)
    angle = np.linspace(0.0, TURN, 3601)
    speeds = balance.speed_over_cycle(angle, 0.5 * 1.93 * work * np.sin(angle), inertia, rate(270.0))
    assert 100.0 * speeds.coefficient == pytest.approx(3.4, abs=0.05)
    own = assess(load_design(DATA / "v_twin_generator.toml"))
    first = own.own_ordinary_loads["gas"] * np.array([[1.0], [0.0]])
    still = slider_crank.rigid_loads(replace(own.ordinary, speed=0.0), own.angle, first)
    assert 2.0 * balance.fluctuation(own.angle, still["torque"]).coefficient == pytest.approx(1.93, rel=0.15)


@pytest.mark.row("T10-012")
def test_fluctuation_from_speed_limits():
    """An exam item: 630 and 600 rev/min, 0.04878 of the mean; weak source, arithmetic; abs 1e-4."""
    angle = np.linspace(0.0, TURN, 3601)
    energy = 0.5 * 2.0 * (rate(630.0) ** 2 - rate(600.0) ** 2)  # kinetic energy at both limits, 2 kg m2
    speeds = balance.speed_over_cycle(angle, 100.0 + 0.5 * energy * np.sin(angle), 2.0, rate(615.0))
    assert speeds.coefficient == pytest.approx(0.04878, abs=1e-4)


@pytest.mark.row("T10-013")
def test_what_machines_usually_may_fluctuate():
    """Khurmi and Gupta, Machine Design, table 22.2, from memory: pumps 0.03 to 0.05, generators 0.002.

    The core's value for engines, 1/200, lies between that and 1/100 of other tables for a generator driven directly.
    """
    from vmech_core.sheet.evenness import USUAL

    assert 0.03 <= USUAL["pump"] <= 0.05 and USUAL["compressor"] == 0.03
    assert 0.002 <= USUAL["engine"] <= 0.01


@pytest.mark.row("G-41")
def test_three_cylinders_of_triangular_torque():
    """Khurmi and Gupta, Example 16.8: 67.5 N m, 4.24 kW, 11.781 J, 1/36, 3.9 %, 293 rad/s2; rel 2e-3.

    The largest excess is 22.5 N m; a peak at 90 degrees would give 8.8357 J.
    """
    angle = np.radians(np.linspace(0.0, 360.0, 3601))

    def three(peak):
        one = [np.interp(np.mod(np.degrees(angle) - 120.0 * k, 360.0), [0, peak, 180, 360], [0, 90, 0, 0])
               for k in range(3)]
        return np.sum(one, axis=0)

    found, inertia = balance.fluctuation(angle, three(60.0)), 12.0 * 0.08**2
    assert found.mean == pytest.approx(67.5, rel=1e-6)
    assert found.mean * rate(600.0) == pytest.approx(4.24e3, rel=2e-3)
    assert found.energy == pytest.approx(11.781, rel=2e-3)
    assert found.coefficient == pytest.approx(1.0 / 36.0, rel=2e-3)
    speeds = balance.speed_over_cycle(angle, three(60.0), inertia, rate(600.0))
    assert speeds.coefficient == pytest.approx(0.039, rel=5e-3)
    assert speeds.acceleration.max() == pytest.approx(293.0, rel=2e-3)
    assert balance.fluctuation(angle, three(90.0)).energy == pytest.approx(8.8357, rel=2e-3)


@pytest.mark.row("G-44")
def test_gas_engine_with_half_sines():
    """Bevan, Example 10: 25 ihp, 300 rev/min, expansion 2.3 times compression, +-2 %: 3.056 and 13710 lb ft2; rel 2e-3.

    The closed form of the half sine above its mean is 3.0528, a thousandth below what is printed. That
    his Ks of 2 % is the fluctuation in all is what the printed inertia follows from.
    """
    net = 25.0 * 33000.0 * 2.0 / 300.0 * FOOT_POUND  # of two turns
    angle, torque = strokes(half_sine, 0.0, -net / 1.3, 2.3 * net / 1.3, 0.0)
    found = balance.fluctuation(angle, torque)
    assert 2.0 * found.coefficient == pytest.approx(3.056, rel=2e-3)
    inertia = balance.inertia_needed(found.energy, rate(300.0), 0.02)
    assert inertia / (POUND * FOOT**2) == pytest.approx(13710.0, rel=2e-3)


@pytest.mark.row("G-45")
def test_alternator_on_an_engine():
    """Bevan, Example 7: 3 impulses in a turn, 28 poles: Ks = n / (6 p) = 0.0179.

    The rule holds the rotor within 2.5 electrical degrees of a uniform turn (from memory) and rounds 5.73 to 6.
    """
    angle = np.linspace(0.0, TURN, 14401)
    torque = 1e3 + 100.0 * np.sin(3.0 * angle)
    energy = balance.fluctuation(angle, torque).energy
    inertia = balance.inertia_needed(energy, rate(214.3), 3.0 / (6.0 * 28.0))
    speeds = balance.speed_over_cycle(angle, torque, inertia, rate(214.3))
    assert speeds.coefficient == pytest.approx(0.0179, rel=1e-2)
    assert np.degrees(14.0 * speeds.swing) == pytest.approx(2.5, rel=0.06)


def test_punching_press():
    """Khurmi and Gupta, Theory of Machines, ch. 16 (from memory): holes of 38 mm through 32 mm, 7 N m for each mm2
    sheared, one in 10 s, punch through the plate for 1.6 s, wheel at 25 m/s, 3 % in all: 22.46 kJ, 1198 kg; 1e-3."""
    work = 7.0 * np.pi * 38.0 * 32.0
    angle = TURN * np.array([0.0, 0.16, 0.16, 1.0])
    load = work / TURN * np.array([1.0, 1.0, 0.0, 0.0]) / 0.16
    found = balance.fluctuation(angle, np.full(4, work / TURN), load)
    assert found.mean * TURN / 10.0 == pytest.approx(2674.0, rel=1e-3)  # power of the motor
    assert found.energy == pytest.approx(22.463e3, rel=1e-3)
    assert balance.inertia_needed(found.energy, 25.0, 0.03) == pytest.approx(1198.0, rel=1e-3)


def test_areas_of_a_turning_moment_diagram():
    """The same chapter (from memory): areas +295, -685, +40, -340, +960, -270 mm2 about the mean line, 5 N m and 1
    degree for each mm: 985 mm2 are 85.96 J, wherever the crossings lie."""
    area = np.radians(5.0 * np.array([295.0, -685.0, 40.0, -340.0, 960.0, -270.0]))
    for edge in (np.linspace(0.0, TURN, 7), np.array([0.0, 1.0, 1.5, 3.0, 3.1, 6.0, TURN])):
        steps = np.repeat(50.0 + area / np.diff(edge), 2)
        assert balance.fluctuation(np.repeat(edge, 2)[1:-1], steps).energy == pytest.approx(85.957, rel=1e-4)
