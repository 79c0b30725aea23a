"""Design files: TOML in. A wrong file is refused with a sentence for each thing that is wrong."""

import re
import tomllib
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from vmech_core.base.errors import InputError
from vmech_core.design.design import Design

#: Larger files are refused before they are read, bytes. A design file has a few thousand.
LARGEST_FILE = 50_000
#: Lists, tables and dotted names inside one another; deeper ones are refused before they are parsed. A design has 2.
DEEPEST = 8
_MARKS = re.compile(r"\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'|#[^\n]*|[\[\]{}.=,\n]")


def load_design(path):
    """Load a design file and check it.

    Parameters
    ----------
    path : str or Path [-]
        The TOML file.

    Returns
    -------
    Design [-]
        The design, frozen.

    Raises
    ------
    InputError
        If the file cannot be read, is not TOML, or holds a design that is not possible.
    """
    path = _as_path(path)
    text = _read(path)
    return Design.from_dict(_parsed(text, path), path, text)


def _as_path(path):
    try:
        return Path(path)
    except TypeError:
        raise InputError("design file", path, "not a file name") from None


def _read(path):
    try:
        if path.is_dir():
            raise InputError("design file", path.name or str(path), "a folder, not a TOML file")
        if not path.is_file():
            raise InputError("design file", path.name, "not an existing file", nearest=_neighbour(path))
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("design file", path.name, f"not a file that can be read: {_why(error)}") from None
    return _decoded(raw, path.name)


def _decoded(raw, name):
    if len(raw) > LARGEST_FILE:
        raise InputError("design file", name, f"too large for a design: outside 1 to {LARGEST_FILE}", "bytes")
    if b"\0" in raw:
        raise InputError("design file", name, f"binary, not TOML text: byte {raw.index(0) + 1} is zero")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[:error.start].count(b"\n") + 1
        raise InputError("design file", name, f"not TOML text in UTF-8: line {line} holds other bytes") from None
    if not text.strip():
        raise InputError("design file", name, "empty; it needs the sections " + ", ".join(Design.sections()))
    return text


def _parsed(text, path):
    if (line := _too_deep(text)):
        words = f"nested more than {DEEPEST} deep in line {line}: a section holds keys, and a key one value or one list"
        raise InputError("design file", path.name, words)
    try:
        data = tomllib.loads(text)
        tomlkit.parse(text)
        return data
    except tomllib.TOMLDecodeError:
        from vmech_core.design.slips import text_refused

        raise text_refused(Design, text) from None
    except (ValueError, RecursionError, TOMLKitError) as error:
        raise InputError("design file", path.name, f"not TOML that can be used: {_why(error)}") from None


def _too_deep(text):
    """First line in which brackets and dotted names are nested too deep; 0 if none is."""
    depth = dots = 0
    for mark in _MARKS.finditer(text):
        depth = max(depth + {"[": 1, "{": 1, "]": -1, "}": -1}.get(mark[0], 0), 0)
        dots = dots + 1 if mark[0] == "." else dots if mark[0][0] in "\"'#" else 0
        if depth + dots > DEEPEST:
            return text.count("\n", 0, mark.start()) + 1
    return 0


def _neighbour(path):
    from vmech_core.design.faults import closest

    try:
        return closest(path.name, [item.name for item in path.parent.glob("*.toml")])
    except (OSError, ValueError):
        return None


def _why(error):
    text = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return " ".join(text.split())[:80]
