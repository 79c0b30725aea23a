"""Growth of warm parts and fits that are lost by it, against closed forms; refusals in one sentence."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core import load_design, plays
from vmech_core.base.errors import InputError
from vmech_core.case import Case
from vmech_core.plays import fits, heat

ENGINE = Path(__file__).resolve().parents[2] / "data" / "first_sketch.toml"


def test_a_press_fit_in_aluminium_is_lost_and_in_steel_kept():
    """80 mm, 80 K: the seat grows by (21.5 - 11.5) x 80 x 80 = 64 um more than the ring; H7/p6 holds 2 to 51 um."""
    cold, hot = heat.seat_interference(0.080, "H7/p6", "aluminium", 80.0, 80.0)
    assert 1e6 * np.array([cold, hot]) == pytest.approx(np.array([[2, 51], [-62, -13]]), abs=1e-6)
    assert heat.seat_interference(0.080, "H7/p6", "steel", 80.0, 80.0)[1] == pytest.approx(cold)


def seized():
    engine = Case(load_design(ENGINE), 31)
    return plays.warmed(engine.dry_elastic, engine.design, heat.scaled(plays.heat_of(engine.design), 3.3))


@pytest.mark.parametrize(("act", "sentence"), [
    (lambda: fits.fit(0.04, "H7/q7"), "fit = 'H7/q7' is not of the form H7/f7"),
    (lambda: fits.tolerance(0.6, 7), "size = '600' is outside 0 to 500 mm."),
    (lambda: fits.tolerance(0.1, 2), "grade = 2 is not one of 4, 5, 6, 7, 8, 9."),
    (lambda: heat.growth("wood", 1.0, 1.0), "material = 'wood' is not one of aluminium"),
    (seized, "bore_clearance = '-9.5' is used up when warm: the parts seize; not above 0 µm."),
])
def test_bad_input_gets_one_sentence(act, sentence):
    with pytest.raises(InputError) as error:
        act()
    assert sentence in str(error.value)
