"""Drawings, figures and live scenes: against the mechanics that they draw, their axes, captions and pace."""

import inspect
import re
import time
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text

from vmech_core import assess, balance, friction, gears, load_design, sheet
from vmech_core.bearings import alone, films, seats
from vmech_core.bearings.journal import film_thickness
from vmech_core.friction import chances, response
from vmech_core.gears import strokes
from vmech_core.machine import hypocycloid
from vmech_core.pressure.cycles import SAME_CHARGE, SAME_TRACE
from vmech_core.show import (
    banks,
    bearing_scene,
    bearings,
    cycle,
    ends,
    free_body,
    friction_scene,
    gear_rating,
    gear_scene,
    loads,
    machine,
    motion,
    pump,
    sharing,
    side_load,
    side_thrust,
    straight_line,
    stroke,
    style,
    tolerances,
    torque,
)
from vmech_core.show import friction as friction_plots

DATA = Path(__file__).resolve().parents[2] / "data"
ROLLERS = "stub shaft, all on rollers"


@pytest.mark.parametrize("name", ["v_twin_generator", "star_pump", "air_compressor", "desk_model"])
@pytest.mark.parametrize("angle", [0.0, 0.7, 2.2])
def test_the_drawing_puts_pins_and_pinion_where_the_mechanics_does(name, angle):
    design = load_design(DATA / f"{name}.toml")
    parts = machine.parts(design, angle)
    pistons = hypocycloid.motion(assess(design).drive, np.array([angle]))
    pins = [outline for name, outline in parts if name == "crankpin"]
    for k, bank in enumerate(design.cylinders.si.bank_angle):
        assert pins[k][:-1].mean() == pytest.approx(pistons.position[k, 0] * np.exp(1j * bank), abs=1e-9)
    pinion = next(outline for name, outline in parts if name == "pinion")
    reach = np.abs(pinion - 0.25 * design.cylinders.si.stroke * np.exp(1j * angle))
    assert reach.max() == pytest.approx(float(design.pair.pinion_tip_radius), rel=1e-4)


@lru_cache
def scenes():
    """Every live scene of the notebooks from 02 on, at its start values."""
    engine = load_design(DATA / "v_twin_generator.toml")
    found = {
        "banks scene": banks.BankScene(),
        "motion scene": motion.MotionScene(),
        "cycle scene": cycle.CycleScene(engine),
        "side load scene": side_load.SideLoadScene(engine),
        "side thrust scene": side_thrust.SideThrustScene(engine),
        "sharing scene": sharing.SharingScene(engine),
        "tolerance scene": tolerances.ToleranceScene(engine),
        "bearing scene": bearing_scene.BearingScene(engine),
        "rolling scene": gear_scene.RollingScene(engine),
        "backlash scene": gear_scene.BacklashScene(engine),
        "torque scene": torque.TurningScene(engine),
        "friction scene": friction_scene.FrictionScene(engine, (ROLLERS,), samples=25),
    }
    for scene in found.values():
        scene.update()
    return found


def test_a_scene_takes_what_its_controls_give_and_starts_where_they_do():
    """Rows of the table against what each scene is drawn from; every option of a choice can be drawn."""
    for name, scene in scenes().items():
        starts = {control.name: control.value for control in scene.controls}
        taken = set(inspect.signature(scene._change).parameters) | ({"angle_deg"} if scene._turn else set())
        assert taken == set(starts), name
        for choice in (own for own in scene.controls if hasattr(own, "options")):
            for option in choice.options:
                scene.update(**{choice.name: option})
        scene.update()
        assert scene._values == {key: value for key, value in starts.items() if key in scene._values}, name


def test_the_table_of_sliders_agrees_with_what_it_moves():
    """Ends of the fit behind the friction scene; rows of the picker; numbers of the banks scene."""
    fitted = {own.name: (own.minimum, own.maximum) for own in friction_scene.FrictionScene.controls[:-1]}
    assert fitted == {**response.RANGES, "boundary": response.BOUNDARY}
    assert stroke.StrokePicker.controls[-1].maximum == stroke.ROWS
    assert banks.BankScene.controls[0].maximum == banks.MOST
    assert bearing_scene.BearingScene.controls[-2].options == tuple(bearing_scene.BEARINGS)


