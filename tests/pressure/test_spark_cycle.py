"""The spark-ignition cycle: energy balance, order of accuracy, limits, an independent solver, valve events."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from vmech_core.base.errors import InputError
from vmech_core.pressure import first_law, gas, spark
from vmech_core.pressure.volume import crossing, curve_of, swept

BORE, STROKE = 0.063, 0.069
AREA = 0.25 * np.pi * BORE**2
CYCLE = spark.SparkCycle(
    BORE, 314.16, 0.95e5, 1.08e5, 350.0, 0.95, 0.88, 2.5e6, np.radians(50.0), wall_temperature=450.0, residual=0.06
)
SINE = curve_of(lambda t: (0.5 * STROKE * np.cos(t), -0.5 * STROKE * np.sin(t)), AREA, STROKE, 0.125)


def _slider(t, ratio=3.5, r=0.5 * STROKE):
    cosine = np.sqrt(ratio**2 - np.sin(t) ** 2)
    return r * (np.cos(t) + cosine), -r * (np.sin(t) + np.sin(t) * np.cos(t) / cosine)


SLIDER = curve_of(_slider, AREA, STROKE, 0.125)


@pytest.mark.parametrize("loss", first_law.WALL_LOSSES)
def test_energy_is_kept(loss):
    """First law over the closed period: nothing lost or invented beyond 1e-6 of the heat."""
    found = spark.closed_period(replace(CYCLE, wall_loss=loss), [SINE, SLIDER], np.radians([-20.0, -20.0]))
    assert np.abs(found.imbalance).max() < 1e-6


def test_work_is_the_area_of_the_indicator_diagram():
    """Integral of p dV by Simpson's rule on the nodes of each stretch, independent of the stepping's own sum."""
    found = spark.closed_period(CYCLE, [SINE], np.radians([-20.0]))
    p, v, edges = found.pressure[0], found.volume[0], np.cumsum([0, *spark.STEPS])
    total = 0.0
    for a, b in zip(edges[:-1], edges[1:], strict=True):
        angle = found.angle[0, a : b + 1]
        rate = SINE(angle)[1]
        y, h = p[a : b + 1] * rate, angle[1] - angle[0]
        total += h / 3.0 * (y[0] + y[-1] + 4.0 * y[1:-1:2].sum() + 2.0 * y[2:-1:2].sum())
    assert total == pytest.approx(found.work[0, -1], rel=1e-5)
    assert v[0] == pytest.approx(AREA * STROKE * (0.125 + 0.95))


@pytest.mark.parametrize(("loss", "rpm", "method", "near"), [
    ("hohenberg", 3000.0, "DOP853", 1e-5), ("woschni", 3000.0, "DOP853", 1e-5),
    ("hohenberg", 10.0, "Radau", 2e-5), ("hohenberg", 1.0, "Radau", 5e-4), ("woschni", 1.0, "Radau", 2e-2)])
def test_pressure_agrees_with_an_independent_solver(loss, rpm, method, near):
    """scipy solve_ivp (rtol 1e-8) on the energy itself, temperature found from it by root finding."""
    cycle = replace(CYCLE, wall_loss=loss, speed=rpm * np.pi / 30.0)
    start = np.radians(-22.0)
    ours = spark.closed_period(cycle, [SLIDER], np.array([start]))
    swept_volume = AREA * STROKE
    closing = (cycle.inlet_pressure, ours.volume[0, 0], cycle.charge_temperature)
    whole = 1.0 - np.exp(-5.0)

    def burned(angle):
        return 1.0 - np.exp(-5.0 * np.clip((angle - start) / cycle.burn_duration, 0.0, 1.0) ** 3)

    def state(angle, energy):
        share = 0.06 + 0.94 * burned(angle) / whole
        t = 298.15 + energy / ours.mass / 900.0
        for _ in range(6):
            mix = (1 - share) * gas.energy(gas.AIR, t) + share * gas.energy(gas.BURNED, t)
            t -= (mix - energy / ours.mass) / ((1 - share) * gas.heat_capacity(gas.AIR, t)
                                               + share * gas.heat_capacity(gas.BURNED, t))
        r = (1 - share) * gas.AIR.constant + share * gas.BURNED.constant
        return t, r

    def rate(angle, energy):
        t, r = state(angle, energy[0])
        volume, slope = (float(v[0]) for v in SLIDER(np.array([angle])))
        p = ours.mass * r * t / volume
        speed = 2.0 * STROKE * cycle.speed / (2.0 * np.pi)
        if loss == "hohenberg":
            h = 130.0 * volume**-0.06 * (p / 1e5) ** 0.8 * t**-0.4 * (speed + 1.4) ** 0.8
        else:
            motored = closing[0] * (closing[1] / volume) ** 1.32
            rise = 3.24e-3 * swept_volume * closing[2] / (closing[0] * closing[1]) * max(p - motored, 0.0)
            h = 3.26 * BORE**-0.2 * (p / 1e3) ** 0.8 * t**-0.55 * (2.28 * speed + rise) ** 0.8
        lost = h * (2 * AREA + 4 * volume / BORE) * (t - 450.0) / cycle.speed
        x = (angle - start) / cycle.burn_duration
        heat = 15.0 * x**2 * np.exp(-5.0 * x**3) / cycle.burn_duration if 0.0 <= x <= 1.0 else 0.0
        return [ours.mass * cycle.heat * heat - lost - p * slope]

    place = ours.angle[0]
    edges = np.cumsum([0, *spark.STEPS])
    energy, pressure = ours.energy[0, 0], []
    for a, b in zip(edges[:-1], edges[1:], strict=True):
        found = solve_ivp(rate, place[[a, b]], [energy], method, place[a : b + 1], rtol=1e-8, atol=1e-7)
        energy = found.y[0, -1]
        for angle, e in zip(place[a : b + 1], found.y[0], strict=True):
            t, r = state(angle, e)
            pressure.append(ours.mass * r * t / float(SLIDER(np.array([angle]))[0][0]))
    kept = np.delete(np.array(pressure), [edges[1], edges[2] + 1])
    assert ours.pressure[0] == pytest.approx(kept, rel=near)


def test_halving_the_steps_changes_the_work_by_less_than_a_millionth():
    coarse, fine = (
        spark.closed_period(CYCLE, [SINE, SLIDER], np.radians([-20.0, -20.0]), tuple(f * n for n in spark.STEPS))
        for f in (1, 2)
    )
    assert coarse.work[:, -1] == pytest.approx(fine.work[:, -1], rel=1e-6)


def test_short_burns_approach_the_sudden_one():
    """A burn of 2 degrees about the dead centre differs from the sudden burn by less than one of 8 degrees."""
    own = replace(CYCLE, wall_loss="none")
    sudden = spark.closed_period(replace(own, burn_duration=0.0), [SINE], np.array([0.0])).work[0, -1]
    off = []
    for degrees in (8.0, 4.0, 2.0):
        short = replace(own, burn_duration=np.radians(degrees))
        off.append(abs(spark.closed_period(short, [SINE], np.radians([-0.5 * degrees])).work[0, -1] / sudden - 1.0))
    assert off[0] > off[1] > off[2] and off[2] < 2e-4


def test_ever_shorter_burns_approach_the_closed_form_of_constant_volume():
    """Constant heat capacity, no walls, burn from the dead centre: p3 = p1 r^gamma (1 + q / (cv T2)), any textbook.

    The pressure rises towards it as the burn gets shorter, in the nodes and in the trace, and never beyond.
    """
    air = gas.constant_gamma(1.4)
    ideal = replace(CYCLE, wall_loss="none", fresh=air, burned=air, residual=0.0, wiebe_a=50.0)
    ratio = (0.125 + 0.95) / 0.125
    hot = 350.0 * ratio**0.4
    exact = 0.95e5 * ratio**1.4 * (1.0 + 2.5e6 / (air.low[0] * hot))
    off = []
    for degrees in (2.0, 1.0, 0.5, 0.2, 0.1, 1e-2, 1e-3, 1e-6, 1e-9, 1e-300, 0.0):
        traces, closed, _ = spark.solve(replace(ideal, burn_duration=np.radians(degrees)), [SINE], 0.0)
        off.append(1.0 - closed.pressure.max() / exact)
        assert 0.99 * closed.pressure.max() < traces[0].pressure.max() <= closed.pressure.max() * (1.0 + 1e-9)
        assert np.abs(closed.imbalance).max() < 1e-6
    assert all(a >= b - 1e-8 for a, b in zip(off, off[1:])) and off[0] > 1e-5 and abs(off[-1]) < 1e-7, off


@pytest.mark.parametrize("loss", ["hohenberg", "woschni"])
def test_walls_cannot_take_more_than_there_is(loss):
    """At 1 rpm and five times the loss the charge ends near the wall's 450 K, energy kept, no library warning."""
    slow = replace(CYCLE, speed=np.pi / 30.0, wall_loss=loss, wall_factor=5.0)
    with np.errstate(all="raise"):
        traces, closed, starts = spark.solve(slow, [SINE, SLIDER])
    assert np.abs(closed.imbalance).max() < 1e-5 and np.isfinite(traces[0].pressure).all()
    assert 300.0 < closed.temperature.min() and closed.temperature[:, -1] == pytest.approx(450.0, abs=3.0)
    assert spark.at_edge(slow, [SINE, SLIDER], starts).all() == (loss == "hohenberg")


