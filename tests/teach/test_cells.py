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
        (0.069, "factor of a thousand"),
        (138.0, "factor of two"),
        (50.0, "Not yet. Hint: think"),
        ("many", "one number, in mm"),
        (0.69, "a hundred"),
        (69.0 * np.pi / 180, "radians and degrees"),
        (69.0 * 30 / np.pi, "rad/s and rev/min"),
        (float("nan"), "Not yet. Hint"),
    ],
)
def test_exercise_checks_say_what_to_do_next(answer, said):
    assert said in check(answer, lambda: 69.0, "mm", "think")


@pytest.mark.parametrize("answer", [-69.0, 0.069, 0.69, 138.0, 69.0 * np.pi / 180, 50.0])
def test_every_wrong_answer_gets_the_hint(answer):
    assert check(answer, lambda: 69.0, "mm", "think").endswith("Hint: think")


def test_a_number_without_a_unit_is_asked_for_in_words():
    assert "We ask for a number without a unit." in check(2.0, lambda: 1.0, "", "think")
    assert check(None, lambda: 1.0, "", "think") == "Not yet answered. Write your number, which has no unit."
    assert check("x", lambda: 1.0, "", "think") == "Please give one number, which has no unit."


@pytest.mark.parametrize(("answer", "solution", "right"), [
    (0.17, 0.1661, True), (0.166, 0.1661, True), (0.16, 0.1661, False), (0.2, 0.1661, False), (0.18, 0.1661, False),
    (-0.17, -0.1661, True), (0.5, 0.5, True), (120.0, 115.0, False), (24.0, 23.0, False), (8200.0, 8153.4, True),
    (1.0, 1.049, True), (1.1, 1.049, False), (0.0, 0.0, True), (0.1, 0.0, False),
])
def test_two_figures_do_unless_the_answer_is_a_whole_number(answer, solution, right):
    assert check(answer, lambda: solution, "kN", "think").startswith("Right") == right


def test_the_check_runs_before_the_folded_solution_was():
    """In a notebook of its own names, as a reader runs it: stub, check, solution, check."""
    names = {"check": check, "answer_1": None}
    call = 'check(answer_1, lambda: solution_1, "mm", "think")'
    assert eval(call, names).startswith("Not yet answered")
    names["answer_1"] = 69.0
    assert eval(call, names).startswith("Run the solution cell above first")
    names["solution_1"] = 69.0
    assert eval(call, names) == "Right: 69 mm."
