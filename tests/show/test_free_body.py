"""Free bodies with numbers: what acts on a rod and on the crank adds up to nothing, by places and forces alone."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.show import free_body

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = assess(load_design(DATA / "v_twin_generator.toml"), 721)
WEIGHTED = assess(ENGINE.design.changed(**{"crank.counterweight_fraction": 0.6, "cylinders.bank_angle_deg": [45, 100]}),
                  721)


@pytest.mark.parametrize("angle", [20.0, 75.0, 130.0, 400.0])
@pytest.mark.parametrize("loads", [ENGINE.loads, ENGINE.shared, WEIGHTED.loads], ids=["rigid", "shared", "weighted"])
def test_forces_and_moments_close(loads, angle):
    """Plane statics; acceleration of C and of the pistons from their paths. Within 1e-3 N of 11 kN."""
    drive = WEIGHTED.drive if loads is WEIGHTED.loads else ENGINE.drive
    centre = 0.25 * float(drive.stroke) * np.exp(1j * np.radians(angle))
    force, moment = free_body.closing(free_body.crank_forces(drive, loads, angle), centre)
    assert abs(force) < 1e-3 and abs(moment) < 1e-4
    for cylinder in (0, 1):
        assert abs(free_body.closing(free_body.rod_forces(drive, loads, angle, cylinder), 0.0)[0]) < 1e-6


def test_the_check_can_fail():
    forces = free_body.crank_forces(ENGINE.drive, ENGINE.loads, 75.0)
    forces.pop("$F_t$")
    assert abs(free_body.closing(forces, 0.0)[0]) > 1000.0


def test_the_drawing_has_the_numbers():
    fig = free_body.numbered(ENGINE.drive, ENGINE.shared, 75.0)
    words = " ".join(text.get_text() for ax in fig.axes for text in ax.texts)
    j = np.argmin(np.abs(ENGINE.shared.angle - np.radians(75.0)))
    assert f"$F_t$ {abs(ENGINE.shared['mesh'][j]) / 1e3:.2f} kN" in words and "G 10.2" in words
    assert "left over: rod 0.0 N, crank 0.0 N and 0.00 N m" in fig.get_supxlabel()
