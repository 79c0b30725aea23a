"""How large, how heavy and how strong the machines are: room by the same clearance rules for both, parts with their
masses, the crank as a body of pins and webs that bends, twists and tires, and whether it can all be put together. It
knows the loads, films and counterweights of a case; it does not know pressure or friction.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "crank": "mesh_slopes ordinary_crank straight_crank",
    "fatigue": "criteria pinion_seat safeties",
    "making": "piston_heat press_fit ring_seat seat_torque tooth_out ways_to_build",
    "room": "OUTLINED Outline outline rules upright",
    "parts": "part_list proportions totals",
})
