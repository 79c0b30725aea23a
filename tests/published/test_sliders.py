"""Topic 6, slider bearings: closed forms."""

import pytest
from scipy.optimize import minimize_scalar

from vmech_core.bearings import steady


@pytest.mark.row("T06-001")
def test_the_best_plane_slider():
    """Rayleigh and Reynolds; abs 1e-6."""
    best = minimize_scalar(lambda a: -steady.plane_slider(a)[0], bounds=(1.5, 3.0), options={"xatol": 1e-9})
    load, drag, _ = steady.plane_slider(best.x)
    assert best.x == pytest.approx(2.188705, abs=1e-5)  # a flat maximum: its place is less sharp than its height
    assert (load, drag) == (pytest.approx(0.160243, abs=1e-6), pytest.approx(0.754202, abs=2e-6))
    assert drag / load == pytest.approx(4.706609, abs=2e-5)


@pytest.mark.row("T06-004")
@pytest.mark.row("T06-006")
@pytest.mark.parametrize(
    ("ratio", "values"), [(2.0, (0.158883, 0.772589, 0.56869)), (3.0, (0.147918, 0.697225, 0.60741))]
)
def test_load_drag_and_centre_of_plane_sliders(ratio, values):
    """Rayleigh and Reynolds; rel 1e-5."""
    assert steady.plane_slider(ratio) == pytest.approx(values, rel=1e-5)


@pytest.mark.row("T06-008")
def test_parallel_faces_carry_nothing_and_drag_as_couette_says():
    assert steady.plane_slider(1.0) == pytest.approx((0.0, 1.0, 0.5), abs=1e-12)