def test_live_scenes_follow_the_finger():
    """A step of any slider costs less than 15 ms of one core before it is drawn, 30 where oil films are marched anew.

    Median of ten steps to and fro of each slider; each sets another value than the one before.
    """
    for name, scene in scenes().items():
        for control in (own for own in scene.controls if hasattr(own, "step")):
            spent, inward = [], 1 if control.value + control.step <= control.maximum else -1
            for k in range(10):
                start = time.process_time()
                scene.update(**{control.name: control.value + inward * control.step * (k % 2)})
                spent.append(time.process_time() - start)
            most = 0.030 if name == "bearing scene" else 0.015
            assert np.median(spent) < most, (name, control.name, np.median(spent))
        scene.update()


@pytest.mark.parametrize("bearing", ["crank in carrier", "wrist pin", "carrier in block"])
def test_windows_side_by_side_give_the_same_film_as_one_march(bearing):
    """The scene's sweeps over windows of the cycle against ``films.settle``, which marches it from end to end."""
    engine, scene = load_design(DATA / "v_twin_generator.toml"), scenes()["bearing scene"]
    scene.update(bearing=bearing, place="enclosing", clearance_permille=1.4)
    machine, part = bearing_scene.BEARINGS[bearing]
    a = assess(engine, bearing_scene.SAMPLES + 1)
    found = seats.straight(engine, a.drive, films.with_ends(engine, a.drive, a.loads))
    found += seats.ordinary(engine, a.ordinary, a.ordinary_loads)
    seat = found[alone.one_of_each(found)[machine, part]]
    warm = films.settle([replace(seat, kind="journal", clearance=0.7e-3 * seat.diameter)], engine)
    shown = {name: float(value) for name, value in re.findall(r"^([a-z ]+?) +([\d.]+) ", scene.moving[-1].text, re.M)}
    least = 1e6 * film_thickness(warm.journals, warm.orbit).min()
    assert shown["least film"] == pytest.approx(least, rel=0.03, abs=0.006)  # two digits shown; 2.1 % at the wrist pin
    assert shown["loss"] == pytest.approx(warm.power[0], rel=0.02, abs=0.06)
    assert shown["temperature"] == pytest.approx(warm.temperature[0] - 273.15, abs=1.0)


def test_live_scenes_have_room_for_their_axes():
    """Once frozen, no axes are squeezed below a tenth of the figure by an artist that reaches out of them."""
    for name, scene in scenes().items():
        for ax in scene.figure.axes:
            assert min(ax.get_position().width, ax.get_position().height) > 0.1, name


@pytest.mark.parametrize("case", [{"speed_rpm": 2000.0, "load": 0.4}, {"oil_shift_K": 12.0, "clearance": 0.8},
                                  {"viscosity": 1.2, "boundary": 0.06, "speed_rpm": 5000.0}])
def test_the_fit_behind_the_friction_scene_shows_what_a_run_gives(case):
    """The scene's totals against ``friction.of_both`` at finer angles, at points that made no part of the fit."""
    scene, given = scenes()["friction scene"], dict(case)
    scene.update(**given)
    design = friction.laid_out(load_design(DATA / "v_twin_generator.toml"), [ROLLERS])[ROLLERS]
    a = friction.at(design, given.pop("speed_rpm", 3000.0), given.pop("load", 1.0), 61)
    values = {"inlet": given.pop("oil_shift_K", 0.0), **given}
    right = [made.mean() for made in friction.of_both(a, values)]
    shown = [float(number) for number in re.search(r"power +([\d.]+) +([\d.]+)", scene.moving[-1].text).groups()]
    assert shown == pytest.approx(right, rel=0.035)
    loses = float(re.search(r"it loses (\d+) W", scene.moving[-1].text)[1])
    assert loses == pytest.approx(shown[0] - shown[1], abs=1.0)


