"""The two commands of the README: what they do on a fresh machine, after an interruption, and when they cannot go on.

Nothing is installed here: pip and the programs that follow are replaced by stand-ins. The real thing is what CI does.
"""

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from vmech_core import start

REPOSITORY = Path(__file__).resolve().parents[2]
BASH = pytest.mark.skipif(os.name == "nt", reason="a bash script for Debian")


@pytest.fixture
def course(tmp_path, monkeypatch):
    """A folder with the files that the commands look at."""
    root = tmp_path / "a course"
    for name in (*start.BASE_FILES, *(file for file, _ in start.COMMANDS.values()), "vmech_core/start.py",
                 start.FIRST_PAGE):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(name, encoding="utf-8")
    monkeypatch.delenv("VMECH_ENV", raising=False)
    monkeypatch.setattr(start, "__file__", str(root / "vmech_core/start.py"))
    return root


class Stand:
    """Stands in for ``venv`` and ``pip``; counts what was asked, and fails where it is told to."""

    def __init__(self, monkeypatch):
        self.made, self.installed, self.failure = 0, [], None
        monkeypatch.setattr(start.subprocess, "call", self._call)

    def _call(self, line, **_):
        if line[2] == "venv":
            self.made += 1
            python = start._python_of(Path(line[-1]))
            python.parent.mkdir(parents=True)
            python.write_text("python", encoding="utf-8")
            return 0
        self.installed.append(line[-1])
        (Path(line[0]).parent / "half").write_text("half", encoding="utf-8")
        if isinstance(self.failure, BaseException):
            raise self.failure
        return self.failure or 0


@pytest.fixture
def stand(monkeypatch):
    return Stand(monkeypatch)


@pytest.fixture
def launched(monkeypatch):
    calls = []
    monkeypatch.setattr(start, "_launch", lambda *arguments: calls.append(arguments) or 7)
    return calls


OPEN, TEST = (start.COMMANDS[name][0] for name in ("open", "test"))


def prepare(root, command="open", env=None):
    start._prepare(root, env or root / ".venv", start.COMMANDS[command][0])


def test_a_second_run_installs_nothing(course, stand):
    prepare(course)
    prepare(course)
    assert (stand.made, stand.installed) == (1, [OPEN])


def test_the_tests_add_to_the_same_environment(course, stand):
    for command in ("open", "test", "open", "test"):
        prepare(course, command)
    assert (stand.made, stand.installed) == (1, [OPEN, TEST])


def test_tests_first_serve_the_course_as_well(course, stand):
    for command in ("test", "open"):
        prepare(course, command)
    assert (stand.made, stand.installed) == (1, [TEST])


@pytest.mark.parametrize("name", start.BASE_FILES)
def test_changed_requirements_make_the_environment_anew(course, stand, name):
    prepare(course)
    (course / name).write_text("changed", encoding="utf-8")
    prepare(course)
    assert (stand.made, stand.installed) == (2, [OPEN, OPEN])


def test_changed_test_requirements_leave_the_course_alone(course, stand):
    prepare(course, "test")
    (course / TEST).write_text("changed", encoding="utf-8")
    prepare(course, "open")
    prepare(course, "test")
    assert (stand.made, stand.installed) == (1, [TEST, TEST])


def test_requirements_that_lose_their_end_make_the_environment_anew(course, stand):
    """The stamp of the tests begins like that of the course alone; a file cut short must not pass for the whole."""
    prepare(course)
    (course / OPEN).write_text(OPEN[:-3], encoding="utf-8")
    prepare(course)
    assert stand.made == 2


@pytest.mark.parametrize("failure", [KeyboardInterrupt(), 1, OSError("power cut")])
def test_a_half_finished_installation_is_repaired(course, stand, failure):
    stand.failure = failure
    with pytest.raises((KeyboardInterrupt, start._Stop)):
        prepare(course)
    (course / ".venv" / "half package").mkdir()
    stand.failure = None
    prepare(course)
    prepare(course)
    assert (stand.made, stand.installed) == (2, [OPEN, OPEN])
    assert not (course / ".venv" / "half package").exists()


def test_a_broken_stamp_or_a_lost_python_is_repaired(course, stand):
    prepare(course)
    (course / ".venv" / start.STAMP).write_text("{", encoding="utf-8")
    prepare(course)
    start._python_of(course / ".venv").unlink()
    prepare(course)
    assert stand.made == 3


def test_an_environment_of_an_earlier_version_is_renewed(course, stand):
    (course / ".venv").mkdir()
    (course / ".venv" / "vmech_environment.json").write_text("{}", encoding="utf-8")
    prepare(course)
    assert stand.made == 1


def test_a_moved_course_makes_its_environment_anew(course, stand):
    prepare(course)
    moved = course.rename(course.parent / "moved")
    prepare(moved)
    assert stand.made == 2


def test_a_folder_of_the_reader_is_left_alone(course, stand, capsys, monkeypatch):
    own = course.parent / "my files"
    own.mkdir()
    (own / "letter.txt").write_text("dear", encoding="utf-8")
    monkeypatch.setenv("VMECH_ENV", str(own))
    code, text = sentence(["open"], capsys)
    assert code == 1 and re.search(r"my files was not made by this command.*VMECH_ENV", text)
    assert [path.name for path in own.iterdir()] == ["letter.txt"]


