"""Imports of the core run one way: from later layers to earlier ones, never back, and importing stays light.

The order is this project's own rule (common practice, no source); DEVELOPERS.md explains the table ``LAYERS``.
"""

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

CORE = Path(__file__).resolve().parents[1] / "vmech_core"

#: A module may import what stands before it, in an earlier row or further left in its own.
#: ``topic.*`` stands for all files of that folder; those may not import each other.
LAYERS = (
    ("errors", "units", "results", "tables"),
    ("gears.train", "gears.involute", "gears.geometry", "gears.screens", "gears.outline", "gears.lewis",
     "gears.strokes", "gears.stiffness", "gears.mesh_loss", "unilateral",
     "oils", "surfaces", "journals", "bearings", "static_bearings", "sliders", "sliding", "rolling", "common_losses"),
    ("masses",),
    ("design_messages", "design_keys", "design_sections", "design_checks", "design", "design_file"),
    ("mechanisms.batch", "mechanisms.*", "pressure.gas", "pressure.measured",
     "pressure.first_law", "pressure.volume", "pressure.*", "firing", "waveform", "elastic",
     "sharing",
     "flanks", "study", "fits", "thermal", "seats", "films"),
    ("cycles", "stages", "assessment", "tolerances", "friction", "friction_cases", "friction_study",
     "claims", "symbolic"),
    ("drawing", "plots.style", "plots.split_scene", "plots.*"),
    ("panels", "teaching"),
)
#: Stand outside the order: they import nothing of the core when they are loaded, and nothing of the core imports them.
APART = ("start", "")
#: Package -> first layer (counted from 1) that may import it: physics knows no figures, figures know no widgets.
FIRST_LAYER_OF = {"matplotlib": 7, "IPython": 7, "ipywidgets": 8}


def module_names(core):
    """Names below the package of all its modules; a folder's ``__init__`` has the folder's name."""
    names = {}
    for path in sorted(core.rglob("*.py")):
        parts = path.relative_to(core).with_suffix("").parts
        names[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return names


def place(name, layers=LAYERS):
    """Position of a module in the table as (layer from 1, column), or None when it has none."""
    wild = None
    for row, layer in enumerate(layers, start=1):
        for column, entry in enumerate(layer):
            if entry == name:
                return row, column
            if entry.endswith(".*") and name.startswith(entry[:-1]):
                wild = wild or (row, column)
    return wild


def _absolute(node, name, is_folder):
    """Module that a from-import names, written from the top, with a relative one resolved."""
    if not node.level:
        return node.module
    parts = ["vmech_core", *(name.split(".") if name else [])]
    base = parts[: len(parts) - node.level + is_folder]
    return ".".join([*base, node.module] if node.module else base)


def _by_name(node):
    """Module named as text in ``import_module("...")`` or ``__import__("...")``; a placeholder becomes ``*``."""
    called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    if called not in ("import_module", "__import__") or not node.args:
        return []
    text = node.args[0]
    if isinstance(text, ast.Constant):
        return [str(text.value)]
    if isinstance(text, ast.JoinedStr):
        return ["".join(part.value if isinstance(part, ast.Constant) else "*" for part in text.values)]
    return []


def imported(tree, name, known, is_folder=False):
    """Everything that a module imports, anywhere in it, by full name."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = _absolute(node, name, is_folder)
            for alias in node.names:
                deeper = f"{base}.{alias.name}"
                found.add(deeper if deeper.removeprefix("vmech_core.") in known else base)
        elif isinstance(node, ast.Call):
            found |= set(_by_name(node))
    return found


def breaches(sources, layers=LAYERS):
    """One sentence for each import that goes against the order; ``sources`` maps a module's name to its text."""
    known, wrong = set(sources), []
    folders = {name.rpartition(".")[0] for name in known} - {""}
    for name in sorted(known - folders - set(APART)):
        if place(name, layers) is None:
            wrong.append(f"vmech_core.{name} has no place in the table LAYERS")
    for name, text in sources.items():
        if name == "":
            continue
        own = place(name, layers)
        for other in sorted(imported(ast.parse(text), name, known, name in folders)):
            top, _, target = other.partition(".")
            if top == "vmech_core":
                wrong += _judge(name, own, target, layers)
            elif top in FIRST_LAYER_OF and (own is None or own[0] < FIRST_LAYER_OF[top]):
                wrong.append(f"vmech_core.{name} imports {top}, which is for layer {FIRST_LAYER_OF[top]} and later")
    return wrong


def _judge(name, own, target, layers):
    if name == "start":
        return [f"vmech_core.start imports vmech_core.{target}, and it must run before anything is installed"]
    if target in APART:
        return [f"vmech_core.{name} imports from vmech_core{'.' * bool(target)}{target}; name the module itself"]
    there = place(target, layers)
    if own is None or there is None:
        return [f"vmech_core.{name} imports vmech_core.{target}, and one of them has no place in the table LAYERS"]
    return [] if there < own else [f"vmech_core.{name} imports vmech_core.{target}, which stands at or after it"]


def test_imports_run_one_way():
    sources = {name: path.read_text(encoding="utf-8") for name, path in module_names(CORE).items()}
    assert len(sources) > 10
    assert not breaches(sources), "\n".join(breaches(sources))


def test_every_row_of_the_table_is_in_use():
    names = module_names(CORE)
    entries = [entry for layer in LAYERS for entry in layer]
    in_use = [e for e in entries if any(n == e or (e.endswith(".*") and n.startswith(e[:-1])) for n in names)]
    assert in_use == entries


@pytest.mark.parametrize(
    ("name", "text", "part"),
    [
        ("masses", "from vmech_core.design import Design", "stands at or after"),
        ("masses", "def late():\n    import vmech_core.panels", "stands at or after"),
        ("gears.geometry", "from .. import masses", "stands at or after"),
        ("gears.geometry", "from ..masses import estimate", "stands at or after"),
        ("mechanisms.slider_crank", "from . import hypocycloid", "stands at or after"),
        ("mechanisms.slider_crank", "from .hypocycloid import motion", "stands at or after"),
        ("masses", "from importlib import import_module\nimport_module('vmech_core.assessment')", "stands at or after"),
        ("masses", "import importlib\nimportlib.import_module(f'vmech_core.plots.{1}')", "stands at or after"),
        ("assessment", "from vmech_core import load_design", "name the module itself"),
        ("assessment", "import vmech_core.start", "name the module itself"),
        ("start", "import vmech_core.errors", "before anything is installed"),
        ("novelty", "", "no place in the table"),
        ("masses", "import matplotlib.pyplot as plt", "layer 7 and later"),
        ("drawing", "from ipywidgets import HTML", "layer 8 and later"),
    ],
)
def test_the_check_finds_a_wrong_import(name, text, part):
    sources = dict.fromkeys(("masses", "design", "panels", "assessment", "mechanisms", "mechanisms.hypocycloid"), "")
    found = breaches({**sources, name: text})
    assert len(found) == 1 and part in found[0], found


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("design", "from vmech_core.errors import InputError\nfrom vmech_core import masses"),
        ("gears.lewis", "from .geometry import module\nfrom ..errors import InputError"),
        ("assessment", "import importlib\nimportlib.import_module(f'vmech_core.mechanisms.{1}')"),
        ("plots.motion", "import matplotlib.pyplot as plt\nfrom vmech_core.drawing import outline"),
    ],
)
def test_the_check_lets_a_right_import_pass(name, text):
    sources = dict.fromkeys(("errors", "masses", "gears", "gears.geometry", "drawing"), "")
    assert not breaches({**sources, name: text})


