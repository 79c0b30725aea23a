"""Units and the one formatter of numbers; sizes over a cycle."""

import numpy as np
import pytest

from vmech_core.base.cycle import peak, rms
from vmech_core.base.units import from_si, show, to_si


def test_numbers_are_written_with_four_figures_and_a_unit():
    assert [show(v, "N") for v in (0.0, 1e-13, 12.34567, -98765.4, 3.2e12)] == [
        "0 N",
        "0 N",
        "12.35 N",
        "-98 770 N",
        "3.200e+12 N",
    ]
    assert show(float("inf"), "kN") == "unbounded"
    assert from_si(to_si(3000.0, "rpm"), "rpm") == pytest.approx(3000.0)
    assert to_si(3000.0, "rpm") == pytest.approx(314.159265, rel=1e-8)  # 2 pi 50


def test_a_sinusoid_over_whole_turns_has_root_mean_square_one_over_root_two():
    """However many samples, as the repeated end does not count; along the last axis of a batch."""
    for samples in (13, 721):
        wave = np.cos(np.linspace(0.0, 4.0 * np.pi, samples)[:, None] - [0.0, 0.3]).T * [[2.0], [3.0]]
        assert rms(wave) == pytest.approx(np.array([2.0, 3.0]) / np.sqrt(2.0))
        assert peak(wave)[0] == pytest.approx(2.0)
