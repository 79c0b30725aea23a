"""Topic 9, Hertz line contact: published values against the core; units as in the rows."""

from types import SimpleNamespace

import numpy as np
import pytest

from vmech_core.gears import contact_stress


@pytest.mark.row("T09-002")
def test_a_cylinder_in_one_of_twice_its_radius_under_1000_newton():
    """K. L. Johnson, Contact Mechanics: 10 mm in 20 mm, 10 mm long, steel: 424.432 MPa; rel 1e-5.

    At the pitch point flanks have a quarter and half of the stroke, times the sine of the working angle, as radii.
    """
    pair = SimpleNamespace(working_angle=np.pi / 6.0, stroke=0.08)
    found = contact_stress(pair, 1000.0 * np.cos(np.pi / 6.0), 0.010, 206e9, 206e9)
    assert 1e-6 * found == pytest.approx(424.432, rel=1e-5)
