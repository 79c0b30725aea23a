"""Pictures: figures and live scenes by topic, in one style. A scene draws once and then moves a few artists.

Each file is a topic and is offered whole: ``bearings.orbits(case)`` draws, ``style.show(figure, alt)`` shows. A scene
carries its ``controls`` as plain data. All of it draws what the other packages have computed, and knows no widget.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "controls": "Choice Slider",
}, modules="banks bearing_scene bearings crank cycle drawing ends free_body friction friction_scene "
           "gear_rating gear_scene loads machine motion pump room shaking sharing side_load side_thrust straight_line "
           "stroke style tolerances torque view")
