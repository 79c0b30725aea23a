"""Exercises say what to do next; the symbols that derivations share are those of the numeric core."""

import numpy as np
import pytest
import sympy as sp

from vmech_core.machine import train
from vmech_core.teach import symbolic
from vmech_core.teach.cells import check


def test_symbolic_expressions_are_the_numeric_core():
    """Each stated expression, turned into numbers by sympy, against the core at random values."""
    values = {
        symbolic.theta: 0.83,
        symbolic.alpha: -1.1,
        symbolic.a: 1.7,
        symbolic.b: 0.9,
        symbolic.ratio: 2.0,
        symbolic.eps: 0.21,
    }

    def number(expression):
        return complex(sp.N(expression.subs(values)))

    assert number(symbolic.pin_place()) == pytest.approx(train.pin_path(0.83, 1.7, 1.7, bank_angle=-1.1), abs=1e-12)
    assert number(symbolic.general_pin_place()) == pytest.approx(
        train.pin_path(0.83, 1.7, 0.9, 2.0, 0.21, -1.1), abs=1e-12
    )
    turned = train.pin_path(0.83, 1.7, 0.9, 2.0, 0.21, -1.1) * np.exp(1j * (1.1 - 0.105))
    assert number(symbolic.ellipse_place()) == pytest.approx(turned, abs=1e-12)


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (None, "Not yet answered"),
        (69.2, "Right: 69 mm"),
        (-69.0, "sign is not"),
        (0.069, "off by a thousand"),
        (138.0, "factor of two"),
        (50.0, "Not yet. Hint: think"),
        ("many", "one number, in mm"),
        (69.0 * np.pi / 180, "radians and degrees"),
        (69.0 * 30 / np.pi, "rad/s and rev/min"),
        (float("nan"), "Not yet. Hint"),
    ],
)
def test_exercise_checks_say_what_to_do_next(answer, said):
    assert said in check(answer, 69.0, "mm", "think")
