"""The machine with its arrows: parts against the mechanics, arrows against balance; pictures that carry their words."""

import configparser
import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from matplotlib.lines import Line2D

from vmech_core import load_design
from vmech_core.case import Case
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.show import bearing_scene, motion, sharing, side_load, side_thrust, style, tolerances, view

ROOT = Path(__file__).resolve().parents[2]
MM_PER_KN = 12.0


@lru_cache
def case():
    return Case(load_design(ROOT / "data" / "v_twin_generator.toml"), 181)


def drawn(kind, angle, loads):
    """A view of one of the machines at an angle."""
    _, (ax,) = style.figure()
    made = view.MachineView(ax, case().design, getattr(case(), kind), MM_PER_KN)
    made.show(angle, loads)
    return made


def arrow(made, name):
    """Tail [m] and force [N] of each arrow of one kind, read off its outline."""
    polygons = made._arrows[name].get_path().to_polygons(closed_only=False)
    corners = [1e-3 * (polygon @ [1.0, 1.0j]) for polygon in polygons]
    return [(0.5 * (c[0] + c[6]), (c[3] - 0.5 * (c[0] + c[6])) * 1e6 / MM_PER_KN) for c in corners]


@pytest.mark.parametrize("angle", [0.3, 1.4, 4.0])
def test_parts_of_the_ordinary_machine_stand_where_the_mechanics_puts_them(angle):
    drive = case().ordinary
    parts = drawn("ordinary", angle, {})._machine.parts(angle)
    wrists = slider_crank.motion(drive, np.array([angle])).position[:, 0] * np.exp(1j * drive.bank_angle)
    pins = drive.crank_radius * np.exp(1j * (angle + drive.crankpin_angle))
    centres = [outline[:-1].mean() for outline in parts["crankpin"]]
    assert centres[0::2] == pytest.approx(list(pins)) and centres[1::2] == pytest.approx(list(wrists))


@pytest.mark.parametrize("angle", [0.9, 1.3, 2.6])
@pytest.mark.parametrize("share", [0.0, 0.6])
def test_the_arrows_of_the_straight_line_drive_balance_its_torque(angle, share):
    """What presses on the frame turns it against the torque that the machine delivers, by moments about O.

    A guide also takes the couple of its rod: its force counts at the pin, and its arrow stands at the drawn guide.
    """
    a, at = case(), int(np.abs(case().angle - angle).argmin())
    alone = hypocycloid.rigid_loads(a.drive, a.angle, a.loads["gas"], "alone")["guide"]
    loads = hypocycloid.rigid_loads(a.drive, a.angle, a.loads["gas"], share * alone)
    made = drawn("drive", a.angle[at], view.at_angle(loads, ("gas", "guide", "mesh"), a.angle[at]))
    line, lost = np.exp(1j * a.drive.bank_angle), 1e3 * view.LEAST / MM_PER_KN  # shorter arrows are left out
    pins = 0.5 * a.drive.stroke * np.cos(a.angle[at] - a.drive.bank_angle)
    moment = sum((np.conj(tail) * force).imag for name in ("gas", "mesh") for tail, force in arrow(made, name))
    for tail, force in arrow(made, "guide"):
        k = int(np.abs(np.angle(line / tail)).argmin())
        assert force == pytest.approx(-1j * line[k] * loads["guide"][k, at])
    moment -= (pins * loads["guide"][:, at]).sum()
    assert moment == pytest.approx(-loads["torque"][at], abs=0.04 * lost)


@pytest.mark.parametrize("angle", [1.0, 1.4, 2.0])
def test_the_arrows_of_the_ordinary_machine_balance_its_torque(angle):
    """The same without inertia, slowly turned: a rod that swings has an angular momentum of its own."""
    a = case()
    slow = replace(a.ordinary, speed=1e-3)
    loads = slider_crank.rigid_loads(slow, a.angle, a.ordinary_loads["gas"])
    angle = a.angle[int(np.abs(a.angle - angle).argmin())]
    found = arrow(drawn("ordinary", angle, view.at_angle(loads, ("gas", "bore"), angle)), "bore")
    place = slider_crank.motion(slow, np.array([angle])).position[:, 0]
    assert all(min(abs(np.hypot(place, 0.5 * a.design.cylinders.si.bore) - abs(tail))) < 1e-6 for tail, _ in found)
    torque = np.interp(angle, a.angle, loads["torque"])
    moment = sum((np.conj(tail) * force).imag for tail, force in found)
    assert moment == pytest.approx(-torque, abs=0.09 * view.LEAST / MM_PER_KN * 1e3)


