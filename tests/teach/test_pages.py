"""The course as pages: what each kind of cell becomes, links that stay inside, nothing fetched from a network.

Nothing here runs the course's notebooks: real ones are shown with their saved results, and a small one is run.
"""

import json
import re
from copy import copy
from pathlib import Path

import markup
import nbformat
import pages
import pytest
import sample_course
from bs4 import BeautifulSoup
from film import film
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

REPOSITORY = Path(__file__).resolve().parents[2]
REAL = sorted((REPOSITORY / "notebooks").glob("[0-9]*.ipynb"))
MOST_BYTES = 3_000_000


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The folder of a small course, each page as soup by its name."""
    root = tmp_path_factory.mktemp("small")
    pages.make(root / "out", sample_course.write(root), as_saved=True)
    return _read(root / "out")


@pytest.fixture(scope="module")
def real(tmp_path_factory):
    """The same of the whole course with its saved results."""
    folder = tmp_path_factory.mktemp("real") / "out"
    assert pages.main([str(folder), "--as-saved"]) == 0
    return _read(folder)


def _read(folder):
    return folder, {p.name: BeautifulSoup(p.read_text(encoding="utf-8"), "html.parser") for p in folder.glob("*.html")}


@pytest.fixture(params=["small", "real"])
def course(request):
    return request.getfixturevalue(request.param)


def test_every_notebook_has_a_page_and_stands_in_the_contents(real):
    folder, soups = real
    assert set(soups) == {"index.html", *(f"{path.stem}.html" for path in REAL)}
    listed = [link["href"] for link in soups["index.html"].select(".lessons a")]
    assert listed == [f"{path.stem}.html" for path in REAL]
    assert all(re.search(r"\d+ min", row.get_text()) for row in soups["index.html"].select(".lessons li"))


def test_every_link_and_picture_is_a_file_of_the_folder(course):
    folder, soups = course
    for name, soup in soups.items():
        assert not soup.find("base")
        for tag, key in (("a", "href"), ("img", "src"), ("link", "href"), ("script", "src")):
            for element in soup.find_all(tag):
                path, _, place = element[key].partition("#")
                assert ":" not in path and not path.startswith(("/", "..")), f"{name} leaves the folder: {element}"
                assert not path or (folder / path).is_file(), f"{name}: {path} is missing"
                target = soups[path or name] if (path or name).endswith(".html") else None
                assert not place or target.find(id=place), f"{name}: no {place} in {path or name}"


def test_every_file_is_listed_and_nothing_is_fetched_by_style_or_script(course):
    folder, _ = course
    files = {str(p.relative_to(folder).as_posix()) for p in folder.rglob("*") if p.is_file()}
    assert files == {*json.loads((folder / pages.RECORD).read_text()), pages.RECORD}
    for name in (pages.STYLE, pages.SCRIPT):
        assert not re.search(r"https?:|url\(|@import|fetch\(", (folder / name).read_text())


def test_no_formula_is_left_as_latex(course):
    for name, page in course[1].items():
        soup = copy(page)
        for raw in soup(["pre", "code", "script"]):
            raw.decompose()
        text = soup.get_text()
        assert not re.search(r"\$|\\[a-zA-Z]+|\^\{|_\{", text.replace("5 $ a piece", "")), name


def test_every_picture_has_words_and_a_size(course):
    for name, soup in course[1].items():
        for picture in soup.find_all("img"):
            assert picture.get("alt", "").strip(), f"{name}: {picture['src']}"
            assert picture.get("width") or picture["src"].endswith(".svg")


def test_headings_landmarks_and_names(course):
    for name, soup in course[1].items():
        levels = [int(h.name[1]) for h in soup.find_all(re.compile("^h[1-6]$"))]
        assert levels[0] == 1 and levels.count(1) == 1, name
        assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False)), name
        identities = [element["id"] for element in soup.find_all(id=True)]
        assert len(identities) == len(set(identities)), name
        assert soup.html["lang"] == "en" and soup.title.get_text() and soup.find("main", id="text")
        assert soup.find("a", class_="skip")["href"] == "#text" and soup.find("header") and soup.find("footer")
        assert all(table.find("th") for table in soup.find_all("table")), name


def test_every_page_leads_back_on_and_to_the_contents(real):
    names = [path.stem for path in REAL]
    for place, name in enumerate(names):
        ways = [[link["href"] for link in nav("a")] for nav in real[1][f"{name}.html"].select("nav.ways")]
        around = [names[k] for k in (place - 1, place + 1) if 0 <= k < len(names)]
        assert len(ways) == 2 and all(set(way) == {"index.html", *(f"{n}.html" for n in around)} for way in ways)


def test_solutions_and_hints_are_folded(course):
    folds = [fold for soup in course[1].values() for fold in soup.select("details.solution")]
    assert folds and not any(fold.has_attr("open") for fold in folds)
    for soup in course[1].values():
        outside = [code.get_text() for code in soup.select("pre.code") if not code.find_parent("details")]
        assert not any("solution_" in code for code in outside)


def test_a_page_with_its_pictures_stays_small(course):
    folder, soups = course
    for name, soup in soups.items():
        used = {img["src"] for img in soup.find_all("img")}
        assert (folder / name).stat().st_size + sum((folder / one).stat().st_size for one in used) <= MOST_BYTES


def test_one_of_everything(small):
    soup = small[1]["01_everything.html"]
    assert "A page to come".lower() in soup.get_text().lower() and "far (https://example.org/x)" in soup.get_text()
    assert {a.get_text(): a["href"] for a in soup.main("a") if a.get_text() in ("A page", "a file")} == {
        "A page": "02_next.html#Here", "a file": "files/small.csv"}
    assert [a.get_text() for a in soup.select("ol.toc a")] == ["Words", "Exercises"]
    rows = [[cell.get_text() for cell in row(["th", "td"])] for row in soup.select("table.out tr")]
    assert rows == [["stroke", "69 mm", ""], ["bore", "63 mm", "estimated"]]
    assert [line.get_text() for line in soup.select("pre.out")[0].select(".line")] == ["a < b", "two  words"]
    assert soup.select("figure.picture img")[0]["alt"] == "An empty <picture>."
    assert soup.select("p.guess") and soup.select("p.caution") and soup.select("blockquote")
    assert [fold.summary.get_text() for fold in soup("details")] == [
        "Answer", "Code, 1 line", "Code, 1 line", "What can be moved in the notebook",
        "What can be moved in the notebook", "Code, 20 lines", "Hint", "Solution 1"]
    assert "What is half of it." in soup.select("details.hint")[0].get_text()
    assert "Your answer in mm" in soup.select("p.answer")[0].get_text()
    assert len(soup.find_all("math")) >= 4 and "Not yet answered" not in soup.get_text()
    assert "Mind the gears" in small[1]["index.html"].get_text()


def test_printed_text_becomes_a_table_only_where_its_columns_agree():
    def cells(text):
        rows = BeautifulSoup(markup.text_block(text), "html.parser").select("tr")
        return [[" ".join(cell.get_text().split()) for cell in row(["th", "td"])] for row in rows]

    assert cells("hole   -9 to   9 um\nshaft  -25 to  5 um") == [["hole", "-9 to 9 um"], ["shaft", "-25 to 5 um"]]
    assert cells("        outer  inner\nrod 3   4 540  2 270\nrod 4   4 256  2 554")[0] == ["", "outer", "inner"]
    for ragged in ("drive  rubs at  4.7 m/s\ncrank  rubs at 10.7 m/s", "one line  of words", "a  b\nc", ""):
        assert not cells(ragged) and "pre" in markup.text_block(ragged)


@pytest.mark.parametrize(
    ("latex", "text"),
    [
        (r"\sin\varphi", "sinφ"),
        (r"z_r = 2 z_p", "zr=2zp"),
        (r"\operatorname{atan}{\left(x \right)}", "atan(x)"),
        (r"\left[\begin{matrix}a & b\\c & d\end{matrix}\right]", "[abcd]"),
        (r"\overline{P'}P''", "P′"),
    ],
)
def test_formulas(latex, text):
    for display in (True, False):
        made = BeautifulSoup(markup.formula(latex, display), "html.parser")
        assert text in re.sub(r"\s", "", made.get_text())
        assert ("formula" in str(made)) == display


def test_a_long_formula_may_break_before_a_sign_and_not_within_brackets():
    terms = " + ".join(f"a_{{{k}}}(b - c)" for k in range(8))
    parts = BeautifulSoup(markup.formula(f"F = {terms}", True), "html.parser").find_all("math")
    said = ["".join(part.get_text().split()) for part in parts]
    assert said[:3] == ["F", "=a0(b−c)", "+a1(b−c)"] and len(said) == 9
    assert len(BeautifulSoup(markup.formula("a + b", True), "html.parser").find_all("math")) == 1


def test_a_formula_with_an_unknown_command_is_named():
    with pytest.raises(ValueError, match=r"holds \\nosuchsign, for which there is no sign"):
        markup.formula(r"a + \nosuchsign", False)
    with pytest.raises(ValueError, match=r"the formula \\left\( a cannot be read"):
        markup.formula(r"\left( a", True)


def test_a_formula_that_cannot_be_written_and_a_broken_notebook_stop_with_a_sentence(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(pages, "ROOT", tmp_path)
    paths = sample_course.write(tmp_path)
    strange = nbformat.writes(new_notebook(cells=[new_markdown_cell(r"# 2 $\nosuchsign$")]))
    for content, sentence in (
        (strange, r"in 02_next the formula \nosuchsign holds \nosuchsign, for which there is no sign."),
        ("{", f"{paths[1]} is not a notebook that can be read."),
    ):
        paths[1].write_text(content)
        assert pages.main([f"--from={tmp_path}", "--as-saved"]) == 1
        assert capsys.readouterr().err.strip() == f"Stopped: {sentence}"
    assert not (tmp_path / "course_pages").exists()


def test_a_film_moves_the_angle_and_leaves_the_scene_as_it_was():
    scene = sample_course.Arm()
    soup = BeautifulSoup(film(scene, sample_course.CONTROLS, "An <arm>."), "html.parser")
    frames = soup.select(".frame")
    said = [frame.figcaption.get_text() for frame in frames]
    assert (said[0], said[-1]) == ("crank angle 0 deg", "crank angle 360 deg")
    assert len(frames) == 23 and len(soup.select(".still")) == 3  # 210 and 225 degrees are refused
    assert [frame.figcaption.get_text() for frame in soup.select(".still")] == [
        "crank angle 45 deg", "crank angle 150 deg", "crank angle 300 deg"]
    assert soup.figure["data-turns"] == "yes" and said[int(soup.figure["data-start"])] == "crank angle 45 deg"
    assert scene.seen[-1] == (45, 1.0, "full") and {seen[1:] for seen in scene.seen} == {(1.0, "full")}
    assert "No picture at angle = 210.0 is refused.; angle = 225.0 is refused." in soup.get_text()
    assert frames[0].img["alt"] == "An <arm>. Here: crank angle 0 deg." and frames[0].img["width"] == "384"
    assert "(moved here)" in soup.select(".controls li")[0].get_text()


def test_a_film_without_an_angle_moves_the_first_slider_and_without_a_slider_nothing():
    arm, size = sample_course.CONTROLS[0], sample_course.CONTROLS[1]
    half = type(arm)("angle", "pressure angle", 15, 30, step=0.5, value=20, unit="deg")
    soup = BeautifulSoup(film(sample_course.Arm(), (size, half, sample_course.CONTROLS[2]), "Arm."), "html.parser")
    assert [f.get_text() for f in soup.select(".frame figcaption")] == [f"size {k / 10:g} m" for k in range(5, 11)]
    assert not soup.figure.has_attr("data-turns")

    class Still(sample_course.Arm):
        def update(self, kind):
            super().update(0, 1, kind)

    only = BeautifulSoup(film(Still(), sample_course.CONTROLS[2:], "Arm."), "html.parser")
    assert len(only.select(".frame")) == 1


def _run(tmp_path, *cells):
    lesson = pages.Lesson("9", new_notebook(cells=[new_markdown_cell("# 9"), *map(new_code_cell, cells)]), tmp_path)
    return lesson, pages.run(lesson)


def test_a_run_sees_the_word_for_films_and_prints_the_solution(tmp_path):
    lesson, fault = _run(tmp_path, "import os; print(os.environ['VMECH_FILM'])", "# Solution 1: half of 3.\ns = 3 / 2",
                         "check = lambda *_: None", "answer_2 = None", "# Solution 2: twice.\nt = 2 * s",
                         'check(answer_2, t, "mm", "twice")')
    assert not fault
    soup = BeautifulSoup(pages.body(lesson), "html.parser")
    assert soup.select("pre.out")[0].get_text() == str(pages.FILM)
    first, second = soup.select("details.solution")
    assert "Answer" not in first.get_text() and "Answer: 3 mm" in second.get_text()
    assert second.find_previous_sibling("details")["class"] == ["hint"]


def test_a_run_that_fails_is_told_in_one_sentence_and_keeps_what_was_saved(tmp_path, capsys):
    path = tmp_path / "1.ipynb"
    saved = nbformat.v4.new_output("stream", name="stdout", text="saved before\n")
    cells = [new_markdown_cell("# 1 Fails"), new_code_cell("raise KeyError('gone')", outputs=[saved])]
    nbformat.write(new_notebook(cells=cells), path)
    pages.make(tmp_path / "out", [path])
    assert "could not be run (KeyError: 'gone'); its saved results are shown." in capsys.readouterr().out
    assert "saved before" in (tmp_path / "out" / "1.html").read_text()


def test_a_folder_of_somebody_else_is_refused_and_an_own_one_renewed(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(pages, "ROOT", tmp_path)
    sample_course.write(tmp_path)
    theirs = tmp_path / "theirs"
    theirs.mkdir()
    (theirs / "letter.txt").write_text("mine")
    assert pages.main(["theirs", f"--from={tmp_path}", "--as-saved"]) == 1
    assert "was not made by this command" in capsys.readouterr().err
    assert [file.name for file in theirs.iterdir()] == ["letter.txt"]
    assert pages.main([f"--from={tmp_path}", "--as-saved"]) == 0
    ours = tmp_path / "course_pages"
    (ours / "notes.txt").write_text("added by a teacher")
    (tmp_path / "notebooks" / "02_next.ipynb").unlink()
    assert pages.main([f"--from={tmp_path}", "--as-saved"]) == 0
    assert (ours / "notes.txt").is_file() and not (ours / "02_next.html").exists()
