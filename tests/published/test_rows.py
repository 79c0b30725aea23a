"""Every row of the table of published values is either reproduced by a test or left out for a stated reason."""

import ast
import csv
from pathlib import Path

FOLDER = Path(__file__).parent


def listed():
    """Rows of rows.csv by identity."""
    with (FOLDER / "rows.csv").open(encoding="utf-8", newline="") as file:
        return {line["row"]: line for line in csv.DictReader(file)}


def used():
    """Identity of each row named by a ``row`` marker in this folder, with the test files that name it."""
    found = {}
    for path in sorted(FOLDER.glob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "row":
                found.setdefault(node.args[0].value, set()).add(path.name)
    return found


def report():
    """The table of all rows as lines of text."""
    rows, where = listed(), used()

    def state(identity, row):
        files = sorted(where.get(identity, ()))
        return "used in " + ", ".join(files) if files else "NOT USED: " + row["reason_not_used"]

    lines = [f"{identity}  {state(identity, row)}  |  {row['quantity']}" for identity, row in rows.items()]
    return [*lines, f"{len(where)} of {len(rows)} rows used"]


def test_every_row_is_used_or_has_a_reason():
    rows, where = listed(), used()
    print("\n".join(report()))
    assert set(where) <= set(rows), f"marked but not listed: {sorted(set(where) - set(rows))}"
    silent = [i for i, row in rows.items() if i not in where and not row["reason_not_used"]]
    assert not silent, f"neither used nor explained: {silent}"
    both = [i for i, row in rows.items() if i in where and row["reason_not_used"]]
    assert not both, f"used, and still listed as not used: {both}"


#: Rows of topics 1 to 5 that no test uses: texts and ranges, and what compression ignition will need.
LEFT_OUT = {"T01-020", "T03-008", "T03-009", "T03-010", "T03-023", "T04-026"}


def test_all_rows_of_the_topics_of_this_version_are_used():
    """Topics 1 to 5 but for the rows above; topic 8 as far as pair geometry and the Lewis screen."""
    assert {i for i in listed() if i[:3] in ("T01", "T02", "T03", "T04", "T05")} - set(used()) == LEFT_OUT
    assert {"T08-001", "T08-003", "T08-006", "T08-009", "T08-011", "T08-012", "T08-014", "T08-019"} <= set(used())
