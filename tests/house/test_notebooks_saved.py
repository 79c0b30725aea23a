"""How notebooks are saved: run, without errors, comparable, in short cells, in the course's frame.

Strict comparison (nbval) skips a cell that was never run, so these checks stand beside it. Each is shown to fail.
"""

import copy
import re
from pathlib import Path

import nbformat
import pytest

NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))
#: Tags and comments that exempt a cell from comparison (nbval's documentation).
EXEMPT_TAG = "nbval-ignore-output"
EXEMPT = re.compile(r"NBVAL_IGNORE_OUTPUT|PYTEST_VALIDATE_IGNORE_OUTPUT")
SKIPPED = re.compile(r"NBVAL_SKIP")
SKIPPED_TAG = "nbval-skip"
#: What every notebook says somewhere in its text, in these or nearly these words.
FRAME = {
    "what the reader will be able to do": r"you (will|can) (then )?be able to|you will learn to",
    "prerequisites": r"prerequisite|what you need|before you start",
    "minutes": r"\bminutes\b|\bmin\b",
    "what would make it false": r"what would make (it|this|them|that)( \w+)? (false|wrong)",
    "sources": r"^(#+ |\*\*).*\bsources\b",
}
LONGEST_CELL, SHARE_OF_SHORT_CELLS, SHARE_OF_EXEMPT_CELLS = 10, 0.9, 0.1


def code_cells(notebook):
    """Code cells that hold something, with their number among the code cells as nbval counts them."""
    cells = [cell for cell in notebook.cells if cell.cell_type == "code"]
    return [(number, cell) for number, cell in enumerate(cells) if cell.source.strip()]


def is_exempt(cell):
    """Whether nbval runs the cell without comparing its output."""
    return EXEMPT_TAG in cell.metadata.get("tags", []) or bool(EXEMPT.search(cell.source))


def _lines(cell):
    return sum(bool(line.strip()) for line in cell.source.splitlines())


def cell_faults(number, cell):
    """What is wrong with one code cell as saved."""
    faults = []
    tags = cell.metadata.get("tags", [])
    if cell.execution_count is None:
        faults.append("saved without having been run")
    if any(o.output_type == "error" for o in cell.outputs) and "raises-exception" not in tags:
        faults.append("an error is saved in its output")
    if cell.source.rstrip().endswith(";"):
        faults.append("ends with ';'")
    if SKIPPED.search(cell.source) or SKIPPED_TAG in tags:
        faults.append("is skipped altogether")
    if is_exempt(cell):
        if not str(cell.metadata.get("reason", "")).strip():
            faults.append("is exempt from comparison and its metadata give no 'reason'")
        if re.search(r"\bassert\b|\bprint\(", cell.source):
            faults.append("is exempt from comparison and asserts or prints")
    return [f"code cell {number}: {fault}" for fault in faults]


def notebook_faults(notebook):
    """What is wrong with a whole notebook as saved."""
    cells = code_cells(notebook)
    faults = [fault for number, cell in cells for fault in cell_faults(number, cell)]
    if not cells:
        return ["has no code cell"]
    short = sum(_lines(cell) <= LONGEST_CELL for _, cell in cells)
    if short < SHARE_OF_SHORT_CELLS * len(cells):
        faults.append(f"only {short} of {len(cells)} code cells have at most {LONGEST_CELL} lines")
    exempt = sum(is_exempt(cell) for _, cell in cells)
    if exempt > SHARE_OF_EXEMPT_CELLS * len(cells):
        faults.append(f"{exempt} of {len(cells)} code cells are exempt from comparison")
    if notebook.metadata.get("kernelspec", {}).get("name") != "python3":
        faults.append("its kernel is not named python3")
    if "widgets" in notebook.metadata:
        faults.append("the state of widgets is saved in it")
    ids = [cell.get("id") for cell in notebook.cells]
    if None in ids or len(set(ids)) < len(ids):
        faults.append("a cell has no id, or two have the same")
    return faults + frame_faults(notebook)


