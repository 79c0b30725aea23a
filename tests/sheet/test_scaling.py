"""A machine twice as large against dimension analysis: powers of two, and films that obey the Sommerfeld number."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core import InputError, assess, load_design
from vmech_core.case import Case
from vmech_core.design import scaled
from vmech_core.friction import of_straight
from vmech_core.sheet import scaling

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = load_design(DATA / "first_sketch.toml")


@pytest.fixture(scope="module")
def rows():
    return {row.quantity: row for row in scaling(assess(ENGINE, 361))}


@pytest.mark.parametrize(("quantity", "piston_speed", "speed"), [
    ("peak gas force", 4.0, 4.0),  # pressure times area
    ("greatest inertia force of a rod", 4.0, 16.0),  # m r w^2: 8 x 2 x (1/4, 1)
    ("indicated power", 4.0, 8.0),  # mean pressure x volume x speed: 8 x (1/2, 1)
    ("crank with rods and pistons", 8.0, 8.0),
])
def test_powers_of_two(rows, quantity, piston_speed, speed):
    row = rows[quantity]
    assert (row.same_piston_speed, row.same_speed) == pytest.approx((piston_speed, speed), rel=1e-9)


def test_at_the_same_piston_speed_the_stresses_stay(rows):
    """Force over length squared; so they do not by being made larger."""
    for quantity in ("pinion tooth bending (Lewis)", "pressure between flanks (Hertz)"):
        assert rows[quantity].same_piston_speed == pytest.approx(1.0, rel=1e-9)
        assert rows[quantity].same_speed < 1.0  # here inertia relieves the teeth at the firing dead centre


def test_films_grow_less_than_the_machine_and_friction_falls(rows):
    """Sommerfeld number halved: the film grows in size and falls against the clearance; shear stress falls."""
    assert 1.0 < rows["least film of the crankpins"].same_piston_speed < 2.0
    for name in ("straight-line drive", "ordinary crank"):
        assert 0.5 < rows[f"{name}: friction mean effective pressure"].same_piston_speed < 1.0


def test_twice_as_large_is_half_as_viscous():
    """Lengths x 2, roughness too, speed / 2: mu w / p and with it every film is that of half the viscosity.

    Friction pressures of each contact that follows Reynolds' equation, within 1 % (loads are shared through films of
    the unchanged oil in both, which is what is left).
    """
    small = Case(ENGINE, 361)
    large = Case(scaled(ENGINE, 2.0, finish=True), 361, trace=small.gas_trace)
    thin, found = of_straight(small, {"viscosity": 0.5}), of_straight(large)
    volumes = [case.displacement * float(case.drive.speed) for case in (small, large)]
    for name in ("rod big end on crankpin", "carrier in block", "guides"):
        both = [powers.means[name][0] / volume for powers, volume in zip((thin, found), volumes, strict=True)]
        assert both[1] == pytest.approx(both[0], rel=0.01), name
    full = of_straight(small).means["guides"][0] / volumes[0]
    assert full > 1.5 * both[0]  # so that the check above can fail


def test_the_way_back():
    again = scaled(scaled(ENGINE, 2.0, "speed"), 0.5, "speed")
    assert np.isclose(again.cylinders.bore_mm, 63.0) and again.crank.tie_stiffness_Nm_per_rad == pytest.approx(20000)
    assert scaled(ENGINE, 2.0).surfaces == ENGINE.surfaces


def test_refusals():
    with pytest.raises(InputError, match="not one of piston speed, speed"):
        scaled(ENGINE, 2.0, "power")
    with pytest.raises(InputError, match="bore_mm"):
        scaled(ENGINE, 20.0)
