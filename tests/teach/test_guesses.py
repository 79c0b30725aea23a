"""A guess is kept, shown beside its result, and plain where there is none, so that a saved notebook compares equal."""

import pytest

from vmech_core.teach import guesses


@pytest.fixture(autouse=True)
def empty():
    guesses._KEPT.clear()


def test_without_a_guess_the_result_stands_alone():
    assert guesses.guess("peak", None, "kN").startswith("No guess yet for peak: write a number in kN")
    assert guesses.compare("peak", 4.53, "kN") == "peak: 4.53 kN."


def test_a_guess_is_kept_and_compared():
    assert guesses.guess("peak", "3", "kN") == "Your guess is kept: peak 3 kN."
    assert guesses.compare("peak", 4.5, "kN") == "peak: 4.5 kN. You guessed 3 kN, 0.67 times the result."
    guesses.guess("share", 0)
    assert guesses.compare("share", 0.25) == "share: 0.25. You guessed 0."
    assert guesses.compare("peak", 450.0, "N") == "peak: 450 N. You guessed 3 kN."


def test_a_guess_is_taken_back_and_words_are_no_number():
    guesses.guess("peak", 3, "kN")
    guesses.guess("peak", None, "kN")
    assert "You guessed" not in guesses.compare("peak", 4.5, "kN")
    assert guesses.guess("peak", "much", "kN") == "Please give one number for peak, in kN."


def test_a_result_of_zero_needs_no_factor():
    guesses.guess("bore", 0.5, "kN")
    assert guesses.compare("bore", 0.0, "kN") == "bore: 0 kN. You guessed 0.5 kN."
