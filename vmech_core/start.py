"""The commands of the README: open the course, run the tests, or write the course as pages that only need a browser.

    python3 -m vmech_core.start open     (Windows: py -m vmech_core.start open)
    python3 -m vmech_core.start test
    python3 -m vmech_core.start read [FOLDER]

Each makes the environment where it is absent.

Run them from the repository's folder. Standard library only, and written so that an old Python can read the file
far enough to say that it is too old. Whatever stands behind the command is passed on to the program that it starts.
"""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
FIRST_PAGE = "notebooks/00_start_here.ipynb"
BASE_FILES = ("requirements.txt", "vmech_core/pyproject.toml")
#: Stands in the environment and marks it as ours; holds what it was made from once complete, and nothing before.
STAMP = "vmech_environment.txt"
#: Threads of the linear algebra libraries: arrays here are small, and a second thread only costs time.
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


class _Stop(Exception):
    """The command cannot go on; the message is one sentence for the reader."""


def main(arguments):
    """Run one of the commands.

    Parameters
    ----------
    arguments : list of str [-]
        A name in ``COMMANDS``, then whatever the program that it starts shall get besides.

    Returns
    -------
    int [1]
        Exit code, 0 when all is well; where the system can replace a running program this returns only on failure.
    """
    if not arguments or arguments[0] not in COMMANDS:
        print("Say what to do: " + "   or   ".join("python3 -m vmech_core.start " + name for name in COMMANDS))
        return 0 if arguments[:1] in (["-h"], ["--help"]) else 2
    (requirements, program), extra = COMMANDS[arguments[0]], arguments[1:]
    try:
        if tuple(sys.version_info[:2]) < OLDEST:
            raise _Stop("this is Python {}.{}, and the course needs Python {}.{} or newer from python.org or your "
                        "system.".format(*sys.version_info[:2], *OLDEST))
        root = Path(__file__).absolute().parent.parent
        env = Path(os.environ.get("VMECH_ENV") or root / ".venv").expanduser().absolute()
        _prepare(root, env, requirements)
        line = [str(_python_of(env)), *program(root, extra[1:] if extra[:1] == ["--"] else extra)]
        return _launch(line, _variables(root, env), root)
    except _Stop as stop:
        print(f"Stopped: {stop}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped by the keyboard; the next run carries on from a safe state.", file=sys.stderr)
        return 130


def _open(root, extra):
    if hasattr(os, "geteuid") and os.geteuid() == 0 and "--allow-root" not in extra:
        extra = ["--allow-root", *extra]  # a container's only user; the server still listens on this machine only
    print(f"Opening {FIRST_PAGE} in JupyterLab; Ctrl-C here ends it. If no browser opens, paste the address below that "
          "begins with http://127.0.0.1 into one on this machine.", flush=True)
    return ["-m", "jupyterlab", str(root / FIRST_PAGE), f"--ServerApp.root_dir={root}", *extra]


def _test(root, extra):
    return ["-m", "pytest", *extra]


def _read(root, extra):
    script = str(root / "notebooks" / "as_pages" / "pages.py")
    return [script, f"--from={os.getcwd()}", *extra]  # it runs in the root, and FOLDER is meant here


#: Command -> the file that pip installs from, and the function that gives what Python shall run, with its arguments.
COMMANDS = {"open": ("requirements.txt", _open), "test": ("tests/requirements.txt", _test),
            "read": ("requirements.txt", _read)}


def _python_of(env, system=os.name):
    return env / "Scripts" / "python.exe" if system == "nt" else env / "bin" / "python"


