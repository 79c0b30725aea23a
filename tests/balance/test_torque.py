"""Torque, flywheel and speed over the cycle against a general integrator, multipliers and the work of the gas.

Outside sources: scipy's solve_ivp for the equation of motion; sympy's Lagrange multipliers (tests/multibody.py) for
torque and tooth force while the speed changes; the area of the pressure-volume diagram; harmonics in closed form.
"""

import warnings
from dataclasses import replace
from pathlib import Path

import multibody
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from vmech_core import assess, balance, load_design
from vmech_core.base import InputError
from vmech_core.machine import hypocycloid, masses, slider_crank

DATA = Path(__file__).resolve().parents[2] / "data"
DEMOS = ("v_twin_generator", "first_sketch", "star_pump", "air_compressor")


@pytest.fixture(scope="module")
def cases():
    """Every demo that runs on gas or liquid, assessed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the first sketch is doubtful and says so, once
        return {name: assess(load_design(DATA / f"{name}.toml")) for name in DEMOS}


def test_speed_is_what_a_general_integrator_finds():
    """Inertia, torque and load that all vary with the angle; solve_ivp of I w' + I_theta w^2 / 2 = T - T_L, 1e-6."""
    angle, mean = np.linspace(0.0, 2.0 * np.pi, 14401), 40.0

    def torque(t):
        return 30.0 + 25.0 * np.sin(2.0 * t) + 9.0 * np.cos(3.0 * t)

    def load(t):
        return 30.0 + 4.0 * np.sin(t)

    def inertia(t):
        return 0.05 + 0.02 * np.cos(2.0 * t)

    found = balance.speed_over_cycle(angle, torque(angle), inertia(angle), mean, load(angle))

    def rate(_, state):
        turn, speed = state
        own = 0.5 * -0.04 * np.sin(2.0 * turn) * speed**2
        return speed, (torque(turn) - load(turn) - own) / inertia(turn)

    period = 2.0 * np.pi / mean
    run = solve_ivp(rate, (0.0, period), (0.0, found.speed[0]), rtol=1e-11, atol=1e-12, dense_output=True)
    assert run.y[0, -1] == pytest.approx(2.0 * np.pi, rel=1e-6)
    assert run.y[1, -1] == pytest.approx(found.speed[0], rel=1e-6)
    turn, speed = run.sol(np.linspace(0.0, period, 97))
    assert np.interp(turn, angle, found.speed) == pytest.approx(speed, rel=1e-6)
    times = np.linspace(0.0, period, 4001)
    assert found.swing == pytest.approx(0.5 * np.ptp(run.sol(times)[0] - mean * times), rel=1e-4)
    gain = [rate(0.0, state)[1] for state in zip(turn, speed, strict=True)]
    assert np.interp(turn, angle, found.acceleration) == pytest.approx(gain, rel=1e-4, abs=0.01)


def test_small_fluctuation_is_the_linear_one_and_a_large_one_is_not():
    angle = np.linspace(0.0, 2.0 * np.pi, 721)
    found = balance.speed_over_cycle(angle, 30.0 + 25.0 * np.sin(2.0 * angle), np.array([[1.0], [0.01]]), 60.0)
    assert found.linear == pytest.approx([25.0 / 3600.0, 2500.0 / 3600.0], rel=1e-4)
    assert found.coefficient[0] == pytest.approx(found.linear[0], rel=1e-5)
    assert abs(found.coefficient[1] / found.linear[1] - 1.0) > 0.02
    assert 2.0 * np.pi / np.trapezoid(1.0 / found.speed, angle) == pytest.approx([60.0, 60.0], rel=1e-9)


def test_small_fluctuation_is_the_linear_one_where_the_inertia_varies_too():
    angle = np.linspace(0.0, 2.0 * np.pi, 1441)
    found = balance.speed_over_cycle(angle, 30.0 + 2.0 * np.sin(2.0 * angle), 1.0 + 0.002 * np.cos(2.0 * angle), 40.0)
    assert found.linear == pytest.approx(found.coefficient, rel=0.01) and found.linear > 1.2 * 2.0 / 1600.0


def test_energy_of_one_harmonic():
    """Torque A sin(n theta) moves 2 A / n to and fro; closed form."""
    angle = np.linspace(0.0, 4.0 * np.pi, 28801)
    order = np.array([[0.5], [1.0], [3.0]])
    found = balance.fluctuation(angle, 20.0 + 7.0 * np.sin(order * angle))
    assert found.energy == pytest.approx(14.0 / order[:, 0], rel=1e-6)
    assert found.coefficient == pytest.approx(14.0 / order[:, 0] / (80.0 * np.pi), rel=1e-6)
    shifted = balance.fluctuation(angle, 20.0 + 7.0 * np.sin(order * angle + 1.3))
    assert shifted.energy == pytest.approx(found.energy, rel=1e-6)


