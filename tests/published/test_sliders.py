"""Topic 6, slider bearings: closed forms, and the solver across a film given a step."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from vmech_core.bearings import pads, steady


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


@pytest.mark.row("T06-010")
def test_load_and_flow_of_a_slider_with_a_step_in_its_middle():
    """Massey and Ward-Smith, ch. 6, p. 229; rel 1e-3 on the load.

    The core has no step: the solver that it uses across a film gets one here, d(h^3 dp / (12 mu)) = u dh / 2, with no
    pressure at either end (its first node would be free, so a great weight holds it).
    """
    speed, length, width, viscosity, cells = 10.0, 0.1, 0.1, 870.0 * 0.0002, 100
    film = np.repeat([0.5e-3, 0.25e-3], cells // 2)
    link = film**3 / (12.0 * viscosity) * cells / length
    fixed = np.where(np.arange(cells) == 0, 1e12 * link[0], 0.0)
    source = -0.5 * speed * np.diff(film, prepend=film[0])
    pressure = np.append(pads._across(fixed, link, source), 0.0)
    assert width * np.trapezoid(pressure, dx=length / cells) == pytest.approx(4640.0, rel=1e-3)
    flow = width * (0.5 * speed * film - link * np.diff(pressure))
    assert flow == pytest.approx(np.full(cells, 1.4e-4), rel=0.01)  # the book gives two digits; the same everywhere
    assert np.ptp(flow) < 1e-9 * flow.mean()
