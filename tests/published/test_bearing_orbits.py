"""Topic 5, journal bearings under loads that change: published and closed-form values against the core."""

import numpy as np
import pytest

from vmech_core.bearings import journal, mobility

D, SLENDER, C, MU, W = 0.04, 0.25, 20e-6, 0.01, 300.0
MIDDLE = np.zeros((1, 1))
#: F (c/R)^2 / (mu L D) per F.
EASE = (2.0 * C / D) ** 2 / (MU * SLENDER * D * D)


def held(load, journal, sleeve, period=2.0 * np.pi / W, samples=360):
    """One bearing; ``load`` a function of the times of a cycle."""
    time = period * np.arange(samples) / samples
    return mobility.Journals(D, SLENDER * D, C, MU, [load(time) + 0j * time], [[journal]], [[sleeve]], period)


@pytest.mark.row("T05-043")
def test_mobility_of_the_short_bearing_and_its_signs():
    """J. F. Booker (1971), closed form from memory: xi along the load, eta 90 degrees anticlockwise; exact."""
    for xi, eta, way in ((0.3, 0.4, 1.0), (-0.5, 0.2, 1j), (0.7, -0.6, np.exp(2j))):
        along = (1 - xi) ** 2.5 / (np.pi * SLENDER**2)
        across = -4 * eta * (1 - xi) ** 1.5 / (np.pi**2 * SLENDER**2)
        own = mobility.mobility((xi + 1j * eta) * way, way, SLENDER, finite=False)
        assert own == pytest.approx(along + 1j * across, rel=1e-12)


@pytest.mark.row("T05-043")
@pytest.mark.parametrize(("e", "load_number", "attitude"), [(0.5, 0.750381, 53.6802), (0.8, 5.731328, 30.5002)])
def test_steady_load_settles_near_the_short_bearing(e, load_number, attitude):
    """NACA Report 1157 (rows T05-003, T05-005): W c^2 / (mu Omega R L^3) and attitude; the fit is 5 % off."""
    load = load_number * MU * W * (D / 2) * (SLENDER * D) ** 3 / C**2
    orbit = mobility.orbit(held(lambda t: load, W, 0.0), cycles=20, finite=False)
    assert orbit.periodic.all()
    assert np.abs(orbit.eccentricity) == pytest.approx(e, rel=0.02)
    assert 1 - np.abs(orbit.eccentricity) == pytest.approx(1 - e, rel=0.06)
    assert np.degrees(np.angle(orbit.eccentricity)) == pytest.approx(attitude, rel=0.05)


@pytest.mark.row("T05-053")
@pytest.mark.row("T05-055")
@pytest.mark.parametrize(("e", "exact", "fitted"), [(0.5, 3.891199, 3.829449), (0.9, 67.003402, 64.136193)])
def test_time_of_a_pure_squeeze(e, exact, fitted):
    """Closed forms: time from the middle to e x F (c/R)^2 / (mu L D) / (L/D)^2; the fit to 1e-4, the exact film 5 %."""
    time = fitted * SLENDER**2 / (EASE * 1000.0)
    still = held(lambda t: 1000.0, 0.0, 0.0, time)
    turning = held(lambda t: 1000.0, -W, W, time)
    for batch in (still, turning):
        orbit = mobility.orbit(batch, cycles=1, start=MIDDLE, finite=False)
        assert orbit.eccentricity[0, 0] == pytest.approx(e, abs=1e-4 * (1 - e))
        reached = np.interp(e - 1e-3, np.abs(np.roll(orbit.eccentricity[0], -1)), time * np.arange(1, 361) / 360)
        assert reached == pytest.approx(time, rel=0.02)
    few = mobility.orbit(held(lambda t: 1000.0, 0.0, 0.0, time, 12), cycles=1, start=MIDDLE, finite=False)
    assert few.eccentricity[0, 0] == pytest.approx(e, abs=3e-6)  # Runge-Kutta, so a dozen steps do
    assert fitted == pytest.approx(exact, rel=0.05)


@pytest.mark.row("T05-057")
def test_a_load_that_turns_at_half_journal_speed_finds_no_wedge():
    """Reynolds equation in turning axes; the journal goes straight along the load, as without any turning, for ever."""
    period = 4.0 * np.pi / W
    for cycles in (1, 3):
        load = held(lambda t: 900.0 * np.exp(0.5j * W * t), W, 0.0, period, 720)
        turning = mobility.orbit(load, cycles, start=MIDDLE)
        still = mobility.orbit(held(lambda t: 900.0, 0.0, 0.0, period, 720), cycles, start=MIDDLE)
        time = period * np.arange(720) / 720
        seen = turning.eccentricity[0] * np.exp(-0.5j * W * time)
        assert seen == pytest.approx(still.eccentricity[0], abs=1e-4)
        assert not turning.periodic.any()


@pytest.mark.row("T05-057")
@pytest.mark.parametrize("turns", [1.0, 2.0, -1.0, 0.0, 3.0])
@pytest.mark.parametrize(("journal", "sleeve"), [(W, 0.0), (W, 0.4 * W), (-W, W)])
def test_the_speed_that_counts_is_twice_mean_speed_less_that_of_the_load(turns, journal, sleeve):
    """A turning load holds the journal where a steady one would at 2 |wbar - w_load|; with the journal: as steady."""
    effective = 2.0 * abs(0.5 * (journal + sleeve) - turns * W)
    if effective == 0.0:
        pytest.skip("no wedge: see the test above")
    turning = mobility.orbit(held(lambda t: 900.0 * np.exp(1j * turns * W * t), journal, sleeve, samples=720), 20)
    steady = mobility.orbit(held(lambda t: 900.0, effective, 0.0), 20)
    assert turning.periodic.all() and steady.periodic.all()
    assert np.abs(turning.eccentricity) == pytest.approx(np.abs(steady.eccentricity[0, 0]), abs=2e-3)
    way = np.sign(0.5 * (journal + sleeve) - turns * W)
    at = turning.eccentricity[0, 0]
    assert way * np.angle(at) == pytest.approx(np.angle(steady.eccentricity[0, 0]), abs=5e-3)


def test_a_worked_operating_point():
    """Row T05-008: R 50, L 25 mm, c 100 um, 20 mPa s, 1000 N, 3000 rpm: film 32.42 um, attitude 40.585 deg; 6 %."""
    load = np.full((1, 90), 1000.0 + 0j)
    batch = mobility.Journals(0.1, 0.025, 100e-6, 0.02, load, [[100 * np.pi]], [[0.0]], 0.02)
    orbit = mobility.orbit(batch, cycles=40, finite=False)
    assert journal.film_thickness(batch, orbit) == pytest.approx(32.421207e-6, rel=0.06)
    assert np.degrees(np.angle(orbit.eccentricity)) == pytest.approx(40.585, abs=2.0)
