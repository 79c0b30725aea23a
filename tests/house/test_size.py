"""The core stays small, and a notebook loads what it needs. Limits: the house's own (common practice, no source)."""

import core_size
import pytest


def test_modules_stay_short():
    length = {name: core_size.code_lines(path) for name, path in core_size.modules().items()}
    assert length and not {name: n for name, n in length.items() if n > core_size.IN_MODULE}


def test_packages_and_the_whole_stay_small():
    every = core_size.sizes()
    assert not {name: n for name, (n, *_) in every.items() if n > core_size.IN_PACKAGE and name != "show"}
    assert sum(n for n, *_ in every.values()) <= core_size.IN_ALL
    assert sum(names for _, names, _ in every.values()) <= core_size.NAMES


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ('"""Words\nover two lines."""\n\n# a remark\nx = 1  # one\n', 1),
        ('def f(a,\n      b):\n    """Words."""\n    return (a\n            + b)\n', 4),
        ('x = """a text\nthat is data"""\n', 2),
    ],
)
def test_what_counts_as_a_line_of_code(tmp_path, text, lines):
    path = tmp_path / "sample.py"
    path.write_text(text)
    assert core_size.code_lines(path) == lines


def test_what_a_notebook_loads_is_found_and_judged(tmp_path):
    records = core_size.prepare(tmp_path)
    first = core_size._cells(core_size.NOTEBOOKS / "01_straight_line.ipynb")
    assert not core_size.reach(records)
    names = ["vmech_core.machine.train", "vmech_core.show.style", "vmech_core.no_such"]
    text = core_size.json.dumps({"cells": ["", *first], "modules": names})
    (records / "1.json").write_text(text)
    physics = core_size.code_lines(core_size.CORE / "machine" / "train.py")
    figures = core_size.code_lines(core_size.CORE / "show" / "style.py")
    assert core_size.reach(records) == {"01_straight_line": (physics, physics + figures)}
    assert not core_size.faults({"01_straight_line": (300, 900)})
    assert "at most 300" in core_size.faults({"01_straight_line": (301, 900)})[0]
