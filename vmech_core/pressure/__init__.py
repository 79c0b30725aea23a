"""What pushes the piston: a measured trace, or a computed cycle of an engine, a compressor or a pump.

It knows gases, liquids and volume curves, and of a machine no more than its volume against angle.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "cycles": "SAME_CHARGE SAME_TRACE Cycles computed reversals total_ripple volume_curve",
    "measured": "Trace gas_force read_trace",
    "volume": "mean_effective_pressure swept",
}, modules="gas spark")
