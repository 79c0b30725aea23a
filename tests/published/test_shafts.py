"""Topic 3 of the teeth and shafts: published fatigue of shafts (rows G-24 to G-33); expected values with sources."""

import numpy as np
import pytest
from scipy.optimize import brentq

from vmech_core.base import tables
from vmech_core.size import criteria, fatigue

INCH, KPSI, POUND_INCH = 0.0254, 6.894757e6, 0.1129848


@pytest.mark.row("G-24")
@pytest.mark.parametrize("name, inches", [("gerber", 1.016), ("elliptic", 1.012), ("soderberg", 1.090),
                                          ("goodman", 1.073)])
def test_diameter_of_a_shaft_by_four_criteria(name, inches):
    """Budynas and Nisbett, 8th edition, solution 7-1: both stresses carry their notch factors, safety 2."""
    parts = [np.sqrt(4.0 * (2.2 * bending) ** 2 + 3.0 * (1.8 * twist) ** 2) * POUND_INCH
             for bending, twist in ((600.0, 400.0), (500.0, 300.0))]

    def spare(d):
        stress = [16.0 * part / (np.pi * d**3) for part in parts]
        return getattr(criteria(*stress, 30.0 * KPSI, 100.0 * KPSI, 80.0 * KPSI), name) - 2.0

    assert brentq(spare, 0.01, 0.1) / INCH == pytest.approx(inches, abs=6e-4)


def test_safety_of_a_shaft_by_four_criteria():
    """Budynas and Nisbett, example 7-1 (from memory): 1.1 in, bending 1260 lbf in reversed with 1.58, twist 1100 lbf in
    steady with 1.37, 29.3, 105 and 82 kpsi: 1.62, 1.87, 1.88, 1.56, rounded on the way. No stress at all is safe."""
    unit = 16.0 / (np.pi * (1.1 * INCH) ** 3) * POUND_INCH
    stress = 2.0 * 1.58 * 1260.0 * unit, np.sqrt(3.0) * 1.37 * 1100.0 * unit
    found = criteria(*stress, 29.3 * KPSI, 105.0 * KPSI, 82.0 * KPSI)
    assert found == pytest.approx((1.62, 1.87, 1.88, 1.56), rel=6e-3)
    assert criteria(0.0, 0.0, 2e8, 6e8, 4e8) == (np.inf,) * 4
    assert criteria(0.0, 1e8, 2e8, 6e8, 4e8) == pytest.approx((6.0, 6.0, 4.0, 4.0))


@pytest.mark.row("G-25")
def test_diameter_of_a_shaft_under_fluctuating_bending_and_twist():
    """Bhandari, Example 5.20: bending from 200 to 600 N m, twist from 70 to 200 N m, modified Goodman, safety 2."""
    def spare(d):
        unit = 16.0 / (np.pi * d**3)
        stress = [unit * np.sqrt(4.0 * b**2 + 3.0 * t**2) for b, t in ((200.0, 65.0), (400.0, 135.0))]
        return criteria(*stress, 200e6, 540e6, 400e6).goodman - 2.0

    assert brentq(spare, 0.01, 0.1) == pytest.approx(33.287656e-3, rel=1e-6)


@pytest.mark.row("G-28")
def test_notch_sensitivity_of_a_fillet():
    """Budynas and Nisbett, Example 6-6: 690 MPa, radius 3 mm, K_t 1.65."""
    found = fatigue._notch(1.65, 690e6, 3e-3)
    assert found == pytest.approx(1.55, abs=5e-3)
    assert (found - 1.0) / 0.65 == pytest.approx(0.8468, rel=1e-3)
    assert fatigue._notch(2.0, 690e6, 3e-3, True) - 1.0 == pytest.approx(0.8792, rel=1e-3)


@pytest.mark.row("G-29")
@pytest.mark.parametrize("ratio, factor", [(1.2, 1.6039), (1.5, 1.7376), (2.0, 1.7557)])
def test_bending_of_a_stepped_shaft(ratio, factor):
    """Norton's fits to Peterson at a radius of a tenth."""
    assert fatigue._shoulder(ratio, 0.1, "bending") == pytest.approx(factor, rel=1e-4)


@pytest.mark.row("G-28")
def test_the_fit_agrees_with_the_chart_of_the_same_example():
    """D 38, d 32, radius 3 mm: the book reads 1.65 off its chart, the fit gives 1.632."""
    assert fatigue._shoulder(38.0 / 32.0, 3.0 / 32.0, "bending") == pytest.approx(1.65, rel=0.02)


@pytest.mark.row("G-30")
@pytest.mark.parametrize("radius, chart", [(0.15, 1.33), (0.25, 1.20)])
def test_twist_of_a_stepped_shaft(radius, chart):
    """Beer and Johnston, Sample Problem 3.6, reads its chart; the fit is known to lie within 3 %."""
    assert fatigue._shoulder(2.0, radius, "torsion") == pytest.approx(chart, rel=0.03)


@pytest.mark.row("G-33")
@pytest.mark.parametrize("tensile, d, radius, grain, strength", [(700, 60, 3.0, 1.0, 305.34),
                                                                 (900, 40, 2.5, 1.05, 390.56)])
def test_strength_of_a_crank_by_the_marine_rule(tensile, d, radius, grain, strength):
    """IACS UR M53 section 6, read in a class note; numbers worked by hand from it."""
    found = fatigue._rule_strength(tensile * 1e6, d * 1e-3, radius * 1e-3, grain)
    assert found == pytest.approx(strength * 1e6, rel=1e-4)


def test_strength_of_a_ground_part_by_hand():
    """Factors of tables 6-2 and 6-5 and of size of Budynas and Nisbett, multiplied by hand: 690 MPa, 32 and 60 mm:
    0.9065 x 0.8558 x 0.814 x 345 and 0.9065 x 0.7940 x 0.814 x 345."""
    for diameter, strength in ((0.032, 217.9e6), (0.060, 202.1e6)):
        assert fatigue._limit(690e6, diameter) == pytest.approx(strength, rel=1e-3)


def test_fillets_of_a_web_by_the_marine_rule_lie_where_others_put_them():
    """Coefficients from memory, so only their trend and size are asked: IACS UR M53 gives factors of 2 to 5 for common
    cranks; a smaller fillet, a thinner overlap or a wider web may not soothe the fillet of a pin."""
    usual = dict(overlap=0.2, thick=0.35, wide=1.4, radius=0.05)
    bent, twisted = fatigue._web_fillet("pin", **usual)
    assert 2.0 < bent < 5.0 and 1.2 < twisted < 3.0
    assert fatigue._web_fillet("pin", **usual | {"radius": 0.035})[0] > 1.1 * bent
    assert fatigue._web_fillet("pin", **usual | {"overlap": -0.1})[0] > bent
    assert fatigue._web_fillet("journal", **usual | {"radius": 0.035})[0] > 1.1 * fatigue._web_fillet(
        "journal", **usual)[0]


def test_steels_stand_as_their_table_says():
    found = tables.rows("shaft_steels")
    assert all(float(one["yield_MPa"]) < float(one["tensile_MPa"]) and one["source"] and one["status"] for one in found)
