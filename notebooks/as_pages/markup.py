"""Cells of a notebook as plain HTML: words, formulas as MathML, code, results. No script, no network.

It knows cells and HTML, and neither folders nor pages; where a link or a picture ends up is settled in ``pages``.
"""

import ast
import html
import re
from xml.etree import ElementTree

import latex2mathml.converter
from film import fold_of_controls
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath
from pygments import highlight
from pygments.formatters import HtmlFormatter
from pygments.lexers import PythonLexer

#: Code cells of more lines than this are folded, and all that draw.
OPEN_LINES = 12
MATHML = "http://www.w3.org/1998/Math/MathML"
ROWS, LEAVES = {"mrow", "mstyle", "math", "mtd", "msqrt", "mpadded"}, {"mi", "mn", "mo", "mtext"}
#: Signs between which a long formula may be broken, and marks that stand over a letter.
BREAKS, ACCENTS = {"=", "+", "−", "-", "<", ">", "≈", "⇒"}, {"˙", "¨", "¯", "^", "~", "→", "ˉ"}
LONG_FORMULA = 22
#: A formula in a line and the marks around it, between which no line may end.
TOGETHER = re.compile(r'\(?<math [^>]*display="inline">(?:(?!</math>).)*</math>[.,;:)?!]+')
SOLUTION = re.compile(r"#\s*(Solution[^:\n]*):?\s*(.*)")
STUB = re.compile(r"answer\w*\s*=\s*None\s*(?:#\s*(.*))?")
ElementTree.register_namespace("", MATHML)


def formula(latex, display) -> str:
    """One formula as MathML.

    Parameters
    ----------
    latex : str [-]
        The formula without its dollar signs.
    display : bool [-]
        Whether it stands on a line of its own.

    Returns
    -------
    str [-]
        HTML; a long formula is a row of parts, between which a narrow page may break.

    Raises
    ------
    ValueError
        If a part of the formula is not understood; the text then names it.
    """
    source = " ".join(latex.replace(r"\displaystyle", "").split())
    try:
        made = latex2mathml.converter.convert(source, display="block" if display else "inline")
    except Exception as error:  # the converter has a class of its own for each fault, all without a common parent
        raise ValueError(f"the formula {source} cannot be read ({type(error).__name__})") from error
    tree = ElementTree.fromstring(made)
    left = next((leaf.text for leaf in tree.iter() if "\\" in (leaf.text or "")), None)
    if left:
        raise ValueError(f"the formula {source} holds {left}, for which there is no sign")
    for row in [element for element in tree.iter() if _name(element) in ROWS]:
        _space_functions(row)
    for over in tree.iter(f"{{{MATHML}}}mover"):
        if over[1].text in ACCENTS:
            over.set("accent", "true")
    for sign in tree.iter(f"{{{MATHML}}}mo"):
        if sign.text in ("/", "∂"):
            sign.attrib.update(lspace="0", rspace="0")
    parts = " ".join(map(_written, _parts(tree, display)))
    return f'<span class="formula">{parts}</span>' if display else parts


def _name(element):
    return element.tag.rpartition("}")[2]


def _written(tree):
    return ElementTree.tostring(tree, encoding="unicode")


def _space_functions(row):
    """A thin space around sin, cos, log and their like, which MathML leaves out."""
    for place in range(len(row) - 1, -1, -1):
        core = row[place]
        while len(core) and _name(core) in ("msup", "msub", "msubsup"):
            core = core[0]
        if _name(core) not in ("mi", "mo") or not re.fullmatch("[a-z]{2,}", core.text or ""):
            continue
        follower = row[place + 1] if place + 1 < len(row) else None
        if follower is not None and _first_sign(follower) != "(" and _name(follower) != "mo":
            row.insert(place + 1, _thin_space())
        if place and _name(row[place - 1]) not in ("mo", "mspace"):
            row.insert(place, _thin_space())


def _first_sign(element):
    leaf = next((part for part in element.iter() if _name(part) in LEAVES), None)
    return leaf.text if leaf is not None else None


def _thin_space():
    return ElementTree.Element(f"{{{MATHML}}}mspace", width="0.167em")


