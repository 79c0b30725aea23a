"""What a reader takes away from a panel as text: its numbers as a table, its setting as a line of Python."""

import csv
import io
import re
from itertools import zip_longest

import numpy as np


def setting_line(values) -> str:
    """One line that brings a scene to a setting.

    Parameters
    ----------
    values : dict [-]
        Value of each control by name.

    Returns
    -------
    str [-]
        Python.

    Examples
    --------
    >>> setting_line({"angle_deg": 40.0, "shape": "sine"})
    "scene.update(angle_deg=40.0, shape='sine')"
    """
    return f"scene.update({', '.join(f'{name}={value!r}' for name, value in values.items())})"


def table(lines, setting) -> str:
    """Data of lines as comma-separated values, six figures each.

    Parameters
    ----------
    lines : list of Line2D [-]
        Curves; one whose abscissa is that of the curve before shares its column.
    setting : str [-]
        Stands in the first line, behind a ``#``.

    Returns
    -------
    str [-]
        A head with names and units from axes and labels, then one row a point; short columns end in empty fields.
    """
    heads, columns, before = [], [], None
    for number, line in enumerate(lines, start=1):
        x, y = (np.asarray(data, dtype=float).ravel() for data in (line.get_xdata(), line.get_ydata()))
        if before is None or before[0] is not line.axes or not np.array_equal(before[1], x, equal_nan=True):
            heads.append(line.axes.get_xlabel() or "x")
            columns.append(x)
        heads.append(f"{line.axes.get_ylabel() or 'y'}: {_name(line, number)}")
        columns.append(y)
        before = line.axes, x
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([f"# {setting}"])
    writer.writerow([re.sub(r"[$\\{}]", "", head).replace("\n", " ") for head in heads])
    writer.writerows(zip_longest(*([f"{value + 0.0:.6g}" for value in column] for column in columns), fillvalue=""))
    return out.getvalue()


def _name(line, number):
    label = line.get_label()
    title = line.axes.get_title()
    return f"{title + ', ' if title else ''}line {number}" if label.startswith("_") else label