def unlocked_panels(notebook):
    """Numbers of the code cells with a panel that a stray key can delete or change."""
    return [number for number, cell in code_cells(notebook) if "slider_panel(" in cell.source
            and (cell.metadata.get("deletable"), cell.metadata.get("editable")) != (False, False)]


def frame_faults(notebook):
    """Which parts of the course's frame the text lacks."""
    text = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    missing = [part for part, words in FRAME.items() if not re.search(words, text, re.IGNORECASE | re.MULTILINE)]
    title = next((line for line in text.splitlines() if line.strip()), "")
    faults = [] if re.match(r"# [^#\s]", title) else ["does not begin with a title"]
    return faults + [f"its text lacks: {part}" for part in missing]


def test_there_are_notebooks():
    assert [path.name for path in NOTEBOOKS][:2] == ["00_start_here.ipynb", "01_straight_line.ipynb"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_the_notebook_is_saved_as_agreed(path):
    text = path.read_text(encoding="utf-8")
    notebook = nbformat.reads(text, as_version=nbformat.NO_CONVERT)
    nbformat.validate(notebook)
    faults = notebook_faults(notebook)
    assert not faults, f"{path.name}:\n" + "\n".join(faults)


def test_cells_with_a_panel_cannot_be_deleted_or_changed_by_a_stray_key():
    found = {path.name: unlocked_panels(nbformat.read(path, as_version=4)) for path in NOTEBOOKS}
    missing = {name: numbers for name, numbers in found.items() if numbers}
    assert not missing, f"'deletable': false and 'editable': false are missing in the metadata of {missing}"


@pytest.mark.parametrize(
    ("metadata", "found"),
    [({}, [0]), ({"deletable": False}, [0]), ({"deletable": False, "editable": True}, [0]),
     ({"deletable": False, "editable": False}, [])],
)
def test_an_unlocked_panel_is_found(metadata, found):
    cell = nbformat.v4.new_code_cell("slider_panel(scene, alt='x')", metadata=metadata)
    other = nbformat.v4.new_code_cell("from vmech_core.teach import slider_panel")
    assert unlocked_panels(nbformat.v4.new_notebook(cells=[cell, other])) == found


#: Code names of units in words for a reader; ``show(x, "um")`` and keys such as ``guide_um`` are code.
PLAIN_UNIT = re.compile(r"(?<![\w`\"'.])(um|urad|rpm|cm3|mm2|k?m/s2|kg m2)\b(?!`)|\d C\b")


def _texts(notebook):
    """What a reader sees: text cells, stubs, printed results, words of pictures."""
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            yield cell.source
        yield from re.findall(r"^answer\w* = None  # .*$", cell.source, re.M)
        for output in cell.get("outputs", []):
            yield output.get("text") or output.get("data", {}).get("text/plain", "")


def plain_units(notebook):
    """Places where a unit is written in a way that no figure of the course has."""
    return [line for text in _texts(notebook) for line in text.splitlines() if PLAIN_UNIT.search(line)]


def links(notebook):
    """Targets of all links in the text, and apart from them those of the cells that lead through the course."""
    cells = [cell for cell in notebook.cells if cell.cell_type == "markdown"]
    led = [cell for cell in cells if "navigation" in cell.metadata.get("tags", [])]
    return [re.findall(r"\]\(([^)\s]+)\)", "\n".join(cell.source for cell in found)) for found in (cells, led)]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_units_are_written_as_in_the_figures(path):
    assert not plain_units(nbformat.read(path, as_version=4))


@pytest.mark.parametrize(("line", "wrong"), [
    ("15 um", True), ("at 3000 rpm", True), ("3 405 m/s2", True), ("90 C", True), ("15 µm, 90 °C", False),
    ("the key `guide_um`", False), ("guide_um = 15", False),
])
def test_a_plain_unit_is_found(line, wrong):
    output = nbformat.v4.new_output("stream", name="stdout", text=line)
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("", outputs=[output])])
    assert bool(plain_units(notebook)) == wrong


