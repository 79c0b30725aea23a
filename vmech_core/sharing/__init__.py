"""Who carries the side load: crank and rods as elastic bodies between teeth, guides, bores and bearings with play.

``springs`` solves one-sided supports and knows no engine. ``elastic`` holds the stiffnesses and plays of one machine,
``contacts`` lists where its parts touch, ``quasi_static`` builds its supports (``assembly``), solves them angle by
angle (``share``) and reads loads off them (``forces``); ``flanks`` says what follows. Films enter as springs that
somebody else has found.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "springs": "rest",
    "elastic": "Elastic FilmSpring contact_stiffness crank_bending from_design guide_middle",
    "quasi_static": "assembly forces peak_forces share",
    "march": "DAMPING FILM_DAMPING March march_factors quasi_static_channels",
    "flanks": "crossings idle_clearance natural_frequency pin_place piston_place torque_correction turning_mass",
})
