"""The whole course as a folder of pages that open without a network: ``python notebooks/as_pages/pages.py [FOLDER]``.

Each notebook is run once, with its panels as films, and written as one page; a page needs nothing but the files beside
it. The folder can be put on a web server as it is.
"""

import argparse
import html
import json
import os
import re
import subprocess
import sys
import time
from copy import deepcopy
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import links
import markup
import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

ROOT = Path(__file__).resolve().parents[2]
FILM = Path(__file__).with_name("film.py")
FOLDER, RECORD = "course_pages", "made_by_vmech_core.json"
STYLE, SCRIPT = "course.css", "course.js"
COURSE = "The straight-line piston machine"
DRAWING = ('<figure class="picture"><img src="pictures/machine.svg" alt="A V-twin seen along its crank axis: two '
           'straight piston rods on the crankpins of a pinion that rolls inside a fixed ring gear of twice its '
           'size"></figure>')
SECONDS = 600


class _Stop(Exception):
    """The command cannot go on; the message is one sentence for the reader."""


@dataclass
class Lesson:
    """One notebook and what its page needs.

    Attributes
    ----------
    name : str [-]
        File name without its ending.
    notebook : NotebookNode [-]
        Cells and results.
    folder : Path [-]
        Where the notebook stands.
    files : dict [-]
        Name in the folder of pages -> content, for all that belongs to the page.
    """

    name: str
    notebook: nbformat.NotebookNode
    folder: Path
    files: dict = field(default_factory=dict)

    @cached_property
    def opening(self) -> str:
        """First text cell.

        Returns
        -------
        str [-]
            Its source.
        """
        return next((cell.source for cell in self.notebook.cells if cell.cell_type == "markdown"), "")

    @property
    def title(self) -> str:
        """Heading of the notebook.

        Returns
        -------
        str [-]
            With its number; the name where there is no heading.
        """
        found = re.search(r"^# (.+)$", self.opening, re.M)
        return found[1].strip() if found else self.name.replace("_", " ")

    @property
    def purpose(self) -> str:
        """What the notebook is for.

        Returns
        -------
        str [-]
            The first paragraph, without the word before it.
        """
        found = re.search(r"\*\*Purpose\.\*\*\s*(.+?)(?:\n\n|\Z)", self.opening, re.S)
        return found[1].strip() if found else ""

    @property
    def minutes(self) -> int | None:
        """How long it takes.

        Returns
        -------
        int or None [1]
            Minutes, as the notebook says; None where it does not.
        """
        text = "\n".join(cell.source for cell in self.notebook.cells if cell.cell_type == "markdown")
        found = re.search(r"\*\*Time:?\*\*:?[^\d\n]*(\d+)", text)
        return int(found[1]) if found else None


def run(lesson) -> str:
    """Run a notebook with its panels as films; the results of its exercises are written under their solutions.

    Parameters
    ----------
    lesson : Lesson [-]
        Notebook; where the run succeeds, its results are replaced.

    Returns
    -------
    str [-]
        Empty, or in a few words why the run failed.
    """
    notebook = _with_answers(lesson.notebook)
    client = NotebookClient(notebook, timeout=SECONDS, kernel_name="python3", store_widget_state=False,
                            coalesce_streams=True, resources={"metadata": {"path": str(lesson.folder)}})
    try:
        client.execute(env={**os.environ, "VMECH_FILM": str(FILM)}, stderr=subprocess.DEVNULL)  # its own words
    except CellExecutionError as error:
        return " ".join(f"{error.ename}: {error.evalue}".split())[:200]
    except CellTimeoutError:
        return f"one cell took more than {SECONDS} s"
    except (DeadKernelError, RuntimeError, OSError) as error:
        return " ".join(str(error).split())[:200]
    lesson.notebook = notebook
    return ""


def _with_answers(notebook):
    """A copy in which a cell after each solution prints its value."""
    copy = deepcopy(notebook)
    cells = []
    for cell, after in zip(copy.cells, [*copy.cells[1:], None], strict=True):
        cells.append(cell)
        asked = markup.checked(after.source) if after is not None and after.cell_type == "code" else None
        if asked and cell.cell_type == "code" and markup.SOLUTION.match(cell.source):
            lines = ["from vmech_core.base.units import written as _show",
                     f"print('Answer:', _show(float({asked[0]}), {asked[1]}))"]
            cells.append(nbformat.v4.new_code_cell("\n".join(lines), metadata={"vmech": "value"}))
    copy.cells = cells
    return copy


