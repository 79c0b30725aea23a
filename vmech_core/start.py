"""The two commands of the README: open the course, or run the tests; both make the environment where it is absent.

    python3 -m vmech_core.start open     (Windows: py -m vmech_core.start open)
    python3 -m vmech_core.start test

Run them from the repository's folder. Standard library only, and written so that an old Python can read the file
far enough to say that it is too old. Whatever stands behind the command is passed on to JupyterLab or to pytest.
"""

import contextlib
import errno
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

OLDEST = (3, 11)
FIRST_PAGE = "notebooks/00_start_here.ipynb"
#: Command -> the file that pip installs from, and all files that the result depends on.
REQUIREMENTS = {"open": "requirements.txt", "test": "tests/requirements.txt"}
BASE_FILES = ("requirements.txt", "vmech_core/pyproject.toml")
#: Written into the environment: empty while an installation is under way, digests once it is complete.
RECORD = "vmech_environment.json"
LOG = "vmech_install_log.txt"
LOCK = "vmech_install_lock"
#: Threads of the linear algebra libraries: arrays here are small, and a second thread only costs time.
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
USAGE = "Say what to do: python3 -m vmech_core.start open   or   python3 -m vmech_core.start test"
NETWORK_SIGNS = ("NewConnectionError", "Failed to establish a new connection", "name resolution", "NameResolutionError",
                 "getaddrinfo failed", "Max retries exceeded", "ConnectTimeout", "ReadTimeout", "ProxyError",
                 "Connection refused", "connection broken by")


class _Stop(Exception):
    """The command cannot go on; the message is one sentence for the reader."""


def main(arguments):
    """Run one of the two commands.

    Parameters
    ----------
    arguments : list of str [-]
        ``open`` or ``test``, then whatever JupyterLab or pytest shall get besides.

    Returns
    -------
    int [1]
        Exit code, 0 when all is well; where the system can replace a running program this returns only on failure.
    """
    if not arguments or arguments[0] not in REQUIREMENTS:
        print(USAGE)
        return 0 if arguments[:1] in (["-h"], ["--help"]) else 2
    command, extra = arguments[0], arguments[1:]
    extra = extra[1:] if extra[:1] == ["--"] else extra
    try:
        _check_python(sys.version_info, importlib.util.find_spec)
        root = _find_root(Path.cwd(), Path(__file__))
        env = _env_folder(root)
        _prepare(root, env, command)
        return _launch(_command_line(root, env, command, extra), _variables(root, env), root)
    except _Stop as stop:
        print(f"Stopped: {stop}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped by the keyboard; the next run carries on from a safe state.", file=sys.stderr)
        return 130


def _check_python(version, find_module):
    if tuple(version[:2]) < OLDEST:
        raise _Stop("this is Python {}.{}, and the course needs Python {}.{} or newer from python.org or your system."
                    .format(*version[:2], *OLDEST))
    missing = [name for name in ("venv", "ensurepip") if find_module(name) is None]
    if missing:
        raise _Stop("this Python lacks its module {}, which makes environments; on Debian or Ubuntu the package "
                    "python3-venv brings it, elsewhere the installer from python.org.".format(" and ".join(missing)))


def _find_root(here, this_file):
    """The repository: the current folder if it is one, else the folder that holds this file."""
    for folder in (here, this_file.absolute().parent.parent):
        if all((folder / name).is_file() for name in (*BASE_FILES, "vmech_core/start.py")):
            return folder
    raise _Stop(f"{here} is not the folder of the course; change to the one that holds README.md and run this again.")


def _env_folder(root):
    chosen = os.environ.get("VMECH_ENV")
    return Path(chosen).expanduser().absolute() if chosen else root / ".venv"


def _python_of(env, system=os.name):
    return env / "Scripts" / "python.exe" if system == "nt" else env / "bin" / "python"


def _digest(root, command):
    """One number for everything that the environment depends on: place, Python version and requirement files."""
    names = BASE_FILES if command == "open" else (*BASE_FILES, REQUIREMENTS[command])
    digest = hashlib.sha256(repr((str(root), sys.version_info[:2])).encode())
    for name in names:
        digest.update((root / name).read_bytes())
    return digest.hexdigest()


