"""The house rules: one grammar for docstrings, plain words, short modules, a clean tree; each check can fail."""

import ast
import importlib
import inspect
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
CORE = REPOSITORY / "vmech_core"
PHYSICS = ("gears", "machine", "pressure", "bearings", "friction", "balance", "size")
CARD = {"README.md", "DEVELOPERS.md", "requirements.txt", "notebooks", "vmech_core", "tests", "data", "binder"}

#: Units that a docstring may name: SI anywhere; customary ones at the edge, where the name must carry them as well.
#: "-" is for what has no unit (texts, objects, flags) or states it beside the value; "1" is a pure number.
SI_UNITS = {
    *("-", "1", "m", "m2", "m3", "m4", "1/m", "rad", "1/rad", "m/rad", "m/rad2", "m2/rad", "m3/rad", "kg m2/rad"),
    "N/s",
    *("s", "1/s", "Hz", "rad/s", "rad/s2", "m/s", "m/s2", "m2/s", "m3/s", "kg", "kg m", "kg m2", "kg/m3", "kg/s"),
    *("N", "N m", "N m2", "N m/rad", "N/m", "m/N", "N/m2", "N s", "N s/m", "N m s", "Pa", "Pa s", "1/Pa"),
    *("K", "J", "J/K", "J/kg", "J/(kg K)", "J/(m3 K)", "J/rad", "K/rad", "W", "W/m2", "W/(m K)", "W/(m2 K)"),
}
EDGE_UNITS = {"mm": "mm", "um": "um", "deg": "deg", "rpm": "rpm", "bar": "bar", "MPa": "MPa", "GPa": "GPa", "g": "g",
              "h": "h", "C": "C", "kN": "kN", "kW": "kW", "cm3": "cm3", "g mm": "g_mm", "ms": "ms",
              "MJ/kg": "MJ_per_kg"}

SECTIONS = ("Parameters", "Attributes", "Returns", "Yields", "Raises", "Notes", "Examples")
ENTRY = re.compile(r"(?P<names>\*{0,2}\w+(?:, \*{0,2}\w+)*) : (?P<type>\S.*?) \[(?P<unit>[^\]]+)\]")
NAMELESS_ENTRY = re.compile(r"(?P<type>[^\s:][^:]*?) \[(?P<unit>[^\]]+)\]")
BANNED = re.compile(r"\b(just|simply|obviously)\b", re.IGNORECASE)
MACHINE_PATH = re.compile(r"(?<![\w.])(?:/(?:tmp|work|root|home|Users|farm)/\w|[A-Z]:\\+Users\\)")


# --- the grammar ----------------------------------------------------------------------------------------------------


def sections_of(doc):
    """Parts of a cleaned docstring: the text before the first heading under "", then heading to its lines."""
    parts, heading = {"": []}, ""
    lines = doc.splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if line in SECTIONS and set(below) == {"-"}:
            heading = line
            parts[heading] = []
        elif line.startswith(("Valid:", "Source:")):
            heading = line.partition(":")[0]
            parts[heading] = [line]
        elif not (parts.get(heading) == [] and set(line) == {"-"}):
            parts[heading].append(line)
    return parts


def entries(lines, pattern):
    """Entries of a section as (first line, match or None, description)."""
    found = []
    for line in lines:
        if line and not line.startswith(" "):
            found.append((line, pattern.fullmatch(line), []))
        elif line.strip() and found:
            found[-1][2].append(line.strip())
    return found


def _entry_faults(where, heading, parts, named=True):
    faults, names = [], []
    for line, match, description in entries(parts.get(heading, []), ENTRY):
        match = match or (None if named else NAMELESS_ENTRY.fullmatch(line))
        if not match:
            faults.append(f"{where}: '{line}' under {heading} is not of the form 'name : TYPE [UNIT]'")
            continue
        if not description:
            faults.append(f"{where}: '{line}' under {heading} has no description")
        faults += _unit_faults(where, match)
        names += [name.strip("* ") for name in match.groupdict().get("names", "").split(",") if name]
    return faults, names


def _unit_faults(where, match):
    unit, names = match["unit"], match.groupdict().get("names")
    if unit in EDGE_UNITS:
        ending = "_" + EDGE_UNITS[unit]
        bare = [name for name in (names or "").split(", ") if name and not name.endswith(ending)]
        return [f"{where}: {name} is in {unit} and its name does not end in {ending}" for name in bare]
    return [] if unit in SI_UNITS else [f"{where}: [{unit}] is no unit that the project uses"]


