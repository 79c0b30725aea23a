"""Plays and fits: the limits of ISO 286, and what heat does to plays, backlash and seats.

It knows sizes, grades and temperatures; it knows no force.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "fits": "fit play_limits tolerance",
    "heat": "AIR_COOLED changes growth hot scaled seat_interference",
})
