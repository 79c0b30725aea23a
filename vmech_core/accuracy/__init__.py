"""How accurately it must be made: dimensions with limits, worst case, Monte Carlo, ranking and yield.

It knows what scatters in a drawing, varies a design and has it solved; the mechanics stand in ``sharing``.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "chain": "dimensions_of evaluate machines monte_carlo report sweep worst_case yield_lines",
})
