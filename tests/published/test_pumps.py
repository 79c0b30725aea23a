"""Topic 4, compressors and pumps: published values, closed forms and a fluid-property library against the core."""

import CoolProp.CoolProp as coolprop
import numpy as np
import pytest

from vmech_core.design.design import Design
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.pressure import compressor, liquid, pump
from vmech_core.pressure.volume import curve_of, indicated_mean_pressure, swept

ONE = np.ones(1)
ANGLE = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
INFINITE = float("inf")


def curve(rod_ratio=INFINITE, bore=1.0, stroke=1.0, dead=0.0):
    """Volume curve of one cylinder; an infinite rod ratio stands for the straight-line drive."""
    straight = hypocycloid.HypocycloidDrive(stroke, 0.0 * ONE, ONE, 1.0, 0.35)

    def travel(angle):
        if rod_ratio == INFINITE:
            found = hypocycloid.motion(straight, angle)
        else:
            found = slider_crank.motion(slider_crank.one_cylinder(stroke, rod_ratio, 1.0), angle)
        return found.position[0], found.velocity[0]

    return curve_of(travel, 0.25 * np.pi * bore**2, stroke, dead)


def isothermal_efficiency(suction, delivery, exponent):
    """Isothermal work over the polytropic one, both from the core, for the same volume taken in."""
    isothermal, polytropic = compressor.indicated_work(1.0, suction, delivery, np.array([1.0, exponent]))
    return isothermal / polytropic


def displacement_ripple(cylinders, rod_ratio):
    """Ripple without a pressure rise, where the compressibility of the liquid does not matter."""
    return pump.flow_ripple(*curve(rod_ratio)(ANGLE), cylinders, 1e5, 1e5, 2.18e9, 0.25)


@pytest.mark.row("T04-001")
def test_free_air_delivered_by_a_compressor():
    """R. Joel, Basic Engineering Thermodynamics, Example 14.1, p. 400; rel 1e-3.

    The book rounds the power to 14.0 kW, so half of its last digit is allowed there; 0 Celsius is 273 K in the book.
    """
    low, high, n = 97e3, 550e3, 1.3
    displaced = swept(curve(bore=0.2, stroke=0.3)) * 500.0  # m3/min
    induced = displaced * compressor.volumetric_efficiency(0.05, low, high, n)
    free = induced * (low / 101_325.0) * (288.0 / 293.0)  # p V / T is constant
    assert free == pytest.approx(3.814, rel=1e-3) and free / displaced == pytest.approx(0.809, rel=1e-3)
    assert compressor.delivery_temperature(293.0, low, high, n) - 273.0 == pytest.approx(164.3, rel=1e-3)
    assert compressor.indicated_work(induced / 60.0, low, high, n) / 1e3 == pytest.approx(14.0, abs=0.05)
    assert isothermal_efficiency(low, high, n) == pytest.approx(0.813, rel=1e-3)


@pytest.mark.row("T04-001")
def test_power_of_that_compressor_from_its_pressure_trace():
    """The same power, 13.982 kW recomputed without rounding, from the closed integral of p dV on the volume curve."""
    cylinder, angle = curve(bore=0.2, stroke=0.3, dead=0.05), np.linspace(0.0, 2.0 * np.pi, 7201)
    volume, rate = cylinder(angle)
    trace = compressor.pressure(volume, rate < 0.0, 97e3, 550e3, 1.3)
    work = -indicated_mean_pressure(angle, trace, cylinder) * swept(cylinder)
    assert work * 500.0 / 60.0 / 1e3 == pytest.approx(13.982, rel=1e-4)


@pytest.mark.row("T04-002")
def test_isothermal_efficiency_size_and_power_of_a_compressor():
    """Onkar Singh, Applied Thermodynamics, ch. 16 Example 2, p. 742; rel 1e-3. No clearance; 1 hp is 745.7 W."""
    low, high, n = 1e5, 12e5, 1.2
    assert isothermal_efficiency(low, high, n) == pytest.approx(0.8072, rel=1e-3)
    displaced = swept(curve(bore=0.1434, stroke=0.2581)) * 240.0  # m3/min
    induced = displaced * compressor.volumetric_efficiency(0.0, low, high, n)
    assert induced == pytest.approx(1.0, rel=1e-3)  # suction is at the conditions of the free air
    power = compressor.indicated_work(1.0 / 60.0, low, high, n)
    assert power / 0.88 / 745.7 == pytest.approx(7.82, rel=1e-3)


