"""Plays and fits: the limits of ISO 286, and what heat makes of the plays, backlash and seats of a drawing.

It knows sizes, grades and temperatures; it knows no force.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "fits": "fit play_limits tolerance",
    "heat": "Heat growth scaled seat_interference",
    "running": "as_made as_running changes heat_of lines mismatch on_stub_shafts seats state_words warmed",
})
