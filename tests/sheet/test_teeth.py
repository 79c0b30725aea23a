"""Failure pressure of the teeth against the screen itself at that pressure; contact stress against ISO's factors."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.base.errors import InputError
from vmech_core.case import Case
from vmech_core.gears import SAFETY, InternalPair, contact_stress, load_at_limit, rate
from vmech_core.sheet import along_cycle, failure_pressures, rated_teeth, rating_margins
from vmech_core.sheet.rated import LEVELS, worst
from vmech_core.show import gear_scene

DATA = Path(__file__).resolve().parents[2] / "data"


@pytest.mark.parametrize("name", ["v_twin_generator", "star_pump", "air_compressor"])
def test_the_screen_stands_at_its_limit_at_the_failure_pressure(name):
    """The whole case again with its trace scaled to that pressure: stress is the limit, rel 1e-9."""
    a = assess(load_design(DATA / f"{name}.toml"), 721)
    back = a.design.duty.si.crankcase_pressure
    for k, failure in enumerate(failure_pressures(a)):
        trace = replace(a.gas_trace, pressure=back + failure.load * (a.gas_trace.pressure - back))
        at = replace(a, trace=trace)
        assert trace.pressure.max() == pytest.approx(failure.pressure, rel=1e-12)
        assert at.bending[k].value == pytest.approx(at.bending[k].limit, rel=1e-9)
        worse = np.abs(at.ends["mesh_end"]).max(axis=1)
        assert worse.argmax() + 1 == failure.end
        assert (failure.load < 1.0) == (not a.bending[k].ok)


def test_factor_on_a_load_by_hand():
    """F0 = 1, F1 = 3: 11 at s = 5; F0 = -2, F1 = -4: -11 at s = 4.5; past the limit at rest: 0; no load reaches it."""
    assert load_at_limit([1.0, -2.0], [3.0, -4.0], 11.0) == pytest.approx(4.5)
    assert load_at_limit([1.0, 0.0], [3.0, 0.0], 11.0) == pytest.approx(5.0)
    assert load_at_limit([12.0, 0.0], [3.0, 0.0], 11.0) == 0.0
    assert load_at_limit([1.0, 2.0], [1.0, 2.0], 11.0) == np.inf


@pytest.mark.parametrize("pair", [InternalPair(0.0015, 23, 46, np.radians(20.0)),
                                  InternalPair(0.002, 16, 32, np.radians(25.0))])
def test_contact_stress_is_that_of_iso_6336_2(pair):
    """Z_H Z_E sqrt(F / (d1 b) (u - 1) / u), Z_E = 189.8 sqrt(MPa) for steel on steel of 206 GPa (from memory); 1e-3."""
    alpha, force, width = pair.pressure_angle, 3000.0, 0.03
    zone = np.sqrt(2.0 / (np.cos(alpha) ** 2 * np.tan(alpha)))
    diameter = pair.module * pair.pinion_teeth
    expected = zone * 189.8e3 * np.sqrt(force / (diameter * width) * 0.5)
    assert contact_stress(pair, force, width, 206e9, 206e9) == pytest.approx(expected, rel=1e-3)


def test_the_sheet_prints_both():
    text = assess(load_design(DATA / "v_twin_generator.toml"), 721).report()
    assert "pinion root at its limit" in text and "Hertz" in text


@pytest.mark.parametrize("level", LEVELS)
def test_the_worse_end_is_rated_at_its_worst_angle(level):
    """No angle of either end has less spare safety, each rated alone with the misalignment there."""
    case = assess(load_design(DATA / "v_twin_generator.toml"), 181)
    ends = rated_teeth(case, level)
    spare = [min(one.rating.S_F.min() / SAFETY[0], one.rating.S_H.min() / SAFETY[1]) for one in ends]
    assert int(np.argmin(spare)) + 1 == 2 and abs(ends[1].force) <= np.abs(case.ends["mesh_end"][1]).max()
    face, force = case.design.gear_pair.si.face_width, case.ends["mesh_end"][1]
    heavy = np.sign(force[np.abs(force).argmax()])
    peaks = np.array([(heavy * force).max(), (-heavy * force).max()])
    for i in np.flatnonzero(np.abs(force) > 0.06 * peaks[0])[::9]:
        size = np.abs(force[i])
        lighter = peaks[1] / peaks[0] if heavy * force[i] > 0 else 1.0
        duty = replace(ends[1].duty, misalignment=float(ends[1].tilt[i]))
        found = rate(case.design.pair, face, np.array([size, size * lighter]), ends[1].steels, duty)
        assert min(found.S_F.min() / SAFETY[0], found.S_H.min() / SAFETY[1]) >= spare[1] * (1.0 - 1e-9)


def test_the_sketch_fails_and_the_sized_engine_passes():
    """Worse from level to level without a correction; the sketch fails root and flank, the sized one has 1.4 and 1.1 at
    every level: its correction fits the likely tilt, so that a stiff and a soft crank are both worse than that."""
    sketch, sized = (assess(load_design(DATA / f"{name}.toml"), 361) for name in ("first_sketch", "v_twin_generator"))
    roots = [[worst(case, level).rating.S_F.min() for level in LEVELS] for case in (sketch, sized)]
    plain = [rated_teeth(sized, level, correct=0.0)[1].rating.S_F.min() for level in LEVELS]
    assert all(a > b > c for a, b, c in (roots[0], plain)) and roots[0][0] < 1.0 and min(roots[1]) >= SAFETY[0]
    assert plain[1] < roots[1][1] == max(roots[1])
    assert all(margin.ok for margin in rating_margins(sized)) and not any(m.ok for m in rating_margins(sketch))


def test_a_wooden_wheel_is_no_gear_steel():
    case = assess(load_design(DATA / "desk_model.toml"), 181)
    with pytest.raises(InputError, match="no gear steel"):
        rated_teeth(case)
    assert case.stage("rating") == {}


def test_rating_along_the_cycle_holds_the_worst_angle_and_feeds_the_panel():
    """At the worst angle of an end the rating of every angle has its stress; the panel's tooth stays below it."""
    case = Case(load_design(DATA / "v_twin_generator.toml"), 721)
    one = rated_teeth(case)[1]
    along, at = along_cycle(case, one), int(np.abs(case.angle - one.angle).argmin())
    assert along.root_stress[at] == pytest.approx(one.rating.root_stress)
    scene = gear_scene.RollingScene(load_design(DATA / "v_twin_generator.toml"))
    scene.update(tooth=15)
    assert 0.9 < scene.peak / one.rating.root_stress[0] < 1.0
    before = scene.peak
    scene.update(tooth=15, correction_um=0.0)
    assert scene.peak > 1.2 * before
