"""The internal gear pair of pinion and ring: involute geometry, interference screens, true outlines, strength, mesh.

It knows teeth and what presses them; it knows no engine, no design file and no cycle.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "geometry": "InternalPair contact_ratio",
    "screens": "check_pair",
    "outline": "pinion_outline place_pinion ring_outline",
    "strength": "bending_margins",
    "strokes": "stroke_options",
    "stiffness": "mesh_stiffness_per_width",
}, modules="mesh")
