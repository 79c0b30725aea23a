"""A small, seeded part of tests/fuzz.py: nothing but loading or a sentence, in time, and both ends of every range."""

import importlib.util
from pathlib import Path

import pytest

from vmech_core.sheet import STAGES

PATH = Path(__file__).resolve().parents[1] / "fuzz.py"
SPEC = importlib.util.spec_from_file_location("fuzz", PATH)
fuzz = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(fuzz)


@pytest.mark.parametrize(("kind", "amount"), [("file", 250), ("trace", 150), ("design", 2)])
def test_what_is_wrong_is_said(kind, amount, tmp_path):
    counts, times, faults = fuzz.run(kind, range(amount), tmp_path)
    assert not faults, f"python tests/fuzz.py --case {kind} SEED: {faults}"
    assert len(times) == amount and counts


@pytest.mark.parametrize("part", range(2))
def test_each_number_at_both_ends_of_its_range(part, tmp_path):
    """Of one demo or another; the stages that march films are left to the command."""
    stages = tuple(name for name in STAGES if name not in fuzz.MARCHES)
    counts, times, faults = fuzz.run("end", range(part, fuzz.ends_count(), 2), tmp_path, stages=stages)
    assert not faults, f"python tests/fuzz.py --case end SEED: {faults}"
    assert counts["stages answered"] > 10 * counts["refused"] > 0


def test_faults_are_found(tmp_path, monkeypatch):
    """A stranger's exception, a warning and a slow case each count as a fault."""
    def bad(seed, folder):
        if seed == 0:
            raise KeyError("lost")
        if seed == 1:
            fuzz.warnings.warn("library", stacklevel=1)
        sum(range(3_000_000 if seed == 2 else 1))
        return "loads"

    monkeypatch.setitem(fuzz.CASES, "bad", (bad, 1e-3))
    assert set(fuzz.run("bad", range(4), tmp_path)[2]) == {0, 1, 2}
