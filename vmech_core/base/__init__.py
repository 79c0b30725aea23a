"""What all other packages rest on: one error, units and the one number formatter, the plain data of results.

It knows tables of numbers in ``data/`` and random samples of uncertain ones, with progress and cancel; it knows no
machine.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "errors": "Effort Endless InputError full_traceback refuse",
    "units": "from_si show sign to_si written",
    "channels": "CHANNELS",
    "cycle": "peak rms",
    "results": "MACHINES Contact Estimate Loads Margin Motion Quantity column estimates record some",
    "tables": "row rows",
}, modules="sampling")
