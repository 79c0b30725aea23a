"""What pushes the piston: a measured trace, or a computed cycle of an engine, a compressor or a pump.

It knows gases, liquids, burning and walls, and of a machine no more than its volume against the angle. It does not know
what the pressure does to the machine: no load, no friction, and no line or vessel beyond the valves.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "cycles": "SAME_CHARGE SAME_TRACE Cycles computed volume_curve",
    "measured": "Trace gas_force read_trace",
    "ripple": "order_reversals reversals total_ripple",
    "volume": "indicated_mean_pressure swept",
}, modules="compressor cycles gas liquid pump spark")