def _parts(tree, display):
    """The formula, or if it is long several of them, each beginning with its sign; in display short brackets hold."""
    row = tree
    while len(row) == 1 and _name(row[0]) in ("mrow", "mstyle"):
        row = row[0]
    if not _long(tree) or not len(row):
        return [tree]
    row = [one for part in row for one in (part if _name(part) == "mrow" and _long(part) else [part])]
    groups, previous, depth = [[]], "mo", 0
    for element in row:
        sign = _name(element) == "mo" and element.text in BREAKS
        if sign and previous != "mo" and (not (depth and display) or depth == 1 and _long(*groups[-1])):
            groups.append([])
        groups[-1].append(element)
        said = "".join(element.itertext())
        previous = "" if said in (")", "]", "}") else _name(element)
        depth += sum(map(said.count, "([{")) - sum(map(said.count, ")]}"))
    parts = []
    for group in groups:
        part = ElementTree.Element(f"{{{MATHML}}}math", display="inline")
        style = ElementTree.SubElement(part, f"{{{MATHML}}}mstyle", displaystyle=str(display).lower())
        if parts:
            group[0].set("form", "infix")
        style.extend(group)
        parts.append(part)
    return parts


def _long(*elements):
    return sum(_name(part) in LEAVES for element in elements for part in element.iter()) > LONG_FORMULA


class _Renderer(IPythonRenderer):
    def block_math(self, body):
        return formula(body, True)

    def inline_math(self, body):
        return formula(body, False)

    def latex_environment(self, name, body):
        return formula(rf"\begin{{{name}}}{body}\end{{{name}}}", True)

    def block_code(self, code, info=None):
        return code_block(code) if info in ("python", "py") else text_block(code)


def words(markdown) -> str:
    """A text cell.

    Parameters
    ----------
    markdown : str [-]
        Its source.

    Returns
    -------
    str [-]
        HTML.
    """
    text = MarkdownWithMath(renderer=_Renderer(escape=False, exclude_anchor_links=True)).render(markdown)
    return TOGETHER.sub(r'<span class="together">\g<0></span>', text)


def _lines(text):
    """Preformatted lines, each a block of its own, so that a broken line goes on indented."""
    return "".join(f'<span class="line">{line}</span>' for line in text.rstrip("\n").split("\n"))


def code_block(source) -> str:
    """Python code.

    Parameters
    ----------
    source : str [-]
        The code.

    Returns
    -------
    str [-]
        HTML.
    """
    return f"<pre class=\"code\">{_lines(highlight(source, PythonLexer(), HtmlFormatter(nowrap=True)))}</pre>"


def text_block(text) -> str:
    """Printed text, as a table where it is one.

    Parameters
    ----------
    text : str [-]
        What was printed.

    Returns
    -------
    str [-]
        HTML.
    """
    return _table(text) or f'<pre class="out">{_lines(html.escape(text, quote=False))}</pre>'


def _table(text):
    """Lines in which two spaces or more part the same number of columns; else None."""
    lines = [line.rstrip() for line in text.strip("\n").splitlines()]
    rows = [[""] * line.startswith("    ") + re.split(r"(?<! to)(?<! ) {2,}", line.strip()) for line in lines]
    most, least = (kind(map(len, rows), default=0) for kind in (max, min))
    notes = all(len(row) < most or not _right(row[-1]) for row in rows)  # a last column of words may have gaps
    if len(rows) < 2 or least < 2 or most > least + notes or (most > least and most == 2):
        return None
    numbers = [any(letter.isdigit() for cell in row[1:] for letter in cell) for row in rows]
    headed = len(rows) > 2 and not rows[0][0] and all(numbers[1:])
    body = "".join(_row(row + [""] * (most - len(row)), headed and not k) for k, row in enumerate(rows))
    return f'<table class="out">{body}</table>'


def _row(cells, header):
    kind, scope = ("th", ' scope="col"') if header else ("td", "")
    first = f'<th scope="row">{html.escape(cells[0])}</th>' if cells[0] and not header else (
        f"<th{scope}>{html.escape(cells[0])}</th>" if cells[0] else "<td></td>")
    rest = (f'<{kind}{scope}{_right(cell)}>{html.escape(cell)}</{kind}>' for cell in cells[1:])
    return f"<tr>{first}{''.join(rest)}</tr>"


def _right(cell):
    return ' class="number"' if re.match(r"[-+]?[\d.]", cell) else ""


