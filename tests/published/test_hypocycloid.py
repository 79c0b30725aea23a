"""Topic 2, 2:1 hypocycloid: published and closed-form values against the core."""

import numpy as np
import pytest

from vmech_core.machine import hypocycloid, train

ANGLE = np.linspace(0.0, 2.0 * np.pi, 721)


def single(stroke, speed):
    """One cylinder on the real axis."""
    return hypocycloid.HypocycloidDrive(stroke, np.zeros(1), np.ones(1), speed, 0.35)


@pytest.mark.row("T02-001")
def test_rim_point_runs_on_a_diameter():
    """MathWorld, "Tusi Couple": the 2:1 hypocycloid is a diameter of the fixed circle."""
    path = train.pin_path(ANGLE, 1.0, 1.0, bank_angle=np.radians(40.0)) * np.exp(-1j * np.radians(40.0))
    assert np.abs(path.imag).max() < 1e-15
    assert path.real.max() == pytest.approx(2.0, abs=1e-12)
    assert path.real.min() == pytest.approx(-2.0, abs=1e-12)


@pytest.mark.row("T02-002")
@pytest.mark.parametrize("pin", [0.2, 0.8, 1.5])
def test_other_points_run_on_ellipses(pin):
    """J. Wilson, EMT 725, University of Georgia: every hypotrochoid of the 2:1 pair is an ellipse."""
    path = train.pin_path(ANGLE, 1.0, pin, phase=0.3)
    major, minor, tilt = train.path_ellipse(1.0, pin, 0.3)
    own = path * np.exp(-1j * tilt)
    assert (own.real / major) ** 2 + (own.imag / minor) ** 2 == pytest.approx(1.0, abs=1e-12)


@pytest.mark.row("T02-004")
@pytest.mark.row("T02-005")
@pytest.mark.parametrize(("pin", "axes"), [(10.0, (35.0, 15.0)), (25.0, (50.0, 0.0))])
def test_semi_axes(pin, axes):
    """Cardan circles, closed form: semi-axes r + d and |r - d|; 1e-12. Measured on the path as well."""
    assert train.path_ellipse(25.0, pin)[:2] == pytest.approx(axes, abs=1e-12)
    reach = np.abs(train.pin_path(ANGLE, 25.0, pin))
    assert (reach.max(), reach.min()) == pytest.approx(axes, abs=1e-12)


@pytest.mark.row("T02-007")
def test_position_velocity_acceleration():
    """Closed form for r = 25 mm at 3000 rev/min and 60 deg: 25 mm, -13.6034952 m/s, -2467.4011 m/s2; rel 1e-7."""
    motion = hypocycloid.motion(single(0.100, 314.159265), np.radians([60.0]))
    assert motion.position[0, 0] == pytest.approx(0.025, rel=1e-7)
    assert motion.velocity[0, 0] == pytest.approx(-13.6034952, rel=1e-7)
    assert motion.acceleration[0, 0] == pytest.approx(-2467.4011, rel=1e-7)
    harmonics = np.abs(np.fft.rfft(hypocycloid.motion(single(0.1, 1.0), ANGLE[:-1]).position[0]))
    assert np.delete(harmonics, 1).max() < 1e-12 * harmonics[1]


@pytest.mark.row("T02-008")
def test_speed_of_the_planet():
    """Willis equation at ratio 2: -1000 rev/min in space, -2000 against the carrier; exact."""
    assert train.speeds(1000.0, 2.0) == (-1000.0, -2000.0)
    step = 1e-6  # and the core's own path turns the pin about C at that speed
    arm = [train.pin_path(np.array([t]), 1.0, 1.0) - np.exp(1j * t) for t in (0.4, 0.4 + step)]
    assert np.angle(arm[1] / arm[0])[0] / step == pytest.approx(-1.0, abs=1e-6)


@pytest.mark.row("T02-009")
def test_sinusoid_ratios():
    """Sinusoid: top over mean speed 1.5707963, half the stroke at 90 deg; 1e-7."""
    drive = single(0.1, 1.0)
    fine = hypocycloid.motion(drive, np.linspace(0.0, np.pi, 100_001))
    mean = 2.0 * 0.1 / (2.0 * np.pi)
    assert np.abs(fine.velocity).max() / mean == pytest.approx(1.5707963, abs=1e-7)
    assert (0.05 - hypocycloid.motion(drive, np.array([np.pi / 2])).position[0, 0]) / 0.1 == pytest.approx(
        0.5, abs=1e-12
    )