LOADED_BY_THE_FACE = """
import sys
before = set(sys.modules)
import vmech_core
dir(vmech_core)
import json
print(json.dumps(sorted(set(sys.modules) - before)))
"""

FILES_OPENED = """
import json, sys
from pathlib import Path
core = Path(sys.argv[1])
names = sys.argv[2:]
opened = []
def watch(event, arguments):
    if event == "open" and isinstance(arguments[0], (str, bytes)):
        opened.append(str(arguments[0]))
sys.addaudithook(watch)
import importlib
for name in names:
    importlib.import_module(name)
paths = {Path(p).resolve() for p in opened}
own = [p for p in paths if p.is_relative_to(core.parent) and not p.is_relative_to(core.parent / ".venv")]
print(json.dumps(sorted(map(str, own))))
"""


def _run(code, *arguments):
    line = [sys.executable, "-c", code, *arguments]
    environment = {name: value for name, value in os.environ.items() if name != "MATPLOTLIBRC"}
    answer = subprocess.run(line, capture_output=True, text=True, cwd=CORE.parent, env=environment, check=False)
    assert answer.returncode == 0, answer.stderr
    return json.loads(answer.stdout.splitlines()[-1])


def test_importing_the_package_loads_no_other_package():
    loaded = {name.partition(".")[0] for name in _run(LOADED_BY_THE_FACE)}
    assert "vmech_core" in loaded
    assert not loaded - {"vmech_core"} - sys.stdlib_module_names


def test_importing_every_module_reads_no_data():
    names = [".".join(["vmech_core", *filter(None, [name])]) for name in module_names(CORE)]
    opened = [Path(path) for path in _run(FILES_OPENED, str(CORE), *names)]
    assert any(path.suffix in (".py", ".pyc") for path in opened)
    assert not [str(path) for path in opened if not path.suffix.startswith(".py")]


def test_the_public_names_are_there():
    import vmech_core

    for name in vmech_core.__all__:
        assert callable(getattr(vmech_core, name))
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = vmech_core.no_such_name
