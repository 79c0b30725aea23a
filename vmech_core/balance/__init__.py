"""How smoothly and how evenly the machines run: what shakes the frame, which counterweights cancel it and what that
costs the teeth and bearings, the torque over the cycle and the flywheel that evens it. It knows the loads, masses and
motion of a case; it does not know how parts are made or how much room the whole machine takes: that is ``size``.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "torque": "flywheel fluctuation inertia_needed intervals reversals speed_over_cycle with_flywheel",
    "shaking": "Unbalance end_webs of_ordinary of_straight reciprocating rotating",
    "mounts": "ERRORS GRADES on_springs permissible workshop",
    "weights": "Body Room Sector Weights fit peaks rooms shares",
}, modules="mounts")
