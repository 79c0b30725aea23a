"""Topic 3 of the teeth and shafts: a published shrink fit."""

import pytest

from vmech_core.size import press_fit, seat_torque


@pytest.mark.row("G-31")
def test_pressure_and_hoop_stresses_of_a_shrink_fit():
    """Ugural and Fenster, Example 8.3: radii 0.15, 0.20, 0.25 m, 200 GPa, radial interference 0.1 mm. The book's 12.3
    MPa and hoop stresses are those rounded; Poisson's ratio drops out where both parts are of one metal."""
    for poisson in (0.0, 0.3):
        steel = 200e9, poisson
        fit = press_fit(0.30, 0.40, 0.50, 0.2e-3, steel, steel)
        assert fit.pressure / 1e6 == pytest.approx(12.3047, rel=1e-4)
        assert fit.outer_hoop / 1e6 == pytest.approx(56.05, rel=1e-4)
        assert fit.inner_hoop / 1e6 == pytest.approx(-56.25, rel=1e-4)


def test_hub_on_a_solid_shaft_and_what_it_holds():
    """Closed forms in any text: p = E i / (2 d) (1 - (d / D)^2), the shaft under -p all over; T = mu p pi d^2 l / 2 and
    an axial force mu p pi d l."""
    steel = 207e9, 0.3
    fit = press_fit(0.0, 0.05, 0.1, 0.05e-3, steel, steel)
    assert fit.pressure == pytest.approx(77.625e6, rel=1e-9)
    assert (fit.inner_hoop, fit.shrink) == pytest.approx((-fit.pressure, 0.0))
    torque = seat_torque(fit.pressure, 0.05, 0.06, 0.12)
    assert torque == pytest.approx(0.12 * 77.625e6 * 0.0094247780 * 0.025, rel=1e-6)  # area times radius