def test_another_place_for_the_environment(course, stand, launched, monkeypatch):
    monkeypatch.setenv("VMECH_ENV", str(course.parent / "elsewhere"))
    start.main(["open"])
    assert not (course / ".venv").exists()
    assert launched[0][0][0] == str(start._python_of(course.parent / "elsewhere"))


def test_an_environment_is_not_renewed_from_inside(course, stand, monkeypatch):
    monkeypatch.setattr(start.sys, "prefix", str(course / ".venv"))
    with pytest.raises(start._Stop, match="cannot do that from inside"):
        prepare(course)
    assert not stand.made


@BASH
def test_two_runs_at_once_wait_for_each_other(course, tmp_path):
    """The second run gets the lock when the first has ended, and finds everything done."""
    (course / ".venv").mkdir()
    with open(course / ".venv" / start.STAMP, "a", encoding="utf-8") as first:
        start._lock(first)
        code = (f"import sys; sys.path.insert(0, {str(REPOSITORY)!r}); from vmech_core import start; print('waits', "
                f"flush=True); start._lock(open({str(course / '.venv' / start.STAMP)!r}, 'a')); print('goes on')")
        second = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        assert second.stdout.readline() == "waits\n"
        with pytest.raises(subprocess.TimeoutExpired):
            second.wait(0.3)
    assert second.communicate()[0] == "goes on\n"


def test_what_another_run_has_completed_is_not_done_again(course, stand, monkeypatch):
    def wait_while_the_other_works(_):
        monkeypatch.undo()
        other = Stand(monkeypatch)
        prepare(course, "test")
        assert other.made == 1

    monkeypatch.setattr(start, "_lock", wait_while_the_other_works)
    prepare(course)
    assert not stand.made


# --- when it cannot go on: one sentence ------------------------------------------------------------------------------


def sentence(arguments, capsys):
    """Exit code and what the reader sees; no traceback, one line, one full stop at its end."""
    code = start.main(arguments)
    text = capsys.readouterr().err.strip()
    assert text.startswith("Stopped: ") and "\n" not in text and text[-1] in ".)"
    return code, text


def test_an_old_python_is_refused(course, capsys, monkeypatch):
    monkeypatch.setattr(start.sys, "version_info", (3, 10, 2, "final", 0))
    assert sentence(["open"], capsys) == (1, "Stopped: this is Python 3.10, and the course needs Python 3.11 or newer "
                                             "from python.org or your system.")


@pytest.mark.parametrize("name", ["__init__.py", "start.py"])
def test_an_old_python_can_read_the_files_it_meets(name):
    ast.parse((REPOSITORY / "vmech_core" / name).read_text(encoding="utf-8"), feature_version=(3, 6))


def test_the_oldest_python_is_that_of_the_package():
    text = (REPOSITORY / "vmech_core/pyproject.toml").read_text(encoding="utf-8")
    assert f'requires-python = ">={start.OLDEST[0]}.{start.OLDEST[1]}"' in text


def test_a_course_with_parts_missing_is_refused(course, stand, capsys):
    (course / start.FIRST_PAGE).unlink()
    code, text = sentence(["open"], capsys)
    assert code == 1 and "is not the whole course" in text and "README.md" in text


def test_a_folder_that_cannot_be_written_is_named(course, stand, capsys, monkeypatch):
    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(start.Path, "mkdir", refuse)
    code, text = sentence(["open"], capsys)
    assert code == 1 and "could not be written (Permission denied)" in text and ".venv" in text


def test_a_failed_installation_says_what_to_look_at(course, stand, capsys):
    stand.failure = 1
    code, text = sentence(["open"], capsys)
    assert code == 1 and "network" in text and "disk" in text and "run this again" in text


def test_the_keyboard_ends_it_without_a_traceback(course, stand, capsys):
    stand.failure = KeyboardInterrupt()
    assert start.main(["open"]) == 130
    assert "next run carries on" in capsys.readouterr().err


@pytest.mark.parametrize(("arguments", "code"), [([], 2), (["dance"], 2), (["--help"], 0)])
def test_without_a_command_it_says_which_there_are(arguments, code, capsys):
    assert start.main(arguments) == code
    assert "start open" in capsys.readouterr().out


# --- what is started -------------------------------------------------------------------------------------------------


def test_arguments_are_passed_on(course, stand, launched):
    assert start.main(["test", "-k", "gear pair"]) == 7
    assert start.main(["test", "--", "-x"]) == 7
    start.main(["open", "--no-browser", "--port=9000"])
    lines = [line for line, _, _ in launched]
    python = str(start._python_of(course / ".venv"))
    assert lines[:2] == [[python, "-m", "pytest", "-k", "gear pair"], [python, "-m", "pytest", "-x"]]
    assert lines[2][:4] == [python, "-m", "jupyterlab", str(course / start.FIRST_PAGE)]
    assert lines[2][-2:] == ["--no-browser", "--port=9000"]
    assert f"--ServerApp.root_dir={course}" in lines[2]


