"""What friction costs: every rubbing contact of both machines, by layout and case, and how sure the answer is.

It knows the published losses of rings, valve train, seals and pump; films it takes from ``bearings``.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "contacts": "ASSUMPTIONS brake_torque of_both",
    "layouts": "at compare layouts",
    "chances": "balance_shaft_power best break_even ceiling crosshead guide_share monte_carlo needed ranking "
        "rod_ratio speed_load_map",
    "common": "barnes_moss mean_effective_pressure pumping_pressure",
})
