"""A case: results do not depend on what was read before, a variant is a fresh case, and nothing can be written over.

The reference is the same case made anew and asked in another order (own rule of this project).
"""

from dataclasses import FrozenInstanceError, fields, is_dataclass, replace
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vmech_core import InputError, load_design
from vmech_core.case import Case
from vmech_core.plays import heat_of, scaled

DATA = Path(__file__).resolve().parents[1] / "data"
DESIGNS = {name: load_design(DATA / f"{name}.toml") for name in ("first_sketch", "star_pump", "air_compressor")}
RESULTS = [name for name, value in vars(Case).items() if isinstance(value, cached_property | property)]
SAMPLES = 13


def numbers(value):
    """All numbers in a result as one flat array; functions have none."""
    if is_dataclass(value):
        value = [getattr(value, field.name) for field in fields(value)]
    if isinstance(value, dict | MappingProxyType):
        value = list(value.values())
    if isinstance(value, list | tuple):
        return np.concatenate([numbers(each) for each in value] or [np.zeros(0)])
    if isinstance(value, np.ndarray | float | int) and not isinstance(value, bool):
        return np.array(value, dtype=complex).ravel()
    return np.zeros(0)


def read(case, names):
    return {name: numbers(getattr(case, name)) for name in names}


def halved(case):
    return replace(case.gas_trace, pressure=0.5 * case.gas_trace.pressure)


@st.composite
def designs(draw):
    """A demo design with another bore, 15 % smaller at most, and a speed of half to one and a half of its own."""
    design = DESIGNS[draw(st.sampled_from(sorted(DESIGNS)))]
    bore, speed = design.cylinders.bore_mm * draw(st.floats(0.85, 1.0)), draw(st.floats(0.5, 1.5))
    return design.changed(**{"cylinders.bore_mm": bore, "duty.speed_rpm": design.duty.speed_rpm * speed})


#: What a variant changes: its fields from a case.
VARIANTS = {
    "half the trace": lambda case, share: {"trace": halved(case)},
    "speed": lambda case, share: {"speed": (0.6 + share) * case.drive.speed},
    "load": lambda case, share: {"load": 2.0 * share},
    "state": lambda case, share: {"state": scaled(heat_of(case.design), 0.3 * share)},
    "samples": lambda case, share: {"samples": 25},
}


@given(designs(), st.permutations(RESULTS), st.permutations(sorted(VARIANTS)), st.floats(0.05, 0.95), st.randoms())
@settings(max_examples=6)
def test_any_order_of_reading_and_any_variant_gives_the_numbers_of_a_fresh_case(design, order, variants, share, chance):
    """Ten results in a random order, from a case and from two variants in turn, against cases made anew."""
    case, some = Case(design, SAMPLES), order[:10]
    before, made, so_far = read(case, some), case, {"samples": SAMPLES}
    for name in variants[:2]:
        change = VARIANTS[name](made, share)
        made, so_far = replace(made, **change), so_far | change
        found, fresh = read(made, some), read(Case(design, **so_far), chance.sample(some, len(some)))
        for result in some:
            np.testing.assert_allclose(found[result], fresh[result], rtol=1e-12, atol=0.0, err_msg=f"{name}: {result}")
    again, fresh = read(case, some), read(Case(design, SAMPLES), chance.sample(some, len(some)))
    for result in some:
        np.testing.assert_array_equal(again[result], before[result], err_msg=result)
        np.testing.assert_array_equal(fresh[result], before[result], err_msg=result)


@pytest.mark.parametrize("first", RESULTS)
def test_halving_a_trace_acts_whatever_was_read_before(first):
    """Gas force: area x (pressure above the crankcase); at half the pressure it falls by half the absolute pressure."""
    case = Case(DESIGNS["first_sketch"], SAMPLES)
    getattr(case, first)
    half = replace(case, trace=halved(case))
    area = 0.25 * np.pi * case.design.cylinders.si.bore**2
    back = case.design.duty.si.crankcase_pressure
    np.testing.assert_allclose(half.loads["gas"], 0.5 * case.loads["gas"] - 0.5 * area * back, rtol=1e-9, atol=1e-9)
    assert np.abs(half.shared["mesh"]).max() < 0.8 * np.abs(case.shared["mesh"]).max()
    assert np.abs(half.few_ordinary["pin"]).max() < 0.8 * np.abs(case.few_ordinary["pin"]).max()


def test_nothing_can_be_written_over_or_taken_away():
    case = Case(DESIGNS["air_compressor"], SAMPLES)
    _ = case.loads, case.shared
    for name in [*RESULTS, *(field.name for field in fields(Case)), "novelty"]:
        with pytest.raises(FrozenInstanceError):
            setattr(case, name, None)
        with pytest.raises(FrozenInstanceError):
            delattr(case, name)


def test_the_comparison_sees_one_number_that_differs():
    case = Case(DESIGNS["first_sketch"], SAMPLES)
    more = replace(case, trace=replace(case.gas_trace, pressure=case.gas_trace.pressure * (1.0 + 1e-9)))
    for name in ("gas_trace", "loads", "shared", "few", "few_ordinary", "warm", "margins", "straight_seats"):
        assert not np.allclose(numbers(getattr(case, name)), numbers(getattr(more, name)), rtol=1e-12, atol=0.0), name
    silent = {name for name in RESULTS if not numbers(getattr(case, name)).size}
    assert silent == {"curves", "design", "state_words", "load_case", "basis", "has_own", "_effort"}  # functions, words


@pytest.mark.parametrize(("values", "sentence"), [
    ({"samples": 12}, "samples = 12 is not a whole number from 13 to 100001 angles"),
    ({"samples": 13.5}, "samples = 13.5 is not a whole number from 13 to 100001 angles"),
    ({"samples": "many"}, "samples = 'many' is not a whole number from 13 to 100001 angles"),
    ({"load": -0.5}, "load = -0.5 is outside 0 to 2; nearest value that works: 0."),
    ({"load": float("nan")}, "load = nan is outside 0 to 2"),
    ({"load": "half"}, "load = 'half' is outside 0 to 2."),
    ({"speed": "fast"}, "speed = 'fast' is not a number rad/s."),
    ({"samples": 10**12}, "samples = 1000000000000 is not a whole number from 13 to 100001 angles; nearest value that "
     "works: 100001."),
    ({"speed": 0.0}, "duty.speed_rpm = 0.0 is outside 1 to 20000 rev/min"),
])
def test_bad_input_gets_one_sentence(values, sentence):
    with pytest.raises(InputError) as error:
        Case(DESIGNS["air_compressor"], **values)
    assert sentence in str(error.value)