@pytest.mark.parametrize("name", DEMOS)
def test_work_of_the_shaft_is_work_of_the_gas(cases, name):
    """Work per cycle is the area of all pressure-volume diagrams: 3e-5 on two grids, 1e-9 on the grid of the loads."""
    case = cases[name]
    for loads, motion, curve, trace in (
            (case.loads, case.motion, case.curves[0], case.gas_trace),
            (case.ordinary_loads, case.ordinary_motion, case.curves[1], case.gas_trace),
            (case.own_ordinary_loads, case.ordinary_motion, case.curves[1], case.own_cycle.traces[1])):
        work = balance.fluctuation(case.angle, loads["torque"]).mean * case.angle[-1]
        assert work == pytest.approx(
            case.design.n_cylinders * np.trapezoid(trace.pressure, curve(trace.angle)[0]), rel=3e-5)
        power = -(loads["gas"] * motion.velocity).sum(axis=0) / case.design.duty.si.speed
        assert work == pytest.approx(np.trapezoid(power, case.angle), rel=1e-9)


@pytest.mark.parametrize("name", DEMOS)
def test_inertia_torque_is_half_the_change_of_inertia(cases, name):
    """At constant speed the parts take dI/dtheta omega^2 / 2, from the kinetic energy alone; so the loads agree."""
    case = cases[name]
    for machine, drive, loads in ((hypocycloid, case.drive, case.loads),
                                  (slider_crank, case.ordinary, case.ordinary_loads)):
        still = machine.rigid_loads(replace(drive, speed=0.0), case.angle, loads["gas"])["torque"]
        step = 1e-4
        before, after = (machine.effective_inertia(drive, case.angle + side * step) for side in (-1.0, 1.0))
        own = -0.5 * drive.speed**2 * (after - before) / (2.0 * step)
        assert loads["torque"] - still == pytest.approx(own, abs=1e-5 * np.abs(loads["torque"]).max())


def test_right_angled_v_and_even_star_have_no_inertia_torque(cases):
    """sin^2 of equal rods adds up to a constant: what moves keeps its energy; an ordinary crank's does not."""
    for name in ("v_twin_generator", "star_pump"):
        case = cases[name]
        assert np.ptp(hypocycloid.effective_inertia(case.drive, case.angle)) < 1e-15
        assert np.ptp(slider_crank.effective_inertia(case.ordinary, case.angle)) > 5e-5
    single = cases["air_compressor"]
    moving = hypocycloid.effective_inertia(single.drive, single.angle)
    rod = single.drive.reciprocating_mass[0] * (0.5 * single.drive.stroke) ** 2
    assert np.ptp(moving) == pytest.approx((1.0 - single.design.crank.counterweight_fraction) * rod)


BANK, MASS = np.radians([-45.0, 40.0]), np.array([0.42, 0.35])
ANGLE = np.linspace(0.0, 2.0 * np.pi, 961)
GAS = 4e3 + 3e3 * np.cos(ANGLE - BANK[:, None]) - 1e3 * np.cos(3.0 * ANGLE + BANK[:, None])
SOME = np.arange(7, 960, 41)


def channels(model, guess, machine, own, found):
    """Torque and joint forces by multipliers, at the speeds and accelerations that were found."""
    rows = []
    for i in SOME:
        values = [*machine(found.speed[i]), *np.column_stack(own(i)).ravel(), ANGLE[i], found.acceleration[i]]
        rows.append(multibody.solve(model, guess(ANGLE[i]), 0.0, values)[1])
    return {name: np.array([row[name] for row in rows])[:, 0] for name in ("torque", "mesh") if name in rows[0]}


@pytest.mark.parametrize("moment", [0.0, 0.012 - 0.005j], ids=["no counterweight", "skewed counterweight"])
def test_torque_and_tooth_force_while_the_speed_changes(moment):
    """Multipliers of sympy with omega and its rate as found, 1e-9; carriers 0.01, crank 0.02 kg m2 about its middle."""
    drive = hypocycloid.HypocycloidDrive(0.069, BANK, MASS, 90.0, np.radians(21.3), 2.6, moment)
    loads = hypocycloid.rigid_loads(drive, ANGLE, GAS)
    ours = balance.with_flywheel(drive, loads, 0.05, 0.02 + abs(moment) ** 2 / 2.6)
    assert ours.speeds.coefficient > 0.1
    theirs = channels(
        multibody.straight_line(2, gains=True), lambda t: multibody.straight_line_guess(drive, t),
        lambda speed: [drive.stroke, speed, drive.crank_mass, np.real(moment), np.imag(moment), 0.0],
        lambda i: [BANK, MASS, GAS[:, i], np.zeros(2)], ours.speeds)
    at_load = ours.torque[SOME] - 0.01 * ours.speeds.acceleration[SOME]
    assert at_load == pytest.approx(theirs["torque"], abs=1e-9 * np.abs(ours.torque).max())
    assert ours.mesh[SOME] == pytest.approx(-theirs["mesh"], abs=1e-9 * np.abs(GAS).max())
    rest = ours.torque - 0.05 * ours.speeds.acceleration  # what is left for the load is constant
    assert rest == pytest.approx(np.full(ANGLE.size, np.mean(rest)), abs=1e-4 * np.abs(ours.torque).max())
    heavy = balance.with_flywheel(drive, loads, 1e7)
    assert heavy.mesh == pytest.approx(loads["mesh"], abs=1e-5 * np.abs(loads["mesh"]).max())


