"""Topic 12: published limits of ISO 286, the standard's own formulas and expansion against the tables of the core.

The rows were computed with the library pressfit 0.1.0, whose tables were entered from the standard; they are asserted
exactly.
"""

import numpy as np
import pytest

from vmech_core.plays import fits
from vmech_core.plays import heat as thermal

STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
MIDDLES = np.sqrt(np.array(STEPS[:-1], dtype=float) * np.array(STEPS[1:]))


@pytest.mark.row("T12-016")
@pytest.mark.row("T12-007")
@pytest.mark.row("T12-013")
@pytest.mark.parametrize(
    ("size_mm", "hole", "shaft", "play"),
    [(25, (0, 21), (-41, -20), (20, 62)), (40, (0, 25), (-50, -25), (25, 75)), (63, (0, 30), (-60, -30), (30, 90))],
)
def test_limits_of_a_running_fit(size_mm, hole, shaft, play):
    """ISO 286-2, H7/f7; exact in micrometres."""
    found = fits.fit(1e-3 * size_mm, "H7/f7")
    for got, stated in ((found.hole, hole), (found.shaft, shaft), (found.play, play)):
        assert 1e6 * np.array(got) == pytest.approx(stated, abs=1e-6)


@pytest.mark.parametrize(("grade", "units"), [(5, 7), (6, 10), (7, 16), (8, 25), (9, 40)])
def test_standard_tolerances_follow_the_formula_of_the_standard(grade, units):
    """ISO 286-1 (from memory): i = 0.45 D^(1/3) + 0.001 D um at the geometric mean of the step; the printed table is
    rounded, by up to 0.8 um or 3 %. Below 3 mm the printed values lie up to 3.5 um above and are not tested."""
    formula = units * (0.45 * np.cbrt(MIDDLES) + 0.001 * MIDDLES)
    table = [1e6 * fits.tolerance(1e-3 * middle, grade) for middle in MIDDLES]
    assert np.all(np.abs(table - formula) <= np.maximum(0.8, 0.03 * formula))


@pytest.mark.parametrize(("letter", "factor", "power"), [("d", 16, 0.44), ("e", 11, 0.41), ("f", 5.5, 0.41),
                                                         ("g", 2.5, 0.34), ("n", -5, 0.34)])  # fmt: skip
def test_deviations_follow_the_formula_of_the_standard(letter, factor, power):
    """ISO 286-1, fundamental deviations (from memory), above 3 mm; rounding up to 0.9 um or 3 %."""
    formula = factor * MIDDLES**power
    at = [fits.fit(1e-3 * middle, f"H7/{letter}7").shaft for middle in MIDDLES]
    near = [-1e6 * (shaft[1] if letter < "h" else shaft[0]) for shaft in at]
    assert np.all(np.abs(near - formula) <= np.maximum(0.9, 0.03 * np.abs(formula)))


@pytest.mark.parametrize(("size_mm", "play"), [(30, (7, 41)), (30.001, (9, 50))])
def test_a_size_on_the_edge_belongs_to_the_smaller_step(size_mm, play):
    """Steps are above, up to and including (ISO 286-1); H7/g6 at 30 mm: 7 to 41 um (handbook value, from memory)."""
    assert 1e6 * np.array(fits.fit(1e-3 * size_mm, "H7/g6").play) == pytest.approx(play, abs=1e-6)


def test_a_press_fit_has_negative_play():
    """H7/p6 at 80 mm: 2 to 51 um interference (handbook value, from memory)."""
    assert -1e6 * np.array(fits.fit(0.080, "H7/p6").play) == pytest.approx((51, 2), abs=1e-6)


@pytest.mark.row("T12-006")
@pytest.mark.parametrize(("material", "stated"), [("aluminium", 21.5), ("grey iron", 11.4), ("bronze", 18.0)])
def test_expansion_is_that_of_the_table(material, stated):
    """Callister, table B.6: aluminium 356, grey iron, bronze C93200, per million and K; the row has four more metals
    that the core does not use. One metre, one kelvin: micrometres."""
    assert 1e6 * thermal.growth(material, 1.0, 1.0) == pytest.approx(stated, rel=1e-9)
