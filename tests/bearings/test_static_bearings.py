"""Steady journal bearings against the Reynolds solver of the tests, general libraries and the sentences they refuse by.

Source of every expected number: the solver in reynolds.py, itself checked in test_reynolds.py, unless it says other.
"""

import functools

import numpy as np
import pytest
import reynolds
from scipy.interpolate import BarycentricInterpolator
from scipy.optimize import brentq

from vmech_core import InputError
from vmech_core.base.tables import rows
from vmech_core.bearings import journal, mobility, steady

solved = functools.cache(functools.partial(reynolds.journal_details, around=160, along=17))

#: Cells of the table that are off by more, as the head of the file says: (l/d, h0/c, column) and what the solver gives.
ODD = {("inf", "0.1", "flow"): 0.389, ("0.5", "0.03", "pressure_ratio"): 0.133}


@pytest.mark.parametrize("row", rows(steady.TABLE),
                         ids=lambda r: f"{r['length_over_diameter']}-{r['film_over_clearance']}")
def test_every_cell_of_the_table_is_what_reynolds_equation_gives(row):
    """Within 4 % (S and friction 3.1 % at worst, angle 1.5 %, flow 3 %, side flow 0.5 %, pressure 3.9 %)."""
    length, film = row["length_over_diameter"], row["film_over_clearance"]
    found = solved(1.0 - float(film), float(length))
    for column in steady.COLUMNS:
        expected = getattr(found, column)
        if (length, film, column) in ODD:
            assert expected == pytest.approx(ODD[length, film, column], rel=0.01)
            assert 0.05 < abs(float(row[column]) / expected - 1.0) < 0.065
        else:
            assert float(row[column]) == pytest.approx(expected, rel=0.04, abs=1e-9), column


def test_rows_say_how_sure_they_are():
    assert {r["status"] for r in rows(steady.TABLE)} == {"read", "from memory", "computed"}
    assert all(r["source"] for r in rows(steady.TABLE))


@pytest.mark.parametrize(
    ("slenderness", "flows"), [(0.25, 0.04), (0.35, 0.04), (0.75, 0.04), (1.0, 0.04), (1.5, 0.05), (2.0, 0.1)]
)
@pytest.mark.parametrize("eccentricity", [0.15, 0.5, 0.7, 0.93])
def test_between_rows_and_lengths(slenderness, eccentricity, flows):
    true = solved(eccentricity, slenderness)
    found = steady.film_numbers(slenderness, true.sommerfeld)
    assert found.film_ratio == pytest.approx(1.0 - eccentricity, rel=0.02)
    assert found.friction == pytest.approx(true.friction, rel=0.02)
    assert np.degrees(found.attitude) == pytest.approx(true.attitude_deg, rel=0.035)
    assert found.flow == pytest.approx(true.flow, rel=flows)
    assert found.side_flow == pytest.approx(true.side_flow, rel=0.05)
    assert found.pressure_ratio == pytest.approx(true.pressure_ratio, rel=flows)


def test_a_tabulated_bearing_comes_back_in_any_shape():
    """Rows l/d 1 and 1/2, h0/c 0.4 of Raimondi and Boyd, one call."""
    found = steady.film_numbers(np.array([[1.0], [0.5]]), np.array([[0.121, 0.2], [0.319, 0.2]]))
    assert found.film_ratio.shape == (2, 2)
    assert found.film_ratio[:, 0] == pytest.approx([0.4, 0.4])
    assert found.friction[:, 0] == pytest.approx([3.22, 8.10])
    alone = steady.film_numbers(0.5, 0.2)
    for name in ("film_ratio", "attitude", "friction", "flow", "side_flow", "pressure_ratio"):
        assert getattr(found, name)[1, 1] == pytest.approx(getattr(alone, name), rel=1e-12)


def test_weights_are_those_of_a_cubic_in_diameter_over_length():
    """Polynomial through four points: scipy.interpolate."""
    heights = np.array([0.3, -1.2, 2.0, 0.7])
    for slenderness in (0.25, 0.4, 0.8, 1.7, np.inf):
        outside = BarycentricInterpolator([0.0, 1.0, 2.0, 4.0], heights)(1.0 / slenderness)
        assert steady._length_weights(slenderness) @ heights == pytest.approx(float(outside), rel=1e-12)
    assert steady._length_weights(np.array([0.3, 0.9])).sum(-1) == pytest.approx(1.0)


