"""How accurately it must be made: dimensions with limits, worst case, Monte Carlo, what counts most, and yield.

It knows where the limits of a dimension come from, and makes many machines of one design within them. It does not know
how a machine is solved (``sharing``), how parts grow when warm (``plays``), nor any other drive than the straight-line
one. As a command: ``python data/tolerance_study.py data/v_twin_generator.toml --samples 10000 --limit tooth=6``.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "causes": "CAUSES one_at_a_time",
    "chain": "dimensions_of machines",
    "scatter": "QUANTITIES evaluate monte_carlo report sweep worst_case yield_lines",
})