@lru_cache
def figures():
    """Every figure of this version, by name."""
    engine = assess(load_design(DATA / "v_twin_generator.toml"))
    blower = assess(load_design(DATA / "air_compressor.toml"))
    few = assess(engine.design, 241)
    picker, scene = stroke.StrokePicker(), straight_line.StraightLineScene()
    picker.update()
    scene.update()
    random = friction.monte_carlo(engine.design, 5, layout=ROLLERS, samples=25)
    alone = [chances.BreakEven("viscosity", (0.85, 1.0, 1.2), (-20.0, 10.0, 30.0), 0.9, "")]
    mesh = sheet.rated_teeth(few)[1]
    lives = gears.tooth_lives(mesh.rating, few.design.pair, 0.03, few.angle, few.ends["mesh_end"][1], mesh.steels,
                              mesh.duty, along=sheet.along_cycle(few, mesh))
    wide, heat = np.array([0.02, 0.03]), gears.flash_temperature(few.design.pair, 0.03, 6e3, 314.0, 0.06, 363.0)
    live = {name: found.figure for name, found in scenes().items()}
    return {
        **live,
        "volumes": cycle.volumes(engine),
        "indicator": cycle.indicator(engine),
        "ignition": cycle.ignition(engine),
        "gas and burn": cycle.gas_and_burn(5.0, 2.0),
        "ripple": pump.ripple_against_pressure((3,), (0.1, 1.0)),
        "holding": side_thrust.holding(),
        "counterweight": side_thrust.counterweight(blower, np.linspace(0.0, 1.5, 4)),
        "tie": ends.shares_against_tie(engine),
        "ends": ends.end_forces(engine),
        "side forces": loads.side_forces(engine, SAME_TRACE),
        "pistons": loads.pistons(engine, SAME_TRACE),
        "picker": picker.figure,
        "scene": scene.figure,
        "ellipses": straight_line.ellipses(17.0, [0.0, 0.1]),
        "short bearing": bearings.validity(),
        "effective speed": bearings.effective_speed(),
        "orbits": bearings.orbits(few),
        "films": bearings.films_over_cycle(few),
        "wrong sleeve": bearings.wrong_sleeve(few),
        "sweep of speed": bearings.sweep(engine.design, (2000.0, 4000.0)),
        "carriers": bearings.carriers(few),
        "guides": bearings.guides(few),
        "oils": bearings.oils_chart(),
        "film springs": bearings.film_springs(few),
        "friction by contact": friction_plots.contacts(few),
        "friction over cycle": friction_plots.over_cycle(few),
        "friction of layouts": friction_plots.layouts(friction.compare(engine.design, [ROLLERS], samples=25)),
        "break-even": friction_plots.break_even(alone),
        "saving": friction_plots.distribution({"on rollers": random}),
        "what decides": friction_plots.ranking({"viscosity": 0.8, "together": 0.2}),
        "saving map": friction_plots.speed_map(engine.design, (1e3, 6e3), (0.0, 1.0), both=np.ones((2, 2, 2))),
        "correlation": friction_plots.correlation([1e3, 6e3], [1e5, 2e5], [1e5, 4e5]),
        "who carries": gear_rating.who_carries(few.design.pair, lives, np.array([5e8, 5e8])),
        "sections": gear_rating.sections(few.design.pair),
        "lean": gear_rating.lean(few.angle, few.ends["mesh_end"][1], {"likely": mesh.tilt}, wide,
                                 {"bare": (wide, wide)}),
        "flash": gear_rating.flash({"sized": (heat, 0.01)}, gears.scuffing_limits(1e-4)),
        "pressure map": gear_rating.pressure_map(wide, wide, 1e6 * np.array([[1.0, 3.0], [5.0, 9.0]]),
                                                 {"own": (0.02, 0.03)}),
        "backlash": gear_rating.backlash(1e-5 * np.array([-1.0, 1.0]), {"own": few.design.pair}, {"as drawn": 0.0}),
        "steps": gear_rating.steps({"one step": np.ones((3, 2)), "two": np.ones((3, 2))}),
        "stored work": torque.energy(engine.angle, engine.loads["torque"], style.STRAIGHT),
        "flywheels": torque.curves(np.geomspace(0.1, 1.0, 5), {torque.SPEED: {"one": (np.ones(5), style.LIMIT)}},
                                   horizontal="inertia of flywheel and load, $I$ [kg m²]"),
        "instant centre": straight_line.instant_centre(17.0, [20, 60], 30.0),
    }