def body(lesson) -> str:
    """All cells of a notebook as HTML, a hint before the solution that it belongs to.

    Parameters
    ----------
    lesson : Lesson [-]
        The notebook.

    Returns
    -------
    str [-]
        HTML whose links and pictures are not settled yet.
    """
    parts, solution = [], None
    for cell in lesson.notebook.cells:
        if "navigation" in cell.metadata.get("tags", []):  # each page has its own
            continue
        if cell.cell_type != "code":
            solution = None
            parts.append(markup.words(cell.source) if cell.cell_type == "markdown" else "")
            continue
        if cell.metadata.get("vmech") == "value" and solution is not None:
            parts[solution] = parts[solution].removesuffix("</details>") + markup.code_cell(cell) + "</details>"
        elif solution is not None and markup.checked(cell.source):
            parts.insert(solution, markup.code_cell(cell))
            solution = None
        else:
            solution = len(parts) if markup.SOLUTION.match(cell.source) else None
            parts.append(markup.code_cell(cell))
    return "\n".join(parts)


def _page(lesson, lessons):
    """The page of one notebook."""
    soup = links.settle(body(lesson), lesson, {other.name for other in lessons})
    place = lessons.index(lesson)
    before, after = lessons[place - 1] if place else None, (lessons[place + 1:] or [None])[0]
    short = _ways([("Previous", before), ("Contents", None), ("Next", after)], "Way through the course")
    full = _ways([(f"Previous: {before.title}" if before else "", before), ("Contents", None),
                  (f"Next: {after.title}" if after else "", after)], "Next pages")
    places = "".join(f'<li><a href="#{html.escape(h["id"])}">{html.escape(h.get_text())}</a></li>'
                     for h in soup.find_all("h2"))
    sections = f'<div class="sections"><nav aria-label="On this page"><ul>{places}</ul></nav></div>\n' if places else ""
    return _template("page.html").format(
        title=html.escape(f"{lesson.title} - {COURSE}"), course=COURSE, ways=short, body=str(soup),
        kind=" with-sections" if places else "", sections=sections, foot=full)


def _template(name):
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


def _ways(entries, label):
    made = "".join(f'<a href="{lesson.name if lesson else "index"}.html">{html.escape(text)}</a>'
                    for text, lesson in entries if lesson or text == "Contents")
    return f'<nav class="ways" aria-label="{label}">{made}</nav>'


def _contents(lessons):
    """The page that lists all others, and the files that belong to it."""
    whole, own = sum(lesson.minutes or 0 for lesson in lessons), Lesson("index", None, lessons[0].folder)
    rows = "".join(_row(lesson) for lesson in lessons)
    drawing = DRAWING if (own.folder / "pictures" / "machine.svg").is_file() else ""
    text = _template("contents.html").format(
        course=COURSE, drawing=drawing, count=len(lessons), rows=rows, cautions=_cautions(lessons),
        hours=f", about {whole / 60:.0f} hours in all" if whole > 90 else "")
    soup = links.settle(text, own, {lesson.name for lesson in lessons})
    start = _ways([(f"Begin: {lessons[0].title}", lessons[0])], "First page")
    text = _template("page.html").format(title=COURSE, course=COURSE, ways="", body=str(soup), kind="", sections="",
                                         foot=start)
    return text, own.files


def _row(lesson):
    number, _, question = lesson.title.partition(" ")
    if not number.isdigit():
        number, question = "", lesson.title
    minutes = f"{lesson.minutes} min" if lesson.minutes else ""
    return (f'<li><span class="count">{number}</span><a href="{lesson.name}.html">{html.escape(question)}</a>'
            f'<span class="minutes">{minutes}</span>{markup.words(lesson.purpose)}</li>')


