"""The Reynolds solver of the tests against closed forms that it does not contain."""

import numpy as np
import pytest
import reynolds


def steady(eps, slenderness, rupture, around=96):
    """Force [of the journal's own units] when the surfaces turn with a mean of 1/2 rad/s, as a fixed sleeve at 1."""
    return reynolds.journal_force(eps, -0.5j * eps, slenderness, rupture, around)


@pytest.mark.parametrize(("eps", "number", "attitude"), [(0.5, 0.750381, 53.6802), (0.8, 5.731328, 30.5002)])
def test_a_very_short_bearing_is_ocvirks(eps, number, attitude):
    """NACA Report 1157 (half film): W c^2/(mu Omega R L^3) and attitude; 0.1 % at L/D 1/100 on 384 nodes."""
    force = steady(eps, 0.01, "half", 384)
    assert abs(force) / (2.0 * 0.01**2) == pytest.approx(number, rel=1e-3)
    assert np.degrees(np.angle(-eps / force)) == pytest.approx(attitude, abs=0.02)


@pytest.mark.parametrize("eps", [0.2, 0.5, 0.8])
def test_an_endless_bearing_with_a_full_film_is_sommerfelds(eps):
    """A. Sommerfeld (1904): W/L = 12 pi mu Omega R (R/c)^2 eps / ((2 + eps^2) sqrt(1 - eps^2)), square to eps."""
    force = steady(eps, np.inf, "full", 192)
    assert 2.0 * force == pytest.approx(12j * np.pi * eps / ((2 + eps**2) * np.sqrt(1 - eps**2)), rel=2e-3)


def test_an_endless_bearing_squeezed_with_a_full_film():
    """Long bearing in squeeze (Booker 1965, closed form): W/L = 12 pi mu R (R/c)^2 (d eps/dt) (1 - eps^2)^-1.5."""
    force = reynolds.journal_force(0.6, 1.0, np.inf, "full", 192)
    assert 2.0 * force == pytest.approx(-12.0 * np.pi * (1 - 0.36) ** -1.5, rel=2e-3)


def test_halving_the_grid_closes_on_one_value():
    """Differences shrink by about 4, as they must for a scheme of second order; L/D 1, turning and squeezing."""
    coarse, middle, fine = (
        reynolds.journal_force(0.6, 0.3 - 0.5j, 1.0, "half", n, m) for n, m in ((48, 7), (96, 13), (192, 25))
    )
    assert 3.0 < abs(coarse - middle) / abs(middle - fine) < 6.0
    assert abs(middle - fine) < 0.01 * abs(fine)


def test_the_force_turns_with_the_bearing_and_resists():
    """No direction is special; a film takes power from whatever moves it."""
    turn = np.exp(1j * np.pi / 3)
    here, there = (reynolds.journal_force(0.5 * k, (0.4 - 0.2j) * k, 0.5, "reynolds") for k in (1.0, turn))
    assert there == pytest.approx(here * turn, rel=1e-9)
    assert (here * np.conj(0.4 - 0.2j)).real < 0.0


def test_reynolds_condition_of_an_endless_bearing():
    """Where the film breaks p = dp/dx = 0: table of Raimondi and Boyd (1958), l/d infinite, h0/c 0.6; from memory."""
    details = reynolds.journal_details(0.4, np.inf)
    assert details.sommerfeld == pytest.approx(0.0626, rel=0.01)
    assert details.attitude_deg == pytest.approx(61.94, abs=0.6)
    assert details.flow == pytest.approx(2.26, rel=0.02)


def wedge(nx, ny, ratio):
    return np.repeat(np.linspace(ratio, 1.0, nx)[:, None], ny, 1)


def test_a_wide_pad_is_reynolds_wedge_and_a_parallel_one_squeezes():
    """O. Reynolds (1886): W/(6 mu U B^2/h0^2) per width = [ln m - 2 (m-1)/(m+1)]/(m-1)^2; a strip: -mu v L^3 B/h^3."""
    wide = reynolds.pad_load(wedge(81, 3, 2.0), 1.0, 1e4, 1.0, 0.0, 1.0)
    middle = wide / (1e4 * 2 / 3)  # two strips beside one node in Simpson's rule: the middle carries, the sides do not
    assert middle == pytest.approx(6.0 * (np.log(2.0) - 2.0 / 3.0), rel=1e-3)
    strip = reynolds.pad_load(np.ones((81, 3)), 1.0, 1e4, 0.0, -1.0, 1.0)
    assert strip / (1e4 * 2 / 3) == pytest.approx(1.0, rel=1e-3)


def test_a_square_pad_squeezed():
    """Torsion of a square bar solves the same equation: 0.140577 side^4 (Timoshenko), so load = 3 x 0.140577."""
    square = reynolds.pad_load(np.ones((41, 41)), 1.0, 1.0, 0.0, -1.0, 1.0)
    assert square == pytest.approx(3.0 * 0.140577, rel=2e-3)


def test_backwards_sliding_breaks_the_film():
    """The same wedge run backwards has suction only; a ruptured film carries nothing, a full one pulls."""
    pad = wedge(41, 21, 2.0)
    forward = reynolds.pad_load(pad, 1.0, 1.0, 1.0, 0.0, 1.0)
    assert reynolds.pad_load(pad, 1.0, 1.0, -1.0, 0.0, 1.0) == 0.0
    assert reynolds.pad_load(pad, 1.0, 1.0, -1.0, 0.0, 1.0, "full") == pytest.approx(-forward, rel=1e-12)
