"""Seals, oil pump, valve train, pumping and the published total against definitions and rules of the trade."""

import numpy as np
import pytest
from scipy.integrate import quad

from vmech_core.base.errors import InputError
from vmech_core.friction import accessories

SPEED = 100.0 * np.pi
VOLUME = 0.25 * np.pi * 0.063**2 * 0.069


def test_every_coefficient_has_a_range_and_says_where_it_comes_from():
    assert len(accessories.OWN) == 7
    for name, part in accessories.OWN.items():
        assert part.low < part.likely < part.high and part.estimated, name
        assert "from memory" in part.basis or "common practice, no source" in part.basis, name


@pytest.mark.parametrize(("turns", "rule"), [(2, 1200.0), (1, 600.0)])
def test_friction_pressure_by_the_rule_of_the_trade(turns, rule):
    """kW = bar x litre x rpm / 1200, two-stroke 600 (common practice, no source)."""
    power = 1e3 * 8.0 * 0.43 * 3000.0 / rule
    assert accessories.friction_pressure(power, 0.43e-3, SPEED, turns) == pytest.approx(8e5, rel=1e-12)


@pytest.mark.parametrize(
    ("values", "field"), [((0.0, SPEED), "displacement"), ((VOLUME, np.array([3.0, -2.0])), "speed")]
)
def test_no_mean_pressure_without_volume_or_speed(values, field):
    with pytest.raises(InputError, match=f"{field} = .* is not above 0"):
        accessories.friction_pressure(1.0, *values, 2)
    with pytest.raises(InputError, match=field):
        accessories.valve_train_power(*values)


def test_valve_train_follows_its_range():
    """Ends of the range at 1,000 and 6,000 rpm, a straight line between on logarithmic axes; half as much in one of
    half the size. Likely 2 to 20 % of the published total (shares of the valve train, from memory)."""
    speed = np.array([1000.0, np.sqrt(6e6), 6000.0]) * np.pi / 30.0
    both = (accessories.OWN[name] for name in ("valve_slow", "valve_fast"))
    for slow, fast in zip(*((e.low, e.likely, e.high) for e in both)):
        power = accessories.valve_train_power(VOLUME, speed, slow, fast)
        found = accessories.friction_pressure(power, VOLUME, speed, 2)
        assert found == pytest.approx([slow, np.sqrt(slow * fast), fast], rel=1e-9)
        assert accessories.valve_train_power(0.5 * VOLUME, speed, slow, fast) == pytest.approx(0.5 * power)
        assert 0.01e5 < found[-1] < found[0] < 0.3 * accessories.barnes_moss(speed[0])
    likely = accessories.friction_pressure(accessories.valve_train_power(VOLUME, speed), VOLUME, speed, 2)
    assert np.all((likely > 0.02 * accessories.barnes_moss(speed)) & (likely < 0.2 * accessories.barnes_moss(speed)))


def test_pumping_of_the_ideal_loop():
    """Exhaust less inlet pressure: J. B. Heywood, chapter 5 (from memory); a supercharged engine gains by it."""
    volume = 1e-3 * (1.2 + np.cos(np.linspace(0.0, 2.0 * np.pi, 2001)))
    out = np.arange(2001) <= 1000
    wide = accessories.pumping_pressure(volume, np.where(out, 1.08e5, 0.95e5))
    assert wide == pytest.approx(0.13e5, rel=1e-3)
    loops = np.stack([np.where(out, 1.1e5, 0.4e5), np.where(out, 1.2e5, 1.6e5), np.full(2001, 1e5)])
    assert accessories.pumping_pressure(volume, loops) == pytest.approx([0.7e5, -0.4e5, 0.0], rel=1e-3, abs=1e-6)


def test_seal_by_summing_its_circumference():
    """A lip pressed on by a force over its length: friction times radius, summed by SciPy. Catalogues show 30 to 60 W
    for one of 40 mm at 3,000 rpm (from memory)."""
    torque, _ = quad(lambda angle: 0.3 * 120.0 * 0.02 * 0.02, 0.0, 2.0 * np.pi)
    assert accessories.seal_power(0.04, -SPEED, 120.0, 0.3, 3) == pytest.approx(3.0 * torque * SPEED)
    one = accessories.seal_power(0.04, SPEED, count=1)
    line, rubs = accessories.OWN["seal_line"], accessories.OWN["seal_friction"]
    ends = [accessories.seal_power(0.04, SPEED, *each, 1) for each in ((line.low, rubs.low), (line.high, rubs.high))]
    assert 20.0 < one < 60.0 and 5.0 < ends[0] < one < ends[1] < 100.0


def test_pump_by_the_rule_of_the_trade():
    """kW = litre/min x bar / 600 for a pump without loss (common practice, no source)."""
    perfect = accessories.oil_pump_power(12e-3 / 60.0, 5e5, 1.0, 1.0)
    assert perfect == pytest.approx(1e3 * 12.0 * 5.0 / 600.0)
    assert accessories.oil_pump_power(12e-3 / 60.0, 5e5, 0.4, 1.5) == pytest.approx(1.5 / 0.4 * perfect)
    assert accessories.oil_pump_power(12e-3 / 60.0, 5e5) == pytest.approx(perfect * 2.0 / 0.45)
