"""Published sizes over teeth and pins, tooth thickness and gear tolerances: values stand here with their sources."""

import numpy as np
import pytest

from vmech_core.gears.geometry import InternalPair
from vmech_core.gears.measure import chordal, deviations, over_pins, span


def pair(module_mm, teeth, shift=0.0):
    """A pair whose pinion has these teeth; the ring has the same shift, so that any shift is possible."""
    return InternalPair(1e-3 * module_mm, teeth, 2 * teeth, pinion_shift=shift, ring_shift=shift)


@pytest.mark.row("G-01")
def test_span_of_a_shifted_gear():
    """Elements of Metric Gear Technology, section 10, span table (from memory, recomputed): 32.8266 mm."""
    assert 1e3 * span(pair(3, 24, 0.4), 4)[0] == pytest.approx(32.8266, abs=1e-4)


@pytest.mark.row("G-02")
def test_size_over_pins_even_teeth():
    """The same work, over-pin table (from memory, recomputed): 22.2941 mm."""
    assert 1e3 * over_pins(pair(1, 20), 0.0017)[0] == pytest.approx(22.2941, abs=1e-4)


@pytest.mark.row("G-03")
def test_size_between_pins_of_a_ring():
    """The same work, internal table (from memory, recomputed): 37.5951 mm."""
    assert 1e3 * over_pins(pair(1, 20), 0.0017, ring=True)[0] == pytest.approx(37.5951, abs=1e-4)


@pytest.mark.row("G-05")
def test_chordal_thickness():
    """The same work, table 10-1, page T-81: tip 13 mm above the reference circle, chord 17.8256, height 13.6657 mm."""
    thickness, height = chordal(pair(10, 12, 0.3))
    assert (1e3 * thickness, 1e3 * height) == pytest.approx((17.8256, 13.6657), abs=1e-4)


@pytest.mark.row("G-06")
@pytest.mark.parametrize(("teeth", "spanned", "size"), [(23, 3, 7.702456), (30, 4, 10.752626), (46, 6, 16.880978),
                                                         (60, 7, 20.029187)])
def test_spans_of_project_size(teeth, spanned, size):
    """Closed form, evaluated independently of this project."""
    assert 1e3 * span(pair(1, teeth), spanned)[0] == pytest.approx(size, abs=1e-5)


@pytest.mark.row("G-06")
@pytest.mark.parametrize(("teeth", "ring", "size"), [(30, False, 32.487664), (23, False, 25.417868),
                                                      (30, True, 57.823440), (23, True, 43.817131)])
def test_pin_sizes_of_project_size(teeth, ring, size):
    """Closed form, evaluated independently of this project, for the usual pins; 23 teeth are odd."""
    assert 1e3 * over_pins(pair(1, teeth), ring=ring)[0] == pytest.approx(size, abs=1e-5)


@pytest.mark.row("T12-017")
def test_gear_tolerances_of_grade_5_against_the_older_edition():
    """ISO 1328-1:1995 (from memory). The core has the edition of 2013, which allows more for profile and helix.

    Pitch within the 5 % of the row; profile 9 % and helix 13 % above the older edition.
    """
    new = deviations(0.002, 0.080, 0.020, 5)
    ratios = {name: 1e6 * new[name] / old - 1 for name, old in
              {"single pitch": 5.67, "total pitch": 18.78, "profile": 7.19, "helix": 7.91}.items()}
    assert abs(ratios["single pitch"]) < 0.05 and abs(ratios["total pitch"]) < 0.05
    assert ratios["profile"] == pytest.approx(0.09, abs=0.01) and ratios["helix"] == pytest.approx(0.13, abs=0.01)
    assert deviations(0.002, 0.080, 0.020, 7)["helix"] == pytest.approx(2 * new["helix"], rel=1e-12)
    assert np.isclose(new["profile"], np.hypot(new["profile slope"], new["profile form"]))