def _arguments(node):
    a = node.args
    names = [x.arg for x in (*a.posonlyargs, *a.args)]
    names += [a.vararg.arg] if a.vararg else []
    names += [x.arg for x in a.kwonlyargs]
    names += [a.kwarg.arg] if a.kwarg else []
    return [name for name in names if name not in ("self", "cls")]


def _own_nodes(node):
    """Everything in a function's body except functions and classes inside it."""
    for child in ast.iter_child_nodes(node):
        if not isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.Lambda)):
            yield child
            yield from _own_nodes(child)


def _gives(node):
    return any(isinstance(n, (ast.Yield, ast.YieldFrom)) or (isinstance(n, ast.Return) and n.value is not None
               and not (isinstance(n.value, ast.Constant) and n.value.value is None)) for n in _own_nodes(node))


def _raises_input_error(node):
    raised = [n.exc for n in _own_nodes(node) if isinstance(n, ast.Raise) and n.exc is not None]
    names = [ast.unparse(exc.func if isinstance(exc, ast.Call) else exc) for exc in raised]
    return any(name.endswith("InputError") for name in names)


def _decorators(node):
    return {ast.unparse(d.func if isinstance(d, ast.Call) else d).rpartition(".")[2] for d in node.decorator_list}


def _summary_faults(where, doc):
    first, _, rest = doc.partition("\n")
    faults = [] if first.endswith(".") else [f"{where}: the first line of its docstring does not end with a full stop"]
    return faults + ([f"{where}: no empty line after the first"] if rest and not rest.startswith("\n") else [])


def function_faults(node, doc, where, physics=False):
    """What the docstring of one function or method lacks."""
    if not doc:
        return [f"{where}: no docstring"]
    parts, faults = sections_of(doc), _summary_faults(where, doc)
    more, names = _entry_faults(where, "Parameters", parts)
    faults += more
    if names != _arguments(node):
        faults.append(f"{where}: documents {', '.join(names)}, and takes {', '.join(_arguments(node))}")
    for heading in ("Returns", "Yields"):
        faults += _entry_faults(where, heading, parts, named=False)[0]
    if _decorators(node) & {"property", "cached_property"} and "Returns" not in parts:
        faults += _property_faults(node, doc, where)
    elif _gives(node) and not {"Returns", "Yields"} & set(parts):
        faults.append(f"{where}: gives a result and has no Returns section")
    if _raises_input_error(node) and not any("InputError" in line for line in parts.get("Raises", [])):
        faults.append(f"{where}: raises InputError and has no Raises section that says so")
    if physics:
        faults += [f"{where}: no line beginning '{w}:'" for w in ("Valid", "Source") if w not in parts]
    return faults


def _property_faults(node, doc, where):
    """A property may say its unit in its sentence instead; one whose type holds no number needs none."""
    kind = ast.unparse(node.returns) if node.returns else ""
    if kind and not re.search(r"\b(float|int|complex|ndarray)\b", kind):
        return []
    units = set(re.findall(r"\[([^\]]+)\]", doc))
    return [] if units & (SI_UNITS | set(EDGE_UNITS)) else [f"{where}: is a number and its docstring names no [unit]"]


def _fields(node):
    """Public data of a class: its ``record``, annotated names in its body, and what its ``__init__`` stores."""
    names = [s.target.id for s in node.body if isinstance(s, ast.AnnAssign) and isinstance(s.target, ast.Name)]
    names = [n for n, s in zip(names, [s for s in node.body if isinstance(s, ast.AnnAssign)], strict=True)
             if "ClassVar" not in ast.unparse(s.annotation)]
    for made in node.decorator_list:
        if isinstance(made, ast.Call) and ast.unparse(made.func) == "record":
            names += [*made.args[0].value.split(), *(word.arg for word in made.keywords if word.arg)]
    for method in node.body:
        if isinstance(method, ast.FunctionDef) and method.name == "__init__":
            stored = [n for n in ast.walk(method) if isinstance(n, ast.Attribute) and isinstance(n.ctx, ast.Store)]
            names += [n.attr for n in stored if ast.unparse(n.value) == "self" and n.attr not in names]
    return [name for name in names if not name.startswith("_")]


