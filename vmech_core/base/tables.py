"""Tables of numbers in ``data/``: read when first asked for, each row with its source and how sure it is."""

import csv
from functools import cache
from pathlib import Path

from vmech_core.base.errors import InputError

FOLDER = Path(__file__).resolve().parents[2] / "data"


@cache
def rows(name):
    """All rows of a table.

    Parameters
    ----------
    name : str [-]
        File in ``data/`` without its ending, for example ``oils``.

    Returns
    -------
    tuple of dict [-]
        Column name to text; the columns ``source`` and ``status`` say where a row comes from.
    """
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))


def row(name, column, value):
    """The row of a table that has a given text in one column.

    Parameters
    ----------
    name : str [-]
        Table, as in ``rows``.
    column : str [-]
        Column to look in.
    value : str [-]
        Text to find.

    Returns
    -------
    dict [-]
        Column name to text.

    Raises
    ------
    InputError
        If no row has it; the sentence names those that there are.
    """
    found = [entry for entry in rows(name) if entry[column] == value]
    if not found:
        raise InputError(column, value, f"not one of {', '.join(entry[column] for entry in rows(name))}")
    return found[0]
