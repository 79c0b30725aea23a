"""Scenes as the notebooks show them, for the slider benchmark: ``--scene course_scene:straight_line``."""

from pathlib import Path

from vmech_core import load_design
from vmech_core.show import (
    banks,
    bearing_scene,
    cycle,
    friction_scene,
    gear_scene,
    motion,
    room,
    shaking,
    sharing,
    side_thrust,
    tolerances,
    torque,
)
from vmech_core.show import straight_line as line

ENGINE = Path(__file__).resolve().parents[2] / "data" / "v_twin_generator.toml"


def straight_line():
    """Notebook 01."""
    return line.StraightLineScene(stroke_mm=69.0)


def any_bank():
    """Notebook 02."""
    return banks.BankScene(stroke_mm=69.0)


def motions():
    """Notebook 03."""
    return motion.MotionScene()


def pressure():
    """Notebook 04; all cycles are solved when the scene is made."""
    return cycle.CycleScene(load_design(ENGINE))


def side_forces():
    """Notebook 05."""
    return side_thrust.SideThrustScene(load_design(ENGINE))


def who_carries():
    """Notebook 06; every step solves the elastic machine."""
    return sharing.SharingScene(load_design(ENGINE))


def both_shake():
    """Notebook 07; a step of the counterweights fits their bodies anew."""
    return shaking.ShakingScene(load_design(ENGINE))


def rolling_tooth():
    """Notebook 08; a step of the correction rates the teeth at every angle."""
    return gear_scene.RollingScene(load_design(ENGINE))


def backlash():
    """Notebook 08."""
    return gear_scene.BacklashScene(load_design(ENGINE))


def is_there_a_film():
    """Notebook 09; every step marches one bearing and balances its heat."""
    return bearing_scene.BearingScene(load_design(ENGINE))


def does_it_save():
    """Notebook 10; all runs are made when the scene is made, and every step evaluates the fit through them."""
    return friction_scene.FrictionScene(load_design(ENGINE))


def accuracy():
    """Notebook 12; every step solves the elastic machine."""
    return tolerances.ToleranceScene(load_design(ENGINE))


def is_it_smaller():
    """Notebook 11; every step draws both machines anew by the rules of room."""
    return room.RoomScene(load_design(ENGINE))
def how_even():
    """Notebook 13; every step computes both machines with their flywheel."""
    return torque.TurningScene(load_design(ENGINE))
