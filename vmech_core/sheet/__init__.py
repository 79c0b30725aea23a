"""The whole assessment of one design: the numbers a reader wants, stage by stage, as text and as plain data.

It knows which results to pick, their words and customary units. It does not know how any of them is computed: that is
asked of a ``Case``, so that a stage loads what it needs and no more.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "assessment": "Assessment assess",
    "stages": "STAGES shown",
    "larger": "scaling",
    "teeth": "failure_pressures",
    "doubts": "Doubtful",
    "in_time": "MARCHED end_factor time_factors",
    "rated": "along_cycle rated_teeth rating_margins rating_remedies running_margins steels_of",
})