def test_what_shadows_is_dropped_and_the_rest_kept(course, stand, launched, monkeypatch):
    for name in ("PYTHONPATH", "PYTHONHOME"):
        monkeypatch.setenv(name, str(course))
    monkeypatch.setenv("JUPYTER_CONFIG_PATH", "mine")
    monkeypatch.setenv("OMP_NUM_THREADS", "3")
    monkeypatch.setenv("MY_OWN", "kept")
    start.main(["open"])
    variables = launched[0][1]
    assert not {"PYTHONPATH", "PYTHONHOME"} & set(variables)
    assert variables["JUPYTER_CONFIG_PATH"].split(os.pathsep) == [str(course / ".jupyter"), "mine"]
    assert variables["OMP_NUM_THREADS"] == "3" and variables["OPENBLAS_NUM_THREADS"] == "1"
    assert variables["MY_OWN"] == "kept"
    assert variables["PATH"].split(os.pathsep)[0] == str(start._python_of(course / ".venv").parent)


def test_where_python_is_on_either_system():
    assert start._python_of(Path("e"), "nt").parts == ("e", "Scripts", "python.exe")
    assert start._python_of(Path("e"), "posix").parts == ("e", "bin", "python")


# --- the files around it ---------------------------------------------------------------------------------------------


def pins(path):
    """Name to version of every pinned package of a requirements file."""
    text = path.read_text(encoding="utf-8")
    return dict(re.findall(r"^([A-Za-z0-9_.-]+)==([^\s;#]+)", text, re.MULTILINE))


def loose_lines(path):
    """Lines of a requirements file that install something and pin nothing."""
    lines = [line.partition("#")[0].strip() for line in path.read_text(encoding="utf-8").splitlines()]
    return [line for line in lines if line and "==" not in line]


def test_requirements_are_pinned_exactly():
    assert loose_lines(REPOSITORY / "requirements.txt") == ["-e ./vmech_core"]
    assert loose_lines(REPOSITORY / "tests/requirements.txt") == ["-r ../requirements.txt"]
    assert loose_lines(REPOSITORY / "binder/requirements.txt") == ["-r ../requirements.txt"]


def test_what_runs_here_is_what_is_pinned():
    from importlib.metadata import version

    wanted = pins(REPOSITORY / "requirements.txt") | pins(REPOSITORY / "tests/requirements.txt")
    assert len(wanted) > 100
    compared = ("numpy", "sympy", "matplotlib", "pillow", "ipython", "ipykernel", "ipywidgets", "nbval")
    different = {name: version(name) for name in compared if version(name) != wanted[name]}
    if different and os.environ.get("CI") != "true":
        pytest.skip(f"this environment is not the pinned one, and saved outputs may differ from its own: {different}")
    assert not different


@BASH
@pytest.mark.parametrize("name", [".ci/run", "binder/postBuild"])
def test_scripts_are_well_formed_and_executable(name):
    assert os.access(REPOSITORY / name, os.X_OK)
    assert subprocess.run(["bash", "-n", str(REPOSITORY / name)], check=False).returncode == 0


def test_ci_runs_the_command_of_the_readme():
    last = (REPOSITORY / ".ci/run").read_text(encoding="utf-8").strip().splitlines()[-1]
    assert last == "python3 -m vmech_core.start test"
    readme = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    assert re.search(rf"(^|`){re.escape(last)}(`|$)", readme, re.MULTILINE)
    assert re.search(rf"(^|`){re.escape(last.replace('python3', 'py'))}(`|$)", readme, re.MULTILINE)


@BASH
def test_ci_fails_when_the_tests_fail(tmp_path):
    """A stand-in for python3 that passes the check of modules and fails the tests."""
    (tmp_path / "python3").write_text('#!/bin/sh\n[ "$1" = "-c" ] && exit 0\necho "$@"; pwd; exit 5\n')
    (tmp_path / "chromium").write_text("#!/bin/sh\n")
    for name in ("python3", "chromium"):
        (tmp_path / name).chmod(0o755)
    variables = dict(os.environ, PATH=f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    answer = subprocess.run(["bash", str(REPOSITORY / ".ci/run")], env=variables, cwd=tmp_path, check=False,
                            stdout=subprocess.PIPE, text=True)
    assert answer.returncode == 5
    assert answer.stdout.splitlines() == ["-m vmech_core.start test", str(REPOSITORY)]


def test_the_binder_version_is_one_that_the_core_accepts():
    version = (REPOSITORY / "binder/runtime.txt").read_text(encoding="utf-8").strip()
    found = re.fullmatch(r"python-(\d+)\.(\d+)", version)
    assert found and tuple(map(int, found.groups())) >= start.OLDEST


def test_start_imports_nothing_that_must_be_installed():
    code = f"import sys; sys.path.append({str(REPOSITORY)!r}); import vmech_core.start"
    line = [sys.executable, "-I", "-S", "-c", code]
    assert subprocess.run(line, check=False).returncode == 0