@pytest.mark.row("T04-006")
@pytest.mark.row("T04-007")
@pytest.mark.row("T04-010")
@pytest.mark.row("T04-011")
@pytest.mark.row("T04-013")
@pytest.mark.row("T04-016")
@pytest.mark.row("T04-020")
@pytest.mark.row("T04-022")
@pytest.mark.parametrize(
    ("cylinders", "rod_ratio", "above", "below", "total"),
    [
        (3, INFINITE, 4.72, 9.31, 14.03),
        (3, 6.0, 6.17, 16.95, 23.11),
        (5, INFINITE, 1.66, 3.31, 4.98),
        (5, 6.0, 1.86, 5.2, 7.06),
        (7, INFINITE, 0.84, 1.68, 2.53),
        (4, INFINITE, 11.07, 21.46, 32.53),
        (4, 6.0, 11.07, 21.46, 32.53),
        (4, 4.0, 11.07, 21.46, 32.53),
        (1, INFINITE, 214.16, 100.0, 314.16),
        (2, INFINITE, 57.08, 100.0, 157.08),
    ],
)
def test_flow_variation_of_power_pumps(cylinders, rod_ratio, above, below, total):
    """Integration of the exact motion elsewhere; it repeats the Pump Handbook's table. Abs 0.02 percentage points.

    The row on four cylinders says "any rod ratio": its fourth harmonic shifts the sum by less than the tolerance.
    """
    found = displacement_ripple(cylinders, rod_ratio)
    assert 100.0 * np.array([found.above, found.below, found.total]) == pytest.approx([above, below, total], abs=0.02)


@pytest.mark.row("T04-007")
@pytest.mark.row("T04-011")
@pytest.mark.parametrize(("cylinders", "above", "below"), [(3, 6, 17), (5, 2, 5), (7, 1, 3), (9, 1, 2)])
def test_whole_percents_of_the_pump_handbook(cylinders, above, below):
    """I. J. Karassik et al., Pump Handbook, flow variation of power pumps at a rod ratio of about 6 (from memory)."""
    found = displacement_ripple(cylinders, 6.0)
    assert (round(100.0 * float(found.above)), round(100.0 * float(found.below))) == (above, below)


@pytest.mark.row("T04-023")
@pytest.mark.parametrize("cylinders", range(2, 10))
def test_closed_form_of_the_sinusoidal_drive(cylinders):
    """Elementary sum of half sine waves; 1e-9.

    One cylinder is left out: the row's formula for odd numbers does not hold for it, as its peak is pi times the mean.
    """
    found = displacement_ripple(cylinders, INFINITE)
    half = np.pi / (cylinders if cylinders % 2 == 0 else 2 * cylinders)
    assert 1.0 + found.above == pytest.approx(half / np.sin(half), rel=1e-9)
    assert 1.0 - found.below == pytest.approx(half / np.tan(half), abs=1e-9)


@pytest.mark.row("T04-024")
def test_slip_power_and_acceleration_head():
    """B. K. Sarkar, Fluid Mechanics and Hydraulic Machines, Example 9.4, p. 193; rel 1e-3, gravity 9.81 m/s2."""
    turns, rise = 50.0 / 60.0, 1000.0 * 9.81 * 25.0
    theoretical = swept(curve(bore=0.15, stroke=0.3)) * turns
    assert theoretical == pytest.approx(0.00441786, rel=1e-3)
    assert 100.0 * pump.slip(theoretical, 0.0042) == pytest.approx(4.93, rel=1e-3)
    assert pump.indicated_work(theoretical, 1e5, 1e5 + rise, 2.18e9) / 1e3 == pytest.approx(1.08348, rel=1e-3)
    drive = hypocycloid.HypocycloidDrive(0.3, 0.0 * ONE, ONE, 2.0 * np.pi * turns, 0.35)
    greatest = np.abs(hypocycloid.motion(drive, ANGLE).acceleration).max()
    assert pump.acceleration_head(22.0, (0.15 / 0.1) ** 2, greatest, 9.81) == pytest.approx(20.75, rel=1e-3)


@pytest.mark.row("T04-028")
def test_bulk_modulus_of_water():
    """IAPWS-95 through CoolProp 8.0: the row's values, rel 1e-4; the core's slope dp/dV, and the design file's water.

    A pump works between the two moduli; the design file's water, by its own equation, has the isothermal one to 1 %.
    """
    state = ("T", 293.15, "P", 101_325.0, "Water")
    density, sound = coolprop.PropsSI("D", *state), coolprop.PropsSI("A", *state)
    isothermal, isentropic = density / coolprop.PropsSI("d(D)/d(P)|T", *state), density * sound**2
    found = (density, isothermal / 1e9, isentropic / 1e9, sound)
    assert found == pytest.approx((998.2072, 2.17906, 2.19341, 1482.346), rel=1e-4)
    squeezed = coolprop.PropsSI("P", "T", 293.15, "D", density * 1.0001, "Water")
    core = pump.pressure(np.array([0.1, 1.0, 1.0 / 1.0001]), np.array([True, True, True]), 101_325.0, 1e7, 2.17906e9)[2]
    assert core - 101_325.0 == pytest.approx(squeezed - 101_325.0, rel=1e-3)
    own = Design.sections()["fluid_cycle"]().si
    assert own.bulk_modulus == "water"
    assert liquid.Water(own.inlet_temperature).bulk_modulus(101_325.0) == pytest.approx(isothermal, rel=1e-2)
