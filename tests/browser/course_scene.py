"""Scenes as the notebooks show them, for the slider benchmark: ``--scene course_scene:straight_line``."""

from pathlib import Path

from vmech_core import load_design
from vmech_core.show import banks, bearing_scene, cycle, friction_scene, motion, sharing, side_thrust, tolerances
from vmech_core.show import straight_line as line
from vmech_core.teach.panels import Choice, Control

ENGINE = Path(__file__).resolve().parents[2] / "data" / "v_twin_generator.toml"


def straight_line():
    """Notebook 01."""
    return line.StraightLineScene(stroke_mm=69.0), [Control(*row) for row in line.controls()]


def any_bank():
    """Notebook 02."""
    return banks.BankScene(stroke_mm=69.0), [Control(*row) for row in banks.controls()]


def motions():
    """Notebook 03."""
    return motion.MotionScene(), [Control(*row) for row in motion.controls()]


def pressure():
    """Notebook 04; all cycles are solved when the scene is made."""
    ratios, durations = ["3", "3.5", "4", "5", "6"], ["30", "40", "50", "60", "70"]
    controls = [
        Control("burn_start_deg", "start of the burn", -50, 4, 2, -20, "deg"),
        Choice("rod_ratio", "ordinary rod ratio", ratios, "3.5"),
        Choice("burn_duration_deg", "burn duration [deg]", durations, "50"),
    ]
    return cycle.CycleScene(load_design(ENGINE)), controls


def side_forces():
    """Notebook 05."""
    controls = [Control(*row) for row in side_thrust.controls()]
    return side_thrust.SideThrustScene(load_design(ENGINE)), controls


def who_carries():
    """Notebook 06; every step solves the elastic machine."""
    return sharing.SharingScene(load_design(ENGINE)), [Control(*row) for row in sharing.controls()]


def is_there_a_film():
    """Notebook 09; every step marches one bearing and balances its heat."""
    choices = [Choice(name, name, options, bearing_scene.START[name])
               for name, options in bearing_scene.CHOICES.items()]  # fmt: skip
    return bearing_scene.BearingScene(load_design(ENGINE)), [*(Control(*r) for r in bearing_scene.controls()), *choices]


def does_it_save():
    """Notebook 10; all runs are made when the scene is made, and every step evaluates the fit through them."""
    choice = Choice("layout", "layout", friction_scene.SHOWN, friction_scene.SHOWN[0])
    controls = [*(Control(*row) for row in friction_scene.controls()), choice]
    return friction_scene.FrictionScene(load_design(ENGINE)), controls


def accuracy():
    """Notebook 12; every step solves the elastic machine."""
    both = [tolerances.RIGHT, tolerances.ONE_OUT]
    controls = [*(Control(*row) for row in tolerances.controls()), Choice("assembly", "pinion", both, both[0])]
    return tolerances.ToleranceScene(load_design(ENGINE)), controls