def test_links_lead_to_files_and_to_the_notebooks_before_and_after():
    for place, path in enumerate(NOTEBOOKS):
        every, led = links(nbformat.read(path, as_version=4))
        for target in every:
            assert target.startswith(("https://", "#")) or (path.parent / target.split("#")[0]).exists(), (path, target)
        around = [*NOTEBOOKS[max(0, place - 1):place], *NOTEBOOKS[:1 if place else 0], *NOTEBOOKS[place + 1:place + 2]]
        assert led == 2 * [other.name for other in around], path.name


def test_answers_to_guesses_are_folded():
    """A text cell that answers what was asked before a panel keeps its answers in a fold."""
    for path in NOTEBOOKS:
        for cell in nbformat.read(path, as_version=4).cells:
            if cell.cell_type == "markdown" and re.search(r"<summary>Answers?", cell.source):
                assert cell.source.count("<details>") == cell.source.count("</details>") > 0, path.name
            assert cell.cell_type != "markdown" or not re.search(r"^\*\*Answers?\b", cell.source, re.M), path.name


def _sample():
    """A small notebook without fault."""
    v4 = nbformat.v4
    frame = ("# Why?\n\nAfter this you will be able to count. Prerequisites: none. 5 minutes.\n\n"
             "## What would make it false\n\nNothing.\n\n## Sources\n\n1. None.")
    code = [v4.new_code_cell(f"x = {k}", execution_count=k + 1) for k in range(19)]
    code.append(v4.new_code_cell("draw()", execution_count=20, metadata={"tags": [EXEMPT_TAG], "reason": "random"}))
    metadata = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    return v4.new_notebook(cells=[v4.new_markdown_cell(frame), *code], metadata=metadata)


def test_a_good_notebook_passes():
    assert notebook_faults(_sample()) == []


def _without(word):
    def spoil(notebook):
        notebook.cells[0].source = notebook.cells[0].source.replace(word, "")

    return spoil


def _set(number, **changes):
    def spoil(notebook):
        notebook.cells[number].update(copy.deepcopy(changes))

    return spoil


ERROR = nbformat.v4.new_output("error", ename="E", evalue="e", traceback=[])


@pytest.mark.parametrize(
    ("spoil", "fault"),
    [
        (_set(1, execution_count=None), "without having been run"),
        (_set(1, outputs=[ERROR]), "an error is saved"),
        (_set(1, source="plot();\n"), "ends with ';'"),
        (_set(1, source="# NBVAL_SKIP\nx = 1"), "is skipped"),
        (_set(1, metadata={"tags": ["nbval-skip"]}), "is skipped"),
        (_set(20, metadata={"tags": [EXEMPT_TAG]}), "no 'reason'"),
        (_set(20, source="assert x"), "asserts or prints"),
        (_set(20, source="print(x)"), "asserts or prints"),
        (lambda n: [_set(k, source="# NBVAL_IGNORE_OUTPUT\ny")(n) for k in (1, 2)], "3 of 20"),
        (lambda n: [_set(k, source="\n".join("abcdefghijk"))(n) for k in (1, 2, 3)], "only 17 of 20"),
        (lambda n: n.metadata.kernelspec.update(name="mine"), "not named python3"),
        (lambda n: n.metadata.update(widgets={}), "state of widgets"),
        (lambda n: n.cells[1].pop("id"), "no id"),
        (lambda n: n.cells[2].update(id=n.cells[1].id), "no id"),
        (lambda n: n.update(cells=n.cells[:1]), "no code cell"),
        (_without("# Why?"), "title"),
        (lambda n: n.cells[0].update(source="# " + n.cells[0].source), "title"),
        (_without("you will be able to"), "able to do"),
        (_without("Prerequisites"), "prerequisites"),
        (_without("minutes"), "minutes"),
        (_without("would make it"), "make it false"),
        (_without("Sources"), "sources"),
    ],
    ids=range(22),
)
def test_a_fault_is_found(spoil, fault):
    notebook = _sample()
    spoil(notebook)
    assert any(fault in line for line in notebook_faults(notebook)), notebook_faults(notebook)