def _cautions(lessons):
    """The cautions of the first notebook that has a section of that name."""
    for lesson in lessons:
        for cell in lesson.notebook.cells:
            if found := re.search(r"^##\s+[\d.\s]*Cautions?\s*\n(.*?)(?=^## |\Z)", cell.source, re.S | re.M):
                return markup.words(found[1])
    return "<p>Rotating parts, pressure, heat and fuel injure. Nothing here releases a machine for building.</p>"


def _ours(folder):
    """The files that an earlier run put into the folder; none where the folder is new or empty."""
    try:
        if not folder.exists() or (folder.is_dir() and not any(folder.iterdir())):
            return []
        return [str(name) for name in json.loads((folder / RECORD).read_text(encoding="utf-8"))]
    except (FileNotFoundError, NotADirectoryError, ValueError):
        raise _Stop(f"{folder} exists and was not made by this command; name another folder, "
                    "or move it away.") from None


def _write(folder, files):
    """Write files in place of those of an earlier run, and the list of them first, so that a broken run stays ours."""
    before = set(_ours(folder))
    folder.mkdir(parents=True, exist_ok=True)
    (folder / RECORD).write_text(json.dumps(sorted(before | set(files)), indent=0), encoding="utf-8")
    for name in before - set(files):
        if (folder / name).resolve().is_relative_to(folder.resolve()):
            (folder / name).unlink(missing_ok=True)
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    (folder / RECORD).write_text(json.dumps(sorted(files), indent=0), encoding="utf-8")


def _read(path):
    try:
        return Lesson(path.stem, nbformat.read(path, as_version=4), path.parent)
    except ValueError as error:
        raise _Stop(f"{path} is not a notebook that can be read.") from error


def make(folder, notebooks, as_saved=False):
    """Make all pages.

    Parameters
    ----------
    folder : Path [-]
        Where they go.
    notebooks : list of Path [-]
        The notebooks, in order.
    as_saved : bool [-]
        Show the saved results instead of running the notebooks.

    Raises
    ------
    _Stop
        If the folder holds something that this command did not make, or a notebook cannot be written as a page.
    """
    _ours(folder)
    lessons = [_read(path) for path in notebooks]
    files = {name: Path(__file__).with_name(name).read_bytes() for name in (STYLE, SCRIPT)}
    for lesson in lessons:
        begin = time.perf_counter()
        print(f"{lesson.name:32}", end="", flush=True)
        fault = "" if as_saved else run(lesson)
        try:
            text = _page(lesson, lessons).encode("utf-8")
        except ValueError as error:
            raise _Stop(f"in {lesson.name} {error}.") from error
        size = len(text) + sum(map(len, lesson.files.values()))
        print(f"{time.perf_counter() - begin:5.0f} s {size / 1e6:6.2f} MB", flush=True)
        if fault:
            print(f"  could not be run ({fault}); its saved results are shown.", flush=True)
        files.update({f"{lesson.name}.html": text, **lesson.files})
    text, drawings = _contents(lessons)
    _write(folder, {**files, **drawings, "index.html": text.encode("utf-8")})


def main(arguments):
    """Make the pages as the command line asks.

    Parameters
    ----------
    arguments : list of str [-]
        A folder, ``course_pages`` if none is named, and ``--as-saved`` to run nothing.

    Returns
    -------
    int [1]
        Exit code, 0 when all is well.
    """
    parser = argparse.ArgumentParser(prog="python3 -m vmech_core.start read", description="The course as pages.")
    parser.add_argument("folder", nargs="?", default=FOLDER, help="where the pages go (default: %(default)s)")
    parser.add_argument("--from", dest="here", default="", help=argparse.SUPPRESS)
    parser.add_argument("--as-saved", action="store_true", help="show the saved results, run nothing")
    options = parser.parse_args(arguments)
    folder = (Path(options.here) / options.folder).absolute()
    try:
        make(folder, sorted((ROOT / "notebooks").glob("[0-9]*.ipynb")), options.as_saved)
    except _Stop as stop:
        print(f"Stopped: {stop}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"Stopped: {folder} could not be written ({error.strerror or error}).", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped by the keyboard; no page was changed.", file=sys.stderr)
        return 130
    print(f"Open {folder / 'index.html'} in a browser.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
