"""Pressure traces from a file: read in SI, closed, turned into forces, and refused in one sentence where wrong."""

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vmech_core import InputError, assess, load_design
from vmech_core.pressure import measured

DATA = Path(__file__).resolve().parents[2] / "data"
GOOD = ["angle_deg,pressure_bar", *(f"{a},{2 + np.cos(np.radians(a)):.6f}" for a in range(0, 361, 10))]


def trace_file(folder, lines):
    """A CSV file made of lines."""
    path = folder / "own.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_trace_is_read_in_si_and_repeats_every_cycle(tmp_path):
    """Against numpy's cosine: linear interpolation of a cosine every 10 degrees is within 0.4 percent of it."""
    trace = measured.read_trace(trace_file(tmp_path, GOOD), 1)
    angle = np.linspace(-9.0, 25.0, 400)
    assert measured.pressure_at(trace, angle) == pytest.approx(1e5 * (2.0 + np.cos(angle)), abs=420.0)
    assert measured.pressure_at(trace, angle) == pytest.approx(measured.pressure_at(trace, angle + 2 * np.pi), abs=1e-6)


def test_a_trace_that_begins_before_the_dead_centre_is_read_at_any_angle():
    """A machine's own cycle runs from -360 to 360 degrees: angles of 0 to 720 are wrapped. Against its own rows."""
    case = assess(load_design(DATA / "first_sketch.toml"), 25)
    trace = case.gas_trace
    assert trace.angle[0] == pytest.approx(-2 * np.pi) and trace.angle[-1] == pytest.approx(2 * np.pi)
    for shift in (0.0, 4 * np.pi, -8 * np.pi):
        assert measured.pressure_at(trace, trace.angle[:-1] + shift) == pytest.approx(trace.pressure[:-1], rel=1e-6)
    unwrapped = np.interp(3.9 * np.pi, trace.angle, trace.pressure)
    assert abs(unwrapped / measured.pressure_at(trace, 3.9 * np.pi) - 1.0) > 0.5


def test_no_part_of_the_core_reads_a_trace_without_wrapping():
    core = Path(measured.__file__).parents[1]
    reads = re.compile(r"interp\([^)]*trace\.angle")
    assert [path.name for path in core.rglob("*.py") if reads.search(path.read_text(encoding="utf-8"))] == []
    for path in (core.parent / "notebooks").glob("*.ipynb"):
        found = re.findall(r"np\.interp\([^\n]*", path.read_text(encoding="utf-8"))
        assert all("period=" in line for line in found if "trace.angle" in line), path.name


def test_an_open_ended_trace_is_closed(tmp_path):
    """Rows from 0 to 350 degrees are a full cycle as well: the last stretch leads back to the first sample."""
    closed = measured.read_trace(trace_file(tmp_path, GOOD), 1)
    open_ended = measured.read_trace(trace_file(tmp_path, GOOD[:-1]), 1)
    angle = np.linspace(0.0, 2.0 * np.pi, 500)
    assert measured.pressure_at(open_ended, angle) == pytest.approx(measured.pressure_at(closed, angle), abs=1e-6)


def test_gas_force_is_pressure_difference_times_area_at_each_cylinders_own_angle(tmp_path):
    trace = measured.read_trace(trace_file(tmp_path, GOOD), 1)
    force = measured.gas_force(trace, np.array([1.0, 2.0]), np.array([0.0, 1.0]), 0.002, 1e5)
    assert force[1, 1] == pytest.approx(force[0, 0])
    assert force[0, 0] == pytest.approx(0.002 * (measured.pressure_at(trace, 1.0) - 1e5))