def test_every_axis_has_quantity_symbol_and_unit():
    """House rule: 'quantity, symbol [unit]' on every axis; bars named in words need none, nor the second in a row."""
    form = re.compile(r"^[^$\[\]]+, \$.+\$ \[.+\]$")
    for name, figure in figures().items():
        for place, ax in enumerate(ax for ax in figure.axes if ax.axison):
            assert form.match(ax.get_xlabel()), (name, ax.get_xlabel())
            words = [tick.get_text() for tick in ax.get_yticklabels()]
            named = place or all(re.search("[a-z]{3}", word) for word in words)
            assert form.match(ax.get_ylabel()) or (named and not ax.get_ylabel()), (name, ax.get_ylabel())


def test_figures_use_one_style_of_units():
    """No code names or second spellings of a unit anywhere in words: rev/min, µm, °C."""
    wrong = re.compile(r"\brpm\b|\bum\b|\[C\]|\[x\]|\d C\b|\[-\]|[a-z]_[a-z]{2}|ASSUMPTIONS")
    for name, figure in figures().items():
        for text in figure.findobj(Text):
            assert not wrong.search(re.sub(r"\$[^$]*\$", "", text.get_text())), (name, text.get_text())
    for name, scene in scenes().items():
        spoken = [control.describe() for control in scene.controls] + [scene.moving[-1].text]
        assert not any(map(wrong.search, spoken)), (name, spoken)


def colours(figure):
    """Every colour of lines, fills and bars of a figure."""
    found = set()
    for artist in figure.findobj(lambda one: isinstance(one, Line2D | Patch)):
        line = isinstance(artist, Line2D)
        given = [artist.get_color()] if line else [artist.get_facecolor(), artist.get_edgecolor()]
        found |= {to_hex(colour) for colour in given}
    return found


def test_the_colours_of_the_two_machines_stand_for_nothing_else():
    """Figures that compare no machines have none of the two; those that do have both."""
    found, two = figures(), {style.STRAIGHT["color"].lower(), style.ORDINARY["color"].lower()}
    for name in ("banks scene", "gas and burn", "holding", "counterweight", "tie", "ends", "picker", "scene",
                 "ellipses", "short bearing",
                 "effective speed", "wrong sleeve", "oils", "film springs", "instant centre"):
        assert not colours(found[name]) & two, name
    assert not colours(machine.machine(load_design(DATA / "desk_model.toml"))) & two
    assert not colours(free_body.free_bodies()) & two
    for name in ("pistons", "volumes", "motion scene", "friction by contact", "sweep of speed"):
        assert colours(found[name]) >= two, name


def test_every_curve_of_the_rolling_circles_stays_inside_its_axes():
    scene = straight_line.StraightLineScene()
    for ratio in (1.5, 2.0, 4.0):
        scene.update(tooth_ratio=ratio, pin_share=1.6, phase_deg=30.0, bank_deg=40.0)
        for line in scene.moving[:-1]:
            low, high = line.axes.get_ylim()
            y = np.asarray(line.get_ydata(), dtype=float)
            assert low < np.nanmin(y) and np.nanmax(y) < high, ratio


def test_the_settings_of_the_panels_of_sharing_stay_inside_their_axes():
    """Corners of the sliders, with play and films as they come."""
    corners = ((sharing.SharingScene, dict(guide_um=1.0, mismatch_um=-60.0, guide_stiffness=5.0, films="none")),
               (sharing.SharingScene, dict(guide_um=80.0, backlash_um=200.0, bearing_um=100.0, mismatch_um=60.0)),
               (tolerances.ToleranceScene, dict(guide_um=5.0, mismatch_um=-60.0, rise=100.0)))
    for kind, values in corners:
        scene = next(found for found in scenes().values() if isinstance(found, kind))
        scene.update(**values)
        for line in (artist for artist in scene.moving if isinstance(artist, Line2D)):
            low, high = line.axes.get_ylim()
            assert low < np.min(line.get_ydata()) and np.max(line.get_ydata()) < high, values
        scene.update()


