"""Topic 11, balance: worked examples of textbooks and closed forms against the core.

Textbooks use two terms of the series of the slider-crank, r cos(phi) and r^2 / (4 L) cos(2 phi); so do these tests.
"""

import numpy as np
import pytest

from vmech_core import balance

ONE = np.zeros(1)
TURN = np.linspace(0.0, 2.0 * np.pi, 3601)


def vectors(mass, radius, degrees):
    """Mass moments."""
    return np.asarray(mass) * np.asarray(radius) * np.exp(1j * np.radians(degrees))


def polar(moment, radius):
    """Mass and angle in degrees at a radius."""
    return np.abs(moment) / radius, np.degrees(np.angle(moment)) % 360.0


def series(radius, share):
    """Two terms of the motion of a slider-crank; share is crank radius over rod length."""
    return [radius, 0.25 * radius * share]


def size(vector):
    return np.abs(vector).min(), np.abs(vector).max()


@pytest.mark.row("T11-001")
def test_four_masses_in_two_planes():
    """Khurmi, Example 21.2; B. K. Sarkar, Illustration 8.3 (drawn: 350 kg, 182.5 kg)."""
    moment = vectors([200, 300, 400, 200], [0.08, 0.07, 0.06, 0.08], [0, 45, 115, 235])
    found = balance.rotating(moment, np.array([0.0, 0.3, 0.4, 0.7])).in_planes(1, [0.1, 0.5])
    mass, angle = polar(found, 0.1)
    assert mass == pytest.approx([352.972, 184.059], rel=1e-4)
    assert angle == pytest.approx([213.371, 347.198], rel=1e-4)
    assert mass == pytest.approx([350.0, 182.5], rel=0.02)


@pytest.mark.row("T11-003")
@pytest.mark.row("T11-004")
def test_masses_in_one_plane():
    """B. K. Sarkar, Illustration 8.1; Khurmi, Example 21.1."""
    moment = vectors([12, 10, 18, 15], [0.04, 0.05, 0.06, 0.03], [0, 60, 130, 270])
    mass, angle = polar(-balance.rotating(moment, 0.0).moment[0], 0.1)
    assert (mass, angle) == pytest.approx((8.1113, 267.471), rel=1e-3)
    moment = vectors([200, 300, 240, 260], [0.2, 0.15, 0.25, 0.3], np.cumsum([0, 45, 75, 135]))
    mass, angle = polar(-balance.rotating(moment, 0.0).moment[0], 0.2)
    assert (mass, angle) == pytest.approx((116.1, 201.31), rel=1e-3)


@pytest.mark.row("T11-006")
def test_partial_balance_of_a_single_cylinder():
    """B. K. Sarkar, Illustration 12.1: 120 kg to and fro, 70 kg turning, two thirds balanced, at 30 degrees."""
    radius, speed, share = 0.09, 250.0 * np.pi / 30.0, 2.0 / 3.0
    weight = share * 120.0 + 70.0
    assert weight * radius / 0.15 == pytest.approx(90.0, rel=1e-3)
    left = balance.rotating([(70.0 - weight) * radius], 0.0) + balance.reciprocating(120.0, ONE, 0.0, 0.0, [radius])
    assert abs(left.force(np.radians([30.0]), speed)[0]) == pytest.approx(3264.0, rel=1e-3)


@pytest.mark.row("G-39")
def test_half_of_the_reciprocating_mass_balanced_leaves_a_constant_force():
    """T. Bevan, The Theory of Machines, ch. 14, Example 5: 150 lb to and fro, 180 lb turning, in pounds and inches."""
    radius, speed = 7.5 / 12.0, 300.0 * np.pi / 30.0
    weight = 180.0 + 0.5 * 150.0
    assert weight * 7.5 / 6.0 == pytest.approx(318.75, rel=1e-3)
    left = balance.rotating([(180.0 - weight) * radius], 0.0) + balance.reciprocating(150.0, ONE, 0.0, 0.0, [radius])
    force = np.abs(left.force(TURN, speed)) / 32.2
    assert force == pytest.approx(np.full(TURN.size, 1436.8), rel=1e-3)


def v_twin(degrees, share=0.25, mass=1.0, radius=1.0):
    """A V-twin on a common crankpin, bisector on the real axis."""
    return balance.reciprocating(mass, np.radians([-0.5, 0.5]) * degrees, 0.0, 0.0, series(radius, share))


