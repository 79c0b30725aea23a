"""The oil's way to each part: pressures against an integral along the drillings, and what breaks it."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.base.results import Estimate
from vmech_core.bearings import feed, films, oils
from vmech_core.friction import ASSUMPTIONS
from vmech_core.sheet.doubts import doubts

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = load_design(DATA / "first_sketch.toml")
THROUGH = ENGINE.changed(**{"lubricant.crankpin_feed": "carriers"})


def rows(design):
    return {row.part: row for row in feed.oil_supply(design, assess(design, 73).drive)}


def test_pressure_from_the_axis_of_the_crank():
    """Second derivative of a point of the crank's drilling, summed along it; carrier: rho w^2 a^2 / 2. Rel 1e-5."""
    drive, density = assess(ENGINE, 73).drive, oils.oil(ENGINE.lubricant.grade).density
    a, w, end = 0.25 * float(drive.stroke), float(drive.speed), 0.25 * float(drive.stroke) + 0.015
    place, h, least = np.linspace(0.0, end, 2001), 1e-4, np.inf
    for angle in np.linspace(0.0, 2.0 * np.pi, 181):
        def outward(turn, angle=angle):
            """Points of the drilling, seen along where the drilling points at ``angle``."""
            point = a * np.exp(1j * (angle + turn)) + place * np.exp(-1j * (angle + turn))
            return (point * np.exp(1j * angle)).real

        slope = -density * w**2 * (outward(h) - 2.0 * outward(0.0) + outward(-h)) / h**2
        least = min(least, np.sum(0.5 * (slope[1:] + slope[:-1]) * np.diff(place)))
    supply = ENGINE.lubricant.si.supply_pressure
    found = films.oil_path(ENGINE, drive)
    assert found["crank journal"] - supply == pytest.approx(0.5 * density * w**2 * a**2, rel=1e-12)
    assert found["crankpin, least"] - found["crank journal"] == pytest.approx(least, rel=1e-5)


def test_rollers_pass_no_oil_on_and_the_sheet_says_so():
    broken = rows(THROUGH)
    assert 'bearings.crank_in_carrier = "rolling"' in broken["rod big end on crankpin"].broken
    assert broken["guides"].broken and broken["guides"].wetted == feed.SPLASH
    said = doubts(THROUGH)
    assert any('crankpin_feed = "crank_end"' in line for line in said)
    assert any("guides may starve" in line for line in said)
    assert not any(row.broken for row in rows(ENGINE).values())
    assert not doubts(load_design(DATA / "v_twin_generator.toml"))


def test_plain_bearings_pass_it_on_until_the_drilling_runs_dry():
    plain = THROUGH.changed(**{"bearings.crank_in_carrier": "journal"})
    assert not any(row.broken for row in rows(plain).values())
    fast = rows(plain.changed(**{"duty.speed_rpm": 14000}))["rod big end on crankpin"]
    assert fast.pressure < 0.0 and "pressure falls to" in fast.broken


def test_crankpins_on_rollers_throw_off_little_and_a_drilling_feeds_the_guides():
    rolling = ENGINE.changed(**{"bearings.crankpin": "rolling"})
    assert rows(rolling)["guides"].broken and rows(rolling)["rod big end on crankpin"].pressure is None
    fed = rows(rolling.changed(**{"lubricant.guide_feed": "pressed"}))["guides"]
    assert not fed.broken and fed.wetted == feed.PRESSED and fed.pressure == ENGINE.lubricant.si.supply_pressure


def test_what_a_guide_drags_is_shear_flow():
    """Couette flow by quadrature of a linear velocity."""
    y = np.linspace(0.0, 3e-6, 1001)
    assert feed.guide_need(3e-6, 0.07, 7.0) == pytest.approx(np.trapezoid(7.0 * y / 3e-6, y) * 0.07)


def test_oil_balance_is_the_end_of_a_march_stroke_by_stroke():
    """Closed form against the sum of trips: a store gains the supply and loses a share of what it holds. 1e-9."""
    drive, thrown = assess(ENGINE, 73).drive, 1.7e-6
    found, trip = feed.guide_balance(ENGINE, drive, thrown), np.pi / float(drive.speed)
    for end, caught, lost in ((found.wetted.low, feed.CAUGHT.low, feed.LOST.high),
                              (found.wetted.likely, feed.CAUGHT.likely, feed.LOST.likely)):
        gained, full, held = caught * found.supply / feed.CAUGHT.likely * trip, found.carried * trip, 0.0
        for _ in range(5000):
            held = min(full, held + gained - lost * held)
        assert end == pytest.approx(held / full, rel=1e-9) and end < 1.0
    assert found.wetted.high == 1.0
    even = Estimate(*[found.break_even] * 3, "1", "")
    assert feed.guide_balance(ENGINE, drive, thrown, lost=even).wetted.likely == pytest.approx(1.0, rel=1e-12)


def test_oil_that_a_drilling_presses_through_a_guide_is_flow_between_plates():
    """Quadrature of the parabola over gap and circumference, both ways from the middle. Rel 1e-6."""
    fed, drive = ENGINE.changed(**{"lubricant.guide_feed": "pressed"}), assess(ENGINE, 73).drive
    own, oil = ENGINE.guide.si, ENGINE.lubricant.si
    gap, thick = 0.5 * own.clearance, oils.viscosity(oils.oil(ENGINE.lubricant.grade), oil.temperature)
    y = np.linspace(0.0, gap, 4001)
    speed = oil.supply_pressure / (0.5 * own.length) * y * (gap - y) / (2.0 * thick)
    flow = 2.0 * np.trapezoid(speed, y) * np.pi * own.rod_diameter
    assert feed.guide_balance(fed, drive, 0.0).supply == pytest.approx(flow, rel=1e-6)


def test_the_assumption_of_friction_holds_the_balance_of_the_demo():
    """Likely within a tenth of what friction takes; both low causes together lie below its range, each alone in it."""
    engine = assess(ENGINE, 121)
    thrown = sum(engine.warm.leakage[k] for k, seat in enumerate(engine.straight_seats) if seat.part == "crankpin")
    wet, factor = ASSUMPTIONS["wetted"].likely, ASSUMPTIONS["guide_oil"]
    found = feed.guide_balance(engine.design, engine.drive, thrown).wetted
    assert found.likely == pytest.approx(wet, rel=0.1) and found.high <= wet * factor.high + 0.021
    one = Estimate(*[feed.LOST.likely] * 3, "1", "")
    other = Estimate(*[feed.CAUGHT.likely] * 3, "1", "")
    for alone in ({"lost": one}, {"caught": other}):
        assert feed.guide_balance(engine.design, engine.drive, thrown, **alone).wetted.low > wet * factor.low