def code_cell(cell) -> str:
    """A code cell with its results: quiet code, folded where it is long or draws; exercises get a form of their own.

    Parameters
    ----------
    cell : NotebookNode [-]
        The cell.

    Returns
    -------
    str [-]
        HTML.
    """
    source = cell.source.strip()
    shown = "".join(result(output) for output in cell.get("outputs", []))
    if not source or cell.metadata.get("vmech") == "value":
        return shown
    if stub := STUB.fullmatch(source):
        unit = f" in {html.escape(stub[1])}" if stub[1] and stub[1] != "1" else ""
        return f'<p class="answer">Your answer{unit}: <span class="blank"></span></p>'
    if hint := _hint(source):
        return _fold("hint", "Hint", f"<p>{html.escape(hint)}.</p>")
    solution = SOLUTION.match(source)
    if solution or cell.metadata.get("jupyter", {}).get("source_hidden"):
        name, said = (solution[1], solution[2]) if solution else ("Folded code", "")
        rest = source[solution.end():].strip("\n") if solution else source
        intro = f"<p>{html.escape(said[:1].upper() + said[1:])}</p>" if said else ""
        return _fold("solution", name, intro + (code_block(rest) if rest else "") + shown)
    lines = source.count("\n") + 1
    if "<img" in shown or lines > OPEN_LINES:
        return _fold("long", f"Code, {lines} line{'s' * (lines > 1)}", code_block(source)) + shown
    return code_block(source) + shown


def _fold(kind, title, body):
    return f'<details class="{kind}"><summary>{html.escape(title)}</summary>{body}</details>'


def checked(source):
    """The names in a cell that checks an exercise.

    Parameters
    ----------
    source : str [-]
        Code of the cell.

    Returns
    -------
    tuple of str or None [-]
        Code of the solution and of its unit, and the hint; None if the cell checks nothing.
    """
    try:
        body = ast.parse(source).body
    except SyntaxError:
        return None
    call = body[0].value if len(body) == 1 and isinstance(body[0], ast.Expr) else None
    if not isinstance(call, ast.Call) or getattr(call.func, "id", "") != "check" or len(call.args) < 4:
        return None
    hint = call.args[3]
    if not (isinstance(hint, ast.Constant) and isinstance(hint.value, str)):
        return None
    solution = call.args[1].body if isinstance(call.args[1], ast.Lambda) else call.args[1]
    return ast.unparse(solution), ast.unparse(call.args[2]), hint.value


def _hint(source):
    found = checked(source)
    return found and found[2][:1].upper() + found[2][1:].rstrip(".")


def result(output) -> str:
    """One result of a cell.

    Parameters
    ----------
    output : NotebookNode [-]
        Printed text, a picture, a formula, a panel or a value.

    Returns
    -------
    str [-]
        HTML; pictures are held inside as data.
    """
    if output.output_type == "stream":
        return text_block(output.text) if output.text.strip() and output.name == "stdout" else ""
    if output.output_type == "error":
        return text_block(f"{output.ename}: {output.evalue}")
    data, plain = output.data, output.data.get("text/plain", "")
    page = data.get("text/html", "")
    if 'class="film"' in page:
        return page
    if "image/png" in data:
        alt = output.metadata.get("image/png", {}).get("alt") or plain.removeprefix("Figure: ")
        source = "data:image/png;base64," + "".join(data["image/png"].split())
        return f'<figure class="picture"><img alt="{html.escape(alt)}" src="{source}"></figure>'
    if page:
        return f'<div class="result">{page}</div>'
    if "text/latex" in data:
        return formula(data["text/latex"].strip().strip("$"), True)
    if plain.startswith("Panel ("):
        return _panel(plain)
    if "application/vnd.jupyter.widget-view+json" in data or not plain:
        return ""
    return text_block(_unquoted(plain))


def _panel(plain):
    """A panel of which only the description was saved."""
    lines = [html.escape(line.strip()) for line in plain.splitlines()[1:]]
    picture = [line.removeprefix("picture: ") for line in lines if line.startswith("picture: ")]
    words = "".join(f"<p>A panel stands here in the notebook. {line}</p>" for line in picture)
    return f'<div class="panel">{words}{fold_of_controls([x for x in lines if not x.startswith("picture: ")])}</div>'


def _unquoted(plain):
    try:
        value = ast.literal_eval(plain)
    except (ValueError, SyntaxError):
        return plain
    return value if isinstance(value, str) else plain
