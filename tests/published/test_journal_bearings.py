"""Topic 5, journal bearings under steady load: published and closed-form values against the core."""

import numpy as np
import pytest
import reynolds

from vmech_core.bearings import journal, mobility, steady


@pytest.mark.row("T05-003")
@pytest.mark.row("T05-005")
@pytest.mark.parametrize(
    ("eccentricity", "load_number", "attitude", "number"),
    [(0.5, 0.750381, 53.6802, 0.106049), (0.8, 5.731328, 30.5002, 0.013885)],
)
def test_short_bearing(eccentricity, load_number, attitude, number):
    """G. B. DuBois and F. W. Ocvirk, NACA Report 1157 (1953), closed form checked by quadrature; rel 1e-5."""
    load, angle, sommerfeld = steady.short_bearing(eccentricity, 0.25)
    assert load == pytest.approx(load_number, rel=1e-5)
    assert np.degrees(angle) == pytest.approx(attitude, rel=1e-5)
    assert sommerfeld * 0.25**2 == pytest.approx(number, rel=4e-5)  # printed to five figures


@pytest.mark.row("T05-008")
def test_where_a_short_bearing_runs():
    """Worked case of an openly licensed library, half film: 50 mm radius, 1 kN at 3000 rpm; rel 1e-6."""
    number = steady._sommerfeld(0.1, 0.025, 1e-4, 0.02, 100.0 * np.pi, 1000.0)
    eccentricity = steady.short_eccentricity(0.25, number)
    assert eccentricity == pytest.approx(0.6757879254, rel=1e-9)
    assert np.degrees(steady.short_bearing(eccentricity, 0.25)[1]) == pytest.approx(40.58502207, rel=1e-8)
    assert 1e-4 * (1.0 - eccentricity) == pytest.approx(32.421207e-6, rel=1e-6)


@pytest.mark.row("T05-013")
@pytest.mark.row("T05-014")
@pytest.mark.row("T05-015")
@pytest.mark.row("T05-020")
@pytest.mark.row("T05-021")
@pytest.mark.row("T05-022")
@pytest.mark.parametrize(("length", "film", "number", "attitude", "friction", "flow", "side", "pressure"), [
    (1.0, 0.6, 0.264, 63.10, 5.79, 3.99, 0.497, 0.484),
    (1.0, 0.4, 0.121, 50.58, 3.22, 4.33, 0.680, 0.415),
    (1.0, 0.2, 0.0446, 36.24, 1.70, 4.62, 0.842, 0.313),
    (0.5, 0.6, 0.779, 61.45, 17.0, 4.29, 0.552, 0.441),
    (0.5, 0.4, 0.319, 48.14, 8.10, 4.85, 0.730, 0.365),
    (0.5, 0.2, 0.0923, 33.31, 3.26, 5.41, 0.874, 0.267),
])
def test_finite_bearing(length, film, number, attitude, friction, flow, side, pressure):
    """A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958), part III; the Reynolds solver says so too, in 3 %."""
    found = steady.film_numbers(length, number)
    read = (found.film_ratio, np.degrees(found.attitude), found.friction, found.flow, found.side_flow)
    assert np.array([*read, found.pressure_ratio]) == pytest.approx(
        (film, attitude, friction, flow, side, pressure), rel=1e-9
    )
    solved = reynolds.journal_details(1.0 - film, length, around=160, along=17)
    assert (solved.sommerfeld, solved.attitude_deg, solved.friction, solved.flow, solved.side_flow) == pytest.approx(
        (number, attitude, friction, flow, side), rel=0.03
    )
    assert solved.pressure_ratio == pytest.approx(pressure, rel=0.03)


@pytest.mark.row("T05-038")
@pytest.mark.parametrize(("slenderness", "weights"), [
    (np.inf, (1, 0, 0, 0)), (1.0, (0, 1, 0, 0)), (0.5, (0, 0, 1, 0)), (0.25, (0, 0, 0, 1)),
    (2.0, (0.328125, 0.875, -0.21875, 0.015625)),
])
def test_rule_between_lengths(slenderness, weights):
    """Raimondi and Boyd's rule, in Shigley eq. 12-16; shares at l/d 2 worked by hand from the printed form."""
    assert steady._length_weights(slenderness) == pytest.approx(weights, abs=1e-12)


@pytest.mark.row("T05-039")
def test_a_worked_bearing():
    """U. C. Jindal, Machine Design, Example 17-4: straight lines in S between two rows, so 3 % (S exact).

    The book warms the whole flow by the friction heat, 8.30 K per unit of P f(r/c)/Q: 1.514 MJ/(m3 K).
    """
    case = dict(diameter=0.06, length=0.06, clearance=6e-5, viscosity=0.03, speed=48.0 * np.pi, load=3000.0)
    point = steady.operating_point(**case, heat_capacity=4e6 * np.pi / 8.30)
    assert steady._sommerfeld(**case) == pytest.approx(0.216, rel=1e-9)
    assert point.friction == pytest.approx(0.00985, rel=0.02)
    assert point.film == pytest.approx(0.032e-3, rel=0.03)
    assert point.flow == pytest.approx(0.638e-3 / 60.0, rel=0.01)
    assert point.power == pytest.approx(133.7, rel=0.02)
    assert point.temperature_rise * point.side_flow / point.flow == pytest.approx(8.3, rel=0.03)


@pytest.mark.row("T05-041")
def test_petroff():
    """Shigley eq. 12-6: 20 mPa s, 25 rev/s, 1 MPa, r/c 1000; loss of a journal that runs in the middle."""
    number = steady._sommerfeld(0.05, 0.02, 25e-6, 0.02, 50.0 * np.pi, 1000.0)
    assert number == pytest.approx(0.5, rel=1e-12)
    free = mobility.Journals(0.05, 0.02, 25e-6, 0.02, np.zeros((1, 8)), 50.0 * np.pi, 0.0, 0.04)
    power = journal.power(free, mobility.orbit(free, 1))[0]
    assert power / (1000.0 * 0.025 * 50.0 * np.pi) == pytest.approx(0.0098696, rel=1e-6)
