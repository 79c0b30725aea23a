"""The notation sheet, of the whole course or of one notebook, from ``data/notation.csv``."""

from vmech_core.base import InputError, rows


class _Sheet(str):
    """Text of a table that a notebook sets as Markdown."""

    def _repr_markdown_(self):
        return str(self)


def notation(notebook=""):
    """Write the notation sheet.

    Parameters
    ----------
    notebook : str [-]
        Number of a notebook, as "05", for the symbols that stand in it; empty for all.

    Returns
    -------
    str [-]
        A table in Markdown, which a notebook shows as such.

    Raises
    ------
    InputError
        If there is no such notebook in the table.

    Examples
    --------
    >>> [line for line in notation("06").splitlines() if "backlash" in line]
    ['| $j$ | backlash | m | `backlash` |']
    """
    table = rows("notation")
    known = sorted({number for row in table for number in row["notebooks"].split()} - {"all"})
    if notebook and notebook not in known:
        raise InputError("notebook", notebook, f"not one of {', '.join(known)}")
    lines = ["| symbol | meaning | unit | in the code |", "|---|---|---|---|"]
    for row in table:
        if not notebook or {notebook, "all"} & set(row["notebooks"].split()):
            code = ", ".join(f"`{name}`" for name in row["code"].split())
            lines.append(f"| ${row['symbol']}$ | {row['meaning']} | {row['unit']} | {code} |")
    return _Sheet("\n".join(lines))
