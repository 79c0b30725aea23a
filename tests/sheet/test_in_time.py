"""Peaks in time: the stored march, read without running it, and one small part of it run again."""

import runpy
from types import SimpleNamespace

import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.base import tables
from vmech_core.base.errors import InputError
from vmech_core.sharing.march import march, quasi_static_channels
from vmech_core.sheet import MARCHED, in_time, time_factors

ROWS, march_study = in_time.stored(), SimpleNamespace(**runpy.run_path(str(tables.FOLDER / "make_march.py")))


def test_every_row_of_the_study_is_stored_once():
    keys = [(r["design"], r["films"], r["ends"], r["damping"], r["film_damping"], r["channel"]) for r in ROWS]
    assert len(set(keys)) == len(keys)
    asked = {(name, float(films), 2.0 if ends else 1.0, *pair)
             for name, films, ends, pairs in march_study.ROWS for pair in pairs}
    assert {key[:5] for key in keys} == asked


@pytest.mark.parametrize("name", sorted(MARCHED.values()))
def test_the_study_was_made_for_the_machine_as_it_runs_now(name):
    """Quasi-static peaks computed now against those in the file, written when the study ran."""
    elastic, drive, loads, axis = march_study.machine(name)
    now = quasi_static_channels(elastic, drive, loads, axis)
    for row in ROWS:
        if (row["design"], row["films"], row["ends"]) == (name, 1.0, 1.0):
            peak = np.abs(now[row["channel"]]).max()
            assert row["quasi_static_N"] == pytest.approx(peak, rel=1e-3, abs=0.5), row["channel"]


def test_a_row_can_be_run_again():
    """The pump at likely damping, whose starts all reach one orbit: two cycles of two other starts give its peaks."""
    elastic, drive, loads, _ = march_study.machine("star_pump")
    found = march(elastic, drive, loads, cycles=3, starts=2, seed=7).summary()
    for row in ROWS:
        if (row["design"], row["damping"]) == ("star_pump", 0.05):
            assert found[row["channel"]].mean == pytest.approx(row["mean_N"], rel=2e-3), row["channel"]


STARTS = tables.rows("march_starts")


def each_start():
    """Peaks (start, cycle, channel) as stored, and their channels."""
    names = list(STARTS[0])[2:]
    return np.array([[float(r[name]) for name in names] for r in STARTS]).reshape(4, 101, len(names)), names


def test_means_of_four_starts_lie_within_two_standard_errors():
    """100 cycles from each of four starts, dry, where no cycle repeats: every start tells the same statistics.

    Four starts and six channels make 24 means; a share of 0.046 of normal ones lies outside two standard errors, one of
    24. Neighbouring cycles hardly know of each other, so that the standard error is what it says.
    """
    peaks = each_start()[0][:, 1:]
    error = peaks.std(axis=1, ddof=1) / np.sqrt(peaks.shape[1])
    off = np.abs(peaks.mean(axis=1) - peaks.mean(axis=(0, 1))) / error
    assert (off > 2.0).sum() <= 1 and off.max() < 2.6
    beside = peaks - peaks.mean(axis=1, keepdims=True)
    together = (beside[:, 1:] * beside[:, :-1]).mean(axis=(0, 1)) / (beside**2).mean(axis=(0, 1))
    assert np.abs(together).max() < 2.6 / np.sqrt(4 * 99)


def test_the_study_of_six_cycles_tells_the_means_of_hundred():
    """Twenty starts of five cycles against four of a hundred: within three standard errors of both."""
    peaks, names = each_start()
    peaks = peaks[:, 1:].reshape(-1, len(names))
    rows = {r["channel"]: r for r in ROWS if (r["design"], r["films"], r["ends"], r["damping"]) ==
            ("first_sketch", 0.0, 1.0, 0.05)}
    for name, values in zip(names, peaks.T, strict=True):
        error = np.hypot(values.std(ddof=1) / np.sqrt(len(values)), rows[name]["error_N"])
        assert abs(values.mean() - rows[name]["mean_N"]) < 3.0 * error, name


def test_the_stored_starts_can_be_run_again():
    """Their first cycle again, digit by digit; the second rests on e^28 times the last digit of a number."""
    stored, names = each_start()
    again = march_study.one_by_one(cycles=2)
    first = np.array([[row[name] for name in names] for row in again if row["cycle"] == 0])
    assert first == pytest.approx(stored[:, 0], rel=6e-6)


def test_factors_are_ratios_of_the_file():
    rows = [r for r in ROWS if (r["design"], r["films"], r["ends"]) == ("v_twin_generator", 1.0, 1.0)]
    ratio = {(r["channel"], r["damping"]): r["mean_N"] / r["quasi_static_N"] for r in rows if r["quasi_static_N"] > 0.0}
    teeth = time_factors("engine")["mesh"]
    assert teeth == pytest.approx([ratio["mesh", 0.15], ratio["mesh", 0.05], ratio["mesh", 0.02]])
    guide = [value for (channel, _), value in ratio.items() if channel.startswith("guide")]
    assert time_factors("engine")["guide"][::2] == pytest.approx((min(guide), max(guide)))
    assert time_factors("engine", films=False)["mesh"].likely > teeth.likely


def test_the_sheet_multiplies_the_shared_peaks():
    engine = assess(load_design(tables.FOLDER / "v_twin_generator.toml"), 181)
    found, factors = engine.stage("in_time"), time_factors("engine")
    assert found["time_mesh_high"].value == pytest.approx(factors["mesh"].high * np.abs(engine.shared["mesh"]).max())
    guide = np.abs(engine.shared["guide"]).max()
    assert found["time_bore_high"].value == pytest.approx(factors["bore"].high * guide) == 0.0  # the sized engine's
    sketch = [r["mean_N"] for r in ROWS if r["design"] == "first_sketch" and r["films"] and r["channel"] == "bore 1"]
    assert len(sketch) == 3 and min(sketch) > 1000.0  # its bores are touched in time


def test_a_machine_without_a_march_is_refused_and_its_sheet_is_empty():
    with pytest.raises(InputError, match="^machine = 'hand_model' is not one with a stored march: engine, pump, compr"):
        time_factors("hand_model")
    model = assess(load_design(tables.FOLDER / "desk_model.toml"), 61)
    assert model.stage("in_time") == {} and "in_time" in model.report("in_time")
