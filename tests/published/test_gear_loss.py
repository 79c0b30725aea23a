"""Topic 7, losses of gear teeth: published closed forms."""

import numpy as np
import pytest

from vmech_core.gears import loss

COS = np.cos(np.radians(20.0))


@pytest.mark.row("T07-017")
def test_ohlendorf_factor_of_an_external_pair():
    """Niemann and Winter, vol. 2: 20 and 40 teeth, 20 degrees, full depth; rel 1e-5. Numbers derived from the form."""
    z = np.array([20.0, 40.0])
    half_path = np.sqrt((z / 2 + 1) ** 2 - (z * COS / 2) ** 2) - z / 2 * np.sqrt(1 - COS**2)
    first, second = half_path / (np.pi * COS)  # beyond the pitch point, at the tip of each gear
    assert (first, second) == pytest.approx((0.77842, 0.85677), rel=1e-5)
    assert first + second == pytest.approx(1.63519, rel=1e-5)
    shape = 1.0 - first - second + first**2 + second**2
    assert np.pi * (1 / 20 + 1 / 40) * shape == pytest.approx(0.166065, rel=1e-5)
    assert loss.loss_factor(20, 40, second, first) == pytest.approx(0.166065, rel=1e-5)


@pytest.mark.row("T07-020")
def test_schlenk_friction():
    """Niemann and Winter, vol. 2: 0.048 and the exponents, in N/mm, m/s, mm, mPa s and micrometres."""
    unit = (1e3, 1.0, 1e-3, 1e-3, 1e-6, 1.0)
    assert loss.schlenk(*unit) == pytest.approx(0.048)
    for place, exponent in enumerate((0.2, -0.2, -0.2, -0.05, 0.25, 1.0)):
        doubled = [value * (2.0 if k == place else 1.0) for k, value in enumerate(unit)]
        assert loss.schlenk(*doubled) == pytest.approx(0.048 * 2.0**exponent)
