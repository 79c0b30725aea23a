"""A refused input shows its sentence alone: in a notebook and at the end of a script; the traceback on request."""

import os
import pickle
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

from vmech_core.base import errors
from vmech_core.base.errors import InputError

ROOT = Path(__file__).resolve().parents[2]
REFUSED = "design.changed(**{'cylinders.bore_mm': -3})"
SENTENCE = "cylinders.bore_mm = -3 is outside 5 to 500 mm; nearest value that works: 22.1 mm."
LOAD = f"from vmech_core import load_design\ndesign = load_design({str(ROOT / 'data' / 'star_pump.toml')!r})"


@pytest.fixture(scope="module")
def cells():
    """Output of three cells of a notebook: refused, refused with the full traceback, an error of another kind."""
    full = f"from vmech_core.base.errors import full_traceback\nfull_traceback()\n{REFUSED}"
    sources = [f"{LOAD}\n{REFUSED}", full, "1 / 0"]
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source) for source in sources])
    NotebookClient(book, timeout=60, allow_errors=True, resources={"metadata": {"path": str(ROOT)}}).execute()
    return [cell.outputs for cell in book.cells]


def test_a_cell_of_a_notebook_holds_the_sentence_and_nothing_else(cells):
    assert [(o.output_type, o.ename, o.traceback) for o in cells[0]] == [("error", "DesignError", [SENTENCE])]


def test_the_full_traceback_is_there_on_request(cells):
    text = "\n".join(cells[1][0].traceback)
    assert "design_refused" in text and SENTENCE in text and len(text.splitlines()) > 10


def test_other_errors_look_as_ever(cells):
    assert "Traceback" in "\n".join(cells[2][0].traceback) and cells[2][0].ename == "ZeroDivisionError"


def test_a_run_of_a_notebook_still_stops_at_a_refusal():
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(f"{LOAD}\n{REFUSED}")])
    with pytest.raises(CellExecutionError, match="outside 5 to 500 mm"):
        NotebookClient(book, timeout=60, resources={"metadata": {"path": str(ROOT)}}).execute()


def run(code, **environment):
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True,
                          env={**os.environ, **environment})
    assert done.returncode == 1
    return done.stderr


def test_a_script_ends_with_the_sentence_and_nothing_else():
    assert run(f"{LOAD}\n{REFUSED}") == SENTENCE + "\n"
    assert "Traceback" in run(f"{LOAD}\n{REFUSED}", VMECH_TRACEBACK="1")
    assert "Traceback" in run(f"{LOAD}\n1 / 0") and "ZeroDivisionError" in run(f"{LOAD}\n1 / 0")


def test_a_hook_that_somebody_has_set_before_is_kept():
    code = f"import sys\nsys.excepthook = lambda *what: print('mine', file=sys.stderr)\n{LOAD}\n{REFUSED}"
    assert run(code) == "mine\n"


def test_a_refusal_is_a_value_error_that_travels_between_processes():
    error = InputError("speed", 0, "not above 0", "rpm", "1 rpm")
    assert isinstance(error, ValueError)
    again = pickle.loads(pickle.dumps(error))
    assert str(again) == str(error) == "speed = 0 is not above 0 rev/min; nearest value that works: 1 rpm."
    assert (again.field, again.nearest) == ("speed", "1 rpm")


def test_the_choice_is_one_switch():
    error = InputError("a", 1, "wrong")
    try:
        assert error._render_traceback_() == ["a = 1 is wrong."]
        errors.full_traceback()
        assert not hasattr(error, "_render_traceback_")
    finally:
        errors.full_traceback(False)
    assert error._render_traceback_() == ["a = 1 is wrong."]