BAD_TRACES = {
    "header": (["angle,pressure", *GOOD[1:]], "header = 'angle,pressure' is not the header angle_deg,pressure_bar"),
    "too few rows": (GOOD[:5], "rows = 4 is fewer than 8"),
    "text in a cell": ([*GOOD[:9], "80,high", *GOOD[10:]], "line 10 = '80,high' is not two numbers"),
    "three cells": ([*GOOD[:9], "80,1,2", *GOOD[10:]], "line 10 = '80,1,2' is not two numbers"),
    "angle falls": (
        [*GOOD[:9], "60,1", *GOOD[10:]],
        "angle_deg line 10 = 60.0 is not above that of the row before it, 70 deg.",
    ),
    "half a cycle": (
        GOOD[:20],
        "angle_deg line 20 = 180.0 is not the end of one cycle of 360 that starts at 0 deg; nearest value that works: "
        "rows that end at 360 deg.",
    ),
    "negative": (
        [*GOOD[:9], "80,-1", *GOOD[10:]],
        "pressure_bar line 10 = -1.0 is outside 0 to 2500 (absolute) bar; nearest value that works: 0 bar.",
    ),
    "not a number": ([*GOOD[:9], "80,nan", *GOOD[10:]], "line 10 = '80,nan' is not two numbers"),
    "does not close": (
        [*GOOD[:-1], "360,1"],
        "pressure_bar line 38 = 1.0 is not the pressure at the start of the cycle, 3 bar; nearest value that works: 3 "
        "bar.",
    ),
    "infinite": (
        [*GOOD[:9], "inf,1", *GOOD[10:]],
        "own.csv line 10 = 'inf,1' is not two numbers, angle [deg] and pressure [bar], with a decimal point and a "
        "comma between.",
    ),
    "underscores": ([*GOOD[:9], "80,1_000", *GOOD[10:]], "line 10 = '80,1_000' is not two numbers"),
    "other digits": ([*GOOD[:9], "\u0668\u0660,1", *GOOD[10:]], "line 10 = '\u0668\u0660,1' is not two numbers"),
    "decimal comma": ([*GOOD[:9], "80,1,5", *GOOD[10:]], "with a decimal point and a comma between"),
    "quote not closed": ([*GOOD[:9], '80,"1', *GOOD[10:]], "line 10 = '80,\"1' is not CSV text: a quote is not closed"),
    "one gap": (
        [GOOD[0], *(f"{angle},2" for angle in range(8)), "150,2"],
        "angle_deg line 10 = 150.0 is too far from the 7 of the row before it, rows are missing: the step must be at "
        "most 45 deg; nearest value that works: 52 deg.",
    ),
    "rows missing in the middle": (
        [*GOOD[:9], *GOOD[15:]],
        "angle_deg line 10 = 140.0 is too far from the 70 of the row before it, rows are missing: the step must be at "
        "most 45 deg; nearest value that works: 115 deg.",
    ),
    "end missing": (GOOD[:-4], "angle_deg line 34 = 320.0 is not the end of one cycle of 360 that starts at 0 deg"),
    "radians": (
        [GOOD[0], *(f"{a:.5f},2" for a in np.linspace(0, 2 * np.pi, 40))],
        "angle_deg line 41 = 6.28319 is the last, and one turn has 360, so the trace seems to be in radians: it must "
        "be in deg.",
    ),
    "kPa": (
        [*GOOD[:9], "80,4245", *GOOD[10:]],
        "pressure_bar line 10 = 4245.0 is outside 0 to 2500 (absolute) bar; nearest value that works: 2500 bar, or "
        "42.45 bar if the trace is in kPa.",
    ),
}


@pytest.mark.parametrize("case", BAD_TRACES)
def test_a_wrong_trace_gets_one_clear_sentence(case, tmp_path):
    lines, sentence = BAD_TRACES[case]
    with pytest.raises(InputError) as refusal:
        measured.read_trace(trace_file(tmp_path, lines), 1)
    assert sentence in str(refusal.value)
    assert "\n" not in str(refusal.value) and str(refusal.value).endswith(".")


@pytest.mark.parametrize(
    ("unit", "one"), [("kPa", 0.01), ("MPa", 10.0), ("psi", 0.0689476), ("Pa", 1e-5), ("mbar", 1e-3)]
)
def test_a_trace_in_another_unit_is_known_by_the_inlet(unit, one, tmp_path):
    """Pressures of 1 to 3 bar written in another unit, where the design's inlet has 0.95 bar."""
    lines = [GOOD[0], *(f"{a},{(2 + np.cos(np.radians(a))) / one:.7g}" for a in range(0, 361, 10))]
    with pytest.raises(InputError) as refusal:
        measured.read_trace(trace_file(tmp_path, lines), 1, 0.95e5)
    if unit in ("kPa", "MPa", "psi"):
        assert str(refusal.value) == (
            f"own.csv lowest pressure_bar = {float(f'{1 / one:g}')} is far from duty.inlet_pressure_bar = 0.95; the "
            f"trace looks as if it were in {unit}, not bar; nearest value that works: the same pressures times "
            f"{one:g}, "
            "which begin at 1 bar."
        )
    assert measured.read_trace(trace_file(tmp_path, GOOD), 1, 0.95e5)


def test_a_file_that_may_not_be_read_is_refused(tmp_path, monkeypatch):
    path = trace_file(tmp_path, GOOD)

    def refuse(_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(measured.Path, "read_bytes", refuse)
    with pytest.raises(InputError, match="own.csv' is not a file that can be read: Permission denied"):
        measured.read_trace(path, 1)


def test_a_quoted_table_is_read(tmp_path):
    lines = [GOOD[0], *(",".join(f'"{cell}"' for cell in line.split(",")) for line in GOOD[1:])]
    assert len(measured.read_trace(trace_file(tmp_path, lines), 1).angle) == 37


def test_files_that_are_no_trace_are_refused(tmp_path):
    (tmp_path / "binary.csv").write_bytes(bytes(range(256)))
    (tmp_path / "empty.csv").write_bytes(b"")
    with (tmp_path / "huge.csv").open("wb") as huge:
        huge.truncate(measured.LARGEST_FILE + 1)
    for name, sentence in (
        ("binary.csv", "not a text file"),
        ("empty.csv", "not the header"),
        ("huge.csv", "larger than 10 MB"),
        ("absent.csv", "not a file that can be read"),
        ("", "not a file that can be read"),
    ):
        with pytest.raises(InputError, match=sentence):
            measured.read_trace(tmp_path / name, 1)


@given(st.text(max_size=300) | st.binary(max_size=300))
def test_no_content_raises_anything_but_a_sentence(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("fuzz") / "x.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
    with pytest.raises(InputError):
        measured.read_trace(path, 1)
