"""A bar moves with a study, vanishes at its end, and leaves the same words in every saved notebook."""

import numpy as np
import pytest

from vmech_core.base import sampling
from vmech_core.teach import progress, waiting


class Handle:
    def __init__(self, bar):
        self.seen = [bar._repr_html_()]
        self.texts = {repr(bar)}

    def update(self, bar):
        self.seen.append(bar._repr_html_())
        self.texts.add(repr(bar))


@pytest.fixture
def shown(monkeypatch):
    handles = []
    monkeypatch.setattr(waiting, "display", lambda bar, display_id: handles.append(Handle(bar)) or handles[-1])
    return handles


def test_a_study_moves_the_bar_until_it_is_gone(shown):
    sampling.run(lambda some: some, {"x": np.arange(8.0)}, 3, progress("eight <samples>"))
    shares = zip(("0.000", "0.375", "0.750"), shown[0].seen[1:])
    assert all(f'value="{share}"' in html for share, html in shares)
    assert shown[0].seen[0] == shown[0].seen[-1] == "" and len(shown[0].seen) == 5
    assert all("eight &lt;samples&gt;" in html for html in shown[0].seen[1:-1])
    assert shown[0].texts == {"eight <samples>"}


def test_outside_a_notebook_nothing_moves(capsys):
    moved = progress("four samples")
    moved(2, 4)
    assert capsys.readouterr().out == "four samples\n"
