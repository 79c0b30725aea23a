"""Failure pressure of the teeth against the screen itself at that pressure; contact stress against ISO's factors."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.base.errors import InputError
from vmech_core.gears import InternalPair, contact_stress, load_at_limit, rate
from vmech_core.sheet import failure_pressures, tooth_loads

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


@pytest.mark.parametrize("shared", [False, True])
def test_what_a_rating_is_given_of_a_case(shared):
    """The worse end and its own peaks; a softer crank and bearings that give way tilt more. The sketch
    fails with a soft crank and lasts with a stiff one."""
    case = assess(load_design(DATA / "v_twin_generator.toml"), 721)
    force = (case.few if shared else case.ends)["mesh_end"]
    found = [tooth_loads(case, web, seats, shared) for web, seats in (("high", False), ("low", False), ("low", True))]
    assert found[0].end == 2 and found[0].peaks == pytest.approx([force[1].max(), -force[1].min()])
    tilts = [own.duty.tilt for own in found]
    assert tilts[0] < tilts[1] < tilts[2] and tilts[1] == pytest.approx(10.0 * tilts[0])
    assert all(own.misalignment.min() < 0.0 < own.misalignment.max() for own in found)
    assert (found[0].duty.dynamic > 1.0) == shared
    face = case.design.gear_pair.si.face_width
    safe = [rate(case.design.pair, face, own.peaks, own.steels, own.duty).S_F.min()
            for own in (*found, found[0]._replace(duty=replace(found[0].duty, tilt=0.0, dynamic=1.0)))]
    assert safe[2] < safe[1] < 1.0 < safe[0] < safe[3]


def test_a_wooden_wheel_is_no_gear_steel():
    with pytest.raises(InputError, match="no gear steel"):
        tooth_loads(assess(load_design(DATA / "desk_model.toml"), 181), shared=False)