def test_forces_between_samples_lie_on_straight_lines():
    a = case()
    middle = 0.5 * (a.angle[20] + a.angle[21])
    assert view.at_angle(a.loads, ["mesh"], middle)["mesh"] == pytest.approx(a.loads["mesh"][20:22].mean())
    assert view.at_angle(a.loads, ["gas"], a.angle[-1])["gas"] == pytest.approx(a.loads["gas"][:, -1])


def test_pins_of_a_pinion_one_tooth_out_stand_on_their_turned_lines():
    """In the panel of 12: each pin lies on its line turned by pi over the teeth, and no arrow is left."""
    scene = tolerances.ToleranceScene(case().design)
    scene.update(assembly=tolerances.ONE_OUT, angle_deg=100.0)
    pins = scene._view._parts["crankpin"].get_path().vertices.reshape(2, -1, 2)
    turn = np.pi / case().design.gear_pair.pinion_teeth
    for polygon, bank in zip(pins, case().drive.bank_angle, strict=True):
        place = (polygon[:90] @ [1.0, 1.0j]).mean() * np.exp(-1j * (bank + turn))
        assert abs(place.imag) < 1e-3
    assert not any(len(patch.get_path().vertices) for patch in scene._view._arrows.values())
    assert scene._jam.ax.get_visible() and "it jams" in scene._text.text
    scene.update()
    assert not scene._jam.ax.get_visible()


def painted(scene):
    """Pixels of a scene."""
    scene.figure.canvas.draw()
    return np.asarray(scene.figure.canvas.buffer_rgba()).copy()


@pytest.mark.parametrize(("kind", "fixed"), [
    (motion.MotionScene, {}), (bearing_scene.BearingScene, {"kind": "rollers"}), (side_thrust.SideThrustScene, {}),
    (sharing.SharingScene, {}), (tolerances.ToleranceScene, {"assembly": tolerances.ONE_OUT}),
    (side_load.SideLoadScene, {})])
def test_every_slider_changes_a_curve_or_a_number_in_each_state(kind, fixed):
    """No dead sliders but those that a state has no use for, which are named here."""
    dead = {"bearing_scene": {"clearance_permille"}, "tolerances": {"backlash_um", "mismatch_um"}}
    scene = kind() if kind is motion.MotionScene else kind(case().design)
    start = {control.name: control.value for control in scene.controls}
    scene.update(**start | fixed)
    before = painted(scene)
    for control in (own for own in scene.controls if hasattr(own, "step")):
        end = control.maximum if control.value < control.maximum else control.minimum
        end = 300.0 if control.cyclic else end
        scene.update(**start | fixed | {control.name: end})
        same = bool((painted(scene) == before).all())
        unused = fixed and control.name in dead[kind.__module__.rpartition(".")[2]]
        assert same == bool(unused), control.name


def test_every_part_of_a_panel_shows_the_same_angle():
    for scene in (side_load.SideLoadScene(case().design), sharing.SharingScene(case().design)):
        scene.update(angle_deg=200.0)
        upright = [line for line in scene.moving if isinstance(line, Line2D) and list(line.get_xdata()) == [200.0] * 2]
        assert len(upright) == 1
    (dot,) = [line for line in scene.moving if isinstance(line, Line2D) and len(line.get_xdata()) == 1]
    along = 1e3 * hypocycloid.motion(case().drive, np.radians([200.0])).position[0, 0]
    assert dot.get_xdata()[0] == pytest.approx(along, abs=1.3)  # of 181 angles the nearest


def shown(monkeypatch, alt):
    """What a figure gives to a notebook."""
    import IPython.display

    given = []
    monkeypatch.setattr(IPython.display, "display", lambda data, **_: given.append(data))
    style.show(style.figure(2.0, 1.0)[0], alt)
    return given[0]


def test_a_figure_carries_its_words_in_the_picture_itself(monkeypatch):
    found = shown(monkeypatch, 'Force < 2 kN, "small" & odd')
    assert set(found) == {"text/html", "text/plain"}
    assert 'alt="Force &lt; 2 kN, &quot;small&quot; &amp; odd" src="data:image/png;base64,' in found["text/html"]


def test_the_comparison_of_notebooks_ignores_the_picture_and_keeps_its_words(monkeypatch):
    rules = configparser.ConfigParser(interpolation=None)
    rules.read(ROOT / "tests" / ".nbval_sanitize.cfg")
    rule = rules["picture-in-a-page"]
    clean = re.sub(rule["regex"], rule["replace"], shown(monkeypatch, "Teeth and guides")["text/html"])
    assert clean == '<img alt="Teeth and guides" src="PICTURE">'
