"""Computed cycles of whole designs: both mechanisms, both kinds of comparison, all demo machines."""

import time
from pathlib import Path

import numpy as np
import pytest

from vmech_core import InputError, assess, load_design
from vmech_core.pressure import compressor
from vmech_core.pressure.measured import pressure_at
from vmech_core.pressure.volume import swept
from vmech_core.sheet.assessment import STAGES

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = load_design(DATA / "first_sketch.toml")


def test_volume_curves_have_the_same_ends():
    """Fair comparison, common practice: equal clearance and swept volume for both mechanisms."""
    for name in ("first_sketch", "star_pump", "air_compressor"):
        design = load_design(DATA / f"{name}.toml")
        volumes = [swept(curve) for curve in assess(design).curves]
        area = 0.25 * np.pi * design.cylinders.si.bore**2
        assert volumes == pytest.approx([area * design.cylinders.si.stroke] * 2, rel=1e-6)
        clearance = [float(curve(np.zeros(1))[0][0]) for curve in assess(design).curves]
        assert clearance == pytest.approx([volumes[0] * design.cylinders.clearance_volume_ratio] * 2, rel=1e-6)


def test_same_charge_means_same_heat_and_mass():
    closed = assess(ENGINE).own_cycle.closed
    assert closed.released[0, -1] == pytest.approx(closed.released[1, -1], rel=1e-12)
    assert np.abs(closed.imbalance).max() < 1e-6


def test_each_mechanism_has_its_own_best_ignition():
    start = assess(ENGINE).own_cycle.burn_start
    assert start[0] > start[1] + np.radians(0.3)  # longer dwell, later ignition
    fixed = assess(ENGINE.changed(**{"spark_cycle.burn_start_deg": -10}))
    assert fixed.cycle.burn_start == pytest.approx(np.radians([-10.0, -10.0]))
    assert fixed.own_cycle.burn_start == pytest.approx(start, abs=1e-9)


def test_loads_can_run_on_the_computed_cycle():
    a = assess(ENGINE.changed(**{"duty.pressure_from": "cycle"}))
    assert a.gas_trace is a.cycle.traces[0]
    own = a.stage("own_comparison")["own_tooth_force"].value
    assert np.abs(a.loads["mesh"]).max() == pytest.approx(own)
    firing = a.design.cylinders.si.bank_angle[0]
    index = int(np.argmin(np.abs(a.angle - firing)))
    area = 0.25 * np.pi * a.design.cylinders.si.bore**2
    expected = area * (pressure_at(a.cycle.traces[0], a.angle[index] - firing) - 101300.0)
    assert a.loads["gas"][0, index] == pytest.approx(float(expected))


def test_mean_torque_of_the_own_cycle_is_its_mean_pressure():
    """Torque times angle of the cycle against mean effective pressure times swept volume, both mechanisms."""
    a = assess(ENGINE)
    stage, own = a.stage("cycle"), a.stage("own_comparison")
    for torque, pressure, curve in (
        (own["own_mean_torque"], stage["mean_pressure"], a.curves[0]),
        (own["own_ordinary_mean_torque"], stage["ordinary_mean_pressure"], a.curves[1]),
    ):
        assert torque.value * 4.0 * np.pi == pytest.approx(2.0 * pressure.value * swept(curve), rel=1e-3)


def test_compressor_work_is_the_closed_form_for_both_mechanisms():
    """Area of the ideal diagram, core closed form; the motion does not matter."""
    design = load_design(DATA / "air_compressor.toml")
    a, duty, n = assess(design), design.duty.si, design.fluid_cycle.polytropic_exponent
    ratio = design.cylinders.clearance_volume_ratio
    induced = compressor.volumetric_efficiency(ratio, duty.inlet_pressure, duty.outlet_pressure, n)
    work = compressor.indicated_work(induced, duty.inlet_pressure, duty.outlet_pressure, n)
    stage = a.stage("cycle")
    for key in ("mean_pressure", "ordinary_mean_pressure"):
        assert -stage[key].value == pytest.approx(float(work), rel=1e-3)


def test_machines_without_a_cycle_say_so():
    with pytest.raises(InputError, match="design.machine = 'hand_model' is not one of engine, compressor, pump"):
        assess(load_design(DATA / "desk_model.toml")).stage("cycle")
    two_stroke = ENGINE.changed(**{"duty.cycle_turns": 1, "duty.firing_turn": [0, 0]})
    with pytest.raises(InputError, match="duty.cycle_turns = 1 is not 2"):
        assess(two_stroke).stage("cycle")


def test_whole_assessment_is_quick():
    """At most 0.3 s of one core for all of a V-twin but oil films and what rests on them, cycle search included."""
    stages, spent = [name for name in STAGES if name not in (
        "sharing", "in_time", "bearings", "rating", "crank", "making")], []
    for _ in range(5):
        start, a = time.process_time(), assess(ENGINE)
        for name in stages:
            a.stage(name)
        spent.append(time.process_time() - start)
    print(f"whole assessment: {min(spent):.3f} s")
    assert min(spent) < 0.3