def _prepare(root, env, requirements):
    """Make, complete or renew the environment, and only if something of it is missing.

    The stamp is emptied first and written last: an installation that breaks off is done again from the beginning.
    """
    if not all((root / name).is_file() for name in (*BASE_FILES, requirements, FIRST_PAGE)):
        raise _Stop(f"{root} is not the whole course; fetch it again, and run this from the folder with README.md.")
    base = f"{root}\n{sys.version_info[:2]}\n" + _texts(root, BASE_FILES)
    wanted = base + ("" if requirements in BASE_FILES else _texts(root, [requirements]))
    try:
        if _stands(env, wanted):
            return
        if env.exists() and any(env.iterdir()) and not any(env.glob("vmech_environment.*")):
            raise _Stop(f"the folder {env} was not made by this command; move it away, or set the environment "
                        "variable VMECH_ENV to a folder that does not exist yet.")
        print(f"Making the environment in {env}; where another run does so, this one waits for it ...", flush=True)
        env.mkdir(parents=True, exist_ok=True)
        with open(env / STAMP, "a", encoding="utf-8") as stamp:
            _lock(stamp)
            if not _stands(env, wanted):
                whole = not _stands(env, base)
                stamp.truncate(0)
                if whole:
                    _make_empty(root, env)
                _install(root, env, requirements)
                stamp.write(wanted)
    except OSError as error:
        raise _Stop(f"the environment in {env} could not be written ({error.strerror or error}); check the free space, "
                    "or copy the course to a folder of yours.") from error
    print("The environment is complete; the next run starts without this.")


def _texts(root, names):
    return "".join(f"--- {name}\n{(root / name).read_text(encoding='utf-8')}\n---\n" for name in names)


def _stands(env, wanted):
    """Whether the environment is complete and made from these files; it may hold the packages of the tests besides."""
    stamp = env / STAMP
    return _python_of(env).exists() and stamp.exists() and stamp.read_text(encoding="utf-8").startswith(wanted)


def _lock(file):
    """Keep a second run waiting until this one ends; Windows does not let it replace files in use anyway."""
    with contextlib.suppress(ImportError, OSError):  # a disk that knows no locks: go on
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX)


def _make_empty(root, env):
    if Path(sys.prefix).resolve() == env.resolve():
        raise _Stop("the environment must be made anew and cannot do that from inside; leave it with 'deactivate' "
                    "and run this again.")
    for child in env.iterdir():
        if child.is_dir() and not child.is_symlink():
            shutil.rmtree(str(child))
        elif child.name != STAMP:
            child.unlink()
    _step([sys.executable, "-m", "venv", str(env)], root, env)


def _install(root, env, requirements):
    print(f"Installing the packages of {requirements}; the first time this takes one to five minutes.", flush=True)
    pip = "-m pip install --disable-pip-version-check --no-input --progress-bar off -r".split()
    _step([str(_python_of(env)), *pip, requirements], root, env)


def _step(line, root, env):
    if subprocess.call(line, cwd=str(root), env=_variables(root, env)):
        raise _Stop("this step failed, and the lines above say why; most often the network cannot be reached or the "
                    "disk is full (1 GB is needed): put that right and run this again.")


def _variables(root, env):
    """Environment variables for the programs that are started: ours first, the reader's own settings kept."""
    shadowing = ("PYTHONPATH", "PYTHONHOME", "__PYVENV_LAUNCHER__")
    own = {name: value for name, value in os.environ.items() if name not in shadowing}
    paths = [str(root / ".jupyter"), *filter(None, [own.get("JUPYTER_CONFIG_PATH")])]
    own.update(PIP_USER="0", JUPYTER_PREFER_ENV_PATH="1", JUPYTER_CONFIG_PATH=os.pathsep.join(paths))
    own.update(VIRTUAL_ENV=str(env), PATH=os.pathsep.join([str(_python_of(env).parent), own.get("PATH", "")]))
    return {**dict.fromkeys(ONE_THREAD, "1"), **own}


def _launch(line, variables, root):
    """Hand over to the program; on Windows wait for it, because there a program cannot be replaced."""
    sys.stdout.flush()
    if os.name == "posix":
        os.chdir(root)
        os.execve(line[0], line, variables)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the program gets it too, and decides
    return subprocess.call(line, env=variables, cwd=str(root))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
