"""Design files: TOML out. Saving keeps comments, order and layout."""

import os
import secrets
import shutil
import stat
import time

import tomlkit

from vmech_core.base.errors import InputError
from vmech_core.design.files import _as_path, _why

#: Age from which a half-written file that a killed program left behind is taken away, s.
LEFT_BEHIND = 600.0


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
        if target.exists() and not target.stat().st_mode & stat.S_IWUSR:
            words = "protected against writing and was left as it was: give it another name, or allow writing"
            raise InputError("design file", path.name, words)
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
        fields = design.sections()[section].model_fields
        for key, value in keys.items():
            if key in document.get(section, {}):
                _put(document[section], key, value)
            elif value != fields[key].default:
                if section not in document:
                    document.add(section, tomlkit.table())
                document[section].add(key, _tidy(value))
    return tomlkit.dumps(document)


def _put(table, key, value):
    """Set a value in a TOML table without touching what has not changed."""
    old = table[key]
    if old == value and isinstance(old, list) == isinstance(value, list):
        return
    if isinstance(value, list) and isinstance(old, list) and len(old) == len(value):
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
        table, rules = tomlkit.table(), design.sections()[section].rules
        for key, value in keys.items():
            table.add(key, [_tidy(item) for item in value] if isinstance(value, list) else _tidy(value))
            table[key].comment(rules[key].meaning)
        document.add(section, table)
    return document


def _replace_file(target, raw):
    for old in target.parent.glob(".design-*.part"):
        if time.time() - old.stat().st_mtime > LEFT_BEHIND:
            old.unlink(missing_ok=True)
    temporary = target.with_name(f".design-{secrets.token_hex(6)}.part")
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
