"""How large the core is, and how much of it each notebook loads: ``python tests/core_size.py`` (runs all notebooks).

A code line holds code; docstrings, comments and blank lines do not count. A public name is a function or a class at the
top of a module, without an underscore. What a notebook loads is found by running it; every test run prints the same
table from the notebooks that it ran anyway. Limits are the house's own (common practice, no source).
"""

import ast
import io
import json
import sys
import tempfile
import tokenize
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
CORE, NOTEBOOKS = ROOT / "vmech_core", ROOT / "notebooks"
#: Code lines in all, in one module, in one package that is not about pictures; public names in all.
IN_ALL, IN_MODULE, IN_PACKAGE, NAMES = 12000, 250, 1300, 620
#: Code lines of physics (all packages but these) that a notebook may load; every other notebook: the last.
NO_PHYSICS = ("show", "teach")
#: The running state and the own cycle bring plays, films and the first law into every load; 00 prints the numbers that
#: decide, friction among them; 10 adds up every contact of both machines. 00, 09, 10 and 12 ask the sheet for peaks in
#: time and for the rating of the teeth; 08 rates and marches each step of a design, with what its
#: friction costs; 11 takes the crank's loads from a march and the heat of the pistons from the cycle.
REACH = {"00": 6200, "01": 300, "03": 1400, "05": 4000, "08": 6300, "09": 4600, "10": 5700, "11": 5800, "12": 4900,
         "": 4400}
_NO_CODE = (tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER)

#: Runs inside the notebook's kernel: after each cell it writes which modules of the core are loaded.
RECORDER = '''
import json, os, sys
def _record(result, folder={folder!r}, cells=[]):
    cells.append(result.info.raw_cell)
    loaded = sorted(name for name in sys.modules if name.split(".")[0] == "vmech_core")
    with open(os.path.join(folder, str(os.getpid()) + ".json"), "w", encoding="utf-8") as file:
        json.dump({{"cells": cells, "modules": loaded}}, file)
get_ipython().events.register("post_run_cell", _record)
del _record
'''


def code_lines(path):
    """Lines of a module that hold code."""
    text, documents, code = path.read_text(encoding="utf-8"), set(), set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.Module, ast.FunctionDef, ast.ClassDef)) and ast.get_docstring(node, clean=False):
            documents |= set(range(node.body[0].lineno, node.body[0].end_lineno + 1))
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in _NO_CODE:
            code |= set(range(token.start[0], token.end[0] + 1))
    return len(code - documents)


def public_names(path):
    """Functions and classes of a module that anybody may use."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    return [n.name for n in body if isinstance(n, (ast.FunctionDef, ast.ClassDef)) and not n.name.startswith("_")]


def modules():
    """Dotted name of each module of the core to its file."""
    names = {}
    for path in sorted(CORE.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        names[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return names


def package_of(name):
    """First part of a module's name below the core; its own name for a module that stands alone."""
    return (name.split(".") + [""])[1]


def sizes():
    """Package to code lines, public names and modules."""
    found = {}
    for name, path in modules().items():
        lines, names, count = found.get(package_of(name), (0, 0, 0))
        found[package_of(name)] = lines + code_lines(path), names + len(public_names(path)), count + 1
    return found


def prepare(folder):
    """An IPython folder whose kernels record what they load; returned with the folder of the records."""
    startup, records = Path(folder, "profile_default", "startup"), Path(folder, "records")
    startup.mkdir(parents=True)
    records.mkdir()
    (startup / "record.py").write_text(RECORDER.format(folder=str(records)), encoding="utf-8")
    return records


def reach(records):
    """Notebook to code lines that it loads: physics, all; from the records of kernels that have run."""
    lines, found = {name: code_lines(path) for name, path in modules().items()}, {}
    cells = {path.stem: _cells(path) for path in sorted(NOTEBOOKS.glob("*.ipynb"))}
    for record in map(json.loads, (path.read_text(encoding="utf-8") for path in Path(records).glob("*.json"))):
        ran = set(record["cells"]) - {""}
        name = max(cells, key=lambda stem: len(ran & cells[stem]))
        if ran & cells[name]:
            every = [n for n in record["modules"] if n in lines]
            physics = sum(lines[n] for n in every if package_of(n) not in NO_PHYSICS)
            found[name] = physics, sum(lines[n] for n in every)
    return dict(sorted(found.items()))


def _cells(path):
    every = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return {"".join(cell["source"]) for cell in every if cell["cell_type"] == "code"}


def limit(notebook):
    """Most code lines of physics that a notebook may load."""
    return REACH.get(notebook[:2], REACH[""])


def faults(loaded):
    """One sentence for each limit of a notebook that is broken."""
    return [f"{name} loads {physics} lines of physics, at most {limit(name)}"
            for name, (physics, _) in loaded.items() if physics > limit(name)]


def table(loaded):
    """The whole table as lines of text."""
    every, own = sizes(), {name: code_lines(path) for name, path in modules().items()}
    lines = [f"{'package':<12}{'code lines':>11}{'names':>7}{'files':>7}"]
    lines += [f"{name or 'face':<12}{n:>11}{k:>7}{files:>7}" for name, (n, k, files) in every.items()]
    total, names = sum(v[0] for v in every.values()), sum(v[1] for v in every.values())
    longest = max(own, key=own.get)
    lines += [f"{'in all':<12}{total:>11}{names:>7}{len(own):>7}   (at most {IN_ALL} and {NAMES})",
              f"longest module: {longest}, {own[longest]} (at most {IN_MODULE})"]
    if loaded:
        lines += [f"{'notebook':<32}{'physics':>9}{'at most':>9}{'in all':>8}"]
        lines += [f"{name:<32}{physics:>9}{limit(name):>9}{more:>8}" for name, (physics, more) in loaded.items()]
    return lines


def main():
    """Run every notebook, print the table, and say what is over its limit."""
    import os

    import nbformat
    from nbclient import NotebookClient

    with tempfile.TemporaryDirectory() as folder:
        records = prepare(folder)
        os.environ["IPYTHONDIR"] = folder
        for path in sorted(NOTEBOOKS.glob("*.ipynb")):
            where = {"metadata": {"path": str(NOTEBOOKS)}}
            NotebookClient(nbformat.read(path, as_version=4), timeout=300, resources=where).execute()
        loaded = reach(records)
    print("\n".join([*table(loaded), *faults(loaded)]))
    return bool(faults(loaded))


if __name__ == "__main__":
    sys.exit(main())
