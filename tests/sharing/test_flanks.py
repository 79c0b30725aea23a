"""Flank changes, places and torque of the shared machine, against integration, energy and closed conditions."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from vmech_core import assess, load_design
from vmech_core.base.results import Loads
from vmech_core.sharing import flanks, quasi_static, springs
from vmech_core.sharing.elastic import from_design

ENGINE = assess(load_design(Path(__file__).resolve().parents[2] / "data" / "first_sketch.toml"), 721)
ELASTIC = from_design(ENGINE.design, ENGINE.drive)
ANGLE = np.linspace(0.0, 2.0 * np.pi, 3601)


def crossings(force, mass, gap):
    """Changes of flank of a given tooth force, with 1e9 N/m for both meshes along the pitch circle."""
    stiff = 1e9 / (2.0 * np.cos(ENGINE.drive.pressure_angle) ** 2)
    machine = replace(ELASTIC, backlash=gap, mesh=stiff)
    return flanks.crossings(machine, ENGINE.drive, Loads(ANGLE, {"mesh": force}, ""), mass)


def test_free_flight_is_the_motion_of_a_mass_under_a_growing_force():
    """scipy solve_ivp on m w'' = F' t from rest, stopped at the backlash; rel 1e-6."""
    mass, gap = 1.7, 8e-5
    found = crossings(800.0 * np.sin(ANGLE - 0.3), mass, gap)
    assert [f.angle for f in found] == pytest.approx([0.3, 0.3 + np.pi], abs=1e-5)
    slope = 800.0 * ENGINE.drive.speed

    def gone(_, y):
        return y[0] - gap

    gone.terminal = True
    run = solve_ivp(lambda t, y: [y[1], slope * t / mass], (0.0, 0.1), [0.0, 0.0], events=gone, rtol=1e-10, atol=1e-14)
    assert found[0].time == pytest.approx(run.t_events[0][0], rel=1e-6)
    assert found[0].speed == pytest.approx(run.y_events[0][0][1], rel=1e-6)
    assert found[0].turn == pytest.approx(found[0].time * ENGINE.drive.speed)


def test_blow_is_the_peak_of_a_driven_mass_on_a_spring():
    """scipy solve_ivp on m w'' = F + F' t - k w with the flight's speed and force at the start; rel 1e-6."""
    mass, stiff = 1.7, 1e9
    first = crossings(800.0 * np.sin(ANGLE - 0.3), mass, 8e-5)[0]
    slope = 800.0 * ENGINE.drive.speed
    time = np.linspace(0.0, 2.5e-4, 40001)
    run = solve_ivp(lambda t, y: [y[1], (slope * (first.time + t) - stiff * y[0]) / mass], (0.0, 2.5e-4),
                    [0.0, first.speed], t_eval=time, rtol=1e-10, atol=1e-14)
    assert first.force == pytest.approx(stiff * run.y[0].max(), rel=1e-5)
    assert first.force > 1.02 * first.speed * np.sqrt(stiff * mass)
    assert flanks.natural_frequency(1.7, 1e9) == pytest.approx(1.0 / (2.0 * np.pi * np.sqrt(1.7 / 1e9)))


@pytest.mark.parametrize("mass", [0.1, 1.0, 10.0])
def test_constant_force_across_a_gap_is_the_suddenly_applied_load(mass):
    """F (1 + sqrt(1 + 2 k j / F)) = 1104.988 N for 100 N, 1e8 N/m, 50 um, whatever the mass; without a gap 2 F."""
    speed = np.sqrt(2.0 * 100.0 * 50e-6 / mass)
    assert flanks.blow(100.0, speed, mass, 1e8) == pytest.approx(1104.988, rel=1e-6)
    assert flanks.blow(100.0, 0.0, mass, 1e8) == pytest.approx(200.0, rel=1e-12)


def test_a_force_of_one_sign_has_no_reversal():
    assert crossings(5.0 + np.sin(ANGLE), 1.0, 1e-5) == []


def test_idle_condition_is_the_place_of_the_pin_and_keeps_the_guides_idle():
    away = replace(ELASTIC, guide_clearance=1e-2, bore_clearance=1e-2)
    _, found = quasi_static.share(away, ENGINE.drive, ENGINE.loads)
    idle = flanks.idle_clearance(away, ENGINE.drive, ENGINE.loads, found)
    assert idle == pytest.approx(np.abs(flanks.pin_place(away, ENGINE.drive, ENGINE.angle, found)).max(), rel=1e-6)
    enough = replace(away, guide_clearance=1.001 * idle)
    assert np.abs(quasi_static.share(enough, ENGINE.drive, ENGINE.loads)[0]["guide"]).max() < 1e-3
    far_less = replace(away, guide_clearance=0.3 * idle)
    assert np.abs(quasi_static.share(far_less, ENGINE.drive, ENGINE.loads)[0]["guide"]).max() > 100.0


def test_a_stiff_machine_without_play_keeps_pin_piston_and_torque_in_place():
    tight = replace(
        ELASTIC, pin_clearance=1e-9, backlash=0.0, bearing_clearance=0.0, guide_clearance=0.0, bore_clearance=0.0, **{
            name: 1e3 * getattr(ELASTIC, name) for name in ("mesh", "bearing", "guide", "bore", "pin", "bending")
        },
    )
    _, found = quasi_static.share(tight, ENGINE.drive, ENGINE.loads)
    assert np.abs(flanks.pin_place(tight, ENGINE.drive, ENGINE.angle, found)).max() < 1e-6
    edges, tilt = flanks.piston_place(tight, found, 2)
    assert np.abs(edges).max() < 1e-6 and np.abs(tilt).max() < 1e-5
    correction = flanks.torque_correction(tight, ENGINE.drive, ENGINE.loads, found)
    assert np.abs(correction).max() < 1e-3 * np.abs(ENGINE.loads["torque"]).max()


def test_work_of_the_torque_correction_is_the_work_of_the_rods_on_their_displacements():
    """Potential energy returns after a cycle: the integral of the correction is that of (dV/dQ) dQ, within 3 %."""
    fine = assess(ENGINE.design, 5761)
    _, found = quasi_static.share(ELASTIC, fine.drive, fine.loads)
    correction = flanks.torque_correction(ELASTIC, fine.drive, fine.loads, found)
    rod, step, work = fine.loads["rod"], 0.05, 0.0
    for k in range(2):
        shift = np.zeros_like(rod)
        shift[k] = step
        pair = [quasi_static.assembly(ELASTIC, fine.drive, fine.angle, rod + side * shift) for side in (-1.0, 1.0)]
        low, high = (springs.energy(*case, found.displacement) for case in pair)
        rate = (high - low) / (2.0 * step)
        work += np.sum(0.5 * (rate[1:] + rate[:-1]) * np.diff(rod[k]))
    assert np.trapezoid(correction, fine.angle) == pytest.approx(work, rel=0.03, abs=2e-3)


def test_turning_mass_has_a_range_and_both_parts():
    mass = flanks.turning_mass(ENGINE.drive, 1.0)
    assert mass.low < mass.likely < mass.high
    assert flanks.turning_mass(ENGINE.drive, 0.0).likely == pytest.approx(0.5 * ENGINE.drive.reciprocating_mass.sum())
