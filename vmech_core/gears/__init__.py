"""The internal gear pair of pinion and ring: involute geometry, interference screens, true outlines, strength, mesh.

It knows teeth, one pair of gears at a time, and what a force on them does: whether they fit, how stiff their mesh is,
what its sliding costs, what bends a tooth, how long it lives. It does not know where the force comes from: no engine
and no design file; a history of forces over the carrier's angle is given to it.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "geometry": "InternalPair contact_ratio",
    "screens": "check_pair",
    "outline": "pinion_outline place_pinion ring_outline",
    "strength": "bending_margins contact_stress load_at_limit",
    "strokes": "pair_keys stroke_options",
    "steels": "cycles_to_failure life_factor tooth_steel",
    "choice": "Choice Fit choose",
    "rating": "SAFETY Rating ToothDuty allowable_force allowable_pressure rate",
    "history": "Course ToothLives tooth_course tooth_lives",
    "scuffing": "flash_temperature scuffing_limits",
    "mesh": "STEEL_MESH iso_mesh_stiffness mesh_stiffness",
    "loss": "loss_factor pair_factor pitch_speed",
}, modules="factors loss measure mesh rating")
