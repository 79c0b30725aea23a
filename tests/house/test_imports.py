"""Imports of the core run one way: from later packages to earlier ones, never back, and importing stays light.

The order is this project's own rule (common practice, no source); DEVELOPERS.md shows it as a picture.
"""

import ast
import importlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

CORE = Path(__file__).resolve().parents[2] / "vmech_core"

#: Packages and single files in their import order: each may import what stands before it, and files of its own.
ORDER = ("base", "gears", "design", "machine", "pressure", "plays", "sharing", "bearings", "case", "accuracy",
         "friction", "balance", "size", "sheet", "show", "teach", "start")
#: Other people's package -> the first place in the order that may import it: physics knows no figures, figures know
#: no widgets.
FIRST_PLACE_OF = {"matplotlib": "show", "IPython": "show", "ipywidgets": "teach"}


def module_names(core):
    """Names below the package of all its modules; a folder's ``__init__`` has the folder's name."""
    names = {}
    for path in sorted(core.rglob("*.py")):
        parts = path.relative_to(core).with_suffix("").parts
        names[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return names


def place(name):
    """Position of a module's package in the order, or None when it has none."""
    package = name.partition(".")[0]
    return ORDER.index(package) if package in ORDER else None


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


def breaches(sources):
    """One sentence for each import that goes against the order; ``sources`` maps a module's name to its text."""
    known, wrong = set(sources), []
    folders = {name.rpartition(".")[0] for name in known} - {""}
    for name, text in sources.items():
        if name == "":
            continue
        if place(name) is None:
            wrong.append(f"vmech_core.{name} has no place in ORDER")
        for other in sorted(imported(ast.parse(text), name, known, name in folders)):
            top, _, target = other.partition(".")
            if top == "vmech_core":
                wrong += _judge(name, target)
            elif top in FIRST_PLACE_OF and (place(name) or 0) < ORDER.index(FIRST_PLACE_OF[top]):
                wrong.append(f"vmech_core.{name} imports {top}, which is for {FIRST_PLACE_OF[top]} and later")
    return wrong + _circles(sources)


def _judge(name, target):
    own, there = place(name), place(target)
    if name == "start":
        return [f"vmech_core.start imports vmech_core.{target}, and it must run before anything is installed"]
    if target in ("", "start"):
        return [f"vmech_core.{name} imports from vmech_core{'.' * bool(target)}{target}; name the package itself"]
    if own is None or there is None:
        return [f"vmech_core.{name} imports vmech_core.{target}, and one of them has no place in ORDER"]
    same = own == there and "." in target  # a file of the same package
    fault = f"vmech_core.{name} imports vmech_core.{target}, which stands at or after it"
    return [] if there < own or same else [fault]


def _circles(sources):
    """Files of one package that import each other, directly or through others."""
    folders = {name.rpartition(".")[0] for name in sources} - {""}
    after = {name: {t for o in imported(ast.parse(text), name, set(sources), name in folders)
                    if (t := o.removeprefix("vmech_core.")) in sources} for name, text in sources.items()}
    left = dict(after)
    while free := [name for name, needs in left.items() if not needs & left.keys()]:
        for name in free:
            del left[name]
    return [f"these import each other: {', '.join(sorted(left))}"] if left else []


def test_imports_run_one_way():
    sources = {name: path.read_text(encoding="utf-8") for name, path in module_names(CORE).items()}
    assert len(sources) > 10
    assert not breaches(sources), "\n".join(breaches(sources))


def test_every_place_of_the_order_is_in_use():
    assert [name for name in ORDER if name in module_names(CORE)] == list(ORDER)


PACKAGES = [name for name in ORDER if (CORE / name / "__init__.py").is_file()]


@pytest.mark.parametrize("name", PACKAGES)
def test_a_package_says_what_it_knows_and_offers_what_it_names(name):
    package = importlib.import_module(f"vmech_core.{name}")
    assert "know" in package.__doc__ and len(package.__doc__.split()) > 25
    files = {path.stem for path in (CORE / name).glob("*.py")}
    for offered in package.__all__:
        thing = getattr(package, offered)
        is_file = type(thing) is type(package)
        assert is_file == (offered in files), f"{offered} is the name of a file and of something in it"
        assert not callable(thing) or (thing.__doc__ or "").strip(), offered
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = package.no_such_name


@pytest.mark.parametrize(
    ("name", "text", "part"),
    [
        ("machine.masses", "from vmech_core.sharing import share", "stands at or after"),
        ("machine.masses", "def late():\n    import vmech_core.teach.panels", "stands at or after"),
        ("gears.geometry", "from .. import machine", "stands at or after"),
        ("gears.geometry", "from ..machine import masses", "stands at or after"),
        ("case", "import vmech_core.teach", "stands at or after"),
        ("machine", "from importlib import import_module\nimport_module('vmech_core.sheet')", "stands at or after"),
        ("machine.x", "import importlib\nimportlib.import_module(f'vmech_core.show.{1}')", "stands at or after"),
        ("sheet.stages", "from vmech_core import load_design", "name the package itself"),
        ("sheet.stages", "import vmech_core.start", "name the package itself"),
        ("start", "import vmech_core.base", "before anything is installed"),
        ("novelty", "", "no place in ORDER"),
        ("machine.masses", "import matplotlib.pyplot as plt", "for show and later"),
        ("show.drawing", "from ipywidgets import HTML", "for teach and later"),
        ("machine.masses", "from vmech_core.machine import other", "import each other"),
    ],
)
def test_the_check_finds_a_wrong_import(name, text, part):
    sources = dict.fromkeys(("machine", "sharing", "case", "teach", "machine.other"), "")
    sources["machine.other"] = "from vmech_core.machine import masses" if "other" in text else ""
    found = breaches({**sources, name: text})
    assert len(found) == 1 and part in found[0], found


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("machine.masses", "from vmech_core.base.errors import InputError\nfrom vmech_core import gears"),
        ("gears.strength", "from .geometry import module\nfrom ..base import InputError"),
        ("sheet.stages", "import importlib\nimportlib.import_module(f'vmech_core.machine.{1}')"),
        ("show.motion", "import matplotlib.pyplot as plt\nfrom vmech_core.show.drawing import outline"),
    ],
)
def test_the_check_lets_a_right_import_pass(name, text):
    sources = dict.fromkeys(("base", "gears", "gears.geometry", "show.drawing"), "")
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


#: Tables that an import may read, as names or defaults are made of them: design keys, units, load channels, assumptions
#: of friction, other uncertain numbers, gases, stages of the sheet.
NAMING = ("design_keys.csv", "units.csv", "channels.csv", "friction_assumptions.csv", "estimates.csv",
          "gas_species.csv", "stages.csv", "panels.csv")


def test_importing_every_module_reads_no_data_but_the_names():
    names = [".".join(["vmech_core", *filter(None, [name])]) for name in module_names(CORE)]
    opened = [Path(path) for path in _run(FILES_OPENED, str(CORE), *names)]
    assert any(path.suffix in (".py", ".pyc") for path in opened)
    assert not [str(path) for path in opened if not path.suffix.startswith(".py") and path.name not in NAMING]


def test_the_public_names_are_there():
    import vmech_core

    for name in vmech_core.__all__:
        assert callable(getattr(vmech_core, name))
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = vmech_core.no_such_name