@pytest.mark.row("T11-009")
def test_right_angled_v_twin():
    """Closed form: the primary is a constant rotating force, the secondary sqrt(2) lambda across the bisector."""
    whole = v_twin(90.0)
    assert size(whole.only(1, -1).force(TURN, 1.0)) == pytest.approx((1.0, 1.0), abs=1e-6)
    second = whole.only(2, -2).force(TURN, 1.0)
    assert size(second) == pytest.approx((0.0, 0.353553), abs=1e-6)
    assert np.abs(second.real).max() < 1e-12
    balanced = whole + balance.rotating([-1.0], 0.0)
    assert np.abs(balanced.only(1, -1).force(TURN, 1.0)).max() < 1e-12


@pytest.mark.row("G-34")
@pytest.mark.row("G-36")
def test_narrow_v_twins():
    """A 60 degree V-twin with a counterweight, and one without (Khurmi and Gupta, ch. 22, from memory).

    2298 and 694 N, which one page gives for the first, cancel the whole force across the bisector: not used.
    """
    speed = 1500.0 * np.pi / 30.0
    left = v_twin(60.0, 0.0, 0.7, 0.05) + balance.rotating([-0.5 * 0.065], 0.0)
    assert size(left.force(TURN, speed)) == pytest.approx((370.11, 493.48), rel=1e-4)
    whole = v_twin(60.0, 0.0, 1.5, 0.05).force(TURN, 1800.0 * np.pi / 30.0)
    assert size(whole) == pytest.approx((1332.4, 3997.2), rel=1e-3)
    scale = 1.5 * 0.05 * (1800.0 * np.pi / 30.0) ** 2
    assert size(whole) == pytest.approx((0.5 * scale, 1.5 * scale), rel=1e-6)


@pytest.mark.row("G-38")
def test_broad_arrow_of_twelve_cylinders():
    """T. Bevan, ch. 14, Example 13: three banks of four at 60 degrees; 6 lb, r 3 in, L 11 in, 2000 rev/min."""
    bank, pin = np.radians([[-60.0], [0.0], [60.0]]), np.radians([0.0, 180.0, 180.0, 0.0])
    bank, pin = (v.ravel() for v in np.broadcast_arrays(bank, pin))
    place = np.tile([0.0, 1.0, 2.0, 3.0], 3)
    arrow = balance.reciprocating(6.0 / 32.2, bank, pin, place, series(0.25, 3.0 / 11.0))
    speed = 2000.0 * np.pi / 30.0
    assert size(arrow.only(2, -2).force(TURN, speed)) == pytest.approx((1114.6, 3343.7), rel=1e-3)
    assert np.abs(arrow.only(1, -1).force(TURN, speed)).max() < 1e-6
    assert np.abs((arrow.only(1, -1)).couple(TURN, speed)).max() < 1e-6


@pytest.mark.row("T11-013")
def test_primary_and_secondary_of_one_cylinder():
    """Standard formulas; the straight-line drive of the same stroke has the primary alone."""
    speed = 6000.0 * np.pi / 30.0
    one = balance.reciprocating(0.5, ONE, 0.0, 0.0, series(0.04, 0.3))
    assert np.abs(one.only(1, -1).force(TURN, speed)).max() == pytest.approx(7895.68, rel=1e-5)
    assert np.abs(one.only(2, -2).force(TURN, speed)).max() == pytest.approx(2368.71, rel=1e-5)


@pytest.mark.row("T11-014")
def test_a_sinusoid_is_two_turning_vectors():
    """Identity a cos t = (a / 2)(e^(it) + e^(-it)): one half on either rotor cancels it."""
    line = balance.reciprocating(0.5, ONE, 0.0, 0.0, [0.04])
    weights = balance.rotating([-0.01], 0.0, 1) + balance.rotating([-0.01], 0.0, -1)
    assert np.abs(line.force(TURN, 600.0)).max() == pytest.approx(0.5 * 0.04 * 600.0**2)
    assert np.abs((line + weights).force(TURN, 600.0)).max() < 1e-9


@pytest.mark.row("T11-015")
def test_permissible_residual_unbalance():
    """A tool catalogue's worked example to ISO 21940-11 (U = 9549 G m / n): 12 g mm, 6 g mm/kg."""
    permitted = 1e6 * balance.permissible(6.3e-3, 10000.0 * np.pi / 30.0, 2.0)
    assert permitted == pytest.approx(12.03, rel=3e-3)
    assert permitted / 2.0 == pytest.approx(6.016, rel=3e-3)


@pytest.mark.parametrize(("count", "secondary"), [(3, 1.5), (5, 0.0), (7, 0.0), (9, 0.0)])
def test_radial_engines(count, secondary):
    """Direct and reverse cranks, any text: primary n / 2 m r w^2 turning with the crank; of three, the secondary
    3 / 2 lambda m r w^2 turns backward at twice its speed."""
    star = balance.reciprocating(1.0, np.arange(count) * 2.0 * np.pi / count, 0.0, 0.0, series(1.0, 0.25))
    assert star.only(1).force(TURN, 1.0) == pytest.approx(0.5 * count * np.exp(1j * TURN))
    assert np.abs(star.only(-1).force(TURN, 1.0)).max() < 1e-12
    assert np.abs(star.only(-2).force(TURN, 1.0)) == pytest.approx(np.full(TURN.size, 0.25 * secondary), abs=1e-12)
    assert np.abs(star.only(2).force(TURN, 1.0)).max() < 1e-12