def class_faults(node, doc, where):
    """What the docstring of one class lacks."""
    if not doc:
        return [f"{where}: no docstring"]
    parts, faults = sections_of(doc), _summary_faults(where, doc)
    more, attributes = _entry_faults(where, "Attributes", parts)
    other, parameters = _entry_faults(where, "Parameters", parts)
    missing = [name for name in _fields(node) if name not in attributes]
    start = next((m for m in node.body if isinstance(m, ast.FunctionDef) and m.name == "__init__"), None)
    known = {*attributes, *parameters}
    missing += [a for a in (_arguments(start) if start else []) if a not in known and a not in missing]
    return faults + more + other + [f"{where}: does not document {name}" for name in missing]


def docstring_faults(text, module, physics=False):
    """Faults of all public functions, classes and methods of a module; docstrings are those that a reader sees."""
    tree, name, faults = ast.parse(text), module.__name__, []
    if not inspect.getdoc(module):
        faults.append(f"{name}: no docstring")
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)) and not node.name.startswith("_"):
            doc = inspect.getdoc(getattr(module, node.name))
            faults += function_faults(node, doc, f"{name}.{node.name}", physics)
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            faults += _class_and_methods(node, getattr(module, node.name), f"{name}.{node.name}")
    return faults


def _class_and_methods(node, cls, where):
    doc = inspect.cleandoc(cls.__doc__ or "")
    faults = class_faults(node, doc, where)
    described = _entry_faults(where, "Attributes", sections_of(doc))[1]
    for method in node.body:
        is_method = isinstance(method, (ast.FunctionDef, ast.AsyncFunctionDef)) and not method.name.startswith("_")
        if is_method and method.name not in described:
            its = inspect.cleandoc(getattr(vars(cls)[method.name], "__doc__", None) or "")
            faults += function_faults(method, its, f"{where}.{method.name}")
    return faults


def module_files():
    """Dotted name to path of every module of the core."""
    names = {}
    for path in sorted(CORE.rglob("*.py")):
        parts = path.relative_to(REPOSITORY).with_suffix("").parts
        names[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return names


@pytest.mark.parametrize("name", module_files())
def test_docstrings_follow_the_grammar(name):
    physics = name.removeprefix("vmech_core.").split(".")[0] in PHYSICS
    text = module_files()[name].read_text(encoding="utf-8")
    faults = docstring_faults(text, importlib.import_module(name), physics)
    assert not faults, "\n" + "\n".join(faults)


GOOD = '''
def area(bore, count=1, *, scale=1.0):
    """Area of all pistons.

    Parameters
    ----------
    bore : float or (...) array [m]
        Bore.
    count : int [1]
        How many.
    scale : float [1]
        Factor.

    Returns
    -------
    (...) array [m2]
        Area.

    Raises
    ------
    InputError
        If the bore is negative.

    Valid: always.
    Source: Euclid.
    """
    if bore < 0:
        raise InputError("bore", bore, "below 0", "m")
    return bore * bore * count * scale
'''


def _faults_of(text):
    module = type(sys)("sample")
    exec("\"\"\"Sample.\"\"\"\n" + text, module.__dict__)
    return docstring_faults("\"\"\"Sample.\"\"\"\n" + text, module, physics=True)


def test_the_grammar_accepts_a_good_docstring():
    assert not _faults_of(GOOD)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("    count : int [1]\n        How many.\n", "", "documents bore, scale, and takes"),
        ("    scale : float [1]", "    factor : float [1]", "documents"),
        ("count : int [1]", "count : int", "not of the form"),
        ("count : int [1]", "count: int [1]", "not of the form"),
        ("array [m2]", "array [furlong]", "no unit that the project uses"),
        ("bore : float or (...) array [m]", "bore : float [mm]", "does not end in _mm"),
        ("        How many.\n", "", "has no description"),
        ("    Returns\n    -------\n    (...) array [m2]\n        Area.\n", "", "no Returns section"),
        ("    Returns\n    -------\n", "    Returns:\n", "no Returns section"),
        ("    (...) array [m2]\n", "    (...) array\n", "not of the form"),
        ("    InputError\n        If the bore is negative.\n", "", "no Raises section"),
        ("    Valid: always.\n", "", "no line beginning 'Valid:'"),
        ("    Source: Euclid.\n", "", "no line beginning 'Source:'"),
        ("Area of all pistons.", "Area of all pistons", "full stop"),
        ('"""Area', 'None\n    """Area', "no docstring"),
    ],
    ids=lambda text: text.strip().splitlines()[0][:30] if text.strip() else "-",
)
def test_the_grammar_finds_a_bad_docstring(old, new, fault):
    assert old in GOOD
    faults = _faults_of(GOOD.replace(old, new, 1))
    assert any(fault in line for line in faults), faults


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("bore: float = 1.0", "does not document bore"),
        ("def __init__(self, bore):\n        self.size = bore", "does not document size"),
        ("def __init__(self, bore):\n        self._b = bore", "does not document bore"),
        ("def size(self):\n        return 1", "A.size: no docstring"),
        ("@property\n    def size(self):\n        \"\"\"Size.\"\"\"\n        return 1", "no [unit]"),
    ],
    ids=range(5),
)
def test_the_grammar_finds_a_bad_class(text, fault):
    faults = _faults_of(f'class A:\n    """Thing."""\n    {text}\n')
    assert any(fault in line for line in faults), faults


