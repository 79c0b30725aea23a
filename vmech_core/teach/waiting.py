"""A bar for studies that take more than two seconds: it moves while they run and is gone when they are done."""

from html import escape

from IPython.display import display


class _Bar:
    """What is displayed: its words as plain text at all times, and a bar while a study runs.

    A saved notebook keeps the first or the last state, and a comparison of outputs sees the first: both are the same.
    """

    def __init__(self, words):
        self._words, self.share = words, 1.0

    def __repr__(self):
        return self._words

    def _repr_html_(self):
        if self.share >= 1.0:
            return ""
        return f'{escape(self._words)} <progress max="1" value="{self.share:.3f}">{self.share:.0%}</progress>'


def progress(words):
    """Show a bar and give what moves it.

    Parameters
    ----------
    words : str [-]
        What is being computed.

    Returns
    -------
    callable [-]
        ``progress`` of the studies that ask for one: takes how many of the samples are done and how many there are.

    Examples
    --------
    >>> moved = progress("two samples")
    two samples
    >>> moved(1, 2)
    >>> moved(2, 2)
    """
    bar = _Bar(words)
    handle = display(bar, display_id=True)

    def moved(done, count):
        bar.share = done / count
        if handle is not None:  # None outside a notebook, where the words stand and nothing moves
            handle.update(bar)

    moved(0, 1)
    return moved
