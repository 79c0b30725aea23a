"""The whole assessment of one design: the numbers a reader wants, stage by stage, as text and as plain data.

It knows what a reader asks for, picks and words results; it computes none.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "assessment": "assess",
})