def test_torque_of_an_ordinary_crank_while_the_speed_changes():
    """The same for the ordinary drive with offset, skewed counterweight and a rod of its own inertia, 1e-9."""
    one = np.ones(2)
    drive = slider_crank.SliderCrank(0.0345, 0.121, BANK, 0.0 * one, MASS, 0.8 * MASS, 0.31, 0.0006 * one, 90.0, 0.002,
                                     0.02 - 0.01j)
    ours = balance.with_flywheel(drive, slider_crank.rigid_loads(drive, ANGLE, GAS), 0.05)
    theirs = channels(
        multibody.slider(2, gains=True), lambda t: multibody.slider_guess(drive, t),
        lambda speed: [0.0345, 0.121, 0.31, 0.002, speed, 0.02, -0.01],
        lambda i: [BANK, 0.0 * one, MASS, 0.8 * MASS, 0.0006 * one, GAS[:, i]], ours.speeds)
    crank = 0.02 + abs(drive.crank_moment) ** 2 / 4.0
    assert ours.mesh is None
    assert (ours.torque - crank * ours.speeds.acceleration)[SOME] == pytest.approx(
        theirs["torque"], abs=1e-9 * np.abs(ours.torque).max())


def test_inertia_of_a_crank_of_plain_shapes():
    """Mass of the shapes is the guessed one; its gyration lies within what flank changes assume, own judgement."""
    from vmech_core.sharing.flanks import GYRATION

    case = assess(load_design(DATA / "v_twin_generator.toml"))
    found = masses.crank_inertia(case.design, case.mass)
    radius = np.sqrt(found.likely / case.mass["crank"].likely) / (0.25 * case.drive.stroke)
    assert GYRATION[0] < radius < GYRATION[2]
    assert found.low < found.likely < found.high


def test_a_small_flywheel_changes_the_flanks(cases):
    """Far below the wanted flywheel the crank's inertia takes over, and the flank changes no more (V-twin)."""
    case = cases["v_twin_generator"]
    crank = masses.crank_inertia(case.design, case.mass).likely
    mesh = balance.with_flywheel(case.drive, case.loads, np.array([[10.0], [0.1], [0.01], [0.001]]), crank).mesh
    assert balance.reversals(mesh).tolist() == [4, 6, 4, 0]
    assert np.all(np.diff(np.abs(mesh).max(axis=-1)) < 0.0)


def test_sheet(cases):
    sheet = {key: quantity.value for key, quantity in cases["v_twin_generator"].stage("torque").items()}
    assert np.degrees(sheet["longest_gap"]) == pytest.approx(450.0) == np.degrees(sheet["ordinary_longest_gap"])
    case = cases["v_twin_generator"]
    even = balance.with_flywheel(case.drive, case.loads, sheet["inertia"] - hypocycloid.effective_inertia(
        case.drive, np.zeros(1))[0]).speeds
    assert even.coefficient == pytest.approx(sheet["wanted_fluctuation"], rel=1e-3)
    assert cases["star_pump"].stage("torque")["flank_changes"].value == 0
    assert cases["star_pump"].stage("torque")["flank_inertia"].value == 0.0
    lenient = case.drawing.changed(**{"duty.speed_fluctuation": 0.01})
    assert assess(lenient).stage("torque")["inertia"].value == pytest.approx(0.5 * sheet["inertia"])
    model = assess(load_design(DATA / "desk_model.toml")).stage("torque")
    assert model["inertia"].value == pytest.approx(0.0, abs=1e-12) and "own_ordinary_energy" not in model


def test_refusals():
    angle = np.linspace(0.0, 2.0 * np.pi, 721)
    torque = 50.0 + 10.0 * np.sin(angle)
    with pytest.raises(InputError, match="load = 40.* 50 N m"):
        balance.fluctuation(angle, torque, 40.0 + 0.0 * angle)
    for inertia in (1e-9, 0.0, -1.0):
        with pytest.raises(InputError, match="inertia = .*stand still.*kg m"):
            balance.speed_over_cycle(angle, torque, inertia, 100.0)
