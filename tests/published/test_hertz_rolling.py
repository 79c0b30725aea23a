"""Topic 9, Hertz line contact: published values against the core; units as in the rows."""

import pytest

from vmech_core.bearings import rollers as rolling
from vmech_core.bearings.surfaces import contact_modulus

STEEL = contact_modulus(206e9, 0.3, 206e9, 0.3)


@pytest.mark.row("T09-001")
@pytest.mark.row("T09-002")
@pytest.mark.parametrize(
    ("radius_2", "expected"), [(20.0, (0.086599, 735.138, 220.747)), (-20.0, (0.149993, 424.432, 127.448))]
)
def test_two_cylinders_under_1000_newton(radius_2, expected):
    """K. L. Johnson, Contact Mechanics; rel 1e-5.

    The shear of both rows was formed with 0.30028 instead of 0.300283, a difference of 1.3e-5: rel 2e-5 there.
    """
    width, pressure, shear = expected
    half, _, peak, greatest = rolling.line_contact(1000.0, 0.010, 0.010, 1e-3 * radius_2, STEEL)
    assert 1e3 * half == pytest.approx(width, rel=1e-5)
    assert 1e-6 * peak == pytest.approx(pressure, rel=1e-5)
    assert 1e-6 * greatest == pytest.approx(shear, rel=2e-5)


@pytest.mark.row("T09-005")
def test_where_the_shear_is_greatest():
    """K. L. Johnson, Contact Mechanics (0.30 at 0.78 half-widths), sharper by numerical integration; abs 1e-5."""
    half, depth, peak, shear = rolling.line_contact(500.0, 0.020, 0.004, 0.03, STEEL)
    assert shear / peak == pytest.approx(0.300283, abs=1e-5)
    assert depth / half == pytest.approx(0.786151, abs=1e-5)