# --- size, words, paths, lint, tree ---------------------------------------------------------------------------------


def tracked_files():
    """Files of the repository: those that git knows, and without git all but environments and caches."""
    line = ["git", "-C", str(REPOSITORY), "ls-files"]
    try:
        names = subprocess.run(line, capture_output=True, text=True, check=True).stdout.splitlines()
    except (OSError, subprocess.CalledProcessError):
        names = []
    paths = [REPOSITORY / name for name in names] or [p for p in REPOSITORY.rglob("*") if not _generated(p)]
    return [path for path in paths if path.is_file()]


def _generated(path):
    names = path.relative_to(REPOSITORY).parts
    waste = {".git", ".venv", "__pycache__", "build", ".ipynb_checkpoints"}
    return any(n in waste or n.endswith((".egg-info", "_cache")) or n == ".hypothesis" for n in names)


def prose(path):
    """Text that a reader reads: a page as it is, of a notebook the cells in words."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".ipynb":
        return text
    return "\n".join("".join(c["source"]) for c in json.loads(text)["cells"] if c["cell_type"] == "markdown")


def hits(pattern, text):
    """Every match with its line number."""
    return [f"line {text.count(chr(10), 0, m.start()) + 1}: {m.group(0)}" for m in pattern.finditer(text)]


def test_no_belittling_words():
    pages = [REPOSITORY / "README.md", REPOSITORY / "DEVELOPERS.md", *sorted(REPOSITORY.glob("notebooks/*.ipynb"))]
    found = {str(page.relative_to(REPOSITORY)): hits(BANNED, prose(page)) for page in pages}
    assert not {page: words for page, words in found.items() if words}


def test_no_path_of_one_machine():
    found = {}
    for path in tracked_files():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        found[str(path.relative_to(REPOSITORY))] = hits(MACHINE_PATH, text)
    assert found
    assert not {path: places for path, places in found.items() if places}


def test_lint_is_clean():
    answer = subprocess.run([sys.executable, "-m", "ruff", "check", "--no-cache", "--output-format", "concise", "."],
                            capture_output=True, text=True, cwd=REPOSITORY, check=False)
    assert answer.returncode == 0, answer.stdout + answer.stderr


def test_the_top_level_is_as_agreed():
    top = {path.relative_to(REPOSITORY).parts[0] for path in tracked_files()}
    assert {name for name in top if not name.startswith(".")} == CARD


def test_a_warning_from_the_core_is_an_error():
    code = "import numpy\nnumpy.sqrt(numpy.float64(-1.0))"
    with pytest.raises(RuntimeWarning):
        exec(code, {"__name__": "vmech_core.gears.sample"})


def test_these_checks_can_fail(tmp_path):
    assert hits(BANNED, "It is\nJust so, simply.") == ["line 2: Just", "line 2: simply"]
    assert not hits(BANNED, "Adjust it; justly said.")
    for bad in ("see /" + "tmp/notes", "'/" + "home/someone/x'", "C:" + "\\Users\\me", "(/" + "work/main)"):
        assert hits(MACHINE_PATH, bad), bad
    assert not hits(MACHINE_PATH, "https://example.org/home/x and data/home/x and a/work/b")
    (tmp_path / "bad.py").write_text("import os\n")
    line = [sys.executable, "-m", "ruff", "check", "--no-cache", "--config", str(REPOSITORY / ".ruff.toml"), "bad.py"]
    assert "F401" in subprocess.run(line, capture_output=True, text=True, cwd=tmp_path, check=False).stdout