@pytest.mark.parametrize(("pins", "force", "couple"), [
    ([0, 180, 180, 0], (0.0, 1.0), (0.0, 0.0)),
    ([0, 120, 240], (0.0, 0.0), (np.sqrt(3.0), 0.25 * np.sqrt(3.0))),
    ([0, 120, 240, 240, 120, 0], (0.0, 0.0), (0.0, 0.0)),
    ([0, 180], (0.0, 0.5), (1.0, 0.0))])
def test_engines_in_line(pins, force, couple):
    """Closed forms in any text, over m r w^2 and the pitch of the cylinders: force, couple, primary and secondary.

    In line four: secondary 4 lambda; three: couples sqrt(3) and sqrt(3) lambda; twin at 180 degrees: couple 1 and
    secondary 2 lambda.
    """
    place = np.arange(len(pins)) - 0.5 * (len(pins) - 1)
    line = balance.reciprocating(1.0, np.zeros(len(pins)), np.radians(pins), place, series(1.0, 0.25))
    for orders, most, turns in zip(((1, -1), (2, -2)), force, couple, strict=True):
        own = line.only(*orders)
        assert np.abs(own.force(TURN, 1.0)).max() == pytest.approx(most, abs=1e-6)
        assert np.abs(own.couple(TURN, 1.0)).max() == pytest.approx(turns, abs=1e-6)


def test_inside_cylinders_of_a_locomotive():
    """Khurmi and Gupta, ch. 22 (from memory): cylinders 0.7 m apart, cranks at right angles, 150 kg turning, 180 kg to
    and fro at 0.3 m, two thirds of it balanced in wheels 1.5 m apart at 0.6 m: 105 kg; and the closed forms of swaying
    couple, (1 - c) m r w^2 a / sqrt 2, and of tractive effort, sqrt 2 (1 - c) m r w^2, any text."""
    place, pin, speed, share = np.array([-0.35, 0.35]), np.radians([0.0, 90.0]), 300.0 * np.pi / 30.0, 2.0 / 3.0
    turning = balance.rotating((150.0 + share * 180.0) * 0.3 * np.exp(1j * pin), place)
    assert polar(turning.in_planes(1, [-0.75, 0.75]), 0.6)[0] == pytest.approx([105.34, 105.34], rel=1e-3)
    left = balance.reciprocating(180.0, np.zeros(2), pin, place, [0.3]) + balance.rotating(
        -share * 180.0 * 0.3 * np.exp(1j * pin), place)
    unit = (1.0 - share) * 180.0 * 0.3 * speed**2
    assert left.force(TURN, speed).real.max() == pytest.approx(np.sqrt(2.0) * unit, rel=1e-6)
    assert left.couple(TURN, speed).real.max() == pytest.approx(unit * 0.7 / np.sqrt(2.0), rel=1e-6)


def test_bearing_forces_of_a_rotor_are_those_of_two_planes():
    """Levers, any text: what two bearings feel is what two planes there would have to cancel."""
    moment, place = vectors([5.0, 4.0], [0.05, 0.06], [0.0, 120.0]), np.array([0.2, 0.5])
    felt = np.abs(balance.rotating(moment, place).in_planes(1, [0.0, 1.0])) * 100.0**2
    assert felt == pytest.approx(1e4 * np.abs([0.8 * moment[0] + 0.5 * moment[1], 0.2 * moment[0] + 0.5 * moment[1]]))


def test_eight_cylinders_on_a_cross_plane_crank():
    """A V of 90 degrees, pins at 0, 90, 270, 180: no force, a primary couple sqrt(10) m r w^2 times the pitch that
    turns with the crank, so that two counterweights cancel it; any text."""
    bank, pin = np.radians(np.repeat([-45.0, 45.0], 4)), np.radians(np.tile([0.0, 90.0, 270.0, 180.0], 2))
    eight = balance.reciprocating(1.0, bank, pin, np.tile(np.arange(4.0), 2), series(1.0, 0.25))
    assert np.abs(eight.force(TURN, 1.0)).max() < 1e-12
    assert size(eight.only(1, -1).couple(TURN, 1.0)) == pytest.approx([np.sqrt(10.0)] * 2, rel=1e-9)
    assert np.abs(eight.without(1).couple(TURN, 1.0)).max() < 1e-12
