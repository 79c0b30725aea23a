"""One symbol, one meaning: every symbol in the notebooks' formulas stands in ``data/notation.csv``, once a notebook."""

import json
import re
from pathlib import Path

import pytest

from vmech_core.base.tables import rows
from vmech_core.teach import notation

ROOT = Path(__file__).resolve().parents[2]
TABLE = rows("notation")
GREEK = ("alpha beta gamma delta epsilon varepsilon zeta eta theta vartheta kappa lambda mu nu xi rho sigma tau phi "
         "varphi chi psi omega Delta Lambda Omega ell").split()
#: A symbol: accent, letter, first subscript. Longer subscripts come in braces.
SYMBOL = re.compile(r"(?:\\(bar|overline)\s*\{?\s*)?(\\Delta\\[a-z]+|\\[A-Za-z]+|[A-Za-z])"
                    r"(?:_(\{[^}]*\}|\\?[A-Za-z0-9]+))?")
#: Constants, and letters that only count: base of e^(i ...), imaginary unit, differential, cylinder k.
COUNTING = {"i", "k"}
#: Notebook, then symbols that still wait for the texts to be corrected; the list may only get shorter.
PENDING = json.loads((Path(__file__).parent / "notation_pending.json").read_text(encoding="utf-8"))


def formulas(path):
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "markdown":
            for found in re.findall(r"\$\$(.+?)\$\$|\$(.+?)\$", "".join(cell["source"]), flags=re.S):
                yield cell["id"], "".join(found)


def symbols(formula):
    """Symbols of a formula; indices that count cylinders are dropped, other subscripts belong to the symbol."""
    text = re.sub(r"\\(text|mathrm|tag|operatorname)\{[^}]*\}", " ", formula)
    text = re.sub(r"(?<![A-Za-z\\])e\^", "^", text)  # the base of the exponential function
    text = re.sub(r"\\(partial|,|;|!|quad|qquad)|\\mathrm\{d\}", " ", text)
    text = re.sub(r"(?<![A-Za-z\\])d(?=\s*[A-Z]\b)", " ", text)  # differential
    for accent, name, index in SYMBOL.findall(text):
        if name.startswith("\\") and name[1:].split("\\")[0] not in GREEK:
            continue
        index = index.strip("{}")
        counts = not index or index in ("k", "i", "0") or not name
        name = f"\\bar{name}" if accent == "bar" and name == r"\omega" else name
        full = name if counts else f"{name}_{index}"
        if full not in COUNTING:
            yield full


def unknown(path):
    """Symbols of a notebook that its part of the table does not have, with one cell each."""
    number = path.stem[:2]
    own = [row["symbol"] for row in TABLE if {number, "all"} & set(row["notebooks"].split())]
    bare = {re.sub(r"_[ki]$", "", symbol) for symbol in own} | set(own)
    found = {}
    for cell, formula in formulas(path):
        for symbol in symbols(formula):
            if symbol not in bare and re.sub(r"_[rpk0-9]$", "", symbol) not in bare - {symbol}:
                found.setdefault(symbol, cell)
    return found


def test_the_table_gives_a_symbol_one_meaning_in_a_notebook():
    for row in TABLE:
        same = [other for other in TABLE if other["symbol"] == row["symbol"]]
        places = [place for other in same for place in other["notebooks"].split()]
        assert len(places) == len(set(places)) and not ("all" in places and len(places) > 1), row["symbol"]
        assert row["meaning"] and row["unit"]


@pytest.mark.parametrize("path", sorted((ROOT / "notebooks").glob("*.ipynb")), ids=lambda p: p.stem[:2])
def test_symbols_of_a_notebook_are_in_the_table(path):
    """Those that wait are listed; one that has been put right has to leave the list."""
    assert sorted(unknown(path)) == PENDING.get(path.stem[:2], []), unknown(path)


def test_the_walk_finds_a_stranger():
    assert list(symbols(r"F_t = \sum_k Q_k \sin\varphi_k + \xi_z\, e^{i\theta}")) == [
        "F_t", "Q", r"\varphi", r"\xi_z", r"\theta"]
    assert list(symbols(r"\tfrac{S}{2}\omega^2 + \bar\omega\,\partial h/\partial\varphi")) == [
        "S", r"\omega", r"\bar\omega", "h", r"\varphi"]


def test_the_sheet_of_one_notebook_is_a_part_of_the_whole():
    whole, part = (notation(number).splitlines() for number in ("", "05"))
    assert set(part) < set(whole) and len(whole) == len(TABLE) + 2
    assert any("$F_t$" in line and "`mesh`" in line for line in part) and not any("mobility" in line for line in part)


# --- axis labels of figures -----------------------------------------------------------------------------------------

#: "quantity, $symbol$ [unit]"; a comma parts symbols of one axis.
LABEL = re.compile(r'"[^"\n]*?,\s*(\$[^"\n]*\$) \[([^\]"]+)\][^"\n]*"')
#: Unit of a label to that of the table.
BASE = {"kN": "N", "mm": "m", "µm": "m", "bar": "Pa", "MPa": "Pa", "kPa": "Pa", "deg": "rad", "mrad": "rad",
        "°C": "K", "%": "1", "mPa s": "Pa s", "N/mm": "N/m", "km/s$^2$": "m/s2"}


def label_clashes(text):
    """Symbols of axis labels that the table knows with other units only."""
    found = []
    for symbols_of, unit in LABEL.findall(text.replace("\\\\", "\\")):
        for symbol in re.findall(r"\$([^$]+)\$", symbols_of):
            units = {row["unit"] for row in TABLE if row["symbol"] == symbol}
            if units and "{" not in unit and BASE.get(unit, unit) not in units:
                found.append(f"{symbol} [{unit}]")
    return found


@pytest.mark.parametrize("path", sorted((ROOT / "vmech_core" / "show").glob("*.py")), ids=lambda p: p.stem)
def test_axis_labels_use_a_symbol_for_what_it_stands_for(path):
    """A label may have a symbol that the table lacks, but none of the table with another dimension."""
    pending = PENDING.get("figures", {}).get(path.stem, [])
    assert sorted(set(label_clashes(path.read_text(encoding="utf-8")))) == pending


def test_the_walk_of_labels_finds_a_clash():
    assert label_clashes('"Sommerfeld number, $S$ [1]" "temperature, $T$ [K]" "stroke, $S$ [mm]"') == ["S [1]", "T [K]"]
    assert label_clashes('"force, $F_t$, $N$ [kN]" "speed, $F_t$ [m/s]"') == ["F_t [m/s]"]