def test_a_best_start_inside_the_range_is_not_at_its_edge():
    starts = spark.best_burn_start(CYCLE, [SINE])
    assert not spark.at_edge(CYCLE, [SINE], starts)[0]
    assert spark.at_edge(CYCLE, [SINE, SINE], np.radians([-75.0, 15.0])).all()


def test_no_nan_is_the_best_start():
    """Twice the heat that the gas data bear, at early starts only: the best is looked for among the others."""
    hot = replace(CYCLE, heat=9e6, wall_factor=0.1)
    assert np.isfinite(spark.best_burn_start(hot, [SINE])).all()


def test_no_heat_and_no_loss_give_no_work():
    """An isentrope is run in and out again: the sine curve is symmetric, equal valve volumes."""
    own = replace(CYCLE, heat=0.0, wall_loss="none", exhaust_opening=0.95, burned=gas.AIR)
    found = spark.closed_period(own, [SINE], np.array([0.0]))
    assert abs(found.work[0, -1]) < 1e-6 * np.abs(found.work).max()


def test_best_burn_start_is_best():
    """Against a dense row of trials with full steps: no trial gives more work, within 1e-6."""
    best = spark.best_burn_start(CYCLE, [SINE, SLIDER])
    found = spark.closed_period(CYCLE, [SINE, SLIDER], best).work[:, -1]
    trials = best[:, None] + np.radians(np.linspace(-6.0, 6.0, 49))
    work = spark.closed_period(CYCLE, [SINE, SLIDER], trials).work[..., -1]
    assert (found * (1.0 + 1e-6) >= work.max(axis=1)).all() and (work.max(axis=1) > work[:, 0]).all()


