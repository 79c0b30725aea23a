"""One bearing by itself: what it refuses, where it begins, and rollers in its place.

That windows side by side give the film of one long march is tested with the live scene, in tests/show.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vmech_core import InputError, assess, load_design
from vmech_core.bearings import alone, films, oils, rollers, seats

DESIGN = load_design(Path(__file__).resolve().parents[2] / "data" / "first_sketch.toml")


@pytest.fixture(scope="module")
def seat():
    """Crank in carrier, end that drives, with 180 samples."""
    a = assess(DESIGN, 181)
    found = seats.straight(DESIGN, a.drive, films.with_ends(DESIGN, a.drive, a.loads))
    return replace(found[alone.one_of_each(found)[seats.STRAIGHT, "crank_in_carrier"]], kind="journal")


def _balanced(seat, start=None):
    return alone.balance(seat, DESIGN, oils.oil(DESIGN.lubricant.grade), 363.0, period=0.04, start=start)


def test_the_balance_does_not_depend_on_where_it_began(seat):
    cold = _balanced(seat)
    elsewhere = cold._replace(path=np.full(180, 0.5j), temperature=400.0)
    again = _balanced(seat, elsewhere)
    assert cold.settled and again.settled
    assert again.temperature == pytest.approx(cold.temperature, abs=1.0)
    assert again.film == pytest.approx(cold.film, rel=0.02)
    assert again.loss == pytest.approx(cold.loss, rel=0.02)


def test_samples_that_cannot_be_cut_into_windows_are_refused(seat):
    short = replace(seat, load=seat.load[:100], journal_speed=seat.journal_speed[:100],
                    sleeve_speed=seat.sleeve_speed[:100])
    with pytest.raises(InputError, match="samples = 100 is not a multiple of 12"):
        _balanced(short)


def test_rollers_in_its_place_are_those_of_the_tables(seat):
    """Rating life again from its definition: a million turns of (C/P)^(10/3), at the mean relative speed."""
    found, bearing = alone.on_rollers(seat, 1e-5, 314.0), rollers.estimate(seat.diameter, seat.length)
    turn = np.abs(seat.journal_speed - seat.sleeve_speed)
    equal = np.mean(turn * np.abs(seat.load) ** (10 / 3) / turn.mean()) ** 0.3
    life = 1e6 * (bearing.dynamic_rating / equal) ** (10 / 3) * 2.0 * np.pi / turn.mean()
    assert found.life == pytest.approx(life, rel=1e-6) and found.count == int(bearing.count)
    assert found.kind in ("needle", "cylindrical") and found.loss > 0.0
    assert found.cage_force > 0.0  # the bearing goes round with the carrier
