"""The choice of a pair: every fit passes on its own, one face less does not, and the refused are refused for cause."""

import time
from dataclasses import replace

import numpy as np
import pytest

from vmech_core import gears
from vmech_core.base import InputError
from vmech_core.gears import choice
from vmech_core.gears.involute import shift_difference
from vmech_core.gears.screens import margins

FORCE = np.array([6000.0, 1500.0])
STEELS = gears.tooth_steel("case-hardened steel"), gears.tooth_steel("nitrided steel")
DUTY = gears.ToothDuty(carrier_speed=314.0, life=7.2e6)


def spare(fit, face, slope):
    """Least safety over the one wanted, by the rating of that pair alone."""
    duty = replace(DUTY, misalignment=slope * face)
    found = gears.rate(fit.pair, face, FORCE, STEELS, duty)
    return min(found.S_F.min() / gears.SAFETY[0], found.S_H.min() / gears.SAFETY[1])


@pytest.mark.parametrize("slope", [0.0, 4e-4])
def test_every_fit_passes_alone_and_one_face_less_does_not(slope):
    """Screens of ``check_pair`` with tips for hardened teeth, the stroke to 1 nm, the rating, and both sides of it."""
    made = gears.choose(0.080, FORCE, STEELS, DUTY, slope)
    assert len(made.fits) > 5 and len(made.refused) > 5
    assert [fit.volume for fit in made.fits] == sorted(fit.volume for fit in made.fits)
    for fit in made.fits:
        assert fit.pair.stroke == pytest.approx(0.080, abs=1e-9)
        assert all(margin.ok for margin in gears.check_pair(fit.pair, choice.TIP))
        assert fit.pair.ring_fillet == pytest.approx(fit.pair.module * fit.pair.ring_fillet_radius, rel=1e-9)
        assert spare(fit, fit.face_width, slope) >= 1.0
        step = fit.face_width - fit.pair.module
        assert step < 4.99 * fit.pair.module or spare(fit, step, slope) < 1.0


def test_no_variant_of_a_refused_pair_passes():
    """All shifts and heights tried again one by one: a screen fails, or no face stands the force."""
    made = gears.choose(0.080, FORCE, STEELS, DUTY, 1e-3)
    assert made.refused
    for no in made.refused[::6]:
        for shift in choice.SHIFTS:
            apart = shift_difference(0.020, no.module, no.teeth, 2 * no.teeth, no.pressure_angle)
            row = (no.module, no.teeth, no.pressure_angle, float(apart), shift, 1.0)
            pair = choice._pairs(*(np.array([value]) for value in row), 0.0)
            one = choice._taken(pair, 0)
            if one.ring_fillet_radius >= choice.LEAST_FILLET and all(
                    margin.ok for margin in gears.check_pair(one, choice.TIP)):
                fit = choice.Fit(one, 0.0, None, None, 1.0, 1.0, 1.0)
                widest = 2.4 * one.pinion_radius
                assert max(spare(fit, face, 1e-3) for face in np.arange(5.0, 21.0) * one.module if face <= widest) < 1.0
                assert no.reason.startswith("too weak")
        assert no.reason.startswith("too weak") or no.reason.split(",")[0] in (*margins(one), "ring fillet")


def test_a_larger_force_or_tilt_never_makes_a_pair_smaller():
    def faces(force, slope):
        made = gears.choose(0.080, force, STEELS, DUTY, slope)
        return {(f.pair.module, f.pair.pinion_teeth, f.pair.pressure_angle): f.volume for f in made.fits}

    base, loaded, leaning = faces(FORCE, 0.0), faces(1.2 * FORCE, 0.0), faces(FORCE, 3e-4)
    for more in (loaded, leaning):
        assert set(more) <= set(base) and all(more[key] >= base[key] - 1e-12 for key in more)


def test_the_table_takes_half_a_second_and_shows_every_pair():
    made = gears.choose(0.080, FORCE, STEELS, DUTY, 4e-4)
    start = time.process_time()
    gears.choose(0.080, FORCE, STEELS, DUTY, 4e-4)
    assert time.process_time() - start < 0.5
    assert len(str(made).splitlines()) == 1 + len(made.fits) + len(made.refused)


@pytest.mark.parametrize("stroke", [0.0, -1.0, 0.0001])
def test_a_stroke_that_nothing_gives_is_refused(stroke):
    with pytest.raises(InputError, match="stroke"):
        gears.choose(stroke, FORCE, STEELS, DUTY)