@pytest.mark.parametrize("eccentricity", [1e-3, 0.2, 0.7, 0.99, 0.9999])
def test_the_short_bearing_backwards(eccentricity):
    """scipy.optimize.brentq finds the same eccentricity."""
    target = float(steady.short_bearing(eccentricity, 0.3)[2])
    outside = brentq(lambda e: np.log(steady.short_bearing(e, 0.3)[2] / target), 1e-6, 1 - 1e-9, xtol=1e-14)
    found = steady.short_eccentricity(np.full((2, 1), 0.3), np.full(3, target))
    assert found.shape == (2, 3)
    assert 1.0 - found == pytest.approx(1.0 - outside, rel=1e-8)


def test_the_short_bearing_is_the_limit_of_a_thin_one():
    """Half film, L/D 1/50, in the numbers of the short bearing."""
    for eccentricity in (0.1, 0.6):
        force = reynolds.journal_force(eccentricity, -1j * np.pi * eccentricity, 0.02, "half", 384)
        found = steady.short_bearing(eccentricity, 0.02)
        assert found[2] == pytest.approx(1.0 / abs(force), rel=2e-3)
        assert found[1] == pytest.approx(np.angle(-1.0 / force), abs=1e-3)


def test_how_far_short_theory_flatters():
    """Load of the closed form over that of the solver (half film against the tables' Reynolds condition, within 3.5 %).

    In terms of S the short bearing has 0.96 to 0.98 of the table at l/d 1/4 up to 0.4, 0.74 and 0.31 at l/d 1.
    """
    ratio = steady.short_bearing_error(np.array([0.1, 0.2, 0.4]), 0.25)
    assert ((1.0 / ratio > 0.955) & (1.0 / ratio < 0.985)).all()
    assert 1.0 / steady.short_bearing_error([0.1, 0.8], 1.0) == pytest.approx([0.74, 0.31], abs=0.005)
    for eccentricity, slenderness in ((0.3, 0.5), (0.8, 0.5), (0.5, 0.75), (0.9, 1.5)):
        short = 1.0 / steady.short_bearing(eccentricity, slenderness)[2]
        true = 1.0 / solved(eccentricity, slenderness).sommerfeld
        assert steady.short_bearing_error(eccentricity, slenderness) == pytest.approx(short / true, rel=0.035)


def test_a_light_bearing_drags_as_petroff_says():
    """At h0/c 0.9 the tables stand 0.5 % above N. P. Petroff's concentric bearing."""
    for slenderness, number in ((1.0, 1.33), (0.5, 4.31), (0.25, 16.2)):
        petroff = 2.0 * np.pi**2 * number  # (r / c) f
        assert steady.film_numbers(slenderness, number).friction == pytest.approx(petroff, rel=0.02)


def test_operating_point_in_metres_and_newtons():
    """Integrals of the solver's film, scaled by hand: load, friction, flow, pressure, heat."""
    true = solved(0.55, 0.8)
    radius, length, clearance, viscosity, turns = 0.02, 0.032, 25e-6, 0.012, 40.0
    load = viscosity * turns * (radius / clearance) ** 2 / true.sommerfeld * 2 * radius * length
    point = steady.operating_point(2 * radius, length, clearance, viscosity, 2 * np.pi * turns, load, 1.6e6)
    assert point.film == pytest.approx(0.45 * clearance, rel=0.02)
    assert point.eccentricity == pytest.approx(0.55, rel=0.02)
    assert np.degrees(point.attitude) == pytest.approx(true.attitude_deg, rel=0.02)
    assert point.friction == pytest.approx(true.friction * clearance / radius, rel=0.02)
    assert point.power == pytest.approx(true.friction * clearance * load * 2 * np.pi * turns, rel=0.02)
    flow = true.flow * radius * clearance * turns * length
    assert point.flow == pytest.approx(flow, rel=0.02)
    assert point.side_flow == pytest.approx(true.side_flow * flow, rel=0.03)
    assert point.pressure == pytest.approx(load / (2 * radius * length) / true.pressure_ratio, rel=0.03)
    assert point.temperature_rise * 1.6e6 * true.side_flow * flow == pytest.approx(point.power, rel=0.03)


