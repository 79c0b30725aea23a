"""Write the page of every key of a design file: ``python data/make_keys.py``."""

import sys
from pathlib import Path

from vmech_core.design.design import Design


def keys_page():
    """Markdown, made from the model alone."""
    parts = [_PAGE_HEAD]
    for section, model in Design.sections().items():
        title = model.__doc__.strip().splitlines()[0]
        rows = [_row(name, key, model.model_fields[name]) for name, key in model.rules.items()]
        parts.append("\n".join([f"## [{section}]", "", title, "", *_TABLE_HEAD, *rows]))
    return "\n\n".join(parts) + "\n"


_PAGE_HEAD = """# Every key of a design file

This page is generated from the model: `python data/make_keys.py`. Do not edit it.

A design file is TOML. Units stand at the end of a key's name. A list "per cylinder" has one entry for each cylinder
line, 1 to 12; "or per cylinder": one value for all of them, or such a list. "estimate" in place of a mass asks the
program to guess it from the dimensions. The last column names the notebooks of the course that use the key, or will use
it when they are written."""
_TABLE_HEAD = ("| key | unit | range | default | meaning | notebooks |", "|---|---|---|---|---|---|")


def _row(name, key, field):
    default = "required" if field.is_required() else str(field.default)
    span = {"text": f"text, up to {key.high:g} characters", "file name": "name of a .csv file",
            "word": ", ".join(key.words)}.get(key.kind, key.span())
    if key.kind == "number" and key.words:
        span += f", or \"{key.words[0]}\""
    span += ", whole" * (key.kind == "whole number")
    span += {"must": ", per cylinder", "may": ", or per cylinder"}.get(key.listed, "")
    return f"| `{name}` | {key.unit(name)} | {span} | {default} | {key.meaning} | {key.used} |"


if __name__ == "__main__":
    target = Path(sys.argv[1]) if sys.argv[1:] else Path(__file__).with_name("design_keys.md")
    target.write_text(keys_page(), encoding="utf-8", newline="\n")
    print(f"wrote {target.name}")
