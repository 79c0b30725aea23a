"""Design files: TOML in and out. Saving keeps comments and order; a wrong file is refused with one sentence.

``python -m vmech_core.design.files`` writes the page of every key, ``data/design_keys.md``.
"""

from __future__ import annotations

import os
import secrets
import shutil
import sys
import tomllib
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from vmech_core.base.errors import InputError
from vmech_core.design.design import Design, section_models
from vmech_core.design.faults import closest

#: Larger files are refused before they are read, bytes. A design file has a few thousand.
LARGEST_FILE = 1_000_000


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


def save_design(design, path):
    """Save a design; comments, order and layout of the file it was loaded from are kept.

    The new text is written beside the file and then put in its place in one step, so that the old file stays whole if
    anything fails. The pressure trace is not copied.

    Parameters
    ----------
    design : Design [-]
        The design.
    path : str or Path [-]
        Where to; a file of that name is replaced.

    Returns
    -------
    Path [-]
        The file that was written.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    path = _as_path(path)
    try:
        target = path.resolve()
        if target.is_dir():
            raise InputError("design file", path.name, "a folder, not a file that can be written")
        _replace_file(target, design_text(design).encode("utf-8"))
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("design file", path.name, f"not written: {_why(error)}; the old file is as it was") from None
    return path


def design_text(design):
    """Write a design as TOML.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    str [-]
        The text of its file with changed values put in; a fresh text, each key with its meaning, if there was none.
    """
    document = tomlkit.parse(design.text) if design.text else _fresh(design)
    for section, keys in design.to_dict().items():
        fields = section_models()[section].model_fields
        for key, value in keys.items():
            if key in document.get(section, {}):
                _put(document[section], key, value)
            elif value != fields[key].default:
                if section not in document:
                    document.add(section, tomlkit.table())
                document[section].add(key, _tidy(value))
    return tomlkit.dumps(document)


def keys_page():
    """Write the page of every key of a design file.

    Returns
    -------
    str [-]
        Markdown, made from the model alone.
    """
    parts = [_PAGE_HEAD]
    for section, model in section_models().items():
        title = model.__doc__.strip().splitlines()[0]
        rows = [_row(name, key, model.model_fields[name]) for name, key in model.keys().items()]
        parts.append("\n".join([f"## [{section}]", "", title, "", *_TABLE_HEAD, *rows]))
    return "\n\n".join(parts) + "\n"


_PAGE_HEAD = """# Every key of a design file

This page is generated from the model: `python -m vmech_core.design.files`. Do not edit it.

A design file is TOML. Units stand at the end of a key's name. A list "per cylinder" has one entry for each cylinder
line, 1 to 12. "estimate" in place of a mass asks the program to guess it from the dimensions. The last column names the
notebooks of the course that use the key, or will use it when they are written."""
_TABLE_HEAD = ("| key | unit | range | default | meaning | notebooks |", "|---|---|---|---|---|---|")


def _row(name, key, field):
    default = "required" if field.is_required() else str(field.default)
    span = {"text": f"text, up to {key.high:g} characters", "file name": "name of a .csv file",
            "word": ", ".join(key.words)}.get(key.kind, key.span())
    if key.kind == "number" and key.words:
        span += f", or \"{key.words[0]}\""
    span += ", whole" * (key.kind == "whole number") + ", per cylinder" * bool(key.most)
    return f"| `{name}` | {key.unit(name)} | {span} | {default} | {key.meaning} | {key.used} |"


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
        raise InputError("design file", name, "empty; it needs the sections " + ", ".join(section_models()))
    return text


def _parsed(text, path):
    try:
        data = tomllib.loads(text)
        tomlkit.parse(text)
        return data
    except tomllib.TOMLDecodeError as error:
        raise InputError("design file", path.name, f"not TOML: {_place(error, text)}") from None
    except (ValueError, RecursionError, TOMLKitError) as error:
        raise InputError("design file", path.name, f"not TOML that can be used: {_why(error)}") from None


def _place(error, text):
    words = str(error)
    if "(at end of document)" in words:
        return words.replace("(at end of document)", f"(line {text.count(chr(10)) + 1}, the end of the file)")
    return words.replace("(at line", "(line")


def _neighbour(path):
    try:
        return closest(path.name, [item.name for item in path.parent.glob("*.toml")])
    except (OSError, ValueError):
        return None


def _why(error):
    text = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return " ".join(text.split())[:80]


def _put(table, key, value):
    """Set a value in a TOML table without touching what has not changed."""
    old = table[key]
    if old == value and isinstance(old, list) == isinstance(value, list):
        return
    if isinstance(value, list) and len(old) == len(value):
        for place, item in enumerate(value):
            if old[place] != item:
                old[place] = _tidy(item)
    else:
        table[key] = [_tidy(item) for item in value] if isinstance(value, list) else _tidy(value)


def _tidy(value):
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e15 else value


def _fresh(design):
    document = tomlkit.document()
    for section, keys in design.to_dict().items():
        table, rules = tomlkit.table(), section_models()[section].keys()
        for key, value in keys.items():
            table.add(key, [_tidy(item) for item in value] if isinstance(value, list) else _tidy(value))
            table[key].comment(rules[key].meaning)
        document.add(section, table)
    return document


def _replace_file(target, raw):
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(6)}.part")
    try:
        with temporary.open("xb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, temporary)
        os.replace(temporary, target)
    finally:
        temporary.unlink(missing_ok=True)


def main(arguments=None):
    """Write the page of every key.

    Parameters
    ----------
    arguments : list of str or None [-]
        One file name; without it ``data/design_keys.md`` of the repository.

    Returns
    -------
    Path [-]
        The file that was written.
    """
    arguments = sys.argv[1:] if arguments is None else arguments
    path = Path(arguments[0]) if arguments else Path(__file__).parents[2] / "data" / "design_keys.md"
    path.write_text(keys_page(), encoding="utf-8", newline="\n")
    return path


if __name__ == "__main__":
    print(f"wrote {main().name}")