def _read_record(env):
    """What is complete in the environment; ``None`` if the folder holds something that is not ours."""
    if not env.exists() or not any(child.name != LOCK for child in env.iterdir()):
        return {}
    try:
        record = json.loads((env / RECORD).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except ValueError:
        return {}
    return record if isinstance(record, dict) else {}


def _prepare(root, env, command):
    """Make, complete or renew the environment, and only if something of it is missing."""
    wanted = {name: _digest(root, name) for name in REQUIREMENTS}
    try:
        if _stands(env, command, wanted):
            return
        begin = time.perf_counter()
        env.mkdir(parents=True, exist_ok=True)
        with _alone(env / LOCK):
            if _stands(env, command, wanted):
                return
            if not _stands(env, "open", wanted):
                _make_empty(root, env)
            (env / RECORD).write_text("{}", encoding="utf-8")
            _install(root, env, command)
            record = {name: wanted[name] for name in {"open", command}}
            (env / RECORD).write_text(json.dumps(record, indent=1), encoding="utf-8")
    except OSError as error:
        raise _Stop(f"the environment in {env} could not be written ({error.strerror or error}); check the free space, "
                    "or copy the course to a folder of yours.") from error
    print(f"The environment is complete after {time.perf_counter() - begin:.0f} s; the next run starts without this.")


def _stands(env, part, wanted):
    """Whether that part of the environment is complete and up to date."""
    record = _read_record(env)
    if record is None:
        raise _Stop(f"the folder {env} was not made by this command; move it away, or set the environment variable "
                    "VMECH_ENV to a folder that does not exist yet.")
    return record.get(part) == wanted[part] and _python_of(env).exists()


@contextlib.contextmanager
def _alone(path):
    """Hold the lock file, so that two runs at once do not undo each other; it frees itself when its run ends."""
    with open(path, "w", encoding="utf-8") as file:
        if not _lock(file):
            print("Another run is making this environment; waiting for it ...", flush=True)
            while not _lock(file):
                time.sleep(0.5)
        yield


def _lock(file):
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in (errno.EACCES, errno.EAGAIN, errno.EDEADLK)  # a disk without locks: go on
    return True


def _make_empty(root, env):
    """A fresh environment without packages; the record goes in first, so that the folder is known as ours."""
    if Path(sys.prefix).resolve() == env.resolve():
        raise _Stop("the environment must be made anew and cannot do that from inside; leave it with 'deactivate' "
                    "and run this again.")
    if not os.access(root / "vmech_core", os.W_OK):
        raise _Stop(f"the folder {root} cannot be written to; copy the course to a folder of yours.")
    print(f"Making the environment in {env} with Python {sys.version.split()[0]} ...", flush=True)
    (env / RECORD).write_text("{}", encoding="utf-8")
    for child in env.iterdir():
        if child.is_dir() and not child.is_symlink():
            shutil.rmtree(str(child))
        elif child.name not in (RECORD, LOCK):
            child.unlink()
    outcome = subprocess.run([sys.executable, "-m", "venv", str(env)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                             encoding="utf-8", errors="replace", env=_variables(root, None))
    if outcome.returncode:
        raise _Stop(f"Python could not make an environment in {env}: {_last_words(outcome.stdout)}")


def _install(root, env, command):
    """Install the pinned packages, one dot for each, the whole report in a file."""
    print(f"Installing the packages of {REQUIREMENTS[command]}; the first time this takes one to five minutes ",
          end="", flush=True)
    pip = [str(_python_of(env)), "-m", "pip", "install", "--disable-pip-version-check", "--no-input",
           "--progress-bar", "off", "-r", REQUIREMENTS[command]]
    lines = []
    variables = dict(_variables(root, env), PYTHONUNBUFFERED="1")
    with subprocess.Popen(pip, cwd=str(root), env=variables, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, encoding="utf-8", errors="replace") as process:
        for line in process.stdout:
            lines.append(line)
            if line.startswith(("Collecting", "Building")):
                print(".", end="", flush=True)
    print(flush=True)
    text = "".join(lines)
    (env / LOG).write_text(text, encoding="utf-8")
    if process.returncode:
        raise _Stop(_why_pip_failed(text, env / LOG))


def _why_pip_failed(text, log):
    if any(sign in text for sign in NETWORK_SIGNS):
        return f"the packages could not be fetched; check the network connection and run this again (report: {log})."
    if "No space left" in text:
        return f"the disk is full; the environment needs about 1 GB (report: {log})."
    return f"pip could not install the packages: {_last_words(text)} (report: {log})"


def _last_words(text):
    """The last line that names an error, else the last line."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    errors = [line for line in lines if "error" in line.lower()]
    return (errors or lines or ["no reason given"])[-1]


def _variables(root, env):
    """Environment variables for the programs that are started: ours first, the reader's own settings kept."""
    shadowing = ("PYTHONPATH", "PYTHONHOME", "__PYVENV_LAUNCHER__")
    variables = {name: value for name, value in os.environ.items() if name not in shadowing}
    variables.update(PIP_USER="0", JUPYTER_PREFER_ENV_PATH="1")
    before = variables.get("JUPYTER_CONFIG_PATH")
    variables["JUPYTER_CONFIG_PATH"] = os.pathsep.join([str(root / ".jupyter")] + ([before] if before else []))
    for name in ONE_THREAD:
        variables.setdefault(name, "1")
    if env is not None:
        variables["VIRTUAL_ENV"] = str(env)
        variables["PATH"] = os.pathsep.join([str(_python_of(env).parent), variables.get("PATH", "")])
    return variables


def _command_line(root, env, command, extra):
    python = str(_python_of(env))
    if command == "test":
        return [python, "-m", "pytest", *extra]
    if not (root / FIRST_PAGE).is_file():
        raise _Stop(f"{root / FIRST_PAGE} is missing; fetch the course again.")
    if hasattr(os, "geteuid") and os.geteuid() == 0 and "--allow-root" not in extra:
        extra = ["--allow-root", *extra]  # a container's only user; the server still listens on this machine only
    print(f"Opening {FIRST_PAGE} in JupyterLab; Ctrl-C here ends it.", flush=True)
    return [python, "-m", "jupyterlab", str(root / FIRST_PAGE), f"--ServerApp.root_dir={root}", *extra]


def _launch(line, variables, root):
    """Hand over to the program; on Windows wait for it, because there a program cannot be replaced."""
    sys.stdout.flush()
    if os.name == "posix":
        os.chdir(root)
        os.execve(line[0], line, variables)
    process = subprocess.Popen(line, env=variables, cwd=str(root))
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            continue  # the program got it too, and decides


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
