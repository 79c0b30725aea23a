"""What friction costs: every rubbing contact of both machines, by layout and case, and how sure the answer is.

Contacts and the assumptions behind them, piston rings, accessories, the torque left at the shaft, other layouts, and
what the ranges of the assumptions make of the saving; published fits and studies beside ours, and what would settle it.
It knows published losses of rings, valve train, seals and oil pump. It does not know how films are solved
(``bearings``), how the side load is shared (``sharing``), nor any picture.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "assumptions": "ASSUMPTIONS",
    "contacts": "Friction of_both of_crosshead of_many of_ordinary of_straight of_yoke",
    "balance": "brake_torque",
    "layouts": "LAYOUTS at balance_shaft_power compare laid_out machines rod_ratio side_by_side speed_load_map",
    "chances": "break_even ceiling monte_carlo",
    "published": "component_fits two_ways",
    "experiment": "smallest_moves thresholds",
    "accessories": "barnes_moss friction_pressure pumping_pressure",
})