def test_both_curves_trap_the_same_charge_at_different_angles():
    _, closed, _ = spark.solve(CYCLE, [SINE, SLIDER])
    assert closed.volume[0, [0, -1]] == pytest.approx(closed.volume[1, [0, -1]], rel=1e-9)
    assert closed.angle[1, 0] > closed.angle[0, 0] + np.radians(3.0)  # the ordinary crank dwells at the inner end


def test_trace_meets_manifolds_and_nodes():
    traces, closed, _ = spark.solve(CYCLE, [SINE, SLIDER], np.radians(-20.0))
    for k, trace in enumerate(traces):
        p = np.interp(closed.angle[k], trace.angle, trace.pressure)
        assert p == pytest.approx(closed.pressure[k], rel=2e-3)
        assert trace.pressure[0] == pytest.approx(trace.pressure[-1])
        assert np.interp(np.radians(270.0), trace.angle, trace.pressure) == pytest.approx(1.08e5)
        assert np.interp(np.radians(-270.0), trace.angle, trace.pressure) == pytest.approx(0.95e5)


def test_volume_tools_on_a_known_curve():
    assert swept(SINE) == pytest.approx(AREA * STROKE, rel=1e-9)
    assert crossing(SINE, 0.5, True) == pytest.approx(0.5 * np.pi) and crossing(SINE, 0.5, False) == -crossing(
        SINE, 0.5, True
    )
    angle = np.linspace(-3.0, 3.0, 7)
    step = 1e-6
    numeric = (SLIDER(angle + step)[0] - SLIDER(angle - step)[0]) / (2.0 * step)
    assert SLIDER(angle)[1] == pytest.approx(numeric, abs=1e-11)


@pytest.mark.parametrize(
    ("change", "start", "words"),
    [
        ({}, -170.0, "burn_start"),
        ({}, 120.0, "burn_start"),
        ({"wall_loss": "guess"}, -20.0, "wall_loss"),
        ({"inlet_closing": 0.1}, -20.0, "inlet_closing"),
    ],
)
def test_refusals_name_the_field(change, start, words):
    with pytest.raises(InputError, match=f"^{words} = .*(outside|not one of).*nearest"):
        spark.solve(replace(CYCLE, **change), [SINE], np.radians(start))


def test_a_burn_that_cannot_fit_is_refused():
    with pytest.raises(InputError, match="burn_duration"):
        spark.solve(replace(CYCLE, burn_duration=np.radians(250.0)), [SINE])