def test_the_bound_of_idle_guides_and_its_curve_do_not_contradict():
    """Right of the line the dry guides carry nothing; the words say that they are idle from less on."""
    engine = assess(load_design(DATA / "v_twin_generator.toml"), 241)
    ax = sharing.against_clearance(engine, engine.elastic, engine.dry_elastic, [15.0, 30.0, 45.0, 60.0, 70.0]).axes[0]
    by_label = {line.get_label(): line for line in ax.lines}
    bound = next(line for words, line in by_label.items() if "already before" in words).get_xdata()[0]
    dry = by_label["one guide, dry"]
    idle = dry.get_xdata()[dry.get_ydata() < 1e-3].min()
    assert idle < bound and (dry.get_ydata()[dry.get_xdata() >= bound] < 1e-3).all()


def test_comparison_figures_name_their_kind_of_comparison():
    found = figures()
    for name in ("side forces", "pistons", "side load scene", "side thrust scene", "orbits", "films", "sweep of speed",
                 "carriers", "guides", "bearing scene", "friction scene", "friction by contact", "friction over cycle",
                 "friction of layouts", "break-even", "saving", "what decides", "saving map", "torque scene"):
        assert SAME_TRACE in found[name].get_supxlabel(), name
    assert SAME_CHARGE["engine"] in found["indicator"].get_supxlabel()
    assert SAME_CHARGE["pump"] in found["ripple"].get_supxlabel()
    for name in ("ignition", "cycle scene"):
        assert "same charge and heat" in found[name].get_supxlabel(), name
    assert "motion only" in found["volumes"].get_supxlabel()


def test_the_machine_figure_names_its_parts():
    texts = [text.get_text() for text in machine.machine(load_design(DATA / "desk_model.toml")).axes[0].texts]
    assert any("ring gear" in text for text in texts) and any("crankpin" in text for text in texts)


def test_the_list_of_the_picker_is_what_the_stroke_options_say():
    found = strokes.stroke_options(0.069)
    table, pasted = stroke._listing(found, 69.0, 20.0)
    assert table[4].split()[:3] == ["1", "1.5", "23/46"]
    assert all(len(line.split()) == 7 for line in table[4:4 + stroke.ROWS])
    assert pasted.splitlines() == ["module_mm = 1.5", "pinion_teeth = 23", "ring_teeth = 46", "pressure_angle_deg = 20",
                                   "pinion_shift = 0", "ring_shift = 0", "pinion_addendum = 1", "ring_addendum = 0.8",
                                   "ring_fillet_radius = 0.25"]
    none = strokes.stroke_options(0.069, modules=(0.05,))
    assert "no pair" in stroke._listing(none, 69.0, 20.0)[0][-1]


def test_the_torque_scene_shows_what_the_core_computes_and_stays_inside_its_axes():
    """Numbers of the readout and curves against the assessed design; the corners of the sliders fit their axes."""
    engine, scene = assess(load_design(DATA / "v_twin_generator.toml"), 721), scenes()["torque scene"]
    curves = [line for line in scene.moving if isinstance(line, Line2D) and len(line.get_ydata()) == 721]
    assert curves[0].get_ydata() == pytest.approx(engine.loads["torque"])
    assert curves[1].get_ydata() == pytest.approx(engine.ordinary_loads["torque"])
    scene.update(compared="same charge and heat")
    assert curves[1].get_ydata() == pytest.approx(engine.own_ordinary_loads["torque"])
    number = f"{balance.fluctuation(engine.angle, engine.own_ordinary_loads['torque']).energy:.1f} J"
    assert number in scene.moving[-1].text
    for values in (dict(inertia=0.1, speed_rpm=1500.0), dict(speed_rpm=4500.0), dict(load=0.1, speed_rpm=4500.0)):
        scene.update(**values)
        for line in curves:
            low, high = line.axes.get_ylim()
            assert low < np.min(line.get_ydata()) and np.max(line.get_ydata()) < high, values
    scene.update()