def test_a_sleeve_that_turns():
    """Seen from axes that turn: a marched orbit of ``mobility`` with both speeds, and its power (another film, 8 %)."""
    size = (0.04, 0.032, 25e-6, 0.012)
    for speed, sleeve in ((250.0, 0.0), (400.0, -150.0), (0.0, 250.0), (150.0, 100.0), (-400.0, 150.0)):
        point = steady.operating_point(*size, speed, 3000.0, sleeve_speed=sleeve)
        at_rest = steady.operating_point(*size, 250.0, 3000.0)
        assert (point.film, point.pressure, point.side_flow) == pytest.approx(
            (at_rest.film, at_rest.pressure, at_rest.side_flow), rel=1e-12)
        one = mobility.Journals(*size, np.full((1, 240), 3000.0), speed, sleeve, 0.05)
        orbit = mobility.orbit(one, cycles=40)
        assert journal.film_thickness(one, orbit)[0, 0] == pytest.approx(point.film, rel=0.08)
        e = np.abs(orbit.eccentricity[0, 0])
        drag = 2.0 * np.pi * size[3] * 0.02**3 * size[1] / size[2] * (speed - sleeve) ** 2 / np.sqrt(1.0 - e**2)
        assert journal.power(one, orbit)[0, 0] >= 0.9 * point.power and point.power > 0.3 * drag
    rest, turns = (steady.operating_point(*size, w, 3000.0, sleeve_speed=s) for w, s in ((250.0, 0.0), (400.0, -150.0)))
    couple = 0.5 * 3000.0 * size[2] * rest.eccentricity * np.sin(rest.attitude)
    drag = rest.power / 250.0 - couple
    assert turns.power == pytest.approx(drag * 550.0**2 / 250.0 + couple * 250.0)


@pytest.mark.parametrize("speed", [100.0 * np.pi, -100.0 * np.pi])
def test_surfaces_that_turn_oppositely_have_no_steady_film(speed):
    """The crank in its carrier: its speed against the carrier is twice that of the shaft, and draws nothing in."""
    with pytest.raises(InputError) as caught:
        steady.operating_point(**{**GOOD, "speed": speed}, sleeve_speed=-speed)
    assert str(caught.value) == (f"sleeve_speed = {-speed} is as fast as the journal turns the other way: no oil is "
                                 "drawn in, so that no steady film lasts under a load at rest.")
    with pytest.raises(InputError, match="speed = 0.0 is not a finite number above 0 rad/s."):
        steady.operating_point(**{**GOOD, "speed": 0.0})


GOOD = dict(diameter=0.06, length=0.06, clearance=6e-5, viscosity=0.03, speed=150.0, load=3000.0)


@pytest.mark.parametrize(("field", "value", "sentence"), [
    ("length", 0.0, "length = 0.0 is not a finite number above 0 m."),
    ("load", np.inf, "load = inf is not a finite number above 0 N."),
    ("speed", np.nan, "speed = nan is not a finite number above 0 rad/s."),
    ("length", 0.012, "slenderness = 0.2 is outside 0.25 to 2; nearest value that works: 0.25."),
    ("load", [3000.0, 1e6], "sommerfeld = 0.0006446 is outside 0.00474 to 1.33; nearest value that works: 0.00474."),
])
def test_bad_input_gets_one_sentence(field, value, sentence):
    with pytest.raises(InputError) as caught:
        steady.operating_point(**{**GOOD, field: value})
    assert str(caught.value) == sentence


def test_an_eccentricity_no_bearing_has():
    with pytest.raises(InputError, match="eccentricity = 1.0 is not below 1, where journal and sleeve touch."):
        steady.short_bearing([0.5, 1.0], 0.25)
    with pytest.raises(InputError, match="eccentricity = 0.05 is outside 0.1 to 0.97; nearest value that works: 0.1."):
        steady.short_bearing_error(0.05, 0.25)
