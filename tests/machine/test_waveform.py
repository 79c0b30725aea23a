"""Harmonics and dwell of sampled curves against closed forms.

Outside sources: the sinusoid; Jacobi and Anger's expansion of exp(z cos) with scipy's modified Bessel functions; the
law of cosines for the triangle of crank and rod.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special

from vmech_core.base.errors import InputError
from vmech_core.machine import slider_crank, waveform

ANGLE = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)


@given(st.floats(0.1, 3.0), st.floats(-3.0, 3.0))
def test_harmonics_of_an_exponential_of_a_cosine_are_bessel_functions(z, phase):
    """exp(z cos(t - p)) = I_0 + 2 sum I_n cos n(t - p), Abramowitz and Stegun 9.6.34 (number from memory)."""
    orders = np.arange(8)
    found = waveform.harmonics(np.exp(z * np.cos(ANGLE - phase)), orders)
    expected = np.where(orders == 0, 1.0, 2.0) * special.iv(orders, z) * np.exp(-1j * orders * phase)
    assert np.abs(found - expected).max() < 1e-12 * np.exp(z)


def test_harmonics_rebuild_the_curve_and_keep_leading_axes():
    """Sum of Re c_n e^(i n t) is the curve again; cosine and sine are told apart by real and imaginary part."""
    curves = np.stack([np.cos(ANGLE) ** 3 + 2.0, np.sin(3.0 * ANGLE) - np.sin(ANGLE)])
    found = waveform.harmonics(curves, range(6))
    rebuilt = (found[..., None] * np.exp(1j * np.arange(6)[:, None] * ANGLE)).real.sum(axis=-2)
    assert rebuilt == pytest.approx(curves, abs=1e-13)
    assert found[0] == pytest.approx([2.0, 0.75, 0.0, 0.25, 0.0, 0.0], abs=1e-14)  # cos^3 = 3/4 cos + 1/4 cos 3
    assert found[1] == pytest.approx([0.0, 1j, 0.0, -1j, 0.0, 0.0], abs=1e-14)


@pytest.mark.parametrize("order", [-1, 180, 400])
def test_an_order_beyond_the_samples_is_refused(order):
    with pytest.raises(InputError, match=f"orders = {order} is not within 0 to 179 for 360 samples"):
        waveform.harmonics(np.cos(ANGLE), [1, order])


@given(st.floats(0.002, 0.99), st.floats(-3.0, 3.0), st.floats(0.01, 10.0))
def test_dwell_of_a_sinusoid(share, phase, half):
    """2 arccos(1 - 2 share) at both ends, whatever amplitude, phase and place of the middle."""
    outer, inner = waveform.dwell(ANGLE, 5.0 + half * np.cos(ANGLE - phase), share)
    exact = 2.0 * np.arccos(1.0 - 2.0 * share)
    assert (outer, inner) == pytest.approx((exact, exact), rel=2e-5)


def law_of_cosines(ratio, share):
    """Dwell of a centred slider-crank from its triangle: sides r, L and the distance of the wrist pin."""

    def half_angle(distance):
        return np.arccos((1.0 + distance**2 - ratio**2) / (2.0 * distance))

    return 2.0 * half_angle(ratio + 1.0 - 2.0 * share), 2.0 * (np.pi - half_angle(ratio - 1.0 + 2.0 * share))


@given(st.floats(1.6, 30.0), st.floats(0.005, 0.6))
def test_dwell_of_a_slider_crank_is_that_of_its_triangle(ratio, share):
    motion = slider_crank.motion(slider_crank.one_cylinder(0.069, ratio, 1.0), ANGLE)
    outer, inner = waveform.dwell(ANGLE, motion.position[0], share)
    assert (outer, inner) == pytest.approx(law_of_cosines(ratio, share), rel=2e-5)


def test_dwell_is_shorter_outside_and_longer_inside_than_the_sinusoid_and_both_tend_to_it():
    """The rod shifts dwell from the outer to the inner dead centre; the shift falls as one over the rod ratio."""
    ratios = np.array([3.0, 10.0, 100.0, 1000.0])
    motion = slider_crank.motion(slider_crank.one_cylinder(0.069, ratios, 1.0), ANGLE)
    outer, inner = (ends[:, 0] for ends in waveform.dwell(ANGLE, motion.position, 0.05))
    exact = 2.0 * np.arccos(0.9)
    assert (outer < exact).all() and (inner > exact).all()
    assert (np.diff(outer) > 0).all() and (np.diff(inner) < 0).all()
    assert (exact - outer)[-2:] * ratios[-2:] == pytest.approx((inner - exact)[-2:] * ratios[-2:], rel=0.05)
    assert (exact - outer)[3] / (exact - outer)[2] == pytest.approx(0.1, rel=0.03)


def test_dwell_of_a_share_and_of_its_complement_fill_the_turn():
    """What is not within the outer share is within the rest, seen from the inner end."""
    motion = slider_crank.motion(slider_crank.one_cylinder(0.069, 3.5, 1.0, 0.004), ANGLE).position
    assert waveform.dwell(ANGLE, motion, 0.3)[0] + waveform.dwell(ANGLE, motion, 0.7)[1] == pytest.approx(2.0 * np.pi)


@pytest.mark.parametrize("share", [0.0, 1.0, -0.2, np.nan])
def test_a_share_out_of_range_is_refused(share):
    with pytest.raises(InputError, match="share = .* is not within 0 to 1"):
        waveform.dwell(ANGLE, np.cos(ANGLE), share)


@pytest.mark.parametrize(
    "angle", [np.linspace(0.0, 2.0 * np.pi, 361), 2.0 * ANGLE, np.sort(np.random.default_rng(2).uniform(0, 6, 360))]
)
def test_angles_that_are_not_one_turn_at_equal_steps_are_refused(angle):
    with pytest.raises(InputError, match="not one turn at equal steps"):
        waveform.dwell(angle, np.cos(angle), 0.1)
