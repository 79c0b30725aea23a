"""A notebook of a few cells that holds one of everything the pages for reading know, with saved results."""

import base64
import io

import nbformat
from film import film
from matplotlib.figure import Figure
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

from vmech_core.show.controls import Choice, Slider

OPENING = """# 01 Does a page hold everything?

**Purpose.** To try the pages on one of everything.

**Overview**

1. Words
2. Exercises

**Time:** about 12 minutes.

**Caution.** Nothing turns here."""
WORDS = r"""## 1. Words

A line with $\ddot x = -r\omega^2\cos\varphi$, and one of its own:

$$F = \sum_k \tfrac{1}{2}\left(a_k\cdot q - g_k\right)^2 + \frac{\partial h}{\partial t}
+ \sqrt{a^2 + b^2} - \int_0^1 x\,dx + \ell$$

| quantity | size |
|---|---|
| price of a gear | 5 `$` a piece |

[A page](02_next.ipynb#Here), [a page to come](03_later.ipynb), [a file](../data/small.csv), [far](https://example.org/x),
[code](../core.py), [this page](#2.-Exercises).

![a drawing](../data/drawing.svg)

> **Code talk.** A box.

**Guess first.** Which?

<details><summary>Answer</summary>

It is $x$.

</details>

### A heading below

#### And one below that"""
CONTROLS = (Slider("angle", "crank angle", 0, 360, step=5, value=45, unit="deg", cyclic=True),
            Slider("size", "size", 0.5, 1.0, step=0.1, value=1.0, unit="m"),
            Choice("kind", "kind", ("full", "half"), "full"))


class Arm:
    """A line that turns; angles from 200 to 230 degrees are refused."""

    def __init__(self):
        self.figure = Figure(figsize=(4, 2.5))
        axes = self.figure.add_subplot(xlim=(-1, 1), ylim=(-1, 1))
        (self.line,) = axes.plot([], [])
        self.moving, self.seen = [self.line], []

    def update(self, angle, size, kind):
        import numpy as np

        if 200 <= angle <= 230:
            raise ValueError(f"angle = {angle} is refused.")
        self.seen.append((angle, size, kind))
        tip = size * np.exp(1j * np.radians(angle))
        self.line.set_data([0, tip.real], [0, tip.imag])


def _png():
    out = io.BytesIO()
    Figure(figsize=(3, 2)).savefig(out, format="png", dpi=80)
    return base64.b64encode(out.getvalue()).decode()


def _result(data, metadata=None):
    return new_output("execute_result", data=data, metadata=metadata or {}, execution_count=1)


def notebook():
    """The notebook."""
    picture = _result({"image/png": _png(), "text/plain": "Figure"}, {"image/png": {"alt": "An empty <picture>."}})
    panel = film(Arm(), CONTROLS, "An arm that turns.")
    derived = _result({"text/latex": r"$\displaystyle \frac{S \sin{\left(\theta \right)}}{2}$"})
    code = [
        new_code_cell("x = 1\nx", outputs=[derived]),
        new_code_cell("show()", outputs=[picture]),
        new_code_cell("print(report)", outputs=[new_output("stream", name="stdout", text=(
            "stroke      69 mm\nbore        63 mm  estimated\n"))]),
        new_code_cell("print(words)", outputs=[new_output("stream", name="stdout", text="a < b\ntwo  words\n")]),
        new_code_cell("panel", outputs=[_result({"text/html": panel, "text/plain": "Panel (run this cell)"})]),
        new_code_cell("panel", outputs=[_result({"text/plain": (
            "Panel (run this cell to move it)\n  stroke [mm]: 20 to 120\n  picture: A map.")})]),
        new_code_cell("\n".join(f"long_{k} = {k}" for k in range(20))),
    ]
    exercise = [
        new_markdown_cell("## 2. Exercises\n\n**Exercise 1.** How much is half of 3 mm?"),
        new_code_cell("answer_1 = None  # mm"),
        new_code_cell("# Solution 1: divide by two.\nsolution_1 = 3 / 2"),
        new_code_cell('check(answer_1, solution_1, "mm", "what is half of it")',
                      outputs=[_result({"text/plain": "'Not yet answered.'"})]),
    ]
    cells = [new_markdown_cell(OPENING), new_markdown_cell(WORDS), *code, *exercise]
    return new_notebook(cells=cells, metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}})


def write(root):
    """A course of two notebooks with the files that they name; returns the paths of the notebooks."""
    for name in ("notebooks", "data"):
        (root / name).mkdir(parents=True)
    (root / "data" / "small.csv").write_text("a,b\n1,2\n")
    (root / "data" / "drawing.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>')
    (root / "core.py").write_text("pass\n")
    after = new_notebook(cells=[new_markdown_cell("# 02 What is next?\n\n## Here\n\n## Cautions\n\n- Mind the gears.")])
    paths = []
    for name, book in (("01_everything", notebook()), ("02_next", after)):
        paths.append(root / "notebooks" / f"{name}.ipynb")
        nbformat.write(book, paths[-1])
    return paths
